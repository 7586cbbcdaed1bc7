"""The Water sheet's part on several outlets that one pump feeds: a column for each of them."""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds
from basinbook.engine.inputs import Input
from basinbook.engine.kinds import Kind
from basinbook.engine.water.manifold import MOST_OUTLETS, SPOUT
from basinbook.workbook.template import style
from basinbook.workbook.template.formulas import call, lookup, why
from basinbook.workbook.template.input_cells import (
    flag_unread,
    put_cell,
    put_input,
    read_as,
    unit_text,
)
from basinbook.workbook.template.inputs import BY_NAME, inputs_of
from basinbook.workbook.template.inputs.branches import BRANCH_ROWS, branch_cell
from basinbook.workbook.template.inputs.groups import BRANCHES
from basinbook.workbook.template.lines import Result, put_results, put_sentence
from basinbook.workbook.template.sheet_writer import Area, Rows

_COLUMNS: Final = "EFGH"
assert len(_COLUMNS) == MOST_OUTLETS
# Formula texts: whether there are several outlets, and whether their flows are wanted.
GIVEN: Final = 'SUMPRODUCT(1*(Branch_outlet<>""))>0'
_WANTED: Final = 'SUMPRODUCT(1*(Branch_wanted<>""))>0'
_NONE: Final = "One outlet alone: nothing is typed here"


def put_branches(rows: Rows) -> None:
    """Put the section: pipe to the manifold, outlets and their branches, how the flow divides."""
    rows.sheet.break_before(rows.row + 2)
    rows.section("Outlets on this pump")
    _note(
        rows,
        "Several outlets on one pump: list each of them, that of the effect above too, from the "
        "left; blank where there is but one. Their pipes, valves and parts are not priced: put "
        "them on lines of your own on the Estimate sheet.",
    )
    for given in inputs_of(BRANCHES):
        if given.name.startswith("Manifold_"):
            put_input(rows, given, "D")
    _typed(rows)
    _looked_up(rows, "Inside diameter", "bore", kinds.LENGTH)
    _looked_up(rows, "Roughness", "roughness", kinds.ROUGHNESS)
    branches = tuple(
        f"Branch_{key}"
        for key in (
            "outlet", "size", "wall", "height", "bore", "roughness", "length", "fittings_k",
            "valve_k",
        )
    )  # fmt: skip
    main = ("Pipe_bore", "Manifold_length", "Manifold_k", "Pipe_roughness", "Water_temperature")
    curve = ("Curve_flows", "Curve_heads")
    everything = (*curve, *branches, *main)
    template = rows.sheet.template
    flows = template.table(call("BRANCHFLOWS", *everything), MOST_OUTLETS, 4, GIVEN)
    valves = template.table(
        call("BRANCHVALVES", *curve, "Branch_wanted", *branches, *main), MOST_OUTLETS, 3,
        f"AND({GIVEN},{_WANTED})",
    )  # fmt: skip
    _results(rows, "Flow", flows, 1, kinds.PUMP_FLOW, "As its valve is set")
    _results(rows, "Head over it", flows, 2, kinds.LENGTH, "Of a spout or hole: over its middle")
    _throws(rows, flows)
    _results(rows, "Velocity in its pipe", flows, 3, kinds.VELOCITY, "")
    _results(
        rows, "Valve K for the wanted flow", valves, 1, kinds.RATIO, "Dash: out of reach", _WANTED
    )
    _results(
        rows, "Head that the valve takes", valves, 2, kinds.HEAD, "Below zero: lacking", _WANTED
    )
    put_results(
        rows,
        Result(
            "Outlets listed", 'SUMPRODUCT(1*(Branch_outlet<>""))', kinds.COUNT, "", "Branch_count"
        ),
        Result(
            "All outlets together",
            _if_given(call("BRANCHTOTAL", *everything)),
            kinds.PUMP_FLOW,
            "What the pump gives, as the valves are set",
            "Branch_total",
        ),
        Result(
            "Head at the manifold",
            _if_given(call("BRANCHHEAD", *everything)),
            kinds.HEAD,
            "Over the basin's water",
            "Branch_head",
        ),
        Result(
            "Water in their pipes",
            _if_given(_contents()),
            kinds.LIQUID,
            "Runs back too when the pump stops: counted with the pipe below",
            "Branch_contents",
        ),
    )
    trust = '&"; "&'.join(
        f'"{at}: "&IF({branch_cell("outlet", at)}="","-",{flows.cell(at, 4)})'
        for at in range(1, MOST_OUTLETS + 1)
    )
    put_sentence(rows, "How far to trust them", f'IF(ISNUMBER(Branch_total),{trust},"-")')
    heads = f"{valves.cell(1, 2)}:{valves.letters[1]}{valves.last}"
    put_results(
        rows,
        Result(
            "Outlets out of reach",
            f'IF(AND({GIVEN},{_WANTED}),IF(COUNT({heads})=0,"unknown",COUNTIF({heads},"<0")),"-")',
            kinds.COUNT,
            "Whose wanted flow the pump can't give, all valves set; 0 is none",
            "Branch_short",
        ),
    )
    no_valve = why("BRANCHVALVES", *curve, "Branch_wanted", *branches, *main, "Units")
    put_sentence(
        rows,
        "Valves",
        f"IF({GIVEN},IF({_WANTED},IF(ISNUMBER(Branch_short),"
        'IF(Branch_short=0,"With each valve taking its K the outlets have the flows wanted",'
        '"Not to be had together: want less, set an outlet lower or take a stronger pump"),'
        f'"unknown: "&{no_valve}),"no flow is wanted, so none is worked out"),"-")',
        16,
    )
    told = (
        f'Branch_count&" outlets share what the pump gives; "&'
        f"{call('VELOCITYNOTE', call('PIPEVELOCITY', 'Branch_total', 'Pipe_bore'))}"
        '&" velocity in the pipe to them"'
    )
    missing = why("BRANCHTOTAL", *everything, "Units")
    put_sentence(
        rows,
        "Several outlets",
        f'IF({GIVEN},IF(ISNUMBER(Branch_total),{told},"unknown: "&{missing}),"{_NONE}")',
    )


