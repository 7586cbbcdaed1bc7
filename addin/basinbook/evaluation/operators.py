"""The operators on values; those that make references are the evaluator's."""

from __future__ import annotations

import operator
from collections.abc import Callable
from typing import Any, Final

from basinbook.evaluation.book import Value
from basinbook.evaluation.standard import Standard
from basinbook.evaluation.values import DIV, NUM, Fault, checked_text, compared

_COMPARISONS: Final[dict[str, Callable[[Any, Any], bool]]] = {
    "=": operator.eq, "<>": operator.ne, "<": operator.lt,
    ">": operator.gt, "<=": operator.le, ">=": operator.ge,
}  # fmt: skip


def _comparison(holds: Callable[[Any, Any], bool]) -> Callable[[Value, Value], bool]:
    def compare(first: Value, second: Value) -> bool:
        if type(first) is str and type(second) is str:
            return holds(first.upper(), second.upper())
        return holds(*compared(first, second))

    return compare


def divided(number: float, divisor: float) -> float:
    """Return a quotient; raises Fault."""
    if not divisor:
        raise Fault(DIV)
    return number / divisor


def powered(number: float, power: float) -> float:
    """Return a power; raises Fault."""
    if number == 0.0 and power < 0.0:
        raise Fault(DIV)
    result: float | complex = number**power
    if isinstance(result, complex):
        raise Fault(NUM)
    return result


def _joined(first: str, second: str) -> str:
    return checked_text(first + second)


def _operator(compute: Callable[..., Any], takes: str) -> Standard:
    return Standard(compute, takes, needs_place=False, dates=False)


OPERATORS: Final[dict[str, Standard]] = {
    **{sign: _operator(_comparison(holds), "vv") for sign, holds in _COMPARISONS.items()},
    "+": _operator(operator.add, "nn"),
    "-": _operator(operator.sub, "nn"),
    "*": _operator(operator.mul, "nn"),
    "/": _operator(divided, "nn"),
    "^": _operator(powered, "nn"),
    "&": _operator(_joined, "tt"),
    "U-": _operator(operator.neg, "n"),
    "%": _operator(lambda number: number / 100.0, "n"),
}
