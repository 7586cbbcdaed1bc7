"""The Ordered sheet: every order that was sent, and what became of its lines."""

from __future__ import annotations

from typing import Final

from basinbook.engine.order_changes import REPLACES
from basinbook.workbook.template import style
from basinbook.workbook.template.edited_tables import EditedColumn, put_edited_table
from basinbook.workbook.template.estimate import QUANTITY
from basinbook.workbook.template.formulas import call, if_known
from basinbook.workbook.template.input_cells import put_inputs
from basinbook.workbook.template.inputs import inputs_of
from basinbook.workbook.template.inputs.groups import ORDERED
from basinbook.workbook.template.sheet_writer import COUNT, Area, Template

ORDERS_SENT: Final = "Orders_sent"
ORDER_WHOLE: Final = "Order_whole"
ANEW: Final = 'Order_next="all anew"'
_DATE: Final = "yyyy-mm-dd"
_ORDERS: Final = 12
_LINES: Final = 120
_ORDER_COLUMNS: Final = (
    EditedColumn("Number", "number"),
    EditedColumn("What it is", "kind"),
    EditedColumn("Supplier", "supplier"),
    EditedColumn("Date", "date", _DATE),
    EditedColumn("Lines", "lines", COUNT),
    EditedColumn("Sent to", "to"),
    EditedColumn("Hash (SHA-256) of the order workbook", "hash"),
)
_LINE_COLUMNS: Final = (
    EditedColumn("Order", "order"),
    EditedColumn("Item", "item"),
    EditedColumn("Description", "description"),
    EditedColumn("Quantity", "quantity", QUANTITY),
    EditedColumn("Unit", "unit"),
    EditedColumn("Received", "received", QUANTITY),
    EditedColumn("of these broken", "broken", QUANTITY),
    EditedColumn("Will not come", "missing", QUANTITY),
    EditedColumn("By whom", "by"),
    EditedColumn("Date", "date", _DATE),
)
_NOTE: Final = (
    "basinbook order writes here what it sends. From the first row on, the Order sheet lists only "
    "what has changed. Type what comes: broken pieces and what will not come are ordered again."
)


def add_ordered(template: Template) -> None:
    """Add the sheet; both its tables are blank until something is ordered."""
    sheet = template.sheet("Ordered", [17, 21, 28, 11, 11, 20, 15, 12, 15, 11, 11], landscape=True)
    sheet.title("Ordered")
    sheet.merge(f"A3:{sheet.last}3")
    sheet.put("A3", _NOTE, style.NOTE)
    sheet.height(3, 28)
    rows = sheet.rows(4)
    put_inputs(rows, ORDERED, inputs_of(ORDERED), gap=0)
    orders = put_edited_table(rows, "Orders sent", "Orders", _ORDER_COLUMNS, (), _ORDERS, wide=True)
    sheet.name("Orders_list", f"$A${orders[0]}:$B${orders[-1]}")
    lines = put_edited_table(rows, "Ordered lines", "Ordered", _LINE_COLUMNS, (), _LINES)
    head = lines[0] - 1
    sheet.name("Ordered_lines", f"$B${lines[0]}:$H${lines[-1]}")
    sheet.put(f"{sheet.last}{head}", "Still to come", style.HEAD)
    for row in lines:
        gone = f"IFERROR(MATCH(A{row},Orders_number,0)<Orders_replaced,FALSE)"
        due = f'=IF(D{row}="","",IF({gone},0,D{row}-N(F{row})-N(H{row})))'
        sheet.put(f"{sheet.last}{row}", due, style.BOX_NUMBER, number_format=QUANTITY)
    sheet.finish(f"A1:{sheet.last}{lines[-1]}", freeze="A3", titles=f"{head}:{head}")


def put_changes(template: Template, needed: list[Area], rows: int) -> Area:
    """Write what the next order has to say on the working sheet; return the rows of changes.

    needed: columns of item, description, quantity and unit. Named are the number and kind of the
    next order.
    """
    first, last = needed[0], needed[-1]
    whole = (
        f"'{first.worksheet.title}'!${first.letters[0]}${first.first}:"
        f"${last.letters[0]}${first.last}"
    )
    base = 'Order_number&"-"'
    of_it = (
        f'SUMPRODUCT((Orders_number&""=Order_number&"")+(LEFT(Orders_number&"",'
        f"LEN(Order_number)+1)={base}))"
    )
    values = (
        (ORDERS_SENT, 'SUMPRODUCT(--(Orders_number<>""))'),
        (
            "Order_this_number",
            f'Order_number&IF(Order_number="","",IF({of_it}=0,"","-"&({of_it}+1)))',
        ),
        # The last order that takes the place of those before it, counted as in the table.
        (
            "Orders_replaced",
            f'SUMPRODUCT(MAX((LEFT(Orders_kind&"",{len(REPLACES)})="{REPLACES}")'
            "*(ROW(Orders_kind)-MIN(ROW(Orders_kind))+1)))",
        ),
        (
            "Order_this_kind",
            f'IF(NOT({ORDER_WHOLE}),"",IF({ORDERS_SENT}=0,"first",'
            f'IF({ANEW},"{REPLACES} "&INDEX(Orders_number,1)&IF({ORDERS_SENT}=1,""," to "&'
            f'INDEX(Orders_number,{ORDERS_SENT})),"adds to "&INDEX(Orders_number,{ORDERS_SENT}))))',
        ),
    )
    cells = template.block(
        ["Next order", "Value"], [(name, if_known(text)) for name, text in values]
    )[1]
    for place, (name, _) in enumerate(values):
        template.name(name, template.working, f"${cells.letters[0]}${cells.first + place}")
    changes = call(
        "ORDERCHANGES", whole, "Ordered_lines", "Ordered_order", "Orders_list", str(rows),
        f'IF({ANEW},"yes","no")',
    )  # fmt: skip
    there = f'IF(N({ORDERS_SENT})>0,Order_this_kind<>"",FALSE)'
    found = template.table(changes, rows, 8, there)
    template.name("Order_changes", template.working, found.reference)
    return found