def _if_given(formula: str) -> str:
    return f'IF({GIVEN},IFERROR({formula},"unknown"),"-")'


def _note(rows: Rows, text: str) -> None:
    sheet, row = rows.sheet, rows.next()
    sheet.merge(f"A{row}:{sheet.last}{row}")
    sheet.put(f"A{row}", text, style.NOTE)
    sheet.height(row, 26)


def _typed(rows: Rows) -> None:
    """Put the cells to type in, a row for each thing and a column for each outlet."""
    sheet, head = rows.sheet, rows.next()
    sheet.row(head, "A", ("Each outlet", "", "", ""), style.HEAD)
    for number, column in enumerate(_COLUMNS, start=1):
        sheet.put(f"{column}{head}", f"Outlet {number}", style.HEAD)
    for key, _ in BRANCH_ROWS:
        row = rows.next()
        inputs = [BY_NAME[branch_cell(key, at)] for at in range(1, MOST_OUTLETS + 1)]
        for column, given in zip(_COLUMNS, inputs, strict=True):
            put_cell(sheet, f"{column}{row}", given, given.name, given.start(sheet.system))
        label = inputs[0].label.partition(": ")[2]
        shown = label[0].upper() + label[1:]
        _beside(rows, row, shown, unit_text(sheet, inputs[0]), inputs[0].help)
        sheet.name(f"Branch_{key}", f"${_COLUMNS[0]}${row}:${_COLUMNS[-1]}${row}")
        if inputs[0].kind is kinds.LENGTH:
            _echo(rows, row, inputs)


def _echo(rows: Rows, typed: int, inputs: list[Input]) -> None:
    """Put the row below that says how the lengths of a row are read."""
    sheet, row = rows.sheet, rows.next()
    _beside(rows, row, "", None, "As it is read")
    for column, given in zip(_COLUMNS, inputs, strict=True):
        sheet.put(f"{column}{row}", read_as(sheet, f"{column}{typed}", given), style.UNIT)
        flag_unread(sheet, f"{column}{row}")


def _beside(rows: Rows, row: int, label: str, unit: object, note: str) -> None:
    sheet = rows.sheet
    sheet.put(f"A{row}", label or None, style.LABEL)
    sheet.put(f"C{row}", unit, style.UNIT)
    sheet.put(f"D{row}", note or None, style.NOTE)


def _looked_up(rows: Rows, label: str, key: str, kind: Kind) -> None:
    """Put what the table of pipes has of each branch's pipe."""
    sheet, row = rows.sheet, rows.next()
    _beside(rows, row, label, sheet.unit(kind), "Of the pipe chosen")
    for at, column in enumerate(_COLUMNS, start=1):
        pipe = branch_cell("pipe", at)
        sheet.put(
            f"{column}{row}",
            f'=IF({pipe}="","",IFERROR({lookup("Pipes", key, pipe)},""))',
            style.RESULT,
            number_format=sheet.number_format(kind),
        )
    sheet.name(f"Branch_{key}", f"${_COLUMNS[0]}${row}:${_COLUMNS[-1]}${row}")


def _results(
    rows: Rows,
    label: str,
    table: Area,
    index: int,
    kind: Kind,
    note: str,
    asked: str = "TRUE",
) -> None:
    """Put a column of an array as a row: a value under each outlet that is given, where asked."""
    sheet, row = rows.sheet, rows.next()
    _beside(rows, row, label, sheet.unit(kind) or None, note)
    for at, column in enumerate(_COLUMNS, start=1):
        found = table.cell(at, index)
        outlet = branch_cell("outlet", at)
        sheet.put(
            f"{column}{row}",
            f'=IF({outlet}="","",IF({asked},IF(LEN({found})=0,"unknown",{found}),"-"))',
            style.RESULT,
            number_format=sheet.number_format(kind),
        )


def _throws(rows: Rows, flows: Area) -> None:
    """Put how far each spout throws its water, on its way down to the basin's."""
    sheet, row = rows.sheet, rows.next()
    _beside(rows, row, "Thrown by a spout", sheet.unit(kinds.LENGTH), "Wind and drops go further")
    for at, column in enumerate(_COLUMNS, start=1):
        flow, height = flows.cell(at, 1), branch_cell("height", at)
        throw = call("SPOUTTHROW", flow, f"INDEX(Branch_bore,1,{at})", height)
        sheet.put(
            f"{column}{row}",
            f'=IF({branch_cell("outlet", at)}="{SPOUT}",IF(ISNUMBER({flow}),IF({flow}>0,'
            f'IFERROR({throw},"unknown"),"-"),"unknown"),"")',
            style.RESULT,
            number_format=sheet.number_format(kinds.LENGTH),
        )


def _contents() -> str:
    """Formula text of the water in the branches' pipes; an error where one is not known."""
    each = (
        (branch_cell("outlet", at), f"INDEX(Branch_bore,1,{at})", branch_cell("length", at))
        for at in range(1, MOST_OUTLETS + 1)
    )
    return "+".join(
        f'IF({outlet}="",0,{call("PIPECONTENTS", bore, length)})' for outlet, bore, length in each
    )
