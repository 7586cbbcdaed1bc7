"""The water side of a job: what it has by its effect, in take-off, estimate, order and levels.

Counts, prices and lengths are worked out by hand from the cells typed; the starter rows' prices
are read from the tables of the workbook.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.cell import get_column_letter, range_boundaries
from openpyxl.workbook import Workbook

from basinbook.catalogue.spec_reader import read_outfit
from basinbook.engine.outfit import FIELDS
from basinbook.workbook.template import costs
from workbook.edited import evaluated
from workbook.places import SYSTEMS, place

# Rows of the table of water parts by kind: a name of each unit system.
PARTS = {
    "spillway": {"us": "Spillway lip 18 in", "metric": "Spillway lip 450 mm"},
    "bowl": {"us": "Round bowl 24 in", "metric": "Round bowl 600 mm"},
    "bubbler": {"us": "Bubbler head 1 in", "metric": "Bubbler head 25 mm"},
    "bulkhead": {"us": "Bulkhead fitting 1-1/2 in", "metric": "Bulkhead fitting 50 mm"},
    "valve": {"us": "Check valve 1-1/2 in", "metric": "Check valve 50 mm"},
    "cord": {"us": "Cord passage, sealed", "metric": "Cord passage, sealed"},
    "light": {"us": "Light, low voltage, 6 W", "metric": "Light, low voltage, 6 W"},
    "fill": {"us": "Automatic fill, float", "metric": "Automatic fill, float"},
}
OUTLETS = {
    "straight lip": ("Spillway", "spillway"), "notch": ("Spillway", "spillway"),
    "bowl rim": ("Bowl", "bowl"), "bubbler": ("Bubbler", "bubbler"),
}  # fmt: skip
MOVING = ("circulation", *OUTLETS)


# The longest sheets, which nothing here looks at.
_UNREAD = ("Pieces", "Cuts", "Sizes", "Setting plan")


@cache
def _loaded(path: Path) -> Workbook:
    return openpyxl.load_workbook(path)


class Book:
    """A workbook with some cells changed: its values by name and by sheet."""

    def __init__(self, path: Path, typed: Mapping[str, Any]) -> None:
        self.book = _loaded(path)
        cells = {place(self.book, name): value for name, value in typed.items()}
        self.values = evaluated(path, cells, _UNREAD)

    def named(self, name: str) -> Any:
        value = self.values.get(place(self.book, name))
        return "" if value is None else value

    def column(self, name: str) -> list[Any]:
        sheet, area = place(self.book, name)
        left, top, _, bottom = range_boundaries(area)
        letter = get_column_letter(left)
        return [self.values.get((sheet, f"{letter}{row}")) for row in range(top, bottom + 1)]

    def price(self, table: str, chosen: str) -> float:
        at = self.column(f"{table}_name").index(chosen)
        return float(self.column(f"{table}_price")[at])

    def rows(self, sheet: str, first: str, columns: str) -> list[tuple[Any, ...]]:
        """Rows of a sheet from that with a text in the first of some columns on."""
        found = []
        started = False
        for row in range(1, 120):
            cells = tuple(self.values.get((sheet, f"{c}{row}")) or "" for c in columns)
            started = started or cells[0] == first
            if started:
                found.append(cells)
        return found

    def estimate(self) -> dict[str, tuple[Any, ...]]:
        """Description, order quantity and cost of the estimate's lines by item, "Fitting" apart."""
        lines = self.rows("Estimate", "Base", "ABFJ")
        end = next(i for i, line in enumerate(lines) if line[0] == "Labour")
        return {line[0]: line[1:] for line in lines[:end] if line[0] and line[0] != "Fitting"}

    def tasks(self) -> dict[str, Any]:
        """Person-hours of the estimate's tasks."""
        return {line[0]: line[1] for line in self.rows("Estimate", "Task", "AF") if line[0]}

    def order(self) -> dict[str, tuple[Any, Any]]:
        sheet, area = place(self.book, "Order_lines")
        _, top, _, bottom = range_boundaries(area)
        lines = {}
        for row in range(top, bottom + 1):
            item, name, number = (self.values.get((sheet, f"{c}{row}")) for c in "BCD")
            if item and item != "Fitting":
                lines[str(item)] = (name, number)
        return lines

    def outfit(self) -> Any:
        def area(name: str) -> tuple[tuple[Any, ...], ...]:
            return tuple((value,) for value in self.column(name))

        return read_outfit(area("Outfit_labels"), area("Outfit_values"), self.named("Units"))


