"""How cells look: a small set of roles, legible in black and white."""

from __future__ import annotations

from dataclasses import dataclass

from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side

# Widths in all programs follow a font that is there, or has a twin, on every machine.
FONT = "Arial"
_INK = "22303C"
_SLATE = "3A4A58"
_RULE = "B8C0C7"
# The edge of a cell to type in: on white 3 to 1 and more (WCAG 2.2, 1.4.11), so that grey shows it.
_TYPED_RULE = "77828C"
_QUIET = "5C6770"
_INPUT_FILL = "FFF6DC"
_HEAD_FILL = "E3E8EC"
_RESULT_FILL = "F3F5F7"
_CAUTION_FILL = "FBE9E1"

_thin = Side(style="thin", color=_RULE)
_dark = Side(style="medium", color=_SLATE)
_box = Border(left=_thin, right=_thin, top=_thin, bottom=_thin)
_edge = Side(style="thin", color=_TYPED_RULE)
_typed_box = Border(left=_edge, right=_edge, top=_edge, bottom=_edge)


def _fill(colour: str) -> PatternFill:
    return PatternFill("solid", start_color=colour, end_color=colour)


@dataclass(frozen=True)
class Role:
    """What a cell is for; its look and whether the estimator types into it follow."""

    font: Font
    fill: PatternFill | None = None
    border: Border | None = None
    alignment: Alignment | None = None
    typed: bool = False


_left = Alignment(vertical="center")
_wrap = Alignment(horizontal="left", vertical="center", wrap_text=True)
# Words in a box stand off its line, and off the number to the left.
_boxed = Alignment(horizontal="left", vertical="center", wrap_text=True, indent=1)
_top = Alignment(vertical="top", wrap_text=True)
_right = Alignment(horizontal="right", vertical="center")
_centre = Alignment(horizontal="center", vertical="center", wrap_text=True)

TITLE = Role(Font(FONT, size=16, bold=True, color=_INK), alignment=_left)
SECTION = Role(
    Font(FONT, size=11, bold=True, color=_INK),
    _fill(_HEAD_FILL),
    Border(bottom=_dark),
    _left,
)
LABEL = Role(Font(FONT, size=10, color=_INK), alignment=_wrap)
STRONG = Role(Font(FONT, size=10, bold=True, color=_INK), alignment=_wrap)
# The number of a step, beside its first line.
STEP = Role(
    Font(FONT, size=10, bold=True, color=_INK),
    alignment=Alignment(horizontal="right", vertical="center", indent=1),
)
NOTE = Role(Font(FONT, size=9, italic=True, color=_SLATE), alignment=_wrap)
NOTE_TOP = Role(Font(FONT, size=9, italic=True, color=_SLATE), alignment=_top)
TEXT = Role(Font(FONT, size=10, color=_INK), alignment=_top)
HEAD = Role(Font(FONT, size=9, bold=True, color=_INK), _fill(_HEAD_FILL), _box, _centre)
INPUT = Role(Font(FONT, size=10, color=_INK), _fill(_INPUT_FILL), _typed_box, _right, typed=True)
INPUT_TEXT = Role(
    Font(FONT, size=10, color=_INK), _fill(_INPUT_FILL), _typed_box, _boxed, typed=True
)
RESULT = Role(Font(FONT, size=10, color=_INK), _fill(_RESULT_FILL), _box, _right)
RESULT_TEXT = Role(Font(FONT, size=10, color=_INK), _fill(_RESULT_FILL), _box, _boxed)
RESULT_STRONG = Role(Font(FONT, size=11, bold=True, color=_INK), _fill(_HEAD_FILL), _box, _right)
UNIT = Role(
    Font(FONT, size=9, color=_SLATE),
    alignment=Alignment(horizontal="left", vertical="center", indent=1),
)
# What belongs to the cell above it.
ASIDE = Role(
    Font(FONT, size=9, italic=True, color=_SLATE),
    alignment=Alignment(horizontal="right", vertical="center"),
)
BOX = Role(Font(FONT, size=10, color=_INK), None, _box, _boxed)
BOX_NUMBER = Role(Font(FONT, size=10, color=_INK), None, _box, _right)
# Cells of a list that may be shorter: their box comes with what is in them.
LINE = Role(Font(FONT, size=10, color=_INK), None, None, _boxed)
LINE_NUMBER = Role(Font(FONT, size=10, color=_INK), None, None, _right)
CAUTION = Role(Font(FONT, size=9, color=_INK), _fill(_CAUTION_FILL), _box, _top)
# One that not every job has: its ground comes with its text.
CAUTION_SOMETIMES = Role(Font(FONT, size=9, color=_INK), None, None, _top)
# A cell to type in of what is not in the job.
IDLE = Role(Font(italic=True, color=_QUIET), _fill("FFFFFF"))
# What is noted without being counted.
QUIET = Role(Font(italic=True, color=_QUIET))
# What stands in the way.
FLAG = Role(Font(bold=True, color="8A2B0B"), _fill("F6D9CC"))

UNLOCKED = Protection(locked=False)
LOCKED = Protection(locked=True)


def as_typed(start: object) -> str:
    """Return the number format of a cell for words, in which they stay what was typed.

    Else 2/14 becomes a date, 3.10 becomes 3.1 and 0123 loses its nought. A formula that the cell
    starts with would become text where somebody edits it: then none.
    """
    return "" if str(start).startswith("=") else "@"
