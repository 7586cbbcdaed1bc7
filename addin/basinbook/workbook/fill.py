"""Typing into the cells of a job's inputs, with the checks that the sheets make."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from openpyxl.utils.cell import coordinate_to_tuple
from openpyxl.utils.datetime import from_excel, to_excel

from basinbook.catalogue.invoke import read_argument
from basinbook.catalogue.model import Argument
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.inputs import Input
from basinbook.evaluation.book import Book, Grid, Value
from basinbook.workbook.file.package import Package
from basinbook.workbook.recalculation.named_values import NamedValues
from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import Report, read_named, recalculate
from basinbook.workbook.recalculation.redraw import redrawing
from basinbook.workbook.template.input_cells import IDLE, limits
from basinbook.workbook.template.inputs import BY_NAME
from basinbook.workbook.template.inputs.site import FROM_SITE
from basinbook.workbook.template.options import AS_ON_JOB, CHANGED, NONE, OPTIONS

_LIKE: Final = 3
_SHOWN: Final = 12
# Where the note beside an input stands.
_NOTES: Final = "DE"


@dataclass(frozen=True)
class Typed:
    """What was typed into a cell: the input's name, where it stands, its value before and now.

    idle: what the sheet says where the input does not count in this job; else "".
    """

    name: str
    place: str
    before: Value
    now: Value
    idle: str = ""


@dataclass(frozen=True)
class Filled:
    """What was typed, in the order given, and what the recalculation did."""

    typed: tuple[Typed, ...]
    report: Report


def fill(
    path: Path, given: Mapping[str, str], *, out: Path | None = None, force: bool = False
) -> Filled:
    """Type values into inputs by the names of their cells, recalculate and draw anew.

    A value is text as a user would type it: ``5' 4"``, ``1.6 m``, ``64``, ``yes``, ``5%``,
    ``2026-05-01``; an empty one clears the cell. All are checked first, and nothing is written
    where one can't be used. ``out`` writes another file and leaves ``path`` as it is. Raises
    InputError naming the input, its value and what is allowed.
    """
    book, names = read_named(path)
    system = str(_cell(book, names, "Units")[2] or "us")
    typed: list[Typed] = []
    values: dict[Key, Value] = {}
    for name, text in given.items():
        cell, one = _input(name)
        key, grid, before = _cell(book, names, cell)
        if coordinate_to_tuple(key[1]) in grid.formulas:
            raise InputError(
                cell, text, f"{key[0]}!{key[1]} has a formula, which is not typed over"
            )
        if key in values:
            raise InputError(cell, text, "it is given twice; give it once")
        if cell != one.name and text.strip().lower() == NONE:
            values[key] = NONE
        else:
            values[key] = _value(book, names, one, text.strip(), system)
        was, now = (_as_typed(one, value, names.epoch) for value in (before, values[key]))
        typed.append(Typed(cell, f"{key[0]}!{key[1]}", was, now))
    worked_out: dict[Key, Value] = {}

    def seen(_: Package, found: Mapping[Key, Value]) -> Mapping[str, bytes]:
        worked_out.update(found)
        return {}

    report = recalculate(
        path, out=out, force=force, refreshers=(seen,), early=(redrawing,), typed=values
    )
    told = (
        replace(one, idle=_idle(worked_out, key)) for one, key in zip(typed, values, strict=True)
    )
    return Filled(tuple(told), report)


def _idle(values: Mapping[Key, Value], key: Key) -> str:
    """Return the note beside a cell where it says that the input is not in the job; else ""."""
    sheet, at = key
    row = coordinate_to_tuple(at)[0]
    notes = (str(values.get((sheet, f"{column}{row}"), "")) for column in _NOTES)
    return next((note for note in notes if note.startswith(IDLE)), "")


def from_site(path: Path) -> dict[str, str]:
    """Return what the Site sheet has for inputs of the job, where the job has something else.

    By the names of the job's inputs, as text to type. Raises InputError where it has nothing.
    """
    book, names = read_named(path)
    found: dict[str, str] = {}
    measured = 0
    for site, job in FROM_SITE.items():
        value = _cell(book, names, site)[2]
        if value in (None, ""):
            continue
        measured += 1
        if value != _cell(book, names, job)[2]:
            found[job] = str(value)
    if not measured:
        raise InputError("--from-site", None, "write on the Site sheet what was measured first")
    return found


def _input(name: str) -> tuple[str, Input]:
    """Return the name of a cell and the input it is for: the job's own, or that of an option."""
    by_small = {known.lower(): known for known in BY_NAME}
    wanted = name.strip().lower().replace(" ", "_")
    for option in OPTIONS:
        start = option.cell("").lower()
        if option is not AS_ON_JOB and wanted.startswith(start):
            known = by_small.get(wanted.removeprefix(start))
            if known in CHANGED:
                return option.cell(known), BY_NAME[known]
    found = by_small.get(wanted)
    if found is not None:
        return found, BY_NAME[found]
    like = get_close_matches(name.lower(), by_small, _LIKE, 0.6)
    near = f"; near it are {', '.join(by_small[one] for one in like)}" if like else ""
    raise InputError(
        "name", name, f"no input's cell has this name{near}; basinbook fill --list shows all"
    )


