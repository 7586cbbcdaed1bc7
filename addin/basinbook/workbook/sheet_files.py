"""Writing a workbook's sheets as pictures or as one PDF file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.files.targets import refuse_inputs
from basinbook.files.writing import write_files
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.paper.conditional import Looks
from basinbook.workbook.paper.render import page_pictures, pdf_bytes
from basinbook.workbook.recalculation.calculated import refuse_old
from basinbook.workbook.recalculation.recalc import staleness

if TYPE_CHECKING:
    from openpyxl import Workbook

# A sheet of another program may be called anything; these are letters of files everywhere.
_NO_FILE_NAME: Final = re.compile(r"[^\w .()+-]")
_LONGEST: Final = 60


class Written(NamedTuple):
    """The files that were written, and the workbook as it was read."""

    paths: tuple[Path, ...]
    book: Workbook


def write_sheets(
    path: Path,
    out: Path,
    *,
    sheets: Sequence[str] | None = None,
    dpi: float | None = None,
    page_size: str | None = None,
    force: bool = False,
) -> Written:
    """Write the sheets of a calculated workbook, all in sight or those named, in the order given.

    With ``dpi``, points to the inch, ``out`` is the folder of a picture for each page; without, it
    is a PDF file. Raises InputError for a sheet that is missing, for values that are not those of
    the inputs, and for files that are there where ``force`` is not set.
    """
    book = open_workbook(path)
    chosen = _chosen(book, sheets)
    stale = [cell for cell in staleness(path) if cell[0] in chosen]
    in_sight = [sheet.title for sheet in book.worksheets if sheet.sheet_state == "visible"]
    refuse_old(path, stale, in_sight, "file")
    if dpi is None:
        if out.suffix.lower() != ".pdf":
            raise InputError("--out", str(out), "give a name that ends in .pdf")
        files = {out: pdf_bytes(book, *chosen, page_size=page_size)}
    else:
        looks = Looks(book)
        files = {
            out / f"{name}-{number}.png": data
            for sheet, name in zip(chosen, _file_names(chosen), strict=True)
            for number, data in enumerate(
                page_pictures(pdf_bytes(book, sheet, page_size=page_size, looks=looks), dpi), 1
            )
        }
    for file in files:
        refuse_inputs(file, (path,))
    write_files(files, replace=force)
    return Written(tuple(files), book)


def _chosen(book: Workbook, sheets: Sequence[str] | None) -> list[str]:
    known = {sheet.title: sheet.sheet_state == "visible" for sheet in book.worksheets}
    if not sheets:
        return [title for title, visible in known.items() if visible]
    spelt = {title.casefold(): title for title in known}
    for sheet in sheets:
        if sheet.casefold() not in spelt:
            raise InputError("--sheet", sheet, f"give one of {', '.join(known)}")
    return list(dict.fromkeys(spelt[sheet.casefold()] for sheet in sheets))


def _file_names(sheets: Sequence[str]) -> Iterator[str]:
    """Yield a name for each sheet's files that every system takes, no two alike."""
    taken: set[str] = set()
    for number, sheet in enumerate(sheets, 1):
        name = _NO_FILE_NAME.sub("_", sheet)[:_LONGEST].strip(" .") or "sheet"
        if name.casefold() in taken:
            name = f"{name} ({number})"
        taken.add(name.casefold())
        yield name
