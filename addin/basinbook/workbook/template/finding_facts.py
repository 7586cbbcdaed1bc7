"""Where a workbook has the facts that findings are judged from: formula text for each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from basinbook.engine.outfit import FALLS
from basinbook.workbook.template.formulas import CLEAR_LENGTH, CLEAR_WIDTH, COMPLETE, lookup

_PREFORMED: Final = f'{lookup("Liners", "type", "Liner")}="preformed"'
_FALLS: Final = ",".join(f'Spill_kind="{effect}"' for effect in FALLS)

_LAID: Final = "N(Courses_laid)"


def _of(table: str, key: str, chosen: str) -> str:
    """A value of a table's row, blank where the row has none or nothing is chosen."""
    found = lookup(table, key, chosen)
    return f'IF({chosen}="","",IF({found}="","",{found}))'


def _number(name: str) -> str:
    return f'IF(ISNUMBER({name}),{name},"")'


FACTS: Final[Mapping[str, Mapping[str, str]]] = {
    "inputs": {
        "problem": f'IF(Layout_problem<>"{COMPLETE}",LEFT(Layout_problem,400),'
        f'IF(Order_problem<>"{COMPLETE}",LEFT(Order_problem,400),""))',
    },
    "sizes": {
        "inside_length": CLEAR_LENGTH,
        "inside_width": CLEAR_WIDTH,
        "water_depth": "Water_depth",
        "wall_height": "Qty_Wall_height",
        "wall": "Qty_Wall_thickness",
        "block_depth": "Block_depth",
        "liner_type": _of("Liners", "type", "Liner"),
        "liner_length": _of("Liners", "length", "Liner"),
        "liner_width": _of("Liners", "width", "Liner"),
        "liner_depth": _of("Liners", "depth", "Liner"),
        "roll": _of("Liners", "roll", "Liner"),
        "tolerance": "Liner_tolerance",
        "sheet_length": "Qty_Liner_length",
        "sheet_width": "Qty_Liner_width",
        "lap": f'IF(OR(Cap="",{_PREFORMED}),"",Liner_lap)',
        "cap_joints": "Qty_Cap_joints",
        "cap_joints_over": "Qty_Cap_joints_over_joints",
        "short_caps": "Qty_Mitred_caps_under_the_shortest_piece",
        "cap_edge": "Qty_Shortest_cap_edge",
        "shortest": "Qty_Shortest_cap_piece_allowed",
        "courses": "Qty_Courses",
        "courses_needed": "Qty_Courses_needed_for_the_water",
        "thin": "Qty_Thinnest_course_beside_a_thicker_one",
        "not_proved": "Qty_Layouts_not_proved",
        "laid": _LAID,
    },
    "water": {
        "effect": "Outfit_effect",
        "pump": "Pump",
        "pipe": "Pipe",
        "outlet": "Outfit_outlet",
        "flow_wanted": _number("Flow_wanted"),
        "flow_running": _number("Flow_running"),
        "velocity": _number("Pipe_velocity"),
        "freeboard_left": _number("Freeboard_left"),
        "depth_over_pump": _number("Depth_over_pump"),
        "over_intake": _number("Level_over_intake"),
        "first_over_intake": _number("First_over_intake"),
        "storm_left": _number("Level_storm"),
        "storm_flow": _number("Storm_flow"),
        "overflow_flow": _number("Overflow_flow"),
        "overflow_left": _number("Overflow_left"),
        "drain_back": _number("Drain_back"),
        "drain_back_open": _number("Drain_back_open"),
        "spill_status": "Spill_status",
        "catch_still": _number("Catch_still"),
        "catch_wind": _number("Catch_wind"),
        "inside_length": CLEAR_LENGTH,
        "inside_width": CLEAR_WIDTH,
        "outlets": _number("Branch_count"),
        "outlets_flow": _number("Branch_total"),
        "outlets_short": _number("Branch_short"),
        "laid": _LAID,
    },
    "loads": {
        "verdict": "LEFT(Load_verdict,400)",
        "block": _of("Blocks", "weight", "Block"),
        "cap": _of("Caps", "weight", "Cap"),
        "column_cap": f'IF(Qty_Column_caps=0,"",{_of("Column_caps", "weight", "Column_cap")})',
        "block_limit": _number("Lift_limit_blocks"),
        "cap_limit": _number("Lift_limit_caps"),
        "column_cap_limit": _number("Lift_limit_column_caps"),
        "missing_weight": "LEFT(Missing_weight,400)",
        "laid": _LAID,
    },
    "money": {
        "missing_price": f'IF(Missing_price<>"",LEFT(Missing_price,400),'
        f'IF(Job_problem<>"{COMPLETE}",LEFT(Job_problem,400),""))',
        "days_to_delivery": "IF(AND(ISNUMBER(Order_date),ISNUMBER(Order_needed_by)),"
        'Order_needed_by-Order_date,"")',
        "prices_dated": 'IF(ISNUMBER(Prices_as_of),"yes","no")',
        "price_age": "IF(ISNUMBER(Prices_as_of),IF(ISNUMBER(Order_date),Order_date-Prices_as_of,"
        'IF(ISNUMBER(Job_date),Job_date-Prices_as_of,"")),"")',
        "good_for": _number("Prices_good_for"),
    },
}
"""By topic and fact. A fact that is blank is unknown."""
