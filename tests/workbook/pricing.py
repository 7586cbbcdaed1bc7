"""The estimate worked out a second time, in plain Python: no sheet, no catalogue, no pint.

Lengths are read and units converted here by the definitions (1 in = 25.4 mm, 1 lb = 0.45359237 kg,
1 US gal = 231 in³: NIST Handbook 44, appendix C); the quantities come from the engine.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import openpyxl

from basinbook.engine import adhesive, base, liner
from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import FIELDS, BasinSpec
from basinbook.engine.suggest import pipe_length
from basinbook.engine.takeoff import ITEMS, base_area
from workbook.places import place

INCH = Fraction(254, 10_000)
# What sentences call an opening -> the cell in which its lintel is chosen.
LINTELS = {
    "pipe opening": "Pipe_opening_lintel",
    **{f"opening {number}": f"Opening_{number}_lintel" for number in (2, 3, 4)},
}
_POUND = 0.45359237
_GALLON = 231 * float(INCH) ** 3
# kind of quantity -> what one of the unit on the sheets is in SI (US customary, metric)
ONE = {
    "length": (0.0254, 0.001),
    "run length": (0.3048, 1.0),
    "area": (0.3048**2, 1.0),
    "bulk volume": (0.9144**3, 1.0),
    "liquid volume": (_GALLON, 0.001),
    "cartridge volume": (_GALLON / 128, 1e-6),
    "mass": (_POUND, 1.0),
    "bulk mass": (2000 * _POUND, 1000.0),
    "density": (_POUND / 0.3048**3, 1.0),
    "hose flow": (_GALLON / 60, 0.001 / 60),
    "time": (3600.0, 3600.0),
}
_SYMBOLS = {
    "length": ("in", "mm"),
    "run length": ("ft", "m"),
    "area": ("ft²", "m²"),
    "bulk volume": ("yd³", "m³"),
    "bulk mass": ("ton", "t"),
}
_WATER = 1000.0  # kg/m³, rounded as builders do; the catalogue's default
_NUMBER = r"(?:(?P<whole>\d+) )?(?P<top>\d+)/(?P<bottom>\d+)|(?P<plain>\d+(?:\.\d+)?)"
_TYPED = re.compile(rf"^(?:(?P<feet>\d+)' )?(?:{_NUMBER})\s*(?P<unit>\"|in|mm|cm|m)?$")
_IN_METRES = {"in": INCH, '"': INCH, "mm": Fraction(1, 1000), "cm": Fraction(1, 100), "m": 1}


def metres(typed: object, system: str) -> float:
    """Return a length in metres as the estimator typed it: 46, 3/8, 5' 4 1/2", 1.27 m."""
    if isinstance(typed, (int, float)):
        return float(typed) * one("length", system)
    match = _TYPED.match(str(typed))
    assert match, typed
    number = Fraction(match["plain"] or Fraction(int(match["top"]), int(match["bottom"])))
    number += int(match["whole"] or 0)
    feet = int(match["feet"] or 0)
    unit = match["unit"] or ("in" if system == "us" else "mm")
    return float(number * _IN_METRES[unit] + feet * 12 * INCH)


def one(kind: str, system: str) -> float:
    return ONE[kind][system == "metric"]


def symbol(kind: str, system: str) -> str:
    return _SYMBOLS[kind][system == "metric"]


def cents(amount: float) -> float:
    """Return an amount to the cent, half a cent up, as it is printed."""
    exact = Decimal(f"{amount:.15g}")
    return float(exact.quantize(Decimal("0.01"), ROUND_HALF_UP))


def shown(number: float, kind: str, system: str) -> float:
    """Return an SI number in the unit of the sheets; what has no unit stays as it is."""
    return number / one(kind, system) if kind in ONE else number


Row = dict[str, Any]


