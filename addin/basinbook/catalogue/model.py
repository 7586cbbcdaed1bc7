"""What a worksheet function is: its arguments, result, source and examples, declared once."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

from basinbook.engine import kinds
from basinbook.engine.kinds import Kind

Cell = float | int | str | bool | None
Table = list[list[Cell]]


class _Required:
    def __repr__(self) -> str:
        return "required"


REQUIRED: Final = _Required()


@dataclass(frozen=True)
class CellError:
    """An error cell handed in as an argument, such as #DIV/0!."""

    text: str


@dataclass(frozen=True)
class Argument:
    """One argument: its name, kind of quantity, help text and allowed range (SI, inclusive).

    A default makes the argument optional: blank or left out, the default is taken (in SI, or
    None for "not given"). ``repeats`` lets the last argument take any number of values; ``cells``
    is the kind of quantity in the cells of a range, where they are all of one.
    """

    name: str
    kind: Kind
    help: str
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    default: object = REQUIRED
    repeats: bool = False
    cells: Kind | None = None

    @property
    def required(self) -> bool:
        """Whether the argument must be given."""
        return isinstance(self.default, _Required)

    @property
    def quantity(self) -> Kind:
        """The kind of quantity of its value, or of the cells of a range."""
        return self.cells or self.kind


@dataclass(frozen=True)
class Group:
    """Arguments that together make one thing of the engine, which ``compute`` gets in their place.

    ``make`` takes them by name and returns the thing, which ``compute`` takes by this ``name``. If
    it has a parameter ``system``, it also gets the unit system's name.
    """

    name: str
    arguments: tuple[Argument, ...]
    make: Callable[..., object]

    @cached_property
    def takes_system(self) -> bool:
        """Whether ``make`` wants the unit system's name."""
        return "system" in inspect.signature(self.make).parameters


@dataclass(frozen=True)
class Column:
    """One column of an array result."""

    name: str
    kind: Kind


@dataclass(frozen=True)
class Array:
    """The shape of an array result: its columns; rows are as many as there are."""

    columns: tuple[Column, ...]


@dataclass(frozen=True)
class Measure:
    """An SI number with its kind, for functions whose kind of result depends on the arguments."""

    number: float
    kind: Kind


@dataclass(frozen=True)
class Example:
    """A call with literal arguments, and what ``basinbook call`` prints for it."""

    arguments: tuple[str, ...]
    gives: str
    units: str = "us"


@dataclass(frozen=True, eq=False)
class Function:
    """A worksheet function of the catalogue.

    ``compute`` takes the arguments by name: quantities as SI floats, counts as int, text as str,
    ranges as tuples of row tuples, those of one quantity as a tuple of SI floats with None for
    blanks; what a group makes comes in place of the group's arguments. If it has a parameter
    ``system``, it also gets the unit system's name. It returns an SI number (of kind ``result``), a
    Measure, a text, or a sequence of rows (SI numbers and texts, by the columns of ``result``).
    Each function is one object, so that it can be a key.
    """

    name: str
    category: str
    summary: str
    arguments: tuple[Argument, ...]
    result: Kind | Array
    source: str
    examples: tuple[Example, ...]
    compute: Callable[..., object] = field(repr=False)
    details: str = ""
    groups: tuple[Group, ...] = ()

    @cached_property
    def takes_system(self) -> bool:
        """Whether ``compute`` wants the unit system's name."""
        return "system" in inspect.signature(self.compute).parameters

    @cached_property
    def all_arguments(self) -> tuple[Argument, ...]:
        """The arguments as hosts show them: the declared ones, then ``units`` where it matters."""
        return (*self.arguments, UNITS_ARGUMENT) if self.has_units else self.arguments

    @cached_property
    def has_units(self) -> bool:
        """Whether the unit system changes what the arguments or the result mean."""
        if self.arguments and self.arguments[-1].repeats:
            return False
        result_kinds = (
            [column.kind for column in self.result.columns]
            if isinstance(self.result, Array)
            else [self.result]
        )
        if self.takes_system or any(group.takes_system for group in self.groups):
            return True
        return any(kind.has_unit for kind in [*result_kinds, *(a.quantity for a in self.arguments)])


UNITS_ARGUMENT = Argument(
    "units",
    kinds.CHOICE,
    "Unit system of plain numbers and of the result: us (default) or metric",
    choices=("us", "metric"),
    default="us",
)

_FUNCTIONS: dict[str, Function] = {}


def worksheet_function(
    *,
    category: str,
    summary: str,
    arguments: Sequence[Argument | Group],
    result: Kind | Array,
    source: str,
    examples: Sequence[Example],
    name: str | None = None,
    details: str = "",
) -> Callable[[Callable[..., object]], Callable[..., object]]:
    """Add the decorated function to the catalogue; its name in capitals is the worksheet name.

    Worksheet names have letters and digits only, so that every host can spell them.
    """
    groups = tuple(each for each in arguments if isinstance(each, Group))
    flat: list[Argument] = []
    for each in arguments:
        flat += each.arguments if isinstance(each, Group) else (each,)

    def register(compute: Callable[..., object]) -> Callable[..., object]:
        sheet_name = name or compute.__name__.replace("_", "").upper()
        if not sheet_name.isalnum() or sheet_name in _FUNCTIONS:
            raise ValueError(f"worksheet name {sheet_name!r} is taken or has odd characters")
        _FUNCTIONS[sheet_name] = Function(
            name=sheet_name,
            category=category,
            summary=summary,
            arguments=tuple(flat),
            result=result,
            source=source,
            examples=tuple(examples),
            compute=compute,
            details=details,
            groups=groups,
        )
        return compute

    return register


def registered() -> dict[str, Function]:
    """Return the functions declared so far, by worksheet name."""
    return _FUNCTIONS


def length(
    name: str, help: str, low: float = 0.0, high: float = 100.0, default: object = REQUIRED
) -> Argument:
    """Return a length argument [m]."""
    return Argument(name, kinds.LENGTH, help, low, high, default=default)


def count(
    name: str, help: str, low: int = 0, high: int = 1_000_000, default: object = REQUIRED
) -> Argument:
    """Return a whole-number argument."""
    return Argument(name, kinds.COUNT, help, low, high, default=default)


def ratio(
    name: str, help: str, low: float = 0.0, high: float = 1.0, default: object = REQUIRED
) -> Argument:
    """Return a plain-number argument without a unit; text such as 5% is read too."""
    return Argument(name, kinds.RATIO, help, low, high, default=default)


def quantity(
    name: str, kind: Kind, help: str, low: float, high: float, default: object = REQUIRED
) -> Argument:
    """Return an argument of any kind of quantity, its range in SI."""
    return Argument(name, kind, help, low, high, default=default)


def quantities(name: str, kind: Kind, help: str, low: float, high: float) -> Argument:
    """Return a range argument whose cells are of one kind of quantity, their limits in SI."""
    return Argument(name, kinds.RANGE, help, low, high, cells=kind)


def choice(name: str, help: str, choices: tuple[str, ...], default: object = REQUIRED) -> Argument:
    """Return an argument that takes one of a few words."""
    return Argument(name, kinds.CHOICE, help, choices=choices, default=default)
