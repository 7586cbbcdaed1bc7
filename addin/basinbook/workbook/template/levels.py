"""The Water sheet's part on water levels."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.engine.outfit import BOWL, FROM_BELOW
from basinbook.engine.water.day_levels import BEFORE, FIRST, NAMES
from basinbook.workbook.template import style
from basinbook.workbook.template.branches import GIVEN as SEVERAL
from basinbook.workbook.template.formulas import (
    CLEAR_LENGTH,
    CLEAR_WIDTH,
    call,
    given,
    outfit_name,
    quoted,
)
from basinbook.workbook.template.input_cells import put_inputs
from basinbook.workbook.template.inputs import inputs_of
from basinbook.workbook.template.inputs.groups import LEVELS
from basinbook.workbook.template.lines import (
    CHART_ROWS,
    Curve,
    Result,
    put_array,
    put_chart,
    put_results,
    put_sentence,
)
from basinbook.workbook.template.outfit import FALL, FALLING, PIPE_LENGTH, STANDS
from basinbook.workbook.template.sheet_writer import Rows

_EFFECT = outfit_name("effect")
# Formula texts: whether the pool runs back with the pipe, and whether a check valve is to hold.
_BELOW = f'OR(Outlet_fed="",Outlet_fed="{FROM_BELOW}")'
_HELD = 'Check_valve_relied="yes"'


def _pool() -> str:
    """Formula text of what bowl or box holds under rim or lip, an error where it is not known."""
    bowl = f'IF(Bowl_contents="",{call("BOWLCONTENTS", "Spill_size", given("Bowl_depth"))}'
    # A lip without end contractions is as wide as the water behind it.
    width = 'IF(Spill_approach="",IF(N(Spill_ends)=0,Spill_size,NA()),Spill_approach)'
    box = call("WATEROVEROUTLET", _EFFECT, width, given("Spill_crest"), "Spill_back")
    return f'IF({_EFFECT}="{BOWL}",{bowl},Bowl_contents),{box})'


def _back(pipe: str, air: str, over: str, pool: str, held: str) -> str:
    """Formula text of what comes back when the pump stops; only a fall has a pool."""
    known = f'IF(ISNUMBER({pool}),{pool},"")'
    return call("COMESBACK", pipe, air, over, known, "Outlet_fed", held)


def put_levels(rows: Rows) -> None:
    """Put what runs back when the pump stops, and the levels."""
    put_inputs(rows, LEVELS, inputs_of(LEVELS))
    length = kinds.LENGTH
    held = '" in the air and over lip or rim drains back"'
    put_sentence(
        rows,
        "On this job",
        f'IF({STANDS},"Still water: no pump runs and nothing drains back",IF(NOT({FALLING}),'
        f'IF({_HELD},"The check valve is relied on: nothing drains back","The pipe drains back '
        f'when the pump stops"),"When the pump stops, the water"&IF({_HELD},{held}&"; the check '
        f'valve is relied on to hold pipe and pool",IF({_BELOW}," in pipe, bowl or box, in the air '
        f'and over lip or rim drains back"," in the pipe,"&{held}))))',
        16,
    )
    over = call(
        "WATEROVEROUTLET",
        _EFFECT,
        f'IF({_EFFECT}="{BOWL}",Spill_size,IF(Spill_approach="",Spill_size,Spill_approach))',
        "Head_running",
        "Spill_back",
    )
    # Where there are several outlets their branches run back too; unknown, so is the whole.
    others = f"IF({SEVERAL},Branch_contents,0)"
    stops = ("Pipe_contents", "Air_contents", "Outlet_contents", "Pool_contents")
    fallen = call("DRAINBACKRISE", "Drain_back_open", CLEAR_LENGTH, CLEAR_WIDTH)
    lines = (
        Result(
            "Water in the pipe",
            f"IF({STANDS},0,{call('PIPECONTENTS', 'Pipe_bore', PIPE_LENGTH.used)}+{others})",
            kinds.LIQUID,
            "With that to several outlets; runs back where no check valve is relied on",
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
            "On the water behind a lip as wide and deep as typed; all over a bowl",
            "Outlet_contents",
        ),
        Result(
            "In bowl or box below lip or rim",
            f"IF({FALLING},{_pool()},0)",
            kinds.LIQUID,
            "Bowl: rim and depth; box: lip over its floor, width and front to back",
            "Pool_contents",
        ),
        Result(
            "Runs back when the pump stops",
            _back(*stops, "Check_valve_relied"),
            kinds.LIQUID,
            f'=IF(AND({_BELOW},NOT({_HELD}),NOT(ISNUMBER(Pool_contents))),"Unknown: give what bowl '
            'or box holds, fed from below it runs back too","All that comes back")',
            "Drain_back",
        ),
        Result(
            "the same if no check valve holds",
            _back(*stops, '"no"'),
            kinds.LIQUID,
            "It siphons back through the pump",
            "Drain_back_open",
        ),
        Result(
            "Rise when the pump stops",
            call("DRAINBACKRISE", "Drain_back", CLEAR_LENGTH, CLEAR_WIDTH),
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
            f'IF(Runs,IFERROR({call("PUMPCOVER", "Water_depth", fallen, "Pump_height")},""),"")',
            length,
            "Filled to the water depth, then what ran back is drawn; below zero it stands out",
            "Depth_over_pump",
        ),
    )
    put_results(rows, *lines)
    _day(rows)


def _day(rows: Rows) -> None:
    """Put the levels through a day, with their chart, and what a storm asks of the overflow."""
    sheet, length = rows.sheet, kinds.LENGTH
    sheet.break_before(rows.row + 2)
    rows.section("Levels through a day")
    around = "2*(Qty_Wall_thickness+Qty_Cap_overhang)"
    sides = (f"Qty_Inside_{side}" for side in ("length", "width"))
    caps = call("LINERAREA", *(f"{side}+{around}" for side in sides), "0", "0")
    water = call("LINERAREA", CLEAR_LENGTH, CLEAR_WIDTH, "0", "0")
    under = call("FREEBOARDLEFT", "Overflow_height", "Water_depth", "Level_rise")
    over = call("FREEBOARDLEFT", "Qty_Wall_height", "Overflow_height", "0")
    put_results(
        rows,
        Result(
            "Rain runs in from",
            f'IF(Storm_from="water only",{water},{caps})',
            kinds.AREA,
            "Inside area, or out to the outer edge of the caps",
            "Storm_area",
        ),
        Result(
            "Rain of the storm",
            call("RAINFLOW", given("Storm_rain"), "Storm_hours", "Storm_area"),
            kinds.HOSE_FLOW,
            "Even rain; its heaviest minutes are harder",
            "Storm_flow",
        ),
        Result(
            "Overflow carries, water at the rim",
            call("OVERFLOWFLOW", given("Overflow_bore"), over),
            kinds.HOSE_FLOW,
            "A clean mouth, falling free outside; local code may ask for more",
            "Overflow_flow",
        ),
        Result(
            "Overflow over the stopped level",
            f'IF(Overflow_height="",NA(),{under})',
            length,
            "Below zero, water is lost each time the pump stops",
            "Overflow_left",
        ),
    )
    numbers = {
        "first": "Pipe_contents+Air_contents+Outlet_contents+Pool_contents",
        "each": "Drain_back_open",
        "back": "Drain_back",
    }
    known = {key: f'IF(ISNUMBER({text}),{text},"")' for key, text in numbers.items()}
    # Both losses or none: without a splash that is known the fall of the level is not.
    known["evaporation"] = 'IF(COUNT(Evaporation,Splash)=2,Evaporation,"")'
    intake = 'IF(Pump_intake="",IF(Pump_height="",NA(),Pump_height),Pump_intake)'
    cells = put_array(
        rows,
        "DAYLEVELS",
        (
            CLEAR_LENGTH,
            CLEAR_WIDTH,
            "Qty_Wall_height",
            "Water_depth",
            f'IF(Runs,IFERROR({intake},""),"")',
            'IF(Runs,"yes","no")',
            known["first"],
            known["each"],
            known["back"],
            "Storm_rain",
            "Storm_hours",
            "Storm_area",
            known["evaporation"],
            "N(Splash)",
            "Days_between_fills",
            "Overflow_height",
            "Overflow_bore",
        ),
        len(NAMES),
        "ABCDE",
    )
    sheet.height(cells[0] - 1, 28)
    unit = sheet.unit(length)
    metres = {"Rim": "Qty_Wall_height", "Top of caps": "Qty_Wall_height_with_caps"}
    metres["Intake"] = f'IF(Runs,{call("CONVERTLENGTH", intake, quoted(unit))},"")'
    for letter, (title, formula) in zip("FGH", metres.items(), strict=True):
        sheet.put(f"{letter}{cells[0] - 1}", f"{title}, {unit}", style.HEAD)
        for row in cells:
            sheet.put(
                f"{letter}{row}",
                f'=IFERROR({formula},"")',
                style.RESULT,
                number_format=sheet.number_format(length),
            )
    row_of = {name: cells[0] + index for index, name in enumerate(NAMES)}
    storm = f'MATCH("*after the storm",A{cells[0]}:A{cells[-1]},0)'
    put_results(
        rows,
        Result(
            "Over the intake at the first start",
            f"IF(Runs,E{row_of[FIRST]}+0,NA())",
            length,
            "Bowl or box, pipe and lip fill; below zero the pump runs dry",
            "First_over_intake",
        ),
        Result(
            "Over the intake before the next fill",
            f"IF(Runs,E{row_of[BEFORE]}+0,NA())",
            length,
            "Below zero the pump runs dry",
            "Level_over_intake",
        ),
        Result(
            "To the rim after the storm",
            f"INDEX(D{cells[0]}:D{cells[-1]},{storm})+0",
            length,
            "Below zero it runs over the rim",
            "Level_storm",
        ),
    )
    put_chart(
        sheet,
        f"B{rows.row + 2}",
        "Levels through a day",
        "Row of the table",
        f"Over the floor, {unit}",
        cells,
        "A",
        (
            Curve("B", "Water"),
            Curve("F", "Rim", "dash"),
            Curve("G", "Caps", "sysDot"),
            Curve("H", "Intake", "dashDot"),
        ),
    )
    rows.reach(rows.row + 1 + CHART_ROWS)
