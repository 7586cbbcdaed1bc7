"""Orders recorded in the workbook they come from: whole, once, and nothing else of it changed."""

from __future__ import annotations

import datetime as dt
import hashlib
from pathlib import Path

import openpyxl
import pytest
from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import to_excel
from openpyxl.workbook.defined_name import DefinedName

import order_book
from basinbook.engine.errors import InputError
from basinbook.workbook.order import write_order as module
from basinbook.workbook.order.record import split_change
from basinbook.workbook.order.write_order import write_order

ORDERS = ("number", "kind", "supplier", "date", "lines", "to", "hash")
LINES = (
    "order", "item", "description", "quantity", "unit", "received", "broken", "missing", "by",
    "date",
)  # fmt: skip
ROOM = 12


def with_tables(book: Workbook) -> None:
    """Add a sheet of orders sent as templates have it, with a next order that is typed."""
    sheet = book.create_sheet("Ordered")
    for table, columns, first, rows in (("Orders", ORDERS, 2, 3), ("Ordered", LINES, 8, ROOM)):
        for at, column in enumerate(columns, 1):
            letter = get_column_letter(at)
            name(
                book, f"{table}_{column}", f"Ordered!${letter}${first}:${letter}${first + rows - 1}"
            )
    sheet["L1"], sheet["L2"], sheet["L3"] = "BB-104", "first", "all anew"
    for row, cell in enumerate(("Order_this_number", "Order_this_kind", "Order_next"), 1):
        name(book, cell, f"Ordered!$L${row}")
    name(book, "Order_changes", "Ordered!$N$1:$U$2")


def name(book: Workbook, text: str, place: str) -> None:
    book.defined_names[text] = DefinedName(text, attr_text=place)


@pytest.fixture(autouse=True)
def no_paper(monkeypatch: pytest.MonkeyPatch) -> None:
    """Printing takes most of the time, and is tested elsewhere."""
    monkeypatch.setattr(module, "pdf_bytes", lambda *_: b"%PDF-1.4")


@pytest.fixture
def source(tmp_path: Path) -> Path:
    return order_book.make(tmp_path / "job.xlsx", with_tables)


def rows(path: Path, first: int, last: int, columns: int) -> list[tuple[object, ...]]:
    sheet = openpyxl.load_workbook(path)["Ordered"]
    found = sheet.iter_rows(first, last, 1, columns, values_only=True)
    return [row for row in found if any(cell is not None for cell in row)]


def second(path: Path, *lines: tuple[object, ...], kind: str = "adds to BB-104") -> None:
    """Have the next order be one of these changes."""
    book = openpyxl.load_workbook(path)
    sheet, log = book["Order"], book["Ordered"]
    log["L1"], log["L2"] = "BB-104-2", kind
    for place in range(len(order_book.ITEMS)):
        row = lines[place] if place < len(lines) else (None,) * 5
        for column, value in enumerate(row, 2):
            sheet.cell(order_book.FIRST_LINE + place, column).value = value
    for at, value in enumerate(("Liner", "old", "piece", 0, 2, -2, 1.5, "return"), 14):
        log.cell(1, at).value = value
    book.save(path)


def test_what_was_sent_is_recorded_line_by_line(source: Path) -> None:
    before = openpyxl.load_workbook(source)
    files = write_order(source)
    content = hashlib.sha256(files.workbook.read_bytes()).hexdigest()
    (order,) = rows(source, 2, 4, 7)
    assert order == (
        "BB-104", "first", "Upper Valley Block & Gravel", to_excel(dt.date(2026, 3, 5)), 4,
        "orders@uppervalley.example", content,
    )  # fmt: skip
    sent = [("BB-104", item, text, number, unit) for item, text, number, unit, _ in order_book.SENT]
    assert rows(source, 8, 19, 5) == sent
    after = openpyxl.load_workbook(source)
    assert after["Ordered"]["L3"].value == "changes only"
    for sheet in ("Order", "Estimate", "Secret"):
        cells = [[[c.value for c in row] for row in book[sheet]] for book in (before, after)]
        assert cells[0] == cells[1]


