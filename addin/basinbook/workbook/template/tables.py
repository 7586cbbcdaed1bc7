"""Starter rows of the Materials sheet. Names and prices are invented: put in your supplier's."""

from __future__ import annotations

from dataclasses import dataclass

from basinbook.engine import kinds
from basinbook.engine.kinds import Kind
from basinbook.workbook.template.costs import SITE, WORK

Row = tuple[object, ...]
TEXT, MONEY_KIND, FACTOR_KIND = kinds.TEXT, kinds.MONEY, kinds.RATIO


@dataclass(frozen=True)
class TableColumn:
    """One column: heading, key (the defined name's ending), kind of quantity.

    What is ``fixed`` is looked up by other sheets, and not typed.
    """

    heading: str
    key: str
    kind: Kind
    fixed: bool = False


@dataclass(frozen=True)
class MaterialTable:
    """One table of the Materials sheet: name (start of its defined names), columns, rows."""

    name: str
    title: str
    columns: tuple[TableColumn, ...]
    us: tuple[Row, ...]
    metric: tuple[Row, ...]
    spare: int = 3
    note: str = ""

    def rows(self, system: str) -> tuple[Row, ...]:
        """Return the starter rows of a unit system."""
        return self.metric if system == "metric" else self.us


def _columns(*given: tuple[str, str, Kind]) -> tuple[TableColumn, ...]:
    return tuple(TableColumn(*column) for column in given)


_NAME = ("Name", "name", TEXT)
_PRICE = ("Price each", "price", MONEY_KIND)
_PACK = ("Sold in packs of", "pack", kinds.COUNT)

BLOCKS = MaterialTable(
    "Blocks",
    "Wall blocks (actual sizes)",
    _columns(
        _NAME, ("Length", "length", kinds.LENGTH), ("Height", "height", kinds.LENGTH),
        ("Depth", "depth", kinds.LENGTH), ("Weight", "weight", kinds.MASS), _PRICE, _PACK,
    ),
    us=(
        ("Plank block 18 x 4 x 8", 18, 4, 8, 46, 5.85, 1),
        ("Ledge block 16 x 6 x 8", 16, 6, 8, 61, 6.40, 1),
        ("Terrace block 14 x 4 x 7", 14, 4, 7, 31, 4.10, 1),
        ("Split block 12 x 6 x 6", 12, 6, 6, 34, 3.95, 1),
        ("Half-high block 16 x 3 5/8 x 8", 16, 3.625, 8, 36, 4.60, 1),
    ),
    metric=(
        ("Plank block 450 x 100 x 200", 450, 100, 200, 20.5, 6.90, 1),
        ("Ledge block 400 x 150 x 200", 400, 150, 200, 27.4, 7.45, 1),
        ("Terrace block 350 x 100 x 175", 350, 100, 175, 14.0, 4.90, 1),
        ("Split block 300 x 150 x 150", 300, 150, 150, 15.5, 4.60, 1),
        ("Half-high block 400 x 90 x 200", 400, 90, 200, 16.4, 5.20, 1),
    ),
)  # fmt: skip

CAPS = MaterialTable(
    "Caps",
    "Wall caps (actual sizes)",
    _columns(
        _NAME, ("Length", "length", kinds.LENGTH), ("Depth", "depth", kinds.LENGTH),
        ("Thickness", "height", kinds.LENGTH), ("Weight", "weight", kinds.MASS), _PRICE, _PACK,
    ),
    us=(
        ("Smooth cap 24 x 12 x 2", 24, 12, 2, 46, 13.20, 1),
        ("Smooth cap 18 x 10 x 2", 18, 10, 2, 29, 9.60, 1),
        ("Thick cap 24 x 12 x 2 1/2", 24, 12, 2.5, 58, 15.75, 1),
    ),
    metric=(
        ("Smooth cap 600 x 300 x 50", 600, 300, 50, 20.7, 15.40, 1),
        ("Smooth cap 450 x 250 x 50", 450, 250, 50, 12.9, 11.20, 1),
        ("Thick cap 600 x 300 x 65", 600, 300, 65, 26.9, 18.30, 1),
    ),
)  # fmt: skip

