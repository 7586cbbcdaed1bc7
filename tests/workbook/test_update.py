"""Older workbooks: they are calculated as ever, and what was typed in them is carried over."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.comments import Comment
from openpyxl.workbook import Workbook
from openpyxl.workbook.defined_name import DefinedName

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.evaluation.book import Grid, Value
from basinbook.workbook.convert import convert
from basinbook.workbook.file.package import open_package
from basinbook.workbook.recalculation.named_values import NamedValues
from basinbook.workbook.recalculation.recalc import read_values, recalculate
from basinbook.workbook.template import job as job_sheet
from basinbook.workbook.template.template import built_template, fill
from basinbook.workbook.template.template_files import new_workbook, write_filled
from basinbook.workbook.update.carry import Carried, Place, carry, rows_wanted
from basinbook.workbook.update.known import known, mark, marks, shape
from basinbook.workbook.update.older import version_note
from basinbook.workbook.update.side import Side
from basinbook.workbook.update.titles import called_otherwise, with_titles
from basinbook.workbook.update.translations import translated
from basinbook.workbook.update.update import _new_side, update
from past_workbooks import side_of
from workbook.places import SYSTEMS, place, renamed

# The demo's workbook, filled in and calculated by the first and the last program whose workbooks
# carry no version, and by the last of versions 2 to 5; their pictures are taken out.
DATA = Path(__file__).parents[1] / "data"
FIRST, LAST = DATA / "version_1_first_us.xlsx", DATA / "version_1_last_metric.xlsx"
SECOND, THIRD = DATA / "version_2_us.xlsx", DATA / "version_3_metric.xlsx"
FOURTH = DATA / "version_4_us.xlsx"
FIFTH = DATA / "version_5_us.xlsx"
OLD = (FIRST, LAST, SECOND, THIRD, FOURTH, FIFTH)
TOTALS = ("Price_total", "Total_materials", "Total_labour", "Option_1_price", "Option_3_price")


@cache
def _template(system: str) -> Side:
    return _new_side(built_template(system))


@cache
def _old(path: Path) -> Side:
    return side_of(path)


def _copied(side: Side) -> Side:
    """The same with values and formulas of its own to change."""
    grids = {
        title: replace(grid, values=dict(grid.values), formulas=dict(grid.formulas))
        for title, grid in side.grids.items()
    }
    return Side(side.book, grids, side.sections)


def new_side(system: str = "us") -> Side:
    return _copied(_template(system))


def old_side(path: Path) -> Side:
    return _copied(_old(path))


def version_of(path: Path) -> int:
    return int(path.stem.split("_")[1])


def named(path: Path, name: str) -> Value:
    written = path.stat().st_mtime_ns
    sheet, at = _names(path, written).places(name)[0][0]
    return _stored(path, written)[sheet].get(at)


@lru_cache(maxsize=2)
def _names(path: Path, _written: int) -> NamedValues:
    return NamedValues(open_package(path), {})


@cache
def _stored(path: Path, _written: int) -> dict[str, dict[str, Value]]:
    return read_values(path)


@pytest.mark.parametrize("path", OLD, ids=lambda path: path.stem)
def test_an_old_workbook_is_calculated_to_the_stored_prices(path: Path, tmp_path: Path) -> None:
    """Its formulas call functions that must go on taking what they took."""
    report = recalculate(path, out=tmp_path / "again.xlsx")
    assert report.not_computed == ()
    assert report.refused == ()
    for name in TOTALS:
        stored = named(path, name)
        assert isinstance(stored, (int, float))
        assert stored > 500
        assert named(report.out, name) == pytest.approx(stored, rel=1e-9), name


@pytest.mark.parametrize("path", OLD, ids=lambda path: path.stem)
def test_the_marks_of_old_templates_are_complete(path: Path) -> None:
    side = old_side(path)
    strange = set(marks(side)) - known(version_of(path))
    typed = {
        mark("start", str(value))
        for sheet in side.grids
        for spot, value in side.constants(sheet)
        if side.typed(sheet, spot)
    }
    dates = {m for m in strange if m not in typed}
    # What the demo typed, and its numbers and dates, which are written otherwise in a mark.
    assert len(strange) < 60
    assert len(dates) < 6


@pytest.mark.parametrize("path", OLD, ids=lambda path: path.stem)
def test_all_that_was_typed_is_carried_over(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = path.read_bytes()
    out = tmp_path / "new.xlsx"
    command = ["convert", str(path), "--current", "--out", str(out)]
    assert main(command) == 0
    said = capsys.readouterr().out
    assert f"(workbook version {version_of(path)}) carried over" in said
    assert "Not carried over" not in said
    assert path.read_bytes() == before
    old, new = old_side(path), side_of(out)
    typed = 0
    for name, at in new.single().items():
        if new.typed(at.sheet, at.spot) and name in old.single():
            typed += 1
            was = old.value(old.single()[name])
            if (
                name == "Adhesive_waste" and version_of(path) < 3
            ):  # what was added is a share lost today
                was = was / (1 + was)
            if was == "":  # a formula's, where something is typed today
                was = None
            assert new.value(at) == was, name
            assert type(new.value(at)) is type(was), name
    assert typed > 100
    for columns in new.tables():
        first = next(iter(columns.values()))
        if not new.typed(first.sheet, (first.top, first.left)):
            continue  # its rows are the template's, and may be others today
        key = next((old.areas[name] for name in columns if name in old.areas), None)
        for name, area in columns.items():
            if name not in old.areas:  # a column that is new today
                continue
            was = old.areas[name]
            for down in range(was.bottom - was.top + 1):
                if key and old.value(Place(key.sheet, key.top + down, key.left)) in (None, ""):
                    continue  # where a starter that is new today may stand
                here = new.value(Place(area.sheet, area.top + down, area.left))
                assert here == old.value(Place(was.sheet, was.top + down, was.left)), name
    for name in ("Price_total", "Option_1_price", "Option_2_price"):
        same = named(out, name) == pytest.approx(named(path, name), abs=0.004)
        assert same == (f"{name}: " not in said), name
    assert main(["recalc", str(out)]) == 0
    assert "version" not in capsys.readouterr().out
    assert main(command) == 2
    assert "--force" in capsys.readouterr().err
    for target in (path, path.parent / ".." / "data" / path.name):
        assert main([*command[:3], "--out", str(target), "--force"]) == 2
    assert path.read_bytes() == before


def test_sheets_called_otherwise_are_those_they_were(
    demos: dict[str, Path], tmp_path: Path
) -> None:
    """All that was typed goes where it goes from sheets with the template's titles."""
    own = {"Job": "Chantier de l'entrepreneur", "Labour and pricing": "Prices", "Order": "1. Order"}
    old = side_of(renamed(demos["us"], tmp_path / "own.xlsx", own))
    new = new_side("us")
    found = called_otherwise(old, new)
    assert found == {now: title for title, now in own.items()}
    there = frozenset(marks(new))
    same, plain = (
        carry(with_titles(old, found), new, there),
        carry(side_of(demos["us"]), new, there),
    )
    assert same.left == plain.left == []
    assert same.moves == plain.moves
    assert same.typed > 600
    # A sheet of one's own is none of the template's, though one of these was taken out.
    plain_side = side_of(demos["us"])
    plain_side.book.create_sheet("My sums").append(["Sums", "Job", "Total"])
    grids = {title: grid for title, grid in plain_side.grids.items() if title != "Cautions"}
    grids["My sums"] = Grid("My sums", {(1, 1): "Sums", (1, 2): "Job", (1, 3): "Total"})
    assert called_otherwise(Side(plain_side.book, grids, {}), new) == {}


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_typed_cell_of_todays_template_is_found_again(system: str) -> None:
    """An input, a table or a free line added to the template needs nothing for that."""
    full, blank = new_side(system), new_side(system)
    typed = [Place(sheet, *spot) for sheet in full.grids for spot in full.typed_spots(sheet)]
    assert len(typed) > 600
    for number, at in enumerate(typed):
        full.grids[at.sheet].values[at.spot] = f"typed {number}"
    for at in typed:
        blank.grids[at.sheet].values.pop(at.spot, None)
    labelled = {
        Place(area.sheet, row, area.left)
        for columns in full.tables()
        for area in columns.values()
        for row in range(area.top, area.bottom + 1)
    }
    assert labelled
    found = carry(full, blank, frozenset(marks(blank)))
    assert found.left == []
    assert found.added == []
    assert {move.to: move.value for move in found.moves if move.value} == {
        at: f"typed {number}" for number, at in enumerate(typed)
    }


