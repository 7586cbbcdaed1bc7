"""The cost model: what a job takes and what it costs, each line written once.

Formulas are in the names of the job's cells. The Estimate sheet writes the lines as rows; the
Options sheet writes the same lines for each option, with the option's own cells in place of the
job's where it has some (``formulas.elsewhere``).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, NamedTuple

from basinbook.catalogue import function
from basinbook.engine import kinds
from basinbook.engine.outfit import BOWL, BUBBLER, STILL
from basinbook.engine.spec import FIELDS
from basinbook.engine.spec_openings import MOST_OPENINGS, PIPE, opening_name
from basinbook.units import shown_range, unit_of
from basinbook.workbook.template.formulas import (
    amount,
    by_the_piece,
    call,
    cents,
    fitting_name,
    if_numbers,
    lintel_name,
    lookup,
    no_amount,
    no_size,
    outfit_name,
    size,
    why,
)

FITTING_ROWS: Final = 8
# Of the openings that may have one.
LINTELS: Final = range(PIPE, MOST_OPENINGS + 1)
# The column of what may be sold by the piece; other steps have to be given.
_PACK: Final = "pack"
# As the layout takes it where it is blank.
_BREAKAGE: Final = f'IF(Breakage="",{FIELDS["breakage"].default},Breakage)'
_AMOUNT: Final = "give a number, 0 or more"
MARKUP, MARGIN = "markup", "margin"
_SIZE: Final = "give a number above 0"


@dataclass(frozen=True)
class Fact:
    """A cell that a line hangs on, and when nothing can be worked out from what is typed there.

    ``name`` is the defined name of the cell; of a ``table`` it is the column, and ``row`` formula
    text of the name in its row. ``wrong`` is formula text, with {cell} for the cell's value, that
    is true of a value of no use; ``give`` what to do about it.
    """

    name: str
    wrong: str
    give: str
    table: str = ""
    row: str = ""

    @property
    def value(self) -> str:
        """Formula text of what is typed there."""
        return lookup(self.table, self.name, self.row) if self.table else self.name

    @property
    def fault(self) -> str:
        """Formula text: whether its value is of no use."""
        return self.wrong.replace("{cell}", self.value)


def amount_fact(name: str, table: str = "", row: str = "") -> Fact:
    """Return the fact of a price, rate, count or share: a typed 0 is one."""
    return Fact(name, no_amount("{cell}"), _AMOUNT, table, row)


def size_fact(name: str, table: str, row: str) -> Fact:
    """Return the fact of a weight, content or step: nothing has one of 0."""
    return Fact(name, no_size("{cell}"), _SIZE, table, row)


@dataclass(frozen=True)
class MaterialLine:
    """A material that is bought: ``chosen`` names the cell it hangs on, blank for none of it.

    ``quantity`` is what the take-off gives; ``needed`` what to buy of it, if that is another
    quantity; ``pack`` the column of what it is sold in, "" by the piece. All but ``item`` and
    ``pack`` are formula texts. ``everywhere`` is what no option changes, ``required``
    what no basin is built without. ``facts`` are the cells that its quantity hangs on, beside the
    inputs that are asked for; an unknown quantity is no number, and never 0. ``called`` is
    formula text of what the line is called, where that is not ``item``; ``unused`` of whether there
    is none of it, where that hangs on more than the choice.
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
    facts: tuple[Fact, ...] = ()
    called: str = ""
    unused: str = ""

    @property
    def item_text(self) -> str:
        """What the line is called, as formula text."""
        return self.called or f'"{self.item}"'

    @property
    def none(self) -> str:
        """Whether nothing is bought, for want of a choice."""
        return self.unused or f'{self.chosen}=""'

    @property
    def nothing(self) -> str:
        """What its quantity then is: none, or unknown where no basin is built without it."""
        return '""' if self.required else "0"

    @property
    def pack_size(self) -> str:
        """What it is sold in, an error where that is unknown."""
        if not self.pack:
            return "1"
        found = lookup(self.table, self.pack, self.chosen)
        return by_the_piece(found) if self.pack == _PACK else size(found)

    @property
    def price(self) -> str:
        """Its price, each or per unit, an error where it is unknown."""
        return amount(lookup(self.table, "price", self.chosen))

    @property
    def quantity_facts(self) -> tuple[Fact, ...]:
        """The cells that it hangs on how much is ordered."""
        if not self.pack:
            return self.facts
        sold_in = size_fact(self.pack, self.table, self.chosen)
        if self.pack == _PACK:
            wrong = f'IF({{cell}}="",FALSE,{sold_in.wrong})'
            sold_in = replace(sold_in, wrong=wrong)
        return (*self.facts, sold_in)

    @property
    def price_fact(self) -> Fact:
        """The cell of its price."""
        return amount_fact("price", self.table, self.chosen)

    @property
    def cost(self) -> str:
        """What the packs to buy of it cost; an error where that is unknown."""
        needed = self.needed or self.quantity
        packs = call("PACKS", needed, self.pack_size)
        bought = f"IF({needed}=0,0,{cents(f'{packs}*{self.pack_size}*{self.price}')})"
        return f"IF({self.none},{self.nothing},{bought})"


