"""The Estimate sheet: quantities, allowances, packs, prices, labour, markup, tax and total."""

from __future__ import annotations

from typing import Final, NamedTuple

from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.costs import (
    SUMMARY,
    TOTAL,
    WORK,
    MaterialLine,
    WorkLine,
    material_lines,
)
from basinbook.workbook.template.formulas import call, if_known, if_number, whole_sum
from basinbook.workbook.template.sheet_writer import (
    COUNT,
    MONEY,
    PERCENT,
    Rows,
    Sheet,
    Template,
    fixed_format,
)

QUANTITY: Final = "General"
FREE_LINES: Final = 4
FREE_TASKS: Final = 3
_HOURS: Final = "0.0"
_HOURS_EACH: Final = "0.000"
_MOST: Final = 1_000_000
_MOST_MONEY: Final = 10_000_000


def _no_zero(number_format: str) -> str:
    """A line of which nothing is needed shows blanks, so that the others stand out."""
    return f"{number_format};-{number_format};"


class Ordered(NamedTuple):
    """Where the order sheet finds one line: cell references, formula text for its note.

    ``known`` is a number where it is known how much is ordered, nothing included.
    """

    item: str
    description: str
    quantity: str
    unit: str
    note: str
    known: str


def add_estimate(template: Template) -> list[Ordered]:
    """Add the sheet and return what the order sheet needs of it."""
    sheet = template.sheet("Estimate", [17, 33, 11, 10, 10, 11, 10, 9, 11, 13], pages=1)
    sheet.title("Estimate")
    rows = sheet.rows(4)
    ordered = _materials(rows)
    _labour(rows)
    _summary(rows)
    row = put_cautions(sheet, rows.row + 2, "estimate")
    sheet.finish(f"A1:{sheet.last}{row}", freeze="C6", titles="1:2")
    return ordered


def _materials(rows: Rows) -> list[Ordered]:
    """Material lines and the estimator's own, with their sum."""
    sheet = rows.sheet
    rows.section("Materials", gap=0)
    heads = (
        "Item", "Description", "Take-off", "Unit", "Allowance", "Order quantity",
        "Sold in packs of", "Packs",
    )  # fmt: skip
    head = _heads(rows, heads, "Price each")
    lines = material_lines(sheet.system)
    ordered, everywhere = [], []
    for line in lines:
        ordered.append(_material(sheet, rows.next(), line))
        if line.everywhere:
            everywhere.append(rows.row)
    for _ in range(FREE_LINES):
        ordered.append(_free(sheet, rows.next()))
        everywhere.append(rows.row)
    first, last = head + 1, rows.row
    # Lines that are the same in every option stand together, last.
    _sum(sheet, rows.next(), "Materials", (first, last), "Total_materials")
    _sum(
        sheet,
        rows.next(),
        "of these, pump, pipe, fittings and other",
        (min(everywhere), max(everywhere)),
        "Total_plumbing_and_other",
    )
    sheet.height(rows.row, 26)
    # Something is ordered and has no price.
    sheet.flag(f"I{first}:I{last}", f"AND(N($F{first})>0,N($I{first})=0)")
    return ordered


def _heads(rows: Rows, heads: tuple[str, ...], each: str) -> int:
    """Write the headings of a table that ends in price and extension."""
    sheet, row = rows.sheet, rows.next()
    sheet.row(row, "A", heads, style.HEAD)
    sheet.put(f"I{row}", f'="{each}, "&Currency', style.HEAD)
    sheet.put(f"J{row}", '="Extension, "&Currency', style.HEAD)
    sheet.height(row, 28)
    return row


