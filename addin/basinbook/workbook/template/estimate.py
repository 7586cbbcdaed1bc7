"""The Estimate sheet: quantities, allowances, packs, prices, labour, markup, tax and total."""

from __future__ import annotations

from dataclasses import dataclass

from basinbook.engine import kinds
from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.job import COMPLETE
from basinbook.workbook.template.materials import lookup, pack_size
from basinbook.workbook.template.sheet_writer import (
    MONEY,
    PERCENT,
    Sheet,
    Template,
    call,
    when_ready,
)
from basinbook.workbook.template.tables import LABOUR
from basinbook.workbook.template.water import FITTING_ROWS

LAST = "J"
QUANTITY = "General"
FREE_LINES = 4
_PLUMBING = ("Pump", "Pipe", "Fitting_")


def _no_zero(number_format: str) -> str:
    """A line of which nothing is needed shows blanks, so that the others stand out."""
    return f"{number_format};-{number_format};"


@dataclass(frozen=True)
class Line:
    """One material line: formula texts of its cells; ``chosen`` names the cell it hangs on."""

    item: str
    description: str
    quantity: str
    unit: str
    pack: str
    price: str
    allowance: str = ""
    ordered: str = ""
    chosen: str = ""
    note: str = ""
    decimals: int = 0


@dataclass(frozen=True)
class Ordered:
    """Where the order sheet finds one line: cell references, formula text for its note."""

    item: str
    description: str
    quantity: str
    unit: str
    note: str


def material_lines(template: Template) -> tuple[Line, ...]:
    """Return the lines that follow from the take-off, base first, as they are built."""
    size = f'" {template.unit(kinds.LENGTH)} actual"'
    area = template.unit(kinds.AREA)
    preformed = f'{lookup("Liners", "type", "Liner")}="preformed"'
    return (
        Line(
            "Base",
            "Base_material",
            "Qty_Base_in_selling_unit",
            lookup("Bases", "sold_by", "Base_material"),
            pack_size("Bases", "step", "Base_material"),
            lookup("Bases", "price", "Base_material"),
            chosen="Base_material",
            note='"loose, to tamp"',
            decimals=2,
        ),
        Line(
            "Wall block",
            "Block",
            "Qty_Blocks_needed",
            '"each"',
            pack_size("Blocks", "pack", "Block"),
            lookup("Blocks", "price", "Block"),
            "Breakage",
            "Qty_Blocks_to_buy",
            "Block",
            note=f'Block_length&" x "&Block_height&" x "&Block_depth&{size}',
        ),
        Line(
            "Wall cap",
            "Cap",
            "Qty_Caps_needed",
            '"each"',
            pack_size("Caps", "pack", "Cap"),
            lookup("Caps", "price", "Cap"),
            "Breakage",
            "Qty_Caps_to_buy",
            "Cap",
            note=f'Cap_length&" x "&Cap_depth&" x "&Cap_height&{size}',
        ),
        Line(
            "Column cap",
            "Column_cap",
            "Qty_Column_caps",
            '"each"',
            pack_size("Column_caps", "pack", "Column_cap"),
            lookup("Column_caps", "price", "Column_cap"),
            chosen="Column_cap",
            note=f'Column_cap_side&" square x "&Column_cap_height&{size}',
        ),
        Line(
            "Adhesive",
            "Adhesive",
            "Qty_Cartridges",
            '"cartridge"',
            pack_size("Adhesives", "pack", "Adhesive"),
            lookup("Adhesives", "price", "Adhesive"),
            chosen="Adhesive",
            note='"waste is in the quantity"',
        ),
        Line(
            "Liner",
            "Liner",
            f"IF({preformed},1,Qty_Liner_area)",
            f'IF({preformed},"each","{area}")',
            "1",
            lookup("Liners", "price", "Liner"),
            chosen="Liner",
            note=f'IF({preformed},"nominal "&{lookup("Liners", "length", "Liner")}&" x "'
            f'&{lookup("Liners", "width", "Liner")},"one piece, "&ROUND(Qty_Liner_length,1)&" x "'
            f'&ROUND(Qty_Liner_width,1))&" {template.unit(kinds.LENGTH)}"',
        ),
        Line(
            "Underlay",
            "Underlay",
            "Qty_Underlay_area",
            f'"{area}"',
            pack_size("Underlays", "step", "Underlay"),
            lookup("Underlays", "price", "Underlay"),
            chosen="Underlay",
            note='"floor and walls"',
            decimals=1,
        ),
        Line(
            "Pump",
            "Pump",
            "1",
            '"each"',
            "1",
            lookup("Pumps", "price", "Pump"),
            chosen="Pump",
            note='""',
        ),
        Line(
            "Pipe",
            "Pipe",
            "Pipe_length",
            f'"{template.unit(kinds.RUN)}"',
            pack_size("Pipes", "step", "Pipe"),
            lookup("Pipes", "price", "Pipe"),
            chosen="Pipe",
            note='""',
            decimals=1,
        ),
        *(
            Line(
                "Fitting",
                f"Fitting_{n}",
                # What has no price is a flow feature, such as an entrance, and no part to buy.
                f"IF(N({lookup('Fittings', 'price', f'Fitting_{n}')})=0,0,N(Fitting_{n}_count))",
                '"each"',
                "1",
                lookup("Fittings", "price", f"Fitting_{n}"),
                chosen=f"Fitting_{n}",
                note='""',
            )
            for n in range(1, FITTING_ROWS + 1)
        ),
    )


