"""Worksheet functions on what is measured while building: lengths, corners, tops of courses."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from basinbook.catalogue.declarations.takeoff import LAYOUT
from basinbook.catalogue.fitting_rows import ROWS, fitted
from basinbook.catalogue.model import (
    Argument,
    Array,
    Column,
    Example,
    Group,
    length,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.corner_moves import CORNERS, CornerMoves, Measured, Move, corner_moves
from basinbook.engine.layout.results.heights import course_tops
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BasinSpec
from basinbook.units import tape_words


def _opposite(name: str, of: str) -> Argument:
    help = f"Measured along the {name}; blank: as along the {of}"
    return Argument(name, kinds.LENGTH, help, 0.05, 100.0, default=None)


def _measured(name: str, help: str) -> Argument:
    return Argument(name, kinds.LENGTH, help, 0.0, 200.0, default=None)


def _made(
    target_length: float,
    target_width: float,
    tolerance: float,
    front: float,
    left: float,
    first_diagonal: float,
    second_diagonal: float,
    back: float | None,
    right: float | None,
) -> CornerMoves:
    measured = Measured(
        front,
        front if back is None else back,
        left,
        left if right is None else right,
        first_diagonal,
        second_diagonal,
    )
    return corner_moves(target_length, target_width, measured, tolerance)


_RECTANGLE: Final = Group(
    "found",
    (
        length("target_length", "What front and back are to be", 0.05, 100.0),
        length("target_width", "What the sides are to be", 0.05, 100.0),
        length("tolerance", "Largest difference of a side or diagonal", 0.0005, 1.0),
        length("front", "Measured along the front", 0.05, 100.0),
        length("left", "Measured along the left side", 0.05, 100.0),
        length("first_diagonal", "Front left to back right", 0.05, 150.0),
        length("second_diagonal", "Front right to back left", 0.05, 150.0),
        _opposite("back", "front"),
        _opposite("right", "left"),
    ),
    _made,
)
_SOURCE: Final = (
    "Least squares over sides and diagonals, and Euclidean geometry; holding one side is common "
    "practice, no source"
)
# Front 3 ft, sides 4 ft, diagonals 5 ft: square; and with the back right corner 1 in to the right.
_RIGHT: Final = ("36", "48", "1/4", "36", "48", "60", "60")
_OUT: Final = ("36", "48", "1/4", "36", "48", "60.60528030", "60", "37", "48.01041554")


@worksheet_function(
    category="Checks",
    summary="Which corners of a measured rectangle to move, in words, or that it is right",
    arguments=(_RECTANGLE,),
    result=kinds.TEXT,
    source=_SOURCE,
    examples=(
        Example(_RIGHT, "pass"),
        Example(_OUT, 'move the back right corner 1" to the left; the others stay'),
        Example(
            ("36", "48", "1/4", "36", "48", "61", "60"),
            'the six lengths are 1/2" at odds: measure again before moving anything',
        ),
    ),
    details="Right and back as seen from the front. Corners that stay are within half the "
    "tolerance of their place, so that no length is then out by more than the tolerance.",
)
def corner_advice(found: CornerMoves, system: str) -> str:
    if not found.agree:
        apart = tape_words(found.misfit, system)
        return f"the six lengths are {apart} at odds: measure again before moving anything"
    if all(found.within):
        return "pass"
    moved = [(CORNERS[place], found.moves[place]) for place in found.to_move]
    if not moved:
        return "out by less than the six lengths agree: measure again"
    texts = [f"the {name} corner {_words(move, system)}" for name, move in moved]
    stay = [name for place, name in enumerate(CORNERS) if place not in found.to_move]
    others = "the others stay" if len(stay) > 1 else f"{stay[0]} stays"
    return f"move {'; '.join(texts)}; {others}"


@worksheet_function(
    category="Checks",
    summary="How far to move each corner of a measured rectangle",
    arguments=(_RECTANGLE,),
    result=Array(
        (
            Column("Corner", kinds.TEXT),
            Column("To the right", kinds.LENGTH),
            Column("To the back", kinds.LENGTH),
            Column("What to do", kinds.TEXT),
        )
    ),
    source=_SOURCE,
    examples=(
        Example(
            _OUT,
            "front left\t0\t0\tstays\nfront right\t0\t0\tstays\n"
            'back left\t0\t0\tstays\nback right\t-1\t0\t1" to the left',
        ),
    ),
    details="From where it stands to where it belongs, below zero to the left and to the front; "
    "the side that leaves the fewest corners to move is held.",
)
def corner_moves_(found: CornerMoves, system: str) -> list[Sequence[object]]:
    return [
        (
            name,
            _even(move.right),
            _even(move.back),
            _words(move, system) if place in found.to_move else "stays",
        )
        for place, (name, move) in enumerate(zip(CORNERS, found.moves, strict=True))
    ]


@worksheet_function(
    category="Checks",
    summary="Measured sides and diagonals against targets and against each other",
    arguments=(_RECTANGLE,),
    result=Array(
        (
            Column("Length", kinds.TEXT),
            Column("Target", kinds.LENGTH),
            Column("Over what the others say", kinds.LENGTH),
            Column("Result", kinds.TEXT),
        )
    ),
    source=_SOURCE,
    examples=(
        Example(
            _RIGHT,
            "front\t36\t0\tpass\nback\t36\t0\tpass\nleft\t48\t0\tpass\n"
            "right\t48\t0\tpass\nfirst diagonal\t60\t0\tpass\n"
            "second diagonal\t60\t0\tpass",
        ),
    ),
    details="The residual of the least squares: six lengths of four corners leave one over, whose "
    "error all of them share.",
)
def corner_fit(found: CornerMoves) -> list[Sequence[object]]:
    names = ("front", "back", "left", "right", "first diagonal", "second diagonal")
    rows = zip(names, found.targets, found.residuals, found.within, strict=True)
    return [
        (name, target, _even(residual), "pass" if within else "fail")
        for name, target, residual, within in rows
    ]


def _even(metres: float) -> float:
    """What the search for the least squares leaves of nothing, under a micrometre, is nothing."""
    return 0.0 if abs(metres) < 1e-6 else metres


def _words(move: Move, system: str) -> str:
    """Return such as ``1/2" to the right and 1/4" to the front``; what rounds to 0 is left out."""
    parts = (
        (move.right, "to the right" if move.right > 0.0 else "to the left"),
        (move.back, "to the back" if move.back > 0.0 else "to the front"),
    )
    least = 0.0005 if system == "metric" else 0.0254 / 32.0
    told = [f"{tape_words(abs(far), system)} {where}" for far, where in parts if abs(far) >= least]
    return " and ".join(told)


@worksheet_function(
    category="Checks",
    summary="Whether lengths measured in one or two places are within a tolerance, or what to do",
    arguments=(
        length("target", "Target length", 0.0, 200.0),
        length("tolerance", "Largest difference, up or down", 0.0, 10.0),
        _measured("measured", "Measured length; blank for not yet"),
        _measured("second", "Measured in a second place; blank for not yet"),
        Argument("over", kinds.TEXT, "What to do where it is too long", default=""),
        Argument("under", kinds.TEXT, "What to do where it is too short", default=""),
    ),
    result=kinds.TEXT,
    source="Arithmetic",
    examples=(
        Example(("64", "1/4", "64 1/8 in", "64"), "pass"),
        Example(
            ("4", "1/2", "4 in", "3 1/4 in", "take off", "fill and tamp"),
            'fail: second place 3/4" under: fill and tamp',
        ),
        Example(("64", "1/4"), ""),
    ),
)
def measure_advice(
    target: float,
    tolerance: float,
    measured: float | None,
    second: float | None,
    over: str,
    under: str,
    system: str,
) -> str:
    given = [one for one in (measured, second) if one is not None]
    if not given:
        return ""
    places = ("first place ", "second place ") if len(given) > 1 else ("", "")
    told, what = [], []
    for where, found in zip(places, given, strict=False):
        out = found - target
        if abs(out) > tolerance + 1e-9:
            told.append(f"{where}{tape_words(abs(out), system)} {'over' if out > 0.0 else 'under'}")
            what.append(over if out > 0.0 else under)
    if not told:
        return "pass"
    advice = "; ".join(dict.fromkeys(filter(None, what)))
    return f"fail: {', '.join(told)}{': ' if advice else ''}{advice}"


@worksheet_function(
    category="Checks",
    summary="A length as a tape has it, without a second unit",
    arguments=(Argument("value", kinds.LENGTH, "Length", -1000.0, 1000.0),),
    result=kinds.TEXT,
    source="Definition",
    examples=(
        Example(("64.5",), "5' 4 1/2\""),
        Example(("1612.5",), "1612.5 mm", units="metric"),
    ),
)
def tape_length(value: float, system: str) -> str:
    return tape_words(value, system)


@worksheet_function(
    category="Setting-out",
    summary="Top of each course of the basin's walls over the base",
    arguments=(LAYOUT, ROWS),
    result=Array((Column("Course", kinds.COUNT), Column("Top over the base", kinds.LENGTH))),
    source="Placed layout (see docs/setting_out.md)",
    examples=(
        Example(
            (
                '[["Inside length"],["Inside width"],["Block length"],["Block height"],'
                '["Block depth"],["Water depth"],["Freeboard"]]',
                "[[64],[46],[18],[4],[8],[6],[2]]",
            ),
            "1\t4\n2\t8",
        ),
    ),
)
def course_heights(spec: BasinSpec, rows: int | None) -> list[Sequence[object]]:
    return fitted(course_tops(solve(spec)), rows, 2)
