"""The template workbooks as files: names, locks, lists, units, pages, formulas, properties."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path

import openpyxl
import pytest
from lxml import etree
from openpyxl.cell import Cell, MergedCell
from openpyxl.utils.cell import get_column_letter, range_boundaries
from openpyxl.workbook import Workbook
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.worksheet import Worksheet

from basinbook.catalogue import functions
from basinbook.catalogue.model import CellError
from basinbook.engine.inputs import Input
from basinbook.engine.spec import FIELDS
from basinbook.engine.takeoff import ITEMS, Item
from basinbook.workbook.recalculation.recalc import read_values
from basinbook.workbook.template import style
from basinbook.workbook.template.inputs import BY_NAME
from basinbook.workbook.template.inputs.groups import TOPICS
from basinbook.workbook.template.tables import TABLES, MaterialTable
from basinbook.workbook.template.template_files import HOSTS, template_name, write_templates
from workbook.formula_text import calls, formula, formulas
from workbook.places import SYSTEMS, place

REPOSITORY = Path(__file__).parents[2]
WANTED_SHEETS = {
    "Basin", *TOPICS, "Materials", "Pump and pipe", "Take-off", "Water", "Losses and loads",
    "Estimate", "Options", "Order", "Setting plan", "Steps", "Pieces", "Cuts", "Checks", "Stages",
    "Owner", "Site", "Drawings", "Cautions",
}  # fmt: skip
# Excel's limits: "Excel specifications and limits" of its maker's support pages, from memory.
LONGEST_FORMULA, DEEPEST_NESTING = 8192, 64
WORKING = "Working"  # hidden: tables that the other sheets pick their cells from


@pytest.fixture(scope="module", params=SYSTEMS)
def system(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def path(system: str, blanks: dict[str, Path]) -> Path:
    return blanks[system]


@pytest.fixture(scope="module")
def book(path: Path) -> Workbook:
    return openpyxl.load_workbook(path)


def cells(sheet: Worksheet) -> Iterator[Cell]:
    for row in sheet.iter_rows():
        for cell in row:
            if not isinstance(cell, MergedCell):
                yield cell


def area(book: Workbook, name: str) -> tuple[Worksheet, str]:
    """Return where a defined name points: one area of one sheet that is there."""
    sheet, reference = place(book, name)
    return book[sheet], reference


def one_cell(book: Workbook, name: str) -> Cell:
    sheet, reference = area(book, name)
    assert ":" not in reference, name
    found = sheet[reference]
    assert isinstance(found, Cell)
    return found


def shown(book: Workbook) -> list[Worksheet]:
    return [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]


def as_name(label: str) -> str:
    return label.replace(" ", "_").replace("-", "_")


def test_sheets(book: Workbook) -> None:
    assert set(book.sheetnames) >= WANTED_SHEETS
    assert book.sheetnames[0] == "Basin"
    assert book.active is book["Basin"]
    hidden = [sheet.title for sheet in book.worksheets if sheet.sheet_state != "visible"]
    assert hidden == [WORKING]
    for cell in cells(book[WORKING]):
        if cell.value is not None and cell.row > 1:
            # Labels are words; whatever is worked out is a formula, or of one.
            words = isinstance(cell.value, str)
            assert words or in_arrays(book[WORKING], cell.coordinate), cell.coordinate


def in_arrays(sheet: Worksheet, reference: str) -> bool:
    """Whether an area lies in the area of one array formula."""
    left, top, right, bottom = range_boundaries(reference)
    return any(
        low <= left and first <= top and right <= high and bottom <= last
        for low, first, high, last in (range_boundaries(ref) for ref in _arrays(sheet))
    )


def _arrays(sheet: Worksheet) -> list[str]:
    return [cell.value.ref for cell in cells(sheet) if isinstance(cell.value, ArrayFormula)]


def test_names_of_earlier_templates_are_all_there(book: Workbook) -> None:
    """Users' own formulas refer to them; the list is of the templates of November 2026."""
    frozen = (Path(__file__).parent / "template_names.txt").read_text(encoding="utf-8").split()
    assert len(frozen) == 408
    assert set(frozen) - set(book.defined_names) == set()