@dataclass(frozen=True)
class WorkLine:
    """A task: its unit and starting hours per unit (US, metric), and how much there is of it.

    Of an ``optional`` one that is not needed the estimate shows nothing.
    """

    task: str
    unit: tuple[str, str]
    hours: tuple[float, float]
    quantity: str
    optional: bool = False

    @property
    def hours_each(self) -> str:
        """Person-hours per unit, from the Materials sheet; an error where they are unknown."""
        return amount(lookup("Labour", "hours", f'"{self.task}"'))

    @property
    def hours_fact(self) -> Fact:
        """The cell of its person-hours per unit."""
        return amount_fact("hours", "Labour", f'"{self.task}"')

    @property
    def hours_in_all(self) -> str:
        """Its person-hours; an error where they are unknown."""
        return f"IF({self.quantity}=0,0,({self.quantity})*{self.hours_each})"

    @property
    def cost(self) -> str:
        """What its person-hours cost; an error where that is unknown."""
        return cents(f"{self.hours_in_all}*{amount('Labour_rate')}")

    @property
    def unit_text(self) -> str:
        """Its unit, from the Materials sheet."""
        return lookup("Labour", "unit", f'"{self.task}"')


@dataclass(frozen=True)
class SiteLine:
    """What a site costs beside materials and labour: its unit (US, metric), and how much there is.

    Priced on the Materials sheet, where it starts with 0: none of it in the price. With ``priced``,
    formula text, its price stands elsewhere. ``facts`` are the cells that its quantity hangs on.
    What has none of it may be paid for by the line ``instead``; ``client`` is what a client calls
    it who might expect it in the price.
    """

    what: str
    unit: tuple[str, str]
    quantity: str
    priced: str = ""
    facts: tuple[Fact, ...] = ()
    instead: str = ""
    client: str = ""

    @property
    def lacking(self) -> tuple[Fact, ...]:
        """The cells that its cost hangs on."""
        return (self.price_fact, *self.facts) if self.price_fact else self.facts

    @property
    def none(self) -> str:
        """Formula text: whether neither it nor what may be in its place has a price."""
        prices = [self.price, *(line.price for line in SITE if line.what == self.instead)]
        return f"AND({','.join(f'IFERROR({price}=0,FALSE)' for price in prices)})"

    @property
    def price(self) -> str:
        """Its price, for one of its unit; an error where it is unknown."""
        return self.priced or amount(lookup("Site", "price", f'"{self.what}"'))

    @property
    def price_fact(self) -> Fact | None:
        """The cell of its price, where that stands on the Materials sheet."""
        return None if self.priced else amount_fact("price", "Site", f'"{self.what}"')

    @property
    def cost(self) -> str:
        """What it costs; an error where that is unknown."""
        return f"IF({self.price}=0,0,{cents(f'({self.quantity})*{self.price}')})"


class Sum(NamedTuple):
    """A line of the price: label, formula text, name of its cell, names that need a number."""

    label: str
    added: str
    name: str
    needs: tuple[str, ...]

    @property
    def formula(self) -> str:
        """Formula text of it, unknown where a part of it is."""
        return if_numbers(self.needs, self.added)


