"""The Water sheet's part on water levels."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.workbook.template.formulas import call, outfit_name
from basinbook.workbook.template.lines import Result, put_array, put_results, put_sentence
from basinbook.workbook.template.outfit import FALL, FALLING, PIPE_LENGTH, STANDS
from basinbook.workbook.template.sheet_writer import Rows

_EFFECT = outfit_name("effect")


def put_levels(rows: Rows) -> None:
    """Put what runs back when the pump stops, and the levels."""
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
