"""The one catalogue of worksheet functions that every host, the reference and the help share."""

from __future__ import annotations

from difflib import get_close_matches
from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from basinbook.catalogue import declarations
from basinbook.catalogue.invoke import Result, invoke
from basinbook.catalogue.model import Function, registered
from basinbook.engine.errors import InputError

__all__ = ["Function", "InputError", "Result", "call", "function", "functions"]

# Names to tell of those near a name that is typed wrong.
_LIKE = 3


@cache
def functions() -> dict[str, Function]:
    """Return all worksheet functions by name, sorted.

    Every module of ``declarations`` declares some: a new function is one declaration there and
    nothing else.
    """
    for module in sorted(iter_modules(declarations.__path__), key=lambda found: found.name):
        import_module(f"{declarations.__name__}.{module.name}")
    return dict(sorted(registered().items()))


def function(name: str) -> Function:
    """Return the function of that worksheet name (any case, host prefix allowed)."""
    declared = functions()
    found = declared.get(name) or declared.get(
        name.strip().upper().removeprefix("BASIN.").removeprefix("BASIN_")
    )
    if found is None:
        like = get_close_matches(name.strip().upper(), declared, _LIKE)
        near = f"; near it are {', '.join(like)}" if like else ""
        raise InputError("function", name, f"see `basinbook functions` for the names{near}")
    return found


def call(name: str, *arguments: object) -> Result:
    """Call a worksheet function by name with raw arguments; raises InputError."""
    return invoke(function(name), arguments)
