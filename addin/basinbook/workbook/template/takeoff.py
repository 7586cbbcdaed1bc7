"""The Take-off sheet: every quantity, each worked out once and named for the other sheets."""

from __future__ import annotations

from typing import Final, NamedTuple

from basinbook.engine import kinds
from basinbook.engine.cautions import LOCAL
from basinbook.engine.kinds import Kind
from basinbook.engine.takeoff import ITEMS
from basinbook.units import one_system, one_unit, unit_of
from basinbook.workbook.template import style
from basinbook.workbook.template.costs import LINTELS, lintel_quantity
from basinbook.workbook.template.formulas import (
    CLEAR_LENGTH,
    CLEAR_WIDTH,
    DEPTH_GIVEN,
    UNKNOWN,
    call,
    given,
    if_known,
    lintel_name,
    lookup,
    outfit_name,
    share,
    size,
)
from basinbook.workbook.template.sheet_writer import COUNT, Rows, Sheet, Template


def item_name(label: str) -> str:
    """Return the defined name of a quantity's cell."""
    return "Qty_" + label.replace(" ", "_").replace("-", "_")


def put_table(template: Template, labels: str, values: str, name: str, condition: str) -> None:
    """Work all quantities of a layout out in one call, and name the table: item, value, unit."""
    table = template.table(call("TAKEOFFTABLE", labels, values), len(ITEMS), 3, condition)
    template.name(name, template.working, table.reference)


def quantity(label: str, table: str = "Job_quantities") -> str:
    """Return formula text for one quantity of a layout whose table has that name."""
    return f"INDEX({table},{list(ITEMS).index(label.lower()) + 1},2)"


_PIPE: Final = "Pipe length"


class Derived(NamedTuple):
    """A quantity that follows from layout and materials: label, kind, formula text, help.

    ``unit`` is the formula text of its unit where the kind does not give it. ``alone``: it does not
    hang on the layout, and stands where a block, say, is still to be chosen.
    """

    label: str
    kind: Kind
    formula: str
    help: str = ""
    unit: str = ""
    alone: bool = False

    @property
    def name(self) -> str:
        """The defined name of its cell."""
        return item_name(self.label)


