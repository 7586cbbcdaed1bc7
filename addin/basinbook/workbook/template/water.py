"""The Water sheet: spillway, pump and pipe, levels."""

from __future__ import annotations

from basinbook.catalogue import function
from basinbook.engine import kinds
from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.costs import FITTING_ROWS
from basinbook.workbook.template.formulas import call, lookup, why
from basinbook.workbook.template.lines import (
    LAST,
    MONEY_KIND,
    SCALE,
    WIDTHS,
    Typed,
    put_array,
    put_chart,
    put_inputs,
    put_result,
    put_results,
    put_sentence,
)
from basinbook.workbook.template.pumps import CURVE_POINTS
from basinbook.workbook.template.sheet_writer import Sheet, Template

_SPILLS = ("none", "straight lip", "bowl rim", "notch")


_STARTER_FITTINGS = (
    ("Entrance, flush and sharp", 1),
    ("Barbed adapter", 2),
    ("90° elbow", 3),
    ("Ball valve, full bore, open", 1),
    ("Outlet into the basin or bowl", 1),
)


_SPILLWAY = (
    Typed(
        "Spillway",
        "Spill_kind",
        kinds.TEXT,
        "straight lip",
        "straight lip",
        "What the water runs over",
        _SPILLS,
    ),
    Typed(
        "Lip, notch or bowl width",
        "Spill_size",
        kinds.LENGTH,
        18,
        450,
        "Clear width; of a bowl, its rim's diameter",
    ),
    Typed(
        "Edge",
        "Spill_edge",
        kinds.TEXT,
        "sharp",
        "sharp",
        "Plate; flat slab; rounded slab",
        ("sharp", "thick", "rounded"),
    ),
    Typed(
        "Lip thickness",
        "Spill_thickness",
        kinds.LENGTH,
        None,
        None,
        "Along the flow; of a thick or rounded lip",
    ),
    Typed("End contractions", "Spill_ends", kinds.COUNT, 0, 0, "0, 1 or 2", ("0", "1", "2")),
    Typed(
        "Wanted head",
        "Spill_head",
        kinds.LENGTH,
        "3/4",
        20,
        "Water level over the lip, measured back from it",
    ),
    Typed("Height of fall", "Spill_drop", kinds.LENGTH, 14, 350, "Lip to the basin's water"),
)


_PLUMBING = (
    Typed("Pump", "Pump", kinds.TEXT, "Pump 2400", "Pump 9000", "", "Pumps_name"),
    Typed("Pipe", "Pipe", kinds.TEXT, "sch40 1-1/2", "pn16 50", "", "Pipes_name"),
    Typed("Pipe length", "Pipe_length", kinds.RUN, 9, 2.8, "Pump to outlet"),
    Typed("Static lift", "Static_lift", kinds.HEAD, 2.6, 0.8, "Basin's water to the outlet"),
    Typed("Hours per day", "Pump_hours", kinds.HOURS, 10, 10),
    Typed("Price per kWh", "Energy_price", MONEY_KIND, 0.16, 0.29),
    Typed("Voltage", "Voltage", kinds.VOLTAGE, 120, 230),
    Typed("Circuit rating", "Circuit_rating", kinds.CURRENT, 20, 16),
)


