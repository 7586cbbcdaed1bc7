"""The Checks sheet: targets, tolerances, what was measured, pass or fail."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.formulas import call, lookup, when_ready
from basinbook.workbook.template.sheet_writer import Sheet, Template, fixed_format

LAST = "G"

# Check, target (name), tolerance (us, metric), how. Tolerances: common practice, no source.
_MEASURED = (
    ("Base thickness, tamped", "Base_thickness", ("1/2", 12), "Dig a test hole at two corners"),
    ("Inside length, front", "Inside_length", ("1/4", 6), "Clear distance at the front wall"),
    ("Inside length, back", "Inside_length", ("1/4", 6), "Clear distance at the back wall"),
    ("Inside width, left", "Inside_width", ("1/4", 6), "Clear distance at the left wall"),
    ("Inside width, right", "Inside_width", ("1/4", 6), "Clear distance at the right wall"),
    ("Inside diagonal, first", "Qty_Inside_diagonal", ("1/4", 6), "Front left to back right"),
    ("Inside diagonal, second", "Qty_Inside_diagonal", ("1/4", 6), "Front right to back left"),
    ("Outside length", "Qty_Outside_length", ("3/8", 10), "Over the side walls"),
    ("Outside width", "Qty_Outside_width", ("3/8", 10), "Over front and back walls"),
    ("Outside diagonal, first", "Qty_Outside_diagonal", ("3/8", 10), "Front left to back right"),
    ("Outside diagonal, second", "Qty_Outside_diagonal", ("3/8", 10), "Front right to back left"),
    ("Wall height, highest corner", "Qty_Wall_height", ("1/4", 6), "Base to top of block"),
    ("Wall height, lowest corner", "Qty_Wall_height", ("1/4", 6), "Base to top of block"),
    ("Cap overhang, front", "Qty_Cap_overhang", ("1/4", 6), "Caps overhang equally"),
    ("Water depth when full", "Water_depth", ("1/2", 12), "At the operating level, pump running"),
)

_TESTS = (
    ("Before digging", "Buried lines located and marked"),
    ("Base", "A footstep leaves no mark; levelled again"),
    ("Blocks", "Joints of the course below covered; corners alternate"),
    ("Pipe opening", "Below the water line; bridged by a whole block; blocks above loose"),
    ("Liner", "No folds under tension; flaps on the wall; outer edge bare for adhesive"),
    ("Bulkhead fitting", "Hand tight, then about a sixth of a turn"),
    ("First filling", "Stopped below the fitting until the pipe is closed"),
    ("Leak test", "Level marked, pump off, 24 hours; drop compared with evaporation"),
    ("Pump", "Runs; ground-fault protection trips when tested; cord reachable"),
    ("Caps", "Overhang equal, glued, nothing rocks"),
    ("Hand-over", "Client shown shut-off, draining for frost, and cautions"),
)


def add_checks(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Checks", [30, 16, 7, 12, 14, 12, 38], pages=1)
    sheet.title("Check sheet")
    unit = sheet.unit(kinds.LENGTH)
    sheet.section(4, "Sizes")
    sheet.row(
        5,
        "A",
        ("Measure", "Target", "Unit", "Tolerance", "Measured", "Result", "Where and how"),
        style.HEAD,
    )
    row, rows = 5, {}
    for label, target, tolerance, how in _MEASURED:
        row += 1
        rows[label] = row
        _measure(sheet, row, label, target, tolerance[1 if sheet.metric else 0], how)
    row = _square(sheet, row + 2, rows, unit)
    row = _liner(sheet, row + 2, rows)
    row = _leak(sheet, row + 2)
    sheet.section(row + 2, "Tests and inspections")
    row += 3
    sheet.row(
        row,
        "A",
        ("Test", "What is wanted", "", "", "Date, initials", "Result", "Remark"),
        style.HEAD,
    )
    sheet.merge(f"B{row}:D{row}")
    for label, wanted in _TESTS:
        row += 1
        sheet.put(f"A{row}", label, style.BOX)
        sheet.merge(f"B{row}:D{row}")
        sheet.put(f"B{row}", wanted, style.BOX)
        for column in "CD":
            sheet.put(f"{column}{row}", None, style.BOX)
        for column in "EFG":
            sheet.put(f"{column}{row}", None, style.INPUT_TEXT)
        sheet.list_of(f"F{row}", ("pass", "fail", "not needed"))
        sheet.height(row, 40 if len(wanted) > 60 else 28)
    sheet.flag(f"F6:F{row}", 'F6="fail"')
    row = put_cautions(sheet, row + 2, "checks")
    sheet.finish(f"A1:G{row}", freeze="B6", titles="1:2")


def _measure(sheet: Sheet, row: int, label: str, target: str, tolerance: object, how: str) -> None:
    unit = sheet.unit(kinds.LENGTH)
    sheet.put(f"A{row}", label, style.BOX)
    shown = when_ready(call("CONVERTLENGTH", target, f'"{unit}"'))
    sheet.put(f"B{row}", shown, style.BOX_NUMBER, number_format=sheet.number_format(kinds.LENGTH))
    sheet.put(f"C{row}", unit, style.UNIT)
    sheet.put(f"D{row}", tolerance, style.INPUT)
    sheet.put(f"E{row}", None, style.INPUT)
    result = call("WITHINTOLERANCE", f"B{row}", f"D{row}", f"E{row}")
    sheet.put(f"F{row}", f'=IF(E{row}="","",IFERROR({result},"read again"))', style.RESULT_TEXT)
    sheet.put(f"G{row}", how, style.NOTE)


def _square(sheet: Sheet, row: int, rows: dict[str, int], unit: str) -> int:
    """Square check: shift of the back from the two measured diagonals."""
    sheet.section(row, "Square: equal diagonals, or how far the back stands to the right")
    for label, side, width, first, second in (
        (
            "Inside",
            "Inside length, front",
            "Inside width, left",
            "Inside diagonal, first",
            "Inside diagonal, second",
        ),
        (
            "Outside",
            "Outside length",
            "Outside width",
            "Outside diagonal, first",
            "Outside diagonal, second",
        ),
    ):
        row += 1
        cells = [f"E{rows[name]}" for name in (side, width, first, second)]
        there = ",".join(f'{cell}<>""' for cell in cells)
        shift = call("SQUARESHIFT", *cells)
        sheet.put(f"A{row}", f"{label}: shift of the back", style.BOX)
        sheet.put(
            f"B{row}",
            f'=IF(AND({there}),IFERROR({shift},"read again"),"measure all four")',
            style.RESULT,
            number_format=sheet.number_format(kinds.LENGTH),
        )
        sheet.height(row, 28)
        sheet.put(f"C{row}", unit, style.UNIT)
        sheet.put(f"D{row}", 6 if sheet.metric else "1/4", style.INPUT)
        sheet.put(f"E{row}", None, style.BOX)
        within = call("WITHINTOLERANCE", "0", f"D{row}", f"ABS(B{row})")
        sheet.put(f"F{row}", f'=IF(ISNUMBER(B{row}),{within},"")', style.RESULT_TEXT)
        sheet.put(f"G{row}", "Move the back wall to the left where it is above zero", style.NOTE)
    return row


def _leak(sheet: Sheet, row: int) -> int:
    """How far the level may fall in the leak test before evaporation no longer explains it."""
    unit = sheet.unit(kinds.LENGTH)
    sheet.section(row, "Leak test: pump off, no rain, no filling")
    row += 1
    threshold = call("LEAKTHRESHOLD", "Evaporation*Leak_hours/24", "Leak_hours", '"computed"')
    sheet.put(f"A{row}", '="Most the level may fall in "&Leak_hours&" h"', style.BOX)
    sheet.put(
        f"B{row}",
        f'=IFERROR({threshold},"-")',
        style.RESULT,
        number_format=fixed_format(1 if sheet.metric else 2),
    )
    sheet.put(f"C{row}", unit, style.UNIT)
    sheet.put(f"D{row}", None, style.BOX)
    sheet.put(f"E{row}", None, style.INPUT)
    fallen = call("CONVERTLENGTH", f"E{row}", f'"{unit}"')
    sheet.put(
        f"F{row}",
        f'=IF(OR(E{row}="",NOT(ISNUMBER(B{row}))),"",'
        f'IFERROR(IF({fallen}<=B{row},"pass","fail"),"read again"))',
        style.RESULT_TEXT,
    )
    sheet.put(
        f"G{row}",
        "From the evaporation on the sheet of losses; a bucket in the basin tells more closely",
        style.NOTE,
    )
    sheet.height(row, 28)
    return row


def _liner(sheet: Sheet, row: int, rows: dict[str, int]) -> int:
    """The preformed liner against what was measured, at the tighter of each pair."""
    sheet.section(row, "Liner against the measured clear distances")
    row += 1
    length_cells = [f"E{rows['Inside length, front']}", f"E{rows['Inside length, back']}"]
    width_cells = [f"E{rows['Inside width, left']}", f"E{rows['Inside width, right']}"]
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
        '"choose a liner on the Job sheet")',
        style.RESULT_TEXT,
    )
    for column in "CDEF":
        sheet.put(f"{column}{row}", None, style.RESULT_TEXT)
    sheet.put(f"G{row}", "A preformed liner wants its nominal inside size", style.NOTE)
    sheet.height(row, 28)
    return row