def material_lines(system: str) -> tuple[MaterialLine, ...]:
    """Return the materials, base first, as they are built in."""
    length, run, area = (
        unit_of(kind, system).label for kind in (kinds.LENGTH, kinds.RUN, kinds.AREA)
    )
    liner = {key: lookup("Liners", key, "Liner") for key in ("type", "length", "width")}
    preformed, sheet = (f'{liner["type"]}="{kind}"' for kind in ("preformed", "sheet"))
    # Its nominal sizes stand on the order.
    sizes = f'IF(OR({liner["length"]}="",{liner["width"]}=""),NA(),1)'
    nominal = f'IF({preformed},{{cell}}="",FALSE)'
    actual = f'" {length} actual"'
    effect = outfit_name("effect")
    # A blank length is that of the geometry.
    typed = f'IF({{cell}}="",FALSE,{no_amount("{cell}")})'
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
            facts=_base_facts(system),
        ),
        MaterialLine(
            "Wall block",
            "Block",
            "Blocks",
            "Qty_Blocks_needed",
            '"each"',
            "pack",
            "Qty_Blocks_to_buy",
            _BREAKAGE,
            note=f'Block_length&" x "&Block_height&" x "&Block_depth&{actual}',
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
            _BREAKAGE,
            note=f'Cap_length&" x "&Cap_depth&" x "&Cap_height&{actual}',
        ),
        MaterialLine(
            "Column cap",
            "Column_cap",
            "Column_caps",
            "Qty_Column_caps",
            '"each"',
            "pack",
            note=f'Column_cap_side&" square x "&Column_cap_height&{actual}',
        ),
        *(_lintel(number, actual) for number in LINTELS),
        MaterialLine(
            "Adhesive",
            "Adhesive",
            "Adhesives",
            "Qty_Cartridges",
            '"cartridge"',
            "pack",
            note='"waste is in the quantity"',
            required=True,
            facts=(
                _read(
                    "CARTRIDGES.cartridge",
                    ("1", "1", '"10 mm"', "{cell}", "0", "Units"),
                    Fact("cartridge", "", "", "Adhesives", "Adhesive"),
                    system,
                ),
            ),
        ),
        MaterialLine(
            "Liner",
            "Liner",
            "Liners",
            f"IF({preformed},{sizes},IF({sheet},Qty_Liner_area,NA()))",
            f'IF({preformed},"each","{area}")',
            note=f'IF({preformed},"nominal "&{liner["length"]}&" x "'
            f'&{liner["width"]},"one piece, "&ROUND(Qty_Liner_length,1)&" x "'
            f'&ROUND(Qty_Liner_width,1))&" {length}"',
            required=True,
            facts=(
                Fact(
                    "type",
                    'AND({cell}<>"preformed",{cell}<>"sheet")',
                    "choose preformed or sheet",
                    "Liners",
                    "Liner",
                ),
                Fact("length", nominal, "give the maker's size", "Liners", "Liner"),
                Fact("width", nominal, "give the maker's size", "Liners", "Liner"),
            ),
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
        MaterialLine(
            "Pipe",
            outfit_name("pipe"),
            "Pipes",
            amount("Qty_Pipe_length"),
            f'"{run}"',
            "step",
            decimals=1,
            facts=(Fact("Pipe_length", typed, f"give a plain number of {run}"),),
        ),
        MaterialLine(
            "Outlet",
            outfit_name("outlet"),
            "Water_parts",
            outfit_name("outlets"),
            '"each"',
            "pack",
            everywhere=True,
            called=f'IF({effect}="{BOWL}","Bowl",IF({effect}="{BUBBLER}","Bubbler","Spillway"))',
        ),
        MaterialLine("Pump", outfit_name("pump"), "Pumps", "1", '"each"', everywhere=True),
        *_water_parts(),
        *(_fitting(number) for number in range(1, FITTING_ROWS + 1)),
    )


# Parts that go with pump and pipe, or with still water: item, field of the outfit, and its number.
_WATER_PARTS: Final = (
    ("Bulkhead fitting", "bulkhead", "bulkheads"),
    ("Check valve", "check_valve", "check_valves"),
    ("Cord passage", "cord_passage", "cord_passages"),
    ("Light", "light", "lights"),
    ("Automatic fill", "automatic_fill", "automatic_fills"),
)


def _water_parts() -> tuple[MaterialLine, ...]:
    return tuple(
        MaterialLine(
            item,
            outfit_name(field),
            "Water_parts",
            outfit_name(counted),
            '"each"',
            "pack",
            everywhere=True,
        )
        for item, field, counted in _WATER_PARTS
    )