def test_every_defined_name_points_into_a_sheet(book: Workbook) -> None:
    assert len(book.defined_names) > 150
    for name in book.defined_names:
        sheet, reference = area(book, name)
        if sheet.title == WORKING:
            # The line of first results is read as a whole; others are of an array or a block.
            left, top, right, bottom = range_boundaries(reference)
            full = all(map(all, sheet.iter_rows(top, bottom, left, right, values_only=True)))
            assert name == "Working_line" or full or in_arrays(sheet, reference), name
            continue
        left, top, right, bottom = range_boundaries(reference)
        assert 1 <= left <= right <= sheet.max_column, name
        assert 1 <= top <= bottom <= sheet.max_row, name


@pytest.mark.parametrize("field", FIELDS.values(), ids=lambda field: field.name)
def test_every_layout_input_has_a_named_cell_beside_its_label(book: Workbook, field: Input) -> None:
    cell = one_cell(book, as_name(field.label))
    assert cell.parent.title == BY_NAME[field.name].sheet
    assert cell.parent.cell(cell.row, 1).value == field.label


@pytest.mark.parametrize("item", ITEMS.values(), ids=lambda item: item.label)
def test_every_quantity_has_a_named_cell_beside_its_label(book: Workbook, item: Item) -> None:
    cell = one_cell(book, "Qty_" + as_name(item.label))
    assert cell.parent.title == "Take-off"
    assert cell.parent.cell(cell.row, 1).value == item.label
    assert formula(cell.value)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_material_tables_have_named_columns_of_one_height_with_spare_rows(
    book: Workbook, system: str, table: MaterialTable
) -> None:
    heights = set()
    for column in table.columns:
        sheet, reference = area(book, f"{table.name}_{column.key}")
        assert sheet.title == "Materials"
        left, top, right, bottom = range_boundaries(reference)
        assert left == right
        heights.add((top, bottom))
        given = [sheet.cell(row, left) for row in range(top, bottom + 1)]
        # Fixed are names that other sheets look up.
        assert all(bool(cell.protection.locked) == column.fixed for cell in given)
        heading = str(sheet.cell(top - 1, left).value)
        assert heading.startswith(column.heading.replace("per area", "per "))
    assert len(heights) == 1
    top, bottom = heights.pop()
    assert bottom - top + 1 == len(table.rows(system)) + table.spare


def test_input_cells_are_unlocked_formula_cells_locked_and_the_look_tells(book: Workbook) -> None:
    typed_fill = style.INPUT.fill.start_color.rgb
    seen = 0
    for sheet in book.worksheets:
        for cell in cells(sheet):
            where = f"{sheet.title}!{cell.coordinate}"
            unlocked = not cell.protection.locked
            assert not (unlocked and formula(cell.value)), where
            looks_typed = cell.fill.fill_type == "solid" and cell.fill.start_color.rgb == typed_fill
            assert looks_typed == unlocked, where
            seen += unlocked
    assert seen > 300


def test_inputs_of_the_job_can_be_typed_into(book: Workbook) -> None:
    from_materials = ("Block_", "Cap_length", "Cap_depth", "Cap_height", "Column_cap_")
    for field in FIELDS.values():
        cell = one_cell(book, as_name(field.label))
        lintel_size = field.label.endswith(("lintel length", "lintel height"))
        calculated = field.name.startswith(from_materials) or lintel_size
        assert bool(cell.protection.locked) == calculated, field.label
        assert bool(formula(cell.value)) == calculated, field.label


def test_sheets_are_protected_without_a_password(book: Workbook, path: Path) -> None:
    for sheet in book.worksheets:
        assert sheet.protection.sheet, sheet.title
        assert not sheet.protection.password, sheet.title
    with zipfile.ZipFile(path) as package:
        for part in package.namelist():
            if part.startswith("xl/worksheets/sheet"):
                text = package.read(part).decode()
                (found,) = re.findall(r"<sheetProtection[^>]*>", text)
                assert not re.search(r"password|hashValue|saltValue", found), part


