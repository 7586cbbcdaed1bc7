"""Formula text: calls of the catalogue, rows of the tables, and names that stand elsewhere."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from basinbook.catalogue import function

# What stands where the functions are missing. It does not refer to the Job sheet's own line, which
# is worked out on every opening and would take every cell that follows from it along.
MISSING: Final = "The functions are missing here: see the top of the Job sheet"
WORKING_LINE: Final = "Working_line"
# Texts in quotes, which are passed over, and names.
_NAMES: Final = re.compile(r'"[^"]*"|[A-Za-z_][A-Za-z0-9_.]*')


def call(name: str, *arguments: str) -> str:
    """Return a call of a catalogue function as formula text, with the workbook's unit system.

    The dotted spelling is the one that Calc resolves; ``convert`` makes the other hosts' own.
    """
    declared = function(name)
    given = list(arguments)
    if declared.has_units:
        given += [""] * (len(declared.arguments) - len(given))
        given.append("Units")
    return f"BASIN.{declared.name}({','.join(given)})"


def why(name: str, *arguments: str) -> str:
    """Return formula text of the reason why a call gives no value, which includes the units."""
    return call("WHY", f'"{name}"', *arguments)


def awake(expression: str) -> str:
    """Return a formula that a program works out whenever its sheet is shown, stored value or not.

    TODAY() sees to that; the count has the array formulas worked out, see
    ``Template.finish_working``.
    """
    return f'=IF(TODAY()+COUNT({WORKING_LINE})<0,"",{expression})'


def shown(area: str, row: int, column: int) -> str:
    """Return a formula that shows a cell of a table on the working sheet; blank stays blank."""
    cell = f"INDEX({area},{row},{column})"
    return f'=IFERROR(IF({cell}="","",{cell}),"")'


def when_ready(expression: str, ready: str = "Ready") -> str:
    """Return a formula that stays blank until the inputs are complete, instead of an error."""
    return f'=IF({ready},{expression},"")'


def lookup(table: str, key: str, chosen: str) -> str:
    """Return formula text that finds a chosen row's value in a column of a table."""
    return f"INDEX({table}_{key},MATCH({chosen},{table}_name,0))"


def unknown(chosen: str, table: str) -> str:
    """Return formula text: whether a chosen name is of no row of its table."""
    return f'AND({chosen}<>"",ISNA(MATCH({chosen},{table}_name,0)))'


def pack_size(table: str, key: str, chosen: str) -> str:
    """Return formula text of what a material is sold in; a blank on the sheet is by the piece."""
    found = lookup(table, key, chosen)
    return f"IF(N({found})=0,1,{found})"


def names_in(formula: str) -> set[str]:
    """Return the names that formula text refers to, those of functions included."""
    return {name for name in _NAMES.findall(formula) if not name.startswith('"')}


def elsewhere(formula: str, places: Mapping[str, str]) -> str:
    """Return formula text with names replaced by the places where another scope has the same."""
    return _NAMES.sub(lambda found: places.get(found[0], found[0]), formula)