def derived_quantities(system: str) -> tuple[Derived, ...]:
    """Return the quantities that follow from the layout and the materials chosen."""
    sold_by = lookup("Bases", "sold_by", "Base_material")
    bulk, weight = (unit_of(kind, system).label for kind in (kinds.BULK, kinds.LOAD_MASS))
    loose = "Qty_Base_loose"
    pipe = call("SUGGESTPIPE", outfit_name("effect"), "Job_labels", "Job_values")
    kind = lookup("Liners", "type", "Liner")
    weight_of_block, weight_of_cap, weight_of_column_cap = (
        size(lookup(table, "weight", chosen))
        for table, chosen in (("Blocks", "Block"), ("Caps", "Cap"), ("Column_caps", "Column_cap"))
    )
    fit = call(
        "LINERFIT", CLEAR_LENGTH, CLEAR_WIDTH, lookup("Liners", "length", "Liner"),
        lookup("Liners", "width", "Liner"), "Liner_tolerance",
    )  # fmt: skip
    return (
        Derived("Base area", kinds.AREA,
         call("BASEAREA", "Base_margin", "Job_labels", "Job_values"),
         "Footprint and working margin"),
        Derived("Base tamped", kinds.BULK, call("BASEVOLUME", "Qty_Base_area", "Base_thickness"),
         "Area times tamped thickness"),
        Derived("Base loose", kinds.BULK,
         call("LOOSEVOLUME", "Qty_Base_tamped", lookup("Bases", "factor", "Base_material")),
         "To order: tamped volume times compaction factor"),
        Derived("Base weight", kinds.LOAD_MASS,
         call("BULKWEIGHT", loose, lookup("Bases", "density", "Base_material")), "Loose"),
        Derived("Base in selling unit", kinds.RATIO,
         f'IF({sold_by}="bag",{loose}/{size(lookup("Bases", "bag", "Base_material"))},'
         f'IF({sold_by}="{weight}",Qty_Base_weight,IF({sold_by}="{bulk}",{loose},NA())))',
         f"{bulk}, {weight} or bags, as the material is sold",
         f'IF(Base_material="","",{sold_by})'),
        Derived("Cartridges", kinds.COUNT,
         call("CARTRIDGES", "Qty_Bed_length", "Beads", "Bead_diameter",
              lookup("Adhesives", "cartridge", "Adhesive"),
              'IF(Adhesive_waste="",NA(),Adhesive_waste)'),
         "Beads along every glued bed, with the share of each cartridge lost"),
        Derived("Liner length", kinds.LENGTH,
         call("LINERSHEET", CLEAR_LENGTH, "Qty_Wall_height", "Liner_lap"),
         "Sheet liner: down, across, up, and flaps"),
        Derived("Liner width", kinds.LENGTH,
         call("LINERSHEET", CLEAR_WIDTH, "Qty_Wall_height", "Liner_lap"), "Likewise"),
        Derived("Liner area", kinds.AREA,
         call("LINERAREA", CLEAR_LENGTH, CLEAR_WIDTH, "Qty_Wall_height", "Liner_lap"),
         "Of the sheet"),
        Derived("Underlay area", kinds.AREA,
         call("LINERAREA", CLEAR_LENGTH, CLEAR_WIDTH, "Qty_Wall_height", "0"),
         "Floor and walls, no flaps"),
        Derived("Water volume", kinds.LIQUID,
         call("WATERVOLUME", CLEAR_LENGTH, CLEAR_WIDTH, "Water_depth"), "To the water depth",
         alone=True),
        Derived("Water weight", kinds.MASS, call("WATERWEIGHT", "Qty_Water_volume"), alone=True),
        Derived("Fill time", kinds.HOURS, call("FILLTIME", "Qty_Water_volume", "Hose_flow"),
         "From the site's hose", alone=True),
        Derived("Block weight", kinds.MASS,
         f"Qty_Blocks_to_buy*{weight_of_block}",
         "All blocks to buy; plan how they are moved"),
        Derived("Cap weight", kinds.MASS,
         f'IF(Cap="",0,IF(Qty_Caps_to_buy=0,0,Qty_Caps_to_buy*{weight_of_cap}))'
         f'+IF(Column_cap="",0,IF(Qty_Column_caps=0,0,Qty_Column_caps*{weight_of_column_cap}))',
         "Caps and column caps"),
        Derived("Lintel weight", kinds.MASS, "+".join(map(_lintel_weight, LINTELS)),
         "Over openings"),
        Derived(_PIPE, kinds.RUN,
         f'IF({outfit_name("pipe")}="","",IF(Pipe_length="",{pipe},Pipe_length))',
         "As typed on the Water sheet, or by the geometry"),
        Derived("Liner fit", kinds.TEXT,
         f'IF({kind}="preformed",{fit},IF({kind}="sheet","cut from sheet",NA()))',
         "A preformed liner wants its nominal inside size: measure the clear distances"),
    )  # fmt: skip


def _lintel_weight(number: int) -> str:
    chosen, quantity = lintel_name(number), lintel_quantity(number)
    weight = size(lookup("Lintels", "weight", chosen))
    return f'IF({chosen}="",0,IF({quantity}=0,0,{quantity}*{weight}))'


# Quantities of the layout from here on share a page with the materials.
_SECOND_PAGE: Final = "Lintel over pipe opening"


def add_takeoff(template: Template) -> None:
    """Add the sheet, and a name (``Qty_...``) for each quantity."""
    sheet = template.sheet("Take-off", [34, 16, 10, 60], scale=80)
    sheet.title(
        "Take-off", "Nothing is typed here: every quantity of the job, each worked out once."
    )
    put_table(template, "Job_labels", "Job_values", "Job_quantities", DEPTH_GIVEN)
    rows = sheet.rows(4)
    rows.section("Layout", gap=0)
    for item in ITEMS.values():
        line = Derived(item.label, item.kind, quantity(item.label), item.help)
        row = rows.next()
        _line(sheet, row, line)
        if line.label == _SECOND_PAGE:
            sheet.break_before(row)
    rows.section("Materials")
    derived = {line.label: line for line in derived_quantities(template.system)}
    pipe = derived.pop(_PIPE)
    for line in derived.values():
        _line(sheet, rows.next(), line)
    sheet.height(rows.row, 28)
    _liner(rows)
    _water_side(rows, pipe)
    sheet.break_before(rows.row + 2)
    _earth(rows)
    _lifting(rows)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze="A4", titles="1:2")


