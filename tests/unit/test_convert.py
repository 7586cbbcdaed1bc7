"""Moving workbooks between hosts: only the functions' names in formulas change."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.formatting.rule import FormulaRule
from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token
from openpyxl.styles import Font
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.table import Table, TableColumn, TableFormula

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.convert import convert, convert_formula, converted_parts, default_out
from basinbook.workbook.file.package import open_package
from basinbook.workbook.recalculation.recalc import evaluate, read_values, recalculate

TEMPLATES = Path(__file__).parents[2] / "workbook_templates"
SHEET = "xl/worksheets/sheet1.xml"
LITERAL = 'see "BASIN.PACKS(1,2)" & BASIN_PACKS(1,2)'


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job in Calc's spelling with our functions wherever a formula may stand."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Job"
    sheet["A1"], sheet["A2"] = 48, "Crème & <blocks>"
    sheet["A3"] = LITERAL
    sheet["B1"] = "=BASIN.WATERVOLUME(A1,24,16)"
    sheet["B2"] = '=IF(A1<50,"BASIN.PACKS("&A2&")",BASIN.PACKS(A1,\n  2))'
    sheet["B3"] = "=SUM(B1:B1)"
    sheet["B4"] = "=BASIN.READLENGTH(50)"
    sheet["D1"] = ArrayFormula("D1:E4", "=BASIN.PRESSURETABLE(A1,3)")
    sheet["A1"].comment = Comment("ask about BASIN.PACKS(1,2)", "me")
    rule = FormulaRule(formula=["BASIN.PACKS(A1,2)>3"], font=Font(bold=True))
    sheet.conditional_formatting.add("A1:A3", rule)
    check = DataValidation("custom", formula1="BASIN.PACKS(A1,2)>1", allow_blank=True)
    sheet.add_data_validation(check)
    check.add("A1")
    book.defined_names["Packs"] = DefinedName("Packs", attr_text="BASIN.PACKS(Job!$A$1,2)")
    book.defined_names["BASIN_NOTE"] = DefinedName("BASIN_NOTE", attr_text="Job!$A$2")
    sheet["G1"], sheet["H1"], sheet["G2"] = "size", "packs", 10
    sheet["H2"] = "=BASIN.PACKS(G2,2)"
    table = Table(displayName="Sizes", ref="G1:H2")
    table.tableColumns = [
        TableColumn(id=1, name="size"),
        TableColumn(
            id=2,
            name="packs",
            calculatedColumnFormula=TableFormula(attr_text="BASIN.PACKS(Sizes[size],2)"),
        ),
    ]
    sheet.add_table(table)
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=1, min_row=1, max_row=1))
    sheet.add_chart(chart, "J1")  # type: ignore[call-arg]
    path = tmp_path / "job.xlsx"
    book.save(path)
    recalculate(path)
    return path


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def calls(formula: str) -> list[str]:
    """The functions that openpyxl's tokenizer finds in a formula."""
    return [
        item.value
        for item in Tokenizer(f"={formula}").items
        if item.type == Token.FUNC and item.subtype == Token.OPEN
    ]


