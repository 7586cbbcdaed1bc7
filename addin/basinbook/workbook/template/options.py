"""The Options sheet: four options side by side, each priced by the lines of the estimate.

A formula of the job holds for an option too, with the option's own cells in place of the names of
what it changes and of all that follows from that.

Numbers of courses are those of the job's block. With a block of another height an option that has
none of its own takes as many courses as the water depth needs, and keeps the heights of columns,
second wall and openings.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from basinbook.engine import kinds
from basinbook.engine.inputs import Input
from basinbook.engine.kinds import Kind
from basinbook.engine.spec import FIELDS
from basinbook.engine.spec_openings import MOST_OPENINGS, PIPE, opening_field
from basinbook.engine.takeoff import ITEMS
from basinbook.workbook.template import style
from basinbook.workbook.template.costs import SITE, SUMMARY, TOTAL, WORK, material_lines
from basinbook.workbook.template.estimate import free_tasks
from basinbook.workbook.template.formulas import (
    COMPLETE,
    MISSING,
    UNKNOWN,
    call,
    elsewhere,
    first_problem,
    if_known,
    joined,
    names_in,
    shown,
    unknown,
    whole_sum,
)
from basinbook.workbook.template.input_cells import WORDS, flag_unread, put_cell, read_as, unit_text
from basinbook.workbook.template.inputs import BY_NAME, LAYOUT
from basinbook.workbook.template.job import layout_problem
from basinbook.workbook.template.missing import lack_of, of_material, told
from basinbook.workbook.template.sheet_writer import MONEY, Rows, Sheet, Template
from basinbook.workbook.template.takeoff import (
    Derived,
    derived_quantities,
    item_name,
    put_table,
    quantity,
)
from basinbook.workbook.template.topics import FROM_MATERIALS, NO_SIZE

MATERIALS: Final = ("Block", "Cap", "Column_cap", "Liner")
# Of each option's quantities and sums those that have a name, as its price has.
NAMED: Final = ("Qty_Water_volume", "Price_before_tax", "Tax")
# The row of the options' own names.
HEAD_ROW: Final = 4
# Inputs that an option may change.
CHANGED: Final = (
    *MATERIALS, "Inside_length", "Inside_width", "Water_depth", "Courses", "Courses_on_edge",
    "Columns", "Column_courses", "Second_wall", "Pipe_space", "Second_wall_courses", "Access_gap",
    "Access_gap_courses", "Pipe_opening", "Pipe_opening_course",
)  # fmt: skip
# A blank is as on the Job sheet, and a job may have some.
NONE: Final = "none"


class Option(NamedTuple):
    """An option: its number, its column on the sheet, and the name it starts with."""

    number: int
    column: str
    title: str

    @property
    def values(self) -> str:
        """The name of its layout inputs."""
        return f"Option_{self.number}_values"

    @property
    def quantities(self) -> str:
        """The name of the table of its quantities."""
        return f"Option_{self.number}_quantities"

    def cell(self, name: str) -> str:
        """Return the defined name of its own cell for what has this name on the Job sheet."""
        return f"Option_{self.number}_{name}"


OPTIONS: Final = (
    Option(1, "C", "As on Job"),
    Option(2, "D", "Option 2"),
    Option(3, "E", "Option 3"),
    Option(4, "F", "Option 4"),
)


# The option that shows the job as it is: nothing is typed there.
AS_ON_JOB: Final = OPTIONS[0]


class _Kept(NamedTuple):
    """How many courses of another block are as high as some of the job's, and when it matters.

    ``formula`` is in the job's name {job} and the ratio {ratio} of the job's block height to the
    option's.
    """

    formula: str
    used: str


def _kept_openings() -> dict[str, _Kept]:
    """Return the courses of the openings: their heights stay, as near as courses get."""
    found = {}
    for number in range(PIPE, MOST_OPENINGS + 1):
        width, course, rows = (
            FIELDS[opening_field(number, key)].name for key in ("width", "course", "rows")
        )
        used = f'{width}<>"",{width}<>0'
        found[course] = _Kept("INT(ROUND(({job}-0.5)*{ratio},6))+1", used)
        found[rows] = _Kept("ROUNDUP(ROUND({job}*{ratio},6),0)", f"{used},{rows}>1")
    return found


# A gap is to stay high enough, an opening at its height; others are as near as courses get.
_KEPT: Final = {
    "Column_courses": _Kept("MAX(1,ROUND({job}*{ratio},0))", "N(Columns)>0"),
    "Second_wall_courses": _Kept("MAX(1,ROUND({job}*{ratio},0))", 'Second_wall="yes"'),
    "Access_gap_courses": _Kept(
        "ROUNDUP(ROUND({job}*{ratio},6),0)", 'Second_wall="yes",Access_gap<>"",Access_gap<>0'
    ),
    **_kept_openings(),
}
_RATIO: Final = "Block height of the job to this"
_NO_HEIGHT: Final = (
    f"Block height of the job: {NO_SIZE}, and the courses of this option follow from it"
)


class _Result(NamedTuple):
    """A row of results: label, formula text in the job's names, kind of quantity."""

    label: str
    formula: str
    kind: Kind


