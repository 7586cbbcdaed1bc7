"""The Job sheet: particulars, materials and size, what is missing, and the record of changes."""

from __future__ import annotations

from typing import Final, NamedTuple

from basinbook.engine import kinds
from basinbook.engine.inputs import Input
from basinbook.engine.outfit import EFFECTS, STILL
from basinbook.engine.spec import SIZE
from basinbook.units import shown_range
from basinbook.workbook.template import style
from basinbook.workbook.template.costs import LAYING, SAW_CUTS, labour_fault
from basinbook.workbook.template.formulas import (
    COMPLETE,
    DEPTH_GIVEN,
    call,
    first_problem,
    if_known,
    lookup,
    outfit_name,
    unknown,
    why,
)
from basinbook.workbook.template.input_cells import limits, put_inputs
from basinbook.workbook.template.inputs import BY_NAME, INPUTS, inputs_of
from basinbook.workbook.template.inputs.groups import CHOSEN, JOB, METHOD, PARTICULARS, PRICING
from basinbook.workbook.template.inputs.parts import PARTS, Part
from basinbook.workbook.template.outfit import counted_cell, effect_unknown
from basinbook.workbook.template.sheet_writer import Rows, Sheet, Template
from basinbook.workbook.template.tables import TABLES
from basinbook.workbook.template.topics import (
    JOB_SHEETS,
    NO_PRICE,
    TOPIC_WIDTHS,
    of_task,
    put_layout_group,
)
from basinbook.workbook.template.version import VERSION, VERSION_NAME

_WHAT_TO_DO: Final = (
    "Say whose job it is, choose the materials, check the size; the sheets behind have the rest by "
    "topic, each cell with a start that serves. Lengths may be typed as 50, 50 in, 4' 2½\" or "
    "1.27 m."
)
_CHANGE_ROWS: Final = 5
RECORD: Final = "Record of changes"
_NO_LIST: Final = f"{NO_PRICE}, or a cell of the Materials sheet's blocks is no size or price"


def add_job(template: Template) -> None:
    """Add the sheet, with the message about what is missing on any sheet of inputs."""
    sheet = template.sheet(JOB, TOPIC_WIDTHS, pages=1)
    sheet.title("Job", _WHAT_TO_DO)
    rows = sheet.rows(4)
    put_inputs(rows, PARTICULARS, inputs_of(PARTICULARS))
    _units(rows)
    put_inputs(rows, CHOSEN, inputs_of(CHOSEN))
    put_layout_group(rows, SIZE)
    _ready(rows)
    _changes(rows)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze="A4", titles="1:2")


def _units(rows: Rows) -> None:
    sheet, row = rows.sheet, rows.next()
    sheet.put(f"A{row}", "Units", style.LABEL)
    sheet.put(f"B{row}", sheet.system, style.RESULT_TEXT, name="Units")
    sheet.merge(f"C{row}:E{row}")
    sheet.put(
        f"C{row}",
        "Of plain numbers in this workbook; the other template has the other units",
        style.NOTE,
    )
    row = rows.next()
    sheet.put(f"A{row}", "Workbook version", style.LABEL)
    sheet.put(f"B{row}", VERSION, style.RESULT, name=VERSION_NAME)
    sheet.merge(f"C{row}:E{row}")
    sheet.put(
        f"C{row}",
        "Of sheets and cells; basinbook convert FILE --current brings an older workbook up to date",
        style.NOTE,
    )


def _ready(rows: Rows) -> None:
    """Write what is missing, and the line that stands on every sheet."""
    sheet, row = rows.sheet, rows.next()
    sheet.put(f"A{row}", "Ready", style.LABEL)
    complete = f'=IFERROR(Job_message="{COMPLETE}",FALSE)'
    sheet.put(f"B{row}", complete, style.RESULT_TEXT, name="Ready")
    sheet.merge(f"C{row}:E{row}")
    sheet.put(
        f"C{row}",
        f"={first_problem('Job_problem', 'Layout_problem', _NO_TOTAL)}",
        style.STRONG,
        name="Job_message",
    )
    sheet.height(row, 28)
    of_order, of_job = _problems(sheet)
    for label, formula, name in (
        ("Layout", _layout_problem(sheet.template), "Layout_problem"),
        ("Materials and methods", _first_of_order(of_order), "Order_problem"),
        ("Materials, labour and prices", of_job, "Job_problem"),
    ):
        row = rows.next()
        sheet.put(f"A{row}", label, style.LABEL)
        sheet.merge(f"B{row}:E{row}")
        sheet.put(f"B{row}", f"={formula}", style.RESULT_TEXT, name=name)
    row = rows.next()
    sheet.put(f"A{row}", "Notes on the layout", style.LABEL)
    sheet.merge(f"B{row}:E{row}")
    notes = call("LAYOUTNOTES", "Job_labels", "Job_values")
    sheet.put(f"B{row}", if_known(notes, "Layout_problem"), style.RESULT_TEXT, name="Layout_notes")
    sheet.height(row, 56)
    _aim(rows)
    row = rows.next()
    sheet.put(f"A{row}", "Line on every sheet", style.LABEL)
    sheet.merge(f"B{row}:E{row}")
    sheet.put(
        f"B{row}",
        '=IF(Job_name="","",Job_name)&IF(Job_number="","","   No. "&Job_number)'
        '&IF(Job_date="","","   "&TEXT(Job_date,"yyyy-mm-dd"))'
        '&IF(Job_revision="","","   Revision "&Job_revision)&"   Units: "&Units',
        style.RESULT_TEXT,
        name="Job_line",
    )


