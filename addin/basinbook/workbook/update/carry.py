"""Carrying over what was typed in a workbook, place by place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from openpyxl.utils.cell import get_column_letter

from basinbook.catalogue.model import CellError
from basinbook.evaluation.book import Value
from basinbook.workbook.template.inputs import BY_NAME
from basinbook.workbook.update.known import constant_mark, mark, shape
from basinbook.workbook.update.side import Area, Place, RowKey, Side
from basinbook.workbook.update.translations import translated

# Where most formulas are known to no template, a program has respelt them all.
_MOSTLY: Final = 0.2


class Move(NamedTuple):
    """A value for a place of the new workbook, and the old place it comes from, if from one."""

    to: Place
    value: Value
    source: Place | None


@dataclass
class Carried:
    """What goes where, and what is to be told.

    ``taken``: old places that have their counterpart. ``notes``: what was carried over otherwise
    than it stood there. ``added``: what only today's template has. ``left``: what has no place.
    """

    moves: list[Move] = field(default_factory=list)
    taken: set[Place] = field(default_factory=set)
    notes: list[str] = field(default_factory=list)
    added: list[str] = field(default_factory=list)
    left: list[str] = field(default_factory=list)

    @property
    def typed(self) -> int:
        """How many cells with something in them are carried over."""
        return sum(move.source is not None and not blank(move.value) for move in self.moves)


def column_cells(area: Area) -> list[Place]:
    """Return the cells of a column."""
    return [Place(area.sheet, row, area.left) for row in range(area.top, area.bottom + 1)]


def blank(value: Value) -> bool:
    """Whether a cell holds nothing."""
    return value is None or value == ""


def spot_name(place: Place) -> str:
    """Return a place as a user knows it: ``Job!B5``."""
    return f"{place.sheet}!{get_column_letter(place.column)}{place.row}"


def rows_wanted(old: Side, new: Side, known: frozenset[str]) -> dict[tuple[str, str], int]:
    """Return how many rows more than usual the tables and sections must have."""
    wanted: dict[tuple[str, str], int] = {}
    for table in _tables(old, new, known):
        more = len(table.rows) - table.room
        if more > 0 and not table.labelled:
            wanted[table.sheet, table.name] = more
    room = _counts(new.rows())
    for (sheet, text), count in _counts(
        {
            key: cells
            for key, cells in old.rows().items()
            if any(not blank(old.value(place)) for place in cells.values())
        }
    ).items():
        if count > room.get((sheet, text), count):
            wanted[sheet, text] = count - room[sheet, text]
    return wanted


def carry(old: Side, new: Side, known: frozenset[str]) -> Carried:
    """Return what of the old workbook goes where in the new one; ``known``: its template's marks.

    The new workbook has rows enough (`rows_wanted`), and in its cells what a new job starts with.
    """
    found = Carried()
    _carry_named(old, new, found)
    for table in _tables(old, new, known):
        _carry_table(old, new, table, found)
    _carry_rows(old, new, found)
    _tell_left(old, new, known, found)
    return found


def _counts(rows: Mapping[RowKey, object]) -> dict[tuple[str, str], int]:
    """Return the last of the unlabelled rows of each section."""
    counts: dict[tuple[str, str], int] = {}
    for key in rows:
        if not key.labelled:
            at = (key.sheet, key.text)
            counts[at] = max(counts.get(at, 0), key.number)
    return counts


def _take(old: Side, new: Side, source: Place, to: Place, value: Value, found: Carried) -> None:
    """Carry a value over; of a formula its last value, and tell of it."""
    formula = old.grids[source.sheet].formulas.get(source.spot)
    found.taken.add(source)
    if isinstance(value, CellError) or (formula is not None and value is None):
        shown = f"={formula.text}" if formula is not None else str(value)
        found.left.append(f"{spot_name(source)} {shown[:80]}: it has no value to carry over")
        found.moves.append(Move(to, None, None))
        return
    if formula is not None and not blank(value):
        found.notes.append(
            f"{spot_name(source)} ={formula.text[:80]}: its value {value} was carried over to "
            f"{spot_name(to)}, not the formula"
        )
    if old.days and isinstance(value, (int, float)) and new.is_date(to):
        value += old.days
    found.moves.append(Move(to, value, source))


def _carry_named(old: Side, new: Side, found: Carried) -> None:
    before, now = old.single(), new.single()
    inputs = {name: old.value(place) for name, place in before.items()}
    missing = []
    for name, to in now.items():
        if not new.typed(to.sheet, to.spot):
            continue
        source = before.get(name)
        if source is None:
            if not blank(start := new.value(to)):
                missing.append(f"{_called(name)} = {start}")
            continue
        value = inputs[name]
        fresh = translated(name, value, inputs, old.version)
        if fresh != value:
            was = "a blank" if blank(value) else repr(value)
            found.notes.append(f"{_called(name)}: {was} is {fresh!r} today")
        _take(old, new, source, to, fresh, found)
    if missing:
        found.added.append(f"inputs, as a new job starts with them: {', '.join(missing)}")


def _called(name: str) -> str:
    given = BY_NAME.get(name)
    return given.label if given else name


@dataclass
class _Table:
    """A table of both workbooks: its columns by name, and the old rows that go into it.

    ``rows`` are old row numbers, or those of the new template for its new starters (below zero).
    """

    sheet: str
    name: str
    columns: dict[str, Area]
    before: dict[str, Area]
    rows: list[int]
    labelled: bool

    @property
    def first(self) -> Area:
        """The column with the rows' names."""
        return next(iter(self.columns.values()))

    @property
    def room(self) -> int:
        """How many rows it has."""
        return self.first.bottom - self.first.top + 1


