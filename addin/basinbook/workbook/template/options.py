"""The Options sheet: four options side by side, each priced as the estimate is."""

from __future__ import annotations

from dataclasses import dataclass

from basinbook.engine import kinds
from basinbook.engine.kinds import Kind
from basinbook.engine.spec import FIELDS, Field
from basinbook.workbook.template import style
from basinbook.workbook.template.job import COMPLETE, LAYOUT_FIELDS, from_materials, layout_value
from basinbook.workbook.template.materials import lookup, pack_size, unknown
from basinbook.workbook.template.sheet_writer import MISSING, MONEY, Sheet, Template, call
from basinbook.workbook.template.takeoff import put_table, quantity

COLUMNS = "CDEF"
LAST = "F"
_MATERIALS = (("Block", "Blocks_name"), ("Cap", "Caps_name"), ("Liner", "Liners_name"))
# Layout inputs that an option may change, beside the materials.
_CHANGED = (
    "inside_length", "inside_width", "water_depth", "courses", "columns", "column_courses",
    "second_wall",
)  # fmt: skip


@dataclass(frozen=True)
class _Result:
    """One row of results: label, formula text with {c} for the column, kind, and its key."""

    key: str
    label: str
    formula: str
    kind: Kind
    money: bool = False


def add_options(template: Template) -> None:
    """Add the sheet; a blank cell of an option means: as on the Job sheet."""
    sheet = template.sheet("Options", [34, 9, 25, 25, 25, 25], landscape=True, pages=1)
    sheet.title("Options", LAST)
    sheet.merge("A3:F3")
    sheet.put(
        "A3", "Change what an option is to have; a blank cell is as on the Job sheet. "
        "Everything below follows at once.", style.NOTE,
    )  # fmt: skip
    sheet.put("A4", "Option", style.HEAD)
    sheet.put("B4", "Unit", style.HEAD)
    for column, text in zip(
        COLUMNS, ("As on Job", "Option 2", "Option 3", "Option 4"), strict=True
    ):
        sheet.put(f"{column}4", text, style.INPUT_TEXT)
        sheet.worksheet[f"{column}4"].font = style.HEAD.font
    sheet.section(5, "Changed in this option", LAST)
    changed = _changes(sheet)
    first_result = 6 + len(changed) + 1
    results = _results(template)
    first_field = first_result + len(results) + 5
    rows = {r.key: first_result + 1 + n for n, r in enumerate(results)}
    _layout_inputs(sheet, first_field, changed)
    _write_results(sheet, first_result, results, rows)
    last = first_field + len(LAYOUT_FIELDS)
    sheet.finish(f"A1:F{first_result + len(results) + 2}", freeze="C5", titles="1:4")
    for row in range(first_field, last + 1):
        sheet.worksheet.row_dimensions[row].outlineLevel = 1


def _changes(sheet: Sheet) -> dict[str, int]:
    row, rows = 5, {}
    for label, choices in _MATERIALS:
        row += 1
        rows[label] = row
        sheet.put(f"A{row}", label, style.LABEL)
        for column in COLUMNS:
            name = f"Option_{column_number(column)}_{label}"
            sheet.put(f"{column}{row}", None, style.INPUT_TEXT, name=name)
            sheet.list_of(f"{column}{row}", choices)
    for name in _CHANGED:
        row += 1
        field = FIELDS[name]
        rows[name] = row
        sheet.put(f"A{row}", field.label, style.LABEL)
        sheet.put(f"B{row}", sheet.unit(field.kind) or None, style.UNIT)
        for column in COLUMNS:
            own = f"Option_{column_number(column)}_{layout_value(field)}"
            sheet.put(
                f"{column}{row}", None, style.INPUT_TEXT if field.choices else style.INPUT, name=own
            )
            if field.choices:
                sheet.list_of(f"{column}{row}", field.choices)
            elif field.kind is kinds.COUNT:
                sheet.whole_number(f"{column}{row}", int(field.low or 0), int(field.high or 0))
    return rows


def column_number(column: str) -> int:
    """Return the number of the option in a column of the sheet."""
    return COLUMNS.index(column) + 1


def _chosen(column: str, rows: dict[str, int], label: str) -> str:
    """Formula text of a material of an option: its own, or the job's; blank stays blank."""
    own = f"{column}{rows[label]}"
    return f'IF({own}="",IF({label}="","",{label}),{own})'