@dataclass(frozen=True)
class Inputs:
    """What is typed into a workbook: single cells by name, and rows of the tables by name."""

    system: str
    typed: Mapping[str, Any]
    tables: Mapping[str, Mapping[str, Row]]
    free: tuple[tuple[Any, ...], ...] = ()

    def __getitem__(self, name: str) -> Any:
        value = self.typed.get(name)
        if value in (None, "") and name == "Outlet":
            return self._first_outlet()
        return None if value == "" else value

    def _first_outlet(self) -> str | None:
        """The first row of the kind that the effect wants: what a blank stands for."""
        kind = {"straight lip": "spillway", "notch": "spillway", "bowl rim": "bowl",
                "bubbler": "bubbler"}.get(self["Spill_kind"] or "")  # fmt: skip
        rows = self.tables["Water_parts"].items()
        return next((row for row, has in rows if kind and has["kind"] == kind), None)

    def row(self, table: str, chosen: str) -> Row:
        return self.tables[table][self[chosen]]

    def length(self, name: str) -> float:
        return metres(self[name], self.system)

    def option(self, number: int) -> Inputs:
        """The inputs of an option: the job's, but for what the option has of its own."""
        start = f"Option_{number}_"
        own = {
            name.removeprefix(start): value
            for name, value in self.typed.items()
            if name.startswith(start) and value not in (None, "")
        }
        kept = self._at_the_same_height(own.get("Block", self["Block"]))
        if own.get("Courses_on_edge") == "none":
            own["Courses_on_edge"] = None
        return Inputs(self.system, {**self.typed, **kept, **own}, self.tables, self.free)

    def _at_the_same_height(self, block: Any) -> dict[str, Any]:
        """The numbers of courses of another block that are as high as this job's."""
        sizes = self.tables["Blocks"]
        if self["Block"] not in sizes or block not in sizes:
            return {}
        ours, theirs = (
            Fraction(round(metres(sizes[name]["height"], self.system) * 1e6))
            for name in (self["Block"], block)
        )
        if ours == theirs:
            return {}
        found: dict[str, Any] = {"Courses": None}
        for name in ("Column_courses", "Second_wall_courses"):
            if self[name]:
                # Half of a course and more counts as one.
                found[name] = max(1, math.floor(self[name] * ours / theirs + Fraction(1, 2)))
        if self["Access_gap_courses"]:
            found["Access_gap_courses"] = math.ceil(self["Access_gap_courses"] * ours / theirs)
        for opening in ("Pipe_opening", "Opening_2", "Opening_3", "Opening_4"):
            width = opening if opening == "Pipe_opening" else f"{opening}_width"
            course, high = f"{opening}_course", f"{opening}_courses_high"
            if self[width] and self[course]:
                middle = (self[course] - Fraction(1, 2)) * ours
                found[course] = math.floor(middle / theirs) + 1
            if self[width] and (self[high] or 1) > 1:
                found[high] = math.ceil(self[high] * ours / theirs)
        return found


def as_name(label: str) -> str:
    return label.replace(" ", "_").replace("-", "_")


def read_inputs(path: Path, system: str) -> tuple[Inputs, dict[str, tuple[str, str]]]:
    """Return what a workbook file has in its input cells, and where each single one stands."""
    book = openpyxl.load_workbook(path)
    typed: dict[str, Any] = {}
    places: dict[str, tuple[str, str]] = {}
    columns: dict[str, dict[str, list[Any]]] = {}
    for name in book.defined_names:
        title, reference = place(book, name)
        block = book[title][reference]
        if not isinstance(block, tuple):
            if not block.protection.locked:
                typed[name] = block.value
                places[name] = (title, block.coordinate)
        elif title in ("Materials", "Pump and pipe"):
            table, _, key = name.rpartition("_")
            if table.endswith("_sold"):  # the column named sold_by
                table, key = table.removesuffix("_sold"), "sold_by"
            columns.setdefault(table, {})[key] = [row[0].value for row in block]
    tables = {}
    for table, found in columns.items():
        rows = [
            dict(zip(found, values, strict=True)) for values in zip(*found.values(), strict=True)
        ]
        tables[table] = {row["name"]: row for row in rows if row["name"] not in (None, "")}
    return Inputs(system, typed, tables), places


def spec_of(job: Inputs) -> BasinSpec:
    """Return the layout's inputs in SI; what is left blank keeps the engine's own default."""
    given: dict[str, Any] = {}
    for name, item in FIELDS.items():
        stem, _, size = name.rpartition("_")
        table = {"block": ("Blocks", "Block"), "cap": ("Caps", "Cap"),
                 "column_cap": ("Column_caps", "Column_cap")}.get(stem)  # fmt: skip
        if "_lintel_" in name:
            table = ("Lintels", as_name(FIELDS[f"{stem}"].label))
        if table and size in ("length", "height", "depth", "side"):
            value = job.row(*table)[size] if job[table[1]] else None
        else:
            value = job[as_name(item.label)]
        if value is None:
            continue
        given[name] = metres(value, job.system) if item.kind.name == "length" else value
    return BasinSpec(**given)


