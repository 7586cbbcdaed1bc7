"""Write the order to a supplier: a values-only workbook, a printed page and a mail draft."""

from __future__ import annotations

import datetime as dt
import io
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from basinbook.engine.errors import InputError
from basinbook.engine.order_changes import REPLACES
from basinbook.evaluation.book import Value
from basinbook.files.scratch import temporary_folder
from basinbook.files.targets import check_target, refuse_inputs
from basinbook.files.writing import write_file, write_files
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.file.package import workbook_bytes
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
from basinbook.workbook.order.record import (
    check_recordable,
    keeps_orders,
    next_order_cells,
    record_cells,
    write_record,
)
from basinbook.workbook.order.sheet_looks import SheetLooks, sheet_looks
from basinbook.workbook.paper.render import pdf_bytes
from basinbook.workbook.recalculation.findings import (
    UNCHECKED,
    checked_reasons,
    found_lines,
    has_findings,
    is_job,
    reason_cells,
)
from basinbook.workbook.recalculation.named_values import NamedBook
from basinbook.workbook.recalculation.opened import Key, Problem
from basinbook.workbook.recalculation.recalc import recalculate, staleness

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
    order: Order
    notes: tuple[str, ...] = ()


def write_order(
    path: Path,
    to: str | None = None,
    out_dir: Path | None = None,
    *,
    force: bool = False,
    accept: Mapping[str, str] | None = None,
    again: bool = False,
    record: bool = True,
) -> OrderFiles:
    """Write the order in workbook ``path`` into ``out_dir`` (default: beside the workbook).

    ``to`` stands in for the supplier's e-mail address on the sheet.  All three files are written
    or none.  ``accept`` has reasons for findings to look at, by name; they are kept in the
    workbook, and unless ``record`` is False so is the order, to which the next one is the
    difference.  ``again`` sends all that is needed in place of the orders before.  Raises
    InputError for a workbook that can't be read, an order that can't be sent or recorded, a
    finding in its way, nothing to order, a bad address, and files that exist when ``force`` is
    False.
    """
    read = workbook_bytes(path)
    with temporary_folder() as scratch:
        typed = next_order_cells(open_workbook(path), path) if again else {}
        current, stale, doubtful = current_copy(path, scratch, typed)
        book = open_workbook(current)
        looks = sheet_looks(current, SHEET)
    refuse_doubtful(doubtful, shown_cells(book, path), "order")
    recorded = record and keeps_orders(book)
    if recorded:
        check_recordable(path)
    reasons = reasons_to_keep(book, path, accept or {})
    files, content = _content(path, book, looks, to, out_dir, force=force)
    order, xlsx = files.order, files.workbook
    kept = reason_cells(book, reasons)
    if recorded:
        today = dt.datetime.now(tz=dt.UTC).date()
        kept |= record_cells(book, order, files.to, content[xlsx], today)
    # Before anything is sent: what is not kept would send nothing.
    now = write_record(path, read, kept) if kept else None
    try:
        write_files(content, replace=force)
    except InputError:
        if now is not None:
            write_file(path, read, replace=True, argument="workbook", unchanged=now)
        raise
    notes = _notes(path, stale, reasons, order if recorded else None, written=bool(kept))
    if record and not recorded and is_job(NamedBook(book)):
        notes += (f"{path.name} has no sheet of orders sent: this one is not recorded in it",)
    return replace(files, notes=notes)


def write_read_order(
    path: Path, book: Workbook, looks: SheetLooks, out_dir: Path, *, force: bool = False
) -> OrderFiles:
    """Write the order in a workbook that is read already, and whose values are up to date.

    path: where the workbook lies, in which nothing is recorded; looks: those of its order sheet.
    Otherwise as `write_order`.
    """
    reasons_to_keep(book, path, {})
    files, content = _content(path, book, looks, None, out_dir, force=force)
    write_files(content, replace=force)
    return files


def _content(
    path: Path,
    book: Workbook,
    looks: SheetLooks,
    to: str | None,
    out_dir: Path | None,
    *,
    force: bool,
) -> tuple[OrderFiles, dict[Path, bytes]]:
    """Return the files to write, and what goes into them."""
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
    files = OrderFiles(xlsx, pdf, eml, address, len(order.lines), order)
    return files, {xlsx: sheet, pdf: printed, eml: mail}


def _notes(
    path: Path,
    stale: int,
    reasons: Mapping[str, str],
    recorded: Order | None,
    *,
    written: bool,
) -> tuple[str, ...]:
    """Return what the user should know of the workbook."""
    notes = []
    if stale:
        cells = "1 cell was" if stale == 1 else f"{stale} cells were"
        now = f"{path.name} is recalculated" if written else f"{path.name} is as it was"
        how = "" if written else "; `basinbook recalc` brings it up to date"
        notes.append(
            f"{cells} not up to date: the order comes from a recalculated copy, and {now}{how}."
        )
    if reasons:
        kept = ", ".join(reasons)
        notes.append(f"Sent all the same, the reason kept in {path.name}: {kept}")
    if recorded is not None:
        what = f", which {recorded.kind}," if recorded.kind else ""
        notes.append(
            f"Order {recorded.number}{what} is recorded on the sheet Ordered of {path.name}: the "
            "next one is the difference to it. Was it not sent? Clear its rows there."
        )
    return tuple(notes)


def reasons_to_keep(book: Workbook, path: Path, accept: Mapping[str, str]) -> dict[str, str]:
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


def current_copy(
    path: Path, scratch: Path, typed: Mapping[Key, Value]
) -> tuple[Path, int, tuple[Problem, ...]]:
    """Return the workbook to read: itself, or where it is stale a recalculated copy.

    Into a copy goes what is typed. With it come how many cells were stale, and the cells of the
    copy that could not be computed.
    """
    stale = staleness(path)
    if not stale and not typed:
        return path, 0, ()
    copy = scratch / f"copy{path.suffix}"
    report = recalculate(path, out=copy, typed=typed)
    return copy, len(stale), report.not_computed


def refuse_doubtful(doubtful: tuple[Problem, ...], shown: tuple[Box, ...], argument: str) -> None:
    """Raise InputError where a cell that is shown could not be computed."""
    cells = [
        f"{problem.sheet}!{problem.cell} ({problem.reason})"
        for problem in doubtful
        if any(box.has(cell_box(problem.sheet, problem.cell)) for box in shown)
    ]
    if cells:
        raise InputError(
            argument,
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
        subject=f"Order {order.number}{f' {order.kind}' if order.kind else ''}: {order.job}",
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
        f"Please find attached our order {one_line(order.number)} "
        f"for {fields['Job_name']}{revision}:",
        *(f"  {name}" for name in attached),
        *_kind_text(order),
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


def _kind_text(order: Order) -> list[str]:
    """Return what the order is to those before; nothing for the first."""
    if not order.kind:
        return []
    if order.kind.startswith(REPLACES):
        told = "Please cancel what of the earlier order has not been delivered."
    else:
        told = "Only what has changed is listed; all else stays as ordered."
    return ["", f"It {one_line(order.kind)}. {told}"]


def _mail_line(number: int, line: OrderLine) -> str:
    item, description, note = (one_line(t) for t in (line.item, line.description, line.note))
    about = f"{item}, {description}" if description else item
    return f"{number}. {line.quantity} {one_line(line.unit)}: {about}" + (
        f" ({note})" if note else ""
    )