# Task on the Materials sheet -> how much of it there is.
_WORK = {
    "Set up, protect, clean up": "1",
    "Dig, level and tamp base": "Qty_Base_tamped",
    "Lay and glue block": "Qty_Pieces_laid",
    "Saw cuts": "Qty_Saw_cuts+Qty_Cap_saw_cuts",
    "Set caps and column caps": "Qty_Caps_needed+Qty_Column_caps",
    "Liner and underlay": "1",
    "Pump, pipe and water test": "1",
}


def add_estimate(template: Template) -> list[Ordered]:
    """Add the sheet and return what the order sheet needs of it."""
    sheet = template.sheet("Estimate", [17, 33, 11, 10, 10, 11, 10, 9, 11, 13], pages=1)
    sheet.title("Estimate", LAST)
    sheet.section(4, "Materials", LAST)
    sheet.row(
        5,
        "A",
        (
            "Item",
            "Description",
            "Take-off",
            "Unit",
            "Allowance",
            "Order quantity",
            "Sold in packs of",
            "Packs",
        ),
        style.HEAD,
    )
    _money_head(sheet, 5, "I", "Price each")
    _money_head(sheet, 5, "J", "Extension")
    sheet.height(5, 28)
    row, ordered = 5, []
    for line in material_lines(template):
        row += 1
        ordered.append(_material(sheet, row, line))
    for _ in range(FREE_LINES):
        row += 1
        ordered.append(_free(sheet, row))
    first, last = 6, row
    # Pump, pipe, fittings and free lines are the same in every option.
    plumbing = last - FREE_LINES - FITTING_ROWS - 1
    row += 1
    _sum(sheet, row, "Materials", f"SUM(J{first}:J{last})", "Total_materials")
    row += 1
    _sum(
        sheet,
        row,
        "of these, pump, pipe, fittings and other",
        f"SUM(J{plumbing}:J{last})",
        "Total_plumbing_and_other",
    )
    sheet.height(row, 26)
    row = _labour(sheet, row + 2)
    row = _summary(sheet, row + 2)
    row = put_cautions(sheet, row + 2, "estimate", LAST)
    # Something is ordered and has no price.
    sheet.flag(f"I{first}:I{last}", f"AND(N($F{first})>0,N($I{first})=0)")
    sheet.finish(f"A1:{LAST}{row}", freeze="C6", titles="1:2")
    return ordered


