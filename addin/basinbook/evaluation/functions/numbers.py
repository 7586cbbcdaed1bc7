"""Arithmetic, rounding, powers and angles."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from decimal import ROUND_DOWN, ROUND_HALF_UP, ROUND_UP, Decimal, InvalidOperation
from typing import Final

from basinbook.evaluation.book import Value
from basinbook.evaluation.budget import spend
from basinbook.evaluation.operators import divided, powered
from basinbook.evaluation.standard import standard
from basinbook.evaluation.values import (
    DIV,
    NUM,
    VALUE,
    Fault,
    Given,
    as_rows,
    is_number,
    snapped,
)

_LARGEST_FACTORIAL: Final = 170
_GREATEST: Final = 2.0**53


def _to_places(number: float, places: int, rounding: str) -> float:
    try:
        exact = Decimal(repr(snapped(number)))
        return float(exact.quantize(Decimal(1).scaleb(-places), rounding))
    except InvalidOperation:
        # More places than the number has digits: there is nothing to round.
        return number


@standard("ROUND", "n|w")
def _round(number: float, places: int = 0) -> float:
    return _to_places(number, places, ROUND_HALF_UP)


@standard("ROUNDUP", "n|w")
def _round_up(number: float, places: int = 0) -> float:
    return _to_places(number, places, ROUND_UP)


@standard("ROUNDDOWN TRUNC", "n|w")
def _round_down(number: float, places: int = 0) -> float:
    return _to_places(number, places, ROUND_DOWN)


def _floor(number: float) -> float:
    return float(math.floor(snapped(number)))


def _ceil(number: float) -> float:
    return float(math.ceil(snapped(number)))


@standard("INT", "n")
def _int(number: float) -> float:
    return _floor(number)


def _multiple(number: float, step: float, rounded: Callable[[float], float]) -> float:
    if step == 0.0 or number == 0.0:
        return 0.0
    if number > 0.0 > step:
        raise Fault(NUM)
    return snapped(rounded(snapped(number / step)) * step)


@standard("CEILING", "n|n")
def _ceiling(number: float, step: float = 1.0) -> float:
    return _multiple(number, step, _ceil)


@standard("FLOOR", "n|n")
def _floor_to(number: float, step: float = 1.0) -> float:
    return _multiple(number, step, _floor)


@standard("CEILING.MATH", "n|Nn")
def _ceiling_math(number: float, step: float | None = None, away: float = 0.0) -> float:
    size = abs(1.0 if step is None else step)
    return _multiple(number, size, _floor if number < 0 and away else _ceil)


@standard("FLOOR.MATH", "n|Nn")
def _floor_math(number: float, step: float | None = None, towards: float = 0.0) -> float:
    size = abs(1.0 if step is None else step)
    return _multiple(number, size, _ceil if number < 0 and towards else _floor)


@standard("CEILING.PRECISE ISO.CEILING", "n|n")
def _ceiling_precise(number: float, step: float = 1.0) -> float:
    return _multiple(number, abs(step), _ceil)


@standard("FLOOR.PRECISE", "n|n")
def _floor_precise(number: float, step: float = 1.0) -> float:
    return _multiple(number, abs(step), _floor)


@standard("MROUND", "nn")
def _mround(number: float, step: float) -> float:
    if step == 0.0 or number == 0.0:
        return 0.0
    if (number > 0.0) != (step > 0.0):
        raise Fault(NUM)
    return snapped(math.floor(snapped(number / step) + 0.5) * step)


def _away_to(number: float, rest: int) -> float:
    size = int(_ceil(abs(number)))
    return math.copysign(size + (size % 2 != rest), number if number else 1.0)


@standard("EVEN", "n")
def _even(number: float) -> float:
    return _away_to(number, 0)


@standard("ODD", "n")
def _odd(number: float) -> float:
    return _away_to(number, 1)


@standard("MOD", "nn")
def _mod(number: float, divisor: float) -> float:
    divided(number, divisor)
    try:
        # In decimals, as the numbers are shown: 20.6 leaves 0.1 of halves and not a little more.
        exact = Decimal(repr(snapped(divisor)))
        rest = Decimal(repr(snapped(number))) % exact
    except InvalidOperation:
        raise Fault(NUM) from None
    return float(rest + exact if rest and (rest < 0) != (exact < 0) else rest)


@standard("QUOTIENT", "nn")
def _quotient(number: float, divisor: float) -> float:
    return float(math.trunc(snapped(divided(number, divisor))))


@standard("ABS", "n")
def _abs(number: float) -> float:
    return abs(number)


@standard("SIGN", "n")
def _sign(number: float) -> int:
    return (number > 0) - (number < 0)


@standard("POWER", "nn")
def _power(number: float, power: float) -> float:
    return powered(number, power)


@standard("PI", "")
def _pi() -> float:
    return math.pi


def _in_domain(function: Callable[..., float]) -> Callable[..., float]:
    """Return a function of numbers whose domain error is #NUM!."""

    def guarded(*numbers: float) -> float:
        try:
            return function(*numbers)
        except ValueError:
            raise Fault(NUM) from None

    return guarded