_RESULTS: Final = (
    _Result("Courses", "Qty_Courses", kinds.COUNT),
    _Result("Wall height", "Qty_Wall_height", kinds.LENGTH),
    _Result("Outside length", "Qty_Outside_length", kinds.LENGTH),
    _Result("Outside width", "Qty_Outside_width", kinds.LENGTH),
    _Result("Blocks to buy", "Qty_Blocks_to_buy", kinds.COUNT),
    _Result("Pieces to lay", "Qty_Pieces_laid", kinds.COUNT),
    _Result("Cut pieces", "Qty_Cut_pieces", kinds.COUNT),
    _Result("Different cut lengths", "Qty_Different_cut_lengths", kinds.COUNT),
    _Result("Saw cuts, caps included", "Qty_Saw_cuts+Qty_Cap_saw_cuts", kinds.COUNT),
    _Result("Caps to lay", "Qty_Caps_needed", kinds.COUNT),
    _Result("Caps to buy", "Qty_Caps_to_buy", kinds.COUNT),
    _Result("Column caps", "Qty_Column_caps", kinds.COUNT),
    _Result("Base, loose", "Qty_Base_loose", kinds.BULK),
    _Result("Base, tamped", "Qty_Base_tamped", kinds.BULK),
    _Result("Adhesive cartridges", "Qty_Cartridges", kinds.COUNT),
    _Result("Liner fit", "Qty_Liner_fit", kinds.TEXT),
    _Result("Water", "Qty_Water_volume", kinds.LIQUID),
    _Result("Person-hours", "Person_hours", kinds.HOURS),
    _Result("Materials", "Total_materials", kinds.MONEY),
    _Result("Price before tax", "Price_before_tax", kinds.MONEY),
    _Result("Price to the client", TOTAL, kinds.MONEY),
)


class _Problems(NamedTuple):
    """The rows that say what is wrong: with an option's own inputs, and with all it hangs on."""

    own: int
    all: int


class _Calculated(NamedTuple):
    """A row calculated for each option; ``name`` is that of the job's cell for the same."""

    name: str
    label: str
    kind: Kind
    formula: str
    unit: str = ""


def add_options(template: Template, lacking: str) -> None:
    """Add the sheet; a blank cell of an option means: as on the Job sheet."""
    sheet = template.sheet("Options", [34, 9, 30, 30, 30, 30], landscape=True)
    sheet.title("Options")
    sheet.merge("A3:F3")
    sheet.put(
        "A3", "Change what an option is to have; a blank cell is as on the Job sheet. "
        "Everything below follows at once. With a block of another height a blank number of "
        "courses follows from the water depth, and columns, second wall and openings stay as near "
        f"the Job's heights as courses get. Courses on edge: {NONE} for none.",
        style.NOTE,
    )  # fmt: skip
    sheet.height(3, 40)
    rows = sheet.rows(HEAD_ROW)
    head = rows.next()
    sheet.row(head, "A", ("Option", "Unit"), style.HEAD)
    for option in OPTIONS:
        role = style.HEAD if option is AS_ON_JOB else style.INPUT_TEXT
        sheet.put(f"{option.column}{head}", option.title, role)
        sheet.worksheet[f"{option.column}{head}"].font = style.HEAD.font
    changed = _changes(rows)
    # The results stand on top, and are written when it is known where their parts stand.
    rows.section("What follows")
    results = {result: rows.next() for result in _RESULTS}
    message = rows.next()
    remarks = rows.next()
    printed = rows.next()
    places = _layout_inputs(rows, changed)
    problems = _Problems(_problems(rows, places), message)
    places |= _calculated(rows, problems, places)
    lacks = _lacks(rows, places)
    for result, row in results.items():
        _result(sheet, row, result, problems, places)
    _messages(sheet, problems, lacks, lacking)
    _remarks(sheet, remarks, changed, places)
    sheet.finish(f"A1:{sheet.last}{printed}", freeze="C5", titles=f"1:{head}")
    for row in range(printed + 1, rows.row + 1):
        sheet.worksheet.row_dimensions[row].outlineLevel = 1


