"""The part on loads of the water on walls and ground."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.workbook.template.formulas import (
    CLEAR_LENGTH,
    DEPTH_GIVEN,
    call,
    given,
    if_numbers,
    lookup,
    or_blank,
    size,
)
from basinbook.workbook.template.input_cells import put_inputs
from basinbook.workbook.template.inputs import inputs_of
from basinbook.workbook.template.inputs.groups import GROUND
from basinbook.workbook.template.lines import (
    CHART_ROWS,
    Curve,
    Result,
    put_array,
    put_chart,
    put_results,
    put_sentence,
)
from basinbook.workbook.template.sheet_writer import Rows

# Joints listed: as many courses as a basin usually has.
JOINTS = 10
# What the walls' loads are worked out from: the layout, density, friction and glue.
_WALLS = (
    "Job_labels",
    "Job_values",
    "Density_used",
    "Friction_used",
    "Glue_used",
    given("Glued_share"),
)
# Steps of depth in the table of pressure.
_STEPS = 6


def put_loads(rows: Rows) -> None:
    """Put the section of loads on walls and ground, with bed joints and pressure."""
    sheet = rows.sheet
    rows.section("Loads: verdict, free strip, closed box and demand side by side")
    _verdict(rows)
    put_inputs(rows, GROUND, inputs_of(GROUND))
    walls = sheet.template.table(call("WALLLOADS", *_WALLS), 1, 8, DEPTH_GIVEN)
    of_walls = [
        f"IF(ISNUMBER({walls.cell(1, column)}),{walls.cell(1, column)},NA())"
        for column in range(1, 9)
    ]
    box = sheet.template.table(call("BOXLOAD", *_WALLS, "Soil"), 1, 3, DEPTH_GIVEN)
    weight, lever, sliding, slid, overturning, turned, bond, sheared = of_walls
    tons = 1000.0 if sheet.metric else 2000.0
    parts = (
        "Qty_Water_weight",
        "Qty_Block_weight",
        "Qty_Cap_weight",
        "Qty_Lintel_weight",
        "Qty_Base_weight",
    )
    mass = if_numbers(parts, f"{'+'.join(parts)}*{tons:g}")
    own = call(
        "BLOCKDENSITY",
        size(lookup("Blocks", "weight", "Block")),
        "Block_length",
        "Block_height",
        "Block_depth",
    )
    own_glue = or_blank(lookup("Adhesives", "shear", "Adhesive"))
    lines = (
        Result(
            "Density of the wall",
            f'IF(Block_density="",{own},Block_density)',
            kinds.DENSITY,
            '=IF(Block_density="","From the block\'s own weight and size","As typed above")',
            "Density_used",
        ),
        Result(
            "Friction at the base",
            f'IF(Wall_friction="",{call("BASEFRICTION", "Wall_stands_on")},Wall_friction)',
            kinds.RATIO,
            '=IF(Wall_friction="","NAVFAC DM 7.02 (1986), table 1, lower end","As typed above")',
            "Friction_used",
        ),
        Result(
            "Shear allowed in the glue",
            f'IF(Glue_shear="",{own_glue},Glue_shear)',
            kinds.PRESSURE,
            '=IF(Glue_used="","Unknown: type it above or on the Materials sheet",IF('
            'Glue_shear="","The adhesive\'s own on the Materials sheet","As typed above"))',
            "Glue_used",
            as_typed=True,
        ),
        Result(
            "Lever of the wall's weight",
            lever,
            kinds.LENGTH,
            "Centre of courses and cap from the outer edge of the lowest joint",
            "Half_thickness",
        ),
        Result("Pressure at the floor", call("WATERPRESSURE", "Water_depth"), kinds.PRESSURE),
        Result(
            "Thrust on a wall",
            call("WALLTHRUST", "Water_depth"),
            kinds.FORCE_PER_LENGTH,
            "Per length; front and back wall, and side walls alike",
            "Thrust",
        ),
        Result(
            "Thrust on the front wall",
            call("WALLFORCE", "Water_depth", CLEAR_LENGTH),
            kinds.FORCE,
            "Whole wall",
        ),
        Result(
            "Weight of the wall",
            weight,
            kinds.FORCE_PER_LENGTH,
            "Each course as thick as it is laid, and caps; the lightest wall",
            "Wall_weight",
        ),
        Result(
            "Free strip: sliding ratio",
            sliding,
            kinds.RATIO,
            _least(slid, "friction over thrust; glue, corners and columns not counted"),
            "Sliding",
        ),
        Result(
            "Free strip: overturning ratio",
            overturning,
            kinds.RATIO,
            _least(turned, "about the joint's outer edge, glue not counted"),
            "Overturning",
        ),
        Result(
            "Bond ratio, least joint",
            f'IF(Glue_used="","",{bond})',
            kinds.RATIO,
            _least(sheared, "needs the glue maker's figure"),
            "Bond",
        ),
        Result(
            "Closed box: ratio",
            f"IF(ISNUMBER({box.cell(1, 1)}),{box.cell(1, 1)},NA())",
            kinds.RATIO,
            f'="Times the load; by "&{box.cell(1, 2)}&" at course "&{box.cell(1, 3)}'
            '&"; openings not counted"',
            "Box",
        ),
        Result(
            "Weight on the ground", mass, kinds.MASS, "Water, block, caps and base", "Ground_weight"
        ),
        Result(
            "Pressure on the ground",
            call("SPREADPRESSURE", "Ground_weight", "Qty_Overall_length", "Qty_Overall_width"),
            kinds.PRESSURE,
            "Spread over the overall size",
            "Ground_pressure",
        ),
        Result(
            "Pressure under the wall's toe",
            call("TOEPRESSURE", "Job_labels", "Job_values", "Density_used"),
            kinds.PRESSURE,
            "Free strip, under the outer edge of the lowest course",
            "Toe_pressure",
        ),
        Result(
            "Presumptive bearing",
            call("SOILBEARING", "Soil"),
            kinds.PRESSURE,
            "Where local code has it; not for fill, mud or organic soil",
            "Ground_bearing",
        ),
        Result(
            "Bearing ratio",
            call("BEARINGRATIO", "Ground_bearing", "MAX(Ground_pressure+0,Toe_pressure+0)"),
            kinds.RATIO,
            "Under the toe or on the whole ground, whichever is more",
            "Bearing",
        ),
    )
    put_results(rows, *lines)
    sheet.break_before(rows.row + 2)
    _joints(rows)
    _demand(rows)
    _pressure(rows)


def _verdict(rows: Rows) -> None:
    """The verdict in words; what is not known is left blank and told by it."""
    base = call("CONVERTLENGTH", "Base_thickness", f'"{rows.sheet.unit(kinds.LENGTH)}"')
    known = (f'IF(ISNUMBER({name}),{name},"")' for name in ("Density_used", "Friction_used"))
    texts = ("Glue_used", *(f'IF({name}="","",{name})' for name in ("Glued_share", "Soil")))
    verdict = call(
        "LOADVERDICT",
        "Job_labels",
        "Job_values",
        *known,
        *texts,
        f'IF(Base_thickness="",0,{base})',
        "Weight_on_a_column",
    )
    unweighed = 'IF(OR(ISNUMBER(Density_used),Missing_weight=""),""," "&Missing_weight)'
    put_sentence(
        rows, "Verdict", f'IF({DEPTH_GIVEN},{verdict}&{unweighed},"-")', 44, "Load_verdict"
    )


def _least(course: str, how: str) -> str:
    """Return a formula of a note: which joint has the least ratio, and how it is worked out."""
    return f'="Least of the joints"&IFERROR(", under course "&{course},"")&": {how}"'


def _joints(rows: Rows) -> None:
    """What each bed joint carries, from the base up."""
    rows.section("Bed joints from the base up: ratios of what resists to what pushes")
    put_array(rows, "BEDJOINTLOADS", (*_WALLS, str(JOINTS)), JOINTS, "ABCDEFGH", DEPTH_GIVEN)


def _demand(rows: Rows) -> None:
    """What glue and block of each course must carry."""
    rows.section("Demand alone: stresses by course if all the water's load went one way")
    arguments = ("Job_labels", "Job_values", "Density_used", given("Glued_share"), str(JOINTS))
    cells = put_array(rows, "LOADDEMANDS", arguments, JOINTS, "ABCDEF", DEPTH_GIVEN)
    rows.sheet.height(cells[0] - 1, 40)


def _pressure(rows: Rows) -> None:
    """Table and chart of pressure by depth."""
    sheet, head = rows.sheet, rows.row + 2
    rows.next()
    points = put_array(rows, "PRESSURETABLE", ("Water_depth", str(_STEPS)), _STEPS + 1, "AB")
    put_chart(
        sheet,
        f"D{head}",
        "Water pressure by depth",
        f"Depth, {sheet.unit(kinds.LENGTH)}",
        f"Pressure, {sheet.unit(kinds.PRESSURE)}",
        points,
        "A",
        (Curve("B", "Pressure"),),
    )
    rows.reach(head + CHART_ROWS)