# Parts of the water side: label, its field in the outfit, that of its number, name of its cell.
_PARTS: Final = (
    ("Spillway, bowl or bubbler", "outlet", "outlets", "Qty_Outlets"),
    ("Pump", "pump", "", "Qty_Pumps"),
    (_PIPE, "pipe", "", ""),
    ("Fittings bought", "", "fittings", "Qty_Fittings"),
    ("Bulkhead fitting", "bulkhead", "bulkheads", "Qty_Bulkhead_fittings"),
    ("Check valve", "check_valve", "check_valves", "Qty_Check_valves"),
    ("Cord passage", "cord_passage", "cord_passages", "Qty_Cord_passages"),
    ("Light", "light", "lights", "Qty_Lights"),
    ("Automatic fill", "automatic_fill", "automatic_fills", "Qty_Automatic_fills"),
)


def _water_side(rows: Rows, pipe: Derived) -> None:
    """What the job has of pump, pipe and parts; blank for what it has not."""
    sheet = rows.sheet
    rows.section("Water side")
    row = rows.next()
    sheet.put(f"A{row}", "Water effect", style.LABEL)
    sheet.put(f"B{row}", f"={outfit_name('effect')}", style.RESULT_TEXT)
    sheet.put(f"D{row}", "Chosen on the Basin sheet", style.NOTE)
    for label, field, counted, name in _PARTS:
        row = rows.next()
        if label == pipe.label:
            _line(sheet, row, pipe)
        else:
            number = outfit_name(counted) if counted else f'IF({outfit_name(field)}="","",1)'
            sheet.put(f"A{row}", label, style.LABEL)
            sheet.put(f"B{row}", f"={number}", style.RESULT, number_format=COUNT, name=name)
            sheet.put(f"C{row}", "each", style.UNIT)
        if field:
            sheet.put(f"D{row}", f"={outfit_name(field)}", style.NOTE)


def _liner(rows: Rows) -> None:
    """How the sheet comes off the roll and lies in the corners; the depth of a preformed one."""
    rows.section("Liner")
    kind, roll, depth = (lookup("Liners", key, "Liner") for key in ("type", "roll", "depth"))
    strips = rows.sheet.template.table(
        call("LINERSTRIPS", "Qty_Liner_length", "Qty_Liner_width", given(roll)), 1, 5, DEPTH_GIVEN
    )

    def of_sheet(formula: str) -> str:
        return f'IF({kind}="sheet",{formula},"")'

    def strip(column: int) -> str:
        found = strips.cell(1, column)
        return of_sheet(f"IF(ISNUMBER({found}),{found},NA())")

    lines = (
        Derived("Liner strips", kinds.COUNT, strip(1), "Off the roll, side by side; 1 has no seam"),
        Derived("Liner strip length", kinds.RUN, strip(2), "Each, the way that takes less seam"),
        Derived("Liner seam", kinds.RUN, strip(3), "All of them, overlapping 3 in (76 mm)"),
        Derived("Liner off the roll", kinds.AREA, strip(4), "What the strips take of the roll"),
        Derived("Liner waste", kinds.RATIO, strip(5), "Of that, not in the sheet", '"share"'),
        Derived("Liner corner fold", kinds.LENGTH,
                of_sheet(call("CORNERFOLD", "Qty_Wall_height", "Liner_lap")),
                "Along the wall at the top, in three layers"),
        Derived("Widest liner lap", kinds.LENGTH,
                of_sheet(f'IF(Cap="","",'
                         f'{call("MOSTLAP", "Qty_Wall_thickness", "Beads", "Bead_diameter")})'),
                "Leaves the beads under the caps bare block, three diameters each"),
        Derived("Preformed liner depth", kinds.TEXT,
                f'IF({kind}="preformed",'
                f'{call("LINERDEPTH", given(depth), "Qty_Wall_height", "Water_depth")},"")',
                "Rim to floor, as on the Materials sheet"),
    )  # fmt: skip
    for line in lines:
        _line(rows.sheet, rows.next(), line)


