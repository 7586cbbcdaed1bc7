"""Workbooks with something wrong in them: they are read or refused, soon, and nothing else.

Parts of good workbooks are changed in their bytes, their elements and attributes, and in how the
zip holds them; then every command that reads a workbook has to cope.
"""

from __future__ import annotations

import functools
import io
import shutil
import tempfile
import zipfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.drawing.image import Image as SheetImage
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Font
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.table import Table
from PIL import Image

import order_book
from basinbook.engine.errors import InputError
from basinbook.workbook.changes import changes
from basinbook.workbook.convert import convert
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.order.write_order import write_order
from basinbook.workbook.paper.render import pdf_bytes
from basinbook.workbook.recalculation.drawing_inputs import drawing_inputs
from basinbook.workbook.recalculation.findings import check
from basinbook.workbook.recalculation.recalc import recalculate
from basinbook.workbook.recalculation.redraw import redraw
from basinbook.workbook.template.template_files import NAMES, template_folder
from basinbook.workbook.update.update import update
from fuzz_limits import limited

Parts = dict[str, bytes]

# Values that are wrong in most places: out of range, of another kind, or of another size.
ODD = [
    "", " ", "-1", "0", "1", "255", "65536", "1048577", "99999999999999999999", "1e400", "-1e-400",
    "NaN", "INF", "true", "x", "A0", "A1", "XFE1", "A1:XFD1048576", "A:A", "1:1", "B2:A1", "$A$1",
    "A1 A2", "Order!$A$1", "'x'!A1:B2", "#REF!", "#N/A", "007+1", "=1", "rId1", "rId99", "../x.xml",
    "/xl/workbook.xml", "\u2028", "€×", "n", "s", "str", "e", "d", "b", "inlineStr", "array",
    "shared", "2026-13-45", "9" * 5000, "A" * 40_000, "(" * 300, '"', "'", "[", "&&&", '&"x',
    "General;" * 50, "[Red]0;;;@", "BASIN.WATERVOLUME(A1,24,16)", "SUM(A1:XFD1048576)",
]  # fmt: skip


@functools.cache
def bases() -> dict[str, Parts]:
    with tempfile.TemporaryDirectory() as folder:
        order = order_book.add_formulas(order_book.make(Path(folder) / "order.xlsx"))
        return {
            "order": parts_of(order.read_bytes()),
            "rich": parts_of(rich()),
            "template": parts_of((template_folder() / NAMES["us"]).read_bytes()),
        }


