"""Counting and adding what meets criteria, and the patterns with ``*``, ``?`` and ``~``."""

from __future__ import annotations

import math
import operator
import re
from collections.abc import Callable, Iterable
from functools import lru_cache
from itertools import compress
from typing import Any, Final

from basinbook.catalogue.model import CellError
from basinbook.evaluation.areas import Reference
from basinbook.evaluation.book import NotComputed, Value
from basinbook.evaluation.budget import spend
from basinbook.evaluation.here import Here
from basinbook.evaluation.run import Run
from basinbook.evaluation.standard import standard
from basinbook.evaluation.values import (
    DIV,
    VALUE,
    Fault,
    Given,
    as_rows,
    flat,
    is_number,
    order_key,
    snapped,
    text_number,
)

_MOST_PATTERN: Final = 255
# Numbers that differ by more can't be the same to 15 digits.
_NEARLY: Final = 1e-14
_COMPARISONS: Final = {
    "<>": operator.ne, "<=": operator.le, ">=": operator.ge,
    "=": operator.eq, "<": operator.lt, ">": operator.gt,
}  # fmt: skip
_SIGN: Final = re.compile("<>|<=|>=|=|<|>")
Test = Callable[[Value], bool]


def has_wildcard(pattern: str) -> bool:
    """Return whether a text is a pattern and not just itself."""
    return any(sign in pattern for sign in "*?~")


