"""The Stages sheet: what the crew measures at each stage of the work, and what to do then.

Targets and tolerances are those of the Checks sheet, what is wanted of an inspection is what
stands there: nothing is said twice. Tools and ways to measure are common practice, no source.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from basinbook.engine import kinds
from basinbook.engine.cautions import caution
from basinbook.engine.inspections import INSPECTIONS, NOT_HERE
from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_caution
from basinbook.workbook.template.checks import Checked
from basinbook.workbook.template.formulas import DEPTH_GIVEN, call, if_known
from basinbook.workbook.template.sheet_writer import Area, Rows, Sheet, Template

COURSE_ROWS: Final = 12
_WIDTHS: Final = (24, 22, 10, 15, 34, 11, 11, 33, 8)
_HEADS: Final = (
    "What", "Target", "Tolerance", "Tool", "Where and how", "Measured", "Second place", "Result",
    "Initials",
)  # fmt: skip
_TAPE: Final = "tape"
# The target of a difference in height, as formula text.
_NOTHING: Final = "0"


class Sized(NamedTuple):
    """A length to measure in two places: ``of`` is its row on the Checks sheet.

    over, under: what to do where it is too long or too short.
    """

    label: str
    of: str
    tool: str
    how: str
    over: str = ""
    under: str = ""


class Level(NamedTuple):
    """How far two places may differ in height: ``of`` is the row that has the tolerance."""

    label: str
    of: str
    tool: str
    how: str
    over: str


class Told(NamedTuple):
    """An inspection of the Checks sheet, by its label."""

    label: str
    tool: str
    how: str


class Courses(NamedTuple):
    """A row for each course."""

    of: str
    tool: str
    how: str
    over: str
    under: str


class Square(NamedTuple):
    """Which corner to move, from three lengths measured above: length, width, diagonal."""

    label: str
    length: str
    width: str
    diagonal: str


class Leak(NamedTuple):
    """The fall of the level against its limit."""

    label: str
    tool: str
    how: str


Line = Sized | Level | Told | Courses | Square | Leak


class Stage(NamedTuple):
    """A stage of the work: its lines, and the keys of the cautions that are met there."""

    title: str
    lines: tuple[Line, ...]
    cautions: tuple[str, ...] = ()


_CORNER: Final = "Front: first place; back: second place; at the height of the block"
_SIDES: Final = "Left: first place; right: second place"
_ACROSS: Final = "Front left to back right: first place; front right to back left: second place"

_FACES: Final = "At the inner face: first place; at the outer face: second"

STAGES: Final = (
    Stage(
        "Layout",
        (
            Told("Before digging", "marks, flags", "Walk the site with the marks' papers in hand"),
            Sized(
                "Lines: length", "Outside length", _TAPE, "Front line: first place; back: second"
            ),
            Sized("Lines: width", "Outside width", _TAPE, _SIDES),
            Sized("Lines: diagonal", "Outside diagonal, first", _TAPE, _ACROSS),
            Square("Lines: square", "Lines: length", "Lines: width", "Lines: diagonal"),
        ),
        ("call before digging",),
    ),
    Stage(
        "Base",
        (
            Told("Base", "tamper, heel, level", "Over the whole bed, edges too"),
            Sized(
                "Base: thickness",
                "Base thickness, tamped",
                "rule in a test hole",
                "At two corners that lie across from each other",
                "take off and tamp again",
                "fill and tamp in thin lifts",
            ),
            Level(
                "Base: out of level",
                "Wall height, highest corner",
                "level on a board",
                "Highest less lowest place under the walls",
                "scrape high places, fill low ones, tamp again",
            ),
        ),
        ("dig",),
    ),
    Stage(
        "First course, laid dry",
        (
            Sized("Inside: length", "Inside length, front", _TAPE, _CORNER),
            Sized("Inside: width", "Inside width, left", _TAPE, _SIDES),
            Sized("Inside: diagonal", "Inside diagonal, first", _TAPE, _ACROSS),
            Square("Inside: square", "Inside: length", "Inside: width", "Inside: diagonal"),
            Told("Blocks", "level, tape", "Each block against the next, and over the corners"),
        ),
        ("lifting", "silica dust", "saw", "wet saw"),
    ),
    Stage(
        "Each course",
        (
            Courses(
                "Wall height, highest corner",
                "tape, level",
                "Base to top; highest corner, then lowest",
                "bed it lower or grind before the next course",
                "shim or bed it higher before the next course",
            ),
            Told("Blocks on edge", "level, tape", "Upright in both directions, tops in line"),
            Told("Second wall", "level, tape", "Along it, and against the back wall"),
            Sized(
                "Pipe space: clear",
                "Pipe space, clear",
                _TAPE,
                "Left end: first place; right end: second",
                "move the second wall in before the glue sets",
                "move the second wall out before the glue sets",
            ),
            Told("Columns", "level, tape", "On two faces beside each other, each row"),
        ),
        ("adhesive", "falling block"),
    ),
    Stage(
        "Openings",
        (
            Told("Pipe opening", _TAPE, "Height, and the place of its middle"),
            Sized("Pipe opening: width", "Pipe opening, width", _TAPE, _FACES),
            Told("Access gap", _TAPE, "Height; try it with the part that must pass"),
            Sized("Access gap: width", "Access gap, width", _TAPE, _FACES),
            Told("Further openings", _TAPE, "Width and height, and the place of each middle"),
        ),
    ),
    Stage(
        "Liner",
        (
            Told("Underlay", "hand", "Feel over floor and walls before it is covered"),
            Told("Liner", "eye, hand", "Before anything is glued over it"),
            Sized(
                "Liner: lap",
                "Liner lap, over the wall",
                "rule",
                "Where it is narrowest: first place; widest: second",
                "trim it, or the caps' beads find no bare block",
                "pull the sheet up, or cut another",
            ),
            Told("Bulkhead fitting", "hand, its own key", "Look again when filled"),
            Told("Cord passage", "hand", "Look again when filled"),
        ),
        ("vapour",),
    ),
    Stage(
        "Caps",
        (
            Sized(
                "Caps: overhang",
                "Cap overhang, front",
                "rule",
                "Past the outer face; front: first place; back: second",
                "push it in before the glue sets",
                "pull it out before the glue sets",
            ),
            Told("Caps", "hand, line", "Press each corner; sight along the outer edge"),
            Told("Column caps", "rule, hand", "On four sides; press each corner"),
        ),
        ("lifting",),
    ),
    Stage(
        "Plumbing and light",
        (
            Told("Pump", "its test button", "Before it is first run, by who wired it"),
            Told("Check valve", "eye", "Stop the pump and watch the level in pipe or bowl"),
            Told("Light", "its test button", "In the dark, too"),
            Told("Automatic fill", "bucket, rule", "Draw water off and let it close twice"),
        ),
        ("electricity", "cord", "low water", "solvent cement"),
    ),
    Stage(
        "Filling",
        (
            Told("First filling", "rule, dry hand", "Run a hand along joints and fittings"),
            Sized(
                "Water: depth",
                "Water depth when full",
                "rule",
                "Floor to water, at both ends",
                "draw off",
                "fill up",
            ),
            Told("Moving water", "eye", "From all sides; in wind, too"),
        ),
        ("drowning", "barrier"),
    ),
    Stage(
        "Leak test",
        (
            Leak("Fall of the level", "pencil mark, rule", "From the mark, at the end of the test"),
            Told("Leak test", "pencil, watch", "No rain, no filling; a bucket stands in the basin"),
        ),
    ),
    Stage(
        "Hand-over",
        (Told("Hand-over", "owner's sheet", "Go through it at the basin; leave it there"),),
        ("treatment", "frost"),
    ),
)
"""In the order of work."""

_NEW_PAGE: Final = ("First course, laid dry", "Each course", "Openings", "Caps", "Filling")
_TOLD: Final = [line.label for stage in STAGES for line in stage.lines if isinstance(line, Told)]
assert sorted(_TOLD) == sorted(each.label for each in INSPECTIONS), "each inspection has one stage"


def add_stages(template: Template, checked: Checked) -> None:
    """Add the sheet; ``checked``: the rows of the Checks sheet."""
    sheet = template.sheet("Stages", _WIDTHS, landscape=True, scale=78)
    sheet.title("Stage sheets")
    sheet.merge(f"A3:{sheet.last}3")
    sheet.put(
        "A3",
        "To take along: measure, write in, initial, and go on only when it passes. Targets, "
        "tolerances and what is wanted are those of the Checks sheet. Left and right are seen from "
        "the front.",
        style.NOTE,
    )
    sheet.height(3, 28)
    rows = sheet.rows(4)
    sheet.row(rows.next(), "A", _HEADS, style.HEAD)
    writer = _Writer(rows, checked, _course_table(sheet))
    for number, stage in enumerate(STAGES, start=1):
        writer.stage(number, stage)
    first = 6
    sheet.flag(f"H{first}:H{rows.row}", f'LEFT(H{first},4)="fail"')
    sheet.quiet(f"A{first}:E{rows.row}", f'$B{first}="{NOT_HERE}"')
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze="B5", titles="4:4")


def _course_table(sheet: Sheet) -> Area:
    arguments = ("Job_labels", "Job_values", str(COURSE_ROWS))
    return sheet.template.table(call("COURSEHEIGHTS", *arguments), COURSE_ROWS, 2, DEPTH_GIVEN)


class _Writer:
    """Writes the stages, one under the other."""

    def __init__(self, rows: Rows, checked: Checked, courses: Area) -> None:
        self.rows, self.sheet, self.checked, self.courses = rows, rows.sheet, checked, courses
        self.row_of: dict[str, int] = {}

    def stage(self, number: int, stage: Stage) -> None:
        """Write a stage: heading, cautions, lines."""
        if stage.title in _NEW_PAGE:
            self.sheet.break_before(self.rows.row + 2)
        self.rows.section(f"{number}  {stage.title}")
        for line in stage.lines:
            if isinstance(line, Sized):
                self._sized(line)
            elif isinstance(line, Level):
                self._measured(line, _NOTHING, self._tolerance(line.of), line.over, "")
            elif isinstance(line, Told):
                self._told(line)
            elif isinstance(line, Courses):
                for course in range(1, COURSE_ROWS + 1):
                    self._course(line, course)
            elif isinstance(line, Square):
                self._square(line)
            else:
                self._leak(line)
        for key in stage.cautions:
            put_caution(self.sheet, self.rows.next(), caution(key))

    def _target(self, of: str) -> str:
        return self.checked.targets[of]

    def _tolerance(self, of: str) -> str:
        return f"Checks!$D${self.checked.sizes[of]}"

    def _sized(self, line: Sized) -> None:
        target, tolerance = self._target(line.of), self._tolerance(line.of)
        self._measured(line, target, tolerance, line.over, line.under)

    def _course(self, line: Courses, course: int) -> None:
        target, tolerance = self.courses.cell(course, 2), self._tolerance(line.of)
        sized = Sized(f"Course {course}: top", line.of, line.tool, line.how)
        self._measured(sized, target, tolerance, line.over, line.under)
        # The last row says so where there are more courses than rows.
        number, tape = self.courses.cell(course, 1), call("TAPELENGTH", target)
        # A blank of an array is no empty text in Calc, and has no length anywhere.
        absent = f'IF(LEN({number})=0,"{NOT_HERE}",{number})'
        told = if_known(f"IF(ISNUMBER({target}),{tape},{absent})")
        self.sheet.put(f"B{self.rows.row}", told, style.BOX)
        self.sheet.height(self.rows.row, 22)

    def _measured(
        self, line: Sized | Level, target: str, tolerance: str, over: str, under: str
    ) -> None:
        row = self._line(line.label, line.tool, line.how)
        self.row_of[line.label] = row
        level = target == _NOTHING
        tape = call("TAPELENGTH", target)
        told = if_known(tape if level else f'IF(LEN({target})=0,"{NOT_HERE}",{tape})')
        self.sheet.put(f"B{row}", told, style.BOX)
        self.sheet.put(f"C{row}", if_known(call("TAPELENGTH", tolerance)), style.BOX)
        found = call(
            "MEASUREADVICE", target, tolerance, f"F{row}", f"G{row}", f'"{over}"', f'"{under}"'
        )
        missing = f'AND(F{row}="",G{row}="")'
        missing = missing if level else f'OR({missing},{target}="")'
        result = f'=IF({missing},"",IFERROR({found},"read again"))'
        self.sheet.put(f"H{row}", result, style.RESULT_TEXT)

    def _told(self, line: Told) -> None:
        row = self._line(line.label, line.tool, line.how, two=False)
        self.sheet.merge(f"B{row}:C{row}")
        of = self.checked.tests[line.label]
        self.sheet.put(f"B{row}", f'=IF(Checks!B{of}="","",Checks!B{of})', style.BOX)
        self.sheet.put(f"C{row}", None, style.BOX)
        self.sheet.merge(f"F{row}:G{row}")
        for letter in "FG":
            self.sheet.put(f"{letter}{row}", None, style.INPUT_TEXT)
        self.sheet.list_of(f"F{row}", ("pass", "fail", "not needed"))
        there = f'IF(Checks!F{of}="","",Checks!F{of}&" (Checks sheet)")'
        put_right = f'IF(F{row}="fail","fail: put it right, then look again",F{row})'
        self.sheet.put(f"H{row}", f'=IF(F{row}="",{there},{put_right})', style.RESULT_TEXT)
        # What is wanted of several openings takes more lines.
        self.sheet.height(row, 66 if line.label == "Further openings" else 42)

    def _square(self, line: Square) -> None:
        length, width, across = (
            self.row_of[one] for one in (line.length, line.width, line.diagonal)
        )
        row = self.rows.next()
        self.sheet.put(f"A{row}", line.label, style.BOX)
        self.sheet.merge(f"B{row}:{self.sheet.letters[-2]}{row}")
        outside = line.label.startswith("Lines")
        sizes = "Outside length", "Outside width"
        if not outside:
            sizes = "Inside length, front", "Inside width, left"
        found = call(
            "CORNERADVICE",
            *(self._target(one) for one in sizes),
            self._tolerance(sizes[0]),
            *(f"F{one}" for one in (length, width, across)),
            *(f"G{one}" for one in (across, length, width)),
        )
        needed = ",".join(f"F{one}" for one in (length, width, across))
        measured = f"AND(COUNTA({needed},G{across})=4)"
        text = (
            f'=IF({measured},IFERROR({found},"the lengths don\'t belong together: read again"),'
            '"measure sides and diagonals")'
        )
        self.sheet.put(f"B{row}", text, style.RESULT_TEXT)
        for letter in self.sheet.letters[2:-1]:
            self.sheet.put(f"{letter}{row}", None, style.RESULT_TEXT)
        self.sheet.put(f"{self.sheet.last}{row}", None, style.INPUT_TEXT)
        self.sheet.height(row, 28)

    def _leak(self, line: Leak) -> None:
        row = self._line(line.label, line.tool, line.how, two=False)
        limit = self.checked.fall
        self.sheet.put(
            f"B{row}",
            f'=IF(ISNUMBER({limit}),"at most "&{call("TAPELENGTH", limit)}&" in "&Leak_hours&" h",'
            '"not known yet")',
            style.BOX,
        )
        for letter in "CG":
            self.sheet.put(f"{letter}{row}", None, style.BOX)
        fallen = call("CONVERTLENGTH", f"F{row}", f'"{self.sheet.unit(kinds.LENGTH)}"')
        over = call("TAPELENGTH", f"{fallen}-{limit}")
        judged = f'IF({fallen}<={limit},"pass","fail: "&{over}&" over; look for the leak")'
        text = f'=IF(OR(F{row}="",NOT(ISNUMBER({limit}))),"",IFERROR({judged},"read again"))'
        self.sheet.put(f"H{row}", text, style.RESULT_TEXT)

    def _line(self, label: str, tool: str, how: str, *, two: bool = True) -> int:
        """Write what every line has, and return its row."""
        row = self.rows.next()
        for letter, text in zip("ADE", (label, tool, how), strict=True):
            self.sheet.put(f"{letter}{row}", text, style.BOX)
        for letter in "FG" if two else "F":
            self.sheet.put(f"{letter}{row}", None, style.INPUT)
        self.sheet.put(f"I{row}", None, style.INPUT_TEXT)
        self.sheet.height(row, 30)
        return row