def test_changes_are_recorded_with_their_sign_under_their_own_number(source: Path) -> None:
    write_order(source)
    second(
        source,
        ("Add: Wall block", "Straight", 12, "block", ""),
        ("Reduce: Adhesive", "bead", 3, "cartridge", ""),
        ("Return: Liner", "old", 2, "piece", ""),
    )
    files = write_order(source)
    assert files.workbook.name == "Order BB-104-2 Pond court.xlsx"
    assert openpyxl.load_workbook(files.workbook)["Order"]["C3"].value == "BB-104-2"
    assert "Only what has changed is listed" in files.email.read_text().replace("=\n", "")
    assert [row[:2] for row in rows(source, 2, 4, 7)] == [
        ("BB-104", "first"),
        ("BB-104-2", "adds to BB-104"),
    ]
    assert rows(source, 8, 19, 6)[4:] == [
        ("BB-104-2", "Wall block", "Straight", 12, "block", None),
        ("BB-104-2", "Adhesive", "bead", -3, "cartridge", None),
        ("BB-104-2", "Liner", "old", -2, "piece", -1.5),
    ]


def test_with_nothing_changed_nothing_is_sent(source: Path, tmp_path: Path) -> None:
    write_order(source)
    second(source)
    before = source.read_bytes(), sorted(tmp_path.iterdir())
    with pytest.raises(InputError, match=r"all that the job needs was ordered.*--again"):
        write_order(source)
    assert (source.read_bytes(), sorted(tmp_path.iterdir())) == before


def test_an_order_that_replaces_says_so(source: Path) -> None:
    write_order(source)
    second(source, ("Wall block", "Straight", 130, "block", ""), kind="replaces BB-104")
    text = write_order(source, again=True).email.read_text().replace("=\n", "")
    assert "It replaces BB-104. Please cancel what of the earlier order has not been" in text


def test_a_workbook_open_elsewhere_is_refused_with_the_way_out(
    source: Path, tmp_path: Path
) -> None:
    lock = tmp_path / ".~lock.job.xlsx#"
    lock.touch()
    before = source.read_bytes()
    with pytest.raises(InputError, match=r"open in another program.*--no-record"):
        write_order(source)
    assert not list(tmp_path.glob("Order*"))
    write_order(source, record=False)
    assert len(list(tmp_path.glob("Order*"))) == 3
    assert source.read_bytes() == before


def test_a_save_meanwhile_is_not_written_over(
    source: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def saved(*_: object) -> bytes:
        source.write_bytes(source.read_bytes() + b"saved")
        return b"%PDF"

    monkeypatch.setattr(module, "pdf_bytes", saved)
    before = source.read_bytes()
    with pytest.raises(InputError, match="saved by another program"):
        write_order(source)
    assert source.read_bytes() == before + b"saved"
    assert not list(tmp_path.glob("Order*"))


def test_what_can_not_be_written_is_not_recorded(
    source: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        assert rows(source, 2, 4, 1) == [("BB-104",)]
        raise InputError("out", "disk", "it is full")

    before = source.read_bytes()
    monkeypatch.setattr(module, "write_files", full)
    with pytest.raises(InputError, match="it is full"):
        write_order(source)
    assert source.read_bytes() == before


def test_a_table_without_room_is_refused(source: Path) -> None:
    write_order(source)
    for _ in range(2):
        second(source, *[("Add: Wall block", "Straight", 1, "block", "")] * 4)
        write_order(source, force=True)
    before = source.read_bytes()
    with pytest.raises(InputError, match="room for 0 of 1 rows more"):
        write_order(source, force=True)
    assert source.read_bytes() == before


def test_an_item_with_a_colon_is_no_change() -> None:
    assert split_change("Add: Wall block") == ("add", "Wall block")
    assert split_change("Liner: sheet") == ("", "Liner: sheet")