def _changes(rows: Rows) -> dict[str, int]:
    """Write the inputs of the options, lengths with what they are read as; return their rows."""
    sheet, found = rows.sheet, {}
    rows.section("Changed in this option", gap=0)
    for given in (BY_NAME[name] for name in CHANGED):
        row = found[given.name] = rows.next()
        sheet.put(f"A{row}", given.label, style.LABEL)
        sheet.put(f"B{row}", unit_text(sheet, given), style.UNIT)
        for option in OPTIONS:
            cell, name = f"{option.column}{row}", option.cell(given.name)
            if option is AS_ON_JOB:
                role = style.RESULT_TEXT if given.kind in WORDS else style.RESULT
                sheet.put(cell, shown(given.name), role, name=name)
            else:
                put_cell(sheet, cell, given, name)
        if given.kind is kinds.LENGTH:
            _echo(sheet, rows.next(), given)
    return found


def _echo(sheet: Sheet, row: int, given: Input) -> None:
    """Write what the lengths in the row above are read as."""
    blank = ",".join(f'{option.column}{row}=""' for option in OPTIONS)
    sheet.put(f"A{row}", f'=IF(AND({blank}),"","read as")', style.ASIDE)
    for option in OPTIONS:
        cell = f"{option.column}{row}"
        sheet.put(cell, read_as(sheet, f"{option.column}{row - 1}", given), style.ASIDE)
        flag_unread(sheet, cell)
    sheet.height(row, 12)


def _layout_inputs(rows: Rows, changed: dict[str, int]) -> dict[str, int]:
    """Write the inputs that each option comes to, and return the row of each by the job's name."""
    sheet = rows.sheet
    rows.section("Layout inputs of each option (calculated)")
    rows.next()
    found = {given.name: rows.next() for given in LAYOUT}
    first, last = min(found.values()), max(found.values())
    rows.next()
    found |= {label: rows.next() for label in MATERIALS}
    for name in MATERIALS:
        sheet.put(f"A{found[name]}", f"{BY_NAME[name].label} of the option", style.LABEL)
        for option in OPTIONS:
            chosen = f"={_own(option, name, changed)}"
            sheet.put(f"{option.column}{found[name]}", chosen, style.RESULT_TEXT)
    found[_RATIO] = rows.next()
    sheet.put(f"A{found[_RATIO]}", _RATIO, style.LABEL)
    for option in OPTIONS:
        sheet.put(f"{option.column}{found[_RATIO]}", _ratio(option, found), style.RESULT)
    for given in LAYOUT:
        row = found[given.name]
        sheet.put(f"A{row}", given.label, style.LABEL)
        sheet.put(f"B{row}", unit_text(sheet, given), style.UNIT)
        for option in OPTIONS:
            formula = f"={_layout_formula(option, given.name, changed, found)}"
            sheet.put(f"{option.column}{row}", formula, style.RESULT, number_format="General")
    sheet.name("Option_labels", f"$A${first}:$A${last}")
    for option in OPTIONS:
        sheet.name(option.values, f"${option.column}${first}:${option.column}${last}")
    sheet.template.join("Option_labels", *(option.values for option in OPTIONS))
    for option in OPTIONS:
        put_table(
            sheet.template,
            "Option_labels",
            option.values,
            option.quantities,
            f"'{sheet.worksheet.title}'!{_depth_given(option, found)}",
        )
    return found


def _depth_given(option: Option, places: dict[str, int]) -> str:
    return f'{option.column}{places["Water_depth"]}<>""'