def _cell(book: Book, names: NamedValues, name: str) -> tuple[Key, Grid, Value]:
    """Return where the cell of a name is, its sheet, and what it holds."""
    places = names.places(name)
    if not places:
        raise InputError(
            "workbook", name, "it has no cell of this name; basinbook convert --current adds it"
        )
    key = places[0][0]
    grid = book.grids[key[0].upper()]
    return key, grid, grid.values.get(coordinate_to_tuple(key[1]))


def _as_typed(given: Input, value: Value, epoch: dt.datetime) -> Value:
    """Return a value as it is typed: the sheet holds a date as the number of its day."""
    if given.kind is kinds.DATE and isinstance(value, (int, float)):
        day = from_excel(value, epoch)
        return str(day)[:10]
    return value


def _value(book: Book, names: NamedValues, given: Input, text: str, system: str) -> Value:
    """Return what the cell is to hold; a length or number with a unit stays as it is typed."""
    if not text:
        return None
    if given.rows_of:
        return _row(book, names, given, text)
    if given.kind is kinds.DATE:
        return _date(given, text, names.epoch)
    low, high = limits(given)
    kind = kinds.CHOICE if given.choices else given.kind
    if kind is kinds.MONEY:
        kind = kinds.RATIO
    argument = Argument(given.name, kind, given.help, low, high, given.choices)
    number = _plain_number(text)
    read = read_argument(argument, text if number is None else number, system)
    if kind in (kinds.CHOICE, kinds.TEXT):
        return str(read) if kind is kinds.CHOICE else text
    if number is not None:
        return number
    # A share may be typed in percent; a cell formatted so holds the number.
    return float(str(read)) if kind is kinds.RATIO else text


def _plain_number(text: str) -> float | int | None:
    try:
        number = float(text)
    except ValueError:
        return None
    if number != number or abs(number) == float("inf"):
        return None
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def _date(given: Input, text: str, epoch: dt.datetime) -> Value:
    try:
        return float(to_excel(dt.date.fromisoformat(text), epoch))  # type: ignore[no-untyped-call]
    except (ValueError, OverflowError) as error:
        raise InputError(given.name, text, "give a date such as 2026-05-01") from error


def _row(book: Book, names: NamedValues, given: Input, text: str) -> Value:
    """Return the name of a row of the table that the input is chosen from."""
    found = [
        value
        for ((sheet, at),) in (row[:1] for row in names.places(f"{given.rows_of}_name"))
        if isinstance(value := book.grids[sheet.upper()].values.get(coordinate_to_tuple(at)), str)
    ]
    exact = {name.lower(): name for name in found}.get(text.lower())
    if exact is None:
        near = ", ".join(get_close_matches(text, found, _LIKE, 0.3) or found[:_SHOWN])
        raise InputError(given.name, text, f"choose a row of the Materials sheet, such as {near}")
    return exact
