"""Formula text: calls of the catalogue, rows of the tables, and names that stand elsewhere."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Final

from basinbook.catalogue import function
from basinbook.engine.outfit import STILL
from basinbook.engine.spec import FIELDS
from basinbook.engine.spec_openings import opening_field

# What stands where the functions are missing. It does not refer to the front sheet's line, which
# is worked out on every opening and would take every cell that follows from it along.
MISSING: Final = "The functions are missing here: see the top of the Basin sheet"
# A word, not a blank: some programs work out anew each formula whose stored text is empty.
COMPLETE: Final = "Inputs complete"
WORKING_LINE: Final = "Working_line"
# What stands where a sum or a weight can't be told: a word, so that nobody takes it for nothing.
UNKNOWN: Final = "unknown"
# A finding that stops the job is said on every sheet.
STOPS_SOMETHING: Final = "N(Findings_stop)>0"
STOPPED: Final = f'IF({STOPS_SOMETHING},"STOPS: "&INDEX(Findings_listed,1,3)&".   ","")'
# The engine takes a depth of its own for a blank one; a job without a depth has no layout yet.
DEPTH_GIVEN: Final = 'Water_depth<>""'
# Words that say that there is nothing of something.
NOTHING: Final = ("no", "none", STILL)
# What functions on the whole job take: its layout, and what it has besides.
JOB: Final = ("Job_labels", "Job_values", "Outfit_labels", "Outfit_values")
# The inside size of what is built: as measured where courses are laid and it was, or as planned.
CLEAR_LENGTH, CLEAR_WIDTH = (
    f'IF(AND(N(Courses_laid)>0,Measured_inside_{side}<>""),Measured_inside_{side},Inside_{side})'
    for side in ("length", "width")
)
# Ranges that dozens of calls read: each stands in one cell too, which is handed over faster.
_JOINED: Final = re.compile(r"(Job|Outfit|Option(_\d)?)_(labels|values)")
# Texts in quotes, which are passed over, and names.
_NAMES: Final = re.compile(r'"[^"]*"|[A-Za-z_][A-Za-z0-9_.]*')


def call(name: str, *arguments: str) -> str:
    """Return a call of a catalogue function as formula text, with the workbook's unit system.

    The dotted spelling is the one that Calc resolves; ``convert`` makes the other hosts' own. In
    place of a range that stands in one cell too, that cell is handed over.
    """
    declared = function(name)
    given = [joined(one) if _JOINED.fullmatch(one) else one for one in arguments]
    if declared.has_units:
        given += [""] * (len(declared.arguments) - len(given))
        given.append("Units")
    return f"BASIN.{declared.name}({','.join(given)})"


def quoted(text: str) -> str:
    """Return a text as a formula has it."""
    return '"' + text.replace('"', '""') + '"'


def joined(name: str) -> str:
    """Return the name of the cell that has the cells of a named range as one text."""
    return f"{name}_joined"


def join(name: str) -> str:
    """Return the formula of that cell."""
    return f"=BASIN.{function('JOINCELLS').name}({name})"


def why(name: str, *arguments: str) -> str:
    """Return formula text of the reason why a call gives no value, which includes the units."""
    return call("WHY", f'"{name}"', *arguments)


def awake(expression: str) -> str:
    """Return a formula that a program works out whenever its sheet is shown, stored value or not.

    TODAY() sees to that; the count has the array formulas worked out, see
    ``Template.finish_working``.
    """
    return f'=IF(TODAY()+COUNT({WORKING_LINE})<0,"",{expression})'


def shown(cell: str) -> str:
    """Return a formula that shows another cell; blank stays blank."""
    return f'=IF({cell}="","",{cell})'


def if_known(expression: str, problem: str = "", otherwise: str = "") -> str:
    """Return a formula that shows another text where what it is worked out from is missing.

    problem: a cell that must say that there is none, as that of the layout; blank while there is
    one. The formula hangs on nothing else: an edit works anew only what reads the edited cell.
    """
    if problem:
        expression = f'IF({problem}="{COMPLETE}",{expression},"")'
    return f'=IFERROR({expression},"{otherwise}")'


def if_number(cell: str, expression: str) -> str:
    """Return formula text that is blank where a cell has no number."""
    return f'IF(ISNUMBER({cell}),{expression},"")'


def first_problem(first: str, *rest: str) -> str:
    """Return formula text of the first of some problems that is one, or that there is none."""
    return f'IF({first}<>"{COMPLETE}",{first},{first_problem(*rest)})' if rest else first


def whole_sum(areas: Mapping[str, int]) -> str:
    """Return formula text of the sum of areas with so many cells each, unknown where one is."""
    every = ",".join(areas)
    return f'IF(COUNT({every})<{sum(areas.values())},"{UNKNOWN}",SUM({every}))'


def if_numbers(names: Sequence[str], expression: str) -> str:
    """Return formula text that is unknown where one of some cells has no number."""
    if not names:
        return expression
    return f'IF(COUNT({",".join(names)})<{len(names)},"{UNKNOWN}",{expression})'


def amount(value: str) -> str:
    """Return formula text of a price, rate or count, an error where it is none: 0 is one."""
    return f"IF(ISNUMBER({value}),IF({value}>=0,{value},NA()),NA())"


def no_amount(value: str) -> str:
    """Return formula text: whether a cell has no number of 0 or more."""
    return f"IF(ISNUMBER({value}),{value}<0,TRUE)"


def cents(value: str) -> str:
    """Return formula text of an amount of money as it is printed: to the cent, half a cent up."""
    return f"ROUND({value},2)"


def size(value: str) -> str:
    """Return formula text of a weight or step, an error where it is none: nothing has a 0."""
    return f"IF(ISNUMBER({value}),IF({value}>0,{value},NA()),NA())"


def share(value: str) -> str:
    """Return formula text of a share typed, 0 for a blank, an error where it is none."""
    return f'IF({value}="",0,IF(AND(ISNUMBER({value}),{value}>=0,{value}<=1),{value},NA()))'


def given(value: str) -> str:
    """Return formula text of what a cell has, an error where it is blank."""
    return f'IF({value}="",NA(),{value})'


def no_size(value: str) -> str:
    """Return formula text: whether a cell has no number above 0."""
    return f"IF(ISNUMBER({value}),{value}<=0,TRUE)"


def lookup(table: str, key: str, chosen: str) -> str:
    """Return formula text that finds a chosen row's value in a column of a table."""
    return f"INDEX({table}_{key},MATCH({chosen},{table}_name,0))"