def _base_facts(system: str) -> tuple[Fact, ...]:
    bulk, weight = (unit_of(kind, system).label for kind in (kinds.BULK, kinds.LOAD_MASS))
    chosen = "Base_material"
    sold_by = lookup("Bases", "sold_by", chosen)
    units = (bulk, weight, "bag")
    none_of_them = ",".join(f'{{cell}}<>"{unit}"' for unit in units)
    factor, weighed = Fact("factor", "", "", "Bases", chosen), _density(system)
    bag = size_fact("bag", "Bases", chosen)
    return (
        Fact("sold_by", f"AND({none_of_them})", f"choose {', '.join(units)}", "Bases", chosen),
        _read("LOOSEVOLUME.compaction_factor", ("1", "{cell}", "Units"), factor, system),
        replace(weighed, wrong=f'IF({sold_by}="{weight}",{weighed.wrong},FALSE)'),
        replace(bag, wrong=f'IF({sold_by}="bag",{bag.wrong},FALSE)'),
    )


def _density(system: str) -> Fact:
    fact = Fact("density", "", "", "Bases", "Base_material")
    return _read("BULKWEIGHT.density", ("1", "{cell}", "Units"), fact, system)


def _read(like: str, arguments: tuple[str, ...], fact: Fact, system: str) -> Fact:
    """Return a fact with what the function that reads it allows of its argument."""
    of, _, name = like.partition(".")
    (declared,) = (argument for argument in function(of).arguments if argument.name == name)
    assert declared.low is not None
    assert declared.high is not None
    allowed = shown_range(declared.low, declared.high, declared.kind, system)
    return replace(fact, wrong=f'{why(of, *arguments)}<>""', give=f"give {allowed}")


def _lintel(number: int, actual: str) -> MaterialLine:
    chosen, over = lintel_name(number), opening_name(number)
    length, height = (lookup("Lintels", key, chosen) for key in ("length", "height"))
    return MaterialLine(
        f"Lintel, {over}",
        chosen,
        "Lintels",
        lintel_quantity(number),
        '"each"',
        "pack",
        note=f'{length}&" long x "&{height}&" high"&{actual}',
    )


def lintel_quantity(number: int) -> str:
    """Return the name of the take-off's quantity of lintels over an opening."""
    return f"Qty_Lintel_over_{opening_name(number).replace(' ', '_')}"


def _fitting(number: int) -> MaterialLine:
    chosen = fitting_name(number)
    # A flow feature, such as an entrance, is no part to buy.
    count = f"Fitting_{number}_count"
    bought, price = (lookup("Fittings", key, chosen) for key in ("bought", "price"))
    feature = f'{bought}="no"'
    how_many = f"IF({feature},IF(N({price})>0,NA(),0),{amount(count)})"
    unused = f'AND({chosen}="",OR({outfit_name("effect")}="{STILL}",N({count})=0))'
    return MaterialLine(
        "Fitting",
        chosen,
        "Fittings",
        f'IF(OR({feature},{bought}="yes"),{how_many},NA())',
        '"each"',
        everywhere=True,
        facts=(
            Fact(f"Fitting_{number}", '{cell}=""', "choose one"),
            Fact(
                "bought",
                f'IF({{cell}}="no",N({price})>0,{{cell}}<>"yes")',
                "say yes for what has a price, no for what nobody sells",
                "Fittings",
                chosen,
            ),
            Fact(count, f"IF({feature},FALSE,{no_amount('{cell}')})", _AMOUNT),
        ),
        unused=unused,
    )


BASE, LAYING, SAW_CUTS = "Dig, level and tamp base", "Lay and glue block", "Saw cuts"
CAPS: Final = "Set caps and column caps"
# Hours of one person, by common practice, no source: two people lay some 160 whole blocks with few
# cuts, base, liner and caps included, in less than a day.
WORK: Final = (
    WorkLine("Set up, protect, clean up", ("job", "job"), (1.5, 1.5), "1"),
    WorkLine(BASE, ("yd³", "m³"), (1.5, 2.0), "Qty_Base_tamped"),
    WorkLine(LAYING, ("piece", "piece"), (0.045, 0.045), "Qty_Pieces_laid"),
    WorkLine(
        SAW_CUTS,
        ("cut", "cut"),
        (0.06, 0.06),
        "Qty_Saw_cuts+Qty_Cap_saw_cuts+Qty_Pieces_cut_round_the_pipe",
    ),
    WorkLine(CAPS, ("cap", "cap"), (0.08, 0.08), "Qty_Caps_needed+Qty_Column_caps"),
    WorkLine("Liner and underlay", ("job", "job"), (1.0, 1.0), "1"),
    WorkLine("Pump and pipe", ("job", "job"), (1.5, 1.5), "IF(Runs,1,0)", optional=True),
    WorkLine("Fill and leak test", ("job", "job"), (0.5, 0.5), "1"),
)

