"""The cost model: what a job takes and what it costs, each line written once.

Formulas are in the names of the job's cells. The Estimate sheet writes the lines as rows; the
Options sheet writes the same lines for each option, with the option's own cells in place of the
job's where it has some (``formulas.elsewhere``).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, NamedTuple

from basinbook.engine import kinds
from basinbook.units import unit_of
from basinbook.workbook.template.formulas import call, lookup, pack_size

FITTING_ROWS: Final = 8


@dataclass(frozen=True)
class MaterialLine:
    """A material that is bought: ``chosen`` names the cell it hangs on, blank for none of it.

    ``quantity`` is what the take-off gives; ``needed`` what to buy of it, if that is another
    quantity; ``pack`` the column of what it is sold in, "" by the piece. All but ``item`` and
    ``pack`` are formula texts. ``everywhere`` is what no option changes, ``required``
    what no basin is built without.
    """

    item: str
    chosen: str
    table: str
    quantity: str
    unit: str
    pack: str = ""
    needed: str = ""
    allowance: str = ""
    note: str = '""'
    decimals: int = 0
    everywhere: bool = False
    required: bool = False

    @property
    def none(self) -> str:
        """Whether nothing is bought, for want of a choice."""
        return f'{self.chosen}=""'

    @property
    def nothing(self) -> str:
        """What its quantity then is: none, or unknown where no basin is built without it."""
        return '""' if self.required else "0"

    @property
    def pack_size(self) -> str:
        """What it is sold in."""
        return pack_size(self.table, self.pack, self.chosen) if self.pack else "1"

    @property
    def price(self) -> str:
        """Its price, each or per unit."""
        return lookup(self.table, "price", self.chosen)

    @property
    def cost(self) -> str:
        """What the packs to buy of it cost."""
        packs = call("PACKS", self.needed or self.quantity, self.pack_size)
        return f"IF({self.none},{self.nothing},{packs}*{self.pack_size}*{self.price})"


@dataclass(frozen=True)
class WorkLine:
    """A task: its unit and starting hours per unit (US, metric), and how much there is of it."""

    task: str
    unit: tuple[str, str]
    hours: tuple[float, float]
    quantity: str

    @property
    def hours_each(self) -> str:
        """Person-hours per unit, from the Materials sheet."""
        return lookup("Labour", "hours", f'"{self.task}"')

    @property
    def unit_text(self) -> str:
        """Its unit, from the Materials sheet."""
        return lookup("Labour", "unit", f'"{self.task}"')


class Sum(NamedTuple):
    """A line of the price: label, formula text and name of its cell."""

    label: str
    formula: str
    name: str


def material_lines(system: str) -> tuple[MaterialLine, ...]:
    """Return the materials, base first, as they are built in."""
    length, run, area = (
        unit_of(kind, system).label for kind in (kinds.LENGTH, kinds.RUN, kinds.AREA)
    )
    preformed = f'{lookup("Liners", "type", "Liner")}="preformed"'
    size = f'" {length} actual"'
    return (
        MaterialLine(
            "Base",
            "Base_material",
            "Bases",
            "Qty_Base_in_selling_unit",
            lookup("Bases", "sold_by", "Base_material"),
            "step",
            note='"loose, to tamp"',
            decimals=2,
            required=True,
        ),
        MaterialLine(
            "Wall block",
            "Block",
            "Blocks",
            "Qty_Blocks_needed",
            '"each"',
            "pack",
            "Qty_Blocks_to_buy",
            "Breakage",
            note=f'Block_length&" x "&Block_height&" x "&Block_depth&{size}',
            required=True,
        ),
        MaterialLine(
            "Wall cap",
            "Cap",
            "Caps",
            "Qty_Caps_needed",
            '"each"',
            "pack",
            "Qty_Caps_to_buy",
            "Breakage",
            note=f'Cap_length&" x "&Cap_depth&" x "&Cap_height&{size}',
        ),
        MaterialLine(
            "Column cap",
            "Column_cap",
            "Column_caps",
            "Qty_Column_caps",
            '"each"',
            "pack",
            note=f'Column_cap_side&" square x "&Column_cap_height&{size}',
        ),
        MaterialLine(
            "Adhesive",
            "Adhesive",
            "Adhesives",
            "Qty_Cartridges",
            '"cartridge"',
            "pack",
            note='"waste is in the quantity"',
            required=True,
        ),
        MaterialLine(
            "Liner",
            "Liner",
            "Liners",
            f"IF({preformed},1,Qty_Liner_area)",
            f'IF({preformed},"each","{area}")',
            note=f'IF({preformed},"nominal "&{lookup("Liners", "length", "Liner")}&" x "'
            f'&{lookup("Liners", "width", "Liner")},"one piece, "&ROUND(Qty_Liner_length,1)&" x "'
            f'&ROUND(Qty_Liner_width,1))&" {length}"',
            required=True,
        ),
        MaterialLine(
            "Underlay",
            "Underlay",
            "Underlays",
            "Qty_Underlay_area",
            f'"{area}"',
            "step",
            note='"floor and walls"',
            decimals=1,
        ),
        MaterialLine("Pump", "Pump", "Pumps", "1", '"each"', everywhere=True),
        MaterialLine(
            "Pipe",
            "Pipe",
            "Pipes",
            "Pipe_length",
            f'"{run}"',
            "step",
            decimals=1,
            everywhere=True,
        ),
        *(_fitting(f"Fitting_{number}") for number in range(1, FITTING_ROWS + 1)),
    )


def _fitting(chosen: str) -> MaterialLine:
    # What has no price is a flow feature, such as an entrance, and no part to buy.
    bought = f"IF(N({lookup('Fittings', 'price', chosen)})=0,0,N({chosen}_count))"
    return MaterialLine("Fitting", chosen, "Fittings", bought, '"each"', everywhere=True)


# The hours are those of common practice, no source: two people build a basin of some 160 blocks in
# under a day.
WORK: Final = (
    WorkLine("Set up, protect, clean up", ("job", "job"), (3.0, 3.0), "1"),
    WorkLine("Dig, level and tamp base", ("yd³", "m³"), (2.2, 2.9), "Qty_Base_tamped"),
    WorkLine("Lay and glue block", ("piece", "piece"), (0.075, 0.075), "Qty_Pieces_laid"),
    WorkLine("Saw cuts", ("cut", "cut"), (0.08, 0.08), "Qty_Saw_cuts+Qty_Cap_saw_cuts"),
    WorkLine(
        "Set caps and column caps", ("cap", "cap"), (0.12, 0.12), "Qty_Caps_needed+Qty_Column_caps"
    ),
    WorkLine("Liner and underlay", ("job", "job"), (1.5, 1.5), "1"),
    WorkLine("Pump, pipe and water test", ("job", "job"), (3.0, 3.0), "1"),
)

TOTAL: Final = "Price_total"

# The price as it is built up from Total_materials and Total_labour.
SUMMARY: Final = (
    Sum("Materials", "Total_materials", "Sum_materials"),
    Sum("Delivery", "Delivery", "Sum_delivery"),
    Sum(
        "Markup on materials and delivery",
        "(Total_materials+Sum_delivery)*Markup_on_materials",
        "Sum_markup_materials",
    ),
    Sum("Labour", "Total_labour", "Sum_labour"),
    Sum("Markup on labour", "Total_labour*Markup_on_labour", "Sum_markup_labour"),
    Sum(
        "Price before tax",
        "Sum_materials+Sum_delivery+Sum_markup_materials+Sum_labour+Sum_markup_labour",
        "Price_before_tax",
    ),
    Sum(
        "Tax",
        'Tax_rate*IF(Tax_applies_to="all",Price_before_tax,IF(Tax_applies_to="materials",'
        "Total_materials+Sum_delivery+Sum_markup_materials,0))",
        "Tax",
    ),
    Sum("Price to the client", "Price_before_tax+Tax", TOTAL),
)


def labour_fault() -> str:
    """Formula text: whether the labour table has other tasks than the estimate knows."""
    gone = ",".join(f'ISNA(MATCH("{line.task}",Labour_name,0))' for line in WORK)
    return f"OR(COUNTA(Labour_name)<>{len(WORK)},{gone})"