@dataclass
class Line:
    """One material line of the estimate."""

    description: str = ""
    quantity: float = 0.0
    unit: str = ""
    pack: float | str = ""
    price: float = 0.0
    needed: float | None = None
    allowance: float | None = None

    @property
    def packs(self) -> int:
        if not self.description:
            return 0
        needed = self.quantity if self.needed is None else self.needed
        return base.packs(needed, float(self.pack))

    @property
    def ordered(self) -> float:
        return self.packs * float(self.pack) if self.description else 0.0

    @property
    def extension(self) -> float:
        return cents(self.ordered * self.price)


@dataclass
class Priced:
    """A job from layout to price, in the units of the sheets."""

    layout: Layout
    takeoff: dict[str, float | str]
    lines: dict[str, Line]
    work: dict[str, float]
    hours: float
    summary: dict[str, float]
    free: list[float] = field(default_factory=list)

    @property
    def materials(self) -> float:
        return sum(line.extension for line in self.lines.values()) + sum(self.free)


def price(job: Inputs) -> Priced:
    """Work out a job; raises InputError where it has no layout."""
    layout = solve(spec_of(job))
    takeoff = _takeoff(job, layout)
    lines = _lines(job, takeoff)
    work = _work(takeoff, runs=effect_of(job) != "still water" and bool(job["Pump"]))
    labour = list(job.tables["Labour"].values())
    hours = sum(row["hours"] * work[row["name"]] for row in labour)
    free = [cents(q * p) for _, _, q, _, p in job.free]
    priced = Priced(layout, takeoff, lines, work, hours, {}, free)
    paid = sum(cents(row["hours"] * work[row["name"]] * job["Labour_rate"]) for row in labour)
    priced.summary = _summary(job, priced.materials, paid, _site(job, takeoff, hours))
    return priced


def _site(job: Inputs, takeoff: dict[str, Any], hours: float) -> float:
    """What the site costs; soil that is hauled off is the test's own to leave at no price."""
    prices = {name: row["price"] for name, row in job.tables["Site"].items()}
    cuts = takeoff["Saw cuts"] + takeoff["Cap saw cuts"]
    for name in ("Dig out by machine", "Haul soil away", "Haul soil away, by the load"):
        assert prices[name] == 0
    for name in ("Compactor", "Saw"):
        assert prices[name] == 0
    days = math.ceil(round(hours / (job["Crew"] * job["Hours_per_day"]), 6))
    found = [cents(cuts * (job["Blade_wear"] or 0.0)), cents(days * prices["Travel"])]
    found += [cents(prices[name]) for name in ("Cleaning", "Electrician", "Permit")]
    return sum(found)


def _takeoff(job: Inputs, layout: Layout) -> dict[str, float | str]:
    spec, system = layout.spec, job.system
    found: dict[str, float | str] = {
        item.label: shown(item.measure(layout), item.kind.name, system) for item in ITEMS.values()
    }
    high = ITEMS["wall height"].measure(layout)
    area = base_area(layout, job.length("Base_margin"))
    tamped = base.compacted_volume(area, job.length("Base_thickness"))
    material = job.row("Bases", "Base_material")
    loose = base.loose_volume(tamped, material["factor"])
    mass = base.bulk_mass(loose, material["density"] * one("density", system))
    water = spec.inside_length * spec.inside_width * spec.water_depth
    lap = job.length("Liner_lap")
    sides = (spec.inside_length, spec.inside_width)
    sheet = [liner.sheet_dimension(side, high, lap) for side in sides]
    under = [liner.sheet_dimension(side, high, 0.0) for side in sides]
    found |= {
        "Base area": shown(area, "area", system),
        "Base tamped": shown(tamped, "bulk volume", system),
        "Base loose": shown(loose, "bulk volume", system),
        "Base weight": shown(mass, "bulk mass", system),
        "Cartridges": adhesive.cartridges(
            ITEMS["bed length"].measure(layout),
            job["Beads"],
            job.length("Bead_diameter"),
            job.row("Adhesives", "Adhesive")["cartridge"] * one("cartridge volume", system),
            job["Adhesive_waste"],
        ),
        "Liner length": shown(sheet[0], "length", system),
        "Liner width": shown(sheet[1], "length", system),
        "Liner area": shown(sheet[0] * sheet[1], "area", system),
        "Underlay area": shown(under[0] * under[1], "area", system),
        "Water volume": shown(water, "liquid volume", system),
        "Water weight": shown(water * _WATER, "mass", system),
        "Fill time": water / (job["Hose_flow"] * one("hose flow", system)) / 3600,
        "Block weight": found["Blocks to buy"] * job.row("Blocks", "Block")["weight"],
        "Cap weight": sum(
            found[count] * job.row(table, chosen)["weight"]
            for count, table, chosen in (
                ("Caps to buy", "Caps", "Cap"),
                ("Column caps", "Column_caps", "Column_cap"),
            )
            if job[chosen]
        ),
        "Lintel weight": sum(
            found[f"Lintel over {over}"] * job.row("Lintels", chosen)["weight"]
            for over, chosen in LINTELS.items()
            if job[chosen]
        ),
    }  # fmt: skip
    sold_by = material["sold_by"]
    found["Base in selling unit"] = (
        found["Base loose"] / material["bag"] if sold_by == "bag"
        else found["Base weight"] if sold_by == symbol("bulk mass", system)
        else found["Base loose"]
    )  # fmt: skip
    found["Liner fit"] = _fit(job, spec)
    found["Pipe length"] = _pipe_length(job, layout)
    return found