def _own(option: Option, name: str, changed: dict[str, int]) -> str:
    """Formula text of an input of an option: its own, or the job's; blank stays blank."""
    job = f'IF({name}="","",{name})'
    if name not in changed:
        return job
    own = f"{option.column}{changed[name]}"
    return f'IF({own}="",{job},{own})'


def _ratio(option: Option, places: dict[str, int]) -> str:
    """Return a formula of the job's block height to the option's, which may lack one itself.

    Where only the job's is unknown, so is what follows from it, and the option has a problem.
    """
    own = f"{option.column}{places['Block_height']}"
    job, this = (call("CONVERTLENGTH", height, '"m"') for height in ("Block_height", own))
    return f'=IFERROR(ROUND({job}/{this},6),IF(ISNUMBER({this}),"{UNKNOWN}",1))'


def _layout_formula(
    option: Option, name: str, changed: dict[str, int], places: dict[str, int]
) -> str:
    if name in FROM_MATERIALS:
        return elsewhere(FROM_MATERIALS[name].formula, _cells(option, places))
    formula = _own(option, name, changed)
    if option is AS_ON_JOB:
        return formula
    own, ratio = _typed(option, name, changed), f"{option.column}{places[_RATIO]}"
    if name == "Courses_on_edge":
        return f'IF({own}="{NONE}","",{formula})'
    if name == "Courses":
        return f'IF(AND({own}="",N({ratio})<>1),"",{formula})'
    if name in _KEPT:
        kept = _KEPT[name].formula.format(job=name, ratio=ratio)
        return f'IF(AND({own}="",ISNUMBER({ratio}),{ratio}<>1,N({name})>0),{kept},{formula})'
    return formula


def _typed(option: Option, name: str, changed: dict[str, int]) -> str:
    """Formula text of what is typed for an option, a blank text where nothing can be."""
    return f"{option.column}{changed[name]}" if name in changed else '""'


def _cells(option: Option, places: dict[str, int]) -> dict[str, str]:
    return {name: f"{option.column}{row}" for name, row in places.items()}


def _scope(option: Option, places: dict[str, int]) -> dict[str, str]:
    """Return where an option has what the job has under a name."""
    items = {
        item_name(item.label): quantity(item.label, option.quantities) for item in ITEMS.values()
    }
    ranges = {
        joined("Job_labels"): joined("Option_labels"),
        joined("Job_values"): joined(option.values),
    }
    return {**items, **ranges, **_cells(option, places)}


def _calculated(rows: Rows, problems: _Problems, inputs: dict[str, int]) -> dict[str, int]:
    """Write quantities, costs and sums of each option; return the row of each by its name."""
    sheet = rows.sheet
    rows.section("Quantities and costs of each option (calculated)")
    costs = [
        _Calculated(f"Cost of {line.item}", f"{line.item}: cost", kinds.MONEY, line.cost)
        for line in material_lines(sheet.system)
        if not line.everywhere
    ]
    work = [
        _Calculated(
            f"Hours of {line.task}",
            f"{line.task}: person-hours",
            kinds.HOURS,
            line.hours_in_all,
        )
        for line in WORK
    ]
    labour = [
        _Calculated(f"Labour of {line.task}", f"{line.task}: cost", kinds.MONEY, line.cost)
        for line in WORK
    ]
    site = [
        _Calculated(f"Site: {line.what}", f"{line.what}: cost", kinds.MONEY, line.cost)
        for line in SITE
    ]
    sums = [_Calculated(line.name, line.label, kinds.MONEY, line.formula) for line in SUMMARY]
    written = [line.formula for line in (*costs, *work, *labour, *site)]
    written += [result.formula for result in _RESULTS]
    quantities = [
        _Calculated(line.name, line.label, line.kind, line.formula, line.unit)
        for line in _needed(written, derived_quantities(sheet.system))
    ]
    places: dict[str, int] = {}

    def take(lines: Iterable[_Calculated]) -> None:
        places.update({line.name: rows.next() for line in lines})

    def total(lines: Sequence[_Calculated], more: str, cells: int) -> str:
        area = f"{{column}}{places[lines[0].name]}:{{column}}{places[lines[-1].name]}"
        return whole_sum({area: len(lines), more: cells})

    own_tasks = free_tasks(sheet.template)
    take(quantities)
    take(costs)
    take(work)
    take(labour)
    totals = [
        _Calculated(
            "Total_materials",
            "Materials, with pump, fittings, water parts, other",
            kinds.MONEY,
            total(costs, "Total_plumbing_and_other", 1),
        ),
        _Calculated(
            "Person_hours",
            "Person-hours, with your own tasks",
            kinds.HOURS,
            total(work, "Own_hours", own_tasks),
        ),
        _Calculated("Total_labour", "Labour", kinds.MONEY, total(labour, "Own_labour", own_tasks)),
    ]
    take(totals)
    take(site)
    of_site = [_Calculated("Total_site", "Site", kinds.MONEY, total(site, "0", 1))]
    take(of_site)
    take(sums)
    for line in (*quantities, *costs, *work, *labour, *totals, *site, *of_site, *sums):
        row = places[line.name]
        sheet.put(f"A{row}", line.label, style.LABEL)
        price = line.name == TOTAL
        problem = problems.all if price else problems.own
        _numbers(sheet, row, line.kind, line.formula, problem, {**inputs, **places})
        if line.unit:
            sheet.put(f"B{row}", f"={line.unit}", style.UNIT)
        if line.name in NAMED:
            for option in OPTIONS:
                sheet.name(option.cell(line.name), f"${option.column}${row}")
    return places