def _layout_inputs(sheet: Sheet, first: int, changed: dict[str, int]) -> None:
    sheet.section(first - 2, "Layout inputs of each option (calculated)", LAST)
    for label, _ in _MATERIALS:
        for column in COLUMNS:
            # Hidden in the names, not on the sheet: formulas below read an option's material here.
            cell = f"{column}{first + len(LAYOUT_FIELDS) + 1 + _material_index(label)}"
            sheet.put(cell, f"={_chosen(column, changed, label)}", style.RESULT_TEXT)
        row = first + len(LAYOUT_FIELDS) + 1 + _material_index(label)
        sheet.put(f"A{row}", f"{label} of the option", style.LABEL)
    for offset, field in enumerate(LAYOUT_FIELDS):
        row = first + offset
        sheet.put(f"A{row}", field.label, style.LABEL)
        sheet.put(f"B{row}", sheet.unit(field.kind) or None, style.UNIT)
        for column in COLUMNS:
            formula = _layout_formula(field, column, first, changed)
            sheet.put(f"{column}{row}", f"={formula}", style.RESULT, number_format="General")
    last = first + len(LAYOUT_FIELDS) - 1
    sheet.name("Option_labels", f"$A${first}:$A${last}")
    for number, column in enumerate(COLUMNS, start=1):
        values = f"Option_{number}_values"
        sheet.name(values, f"${column}${first}:${column}${last}")
        put_table(sheet.template, "Option_labels", values, f"Option_{number}_quantities")


def _material_index(label: str) -> int:
    return [name for name, _ in _MATERIALS].index(label)


def _material_cell(column: str, first: int, label: str) -> str:
    return f"{column}{first + len(LAYOUT_FIELDS) + 1 + _material_index(label)}"


def _layout_formula(field: Field, column: str, first: int, changed: dict[str, int]) -> str:
    materials = from_materials(
        field.name,
        _material_cell(column, first, "Block"),
        _material_cell(column, first, "Cap"),
    )
    if materials:
        return materials
    job = f'IF({layout_value(field)}="","",{layout_value(field)})'
    if field.name in changed:
        own = f"{column}{changed[field.name]}"
        return f'IF({own}="",{job},{own})'
    return job


def _item(label: str) -> str:
    return quantity(label, "Option_{n}_quantities")


def _results(template: Template) -> tuple[_Result, ...]:
    loose = call(
        "LOOSEVOLUME",
        call("BASEVOLUME", call("BASEAREA", "Base_margin", "Option_labels", "Option_{n}_values"),
             "Base_thickness"),
        lookup("Bases", "factor", "Base_material"),
    )  # fmt: skip
    area = call("LINERAREA", "{inside_length}", "{inside_width}", "{wall_height}", "Liner_lap")
    under = call("LINERAREA", "{inside_length}", "{inside_width}", "{wall_height}", "0")
    preformed = lookup("Liners", "type", "{Liner}") + '="preformed"'
    fit = call("LINERFIT", "{inside_length}", "{inside_width}",
               lookup("Liners", "length", "{Liner}"), lookup("Liners", "width", "{Liner}"),
               "Liner_tolerance")  # fmt: skip
    sold_by = lookup("Bases", "sold_by", "Base_material")
    weight_unit = template.unit(kinds.LOAD_MASS)
    weight = call("BULKWEIGHT", "{base}", lookup("Bases", "density", "Base_material"))

    def packed(quantity: str, pack: str) -> str:
        return f"{call('PACKS', quantity, pack)}*{pack}"

    def priced(chosen: str, quantity: str, table: str, pack: str) -> str:
        cost = (
            f"{packed(quantity, pack_size(table, pack, chosen))}*{lookup(table, 'price', chosen)}"
        )
        return f'IF({chosen}="",0,{cost})'

    base_quantity = (
        f'IF({sold_by}="bag",{{base}}/{lookup("Bases", "bag", "Base_material")},'
        f'IF({sold_by}="{weight_unit}",{weight},{{base}}))'
    )
    liner_cost = (
        f'IF({{Liner}}="",0,IF({preformed},{lookup("Liners", "price", "{Liner}")},'
        f"{call('PACKS', area, '1')}*{lookup('Liners', 'price', '{Liner}')}))"
    )
    materials = "+".join((
        priced("Base_material", base_quantity, "Bases", "step"),
        priced("{Block}", "{blocks}", "Blocks", "pack"),
        priced("{Cap}", "{caps}", "Caps", "pack"),
        priced("Column_cap", "{column_caps}", "Column_caps", "pack"),
        priced("Adhesive", "{cartridges}", "Adhesives", "pack"),
        liner_cost,
        priced("Underlay", under, "Underlays", "step"),
        "Total_plumbing_and_other",
    ))  # fmt: skip
    hours = (
        "INDEX(Labour_hours,1)+INDEX(Labour_hours,2)*{tamped}+INDEX(Labour_hours,3)*{pieces}"
        "+INDEX(Labour_hours,4)*{cuts_all}+INDEX(Labour_hours,5)*({caps_needed}+{column_caps})"
        "+INDEX(Labour_hours,6)+INDEX(Labour_hours,7)"
    )
    before_tax = (
        "({materials}+Delivery)*(1+Markup_on_materials)+{hours}*Labour_rate*(1+Markup_on_labour)"
    )
    taxed = (
        f'IF(Tax_applies_to="all",{before_tax},IF(Tax_applies_to="materials",'
        "({materials}+Delivery)*(1+Markup_on_materials),0))"
    )
    money = Kind("money")
    return (
        _Result("courses_built", "Courses", _item("Courses"), kinds.COUNT),
        _Result("wall_height", "Wall height", _item("Wall height"), kinds.LENGTH),
        _Result("outside_length", "Outside length", _item("Outside length"), kinds.LENGTH),
        _Result("outside_width", "Outside width", _item("Outside width"), kinds.LENGTH),
        _Result("blocks", "Blocks to buy", _item("Blocks to buy"), kinds.COUNT),
        _Result("pieces", "Pieces to lay", _item("Pieces laid"), kinds.COUNT),
        _Result("cuts", "Cut pieces", _item("Cut pieces"), kinds.COUNT),
        _Result("lengths", "Different cut lengths", _item("Different cut lengths"), kinds.COUNT),
        _Result("cuts_all", "Saw cuts, caps included",
                f"{_item('Saw cuts')}+{_item('Cap saw cuts')}", kinds.COUNT),
        _Result("caps_needed", "Caps to lay", _item("Caps needed"), kinds.COUNT),
        _Result("caps", "Caps to buy", _item("Caps to buy"), kinds.COUNT),
        _Result("column_caps", "Column caps", _item("Column caps"), kinds.COUNT),
        _Result("base", "Base, loose", loose, kinds.BULK),
        _Result("tamped", "Base, tamped", f"{{base}}/{lookup('Bases', 'factor', 'Base_material')}",
                kinds.BULK),
        _Result("cartridges", "Adhesive cartridges",
                call("CARTRIDGES", _item("Bed length"), "Beads", "Bead_diameter",
                     lookup("Adhesives", "cartridge", "Adhesive"), "Adhesive_waste"), kinds.COUNT),
        _Result("fit", "Liner fit", f'IF({preformed},{fit},"cut from sheet")', kinds.TEXT),
        _Result("water", "Water",
                call("WATERVOLUME", "{inside_length}", "{inside_width}", "{water_depth}"),
                kinds.LIQUID),
        _Result("hours", "Person-hours", hours, kinds.HOURS),
        _Result("materials", "Materials", materials, money, money=True),
        _Result("price_before_tax", "Price before tax", before_tax, money, money=True),
        _Result("price", "Price to the client", f"{{price_before_tax}}+Tax_rate*{taxed}", money,
                money=True),
    )  # fmt: skip


