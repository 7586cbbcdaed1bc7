"""Write the order to a supplier: a values-only workbook, a printed page and a mail draft."""

from __future__ import annotations

import io
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from basinbook.engine.errors import InputError
from basinbook.files.scratch import temporary_folder
from basinbook.files.targets import check_target, refuse_inputs
from basinbook.files.writing import write_files
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.order.email_draft import Attachment, checked_address, draft
from basinbook.workbook.order.order_reader import (
    SHEET,
    Box,
    Order,
    OrderLine,
    cell_box,
    read_order,
    shown_cells,
)
from basinbook.workbook.order.order_sheet import order_workbook
from basinbook.workbook.order.plain_text import one_line
from basinbook.workbook.order.sheet_looks import SheetLooks, sheet_looks
from basinbook.workbook.paper.render import pdf_bytes
from basinbook.workbook.recalculation.findings import (
    UNCHECKED,
    checked_reasons,
    found_lines,
    has_findings,
    is_job,
    keep_reasons,
)
from basinbook.workbook.recalculation.named_values import NamedBook
from basinbook.workbook.recalculation.recalc import Problem, recalculate, staleness

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook

_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)
_LONGEST_NAME = 90


@dataclass(frozen=True)
class OrderFiles:
    """The files written, whom the draft is for, and what the user should know."""

    workbook: Path
    pdf: Path
    email: Path
    to: str
    lines: int
    notes: tuple[str, ...] = ()


def write_order(
    path: Path,
    to: str | None = None,
    out_dir: Path | None = None,
    *,
    force: bool = False,
    accept: Mapping[str, str] | None = None,
) -> OrderFiles:
    """Write the order in workbook ``path`` into ``out_dir`` (default: beside the workbook).

    ``to`` stands in for the supplier's e-mail address on the sheet.  All three files are written
    or none.  ``accept`` has reasons for findings to look at, by name; they are kept in the
    workbook.  Raises InputError for a workbook that can't be read, an order that can't be sent, a
    finding in its way, a bad address, and files that exist when ``force`` is False.
    """
    with temporary_folder() as scratch:
        current, notes, doubtful = _recalculated(path, scratch)
        book = open_workbook(current)
        looks = sheet_looks(current, SHEET)
    _refuse_doubtful(doubtful, shown_cells(book, path))
    return write_read_order(path, book, looks, to, out_dir, notes=notes, force=force, accept=accept)


def write_read_order(
    path: Path,
    book: Workbook,
    looks: SheetLooks,
    to: str | None = None,
    out_dir: Path | None = None,
    *,
    notes: tuple[str, ...] = (),
    force: bool = False,
    accept: Mapping[str, str] | None = None,
) -> OrderFiles:
    """Write the order in a workbook that is read already, and whose values are up to date.

    path: where the workbook lies; looks: those of its order sheet. Otherwise as `write_order`.
    """
    reasons = _reasons(book, path, accept or {})
    order = read_order(book, path)
    address = _address(to, order)
    folder = path.parent if out_dir is None else out_dir
    name = file_stem(f"Order {order.number} {order.job}")
    xlsx, pdf, eml = (folder / f"{name}.{ending}" for ending in ("xlsx", "pdf", "eml"))
    for target in (xlsx, pdf, eml):
        check_target(target, replace=force, make_folder=True)
        refuse_inputs(target, (path,))
    sheet = order_workbook(book[SHEET], order, address, looks)
    import openpyxl

    printed = pdf_bytes(openpyxl.load_workbook(io.BytesIO(sheet)), SHEET)
    mail = _mail(
        order,
        address,
        [Attachment(xlsx.name, sheet, _XLSX), Attachment(pdf.name, printed, "application/pdf")],
    )
    if reasons:
        # Before anything is sent: a reason that is not kept would send nothing.
        keep_reasons(path, reasons)
        kept = ", ".join(reasons)
        notes = (*notes, f"Sent all the same, the reason kept in {path.name}: {kept}")
    write_files({xlsx: sheet, pdf: printed, eml: mail}, replace=force)
    return OrderFiles(xlsx, pdf, eml, to=address, lines=len(order.lines), notes=notes)