def test_choices_are_lists_and_what_stands_in_them_is_of_the_list(book: Workbook) -> None:
    lists = 0
    for sheet in book.worksheets:
        for validation in sheet.data_validations.dataValidation:
            if validation.type != "list":
                continue
            lists += 1
            assert validation.showErrorMessage
            source = validation.formula1
            if source.startswith('"'):
                allowed = source.strip('"').split(",")
            else:
                source_sheet, reference = area(book, source.lstrip("="))
                rows = source_sheet[reference]
                allowed = [row[0].value for row in rows]
            assert any(allowed), source
            for reference in str(validation.sqref).split():
                block = sheet[reference]
                for row in block if isinstance(block, tuple) else ((block,),):
                    for cell in row:
                        assert not cell.protection.locked
                        if cell.value is not None:
                            assert str(cell.value) in allowed, f"{sheet.title}!{cell.coordinate}"
    assert lists >= 40


@pytest.mark.parametrize(
    "name",
    [
        "Block", "Cap", "Column_cap", "Base_material", "Adhesive", "Liner", "Underlay",
        "Tax_applies_to", "Pump", "Pipe", "Fitting_1", "Spill_kind", "Soil", "Option_4_Block",
        "Option_4_Second_wall",
        *(as_name(field.label) for field in FIELDS.values() if field.choices),
    ],
)  # fmt: skip
def test_a_choice_has_a_list(book: Workbook, name: str) -> None:
    cell = one_cell(book, name)
    lists = [
        validation
        for validation in cell.parent.data_validations.dataValidation
        if validation.type == "list" and cell.coordinate in validation.sqref
    ]
    assert len(lists) == 1


# What a sheet's rows give without a unit: counts, ratios, words.
_OF_TOPICS = "Sheets by topic"
_NO_UNIT = {
    _OF_TOPICS: {
        "Turned blocks in every",
        "Courses", "Second wall courses", "Column courses", "Columns", "Access gap courses",
        "Pipe opening course", "Breakage", "Beads", "Crew", "Hours per day", "Adhesive waste",
        "Markup on materials", "Contingency on materials", "Contingency on labour and site",
        "Overhead", "Margin", "Markup on labour", "Tax rate",
    },
    "Take-off": {
        "Turned blocks", "Ties of the second wall", "Blocks still needed",
        "Courses", "Whole blocks", "Cut pieces", "Saw cuts", "Different cut lengths",
        "Blocks cut up", "Blocks needed", "Blocks to buy", "Pieces laid", "Column pieces",
        "Second wall pieces", "Caps needed", "Caps to buy", "Cap cut pieces", "Cap saw cuts",
        "Column caps", "Cartridges", "Courses needed for the water", "Cap joints",
        "Cap joints over joints", "Layouts not proved",
        "Mitred caps under the shortest piece", "Lintel over pipe opening",
        "Lintel over opening 2", "Lintel over opening 3", "Lintel over opening 4",
        "Cuts for the look",
        "Pieces cut round the pipe", "Columns on walls",
    },
    "Options": {
        "Turned blocks in every",
        "Courses", "Columns", "Column courses", "Blocks to buy", "Pieces to lay", "Cut pieces",
        "Different cut lengths", "Saw cuts, caps included", "Caps to lay", "Caps to buy",
        "Column caps", "Cartridges", "Adhesive cartridges", "Second wall courses", "Breakage",
        "Access gap courses", "Pipe opening course", "Block height of the job to this",
    },
    "Water": {
        "End contractions", "Sum of K", "Flow over the flow wanted", "K of its fittings",
        "Outlets listed", "Outlets out of reach",
    },
    "Losses and loads": {
        "Relative humidity", "Friction at the base", "Friction under the wall",
        "Share of the bed that is glued",
        "Free strip: sliding ratio", "Free strip: overturning ratio", "Bond ratio, least joint",
        "Closed box: ratio", "Bearing ratio",
        "Dose of the treatment", "Treatment: amount on the label", "Treatment per season",
    },
}  # fmt: skip
_UNIT_COLUMN = {_OF_TOPICS: 3, "Take-off": 3, "Options": 2, "Water": 3, "Losses and loads": 3}


