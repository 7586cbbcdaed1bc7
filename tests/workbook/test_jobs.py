"""A folder of jobs in one call, and sheets as files: small workbooks, and one real job."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import openpyxl
import pypdf
import pytest
from openpyxl.workbook.defined_name import DefinedName
from PIL import Image

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook import jobs
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.recalculation.named_values import NamedBook


def job(path: Path, formula: str = "=2*3", blocks: int = 7) -> Path:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Job"
    sheet["A1"], sheet["A2"] = formula, blocks
    book.defined_names["Price_total"] = DefinedName("Price_total", attr_text="Job!$A$1")
    book.defined_names["Qty_Blocks_to_buy"] = DefinedName("Qty_Blocks_to_buy", attr_text="Job!$A$2")
    second = book.create_sheet("A< b|")
    second["A1"] = "second"
    second.page_setup.paperSize = 9
    book.create_sheet("Working").sheet_state = "hidden"
    book.save(path)
    return path


def test_a_folder_is_recalculated_job_by_job(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A broken one and one that can't be computed stop no other, and the code says so."""
    folder = tmp_path / "jobs"
    folder.mkdir()
    job(folder / "=1+1.xlsx")
    job(folder / "b.xlsx", "=NOSUCH(1)")
    (folder / "c.xlsx").write_bytes(b"no workbook")
    (folder / "~$e.xlsx").write_bytes(b"a lock")
    job(folder / "d.xlsm", "=A2*2", blocks=9)
    summary = tmp_path / "summary.csv"
    assert main(["recalc", str(folder), "--summary", str(summary)]) == 1
    rows = list(csv.DictReader(io.StringIO(summary.read_text(encoding="utf-8"))))
    assert [(row["job"], row["price"], row["blocks"], row["done"]) for row in rows] == [
        ("'=1+1.xlsx", "6.0", "7", "yes"),
        ("b.xlsx", "", "7", "partly"),
        ("c.xlsx", "", "", "failed"),
        ("d.xlsm", "18.0", "9", "yes"),
    ]
    assert "damaged" in rows[2]["file"]
    assert open_workbook(folder / "d.xlsm")["Job"]["A1"].value == 18
    shown = capsys.readouterr()
    assert "d.xlsm" in shown.out
    assert "\r" not in shown.err  # no terminal, no bar
    assert main(["recalc", str(folder), "--summary", str(summary)]) == 2
    assert main(["recalc", str(folder / "d.xlsm"), "--summary", str(tmp_path / "n.csv")]) == 2
    (folder / "c.xlsx").unlink()
    (folder / "b.xlsx").unlink()
    assert main(["recalc", str(folder)]) == 0
    with pytest.raises(InputError, match=r"\.xlsx or \.xlsm"):
        jobs.workbooks_in(tmp_path)


def test_sheets_become_pictures_and_one_pdf(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = job(tmp_path / "yard.xlsx")
    assert main(["pictures", str(path)]) == 2
    assert "recalculate it first" in capsys.readouterr().err
    assert main(["recalc", str(path)]) == 0
    assert main(["pictures", str(path), "--dpi", "72"]) == 0
    sizes = {file.name: Image.open(file).size for file in (tmp_path / "yard_pictures").iterdir()}
    # US letter is 612 by 792 points, A4 210 by 297 mm (ISO 216), which is 595.3 by 841.9 points.
    assert sizes == {"Job-1.png": (612, 792), "A_ b_-1.png": (596, 842)}
    assert main(["pictures", str(path), "--format", "pdf"]) == 0
    pages = pypdf.PdfReader(tmp_path / "yard_sheets.pdf").pages
    assert [page.extract_text().split() for page in pages] == [["6", "7"], ["second"]]
    assert [round(float(page.mediabox.width)) for page in pages] == [612, 595]
    out = tmp_path / "one.pdf"
    one = ["pictures", str(path), "--format", "pdf", "--out", str(out), "--sheet", "WORKING"]
    assert main(one) == 0
    assert len(pypdf.PdfReader(out).pages) == 1
    before = out.read_bytes()
    assert main(one) == 2
    assert main([*one[:-1], "Nope", "--force"]) == 2
    assert main(["pictures", str(path), "--format", "pdf", "--out", str(path), "--force"]) == 2
    assert main(["pictures", str(path), "--dpi", "0"]) == 2
    assert out.read_bytes() == before
    said = capsys.readouterr().err
    for part in ("--force", "Job, A< b|, Working", ".pdf", "20 to 400"):
        assert part in said


def test_pictures_of_a_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "jobs"
    folder.mkdir()
    for name in ("a.xlsx", "b.xlsx"):
        job(folder / name)
    assert main(["recalc", str(folder / "a.xlsx")]) == 0
    out = tmp_path / "out"
    assert main(["pictures", str(folder), "--out", str(out), "--format", "pdf"]) == 1
    assert [file.name for file in out.iterdir()] == ["a_sheets.pdf"]
    assert "recalculate it first" in capsys.readouterr().out


def test_facts_are_those_of_the_job(demos: dict[str, Path]) -> None:
    from basinbook.engine.layout.solver import solve
    from basinbook.workbook.recalculation.drawing_inputs import drawing_inputs

    found = jobs.facts(NamedBook(open_workbook(demos["us"])), demos["us"])
    spec, _, _ = drawing_inputs(demos["us"], "letter")
    assert found.cut_pieces == solve(spec).blocks.cut_pieces
    assert isinstance(found.price, float)
    assert found.stops == 0
    assert jobs.facts(NamedBook(openpyxl.Workbook()), Path("x.xlsx")) == jobs.Facts()


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_bar_tells_how_far(tmp_path: Path) -> None:
    screen = Terminal()

    def work(path: Path) -> jobs.Done:
        if path.name == "a\x1b[2J":
            raise OSError("the disk is full")
        return jobs.Done(jobs.Facts(), path)

    rows = jobs.run_jobs([Path("a\x1b[2J"), tmp_path / "b"], work, screen)
    assert [(row.done, row.file) for row in rows] == [
        ("failed", "the disk is full"),
        ("yes", str(tmp_path / "b")),
    ]
    bars = screen.getvalue().split("\r")[1:]
    assert [bar.partition("]")[0].count("#") for bar in bars] == [0, 12, 24]
    assert "2 of 2" in bars[-1]
    assert "\x1b" not in screen.getvalue()