def _earth(rows: Rows) -> None:
    """What is dug, heaped and hauled off; a blank depth is the base's thickness."""
    sheet = rows.sheet
    rows.section("Earth")
    dig = call(
        "DIGVOLUME", "Base_margin", 'IF(Dig_depth="",Base_thickness,Dig_depth)',
        'IF(Dig_slope="",0,Dig_slope)', "Job_labels", "Job_values",
    )  # fmt: skip
    heap = call("SPOILHEAP", "Qty_Dig_loose")
    lines = (
        Derived("Dig in the bank", kinds.BULK, dig,
                "Base area down to the dig's depth, sides sloped as on Base and parts"),
        Derived("Dig loose", kinds.BULK, call("SWELLVOLUME", "Qty_Dig_in_the_bank", "Dig_soil"),
                "As it swells: FM 5-434, from memory"),
        Derived("Haul-off", kinds.BULK, f"Qty_Dig_loose*(1-{share('Dig_kept')})",
                "Less what is kept"),
        Derived("Loads to haul", kinds.COUNT,
                f'IF(Haul_load="","",{call("PACKS", "Qty_Haul_off", "Haul_load")})',
                "By the load typed on the Base and parts sheet"),
        Derived("Heap across", kinds.RUN, f"INDEX({heap},1,1)",
                "One cone at 35 degrees: room to leave, 2 ft (0.6 m) back from the dig"),
        Derived("Base factor, usual", kinds.TEXT,
                call("COMPACTIONNOTE", "Base_material",
                     lookup("Bases", "factor", "Base_material")),
                "Loose over tamped, beside the factor of the Materials sheet"),
    )  # fmt: skip
    for line in lines:
        _line(sheet, rows.next(), line)
    row = rows.next()
    sheet.put(f"A{row}", "Ground under the base", style.LABEL)
    sheet.merge(f"B{row}:D{row}")
    sheet.put(
        f"B{row}",
        '="Loads are judged for "&Soil&": dig down to it. Soft, wet or filled ground, roots or a '
        f'footing close by want an engineer. {LOCAL}"',
        style.CAUTION,
    )
    sheet.height(row, 28)


class _Piece(NamedTuple):
    """What is lifted: label, table, where it is chosen, its number, its size away from the body.

    low, high: formula texts of the lowest and the highest that it is set at.
    """

    label: str
    table: str
    chosen: str
    number: str
    depth: str
    low: str
    high: str

    @property
    def absent(self) -> str:
        """Formula text: whether the job has none of it; an unknown number is not none."""
        return f'OR({self.chosen}="",{self.number}=0)'

    @property
    def limit(self) -> str:
        """The name of the cell of its weight limit."""
        return f"Lift_limit_{self.table.lower()}"


_TOP: Final = "Qty_Wall_height_with_caps"
PIECES: Final = (
    _Piece("block", "Blocks", "Block", "Qty_Blocks_needed", "Block_depth", "Block_height",
           "MAX(Qty_Wall_height,N(Qty_Second_wall_height),N(Qty_Column_height))"),
    _Piece("cap", "Caps", "Cap", "Qty_Caps_needed", lookup("Caps", "depth", "Cap"), _TOP, _TOP),
    _Piece("column cap", "Column_caps", "Column_cap", "Qty_Column_caps",
           lookup("Column_caps", "side", "Column_cap"), "Qty_Column_height", "Qty_Column_height"),
)  # fmt: skip


