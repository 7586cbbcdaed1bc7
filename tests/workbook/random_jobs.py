"""Jobs made up by a seeded generator, as an estimator might type them."""

from __future__ import annotations

from fractions import Fraction
from random import Random
from typing import Any

from workbook.pricing import INCH, Inputs

Typed = dict[str, Any]
FREE_LINES = 4


def length(rng: Random, system: str, low: float, high: float) -> object:
    """Return a length between limits [in or mm] in one of the ways that people type it."""
    if system == "us":
        quarters = rng.randint(round(low * 4), round(high * 4))
        inches = Fraction(quarters, 4)
        feet, rest = divmod(inches, 12)
        return rng.choice(
            [
                float(inches),
                f"{_mixed(inches)} in",
                f"{feet}' {_mixed(rest)}\"" if feet and rest else float(inches),
                f"{float(inches * INCH):.5f} m",
            ]
        )
    millimetres = rng.randint(round(low), round(high))
    return rng.choice(
        [
            millimetres,
            f"{millimetres} mm",
            f"{millimetres / 1000:.3f} m",
            f"{millimetres / 10:.1f} cm",
            f"{_mixed(Fraction(round(millimetres / 25.4)))} in",
        ]
    )


def _mixed(number: Fraction) -> str:
    whole, rest = divmod(number, 1)
    if not rest:
        return f"{whole}"
    return f"{whole} {rest}" if whole else f"{rest}"


# "none" is an old word, for circulation where there is a pump and for still water otherwise.
_EFFECTS = ("still water", "none", "circulation", "straight lip", "notch", "bowl rim", "bubbler")
ROUND = 4 * len(_EFFECTS)
"""So many jobs in a row have each effect in both unit systems, with and without pump or outlet."""


