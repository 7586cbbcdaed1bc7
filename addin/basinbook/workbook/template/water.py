"""The Water sheet: spillway, pump and pipe, levels."""

from __future__ import annotations

from basinbook.catalogue import function
from basinbook.engine import kinds
from basinbook.engine.outfit import BOWL, LIP, NOTCH
from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.formulas import (
    UNKNOWN,
    amount,
    call,
    given,
    if_known,
    lookup,
    outfit_name,
    whole_sum,
    why,
)
from basinbook.workbook.template.input_cells import put_cell, put_inputs
from basinbook.workbook.template.inputs import (
    BY_NAME,
    FITTINGS,
    PLUMBING,
    SPILLWAY,
    inputs_of,
)
from basinbook.workbook.template.lines import (
    CHART_ROWS,
    SCALE,
    WIDTHS,
    Curve,
    Result,
    put_array,
    put_chart,
    put_results,
    put_sentence,
)
from basinbook.workbook.template.outfit import (
    FALL,
    FALLING,
    LIFT,
    PIPE_LENGTH,
    STANDS,
    Way,
)
from basinbook.workbook.template.pumps import CURVE_POINTS
from basinbook.workbook.template.sheet_writer import FACTOR, Rows, Template

_EFFECT, _PUMP, _PIPE = (outfit_name(field) for field in ("effect", "pump", "pipe"))
_NO_PUMP = "Still water: no pump runs. Pump, pipe and fittings do not count, whatever is typed here"
# Columns of the loss coefficients beside the fittings.
_K_COLUMNS = {"E": "low", "F": "typical", "G": "high"}
# What ENERGYCOST gives; a product of two cells is left to the spreadsheet.
_ENERGY_COST = 'IF(AND(ISNUMBER(Energy_price),N(Energy_price)>=0),({energy})*Energy_price,"-")'