def _write_results(
    sheet: Sheet, first: int, results: tuple[_Result, ...], rows: dict[str, int]
) -> None:
    sheet.section(first, "What follows", LAST)
    field_rows = {field.name: first + len(results) + 5 + n for n, field in enumerate(LAYOUT_FIELDS)}
    message_row = first + len(results) + 1
    for result in results:
        row = rows[result.key]
        strong = result.key == "price"
        sheet.put(f"A{row}", result.label, style.STRONG if strong else style.LABEL)
        unit = "=Currency" if result.money else (sheet.unit(result.kind) or None)
        sheet.put(f"B{row}", unit, style.UNIT)
        for number, column in enumerate(COLUMNS, start=1):
            cells = {key: f"{column}{line}" for key, line in {**field_rows, **rows}.items()}
            materials = {
                label: _material_cell(column, first + len(results) + 5, label)
                for label, _ in _MATERIALS
            }
            formula = result.formula.format(n=number, **{**cells, **materials})
            role = (
                style.RESULT_STRONG
                if strong
                else (style.RESULT_TEXT if result.kind is kinds.TEXT else style.RESULT)
            )
            sheet.put(
                f"{column}{row}", f'=IF({column}{message_row}="{COMPLETE}",{formula},"")', role,
                number_format=MONEY if result.money else sheet.number_format(result.kind),
                name=f"Option_{number}_{result.key}" if result.key == "price" else "",
            )  # fmt: skip
    sheet.put(f"A{message_row}", "Inputs", style.LABEL)
    for number, column in enumerate(COLUMNS, start=1):
        message = call(
            "WHY",
            '"TAKEOFF"',
            '"Blocks to buy"',
            "Option_labels",
            f"Option_{number}_values",
            "Units",
        )
        found = f'IF({message}="","{COMPLETE}",{message})'
        for label, names in _MATERIALS:
            chosen = _material_cell(column, first + len(results) + 5, label)
            missing = unknown(chosen, names.removesuffix("_name"))
            found = f'IF({missing},"{label}: not on the Materials sheet",{found})'
        sheet.put(
            f"{column}{message_row}",
            f'=IFERROR(IF(Job_problem<>"{COMPLETE}",Job_problem,{found}),"{MISSING}")',
            style.NOTE_TOP,
        )
    sheet.height(message_row, 66)
