"""An invented order workbook in the shape that `basinbook order` reads."""

from __future__ import annotations

import datetime as dt
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

FIRST_LINE = 12
ITEMS = (
    ("Wall block", "Straight, 6 × 10 × 14 in, grey", 118, "block", "cut halves on site"),
    ("Corner block", "not needed", 0, "block", ""),
    ("Stone dust", "tamped 4 in, 0.75 yd³ loose", 1.5, "cu yd", ""),
    ("Adhesive", "construction adhesive, Ø 1/4 in bead", 9, "cartridge", "frost-free"),
    ("Second liner", "blank quantity", None, "piece", ""),
    ("Liner", "preformed, 30 in × 60 in inside", 1, "piece", "12 ft² of underlay at 20 °C"),
)
SENT = [item for item in ITEMS if item[2]]
NAMES = {
    "Order_number": "C3",
    "Order_date": "C4",
    "Order_needed_by": "C5",
    "Order_supplier": "C6",
    "Order_supplier_email": "C7",
    "Order_sender": "F3",
    "Order_sender_email": "F4",
    "Order_deliver_to": "F5",
    "Job_name": "F6",
    "Job_revision": "F7",
}
VALUES: dict[str, object] = {
    "C3": "BB-104",
    "C4": dt.date(2026, 3, 5),
    "C5": dt.date(2026, 3, 19),
    "C6": "Upper Valley Block & Gravel",
    "C7": "orders@uppervalley.example",
    "F3": "A. Mason",
    "F4": "mason@hillside.example",
    "F5": "14 Quarry Lane, gate at the back",
    "F6": "Pond court",
    "F7": "B",
}
Change = Callable[[Workbook], None]


def make(path: Path, change: Change | None = None) -> Path:
    """Write the workbook, changed by ``change`` before it is saved."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Order"
    _header(sheet)
    _lines(sheet)
    _page(sheet)
    estimate = book.create_sheet("Estimate")
    estimate["A1"], estimate["B1"] = "Unit price", 4.35
    hidden = book.create_sheet("Secret")
    hidden["A1"] = "client's price 12,345"
    hidden.sheet_state = "hidden"
    for name, reference in NAMES.items():
        column, row = reference[0], reference[1:]
        book.defined_names[name] = DefinedName(name, attr_text=f"Order!${column}${row}")
    last = FIRST_LINE + len(ITEMS) - 1
    book.defined_names["Order_lines"] = DefinedName(
        "Order_lines", attr_text=f"Order!$A${FIRST_LINE}:$F${last}"
    )
    book.defined_names["Markup"] = DefinedName("Markup", attr_text="Estimate!$B$1")
    book.properties.creator = "A. Mason"
    book.properties.lastModifiedBy = "B. Mason"
    if change is not None:
        change(book)
    book.save(path)
    return path


def _header(sheet: Worksheet) -> None:
    sheet["A1"] = "Material order"
    sheet["A1"].font = Font(b=True, sz=16, color="FFFFFFFF")
    sheet["A1"].fill = PatternFill("solid", fgColor="FF1F4E5F")
    sheet.merge_cells("A1:F1")
    for reference, value in VALUES.items():
        sheet[reference] = value
        sheet[reference].alignment = Alignment(horizontal="left", wrap_text=True)
    labels = ("Order number", "Date", "Needed by", "Supplier", "E-mail")
    for row, label in enumerate(labels, 3):
        sheet.cell(row, 2, label).font = Font(b=True)
    for row, label in enumerate(("From", "E-mail", "Deliver to", "Job", "Revision"), 3):
        sheet.cell(row, 5, label).font = Font(b=True)
    for reference in ("C4", "C5"):
        sheet[reference].number_format = "d mmm yyyy"
    sheet["C3"].comment = Comment("ask for discount", "A. Mason")
    sheet["A1"].hyperlink = "https://intranet.example/suppliers"


def _lines(sheet: Worksheet) -> None:
    thin = Side(style="thin", color="FF808080")
    headings = ("Line", "Item", "Description", "Quantity", "Unit", "Note")
    for column, heading in enumerate(headings, 1):
        cell = sheet.cell(FIRST_LINE - 1, column, heading)
        cell.font = Font(b=True)
        cell.border = Border(bottom=Side(style="medium"))
    for number, item in enumerate(ITEMS, 1):
        for column, value in enumerate((number, *item), 1):
            cell = sheet.cell(FIRST_LINE - 1 + number, column, value)
            cell.border = Border(left=thin, right=thin, top=thin, bottom=thin)
            cell.alignment = Alignment(vertical="top", wrap_text=column in (3, 6))
        sheet.cell(FIRST_LINE - 1 + number, 4).number_format = "#,##0.0"
    below = FIRST_LINE + len(ITEMS) + 1
    sheet.merge_cells(start_row=below, end_row=below, start_column=1, end_column=6)
    sheet.cell(below, 1).value = (
        "Adhesive and base follow their makers' instructions. Blocks and bags are heavy: "
        "please unload by machine, close to the basin, with no extra cost for a second drop."
    )
    sheet.cell(below, 1).alignment = Alignment(wrap_text=True, vertical="top")


def _page(sheet: Worksheet) -> None:
    for letter, width in zip("ABCDEF", (6, 15, 34, 11, 11, 26), strict=True):
        sheet.column_dimensions[letter].width = width
    sheet.print_area = f"A1:F{FIRST_LINE + len(ITEMS) + 1}"
    sheet.print_title_rows = f"{FIRST_LINE - 1}:{FIRST_LINE - 1}"
    sheet.page_setup.paperSize = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.oddFooter.left.text = "Order &F"
    sheet.oddFooter.right.text = "Page &P of &N"


def add_formulas(path: Path) -> Path:
    """Turn every number on the Order sheet into a formula with that number as cached value."""
    with zipfile.ZipFile(path) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    part = "xl/worksheets/sheet1.xml"
    text = parts[part].decode()
    changed, count = re.subn(
        r'(<c r="[A-Z]+\d+"[^>]*?)(?: t="n")?><v>([\d.]+)</v>', r"\1><f>\2+0</f><v>\2</v>", text
    )
    # Shared strings are numbers too, but their cells say t="s" and are left alone.
    changed = re.sub(r'(t="s")><f>[^<]*</f>', r"\1>", changed)
    assert count
    assert "<f>" in changed
    parts[part] = changed.encode()
    with zipfile.ZipFile(path, "w") as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return path