@pytest.mark.parametrize("title", _UNIT_COLUMN)
@pytest.mark.parametrize("of", SYSTEMS)
def test_a_unit_stands_beside_every_number(demos: dict[str, Path], of: str, title: str) -> None:
    book, stored = openpyxl.load_workbook(demos[of]), read_values(demos[of])
    found = [
        _units_beside(book[each], stored[each], title)
        for each in (TOPICS if title == _OF_TOPICS else (title,))
    ]
    assert [label for without, _ in found for label in without] == []
    assert sum(seen for _, seen in found) > 15


def _units_beside(
    sheet: Worksheet, values: Mapping[str, object], title: str
) -> tuple[list[str], int]:
    """Return the labels of numbers without a unit, and how many numbers there are."""
    unit = _UNIT_COLUMN[title]
    value_column = unit + 1 if title == "Options" else unit - 1
    without: list[str] = []
    seen, in_table = 0, False
    for row in range(4, sheet.max_row + 1):
        label = values.get(f"A{row}")
        if not isinstance(label, str) or not label:
            in_table = in_table and label is not None
            continue
        at = sheet.cell(row, value_column)
        if at.fill.start_color.rgb == style.HEAD.fill.start_color.rgb and at.value:
            in_table = True  # its units stand in its headings
        value = values.get(at.coordinate)
        if in_table or isinstance(value, bool) or not isinstance(value, (int, float)):
            continue
        if at.number_format.startswith("yyyy"):
            continue
        seen += 1
        if not values.get(sheet.cell(row, unit).coordinate) and label not in _NO_UNIT[title]:
            without.append(label)
    return without, seen


def test_length_units_are_those_of_the_system(book: Workbook, system: str) -> None:
    unit = {"us": "in", "metric": "mm"}[system]
    for field in FIELDS.values():
        if field.kind.name == "length":
            cell = one_cell(book, as_name(field.label))
            assert cell.parent.cell(cell.row, 3).value == unit, field.label
    assert one_cell(book, "Units").value == system


def test_no_length_stands_there_in_both_unit_systems(book: Workbook) -> None:
    for sheet in shown(book):
        for cell in cells(sheet):
            text = str(formula(cell.value) or cell.value or "")
            assert not re.search(r"[0-9] in \([0-9.]+ mm\)", text), (sheet.title, cell.coordinate)


def test_pages(book: Workbook, system: str) -> None:
    paper = {"us": 1, "metric": 9}[system]  # ECMA-376 part 1, 18.3.1.63: 1 is Letter, 9 is A4
    for sheet in shown(book):
        where = sheet.title
        assert sheet.print_area, where
        assert sheet.page_setup.paperSize == paper, where
        assert sheet.page_setup.orientation in ("portrait", "landscape"), where
        if sheet.sheet_properties.pageSetUpPr.fitToPage:
            assert sheet.page_setup.fitToWidth == 1, where
        else:
            assert sheet.page_setup.scale, where
        if where == "Drawings":
            continue
        assert sheet.freeze_panes, where
        assert sheet.print_title_rows or sheet.page_setup.fitToHeight == 1, where
        assert "&P" in str(sheet.oddFooter.right.text), where


