"""Rates and allowances over several jobs: read from their check sheets, kept in a price book."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.learning import Learned, Measured, learned
from basinbook.files.writing import Unchanged, digest, write_file
from basinbook.units import check_system
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.file.package import package_of, workbook_bytes
from basinbook.workbook.file.readable import check_readable
from basinbook.workbook.file.text_cells import put_text
from basinbook.workbook.prices.book import read_book
from basinbook.workbook.recalculation.stored import Stored

if TYPE_CHECKING:
    pass

BROKEN: Final = "Blocks broken"
ADHESIVE: Final = "Adhesive used"
BASE: Final = "Base used"
SHEET: Final = "Rates"
_NAMES: Final = ("Actual_task", "Actual_amount", "Actual_unit", "Actual_took")
_HEADS: Final = ("What", "Of", "Rate", "Unit", "Jobs", "Median", "Spread", "Lowest", "Highest")
_WIDTHS: Final = (28, 34, 12, 24, 8, 12, 12, 12, 12)
_HEAD_ROW: Final = 3
_MOST_ROWS: Final = 1_000


class Rate(NamedTuple):
    """A rate over jobs: of what task or allowance, of which material ("" for any), in what unit.

    Of adhesive it is the share of each cartridge that is lost; of base, loose over tamped.
    """

    what: str
    of: str
    unit: str
    found: Learned


class KeptRate(NamedTuple):
    """A rate as a book keeps it."""

    what: str
    of: str
    value: float


class _Count(NamedTuple):
    what: str
    of: str
    unit: str


def learn(paths: Sequence[Path]) -> tuple[str, list[Rate]]:
    """Return the unit system of some jobs, and the rates that they give.

    Raises InputError for a workbook without the cells, one that is out of date, the same job
    twice, and jobs of several unit systems.
    """
    system = ""
    counted: dict[_Count, list[Measured]] = {}
    seen: dict[str, Path] = {}
    for path in paths:
        content = digest(workbook_bytes(path))
        if content in seen:
            raise InputError("files", str(path), f"it is the same job as {seen[content]}")
        seen[content] = path
        job = Stored(path)
        if "Actual_took" not in job.names:
            raise InputError(
                "files",
                str(path),
                "its check sheet has no cells for what the job took: bring it up to date with "
                "basinbook convert --current",
            )
        job.refuse_stale(("Actual_amount",), "files")
        own = check_system(_text(job, "Units"))
        if system and own != system:
            raise InputError("files", str(path), f"it is in {own} units, those before in {system}")
        system = own
        for what, amount, unit, took in _rows(job):
            if took is None or took == "":
                continue
            numbers = [
                _number(f"{path.name}, {name} of {what}", value)
                for name, value in (("amount", amount), ("took", took))
            ]
            count = _Count(str(what), _of(job, str(what)), str(unit))
            counted.setdefault(count, []).append(_measured(path, count, *numbers))
    return system, [
        Rate(count.what, count.of, _unit_of(count), found)
        for count, jobs in counted.items()
        if (found := learned(jobs)) is not None
    ]


def _number(name: str, value: object) -> float:
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        raise InputError(name, value, "give a number")
    return float(value)


def _rows(job: Stored) -> Iterable[tuple[object, ...]]:
    columns = [[row[0] for row in job.cells(name)] for name in _NAMES]
    return zip(*columns, strict=True)


def _measured(path: Path, count: _Count, amount: float, took: float) -> Measured:
    """Return what a job gives: of adhesive what was lost of what was opened."""
    if count.what != ADHESIVE:
        return Measured(path.name, amount, took)
    if took < amount:
        raise InputError(
            f"{path.name}, {ADHESIVE}", took, f"at least what the beads hold, {amount:.2f}"
        )
    return Measured(path.name, took, took - amount)


def _of(job: Stored, what: str) -> str:
    """Return the material that a rate is of, where it hangs on it."""
    return _text(job, "Base_material") if what == BASE else ""


def _unit_of(count: _Count) -> str:
    return {
        BROKEN: "broken of needed",
        ADHESIVE: "lost of opened",
        BASE: "loose over tamped",
    }.get(count.what, f"person-hours per {count.unit}")


def _text(job: Stored, name: str) -> str:
    cells = job.cells(name)
    return str(cells[0][0] or "").strip() if cells else ""


def write_rates(path: Path, system: str, rates: Sequence[Rate]) -> list[tuple[Rate, float | None]]:
    """Write rates into a price book that is there, and return each with what stood there before.

    Others of its rates and its other sheets stay. Raises InputError for a book of another unit
    system, and one that can't be written or was saved in the meantime.
    """
    import openpyxl
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    data = workbook_bytes(path)
    kept = _of_system(path, system)
    check_readable(package_of(path, data))
    file = openpyxl.load_workbook(io.BytesIO(data))
    if SHEET not in file.sheetnames:
        sheet = file.create_sheet(SHEET)
        sheet["A1"] = "Learned from finished jobs; may be edited. A new job starts with column C."
        for column, (head, width) in enumerate(zip(_HEADS, _WIDTHS, strict=True), start=1):
            sheet.cell(_HEAD_ROW, column, head).font = Font(bold=True)
            sheet.column_dimensions[get_column_letter(column)].width = width
    sheet = file[SHEET]
    before = {(one.what, one.of): one.value for one in kept}
    places = {(one.what, one.of): at for at, one in enumerate(kept, start=_HEAD_ROW + 1)}
    for rate in rates:
        key = rate.what, rate.of
        row = places.setdefault(key, _HEAD_ROW + 1 + len(places))
        one = rate.found
        numbers = (one.jobs, one.median, one.spread, one.low, one.high)
        for column, value in enumerate((*key, one.rate, rate.unit, *numbers), start=1):
            if isinstance(value, str):
                put_text(sheet.cell(row, column), value)
            else:
                sheet.cell(row, column).value = value
    buffer = io.BytesIO()
    file.save(buffer)
    write_file(
        path, buffer.getvalue(), replace=True, argument="into",
        unchanged=Unchanged(path, digest(data)),
    )  # fmt: skip
    return [(rate, before.get((rate.what, rate.of))) for rate in rates]


def kept_rates(path: Path, system: str) -> list[KeptRate]:
    """Return the rates of a price book of a unit system; raises InputError where it has none."""
    found = _of_system(path, system)
    if not found:
        raise InputError("book", str(path), "it has no rates yet: basinbook learn FILES --into it")
    return found


def _of_system(path: Path, system: str) -> list[KeptRate]:
    own = read_book(path).system
    if own != system:
        raise InputError("book", str(path), f"its units are {own}, the job's are {system}")
    book = open_workbook(path)
    found: list[KeptRate] = []
    if SHEET not in book.sheetnames:
        return found
    rows = book[SHEET].iter_rows(_HEAD_ROW + 1, _MOST_ROWS, 1, 3, values_only=True)
    for number, (what, of, value) in enumerate(rows, start=_HEAD_ROW + 1):
        if what in (None, ""):
            break
        usable = isinstance(value, (int, float)) and not isinstance(value, bool) and value >= 0
        if not usable:
            raise InputError(f"{SHEET}!C{number}", value, "give a number, 0 or more")
        found.append(KeptRate(str(what), str(of or ""), float(str(value))))
    return found