def _pipe_length(job: Inputs, layout: Layout) -> float | str:
    """The pipe as typed, or as long as the geometry wants it; blank where there is none."""
    if not chosen_parts(job)["Pipe"][1]:
        return ""
    if job["Pipe_length"] is not None:
        return float(job["Pipe_length"])
    return shown(pipe_length(layout, effect_of(job)), "run length", job.system)


def _fit(job: Inputs, spec: BasinSpec) -> str:
    chosen = job.row("Liners", "Liner")
    if chosen["type"] != "preformed":
        return "cut from sheet"
    gaps = (
        liner.fit_gap(spec.inside_length, metres(chosen["length"], job.system)),
        liner.fit_gap(spec.inside_width, metres(chosen["width"], job.system)),
    )
    return liner.fit_message(*gaps, job.length("Liner_tolerance"))


# What may be chosen from the table of water parts -> the effects that go with it.
_MOVING = ("circulation", "straight lip", "notch", "bowl rim", "bubbler")
_WATER_PARTS = {
    "Outlet": _MOVING[1:],
    "Bulkhead_fitting": ("still water", *_MOVING),
    "Check_valve": _MOVING,
    "Cord_passage": _MOVING,
    "Light": ("still water", *_MOVING),
    "Automatic_fill": ("still water", *_MOVING),
}
_OUTLETS = {"bowl rim": "Bowl", "bubbler": "Bubbler"}


def effect_of(job: Inputs) -> str:
    """What the water does; workbooks of before said "none"."""
    effect = job["Spill_kind"]
    if effect == "none":
        return "circulation" if job["Pump"] else "still water"
    return effect or "still water"


def chosen_parts(job: Inputs) -> dict[str, tuple[str, int]]:
    """Return the cell and the number of each part by its line on the sheets; 0: not there."""
    effect = effect_of(job)

    def number(cell: str) -> int:
        if effect not in _WATER_PARTS.get(cell, _MOVING) or not job[cell]:
            return 0
        count = job[f"{cell}_count"] if cell in _WATER_PARTS else None
        return 1 if count is None else count

    cells = {
        "Pipe": "Pipe", _OUTLETS.get(effect, "Spillway"): "Outlet", "Pump": "Pump",
        "Bulkhead fitting": "Bulkhead_fitting", "Check valve": "Check_valve",
        "Cord passage": "Cord_passage", "Light": "Light", "Automatic fill": "Automatic_fill",
    }  # fmt: skip
    return {item: (cell, number(cell)) for item, cell in cells.items()}


