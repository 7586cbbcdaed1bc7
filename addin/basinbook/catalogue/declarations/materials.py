"""Worksheet functions on base, adhesive, liner, packs and squareness."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.model import (
    Argument,
    Array,
    Column,
    Example,
    count,
    length,
    quantity,
    ratio,
    worksheet_function,
)
from basinbook.engine import adhesive, base, kinds, liner, squareness

_MAX_VOLUME = 1000.0
_PRACTICE = "common practice, no source"


@worksheet_function(
    category="Base",
    summary="Compacted volume of a tamped base",
    arguments=(
        quantity("area", kinds.AREA, "Area of the base, margin included", 0.0, 2000.0),
        length("thickness", "Tamped thickness; 4 in is common practice", 0.01, 1.0),
    ),
    result=kinds.BULK,
    source="Geometry: area times thickness",
    # 81 ft² · 4 in = 27 ft³ = 1 yd³
    examples=(Example(("81", "4"), "1 yd³"), Example(("10", "100"), "1 m³", units="metric")),
)
def base_volume(area: float, thickness: float) -> float:
    return base.compacted_volume(area, thickness)


@worksheet_function(
    category="Base",
    summary="Loose volume to order for a compacted volume",
    arguments=(
        quantity("compacted", kinds.BULK, "Compacted volume", 0.0, _MAX_VOLUME),
        ratio("compaction_factor", "Loose volume over compacted volume, 1 to 2", 1.0, 2.0),
    ),
    result=kinds.BULK,
    source=f"Definition of the compaction factor; its value belongs to the material ({_PRACTICE})",
    examples=(Example(("2", "1.25"), "2.5 yd³"),),
)
def loose_volume(compacted: float, compaction_factor: float) -> float:
    return base.loose_volume(compacted, compaction_factor)


@worksheet_function(
    category="Base",
    summary="Weight of a loose volume of base material",
    arguments=(
        quantity("volume", kinds.BULK, "Loose volume", 0.0, _MAX_VOLUME),
        quantity("density", kinds.DENSITY, "Loose bulk density", 200.0, 4000.0),
    ),
    result=kinds.LOAD_MASS,
    source="Definition of density",
    # 1 yd³ · 100 lb/ft³ = 2,700 lb = 1.35 short tons
    examples=(Example(("1", "100"), "1.35 ton"), Example(("2", "1600"), "3.2 t", units="metric")),
)
def bulk_weight(volume: float, density: float) -> float:
    return base.bulk_mass(volume, density)


@worksheet_function(
    category="Order",
    summary="Whole packs that cover a quantity",
    arguments=(
        ratio("quantity", "Quantity in the unit that the pack is counted in", 0.0, 1e9),
        ratio("pack_size", "Content of one pack, same unit", 1e-6, 1e9),
    ),
    result=kinds.COUNT,
    source="Arithmetic: rounding up",
    examples=(Example(("61", "20"), "4"), Example(("60", "20"), "3")),
)
def packs(quantity: float, pack_size: float) -> int:
    return base.packs(quantity, pack_size)


@worksheet_function(
    category="Adhesive",
    summary="Cartridges of construction adhesive for a length of bed",
    arguments=(
        quantity("bed_length", kinds.RUN, "Length of all glued beds", 0.0, 1e5),
        count("beads", "Beads along each bed", 1, 10),
        length("bead_diameter", "Diameter of a bead", 0.001, 0.05),
        quantity("cartridge", kinds.CARTRIDGE, "Content of a cartridge", 1e-5, 0.02),
        ratio(
            "waste",
            "Share of each cartridge lost, below 1; 0.5 doubles them",
            0.0,
            0.99,
            default=0.0,
        ),
    ),
    result=kinds.COUNT,
    source="Volume of a cylinder over what is left of a cartridge, rounded up; follow the maker's "
    "instructions",
    # One bead of 1/4 in, 100 ft: 58.9 in³; a 10 fl oz cartridge holds 18.05 in³, half of it 9.02.
    examples=(
        Example(("100", "1", "1/4 in", "10"), "4"),
        Example(("100", "1", "1/4 in", "10", "0.5"), "7"),
    ),
)
def cartridges(
    bed_length: float, beads: int, bead_diameter: float, cartridge: float, waste: float
) -> int:
    return adhesive.cartridges(bed_length, beads, bead_diameter, cartridge, waste)


@worksheet_function(
    category="Adhesive",
    summary="Length of bead from one cartridge",
    arguments=(
        quantity("cartridge", kinds.CARTRIDGE, "Content of a cartridge", 1e-5, 0.02),
        length("bead_diameter", "Diameter of a bead", 0.001, 0.05),
    ),
    result=kinds.RUN,
    source="Volume of a cylinder",
    # 10 fl oz = 18.047 in³; 4 · 18.047 / (π · 0.25²) = 367.65 in
    examples=(Example(("10", "1/4 in"), "30.64 ft"),),
)
def bead_yield(cartridge: float, bead_diameter: float) -> float:
    return adhesive.bead_yield(cartridge, bead_diameter)


@worksheet_function(
    category="Liner",
    summary="One dimension of a liner cut from sheet",
    arguments=(
        length("inside", "Clear inside length or width", 0.05, 30.0),
        length("wall_height", "Basin floor to top of the block wall", 0.02, 5.0),
        length("lap", "Flap on the wall under the caps, at each side", 0.0, 1.0),
    ),
    result=kinds.LENGTH,
    source=f"Geometry: down, across and up again ({_PRACTICE})",
    examples=(Example(("64", "20", "6"), "116 in"),),
)
def liner_sheet(inside: float, wall_height: float, lap: float) -> float:
    return liner.sheet_dimension(inside, wall_height, lap)


@worksheet_function(
    category="Liner",
    summary="Area of the sheet for a liner or underlay",
    arguments=(
        length("inside_length", "Clear inside length", 0.05, 30.0),
        length("inside_width", "Clear inside width", 0.05, 30.0),
        length("wall_height", "Basin floor to top of the block wall", 0.0, 5.0),
        length("lap", "Flap at each side", 0.0, 1.0),
    ),
    result=kinds.AREA,
    source=f"Geometry ({_PRACTICE})",
    examples=(Example(("1000", "500", "250", "0"), "1.5 m²", units="metric"),),
)
def liner_area(inside_length: float, inside_width: float, wall_height: float, lap: float) -> float:
    return liner.sheet_area(inside_length, inside_width, wall_height, lap)


@worksheet_function(
    category="Liner",
    summary="Whether a preformed liner fits: its nominal inside size against the clear distances",
    arguments=(
        length("inside_length", "Clear inside length, target or measured", 0.05, 30.0),
        length("inside_width", "Clear inside width, target or measured", 0.05, 30.0),
        length("nominal_length", "Liner's nominal inside length", 0.05, 30.0),
        length("nominal_width", "Liner's nominal inside width", 0.05, 30.0),
        length("tolerance", "Largest difference that the liner takes", 0.0, 0.5),
    ),
    result=kinds.TEXT,
    source=f"A preformed liner wants its nominal size ({_PRACTICE})",
    examples=(
        Example(("64", "46", "64", "46", "1/4 in"), "fits"),
        Example(("64.5", "46", "64", "46", "1/4 in"), "length too large for the liner"),
    ),
)
def liner_fit(
    inside_length: float,
    inside_width: float,
    nominal_length: float,
    nominal_width: float,
    tolerance: float,
) -> str:
    return liner.fit_message(
        liner.fit_gap(inside_length, nominal_length),
        liner.fit_gap(inside_width, nominal_width),
        tolerance,
    )


@worksheet_function(
    category="Liner",
    summary="Strips of a roll that make a sheet: count, length, seam, area bought, share wasted",
    arguments=(
        length("sheet_length", "Length of the sheet", 0.05, 60.0),
        length("sheet_width", "Width of the sheet", 0.05, 60.0),
        length("roll", "Width of the roll", 0.1, 30.0),
        length(
            "overlap", "Overlap of two strips at a seam; blank is 3 in", 0.0, 0.5, default=0.0762
        ),
    ),
    result=Array(
        (
            Column("strips", kinds.COUNT),
            Column("strip length", kinds.RUN),
            Column("seam", kinds.RUN),
            Column("bought", kinds.AREA),
            Column("waste", kinds.RATIO),
        )
    ),
    source=f"Geometry; the overlap is the maker's ({_PRACTICE})",
    examples=(
        Example(("116", "98", "10 ft"), "1\t8.167\t0\t81.667\t0.033"),
        Example(("116", "98", "5 ft"), "2\t8.167\t8.167\t81.667\t0.033"),
    ),
    details="Strips run along either side of the sheet, whichever takes less seam.",
)
def liner_strips(
    sheet_length: float, sheet_width: float, roll: float, overlap: float
) -> Sequence[Sequence[float]]:
    return [liner.strips(sheet_length, sheet_width, roll, overlap)]


@worksheet_function(
    category="Liner",
    summary="How far a folded corner reaches along the wall at the top, in three layers",
    arguments=(
        length("wall_height", "Basin floor to top of the block wall", 0.0, 5.0),
        length("lap", "Flap on the wall", 0.0, 1.0),
    ),
    result=kinds.LENGTH,
    source="Geometry of a square folded on its diagonal",
    examples=(Example(("20", "6"), "26 in"),),
)
def corner_fold(wall_height: float, lap: float) -> float:
    return liner.corner_fold(wall_height, lap)


@worksheet_function(
    category="Liner",
    summary="Widest flap of a liner that leaves the beads under a cap bare block",
    arguments=(
        length("thickness", "Thickness of the wall's top", 0.02, 1.0),
        count("beads", "Beads along the bed", 1, 10),
        length("bead_diameter", "Diameter of a bead", 0.001, 0.05),
    ),
    result=kinds.LENGTH,
    source=f"Three diameters to a bead ({_PRACTICE})",
    examples=(Example(("8", "2", "3/8 in"), "5.75 in"),),
)
def most_lap(thickness: float, beads: int, bead_diameter: float) -> float:
    return liner.most_lap(thickness, beads, bead_diameter)


@worksheet_function(
    category="Liner",
    summary="Whether the depth of a preformed liner goes with wall and water",
    arguments=(
        length("depth", "Depth of the liner, rim to floor", 0.02, 5.0),
        length("wall_height", "Basin floor to top of the block wall", 0.02, 5.0),
        length("water_depth", "Depth of the water", 0.0, 5.0),
    ),
    result=kinds.TEXT,
    source="Geometry",
    examples=(
        Example(("18", "20", "17"), "goes with wall and water"),
        Example(("21", "20", "17"), "deeper than the wall"),
        Example(("16", "20", "17"), "the water stands above its rim"),
    ),
)
def liner_depth(depth: float, wall_height: float, water_depth: float) -> str:
    return liner.depth_message(depth, wall_height, water_depth)


@worksheet_function(
    category="Checks",
    summary="Diagonal of a rectangle: the target when the corners are square",
    arguments=(
        length("rectangle_length", "Length", 0.01, 100.0),
        length("rectangle_width", "Width", 0.01, 100.0),
    ),
    result=kinds.LENGTH,
    source="Theorem of Pythagoras",
    examples=(Example(("3 ft", "4 ft"), "60 in"),),
)
def diagonal(rectangle_length: float, rectangle_width: float) -> float:
    return squareness.diagonal(rectangle_length, rectangle_width)


@worksheet_function(
    category="Checks",
    summary="How far the back stands to the right of square, from two measured diagonals",
    arguments=(
        length("side_length", "Measured length along the front", 0.05, 100.0),
        length("side_width", "Measured width", 0.05, 100.0),
        length("first_diagonal", "Front left to back right", 0.05, 150.0),
        length("second_diagonal", "Front right to back left", 0.05, 150.0),
    ),
    result=kinds.LENGTH,
    source="Law of cosines in a parallelogram: s = (D1² - D2²) / (4 L)",
    # Shifted by 1 in: D1² = 49² + 36², D2² = 47² + 36²
    examples=(Example(("48", "36", "60.80296045", "59.20304046"), "1 in"),),
    details="Diagonals that no such sides can have, by more than a fiftieth, are refused: a tape "
    "read wrongly.",
)
def square_shift(
    side_length: float, side_width: float, first_diagonal: float, second_diagonal: float
) -> float:
    return squareness.out_of_square(side_length, side_width, first_diagonal, second_diagonal)


@worksheet_function(
    category="Checks",
    summary="pass or fail: whether a measured length is within a tolerance of its target",
    arguments=(
        length("target", "Target length", 0.0, 200.0),
        length("tolerance", "Largest difference, up or down", 0.0, 10.0),
        Argument("measured", kinds.LENGTH, "Measured length; blank for not yet", 0.0, 200.0,
                 default=None),
    ),
    result=kinds.TEXT,
    source="Arithmetic",
    examples=(
        Example(("64", "1/4", "64 1/8 in"), "pass"),
        Example(("64", "1/4", "5' 4 1/2\""), "fail"),
        Example(("64", "1/4"), ""),
    ),
)  # fmt: skip
def within_tolerance(target: float, tolerance: float, measured: float | None) -> str:
    if measured is None:
        return ""
    return "pass" if abs(measured - target) <= tolerance + 1e-9 else "fail"