BASE = {
    "us": {"Inside_length": 64, "Inside_width": 46, "Water_depth": 14, "Pump": "Pump 2400",
           "Pipe": "sch40 1-1/2"},
    "metric": {"Inside_length": 1600, "Inside_width": 1150, "Water_depth": 350,
               "Pump": "Pump 9000", "Pipe": "pn16 50"},
}  # fmt: skip


def job(system: str, effect: str, **more: Any) -> dict[str, Any]:
    """A small job with every part typed, the outlet of the effect's kind among them."""
    kind = OUTLETS.get(effect, ("", "spillway"))[1]
    parts = {
        "Outlet": kind, "Bulkhead_fitting": "bulkhead", "Check_valve": "valve",
        "Cord_passage": "cord", "Light": "light", "Automatic_fill": "fill",
    }  # fmt: skip
    typed = {name: PARTS[kind][system] for name, kind in parts.items()}
    fittings = {"Fitting_1": "Entrance, flush and sharp", "Fitting_1_count": 1,
                "Fitting_2": "90° elbow", "Fitting_2_count": 3}  # fmt: skip
    return {**BASE[system], "Spill_kind": effect, **typed, **fittings, "Outlet_fed": "over the rim",
            "Bulkhead_fitting_count": 2, "Light_count": 3, "Cord_passage_count": 0,
            **more}  # fmt: skip


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_blank_template_is_of_still_water_and_has_no_parts(
    blanks: dict[str, Path], system: str
) -> None:
    book = Book(blanks[system], {})
    assert book.named("Spill_kind") == "still water"
    assert book.named("Runs") is False
    for name in ("Pump", "Fitting_1", "Outlet", "Pipe_length", "Static_lift", "Spill_drop"):
        assert book.named(name) == "", name
    found = book.outfit()
    assert (found.effect, found.pump, found.pipe, found.fittings) == ("still water", "", "", 0)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("effect", ["still water", *MOVING])
