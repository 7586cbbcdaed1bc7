"""Loans, savings and depreciation. Money paid out is negative, as in OpenFormula 6.12."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from basinbook.evaluation.budget import spend
from basinbook.evaluation.functions.samples import numbers_in
from basinbook.evaluation.operators import divided
from basinbook.evaluation.standard import standard
from basinbook.evaluation.values import NUM, Fault, Given

_TRIES = 100


def _growth(rate: float, periods: float) -> float:
    if rate <= -1.0:
        raise Fault(NUM)
    return math.exp(periods * math.log1p(rate))


def _balance(rate: float, periods: float, payment: float, start: float, early: float) -> float:
    """Return what is left to pay: the sum that the functions below solve for one of its terms."""
    if not rate:
        return start + payment * periods
    growth = _growth(rate, periods)
    return start * growth + payment * (1 + rate * bool(early)) * (growth - 1) / rate


@standard("FV", "nnn|nn")
def _fv(rate: float, periods: float, payment: float, start: float = 0, early: float = 0) -> float:
    return -_balance(rate, periods, payment, start, early)


@standard("PV", "nnn|nn")
def _pv(rate: float, periods: float, payment: float, end: float = 0, early: float = 0) -> float:
    growth = _growth(rate, periods)
    return -(_balance(rate, periods, payment, 0.0, early) + end) / growth


@standard("PMT", "nnn|nn")
def _pmt(rate: float, periods: float, start: float, end: float = 0, early: float = 0) -> float:
    per_unit = _balance(rate, periods, 1.0, 0.0, early)
    return -divided(_balance(rate, periods, 0.0, start, early) + end, per_unit)


@standard("NPER", "nnn|nn")
def _nper(rate: float, payment: float, start: float, end: float = 0, early: float = 0) -> float:
    if not rate:
        return -divided(start + end, payment)
    paid = payment * (1 + rate * bool(early)) / rate
    ratio = divided(paid - end, paid + start)
    if ratio <= 0 or rate <= -1:
        raise Fault(NUM)
    return math.log(ratio) / math.log1p(rate)


@standard("IPMT", "nnnn|nn")
def _ipmt(
    rate: float, period: float, periods: float, start: float, end: float = 0, early: float = 0
) -> float:
    if not 1 <= period <= periods:
        raise Fault(NUM)
    payment = _pmt(rate, periods, start, end, early)
    if early:
        if period == 1:
            return 0.0
        return (-_balance(rate, period - 2, payment, start, 1) - payment) * rate
    return -_balance(rate, period - 1, payment, start, 0) * rate


@standard("PPMT", "nnnn|nn")
def _ppmt(
    rate: float, period: float, periods: float, start: float, end: float = 0, early: float = 0
) -> float:
    payment = _pmt(rate, periods, start, end, early)
    return payment - _ipmt(rate, period, periods, start, end, early)


def _summed(
    function: Callable[..., float], rate: float, periods: float, start: float,
    first: int, last: int, early: float,
) -> float:  # fmt: skip
    if rate <= 0 or start <= 0 or not 1 <= first <= last <= periods:
        raise Fault(NUM)
    spend(10 * (last - first))
    return math.fsum(
        function(rate, period, periods, start, 0.0, early) for period in range(first, last + 1)
    )


@standard("CUMIPMT", "nnnwwn")
def _cumipmt(
    rate: float, periods: float, start: float, first: int, last: int, early: float
) -> float:
    return _summed(_ipmt, rate, periods, start, first, last, early)


@standard("CUMPRINC", "nnnwwn")
def _cumprinc(
    rate: float, periods: float, start: float, first: int, last: int, early: float
) -> float:
    return _summed(_ppmt, rate, periods, start, first, last, early)


def _root(function: Callable[[float], float], guess: float) -> float:
    """Return where a function of a rate is zero, by secants from a guess; #NUM! if not found."""
    first, second = guess, guess + 1e-4 if guess > -0.9 else guess - 1e-4
    at_first, at_second = function(first), function(second)
    for _ in range(_TRIES):
        if at_second == at_first:
            break
        following = second - at_second * (second - first) / (at_second - at_first)
        if following <= -1.0:
            following = (second - 1.0) / 2
        first, at_first, second = second, at_second, following
        at_second = function(second)
        if abs(second - first) < 1e-13 * max(1.0, abs(second)):
            return second
    if abs(at_second) < 1e-7:
        return second
    raise Fault(NUM)