def _lines(job: Inputs, found: dict[str, Any]) -> dict[str, Line]:
    area = symbol("area", job.system)
    lines = {}

    def add(item: str, chosen: str, table: str, pack: str, **given: Any) -> None:
        name = job[chosen] if given.pop("there", True) else None
        if name is None:
            lines[item] = Line(allowance=given.get("allowance"))
            return
        row = job.tables[table][name]
        given.setdefault("pack", row[pack] if pack else 1)
        lines[item] = Line(name, price=row["price"] or 0.0, **given)

    base_row = job.row("Bases", "Base_material")
    add("Base", "Base_material", "Bases", "step", quantity=found["Base in selling unit"],
        unit=base_row["sold_by"])  # fmt: skip
    broken = job["Breakage"]
    add("Wall block", "Block", "Blocks", "pack", quantity=found["Blocks needed"], unit="each",
        needed=found["Blocks to buy"], allowance=broken)  # fmt: skip
    add("Wall cap", "Cap", "Caps", "pack", quantity=found["Caps needed"], unit="each",
        needed=found["Caps to buy"], allowance=broken)  # fmt: skip
    add("Column cap", "Column_cap", "Column_caps", "pack", quantity=found["Column caps"],
        unit="each")  # fmt: skip
    for over, chosen in LINTELS.items():
        add(f"Lintel, {over}", chosen, "Lintels", "pack", quantity=found[f"Lintel over {over}"],
            unit="each")  # fmt: skip
    add("Adhesive", "Adhesive", "Adhesives", "pack", quantity=found["Cartridges"],
        unit="cartridge")  # fmt: skip
    preformed = job.row("Liners", "Liner")["type"] == "preformed"
    add("Liner", "Liner", "Liners", "", quantity=1 if preformed else found["Liner area"],
        unit="each" if preformed else area)  # fmt: skip
    add("Underlay", "Underlay", "Underlays", "step", quantity=found["Underlay area"], unit=area)
    parts = chosen_parts(job)
    for item, (cell, count) in parts.items():
        if cell in _WATER_PARTS:
            add(item, cell, "Water_parts", "pack", quantity=count, unit="each", there=bool(count))
        elif cell == "Pump":
            add(item, cell, "Pumps", "", quantity=1, unit="each", there=bool(count))
        else:
            add(item, cell, "Pipes", "step", quantity=found["Pipe length"],
                unit=symbol("run length", job.system), there=bool(count))  # fmt: skip
    moves = effect_of(job) != "still water"
    for n in range(1, 9):
        fitting = job[f"Fitting_{n}"] if moves else None
        sold = fitting is not None and job.tables["Fittings"][fitting]["bought"] == "yes"
        count = (job[f"Fitting_{n}_count"] or 0) if sold else 0
        add(f"Fitting {n}", f"Fitting_{n}", "Fittings", "", quantity=count, unit="each",
            there=moves)  # fmt: skip
    return lines


def _work(found: dict[str, Any], *, runs: bool) -> dict[str, float]:
    return {
        "Set up, protect, clean up": 1,
        "Dig, level and tamp base": found["Base tamped"],
        "Lay and glue block": found["Pieces laid"],
        "Saw cuts": found["Saw cuts"] + found["Cap saw cuts"] + found["Pieces cut round the pipe"],
        "Set caps and column caps": found["Caps needed"] + found["Column caps"],
        "Liner and underlay": 1,
        "Pump and pipe": 1 if runs else 0,
        "Fill and leak test": 1,
    }


def _summary(job: Inputs, materials: float, labour: float, site: float) -> dict[str, float]:
    delivery = cents(job["Delivery"])
    spare = cents((materials + delivery) * job["Contingency_on_materials"])
    spare_work = cents((labour + site) * job["Contingency_on_labour_and_site"])
    goods, direct = materials + delivery + spare, labour + site + spare_work
    overhead = cents((goods + direct) * job["Overhead"])
    work = direct + overhead
    rates = job["Markup_on_materials"], job["Markup_on_labour"]
    if job["Price_set_by"] == "margin":
        rates = (job["Margin"] / (1 - job["Margin"]),) * 2
    on_goods, on_work = cents(goods * rates[0]), cents(work * rates[1])
    more = cents(max(0.0, job["Smallest_job"] - goods - work - on_goods - on_work))
    before = goods + work + on_goods + on_work + more
    taxed = {"all": before, "materials": goods + on_goods, "none": 0.0}[job["Tax_applies_to"]]
    tax = cents(job["Tax_rate"] * taxed)
    return {
        "Total_materials": materials,
        "Total_labour": labour,
        "Total_site": site,
        "Sum_materials": materials,
        "Sum_delivery": delivery,
        "Sum_contingency_materials": spare,
        "Sum_contingency_work": spare_work,
        "Sum_overhead": overhead,
        "Cost_in_all": goods + work,
        "Sum_markup_materials": on_goods,
        "Sum_labour": labour,
        "Sum_site": site,
        "Sum_markup_labour": on_work,
        "Sum_to_smallest_job": more,
        "Price_before_tax": before,
        "Tax": tax,
        "Price_total": before + tax,
        "Markup_in_all": before / (goods + work) - 1,
        "Margin_in_all": 1 - (goods + work) / before,
    }