def test_lines_name_exactly_the_parts_of_the_effect(
    blanks: dict[str, Path], system: str, effect: str
) -> None:
    book = Book(blanks[system], job(system, effect))
    assert book.named("Job_message") == "Inputs complete"
    wanted: dict[str, tuple[str, float]] = {
        "Bulkhead fitting": (PARTS["bulkhead"][system], 2),
        "Light": (PARTS["light"][system], 3),
        "Automatic fill": (PARTS["fill"][system], 1),
    }
    moves = effect != "still water"
    if moves:
        wanted |= {
            "Pump": (str(BASE[system]["Pump"]), 1),
            "Check valve": (PARTS["valve"][system], 1),
        }
    if effect in OUTLETS:
        item, kind = OUTLETS[effect]
        wanted[item] = (PARTS[kind][system], 1)
    lines, order = book.estimate(), book.order()
    others = {"Base", "Wall block", "Wall cap", "Column cap", "Adhesive", "Liner", "Underlay"}
    others |= {line.item for line in costs.material_lines(system) if line.item.startswith("Lintel")}
    assert set(lines) - others - {"Pipe"} == set(wanted)
    assert ("Pipe" in lines) == ("Pipe" in order) == moves
    assert set(order) - others - {"Pipe"} == set(wanted)
    for item, (name, number) in wanted.items():
        price = book.price("Pumps" if item == "Pump" else "Water_parts", name)
        assert lines[item] == (name, number, pytest.approx(number * price)), item
        assert order[item] == (name, number), item
    tasks = book.tasks()
    hours = {line.task: line.hours[0] for line in costs.WORK}
    assert tasks.get("Pump and pipe") == (hours["Pump and pipe"] if moves else None)
    assert tasks["Fill and leak test"] == hours["Fill and leak test"]
    counts = {
        "Qty_Outlets": 1 if effect in OUTLETS else "", "Qty_Pumps": 1 if moves else "",
        "Qty_Fittings": 3 if moves else "", "Qty_Bulkhead_fittings": 2,
        "Qty_Check_valves": 1 if moves else "", "Qty_Cord_passages": "", "Qty_Lights": 3,
        "Qty_Automatic_fills": 1,
    }  # fmt: skip
    assert {name: book.named(name) for name in counts} == counts
    assert (book.named("Qty_Pipe_length") != "") == moves
    assert book.named("Option_1_price") == pytest.approx(book.named("Price_total"))


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_basin_without_parts_has_no_lines_of_them(blanks: dict[str, Path], system: str) -> None:
    typed = {**BASE[system], "Spill_kind": "circulation"}
    book = Book(blanks[system], typed)
    names = {"Bulkhead fitting", "Check valve", "Cord passage", "Light", "Automatic fill"}
    assert names.isdisjoint(book.estimate())
    assert {"Spillway", "Bowl", "Bubbler"}.isdisjoint(book.estimate())
    assert {"Pump", "Pipe"} <= set(book.order())
    with_light = Book(blanks[system], {**typed, "Light": PARTS["light"][system]})
    markup = 1 + book.named("Markup_on_materials")
    taxed = 1 + book.named("Tax_rate")  # of materials, or of all
    light = book.price("Water_parts", PARTS["light"][system])
    more = with_light.named("Price_total") - book.named("Price_total")
    # Markup and tax are rounded to the cent each.
    assert more == pytest.approx(light * markup * taxed, abs=0.0101)


def test_the_outfit_has_the_labels_of_the_engine_and_what_counts(blanks: dict[str, Path]) -> None:
    book = Book(blanks["us"], job("us", "bowl rim"))
    labels = book.column("Outfit_labels")
    assert labels == [field.label for field in FIELDS.values()]
    found = book.outfit()
    assert (found.effect, found.outlet, found.outlets) == ("bowl rim", "Round bowl 24 in", 1)
    assert (found.bulkheads, found.lights, found.cord_passage, found.cord_passages) == (2, 3, "", 0)
    assert found.pipe_bore == pytest.approx(1.61 * 0.0254)  # ASTM D1785: 1.900 - 2 · 0.145 in
    assert found.fittings == 3
    assert (found.liner_type, found.liner_lap) == ("sheet", pytest.approx(6 * 0.0254))
    assert found.pump_height == pytest.approx(8 * 0.0254)
    still = Book(blanks["us"], job("us", "still water")).outfit()
    assert (still.pump, still.pump_height, still.pipe_bore, still.check_valve) == ("", 0, 0, "")
    assert (still.bulkheads, still.lights, still.automatic_fills) == (2, 3, 1)


