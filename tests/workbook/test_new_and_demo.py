"""Starting a job, the demo, and recalculating what people do to a workbook."""

from __future__ import annotations

import email
import email.policy
import io
import re
import shutil
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path

import openpyxl
import pytest
from openpyxl.workbook import Workbook
from PIL import Image

from basinbook.catalogue.model import CellError
from basinbook.cli import main
from basinbook.drawings import drawing_set
from basinbook.workbook.file.package import open_package, picture_parts, write_package
from basinbook.workbook.recalculation import redraw as redraw_module
from basinbook.workbook.recalculation.named_values import NamedValues
from basinbook.workbook.recalculation.recalc import is_stale, read_values, recalculate
from basinbook.workbook.recalculation.redraw import redraw
from basinbook.workbook.template.demo_job import DEMO_US
from workbook.edited import evaluated
from workbook.places import SYSTEMS, place

WHAT_SUPPLIERS_NEVER_SEE = re.compile(
    r"price|cost|mark-?up|labou?r|tax|total|profit|hours|estimat(?!ing@)|client", re.IGNORECASE
)


def named(path: Path, name: str) -> object:
    sheet, cell = NamedValues(open_package(path), {}).places(name)[0][0]
    return read_values(path)[sheet].get(cell)


def put(path: Path, changes: dict[str, object], out: Path) -> Path:
    """Type values into named cells with openpyxl, as any other program might, and save."""
    book = openpyxl.load_workbook(path)
    for name, value in changes.items():
        sheet, cell = place(book, name)
        book[sheet][cell].value = value
    book.save(out)
    return out


def error_cells(path: Path) -> list[str]:
    return [
        f"{sheet}!{at} {value.text}"
        for sheet, values in read_values(path).items()
        for at, value in values.items()
        if isinstance(value, CellError)
    ]


@pytest.mark.parametrize("system", SYSTEMS)
def test_new_copies_the_blank_template(tmp_path: Path, system: str) -> None:
    path = tmp_path / "job.xlsx"
    assert main(["new", str(path), "--units", system]) == 0
    assert named(path, "Units") == system
    assert named(path, "Job_name") is None
    assert error_cells(path) == []
    assert not is_stale(path)


def test_new_is_us_unless_told(tmp_path: Path) -> None:
    path = tmp_path / "job.xlsx"
    assert main(["new", str(path)]) == 0
    assert named(path, "Units") == "us"


