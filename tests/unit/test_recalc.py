"""Recalculating a file: results are stored, and nothing else of the file changes."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import zipfile
from collections.abc import Mapping
from pathlib import Path

import openpyxl
import pytest
from lxml import etree
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.drawing.image import Image as SheetImage
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Font, PatternFill
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.formula import ArrayFormula
from PIL import Image

from basinbook.catalogue.model import CellError
from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.file.marks import RULE
from basinbook.workbook.file.package import Package, open_package, picture_parts
from basinbook.workbook.recalculation.recalc import (
    evaluate,
    is_stale,
    read_values,
    recalculate,
    staleness,
)

# openpyxl warns of what it leaves out when it reads what it can't write.
pytestmark = pytest.mark.filterwarnings("ignore:Unknown extension")
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
# A gallon is 231 in³ (NIST Handbook 44, appendix C).
GALLONS = 60 * 30 * 14 / 231


def picture(colour: str) -> bytes:
    data = io.BytesIO()
    Image.new("RGB", (16, 16), colour).save(data, "PNG")
    return data.getvalue()


@pytest.fixture
def user_workbook(tmp_path: Path) -> Path:
    """A macro workbook with all that an estimator may have added to it."""
    book = openpyxl.Workbook()
    job = book.active
    assert job is not None
    job.title = "Job"
    job["A1"], job["B1"] = "Inside length", 60
    job["A2"], job["B2"] = "Inside width", 30
    job["A3"], job["B3"] = "Water depth", 14
    job["A5"], job["B5"] = "Water", "=BASIN.WATERVOLUME(B1,B2,B3)"
    job["A6"], job["B6"] = "Size", '=IF(B5>100,"large","small")'
    job["A7"], job["B7"] = "Deep enough", "=B3>=12"
    job["A8"], job["B8"] = "Per person", "=B5/B9"
    job["B10"] = "=Total*2"
    job["B5"].font = Font(bold=True, color="FF1F4E79")
    job["B5"].number_format = '0.0 "gal"'
    job["B5"].fill = PatternFill("solid", fgColor="FFFFF2CC")
    job["B5"].comment = Comment("Ask about the hose", "estimator")
    job.conditional_formatting.add("B5:B8", CellIsRule("greaterThan", ["10"], font=Font(bold=True)))
    choices = DataValidation("list", formula1='"flat,on edge"')
    job.add_data_validation(choices)
    choices.add("D1")
    job.merge_cells("D3:E4")
    job.freeze_panes = "B2"
    job.column_dimensions["A"].width = 22
    job.protection.enable()
    job.add_image(SheetImage(io.BytesIO(picture("navy"))), "G2")
    own = book.create_sheet("My & notes")
    own["A1"] = "mine <kept>  "
    own["A2"] = "=SUM(Job!B1:B3)"
    own["A3"] = ArrayFormula("A3:B5", "=Job!B1:B3*{1,2}")
    own["C1"] = "=WEBSERVICE(A1)"
    for row, value in enumerate((3, 1, 2), 1):
        own.cell(row, 5, value)
    chart = BarChart()
    chart.add_data(Reference(own, min_col=5, min_row=1, max_row=3))
    own.add_chart(chart, "G5")
    book.create_sheet("Hidden").sheet_state = "hidden"
    book.defined_names["Total"] = DefinedName("Total", attr_text="Job!$B$5")
    path = tmp_path / "job.xlsx"
    book.save(path)
    return with_macros(path, tmp_path / "job.xlsm")


def with_macros(path: Path, out: Path) -> Path:
    """Turn a workbook into a macro one, and add what openpyxl can't write."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    path.unlink()
    types = parts["[Content_Types].xml"].replace(
        b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
        b"application/vnd.ms-excel.sheet.macroEnabled.main+xml",
    )
    parts["[Content_Types].xml"] = types.replace(
        b"</Types>",
        b'<Override PartName="/xl/vbaProject.bin" ContentType="application/vnd.ms-office.'
        b'vbaProject"/>'
        b'<Override PartName="/xl/calcChain.xml" ContentType="application/vnd.openxmlformats-'
        b'officedocument.spreadsheetml.calcChain+xml"/></Types>',
    )
    rels = parts["xl/_rels/workbook.xml.rels"]
    parts["xl/_rels/workbook.xml.rels"] = rels.replace(
        b"</Relationships>",
        b'<Relationship Id="rId90" Type="http://schemas.microsoft.com/office/2006/relationships/'
        b'vbaProject" Target="vbaProject.bin"/>'
        b'<Relationship Id="rId91" Type="http://schemas.openxmlformats.org/officeDocument/2006/'
        b'relationships/calcChain" Target="calcChain.xml"/></Relationships>',
    )
    parts["xl/vbaProject.bin"] = bytes(range(256)) * 40
    parts["xl/calcChain.xml"] = (
        b'<?xml version="1.0"?><calcChain xmlns="http://schemas.openxmlformats.org/spreadsheetml/'
        b'2006/main"><c r="B5" i="1"/></calcChain>'
    )
    sheet = parts["xl/worksheets/sheet2.xml"]
    extra = b'<extLst><ext uri="{0}" xmlns:z="urn:own"><z:kept a="1">text</z:kept></ext></extLst>'
    parts["xl/worksheets/sheet2.xml"] = sheet.replace(b"</worksheet>", extra + b"</worksheet>")
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for number, (name, data) in enumerate(parts.items()):
            entry = zipfile.ZipInfo(name, (2024, 5, 1 + number % 28, 10, 0, 0))
            # A mixture, as different programs write it.
            entry.compress_type = zipfile.ZIP_STORED if number % 3 == 0 else zipfile.ZIP_DEFLATED
            archive.writestr(entry, data)
    return out


