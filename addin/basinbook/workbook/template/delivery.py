"""The Delivery sheet: an order as it comes, what it weighs, and sizes measured on arrival."""

from __future__ import annotations

from typing import Final, NamedTuple

from basinbook.engine import kinds
from basinbook.engine.cautions import LOCAL, caution
from basinbook.workbook.template import style
from basinbook.workbook.template.estimate import QUANTITY
from basinbook.workbook.template.formulas import DEPTH_GIVEN, call, if_known, lookup, quoted, shown
from basinbook.workbook.template.input_cells import put_inputs
from basinbook.workbook.template.inputs import inputs_of
from basinbook.workbook.template.inputs.groups import DELIVERY, SIZES_COME
from basinbook.workbook.template.lines import put_array, put_sentence
from basinbook.workbook.template.sheet_writer import COUNT, Rows, Sheet, Template

_LINES: Final = 32
_SAMPLES: Final = "DEFGH"
_EFFECTS: Final = 6
_STONE: Final = ("Blocks", "Caps", "Column_caps", "Lintels")
_HEADS: Final = (
    "Item", "Description", "Ordered", "Unit", "Weight", "Pallets", "Received", "of these broken",
    "Will not come", "Still due", "By whom, date",
)  # fmt: skip
_HOW: Final = (
    "Print it for who receives; type what came, broke and will not come on the Ordered sheet: "
    "broken pieces and what will not come are part of the next order. Blank cells are to be "
    "written in."
)


class _Size(NamedTuple):
    """A size to measure: label, name of the layout's, name of the mean."""

    label: str
    planned: str
    mean: str


_SIZES: Final = tuple(
    _Size(label, planned, f"Arrival_{planned.lower()}")
    for label, planned in (
        ("Block: length", "Block_length"),
        ("Block: height", "Block_height"),
        ("Block: depth", "Block_depth"),
        ("Cap: length", "Cap_length"),
        ("Cap: depth", "Cap_depth"),
        ("Cap: thickness", "Cap_height"),
    )
)


def add_delivery(template: Template) -> None:
    """Add the sheet."""
    widths = [18, 28, 11, 14, 11, 11, 11, 11, 11, 11, 30]
    sheet = template.sheet("Delivery", widths, landscape=True, scale=78)
    sheet.title("Delivery")
    sheet.merge(f"A3:{sheet.last}3")
    sheet.put("A3", _HOW, style.NOTE)
    rows = sheet.rows(4)
    put_inputs(rows, DELIVERY, inputs_of(DELIVERY), gap=0)
    _lines(rows)
    row = rows.next(gap=1)
    sheet.merge(f"A{row}:{sheet.last}{row}")
    sheet.put(f"A{row}", f"{caution('lifting').text} {LOCAL}", style.CAUTION)
    sheet.height(row, 28)
    _sizes(rows)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze="A3", titles="1:2")


def _lines(rows: Rows) -> None:
    """Write the lines of the order with weight and pallets, and what to expect in all."""
    sheet = rows.sheet
    rows.section("Lines of the order")
    head = rows.next()
    mass = sheet.unit(kinds.MASS)
    heads = [f"{text}, {mass}" if text == "Weight" else text for text in _HEADS]
    sheet.row(head, "A", heads, style.HEAD)
    sheet.height(head, 28)
    table = sheet.template.table(
        call("DELIVERYLINES", "Ordered_lines", "Ordered_order", "Delivery_order", str(_LINES)),
        _LINES,
        8,
        "IF(N(Orders_sent)>0,TRUE,FALSE)",
    )
    lines = rows.take(_LINES)
    for number, row in enumerate(lines, start=1):
        item, description, unit, ordered, received, broken, missing, due = (
            table.cell(number, column) for column in range(1, 9)
        )

        def there(text: str, item: str = item) -> str:
            return f'=IF({item}="","",{text})'

        for letter, cell in zip("ABD", (item, description, unit), strict=True):
            sheet.put(f"{letter}{row}", shown(cell), style.BOX)
        sheet.put(f"C{row}", shown(ordered), style.BOX_NUMBER, number_format=QUANTITY)
        weight = f'IFERROR(C{row}*{_weight_each(sheet, row)},"")'
        sheet.put(
            f"E{row}",
            there(f'IF(N({weight})=0,"",{weight})'),
            style.BOX_NUMBER,
            number_format=sheet.number_format(kinds.MASS),
        )
        stone = "+".join(f"COUNTIF({table}_name,B{row})" for table in _STONE)
        pallets = f"IF(N(E{row})*({stone})>0,ROUNDUP(E{row}/Pallet_most,0),0)"
        sheet.put(
            f"F{row}",
            there(f'IFERROR(IF({pallets}=0,"",{pallets}),"")'),
            style.BOX_NUMBER,
            number_format=COUNT,
        )
        for letter, cell in zip("GHI", (received, broken, missing), strict=True):
            sheet.put(
                f"{letter}{row}",
                there(f'IF({cell}=0,"",{cell})'),
                style.BOX_NUMBER,
                number_format=QUANTITY,
            )
        sheet.put(f"J{row}", shown(due), style.BOX_NUMBER, number_format=QUANTITY)
        sheet.put(f"K{row}", None, style.BOX)
        # All of them and their sum on one page.
        sheet.height(row, 14)
    first, last = lines[0], lines[-1]
    row = rows.next()
    unknown = f'SUMPRODUCT((A{first}:A{last}<>"")*(E{first}:E{last}=""))'
    sheet.merge(f"A{row}:D{row}")
    sheet.put(
        f"A{row}",
        f'=IFERROR("To expect in all"&IF({unknown}=0,"",", without "&{unknown}&'
        '" lines whose weight is not known"),"")',
        style.STRONG,
    )
    for letter, kind in (("E", kinds.MASS), ("F", kinds.COUNT)):
        cells = f"{letter}{first}:{letter}{last}"
        sheet.put(
            f"{letter}{row}",
            f'=IF(COUNT({cells})=0,"",SUM({cells}))',
            style.RESULT_STRONG,
            number_format=sheet.number_format(kind),
            name=f"Delivery_{'weight' if letter == 'E' else 'pallets'}",
        )