def _tables(old: Side, new: Side, known: frozenset[str]) -> Iterator[_Table]:
    for columns in new.tables():
        names = [name for name in columns if name.endswith("_name")]
        first = next(iter(columns.values()))
        title = names[0].removesuffix("_name") if names else next(iter(columns))
        before = {name: old.areas[name] for name in columns if name in old.areas}
        before = {name: area for name, area in before.items() if area.left == area.right}
        labelled = not new.typed(first.sheet, (first.top, first.left))
        rows = _old_rows(old, before)
        table = _Table(first.sheet, title, columns, before, rows, labelled)
        if before and not labelled:
            table.rows += [-row for row in _new_starters(old, new, table, known)]
        yield table


def _old_rows(old: Side, before: Mapping[str, Area]) -> list[int]:
    """Return the rows of an old table as far as something stands there."""
    rows = sorted({row for area in before.values() for row in range(area.top, area.bottom + 1)})
    filled = [
        row
        for row in rows
        for area in before.values()
        if not blank(old.value(Place(area.sheet, row, area.left)))
    ]
    return [row for row in rows if filled and row <= max(filled)]


def _new_starters(old: Side, new: Side, table: _Table, known: frozenset[str]) -> Iterator[int]:
    """Yield the rows of today's starters that the old template did not have, nor the user.

    A starter that it did have and that is gone was taken away.
    """
    name = next((name for name in table.columns if name in table.before), "")
    if not name:
        return
    area, was = table.columns[name], table.before[name]
    there = {old.value(Place(was.sheet, row, was.left)) for row in table.rows}
    for row in range(area.top, area.bottom + 1):
        value = new.value(Place(area.sheet, row, area.left))
        if blank(value) or value in there:
            continue
        if constant_mark(value, typed=True) not in known:
            yield row


def _carry_table(old: Side, new: Side, table: _Table, found: Carried) -> None:
    if not table.before:
        if any(
            not blank(new.value(place)) for a in table.columns.values() for place in column_cells(a)
        ):
            found.added.append(f"table {table.name} on the sheet {table.sheet}, with its starters")
        return
    if table.labelled:
        _carry_labelled(old, new, table, found)
        return
    key = next(name for name in table.columns if name in table.before)
    starters = _starters(new, table.columns[key])
    added = []
    open_cells: dict[str, list[str]] = {}
    for index in range(table.room):
        row = table.first.top + index
        source = table.rows[index] if index < len(table.rows) else 0
        called: Value = None
        if source > 0:
            was = table.before[key]
            called = old.value(Place(was.sheet, source, was.left))
        elif source < 0:
            added.append(str(new.value(Place(table.sheet, -source, table.columns[key].left))))
        for name, area in table.columns.items():
            to = Place(area.sheet, row, area.left)
            if not new.typed(to.sheet, to.spot):
                continue
            if source > 0 and name in table.before:
                was = table.before[name]
                place = Place(was.sheet, source, was.left)
                _take(old, new, place, to, old.value(place), found)
                continue
            start = -source if source < 0 else starters.get(called, 0) if source else 0
            value = new.value(Place(area.sheet, start, area.left)) if start else None
            found.moves.append(Move(to, value, None))
            if source > 0 and not start and not blank(called):
                open_cells.setdefault(name, []).append(str(called))
    if added:
        found.added.append(f"rows of the table {table.name}: {', '.join(added)}")
    for name, called_so in open_cells.items():
        found.added.append(f"column {name}, blank in the rows {', '.join(called_so)}")