def written(
    tmp_path: Path, fill_in: Callable[[Workbook], None], more: dict[tuple[str, str], int]
) -> Path:
    """A workbook of today, with more rows than usual, filled in and calculated."""
    path = tmp_path / "filled.xlsx"
    template = built_template("us", more)
    fill_in(template.workbook)
    write_filled(template.workbook, path)
    return path


def rows_of(book: Workbook, sheet: str, first: str) -> list[int]:
    """The rows below a heading that have an unlocked cell in the first column."""
    found = []
    worksheet = book[sheet]
    start = next(r for r in range(1, worksheet.max_row) if worksheet.cell(r, 1).value == first)
    for row in range(start + 1, worksheet.max_row + 1):
        if not worksheet.cell(row, 1).protection.locked:
            found.append(row)
        elif found:
            break
    return found


def test_rows_beyond_the_usual_ones_and_rows_taken_away(tmp_path: Path) -> None:
    more = {
        ("Materials", "Blocks"): 2,
        ("Estimate", "Materials"): 3,
        ("Estimate", "Labour"): 2,
        ("Job", job_sheet.RECORD): 1,
    }

    def fill_in(book: Workbook) -> None:
        sheet, area = place(book, "Blocks_name")
        for number, (cell,) in enumerate(book[sheet][area]):
            # All eight usual rows and two more; the second of the starters is taken away.
            texts = ("Our block", 20, 5, 9, 50, 7.25, 1)
            for right, value in enumerate(texts):
                own = f"{value} {number}" if right == 0 else value
                cell.offset(0, right).value = None if number == 1 else own
        for sheet, heading, columns in (
            ("Estimate", "Materials", "ABCDI"),
            ("Estimate", "Labour", "ACDE"),
            ("Job", job_sheet.RECORD, "ABDE"),
        ):
            for row in rows_of(book, sheet, heading):
                for column in columns:
                    words = column in "ABD" or sheet == "Job"
                    book[sheet][f"{column}{row}"] = f"{column}{row}" if words else row / 4

    path = written(tmp_path, fill_in, more)
    done = update(path)
    assert done.out == tmp_path / "filled_current.xlsx"
    assert done.carried.left == []
    assert done.carried.added == []
    old, new = side_of(path), side_of(done.out)
    for sheet in old.grids:
        for spot in old.typed_spots(sheet):
            assert new.value(Place(sheet, *spot)) == old.value(Place(sheet, *spot)), (sheet, spot)
    names = new.areas["Blocks_name"]
    assert new.value(Place(names.sheet, names.bottom, names.left)) == "Our block 9"
    assert new.value(Place(names.sheet, names.top + 1, names.left)) is None


