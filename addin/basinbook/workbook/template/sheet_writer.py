"""Writing cells and names of a template workbook."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field
from typing import Any, Literal, NamedTuple

from openpyxl import Workbook
from openpyxl.cell import MergedCell
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles.cell_style import StyleArray
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from basinbook.engine import kinds
from basinbook.engine.kinds import Kind
from basinbook.units import unit_of
from basinbook.workbook.template import style
from basinbook.workbook.template.formulas import (
    MISSING,
    STOPPED,
    STOPS_SOMETHING,
    WORKING_LINE,
    awake,
    join,
    joined,
)
from basinbook.workbook.template.style import Role

# Number formats by what a cell holds.
MONEY = "#,##0.00"
COUNT = "#,##0"
PERCENT = "0.0%"
FACTOR = "0.00"

# What a note on a cell has for its title, at the most: ECMA-376 part 1, 18.3.1.32 (promptTitle).
_HINT_TITLE = 32
# Decimals shown on the sheets (US customary, metric).
_DECIMALS = {
    kinds.LENGTH: (2, 1),
    kinds.RUN: (1, 2),
    kinds.AREA: (1, 2),
    kinds.LIQUID: (0, 0),
    kinds.BULK: (2, 2),
    kinds.CARTRIDGE: (1, 0),
    kinds.MASS: (0, 0),
    kinds.LOAD_MASS: (2, 2),
    kinds.PUMP_FLOW: (0, 0),
    kinds.HOSE_FLOW: (1, 1),
    kinds.HEAD: (2, 2),
    kinds.PRESSURE: (1, 2),
    kinds.FORCE_PER_LENGTH: (1, 3),
    kinds.VELOCITY: (2, 2),
    kinds.WIND: (0, 1),
    kinds.TEMPERATURE: (0, 0),
    kinds.WATER_RATE: (2, 1),
    kinds.POWER: (0, 0),
    kinds.ENERGY: (0, 0),
    kinds.HOURS: (1, 1),
    kinds.ROUGHNESS: (3, 4),
    kinds.CURRENT: (1, 1),
    kinds.VOLTAGE: (0, 0),
    kinds.FORCE: (0, 2),
    kinds.RATIO: (2, 2),
}


def fixed_format(decimals: int) -> str:
    """Return a number format with that many decimals."""
    return "#,##0" + ("." + "0" * decimals if decimals else "")


class Area(NamedTuple):
    """An area of a sheet: the letters of its columns, its first and its last row."""

    worksheet: Worksheet
    letters: tuple[str, ...]
    first: int
    last: int

    @property
    def reference(self) -> str:
        """The reference to it within its sheet."""
        return f"${self.letters[0]}${self.first}:${self.letters[-1]}${self.last}"

    def __str__(self) -> str:
        """Return the reference to it from any sheet."""
        return f"'{self.worksheet.title}'!{self.reference}"

    def cell(self, row: int, column: int) -> str:
        """Return the reference to one of its cells, both counted from 1, from any sheet."""
        return f"'{self.worksheet.title}'!{self.letters[column - 1]}{self.first + row - 1}"


class TableColumn(NamedTuple):
    """Where a column that the estimator edits stands: sheet, table and heading without its unit."""

    sheet: str
    table: str
    heading: str


@dataclass
class Template:
    """A template workbook under construction, in one unit system ("us" or "metric").

    ``more_rows``: rows to type in beyond the usual ones, by sheet and by table or section.
    ``sections``: the headings written so far, by sheet.
    ``columns`` are those of the edited tables written so far, by their defined names.
    """

    system: str
    more_rows: Mapping[tuple[str, str], int] = field(default_factory=dict)
    workbook: Workbook = field(default_factory=Workbook)
    sections: dict[str, list[str]] = field(default_factory=dict)
    working: Worksheet = field(init=False)
    working_column: int = 1
    columns: dict[str, TableColumn] = field(default_factory=dict)
    # The role is kept beside the style, so that its number stays its own.
    _looks: dict[tuple[tuple[int, ...], int, str], tuple[Role, StyleArray]] = field(
        default_factory=dict
    )

    def __post_init__(self) -> None:
        """Start with the working sheet alone."""
        self.working = self.workbook.worksheets[0]
        self.working.title = "Working"

    @property
    def metric(self) -> bool:
        """Whether this is the metric template."""
        return self.system == "metric"

    def unit(self, kind: Kind) -> str:
        """Return the unit's label of a kind of quantity in this workbook."""
        return unit_of(kind, self.system).label

    def number_format(self, kind: Kind) -> str:
        """Return the number format of a kind of quantity, with the decimals worth showing."""
        if kind not in _DECIMALS:
            return COUNT
        return fixed_format(_DECIMALS[kind][1 if self.metric else 0])

    def sheet(
        self,
        title: str,
        widths: Sequence[float],
        *,
        landscape: bool = False,
        pages: int = 0,
        scale: int = 0,
        footer: bool = True,
    ) -> Sheet:
        """Add a sheet with these column widths [characters] and a clean page.

        It is fitted to the page's width and to a number of pages (0: as many as it takes), or
        else printed at a scale [%], which is what page breaks of our own need.
        """
        worksheet = self.workbook.create_sheet(title)
        letters = tuple(get_column_letter(index) for index in range(1, len(widths) + 1))
        for letter, width in zip(letters, widths, strict=True):
            worksheet.column_dimensions[letter].width = width
        page = worksheet.page_setup
        page.orientation = "landscape" if landscape else "portrait"
        page.paperSize = 9 if self.metric else 1
        page.fitToWidth, page.fitToHeight = 1, pages
        worksheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=not scale)
        if scale:
            page.scale = scale
        margins = worksheet.page_margins
        margins.left = margins.right = 0.4
        margins.top, margins.bottom = 0.5, 0.6
        # From the edge: a footer has what lies between that and the margin.
        margins.header = margins.footer = 0.3
        if footer:
            worksheet.oddFooter.left.text = "&A"
            worksheet.oddFooter.right.text = "Page &P of &N"
        worksheet.sheet_view.showGridLines = False
        return Sheet(self, worksheet, letters)

    def give_look(self, cell: Any, role: Role, number_format: str) -> None:
        """Style a cell by its role, and as a cell that had the same style and got the same role.

        The library looks fonts, fills and borders up by their content, which takes most of the time
        of a build.
        """
        key = (tuple(cell._style or ()), id(role), number_format)
        if key in self._looks:
            cell._style = copy(self._looks[key][1])
            return
        cell.font = role.font
        if role.fill is not None:
            cell.fill = role.fill
        if role.border is not None:
            cell.border = role.border
        if role.alignment is not None:
            cell.alignment = role.alignment
        if role.typed:
            cell.protection = style.UNLOCKED
        if number_format:
            cell.number_format = number_format
        self._looks[key] = role, copy(cell._style)

    def name(self, name: str, worksheet: Worksheet, reference: str) -> str:
        """Define a name for an absolute reference on a sheet and return it.

        A single cell is named as a range of one: Calc hands a blank single cell to an add-in
        as 0, and a blank range of one as a blank.
        """
        if ":" not in reference:
            reference = f"{reference}:{reference}"
        self.workbook.defined_names[name] = DefinedName(
            name, attr_text=f"'{worksheet.title}'!{reference}"
        )
        return name

    def table(self, call_text: str, rows: int, columns: int, condition: str = "") -> Area:
        """Write an array formula on the working sheet, blank where the condition is not true.

        Sheets that people read show its cells one by one: where the functions are missing, some
        programs lose the values of array formulas on opening, but keep those of other cells.
        """
        sheet, first = self.working, self.working_column
        self.working_column += columns + 1
        letters = [get_column_letter(first + offset) for offset in range(columns)]
        area = f"{letters[0]}2:{letters[-1]}{rows + 1}"
        found = f'IF({condition},{call_text},"")' if condition else call_text
        sheet[f"{letters[0]}1"] = call_text.partition("(")[0]
        sheet[f"{letters[0]}2"] = ArrayFormula(area, f'=IFERROR({found},"")')
        return Area(sheet, tuple(letters), 2, rows + 1)

    def block(self, headings: Sequence[str], rows: Sequence[Sequence[object]]) -> list[Area]:
        """Write values and formulas on the working sheet; return the area of each column.

        In a formula, {column}, {left} and {first} stand for the cell's own column, that left of it
        and the block's first, {row} and {above} for its own row and that above it.
        """
        first = self.working_column
        self.working_column += len(headings) + 1
        letters = [get_column_letter(first + offset) for offset in range(len(headings))]
        for letter, heading in zip(letters, headings, strict=True):
            self.working[f"{letter}1"] = heading
        for row, values in enumerate(rows, start=2):
            for index, value in enumerate(values):
                letter = letters[index]
                places = {
                    "column": letter,
                    "left": letters[index - 1],
                    "first": letters[0],
                    "row": row,
                    "above": row - 1,
                }
                own = str(value)
                for mark, place in places.items():
                    own = own.replace(f"{{{mark}}}", str(place))
                self.working[f"{letter}{row}"] = own
        return [Area(self.working, (letter,), 2, len(rows) + 1) for letter in letters]

    def join(self, *names: str) -> None:
        """Put the cells of named ranges into one cell each, which functions read in their place."""
        for area, name in zip(
            self.block([f"{name} in one cell" for name in names], [[*map(join, names)]]),
            names,
            strict=True,
        ):
            self.name(joined(name), self.working, area.reference)

    def finish_working(self) -> None:
        """Put the working sheet last and out of sight, and name its first line of results.

        Calc loads an array formula as not yet worked out, and as long as nothing reads it, the
        stored values of cells that pick from it do not follow an edit. So the line at the top of
        each sheet on which something is typed reads this one (see ``awake``).
        """
        last = get_column_letter(self.working_column)
        self.name(WORKING_LINE, self.working, f"$A$2:${last}$2")
        self.working.sheet_state = "hidden"
        self.working.protection.sheet = True
        self.workbook.move_sheet(self.working, len(self.workbook.sheetnames))


