"""Rates over finished jobs: from their check sheets into a price book, and into a new job."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.workbook.defined_name import DefinedName

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.prices.book import write_book
from basinbook.workbook.prices.learned import ADHESIVE, BASE, BROKEN, kept_rates, learn
from basinbook.workbook.prices.offers import PriceBook
from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.template import from_book

LAY = "Lay and glue block"
JOBS = (
    ((LAY, 100, "piece", 5), (BROKEN, 80, "block", 4), (ADHESIVE, 9, "cartridge", 10)),
    ((LAY, 300, "piece", 12), (BROKEN, 120, "block", 0), (BASE, 2, "yd³", 2.6)),
)


def job(path: Path, rows: Sequence[tuple[object, ...]], units: str = "us") -> Path:
    """A workbook with nothing but a check sheet's rows."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Checks"
    for row in rows:
        sheet.append(row)
    sheet["G1"], sheet["G2"] = units, "Stone dust, bulk by volume"
    places = {"Units": "$G$1", "Base_material": "$G$2"}
    for letter, key in zip("ABCD", ("task", "amount", "unit", "took"), strict=True):
        places[f"Actual_{key}"] = f"${letter}$1:${letter}${len(rows)}"
    for name, place in places.items():
        book.defined_names[name] = DefinedName(name, attr_text=f"Checks!{place}")
    book.save(path)
    return path


@pytest.fixture
def jobs(tmp_path: Path) -> list[Path]:
    return [job(tmp_path / f"job {n}.xlsx", rows) for n, rows in enumerate(JOBS, 1)]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "prices.xlsx"
    write_book(path, PriceBook("us"))
    return path


def test_rates_by_hand(jobs: list[Path]) -> None:
    """17 h for 400 pieces, 4 of 200 broken, 1 of 10 cartridges lost, 2.6 loose over 2 tamped."""
    system, rates = learn(jobs)
    assert system == "us"
    found = {(one.what, one.of): one.found for one in rates}
    assert {key: (one.rate, one.jobs) for key, one in found.items()} == {
        (LAY, ""): (17 / 400, 2),
        (BROKEN, ""): (0.02, 2),
        (ADHESIVE, ""): (0.1, 1),
        (BASE, "Stone dust, bulk by volume"): (1.3, 1),
    }
    laying = found[LAY, ""]
    assert (laying.low, laying.high, laying.median) == (0.04, 0.05, 0.045)
    assert laying.spread is not None
    assert found[ADHESIVE, ""].spread is None


def test_a_blank_cell_was_not_counted(tmp_path: Path) -> None:
    path = job(tmp_path / "a.xlsx", [(LAY, 100, "piece", None), (BROKEN, 80, "block", 0)])
    assert [one.what for one in learn([path])[1]] == [BROKEN]


def test_what_can_not_be_learned_from(jobs: list[Path], tmp_path: Path) -> None:
    with pytest.raises(InputError, match="the same job"):
        learn([jobs[0], jobs[0]])
    metric = job(tmp_path / "m.xlsx", [(LAY, 1, "piece", 1)], "metric")
    with pytest.raises(InputError, match="it is in metric units, those before in us"):
        learn([*jobs, metric])
    for row, said in (
        ((LAY, 100, "piece", "five"), "took of Lay and glue block"),
        ((LAY, 100, "piece", -5), "0 or more"),
        ((ADHESIVE, 9, "cartridge", 8), "at least what the beads hold, 9.00"),
    ):
        with pytest.raises(InputError, match=said):
            learn([job(tmp_path / "bad.xlsx", [row, row])])
    openpyxl.Workbook().save(tmp_path / "none.xlsx")
    with pytest.raises(InputError, match="no cells for what the job took"):
        learn([tmp_path / "none.xlsx"])


def test_they_are_kept_in_the_book_and_others_stay(
    jobs: list[Path], book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["learn", *map(str, jobs), "--into", str(book)]) == 0
    assert f"{LAY}: none -> 0.0425" in capsys.readouterr().out
    assert main(["learn", str(jobs[0]), "--into", str(book)]) == 0
    assert f"{LAY}: 0.0425 -> 0.05" in capsys.readouterr().out
    kept = {(one.what, one.of): one.value for one in kept_rates(book, "us")}
    assert kept[LAY, ""] == 0.05
    assert kept[BASE, "Stone dust, bulk by volume"] == 1.3
    with pytest.raises(InputError, match="its units are us, the job's are metric"):
        kept_rates(book, "metric")


def test_a_new_job_starts_with_them(
    jobs: list[Path], book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is typed into the blank template; to work it out is tested elsewhere."""
    typed: dict[Key, object] = {}

    def recalculate(path: Path, **given: Any) -> None:
        assert path.is_file()
        typed.update(given["typed"])

    monkeypatch.setattr(from_book, "recalculate", recalculate)
    assert main(["learn", *map(str, jobs), "--into", str(book)]) == 0
    file = openpyxl.load_workbook(book)
    file["Rates"].append(["Sing", None, 3])
    file.save(book)
    made = tmp_path / "new.xlsx"
    started = from_book.new_from_book(made, "us", "calc", book)
    assert [one.rate.what for one in started if not one.taken] == ["Sing"]
    assert sorted(map(str, typed.values())) == ["0.02", "0.0425", "0.1", "1.3"]
    sheets = openpyxl.load_workbook(made)
    beside = {}
    for (sheet, cell), value in typed.items():
        row = cell.lstrip("ABCDEFGH")
        beside[value] = sheets[sheet][f"A{row}"].value
        assert isinstance(sheets[sheet][cell].value, (int, float))
    assert beside == {
        0.0425: LAY, 0.02: "Breakage", 0.1: "Adhesive waste", 1.3: "Stone dust, bulk by volume",
    }  # fmt: skip