@pytest.mark.parametrize(("pump", "effect"), [("Pump 2400", "circulation"), ("", "still water")])
def test_the_old_word_none_is_read(blanks: dict[str, Path], pump: str, effect: str) -> None:
    book = Book(blanks["us"], job("us", "none", Pump=pump))
    assert book.outfit().effect == effect
    assert book.named("Runs") is (effect == "circulation")
    assert book.named("Job_message") == "Inputs complete"


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        (
            {"Outlet": "Round bowl 24 in"},
            "Spillway, bowl or bubbler: choose a row of the kind spillway on the Materials sheet",
        ),
        ({"Light": "Check valve 1-1/2 in"}, "Light: choose a row of the kind light on the"),
        ({"Check_valve": "Valve of ours"}, "Check valve: not on the Materials sheet"),
        ({"Light_count": 1.5}, "Number of lights: give a whole number from 0 to 1000"),
        ({"Spill_kind": ""}, "Water effect: choose one of still water, circulation,"),
        ({"Spill_kind": "waterfall"}, "Water effect: choose one of still water, circulation,"),
        ({"Pump": ""}, "Pump: choose one on the Basin sheet, or still water"),
    ],
)
def test_what_does_not_go_together_is_told_and_not_ordered(
    blanks: dict[str, Path], typed: dict[str, Any], message: str
) -> None:
    book = Book(blanks["us"], job("us", "straight lip", **typed))
    assert str(book.named("Job_message")).startswith(message)
    assert book.order() == {}
    assert book.named("Order_whole") is False
    assert book.named("Order_this_kind") == ""
    assert not isinstance(book.named("Price_total"), (int, float))


def test_what_still_water_leaves_out_is_told_beside_it_and_stops_nothing(
    blanks: dict[str, Path],
) -> None:
    typed = job("us", "still water", Check_valve="Valve of ours", Outlet="Round bowl 24 in")
    book = Book(blanks["us"], typed)
    assert book.named("Job_message") == "Inputs complete"
    sheet, at = place(book.book, "Check_valve")
    assert book.values[sheet, f"E{at[1:]}"] == "Not counted: still water has none"


@pytest.mark.parametrize("system", SYSTEMS)
def test_still_water_has_levels_and_a_top_up_of_evaporation_alone(
    blanks: dict[str, Path], system: str
) -> None:
    book = Book(blanks[system], job(system, "still water"))
    # 4 courses of 4 in or 100 mm hold 14 in or 350 mm of water and 2 in or 50 mm of freeboard.
    high, deep = (16, 14) if system == "us" else (400, 350)
    for name in ("Pipe_contents", "Air_contents", "Outlet_contents", "Level_rise", "Splash"):
        assert book.named(name) == 0, name
    assert book.named("Freeboard_left") == pytest.approx(high - deep)
    for name in ("Pump_reach", "Depth_over_pump"):
        assert book.named(name) == "", name
    levels = [[book.values.get(("Water", f"{c}{row}")) for c in "AB"] for row in range(60, 260)]
    found = {str(name)[:1]: depth for name, depth in levels if str(name)[:2] in ("1 ", "2 ", "3 ")}
    # A week's evaporation, and no storm typed.
    assert found == {"1": pytest.approx(deep), "2": "", "3": pytest.approx(
        deep - 7 * book.named("Evaporation"))}  # fmt: skip
    weeks = [
        book.values.get(("Losses and loads", f"B{row}"))
        for row in range(1, 60)
        if book.values.get(("Losses and loads", f"A{row}")) == "Top-up per week"
    ]
    # A fall of the level by E a day over the inside area, seven days.
    fall, area = book.named("Evaporation"), book.named("Water_area")
    if system == "us":
        # Still air at 72 °F of water, 80 °F and 50 %; with the typed 4 mph it was 0.296.
        assert book.named("Evaporation_quiet") == pytest.approx(0.115, abs=5e-4)
    one = 1 / 231 * 144 if system == "us" else 1.0  # ft² · in in gal; m² · mm in L
    assert weeks == [pytest.approx(7 * fall * area * one)]
    text = " ".join(str(value) for (sheet, _), value in book.values.items() if sheet == "Water")
    assert "Still water: no pump runs" in text
    assert "still water: nothing runs over a lip" in text