def _material(sheet: Sheet, row: int, line: MaterialLine) -> Ordered:
    def number(column: str, formula: str, number_format: str) -> str:
        return sheet.put(
            f"{column}{row}", formula, style.BOX_NUMBER, number_format=_no_zero(number_format)
        )

    def when_chosen(formula: str) -> str:
        return if_known(f"IF({line.none},{line.nothing},{formula})")

    # Of the many lines for fittings, those not used stay blank.
    item = f'=IF({line.none},"","{line.item}")' if line.item == "Fitting" else line.item
    sheet.put(f"A{row}", item, style.BOX)
    description = sheet.put(f"B{row}", f'=IF({line.none},"",{line.chosen})', style.BOX)
    listed = f"ISNUMBER(MATCH({line.chosen},{line.table}_name,0))"
    number("C", when_chosen(f'IF({listed},{line.quantity},"")'), fixed_format(line.decimals))
    unit = sheet.put(f"D{row}", f'=IF({line.none},"",IFERROR({line.unit},""))', style.BOX)
    allowance = f"={line.allowance}" if line.allowance else None
    sheet.put(
        f"E{row}", allowance, style.BOX_NUMBER, number_format=PERCENT if line.allowance else ""
    )
    sheet.put(
        f"G{row}",
        f'=IF({line.none},"",IFERROR({line.pack_size},""))',
        style.BOX_NUMBER,
        number_format=QUANTITY,
    )
    packs = call("PACKS", line.needed or f"C{row}", f"G{row}")
    number("H", when_chosen(if_number(f"C{row}", packs)), COUNT)
    ordered = number("F", f"={if_number(f'H{row}', f'H{row}*N(G{row})')}", QUANTITY)
    number("I", f"=IF({line.none},0,IFERROR({line.price},0))", MONEY)
    number("J", f"={if_number(f'F{row}', f'F{row}*I{row}')}", MONEY)
    note = f'IF({line.none},"",{line.note})'
    return Ordered(f'"{line.item}"', description, ordered, unit, note, known=ordered)


def _free(sheet: Sheet, row: int) -> Ordered:
    """One line of the estimator's own, such as a spillway, a bowl or a light."""
    item = sheet.put(f"A{row}", None, style.INPUT_TEXT)
    description = sheet.put(f"B{row}", None, style.INPUT_TEXT)
    quantity = sheet.put(f"C{row}", None, style.INPUT, number_format=QUANTITY)
    unit = sheet.put(f"D{row}", None, style.INPUT_TEXT)
    sheet.decimal(f"C{row}", 0, _MOST)
    for column in "EGH":
        sheet.put(f"{column}{row}", None, style.BOX)
    known = sheet.put(f"F{row}", f"=N(C{row})", style.BOX_NUMBER, number_format=_no_zero(QUANTITY))
    sheet.put(f"I{row}", None, style.INPUT, number_format=MONEY)
    sheet.decimal(f"I{row}", 0, _MOST_MONEY)
    sheet.put(f"J{row}", f"=N(C{row})*N(I{row})", style.BOX_NUMBER, number_format=_no_zero(MONEY))
    return Ordered(item, description, quantity, unit, '""', known)


def _labour(rows: Rows) -> None:
    """Tasks of the cost model and the estimator's own, with their sums."""
    sheet = rows.sheet
    rows.section("Labour")
    heads = ("Task", "", "Quantity", "Unit", "Hours per unit", "Person-hours", "", "")
    head = _heads(rows, heads, "Per hour")
    sheet.merge(f"A{head}:B{head}")
    for line in WORK:
        _task(sheet, rows.next(), line)
    own = rows.row + 1
    for _ in range(FREE_TASKS):
        _free_task(sheet, rows.next())
    first, last = head + 1, rows.row
    # A task of some quantity has no hours.
    sheet.flag(f"E{own}:E{last}", f"AND(N($C{own})>0,N($E{own})=0)")
    sheet.name("Own_hours", f"$F${own}:$F${last}")
    row = rows.next()
    sheet.put(f"E{row}", "Hours", style.STRONG)
    sheet.put(
        f"F{row}",
        f"={whole_sum(f'F{first}:F{last}', last - first + 1)}",
        style.RESULT,
        number_format=_HOURS,
        name="Person_hours",
    )
    _sum(sheet, row, "Labour", (first, last), "Total_labour")
    row = rows.next()
    sheet.put(f"E{row}", "Crew days", style.STRONG)
    sheet.put(
        f"F{row}",
        if_known('IF(MIN(Crew,Hours_per_day)<1,"",Person_hours/(Crew*Hours_per_day))'),
        style.RESULT,
        number_format=_HOURS,
        name="Crew_days",
    )


