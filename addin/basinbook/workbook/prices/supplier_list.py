"""A supplier's own price list, a CSV file or a workbook, as rows of text under named headings."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.files.reading import read_file
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.prices.offers import NAMED

if TYPE_CHECKING:
    import pandas as pd

_ARGUMENT: Final = "list"
_MOST_BYTES: Final = 20_000_000
_MOST_ROWS: Final = 50_000
_MOST_COLUMNS: Final = 200
_LONGEST: Final = 2_000
_HEAD_ROWS: Final = 60
_SNIFFED: Final = 20_000
_DELIMITERS: Final = ",;\t|"
_WORKBOOKS: Final = (".xlsx", ".xlsm")


class ListedRow(NamedTuple):
    """A row of the list: its number as the supplier's program counts, and its texts by name."""

    number: int
    cells: Mapping[str, str]


def read_list(path: Path, columns: Sequence[tuple[str, str]]) -> list[ListedRow]:
    """Return the rows under the headings that ``columns`` names: (what it holds, heading).

    The headings stand in one of the first 60 rows; case and blanks don't matter. Rows without any
    of the named cells are left out. Raises InputError for a file that can't be read, and for a
    heading that is missing or there twice, naming those that there are.
    """
    _check_named(columns)
    rows = _rows_of_workbook(path) if path.suffix.lower() in _WORKBOOKS else _rows_of_text(path)
    head, places = _headings(path, rows, columns)
    found = []
    for number, row in enumerate(rows[head + 1 :], start=head + 2):
        cells = {name: row[at].strip() for name, at in places.items() if at < len(row)}
        if any(cells.values()):
            found.append(ListedRow(number, cells))
    return found


def _check_named(columns: Sequence[tuple[str, str]]) -> None:
    names = [name for name, _ in columns]
    for name in names:
        if name not in NAMED or names.count(name) > 1:
            raise InputError("columns", name, f"name each once; there are {', '.join(NAMED)}")
    for name, needed in NAMED.items():
        if needed and name not in names:
            raise InputError("columns", ", ".join(names) or None, f"name the column of {name}")
    if not {"code", "text"} & set(names):
        raise InputError(
            "columns", ", ".join(names), "name the column of code or of text, to know the item by"
        )


def _headings(
    path: Path, rows: Sequence[Sequence[str]], columns: Sequence[tuple[str, str]]
) -> tuple[int, dict[str, int]]:
    """Return the row of the headings and the place of each named column."""
    wanted = {name: _plain(heading) for name, heading in columns}
    best: list[str] = []
    for number, row in enumerate(rows[:_HEAD_ROWS]):
        plain = [_plain(cell) for cell in row]
        here = [heading for heading in wanted.values() if heading in plain]
        if len(here) < len(wanted):
            if len(here) > len(set(best) & set(wanted.values())) or not best:
                best = plain
            continue
        twice = [heading for heading in wanted.values() if plain.count(heading) > 1]
        if twice:
            raise InputError("columns", twice[0], f"{path.name} has this heading twice in a row")
        return number, {name: plain.index(heading) for name, heading in wanted.items()}
    missing = [heading for name, heading in columns if _plain(heading) not in best]
    there = ", ".join(cell for cell in best if cell) or "nothing"
    raise InputError("columns", ", ".join(missing), f"no such heading; {path.name} has {there}")


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def _rows_of_text(path: Path) -> list[list[str]]:
    data = read_file(path, _MOST_BYTES, _ARGUMENT)
    if b"\x00" in data:
        raise InputError(_ARGUMENT, str(path), "it is no text; save it as CSV (UTF-8) or .xlsx")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", "replace")
    try:
        dialect: type[csv.Dialect] = csv.Sniffer().sniff(text[:_SNIFFED], _DELIMITERS)
    except csv.Error:
        dialect = csv.excel
    import pandas as pd

    width = max((line.count(dialect.delimiter) for line in text.splitlines()), default=0) + 1
    if width > _MOST_COLUMNS:
        raise InputError(_ARGUMENT, str(path), f"it has more than {_MOST_COLUMNS} columns")
    try:
        frame = pd.read_csv(
            io.StringIO(text),
            sep=dialect.delimiter,
            header=None,
            names=range(width),
            dtype=str,
            keep_default_na=False,
            skip_blank_lines=False,
            nrows=_MOST_ROWS + 1,
        )
    except (pd.errors.ParserError, pd.errors.EmptyDataError, ValueError) as error:
        raise InputError(_ARGUMENT, str(path), f"it can't be read as CSV ({error})") from error
    return _rows(path, frame)


def _rows_of_workbook(path: Path) -> list[list[str]]:
    import pandas as pd

    book = open_workbook(path)
    shown = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]
    if not shown:
        raise InputError(_ARGUMENT, str(path), "it has no visible sheet")
    sheet = shown[0]
    if sheet.max_row > _MOST_ROWS or sheet.max_column > _MOST_COLUMNS:
        raise InputError(
            _ARGUMENT,
            str(path),
            f"its first sheet has more than {_MOST_ROWS:,} rows or {_MOST_COLUMNS} columns",
        )
    frame = pd.DataFrame([[_text(cell) for cell in row] for row in sheet.values])
    return _rows(path, frame)


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return str(getattr(value, "date", lambda: value)()) if hasattr(value, "hour") else str(value)


def _rows(path: Path, frame: pd.DataFrame) -> list[list[str]]:
    if len(frame) > _MOST_ROWS:
        raise InputError(_ARGUMENT, str(path), f"it has more than {_MOST_ROWS:,} rows")
    rows = [["" if cell is None else str(cell) for cell in row] for row in frame.to_numpy()]
    for row in rows:
        for cell in row:
            if len(cell) > _LONGEST:
                raise InputError(_ARGUMENT, f"{cell[:40]}…", f"a cell has at most {_LONGEST} signs")
    return [[re.sub(r"[\x00-\x1f\x7f]+", " ", cell) for cell in row] for row in rows]