def without_values(part: bytes) -> bytes:
    """A sheet's canonical XML without its formula cells' values and the mark."""
    root = etree.fromstring(part)
    for rule in list(root.iter(f"{MAIN}cfRule")):
        if rule.findtext(f"{MAIN}formula") == RULE:
            formats = rule.getparent()
            assert formats is not None
            root.remove(formats)
    arrays = [f.get("ref", "") for f in root.iter(f"{MAIN}f") if f.get("t") == "array"]
    covered = {
        cell
        for array in arrays
        for row in openpyxl.Workbook().active[array]
        for cell in row  # type: ignore[index]
    }
    places = {cell.coordinate for cell in covered}
    for cell in list(root.iter(f"{MAIN}c")):
        if cell.find(f"{MAIN}f") is None and cell.get("r") not in places:
            continue
        cell.attrib.pop("t", "")
        for value in cell.findall(f"{MAIN}v"):
            cell.remove(value)
        if not len(cell) and set(cell.attrib) == {"r"}:
            row = cell.getparent()
            assert row is not None
            row.remove(cell)
            if not len(row) and set(row.attrib) == {"r"} and (rows := row.getparent()) is not None:
                rows.remove(row)
    return etree.tostring(root, method="c14n")


def test_every_part_but_the_values_is_unchanged(user_workbook: Path) -> None:
    before = open_package(user_workbook)
    report = recalculate(user_workbook)
    after = open_package(user_workbook)
    assert [problem.cell for problem in report.not_computed] == ["C1"]
    assert list(after.parts) == list(before.parts)
    expected = {"xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml"}
    changed = {name for name in before.parts if before.parts[name] != after.parts[name]}
    # The styles part has one more differential format, for the mark on the WEBSERVICE cell.
    assert changed == expected | {"xl/styles.xml"}
    for name in expected:
        assert without_values(before.parts[name]) == without_values(after.parts[name])
    for old, new in zip(before.entries, after.entries, strict=True):
        assert (old.date_time, old.compress_type) == (new.date_time, new.compress_type)
    assert "xl/charts/chart1.xml" in before.parts
    assert "xl/media/image1.png" in before.parts
    assert any("comments" in name for name in before.parts)


