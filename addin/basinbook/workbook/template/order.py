"""The Order sheet: what the supplier needs, and nothing of costs or of the client."""

from __future__ import annotations

from basinbook.engine.cautions import LOCAL, caution
from basinbook.engine.order_changes import ADD
from basinbook.workbook.template import style
from basinbook.workbook.template.estimate import QUANTITY, Ordered
from basinbook.workbook.template.formulas import COMPLETE, STOPS_SOMETHING
from basinbook.workbook.template.input_cells import put_cell
from basinbook.workbook.template.inputs import inputs_of
from basinbook.workbook.template.inputs.groups import ORDER
from basinbook.workbook.template.ordered import ANEW, ORDER_WHOLE, ORDERS_SENT, put_changes
from basinbook.workbook.template.sheet_writer import Area, Template


def add_order(template: Template, lines: list[Ordered]) -> None:
    """Add the sheet; its lines follow the estimate's order quantities.

    Once something was ordered, they are the differences to it.
    """
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
    columns = _ordered(template, lines)
    numbers, *whole = (str(area) for area in columns)
    changed = put_changes(template, columns[1:5], len(lines))
    sheet.put(f"A{row}", _what_it_is(changed.cell(1, 1)), style.STRONG)
    sheet.height(row, 28)
    head = rows.next()
    heads = ("Line", "Item", "Description", "Quantity", "Unit", "Note")
    sheet.row(head, "A", heads, style.HEAD)
    sheet.height(head, 20)
    places = rows.take(len(lines))
    for number, row in enumerate(places, start=1):
        differences = _difference(number, changed, (whole[1], whole[4]))
        there = f"COUNT({numbers})>={number}"
        all_lines = (
            f'IF({there},{number},"")',
            *(f'IF({there},INDEX({one},MATCH({number},{numbers},0)),"")' for one in whole),
        )
        for letter, one, difference in zip(sheet.letters, all_lines, differences, strict=True):
            amount = letter in "AD"
            sheet.put(
                f"{letter}{row}",
                f"=IF(N({ORDERS_SENT})>0,{difference},{one})",
                style.BOX_NUMBER if amount else style.BOX,
                number_format=QUANTITY if letter == "D" else "",
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


def _what_it_is(first_change: str) -> str:
    """Return the formula of the line over the lines: why it can't be sent, or what it changes."""
    lacking = f'IF(Order_problem<>"{COMPLETE}",LEFT(Order_problem,160),"a quantity is not known")'
    partly = f'"NOT TO BE SENT: "&{lacking}'
    told = (
        f'"Order "&Order_this_number&" "&Order_this_kind&": "&IF({ANEW},"it is all that is needed '
        'now; please cancel what of the other has not been delivered","only what has changed is '
        'listed, all else stays as ordered")'
    )
    nothing = f'IF({first_change}="","Nothing to order: all that is needed was ordered",{told})'
    later = f'IF(N({ORDERS_SENT})=0,"",IF(Order_this_kind="","",{nothing}))'
    stopped = '"NOT TO BE SENT: see the Findings sheet"'
    return f'=IFERROR(IF(NOT({ORDER_WHOLE}),{partly},IF({STOPS_SOMETHING},{stopped},{later})),"")'


def _difference(number: int, changed: Area, notes: tuple[str, str]) -> tuple[str, ...]:
    """Return formula texts of a line that says what to add to an order, or to take off it.

    notes: columns of descriptions, and of the notes that belong to them. A quantity that has no
    room is a word, which is not sent. An order anew needs no word for what it wants.
    """
    item, description, unit, needed, ordered, change, back, word = (
        changed.cell(number, column) for column in range(1, 9)
    )

    def there(text: str) -> str:
        return f'IF({item}="","",{text})'

    plain = f'AND({ANEW},{word}="{ADD}")'
    note = f'IFERROR(INDEX({notes[1]},MATCH({description},{notes[0]},0))&"","")'
    told = (
        f'IF(AND({plain},N({ordered})=0),"",IF({note}="","","; ")&{needed}&" in all, "&{ordered}&'
        f'IF({plain}," there"," ordered before")&IF(N({back})>0,"; "&{back}&" for return",""))'
    )
    return (
        there(str(number)),
        there(f'IF({plain},"",UPPER(LEFT({word},1))&MID({word},2,9)&": ")&{item}'),
        there(description),
        there(f'IF({change}="","no room",ABS({change}))'),
        there(unit),
        there(f"{note}&{told}"),
    )


def _ordered(template: Template, lines: list[Ordered]) -> list[Area]:
    """Number the lines that are needed, and return the columns that the sheet picks them from.

    An order is whole, as Order_whole says, or blank: no line is left out because its quantity isn't
    known, nor does one stand beside an input that is wrong, since a sheet may be sent by hand.
    """
    top, bottom = lines[0].known, lines[-1].known.rpartition("!")[2]
    all_known = f'AND(Order_problem="{COMPLETE}",COUNT({top}:{bottom})={len(lines)})'
    rows = []
    for line in lines:
        nothing = f"OR(NOT({ORDER_WHOLE}),N({line.quantity})=0)"
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
    columns = template.block(
        ("Order line", "Item", "Description", "Quantity", "Unit", "Note"), rows
    )
    (whole,) = template.block(("Order is whole",), [[f"=IFERROR({all_known},FALSE)"]])
    template.name(ORDER_WHOLE, template.working, f"${whole.letters[0]}${whole.first}")
    first, last = columns[0], columns[-1]
    template.name(
        "Order_needed",
        template.working,
        f"${first.letters[0]}${first.first}:${last.letters[0]}${last.last}",
    )
    return columns
