"""Choosing and joining truth values; only the arguments that the result comes from are read."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from basinbook.catalogue.model import CellError
from basinbook.evaluation.areas import Reference
from basinbook.evaluation.book import Value
from basinbook.evaluation.here import Here
from basinbook.evaluation.run import Run
from basinbook.evaluation.standard import standard
from basinbook.evaluation.values import (
    NA,
    VALUE,
    Fault,
    Given,
    compared,
    each,
    flat,
    order_key,
    single,
    truth,
    whole,
)

Lazy = Callable[[], Given | Reference]


def _read(run: Run, here: Here, argument: Lazy) -> Given:
    return single(run.value(argument(), here))


def _chosen(
    run: Run, here: Here, tested: Given, choose: Callable[[Value], int], choices: list[Lazy]
) -> Given | Reference:
    """Return the choice that a value points to; with an array of values, each element's."""
    if not isinstance(tested, list):
        return choices[choose(tested)]()
    read = [_read(run, here, choice) for choice in choices]

    def element(value: Value, *values: Value) -> Value:
        try:
            return values[choose(value)]
        except Fault as fault:
            return fault.error

    return each(element, [tested, *read])


@standard("IF", "xx|x", needs_place=True)
def _if(
    run: Run, here: Here, test: Lazy, then: Lazy, other: Lazy = lambda: False
) -> Given | Reference:
    tested = _read(run, here, test)
    if not isinstance(tested, list):
        return then() if truth(tested) else other()
    return _chosen(run, here, tested, lambda value: 0 if truth(value) else 1, [then, other])


def _without_errors(
    run: Run, here: Here, tried: Lazy, instead: Lazy, is_caught: Callable[[Value], bool]
) -> Given | Reference:
    tested = _read(run, here, tried)
    if not isinstance(tested, list) and not is_caught(tested):
        return tested
    return _chosen(
        run, here, tested, lambda value: 1 if is_caught(value) else 0, [lambda: tested, instead]
    )


@standard("IFERROR", "xx", needs_place=True)
def _iferror(run: Run, here: Here, tried: Lazy, instead: Lazy) -> Given | Reference:
    return _without_errors(run, here, tried, instead, lambda value: isinstance(value, CellError))


@standard("IFNA", "xx", needs_place=True)
def _ifna(run: Run, here: Here, tried: Lazy, instead: Lazy) -> Given | Reference:
    return _without_errors(run, here, tried, instead, lambda value: value == NA)


@standard("CHOOSE", "xx|x*", needs_place=True)
def _choose(run: Run, here: Here, index: Lazy, *choices: Lazy) -> Given | Reference:
    def chosen(value: Value) -> int:
        number = whole(value)
        if not 1 <= number <= len(choices):
            raise Fault(VALUE)
        return number - 1

    return _chosen(run, here, _read(run, here, index), chosen, list(choices))


@standard("IFS", "xx|xx*", needs_place=True)
def _ifs(run: Run, here: Here, *pairs: Lazy) -> Given | Reference:
    for test, then in zip(pairs[::2], pairs[1::2], strict=True):
        tested = _read(run, here, test)
        if isinstance(tested, list):
            raise Fault(VALUE)
        if truth(tested):
            return then()
    raise Fault(NA)


@standard("SWITCH", "xxx|x*", needs_place=True)
def _switch(run: Run, here: Here, subject: Lazy, *cases: Lazy) -> Given | Reference:
    value = _read(run, here, subject)
    for case, then in zip(cases[::2], cases[1::2], strict=False):
        tried = _read(run, here, case)
        if isinstance(value, list) or isinstance(tried, list):
            raise Fault(VALUE)
        first, second = compared(value, tried)
        if first == second:
            return then()
    if len(cases) % 2:
        return cases[-1]()
    raise Fault(NA)


def _truths(arguments: Iterable[Given]) -> list[bool]:
    """Return the truth values: in ranges texts and blanks are passed over."""
    found = []
    for argument in arguments:
        if not isinstance(argument, list):
            found.append(truth(argument))
            continue
        for value in flat(argument):
            if isinstance(value, CellError):
                raise Fault(value)
            if value is not None and not isinstance(value, str):
                found.append(bool(value))
    if not found:
        raise Fault(VALUE)
    return found


@standard("AND", "s*")
def _and(*arguments: Given) -> bool:
    return all(_truths(arguments))


@standard("OR", "s*")
def _or(*arguments: Given) -> bool:
    return any(_truths(arguments))


@standard("XOR", "s*")
def _xor(*arguments: Given) -> bool:
    return sum(_truths(arguments)) % 2 == 1


@standard("NOT", "b")
def _not(value: bool) -> bool:
    return not value


@standard("TRUE", "")
def _true() -> bool:
    return True


@standard("FALSE", "")
def _false() -> bool:
    return False


@standard("EXACT", "tt")
def _exact(first: str, second: str) -> bool:
    return first == second


@standard("DELTA", "v|v")
def _delta(first: Value, second: Value = 0) -> int:
    return int(order_key(first) == order_key(second))
