"""The Setting plan, Steps, Pieces and Cuts sheets: what the crew builds from."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue import function
from basinbook.catalogue.model import Array, Column
from basinbook.engine import kinds
from basinbook.engine.cautions import caution
from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import caution_text, put_cautions
from basinbook.workbook.template.formulas import DEPTH_GIVEN, JOB, call, shown
from basinbook.workbook.template.lines import tape
from basinbook.workbook.template.sheet_writer import Rows, Template

RUN_ROWS = 120
PIECE_ROWS = 320
CUT_ROWS = 40

STEP_ROWS = 44
# Characters in a line of a step: those that its columns hold in print.
STEP_WIDTH = 170


def _array_sheet(
    rows: Rows, lines: str, name: str, arguments: Sequence[str], count: int, headed_by: str = ""
) -> None:
    """Write the headings of an array function and its cells under them, lengths as on the tape.

    lines: the name of its cells. headed_by: the function that has lengths where this one has texts
    of them.
    """
    sheet, head = rows.sheet, rows.next()
    cells = rows.take(count)
    headed, own = (_columns(one) for one in (headed_by or name, name))
    table = sheet.template.table(call(name, *arguments), count, len(own), DEPTH_GIVEN)
    for index, (letter, column) in enumerate(zip(sheet.letters, headed, strict=True), start=1):
        length = column.kind is kinds.LENGTH
        # Feet and inches have their marks.
        unit = "" if length and not sheet.metric else sheet.unit(column.kind)
        sheet.put(f"{letter}{head}", f"{column.name}, {unit}" if unit else column.name, style.HEAD)
        number = column.kind.has_unit or column.kind is kinds.COUNT
        plain = own[index - 1].kind is kinds.LENGTH
        at, place = (tape(sheet.template, table, index), 1) if plain else (table, index)
        for line, row in enumerate(cells, start=1):
            sheet.put(
                f"{letter}{row}",
                shown(at.cell(line, place)),
                style.LINE_NUMBER if number else style.LINE,
                number_format=sheet.number_format(column.kind) if number else "",
            )
    # Boxes stand round what is there: a list has room for the longest, and rows without content
    # print as blank paper, which programs leave out, and not as a grid.
    sheet.name(lines, f"$A${cells[0]}:${sheet.last}${cells[-1]}")
    sheet.ground(f"A{cells[0]}:{sheet.last}{cells[-1]}", f"LEN($A{cells[0]})>0", style.BOX)
    sheet.height(head, 30)


def _columns(name: str) -> tuple[Column, ...]:
    declared = function(name)
    assert isinstance(declared.result, Array)
    return declared.result.columns


def add_setting_plan(template: Template) -> None:
    """Add the setting plan: one line for each wall of each course."""
    sheet = template.sheet("Setting plan", [8, 16, 9, 10, 10, 7, 6, 37, 31, 26], landscape=True)
    sheet.title("Setting plan")
    sheet.merge("A3:J3")
    sheet.put(
        "A3",
        "Pieces in order from left to right, seen from the front; of side walls and returns, from "
        "front to back. Starts at: from the outside front left corner. Numbers as on the drawings. "
        "Cautions and the order of work: Steps sheet.",
        style.NOTE,
    )
    sheet.height(3, 28)
    sheet.merge("A4:J4")
    sheet.put("A4", '=IF(Layout_notes="","",Layout_notes)', style.STRONG)
    sheet.name("Plan_note", "$A$4")
    rows = sheet.rows(5)
    _array_sheet(
        rows, "Plan_lines", "SETTINGRUNS", ("Job_labels", "Job_values", str(RUN_ROWS)), RUN_ROWS
    )
    sheet.finish(f"A1:J{rows.row}", freeze="C6", titles="5:5")


def add_steps(template: Template) -> None:
    """Add cautions and steps, worked out from the job: a row holds one line of a step."""
    sheet = template.sheet("Steps", [8, *(8 * [19])], landscape=True)
    sheet.title("Steps", "The order of work, with what to mind. Nothing is typed here.")
    rows = sheet.rows(4)
    rows.reach(put_cautions(sheet, rows.row + 1, "setting plan"))
    rows.section("Steps")
    arguments = (*JOB, str(STEP_WIDTH), str(STEP_ROWS))
    table = sheet.template.table(call("SETTINGSTEPS", *arguments), STEP_ROWS, 2, DEPTH_GIVEN)
    for line, row in enumerate(rows.take(STEP_ROWS), start=1):
        sheet.put(f"A{row}", shown(table.cell(line, 1)), style.STEP)
        sheet.merge(f"B{row}:{sheet.last}{row}")
        sheet.put(f"B{row}", shown(table.cell(line, 2)), style.LABEL)
        sheet.height(row, 14)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze="A3", titles="1:2")


def add_pieces(template: Template) -> None:
    """Add the list of all pieces, each with its place."""
    sheet = template.sheet("Pieces", [12, 8, 16, 10, 9, 10, 10, 10, 10, 22])
    sheet.title("Pieces")
    sheet.merge("A3:J3")
    sheet.put(
        "A3",
        "Where each piece lies: x to the right, y to the back from the outside front left corner, "
        "z up from the top of the base, each to the piece's nearest corner.",
        style.NOTE,
    )
    sheet.height(3, 28)
    arguments = ("Job_labels", "Job_values", "1", str(PIECE_ROWS))
    rows = sheet.rows(4)
    _array_sheet(rows, "Piece_lines", "PIECELIST", arguments, PIECE_ROWS, "SETTINGPLAN")
    sheet.finish(f"A1:J{rows.row}", freeze="C5", titles="4:4")


def add_cuts(template: Template) -> None:
    """Add the cut list."""
    sheet = template.sheet("Cuts", [14, 14, 12, 40, 30])
    sheet.title("Cuts")
    sheet.merge("A3:E3")
    sheet.put(
        "A3",
        '="To print for the saw: nothing is typed here. Cut in this order."'
        '&IF(N(Courses_laid)>0," Only what is still to lay is listed.","")',
        style.NOTE,
    )
    sheet.merge("A4:E4")
    sheet.put("A4", caution_text(sheet, caution("silica dust")), style.CAUTION_SOMETIMES)
    sheet.ground("A4:E4", '$A$4<>""', style.CAUTION)
    sheet.height(4, 44)
    arguments = ("Job_labels", "Job_values", str(CUT_ROWS))
    rows = sheet.rows(5)
    _array_sheet(rows, "Cut_lines", "CUTLIST", arguments, CUT_ROWS)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze="A6", titles="1:2")