@standard("RATE", "nnn|nnn")
def _rate(
    periods: float, payment: float, start: float, end: float = 0, early: float = 0,
    guess: float = 0.1,
) -> float:  # fmt: skip
    return _root(lambda rate: _balance(rate, periods, payment, start, early) + end, guess)


def _present(rate: float, flows: Sequence[float]) -> float:
    spend(len(flows))
    return math.fsum(flow / _growth(rate, time) for time, flow in enumerate(flows))


@standard("NPV", "ns|s*")
def _npv(rate: float, *flows: Given) -> float:
    return _present(rate, [0.0, *numbers_in(flows)])


@standard("IRR", "s|n")
def _irr(flows: Given, guess: float = 0.1) -> float:
    numbers = numbers_in([flows])
    if not numbers or min(numbers) >= 0 or max(numbers) <= 0:
        raise Fault(NUM)
    return _root(lambda rate: _present(rate, numbers), guess)


@standard("MIRR", "snn")
def _mirr(flows: Given, paid: float, earned: float) -> float:
    numbers = numbers_in([flows])
    last = len(numbers) - 1
    costs = _present(paid, [min(flow, 0.0) for flow in numbers])
    gains = _present(earned, [max(flow, 0.0) for flow in numbers]) * _growth(earned, last)
    return float(divided(gains, -costs) ** divided(1.0, last)) - 1


@standard("XNPV", "nrr")
def _xnpv(rate: float, flows: Given, days: Given) -> float:
    numbers, dates = numbers_in([flows]), numbers_in([days])
    if not numbers or len(numbers) != len(dates):
        raise Fault(NUM)
    spend(len(numbers))
    return math.fsum(
        flow / _growth(rate, (day - dates[0]) / 365)
        for flow, day in zip(numbers, dates, strict=True)
    )


@standard("XIRR", "rr|n")
def _xirr(flows: Given, days: Given, guess: float = 0.1) -> float:
    return _root(lambda rate: _xnpv(rate, flows, days), guess)


@standard("EFFECT", "nw")
def _effect(rate: float, periods: int) -> float:
    if rate <= 0 or periods < 1:
        raise Fault(NUM)
    return _growth(rate / periods, periods) - 1


@standard("NOMINAL", "nw")
def _nominal(rate: float, periods: int) -> float:
    if rate <= 0 or periods < 1:
        raise Fault(NUM)
    return periods * (_growth(rate, 1 / periods) - 1)


@standard("RRI", "nnn")
def _rri(periods: float, start: float, end: float) -> float:
    ratio = divided(end, start)
    if periods <= 0 or ratio < 0:
        raise Fault(NUM)
    return float(ratio ** (1 / periods)) - 1


@standard("PDURATION", "nnn")
def _pduration(rate: float, start: float, end: float) -> float:
    if min(rate, start, end) <= 0:
        raise Fault(NUM)
    return math.log(end / start) / math.log1p(rate)


@standard("SLN", "nnn")
def _sln(cost: float, salvage: float, life: float) -> float:
    return divided(cost - salvage, life)


@standard("SYD", "nnnn")
def _syd(cost: float, salvage: float, life: float, period: float) -> float:
    if not 1 <= period <= life:
        raise Fault(NUM)
    return (cost - salvage) * (life - period + 1) * 2 / (life * (life + 1))


@standard("DDB", "nnnn|n")
def _ddb(cost: float, salvage: float, life: float, period: float, factor: float = 2.0) -> float:
    if cost < 0 or not 0 < period <= life or factor <= 0:
        raise Fault(NUM)
    rate = min(factor / life, 1.0)
    before: float = cost * (1 - rate) ** (period - 1)
    after: float = cost * (1 - rate) ** period
    return max(before - max(after, salvage), 0.0)