def _limit(piece: _Piece) -> str:
    """Formula text of one person's limit for a piece, the lower where it is set low and high."""
    reach = f'IF(Lift_reach="",{call("LIFTREACH", piece.depth, "Lift_from")},Lift_reach)'
    how = ("Lift_turn", "Lifts_per_minute", "Lift_time", "Lift_grip")
    at = [
        call("LIFTLIMIT", reach, "Lift_from", f'IF(Lift_to="",{end},Lift_to)', *how)
        for end in dict.fromkeys((piece.low, piece.high))
    ]
    return f"MIN({','.join(at)})"


def _lifting(rows: Rows) -> None:
    """What one person should lift, as the sheet Labour and pricing says that pieces are handled."""
    sheet = rows.sheet
    rows.section("Lifting: one person's limit, as typed on Labour and pricing")
    for piece in PIECES:
        row = rows.next()
        limit = if_known(f'IF({piece.absent},"",{_limit(piece)})', "Layout_problem", UNKNOWN)
        sheet.put(f"A{row}", f"Limit for a {piece.label}", style.LABEL)
        sheet.put(
            f"B{row}",
            limit,
            style.RESULT,
            number_format=sheet.number_format(kinds.MASS),
            name=piece.limit,
        )
        sheet.put(f"C{row}", sheet.unit(kinds.MASS), style.UNIT)
        sheet.put(f"D{row}", "By reach, height, turn, rate and grip: NIOSH 94-110", style.NOTE)
        row = rows.next()
        weight = size(lookup(piece.table, "weight", piece.chosen))
        advice = call("LIFTADVICE", weight, piece.limit)
        sheet.put(f"A{row}", f"One {piece.label}", style.LABEL)
        sheet.merge(f"B{row}:D{row}")
        sheet.put(
            f"B{row}",
            f'=IF({piece.absent},"none",IF(ISERROR({weight}),"no weight on the Materials sheet",'
            f'IFERROR({advice},"limit unknown: see Lifting on Labour and pricing")))',
            style.CAUTION_SOMETIMES,
        )
        sheet.ground(f"B{row}:D{row}", f'$B${row}<>"none"', style.CAUTION)
        sheet.height(row, 28)
    _service_cap(rows)


def _service_cap(rows: Rows) -> None:
    """The weight of the cap that lies loose for service, and what one person should lift of it."""
    sheet, cap = rows.sheet, next(piece for piece in PIECES if piece.label == "cap")
    weight = f"{size(lookup(cap.table, 'weight', cap.chosen))}*Qty_Service_cap_length/Cap_length"
    none = f'OR({cap.chosen}="",N(Qty_Service_cap_length)=0)'
    row = rows.next()
    line = Derived(
        "Service cap weight", kinds.MASS, f"IF({none},0,{weight})", "Of the cap left loose; 0: none"
    )
    _line(sheet, row, line)
    row = rows.next()
    advice = call("LIFTADVICE", line.name, cap.limit)
    sheet.put(f"A{row}", "Service cap", style.LABEL)
    sheet.merge(f"B{row}:D{row}")
    sheet.put(
        f"B{row}",
        f'=IF({none},"none",IFERROR({advice},"weight or limit unknown: see Materials, and "'
        '&"Lifting on Labour and pricing"))',
        style.CAUTION_SOMETIMES,
    )
    sheet.ground(f"B{row}:D{row}", f'$B${row}<>"none"', style.CAUTION)
    sheet.height(row, 28)


def _line(sheet: Sheet, row: int, line: Derived) -> None:
    words = line.kind is kinds.TEXT
    sheet.put(f"A{row}", line.label, style.LABEL)
    sheet.put(
        f"B{row}",
        if_known(line.formula) if line.alone else if_known(line.formula, "Layout_problem", UNKNOWN),
        style.RESULT_TEXT if words else style.RESULT,
        number_format="" if words else sheet.number_format(line.kind),
        name=line.name,
    )
    unit = f"={line.unit}" if line.unit else (sheet.unit(line.kind) or None)
    sheet.put(f"C{row}", unit, style.UNIT)
    sheet.put(
        f"D{row}", one_unit(one_system(line.help, sheet.system), sheet.system) or None, style.NOTE
    )