def _needed(formulas: Iterable[str], lines: Sequence[Derived]) -> list[Derived]:
    """Return the lines that formulas refer to, by way of other lines included."""
    wanted = set().union(*(names_in(formula) for formula in formulas))
    for line in reversed(lines):  # a line refers to lines above it
        if line.name in wanted:
            wanted |= names_in(line.formula)
    return [line for line in lines if line.name in wanted]


def _numbers(
    sheet: Sheet,
    row: int,
    kind: Kind,
    formula: str,
    problem: int,
    places: dict[str, int],
    *,
    strong: bool = False,
) -> None:
    """Write unit and number of a row for each option without a problem in that row."""
    money, words = kind is kinds.MONEY, kind is kinds.TEXT
    sheet.put(f"B{row}", "=Currency" if money else (sheet.unit(kind) or None), style.UNIT)
    role = style.RESULT_TEXT if words else style.RESULT
    for option in OPTIONS:
        text = elsewhere(formula, _scope(option, places)).replace("{column}", option.column)
        sheet.put(
            f"{option.column}{row}",
            _known(text, f"{option.column}{problem}", kind),
            style.RESULT_STRONG if strong else role,
            number_format=MONEY if money else sheet.number_format(kind),
        )


def _known(text: str, problem: str, kind: Kind) -> str:
    """Return a formula that is blank where an option has a problem; hours and money are unknown."""
    if kind in (kinds.MONEY, kinds.HOURS):
        return f'=IFERROR(IF({problem}="{COMPLETE}",{text},"{UNKNOWN}"),"{UNKNOWN}")'
    return if_known(text, problem)


def _result(
    sheet: Sheet, row: int, result: _Result, problems: _Problems, places: dict[str, int]
) -> None:
    last = result.formula == TOTAL
    sheet.put(f"A{row}", result.label, style.STRONG if last else style.LABEL)
    problem = problems.all if last else problems.own
    _numbers(sheet, row, result.kind, result.formula, problem, places, strong=last)
    if last:
        for option in OPTIONS:
            sheet.name(option.cell("price"), f"${option.column}${row}")


def _problems(rows: Rows, places: dict[str, int]) -> int:
    """Write what is wrong with the inputs that each option comes to; return the row of it."""
    sheet, row = rows.sheet, rows.next()
    sheet.put(f"A{row}", "Problem of the option", style.LABEL)
    for option in OPTIONS:
        found = layout_problem(_depth_given(option, places), "Option_labels", option.values)
        ratio = f"{option.column}{places[_RATIO]}"
        found = f'IF({ratio}="{UNKNOWN}","{_NO_HEIGHT}",{found})'
        for given in (BY_NAME[name] for name in MATERIALS):
            missing = unknown(f"{option.column}{places[given.name]}", given.rows_of)
            found = f'IF({missing},"{given.label}: not on the Materials sheet",{found})'
        sheet.put(f"{option.column}{row}", f"={found}", style.RESULT_TEXT)
    return row


