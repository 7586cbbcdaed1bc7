"""The Water sheet: spillway, pump and pipe, levels."""

from __future__ import annotations

from basinbook.catalogue import function
from basinbook.engine import kinds
from basinbook.engine.outfit import FALLS
from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.formulas import call, lookup, why
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
from basinbook.workbook.template.pumps import CURVE_POINTS
from basinbook.workbook.template.sheet_writer import FACTOR, Rows, Template

# Columns of the loss coefficients beside the fittings.
_K_COLUMNS = {"E": "low", "F": "typical", "G": "high"}
# What ENERGYCOST gives; a product of two cells is left to the spreadsheet.
_ENERGY_COST = 'IF(AND(ISNUMBER(Energy_price),N(Energy_price)>=0),Pump_energy*Energy_price,"-")'


def add_water(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Water", WIDTHS, scale=SCALE)
    sheet.title("Water: spillway, pump, pipe, levels")
    rows = sheet.rows(4)
    _spillway(rows)
    _pump(rows)
    _levels(rows)
    row = put_cautions(sheet, rows.row + 2, "water")
    sheet.finish(f"A1:{sheet.last}{row}", freeze="A4", titles="1:2")


def _spill(kind: str, ending: str, first: str) -> str:
    """Formula text of a spillway function for the kind of spillway chosen."""
    lip = call(f"SPILL{ending}", first, "Spill_size", "Spill_edge", "Spill_thickness", "Spill_ends")
    bowl = call(f"BOWL{ending}", first, "Spill_size", "Spill_edge", "Spill_thickness")
    notch = call(f"NOTCH{ending}", first, "Spill_size", *_notch_rest(ending))
    others = f'IF({kind}="bowl rim",{bowl},IF({kind}="notch",{notch},""))'
    return f'IF({kind}="straight lip",{lip},{others})'


def _notch_rest(ending: str) -> tuple[str, ...]:
    taken = len(function(f"NOTCH{ending}").arguments) - 2
    return ("Spill_edge", "Spill_thickness", "Spill_ends")[:taken]


def _spillway(rows: Rows) -> None:
    put_inputs(rows, SPILLWAY, inputs_of(SPILLWAY), gap=0)
    put_results(
        rows,
        Result(
            "Flow wanted",
            _spill("Outfit_effect", "FLOW", "Spill_head"),
            kinds.PUMP_FLOW,
            "At the wanted head; how far to trust it stands below",
            "Flow_wanted",
        ),
    )
    put_sentence(rows, "How far to trust it", _spill("Outfit_effect", "STATUS", "Spill_head"), 16)
    sheet = rows.sheet
    sheet.name("Spill_status", f"$B${rows.row}")
    put_results(
        rows,
        Result(
            "Usual flow for a lip this wide",
            call("USUALSPILLFLOW", "Spill_size", '"full"'),
            kinds.PUMP_FLOW,
            "Full sheet; common practice, no source",
        ),
    )
    lip = ("Spill_head", "Spill_size", "Spill_edge", "Spill_thickness", "Spill_ends")
    put_sentence(
        rows,
        "If there is no figure",
        f'IF(ISNUMBER(Flow_wanted),"",{why("SPILLFLOW", *lip, "Units")})',
    )


def _pump(rows: Rows) -> None:
    put_inputs(rows, PLUMBING, inputs_of(PLUMBING))
    _fitting_lines(rows)
    _curve(rows)
    rows.sheet.break_before(rows.row + 1)
    system = ("Static_lift", "Pipe_bore", "Pipe_length")
    rest = ("Pipe_roughness", "Water_temperature")
    typical = (*system, "K_typical", *rest)
    curve = ("Curve_flows", "Curve_heads")
    flow, head = kinds.PUMP_FLOW, kinds.HEAD
    lines = (
        Result("Inside diameter", lookup("Pipes", "bore", "Pipe"), kinds.LENGTH, "", "Pipe_bore"),
        Result(
            "Roughness", lookup("Pipes", "roughness", "Pipe"), kinds.ROUGHNESS, "", "Pipe_roughness"
        ),
        Result(
            "Velocity at the wanted flow",
            call("PIPEVELOCITY", "Flow_wanted", "Pipe_bore"),
            kinds.VELOCITY,
            "",
            "Pipe_velocity",
        ),
        Result(
            "Pipe friction",
            call("PIPEHEADLOSS", "Flow_wanted", "Pipe_bore", "Pipe_length", *rest),
            head,
            "Darcy-Weisbach, at the wanted flow",
        ),
        Result(
            "Pipe friction, to compare",
            call("PIPEHEADLOSSHW", "Flow_wanted", "Pipe_bore", "Pipe_length"),
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
            call("PUMPPOINT", *curve, *typical),
            flow,
            "Where pump curve and system curve meet",
            "Flow_running",
        ),
        Result("at a head of", call("PUMPPOINTHEAD", *curve, *typical), head),
        Result(
            "with the lowest K",
            call("PUMPPOINT", *curve, *system, "K_low", *rest),
            flow,
            "Published K differ: so much the flow moves",
        ),
        Result("with the highest K", call("PUMPPOINT", *curve, *system, "K_high", *rest), flow),
        Result(
            "Head over the lip then",
            'IF(Outfit_effect="straight lip",'
            + call(
                "SPILLHEAD",
                "Flow_running",
                "Spill_size",
                "Spill_edge",
                "Spill_thickness",
                "Spill_ends",
            )
            + ',"")',
            kinds.LENGTH,
            "At the flow that the pump gives",
        ),
        Result("Power", lookup("Pumps", "power", "Pump"), kinds.POWER, "", "Pump_power"),
        Result(
            "Energy per year",
            call("PUMPENERGY", "Pump_power", "Pump_hours"),
            kinds.ENERGY,
            "",
            "Pump_energy",
        ),
        Result("Cost per year", _ENERGY_COST, kinds.MONEY),
        Result(
            "Current",
            call("CIRCUITLOAD", "Pump_power", "Voltage"),
            kinds.CURRENT,
            "",
            "Pump_current",
        ),
    )
    put_results(rows, *lines)
    put_sentence(rows, "Velocity in the pipe is", call("VELOCITYNOTE", "Pipe_velocity"), 16)
    put_sentence(rows, "Pump advice", call("PUMPADVICE", "Flow_wanted", *curve, *typical))
    put_sentence(rows, "Circuit", call("CIRCUITNOTE", "Pump_current", "Circuit_rating"))
    put_sentence(
        rows,
        "If there is no figure",
        'IF(ISNUMBER(Flow_running),"",' + why("PUMPPOINT", *curve, *typical, "Units") + ")",
    )


def _fitting_lines(rows: Rows) -> None:
    sheet, head = rows.sheet, rows.next()
    heads = ("Fitting", "How many", "", "", "K low", "K typical", "K high", "")
    sheet.row(head, "A", heads, style.HEAD)
    inputs = inputs_of(FITTINGS)
    for fitting in (given for given in inputs if given.rows_of):
        row = rows.next()
        put_cell(sheet, f"A{row}", fitting, fitting.name, fitting.start(sheet.system))
        count = BY_NAME[f"{fitting.name}_count"]
        put_cell(sheet, f"B{row}", count, count.name, count.start(sheet.system))
        for column, key in _K_COLUMNS.items():
            sheet.put(
                f"{column}{row}",
                f'=IFERROR(IF(A{row}="",0,N(B{row})*{lookup("Fittings", key, f"A{row}")}),"")',
                style.RESULT,
                number_format=FACTOR,
            )
    first, last = head + 1, rows.row
    row = rows.next()
    sheet.put(f"A{row}", "Sum of K", style.STRONG)
    for column, key in _K_COLUMNS.items():
        sheet.put(
            f"{column}{row}",
            f"=SUM({column}{first}:{column}{last})",
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
            point = lookup("Pumps", f"{key}{number}", "Pump")
            sheet.put(
                f"{column}{row}",
                f'=IFERROR(IF({point}="","",{point}),"")',
                style.RESULT,
                number_format=sheet.number_format(kind),
            )
        system = call(
            "TOTALHEAD",
            f"MAX(A{row},0.001)",
            "Static_lift",
            "Pipe_bore",
            "Pipe_length",
            "K_typical",
            "Pipe_roughness",
            "Water_temperature",
        )
        sheet.put(
            f"D{row}",
            f'=IFERROR({system},"")',
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
    falls = ",".join(f'Outfit_effect="{effect}"' for effect in FALLS)
    lines = (
        Result(
            "Water in the pipe",
            call("PIPECONTENTS", "Pipe_bore", "Pipe_length"),
            kinds.LIQUID,
            "",
            "Pipe_contents",
        ),
        Result(
            "Water in the air",
            f"IF(OR({falls}),{call('VOLUMEINAIR', 'Flow_running', 'Spill_drop')},0)",
            kinds.LIQUID,
            "",
            "Air_contents",
        ),
        Result(
            "Rise when the pump stops",
            call("DRAINBACKRISE", "Pipe_contents+Air_contents", "Inside_length", "Inside_width"),
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
            "Pipe_contents+Air_contents",
        ),
        3,
        "ABDE",
    )
