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
LAZY: Final = "x"
RAW: Final = "a"
ROWS: Final = "rRs"
_WHOLE: Final = LAZY + RAW + ROWS


def _no_error(value: Value) -> Value:
    if isinstance(value, CellError):
        raise Fault(value)
    return value


_READERS: Final[dict[str, Callable[[Value], Any]]] = {
    "n": number,
    "w": whole,
    "t": text,
    "b": truth,
    "v": _no_error,
    "e": lambda value: value,
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

    @property
    def _least(self) -> int:
        return len(self.takes.partition("|")[0].rstrip("*"))

    def takes_count(self, count: int) -> bool:
        """Return whether it can be called with so many arguments."""
        letters = len(self.takes.replace("|", "").rstrip("*"))
        return count >= self._least and (count <= letters or self.takes.endswith("*"))

    def codes(self, count: int) -> str:
        """Return the letters of so many arguments."""
        letters = self.takes.replace("|", "")
        if not letters.endswith("*"):
            return letters
        repeated = self.takes[:-1].rpartition("|")[2] if "|" in self.takes else letters[-2]
        return letters[:-1] + repeated * (count // len(repeated))


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


def lifted(function: Standard, context: tuple[Any, ...] = ()) -> Callable[..., Any]:
    """Return the function of arguments as the evaluator has them, in the place of ``context``."""

    def call(*arguments: Any) -> Any:
        codes = function.codes(len(arguments))
        loose = [n for n in range(len(arguments)) if codes[n] not in _WHOLE]

        def once(*values: Value) -> Any:
            given = list(arguments)
            try:
                for n, value in zip(loose, values, strict=True):
                    given[n] = _read(codes[n], value)
                return function.compute(*context, *given)
            except Fault as fault:
                return fault.error
            except OverflowError:
                return NUM

        def element(*values: Value) -> Value:
            found = once(*values)
            if isinstance(found, Reference):
                evaluator, here = context
                found = evaluator.value(found, here)
            return first_value(found)

        values = [arguments[n] for n in loose]
        if any(isinstance(value, list) for value in values):
            return each(element, values)
        return once(*values)

    return call


def _read(code: str, value: Value) -> Any:
    if code.isupper():
        return None if value is None else _READERS[code.lower()](value)
    return _READERS[code](value)