_DAYS: Final = "ROUNDUP(ROUND(Person_hours/(Crew*Hours_per_day),6),0)"
ELECTRICIAN: Final = "Electrician"
_HAUL, _HAUL_LOADS = "Haul soil away", "Haul soil away, by the load"
_SOIL: Final = "hauling soil away"


def _days_of(tasks: tuple[str, ...]) -> str:
    """Return formula text of the days that some tasks take the whole crew, begun ones whole."""
    hours = "+".join(line.hours_in_all for line in WORK if line.task in tasks)
    return f"ROUNDUP(ROUND(({hours})/(Crew*Hours_per_day),6),0)"


# Hired for the days of the tasks that it is used in.
_SAW_DAYS: Final = _days_of((LAYING, SAW_CUTS, CAPS))
SITE: Final = (
    SiteLine("Dig out by machine", ("yd³ bank", "m³ bank"), "Qty_Dig_in_the_bank"),
    SiteLine(_HAUL, ("yd³ loose", "m³ loose"), "Qty_Haul_off", instead=_HAUL_LOADS, client=_SOIL),
    SiteLine(
        _HAUL_LOADS,
        ("load", "load"),
        "Qty_Loads_to_haul",
        facts=(Fact("Haul_load", no_size("{cell}"), _SIZE),),
        instead=_HAUL,
    ),
    SiteLine("Compactor", ("day", "day"), _days_of((BASE,))),
    SiteLine("Saw", ("day", "day"), f"IF(Qty_Saw_cuts+Qty_Cap_saw_cuts>0,{_SAW_DAYS},0)"),
    SiteLine(
        "Blade",
        ("cut", "cut"),
        "Qty_Saw_cuts+Qty_Cap_saw_cuts",
        'IF(Blade_wear="",0,Blade_wear)',
    ),
    SiteLine("Cleaning", ("job", "job"), "1", client="cleaning of the finished work"),
    SiteLine(ELECTRICIAN, ("job", "job"), "1"),
    SiteLine("Permit", ("job", "job"), "1", client="a permit"),
    SiteLine("Travel", ("crew day", "crew day"), _DAYS),
)

TOTAL: Final = "Price_total"
_COSTS_OF_MATERIALS: Final = ("Sum_materials", "Sum_delivery", "Sum_contingency_materials")
_COSTS_OF_WORK: Final = ("Sum_labour", "Sum_site", "Sum_contingency_work", "Sum_overhead")
_MARKUPS: Final = ("Sum_markup_materials", "Sum_markup_labour")
_PARTS: Final = (*_COSTS_OF_MATERIALS, *_COSTS_OF_WORK, *_MARKUPS, "Sum_to_smallest_job")
_TAXED: Final = (
    'Tax_rate*IF(Tax_applies_to="all",Price_before_tax,IF(Tax_applies_to="materials",'
    f"{'+'.join((*_COSTS_OF_MATERIALS, _MARKUPS[0]))},NA()))"
)


def markup(named: str) -> str:
    """Return formula text of the share that a cost is raised by: typed, or from the margin."""
    return f'IF(Price_set_by="{MARGIN}",Margin/(1-Margin),{named})'


def _part(label: str, name: str, share: str, of: tuple[str, ...], needs: tuple[str, ...]) -> Sum:
    """Return a line that is a share of other lines."""
    return Sum(label, cents(f"({'+'.join(of)})*{share}"), name, (*of, *needs))