# --- formulas -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("calc", "excel"),
    [
        ("BASIN.PACKS(A1,2)", "BASIN_PACKS(A1,2)"),
        ("basin.Packs(A1,2)", "basin_Packs(A1,2)"),
        ("BASIN.PACKS(BASIN.PACKS(1,2),2)", "BASIN_PACKS(BASIN_PACKS(1,2),2)"),
        ('"BASIN.PACKS("&BASIN.PACKS(1,2)', '"BASIN.PACKS("&BASIN_PACKS(1,2)'),
        ('"a""BASIN.PACKS("""&BASIN.PACKS(1,2)', '"a""BASIN.PACKS("""&BASIN_PACKS(1,2)'),
        ("'BASIN.PACKS('!A1+BASIN.PACKS(1,2)", "'BASIN.PACKS('!A1+BASIN_PACKS(1,2)"),
        ("'it''s'!A1+BASIN.PACKS(1,2)", "'it''s'!A1+BASIN_PACKS(1,2)"),
        ("T[[#This Row],[BASIN.PACKS(]]*BASIN.PACKS(1,2)",
         "T[[#This Row],[BASIN.PACKS(]]*BASIN_PACKS(1,2)"),
        ("T[a'[b]+BASIN.PACKS(1,2)", "T[a'[b]+BASIN_PACKS(1,2)"),
        ("SUM( BASIN.PACKS(1,2)\n , 2 )", "SUM( BASIN_PACKS(1,2)\n , 2 )"),
        ("-BASIN.PACKS(1,2)%", "-BASIN_PACKS(1,2)%"),
        ("SUM(BASIN.CAUTIONS(A1)#)", "SUM(BASIN_CAUTIONS(A1)#)"),
        ("@BASIN.PACKS(1,2)", "@BASIN_PACKS(1,2)"),
        ("{1,2;3,4}*BASIN.PACKS(1,2)", "{1,2;3,4}*BASIN_PACKS(1,2)"),
    ],
)  # fmt: skip
def test_both_ways(calc: str, excel: str) -> None:
    assert convert_formula(calc, "excel") == excel
    assert convert_formula(excel, "calc") == calc
    assert convert_formula(calc, "calc") == calc
    assert convert_formula(excel, "excel") == excel


@pytest.mark.parametrize(
    "formula",
    ["BASIN.PACKS", "BASIN.PACKS+1", "XBASIN.PACKS(1)", "A.BASIN.PACKS(1)", "BASIN.NOSUCH(1)",
     "BASIN_NOTE", "BASINPACKS(1)", "SUM(A1)", "", '"'],
)  # fmt: skip
def test_left_alone(formula: str) -> None:
    assert convert_formula(formula, "excel") == formula
    assert convert_formula(formula, "calc") == formula


@pytest.mark.parametrize(
    "formula",
    ["[1]!BASIN_PACKS(A1,2)", "'C:\\my tools\\basin.xlsm'!BASIN_PACKS(A1,2)",
     "'[basin.xlsm]S'!BASIN_PACKS(A1,2)", "basin.xlsm!BASIN_PACKS(A1,2)",
     "_xludf.BASIN_PACKS(A1,2)", "[1]!_xludf.BASIN_PACKS(A1,2)"],
)  # fmt: skip
def test_where_the_functions_came_from_goes(formula: str) -> None:
    assert convert_formula(formula, "calc") == "BASIN.PACKS(A1,2)"
    assert convert_formula(formula, "excel") == "BASIN_PACKS(A1,2)"


PIECES = st.sampled_from(
    ["BASIN.PACKS(", "BASIN_PACKS(", "SUM(", '"BASIN.PACKS("', "'BASIN.PACKS('!A1", "A1", "1.5",
     '"a""b"', "T[BASIN.PACKS(]", "BASIN_NOTE", "TRUE"]
)  # fmt: skip


@given(st.lists(PIECES, min_size=1, max_size=12))
def test_calls_are_those_that_a_tokenizer_finds(pieces: list[str]) -> None:
    """Against openpyxl's tokenizer, for formulas that it reads without loss."""
    opened = sum(piece in ("BASIN.PACKS(", "BASIN_PACKS(", "SUM(") for piece in pieces)
    text = ""
    for piece in pieces:
        text += ("" if not text or (text.endswith("(") and text[-2:-1].isalpha()) else "+") + piece
    text += "1" + ")" * opened if text.endswith("(") else ")" * opened
    expected = ["BASIN_PACKS(" if name.startswith("BASIN") else name for name in calls(text)]
    assert calls(convert_formula(text, "excel")) == expected
    swapped = convert_formula(convert_formula(text, "excel"), "calc")
    assert swapped == convert_formula(text, "calc")


# --- files --------------------------------------------------------------------------------------


