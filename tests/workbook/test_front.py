"""The front sheet: ten cells make a price, an order, drawings and checks, and nothing else does."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.cell import coordinate_to_tuple

from basinbook.cli import main
from basinbook.workbook.file.package import open_package, picture_parts
from basinbook.workbook.recalculation.redraw import redraw
from basinbook.workbook.template.input_cells import IDLE
from basinbook.workbook.template.inputs import BY_NAME, INPUTS, ON_FRONT
from basinbook.workbook.template.inputs.groups import FRONT, TOPICS
from workbook.edited import Edited
from workbook.places import SYSTEMS, place, retyped

UNREAD = ("Options", "Ranges", "Sizes", "Pieces", "Cautions")
# All that is typed: nothing where the start serves.
TYPED: dict[str, dict[str, Any]] = {
    "us": {
        "Inside_length": "5'", "Inside_width": "4'", "Water_depth": 15, "Columns": 2,
        "Second_wall": "yes", "Spill_kind": "straight lip", "Pump": "Pump 2400",
    },
    "metric": {
        "Inside_length": "1.5 m", "Inside_width": 1200, "Water_depth": 380, "Columns": 2,
        "Second_wall": "yes", "Spill_kind": "straight lip", "Pump": "Pump 9000",
    },
}  # fmt: skip


def test_at_most_ten_cells_are_typed_on_the_front_sheet(blanks: dict[str, Path]) -> None:
    assert len(ON_FRONT) <= 10
    for path in blanks.values():
        book = openpyxl.load_workbook(path)
        sheet = book.worksheets[0]
        assert sheet.title == FRONT
        typed = {
            cell.coordinate
            for row in sheet.iter_rows()
            for cell in row
            if not cell.protection.locked
        }
        assert typed == {place(book, name)[1] for name in ON_FRONT}
        # They follow each other in one column, so that the enter key goes through them.
        rows = [sheet[place(book, name)[1]].row for name in ON_FRONT]
        assert rows == list(range(rows[0], rows[0] + len(rows)))


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_front_sheet_alone_makes_a_job(blanks: dict[str, Path], system: str) -> None:
    edited = Edited(blanks[system], UNREAD)
    assert set(TYPED[system]) <= set(ON_FRONT)
    typed = edited.cells(TYPED[system])
    values = {**edited.start, **typed, **edited.after(typed)}
    named = edited.named(values)

    def value(name: str) -> Any:
        return named.cells(name)[0][0]

    assert value("Ready") is True, value("Job_message")
    assert value("Price_total") > 1000
    # The order, the setting plan and the checks have their lines, and nothing stops them.
    assert value("Findings_stop") == 0
    assert value("Order_problem") == "Inputs complete"
    for sheet, cell in (("Order", 4), ("Setting plan", 20), ("Cuts", 4), ("Checks", 20)):
        filled = [
            at for (of, at), found in values.items() if of == sheet and found not in (None, "")
        ]
        assert len(filled) > cell, sheet
    # Columns stand two courses over the basin, for which no cell is filled in.
    assert value("Qty_Column_pieces") == 2 * 4 * (value("Qty_Courses") + 2)
    # What comes out stands on the front sheet, and the others show what is typed there.
    shown = {found for (of, _), found in values.items() if of == FRONT}
    for name in ("Price_total", "Qty_Blocks_to_buy", "Person_hours", "Aim_advice"):
        assert value(name) in shown, name
    for name, typed in TYPED[system].items():
        by_topic = [of for of, groups in TOPICS.items() if BY_NAME[name].group in groups]
        on = {found for (of, _), found in values.items() if of in by_topic}
        assert typed in on or BY_NAME[name].group == "Pump and pipe"
    if system != "us":
        return
    # The pictures are drawn from it, that of the front sheet too.
    drawn = redraw(edited.package, values)
    front = picture_parts(open_package(blanks[system]))[FRONT]
    assert len(set(drawn.values())) == len(drawn) == 7
    assert len(drawn[front]) > 5000


@pytest.mark.parametrize("system", SYSTEMS)
def test_ten_cells_of_a_firms_own_workbook_make_an_order(
    blanks: dict[str, Path], system: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What no start can know is typed once, and kept in the workbook that jobs are copies of."""
    settled = {"Adhesives_shear": {"us": "10 psi", "metric": "70 kPa"}[system],
               "Outlet_fed": "over the rim", "Order_supplier": "Example Masonry Yard",
               "Order_supplier_email": "orders@masonry-yard.example"}  # fmt: skip
    job = retyped(blanks[system], tmp_path / "job.xlsx", settled)
    # An order has a name and a number, which no start can know either.
    titles = {"Job_name": "Fernbank", "Order_number": "F-1"}
    cells = [f"{name}={value}" for name, value in (TYPED[system] | titles).items()]
    assert main(["fill", str(job), *cells]) == 0
    out = tmp_path / "out"
    assert main(["order", str(job), "--out", str(out)]) == 0, capsys.readouterr().err
    kinds = sorted(path.suffix for path in out.iterdir())
    assert kinds == [".eml", ".pdf", ".xlsx"]
    (order,) = out.glob("*.xlsx")
    ordered = {str(cell.value) for sheet in openpyxl.load_workbook(order) for row in sheet.rows
               for cell in row}  # fmt: skip
    # The pipe and the outlet among it, for which nothing was typed.
    for named in {"us": ("sch40 2", "Spillway lip 18 in"),
                  "metric": ("pn16 63", "Spillway lip 450 mm")}[system]:  # fmt: skip
        assert named in ordered