def _reasons(book: Workbook, path: Path, accept: Mapping[str, str]) -> dict[str, str]:
    """Return the reasons to keep in the workbook; raise InputError for a finding in the way."""
    named = NamedBook(book)
    if not is_job(named):
        return {}
    if has_findings(named):
        return checked_reasons(found_lines(named, path), accept, path)
    if UNCHECKED not in accept:
        raise InputError(
            "workbook",
            path.name,
            "it is of an older template without a list of findings: bring it up to date with "
            f'basinbook convert "{path}" --current, or send it unchecked with --accept '
            f'"{UNCHECKED}"',
        )
    return {}


def _recalculated(path: Path, scratch: Path) -> tuple[Path, tuple[str, ...], tuple[Problem, ...]]:
    """Return the workbook to read: itself, or where it is stale a recalculated copy.

    With it come notes for the user and the cells of the copy that could not be computed.
    """
    stale = staleness(path)
    if not stale:
        return path, (), ()
    copy = scratch / f"copy{path.suffix}"
    report = recalculate(path, out=copy)
    cells = "1 cell was" if len(stale) == 1 else f"{len(stale)} cells were"
    note = (
        f"{cells} not up to date: the order comes from a recalculated copy, and {path.name} "
        f"is as it was; `basinbook recalc` brings it up to date."
    )
    return copy, (note,), report.not_computed


def _refuse_doubtful(doubtful: tuple[Problem, ...], shown: tuple[Box, ...]) -> None:
    cells = [
        f"{problem.sheet}!{problem.cell} ({problem.reason})"
        for problem in doubtful
        if any(box.has(cell_box(problem.sheet, problem.cell)) for box in shown)
    ]
    if cells:
        raise InputError(
            "order",
            ", ".join(cells),
            "these formulas can't be recalculated here; recalculate and save the workbook in "
            "your spreadsheet program, or enter their values",
        )


def file_stem(text: str) -> str:
    """Return a file name, with no ending, that every usual file system takes."""
    plain = unicodedata.normalize("NFC", text)
    kept = "".join(letter if letter.isalnum() or letter in "-_. " else "-" for letter in plain)
    name = re.sub(r"-{2,}", "-", " ".join(kept.split()))[:_LONGEST_NAME].strip(" .-")
    return f"_{name}" if not name or _RESERVED.fullmatch(name) else name


def _address(to: str | None, order: Order) -> str:
    if to is not None:
        return checked_address("--to", to)
    on_sheet = order.fields["Order_supplier_email"]
    if not on_sheet:
        raise InputError(
            "--to", None, "give the supplier's e-mail address, here or in Order_supplier_email"
        )
    return checked_address("Order_supplier_email", on_sheet)


def _mail(order: Order, to: str, attachments: list[Attachment]) -> bytes:
    sender_address = order.fields["Order_sender_email"]
    if sender_address:
        sender_address = checked_address("Order_sender_email", sender_address)
    return draft(
        to=to,
        subject=f"Order {order.number}: {order.job}",
        body=mail_text(order, [attachment.name for attachment in attachments]),
        attachments=attachments,
        sender=order.fields["Order_sender"],
        sender_address=sender_address,
    )


def mail_text(order: Order, attached: list[str]) -> str:
    """Return the draft's text: what is ordered, what is attached."""
    fields = {name: one_line(value) for name, value in order.fields.items()}
    revision = f", revision {fields['Job_revision']}" if fields["Job_revision"] else ""
    text = [
        f"To {fields['Order_supplier']}",
        "",
        f"Please find attached our order {fields['Order_number']} "
        f"for {fields['Job_name']}{revision}:",
        *(f"  {name}" for name in attached),
        "",
        *(
            f"{label}: {fields[name]}"
            for label, name in (
                ("Order date", "Order_date"),
                ("Needed by", "Order_needed_by"),
                ("Deliver to", "Order_deliver_to"),
            )
            if fields[name]
        ),
        "",
        *(_mail_line(number, line) for number, line in enumerate(order.lines, 1)),
        "",
        "Please confirm the items, the quantities and the delivery.",
        "",
        fields["Order_sender"],
    ]
    return "\n".join(text).rstrip() + "\n"


def _mail_line(number: int, line: OrderLine) -> str:
    item, description, note = (one_line(t) for t in (line.item, line.description, line.note))
    about = f"{item}, {description}" if description else item
    return f"{number}. {line.quantity} {one_line(line.unit)}: {about}" + (
        f" ({note})" if note else ""
    )