def _money_head(sheet: Sheet, row: int, column: str, text: str) -> None:
    sheet.put(f"{column}{row}", f'="{text}, "&Currency', style.HEAD)


def _material(sheet: Sheet, row: int, line: Line) -> Ordered:
    there = f'{line.chosen}=""'
    # Pump, pipe and fittings hang on no layout; the options count on their prices.
    ready = f'Job_problem="{COMPLETE}"' if line.chosen.startswith(_PLUMBING) else "Ready"
    quantity = when_ready(f"IF({there},0,{line.quantity})", ready)
    # Of the many lines for fittings, those not used stay blank.
    item = f'=IF({there},"","{line.item}")' if line.item == "Fitting" else line.item
    sheet.put(f"A{row}", item, style.BOX)
    description = sheet.put(f"B{row}", f'=IF({there},"",{line.description})', style.BOX)
    sheet.put(
        f"C{row}",
        quantity,
        style.BOX_NUMBER,
        number_format=_no_zero("#,##0" + ("." + "0" * line.decimals if line.decimals else "")),
    )
    unit = sheet.put(f"D{row}", f'=IF({there},"",IFERROR({line.unit},""))', style.BOX)
    if line.allowance:
        sheet.put(f"E{row}", f"={line.allowance}", style.BOX_NUMBER, number_format=PERCENT)
    else:
        sheet.put(f"E{row}", None, style.BOX_NUMBER)
    needed = line.ordered or f"C{row}"
    sheet.put(
        f"G{row}",
        f'=IF({there},"",IFERROR({line.pack},""))',
        style.BOX_NUMBER,
        number_format=QUANTITY,
    )
    sheet.put(
        f"H{row}",
        when_ready(f"IF({there},0,{call('PACKS', needed, f'G{row}')})", ready),
        style.BOX_NUMBER,
        number_format=_no_zero("#,##0"),
    )
    ordered = sheet.put(
        f"F{row}",
        when_ready(f"IF({there},0,H{row}*G{row})", ready),
        style.BOX_NUMBER,
        number_format=_no_zero(QUANTITY),
    )
    sheet.put(
        f"I{row}",
        f"=IF({there},0,IFERROR({line.price},0))",
        style.BOX_NUMBER,
        number_format=_no_zero(MONEY),
    )
    sheet.put(
        f"J{row}",
        when_ready(f"F{row}*I{row}", ready),
        style.BOX_NUMBER,
        number_format=_no_zero(MONEY),
    )
    return Ordered(f'"{line.item}"', description, ordered, unit, f'IF({there},"",{line.note})')


def _free(sheet: Sheet, row: int) -> Ordered:
    """One line of the estimator's own, such as a spillway, a bowl or a light."""
    item = sheet.put(f"A{row}", None, style.INPUT_TEXT)
    description = sheet.put(f"B{row}", None, style.INPUT_TEXT)
    quantity = sheet.put(f"C{row}", None, style.INPUT, number_format=QUANTITY)
    unit = sheet.put(f"D{row}", None, style.INPUT_TEXT)
    sheet.decimal(f"C{row}", 0, 1_000_000)
    for column in "EGH":
        sheet.put(f"{column}{row}", None, style.BOX)
    sheet.put(f"F{row}", f"=N(C{row})", style.BOX_NUMBER, number_format=_no_zero(QUANTITY))
    sheet.put(f"I{row}", None, style.INPUT, number_format=MONEY)
    sheet.decimal(f"I{row}", 0, 10_000_000)
    sheet.put(f"J{row}", f"=N(C{row})*N(I{row})", style.BOX_NUMBER, number_format=_no_zero(MONEY))
    return Ordered(item, description, quantity, unit, '""')