def test_there_and_back_is_the_same_file(job: Path) -> None:
    excel = convert(job, "excel").out
    back = convert(excel, "calc", out=job.with_name("back.xlsx")).out
    assert excel.name == "job_excel.xlsx"
    assert parts(back) == parts(job)
    with zipfile.ZipFile(back) as one, zipfile.ZipFile(job) as other:
        assert [(i.filename, i.date_time) for i in one.infolist()] == [
            (i.filename, i.date_time) for i in other.infolist()
        ]


@pytest.mark.parametrize("name", ["basin_us.xlsx", "basin_metric.xlsx"])
def test_templates_there_and_back(name: str, tmp_path: Path) -> None:
    template = TEMPLATES / name
    excel = convert(template, "excel", out=tmp_path / "excel.xlsx")
    back = convert(excel.out, "calc", out=tmp_path / "back.xlsx")
    assert parts(back.out) == parts(template)
    assert excel.unknown == back.unknown == ()
    assert excel.changed == back.changed > 100
    for part in ("xl/workbook.xml", SHEET):
        assert not re.search(rb"BASIN\.\w+\(", parts(excel.out)[part])
    assert read_values(excel.out) == read_values(template)


def test_only_parts_with_our_functions_change(job: Path) -> None:
    before, after = parts(job), parts(convert(job, "excel").out)
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {"xl/workbook.xml", "xl/worksheets/sheet1.xml", "xl/tables/table1.xml"}
    for name in changed:
        assert len(before[name]) == len(after[name])
        different = {(a, b) for a, b in zip(before[name], after[name], strict=True) if a != b}
        assert different == {(ord("."), ord("_"))}


def test_every_place_of_a_formula(job: Path) -> None:
    report = convert(job, "excel")
    # Four cells and the table's own, the array, a format, a check, a name and a table column.
    assert report.changed == 9
    book = openpyxl.load_workbook(report.out)
    sheet = book["Job"]
    assert sheet["B1"].value == "=BASIN_WATERVOLUME(A1,24,16)"
    assert sheet["B2"].value == '=IF(A1<50,"BASIN.PACKS("&A2&")",BASIN_PACKS(A1,\n  2))'
    assert sheet["D1"].value.text == "=BASIN_PRESSURETABLE(A1,3)"
    assert sheet["A3"].value == LITERAL
    assert sheet["A1"].comment.text == "ask about BASIN.PACKS(1,2)"
    (formats,) = sheet.conditional_formatting
    assert formats.rules[0].formula == ["BASIN_PACKS(A1,2)>3"]
    assert sheet.data_validations.dataValidation[0].formula1 == "BASIN_PACKS(A1,2)>1"
    assert book.defined_names["Packs"].attr_text == "BASIN_PACKS(Job!$A$1,2)"
    assert book.defined_names["BASIN_NOTE"].attr_text == "Job!$A$2"
    column = sheet.tables["Sizes"].tableColumns[1]
    assert column.calculatedColumnFormula.attr_text == "BASIN_PACKS(Sizes[size],2)"


def test_values_are_kept_and_stay_true(job: Path) -> None:
    """The stored values, and what a recalculation of either form gives."""
    excel = convert(job, "excel").out
    assert read_values(excel) == read_values(job)
    assert evaluate(excel) == evaluate(job)


def test_what_the_user_changed_is_kept(job: Path) -> None:
    excel = convert(job, "excel").out
    book = openpyxl.load_workbook(excel)
    book["Job"]["A1"] = 60
    book["Job"]["C9"] = "=B1*2"
    book["Job"]["B1"].font = Font(italic=True)
    book.save(excel)
    back = convert(excel, "calc", out=job, force=True).out
    sheet = openpyxl.load_workbook(back)["Job"]
    assert sheet["A1"].value == 60
    assert sheet["B1"].value == "=BASIN.WATERVOLUME(A1,24,16)"
    assert sheet["B1"].font.i
    values = evaluate(back)
    assert values["Job", "C9"] == pytest.approx(2 * 60 * 24 * 16 / 231)


