"""The Order sheet: what the supplier needs, and nothing of costs or of the client."""

from __future__ import annotations

from basinbook.engine.cautions import LOCAL, caution
from basinbook.workbook.template import style
from basinbook.workbook.template.estimate import QUANTITY, Ordered
from basinbook.workbook.template.formulas import COMPLETE, STOPS_SOMETHING
from basinbook.workbook.template.input_cells import put_cell
from basinbook.workbook.template.inputs import ORDER, inputs_of
from basinbook.workbook.template.sheet_writer import Area, Template


def add_order(template: Template, lines: list[Ordered]) -> None:
    """Add the sheet; its lines follow the estimate's order quantities."""
    sheet = template.sheet("Order", [7, 18, 34, 12, 11, 36], pages=1)
    sheet.title("Order", message=False)
    rows = sheet.rows(2)
    row = rows.next()
    sheet.put(f"A{row}", "Job", style.LABEL)
    sheet.merge(f"A{row}:B{row}")
    sheet.merge(f"C{row}:F{row}")
    sheet.put(
        f"C{row}",
        '=IF(Job_name="","",Job_name)&IF(Job_revision="","",", revision "&Job_revision)',
        style.STRONG,
    )
    for given in inputs_of(ORDER):
        row = rows.next()
        sheet.merge(f"A{row}:B{row}")
        sheet.put(f"A{row}", given.label, style.LABEL)
        sheet.merge(f"C{row}:D{row}")
        put_cell(sheet, f"C{row}", given, given.name)
        sheet.put(f"D{row}", None, style.INPUT_TEXT)
    row = rows.next()
    sheet.merge(f"A{row}:F{row}")
    not_sent = f'=IFERROR(IF({STOPS_SOMETHING},"NOT TO BE SENT: see the Findings sheet",""),"")'
    sheet.put(f"A{row}", not_sent, style.STRONG)
    head = rows.next()
    heads = ("Line", "Item", "Description", "Quantity", "Unit", "Note")
    sheet.row(head, "A", heads, style.HEAD)
    sheet.height(head, 20)
    numbers, *columns = (str(area) for area in _ordered(template, lines))
    places = rows.take(len(lines))
    for number, row in enumerate(places, start=1):
        there = f"COUNT({numbers})>={number}"
        sheet.put(f"A{row}", f'=IF({there},{number},"")', style.BOX_NUMBER)
        for letter, column in zip(sheet.letters[1:], columns, strict=True):
            quantity = letter == "D"
            sheet.put(
                f"{letter}{row}",
                f'=IF({there},INDEX({column},MATCH({number},{numbers},0)),"")',
                style.BOX_NUMBER if quantity else style.BOX,
                number_format=QUANTITY if quantity else "",
            )
    sheet.name("Order_lines", f"$A${places[0]}:$F${places[-1]}")
    row = rows.next(gap=1)
    units = "metric" if sheet.metric else "US customary"
    sheet.merge(f"A{row}:F{row}")
    sheet.put(
        f"A{row}",
        f"Sizes are actual sizes. Units: {units}. Please confirm stock, lead time and delivery day "
        "in reply.",
        style.NOTE,
    )
    sheet.height(row, 26)
    row = rows.next()
    sheet.merge(f"A{row}:F{row}")
    sheet.put(f"A{row}", f"{caution('lifting').text} {LOCAL}", style.CAUTION)
    sheet.height(row, 28)
    sheet.finish(f"A1:{sheet.last}{row}", freeze=f"A{head + 1}", titles=f"{head - 1}:{head}")


def _ordered(template: Template, lines: list[Ordered]) -> list[Area]:
    """Number the lines that are ordered, and return the columns that the sheet picks them from.

    An order is whole or blank: no line is left out because its quantity isn't known.
    """
    first, last = lines[0].known, lines[-1].known.rpartition("!")[2]
    all_known = f'AND(Order_problem="{COMPLETE}",COUNT({first}:{last})={len(lines)})'
    rows = []
    for line in lines:
        nothing = f"OR(NOT(IFERROR({all_known},FALSE)),N({line.quantity})=0)"
        rows.append(
            (
                f'=IF({nothing},"",COUNT({{column}}$1:{{column}}{{above}})+1)',
                *(
                    f'=IF({{first}}{{row}}="","",{text})'
                    for text in (
                        f'{line.item}&""',
                        f'{line.description}&""',
                        line.quantity,
                        f'{line.unit}&""',
                        line.note,
                    )
                ),
            )
        )
    return template.block(("Order line", "Item", "Description", "Quantity", "Unit", "Note"), rows)