def test_a_bowl_fed_from_below_runs_back_over_the_rim(blanks: dict[str, Path]) -> None:
    """30 in across and 8 in deep it holds some 14.7 gal: 2.36 in of a basin of 48 x 30.

    With pipe, fall and head 2.5 in rise, where 2 in are left and 0.18 in were told."""
    typed = job("us", "bowl rim", Inside_length=48, Inside_width=30, Spill_size=30,
                Spill_head="1/8", Bowl_depth=8, Outlet_fed="from below")  # fmt: skip
    book = Book(blanks["us"], typed)
    assert book.named("Pool_contents") == pytest.approx(14.69, abs=0.01)
    parts = ("Pipe_contents", "Air_contents", "Outlet_contents", "Pool_contents")
    back = sum(book.named(name) for name in parts)
    assert book.named("Drain_back") == pytest.approx(back)
    assert book.named("Level_rise") == pytest.approx(back * 231 / (48 * 30))
    assert 2.45 < book.named("Level_rise") < 2.75
    assert book.named("Freeboard_left") == pytest.approx(2 - book.named("Level_rise"))
    found = " ".join(str(value) for (name, _), value in book.values.items() if name == "Findings")
    assert "Water runs over the rim when the pump stops" in found
    # Not known how deep: unknown, not nothing. A check valve relied on holds it.
    unknown = Book(blanks["us"], {**typed, "Bowl_depth": ""})
    assert (unknown.named("Drain_back"), unknown.named("Level_rise")) == ("-", "-")
    held = Book(blanks["us"], {**typed, "Check_valve_relied": "yes"})
    assert held.named("Drain_back") == pytest.approx(
        book.named("Air_contents") + book.named("Outlet_contents")
    )
    assert held.named("Drain_back_open") == pytest.approx(back)


def test_no_current_without_pump_and_light(blanks: dict[str, Path]) -> None:
    quiet = Book(blanks["us"], job("us", "still water", Light=""))
    assert (quiet.named("Pump_power"), quiet.named("Pump_current")) == ("-", "-")
    lit = Book(blanks["us"], job("us", "still water"))
    assert lit.named("Pump_current") == pytest.approx(3 * 6 / 120)  # 3 lights of 6 W at 120 V
    both = Book(blanks["us"], job("us", "circulation"))
    assert both.named("Pump_current") == pytest.approx((180 + 3 * 6) / 120)
    # 18 W, 5 h a day, 365 days; or a season of 200 days.
    assert lit.named("Light_energy") == pytest.approx(18 * 5 * 365 / 1000)
    season = Book(blanks["us"], job("us", "still water", Season_days=200))
    assert season.named("Light_energy") == pytest.approx(18 * 5 * 200 / 1000)


def test_heights_and_lengths_follow_the_geometry_and_a_typed_value_wins(
    blanks: dict[str, Path],
) -> None:
    """By hand: the wall has 4 courses of 4 in and caps of 2 in, so a lip is 18 in up, and the water
    14 in. Pipe: up 18 in at the wall, over 8 in of wall and back 8 in to the lip, and 10 %."""
    book = Book(blanks["us"], job("us", "straight lip"))
    assert book.named("Fall_used") == pytest.approx(4)
    assert book.named("Lift_used") == pytest.approx((4 + 0.75) / 12)  # 3/4 in over the lip
    assert book.named("Pipe_length_used") == pytest.approx((18 + 8 + 8) / 12 * 1.1)
    assert book.named("Qty_Pipe_length") == book.named("Pipe_length_used")
    name, ordered = book.order()["Pipe"]
    assert (name, ordered) == ("sch40 1-1/2", 10)  # 3.1 ft of pipe sold by 10 ft
    typed = job("us", "straight lip", Pipe_length=12.5, Static_lift=2, Spill_drop="9 in")
    own = Book(blanks["us"], typed)
    assert (own.named("Lift_used"), own.named("Fall_used")) == (2, "9 in")
    assert own.named("Qty_Pipe_length") == 12.5
    assert own.order()["Pipe"] == ("sch40 1-1/2", 20)
    assert own.named("Flow_running") < book.named("Flow_running")


