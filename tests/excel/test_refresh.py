"""Recalculating an open workbook: with a stand-in for Excel, and real files."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import openpyxl
import pytest
from openpyxl.drawing.image import Image as Picture
from PIL import Image

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.hosts.excel import refresh
from basinbook.workbook.file.package import Package, open_package, picture_parts
from basinbook.workbook.recalculation.recalc import read_values


class XlwingsError(Exception):
    """As xlwings has it."""


class App:
    """An Excel that holds workbooks as cells to be saved, and says what was asked of it."""

    def __init__(self) -> None:
        self.calculation = "automatic"
        self.asked: list[str] = []
        self.open_books: list[Book] = []
        self.books = Books(self)


class Books:
    def __init__(self, app: App) -> None:
        self.app = app

    def __iter__(self) -> Any:
        return iter(self.app.open_books)

    def open(self, path: str) -> Book:
        self.app.asked.append("open")
        book = Book(self.app, Path(path))
        self.app.open_books.append(book)
        return book


class Book:
    def __init__(self, app: App, path: Path, cells: str = "$B$2") -> None:
        self.app = app
        self.fullname = str(path)
        self.name = path.name
        self.typed: dict[str, object] = {}
        self.where = ""
        self.cells = cells
        self.sheets = Sheets(self)

    @property
    def selection(self) -> Any:
        if not self.cells:
            raise RuntimeError("a picture is selected")
        return SimpleNamespace(address=self.cells)

    def save(self) -> None:
        self.app.asked.append("save")
        book = openpyxl.load_workbook(self.fullname)
        for cell, value in self.typed.items():
            book["Job"][cell] = value
        book.save(self.fullname)

    def close(self) -> None:
        self.app.asked.append("close")
        self.app.open_books.remove(self)


class Sheets:
    def __init__(self, book: Book) -> None:
        self.book = book
        self.active = SimpleNamespace(name="Job")

    def __getitem__(self, name: str) -> Any:
        def select(cells: str) -> Any:
            return SimpleNamespace(
                select=lambda: setattr(self.book, "where", f"{self.book.where} {cells}")
            )

        return SimpleNamespace(activate=lambda: setattr(self.book, "where", name), range=select)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.xlsx"
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Job"
    sheet["A1"] = 48
    sheet["A2"] = "=BASIN_WATERVOLUME(A1,24,16)"
    book.create_sheet("Notes")
    book.save(path)
    return path


@pytest.fixture
def app(job: Path) -> App:
    app = App()
    app.open_books.append(Book(app, job))
    return app


def library(*apps: App) -> Any:
    books = [book for app in apps for book in app.open_books]
    return SimpleNamespace(
        apps=apps, books=SimpleNamespace(active=books[0] if books else None),
        XlwingsError=XlwingsError,
    )  # fmt: skip


def test_values_follow_what_is_typed(app: App, job: Path) -> None:
    app.open_books[0].typed["A1"] = 60
    report = refresh.refresh_open_workbook(xlwings=library(app))
    assert app.asked == ["save", "close", "open"]
    assert report.out == job
    values = read_values(job)["Job"]
    assert values["A1"] == 60
    # 60 · 24 · 16 in³ of 231 in³ a US gallon (NIST Handbook 44, appendix C).
    assert values["A2"] == pytest.approx(60 * 24 * 16 / 231)
    sheet = openpyxl.load_workbook(job)["Job"]
    assert sheet["A2"].value == "=BASIN_WATERVOLUME(A1,24,16)"


def test_pictures_are_drawn_anew(
    app: App, job: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for name in ("old", "new"):
        Image.new("L", (8, 6), 255 if name == "old" else 0).save(tmp_path / f"{name}.png")
    book = openpyxl.load_workbook(job)
    book["Job"].add_image(Picture(tmp_path / "old.png"), "C1")
    book.save(job)
    fresh = (tmp_path / "new.png").read_bytes()
    seen = []

    def draw(package: Package, values: Any) -> dict[str, bytes]:
        seen.append(values["Job", "A1"])
        return dict.fromkeys(picture_parts(package).values(), fresh)

    monkeypatch.setattr(refresh, "redrawing", lambda *_: nullcontext(draw))
    app.open_books[0].typed["A1"] = 60
    assert refresh.refresh_open_workbook(xlwings=library(app)).pictures == 1
    assert seen == [60]
    package = open_package(job)
    assert [package.parts[part] for part in picture_parts(package).values()] == [fresh]


def test_the_user_is_where_they_were(app: App) -> None:
    refresh.refresh_open_workbook(xlwings=library(app))
    assert app.open_books[0].where == "Job $B$2"


def test_a_selected_picture_is_no_trouble(app: App) -> None:
    app.open_books[0].cells = ""
    refresh.refresh_open_workbook(xlwings=library(app))
    assert app.open_books[0].where == "Job"


@pytest.mark.parametrize(("platform", "mode"), [("darwin", "manual"), ("win32", "automatic")])
def test_only_macos_stops_excel_calculating(app: App, platform: str, mode: str) -> None:
    refresh.refresh_book(app.open_books[0], refresh.recalculated, platform=platform)
    assert app.calculation == mode


def test_it_is_opened_again_whatever_happens(app: App, job: Path) -> None:
    def fail(_: Path) -> Any:
        raise InputError("workbook", str(job), "it is damaged")

    app.open_books[0].typed["A1"] = 50
    with pytest.raises(InputError, match="damaged"):
        refresh.refresh_book(app.open_books[0], fail)
    assert app.asked == ["save", "close", "open"]
    assert app.open_books[0].where == "Job $B$2"
    assert read_values(job)["Job"]["A1"] == 50


@pytest.mark.parametrize("name", ["Book1", "https://files.example/job.xlsx", "/no/such/job.xlsx"])
def test_a_book_without_a_file_here_is_left_alone(app: App, name: str) -> None:
    app.open_books[0].fullname = name
    with pytest.raises(InputError, match="save it in a folder of this computer"):
        refresh.refresh_open_workbook(xlwings=library(app))
    assert app.asked == []


def test_the_named_one_of_several(app: App, job: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.xlsx"
    other.write_bytes(job.read_bytes())
    second = App()
    second.open_books.append(Book(second, other))
    relative = tmp_path / "." / "other.xlsx"
    assert refresh.refresh_open_workbook(relative, xlwings=library(app, second)).out == other
    assert (app.asked, second.asked) == ([], ["save", "close", "open"])
    with pytest.raises(InputError, match=r"third\.xlsx"):
        refresh.refresh_open_workbook(tmp_path / "third.xlsx", xlwings=library(app, second))


def test_the_mark_of_an_open_file_is_waited_for(
    app: App, job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Excel takes it away a little after closing."""
    lock = job.with_name("~$job.xlsx")
    lock.write_bytes(b"")
    monkeypatch.setattr(refresh.time, "sleep", lambda _: lock.unlink())
    refresh.refresh_open_workbook(xlwings=library(app))
    assert app.asked == ["save", "close", "open"]


def test_no_excel() -> None:
    class NoExcel:
        XlwingsError = XlwingsError

        @property
        def apps(self) -> Any:
            raise XlwingsError("no Excel")

    for library_ in (NoExcel(), library()):
        with pytest.raises(InputError, match="open it in Excel"):
            refresh.refresh_open_workbook(xlwings=library_)


def test_command_where_xlwings_finds_no_excel(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    import xlwings

    monkeypatch.setattr(xlwings, "apps", [])
    assert main(["refresh"]) == 2
    assert "basinbook recalc FILE" in capsys.readouterr().err


def test_stand_ins_have_what_xlwings_has() -> None:
    """What the code asks of an open workbook is there in xlwings."""
    import xlwings

    for thing, names in (
        (xlwings.Book, ("fullname", "app", "sheets", "selection", "save", "close")),
        (xlwings.App, ("books", "calculation")),
        (xlwings.Sheet, ("name", "activate", "range")),
        (xlwings.Range, ("address", "select")),
        (xlwings.main.Books, ("open", "active")),
        (xlwings.main.Sheets, ("active",)),
    ):
        for name in names:
            assert hasattr(thing, name), (thing, name)