@pytest.mark.parametrize("on", ["letter", "a4"])
def test_sheets_printed_at_a_scale_are_no_wider_than_the_paper(book: Workbook, on: str) -> None:
    """Column width in pixels: 7 a character and 5 of padding (ECMA-376 part 1, 18.3.1.13).

    Calc takes a little more: it set the last column of a sheet of 99 % on a page of its own.
    """
    paper = {"letter": (612.0, 792.0), "a4": (595.3, 841.9)}  # points: ANSI Letter, ISO 216 A4
    scaled = [s for s in shown(book) if not s.sheet_properties.pageSetUpPr.fitToPage]
    assert len(scaled) >= 4
    for sheet in scaled:
        if sheet.title == "Drawings":
            continue  # Pictures in one column.
        short, long = paper[on]
        across = long if sheet.page_setup.orientation == "landscape" else short
        room = across - 72 * (sheet.page_margins.left + sheet.page_margins.right)
        area = sheet.print_area.rpartition("!")[2].replace("$", "")
        left, _, right, _ = range_boundaries(area)
        pixels = sum(
            int(7 * sheet.column_dimensions[get_column_letter(column)].width + 5)
            for column in range(left, right + 1)
        )
        assert 0.75 * pixels * sheet.page_setup.scale / 100 <= 0.988 * room, sheet.title


def test_what_is_used_is_printed(book: Workbook) -> None:
    """Nothing filled in lies right of a print area, and below it only what says so."""
    for sheet in shown(book):
        area = sheet.print_area.rpartition("!")[2].replace("$", "")
        _, _, right, bottom = range_boundaries(area)
        for cell in cells(sheet):
            if cell.value is None:
                continue
            assert cell.column <= right, f"{sheet.title}!{cell.coordinate}"
            if sheet.title not in ("Options", "Pieces"):
                assert cell.row <= bottom, f"{sheet.title}!{cell.coordinate}"


@pytest.mark.parametrize(
    "title", ["Take-off", "Estimate", "Options", "Order", "Checks", "Setting plan", "Cuts", "Water"]
)
def test_no_number_is_pasted_where_a_formula_belongs(book: Workbook, title: str) -> None:
    numbers = 0
    for cell in cells(book[title]):
        if isinstance(cell.value, (int, float)) and not isinstance(cell.value, bool):
            assert not cell.protection.locked, f"{title}!{cell.coordinate}"
        numbers += bool(formula(cell.value))
    assert numbers > 0


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def test_locked_cells_of_the_job_sheet_hold_no_number(book: Workbook) -> None:
    version = one_cell(book, "Workbook_version")
    for title in (*TOPICS, "Materials", "Losses and loads", "Pump and pipe"):
        for cell in cells(book[title]):
            # The template's version is a fact of the file, and nothing to type.
            if cell is not version and _is_number(cell.value):
                assert not cell.protection.locked, f"{title}!{cell.coordinate}"


def test_at_least_four_options_side_by_side(book: Workbook) -> None:
    numbers = [n for n in range(1, 20) if f"Option_{n}_price" in book.defined_names]
    assert len(numbers) >= 4
    columns = set()
    for n in numbers:
        price = one_cell(book, f"Option_{n}_price")
        assert price.parent.title == "Options"
        assert formula(price.value)
        columns.add(price.column)
        for key in ("Block", "Cap", "Liner", "Inside_length", "Inside_width", "Courses"):
            typed = one_cell(book, f"Option_{n}_{key}")
            assert typed.column == price.column
            # The first shows the job as it is.
            assert bool(typed.protection.locked) == (n == 1)
    assert len(columns) == len(numbers)


def test_calls_of_the_catalogue_exist_and_have_a_valid_number_of_arguments(book: Workbook) -> None:
    declared = functions()
    seen = set()
    for sheet, at, text in formulas(book):
        for call in calls(text)[0]:
            if not call.name.upper().startswith("BASIN."):
                continue
            where = f"{sheet}!{at} {call.name}"
            name = call.name.upper().removeprefix("BASIN.")
            assert name in declared, where
            seen.add(name)
            arguments = declared[name].all_arguments
            if not (arguments and arguments[-1].repeats):
                assert len(call.texts) <= len(arguments), where
            for position, argument in enumerate(arguments):
                if argument.required and not argument.repeats:
                    assert position < len(call.texts), f"{where}: {argument.name}"
                    assert call.texts[position], f"{where}: {argument.name}"
            if declared[name].has_units:
                assert call.texts[len(declared[name].arguments)] == "Units", where
    assert len(seen) >= 40