def spoilt(path: Path, out: Path) -> Path:
    """An old workbook to which its user has done what nobody thought of."""
    book = openpyxl.load_workbook(path)
    fill(
        book,
        {
            "Inside_length": "=5*12+4",
            "Client": "=not a formula",
            "Job_number": "1/2",
            # As the file format writes the text _x0041_, which it would take for an A.
            "Estimator": " two\nlines _x005F_x0041_ ",
            "Option_1_Courses": 7,
            "Option_2_Water_depth": "1,27 m",
            "Delivery": "#N/A",
            "Order_deliver_to": "by the gate",
            "Currency": None,
        },
    )
    for name in ("Client", "Delivery"):
        sheet, at = place(book, name)
        book[sheet][at].data_type = "s"
    estimate = book["Estimate"]
    free = rows_of(book, "Estimate", "Materials")[0]
    for column, value in zip("ABCDI", ("Bowl", "of copper", 1, "each", 412.5), strict=True):
        estimate[f"{column}{free}"] = value
    record = rows_of(book, "Job", "Record of changes")[0]
    book["Job"][f"E{record}"] = "Deeper, as agreed"
    checks = book["Checks"]
    for row in range(1, checks.max_row + 1):
        label = checks.cell(row, 1).value
        if label == "Inside length, back":
            checks.cell(row, 4).value = "1/8"
            checks.cell(row, 5).value = "63 7/8"
        if label == "Leak test":
            checks.cell(row, 6).value = "pass"
            checks.cell(row, 7).value = "dry all night"
    sheet, at = place(book, "Qty_Blocks_to_buy")
    book[sheet][at] = 150
    book["Estimate"]["A2"] = "Call before noon"
    sheet, at = place(book, "Price_total")
    book[sheet][at] = "=ROUND(Price_before_tax*0.95,-1)"
    notes = book.create_sheet("Own notes")
    notes["A1"], notes["B2"] = "Ring the yard", "=Price_total*2"
    book.defined_names["Own_discount"] = DefinedName("Own_discount", attr_text="'Own notes'!$A$1")
    book["Job"]["B8"].comment = Comment("check this", "somebody")
    book.save(out)
    recalculate(out)
    return out