def _lacks(rows: Rows, places: dict[str, int]) -> range:
    """Write what each line of an option's price lacks; return the rows of it."""
    sheet = rows.sheet
    rows.section("What the prices and hours of each option lack (calculated)")
    lines = [
        (f"Cost of {line.item}", line)
        for line in material_lines(sheet.system)
        if not line.everywhere
    ]
    found = []
    for name, line in lines:
        cost = f"{{column}}{places[name]}"
        for_order, for_price = of_material(sheet.template, line, cost, cost)
        found.append((line.item, first_problem(for_order, for_price)))
    for task in WORK:
        hours = f"{{column}}{places[f'Hours of {task.task}']}"
        found.append((task.task, told(hours, [lack_of(sheet.template, task.hours_fact)])))
    for spent in SITE:
        if spent.lacking:
            cost = f"{{column}}{places[f'Site: {spent.what}']}"
            lacks = [lack_of(sheet.template, fact) for fact in spent.lacking]
            found.append((spent.what, told(cost, lacks)))
    written = rows.take(len(found))
    for row, (label, formula) in zip(written, found, strict=True):
        sheet.put(f"A{row}", label, style.LABEL)
        for option in OPTIONS:
            text = elsewhere(formula, _scope(option, places)).replace("{column}", option.column)
            sheet.put(f"{option.column}{row}", f"={text}", style.RESULT_TEXT)
    return written


def _messages(sheet: Sheet, problems: _Problems, lacks: range, lacking: str) -> None:
    """Say of each option what the job's inputs or its own lack.

    ``lacks``: the rows of what its lines lack; ``lacking``: what those do that all options have.
    """
    sheet.put(f"A{problems.all}", "Inputs", style.LABEL)
    for option in OPTIONS:
        own = [f"{option.column}{row}" for row in (problems.own, *lacks)]
        found = first_problem("Job_problem", *own, lacking)
        cell = f"{option.column}{problems.all}"
        message = option.cell("message")
        sheet.put(cell, f'=IFERROR({found},"{MISSING}")', style.NOTE_TOP, name=message)
    sheet.height(problems.all, 66)


def _remarks(sheet: Sheet, row: int, changed: dict[str, int], places: dict[str, int]) -> None:
    """Say what an option has that no price shows: a wall higher than it need be, other courses."""
    sheet.put(f"A{row}", "Remarks", style.LABEL)
    for option in OPTIONS:
        found = _too_high(option)
        if option is not AS_ON_JOB:
            found = f"{found}&{_another_height(option, changed, places)}"
        # A blank at the end of a text is lost where a program saves it.
        sheet.put(f"{option.column}{row}", f"=TRIM({found})", style.NOTE_TOP)
    sheet.height(row, 66)


def _too_high(option: Option) -> str:
    """Return formula text that says so where the wall has more courses than its water needs."""
    courses, needed = (
        f"N({quantity(label, option.quantities)})"
        for label in ("Courses", "Courses needed for the water")
    )
    text = f'"Wall of "&{courses}&" courses; the water needs "&{needed}&". "'
    return f'IF(AND({needed}>0,{courses}>{needed}),{text},"")'


def _another_height(option: Option, changed: dict[str, int], places: dict[str, int]) -> str:
    """Return formula text of the courses that follow from another block height, as sentences."""
    own = {name: _typed(option, name, changed) for name in (*changed, *_KEPT)}
    cells = _cells(option, places)
    texts = [
        f'IF(AND({own["Courses"]}="",N(Courses)>0),"Courses follow from the water depth: the block '
        'has another height than on Job. ","")'
    ]
    for name, kept in _KEPT.items():
        used = elsewhere(kept.used, cells)
        texts.append(
            f'IF(AND({own[name]}="",N({name})>0,{used}),"{BY_NAME[name].label} "&{cells[name]}&", '
            'near the height on Job. ","")'
        )
    edge = "Courses_on_edge"
    texts.append(
        f'IF(AND({own[edge]}="",{edge}<>""),"{BY_NAME[edge].label} as on Job: "&{edge}&". ","")'
    )
    return f'IF({cells[_RATIO]}=1,"",{"&".join(texts)})'