def test_names_in_formulas_are_defined(book: Workbook) -> None:
    from openpyxl.formula import Tokenizer

    known = {name.upper() for name in book.defined_names} | {"TRUE", "FALSE"}
    cell = re.compile(r"\$?[A-Z]{1,3}\$?\d+")
    for sheet, at, text in formulas(book):
        for token in Tokenizer(text).items:
            if token.type == "OPERAND" and token.subtype == "RANGE":
                parts = token.value.rpartition("!")[2].split(":")
                if not all(cell.fullmatch(part) for part in parts):
                    assert token.value.upper() in known, f"{sheet}!{at}: {token.value}"


def test_formulas_keep_to_the_limits_of_spreadsheets(book: Workbook) -> None:
    count = 0
    for sheet, at, text in formulas(book):
        count += 1
        assert len(text) <= LONGEST_FORMULA, f"{sheet}!{at}"
        assert calls(text)[1] <= DEEPEST_NESTING, f"{sheet}!{at}"
    assert count > 500


def test_no_error_cell_in_a_blank_template(path: Path) -> None:
    for sheet, values in read_values(path).items():
        for at, value in values.items():
            assert not isinstance(value, CellError), f"{sheet}!{at}: {value}"


def test_properties_name_no_person_and_no_folder(path: Path) -> None:
    properties = openpyxl.load_workbook(path).properties
    assert properties.creator == "Basinbook"
    assert properties.lastModifiedBy in (None, "", "Basinbook")
    assert not properties.keywords
    assert not properties.description
    with zipfile.ZipFile(path) as package:
        assert set(package.namelist()) >= {"docProps/core.xml", "docProps/app.xml"}
        for part in package.namelist():
            if part.endswith((".xml", ".rels")):
                text = package.read(part).decode()
                assert not re.search(r"/work/|/tmp/|/home/|/root|/Users/|[A-Z]:\\", text), part
                assert "absPath" not in text, part


def test_never_says_safe_or_approved(path: Path) -> None:
    with zipfile.ZipFile(path) as package:
        for part in package.namelist():
            if part.endswith((".xml", ".rels")):
                text = " ".join(etree.fromstring(package.read(part)).itertext())
                assert not re.search(r"\b(safe|safely|approved)\b", text, re.IGNORECASE), part


@pytest.mark.parametrize("name", [template_name(of, host) for of in SYSTEMS for host in HOSTS])
def test_stored_template_is_what_the_code_builds(name: str, built: Path) -> None:
    stored = REPOSITORY / "workbook_templates" / name
    assert stored.is_file(), "run: basinbook templates workbook_templates"
    stale, pictures = [], []
    with zipfile.ZipFile(stored) as old, zipfile.ZipFile(built / name) as new:
        assert [_entry(found) for found in old.infolist()] == [_entry(f) for f in new.infolist()]
        for part in new.namelist():
            if old.read(part) == new.read(part):
                continue
            # How glyphs are drawn is the picture library's affair; sheets are ours.
            if part.startswith("xl/media/"):
                assert old.read(part)[:24] == new.read(part)[:24], part  # PNG: width and height
                pictures.append(part)
            else:
                stale.append(part)
    assert not stale, "run: basinbook templates workbook_templates --force"
    assert pictures or stored.read_bytes() == (built / name).read_bytes()


def _entry(found: zipfile.ZipInfo) -> tuple[object, ...]:
    return found.filename, found.date_time, found.create_system, found.external_attr, found.extra


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All templates, built from code."""
    folder = tmp_path_factory.mktemp("templates")
    write_templates(folder)
    return folder


def test_each_build_gives_the_same_bytes(built: Path, tmp_path: Path) -> None:
    """Built anew a while later, in another process whose sets and hashes are in another order."""
    command = [sys.executable, "-m", "basinbook.cli", "templates", str(tmp_path)]
    subprocess.run(command, check=True, env={**os.environ, "PYTHONHASHSEED": "11"}, timeout=300)
    names = sorted(path.name for path in built.iterdir())
    assert names == sorted(path.name for path in tmp_path.iterdir())
    for name in names:
        assert (built / name).read_bytes() == (tmp_path / name).read_bytes(), name