def _labour(sheet: Sheet, row: int) -> int:
    sheet.section(row, "Labour", LAST)
    sheet.merge(f"A{row + 1}:B{row + 1}")
    sheet.row(
        row + 1,
        "A",
        ("Task", "", "Quantity", "Unit", "Hours per unit", "Person-hours", "", ""),
        style.HEAD,
    )
    _money_head(sheet, row + 1, "I", "Per hour")
    _money_head(sheet, row + 1, "J", "Extension")
    sheet.height(row + 1, 28)
    row += 1
    first = row + 1
    for number, task in enumerate(LABOUR.us, start=1):
        row += 1
        sheet.merge(f"A{row}:B{row}")
        sheet.put(f"A{row}", f"=INDEX(Labour_name,{number})", style.BOX)
        sheet.put(f"B{row}", None, style.BOX)
        sheet.put(
            f"C{row}", when_ready(_WORK[str(task[0])]), style.BOX_NUMBER, number_format="#,##0.0"
        )
        sheet.put(f"D{row}", f"=INDEX(Labour_unit,{number})", style.BOX)
        sheet.put(
            f"E{row}", f"=INDEX(Labour_hours,{number})", style.BOX_NUMBER, number_format="0.000"
        )
        sheet.put(f"F{row}", when_ready(f"C{row}*E{row}"), style.BOX_NUMBER, number_format="0.0")
        sheet.put(f"G{row}", None, style.BOX)
        sheet.put(f"H{row}", None, style.BOX)
        sheet.put(f"I{row}", "=Labour_rate", style.BOX_NUMBER, number_format=MONEY)
        sheet.put(f"J{row}", when_ready(f"F{row}*I{row}"), style.BOX_NUMBER, number_format=MONEY)
    last = row
    row += 1
    sheet.put(f"E{row}", "Hours", style.STRONG)
    sheet.put(
        f"F{row}", f"=SUM(F{first}:F{last})", style.RESULT, number_format="0.0", name="Person_hours"
    )
    _sum(sheet, row, "Labour", f"SUM(J{first}:J{last})", "Total_labour")
    row += 1
    sheet.put(f"E{row}", "Crew days", style.STRONG)
    sheet.put(
        f"F{row}",
        when_ready("Person_hours/(Crew*Hours_per_day)"),
        style.RESULT,
        number_format="0.0",
        name="Crew_days",
    )
    return row


def _sum(sheet: Sheet, row: int, label: str, formula: str, name: str) -> None:
    sheet.merge(f"G{row}:I{row}")
    sheet.put(f"G{row}", label, style.STRONG)
    sheet.put(f"J{row}", f"={formula}", style.RESULT, number_format=MONEY, name=name)


# The summary, as the price is built up: label, formula, name.
SUMMARY = (
    ("Materials", "Total_materials", "Sum_materials"),
    ("Delivery", "Delivery", "Sum_delivery"),
    (
        "Markup on materials and delivery",
        "(Total_materials+Sum_delivery)*Markup_on_materials",
        "Sum_markup_materials",
    ),
    ("Labour", "Total_labour", "Sum_labour"),
    ("Markup on labour", "Total_labour*Markup_on_labour", "Sum_markup_labour"),
    (
        "Price before tax",
        "Sum_materials+Sum_delivery+Sum_markup_materials+Sum_labour+Sum_markup_labour",
        "Price_before_tax",
    ),
    (
        "Tax",
        'Tax_rate*IF(Tax_applies_to="all",Price_before_tax,IF(Tax_applies_to="materials",'
        "Total_materials+Sum_delivery+Sum_markup_materials,0))",
        "Tax",
    ),
    ("Price to the client", "Price_before_tax+Tax", "Price_total"),
)


def _summary(sheet: Sheet, row: int) -> int:
    sheet.section(row, "Price", LAST)
    for label, formula, name in SUMMARY:
        row += 1
        sheet.merge(f"G{row}:I{row}")
        last = name == "Price_total"
        sheet.put(f"G{row}", label, style.STRONG if last else style.LABEL)
        sheet.put(
            f"J{row}",
            when_ready(formula) if last else f"=IF(Ready,{formula},0)",
            style.RESULT_STRONG if last else style.RESULT,
            number_format=MONEY,
            name=name,
        )
    return row