def test_following_the_advice_on_block_and_courses_saves_what_it_says(
    blanks: dict[str, Path],
) -> None:
    """In the cells alone: what is typed, what is said, and what the layout then comes to."""
    edited = Edited(blanks["us"], UNREAD)
    job = {"Inside_length": 67, "Inside_width": 47, "Water_depth": 14, "Courses": 5}

    def cells(more: dict[str, Any]) -> tuple[str, float, float]:
        """What is said of another wall, and the money and hours that the layout comes to."""
        typed = edited.cells({**job, **more})
        named = edited.named({**edited.start, **typed, **edited.after(typed)})
        advice, note = (named.cells(name)[0][0] for name in ("Wall_advice", "Aim_note"))
        found = re.search(r"cost ([0-9,.]+), ([0-9.]+) person-hours", note)
        assert found
        return str(advice), float(found[1].replace(",", "")), float(found[2])

    advice, cost, hours = cells({})
    said = re.findall(r"high: .*?; ([0-9.]+) and ([0-9.]+) person-hours less", advice)
    assert advice.startswith("Split block 12 x 6 x 6, 3 courses, 18 high: ")
    assert ". One course fewer, 16 high: " in advice
    ways = ({"Block": "Split block 12 x 6 x 6", "Courses": 3}, {"Courses": 4})
    for way, (saved, spared) in zip(ways, said, strict=True):
        _, then, worked = cells(way)
        assert cost - then == pytest.approx(float(saved), abs=0.011)
        # Each is rounded to a tenth.
        assert hours - worked == pytest.approx(float(spared), abs=0.151)


def test_what_is_not_in_the_job_is_grey_and_says_what_it_hangs_on(blanks: dict[str, Path]) -> None:
    edited = Edited(blanks["us"], UNREAD)
    hung = [given for given in INPUTS if given.when]
    assert len(hung) > 60
    for given in hung:
        for name in (one for when in given.when for one in when.split(" or ")):
            assert name in edited.book.defined_names, given.name
    sides = {
        "nothing": {"Cap": None},
        "all": {
            "Columns": 2, "Second_wall": "yes", "Spill_kind": "notch", "Pump": "Pump 500",
            "Access_gap": 18, "Pipe_opening": 4, "Courses_on_edge": "2", "Light": "a light",
        },
    }  # fmt: skip
    notes: dict[str, dict[str, str]] = {}
    for side, typed in sides.items():
        changed = edited.cells(typed)
        values = {**edited.start, **changed, **edited.after(changed)}
        for given in hung:
            sheet, at = edited.cell(given.name)
            row = coordinate_to_tuple(at)[0]
            said = {str(values.get((sheet, f"{letter}{row}"), "")) for letter in "DE"}
            idle = [text for text in said if text.startswith(IDLE)]
            notes.setdefault(given.name, {})[side] = idle[0] if idle else ""
            look = edited.book[sheet].conditional_formatting
            assert any(str(one.sqref).startswith(f"A{row}:") for one in look), given.name
    for name in ("Pipe_space", "Access_gap_position", "Column_courses", "Column_cap", "Pipe"):
        assert notes[name]["nothing"].startswith(IDLE), name
        assert notes[name]["all"] == "", name
    assert notes["Pipe_space"]["nothing"] == f"{IDLE}: see Second wall on the Basin sheet"
    assert notes["Pump"]["nothing"] == f"{IDLE}: see Water effect"
    assert notes["Opening_2_course"]["all"] == f"{IDLE}: see Opening 2 width"
    assert notes["Cap_corners"] == {"nothing": f"{IDLE}: see Cap on the Basin sheet", "all": ""}


# A choice that is missing or can't be used; what is said; what of the take-off goes with it.
_MISSING: tuple[tuple[dict[str, Any], str, str], ...] = (
    ({"Liner": None}, "Liner: choose one", r".*[Ll]iner"),
    ({"Spill_kind": "notch", "Pump": None}, "Pump: choose one on the Basin sheet", r"Pump|Pipe"),
    ({"Block": None}, "Block: choose one", r"(?!Water (volume|weight)|Fill time)"),
)


def test_a_missing_choice_leaves_the_take_off_of_the_rest(demos: dict[str, Path]) -> None:
    edited = Edited(demos["us"])
    rows = {
        at: str(edited.start["Take-off", at.replace("B", "A")])
        for (sheet, at), value in edited.start.items()
        if sheet == "Take-off" and at[0] == "B" and value not in (None, "") and at != "B2"
    }
    assert len(rows) > 70
    for typed, said, gone in _MISSING:
        changed = edited.cells(typed)
        values = {**edited.start, **changed, **edited.after(changed)}
        (message,) = edited.named(values).cells("Job_message")[0]
        assert str(message).startswith(said)
        lost = {
            label for at, label in rows.items() if values["Take-off", at] in (None, "", "unknown")
        }
        assert all(re.match(gone, label) for label in lost), (typed, lost)
        if "Block" not in typed:
            assert edited.named(values).cells("Qty_Blocks_to_buy")[0][0] > 0


def test_each_sheet_says_what_to_do_there(blanks: dict[str, Path]) -> None:
    """But for what supplier and client see, and the drawings, which fill their pages."""
    book = openpyxl.load_workbook(blanks["us"])
    for sheet in book.worksheets:
        if sheet.sheet_state == "visible" and sheet.title not in ("Order", "Quote", "Drawings"):
            head = [str(cell.value or "") for row in sheet["A2:A4"] for cell in row]
            assert any(len(text) > 40 and text.count(" ") > 6 for text in head), sheet.title