def rewritten(path: Path, part: str, old: bytes, new: bytes) -> Path:
    """A copy of a file with one part changed."""
    target = path.with_name("changed.xlsx")
    with zipfile.ZipFile(target, "w") as archive:
        for name, data in parts(path).items():
            if name == part:
                assert old in data
                data = data.replace(old, new)
            archive.writestr(name, data)
    return target


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (b"BASIN.READLENGTH(50)", b"BASIN&#46;READLENGTH(50)", b"BASIN_READLENGTH(50)"),
        (b"BASIN.READLENGTH(50)", b"BASIN.READLENGTH(&quot;5 &amp; BASIN.PACKS(&quot;)",
         b"BASIN_READLENGTH(&quot;5 &amp; BASIN.PACKS(&quot;)"),
        (b"</sheetData>", b"</sheetData><!-- <f>BASIN.PACKS(1,2)</f> -->",
         b"<!-- <f>BASIN.PACKS(1,2)</f> -->"),
        (b"</worksheet>", b'<extLst><ext uri="{x}" xmlns:xm="urn:xm"><xm:f>BASIN.PACKS(1,2)</xm:f>'
         b"</ext></extLst></worksheet>", b"<xm:f>BASIN_PACKS(1,2)</xm:f>"),
        (b"</worksheet>", b'<extLst><cfvo type="formula" val="BASIN.PACKS(1,2)"/></extLst>'
         b"</worksheet>", b'val="BASIN_PACKS(1,2)"'),
    ],
)  # fmt: skip
def test_odd_but_good_xml(job: Path, old: bytes, new: bytes, expected: bytes) -> None:
    path = rewritten(job, SHEET, old, new)
    excel = convert(path, "excel").out
    assert expected in parts(excel)[SHEET]
    back = convert(excel, "calc", out=path, force=True).out
    assert parts(back)[SHEET].replace(b"&#46;", b".") == parts(job)[SHEET].replace(
        old, new.replace(b"&#46;", b".")
    )


def test_names_that_are_not_ours_are_told(job: Path) -> None:
    path = rewritten(job, SHEET, b"BASIN.READLENGTH(50)", b"BASIN.OFTOMORROW(50)")
    report = convert(path, "excel")
    assert report.unknown == ("BASIN.OFTOMORROW",)
    assert b"BASIN.OFTOMORROW(50)" in parts(report.out)[SHEET]


def test_parts_for_a_writer_of_packages(job: Path) -> None:
    package = open_package(job)
    replaced = converted_parts(package, "excel")
    assert {**package.parts, **replaced} == parts(convert(job, "excel").out)
    assert converted_parts(package, "calc") == {}


@pytest.mark.parametrize(
    ("name", "host", "expected"),
    [("a.xlsx", "excel", "a_excel.xlsx"), ("a_excel.xlsx", "calc", "a_calc.xlsx"),
     ("a_calc.xlsm", "excel", "a_excel.xlsm"), ("_excel.xlsx", "calc", "_calc.xlsx")],
)  # fmt: skip
def test_name_of_the_new_file(name: str, host: str, expected: str) -> None:
    assert default_out(Path(name), host).name == expected


def test_files_are_not_overwritten_unasked(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    command = ["convert", str(job), "--to", "excel"]
    assert main(command) == 0
    assert "9 function names changed" in capsys.readouterr().out
    before = parts(job)
    assert main(command) == 2
    assert main([*command, "--out", str(job)]) == 2
    assert parts(job) == before
    assert main([*command, "--force"]) == 0
    assert main([*command, "--out", str(job), "--force"]) == 0
    assert parts(job) != before
    assert "--force" in capsys.readouterr().err


def test_bad_input(job: Path) -> None:
    with pytest.raises(InputError, match=r"ends in \.xlsx"):
        convert(job, "excel", out=job.with_suffix(".ods"))
    with pytest.raises(InputError, match="calc, excel"):
        convert(job, "paper")
    with pytest.raises(InputError, match="no such file"):
        convert(job.with_name("no.xlsx"), "excel")
    assert [entry.name for entry in job.parent.iterdir()] == ["job.xlsx"]