def _effect(rng: Random, start: Inputs, seed: int) -> Typed:
    """Return an effect with what goes with it, and for still water what is left over of another."""
    effect = _EFFECTS[seed // 2 % len(_EFFECTS)]
    full = seed % ROUND < ROUND // 2
    outlets = {"notch": "spillway", "bowl rim": "bowl", "bubbler": "bubbler"}

    def one(kind: str) -> str | None:
        rows = [name for name, row in start.tables["Water_parts"].items() if row["kind"] == kind]
        return rng.choice([*rows * 3, None])

    pump = full or effect not in ("still water", "none")
    outlet = one(outlets.get(effect, "spillway"))
    while full and outlet is None:
        outlet = one(outlets.get(effect, "spillway"))
    typed: Typed = {
        "Spill_kind": effect,
        "Pump": rng.choice(list(start.tables["Pumps"])) if pump else None,
        "Outlet": outlet,
        "Bulkhead_fitting": one("bulkhead fitting"),
        "Check_valve": one("check valve"),
        "Cord_passage": one("cord passage"),
        "Light": one("light"),
        "Automatic_fill": one("automatic fill"),
    }
    counts = {f"{part}_count": rng.choice([None, 0, 1, 3]) for part in list(typed)[2:]}
    if full:
        counts["Outlet_count"] = counts["Outlet_count"] or None
    return typed | counts


def _pricing(seed: int) -> Typed:
    """What comes on top of materials and labour, from numbers of its own."""
    rng = Random(f"pricing {seed}")
    return {
        "Contingency_on_materials": rng.choice([0, 0.03]),
        "Contingency_on_labour_and_site": rng.choice([0, 0.075]),
        "Overhead": rng.choice([0, 0.085]),
        "Price_set_by": rng.choice(["markup", "markup", "margin"]),
        "Margin": rng.choice([0, 0.275]),
        "Smallest_job": rng.choice([0, 0, 3999.99, 90_000]),
        "Blade_wear": rng.choice([None, 0.35]),
    }


def make(
    rng: Random, start: Inputs, seed: int
) -> tuple[Typed, dict[tuple[str, str], dict[str, Any]], list[tuple[Any, ...]]]:
    """Return values by cell name, changed table rows by (table, row), and lines of their own.

    The seed settles effect and block, so that a few dozen seeds in a row have all of them; the
    rest is drawn from ``rng``.
    """
    system = start.system
    metric = system == "metric"
    size = 25.4 if metric else 1.0

    def some(low: float, high: float) -> object:
        return length(rng, system, low * size, high * size)

    def one_of(table: str, blank: float = 0.0) -> str | None:
        return None if rng.random() < blank else rng.choice(list(start.tables[table]))

    typed: Typed = {
        "Job_name": f"Job {rng.randint(1, 999)}",
        "Inside_length": some(30, 130),
        "Inside_width": some(24, 80),
        "Water_depth": some(8, 24),
        "Freeboard": some(1, 4),
        "Courses": rng.choice([None, None, 0, rng.randint(5, 8)]),
        "Breakage": rng.choice([0, 0.03, 0.05, 0.1]),
        "Shortest_piece": rng.choice([None, None, some(3, 4)]),
        "Saw_kerf": rng.choice([None, "3/16 in", "3 mm"]),
        "Block": list(start.tables["Blocks"])[seed // 2 % len(start.tables["Blocks"])],
        "Cap": one_of("Caps", 0.25),
        "Cap_corners": rng.choice(["butted", "mitred"]),
        "Base_material": one_of("Bases"),
        "Adhesive": one_of("Adhesives"),
        "Liner": one_of("Liners"),
        "Underlay": one_of("Underlays", 0.3),
        "Base_thickness": some(3, 8),
        "Base_margin": some(0, 12),
        "Beads": rng.randint(1, 3),
        "Bead_diameter": rng.choice(["1/4 in", "3/8 in", "10 mm"]),
        "Adhesive_waste": rng.choice([0, 0.1, 0.15]),
        "Liner_lap": some(4, 8),
        "Liner_tolerance": rng.choice(["1/4 in", "6 mm"]),
        "Hose_flow": rng.choice([5, 6.5, 20]),
        "Labour_rate": rng.choice([41.5, 58, 73.25]),
        "Delivery": rng.choice([0, 95, 120.5]),
        **_pricing(seed),
        "Markup_on_materials": rng.choice([0, 0.2, 0.155]),
        "Markup_on_labour": rng.choice([0, 0.35]),
        "Tax_rate": rng.choice([0, 0.07, 0.0825, 0.2]),
        "Tax_applies_to": rng.choice(["materials", "all", "none"]),
        "Currency": rng.choice(["$", "€", "£"]),
        **_effect(rng, start, seed),
        "Pipe": one_of("Pipes", 0.2),
        "Pipe_length": rng.choice([None, 4, 7.5, 12]),
        "Fitting_1": one_of("Fittings"),
        "Fitting_1_count": rng.randint(0, 4),
        "Fitting_6": (sixth := one_of("Fittings", 0.5)),
        # A number without a name is asked about.
        "Fitting_6_count": rng.choice([0, 2]) if sixth else None,
    }
    if rng.random() < 0.35:
        typed |= {
            "Columns": rng.randint(1, 4),
            "Column_courses": rng.randint(4, 9),
            "Column_core": rng.choice(["yes", "no"]),
            "Column_cap": one_of("Column_caps", 0.3),
        }
    if rng.random() < 0.35:
        typed |= {
            "Second_wall": "yes",
            "Pipe_space": some(4, 8),
            "Second_wall_returns": rng.choice(["both", "left", "right", "none"]),
            "Access_gap": rng.choice([None, some(12, 18)]),
        }
    if rng.random() < 0.35:
        typed |= {"Pipe_opening": some(3, 6), "Pipe_opening_course": rng.randint(1, 3)}
    if seed // 2 % 3 == 1 and rng.random() < 0.6:
        typed |= {
            "Courses_on_edge": rng.choice(["2", "2, 4"]),
            "Walls_on_edge": rng.choice(["all", "front", "sides", "front and back"]),
            "Edge_blocks_doubled": rng.choice(["yes", "no"]),
        }
    for number in (2, 3, 4):
        start_of = f"Option_{number}_"
        typed |= {
            f"{start_of}Block": one_of("Blocks", 0.6),
            f"{start_of}Cap": one_of("Caps", 0.7),
            f"{start_of}Liner": one_of("Liners", 0.5),
            f"{start_of}Inside_length": rng.choice([None, some(40, 90)]),
            f"{start_of}Courses": rng.choice([None, None, 7]),
            f"{start_of}Column_cap": one_of("Column_caps", 0.8),
            f"{start_of}Second_wall_courses": rng.choice([None, None, 4]),
            f"{start_of}Pipe_opening_course": rng.choice([None, 1, 2]),
            f"{start_of}Courses_on_edge": rng.choice([None, None, "none", "1"]),
        }
    rows = {
        ("Blocks", name): {"price": round(rng.uniform(3, 9), 2), "pack": rng.choice([1, 20, 48])}
        for name in start.tables["Blocks"]
    }
    rows |= {
        ("Caps", name): {"price": round(rng.uniform(8, 20), 2), "pack": rng.choice([1, 4])}
        for name in start.tables["Caps"]
    }
    free = [
        (f"Extra {n}", "of our own", rng.choice([1, 2, 2.5]), "each", round(rng.uniform(5, 400), 2))
        for n in range(rng.randint(0, FREE_LINES))
    ]
    edge, block = "Courses_on_edge" in typed, typed["Block"]
    openings = {} if edge else _openings(Random(repr(typed)), start, block)
    return typed | openings, rows, free


def _openings(rng: Random, start: Inputs, block: str) -> Typed:
    """Return further openings for some jobs; drawn apart, so that all else stays as it was."""
    size = 25.4 if start.system == "metric" else 1.0
    high = start.tables["Blocks"][block]["height"]
    lintels = [name for name, row in start.tables["Lintels"].items() if row["height"] == high]
    typed: Typed = {}
    for number in rng.choice([(), (2,), (2, 3)]):
        typed |= {
            f"Opening_{number}_wall": rng.choice(["front", "back", "left", "right"]),
            f"Opening_{number}_width": length(rng, start.system, 2 * size, 4 * size),
            f"Opening_{number}_course": rng.randint(1, 2),
            f"Opening_{number}_for": rng.choice([None, "cable"]),
            f"Opening_{number}_lintel": rng.choice([None, *lintels]),
        }
    return typed