@lru_cache(maxsize=256)
def pattern_test(pattern: str) -> Callable[[str], bool]:
    """Return whether a text matches, in any case of letters, for a pattern.

    Between stars each piece is looked for once, from left to right: the time grows with the
    length of the text and never with the ways to match it.
    """
    if len(pattern) > _MOST_PATTERN:
        raise Fault(VALUE)
    pieces = pattern_pieces(pattern)

    def matches(text: str) -> bool:
        spend(1 + len(text) // 16)
        (first, length), *others = pieces
        if not others:
            return bool(first.fullmatch(text))
        if not first.match(text):
            return False
        end = length
        for piece, _ in others[:-1]:
            found = piece.search(text, end)
            if not found:
                return False
            end = found.end()
        last, length = others[-1]
        return len(text) - end >= length and bool(last.match(text, len(text) - length))

    return matches


def pattern_pieces(pattern: str) -> list[tuple[re.Pattern[str], int]]:
    """Return what stands between stars: patterns in which nothing repeats, and their lengths."""
    pieces: list[list[str]] = [[]]
    for part in re.findall(r"~[*?~]|.", pattern, re.DOTALL):
        if part == "*":
            pieces.append([])
        else:
            pieces[-1].append("." if part == "?" else re.escape(part[-1]))
    return [(re.compile("".join(piece), re.IGNORECASE | re.DOTALL), len(piece)) for piece in pieces]


def criterion(wanted: Value) -> Test:
    """Return the test that a criterion such as ``">=3"``, ``"cap*"`` or 5 stands for."""
    if isinstance(wanted, CellError):
        return lambda value: value == wanted
    if not isinstance(wanted, str):
        return _compares("=", 0 if wanted is None else wanted)
    match = _SIGN.match(wanted)
    sign, rest = (match[0], wanted[match.end() :]) if match else ("", wanted)
    if not rest:
        return _blank_test(sign)
    number = text_number(rest)
    if number is not None:
        return _equals_also_as_text(number) if sign in ("", "=") else _compares(sign, number)
    if rest.upper() in ("TRUE", "FALSE"):
        return _compares(sign or "=", rest.upper() == "TRUE")
    if sign in ("", "=", "<>") and has_wildcard(rest):
        matches = pattern_test(rest)
        if sign == "<>":
            return lambda value: not (isinstance(value, str) and matches(value))
        return lambda value: isinstance(value, str) and matches(value)
    return _compares(sign or "=", rest)


def _equals_also_as_text(number: float) -> Test:
    is_equal = equals(number)
    return lambda value: is_equal(text_number(value) if isinstance(value, str) else value)


def _blank_test(sign: str) -> Test:
    if sign == "":
        return lambda value: value is None or value == ""
    if sign == "=":
        return lambda value: value is None
    if sign == "<>":
        return lambda value: value is not None
    return lambda _: False


def equals(wanted: Value) -> Test:
    """Return the test whether a value is the same as another, numbers to 15 digits."""
    kind, key = order_key(wanted)
    if kind == 0:
        near = abs(key) * _NEARLY
        return lambda value: (
            type(value) in (int, float)
            and abs(value - key) <= near
            and snapped(float(value)) == key  # type: ignore[arg-type]
        )
    if kind == 1:
        return lambda value: isinstance(value, str) and value.upper() == key
    return lambda value: value is not None and order_key(value) == (kind, key)


def _compares(sign: str, wanted: Value) -> Test:
    if sign == "=":
        return equals(wanted)
    holds = _COMPARISONS[sign]
    kind, key = order_key(wanted)
    differs = sign == "<>"

    def test(value: Value) -> bool:
        if value is None:
            return differs
        own_kind, own_key = order_key(value)
        return holds(own_key, key) if own_kind == kind else differs

    return test


def _chosen(pairs: Iterable[Given]) -> list[bool]:
    """Return for each cell of the ranges whether it meets all criteria."""
    given = list(pairs)
    ranges = [as_rows(table) for table in given[::2]]
    if len({(len(table), len(table[0])) for table in ranges}) > 1:
        raise Fault(VALUE)
    chosen: list[bool] = []
    for table, wanted in zip(ranges, given[1::2], strict=True):
        test = criterion(wanted if not isinstance(wanted, list) else wanted[0][0])
        spend(2 * len(table) * len(table[0]))
        found = list(map(test, flat(table)))
        chosen = [a and b for a, b in zip(chosen, found, strict=True)] if chosen else found
    return chosen


def _numbers(values: Given, chosen: list[bool]) -> list[float]:
    found = []
    for value in compress(flat(values), chosen):
        if isinstance(value, CellError):
            raise Fault(value)
        if is_number(value):
            found.append(float(value))  # type: ignore[arg-type]
    return found


def _of_one_size(name: str, first: Given, second: Given) -> Given:
    tables = as_rows(first), as_rows(second)
    if len({(len(table), len(table[0])) for table in tables}) > 1:
        raise NotComputed(f"{name} has two ranges of different size")
    return second


def _mean(numbers: list[float]) -> float:
    if not numbers:
        raise Fault(DIV)
    return _sum(numbers) / len(numbers)


def _sum(numbers: list[float]) -> float:
    return math.fsum(numbers)


def _countifs(run: Run, _: Here, *pairs: Any) -> int:
    tables: list[Given] = []
    counts_beyond = True
    for table, wanted in zip(pairs[::2], pairs[1::2], strict=True):
        is_reference = isinstance(table, Reference)
        tables += [run.rows(table) if is_reference else table, wanted]
        is_open = is_reference and any(area.is_open for area in table.areas)
        counts_beyond = counts_beyond and is_open and criterion(wanted)(None)
    if counts_beyond:
        raise NotComputed("it counts the blanks of whole columns or rows")
    return sum(_chosen(tables))


standard("COUNTIF", "ae", needs_place=True)(_countifs)
standard("COUNTIFS", "ae|ae*", needs_place=True)(_countifs)


@standard("SUMIF", "re|r")
def _sumif(table: Given, wanted: Value, summed: Given = None) -> float:
    summed = table if summed is None else _of_one_size("SUMIF", table, summed)
    return _sum(_numbers(summed, _chosen((table, wanted))))


@standard("AVERAGEIF", "re|r")
def _averageif(table: Given, wanted: Value, taken: Given = None) -> float:
    taken = table if taken is None else _of_one_size("AVERAGEIF", table, taken)
    return _mean(_numbers(taken, _chosen((table, wanted))))


def _met(values: Given, pairs: tuple[Given, ...]) -> list[float]:
    first, table = as_rows(values), as_rows(pairs[0])
    if (len(first), len(first[0])) != (len(table), len(table[0])):
        raise Fault(VALUE)
    return _numbers(values, _chosen(pairs))


@standard("SUMIFS", "rre|re*")
def _sumifs(summed: Given, *pairs: Given) -> float:
    return _sum(_met(summed, pairs))


@standard("AVERAGEIFS", "rre|re*")
def _averageifs(taken: Given, *pairs: Given) -> float:
    return _mean(_met(taken, pairs))


@standard("MAXIFS", "rre|re*")
def _maxifs(taken: Given, *pairs: Given) -> float:
    return max(_met(taken, pairs), default=0)


@standard("MINIFS", "rre|re*")
def _minifs(taken: Given, *pairs: Given) -> float:
    return min(_met(taken, pairs), default=0)