def _task(sheet: Sheet, row: int, line: WorkLine) -> None:
    sheet.merge(f"A{row}:B{row}")
    sheet.put(f"A{row}", line.task, style.BOX)
    sheet.put(f"B{row}", None, style.BOX)
    for column in "GH":
        sheet.put(f"{column}{row}", None, style.BOX)
    sheet.put(f"C{row}", if_known(line.quantity), style.BOX_NUMBER, number_format="#,##0.0")
    # A table without the task is told of on the Job sheet, and leaves no price.
    sheet.put(f"D{row}", f'=IFERROR({line.unit_text},"")', style.BOX)
    hours = f'=IFERROR({line.hours_each},"")'
    sheet.put(f"E{row}", hours, style.BOX_NUMBER, number_format=_HOURS_EACH)
    sheet.put(
        f"F{row}",
        if_known(f'IF(ISNUMBER(C{row}),C{row}*E{row},"")'),
        style.BOX_NUMBER,
        number_format=_HOURS,
    )
    sheet.put(f"I{row}", "=Labour_rate", style.BOX_NUMBER, number_format=MONEY)
    sheet.put(
        f"J{row}",
        if_known(f'IF(ISNUMBER(F{row}),F{row}*I{row},"")'),
        style.BOX_NUMBER,
        number_format=MONEY,
    )


def _free_task(sheet: Sheet, row: int) -> None:
    """A task of the estimator's own: in every option the same."""
    sheet.merge(f"A{row}:B{row}")
    sheet.put(f"A{row}", None, style.INPUT_TEXT)
    sheet.put(f"B{row}", None, style.INPUT_TEXT)
    for column in "GH":
        sheet.put(f"{column}{row}", None, style.BOX)
    sheet.put(f"C{row}", None, style.INPUT, number_format=QUANTITY)
    sheet.put(f"D{row}", None, style.INPUT_TEXT)
    sheet.put(f"E{row}", None, style.INPUT, number_format=_HOURS_EACH)
    for column in "CE":
        sheet.decimal(f"{column}{row}", 0, _MOST)
    hours, cost = f"=N(C{row})*N(E{row})", f"=F{row}*N(I{row})"
    rate = f'=IF(F{row}=0,"",Labour_rate)'
    sheet.put(f"F{row}", hours, style.BOX_NUMBER, number_format=_no_zero(_HOURS))
    sheet.put(f"I{row}", rate, style.BOX_NUMBER, number_format=MONEY)
    sheet.put(f"J{row}", cost, style.BOX_NUMBER, number_format=_no_zero(MONEY))


def _sum(sheet: Sheet, row: int, label: str, lines: tuple[int, int], name: str) -> None:
    """Write the sum of the extensions of some lines; blank where one of them is unknown."""
    first, last = lines
    formula = whole_sum(f"J{first}:J{last}", last - first + 1)
    sheet.merge(f"G{row}:I{row}")
    sheet.put(f"G{row}", label, style.STRONG)
    sheet.put(f"J{row}", f"={formula}", style.RESULT, number_format=MONEY, name=name)


def _summary(rows: Rows) -> None:
    sheet = rows.sheet
    rows.section("Price")
    for line in SUMMARY:
        row = rows.next()
        sheet.merge(f"G{row}:I{row}")
        last = line.name == TOTAL
        sheet.put(f"G{row}", line.label, style.STRONG if last else style.LABEL)
        sheet.put(
            f"J{row}",
            f'=IF(Ready,{line.formula},"")' if last else if_known(line.formula),
            style.RESULT_STRONG if last else style.RESULT,
            number_format=MONEY,
            name=line.name,
        )