def test_an_option_of_another_size_buys_the_pipe_that_it_needs(blanks: dict[str, Path]) -> None:
    """Circulation runs the inside length: 64 in and 14 in of depth are 7.15 ft with 10 %, one
    length of 10 ft; 120 in are 12.3 ft, two lengths."""
    book = Book(blanks["us"], job("us", "circulation", Option_2_Inside_length=120))
    assert book.named("Qty_Pipe_length") == pytest.approx((64 + 14) / 12 * 1.1)
    rows = [row for row in range(1, 400) if book.values.get(("Options", f"A{row}")) == "Pipe: cost"]
    (row,) = rows
    each = book.price("Pipes", "sch40 1-1/2")
    costs = [book.values["Options", f"{column}{row}"] for column in "CD"]
    assert costs == [pytest.approx(10 * each), pytest.approx(20 * each)]


def test_facts_of_pump_and_levels(blanks: dict[str, Path]) -> None:
    book = Book(blanks["us"], job("us", "straight lip"))
    reach = book.named("Flow_running") / book.named("Flow_wanted")
    assert book.named("Pump_reach") == pytest.approx(reach)
    back = sum(book.named(name) for name in ("Pipe_contents", "Air_contents", "Outlet_contents"))
    assert book.named("Drain_back") == pytest.approx(back)
    # 231 in³ a gallon over 64 in by 46 in.
    assert book.named("Level_rise") == pytest.approx(back * 231 / (64 * 46))
    # The pump is 8 in high.
    assert book.named("Depth_over_pump") == pytest.approx(14 - book.named("Level_rise") - 8)
    # 18 in wide, 300 mm back, and the head of the flow that the pump gives.
    over = 18 * 300 / 25.4 * book.named("Head_running") / 231
    assert book.named("Outlet_contents") == pytest.approx(over)
    bubbler = Book(blanks["us"], job("us", "bubbler"))
    assert bubbler.named("Pump_reach") == ""  # nothing says what flow is wanted


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("book", ["blank", "demo"])
def test_what_a_job_starts_with_goes_together(
    blanks: dict[str, Path], demos: dict[str, Path], system: str, book: str
) -> None:
    """The lift is the fall and the head over the lip; a pipe of the starter rows carries the flow
    within 5 ft/s (1.5 m/s), and the pump reaches it."""
    wide = {"us": "sch40 2", "metric": "pn16 63"}[system]
    found = (
        Book(blanks[system], job(system, "straight lip", Pipe=wide))
        if book == "blank"
        else Book(demos[system], {})
    )
    per_head, most = (12, 5.0) if system == "us" else (1000, 1.5)  # in a ft, mm a m
    head = 0.75 if system == "us" else 20
    for name in ("Spill_drop", "Static_lift", "Pipe_length"):
        assert found.named(name) == "", name
    over = found.named("Lift_used") * per_head - found.named("Fall_used")
    assert over == pytest.approx(head)
    assert 0 < found.named("Pipe_velocity") <= most
    assert found.named("Pump_reach") >= 1


def _outlets(**more: Any) -> dict[str, Any]:
    """Two outlets on the pump of a job: a lip of 18 in, and a spout of 1 in pipe."""
    return {
        "Manifold_length": 4, "Manifold_k": 2, "Branch_1_outlet": "lip", "Branch_1_size": 18,
        "Branch_1_height": 20, "Branch_1_pipe": "sch40 1-1/2", "Branch_1_length": 6,
        "Branch_1_fittings_k": 2, "Branch_3_outlet": "spout", "Branch_3_height": 12,
        "Branch_3_pipe": "sch40 1", "Branch_3_length": 4, "Branch_3_fittings_k": 3, **more,
    }  # fmt: skip


def _row(book: Book, label: str) -> list[Any]:
    """The values under the four outlets in a row of the Water sheet."""
    (row,) = (r for r in range(60, 160) if book.values.get(("Water", f"A{r}")) == label)
    return [book.values.get(("Water", f"{column}{row}")) for column in "EFGH"]