def rich() -> bytes:
    """A small workbook with something of everything."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in range(1, 6):
        sheet.append([row, row * 1.5, f"item {row}", row % 2 == 0, f"=A{row}*2"])
    sheet["F1"] = "=BASIN.WATERVOLUME(A1,24,16)"
    sheet["H1"] = ArrayFormula("H1:I4", "=BASIN.PRESSURETABLE(A1,3)")
    sheet["A8"] = "a heading over some columns"
    sheet.merge_cells("A8:D8")
    sheet["A1"].comment = Comment("a note", "me")
    sheet["A1"].font = Font(bold=True)
    rule = FormulaRule(formula=["A1>3"], font=Font(bold=True))
    sheet.conditional_formatting.add("A1:A5", rule)
    check = DataValidation("whole", formula1="1", formula2="9", operator="between")
    sheet.add_data_validation(check)
    check.add("A1:A5")
    sheet["J1"], sheet["K1"], sheet["J2"], sheet["K2"] = "size", "packs", 10, "=BASIN.PACKS(J2,2)"
    sheet.add_table(Table(displayName="Sizes", ref="J1:K2"))
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=1, min_row=1, max_row=5))
    sheet.add_chart(chart, "A12")  # type: ignore[call-arg]
    picture = io.BytesIO()
    Image.new("RGB", (8, 8), "navy").save(picture, "PNG")
    picture.seek(0)
    sheet.add_image(SheetImage(picture), "F8")
    sheet.column_dimensions["B"].width = 20
    sheet.row_dimensions[3].hidden = True
    sheet.print_area = "A1:K20"
    sheet.print_title_rows = "1:1"
    sheet.oddHeader.center.text = "&A, page &P of &N"
    book.defined_names["Total"] = DefinedName("Total", attr_text="Sheet!$A$1:$A$5")
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def parts_of(data: bytes) -> Parts:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def packed(parts: Parts) -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return data.getvalue()


@st.composite
def changed_bytes(draw: st.DrawFn, data: bytes) -> bytes:
    """Some bytes of it left out, doubled or overwritten."""
    if not data:
        return data
    start = draw(st.integers(0, len(data) - 1))
    end = min(len(data), start + draw(st.sampled_from([1, 1, 2, 10, 200, len(data)])))
    new = draw(st.one_of(st.just(b""), st.binary(max_size=8), st.just(data[start:end] * 2)))
    return data[:start] + new + data[end:]


@st.composite
def changed_xml(draw: st.DrawFn, data: bytes) -> bytes:
    """One to three of its elements changed, so that it is well formed all the same."""
    try:
        root = etree.fromstring(data)
    except etree.XMLSyntaxError:
        return data
    for _ in range(draw(st.integers(1, 3))):
        elements = [element for element in root.iter() if isinstance(element.tag, str)]
        element = elements[draw(st.integers(0, len(elements) - 1))]
        change(draw, element, elements)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)


def change(draw: st.DrawFn, element: etree._Element, others: list[etree._Element]) -> None:
    parent = element.getparent()
    kind = draw(st.sampled_from(["attribute", "attribute", "attribute", "text", "text", "drop",
                                 "drop attribute", "double", "move", "rename"]))  # fmt: skip
    value = draw(st.sampled_from(ODD))
    if kind == "attribute" and element.attrib:
        element.set(draw(st.sampled_from(sorted(map(str, element.attrib)))), value)
    elif kind == "drop attribute" and element.attrib:
        del element.attrib[draw(st.sampled_from(sorted(map(str, element.attrib))))]
    elif kind == "text":
        element.text = value
    elif parent is None:
        return
    elif kind == "drop":
        parent.remove(element)
    elif kind == "double":
        copy = etree.fromstring(etree.tostring(element))
        for _ in range(draw(st.sampled_from([1, 3, 50]))):
            parent.append(etree.fromstring(etree.tostring(copy)))
    elif kind == "move":
        other = others[draw(st.integers(0, len(others) - 1))]
        if element not in (other, *other.iterancestors()):
            other.append(element)
    elif kind == "rename":
        element.tag = others[draw(st.integers(0, len(others) - 1))].tag


@st.composite
def workbooks(draw: st.DrawFn, *names: str) -> bytes:
    parts = dict(bases()[draw(st.sampled_from(names))])
    # Pictures and the like are few bytes of interest among many.
    inside = [name for name in parts if name.endswith((".xml", ".rels"))]
    name = draw(st.sampled_from(inside))
    kind = draw(st.sampled_from(["xml", "xml", "xml", "xml", "bytes", "drop", "swap", "zip"]))
    if kind == "xml":
        parts[name] = draw(changed_xml(parts[name]))
    elif kind == "bytes":
        name = draw(st.sampled_from(list(parts)))
        parts[name] = draw(changed_bytes(parts[name]))
    elif kind == "drop":
        parts.pop(draw(st.sampled_from(list(parts))))
    elif kind == "swap":
        other = draw(st.sampled_from(list(parts)))
        parts[name], parts[other] = parts[other], parts[name]
    data = packed(parts)
    return draw(changed_bytes(data)) if kind == "zip" else data


def recalc(path: Path) -> None:
    recalculate(path, out=path.with_name("out.xlsx"), refreshers=(redraw,))


def to_excel(path: Path) -> None:
    convert(path, "excel", out=path.with_name("out.xlsx"))


def order(path: Path) -> None:
    write_order(path, "orders@uppervalley.example", path.parent / "order")


def on_paper(path: Path) -> None:
    book = open_workbook(path)
    for sheet in book.sheetnames[:3]:
        pdf_bytes(book, sheet)


def compare(path: Path) -> None:
    changes(path, path)


def to_draw(path: Path) -> None:
    drawing_inputs(path)


def to_check(path: Path) -> None:
    check(path)


def up_to_date(path: Path) -> None:
    update(path, out=path.with_name("out.xlsx"))


USES: list[Callable[[Path], None]] = [
    recalc, to_excel, order, on_paper, compare, to_draw, to_check, up_to_date,
]  # fmt: skip


def uses(data: bytes, what: list[Callable[[Path], None]]) -> None:
    folder = Path(tempfile.mkdtemp())
    try:
        for use in what:
            path = folder / "job.xlsx"
            path.write_bytes(data)
            with suppress(InputError), limited(seconds=60, mebibytes=1024):
                use(path)
            assert path.read_bytes() == data
            for left in folder.iterdir():
                assert left.name in ("job.xlsx", "out.xlsx", "order")
            (folder / "out.xlsx").unlink(missing_ok=True)
            shutil.rmtree(folder / "order", ignore_errors=True)
    finally:
        shutil.rmtree(folder)


@given(workbooks("order", "rich"))
def test_small_workbooks(data: bytes) -> None:
    uses(data, USES)


@given(workbooks("template"), st.sampled_from(USES))
@settings(max_examples=settings().max_examples // 12)
def test_templates(data: bytes, use: Callable[[Path], None]) -> None:
    uses(data, [use])


@pytest.mark.parametrize("name", bases())
def test_the_unchanged_ones_are_read(name: str) -> None:
    """Else the changes would not be what is refused."""
    folder = Path(tempfile.mkdtemp())
    path = folder / "job.xlsx"
    path.write_bytes(packed(bases()[name]))
    try:
        for use in (recalc, to_excel, on_paper) if name != "order" else (recalc, order, on_paper):
            use(path)
            (folder / "out.xlsx").unlink(missing_ok=True)
    finally:
        shutil.rmtree(folder)