def test_what_a_user_has_done_beside_is_carried_as_it_is_or_told_of(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = spoilt(FIRST, tmp_path / "job.xlsx")
    before = path.read_bytes()
    assert main(["convert", str(path), "--current"]) == 1
    said = capsys.readouterr().out
    assert path.read_bytes() == before
    out = tmp_path / "job_current.xlsx"
    assert named(out, "Inside_length") == 64
    assert named(out, "Client") == "=not a formula"
    assert named(out, "Job_number") == "1/2"
    assert named(out, "Estimator") == " two\nlines _x0041_ "
    assert named(out, "Delivery") == "#N/A"
    assert named(out, "Currency") is None
    assert named(out, "Option_2_Water_depth") == "1,27 m"
    assert named(out, "Order_deliver_to") == "by the gate"
    book = openpyxl.load_workbook(out)
    free = rows_of(book, "Estimate", "Materials")[0]
    assert [book["Estimate"][f"{c}{free}"].value for c in "ABCDI"] == [
        "Bowl", "of copper", 1, "each", 412.5,
    ]  # fmt: skip
    record = rows_of(book, "Job", "Record of changes")[0]
    assert book["Job"][f"E{record}"].value == "Deeper, as agreed"
    checks = {row[0].value: [cell.value for cell in row[3:7]] for row in book["Checks"].iter_rows()}
    assert checks["Inside length, back"][:2] == ["1/8", "63 7/8"]
    assert checks["Leak test"][2:] == ["pass", "dry all night"]
    for told in (
        "Job!B18 =5*12+4: its value 64 was carried over",
        "(Option_1_Courses) '7': its cell is calculated today",
        "(Qty_Blocks_to_buy) '150': it stands in a locked cell",
        "Estimate!A2 'Call before noon': it stands in a locked cell",
        "=ROUND(Price_before_tax*0.95,-1): no formula of a template",
        "sheet Own notes with 2 filled cells",
        "names: Own_discount",
        "notes on cells of the sheet Job: B8",
        "Price_total: ",
        f'basinbook changes "{path}" "{out}"',
    ):
        found = told if "B18" not in told else re.sub(r"B18", r"", told).removeprefix("Job!")
        assert found in said, told


def test_the_formulas_stay_spelt_for_their_program(tmp_path: Path) -> None:
    excel = convert(FIRST, "excel", out=tmp_path / "job.xlsx").out
    done = update(excel)
    assert done.carried.left == []
    text = openpyxl.load_workbook(done.out)["Basin"]["A2"].value
    assert "BASIN_ADDINVERSION" in text


def test_dates_of_the_other_calendar_stay_the_days_they_are(demos: dict[str, Path]) -> None:
    """A workbook may count its days from 1904: 1462 days later (ECMA-376 part 1, 18.17.4.1)."""
    old, new = side_of(demos["us"]), new_side()
    there = frozenset(marks(new))
    for days in (0, 1462):
        old.days = days
        found = {move.to: move.value for move in carry(old, new, there).moves}
        for name in ("Job_date", "Order_needed_by", "Inside_width", "Labour_rate"):
            was = old.value(old.single()[name])
            assert isinstance(was, (int, float))
            moved = days if name in ("Job_date", "Order_needed_by") else 0
            assert found[new.single()[name]] == was + moved, name


def test_starters_that_are_new_today_are_added_and_those_taken_away_stay_away() -> None:
    old, new = old_side(FIRST), new_side()
    names = new.areas["Fittings_name"]
    for sheet, area in ((old, old.areas["Fittings_name"]), (new, names)):
        assert sheet.value(Place(area.sheet, area.top, area.left))
    was = old.areas["Fittings_name"]
    for area in old.areas.values():
        if (area.sheet, area.top, area.bottom) == (was.sheet, was.top, was.bottom):
            old.grids[area.sheet].values.pop((area.top, area.left), None)
    new.grids[names.sheet].values[names.top + 2, names.left] = "Brand-new fitting"
    found = carry(old, new, known(1))
    assert any("Fittings: Brand-new fitting" in line for line in found.added)
    there = [move.value for move in found.moves if move.to in _cells(names)]
    assert "Brand-new fitting" in there
    first = old_side(FIRST).value(Place(was.sheet, was.top, was.left))
    assert first not in there


@pytest.mark.parametrize(
    ("spillway", "pump", "today"),
    [
        ("none", "Pump 2400", "circulation"),
        ("none", None, "still water"),
        ("bowl rim", "Pump 2400", "bowl rim"),
        (None, "Pump 2400", "circulation"),
        ("", "", "still water"),
    ],
)
def test_an_old_word_for_the_spillway_is_told_and_carried_as_todays(
    spillway: str | None, pump: str | None, today: str
) -> None:
    old, new = old_side(FIRST), new_side()
    for name, value in (("Spill_kind", spillway), ("Pump", pump)):
        at = old.single()[name]
        old.grids[at.sheet].values[at.spot] = value
    found = carry(old, new, known(1))
    assert {move.to: move.value for move in found.moves}[new.single()["Spill_kind"]] == today
    told = [line for line in found.notes if f"is {today!r} today" in line]
    assert len(told) == (spillway in ("none", "", None))
    old.version = 2
    moves = {move.to: move.value for move in carry(old, new, known(1)).moves}
    assert moves[new.single()["Spill_kind"]] == spillway


@pytest.mark.parametrize(
    ("added", "lost"),
    [(0.1, 1 / 11), (1, 0.5), ("25%", 0.2), (0, 0), ("", ""), (None, None), ("much", "much")],
)
def test_adhesive_that_was_added_is_a_share_lost_today(added: object, lost: object) -> None:
    now = translated("Adhesive_waste", added, {}, 2)  # type: ignore[arg-type]
    assert now == (pytest.approx(lost) if isinstance(lost, float) else lost)
    assert translated("Adhesive_waste", added, {}, 3) == added  # type: ignore[arg-type]
    if isinstance(added, (int, float)):
        # The same cartridges as before: 1 + w bought for 1 used.
        assert isinstance(now, (int, float))
        assert 1 / (1 - now) == pytest.approx(1 + added)


def _cells(area: Any) -> set[Place]:
    return {Place(area.sheet, row, area.left) for row in range(area.top, area.bottom + 1)}


def test_a_program_that_respells_formulas_makes_no_list_of_them() -> None:
    assert shape("IF('Job'!$B$5=TRUE(),_xlfn.IFNA(BASIN_PACKS(A1,2),1.5),0)") == shape(
        "if(Job!C17 = TRUE, IFNA(BASIN.PACKS(B2,7),1.5), 0)"
    )
    assert shape("A1*1.5") != shape("A1*1.6")
    old, new = old_side(FIRST), new_side()
    for grid in old.grids.values():
        for spot, formula in grid.formulas.items():
            grid.formulas[spot] = type(formula)(f"{formula.text}+0.5")
    found = carry(old, new, known(1))
    (line,) = [line for line in found.left if "can't be told apart" in line]
    assert line.startswith("formulas of your own: ")


@pytest.mark.parametrize("command", ["recalc", "draw", "order"])
def test_commands_tell_of_an_old_workbook_and_do_their_work(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "job.xlsx"
    path.write_bytes(FIRST.read_bytes())
    recalculate(path)
    # An order of a workbook without a list of findings is sent unchecked, if at all.
    accepted = ["--accept", "not checked"] if command == "order" else []
    assert main([command, str(path), *accepted]) == 0
    (line,) = [line for line in capsys.readouterr().out.splitlines() if "version" in line]
    assert line.startswith(f"{path} has workbook version 1, today's is ")
    assert "lacks" in line
    assert f'basinbook convert "{path}" --current' in line


def test_todays_workbooks_and_those_of_others_are_not_spoken_of(tmp_path: Path) -> None:
    assert version_note(new_workbook(tmp_path / "new.xlsx", "metric", "excel")) == ""
    Workbook().save(tmp_path / "other.xlsx")
    assert version_note(tmp_path / "other.xlsx") == ""
    with pytest.raises(InputError, match="estimate workbook"):
        update(tmp_path / "other.xlsx")


def test_a_workbook_of_a_later_program_is_left_to_it(tmp_path: Path) -> None:
    path = new_workbook(tmp_path / "new.xlsx")
    book = openpyxl.load_workbook(path)
    fill(book, {"Workbook_version": 99})
    book.save(path)
    assert "install a newer Basinbook" in version_note(path)
    with pytest.raises(InputError, match="install a newer"):
        update(path)
    with pytest.raises(InputError, match=r"ends in \.xlsx"):
        update(path, out=tmp_path / "new.csv")


def test_no_rows_are_wanted_beyond_those_there_are() -> None:
    old, new = old_side(LAST), new_side("metric")
    old.sections = new.sections
    assert rows_wanted(old, new, known(1)) == {}
    assert isinstance(carry(old, new, known(1)), Carried)
    assert isinstance(old, Side)