def add_water(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Water", WIDTHS, scale=SCALE)
    sheet.title("Water: spillway, pump, pipe, levels")
    row = _spillway(sheet, 4)
    row = _pump(sheet, row + 2)
    row = _levels(sheet, row + 2)
    row = put_cautions(sheet, row + 2, "water")
    sheet.finish(f"A1:{LAST}{row}", freeze="A4", titles="1:2")


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


def _spillway(sheet: Sheet, row: int) -> int:
    row = put_inputs(sheet, row, "Spillway or bowl", _SPILLWAY)
    put_result(
        sheet,
        row + 1,
        "Flow wanted",
        _spill("Spill_kind", "FLOW", "Spill_head"),
        kinds.PUMP_FLOW,
        "At the wanted head; how far to trust it stands below",
        "Flow_wanted",
    )
    put_sentence(
        sheet, row + 2, "How far to trust it", _spill("Spill_kind", "STATUS", "Spill_head"), 16
    )
    put_result(
        sheet,
        row + 3,
        "Usual flow for a lip this wide",
        call("USUALSPILLFLOW", "Spill_size", '"full"'),
        kinds.PUMP_FLOW,
        "Full sheet; common practice, no source",
    )
    put_sentence(
        sheet,
        row + 4,
        "If there is no figure",
        'IF(ISNUMBER(Flow_wanted),"",'
        + why(
            "SPILLFLOW",
            "Spill_head",
            "Spill_size",
            "Spill_edge",
            "Spill_thickness",
            "Spill_ends",
            "Units",
        )
        + ")",
    )
    return row + 4


def _pump(sheet: Sheet, row: int) -> int:
    row = put_inputs(sheet, row, "Pump and pipe", _PLUMBING)
    row = _fitting_lines(sheet, row + 1)
    row = _curve(sheet, row + 2)
    sheet.break_before(row + 1)
    system = ("Static_lift", "Pipe_bore", "Pipe_length")
    rest = ("Pipe_roughness", "Water_temperature")
    typical = (*system, "K_typical", *rest)
    curve = ("Curve_flows", "Curve_heads")
    flow, head = kinds.PUMP_FLOW, kinds.HEAD
    lines = (
        ("Inside diameter", lookup("Pipes", "bore", "Pipe"), kinds.LENGTH, "", "Pipe_bore"),
        ("Roughness", lookup("Pipes", "roughness", "Pipe"), kinds.ROUGHNESS, "", "Pipe_roughness"),
        (
            "Velocity at the wanted flow",
            call("PIPEVELOCITY", "Flow_wanted", "Pipe_bore"),
            kinds.VELOCITY,
            "",
            "Pipe_velocity",
        ),
        (
            "Pipe friction",
            call("PIPEHEADLOSS", "Flow_wanted", "Pipe_bore", "Pipe_length", *rest),
            head,
            "Darcy-Weisbach, at the wanted flow",
            "",
        ),
        (
            "Pipe friction, to compare",
            call("PIPEHEADLOSSHW", "Flow_wanted", "Pipe_bore", "Pipe_length"),
            head,
            "Hazen-Williams, C = 150",
            "",
        ),
        (
            "Fittings",
            call("FITTINGHEADLOSS", "Flow_wanted", "Pipe_bore", "K_typical"),
            head,
            "Typical K",
            "",
        ),
        (
            "Total dynamic head",
            call("TOTALHEAD", "Flow_wanted", *typical),
            head,
            "Lift, friction and fittings at the wanted flow",
            "Total_head",
        ),
        (
            "Pump runs at",
            call("PUMPPOINT", *curve, *typical),
            flow,
            "Where pump curve and system curve meet",
            "Flow_running",
        ),
        ("at a head of", call("PUMPPOINTHEAD", *curve, *typical), head, "", ""),
        (
            "with the lowest K",
            call("PUMPPOINT", *curve, *system, "K_low", *rest),
            flow,
            "Published K differ: so much the flow moves",
            "",
        ),
        ("with the highest K", call("PUMPPOINT", *curve, *system, "K_high", *rest), flow, "", ""),
        (
            "Head over the lip then",
            'IF(Spill_kind="straight lip",'
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
            "",
        ),
        ("Power", lookup("Pumps", "power", "Pump"), kinds.POWER, "", "Pump_power"),
        (
            "Energy per year",
            call("PUMPENERGY", "Pump_power", "Pump_hours"),
            kinds.ENERGY,
            "",
            "Pump_energy",
        ),
        ("Cost per year", call("ENERGYCOST", "Pump_energy", "Energy_price"), MONEY_KIND, "", ""),
        (
            "Current",
            call("CIRCUITLOAD", "Pump_power", "Voltage"),
            kinds.CURRENT,
            "",
            "Pump_current",
        ),
    )
    row = put_results(sheet, row, lines) + 1
    put_sentence(sheet, row, "Velocity in the pipe is", call("VELOCITYNOTE", "Pipe_velocity"), 16)
    put_sentence(sheet, row + 1, "Pump advice", call("PUMPADVICE", "Flow_wanted", *curve, *typical))
    put_sentence(sheet, row + 2, "Circuit", call("CIRCUITNOTE", "Pump_current", "Circuit_rating"))
    put_sentence(
        sheet,
        row + 3,
        "If there is no figure",
        'IF(ISNUMBER(Flow_running),"",' + why("PUMPPOINT", *curve, *typical, "Units") + ")",
    )
    return row + 3


def _fitting_lines(sheet: Sheet, row: int) -> int:
    sheet.row(
        row, "A", ("Fitting", "How many", "", "", "K low", "K typical", "K high", ""), style.HEAD
    )
    first = row + 1
    for number in range(1, FITTING_ROWS + 1):
        row += 1
        name, count = (
            _STARTER_FITTINGS[number - 1] if number <= len(_STARTER_FITTINGS) else (None, None)
        )
        sheet.put(f"A{row}", name, style.INPUT_TEXT, name=f"Fitting_{number}")
        sheet.list_of(f"A{row}", "Fittings_name")
        sheet.put(f"B{row}", count, style.INPUT, name=f"Fitting_{number}_count")
        sheet.whole_number(f"B{row}", 0, 200)
        for column, key in zip("EFG", ("low", "typical", "high"), strict=True):
            sheet.put(
                f"{column}{row}",
                f'=IFERROR(IF(A{row}="",0,N(B{row})*{lookup("Fittings", key, f"A{row}")}),"")',
                style.RESULT,
                number_format="0.00",
            )
    last, row = row, row + 1
    sheet.put(f"A{row}", "Sum of K", style.STRONG)
    for column, key in zip("EFG", ("low", "typical", "high"), strict=True):
        sheet.put(
            f"{column}{row}",
            f"=SUM({column}{first}:{column}{last})",
            style.RESULT,
            number_format="0.00",
            name=f"K_{key}",
        )
    sheet.name("Fitting_names", f"$A${first}:$A${last}")
    return row


def _curve(sheet: Sheet, row: int) -> int:
    """Table and chart of the pump curve against the system curve."""
    flow, head = sheet.unit(kinds.PUMP_FLOW), sheet.unit(kinds.HEAD)
    heads = (f"Flow, {flow}", f"Pump head, {head}", "", f"System head, {head}")
    sheet.row(row, "A", heads, style.HEAD)
    first = row + 1
    for number in range(1, CURVE_POINTS + 1):
        row += 1
        for column, key in (("A", "flow"), ("B", "head")):
            point = lookup("Pumps", f"{key}{number}", "Pump")
            sheet.put(
                f"{column}{row}",
                f'=IFERROR(IF({point}="","",{point}),"")',
                style.RESULT,
                number_format=sheet.number_format(kinds.PUMP_FLOW if key == "flow" else kinds.HEAD),
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
    sheet.name("Curve_flows", f"$A${first}:$A${row}")
    sheet.name("Curve_heads", f"$B${first}:$B${row}")
    put_chart(
        sheet,
        f"E{first - 1}",
        "Pump curve and system curve",
        f"Flow, {flow}",
        f"Head, {head}",
        first,
        row,
        "A",
        (("B", "Pump", "solid"), ("D", "System", "dash")),
    )
    return max(row, first + 13)


def _levels(sheet: Sheet, row: int) -> int:
    sheet.section(row, "Water levels")
    length = kinds.LENGTH
    lines = (
        (
            "Water in the pipe",
            call("PIPECONTENTS", "Pipe_bore", "Pipe_length"),
            kinds.LIQUID,
            "",
            "Pipe_contents",
        ),
        (
            "Water in the air",
            'IF(Spill_kind="none",0,' + call("VOLUMEINAIR", "Flow_running", "Spill_drop") + ")",
            kinds.LIQUID,
            "",
            "Air_contents",
        ),
        (
            "Rise when the pump stops",
            call("DRAINBACKRISE", "Pipe_contents+Air_contents", "Inside_length", "Inside_width"),
            length,
            "All that drains back must fit below the rim",
            "Level_rise",
        ),
        (
            "Left to the rim then",
            call("FREEBOARDLEFT", "Qty_Wall_height", "Water_depth", "Level_rise"),
            length,
            "Below zero it spills",
            "Freeboard_left",
        ),
        (
            "Highest operating level",
            call("HIGHESTLEVEL", "Qty_Wall_height", "Level_rise", "Freeboard"),
            length,
            "Keeps the freeboard of the Job sheet",
            "",
        ),
    )
    row = put_results(sheet, row, lines) + 1
    arguments = (
        "Inside_length",
        "Inside_width",
        "Qty_Wall_height",
        "Water_depth",
        "Pipe_contents+Air_contents",
    )
    return put_array(sheet, row, "WATERLEVELS", arguments, 3, "ABDE")
