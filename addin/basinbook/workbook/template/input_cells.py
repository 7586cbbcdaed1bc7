"""Cells to type in: one way for every sheet to write an input, with its limits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from textwrap import wrap
from typing import Final

from basinbook.catalogue import function
from basinbook.engine import kinds
from basinbook.engine.inputs import Input
from basinbook.units import from_si, one_system, shown_range
from basinbook.workbook.template import style
from basinbook.workbook.template.formulas import applies, call, quoted, shown
from basinbook.workbook.template.inputs import BY_NAME
from basinbook.workbook.template.sheet_writer import COUNT, PERCENT, Rows, Sheet

IDLE: Final = "Not in this job"
_NOT_ALLOWED: Final = "allowed: "
_NO_LENGTH: Final = "not a length"
# Room for rounding where a limit is typed in another unit than the one it is held in.
_SLACK: Final = 1e-9
# Read from the left; numbers from the right.
WORDS: Final = (kinds.TEXT, kinds.CHOICE, kinds.DATE)
# Money as it is typed: a price may have more digits than a sum.
_MONEY: Final = "#,##0.00##"
# Characters of a note, and of a choice, for each of a column's width, which counts digits.
_NOTE: Final = 1.3
_CHOICE: Final = 1.15


def limits(given: Input) -> tuple[float | None, float | None]:
    """Return the least and the greatest value of an input (SI), its own or its argument's."""
    if not given.like:
        return given.low, given.high
    of, _, name = given.like.partition(".")
    (declared,) = (argument for argument in function(of).arguments if argument.name == name)
    return declared.low, declared.high


def put_cell(sheet: Sheet, cell: str, given: Input, name: str, start: object = None) -> None:
    """Write the cell that an input is typed in, with what it may take and its note on hovering."""
    number_format = ""
    if given.percent:
        number_format = PERCENT
    elif given.kind is kinds.MONEY:
        number_format = _MONEY
    elif given.kind is kinds.DATE:
        number_format = "yyyy-mm-dd"
    elif given.kind is kinds.COUNT:
        number_format = COUNT
    elif given.kind is kinds.TEXT and not (given.choices or given.rows_of):
        number_format = style.as_typed(start)
    sheet.put(
        cell,
        start,
        style.INPUT_TEXT if given.kind in WORDS else style.INPUT,
        number_format=number_format,
        name=name,
    )
    _limit(sheet, cell, given)
    if given.help:
        sheet.hint(cell, given.label, help_of(given, sheet))


def help_of(given: Input, sheet: Sheet) -> str:
    """Return what helps with an input, with its lengths in the workbook's units alone."""
    return one_system(given.help, sheet.system)


def _limit(sheet: Sheet, cell: str, given: Input) -> None:
    """Refuse what an input can't be; lengths, in all their spellings, have a message beside."""
    low, high = limits(given)
    if given.choices:
        sheet.list_of(cell, given.choices)
    elif given.rows_of:
        sheet.list_of(cell, f"{given.rows_of}_name")
    elif low is None or high is None or given.kind is kinds.LENGTH:
        return
    elif given.kind is kinds.COUNT:
        sheet.whole_number(cell, int(low), int(high))
    elif given.percent or given.kind is kinds.MONEY:
        sheet.decimal(cell, low, high)
    else:
        least, most = (from_si(end, given.kind, sheet.system) for end in (low, high))
        allowed = shown_range(low, high, given.kind, sheet.system)
        sheet.number_or_text(cell, least, most, allowed)


def unit_text(sheet: Sheet, given: Input) -> str | None:
    """Return what stands in the column of units beside an input."""
    if given.kind is kinds.MONEY:
        return f'=Currency&"{given.per}"' if given.per else "=Currency"
    return sheet.unit(given.kind) or given.per or None


def read_as(sheet: Sheet, cell: str, given: Input) -> str:
    """Return a formula that echoes a length as it is read, or says what is allowed."""
    low, high = limits(given)
    echo = call("READLENGTH", cell)
    if low is not None and high is not None:
        metres = call("CONVERTLENGTH", cell, '"m"')
        within = f"AND({metres}>={low * (1 - _SLACK):.12g},{metres}<={high * (1 + _SLACK):.12g})"
        allowed = shown_range(low, high, given.kind, sheet.system)
        echo = f'IF({within},{echo},"{_NOT_ALLOWED}{allowed}")'
    return f'=IFERROR(IF({cell}="","",{echo}),"{_NO_LENGTH}")'


def flag_unread(sheet: Sheet, cell: str) -> None:
    """Have an echo stand out where a length can't be read or is not allowed."""
    wrong = f'OR({cell}="{_NO_LENGTH}",LEFT({cell},{len(_NOT_ALLOWED)})="{_NOT_ALLOWED}")'
    sheet.flag(cell, wrong)


