"""The Checks sheet: targets, tolerances, what was measured, pass or fail."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, NamedTuple

from basinbook.engine import kinds
from basinbook.engine.inspections import INSPECTIONS, NOT_HERE
from basinbook.workbook.template import style
from basinbook.workbook.template.actuals import put_actuals
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.formulas import (
    CLEAR_LENGTH,
    CLEAR_WIDTH,
    DEPTH_GIVEN,
    JOB,
    call,
    if_known,
    lookup,
    outfit_name,
    shown,
)
from basinbook.workbook.template.input_cells import fit_note
from basinbook.workbook.template.lines import tape
from basinbook.workbook.template.sheet_writer import Rows, Sheet, Template


class Measure(NamedTuple):
    """A size to measure: target (a name), tolerance (US, metric), and where to measure.

    there: formula text that is true where the job has what is measured.
    """

    label: str
    target: str
    tolerance: tuple[object, object]
    how: str
    there: str = ""


class Checked(NamedTuple):
    """Rows of the sheet: of the sizes and the tests by their labels.

    ``targets``: where the target of each size stands as a number; ``fall``: the most that the level
    may fall, likewise.
    """

    targets: Mapping[str, str]
    sizes: Mapping[str, int]
    tests: Mapping[str, int]
    fall: str


class Square(NamedTuple):
    """Four measured sizes that tell whether a rectangle is square, by their labels."""

    label: str
    length: str
    width: str
    first: str
    second: str


_LEVEL: Final = f'="At the operating level"&IF({outfit_name("pump")}="","",", pump running")'


def _is_typed(length: str) -> str:
    """Return formula text that is true where a length is typed that is more than nothing."""
    metres = call("CONVERTLENGTH", length, '"m"')
    return f"IFERROR({metres}>0,FALSE)"


# Tolerances: common practice, no source.
_MEASURED = (
    Measure(
        "Base thickness, tamped",
        outfit_name("base_thickness"),
        ("1/2", 12),
        "Dig a test hole at two corners",
        "N(Qty_Base_tamped)>0",
    ),
    Measure("Inside length, front", CLEAR_LENGTH, ("1/4", 6), "Clear distance at the front wall"),
    Measure("Inside length, back", CLEAR_LENGTH, ("1/4", 6), "Clear distance at the back wall"),
    Measure("Inside width, left", CLEAR_WIDTH, ("1/4", 6), "Clear distance at the left wall"),
    Measure("Inside width, right", CLEAR_WIDTH, ("1/4", 6), "Clear distance at the right wall"),
    Measure(
        "Inside diagonal, first", "Qty_Inside_diagonal", ("1/4", 6), "Front left to back right"
    ),
    Measure(
        "Inside diagonal, second", "Qty_Inside_diagonal", ("1/4", 6), "Front right to back left"
    ),
    Measure("Outside length", "Qty_Outside_length", ("3/8", 10), "Over the side walls"),
    Measure("Outside width", "Qty_Outside_width", ("3/8", 10), "Over front and back walls"),
    Measure(
        "Outside diagonal, first", "Qty_Outside_diagonal", ("3/8", 10), "Front left to back right"
    ),
    Measure(
        "Outside diagonal, second", "Qty_Outside_diagonal", ("3/8", 10), "Front right to back left"
    ),
    Measure("Wall height, highest corner", "Qty_Wall_height", ("1/4", 6), "Base to top of block"),
    Measure("Wall height, lowest corner", "Qty_Wall_height", ("1/4", 6), "Base to top of block"),
    Measure(
        "Cap overhang, front", "Qty_Cap_overhang", ("1/4", 6), "Past the outer face", 'Cap<>""'
    ),
    Measure(
        "Pipe space, clear",
        "Pipe_space",
        ("1/2", 12),
        "Between back wall and second wall",
        'Second_wall="yes"',
    ),
    Measure(
        "Pipe opening, width",
        "Pipe_opening",
        ("1/4", 6),
        "Between the blocks beside it",
        _is_typed("Pipe_opening"),
    ),
    Measure(
        "Access gap, width",
        "Access_gap",
        ("1/4", 6),
        "Between the blocks beside it",
        f'AND(Second_wall="yes",{_is_typed("Access_gap")})',
    ),
    Measure(
        "Liner lap, over the wall",
        "Liner_lap",
        ("1/4", 6),
        "From the inner face of the wall to the edge of the sheet",
        f'IFERROR({lookup("Liners", "type", "Liner")}="sheet",FALSE)',
    ),
    Measure("Water depth when full", "Water_depth", ("1/2", 12), _LEVEL),
)

_SQUARES = (
    Square(
        "Inside",
        "Inside length, front",
        "Inside width, left",
        "Inside diagonal, first",
        "Inside diagonal, second",
    ),
    Square(
        "Outside",
        "Outside length",
        "Outside width",
        "Outside diagonal, first",
        "Outside diagonal, second",
    ),
)
_HEADS = ("Measure", "Target", "Unit", "Tolerance", "Measured", "Result", "Where and how")
_TEST_HEADS = ("Test", "What is wanted", "", "", "Date, initials", "Result", "Remark")


def add_checks(template: Template) -> Checked:
    """Add the sheet, and return its rows."""
    sheet = template.sheet("Checks", [27, 16, 10, 12, 14, 12, 32], scale=78)
    sheet.title(
        "Check sheet",
        "To print and take along: measure as the work goes on, write beside the target, and sign.",
    )
    rows = sheet.rows(4)
    rows.section("Sizes", gap=0)
    sheet.row(rows.next(), "A", _HEADS, style.HEAD)
    first = rows.row + 1
    (targets,) = template.block(
        ["Target of a check"], [[_target(sheet, measure)] for measure in _MEASURED]
    )
    words = tape(template, targets, 1)
    sizes = {}
    wanted = {}
    for number, measure in enumerate(_MEASURED, start=1):
        sizes[measure.label] = rows.next()
        wanted[measure.label] = targets.cell(number, 1)
        _measure(sheet, rows.row, measure, wanted[measure.label], words.cell(number, 1))
    measured = {label: f"E{row}" for label, row in sizes.items()}
    _square(rows, measured)
    _liner(rows, measured)
    fall = _leak(rows)
    tests = _tests(rows)
    sheet.flag(f"F{first}:F{rows.row}", f'F{first}="fail"')
    rows.reach(put_cautions(sheet, rows.row + 2, "checks"))
    # For the office, when all is done.
    sheet.break_before(rows.row + 2)
    put_actuals(rows)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze=f"B{first}", titles="1:2")
    return Checked(wanted, sizes, tests, fall)


def _tests(rows: Rows) -> dict[str, int]:
    """Write tests and inspections: each has its row, which is returned, and says what is wanted."""
    sheet = rows.sheet
    sheet.break_before(rows.row + 2)
    rows.section("Tests and inspections")
    head = rows.next()
    sheet.row(head, "A", _TEST_HEADS, style.HEAD)
    sheet.merge(f"B{head}:D{head}")
    table = sheet.template.table(call("INSPECTIONS", *JOB), len(INSPECTIONS), 2, DEPTH_GIVEN)
    found = {}
    for number, test in enumerate(INSPECTIONS, start=1):
        row = found[test.label] = rows.next()
        sheet.put(f"A{row}", test.label, style.BOX)
        sheet.merge(f"B{row}:D{row}")
        sheet.put(f"B{row}", shown(table.cell(number, 2)), style.BOX)
        for column in "CD":
            sheet.put(f"{column}{row}", None, style.BOX)
        for column in "EFG":
            sheet.put(f"{column}{row}", None, style.INPUT_TEXT)
        sheet.list_of(f"F{row}", ("pass", "fail", "not needed"))
        sheet.height(row, 25)
    sheet.quiet(f"A{head + 1}:D{rows.row}", f'$B{head + 1}="{NOT_HERE}"')
    return found


def _target(sheet: Sheet, measure: Measure) -> str:
    """Return a formula of a target in the workbook's unit of length, blank where it is none."""
    # A number is in that unit already.
    converted = call("CONVERTLENGTH", measure.target, f'"{sheet.unit(kinds.LENGTH)}"')
    size = f"IF(ISNUMBER({measure.target}),{measure.target},{converted})"
    return if_known(f'IF({measure.there},{size},"")' if measure.there else size)