def _weight_each(sheet: Sheet, row: int) -> str:
    """Return formula text of the weight of one unit of a line; an error where none is known."""
    # A short ton; cubic feet of a cubic yard.
    ton, volume = ((1000, 1), (2000, 27))[not sheet.metric]
    units = ("t", "m³") if sheet.metric else ("ton", "yd³")
    density = lookup("Bases", "density", f"B{row}")
    bag = lookup("Bases", "bag", f"B{row}")
    by_unit = (
        f'IF(D{row}="{units[0]}",{ton},IF(D{row}="{units[1]}",{volume}*{density},'
        f'IF(D{row}="bag",{volume}*{density}*{bag},NA())))'
    )
    found = f"IF(COUNTIF(Bases_name,B{row})=0,NA(),{by_unit})"
    for table in reversed(_STONE):
        found = f"IFERROR({lookup(table, 'weight', f'B{row}')},{found})"
    return found


def _sizes(rows: Rows) -> None:
    """Write what to measure, and what it does to the layout."""
    sheet = rows.sheet
    put_inputs(rows, SIZES_COME, inputs_of(SIZES_COME))
    unit = sheet.unit(kinds.LENGTH)
    head = rows.next(gap=1)
    samples = (f"Sample {number}" for number, _ in enumerate(_SAMPLES, 1))
    heads = ("Measured", "Layout's size", "Unit", *samples, "Mean", "Spread", "Mean less layout's")
    sheet.row(head, "A", heads, style.HEAD)
    sheet.height(head, 28)
    length = sheet.number_format(kinds.LENGTH)
    cells = rows.take(len(_SIZES))
    texts = [
        [if_known(f'IF({letter}="","",{call("CONVERTLENGTH", letter, quoted(unit))})')
         for letter in (f"'Delivery'!{column}{row}" for column in _SAMPLES)]
        for row in cells
    ]  # fmt: skip
    columns = sheet.template.block([f"Sample {n}" for n in range(1, len(_SAMPLES) + 1)], texts)
    for number, (row, size) in enumerate(zip(cells, _SIZES, strict=True), start=1):
        first, last = columns[0].cell(number, 1), columns[-1].cell(number, 1)
        read = f"{first}:{last.rpartition('!')[2]}"
        sheet.put(f"A{row}", size.label, style.BOX)
        planned = call("CONVERTLENGTH", size.planned, quoted(unit))
        sheet.put(f"B{row}", if_known(planned), style.BOX_NUMBER, number_format=length)
        sheet.put(f"C{row}", unit, style.UNIT)
        for column in _SAMPLES:
            sheet.put(f"{column}{row}", None, style.INPUT)
        results = (
            ("I", f"AVERAGE({read})"), ("J", f"MAX({read})-MIN({read})"), ("K", f"I{row}-B{row}"),
        )  # fmt: skip
        for column, text in results:
            sheet.put(
                f"{column}{row}",
                f'=IFERROR(IF(COUNT({read})=0,"",{text}),"")',
                style.BOX_NUMBER,
                number_format=length,
                name=size.mean if column == "I" else "",
            )
    means = [size.mean for size in _SIZES]
    measured = f"IF(COUNT({','.join(means)})>0,{DEPTH_GIVEN},FALSE)"
    rows.section("What these sizes do, where all is laid as drawn")
    put_array(
        rows, "ARRIVALSIZES", ("Job_labels", "Job_values", *means), _EFFECTS, "ABCDEFGH", measured
    )
    advice = call("ARRIVALADVICE", "Job_labels", "Job_values", "Arrival_tolerance", *means)
    put_sentence(
        rows, "Advice", f'IF({measured},{advice},"measure block and cap first")',
        name="Arrival_advice",
    )  # fmt: skip
