"""Finding values in ranges."""

from __future__ import annotations

import operator
from collections.abc import Callable, Sequence
from typing import Any

from basinbook.catalogue.model import CellError
from basinbook.evaluation.book import Value
from basinbook.evaluation.budget import spend
from basinbook.evaluation.functions.conditions import equals, has_wildcard, pattern_test
from basinbook.evaluation.standard import standard
from basinbook.evaluation.values import (
    NA,
    REF,
    VALUE,
    Fault,
    Given,
    Rows,
    as_rows,
    order_key,
)


def _line(table: Given) -> list[Value]:
    """Return the values of one row or one column."""
    rows = as_rows(table)
    if len(rows) == 1:
        return rows[0]
    if len(rows[0]) != 1:
        raise Fault(NA)
    return [row[0] for row in rows]


def _equal(wanted: Value, *, wildcards: bool) -> Callable[[Value], bool]:
    if wildcards and isinstance(wanted, str) and has_wildcard(wanted):
        matches = pattern_test(wanted)
        return lambda value: isinstance(value, str) and matches(value)
    return equals(wanted)


def _exact(wanted: Value, values: Sequence[Value], *, wildcards: bool) -> int:
    spend(len(values))
    test = _equal(wanted, wildcards=wildcards)
    for index, value in enumerate(values):
        if test(value):
            return index
    raise Fault(NA)


def _sorted_place(wanted: Value, values: Sequence[Value], *, ascending: bool) -> int:
    """Return the last place up to where sorted values have not passed the wanted one.

    Values of another kind than the wanted one are passed over.
    """
    kind, key = order_key(wanted)
    spend(len(values))
    holds = operator.le if ascending else operator.ge
    places = [
        (index, own[1])
        for index, value in enumerate(values)
        if value is not None and (own := order_key(value))[0] == kind
    ]
    low, high = 0, len(places)
    while low < high:
        middle = (low + high) // 2
        if holds(places[middle][1], key):
            low = middle + 1
        else:
            high = middle
    if not low:
        raise Fault(NA)
    if not ascending:
        # Of equal ones the first, as for sorting downwards.
        while low > 1 and places[low - 2][1] == key:
            low -= 1
    return places[low - 1][0]


def _match(wanted: Value, values: Sequence[Value], kind: float) -> int:
    if kind == 0:
        return _exact(wanted, values, wildcards=True)
    return _sorted_place(wanted, values, ascending=kind > 0)


@standard("MATCH", "vr|n")
def _match_place(wanted: Value, table: Given, kind: float = 1.0) -> int:
    return _match(wanted, _line(table), kind) + 1


def _table_lookup(wanted: Value, rows: Rows, index: int, is_sorted: bool) -> Value:
    if index < 1:
        raise Fault(VALUE)
    if index > len(rows[0]):
        raise Fault(REF)
    return rows[_match(wanted, [row[0] for row in rows], int(is_sorted))][index - 1]


@standard("VLOOKUP", "vrw|b")
def _vlookup(wanted: Value, table: Given, column: int, is_sorted: bool = True) -> Value:
    return _table_lookup(wanted, as_rows(table), column, is_sorted)


@standard("HLOOKUP", "vrw|b")
def _hlookup(wanted: Value, table: Given, row: int, is_sorted: bool = True) -> Value:
    columns = [list(column) for column in zip(*as_rows(table), strict=True)]
    return _table_lookup(wanted, columns, row, is_sorted)


@standard("LOOKUP", "vR|R")
def _lookup(wanted: Value, table: Given, results: Given | None = None) -> Value:
    rows = as_rows(table)
    if len(rows) > 1 and len(rows[0]) > 1:
        wide = len(rows[0]) > len(rows)
        searched = rows[0] if wide else [row[0] for row in rows]
        found = rows[-1] if wide else [row[-1] for row in rows]
    else:
        searched = _line(table)
        found = searched if results is None else _line(results)
    place = _sorted_place(wanted, searched, ascending=True)
    if place >= len(found):
        raise Fault(NA)
    return found[place]


def _modern_match(wanted: Value, values: list[Value], mode: int, direction: int) -> int:
    """Return the place for XMATCH: exact, next smaller (-1), next larger (1), or wildcards (2)."""
    if mode not in (-1, 0, 1, 2) or direction not in (1, -1, 2, -2):
        raise Fault(VALUE)
    ordered = values if direction != -1 else values[::-1]
    try:
        found = _exact(wanted, ordered, wildcards=mode == 2)
    except Fault:
        if mode not in (-1, 1):
            raise
        kind, key = order_key(wanted)
        nearest: tuple[Any, int] | None = None
        for index, value in enumerate(ordered):
            own_kind, own = order_key(value)
            if value is None or own_kind != kind or (own > key) != (mode == 1):
                continue
            if nearest is None or (own < nearest[0] if mode == 1 else own > nearest[0]):
                nearest = own, index
        if nearest is None:
            raise
        found = nearest[1]
    return found if direction != -1 else len(values) - 1 - found


@standard("XMATCH", "vR|ww")
def _xmatch(wanted: Value, table: Given, mode: int = 0, direction: int = 1) -> int:
    return _modern_match(wanted, _line(table), mode, direction) + 1


@standard("XLOOKUP", "vRR|eWW")
def _xlookup(
    wanted: Value,
    table: Given,
    results: Given,
    instead: Value = None,
    mode: int | None = None,
    direction: int | None = None,
) -> Given:
    searched = as_rows(table)
    rows = as_rows(results)
    in_column = (len(searched[0]) == 1 and len(searched) > 1) or len(searched) == len(rows)
    if (len(rows) if in_column else len(rows[0])) != len(_line(table)):
        raise Fault(VALUE)
    try:
        place = _modern_match(wanted, _line(table), mode or 0, direction or 1)
    except Fault as fault:
        if fault.error != NA or instead is None:
            raise
        return instead
    found: Rows = [rows[place]] if in_column else [[row[place]] for row in rows]
    return found if len(found) > 1 or len(found[0]) > 1 else found[0][0]


@standard("FILTER", "RR|e")
def _filter(table: Given, chosen: Given, instead: Value = None) -> Given:
    rows, kept = as_rows(table), as_rows(chosen)
    by_row = len(kept[0]) == 1 and len(kept) == len(rows)
    if not by_row and not (len(kept) == 1 and len(kept[0]) == len(rows[0])):
        raise Fault(VALUE)
    flags = [_flag(value) for value in _line(chosen)]
    if by_row:
        found = [row for row, flag in zip(rows, flags, strict=True) if flag]
    else:
        found = [[v for v, flag in zip(row, flags, strict=True) if flag] for row in rows]
    if not found or not found[0]:
        if instead is None:
            raise Fault(CellError("#CALC!"))
        return instead
    return found


def _flag(value: Value) -> bool:
    if isinstance(value, CellError):
        raise Fault(value)
    return bool(value) and not isinstance(value, str)