@dataclass
class Sheet:
    """One sheet under construction."""

    template: Template
    worksheet: Worksheet
    letters: tuple[str, ...]

    @property
    def last(self) -> str:
        """The letter of the last column."""
        return self.letters[-1]

    def width(self, letters: Iterable[str]) -> float:
        """Return the width of some columns together [characters]."""
        return sum(self.worksheet.column_dimensions[letter].width for letter in letters)

    def rows(self, first: int) -> Rows:
        """Return a cursor whose next row is this one."""
        return Rows(self, first - 1)

    @property
    def system(self) -> str:
        """The unit system of the workbook."""
        return self.template.system

    @property
    def metric(self) -> bool:
        """Whether this is the metric template."""
        return self.template.metric

    def unit(self, kind: Kind) -> str:
        """Return the unit's label of a kind of quantity in this workbook."""
        return self.template.unit(kind)

    def number_format(self, kind: Kind) -> str:
        """Return the number format of a kind of quantity, with the decimals worth showing."""
        return self.template.number_format(kind)

    def name(self, name: str, reference: str) -> str:
        """Define a name for an absolute reference on this sheet and return it."""
        return self.template.name(name, self.worksheet, reference)

    def put(
        self,
        cell: str,
        value: object,
        role: Role = style.LABEL,
        *,
        number_format: str = "",
        name: str = "",
    ) -> str:
        """Write a value or formula with a role, and return the cell's absolute reference."""
        target = self.worksheet[cell]
        if not isinstance(target, MergedCell):
            target.value = value
        self.template.give_look(target, role, number_format)
        letters, digits = re.fullmatch(r"([A-Z]+)(\d+)", cell).groups()  # type: ignore[union-attr]
        absolute = f"${letters}${digits}"
        if name:
            self.name(name, absolute)
        return f"'{self.worksheet.title}'!{absolute}"

    def row(self, row: int, first: str, values: Iterable[object], role: Role) -> None:
        """Write values side by side."""
        for letter, value in zip(self.letters[self.letters.index(first) :], values, strict=False):
            self.put(f"{letter}{row}", value, role)

    def title(self, text: str, what: str = "", *, message: bool = True) -> None:
        """Write the sheet's title line, with the job's name and what is wrong with its inputs.

        ``what``: what to do on the sheet, which takes the third row.
        """
        self.put("A1", text, style.TITLE)
        self.worksheet.row_dimensions[1].height = 24
        if message:
            self.merge(f"A2:{self.last}2")
            line = f'IFERROR(IF(Ready,{STOPPED}&Job_line,Job_message),"{MISSING}")'
            self.put("A2", awake(line), style.STRONG)
            self.flag("A2", f"OR(NOT(Ready),{STOPS_SOMETHING})")
            self.worksheet.row_dimensions[2].height = 28
        if what:
            self.merge(f"A3:{self.last}3")
            self.put("A3", what, style.NOTE)
            lines = -(-len(what) // int(1.1 * self.width(self.letters)))
            self.height(3, 13 * lines + 3)

    def section(self, row: int, text: str) -> None:
        """Write a section heading across the sheet."""
        for letter in self.letters:
            self.put(f"{letter}{row}", None, style.SECTION)
        self.put(f"A{row}", text, style.SECTION)
        self.worksheet.row_dimensions[row].height = 18
        self.template.sections.setdefault(self.worksheet.title, []).append(text)

    def more(self, name: str) -> int:
        """Return how many rows more than usual a table or section of this sheet is to have."""
        return self.template.more_rows.get((self.worksheet.title, name), 0)

    def merge(self, reference: str) -> None:
        """Merge cells."""
        self.worksheet.merge_cells(reference)

    def height(self, row: int, points: float) -> None:
        """Set a row's height [points]."""
        self.worksheet.row_dimensions[row].height = points

    def break_before(self, row: int) -> None:
        """Start a new printed page at a row."""
        self.worksheet.row_breaks.append(Break(id=row - 1))

    def list_of(self, cell: str, choices: Sequence[str] | str) -> None:
        """Let a cell take values of a list: words, or the name of a range. Others are refused."""
        formula = f"={choices}" if isinstance(choices, str) else '"' + ",".join(choices) + '"'
        validation = DataValidation(type="list", formula1=formula, allow_blank=True)
        validation.errorTitle = "Not in the list"
        validation.error = "Choose a value of the list."
        validation.showErrorMessage = True
        self.worksheet.add_data_validation(validation)
        validation.add(cell)

    def whole_number(self, cell: str, low: int, high: int) -> None:
        """Let a cell take whole numbers of a range only."""
        self._between(cell, "whole", low, high, "a whole number")

    def decimal(self, cell: str, low: float, high: float) -> None:
        """Let a cell take numbers of a range only."""
        self._between(cell, "decimal", low, high, "a number")

    def number_or_text(self, cell: str, low: float, high: float, allowed: str) -> None:
        """Let a cell take numbers of a range only, or text, which may name a unit."""
        formula = f"OR(ISTEXT({cell}),AND({cell}>={low:.10g},{cell}<={high:.10g}))"
        self._refuse(cell, f"Give {allowed}.", DataValidation(type="custom", formula1=formula))

    def _between(
        self, cell: str, kind: Literal["whole", "decimal"], low: float, high: float, wanted: str
    ) -> None:
        rule = DataValidation(type=kind, operator="between", formula1=f"{low}", formula2=f"{high}")
        self._refuse(cell, f"Give {wanted} from {low:g} to {high:g}.", rule)

    def _refuse(self, cell: str, message: str, rule: DataValidation) -> None:
        rule.allow_blank = True
        rule.errorTitle = "Out of range"
        rule.error = message
        rule.showErrorMessage = True
        self.worksheet.add_data_validation(rule)
        rule.add(cell)

    def hint(self, cell: str, title: str, text: str) -> None:
        """Show a note while a cell is the one typed in, beside whatever it may take."""
        rules = self.worksheet.data_validations.dataValidation
        rule = next((one for one in reversed(rules) if cell in one.sqref), None)
        if rule is None:
            rule = DataValidation(allow_blank=True)
            self.worksheet.add_data_validation(rule)
            rule.add(cell)
        fits = len(title) <= _HINT_TITLE
        rule.promptTitle = title if fits else None
        rule.prompt = text if fits else f"{title}: {text}"
        rule.showInputMessage = True

    def flag(self, reference: str, formula: str) -> None:
        """Set cells bold on a darker ground where a formula is true (seen in print too)."""
        self._look(reference, formula, font=style.FLAG.font, fill=style.FLAG.fill)

    def idle(self, reference: str, formula: str) -> None:
        """Set cells that do not count in grey and off their ground where a formula is true."""
        self._look(reference, formula, font=style.IDLE.font, fill=style.IDLE.fill)

    def quiet(self, reference: str, formula: str) -> None:
        """Set cells in grey where a formula is true."""
        self._look(reference, formula, font=style.QUIET.font)

    def ground(self, reference: str, formula: str, role: Role) -> None:
        """Give cells the ground and box of a role where a formula is true."""
        self._look(reference, formula, fill=role.fill, border=role.border)

    def _look(self, reference: str, formula: str, **look: object) -> None:
        rule = FormulaRule(formula=[formula], **look)  # type: ignore[no-untyped-call]
        self.worksheet.conditional_formatting.add(reference, rule)

    def finish(self, print_area: str, *, freeze: str = "", titles: str = "") -> None:
        """Set print area, frozen panes, repeated title rows, and lock all but the typed cells."""
        self.worksheet.print_area = print_area
        if freeze:
            self.worksheet.freeze_panes = freeze
        if titles:
            self.worksheet.print_title_rows = titles
        protection = self.worksheet.protection
        protection.sheet = True
        # No password: the lock keeps a slip of the hand off the formulas, nothing more.
        protection.formatColumns = protection.formatRows = protection.formatCells = False
        protection.insertRows = protection.sort = False


@dataclass
class Rows:
    """A cursor down a sheet, which hands out its rows; ``row`` is the last one handed out."""

    sheet: Sheet
    row: int

    def next(self, gap: int = 0) -> int:
        """Take the next row, after some blank ones."""
        self.row += 1 + gap
        return self.row

    def take(self, count: int) -> range:
        """Take some rows at once."""
        first = self.next()
        self.row += count - 1
        return range(first, first + count)

    def reach(self, row: int) -> None:
        """Pass over rows that are taken up beside, so that a row is the last one taken."""
        self.row = max(self.row, row)

    def section(self, text: str, gap: int = 1) -> int:
        """Write a section heading into the next row."""
        row = self.next(gap)
        self.sheet.section(row, text)
        return row
