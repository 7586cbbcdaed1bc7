"""The Take-off sheet: every quantity, each worked out once and named for the other sheets."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.engine.kinds import Kind
from basinbook.engine.takeoff import ITEMS, Item
from basinbook.workbook.template import style
from basinbook.workbook.template.materials import lookup
from basinbook.workbook.template.sheet_writer import Sheet, Template, call, when_ready


def item_name(label: str) -> str:
    """Return the defined name of a quantity's cell."""
    return "Qty_" + label.replace(" ", "_").replace("-", "_")


def put_table(template: Template, labels: str, values: str, name: str) -> None:
    """Work all quantities of a layout out in one call, and name the table: item, value, unit."""
    table = template.table(call("TAKEOFFTABLE", labels, values), len(ITEMS), 3)
    template.name(name, template.working, table.rpartition("!")[2])


def quantity(label: str, table: str = "Job_quantities") -> str:
    """Return formula text for one quantity of a layout whose table has that name."""
    return f"INDEX({table},{list(ITEMS).index(label.lower()) + 1},2)"


# What follows from the layout and the materials chosen: label, kind, formula, help.
def _materials(system: str) -> tuple[tuple[str, Kind, str, str], ...]:
    sold_by = lookup("Bases", "sold_by", "Base_material")
    bulk, weight = ("m³", "t") if system == "metric" else ("yd³", "ton")
    loose = "Qty_Base_loose"
    return (
        ("Base area", kinds.AREA, call("BASEAREA", "Base_margin", "Job_labels", "Job_values"),
         "Footprint and working margin"),
        ("Base tamped", kinds.BULK, call("BASEVOLUME", "Qty_Base_area", "Base_thickness"),
         "Area times tamped thickness"),
        ("Base loose", kinds.BULK,
         call("LOOSEVOLUME", "Qty_Base_tamped", lookup("Bases", "factor", "Base_material")),
         "To order: tamped volume times compaction factor"),
        ("Base weight", kinds.LOAD_MASS,
         call("BULKWEIGHT", loose, lookup("Bases", "density", "Base_material")), "Loose"),
        ("Base in selling unit", kinds.RATIO,
         f'IF({sold_by}="bag",{loose}/{lookup("Bases", "bag", "Base_material")},'
         f'IF({sold_by}="{weight}",Qty_Base_weight,{loose}))',
         f"{bulk}, {weight} or bags, as the material is sold"),
        ("Cartridges", kinds.COUNT,
         call("CARTRIDGES", "Qty_Bed_length", "Beads", "Bead_diameter",
              lookup("Adhesives", "cartridge", "Adhesive"), "Adhesive_waste"),
         "Beads along every glued bed, waste included"),
        ("Liner length", kinds.LENGTH,
         call("LINERSHEET", "Inside_length", "Qty_Wall_height", "Liner_lap"),
         "Sheet liner: down, across, up, and flaps"),
        ("Liner width", kinds.LENGTH,
         call("LINERSHEET", "Inside_width", "Qty_Wall_height", "Liner_lap"), "Likewise"),
        ("Liner area", kinds.AREA,
         call("LINERAREA", "Inside_length", "Inside_width", "Qty_Wall_height", "Liner_lap"),
         "Of the sheet"),
        ("Underlay area", kinds.AREA,
         call("LINERAREA", "Inside_length", "Inside_width", "Qty_Wall_height", "0"),
         "Floor and walls, no flaps"),
        ("Water volume", kinds.LIQUID,
         call("WATERVOLUME", "Inside_length", "Inside_width", "Water_depth"), "To the water depth"),
        ("Water weight", kinds.MASS, call("WATERWEIGHT", "Qty_Water_volume"), ""),
        ("Fill time", kinds.HOURS, call("FILLTIME", "Qty_Water_volume", "Hose_flow"),
         "From the site's hose"),
        ("Block weight", kinds.MASS,
         f"Qty_Blocks_to_buy*{lookup('Blocks', 'weight', 'Block')}",
         "All blocks to buy; plan how they are moved"),
        ("Cap weight", kinds.MASS,
         f'IF(Cap="",0,Qty_Caps_to_buy*N({lookup("Caps", "weight", "Cap")}))'
         f'+IF(Column_cap="",0,Qty_Column_caps*N({lookup("Column_caps", "weight", "Column_cap")}))',
         "Caps and column caps"),
    )  # fmt: skip


def add_takeoff(template: Template) -> None:
    """Add the sheet, and a name (``Qty_...``) for each quantity."""
    sheet = template.sheet("Take-off", [34, 16, 10, 60], pages=1)
    sheet.title("Take-off", "D")
    put_table(template, "Job_labels", "Job_values", "Job_quantities")
    row = 4
    sheet.section(row, "Layout", "D")
    for found in ITEMS.values():
        row += 1
        _item(sheet, row, found)
    row += 2
    sheet.section(row, "Materials", "D")
    for label, kind, formula, help in _materials(sheet.system):
        row += 1
        _line(sheet, row, label, kind, formula, help)
        if label == "Base in selling unit":
            sold_by = lookup("Bases", "sold_by", "Base_material")
            sheet.put(f"C{row}", f'=IF(Base_material="","",{sold_by})', style.UNIT)
    row += 1
    sheet.put(f"A{row}", "Liner fit", style.LABEL)
    fit = call(
        "LINERFIT", "Inside_length", "Inside_width", lookup("Liners", "length", "Liner"),
        lookup("Liners", "width", "Liner"), "Liner_tolerance",
    )  # fmt: skip
    sheet.put(
        f"B{row}",
        when_ready(f'IF({lookup("Liners", "type", "Liner")}="preformed",{fit},"cut from sheet")'),
        style.RESULT_TEXT,
        name="Qty_Liner_fit",
    )
    sheet.put(
        f"D{row}", "A preformed liner wants its nominal inside size: measure the clear distances",
        style.NOTE,
    )  # fmt: skip
    sheet.height(row, 28)
    row = _lifting(sheet, row + 2)
    sheet.finish(f"A1:D{row}", freeze="A4", titles="1:2")


def _lifting(sheet: Sheet, row: int) -> int:
    """Which pieces are too heavy for one person."""
    sheet.section(row, "Lifting", "D")
    for table, chosen, label in (
        ("Blocks", "Block", "One block"),
        ("Caps", "Cap", "One cap"),
        ("Column_caps", "Column_cap", "One column cap"),
    ):
        row += 1
        note = call("LIFTNOTE", f"N({lookup(table, 'weight', chosen)})")
        sheet.put(f"A{row}", label, style.LABEL)
        sheet.merge(f"B{row}:D{row}")
        sheet.put(
            f"B{row}",
            f'=IF({chosen}="","none",IFERROR(IF({note}="","within one person\'s load constant, '
            f'23 kg (51 lb)",{note}),"no weight on the Materials sheet"))',
            style.CAUTION,
        )
        sheet.height(row, 40)
    return row


def _item(sheet: Sheet, row: int, found: Item) -> None:
    _line(sheet, row, found.label, found.kind, quantity(found.label), found.help)


def _line(sheet: Sheet, row: int, label: str, kind: Kind, formula: str, help: str) -> None:
    sheet.put(f"A{row}", label, style.LABEL)
    sheet.put(
        f"B{row}",
        when_ready(formula),
        style.RESULT,
        number_format=sheet.number_format(kind),
        name=item_name(label),
    )
    sheet.put(f"C{row}", sheet.unit(kind) or None, style.UNIT)
    sheet.put(f"D{row}", help or None, style.NOTE)
