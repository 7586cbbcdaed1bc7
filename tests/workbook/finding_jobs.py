"""For every finding a job that has it, and a neighbour that does not: changes of the demo job."""

from __future__ import annotations

import datetime as dt
from typing import Any, Final, NamedTuple

Typed = dict[str, Any]


class Pair(NamedTuple):
    """What is typed over the demo job, by defined name (of a range, its first cell)."""

    has: Typed
    lacks: Typed


_SHEET: Final = {"Liners_type": "sheet", "Liners_roll": 240}
_LONG_SEARCH: Final = {
    **_SHEET, "Inside_length": "66 1/2", "Inside_width": "110 1/2", "Courses": 12,
    "Shortest_piece": "1 1/4", "Pipe_opening": "7 1/4", "Pipe_opening_course": 2,
    "Pipe_opening_position": 8.25, "Second_wall": "no", "Access_gap": 0, "Columns": 0,
}  # fmt: skip

_TWO_OUTLETS: Final = {
    "Manifold_length": 4, "Manifold_k": 2,
    "Branch_1_outlet": "lip", "Branch_1_size": 18, "Branch_1_height": 5,
    "Branch_1_pipe": "sch40 1-1/2", "Branch_1_length": 6, "Branch_1_fittings_k": 2,
    "Branch_1_wanted": 1000,
    "Branch_2_outlet": "spout", "Branch_2_height": 24, "Branch_2_pipe": "sch40 1",
    "Branch_2_length": 4, "Branch_2_fittings_k": 3,
}  # fmt: skip

