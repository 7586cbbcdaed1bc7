"""How a standard function is declared: its names, what it takes, and what computes it.

``takes`` has one letter for each argument; what follows ``|`` may be left out, and ``*`` repeats
the letters since the last ``|`` (or the last one).

| letter | the argument |
| --- | --- |
| n w t b | one value as a number, a whole number, a text, a truth value |
| v | one value as it is, errors ending the call; e the same with errors |
| N W T B | like n w t b, but None where it is left blank between commas |
| r | rows of values of a range or array; a single value as it is |
| R | the same, and operators inside work on whole ranges, in any formula |
| s | like r without the cells beyond the used ones, for sums |
| a | a reference as it is |
| x | nothing is computed: a function that evaluates the argument |

Where one of the single values is a whole array, the function is called for each of its elements.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final, TypeVar

from basinbook.catalogue.model import CellError
from basinbook.evaluation.areas import Reference
from basinbook.evaluation.book import Value
from basinbook.evaluation.values import (
    NUM,
    Fault,
    each,
    first_value,
    number,
    text,
    truth,
    whole,
)

Function = TypeVar("Function", bound=Callable[..., Any])
Reader = Callable[[Value], Any]
LAZY: Final = "x"
RAW: Final = "a"
ROWS: Final = "rRs"


def _no_error(value: Value) -> Value:
    if isinstance(value, CellError):
        raise Fault(value)
    return value


def _or_none(read: Reader) -> Reader:
    return lambda value: None if value is None else read(value)


_PLAIN_READERS: Final[dict[str, Reader]] = {
    "n": number,
    "w": whole,
    "t": text,
    "b": truth,
    "v": _no_error,
    "e": lambda value: value,
}
_READERS: Final = _PLAIN_READERS | {
    code.upper(): _or_none(read) for code, read in _PLAIN_READERS.items()
}


@dataclass(frozen=True, slots=True)
class Standard:
    """A standard function; ``needs_place`` has it called with the evaluator and the place."""

    compute: Callable[..., Any]
    takes: str
    needs_place: bool
    dates: bool

    @property
    def arrays(self) -> bool:
        """Whether operators inside its arguments work on whole ranges."""
        return "R" in self.takes

    def codes(self, count: int) -> str | None:
        """Return the letters of so many arguments; None where it can't be called with them."""
        return _codes(self.takes, count)


@lru_cache(maxsize=4096)
def _codes(takes: str, count: int) -> str | None:
    letters = takes.replace("|", "").rstrip("*")
    least = len(takes.partition("|")[0].rstrip("*"))
    if count < least or (count > len(letters) and not takes.endswith("*")):
        return None
    repeated = takes[:-1].rpartition("|")[2] if "|" in takes else letters[-1:]
    return (letters + repeated * count if takes.endswith("*") else letters)[:count]


@lru_cache(maxsize=4096)
def _readers(takes: str, count: int) -> tuple[tuple[int, Reader], ...]:
    """Return which arguments are single values, and how each is read."""
    codes = _codes(takes, count) or ""
    return tuple((n, _READERS[code]) for n, code in enumerate(codes) if code in _READERS)


TABLE: Final[dict[str, Standard]] = {}


def standard(
    names: str, takes: str, *, needs_place: bool = False, dates: bool = False
) -> Callable[[Function], Function]:
    """Declare the decorated function under its names, which blanks part."""

    def declare(compute: Function) -> Function:
        for name in names.split():
            if name in TABLE:
                raise ValueError(f"{name} is declared twice")
            TABLE[name] = Standard(compute, takes, needs_place, dates)
        return compute

    return declare


_Readers = tuple[tuple[int, Reader], ...]
Applied = Callable[[list[Any], tuple[Any, ...]], Any]
"""Takes the arguments, in a list that may be written over, and the evaluator and place."""


def applied(function: Standard, count: int) -> Applied:
    """Return what gives a function's result for so many arguments as the evaluator has them.

    How each argument is read is looked up once for all calls.
    """
    readers = _readers(function.takes, count)
    compute = function.compute

    def apply(arguments: list[Any], context: tuple[Any, ...]) -> Any:
        for n, _ in readers:
            if isinstance(arguments[n], list):
                return _each(compute, readers, arguments, context)
        return _once(compute, readers, arguments, context)

    return apply


def _once(
    compute: Callable[..., Any],
    readers: _Readers,
    arguments: list[Any],
    context: tuple[Any, ...],
) -> Any:
    """Call a function; its arguments are read in place."""
    try:
        for n, read in readers:
            arguments[n] = read(arguments[n])
        return compute(*context, *arguments)
    except Fault as fault:
        return fault.error
    except OverflowError:
        return NUM


def _each(
    compute: Callable[..., Any], readers: _Readers, arguments: list[Any], context: tuple[Any, ...]
) -> Any:
    """Call a function for each element of the arrays among its single values."""

    def element(*values: Value) -> Value:
        given = arguments.copy()
        for (n, _), value in zip(readers, values, strict=True):
            given[n] = value
        found = _once(compute, readers, given, context)
        if isinstance(found, Reference):
            evaluator, here = context
            found = evaluator.value(found, here)
        return first_value(found)

    return each(element, [arguments[n] for n, _ in readers])