def put_inputs(
    rows: Rows,
    title: str,
    inputs: Sequence[Input],
    gap: int = 1,
    notes: Mapping[str, str] | None = None,
) -> None:
    """Write a section of inputs: label, cell, unit, length as it is read, note to the edge.

    ``notes``: formula texts of notes that take the place of an input's own, by its name.
    """
    rows.section(title, gap)
    lengths = any(given.kind is kinds.LENGTH for given in inputs)
    for given in inputs:
        note = "E" if lengths or rows.sheet.last == "E" else "D"
        put_input(rows, given, note, (notes or {}).get(given.name, ""))


def put_input(rows: Rows, given: Input, note: str = "E", told: str = "") -> None:
    """Write one input into the next row; its note, or what is told in its place, from a column.

    On another sheet than its own its value is shown, and where it is typed.
    """
    row = rows.next()
    if not of_sheet(rows.sheet, given):
        put_shown(rows.sheet, row, given, note)
        return
    put_cell(rows.sheet, f"B{row}", given, given.name, given.start(rows.sheet.system))
    put_beside(rows.sheet, row, given, note, told)


def of_sheet(sheet: Sheet, given: Input) -> bool:
    """Return whether an input is typed on this sheet."""
    return sheet.worksheet.title == given.sheet


def put_shown(sheet: Sheet, row: int, given: Input, note: str = "E") -> None:
    """Show an input that is typed on another sheet: label, value, unit, a note from a column."""
    role = style.RESULT_TEXT if given.kind in WORDS else style.RESULT
    sheet.put(f"A{row}", given.label, style.LABEL)
    sheet.put(f"B{row}", shown(given.name), role)
    sheet.put(f"C{row}", unit_text(sheet, given), style.UNIT)
    if sheet.last != note:
        sheet.merge(f"{note}{row}:{sheet.last}{row}")
    sheet.put(f"{note}{row}", f"Typed on the {given.sheet} sheet", style.NOTE)


def put_beside(sheet: Sheet, row: int, given: Input, note: str = "E", told: str = "") -> None:
    """Write what stands beside an input's cell: label, unit, length as it is read, note.

    The length has the columns from D to the note, the note those to the sheet's edge. ``told`` is
    formula text that takes the note's place.
    """
    first = sheet.letters.index(note)
    sheet.put(f"A{row}", given.label, style.LABEL)
    sheet.put(f"C{row}", unit_text(sheet, given), style.UNIT)
    if given.kind is kinds.LENGTH:
        before = sheet.letters[first - 1]
        if before != "D":
            sheet.merge(f"D{row}:{before}{row}")
        sheet.put(f"D{row}", read_as(sheet, f"B{row}", given), style.UNIT)
        flag_unread(sheet, f"D{row}")
    if sheet.last != note:
        sheet.merge(f"{note}{row}:{sheet.last}{row}")
    help = help_of(given, sheet)
    sheet.put(f"{note}{row}", f"={told}" if told else help or None, style.NOTE)
    fit_note(sheet, row, help, note)
    if max(map(len, given.choices), default=0) > _CHOICE * sheet.width("B"):
        sheet.height(row, max(26, sheet.worksheet.row_dimensions[row].height or 0))
    if given.when:
        needs = given.when[0].split(" or ")[0]
        put_idle(sheet, row, f"NOT({applies(given.when)})", needs, told or quoted(help), note)


def put_idle(sheet: Sheet, row: int, absent: str, needs: str, told: str, note: str = "E") -> None:
    """Grey a row of what is not in the job, and say so in its note, beside what it hangs on.

    absent: formula text of whether it is not; needs: the name of the cell that decides on it;
    told: formula text of the note of a job that has it.
    """
    given = BY_NAME[needs]
    where = "" if of_sheet(sheet, given) else f" on the {given.sheet} sheet"
    idle = f'"{IDLE}: see {given.label}{where}"'
    sheet.put(f"{note}{row}", f"=IFERROR(IF({absent},{idle},{told}),{told})", style.NOTE)
    sheet.idle(f"A{row}:D{row}", f'LEFT(${note}${row},{len(IDLE)})="{IDLE}"')


def fit_note(sheet: Sheet, row: int, text: str, first: str) -> None:
    """Give a row as many lines as a note from a column to the sheet's edge needs."""
    room = int(_NOTE * sheet.width(sheet.letters[sheet.letters.index(first) :]))
    lines = len(wrap(text, room))
    if lines > 1:
        sheet.height(row, 13 * lines)