def _logarithm(number: float, base: float = 10.0) -> float:
    if base == 1.0:
        raise Fault(DIV)
    return math.log10(number) if base == 10.0 else math.log(number, base)


def _inverse(function: Callable[[float], float]) -> Callable[[float], float]:
    return lambda number: divided(1.0, function(number))


def _arc_cotangent(number: float) -> float:
    return math.pi / 2 - math.atan(number)


for _name, _function in {
    "SQRT": math.sqrt, "EXP": math.exp, "LN": math.log, "LOG10": math.log10,
    "SIN": math.sin, "COS": math.cos, "TAN": math.tan,
    "ASIN": math.asin, "ACOS": math.acos, "ATAN": math.atan,
    "SINH": math.sinh, "COSH": math.cosh, "TANH": math.tanh,
    "ASINH": math.asinh, "ACOSH": math.acosh, "ATANH": math.atanh,
    "COT": _inverse(math.tan), "SEC": _inverse(math.cos), "CSC": _inverse(math.sin),
    "COTH": _inverse(math.tanh), "SECH": _inverse(math.cosh), "CSCH": _inverse(math.sinh),
    "ACOT": _arc_cotangent, "DEGREES": math.degrees, "RADIANS": math.radians,
    "SQRTPI": lambda number: math.sqrt(number * math.pi),
    "GAMMALN": math.lgamma, "GAMMALN.PRECISE": math.lgamma, "GAMMA": math.gamma,
    "ERF.PRECISE": math.erf, "ERFC": math.erfc, "ERFC.PRECISE": math.erfc,
}.items():  # fmt: skip
    standard(_name, "n")(_in_domain(_function))
standard("LOG", "n|n")(_in_domain(_logarithm))


@standard("ERF", "n|N")
def _erf(first: float, second: float | None = None) -> float:
    return math.erf(first) if second is None else math.erf(second) - math.erf(first)


@standard("ATAN2", "nn")
def _atan2(x: float, y: float) -> float:
    if not x and not y:
        raise Fault(DIV)
    return math.atan2(y, x)


@standard("FACT", "n")
def _fact(number: float) -> float:
    if not 0 <= number < _LARGEST_FACTORIAL + 1:
        raise Fault(NUM)
    return float(math.factorial(int(number)))


@standard("FACTDOUBLE", "w")
def _fact_double(number: int) -> float:
    if not -1 <= number <= 300:
        raise Fault(NUM)
    return float(math.prod(range(max(number, 1), 0, -2)))


def _product(first: float, factors: int, step: Callable[[float, int], float]) -> float:
    """Return a product of so many factors, ended where it is too large for a number."""
    found = first
    for n in range(factors):
        found = step(found, n)
        if found == math.inf:
            raise Fault(NUM)
    return found


@standard("COMBIN", "ww")
def _combin(number: int, chosen: int) -> float:
    if not 0 <= chosen <= number:
        raise Fault(NUM)
    # Each factor is two at least, so this ends after a thousand of them.
    few = min(chosen, number - chosen)
    found = _product(1.0, few, lambda so_far, n: so_far * (number - n) / (n + 1))
    return float(math.comb(number, chosen)) if found < _GREATEST else found