def _told(book: Book, label: str) -> str:
    (row,) = (r for r in range(60, 160) if book.values.get(("Water", f"A{r}")) == label)
    return str(book.values["Water", f"B{row}"])


def test_several_outlets_share_the_pump(demos: dict[str, Path]) -> None:
    book = Book(demos["us"], _outlets(Branch_1_wanted=1000, Branch_3_wanted=600))
    flows = _row(book, "Flow")
    assert flows[1] == flows[3] == ""
    assert flows[0] + flows[2] == pytest.approx(book.named("Branch_total"), rel=1e-5)
    # A full bore of 1.049 in, falling 12 in.
    speed = flows[2] * 231 / 3600 / (1.049**2 * 3.14159265 / 4)
    assert _row(book, "Thrown by a spout")[2] == pytest.approx(speed * (24 / 386.09) ** 0.5, 1e-4)
    heights = [book.named("Branch_1_height"), book.named("Branch_3_height")]
    assert book.named("Branch_head") * 12 > max(heights)
    # A bore of 1.61 in and 6 ft, one of 1.049 in and 4 ft; 231 in³ a gallon.
    inside = (1.61**2 * 72 + 1.049**2 * 48) * 3.14159265 / 4 / 231
    assert book.named("Branch_contents") == pytest.approx(inside)
    # It runs back with the water of the pipe of 2.067 in.
    main = 2.067**2 * 3.14159265 / 4 * book.named("Pipe_length_used") * 12 / 231
    assert book.named("Pipe_contents") == pytest.approx(main + inside)
    assert book.named("Branch_short") == 0
    assert _told(book, "Several outlets").startswith("2 outlets share")
    # Each valve set to its K: the flows wanted.
    one, _, three, _ = _row(book, "Valve K for the wanted flow")
    again = Book(demos["us"], _outlets(Branch_1_valve_k=one, Branch_3_valve_k=three))
    flows = _row(again, "Flow")
    assert (flows[0], flows[2]) == (pytest.approx(1000, rel=1e-4), pytest.approx(600, rel=1e-4))
    assert _told(again, "Valves") == "no flow is wanted, so none is worked out"


def test_a_blank_of_an_outlet_is_unknown_and_named(demos: dict[str, Path]) -> None:
    book = Book(demos["us"], _outlets(Branch_3_length=None))
    assert _row(book, "Flow") == ["unknown", "", "unknown", ""]
    assert book.named("Branch_total") == "unknown"
    assert book.named("Drain_back") == "-"  # so nobody knows what runs back
    told = _told(book, "Several outlets")
    assert told.startswith("unknown: lengths")
    assert "outlet 3 needs it" in told


def test_without_several_outlets_the_section_says_so(demos: dict[str, Path]) -> None:
    book = Book(demos["us"], {})
    assert _told(book, "Several outlets") == "One outlet alone: nothing is typed here"
    assert book.named("Branch_total") == book.named("Branch_short") == "-"
    assert _row(book, "Flow") == ["", "", "", ""]


@pytest.mark.parametrize(
    ("effect", "argument"), [("bowl rim", "bowl_diameter"), ("notch", "notch_width")]
)
def test_why_there_is_no_flow_is_asked_of_the_effects_own_function(
    blanks: dict[str, Path], effect: str, argument: str
) -> None:
    book = Book(blanks["us"], job("us", effect, Spill_size=None))
    rows = range(1, 60)
    told = {book.values.get(("Water", f"A{r}")): book.values.get(("Water", f"B{r}")) for r in rows}
    assert str(told["If there is no figure"]).startswith(argument)
    (head,) = (r for r in rows if book.values.get(("Water", f"A{r}")) == "Wanted head")
    started = str(book.values["Water", f"E{head}"]).startswith('Of a bowl start with 1/4"')
    assert started == (effect == "bowl rim")