def _measure(sheet: Sheet, row: int, measure: Measure, target: str, words: str) -> None:
    """Write a row: the target as the tape has it; what was measured is judged by its number."""
    sheet.put(f"A{row}", measure.label, style.BOX)
    sheet.put(f"B{row}", shown(words), style.BOX_NUMBER)
    sheet.put(f"C{row}", sheet.unit(kinds.LENGTH), style.UNIT)
    sheet.put(f"D{row}", measure.tolerance[1 if sheet.metric else 0], style.INPUT)
    sheet.put(f"E{row}", None, style.INPUT)
    result = call("WITHINTOLERANCE", target, f"D{row}", f"E{row}")
    sheet.put(
        f"F{row}",
        f'=IF(OR(E{row}="",{target}=""),"",IFERROR({result},"read again"))',
        style.RESULT_TEXT,
    )
    sheet.put(f"G{row}", measure.how, style.NOTE)
    fit_note(sheet, row, "" if measure.how.startswith("=") else measure.how, "G")


def _square(rows: Rows, measured: Mapping[str, str]) -> None:
    """Square check: shift of the back from the two measured diagonals."""
    sheet = rows.sheet
    rows.section("Square: equal diagonals, or how far the back stands to the right")
    sides = [
        [f"'{sheet.worksheet.title}'!{measured[label]}" for label in square[1:]]
        for square in _SQUARES
    ]
    all_four = ["AND(" + ",".join(f'{cell}<>""' for cell in cells) + ")" for cells in sides]
    (shifts,) = sheet.template.block(
        ["Shift of the back"],
        [
            [f'=IF({there},IFERROR({call("SQUARESHIFT", *cells)},""),"")']
            for there, cells in zip(all_four, sides, strict=True)
        ],
    )
    words = tape(sheet.template, shifts, 1)
    for number, square in enumerate(_SQUARES, start=1):
        row, shift = rows.next(), shifts.cell(number, 1)
        sheet.put(f"A{row}", f"{square.label}: shift of the back", style.BOX)
        unread = f'IF({all_four[number - 1]},"read again","measure all four")'
        sheet.put(
            f"B{row}",
            f"=IF(ISNUMBER({shift}),{words.cell(number, 1)},{unread})",
            style.RESULT,
        )
        sheet.height(row, 28)
        sheet.put(f"C{row}", sheet.unit(kinds.LENGTH), style.UNIT)
        sheet.put(f"D{row}", 6 if sheet.metric else "1/4", style.INPUT)
        sheet.put(f"E{row}", None, style.BOX)
        within = call("WITHINTOLERANCE", "0", f"D{row}", f"ABS({shift})")
        sheet.put(f"F{row}", f'=IF(ISNUMBER({shift}),{within},"")', style.RESULT_TEXT)
        sheet.put(f"G{row}", "Move the back wall to the left where it is above zero", style.NOTE)