@standard("COMBINA", "ww")
def _combina(number: int, chosen: int) -> float:
    return _combin(number + chosen - 1, chosen) if number or chosen else 1.0


@standard("PERMUT", "ww")
def _permut(number: int, chosen: int) -> float:
    if not 0 <= chosen <= number:
        raise Fault(NUM)
    return _product(1.0, chosen, lambda so_far, n: so_far * (number - n))


@standard("GCD", "w|w*")
def _gcd(*numbers: int) -> int:
    return math.gcd(*_not_negative(numbers))


@standard("LCM", "w|w*")
def _lcm(*numbers: int) -> float:
    found = 1
    for number in _not_negative(numbers):
        found = math.lcm(found, number)
        if found > _GREATEST:
            raise Fault(NUM)
    return found


def _not_negative(numbers: tuple[int, ...]) -> tuple[int, ...]:
    if min(numbers) < 0:
        raise Fault(NUM)
    return numbers


@standard("RAND", "")
def _rand() -> float:
    return random.random()


@standard("RANDBETWEEN", "nn")
def _rand_between(low: float, high: float) -> float:
    first, last = math.ceil(low), math.floor(high)
    if first > last:
        raise Fault(NUM)
    return float(random.randint(first, last))


def _bits(function: Callable[[int, int], int]) -> Callable[[int, int], int]:
    def checked(first: int, second: int) -> int:
        if not (0 <= first < 2**48 and 0 <= second < 2**48):
            raise Fault(NUM)
        return function(first, second)

    return checked


standard("BITAND", "ww")(_bits(lambda first, second: first & second))
standard("BITOR", "ww")(_bits(lambda first, second: first | second))
standard("BITXOR", "ww")(_bits(lambda first, second: first ^ second))


@standard("SUMPRODUCT", "R*")
def _sumproduct(*tables: Given) -> float:
    rows = [as_rows(table) for table in tables]
    height, width = len(rows[0]), len(rows[0][0])
    if any((len(table), len(table[0])) != (height, width) for table in rows):
        raise Fault(VALUE)
    spend(height * width * len(rows))
    return math.fsum(
        math.prod(_factor(table[row][column]) for table in rows)
        for row in range(height)
        for column in range(width)
    )


def _factor(value: Value) -> float:
    if is_number(value):
        return float(value)  # type: ignore[arg-type]
    if value is not None and not isinstance(value, (str, bool)):
        raise Fault(value)  # type: ignore[arg-type]
    return 0.0


def _pairs(first: Given, second: Given) -> list[tuple[float, float]]:
    tables = as_rows(first), as_rows(second)
    if len({(len(table), len(table[0])) for table in tables}) > 1:
        raise Fault(VALUE)
    return [
        (_factor(x), _factor(y))
        for left, right in zip(*tables, strict=True)
        for x, y in zip(left, right, strict=True)
    ]


@standard("SUMXMY2", "RR")
def _sumxmy2(first: Given, second: Given) -> float:
    return math.fsum((x - y) ** 2 for x, y in _pairs(first, second))


@standard("SUMX2MY2", "RR")
def _sumx2my2(first: Given, second: Given) -> float:
    return math.fsum(x * x - y * y for x, y in _pairs(first, second))


@standard("SUMX2PY2", "RR")
def _sumx2py2(first: Given, second: Given) -> float:
    return math.fsum(x * x + y * y for x, y in _pairs(first, second))


@standard("MMULT", "RR")
def _mmult(first: Given, second: Given) -> Given:
    left, right = as_rows(first), as_rows(second)
    if len(left[0]) != len(right):
        raise Fault(VALUE)
    spend(len(left) * len(right) * len(right[0]))
    columns = list(zip(*right, strict=True))
    return [
        [
            math.fsum(_plain(x) * _plain(y) for x, y in zip(row, column, strict=True))
            for column in columns
        ]
        for row in left
    ]


def _plain(value: Value) -> float:
    if not is_number(value):
        raise Fault(VALUE)
    return float(value)  # type: ignore[arg-type]