PAIRS: Final[dict[str, Pair]] = {
    "inputs not complete": Pair({"Block": None}, {}),
    # Within 1/4 in of 64 x 46 in.
    "liner size": Pair({"Inside_length": 64.5}, {"Inside_length": 64.25}),
    # Five courses of 4 in are a wall of 20 in; the water is 17 in deep.
    "liner deeper than the wall": Pair({"Liners_depth": 20.5}, {"Liners_depth": 20}),
    "water above the liner": Pair({"Liners_depth": 16.5}, {"Liners_depth": 17}),
    # Sheet: 46 + 2 x 20 + 2 x 6 = 98 in is its shorter side.
    "seam in the liner": Pair(
        {"Liners_type": "sheet", "Liners_roll": 97}, {"Liners_type": "sheet", "Liners_roll": 98}
    ),
    # On a wall of 8 in; the outer 2 in stay bare.
    "lap over the whole wall": Pair({**_SHEET, "Liner_lap": 8}, {**_SHEET, "Liner_lap": 7}),
    "little room for adhesive": Pair({**_SHEET, "Liner_lap": 7}, {**_SHEET, "Liner_lap": 6}),
    "liner depth unknown": Pair({"Liners_depth": None}, {"Liners_depth": 18}),
    # Mitred caps of a job of 72 x 54 in leave a short edge of 1 in.
    "short edge of a mitre": Pair(
        {
            **_SHEET,
            "Inside_length": 72,
            "Inside_width": 54,
            "Cap_corners": "mitred",
            "Shortest_piece": 4,
        },
        {
            **_SHEET,
            "Inside_length": 72,
            "Inside_width": 54,
            "Cap_corners": "butted",
            "Shortest_piece": 4,
        },
    ),
    # 17 + 2 in of water and freeboard are 5 courses of 4 in.
    "more courses than needed": Pair({"Courses": 6}, {"Courses": 5}),
    "thin course": Pair(
        {**_SHEET, "Courses_on_edge": "2"},
        {**_SHEET, "Courses_on_edge": "2", "Edge_blocks_doubled": "yes"},
    ),
    # Caps of the blocks themselves lie joint over joint.
    "cap joints over joints": Pair({"Caps_length": 18, "Caps_depth": 8}, {"Cap": None}),
    "layout not proved": Pair(_LONG_SEARCH, {}),
    "no pump": Pair({"Pump": None}, {}),
    "no pipe": Pair({"Pipe": None}, {}),
    "no outlet": Pair({"Outlet_count": 0}, {"Outlet": None}),
    "spills when the pump stops": Pair({"Water_depth": 20, "Freeboard": 0}, {}),
    "no flow figure": Pair({"Spill_size": None}, {}),
    # The pump's curve ends at 15.5 ft.
    "pump flow unknown": Pair({"Static_lift": 16}, {}),
    "pump too weak": Pair({"Pump": "Pump 1200"}, {"Pump": "Pump 3600"}),
    "outlets unknown": Pair({**_TWO_OUTLETS, "Branch_2_height": None}, _TWO_OUTLETS),
    # The pump lifts 15.5 ft at the most, less with 2,000 gal/h.
    "outlet out of reach": Pair(
        {**_TWO_OUTLETS, "Branch_2_wanted": 600, "Branch_2_height": 200},
        {**_TWO_OUTLETS, "Branch_2_wanted": 600, "Branch_2_height": 24},
    ),
    "too fast in the pipe": Pair({"Pipe": "sch40 1"}, {"Pipe": "sch40 1-1/2"}),
    # A lip's box of unknown height runs back with the pipe, unless that ends over its water.
    "drain-back unknown": Pair({"Outlet_fed": "from below"}, {}),
    # Some 0.25 in of loss a day on 17 in of water, and an intake 14 in up.
    "level under the intake": Pair(
        {"Days_between_fills": 30, "Pump_intake": 14}, {"Days_between_fills": 1, "Pump_intake": 14}
    ),
    # 3 in are left over the water, less what runs back; the caps catch 1.8 times the water.
    "storm over the rim": Pair(
        {"Storm_rain": 3}, {"Storm_rain": 3, "Overflow_height": 18, "Overflow_bore": 2}
    ),
    # 3 in in an hour on 38 ft² are 1.2 gal/min; a mouth of 1/2 in takes less.
    "overflow too small": Pair(
        {"Storm_rain": 3, "Overflow_height": 18, "Overflow_bore": "1/2"},
        {"Storm_rain": 3, "Overflow_height": 18, "Overflow_bore": 2},
    ),
    "overflow too low": Pair(
        {"Overflow_height": 16.5, "Overflow_bore": 2}, {"Overflow_height": 18.5}
    ),
    # The pump is 8 in high; filling pipe and lip takes a little of the water.
    "pump dry at start": Pair({"Water_depth": 8}, {"Water_depth": 12}),
    # 2,102 gal/h wanted: 5.5 ft/s in a bore of 1.61 in, 3.4 in one of 2.067.
    "fast in the pipe": Pair({"Pipe": "sch40 1-1/2"}, {"Pipe": "sch40 2"}),
    # 3 in over a lip flush with the walls of its box, 12 in over its floor; unknown, it is told.
    "spillway not measured": Pair(
        {"Spill_head": 3, "Spill_size": 36},
        {"Spill_head": 3, "Spill_size": 36, "Spill_crest": 12, "Spill_approach": 36},
    ),
    # 30 in across and some 6 in thrown each way are 41 in, in an inside width of 46.
    "sheet thrown out": Pair(
        {"Spill_kind": "bowl rim", "Spill_size": 40}, {"Spill_kind": "bowl rim", "Spill_size": 30}
    ),
    "sheet blown out": Pair(
        {"Spill_kind": "bowl rim", "Spill_size": 30},
        {"Spill_kind": "bowl rim", "Spill_size": 30, "Spill_wind": 2},
    ),
    # Columns of 12 courses of 4 in on a base of 4 in: 52 in, over 48.
    "needs an engineer": Pair({"Column_courses": 12}, {"Column_courses": 11}),
    "weight unknown": Pair({"Blocks_weight": None}, {"Blocks_weight": 46}),
    # Nobody reaches 90 in: the limit takes 2 m at most.
    "lifting limit unknown": Pair({"Lift_reach": 90}, {"Lift_reach": 30}),
    # The closed box carries 1.48 times the load, and with 10 psi 1.68 times.
    "look closer at the loads": Pair({"Glue_shear": "5 psi"}, {"Glue_shear": "10 psi"}),
    "pump in still water": Pair(
        {"Spill_kind": "still water"}, {"Spill_kind": "still water", "Pump": None}
    ),
    "heavy pieces": Pair(
        # Reach 8 + 4 in, from 15 down to the first course, 4 in: 51 x .833 x .805 x .984 x .95 x
        # .95 = 30.4 lb.
        {"Blocks_weight": 30.5, "Cap": None, "Column_cap": None},
        {"Blocks_weight": 30.3, "Cap": None, "Column_cap": None},
    ),
    "needed before ordered": Pair(
        {"Order_date": dt.date(2026, 11, 25), "Order_needed_by": dt.date(2026, 11, 24)},
        {"Order_date": dt.date(2026, 11, 25), "Order_needed_by": dt.date(2026, 11, 25)},
    ),
    # 180 days before 25 November are 29 May.
    "price unknown": Pair({"Blocks_price": None}, {"Blocks_price": 0}),
    "old prices": Pair(
        {"Order_date": dt.date(2026, 11, 25), "Prices_as_of": dt.date(2026, 5, 28)},
        {"Order_date": dt.date(2026, 11, 25), "Prices_as_of": dt.date(2026, 5, 29)},
    ),
    "prices without a date": Pair({"Prices_as_of": None}, {"Prices_as_of": dt.date(2026, 5, 29)}),
}