def add_water(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Water", WIDTHS, scale=SCALE)
    sheet.title("Water: spillway, pump, pipe, levels")
    rows = sheet.rows(4)
    _spillway(rows)
    _pump(rows)
    _current(rows)
    _levels(rows)
    row = put_cautions(sheet, rows.row + 2, "water")
    sheet.finish(f"A1:{sheet.last}{row}", freeze="A4", titles="1:2")


def _spill(ending: str, first: str) -> str:
    """Formula text of a spillway function for the water effect; blank for one without a fall."""
    lip = call(f"SPILL{ending}", first, "Spill_size", "Spill_edge", "Spill_thickness", "Spill_ends")
    bowl = call(f"BOWL{ending}", first, "Spill_size", "Spill_edge", "Spill_thickness")
    notch = call(f"NOTCH{ending}", first, "Spill_size", *_notch_rest(ending))
    by_effect = "".join(
        f'IF({_EFFECT}="{effect}",{found},'
        for effect, found in ((LIP, lip), (BOWL, bowl), (NOTCH, notch))
    )
    return f'{by_effect}"")))'


def _notch_rest(ending: str) -> tuple[str, ...]:
    taken = len(function(f"NOTCH{ending}").arguments) - 2
    return ("Spill_edge", "Spill_thickness", "Spill_ends")[:taken]


def _spillway(rows: Rows) -> None:
    notes = {FALL.typed: _suggestion(FALL, call("READLENGTH", FALL.suggested), rows)}
    put_inputs(rows, SPILLWAY, inputs_of(SPILLWAY), gap=0, notes=notes)
    falls = f'{_EFFECT}&IF({outfit_name("outlet")}="","",": "&{outfit_name("outlet")})'
    put_sentence(
        rows,
        "On this job",
        f'IF({FALLING},{falls},{_EFFECT}&": nothing runs over a lip, and what is typed here does '
        'not count")',
        16,
    )
    put_results(
        rows,
        Result(
            "Flow wanted",
            _spill("FLOW", "Spill_head"),
            kinds.PUMP_FLOW,
            "At the wanted head; how far to trust it stands below",
            "Flow_wanted",
        ),
    )
    put_sentence(rows, "How far to trust it", _falling(_spill("STATUS", "Spill_head")), 16)
    sheet = rows.sheet
    sheet.name("Spill_status", f"$B${rows.row}")
    put_results(
        rows,
        Result(
            "Usual flow for a lip this wide",
            _falling(call("USUALSPILLFLOW", "Spill_size", '"full"')),
            kinds.PUMP_FLOW,
            "Full sheet; common practice, no source",
        ),
    )
    lip = ("Spill_head", "Spill_size", "Spill_edge", "Spill_thickness", "Spill_ends")
    put_sentence(
        rows,
        "If there is no figure",
        f'IF(OR(ISNUMBER(Flow_wanted),NOT({FALLING})),"",{why("SPILLFLOW", *lip, "Units")})',
    )


def _falling(formula: str) -> str:
    """Formula text that shows a dash where no water falls."""
    return f'IF({FALLING},{formula},"-")'


def _suggestion(way: Way, shown: str, rows: Rows) -> str:
    """Formula text of the note beside a height or length that the geometry suggests."""
    given = BY_NAME[way.typed]
    unit = "" if given.kind is kinds.LENGTH else f" {rows.sheet.unit(given.kind)}"
    bowl = f'IF({_EFFECT}="{BOWL}",", the bowl\'s own height not counted","")'
    told = f'IF({way.typed}="","Blank: ","Typed; ")&"by the geometry "&{shown}&"{unit}"&{bowl}'
    return f'IF(ISNUMBER({way.suggested}),{told},"{given.help}; blank: by the geometry")'


def _pump(rows: Rows) -> None:
    notes = {
        way.typed: _suggestion(way, f"ROUND({way.suggested},2)", rows)
        for way in (LIFT, PIPE_LENGTH)
    }
    put_inputs(rows, PLUMBING, inputs_of(PLUMBING), notes=notes)
    put_sentence(
        rows,
        "On this job",
        f'IF({STANDS},"{_NO_PUMP}",IF(Runs,{_EFFECT}&" with pump "&{_PUMP},'
        f'{_EFFECT}&": choose a pump"))',
        16,
    )
    _fitting_lines(rows)
    _curve(rows)
    rows.sheet.break_before(rows.row + 1)
    system = (LIFT.used, "Pipe_bore", PIPE_LENGTH.used)
    rest = ("Pipe_roughness", "Water_temperature")
    typical = (*system, "K_typical", *rest)
    curve = ("Curve_flows", "Curve_heads")
    flow, head = kinds.PUMP_FLOW, kinds.HEAD
    bore, roughness = (given(lookup("Pipes", key, _PIPE)) for key in ("bore", "roughness"))
    lines = (
        Result("Static lift", LIFT.used, head, "Typed, or by the geometry"),
        Result("Pipe length", PIPE_LENGTH.used, kinds.RUN, "Likewise"),
        Result("Inside diameter", bore, kinds.LENGTH, "", "Pipe_bore"),
        Result("Roughness", roughness, kinds.ROUGHNESS, "", "Pipe_roughness"),
        Result(
            "Velocity in the pipe",
            call("PIPEVELOCITY", "IF(ISNUMBER(Flow_wanted),Flow_wanted,Flow_running)", "Pipe_bore"),
            kinds.VELOCITY,
            "At the wanted flow; without one at the flow that the pump gives",
            "Pipe_velocity",
        ),
        Result(
            "Pipe friction",
            call("PIPEHEADLOSS", "Flow_wanted", "Pipe_bore", PIPE_LENGTH.used, *rest),
            head,
            "Darcy-Weisbach, at the wanted flow",
        ),
        Result(
            "Pipe friction, to compare",
            call("PIPEHEADLOSSHW", "Flow_wanted", "Pipe_bore", PIPE_LENGTH.used),
            head,
            "Hazen-Williams, C = 150",
        ),
        Result(
            "Fittings",
            call("FITTINGHEADLOSS", "Flow_wanted", "Pipe_bore", "K_typical"),
            head,
            "Typical K",
        ),
        Result(
            "Total dynamic head",
            call("TOTALHEAD", "Flow_wanted", *typical),
            head,
            "Lift, friction and fittings at the wanted flow",
            "Total_head",
        ),
        Result(
            "Pump runs at",
            _running(call("PUMPPOINT", *curve, *typical)),
            flow,
            "Where pump curve and system curve meet",
            "Flow_running",
        ),
        Result("at a head of", _running(call("PUMPPOINTHEAD", *curve, *typical)), head),
        Result(
            "with the lowest K",
            _running(call("PUMPPOINT", *curve, *system, "K_low", *rest)),
            flow,
            "Published K differ: so much the flow moves",
        ),
        Result(
            "with the highest K",
            _running(call("PUMPPOINT", *curve, *system, "K_high", *rest)),
            flow,
        ),
        Result(
            "Flow over the flow wanted",
            'IF(AND(ISNUMBER(Flow_running),ISNUMBER(Flow_wanted)),Flow_running/Flow_wanted,"")',
            kinds.RATIO,
            "1 is as wanted",
            "Pump_reach",
        ),
        Result(
            "Head over lip or rim then",
            _falling(_spill("HEAD", "Flow_running")),
            kinds.LENGTH,
            "At the flow that the pump gives",
            "Head_running",
        ),
    )
    put_results(rows, *lines)
    put_sentence(rows, "Velocity in the pipe is", call("VELOCITYNOTE", "Pipe_velocity"), 16)
    advice = call("PUMPADVICE", "Flow_wanted", *curve, *typical)
    put_sentence(rows, "Pump advice", f'IF(ISNUMBER(Flow_wanted),{advice},"-")')
    put_sentence(
        rows,
        "If there is no figure",
        f'IF(OR(ISNUMBER(Flow_running),NOT(Runs)),"",IF({_PIPE}="","choose a pipe",'
        + why("PUMPPOINT", *curve, *typical, "Units")
        + "))",
    )


def _running(formula: str) -> str:
    """Formula text that shows a dash where no pump runs."""
    return f'IF(Runs,{formula},"-")'


def _current(rows: Rows) -> None:
    """What pump and lights take; nothing of what is not there."""
    rows.section("Energy and circuit")
    light = outfit_name("light")
    lit = f'{light}<>""'
    put_sentence(
        rows,
        "On this job",
        f'IF(AND(NOT(Runs),NOT({lit})),"No pump and no light: nothing takes current",'
        f'IF(Runs,"pump","")&IF(AND(Runs,{lit})," and ","")&IF({lit},"light",""))',
        16,
    )
    each = lookup("Water_parts", "power", light)
    taken = f'IF(N({each})>0,{each}*{outfit_name("lights")},"-")'
    power = f'IF(OR(Runs,{lit}),IF(Runs,Pump_power,0)+IF({lit},Light_power,0),"-")'
    energy = f"IF(Runs,Pump_energy,0)+IF({lit},Light_energy,0)"
    lines = (
        Result(
            "Power of the pump",
            _running(
                f'IF(N({lookup("Pumps", "power", _PUMP)})>0,{lookup("Pumps", "power", _PUMP)},"-")'
            ),
            kinds.POWER,
            "From the Pump and pipe sheet",
            "Pump_power",
        ),
        Result(
            "Power of the lights",
            f'IF({lit},{taken},"-")',
            kinds.POWER,
            "From the Materials sheet",
            "Light_power",
        ),
        Result(
            "Energy of the pump per year",
            _running(call("PUMPENERGY", "Pump_power", "Pump_hours")),
            kinds.ENERGY,
            "",
            "Pump_energy",
        ),
        Result(
            "Energy of the lights per year",
            f'IF({lit},{call("PUMPENERGY", "Light_power", "Light_hours")},"-")',
            kinds.ENERGY,
            "",
            "Light_energy",
        ),
        Result(
            "Cost per year",
            f'IF(OR(Runs,{lit}),{_ENERGY_COST.replace("{energy}", energy)},"-")',
            kinds.MONEY,
        ),
        Result(
            "Current",
            call("CIRCUITLOAD", power, "Voltage"),
            kinds.CURRENT,
            "Of pump and lights together",
            "Pump_current",
        ),
    )
    put_results(rows, *lines)
    note = call("CIRCUITNOTE", "Pump_current", "Circuit_rating")
    put_sentence(rows, "Circuit", f'IF(OR(Runs,{lit}),{note},"-")')


def _fitting_lines(rows: Rows) -> None:
    sheet, head = rows.sheet, rows.next()
    heads = ("Fitting", "How many", "", "", "K low", "K typical", "K high", "")
    sheet.row(head, "A", heads, style.HEAD)
    inputs = inputs_of(FITTINGS)
    for fitting in (each for each in inputs if each.rows_of):
        row = rows.next()
        put_cell(sheet, f"A{row}", fitting, fitting.name, fitting.start(sheet.system))
        count = BY_NAME[f"{fitting.name}_count"]
        put_cell(sheet, f"B{row}", count, count.name, count.start(sheet.system))
        for column, key in _K_COLUMNS.items():
            loss = amount(lookup("Fittings", key, f"A{row}"))
            sheet.put(
                f"{column}{row}",
                if_known(
                    f'IF(AND(A{row}="",N(B{row})=0),0,{amount(f"B{row}")}*{loss})',
                    otherwise=UNKNOWN,
                ),
                style.RESULT,
                number_format=FACTOR,
            )
    first, last = head + 1, rows.row
    row = rows.next()
    sheet.put(f"A{row}", "Sum of K", style.STRONG)
    for column, key in _K_COLUMNS.items():
        sheet.put(
            f"{column}{row}",
            f"={whole_sum({f'{column}{first}:{column}{last}': last - first + 1})}",
            style.RESULT,
            number_format=FACTOR,
            name=f"K_{key}",
        )
    sheet.name("Fitting_names", f"$A${first}:$A${last}")


def _curve(rows: Rows) -> None:
    """Table and chart of the pump curve against the system curve."""
    sheet, head = rows.sheet, rows.next(gap=1)
    flow, height = sheet.unit(kinds.PUMP_FLOW), sheet.unit(kinds.HEAD)
    heads = (f"Flow, {flow}", f"Pump head, {height}", "", f"System head, {height}")
    sheet.row(head, "A", heads, style.HEAD)
    points = rows.take(CURVE_POINTS)
    for number, row in enumerate(points, start=1):
        for column, key, kind in (("A", "flow", kinds.PUMP_FLOW), ("B", "head", kinds.HEAD)):
            point = lookup("Pumps", f"{key}{number}", _PUMP)
            sheet.put(
                f"{column}{row}",
                f'=IFERROR(IF({point}="","",{point}),"")',
                style.RESULT,
                number_format=sheet.number_format(kind),
            )
        system = call(
            "TOTALHEAD",
            f"MAX(A{row},0.001)",
            LIFT.used,
            "Pipe_bore",
            PIPE_LENGTH.used,
            "K_typical",
            "Pipe_roughness",
            "Water_temperature",
        )
        sheet.put(
            f"D{row}",
            f'=IFERROR(IF(A{row}="","",{system}),"")',
            style.RESULT,
            number_format=sheet.number_format(kinds.HEAD),
        )
    first, last = points[0], points[-1]
    sheet.name("Curve_flows", f"$A${first}:$A${last}")
    sheet.name("Curve_heads", f"$B${first}:$B${last}")
    put_chart(
        sheet,
        f"E{head}",
        "Pump curve and system curve",
        f"Flow, {flow}",
        f"Head, {height}",
        points,
        "A",
        (Curve("B", "Pump"), Curve("D", "System", "dash")),
    )
    rows.reach(head + CHART_ROWS)


def _levels(rows: Rows) -> None:
    rows.section("Water levels")
    length = kinds.LENGTH
    put_sentence(
        rows,
        "On this job",
        f'IF({STANDS},"Still water: no pump runs and nothing drains back",IF({FALLING},"Pipe, fall '
        'and the water over lip or rim drain back when the pump stops","The pipe drains back when '
        'the pump stops"))',
        16,
    )
    over = call("WATEROVEROUTLET", _EFFECT, "Spill_size", "Head_running")
    lines = (
        Result(
            "Water in the pipe",
            f"IF({STANDS},0,{call('PIPECONTENTS', 'Pipe_bore', PIPE_LENGTH.used)})",
            kinds.LIQUID,
            "Counted as if it ran back, check valve or not",
            "Pipe_contents",
        ),
        Result(
            "Water in the air",
            f"IF({FALLING},{call('VOLUMEINAIR', 'Flow_running', FALL.used)},0)",
            kinds.LIQUID,
            "Height of fall typed, or by the geometry",
            "Air_contents",
        ),
        Result(
            "Water over lip or rim",
            f"IF({FALLING},{over},0)",
            kinds.LIQUID,
            "A lip has it 300 mm (12 in) deep behind it: common practice, no source",
            "Outlet_contents",
        ),
        Result(
            "Runs back when the pump stops",
            "Pipe_contents+Air_contents+Outlet_contents",
            kinds.LIQUID,
            "",
            "Drain_back",
        ),
        Result(
            "Rise when the pump stops",
            call("DRAINBACKRISE", "Drain_back", "Inside_length", "Inside_width"),
            length,
            "All that drains back must fit below the rim",
            "Level_rise",
        ),
        Result(
            "Left to the rim then",
            call("FREEBOARDLEFT", "Qty_Wall_height", "Water_depth", "Level_rise"),
            length,
            "Below zero it spills",
            "Freeboard_left",
        ),
        Result(
            "Highest operating level",
            call("HIGHESTLEVEL", "Qty_Wall_height", "Level_rise", "Freeboard"),
            length,
            "Keeps the freeboard of the Job sheet",
        ),
        Result(
            "Water over the pump at the start",
            f'IF(Runs,IFERROR({call("PUMPCOVER", "Water_depth", "Level_rise", "Pump_height")},""),'
            '"")',
            length,
            "Filled to the water depth, then pipe, fall and lip fill; below zero it stands out",
            "Depth_over_pump",
        ),
    )
    put_results(rows, *lines)
    put_array(
        rows,
        "WATERLEVELS",
        (
            "Inside_length",
            "Inside_width",
            "Qty_Wall_height",
            "Water_depth",
            "Drain_back",
        ),
        3,
        "ABDE",
    )