def test_without_marks_only_the_sheets_change(user_workbook: Path) -> None:
    replace_formula(user_workbook, "xl/worksheets/sheet2.xml", "WEBSERVICE(A1)", "LEN(A1)")
    before = open_package(user_workbook)
    assert not recalculate(user_workbook).not_computed
    after = open_package(user_workbook)
    changed = {name for name in before.parts if before.parts[name] != after.parts[name]}
    assert changed == {"xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml"}
    written = user_workbook.read_bytes()
    assert recalculate(user_workbook).changed == 0
    assert user_workbook.read_bytes() == written


def replace_formula(path: Path, part: str, old: str, new: str) -> None:
    package = open_package(path)
    assert old.encode() in package.parts[part]
    parts = {**package.parts, part: package.parts[part].replace(old.encode(), new.encode())}
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in parts.items():
            archive.writestr(name, data)


@pytest.mark.parametrize("stands_for", ["#REF!", "Sheet!$A:$XFD", "Gone!$A$1:$B$3", "5"])
def test_a_name_of_a_list_that_stands_for_no_range_stops_nothing(
    tmp_path: Path, stands_for: str
) -> None:
    """As when the sheet of the list was deleted."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title, sheet["A1"] = "Sheet", "=1+1"
    book.defined_names["Plan_lines"] = DefinedName("Plan_lines", attr_text=stands_for)
    path = tmp_path / "book.xlsx"
    book.save(path)
    assert recalculate(path).changed == 1
    assert read_values(path)["Sheet"]["A1"] == 2


def test_any_viewer_shows_the_values(user_workbook: Path) -> None:
    recalculate(user_workbook)
    book = openpyxl.load_workbook(user_workbook, data_only=True)
    job, own = book["Job"], book["My & notes"]
    assert job["B5"].value == pytest.approx(GALLONS)
    assert job["B6"].value == "large"
    assert job["B7"].value is True
    assert (job["B8"].value, job["B8"].data_type) == ("#DIV/0!", "e")
    assert job["B10"].value == pytest.approx(2 * GALLONS)
    assert own["A1"].value == "mine <kept>  "
    assert own["A2"].value == 104
    array = [[cell.value for cell in row] for row in own["A3:B5"]]
    assert array == [[60, 120], [30, 60], [14, 28]]
    assert own["C1"].value is None
    formulas = openpyxl.load_workbook(user_workbook)
    assert formulas["Job"]["B5"].value == "=BASIN.WATERVOLUME(B1,B2,B3)"


def test_the_old_value_is_kept_and_marked_until_it_can_be_computed(user_workbook: Path) -> None:
    sheet = "xl/worksheets/sheet2.xml"
    replace_formula(
        user_workbook, sheet, "<f>WEBSERVICE(A1)</f><v></v>", "<f>WEBSERVICE(A1)</f><v>41.5</v>"
    )
    report = recalculate(user_workbook)
    problem = report.not_computed[0]
    assert (problem.sheet, problem.cell) == ("My & notes", "C1")
    assert (problem.formula, "WEBSERVICE" in problem.reason) == ("WEBSERVICE(A1)", True)
    assert read_values(user_workbook)["My & notes"]["C1"] == 41.5
    book = openpyxl.load_workbook(user_workbook)
    marks = [
        (str(formats.sqref), rule)
        for formats in book["My & notes"].conditional_formatting
        for rule in formats.rules
        if rule.formula == [RULE]
    ]
    assert [cells for cells, _ in marks] == ["C1"]
    assert marks[0][1].dxf is not None
    assert marks[0][1].dxf.font.strike
    # Marking again changes nothing, and a formula that can be computed loses its mark.
    written = user_workbook.read_bytes()
    recalculate(user_workbook)
    assert user_workbook.read_bytes() == written
    replace_formula(user_workbook, sheet, "WEBSERVICE(A1)", "LEN(A1)")
    assert not recalculate(user_workbook).not_computed
    assert RULE.encode() not in open_package(user_workbook).parts[sheet]
    assert read_values(user_workbook)["My & notes"]["C1"] == len("mine <kept>  ")


def test_out_leaves_the_file_and_is_not_overwritten_unasked(user_workbook: Path) -> None:
    before = user_workbook.read_bytes()
    out = user_workbook.with_name("out.xlsm")
    report = recalculate(user_workbook, out=out)
    assert report.out == out
    assert user_workbook.read_bytes() == before
    assert read_values(out)["Job"]["B6"] == "large"
    with pytest.raises(InputError, match="--force"):
        recalculate(user_workbook, out=out)
    recalculate(user_workbook, out=out, force=True)


def test_stale_until_recalculated(user_workbook: Path) -> None:
    replace_formula(user_workbook, "xl/worksheets/sheet2.xml", "WEBSERVICE(A1)", "NOW()")
    assert ("Job", "B5") in staleness(user_workbook)
    recalculate(user_workbook)
    assert not is_stale(user_workbook)
    replace_formula(user_workbook, "xl/worksheets/sheet1.xml", "<v>60</v>", "<v>48</v>")
    assert ("Job", "B5") in staleness(user_workbook)
    assert ("My & notes", "A4") not in staleness(user_workbook)


def test_evaluating_with_other_inputs_writes_nothing(user_workbook: Path) -> None:
    before = user_workbook.read_bytes()
    values = evaluate(user_workbook, {("Job", "B1"): 48, ("my & notes", "A2"): "typed over"})
    assert values["Job", "B5"] == pytest.approx(GALLONS * 48 / 60)
    assert values["Job", "B6"] == "small"
    assert values["My & notes", "A2"] == "typed over"
    assert values["Job", "A1"] == "Inside length"
    assert values["Job", "B8"] == CellError("#DIV/0!")
    with pytest.raises(InputError, match="no such sheet"):
        evaluate(user_workbook, {("Gone", "B1"): 48})
    assert user_workbook.read_bytes() == before


def test_pictures_are_refreshed_from_the_new_values(user_workbook: Path) -> None:
    seen: list[object] = []

    def refresh(package: Package, values: Mapping[tuple[str, str], object]) -> dict[str, bytes]:
        seen.append(values["Job", "B6"])
        return {picture_parts(package)["Image 1"]: picture("red")}

    before = open_package(user_workbook)
    assert recalculate(user_workbook, refreshers=[refresh]).pictures == 1
    after = open_package(user_workbook)
    assert seen == ["large"]
    assert (
        after.parts["xl/media/image1.png"] == picture("red") != before.parts["xl/media/image1.png"]
    )
    assert recalculate(user_workbook, refreshers=[refresh]).pictures == 0


SHEET = """<?xml version="1.0" encoding="UTF-8"?>
<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{}
</sheetData></worksheet>"""


def with_sheet(path: Path, rows: str) -> Path:
    openpyxl.Workbook().save(path)
    package = open_package(path)
    parts = {**package.parts, "xl/worksheets/sheet1.xml": SHEET.format(rows).encode()}
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return path


def sheet_xml(path: Path) -> str:
    return open_package(path).parts["xl/worksheets/sheet1.xml"].decode()


def test_cells_as_other_programs_write_them(tmp_path: Path) -> None:
    # Places left out count on; shared formulas name a first cell; texts may be in the cell.
    path = with_sheet(
        tmp_path / "job.xlsx",
        '<row><c><v>2</v></c><c t="inlineStr"><is><r><t>wa</t></r><r><t>ll</t></r></is></c></row>'
        '<row r="3"><c r="A3"><f t="shared" ref="A3:A5" si="0">A1*$A$1</f><v>0</v></c></row>'
        '<row r="4"><c r="A4"><f t="shared" si="0"/><v>0</v></c></row>'
        '<row r="5"><c r="A5"><f t="shared" si="0"/></c>'
        '<c r="B5" t="e" vm="3" s="0"><f aca="false">B1&amp;"_x005F_x0041_"</f>'
        "<v>#N/A</v></c></row>"
        '<row r="6"><c r="A6" t="d"><v>2024-05-01</v></c><c r="B6"><f>A6+1</f></c>'
        '<c r="C6"><f>" padded "&amp;CHAR(7)</f></c><c r="D6" t="b"><v>1</v></c>'
        '<c r="E6"><f>IF(D6,A1/3,"")</f><v>1</v></c></row>',
    )
    assert not recalculate(path).not_computed
    values = read_values(path)["Sheet"]
    assert (values["A3"], values["A4"], values["A5"]) == (4, 0, 8)
    assert values["B5"] == "wall_x0041_"
    # 1 May 2024 is day 45413, counted from 30 December 1899.
    assert values["B6"] == 45414
    assert values["C6"] == " padded \a"
    assert values["E6"] == 2 / 3
    xml = sheet_xml(path)
    assert (
        '<c r="B5" t="str" s="0"><f aca="false">B1&amp;"_x005F_x0041_"</f><v>wall_x005F_x0041_'
        in xml
    )
    assert "<is><r><t>wa</t></r><r><t>ll</t></r></is>" in xml
    assert '<f t="shared" si="0"/>' in xml


def test_fifteen_digits_of_another_program_are_left_as_they_are(tmp_path: Path) -> None:
    path = with_sheet(
        tmp_path / "job.xlsx",
        '<row r="1"><c r="A1"><f>1/3</f><v>0.333333333333333</v></c>'
        '<c r="B1"><f>1/3</f><v>0.3333333</v></c><c r="C1"><f>1=1</f><v>1</v></c>'
        '<c r="D1"><f>""</f><v>0</v></c></row>',
    )
    assert staleness(path) == (("Sheet", "B1"), ("Sheet", "C1"), ("Sheet", "D1"))
    assert recalculate(path).changed == 3
    assert "<v>0.333333333333333</v>" in sheet_xml(path)
    assert read_values(path)["Sheet"]["B1"] == 1 / 3
    assert read_values(path)["Sheet"]["C1"] is True


def test_cells_of_an_array_are_made_where_they_are_missing(tmp_path: Path) -> None:
    path = with_sheet(
        tmp_path / "job.xlsx",
        '<row r="2"><c r="A2"><v>5</v></c><c r="B2"><f t="array" ref="B2:C4">A2:A4*{1,2}</f></c>'
        '<c r="E2"><v>9</v></c></row><row r="4" spans="1:5"><c r="A4"><v>7</v></c></row>',
    )
    recalculate(path)
    values = read_values(path)["Sheet"]
    assert [[values[f"{c}{r}"] for c in "BC"] for r in (2, 3, 4)] == [[5, 10], [0, 0], [7, 14]]
    root = etree.fromstring(open_package(path).parts["xl/worksheets/sheet1.xml"])
    places = [cell.get("r") for cell in root.iter(f"{MAIN}c")]
    assert places == ["A2", "B2", "C2", "E2", "B3", "C3", "A4", "B4", "C4"]
    assert [row.get("r") for row in root.iter(f"{MAIN}row")] == ["2", "3", "4"]


def test_the_command_prints_what_could_not_be_computed(
    user_workbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["recalc", str(user_workbook)]) == 1
    shown = capsys.readouterr().out
    assert "7 of 8 formulas computed" in shown
    assert "My & notes!C1 =WEBSERVICE(A1): the function WEBSERVICE is not known here" in shown
    replace_formula(user_workbook, "xl/worksheets/sheet2.xml", "WEBSERVICE(A1)", "LEN(A1)")
    replace_formula(user_workbook, "xl/worksheets/sheet1.xml", "<v>60</v>", "<v>-60</v>")
    assert main(["recalc", str(user_workbook), "--out", str(user_workbook) + ".xlsm"]) == 0
    shown = capsys.readouterr().out
    assert "Job!B5 shows an error: inside_length: -60 can't be used" in shown


@pytest.mark.calc
def test_libreoffice_opens_the_result_and_agrees(user_workbook: Path, tmp_path: Path) -> None:
    soffice = shutil.which("soffice")
    if soffice is None:
        pytest.skip("LibreOffice is not installed")
    replace_formula(
        user_workbook, "xl/worksheets/sheet1.xml", "BASIN.WATERVOLUME(B1,B2,B3)", "B1*B2*B3/231"
    )
    recalculate(user_workbook)
    subprocess.run(
        [
            soffice, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless",
            "--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false",
            "--outdir", tmp_path, user_workbook,
        ],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    lines = (tmp_path / "job.csv").read_text().splitlines()
    assert re.search(r"Water,109\.0909", lines[4])
    assert "large" in lines[5]
