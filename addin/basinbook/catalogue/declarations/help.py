"""Worksheet functions that help with the sheet itself: reasons for errors, how input is read."""

from __future__ import annotations

from basinbook import __version__
from basinbook.catalogue.joined import joined
from basinbook.catalogue.model import (
    Argument,
    Array,
    Column,
    Example,
    choice,
    length,
    quantities,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.units import UNITS, feet_and_inches, shown, tape_mark, unit_of

_CATEGORY = "Sheet help"
_OWN = "Definition"
_KINDS = {kind.name: kind for kind in UNITS}
# Exact by definition: 1 in = 25.4 mm (NIST Handbook 44, appendix C).
_METRES = {"in": 0.0254, "ft": 0.3048, "mm": 0.001, "cm": 0.01, "m": 1.0}


@worksheet_function(
    category=_CATEGORY,
    summary="Why a function gives an error, in words; an empty text where it works",
    arguments=(
        Argument("function_name", kinds.TEXT, "Name of the function, such as WATERVOLUME"),
        Argument("argument", kinds.ANY, "The same arguments as the function has", repeats=True),
    ),
    result=kinds.TEXT,
    source=_OWN,
    examples=(
        Example(("WATERVOLUME", "48", "24", "16"), ""),
        Example(
            ("WATERVOLUME", "48", "24 kg", "16"),
            "inside_width: '24 kg' can't be used; give a number in in, or text with a unit "
            "such as 50, 50 in, 4' 2\" or 1.27 m",
        ),
    ),
)
def why(function_name: str, argument: tuple[object, ...]) -> str:
    # The catalogue imports this module, so it can't be imported at the top.
    from basinbook.catalogue import call, function

    try:
        if argument and function(function_name).compute is why:
            return ""  # WHY gives a text whatever it is asked
        call(function_name, *argument)
    except InputError as error:
        return str(error)
    return ""


@worksheet_function(
    category=_CATEGORY,
    summary="How a length typed into a cell is read",
    arguments=(length("value", "A number, or text such as 4' 2 1/2\" or 1.27 m", -1000.0, 1000.0),),
    result=kinds.TEXT,
    source=_OWN,
    examples=(
        Example(("4' 2 1/2\"",), "4' 2 1/2\" = 50.5 in"),
        Example(("54½",), "4' 6 1/2\" = 54.5 in"),
        Example(("1,27 m",), "4' 2\" = 50 in"),
        Example(("50 in",), "1,270 mm", units="metric"),
    ),
    details='Feet and inches are to the nearest 1/16 in, with "about" where that is not exact.',
)
def read_length(value: float, system: str) -> str:
    plain = shown(value, kinds.LENGTH, system)
    return plain if system == "metric" else f"{feet_and_inches(value)} = {plain}"


@worksheet_function(
    category=_CATEGORY,
    summary="Lengths as a crew reads them off the tape, a row for each",
    arguments=(
        quantities("lengths", kinds.LENGTH, "Range of lengths; a blank stays blank", -1e3, 1e3),
    ),
    result=Array((Column("On the tape", kinds.TEXT),)),
    source=_OWN,
    examples=(
        Example(("[[50.5], [7.03125], [null]]",), '4\' 2 1/2"\n7 1/32"\n'),
        Example(("[[1270], [442.5]]",), "1270\n442.5", units="metric"),
    ),
    details="Feet and inches to the nearest 1/16 in, or whole mm; with a half of either where the "
    "length has one. Drawings write the same.",
)
def tape_lengths(lengths: tuple[float | None, ...], system: str) -> tuple[tuple[str], ...]:
    return tuple(("" if value is None else tape_mark(value, system),) for value in lengths)


@worksheet_function(
    category=_CATEGORY,
    summary="The cells of a range as one text, which functions take in the range's place",
    arguments=(Argument("cells", kinds.RANGE, "The range, of some hundred cells at most"),),
    result=kinds.TEXT,
    source=_OWN,
    examples=(
        Example(
            ('[["Inside length"], [48], [null]]',),
            'JOINCELLS [["Inside length"],[48],[""]]',
        ),
    ),
    details="Where many cells read the same range, a spreadsheet hands it over faster as one text. "
    "Numbers keep all their digits, errors stay errors, a blank becomes an empty text.",
)
def join_cells(cells: tuple[tuple[object, ...], ...]) -> str:
    return joined(cells)


@worksheet_function(
    category=_CATEGORY,
    summary="Unit in which a kind of quantity is shown",
    arguments=(choice("kind", "Kind of quantity, such as length or mass", tuple(_KINDS)),),
    result=kinds.TEXT,
    source=_OWN,
    examples=(
        Example(("length",), "in"),
        Example(("length",), "mm", units="metric"),
        Example(("liquid volume",), "gal"),
    ),
)
def unit_label(kind: str, system: str) -> str:
    return unit_of(_KINDS[kind], system).label


@worksheet_function(
    category=_CATEGORY,
    summary="A length as a plain number of a unit that you name",
    arguments=(
        length("value", "A length: a number, or text with a unit", -1000.0, 1000.0),
        choice("to", "Unit of the number given back", tuple(_METRES)),
    ),
    result=kinds.RATIO,
    source="NIST Handbook 44, appendix C: 1 in = 25.4 mm, 1 ft = 12 in",
    examples=(
        Example(("4' 2\"", "mm"), "1,270"),
        Example(("1270", "in"), "50", units="metric"),
    ),
)
def convert_length(value: float, to: str) -> float:
    return value / _METRES[to]


@worksheet_function(
    category=_CATEGORY,
    summary="Version of the functions that this workbook is calculated with",
    arguments=(),
    result=kinds.TEXT,
    source=_OWN,
    examples=(Example((), __version__),),
)
def addin_version() -> str:
    return __version__