def _starters(new: Side, area: Area) -> dict[Value, int]:
    """Return the row of each starter by its name."""
    rows = range(area.top, area.bottom + 1)
    names = {new.value(Place(area.sheet, row, area.left)): row for row in rows}
    return {name: row for name, row in names.items() if not blank(name)}


def _carry_labelled(old: Side, new: Side, table: _Table, found: Carried) -> None:
    """Carry a table over whose rows have the template's names."""
    label = next(iter(table.columns))
    if label not in table.before:
        return
    was = table.before[label]
    rows = {old.value(Place(was.sheet, row, was.left)): row for row in table.rows}
    for row in range(table.first.top, table.first.bottom + 1):
        called = new.value(Place(table.sheet, row, table.first.left))
        if called in rows:
            found.taken.add(Place(was.sheet, rows[called], was.left))
        else:
            if not blank(called):
                found.added.append(f"row of the table {table.name}: {called}")
            continue
        for name, area in table.columns.items():
            to = Place(area.sheet, row, area.left)
            if name in table.before and new.typed(to.sheet, to.spot):
                source = Place(was.sheet, rows[called], table.before[name].left)
                _take(old, new, source, to, old.value(source), found)


def _carry_rows(old: Side, new: Side, found: Carried) -> None:
    before = old.rows()
    for key, cells in new.rows().items():
        sources = before.get(key, {})
        for column, to in cells.items():
            source = sources.get(column)
            if source is not None and source not in found.taken:
                _take(old, new, source, to, old.value(source), found)


def _tell_left(old: Side, new: Side, known: frozenset[str], found: Carried) -> None:
    """List what stands in the old workbook and goes nowhere."""
    names = {place: name for name, place in old.single().items()}
    for sheet, grid in old.grids.items():
        if sheet not in new.grids:
            cells = sum(not blank(value) for value in grid.values.values())
            found.left.append(f"sheet {sheet} with {cells} filled cells: it is your own")
            continue
        for spot, value in old.constants(sheet):
            place = Place(sheet, *spot)
            if place in found.taken:
                continue
            typed, name = old.typed(sheet, spot), names.get(place, "")
            # With a name it is an input, which tells something also where it is as it started.
            if constant_mark(value, typed=typed) in known and not (typed and name):
                continue
            why = "it has no place today" if typed else "it stands in a locked cell"
            if typed and name in new.areas:
                why = "its cell is calculated today"
            about = f" ({name})" if name else ""
            found.left.append(f"{spot_name(place)}{about} {str(value)[:80]!r}: {why}")
    _tell_formulas(old, new, known, found)
    own = sorted(set(old.areas) - set(new.areas))
    if own:
        found.left.append(f"names: {', '.join(own)}")
    for worksheet in old.book.worksheets:
        sheet = worksheet.title
        here = new.book[sheet] if sheet in new.grids else None
        notes = [cell.coordinate for row in worksheet.iter_rows() for cell in row if cell.comment]
        if notes:
            found.left.append(f"notes on cells of the sheet {sheet}: {', '.join(notes)}")
        for kind, attribute in (("pictures", "_images"), ("charts", "_charts")):
            more = len(getattr(worksheet, attribute))
            more -= len(getattr(here, attribute)) if here is not None else 0
            if more > 0:
                found.left.append(f"{kind} on the sheet {sheet}: {more} of your own")


def _tell_formulas(old: Side, new: Side, known: frozenset[str], found: Carried) -> None:
    strange = []
    count = 0
    for sheet, grid in old.grids.items():
        if sheet not in new.grids:
            continue
        for spot, formula in grid.formulas.items():
            count += 1
            place = Place(sheet, *spot)
            if place not in found.taken and mark("formula", shape(formula.text)) not in known:
                strange.append(f"{spot_name(place)} ={formula.text[:80]}: no formula of a template")
    if len(strange) > _MOSTLY * count:
        found.left.append(
            f"formulas of your own: {len(strange)} of {count} formulas are spelt as in no template "
            "known here, so yours can't be told apart; compare the results"
        )
    else:
        found.left += strange