COLUMN_CAPS = MaterialTable(
    "Column_caps",
    "Column caps (square)",
    _columns(
        _NAME, ("Side", "side", kinds.LENGTH), ("Thickness", "height", kinds.LENGTH),
        ("Weight", "weight", kinds.MASS), _PRICE, _PACK,
    ),
    us=(
        ("Column cap 30 x 30", 30, 2.5, 180, 74.00, 1),
        ("Column cap 28 x 28", 28, 2.5, 158, 66.00, 1),
        ("Column cap 24 x 24", 24, 2.5, 116, 52.00, 1),
    ),
    metric=(
        ("Column cap 750 x 750", 750, 65, 84, 86.00, 1),
        ("Column cap 700 x 700", 700, 65, 73, 77.00, 1),
        ("Column cap 600 x 600", 600, 65, 54, 61.00, 1),
    ),
)  # fmt: skip

LINTELS = MaterialTable(
    "Lintels",
    "Lintels (actual sizes)",
    _columns(
        _NAME, ("Length", "length", kinds.LENGTH), ("Height", "height", kinds.LENGTH),
        ("Weight", "weight", kinds.MASS), _PRICE, _PACK,
    ),
    us=(
        ("Concrete lintel 24 x 4 x 8", 24, 4, 62, 21.50, 1),
        ("Concrete lintel 36 x 4 x 8", 36, 4, 93, 31.00, 1),
        ("Concrete lintel 36 x 6 x 8", 36, 6, 139, 38.50, 1),
    ),
    metric=(
        ("Concrete lintel 600 x 100 x 200", 600, 100, 28, 24.00, 1),
        ("Concrete lintel 900 x 100 x 200", 900, 100, 42, 34.50, 1),
        ("Concrete lintel 900 x 150 x 200", 900, 150, 63, 43.00, 1),
    ),
    note="As deep as the wall is thick, as high as a course; what it may carry is for its maker.",
)  # fmt: skip

BASES = MaterialTable(
    "Bases",
    "Base material (loose)",
    _columns(
        _NAME, ("Sold by", "sold_by", TEXT), ("Loose density", "density", kinds.DENSITY),
        ("Compaction factor", "factor", FACTOR_KIND), ("Bag content", "bag", kinds.BULK),
        ("Order step", "step", FACTOR_KIND), ("Price per unit", "price", MONEY_KIND),
    ),
    us=(
        ("Stone dust, bulk by volume", "yd³", 95, 1.25, None, 0.5, 46.00),
        ("Screenings, bulk by weight", "ton", 98, 1.25, None, 0.5, 34.00),
        ("Sand, bagged", "bag", 100, 1.2, 0.0185, 1, 5.40),
    ),
    metric=(
        ("Stone dust, bulk by volume", "m³", 1520, 1.25, None, 0.25, 61.00),
        ("Screenings, bulk by weight", "t", 1570, 1.25, None, 0.5, 39.00),
        ("Sand, bagged", "bag", 1600, 1.2, 0.0156, 1, 5.20),
    ),
    note="Compaction factor: loose volume over tamped volume; ask the supplier. Usual ranges: see "
    "the Take-off sheet.",
)  # fmt: skip

ADHESIVES = MaterialTable(
    "Adhesives",
    "Construction adhesive",
    _columns(
        _NAME, ("Cartridge", "cartridge", kinds.CARTRIDGE), _PRICE, _PACK,
        ("Allowable shear", "shear", kinds.PRESSURE),
    ),
    us=(
        ("Masonry adhesive 28 oz", 28, 11.40, 1, None),
        ("Masonry adhesive 10 oz", 10, 6.10, 12, None),
    ),
    metric=(
        ("Masonry adhesive 825 mL", 825, 12.60, 1, None),
        ("Masonry adhesive 300 mL", 300, 6.60, 12, None),
    ),
    note="Follow the maker's instructions: surface, temperature, curing before filling. Allowable "
    "shear: the maker's figure under water, such as 10 psi or 70 kPa; blank is unknown.",
)  # fmt: skip

LINERS = MaterialTable(
    "Liners",
    "Liners (price each for preformed, per area for sheet)",
    _columns(
        _NAME, ("Type", "type", TEXT), ("Nominal inside length", "length", kinds.LENGTH),
        ("Nominal inside width", "width", kinds.LENGTH), ("Price", "price", MONEY_KIND),
        ("Depth, preformed", "depth", kinds.LENGTH), ("Roll width, sheet", "roll", kinds.LENGTH),
    ),
    us=(
        ("Preformed liner 64 x 46", "preformed", 64, 46, 148.00, None, None),
        ("Preformed liner 60 x 36", "preformed", 60, 36, 126.00, None, None),
        ("Sheet liner 45 mil", "sheet", None, None, 0.98, None, 240),
    ),
    metric=(
        ("Preformed liner 1600 x 1150", "preformed", 1600, 1150, 158.00, None, None),
        ("Preformed liner 1500 x 900", "preformed", 1500, 900, 134.00, None, None),
        ("Sheet liner 1.1 mm", "sheet", None, None, 11.20, None, 6000),
    ),
    note="Measure the depth of a preformed liner, rim to floor; blank: it is not checked.",
)  # fmt: skip