def _leak(rows: Rows) -> str:
    """How far the level may fall in the leak test before evaporation no longer explains it.

    Returns where that stands as a number.
    """
    sheet, unit = rows.sheet, rows.sheet.unit(kinds.LENGTH)
    rows.section("Leak test: nothing runs, no rain, no filling")
    row = rows.next()
    threshold = call("LEAKTHRESHOLD", "Evaporation*Leak_hours/24", "Leak_hours", '"computed"')
    (most,) = sheet.template.block(["Most the level may fall"], [[f'=IFERROR({threshold},"")']])
    fall = most.cell(1, 1)
    sheet.put(f"A{row}", '="Most the level may fall in "&Leak_hours&" h"', style.BOX)
    words = tape(sheet.template, most, 1).cell(1, 1)
    sheet.put(f"B{row}", f'=IF(ISNUMBER({fall}),{words},"-")', style.RESULT)
    sheet.put(f"C{row}", unit, style.UNIT)
    sheet.put(f"D{row}", None, style.BOX)
    sheet.put(f"E{row}", None, style.INPUT)
    fallen = call("CONVERTLENGTH", f"E{row}", f'"{unit}"')
    sheet.put(
        f"F{row}",
        f'=IF(OR(E{row}="",NOT(ISNUMBER({fall}))),"",'
        f'IFERROR(IF({fallen}<={fall},"pass","fail"),"read again"))',
        style.RESULT_TEXT,
    )
    sheet.put(
        f"G{row}",
        "Evaporation of the sheet of losses, k = 2; a bucket in the basin tells more closely",
        style.NOTE,
    )
    sheet.height(row, 28)
    return fall


def _liner(rows: Rows, measured: Mapping[str, str]) -> None:
    """The preformed liner against what was measured, at the tighter of each pair."""
    sheet = rows.sheet
    rows.section("Liner against the measured clear distances")
    row = rows.next()
    length_cells = [measured["Inside length, front"], measured["Inside length, back"]]
    width_cells = [measured["Inside width, left"], measured["Inside width, right"]]
    there = ",".join(f'{cell}<>""' for cell in (*length_cells, *width_cells))
    nominal = (lookup("Liners", "length", "Liner"), lookup("Liners", "width", "Liner"))
    fits = [
        call("LINERFIT", length, width, *nominal, "Liner_tolerance")
        for length, width in zip(length_cells, width_cells, strict=True)
    ]
    sheet.put(f"A{row}", "Liner fit as built", style.BOX)
    sheet.merge(f"B{row}:F{row}")
    preformed = f'{lookup("Liners", "type", "Liner")}="preformed"'
    sheet.put(
        f"B{row}",
        f'=IFERROR(IF(NOT({preformed}),"cut from sheet",IF(AND({there}),'
        f'"front and left: "&{fits[0]}&"; back and right: "&{fits[1]},"measure all four")),'
        '"choose a liner on the Basin sheet")',
        style.RESULT_TEXT,
    )
    for column in "CDEF":
        sheet.put(f"{column}{row}", None, style.RESULT_TEXT)
    note = f'=IFERROR(IF({preformed},"A preformed liner wants its nominal inside size",""),"")'
    sheet.put(f"G{row}", note, style.NOTE)
    sheet.height(row, 28)