def or_blank(value: str) -> str:
    """Return formula text of what a cell has, blank where that is nothing or an error."""
    return f'IFERROR(IF({value}="","",{value}),"")'


def unknown(chosen: str, table: str) -> str:
    """Return formula text: whether a chosen name is of no row of its table."""
    return f'AND({chosen}<>"",ISNA(MATCH({chosen},{table}_name,0)))'


def outfit_name(field: str) -> str:
    """Return the name of the cell of a field of the outfit: what the job has of it."""
    return f"Outfit_{field}"


def fitting_name(number: int) -> str:
    """Return the name of the cell of one of the fittings in the pipe, blank without a pump."""
    return f"Outfit_fitting_{number}"


def lintel_name(number: int) -> str:
    """Return the name of the cell in which the lintel over an opening is chosen."""
    return FIELDS[opening_field(number, "lintel")].name


def by_the_piece(value: str) -> str:
    """Return formula text of the pack that something is sold in; a blank is by the piece."""
    return f'IF({value}="",1,{size(value)})'


def applies(when: Sequence[str]) -> str:
    """Return formula text: whether there is all that an input needs to count (``Input.when``)."""
    conditions = ",".join(f"OR({','.join(map(_there, one.split(' or ')))})" for one in when)
    return f"AND({conditions})"


def _there(name: str) -> str:
    """Return formula text: whether a cell says that there is something."""
    words = ",".join(f'{name}<>"{word}"' for word in NOTHING)
    return f'AND({name}<>"",{name}<>0,{words})'


def names_in(formula: str) -> set[str]:
    """Return the names that formula text refers to, those of functions included."""
    return {name for name in _NAMES.findall(formula) if not name.startswith('"')}


def elsewhere(formula: str, places: Mapping[str, str]) -> str:
    """Return formula text with names replaced by the places where another scope has the same."""
    return _NAMES.sub(lambda found: places.get(found[0], found[0]), formula)