def test_new_never_overwrites_without_force(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "job.xlsx"
    path.write_bytes(b"the estimator's own work")
    assert main(["new", str(path)]) == 2
    assert path.read_bytes() == b"the estimator's own work"
    assert str(path) in capsys.readouterr().err
    assert main(["new", str(path), "--force"]) == 0
    assert named(path, "Units") == "us"
    assert sorted(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("name", ["job", "job.xls", "job.ods", "job.xlsx.txt", "no/such/job.xlsx"])
def test_new_refuses_names_that_are_no_workbook(
    tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["new", str(tmp_path / name)]) == 2
    assert "basinbook: file:" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_new_refuses_unknown_units(tmp_path: Path) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["new", str(tmp_path / "job.xlsx"), "--units", "imperial"])
    assert stopped.value.code == 2
    assert list(tmp_path.iterdir()) == []


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("run") / "demo"
    assert main(["demo", "--out", str(folder)]) == 0
    return folder


@pytest.fixture(scope="module")
def job(demo: Path) -> Path:
    (found,) = demo.glob("*.xlsx")
    return found


def test_demo_writes_workbook_order_drawings_and_pictures(demo: Path, job: Path) -> None:
    assert job.stem == DEMO_US["Job_name"]
    order = sorted(path.suffix for path in (demo / "order").iterdir())
    assert order == [".eml", ".pdf", ".xlsx"]
    drawings = list((demo / "drawings").rglob("*.*"))
    assert {path.suffix for path in drawings} >= {".pdf", ".svg"}
    pictures = list((demo / "pictures").glob("*.png"))
    for sheet in ("Basin", "Estimate", "Options", "Order", "Checks"):
        assert any(picture.name.startswith(sheet) for picture in pictures), sheet
    for picture in pictures:
        with Image.open(picture) as image:
            grey = image.convert("L")
            assert min(grey.size) > 300, picture.name
            assert len(grey.getcolors(256) or ()) > 10, picture.name
    for pdf in demo.rglob("*.pdf"):
        assert pdf.read_bytes().startswith(b"%PDF-"), pdf.name


def test_demo_refuses_to_overwrite_and_replaces_with_force(
    demo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    again = tmp_path / "demo"
    shutil.copytree(demo, again)
    before = {path: path.read_bytes() for path in again.rglob("*") if path.is_file()}
    assert main(["demo", "--out", str(again)]) == 2
    assert "force" in capsys.readouterr().err
    assert {path: path.read_bytes() for path in again.rglob("*") if path.is_file()} == before


def test_demo_refuses_a_file_as_its_folder(tmp_path: Path) -> None:
    path = tmp_path / "demo"
    path.write_text("a file")
    assert main(["demo", "--out", str(path)]) == 2
    assert path.read_text() == "a file"


def test_demo_has_no_error_cell_and_is_up_to_date(job: Path) -> None:
    assert error_cells(job) == []
    assert not is_stale(job)
    assert named(job, "Ready") is True
    assert float(str(named(job, "Price_total"))) > 0
    for number in range(1, 5):
        assert float(str(named(job, f"Option_{number}_price"))) > 0


def test_recalculating_the_demo_again_changes_nothing(job: Path, tmp_path: Path) -> None:
    path = tmp_path / "job.xlsx"
    shutil.copy(job, path)
    report = recalculate(path, refreshers=(redraw,))
    assert report.changed == 0
    assert not report.not_computed
    with zipfile.ZipFile(job) as old, zipfile.ZipFile(path) as new:
        assert old.namelist() == new.namelist()
        assert [part for part in old.namelist() if old.read(part) != new.read(part)] == []


def _texts(book: Workbook) -> Iterator[str]:
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is not None:
                    yield str(cell.value)


def test_order_of_the_demo_has_no_cost_no_client_and_no_formula(demo: Path, job: Path) -> None:
    (path,) = (demo / "order").glob("*.xlsx")
    book = openpyxl.load_workbook(path)
    assert all(sheet.sheet_state == "visible" for sheet in book.worksheets)
    texts = list(_texts(book))
    assert len(texts) > 40
    for text in texts:
        assert not text.startswith("="), text
        assert not WHAT_SUPPLIERS_NEVER_SEE.search(text), text
        assert str(DEMO_US["Client"]) not in text
    assert str(DEMO_US["Order_supplier"]) in texts
    numbers = {
        cell.value
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell.value, (int, float))
    }
    estimate = openpyxl.load_workbook(job, data_only=True)["Estimate"]
    money = {
        value
        for row in estimate.iter_rows(min_row=6, min_col=9, max_col=10)
        for value in (cell.value for cell in row)
        # What is no whole number can't be a quantity of this order by chance, but for the base.
        if isinstance(value, float) and value != round(value)
    }
    assert len(money) > 15
    assert not numbers & money


def test_mail_of_the_demo_carries_both_files(demo: Path) -> None:
    (path,) = (demo / "order").glob("*.eml")
    message = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
    assert str(DEMO_US["Order_supplier_email"]) in str(message["To"])
    attached = {
        part.get_filename(): part.get_payload(decode=True) for part in message.iter_attachments()
    }
    for name in (path.with_suffix(".xlsx"), path.with_suffix(".pdf")):
        assert attached[name.name] == name.read_bytes()
    body = message.get_body(("plain",))
    assert body is not None
    assert not WHAT_SUPPLIERS_NEVER_SEE.search(body.get_content())


def _pictures(path: Path) -> dict[str, bytes]:
    package = open_package(path)
    return {name: package.parts[part] for name, part in picture_parts(package).items()}


def _dark_share(data: bytes) -> float:
    with Image.open(io.BytesIO(data)) as image:
        histogram = image.convert("L").histogram()
    return sum(histogram[:128]) / sum(histogram)


BROKEN = {
    "text for a length": ({"Inside_length": "a lot"}, "Inside length"),
    "negative": ({"Inside_width": -40}, "Inside width"),
    "blank": ({"Inside_width": None}, "Inside width"),
    "too long": ({"Inside_length": 1e9}, "Inside length"),
    "unknown block": ({"Block": "Block of no table"}, "Block: not on the Materials sheet"),
    "material renamed": ({"Adhesive": "Adhesive of last year"}, "Adhesive: not on the Materials"),
    "no liner": ({"Liner": None}, "Liner: choose one"),
    "unknown fitting": ({"Fitting_2": "Magic bend"}, "Pump and pipe sheet"),
    "bead too thick": ({"Bead_diameter": 20}, "Bead diameter"),
    "no base thickness": ({"Base_thickness": None}, "Base thickness"),
    "no water depth": ({"Water_depth": None}, "Water depth"),
    "no crew": ({"Crew": None}, "Crew"),
    "text for a price": ({"Labour_rate": "a lot"}, "Labour rate"),
    "no flow": ({"Hose_flow": "none"}, "Hose flow"),
    "wrong unit": ({"Water_depth": "17 lb"}, "Water depth"),
    "word for a choice": ({"Second_wall": "perhaps"}, "Second wall"),
    "half a course": ({"Courses": 4.5}, "Courses"),
    "formula that fails": ({"Inside_length": "=1/0"}, "Inside length"),
}


@pytest.mark.parametrize(("changes", "label"), BROKEN.values(), ids=BROKEN)
def test_broken_input_is_named_and_gives_no_error_cells(
    demos: dict[str, Path], tmp_path: Path, changes: dict[str, object], label: str
) -> None:
    values, names = _worked_out(demos["us"], changes, tmp_path)

    def shown(name: str) -> object:
        return values.get(names.places(name)[0][0])

    assert shown("Ready") is False
    message = str(shown("Job_message"))
    assert label in message
    for sheet in ("Estimate", "Take-off", "Options", "Water", "Setting plan"):
        assert values[sheet, "A2"] == message
    # An error that was typed stays where it was typed and where sheets show it or take it over.
    typed = {names.place(name) for name, value in changes.items() if value == "=1/0"}
    errors = {f"{at[0]}!{at[1]}" for at, value in values.items() if isinstance(value, CellError)}
    if typed:
        gathered = {f"{sheet}!{at}" for row in names.places("Job_values") for sheet, at in row}
        errors = {where for where in errors if not where.startswith(("Options!", "Job!"))}
        errors -= gathered
    assert errors <= typed
    assert shown("Price_total") == "unknown"


def _worked_out(
    demo: Path, changes: dict[str, object], folder: Path
) -> tuple[Mapping[tuple[str, str], object], NamedValues]:
    """The values after a change; a typed formula is worked out in a file of its own."""
    names = NamedValues(open_package(demo), {})
    if "=1/0" not in changes.values():
        typed = {names.places(name)[0][0]: value for name, value in changes.items()}
        return evaluated(demo, typed), names
    path = put(demo, changes, folder / "job.xlsx")
    assert not recalculate(path).not_computed
    values = read_values(path)
    return {(sheet, at): v for sheet, cells in values.items() for at, v in cells.items()}, names


def test_blank_price_columns_and_own_rows(demos: dict[str, Path], tmp_path: Path) -> None:
    """A block of the estimator's own, typed into a spare row without saying how it is packed."""
    book = openpyxl.load_workbook(demos["us"])
    materials = book["Materials"]
    names = {materials[f"A{row}"].value: row for row in range(1, 30)}
    row = names["Half-high block 16 x 3 5/8 x 8"] + 1
    assert materials[f"A{row}"].value is None
    own = ("Own block", "16 in", 4, 8, 40, 5)
    for column, value in zip("ABCDEF", own, strict=True):
        materials[f"{column}{row}"].value = value
    path = tmp_path / "own.xlsx"
    book.save(path)
    path = put(path, {"Block": "Own block"}, path)
    recalculate(path)
    assert named(path, "Ready") is True
    assert error_cells(path) == []
    values = openpyxl.load_workbook(path, data_only=True)
    (line,) = [row for row in values["Estimate"].iter_rows() if row[0].value == "Wall block"]
    to_buy = named(path, "Qty_Blocks_to_buy")
    assert [cell.value for cell in line[5:10]] == [to_buy, 1, to_buy, 5, 5 * float(str(to_buy))]


def test_blank_template_says_what_is_missing(blanks: dict[str, Path]) -> None:
    for path in blanks.values():
        assert named(path, "Ready") is False
        assert "Inside length" in str(named(path, "Job_message"))
        assert error_cells(path) == []


def test_drawings_of_incomplete_inputs_are_notices(demos: dict[str, Path], tmp_path: Path) -> None:
    """Drawings differ from page to page; the notice is one, and another for another reason."""
    drawn = _pictures(demos["us"])
    assert len(drawn) == 7
    assert len(set(drawn.values())) == 7
    notices: list[object] = []
    for changes in ({"Inside_length": None}, {"Inside_width": -40}):
        path = tmp_path / f"{len(notices)}.xlsx"
        shutil.copy(demos["us"], path)
        _type_into_package(path, changes)
        report = recalculate(path, refreshers=(redraw,))
        assert report.pictures == 7
        shown = _pictures(path)
        assert set(shown) == set(drawn)
        (notice,) = set(shown.values())
        assert notice not in drawn.values()
        assert 0.0005 < _dark_share(notice) < 0.1
        notices.append(notice)
    assert notices[0] != notices[1]


def test_drawings_are_drawn_anew_for_cause_only(
    demos: dict[str, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "job.xlsx"
    shutil.copy(demos["us"], path)
    drawn = _pictures(path)
    drawing = drawing_set.page_pngs
    monkeypatch.setattr(drawing_set, "page_pngs", None)
    _type_into_package(path, {"Markup_on_labour": 0.31})
    report = recalculate(path, refreshers=(redraw,))
    assert report.changed > 0
    assert report.pictures == 0
    assert _pictures(path) == drawn
    monkeypatch.setattr(drawing_set, "page_pngs", drawing)
    redraw_module._kept.clear()
    # A picture that another program has changed, in part, is drawn as before.
    package = open_package(path)
    part = picture_parts(package)["Section"]
    write_package(package, {part: drawn["Section"] + b"\0"}, path)
    assert recalculate(path, refreshers=(redraw,)).pictures == 1
    assert _pictures(path) == drawn
    _type_into_package(path, {"Job_revision": 7})
    assert recalculate(path, refreshers=(redraw,)).pictures == 7


def _type_into_package(path: Path, changes: dict[str, object]) -> None:
    """Type into cells without a program that would drop the names of the pictures."""
    book = openpyxl.load_workbook(path)
    data = {name: place(book, name) for name in changes}
    number = {sheet.title: n for n, sheet in enumerate(book.worksheets, start=1)}
    with zipfile.ZipFile(path) as package:
        parts = {part: package.read(part) for part in package.namelist()}
    for name, value in changes.items():
        sheet, cell = data[name]
        part = f"xl/worksheets/sheet{number[sheet]}.xml"
        text = parts[part].decode()
        old = re.search(rf'<c r="{cell}"( s="\d+")?[^>]*?(/>|>.*?</c>)', text)
        assert old
        content = "" if value is None else f"<v>{value}</v>"
        new = f'<c r="{cell}"{old[1] or ""}>{content}</c>'
        parts[part] = text.replace(old[0], new, 1).encode()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for part, content in parts.items():
            package.writestr(part, content)


def test_own_sheets_rows_and_comments_survive_and_are_calculated(
    demos: dict[str, Path], tmp_path: Path
) -> None:
    book = openpyxl.load_workbook(demos["us"])
    own = book.create_sheet("My notes")
    own["A1"], own["B1"] = "Price per gallon", "=Price_total/Qty_Water_volume"
    own["A2"], own["B2"] = "Blocks and caps", "=SUM(Estimate!C7:C8)"
    estimate = book["Estimate"]
    below = estimate.max_row + 3
    estimate[f"A{below}"], estimate[f"J{below}"] = "Deposit, a third", "=Price_total/3"
    path = tmp_path / "job.xlsx"
    book.save(path)
    report = recalculate(path)
    assert not report.not_computed
    after = openpyxl.load_workbook(path)
    assert after["My notes"]["B1"].value == "=Price_total/Qty_Water_volume"
    assert after["Estimate"][f"A{below}"].value == "Deposit, a third"
    values = openpyxl.load_workbook(path, data_only=True)
    total = float(str(named(path, "Price_total")))
    # 64 in x 46 in x 17 in of water, 231 in³ to the gallon
    gallons = 64 * 46 * 17 / 231
    assert values["My notes"]["B1"].value == pytest.approx(total / gallons, rel=1e-9)
    wanted = values["Estimate"]["C7"].value + values["Estimate"]["C8"].value
    assert values["My notes"]["B2"].value == wanted
    assert values["Estimate"][f"J{below}"].value == pytest.approx(total / 3, rel=1e-12)


def test_a_changed_size_changes_what_follows(demos: dict[str, Path], tmp_path: Path) -> None:
    path = put(demos["us"], {"Inside_length": "6' 4\""}, tmp_path / "job.xlsx")
    assert is_stale(path)
    recalculate(path)
    assert not is_stale(path)
    assert named(path, "Qty_Outside_length") == pytest.approx(76 + 2 * 8)
    assert float(str(named(path, "Price_total"))) > float(str(named(demos["us"], "Price_total")))
    assert named(path, "Qty_Liner_fit") == "length too large for the liner"
