"""Tables turned, sorted, cut and put together."""

from __future__ import annotations

from typing import Any

from basinbook.evaluation.book import Value
from basinbook.evaluation.budget import spend
from basinbook.evaluation.standard import standard
from basinbook.evaluation.values import (
    NA,
    VALUE,
    Fault,
    Given,
    Rows,
    as_rows,
    flat,
    order_key,
)


def _turned(rows: Rows) -> Rows:
    return [list(column) for column in zip(*rows, strict=True)]


@standard("TRANSPOSE", "R")
def _transpose(table: Given) -> Rows:
    return _turned(as_rows(table))


def _by_keys(rows: Rows, keys: list[tuple[list[Value], int]]) -> Rows:
    """Return rows in the order of columns of keys, the first counting most; 1 up, -1 down."""
    places = list(range(len(rows)))
    for values, order in reversed(keys):
        if order not in (1, -1) or len(values) != len(rows):
            raise Fault(VALUE)
        ordered = [order_key(value) for value in values]
        # Blanks come last, whichever way the others run.
        full = [place for place in places if values[place] is not None]
        blank = [place for place in places if values[place] is None]
        places = sorted(full, key=ordered.__getitem__, reverse=order == -1) + blank
    spend(len(rows) * len(keys) * 4)
    return [rows[place] for place in places]


@standard("SORT", "R|WWB")
def _sort(
    table: Given, index: int | None = None, order: int | None = None, by_column: bool | None = None
) -> Rows:
    rows = _turned(as_rows(table)) if by_column else as_rows(table)
    column = 1 if index is None else index
    if not 1 <= column <= len(rows[0]):
        raise Fault(VALUE)
    keys = [([row[column - 1] for row in rows], 1 if order is None else order)]
    found = _by_keys(rows, keys)
    return _turned(found) if by_column else found


@standard("SORTBY", "RR|wRw*")
def _sortby(table: Given, *keys: Any) -> Rows:
    pairs = [
        (list(flat(as_rows(values))), 1 if order is None else int(order))
        for values, order in zip(keys[::2], [*keys[1::2], None], strict=False)
    ]
    return _by_keys(as_rows(table), pairs)


@standard("UNIQUE", "R|BB")
def _unique(table: Given, by_column: bool | None = None, once: bool | None = None) -> Rows:
    rows = _turned(as_rows(table)) if by_column else as_rows(table)
    counts: dict[Any, int] = {}
    kept: dict[Any, list[Value]] = {}
    for row in rows:
        key = tuple(map(order_key, row))
        counts[key] = counts.get(key, 0) + 1
        kept.setdefault(key, row)
    found = [row for key, row in kept.items() if not once or counts[key] == 1]
    if not found:
        raise Fault(NA)
    return _turned(found) if by_column else found


@standard("SEQUENCE", "w|Wnn")
def _sequence(height: int, width: int | None = None, start: float = 1.0, step: float = 1.0) -> Rows:
    columns = 1 if width is None else width
    if height < 1 or columns < 1:
        raise Fault(VALUE)
    spend(height * columns)
    return [
        [start + step * (row * columns + column) for column in range(columns)]
        for row in range(height)
    ]


@standard("HSTACK", "R*")
def _hstack(*tables: Given) -> Rows:
    return _turned(_stacked([_turned(as_rows(table)) for table in tables]))


@standard("VSTACK", "R*")
def _vstack(*tables: Given) -> Rows:
    return _stacked([as_rows(table) for table in tables])


def _stacked(tables: list[Rows]) -> Rows:
    width = max(len(rows[0]) for rows in tables)
    spend(width * sum(map(len, tables)))
    return [row + [NA] * (width - len(row)) for rows in tables for row in rows]


def _cut(count: int, size: int, *, keep: bool) -> slice:
    if keep:
        if not count:
            raise Fault(VALUE)
        return slice(0, count) if count > 0 else slice(max(size + count, 0), size)
    if abs(count) >= size:
        raise Fault(VALUE)
    return slice(count, size) if count >= 0 else slice(0, size + count)


def _part(table: Given, height: int | None, width: int | None, *, keep: bool) -> Rows:
    rows = as_rows(table)
    if height is not None:
        rows = rows[_cut(height, len(rows), keep=keep)]
    if width is not None:
        taken = _cut(width, len(rows[0]), keep=keep)
        rows = [row[taken] for row in rows]
    return rows


@standard("TAKE", "RW|W")
def _take(table: Given, height: int | None, width: int | None = None) -> Rows:
    return _part(table, height, width, keep=True)


@standard("DROP", "RW|W")
def _drop(table: Given, height: int | None, width: int | None = None) -> Rows:
    return _part(table, height, width, keep=False)


def _picked(rows: Rows, indexes: tuple[int, ...]) -> Rows:
    found = []
    for index in indexes:
        if not 1 <= abs(index) <= len(rows):
            raise Fault(VALUE)
        found.append(rows[index - 1 if index > 0 else index])
    return found


@standard("CHOOSEROWS", "Rw|w*")
def _choose_rows(table: Given, *indexes: int) -> Rows:
    return _picked(as_rows(table), indexes)


@standard("CHOOSECOLS", "Rw|w*")
def _choose_columns(table: Given, *indexes: int) -> Rows:
    return _turned(_picked(_turned(as_rows(table)), indexes))


def _line(table: Given, ignore: int, by_column: bool) -> list[Value]:
    rows = _turned(as_rows(table)) if by_column else as_rows(table)
    return [value for value in flat(rows) if not (ignore in (1, 3) and value is None)]


@standard("TOCOL", "R|wb")
def _to_column(table: Given, ignore: int = 0, by_column: bool = False) -> Rows:
    return [[value] for value in _line(table, ignore, by_column)] or [[NA]]


@standard("TOROW", "R|wb")
def _to_row(table: Given, ignore: int = 0, by_column: bool = False) -> Rows:
    return [_line(table, ignore, by_column) or [NA]]


@standard("WRAPROWS", "Rw|e")
def _wrap_rows(table: Given, width: int, pad: Value = NA) -> Rows:
    if width < 1:
        raise Fault(VALUE)
    values = list(flat(as_rows(table)))
    spend(width)
    rows = [values[start : start + width] for start in range(0, len(values), width)]
    rows[-1] = rows[-1] + [pad] * (width - len(rows[-1]) if len(rows) > 1 else 0)
    return rows


@standard("WRAPCOLS", "Rw|e")
def _wrap_columns(table: Given, height: int, pad: Value = NA) -> Rows:
    return _turned(_wrap_rows(table, height, pad))
