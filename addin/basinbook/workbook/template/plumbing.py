"""The Water sheet's part on pump, pipe and fittings."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.workbook.template import style
from basinbook.workbook.template.branches import GIVEN
from basinbook.workbook.template.formulas import (
    UNKNOWN,
    amount,
    applies,
    call,
    given,
    if_known,
    lookup,
    or_blank,
    outfit_name,
    whole_sum,
    why,
)
from basinbook.workbook.template.input_cells import put_cell, put_inputs
from basinbook.workbook.template.inputs import BY_NAME, inputs_of
from basinbook.workbook.template.inputs.groups import FITTINGS, PLUMBING
from basinbook.workbook.template.lines import (
    CHART_ROWS,
    Curve,
    Result,
    put_chart,
    put_results,
    put_sentence,
)
from basinbook.workbook.template.outfit import (
    LIFT,
    PIPE_LENGTH,
    STANDS,
    falling,
    running,
    suggestion,
)
from basinbook.workbook.template.pumps import CURVE_POINTS
from basinbook.workbook.template.sheet_writer import FACTOR, Rows
from basinbook.workbook.template.spillway import spill

_EFFECT, _PUMP, _PIPE = (outfit_name(field) for field in ("effect", "pump", "pipe"))
_NO_PUMP = "Still water: no pump runs. Pump, pipe and fittings do not count, whatever is typed here"
# Columns of the loss coefficients beside the fittings.
_K_COLUMNS = {"E": "low", "F": "typical", "G": "high"}


def put_pump(rows: Rows) -> None:
    """Put the section of pump, pipe and fittings, with both curves."""
    notes = {
        way.typed: suggestion(way, f"ROUND({way.suggested},2)", rows) for way in (LIFT, PIPE_LENGTH)
    }
    put_inputs(rows, PLUMBING, inputs_of(PLUMBING), notes=notes)
    put_sentence(
        rows,
        "On this job",
        f'IF({STANDS},"{_NO_PUMP}",IF(Runs,{_EFFECT}&" with pump "&{_PUMP}&IF({GIVEN},": figures '
        'as if it fed that outlet alone; how several share it stands further down",""),'
        f'{_EFFECT}&": choose a pump"))',
        16,
    )
    _fitting_lines(rows)
    _curve(rows)
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
            running(call("PUMPPOINT", *curve, *typical)),
            flow,
            "Where pump curve and system curve meet",
            "Flow_running",
        ),
        Result("at a head of", running(call("PUMPPOINTHEAD", *curve, *typical)), head),
        Result(
            "with the lowest K",
            running(call("PUMPPOINT", *curve, *system, "K_low", *rest)),
            flow,
            "Published K differ: so much the flow moves",
        ),
        Result(
            "with the highest K",
            running(call("PUMPPOINT", *curve, *system, "K_high", *rest)),
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
            falling(spill("HEAD", "Flow_running")),
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
        sheet.idle(f"A{row}:B{row}", f"NOT({applies(fitting.when)})")
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
    rows.sheet.break_before(rows.row + 2)
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
                f"={or_blank(point)}",
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