# The price as it is built up from Total_materials, Total_labour and Total_site. Each line is
# rounded as it is printed, so that what is printed adds up.
SUMMARY: Final = (
    Sum("Materials", "Total_materials", "Sum_materials", ("Total_materials",)),
    Sum("Delivery", cents("Delivery"), "Sum_delivery", ("Delivery",)),
    _part(
        "Contingency on materials",
        "Sum_contingency_materials",
        "Contingency_on_materials",
        _COSTS_OF_MATERIALS[:2],
        ("Contingency_on_materials",),
    ),
    Sum("Labour", "Total_labour", "Sum_labour", ("Total_labour",)),
    Sum("Site", "Total_site", "Sum_site", ("Total_site",)),
    _part(
        "Contingency on labour and site",
        "Sum_contingency_work",
        "Contingency_on_labour_and_site",
        _COSTS_OF_WORK[:2],
        ("Contingency_on_labour_and_site",),
    ),
    _part(
        "Overhead",
        "Sum_overhead",
        "Overhead",
        (*_COSTS_OF_MATERIALS, *_COSTS_OF_WORK[:3]),
        ("Overhead",),
    ),
    Sum(
        "Cost",
        "+".join((*_COSTS_OF_MATERIALS, *_COSTS_OF_WORK)),
        "Cost_in_all",
        (*_COSTS_OF_MATERIALS, *_COSTS_OF_WORK),
    ),
    _part(
        "Markup on materials and delivery",
        _MARKUPS[0],
        markup("Markup_on_materials"),
        _COSTS_OF_MATERIALS,
        ("Markup_on_materials", "Margin"),
    ),
    _part(
        "Markup on labour, site and overhead",
        _MARKUPS[1],
        markup("Markup_on_labour"),
        _COSTS_OF_WORK,
        ("Markup_on_labour", "Margin"),
    ),
    Sum(
        "Up to the smallest job",
        cents(f"MAX(0,Smallest_job-Cost_in_all-{'-'.join(_MARKUPS)})"),
        "Sum_to_smallest_job",
        ("Smallest_job", "Cost_in_all", *_MARKUPS),
    ),
    Sum("Price before tax", "+".join(_PARTS), "Price_before_tax", _PARTS),
    Sum(
        "Tax",
        f'IF(Tax_applies_to="none",0,{if_numbers(("Tax_rate", *_PARTS), cents(_TAXED))})',
        "Tax",
        (),
    ),
    Sum("Price to the client", "Price_before_tax+Tax", TOTAL, ("Price_before_tax", "Tax")),
)

# What is kept of the price before tax, told two ways that are not the same.
EARNED: Final = (
    Sum(
        "Markup in all, part of the cost",
        "IF(Cost_in_all>0,Price_before_tax/Cost_in_all-1,NA())",
        "Markup_in_all",
        ("Price_before_tax", "Cost_in_all"),
    ),
    Sum(
        "Margin, part of the price before tax",
        "IF(Price_before_tax>0,1-Cost_in_all/Price_before_tax,NA())",
        "Margin_in_all",
        ("Price_before_tax", "Cost_in_all"),
    ),
)

# The cells of the Labour and pricing sheet that the price hangs on beside quantities.
PRICING_FACTS: Final = (
    amount_fact("Labour_rate"),
    amount_fact("Delivery"),
    amount_fact("Contingency_on_materials"),
    amount_fact("Contingency_on_labour_and_site"),
    amount_fact("Overhead"),
    Fact(
        "Price_set_by",
        f'AND({{cell}}<>"{MARKUP}",{{cell}}<>"{MARGIN}")',
        f"choose {MARKUP} or {MARGIN}",
    ),
    amount_fact("Markup_on_materials"),
    amount_fact("Markup_on_labour"),
    amount_fact("Margin"),
    amount_fact("Smallest_job"),
    Fact(
        "Tax_applies_to",
        'AND({cell}<>"all",{cell}<>"materials",{cell}<>"none")',
        "choose materials, all or none",
    ),
    amount_fact("Tax_rate"),
)


def weight_facts(system: str) -> tuple[Fact, ...]:
    """Return the cells that only weights hang on: of what is lifted, and of the whole."""
    pieces = (
        (size_fact("weight", table, chosen), f'IF({chosen}="",FALSE,{quantity}<>0)')
        for table, chosen, quantity in (
            ("Blocks", "Block", "Qty_Blocks_to_buy"),
            ("Caps", "Cap", "Qty_Caps_to_buy"),
            ("Column_caps", "Column_cap", "Qty_Column_caps"),
            *(("Lintels", lintel_name(number), lintel_quantity(number)) for number in LINTELS),
        )
    )
    density = _density(system)
    # Of what is sold by weight the price hangs on it, too, and says so.
    by_weight = (
        f'{lookup("Bases", "sold_by", "Base_material")}="{unit_of(kinds.LOAD_MASS, system).label}"'
    )
    known = f"OR({by_weight},ISNUMBER(Qty_Base_weight))"
    return (
        *(replace(fact, wrong=f"IF({wanted},{fact.wrong},FALSE)") for fact, wanted in pieces),
        replace(density, wrong=f"IF({known},FALSE,{density.wrong})"),
    )


def labour_fault() -> str:
    """Formula text: whether the labour table has other tasks than the estimate knows."""
    gone = ",".join(f'ISNA(MATCH("{line.task}",Labour_name,0))' for line in WORK)
    return f"OR(COUNTA(Labour_name)<>{len(WORK)},{gone})"