def _aim(rows: Rows) -> None:
    """Write what the layout is least in and comes to, and what the nearest better size saves."""
    for label, function, name in (
        ("Aim of the layout", "AIMNOTE", "Aim_note"),
        ("Nearest better size", "AIMADVICE", "Aim_advice"),
    ):
        sheet, row = rows.sheet, rows.next()
        sheet.put(f"A{row}", label, style.LABEL)
        sheet.merge(f"B{row}:E{row}")
        found = call(function, "Job_labels", "Job_values", *_rates())
        text = if_known(found, "Layout_problem", NO_PRICE)
        sheet.put(f"B{row}", text, style.RESULT_TEXT, name=name)
        sheet.height(row, 28)


def wall_advice() -> str:
    """Return the formula of what a better block or number of courses saves."""
    listed = (f"Blocks_{column}" for column in ("name", "length", "height", "depth", "price"))
    found = call("WALLADVICE", "Job_labels", "Job_values", *listed, *_rates())
    return if_known(found, "Layout_problem", _NO_LIST)


def _rates() -> tuple[str, ...]:
    """Return formula texts of the prices and hours that advice on a layout is told in."""
    return (
        lookup("Blocks", "price", "Block"),
        "Labour_rate",
        *(of_task(task).hours_each for task in (SAW_CUTS, LAYING)),
        "Blade_wear",
    )


_DEPTH: Final = BY_NAME["Water_depth"]
_NO_DEPTH: Final = f"{_DEPTH.label}: this input is missing"
# Inputs may be complete, and a table lack a weight or a size that something is worked out from.
_NO_TOTAL: Final = (
    f'IF(Missing_price<>"",Missing_price,IF(ISNUMBER(Price_before_tax),"{COMPLETE}","Estimate: the '
    'quantity of a line is unknown; see what its row on the Materials sheet lacks"))'
)


def _first_of_order(inputs: str) -> str:
    """Return formula text of the first problem of an order: of its inputs, or of their tables."""
    lacking = f'IF(Missing_order="","{COMPLETE}",Missing_order)'
    return first_problem(inputs, lacking)


def layout_problem(depth_given: str, labels: str, values: str) -> str:
    """Return formula text of what is wrong with the inputs of a layout, or that nothing is."""
    reason = why("TAKEOFF", '"Blocks to buy"', labels, values, "Units")
    return f'IF({depth_given},IF({reason}="","{COMPLETE}",{reason}),"{_NO_DEPTH}")'


def _layout_problem(template: Template) -> str:
    """Return the same of the job, which names the sheet of the input that is wrong."""
    label = 'LEFT({left}{row},FIND(":",{left}{row})-1)'
    sheet = f"INDEX({JOB_SHEETS},MATCH({label},Job_labels,0))"
    reason = why("TAKEOFF", '"Blocks to buy"', "Job_labels", "Job_values", "Units")
    line = (f"={reason}", f'=IFERROR(" ("&{sheet}&" sheet)","")')
    reasons, sheets = template.block(("What is wrong with the layout", "On the sheet"), [line])
    why_not = reasons.cell(1, 1)
    return (
        f'IF({DEPTH_GIVEN},IF({why_not}="","{COMPLETE}",{why_not}&{sheets.cell(1, 1)}),'
        f'"{_NO_DEPTH} ({_DEPTH.sheet} sheet)")'
    )


def _problems(sheet: Sheet) -> tuple[str, str]:
    """Return formula texts of the first problem of an order, and of the whole job.

    On the working sheet each input has a cell for its own problem, and one for the first problem
    so far: an edit works anew only what it may have put right or wrong.
    """
    of_order, of_price = _faults(sheet.system)
    rows = [
        (
            f'=IF({fault.formula},"{fault.text}","{COMPLETE}")',
            f"={first_problem('{column}{above}', '{first}{row}')}",
        )
        for fault in (*of_order, *of_price)
    ]
    # Where the functions are missing, the fault is theirs: this lets their error through.
    rows[0] = (rows[0][0], f'=IF({call("ADDINVERSION")}="","",{{first}}{{row}})')
    _, first = sheet.template.block(("Problem of an input", "First problem"), rows)
    return first.cell(len(of_order), 1), first.cell(len(rows), 1)


