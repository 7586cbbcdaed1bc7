"""All inputs of a workbook, in the order of its sheets: one list, from which they are written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from basinbook.drawings.client_picture import BLOCK, CAP, COLOURS
from basinbook.engine import earth, kinds, lifting, outfit
from basinbook.engine.inputs import Input, cell_name
from basinbook.engine.outfit import (
    BOWL,
    BUBBLER,
    CIRCULATION,
    EFFECTS,
    FROM_BELOW,
    LIP,
    NOTCH,
    STILL,
    WAYS_IN,
)
from basinbook.engine.spec import (
    AIM,
    BOND,
    CAPS,
    COLUMNS,
    FIELDS,
    GROUPS,
    ON_EDGE,
    OPENING,
    OPENINGS,
    SECOND_WALL,
    SIZE,
    STANDING,
    TURNED,
)
from basinbook.engine.spec import (
    BLOCK as BLOCKS,
)
from basinbook.engine.spec_columns import WALL_COLUMN
from basinbook.engine.spec_look import LOOK, MIXED
from basinbook.engine.water.loads import FRICTIONS
from basinbook.engine.water.manifold import MOST_OUTLETS, OUTLETS
from basinbook.workbook.template.costs import FITTING_ROWS, MARGIN, MARKUP

FRONT: Final = "Basin"
"""The sheet of the few inputs that a price hangs on first."""
# Sheets of inputs by topic, each printed on one page.
JOB: Final = "Job"
WALLS: Final = "Walls"
LOOKS: Final = "Look and caps"
POSTS: Final = "Columns and second wall"
HOLES: Final = "Openings"
BASE: Final = "Base and parts"
PRICES: Final = "Labour and pricing"
_WATER, _LOSSES, _SIZES = "Water", "Losses and loads", "Sizes"
_RANGES, _QUOTE, _ORDER = "Ranges", "Quote", "Order"
_ORDERED, _DELIVERY = "Ordered", "Delivery"
PARTICULARS: Final = "Job"
CHOSEN: Final = "Materials chosen"
WATER_PARTS: Final = "Water effect and parts"
METHOD: Final = "Base, adhesive, liner and filling"
EARTH: Final = "Earth: dig and haul-off"
LIFTING: Final = "Lifting: how block and cap are handled"
PRICING: Final = "Labour and pricing"
SPILLWAY: Final = "Spillway or bowl"
LEVELS: Final = "Water levels"
PLUMBING: Final = "Pump and pipe"
FITTINGS: Final = "Fittings"
BRANCHES: Final = "Outlets on this pump"
CLIMATE: Final = "Losses, leak test and treatment"
SERVICE: Final = "Draining, service and the season"
GROUND: Final = "Loads and service: what you know of block, glue and ground"
SIZES: Final = "Sizes"
RANGES: Final = "Range of the price"
QUOTE: Final = "Number, dates, people"
QUOTE_WORDS: Final = "Words at the start and at the end"
QUOTE_OFFERS: Final = "Options side by side"
QUOTE_ACCEPTED: Final = "Accepted"
ORDER: Final = "Order"
ORDERED: Final = "Next order"
DELIVERY: Final = "Which delivery"
SIZES_COME: Final = "Sizes on arrival: measure some of each before the first is laid"

# The groups of each of the sheets by topic, in the order of the sheets and down each of them.
TOPICS: Final[dict[str, tuple[str, ...]]] = {
    JOB: (PARTICULARS, CHOSEN, SIZE),
    WALLS: (BLOCKS, BOND, ON_EDGE, TURNED, STANDING),
    LOOKS: (LOOK, MIXED, CAPS),
    POSTS: (COLUMNS, WALL_COLUMN, SECOND_WALL),
    HOLES: (OPENING, OPENINGS),
    BASE: (METHOD, EARTH, WATER_PARTS),
    PRICES: (PRICING, AIM, LIFTING),
}
_TOPIC_OF: Final = {group: sheet for sheet, groups in TOPICS.items() for group in groups}

# Layout inputs by group, and in each as declared.
LAYOUT: Final = tuple(
    replace(given, sheet=_TOPIC_OF[group])
    for group in GROUPS
    for given in FIELDS.values()
    if given.group == group
)

# People, hours, beads; and amounts of money.
_MOST: Final = 100
_MOST_MONEY: Final = 1_000_000
_MOST_PRICE: Final = 100_000_000
_GREETING: Final = (
    "Thank you for asking us. For the prices below we build the basin as it is drawn and described "
    "here."
)
_CLOSING: Final = (
    "To accept, name the option, sign and send one copy back. Changes after that are agreed in "
    "writing first, with their price."
)

# What inputs need to count, as ``Input.when`` has it.
_MOVING: Final = ("Spill_kind",)
_ANY_COLUMN: Final = "Columns or Wall_column_1 or Wall_column_2 or Wall_column_3"

_TEXT, _LENGTH, _COUNT = kinds.TEXT, kinds.LENGTH, kinds.COUNT
_RATIO, _MONEY, _DATE = kinds.RATIO, kinds.MONEY, kinds.DATE


def _of(sheet: str, group: str, *given: Input, when: tuple[str, ...] = ()) -> tuple[Input, ...]:
    """Return inputs of a group; ``when``: what those need to count that say nothing else."""
    return tuple(replace(one, sheet=sheet, group=group, when=one.when or when) for one in given)


@dataclass(frozen=True)
class Part:
    """A part of the water side that is chosen from the table of water parts, and counted.

    ``field`` and ``counted`` name it and its number in ``engine.outfit``; ``kinds`` are the kinds
    of part that it may be by the effect, "" for any effect that is not named; an effect of no
    kind has no such part. ``help`` stands beside it.
    """

    field: str
    counted: str
    named: str
    kinds: dict[str, str]
    help: str

    @property
    def label(self) -> str:
        """Its label, as the outfit has it."""
        return outfit.FIELDS[self.field].label

    @property
    def name(self) -> str:
        """The name of the cell that it is chosen in."""
        return self.named or cell_name(self.label)

    @property
    def count(self) -> str:
        """The name of the cell of its number."""
        return f"{self.name}_count"

    def gone(self, effect: str) -> str:
        """Formula text: whether a job of the effect in this cell has no such part."""
        without = [f'{effect}="{each}"' for each in EFFECTS if not self.kind_for(each)]
        return f"OR({','.join(without)})" if without else "FALSE"

    def kind_for(self, effect: str) -> str:
        """Return the kind of part that the effect wants here, or "" for none."""
        return self.kinds.get(effect, self.kinds.get("", ""))


PART_KINDS: Final = (
    "spillway", "bowl", "bubbler", "bulkhead fitting", "check valve", "cord passage", "light",
    "automatic fill",
)  # fmt: skip
_OUTLETS: Final = {LIP: "spillway", NOTCH: "spillway", BOWL: "bowl", BUBBLER: "bubbler"}
PARTS: Final = (
    Part("outlet", "outlets", "Outlet", _OUTLETS, "Of the kind that the effect wants"),
    Part("bulkhead", "bulkheads", "", {"": "bulkhead fitting"}, "Where pipe passes the wall"),
    Part(
        "check_valve",
        "check_valves",
        "",
        {STILL: "", "": "check valve"},
        "Keeps the pipe full when the pump stops",
    ),
    Part(
        "cord_passage",
        "cord_passages",
        "",
        {STILL: "", "": "cord passage"},
        "Where the pump's cord leaves the basin",
    ),
    Part("light", "lights", "", {"": "light"}, "In still water too"),
    Part("automatic_fill", "automatic_fills", "", {"": "automatic fill"}, "In still water too"),
)
assert {kind for part in PARTS for kind in part.kinds.values() if kind} == set(PART_KINDS)
assert not PARTS[0].kind_for(CIRCULATION)
MOST_PARTS: Final = 1000


def _parts() -> Iterable[Input]:
    for part in PARTS:
        name, counted = part.name, outfit.FIELDS[part.counted]
        help = f"{part.help}; blank for none"
        yield Input(part.label, _TEXT, help=help, rows_of="Water_parts", named=name)
        yield Input(
            counted.label, _COUNT, help="Blank is 1", low=0, high=MOST_PARTS, named=part.count
        )


def _fittings() -> Iterable[Input]:
    for number in range(1, FITTING_ROWS + 1):
        label = f"Fitting {number}"
        yield Input(label, _TEXT, rows_of="Fittings")
        yield Input(f"{label} count", _COUNT, low=0, high=200)


# What is asked of each of several outlets on one pump, in the order of the rows.
BRANCH_ROWS: Final = (
    ("outlet", Input("kind", _TEXT, help="Blank for none", choices=OUTLETS)),
    ("size", Input("size", _LENGTH, help="Of hole, riser, bowl; width", low=0.001, high=5.0)),
    ("wall", Input("wall thickness", _LENGTH, help="Of a scupper only", low=0.001, high=2.0)),
    ("height", Input("height", _LENGTH, help="Over the basin's water", low=0.0, high=10.0)),
    ("pipe", Input("pipe", _TEXT, help="From the manifold", rows_of="Pipes")),
    ("length", Input("pipe length", kinds.RUN, like="TOTALHEAD.pipe_length")),
    ("fittings_k", Input("K of its fittings", _RATIO, help="Tee, bends, open valve; 0: none",
                         like="TOTALHEAD.k_sum")),
    ("valve_k", Input("K that its valve adds", _RATIO, help="Blank: fully open", low=0.0,
                      high=1e6)),
    ("wanted", Input("flow wanted", kinds.PUMP_FLOW, help="Blank: no valve is worked out",
                     like="SPILLHEAD.flow")),
)  # fmt: skip


def branch_cell(key: str, number: int) -> str:
    """Return the name of a cell of one of several outlets on the pump."""
    return f"Branch_{number}_{key}"


def _branches() -> Iterable[Input]:
    for number in range(1, MOST_OUTLETS + 1):
        for key, given in BRANCH_ROWS:
            label = f"Outlet {number}: {given.label}"
            yield replace(given, label=label, named=branch_cell(key, number))


_INPUTS: Final[tuple[Input, ...]] = (
    *_of(
        _TOPIC_OF[PARTICULARS],
        PARTICULARS,
        Input("Job name", _TEXT, help="Stands on every sheet"),
        Input("Job number", _TEXT),
        Input("Client", _TEXT, help="Does not go to the supplier"),
        Input("Site address", _TEXT),
        Input("Estimator", _TEXT),
        Input("Job date", _DATE),
        Input("Job revision", _TEXT, "A", "A", "Raise it when something changes; note it below"),
        Input("Currency", _TEXT, "$", "€"),
    ),
    *_of(
        _TOPIC_OF[CHOSEN],
        CHOSEN,
        Input(
            "Block",
            _TEXT,
            "Plank block 18 x 4 x 8",
            "Plank block 450 x 100 x 200",
            "From the Materials sheet",
            rows_of="Blocks",
            required=True,
        ),
        Input(
            "Cap",
            _TEXT,
            "Smooth cap 24 x 12 x 2",
            "Smooth cap 600 x 300 x 50",
            "Blank for no caps",
            rows_of="Caps",
        ),
        Input(
            "Column cap", _TEXT, help="Blank for none", rows_of="Column_caps", when=(_ANY_COLUMN,)
        ),
        Input(
            "Base material",
            _TEXT,
            "Stone dust, bulk by volume",
            "Stone dust, bulk by volume",
            rows_of="Bases",
            required=True,
        ),
        Input(
            "Adhesive",
            _TEXT,
            "Masonry adhesive 28 oz",
            "Masonry adhesive 825 mL",
            rows_of="Adhesives",
            required=True,
        ),
        Input(
            "Liner",
            _TEXT,
            "Sheet liner 45 mil",
            "Sheet liner 1.1 mm",
            "Preformed: check its nominal size on the Take-off sheet",
            rows_of="Liners",
            required=True,
        ),
        Input("Underlay", _TEXT, help="Blank for none", rows_of="Underlays"),
    ),
    *LAYOUT,
    *_of(
        _TOPIC_OF[WATER_PARTS],
        WATER_PARTS,
        Input(
            outfit.FIELDS["effect"].label,
            _TEXT,
            STILL,
            STILL,
            "What the water does; pump, pipe and fittings are on the Water sheet",
            choices=EFFECTS,
            named="Spill_kind",
            required=True,
        ),
        *_parts(),
    ),
    *_of(
        _TOPIC_OF[METHOD],
        METHOD,
        Input(
            "Base thickness",
            _LENGTH,
            4,
            100,
            "Tamped; 4 in (100 mm) is common practice",
            like="BASEVOLUME.thickness",
            required=True,
        ),
        Input(
            "Base margin",
            _LENGTH,
            6,
            150,
            "Working margin all round the footprint",
            like="BASEAREA.margin",
            required=True,
        ),
        Input(
            "Beads",
            _COUNT,
            2,
            2,
            "Beads of adhesive along each bed",
            like="CARTRIDGES.beads",
            required=True,
        ),
        Input("Bead diameter", _LENGTH, "3/8", 10, like="CARTRIDGES.bead_diameter", required=True),
        Input(
            "Adhesive waste",
            _RATIO,
            0.1,
            0.1,
            "Share of each cartridge that is lost",
            like="CARTRIDGES.waste",
            percent=True,
        ),
        Input(
            "Liner lap",
            _LENGTH,
            6,
            150,
            "Flap on the wall, under the caps; leave the outer edge bare for adhesive",
            like="LINERSHEET.lap",
            required=True,
        ),
        Input(
            "Liner tolerance",
            _LENGTH,
            "1/4",
            6,
            "Of a preformed liner; its maker's figure",
            like="LINERFIT.tolerance",
            required=True,
        ),
        Input(
            "Hose flow",
            kinds.HOSE_FLOW,
            6,
            22,
            "Time a bucket at the site's hose",
            like="FILLTIME.hose_flow",
            required=True,
        ),
    ),
    *_of(
        _TOPIC_OF[EARTH],
        EARTH,
        Input(
            "Dig depth",
            _LENGTH,
            help="Below the ground; blank is the base's thickness",
            like="DIGVOLUME.depth",
        ),
        Input(
            "Slope of the sides",
            _RATIO,
            0,
            0,
            "Run to a rise of 1; 0 is upright",
            like="DIGVOLUME.slope",
            named="Dig_slope",
            per="to 1",
        ),
        Input(
            "Ground",
            _TEXT,
            "common earth",
            "common earth",
            "What is dug, for its swell",
            choices=tuple(earth.SOILS),
            named="Dig_soil",
        ),
        Input(
            "Kept on site",
            _RATIO,
            0,
            0,
            "Share of the loose earth that is not hauled off",
            0,
            1,
            named="Dig_kept",
            per="of it",
            percent=True,
        ),
        Input(
            "Load hauled at a time",
            kinds.BULK,
            help="Loose; blank: loads are not counted",
            low=0.001,
            high=100,
            named="Haul_load",
        ),
    ),
    *_of(
        _TOPIC_OF[LIFTING],
        LIFTING,
        Input(
            "Reach",
            _LENGTH,
            help="Ankles to hands; blank: by the piece's depth",
            like="LIFTLIMIT.reach",
            named="Lift_reach",
        ),
        Input(
            "Lift from",
            _LENGTH,
            15,
            400,
            "Hands above the ground where the pieces lie",
            like="LIFTLIMIT.start",
            required=True,
        ),
        Input(
            "Lift to",
            _LENGTH,
            help="Hands where it is set; blank is lowest course and top",
            like="LIFTLIMIT.end",
        ),
        Input(
            "Turn of the body",
            _COUNT,
            0,
            0,
            "Away from straight ahead; 0 where one steps round",
            0,
            180,
            named="Lift_turn",
            per="degrees",
        ),
        Input(
            "Lifts per minute",
            _RATIO,
            0.2,
            0.2,
            "By one person; 0.2 is one in 5 minutes",
            like="LIFTLIMIT.rate",
            required=True,
            per="/min",
        ),
        Input(
            "Lifting goes on",
            _TEXT,
            lifting.TIMES[1],
            lifting.TIMES[1],
            "At a stretch, with light work in between",
            choices=lifting.TIMES,
            named="Lift_time",
        ),
        Input(
            "Grip",
            _TEXT,
            "fair",
            "fair",
            "fair: fingers under the piece; poor: bulky",
            choices=lifting.GRIPS,
            named="Lift_grip",
        ),
    ),
    *_of(
        _TOPIC_OF[PRICING],
        PRICING,
        Input(
            "Labour rate",
            _MONEY,
            58,
            52,
            "Per person-hour, wages and burden",
            0,
            _MOST_MONEY,
            per="/h",
        ),
        Input("Crew", _COUNT, 2, 2, "People on site", 1, _MOST, required=True),
        Input("Hours per day", _COUNT, 8, 8, low=1, high=24, required=True),
        Input("Delivery", _MONEY, 95, 90, "What the supplier charges, in all", 0, _MOST_MONEY),
        Input(
            "Contingency on materials",
            _RATIO,
            0,
            0,
            "Of materials and delivery, for what can't be known",
            0,
            2,
            percent=True,
        ),
        Input(
            "Contingency on labour and site",
            _RATIO,
            0,
            0,
            "Of these, for what can't be known",
            0,
            2,
            percent=True,
        ),
        Input(
            "Overhead",
            _RATIO,
            0,
            0,
            "Part of all costs of the job, for what the business costs without it",
            0,
            5,
            percent=True,
        ),
        Input(
            "Price set by",
            _TEXT,
            MARKUP,
            MARKUP,
            "markup: the two shares below on top of the cost; margin: the share of the price "
            "that is kept",
            choices=(MARKUP, MARGIN),
        ),
        Input(
            "Markup on materials",
            _RATIO,
            0.2,
            0.2,
            "On top of materials and delivery",
            0,
            2,
            percent=True,
        ),
        Input(
            "Markup on labour",
            _RATIO,
            0.35,
            0.35,
            "On top of labour, site and overhead",
            0,
            2,
            percent=True,
        ),
        Input(
            "Margin",
            _RATIO,
            0.25,
            0.25,
            "Part of the price before tax; a margin of 25% is a markup of 33%",
            0,
            0.9,
            percent=True,
        ),
        Input(
            "Smallest job",
            _MONEY,
            0,
            0,
            "Least price before tax that you come for; 0 for none",
            0,
            _MOST_MONEY,
        ),
        Input(
            "Tax rate",
            _RATIO,
            0.07,
            0.2,
            "Check local rules for what is taxed",
            0,
            2,
            percent=True,
        ),
        Input("Tax applies to", _TEXT, "materials", "all", choices=("materials", "all", "none")),
        Input("Prices as of", _DATE, help="Day that the prices on the Materials sheet are of"),
        Input(
            "Prices good for",
            _COUNT,
            180,
            180,
            "Older prices are a finding",
            1,
            3650,
            required=True,
            per="days",
        ),
    ),
    *_of(
        _WATER,
        SPILLWAY,
        Input(
            "Lip, notch or bowl width",
            _LENGTH,
            18,
            450,
            "Clear width; of a bowl, its rim's diameter; blank for no wanted flow",
            like="SPILLFLOW.lip_width",
            named="Spill_size",
        ),
        Input(
            "Edge",
            _TEXT,
            "sharp",
            "sharp",
            "Plate; flat slab; rounded slab",
            choices=("sharp", "thick", "rounded"),
            named="Spill_edge",
        ),
        Input(
            "Lip thickness",
            _LENGTH,
            help="Along the flow; of a thick or rounded lip",
            like="SPILLFLOW.lip_thickness",
            named="Spill_thickness",
        ),
        Input(
            "End contractions",
            _COUNT,
            0,
            0,
            "0, 1 or 2",
            choices=("0", "1", "2"),
            named="Spill_ends",
        ),
        Input(
            "Wanted head",
            _LENGTH,
            "3/4",
            20,
            "Water level over the lip, measured back from it; blank for no wanted flow",
            like="SPILLFLOW.head",
            named="Spill_head",
        ),
        Input(
            "Lip over its pool's floor",
            _LENGTH,
            help="Height of lip or notch over the floor of the water behind it; blank: not known",
            like="SPILLFLOW.crest_height",
            named="Spill_crest",
        ),
        Input(
            "Width of the water behind",
            _LENGTH,
            help="Of the pool or box behind lip or notch; blank: not known",
            like="SPILLFLOW.approach_width",
            named="Spill_approach",
        ),
        Input(
            "Height of fall",
            _LENGTH,
            help="Lip to the basin's water",
            like="VOLUMEINAIR.drop",
            named="Spill_drop",
        ),
        Input(
            "Lip stands out",
            _LENGTH,
            help="From the inner face of the wall under it; blank: flush",
            like="CATCHWIDTH.stands_out",
            named="Spill_overhang",
        ),
        Input(
            "Wind at the fall",
            kinds.WIND,
            10,
            4.5,
            "In which the sheet is still to be caught, gusts included",
            like="SHEETDRIFT.wind",
            named="Spill_wind",
        ),
        when=_MOVING,
    ),
    *_of(
        _WATER,
        PLUMBING,
        Input("Pump", _TEXT, help="Of an effect that moves water", rows_of="Pumps"),
        Input("Pipe", _TEXT, help="Blank for none", rows_of="Pipes"),
        Input("Pipe length", kinds.RUN, help="Pump to outlet", like="TOTALHEAD.pipe_length"),
        Input(
            "Static lift",
            kinds.HEAD,
            help="Basin's water to the outlet",
            like="TOTALHEAD.static_lift",
        ),
        Input(
            "Hours per day",
            kinds.HOURS,
            10,
            10,
            like="PUMPENERGY.hours_per_day",
            named="Pump_hours",
        ),
        Input(
            "Price per kWh",
            _MONEY,
            0.16,
            0.29,
            like="ENERGYCOST.price_per_kwh",
            named="Energy_price",
        ),
        Input(
            "Light: hours per day",
            kinds.HOURS,
            5,
            5,
            like="PUMPENERGY.hours_per_day",
            named="Light_hours",
            when=("Light",),
        ),
        Input("Voltage", kinds.VOLTAGE, 120, 230, like="CIRCUITLOAD.voltage"),
        Input("Circuit rating", kinds.CURRENT, 20, 16, like="CIRCUITNOTE.circuit_rating"),
        Input(
            "Season: days a year",
            _COUNT,
            365,
            365,
            "That pump and lights run; 365 is all year, 30 a month",
            1,
            366,
            named="Season_days",
            per="days",
            when=("Spill_kind or Light",),
        ),
        when=_MOVING,
    ),
    *_of(_WATER, FITTINGS, *_fittings(), when=_MOVING),
    *_of(
        _WATER,
        BRANCHES,
        Input(
            "Pipe to the manifold",
            kinds.RUN,
            help="Length of the pipe chosen above, from the pump to the first tee",
            like="TOTALHEAD.pipe_length",
            named="Manifold_length",
        ),
        Input(
            "K of its fittings",
            _RATIO,
            help="From the pump to the first tee; 0 for none",
            like="TOTALHEAD.k_sum",
            named="Manifold_k",
        ),
        *_branches(),
    ),
    *_of(
        _WATER,
        LEVELS,
        Input(
            "Bowl or box is fed",
            _TEXT,
            FROM_BELOW,
            FROM_BELOW,
            "From below it runs back too; over the rim: open end above the water",
            choices=WAYS_IN,
            named="Outlet_fed",
            when=_MOVING,
        ),
        Input(
            "Check valve relied on",
            _TEXT,
            "no",
            "no",
            "yes only where somebody tests it: dirt keeps them open",
            choices=("no", "yes"),
            named="Check_valve_relied",
            when=_MOVING,
        ),
        Input(
            "Bowl depth",
            _LENGTH,
            help="Inside, at its middle; blank: not known",
            like="BOWLCONTENTS.depth",
            when=_MOVING,
        ),
        Input(
            "Bowl holds",
            kinds.LIQUID,
            help="Measured with a bucket; blank: by rim and depth, 0.6 of the cylinder",
            like="COMESBACK.pool",
            named="Bowl_contents",
            when=_MOVING,
        ),
        Input(
            "Water behind lip, front to back",
            _LENGTH,
            help="Of the pool or box; blank: 12 in (300 mm), common practice, no source",
            like="WATEROVEROUTLET.behind",
            named="Spill_back",
            when=_MOVING,
        ),
        Input(
            "Pump's intake over the floor",
            _LENGTH,
            help="Lowest level that it draws from; blank: the pump's height",
            like="DAYLEVELS.intake",
            named="Pump_intake",
            when=_MOVING,
        ),
        Input(
            "Days between fills",
            _COUNT,
            7,
            7,
            "By hose; an automatic fill keeps the level",
            1,
            90,
            per="days",
        ),
        Input(
            "Storm: rain",
            _LENGTH,
            help="That the basin is to stand, by local rainfall data; blank: not known",
            like="DAYLEVELS.rain",
            named="Storm_rain",
        ),
        Input(
            "Storm: lasts",
            kinds.HOURS,
            1,
            1,
            "For the overflow: a short storm is harder",
            like="DAYLEVELS.duration",
            named="Storm_hours",
        ),
        Input(
            "Rain runs in from",
            _TEXT,
            "caps too",
            "caps too",
            "Caps too: out to their outer edge; water: inside the walls",
            choices=("caps too", "water only"),
            named="Storm_from",
        ),
        Input(
            "Overflow: over the floor",
            _LENGTH,
            help="Bottom of a pipe through the wall; blank: none",
            like="DAYLEVELS.overflow_height",
            named="Overflow_height",
        ),
        Input(
            "Overflow: inside diameter",
            _LENGTH,
            help="Of that pipe; keep its mouth free of leaves",
            like="OVERFLOWFLOW.diameter",
            named="Overflow_bore",
            when=("Overflow_height",),
        ),
    ),
    *_of(
        _LOSSES,
        CLIMATE,
        Input(
            "Water temperature",
            kinds.TEMPERATURE,
            72,
            22,
            "In the pipe a blank is 68 °F (20 °C)",
            like="TOTALHEAD.water_temperature",
        ),
        Input(
            "Air temperature",
            kinds.TEMPERATURE,
            80,
            26,
            "Mean of a warm week",
            like="EVAPORATIONRATE.air_temperature",
        ),
        Input(
            "Relative humidity",
            _RATIO,
            "50%",
            "50%",
            like="EVAPORATIONRATE.humidity",
            named="Humidity",
        ),
        Input("Wind", kinds.WIND, 4, 1.5, "Mean of the same week", like="EVAPORATIONRATE.wind"),
        Input(
            "Drop measured",
            _LENGTH,
            help="Leak test: pump off and all run back, no rain",
            like="LEAKCHECK.drop",
            named="Leak_drop",
        ),
        Input(
            "Drop in the bucket",
            _LENGTH,
            help="Bucket standing in the basin, pump off, same time",
            like="LEAKCHECK.reference_drop",
            named="Bucket_drop",
        ),
        Input(
            "Time of the test",
            kinds.HOURS,
            24,
            24,
            "Pump off all the while",
            like="LEAKCHECK.duration",
            named="Leak_hours",
        ),
        Input(
            "Treatment: amount on the label",
            _RATIO,
            help="In the label's unit",
            like="TREATMENTDOSE.label_amount",
            named="Label_amount",
        ),
        Input(
            "Treatment: for a volume of",
            kinds.LIQUID,
            like="TREATMENTDOSE.label_volume",
            named="Label_volume",
        ),
    ),
    *_of(
        _LOSSES,
        GROUND,
        Input(
            "Density of block",
            kinds.DENSITY,
            help="Blank: from the block's own weight and size",
            like="WALLWEIGHT.block_density",
            named="Block_density",
        ),
        Input(
            "Wall stands on",
            _TEXT,
            "screenings or medium sand",
            "screenings or medium sand",
            "What the lowest course lies on",
            choices=tuple(FRICTIONS),
        ),
        Input(
            "Friction under the wall",
            _RATIO,
            help="Blank: by what the wall stands on",
            like="SLIDINGRATIO.friction",
            named="Wall_friction",
        ),
        Input(
            "Allowable shear of the glue",
            kinds.PRESSURE,
            help="Its maker's figure; text may say 10 psi or 70 kPa",
            like="BONDSHEARRATIO.allowable",
            named="Glue_shear",
        ),
        Input(
            "Share of the bed that is glued",
            _RATIO,
            0.2,
            0.2,
            "Beads spread",
            like="BONDSHEARRATIO.glued_share",
            named="Glued_share",
        ),
        Input(
            "Weight on a column",
            kinds.MASS,
            help="Bowl or light on top, filled; blank for none",
            like="LOADVERDICT.column_weight",
            when=(_ANY_COLUMN,),
        ),
        Input(
            "Soil under the base",
            _TEXT,
            "clay",
            "clay",
            "Class, where code has it",
            choices=("gravel", "sand", "clay"),
            named="Soil",
        ),
        Input(
            "Pump width",
            _LENGTH,
            7,
            180,
            "To reach through the access gap",
            like="ACCESSCHECK.item_width",
            when=("Pump",),
        ),
        Input("Pump height", _LENGTH, 8, 200, like="ACCESSCHECK.item_height", when=("Pump",)),
    ),
    *_of(
        _LOSSES,
        SERVICE,
        Input(
            "Drain hose: inside diameter",
            _LENGTH,
            "5/8",
            15,
            "For siphon and pump",
            like="DRAINTIMESIPHON.hose_bore",
            named="Hose_bore",
        ),
        Input(
            "Drain hose: length",
            kinds.RUN,
            25,
            7.5,
            like="DRAINTIMESIPHON.hose_length",
            named="Hose_length",
        ),
        Input(
            "Hose end under the floor",
            _LENGTH,
            help="How much lower the ground is where it runs out; blank: no siphon",
            like="DRAINTIMESIPHON.below",
            named="Hose_drop",
        ),
        Input(
            "Siphon drains down to",
            _LENGTH,
            1,
            25,
            "The rest is bailed",
            like="DRAINTIMESIPHON.lowest",
            named="Drain_to",
        ),
        Input(
            "Fills of a season",
            _COUNT,
            1,
            1,
            "Whole fillings, besides topping up",
            0,
            366,
            named="Season_fills",
            per="fills",
        ),
        Input(
            "Treatment every",
            _COUNT,
            help="Of the whole basin; blank: by the volume of water that is filled in",
            low=1,
            high=366,
            named="Treatment_every",
            per="days",
        ),
    ),
    *_of(
        _SIZES,
        SIZES,
        Input(
            "Look as far as",
            _LENGTH,
            help="Up and down in each direction; blank for one block length",
            like="MODULESIZES.span",
            named="Sizes_span",
        ),
        Input(
            "List the sizes",
            _TEXT,
            "yes",
            "yes",
            "Dozens of layouts; those counted before are remembered",
            choices=("yes", "no"),
            named="Sizes_listed",
        ),
    ),
    *_of(
        _RANGES,
        RANGES,
        Input(
            "Work out the range",
            _TEXT,
            "no",
            "no",
            "While it says yes, thousands of prices are drawn anew at each edit that changes one",
            choices=("yes", "no"),
            named="Range_wanted",
        ),
    ),
    *_of(
        _QUOTE,
        QUOTE,
        Input("Quote number", _TEXT, help="Blank: made of job number and revision"),
        Input("Quote date", _DATE, help="Blank: the job's date"),
        Input(
            "Quote good for",
            _COUNT,
            30,
            30,
            "Days from its date, that day not counted",
            1,
            365,
            named="Quote_valid_days",
            required=True,
        ),
        Input(
            "Block colour on the picture",
            _TEXT,
            BLOCK,
            BLOCK,
            choices=tuple(COLOURS),
            named="Quote_block_colour",
        ),
        Input(
            "Cap colour on the picture",
            _TEXT,
            CAP,
            CAP,
            choices=tuple(COLOURS),
            named="Quote_cap_colour",
        ),
        Input(
            "Client e-mail",
            _TEXT,
            help="Of the draft that basinbook quote writes",
            named="Quote_client_email",
        ),
        Input(
            "Client address",
            _TEXT,
            help="Blank: the site's address",
            named="Quote_client_address",
        ),
        Input("Quote from", _TEXT, help="Blank: as on the Order sheet", named="Quote_sender"),
        Input(
            "Quote from, address",
            _TEXT,
            help="Address and telephone, as they are to stand on the quote",
            named="Quote_sender_address",
        ),
        Input(
            "Quote from, e-mail",
            _TEXT,
            help="Blank: as on the Order sheet",
            named="Quote_sender_email",
        ),
    ),
    *_of(
        _QUOTE,
        QUOTE_WORDS,
        Input("Greeting", _TEXT, _GREETING, _GREETING, named="Quote_greeting"),
        Input("Closing", _TEXT, _CLOSING, _CLOSING, named="Quote_closing"),
    ),
    *_of(
        _QUOTE,
        QUOTE_OFFERS,
        *(
            Input(
                f"Offer option {number}",
                _TEXT,
                "yes" if number == 1 else None,
                "yes" if number == 1 else None,
                "Blank: where it changes something",
                choices=("yes", "no"),
                named=f"Quote_offer_{number}",
            )
            for number in range(1, 5)
        ),
    ),
    *_of(
        _QUOTE,
        QUOTE_ACCEPTED,
        Input("Accepted option", _TEXT, help="basinbook accept writes this, with date and price"),
        Input("Accepted on", _DATE),
        Input("Accepted price", _MONEY, help="To the client, tax in it", low=0, high=_MOST_PRICE),
        Input("Accepted quote", _TEXT, help="Number of the quote"),
        Input("Job before", _TEXT, help="What the job had before the option became the job"),
    ),
    *_of(
        _ORDER,
        ORDER,
        Input("Order number", _TEXT),
        Input("Order date", _DATE),
        Input("Needed by", _DATE, named="Order_needed_by"),
        Input("Supplier", _TEXT, named="Order_supplier"),
        Input("Supplier e-mail", _TEXT, named="Order_supplier_email"),
        Input("From", _TEXT, named="Order_sender"),
        Input("From e-mail", _TEXT, named="Order_sender_email"),
        Input("Deliver to", _TEXT, named="Order_deliver_to"),
    ),
    *_of(
        _ORDERED,
        ORDERED,
        Input(
            "The next order says",
            _TEXT,
            "changes only",
            "changes only",
            "All anew: it takes the place of the orders before, whose rest is to be cancelled",
            choices=("changes only", "all anew"),
            named="Order_next",
        ),
    ),
    *_of(
        _DELIVERY,
        DELIVERY,
        Input(
            "Number of the order",
            _TEXT,
            help="As on the Ordered sheet; blank for the last one",
            named="Delivery_order",
        ),
        Input(
            "Most on a pallet",
            kinds.MASS,
            2500,
            1100,
            "Common practice, no source: ask the yard. Each kind of stone on pallets of its own",
            low=45,
            high=5000,
            named="Pallet_most",
        ),
    ),
    *_of(
        _DELIVERY,
        SIZES_COME,
        Input(
            "Inside size may differ by",
            _LENGTH,
            "1/4",
            6,
            "Common practice, no source; a preformed liner may want less",
            like="ARRIVALADVICE.tolerance",
            named="Arrival_tolerance",
        ),
    ),
)

# What an estimator types on the front sheet, in its order: all else has a start that serves.
# Where an input belongs by its topic, its value is shown.
ON_FRONT: Final = (
    "Inside_length", "Inside_width", "Water_depth", "Block", "Cap", "Liner", "Columns",
    "Second_wall", "Spill_kind", "Pump",
)  # fmt: skip

# What is measured on the site and the job has an input for; its limits are that input's.
SITE: Final = "Measured on the site, for the job"
SITE_ONLY: Final = "Measured on the site, to plan the work"
_FOR_THE_JOB: Final = (
    "Inside_length", "Inside_width", "Water_depth", "Hose_flow", "Hose_drop", "Dig_depth",
    "Dig_soil", "Soil",
)  # fmt: skip


def _of_site(given: Input) -> Input:
    return replace(
        given,
        label=f"Site: {given.label[0].lower()}{given.label[1:]}",
        named=f"Site_{given.name.lower()}",
        us=None,
        metric=None,
        help="",
        sheet="Site",
        group=SITE,
        required=False,
        default=None,
        when=(),
    )


_SITE: Final = (
    *(_of_site(given) for name in _FOR_THE_JOB for given in _INPUTS if given.name == name),
    *_of(
        "Site",
        SITE_ONLY,
        Input("Fall of the ground", _LENGTH, help="From the highest to the lowest corner of the "
              "base, by level and board", low=0.0, high=5.0, named="Site_fall"),
        Input("Falls towards", _TEXT, named="Site_falls_towards"),
        Input("Narrowest way in", _LENGTH, help="Gate or passage, for barrow, saw and blocks",
              low=0.0, high=50.0, named="Site_way_in"),
        Input("Steps and ramps on it", _TEXT, named="Site_steps"),
        Input("Power: distance", kinds.RUN, help="To a receptacle; where there is none, work for "
              "a licensed electrician", low=0.0, high=500.0, named="Site_power"),
        Input("Power: ground-fault protection", _TEXT, help="Press its test button",
              choices=("yes", "no", "not known"), named="Site_power_protected"),
        Input("Hose: distance", kinds.RUN, help="Tap to basin", low=0.0, high=500.0,
              named="Site_hose"),
        Input("Buried lines", _TEXT, help="Marks seen, and their number", named="Site_lines"),
        Input("Soil, as it is found", _TEXT, help="In a test hole as deep as the base",
              named="Site_soil_found"),
        Input("Measured by, on", _TEXT, named="Site_measured_by"),
    ),
)  # fmt: skip
FROM_SITE: Final = {given.name: name for given, name in zip(_SITE, _FOR_THE_JOB, strict=False)}
"""The input of the job that each of those of the Site sheet is for, by the names of their cells."""
INPUTS: Final = (
    *(replace(given, sheet=FRONT) if given.name in ON_FRONT else given for given in _INPUTS),
    *_SITE,
)
BY_NAME: Final = {given.name: given for given in INPUTS}
assert len(BY_NAME) == len(INPUTS), "two inputs have one name"
assert set(ON_FRONT) <= set(BY_NAME)


def inputs_of(*groups: str) -> tuple[Input, ...]:
    """Return the inputs of these groups, in the order of the list."""
    return tuple(given for given in INPUTS if given.group in groups)
