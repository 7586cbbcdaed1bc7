"""Write the quote to a client: a PDF, and a mail draft with it. The workbook never goes along."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from basinbook.engine.errors import InputError
from basinbook.engine.layout.solver import solve
from basinbook.files.scratch import temporary_folder
from basinbook.files.targets import check_target, refuse_inputs
from basinbook.files.writing import write_files
from basinbook.units import usual_paper
from basinbook.workbook.file.open_workbook import named_area, named_places, open_workbook
from basinbook.workbook.file.package import workbook_bytes
from basinbook.workbook.order.email_draft import Attachment, checked_address, draft
from basinbook.workbook.order.order_reader import Box
from basinbook.workbook.order.plain_text import one_line
from basinbook.workbook.order.record import write_record
from basinbook.workbook.order.write_order import (
    current_copy,
    file_stem,
    reasons_to_keep,
    refuse_doubtful,
)
from basinbook.workbook.quote.page import PAPERS, quote_pdf
from basinbook.workbook.quote.reader import READ, Offer, Quote, read_quote
from basinbook.workbook.recalculation.drawing_inputs import drawing_inputs_of
from basinbook.workbook.recalculation.findings import reason_cells
from basinbook.workbook.recalculation.named_values import NamedBook

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook


@dataclass(frozen=True)
class QuoteFiles:
    """The files written, whom the draft is for ("" for none), and what the user should know."""

    pdf: Path
    email: Path | None
    to: str
    options: int
    notes: tuple[str, ...] = ()


def write_quote(
    path: Path,
    to: str | None = None,
    out_dir: Path | None = None,
    *,
    paper: str | None = None,
    force: bool = False,
    accept: Mapping[str, str] | None = None,
) -> QuoteFiles:
    """Write the quote in workbook ``path`` into ``out_dir`` (default: beside the workbook).

    ``to``: address that the draft is for, in place of the client's on the sheet; without either
    there is no draft. ``paper``: letter or a4 (default: by the workbook's units). ``accept`` has
    reasons for findings to look at, by name; they are kept in the workbook. Both files are written
    or none. Raises InputError for a quote that can't be sent, a finding in its way, a bad address,
    and files that exist when ``force`` is False.
    """
    read = workbook_bytes(path)
    with temporary_folder() as scratch:
        current, stale, doubtful = current_copy(path, scratch, {})
        book = open_workbook(current)
    refuse_doubtful(doubtful, _shown_cells(book), "quote")
    reasons = reasons_to_keep(book, path, accept or {})
    files, content = _content(path, book, to, out_dir, paper, force=force)
    if reasons:
        # Before anything is sent: a reason that is not kept would send nothing.
        write_record(path, read, reason_cells(book, reasons, "quote"))
    write_files(content, replace=force)
    return replace(files, notes=(*_notes(path, stale, reasons), *files.notes))


def write_read_quote(
    path: Path,
    book: Workbook,
    to: str | None = None,
    out_dir: Path | None = None,
    *,
    paper: str | None = None,
    force: bool = False,
) -> QuoteFiles:
    """Write the quote of a workbook that is read already, and whose values are up to date.

    path: where the workbook lies, in which nothing is recorded. Otherwise as `write_quote`.
    """
    reasons_to_keep(book, path, {})
    files, content = _content(path, book, to, out_dir, paper, force=force)
    write_files(content, replace=force)
    return files


def _notes(path: Path, stale: int, reasons: Mapping[str, str]) -> Iterator[str]:
    """Yield what the user should know of the workbook."""
    if stale:
        cells = "1 cell was" if stale == 1 else f"{stale} cells were"
        now = f"{path.name} is recalculated" if reasons else f"{path.name} is as it was"
        how = "" if reasons else "; `basinbook recalc` brings it up to date"
        yield f"{cells} not up to date: the quote comes from a recalculated copy, and {now}{how}."
    if reasons:
        yield f"Sent all the same, the reason kept in {path.name}: {', '.join(reasons)}"


def _content(
    path: Path,
    book: Workbook,
    to: str | None,
    out_dir: Path | None,
    paper: str | None,
    *,
    force: bool,
) -> tuple[QuoteFiles, dict[Path, bytes]]:
    """Return the files to write, and what goes into them."""
    quote = read_quote(book, path)
    on = paper or usual_paper(quote.system)
    if on not in PAPERS:
        raise InputError("--paper", paper, f"allowed are {', '.join(PAPERS)}")
    if all(offer.price is None for offer in quote.offers):
        raise InputError("quote", path.name, f"no option has a price: {quote.offers[0].no_price}")
    address = _address(to, quote)
    folder = path.parent if out_dir is None else out_dir
    name = file_stem(f"Quote {quote.number} {quote.job}")
    pdf, eml = folder / f"{name}.pdf", folder / f"{name}.eml"
    for target in (pdf, eml) if address else (pdf,):
        check_target(target, replace=force, make_folder=True)
        refuse_inputs(target, (path,))
    layout = solve(drawing_inputs_of(NamedBook(book), path).spec)
    files = {pdf: quote_pdf(quote, layout, on)}
    if address:
        files[eml] = _mail(quote, address, Attachment(pdf.name, files[pdf], "application/pdf"))
    notes = tuple(_no_price(offer) for offer in quote.offers if offer.price is None)
    found = QuoteFiles(pdf, eml if address else None, address, len(quote.offers), notes)
    return found, files


def _no_price(offer: Offer) -> str:
    return (
        f"{offer.name} has no price ({offer.no_price}) and is quoted without one; to leave it out "
        f"say no in Quote_offer_{offer.number}."
    )


def _shown_cells(book: Workbook) -> tuple[Box, ...]:
    """Return the ranges whose values the quote shows."""
    found = []
    for name in READ:
        for sheet, area in named_places(name, book.defined_names.get(name)):
            left, top, right, bottom = named_area(name, area)
            found.append(Box(sheet, top, left, bottom, right))
    return tuple(found)


def _address(to: str | None, quote: Quote) -> str:
    if to is not None:
        return checked_address("--to", to)
    on_sheet = quote.texts["Quote_client_email"]
    return checked_address("Quote_client_email", on_sheet) if on_sheet else ""


def _mail(quote: Quote, to: str, attachment: Attachment) -> bytes:
    sender_address = quote.texts["Quote_from_email_used"]
    if sender_address:
        sender_address = checked_address("Quote_from_email_used", sender_address)
    return draft(
        to=to,
        subject=f"Quote {quote.number}: {quote.job}",
        body=mail_text(quote, attachment.name),
        attachments=[attachment],
        sender=quote.sender,
        sender_address=sender_address,
    )


def mail_text(quote: Quote, attached: str) -> str:
    """Return the draft's text: the options with their prices, and until when they hold."""
    lines = [
        f"To {one_line(quote.texts['Quote_client'])}",
        "",
        one_line(quote.texts["Quote_greeting"]),
        "",
        f"Our quote {quote.number} for {quote.job} is attached: {attached}",
        "",
        *(_mail_line(quote, offer) for offer in quote.offers),
        "",
        f"It is good until {quote.day(quote.until)}.",
        "",
        one_line(quote.texts["Quote_closing"]),
        "",
        quote.sender,
    ]
    return "\n".join(lines).rstrip() + "\n"


def _mail_line(quote: Quote, offer: Offer) -> str:
    price = "no price yet" if offer.price is None else quote.money(offer.price)
    return f"{one_line(offer.name)}: {price}"