def _faults(system: str) -> tuple[list[Fault], list[Fault]]:
    """Return the faults of materials and methods, and those that only a price hangs on."""
    found = [_not_chosen(given) for given in INPUTS if given.rows_of and given.required]
    found += [_not_there(given) for given in INPUTS if given.rows_of]
    found += _of_water()
    found.append(Fault(f"NOT({DEPTH_GIVEN})", f"{_NO_DEPTH} ({_DEPTH.sheet} sheet)"))
    later = [Fault(labour_fault(), "Labour: put tasks of your own on the Estimate sheet")]
    for given in inputs_of(METHOD, PRICING):
        if limits(given) != (None, None):
            ordered = given.group == METHOD and given.kind is not kinds.HOSE_FLOW
            (found if ordered else later).append(_wrong(given, system))
    return found, later


class Fault(NamedTuple):
    """Formula text that is true of a fault, and what to say of it."""

    formula: str
    text: str


def _on(given: Input, what: str) -> str:
    """Return what to do about an input, with the sheet that it is typed on."""
    return f"{given.label}: {what} ({given.sheet} sheet)"


def _not_chosen(given: Input) -> Fault:
    return Fault(f'{given.name}=""', f"{given.label}: choose one on the {given.sheet} sheet")


def _not_there(given: Input) -> Fault:
    of_materials = any(table.name == given.rows_of for table in TABLES)
    where = "Materials" if of_materials else "Pump and pipe"
    text = f"{given.label}: not on the {where} sheet"
    return Fault(unknown(counted_cell(given.name), given.rows_of), text)


def _of_water() -> list[Fault]:
    """Return the faults of the water effect and of the parts that it wants."""
    effect, pump = BY_NAME["Spill_kind"], BY_NAME["Pump"]
    choices = f"choose one of {', '.join(effect.choices)}"
    moved = f'AND({outfit_name("effect")}<>"{STILL}",{outfit_name("pump")}="")'
    found = [
        Fault(effect_unknown(), _on(effect, choices)),
        Fault(moved, f"{pump.label}: choose one on the {pump.sheet} sheet, or {STILL}"),
    ]
    for part in PARTS:
        found += _of_other_kind(part)
        found.append(_not_whole(BY_NAME[part.count], f'{outfit_name(part.field)}=""'))
    return found


def _of_other_kind(part: Part) -> list[Fault]:
    """Return the faults that a part's row in the table is of another kind than the effect wants."""
    there = outfit_name(part.field)
    of_kind = lookup("Water_parts", "kind", there)
    wanted: dict[str, list[str]] = {}
    for effect in EFFECTS:
        wanted.setdefault(part.kind_for(effect), []).append(effect)
    found = []
    for kind, effects in wanted.items():
        here = ",".join(f'{outfit_name("effect")}="{effect}"' for effect in effects)
        formula = f'AND({there}<>"",OR({here}),IFERROR({of_kind}<>"{kind}",FALSE))'
        text = f"{part.label}: choose a row of the kind {kind} on the Materials sheet"
        if kind:
            found.append(Fault(formula, text))
    return found


def _not_whole(given: Input, unless: str) -> Fault:
    """Return the fault that a number that is given is not whole or out of range."""
    name, low, high = given.name, given.low, given.high
    formula = (
        f'IF(OR({unless},{name}=""),FALSE,OR(N({name})<{low:g},N({name})>{high:g},'
        f"ISTEXT({name}),N({name})<>INT(N({name}))))"
    )
    return Fault(
        formula,
        _on(given, f"give a whole number from {low:g} to {high:g}"),
    )


def _wrong(given: Input, system: str) -> Fault:
    """Return the fault that a value is none that an input of methods and prices may have."""
    name, (low, high) = given.name, limits(given)
    assert low is not None
    assert high is not None
    if given.kind is kinds.LENGTH:
        metres = call("CONVERTLENGTH", name, '"m"')
        within = f"IFERROR(AND({metres}>={low:g},{metres}<={high:g}),FALSE)"
        allowed = shown_range(low, high, given.kind, system)
        return Fault(f'OR({name}="",NOT({within}))', _on(given, f"give {allowed}"))
    if given.kind is kinds.HOSE_FLOW:
        hours = call("FILLTIME", '"100 L"', name)
        return Fault(f"NOT(IFERROR({hours}>0,FALSE))", _on(given, "give a flow"))
    if given.kind is kinds.COUNT:
        return Fault(
            f"OR(N({name})<{low:g},N({name})>{high:g},N({name})<>INT(N({name})))",
            _on(given, f"give a whole number from {low:g} to {high:g}"),
        )
    text = f"{low:.0%} to {high:.0%}" if given.percent else f"an amount up to {high:,.0f}"
    # A blank is none of them: who means nothing types it.
    return Fault(
        f"IF(ISNUMBER({name}),OR({name}<{low:g},{name}>{high:.10g}),TRUE)",
        _on(given, f"give {text}, 0 for none"),
    )


def _changes(rows: Rows) -> None:
    """Room for the record of what changed: date, who, what, price agreed."""
    sheet = rows.sheet
    rows.section(RECORD)
    heads = ("Date and revision", "Changed by", "", "Agreed with", "What changed")
    sheet.row(rows.next(), "A", heads, style.HEAD)
    for _ in range(_CHANGE_ROWS + sheet.more(RECORD)):
        sheet.row(rows.next(), "A", (None,) * len(heads), style.INPUT_TEXT)