UNDERLAYS = MaterialTable(
    "Underlays",
    "Underlay (per area)",
    _columns(
        _NAME, ("Price per area", "price", MONEY_KIND), ("Sold in steps of", "step", kinds.AREA)
    ),
    us=(("Felt underlay 8 oz", 0.34, 10),),
    metric=(("Felt underlay 300 g", 3.90, 1),),
    spare=2,
)  # fmt: skip

WATER = MaterialTable(
    "Water_parts",
    "Water parts: spillway, bowl or bubbler, and what goes with pump and pipe",
    _columns(
        _NAME, ("Kind of part", "kind", TEXT), _PRICE, _PACK, ("Power", "power", kinds.POWER),
    ),
    us=(
        ("Spillway lip 18 in", "spillway", 164.00, 1, None),
        ("Spillway lip 24 in", "spillway", 198.00, 1, None),
        ("Round bowl 24 in", "bowl", 236.00, 1, None),
        ("Bubbler head 1 in", "bubbler", 27.50, 1, None),
        ("Bulkhead fitting 1-1/2 in", "bulkhead fitting", 18.90, 1, None),
        ("Bulkhead fitting 2 in", "bulkhead fitting", 23.50, 1, None),
        ("Check valve 1-1/2 in", "check valve", 21.40, 1, None),
        ("Check valve 2 in", "check valve", 27.80, 1, None),
        ("Cord passage, sealed", "cord passage", 12.75, 1, None),
        ("Light, low voltage, 6 W", "light", 48.00, 1, 6),
        ("Automatic fill, float", "automatic fill", 39.00, 1, None),
    ),
    metric=(
        ("Spillway lip 450 mm", "spillway", 172.00, 1, None),
        ("Spillway lip 600 mm", "spillway", 208.00, 1, None),
        ("Round bowl 600 mm", "bowl", 249.00, 1, None),
        ("Bubbler head 25 mm", "bubbler", 29.00, 1, None),
        ("Bulkhead fitting 50 mm", "bulkhead fitting", 19.80, 1, None),
        ("Bulkhead fitting 63 mm", "bulkhead fitting", 24.60, 1, None),
        ("Check valve 50 mm", "check valve", 22.60, 1, None),
        ("Check valve 63 mm", "check valve", 29.20, 1, None),
        ("Cord passage, sealed", "cord passage", 13.40, 1, None),
        ("Light, low voltage, 6 W", "light", 52.00, 1, 6),
        ("Automatic fill, float", "automatic fill", 42.00, 1, None),
    ),
    note="Power: of what takes electric current. What no row has goes on a line of your own on "
    "the Estimate sheet.",
)  # fmt: skip

LABOUR = MaterialTable(
    "Labour",
    "Labour (person-hours)",
    (
        TableColumn("Task", "name", TEXT, fixed=True),
        *_columns(("Hours per unit", "hours", FACTOR_KIND), ("Unit of work", "unit", TEXT)),
    ),
    us=tuple((line.task, line.hours[0], line.unit[0]) for line in WORK),
    metric=tuple((line.task, line.hours[1], line.unit[1]) for line in WORK),
    spare=0,
    note="Common practice, no source: type your crew's own hours. Tasks of your own have lines on "
    "the Estimate sheet.",
)

SITE_COSTS = MaterialTable(
    "Site",
    "Site costs",
    (
        TableColumn("Cost", "name", TEXT, fixed=True),
        *_columns(("Price each", "price", MONEY_KIND), ("Unit", "unit", TEXT)),
    ),
    us=tuple((line.what, 0, line.unit[0]) for line in SITE if not line.priced),
    metric=tuple((line.what, 0, line.unit[1]) for line in SITE if not line.priced),
    spare=0,
    note="0: not in the price, and said on the Estimate. Soil as it lies (bank), loose, or by the "
    "load; compactor and saw for the days of the tasks that need them; travel for each day of the "
    "crew. Wear of the blade stands with the aim of the layout.",
)

TABLES = (
    BLOCKS,
    CAPS,
    COLUMN_CAPS,
    LINTELS,
    BASES,
    ADHESIVES,
    LINERS,
    UNDERLAYS,
    WATER,
    LABOUR,
    SITE_COSTS,
)
