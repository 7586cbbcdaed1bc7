"""Sums and statistics of what numbers there are in ranges."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable
from statistics import NormalDist

from basinbook.catalogue.model import CellError
from basinbook.evaluation.standard import standard
from basinbook.evaluation.values import (
    DIV,
    NA,
    NUM,
    Fault,
    Given,
    Rows,
    as_rows,
    flat,
    is_number,
    number,
    snapped,
)

Numbers = list[float]


def numbers_in(arguments: Iterable[Given]) -> Numbers:
    """Return the numbers of ranges, and of single values also what can be read as one."""
    found: Numbers = []
    for argument in arguments:
        if not isinstance(argument, list):
            found.append(number(argument))
            continue
        for row in argument:
            for value in row:
                if isinstance(value, (int, float)):
                    if not isinstance(value, bool):
                        found.append(value)
                elif isinstance(value, CellError):
                    raise Fault(value)
    return found


def _all_values(arguments: Iterable[Given]) -> Numbers:
    """Return numbers with texts as zero and truth values as 0 and 1 (AVERAGEA and its like)."""
    return [
        0.0 if isinstance(value, str) else number(value)
        for argument in arguments
        for value in flat(argument)
        if value is not None
    ]


def _mean(numbers: Numbers) -> float:
    if not numbers:
        raise Fault(DIV)
    return math.fsum(numbers) / len(numbers)


def _squares(numbers: Numbers) -> float:
    mean = _mean(numbers)
    return math.fsum((x - mean) ** 2 for x in numbers)


def _variance(numbers: Numbers, missing: int) -> float:
    if len(numbers) <= missing:
        raise Fault(DIV)
    return _squares(numbers) / (len(numbers) - missing)


def _median(numbers: Numbers) -> float:
    return _quantile(numbers, 0.5)


def _quantile(numbers: Numbers, share: float, *, exclusive: bool = False) -> float:
    """Return the value below which a share of the numbers lies, between two in proportion."""
    count = len(numbers)
    if not count or not 0.0 <= share <= 1.0:
        raise Fault(NUM)
    place = share * (count + 1) - 1 if exclusive else share * (count - 1)
    place = snapped(place)
    if not 0 <= place <= count - 1:
        raise Fault(NUM)
    low = int(place)
    ordered = sorted(numbers)
    if low == place:
        return ordered[low]
    return ordered[low] + (place - low) * (ordered[low + 1] - ordered[low])


def _geometric_mean(numbers: Numbers) -> float:
    if not numbers or min(numbers) <= 0:
        raise Fault(NUM)
    return math.exp(math.fsum(map(math.log, numbers)) / len(numbers))


def _harmonic_mean(numbers: Numbers) -> float:
    if not numbers or min(numbers) <= 0:
        raise Fault(NUM)
    return len(numbers) / math.fsum(1 / x for x in numbers)


def _mode(numbers: Numbers) -> float:
    counts = Counter(numbers)
    found = max(counts, key=lambda x: counts[x], default=0.0)
    if counts[found] < 2:
        raise Fault(NA)
    return found


def _average_deviation(numbers: Numbers) -> float:
    mean = _mean(numbers)
    return math.fsum(abs(x - mean) for x in numbers) / len(numbers)


def _product(numbers: Numbers) -> float:
    return math.prod(numbers) if numbers else 0.0


def _declare(names: str, compute: Callable[[Numbers], float]) -> None:
    standard(names, "s*")(lambda *arguments: compute(numbers_in(arguments)))


_declare("SUM", math.fsum)
_declare("PRODUCT", _product)
_declare("SUMSQ", lambda numbers: math.fsum(x * x for x in numbers))
_declare("AVERAGE", _mean)
_declare("MAX", lambda numbers: max(numbers, default=0))
_declare("MIN", lambda numbers: min(numbers, default=0))
_declare("MEDIAN", _median)
_declare("MODE MODE.SNGL", _mode)
_declare("GEOMEAN", _geometric_mean)
_declare("HARMEAN", _harmonic_mean)
_declare("DEVSQ", _squares)
_declare("AVEDEV", _average_deviation)
_declare("VAR VAR.S", lambda numbers: _variance(numbers, 1))
_declare("VARP VAR.P", lambda numbers: _variance(numbers, 0))
_declare("STDEV STDEV.S", lambda numbers: math.sqrt(_variance(numbers, 1)))
_declare("STDEVP STDEV.P", lambda numbers: math.sqrt(_variance(numbers, 0)))
standard("AVERAGEA", "s*")(lambda *arguments: _mean(_all_values(arguments)))
standard("MAXA", "s*")(lambda *arguments: max(_all_values(arguments), default=0))
standard("MINA", "s*")(lambda *arguments: min(_all_values(arguments), default=0))
standard("VARA", "s*")(lambda *arguments: _variance(_all_values(arguments), 1))
standard("VARPA", "s*")(lambda *arguments: _variance(_all_values(arguments), 0))
standard("STDEVA", "s*")(lambda *arguments: math.sqrt(_variance(_all_values(arguments), 1)))
standard("STDEVPA", "s*")(lambda *arguments: math.sqrt(_variance(_all_values(arguments), 0)))


@standard("COUNT", "s*")
def _count(*arguments: Given) -> int:
    count = 0
    for argument in arguments:
        if isinstance(argument, list):
            count += sum(is_number(value) for row in argument for value in row)
        elif not isinstance(argument, CellError):
            try:
                number(argument)
            except Fault:
                continue
            count += 1
    return count


@standard("COUNTA", "s*")
def _counta(*arguments: Given) -> int:
    return sum(
        value is not None or not isinstance(argument, list)
        for argument in arguments
        for value in flat(argument)
    )


def _ranked(numbers: Numbers, rank: float, *, largest: bool) -> float:
    place = math.ceil(rank)
    if not 1 <= place <= len(numbers):
        raise Fault(NUM)
    return sorted(numbers, reverse=largest)[place - 1]


@standard("LARGE", "sn")
def _large(values: Given, rank: float) -> float:
    return _ranked(numbers_in([values]), rank, largest=True)


@standard("SMALL", "sn")
def _small(values: Given, rank: float) -> float:
    return _ranked(numbers_in([values]), rank, largest=False)


@standard("PERCENTILE PERCENTILE.INC", "sn")
def _percentile(values: Given, share: float) -> float:
    return _quantile(numbers_in([values]), share)


@standard("PERCENTILE.EXC", "sn")
def _percentile_exclusive(values: Given, share: float) -> float:
    return _quantile(numbers_in([values]), share, exclusive=True)


@standard("QUARTILE QUARTILE.INC", "sw")
def _quartile(values: Given, quarter: int) -> float:
    return _quantile(numbers_in([values]), quarter / 4)


@standard("QUARTILE.EXC", "sw")
def _quartile_exclusive(values: Given, quarter: int) -> float:
    return _quantile(numbers_in([values]), quarter / 4, exclusive=True)


def _rank(value: float, values: Given, ascending: float) -> tuple[int, int]:
    """Return the rank of a number and how many are equal to it."""
    numbers = [snapped(x) for x in numbers_in([values])]
    own = snapped(value)
    equal = numbers.count(own)
    if not equal:
        raise Fault(NA)
    ahead = sum(x < own if ascending else x > own for x in numbers)
    return ahead + 1, equal


@standard("RANK RANK.EQ", "ns|n")
def _rank_equal(value: float, values: Given, ascending: float = 0.0) -> int:
    return _rank(value, values, ascending)[0]


@standard("RANK.AVG", "ns|n")
def _rank_average(value: float, values: Given, ascending: float = 0.0) -> float:
    rank, equal = _rank(value, values, ascending)
    return rank + (equal - 1) / 2


@standard("TRIMMEAN", "sn")
def _trim_mean(values: Given, share: float) -> float:
    numbers = sorted(numbers_in([values]))
    if not 0 <= share < 1:
        raise Fault(NUM)
    cut = int(len(numbers) * share / 2)
    return _mean(numbers[cut : len(numbers) - cut])


def _paired(first: Given, second: Given) -> tuple[Numbers, Numbers]:
    """Return the numbers of two ranges where both have one."""
    left, right = list(flat(as_rows(first))), list(flat(as_rows(second)))
    if len(left) != len(right):
        raise Fault(NA)
    pairs = [(x, y) for x, y in zip(left, right, strict=True)]
    for value in (*left, *right):
        if isinstance(value, CellError):
            raise Fault(value)
    kept = [(number(x), number(y)) for x, y in pairs if is_number(x) and is_number(y)]
    return [x for x, _ in kept], [y for _, y in kept]


def _moments(first: Given, second: Given) -> tuple[Numbers, Numbers, float, float, float]:
    """Return the numbers, and the sums of squares and products about their means."""
    xs, ys = _paired(first, second)
    mean_x, mean_y = _mean(xs), _mean(ys)
    xy = math.fsum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True))
    return xs, ys, _squares(xs), _squares(ys), xy


def _ratio(top: float, bottom: float) -> float:
    if not bottom:
        raise Fault(DIV)
    return top / bottom


@standard("SLOPE", "rr")
def _slope(ys: Given, xs: Given) -> float:
    _, _, xx, _, xy = _moments(xs, ys)
    return _ratio(xy, xx)


@standard("INTERCEPT", "rr")
def _intercept(ys: Given, xs: Given) -> float:
    found_x, found_y, xx, _, xy = _moments(xs, ys)
    return _mean(found_y) - _ratio(xy, xx) * _mean(found_x)


@standard("FORECAST FORECAST.LINEAR", "nrr")
def _forecast(x: float, ys: Given, xs: Given) -> float:
    return _intercept(ys, xs) + _slope(ys, xs) * x


@standard("CORREL PEARSON", "rr")
def _correlation(first: Given, second: Given) -> float:
    _, _, xx, yy, xy = _moments(first, second)
    return _ratio(xy, math.sqrt(xx * yy))


@standard("RSQ", "rr")
def _r_squared(ys: Given, xs: Given) -> float:
    return _correlation(ys, xs) ** 2


@standard("COVAR COVARIANCE.P", "rr")
def _covariance(first: Given, second: Given) -> float:
    xs, _, _, _, xy = _moments(first, second)
    return xy / len(xs)


@standard("COVARIANCE.S", "rr")
def _sample_covariance(first: Given, second: Given) -> float:
    xs, _, _, _, xy = _moments(first, second)
    return _ratio(xy, len(xs) - 1)


@standard("FREQUENCY", "rr")
def _frequency(values: Given, limits: Given) -> Rows:
    numbers, edges = numbers_in([values]), sorted(numbers_in([limits]))
    below = [sum(x <= edge for x in numbers) for edge in edges]
    counts = [count - before for count, before in zip(below, [0, *below], strict=False)]
    return [[count] for count in [*counts, len(numbers) - (below[-1] if below else 0)]]


def _normal(mean: float, deviation: float) -> NormalDist:
    if deviation <= 0:
        raise Fault(NUM)
    return NormalDist(mean, deviation)


@standard("NORMDIST NORM.DIST", "nnnb")
def _normal_distribution(x: float, mean: float, deviation: float, cumulative: bool) -> float:
    found = _normal(mean, deviation)
    return found.cdf(x) if cumulative else found.pdf(x)


@standard("NORMINV NORM.INV", "nnn")
def _normal_inverse(share: float, mean: float, deviation: float) -> float:
    if not 0 < share < 1:
        raise Fault(NUM)
    return _normal(mean, deviation).inv_cdf(share)


@standard("NORMSDIST", "n")
def _standard_normal(x: float) -> float:
    return NormalDist().cdf(x)


@standard("NORM.S.DIST", "nb")
def _standard_normal_either(x: float, cumulative: bool) -> float:
    return _normal_distribution(x, 0.0, 1.0, cumulative)


@standard("NORMSINV NORM.S.INV", "n")
def _standard_normal_inverse(share: float) -> float:
    return _normal_inverse(share, 0.0, 1.0)


@standard("STANDARDIZE", "nnn")
def _standardize(x: float, mean: float, deviation: float) -> float:
    if deviation <= 0:
        raise Fault(NUM)
    return (x - mean) / deviation
