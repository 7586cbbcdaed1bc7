"""The sheet of losses, loads and service."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.workbook.template.formulas import call
from basinbook.workbook.template.lines import (
    LAST,
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
from basinbook.workbook.template.sheet_writer import Sheet, Template

# Joints listed: as many courses as a basin usually has.
JOINTS = 10

_CLIMATE = (
    Typed("Water temperature", "Water_temperature", kinds.TEMPERATURE, 72, 22),
    Typed("Air temperature", "Air_temperature", kinds.TEMPERATURE, 80, 26, "Mean of a warm week"),
    Typed("Relative humidity", "Humidity", kinds.RATIO, "50%", "50%"),
    Typed("Wind", "Wind", kinds.WIND, 4, 1.5, "Mean of the same week"),
    Typed("Drop measured", "Leak_drop", kinds.LENGTH, None, None, "Leak test: pump off, no rain"),
    Typed(
        "Drop in the bucket",
        "Bucket_drop",
        kinds.LENGTH,
        None,
        None,
        "Bucket of water standing in the basin, same time",
    ),
    Typed("Time of the test", "Leak_hours", kinds.HOURS, 24, 24),
    Typed(
        "Treatment: amount on the label",
        "Label_amount",
        kinds.RATIO,
        None,
        None,
        "In the label's unit",
    ),
    Typed("Treatment: for a volume of", "Label_volume", kinds.LIQUID, None, None),
)


_GROUND = (
    Typed("Density of block", "Block_density", kinds.DENSITY, 130, 2080, "Cores counted as empty"),
    Typed("Friction under the wall", "Wall_friction", kinds.RATIO, 0.45, 0.45, "Your figure"),
    Typed(
        "Allowable shear of the glue",
        "Glue_shear",
        kinds.PRESSURE,
        None,
        None,
        "Its maker's figure; text may say 10 psi or 70 kPa",
    ),
    Typed("Share of the bed that is glued", "Glued_share", kinds.RATIO, 0.2, 0.2, "Beads spread"),
    Typed(
        "Soil under the base",
        "Soil",
        kinds.TEXT,
        "clay",
        "clay",
        "Class, where code has it",
        ("gravel", "sand", "clay"),
    ),
    Typed("Pump width", "Pump_width", kinds.LENGTH, 7, 180, "To reach through the access gap"),
    Typed("Pump height", "Pump_height", kinds.LENGTH, 8, 200),
)


def add_losses_and_loads(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Losses and loads", WIDTHS, scale=SCALE)
    sheet.title("Losses, loads and service")
    row = _losses(sheet, 4)
    row = _loads(sheet, row + 2)
    row = _service(sheet, row + 2)
    sheet.finish(f"A1:{LAST}{row}", freeze="A4", titles="1:2")


def _losses(sheet: Sheet, row: int) -> int:
    row = put_inputs(sheet, row, "Losses, leak test and treatment", _CLIMATE)
    climate = ("Water_temperature", "Air_temperature", "Humidity", "Wind")
    area = "Water_area"
    lines = (
        (
            "Water surface",
            call("LINERAREA", "Inside_length", "Inside_width", "0", "0"),
            kinds.AREA,
            "",
            area,
        ),
        (
            "Evaporation",
            call("EVAPORATIONRATE", *climate),
            kinds.WATER_RATE,
            "Meyer, small shallow water; means of days",
            "Evaporation",
        ),
        (
            "to compare, quiet air",
            call("EVAPORATIONRATE", *climate, "", '"pool"'),
            kinds.WATER_RATE,
            "Pool equation; the methods differ, in wind by a factor of two",
            "",
        ),
        (
            "Splash per day",
            call("SPLASHLOSS", "Flow_running", "", "Pump_hours"),
            kinds.LIQUID,
            "A first guess without a source, until it is measured",
            "Splash",
        ),
        (
            "Top-up per week",
            call("TOPUPWEEK", "Evaporation", area, "Splash"),
            kinds.LIQUID,
            "Without rain",
            "",
        ),
        (
            "Dose of the treatment",
            'IF(Label_amount="","",'
            + call("TREATMENTDOSE", "Qty_Water_volume", "Label_amount", "Label_volume")
            + ")",
            kinds.RATIO,
            "In the label's unit; the label binds",
            "",
        ),
    )
    row = put_results(sheet, row, lines) + 1
    put_sentence(
        sheet,
        row,
        "Leak test",
        'IF(OR(Leak_drop="",Bucket_drop=""),"measure both drops",'
        + call("LEAKCHECK", "Leak_drop", area, "Bucket_drop", "Leak_hours")
        + ")",
    )
    return row


def _loads(sheet: Sheet, row: int) -> int:
    row = put_inputs(
        sheet, row, "Loads and service: what you know of block, glue and ground", _GROUND
    )
    caps = ("N(Cap_depth)", "N(Cap_height)")
    tons = 1000.0 if sheet.metric else 2000.0
    mass = f"Qty_Water_weight+Qty_Block_weight+Qty_Cap_weight+Qty_Base_weight*{tons:g}"
    lines = (
        ("Pressure at the floor", call("WATERPRESSURE", "Water_depth"), kinds.PRESSURE, "", ""),
        (
            "Thrust on a wall",
            call("WALLTHRUST", "Water_depth"),
            kinds.FORCE_PER_LENGTH,
            "Per length; front and back wall, and side walls alike",
            "Thrust",
        ),
        (
            "Thrust on the front wall",
            call("WALLFORCE", "Water_depth", "Inside_length"),
            kinds.FORCE,
            "Whole wall",
            "",
        ),
        (
            "Weight of the wall",
            call("WALLWEIGHT", "Block_depth", "Qty_Wall_height", "Block_density", *caps),
            kinds.FORCE_PER_LENGTH,
            "",
            "Wall_weight",
        ),
        (
            "Sliding ratio",
            call("SLIDINGRATIO", "Wall_weight", "Wall_friction", "Thrust"),
            kinds.RATIO,
            "Friction over thrust; glue, corners and columns not counted",
            "Sliding",
        ),
        (
            "Overturning ratio",
            call(
                "OVERTURNINGRATIO",
                "Wall_weight",
                "Half_thickness",
                call("WATERMOMENT", "Water_depth"),
            ),
            kinds.RATIO,
            "About the outer toe",
            "Overturning",
        ),
        (
            "Bond ratio, lowest joint",
            'IF(Glue_shear="","",'
            + call("BONDSHEARRATIO", "Glue_shear", "Thrust", "Block_depth", "Glued_share")
            + ")",
            kinds.RATIO,
            "Needs the glue maker's figure",
            "Bond",
        ),
        ("Weight on the ground", mass, kinds.MASS, "Water, block, caps and base", "Ground_weight"),
        (
            "Pressure on the ground",
            call("SPREADPRESSURE", "Ground_weight", "Qty_Overall_length", "Qty_Overall_width"),
            kinds.PRESSURE,
            "Spread over the overall size",
            "Ground_pressure",
        ),
        (
            "Presumptive bearing",
            call("SOILBEARING", "Soil"),
            kinds.PRESSURE,
            "Where local code has it; not for fill, mud or organic soil",
            "Ground_bearing",
        ),
        (
            "Bearing ratio",
            call("BEARINGRATIO", "Ground_bearing", "Ground_pressure"),
            kinds.RATIO,
            "",
            "Bearing",
        ),
    )
    half = call("CONVERTLENGTH", "Block_depth", f'"{sheet.unit(kinds.LENGTH)}"')
    put_result(
        sheet,
        row + 1,
        "Half the wall's thickness",
        f"{half}/2",
        kinds.LENGTH,
        "Lever of the wall's weight",
        "Half_thickness",
    )
    row += 1
    row = put_results(sheet, row, lines) + 1
    blank = (
        f'IF(ISNUMBER({name}),{name},"")' for name in ("Sliding", "Overturning", "Bond", "Bearing")
    )
    put_sentence(
        sheet,
        row,
        "Engineer",
        call("LOADNOTE", "Qty_Wall_height_with_caps", "Water_depth", *blank),
        44,
    )
    sheet.break_before(row + 2)
    row = _joints(sheet, row + 2)
    row += 2
    first = row
    row = _pressure(sheet, row)
    return max(row, first + 14)


def _joints(sheet: Sheet, row: int) -> int:
    """What each bed joint carries, from the base up."""
    sheet.section(row, "Bed joints from the base up: ratios of what resists to what pushes")
    arguments = (
        "Block_depth",
        "Block_height",
        "Qty_Courses",
        "Water_depth",
        "Block_density",
        "Wall_friction",
        'IF(Glue_shear="","",Glue_shear)',
        "Glued_share",
        "N(Cap_depth)",
        "N(Cap_height)",
        str(JOINTS),
    )
    return put_array(sheet, row + 1, "COURSELOADS", arguments, JOINTS, "ABCDEFGH")


def _pressure(sheet: Sheet, row: int) -> int:
    """Table and chart of pressure by depth."""
    steps = 6
    last = put_array(sheet, row, "PRESSURETABLE", ("Water_depth", str(steps)), steps + 1, "AB")
    length, pressure = sheet.unit(kinds.LENGTH), sheet.unit(kinds.PRESSURE)
    put_chart(
        sheet,
        f"D{row}",
        "Water pressure by depth",
        f"Depth, {length}",
        f"Pressure, {pressure}",
        row + 1,
        last,
        "A",
        (("B", "Pressure", "solid"),),
    )
    return last


def _service(sheet: Sheet, row: int) -> int:
    sheet.section(row, "Draining and service")
    put_result(
        sheet,
        row + 1,
        "Water to drain for frost",
        call("DRAINDOWN", "Inside_length", "Inside_width", "Water_depth", "", "Pipe_contents"),
        kinds.LIQUID,
        "Basin and pipe; pump, valve and fittings must come out",
        "",
    )
    gap = ("Access_gap", "Access_height", "Pump_width", "Pump_height")
    courses = "IF(N(Access_gap_courses)=0,Qty_Courses,Access_gap_courses)"
    high = call("CONVERTLENGTH", "Block_height", f'"{sheet.unit(kinds.LENGTH)}"')
    put_result(
        sheet,
        row + 2,
        "Height of the access gap",
        f"{courses}*{high}",
        kinds.LENGTH,
        "In the second wall",
        "Access_height",
    )
    put_sentence(
        sheet,
        row + 3,
        "Pump through the gap",
        f'IF(N(Access_gap)=0,"no access gap on the Job sheet",{call("ACCESSCHECK", *gap)})',
    )
    return row + 3
