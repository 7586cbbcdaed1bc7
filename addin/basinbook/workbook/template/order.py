"""The Order sheet: what the supplier needs, and nothing of costs or of the client."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.engine.cautions import LOCAL, caution
from basinbook.workbook.template import style
from basinbook.workbook.template.estimate import QUANTITY, Ordered
from basinbook.workbook.template.sheet_writer import Template

LAST = "F"

_HEADER = (
    ("Order number", "Order_number", kinds.TEXT),
    ("Order date", "Order_date", kinds.COUNT),
    ("Needed by", "Order_needed_by", kinds.COUNT),
    ("Supplier", "Order_supplier", kinds.TEXT),
    ("Supplier e-mail", "Order_supplier_email", kinds.TEXT),
    ("From", "Order_sender", kinds.TEXT),
    ("From e-mail", "Order_sender_email", kinds.TEXT),
    ("Deliver to", "Order_deliver_to", kinds.TEXT),
)


def add_order(template: Template, lines: list[Ordered]) -> None:
    """Add the sheet; its lines follow the estimate's order quantities."""
    sheet = template.sheet("Order", [7, 18, 34, 12, 11, 36], pages=1)
    sheet.title("Order", message=False)
    row = 2
    sheet.put("A2", "Job", style.LABEL)
    sheet.merge("A2:B2")
    sheet.merge("C2:F2")
    sheet.put(
        "C2",
        '=IF(Job_name="","",Job_name)&IF(Job_revision="","",", revision "&Job_revision)',
        style.STRONG,
    )
    for label, name, kind in _HEADER:
        row += 1
        sheet.merge(f"A{row}:B{row}")
        sheet.put(f"A{row}", label, style.LABEL)
        sheet.merge(f"C{row}:D{row}")
        sheet.put(
            f"C{row}",
            None,
            style.INPUT_TEXT,
            name=name,
            number_format="yyyy-mm-dd" if kind is kinds.COUNT else "",
        )
        sheet.put(f"D{row}", None, style.INPUT_TEXT)
    row += 2
    sheet.row(row, "A", ("Line", "Item", "Description", "Quantity", "Unit", "Note"), style.HEAD)
    sheet.height(row, 20)
    first = row + 1
    numbers, *columns = _ordered(template, lines)
    for number in range(1, len(lines) + 1):
        row += 1
        there = f"COUNT({numbers})>={number}"
        sheet.put(f"A{row}", f'=IF({there},{number},"")', style.BOX_NUMBER)
        for letter, column in zip("BCDEF", columns, strict=True):
            sheet.put(
                f"{letter}{row}",
                f'=IF({there},INDEX({column},MATCH({number},{numbers},0)),"")',
                style.BOX_NUMBER if letter == "D" else style.BOX,
                number_format=QUANTITY if letter == "D" else "",
            )
    sheet.name("Order_lines", f"$A${first}:$F${row}")
    row += 2
    for text in (
        f"Sizes are actual sizes. Units: {'metric' if sheet.metric else 'US customary'}. "
        "Please confirm stock, lead time and delivery day in reply.",
    ):
        sheet.merge(f"A{row}:F{row}")
        sheet.put(f"A{row}", text, style.NOTE)
        sheet.height(row, 26)
        row += 1
    sheet.merge(f"A{row}:F{row}")
    sheet.put(f"A{row}", f"{caution('lifting').text} {LOCAL}", style.CAUTION)
    sheet.height(row, 28)
    row += 1
    sheet.finish(f"A1:{LAST}{row - 1}", freeze="A12", titles="11:12")


def _ordered(template: Template, lines: list[Ordered]) -> list[str]:
    """Number the lines that are ordered, and return the columns that the sheet picks them from."""
    rows = []
    for line in lines:
        nothing = f"OR(NOT(Ready),N({line.quantity})=0)"
        rows.append(
            (
                f'=IF({nothing},"",COUNT({{column}}$1:{{column}}{{above}})+1)',
                *(
                    f'=IF({nothing},"",{text})'
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
