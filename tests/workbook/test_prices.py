"""Price books: suppliers' own lists, what is kept from one to the next, and buying for a job.

Lists, suppliers and prices are invented.
"""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.prices.book import read_book, write_book
from basinbook.workbook.prices.merge import merged
from basinbook.workbook.prices.offers import Offer, PriceBook, Terms
from basinbook.workbook.prices.purchase import bill, wanted_of
from basinbook.workbook.prices.supplier_list import ListedRow, read_list
from basinbook.workbook.prices.understood import NotUnderstoodError, number
from basinbook.workbook.recalculation.stored import Stored

NORTH = Terms(
    "North yard", "orders@north.example", delivery=Decimal("85.5"), free_from=Decimal(900),
    payload="20000 lb", columns=(("code", "Art."), ("price", "Price")),
)  # fmt: skip
BLOCK = Offer("North yard", "Plank block 18 x 4 x 8", "each", "single", Decimal(1), 1,
              Decimal("5.85"), "46 lb", code="100")  # fmt: skip


@pytest.mark.parametrize(
    ("text", "mark", "value"),
    [
        ("5.85", ".", "5.85"),
        ("$1,250.00 / pallet", ".", "1250.00"),
        ("1.250,00 €", ",", "1250.00"),
        ("1.250", ",", "1250"),
        ("1.250", ".", "1.250"),
        ("1 250,5", ",", "1250.5"),
        ("1'250.5", ".", "1250.5"),
        ("0", ".", "0"),
    ],
)
def test_amounts_of_a_list(text: str, mark: str, value: str) -> None:
    assert number(text, mark, "price") == Decimal(value)


@pytest.mark.parametrize(
    "text", ["", "ask", "5.85 or 6.10", "-3", "1,25.00", "12,34", "1.2.3", "9" * 9, "1,250,00"]
)
def test_what_is_no_amount_is_told(text: str) -> None:
    with pytest.raises(NotUnderstoodError, match="price"):
        number(text, ".", "price")


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("coded", ["utf-8", "utf-8-sig", "cp1252"])
def test_a_list_of_any_common_kind(tmp_path: Path, delimiter: str, coded: str) -> None:
    path = tmp_path / "list.csv"
    rows = [["Prices 2026", "", ""], ["ART.", "Größe", " unit  price"], ["100", "18 x 4", "5.85"]]
    path.write_text("\n".join(delimiter.join(row) for row in rows), encoding=coded)
    columns = (("code", "Art."), ("text", "größe"), ("price", "Unit price"))
    assert read_list(path, columns) == [
        ListedRow(3, {"code": "100", "text": "18 x 4", "price": "5.85"})
    ]


def test_a_workbook_is_read_by_what_it_shows(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    book = openpyxl.Workbook()
    hidden = book.worksheets[0]
    hidden.append(["Art.", "Price"])
    hidden.append([1, 1])
    hidden.sheet_state = "hidden"
    sheet = book.create_sheet("List")
    for row in (["Art.", "Price"], [100, 5.85], ["=1+1", None]):
        sheet.append(row)
    book.active = 1
    book.save(path)
    rows = read_list(path, NORTH.columns)
    assert rows == [ListedRow(2, {"code": "100", "price": "5.85"})]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "no such heading"),
        (b"\x00\x01", "no text"),
        (b"Art.;Preis\n1;2", "no such heading; list.csv has art., preis"),
        (b"Art.,Price,Price\n1,2,3", "twice"),
        (b"a" * 3000 + b",Price\n", "signs"),
        (b"Art.,Price\n" + b"," * 300, "columns"),
    ],
)
def test_what_is_no_list_is_refused(tmp_path: Path, content: bytes, says: str) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(content)
    with pytest.raises(InputError, match=says):
        read_list(path, NORTH.columns)


def test_a_book_comes_back_as_it_was_written(tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    odd = Offer(
        "North yard", "", "each", "pallet", Decimal(120), 2, Decimal("612.345"),
        deposit=Decimal(18), code="007", text="=HYPERLINK(1)", date="2026-03-01",
    )  # fmt: skip
    book = PriceBook("us", (NORTH, Terms("South", mark=",")), (BLOCK, odd))
    write_book(path, book)
    assert read_book(path) == book
    # A text like a formula stays a text, and what a user keeps beside it stays.
    file = openpyxl.load_workbook(path)
    assert file["Prices"]["K5"].data_type == "s"
    file["Prices"]["N4"] = "my note"
    file.save(path)
    write_book(path, book)
    assert openpyxl.load_workbook(path)["Prices"]["N4"].value == "my note"


def test_items_stay_matched_and_what_differs_is_told() -> None:
    book = PriceBook("us", (NORTH,), (BLOCK, BLOCK.__class__(
        "North yard", "Cap", "each", "single", Decimal(1), 1, Decimal(9), code="200"
    )))  # fmt: skip
    rows = [
        ListedRow(2, {"code": "100", "price": "6.10"}),
        ListedRow(3, {"code": "300", "price": "1.00"}),
        ListedRow(4, {"code": "400", "price": "ask"}),
        ListedRow(5, {"code": "100", "price": "7.00"}),
    ]
    fresh, told = merged(book, NORTH, rows)
    assert {(one.word, one.row) for one in told} == {
        ("changed", 2), ("new", 3), ("not matched", 3), ("not understood", 4),
        ("not understood", 5), ("gone", 0),
    }  # fmt: skip
    by_code = {one.code: one for one in fresh.offers}
    assert by_code["100"].item == BLOCK.item
    assert by_code["100"].price == Decimal("6.10")
    assert by_code["100"].weight == "46 lb"
    assert "200" not in by_code
    # What can't be understood leaves what was there before.
    again, _ = merged(fresh, NORTH, [ListedRow(2, {"code": "100", "price": "?"})])
    assert {one.code: one.price for one in again.offers}["100"] == Decimal("6.10")


def test_buying_for_the_demo(demos: dict[str, Path], tmp_path: Path,
                             capsys: pytest.CaptureFixture[str]) -> None:  # fmt: skip
    wanted = wanted_of(Stored(demos["us"]))
    block = next(one for one in wanted if one.item == "Wall block")
    pallet = Offer("South yard", block.name, "each", "pallet", Decimal(40), 1, Decimal(200),
                   deposit=Decimal(15))  # fmt: skip
    single = Offer("North yard", block.name, "each", "single", Decimal(1), 1, Decimal("5.85"))
    book = PriceBook(
        "us",
        (Terms("North yard", delivery=Decimal(50)), Terms("South yard", delivery=Decimal(60))),
        (single, pallet),
    )
    found = bill(wanted, book)
    assert {one.name for one in found.not_listed} == {one.name for one in wanted} - {block.name}
    # By hand: whole pallets of 40 at 5.00 a block with 60 of delivery, or singles beside them.
    need = int(block.quantity)
    by_hand = min(
        pallets * 200
        + (60 if pallets else 0)
        + max(0, need - 40 * pallets) * Decimal("5.85")
        + (50 if need > 40 * pallets else 0)
        for pallets in range(-(-need // 40) + 1)
    )
    assert found.purchase.cost == by_hand
    path = tmp_path / "book.xlsx"
    write_book(path, book)
    assert main(["buy", str(demos["us"]), "--prices", str(path)]) == 1
    shown = capsys.readouterr().out
    assert f"Goods and delivery: {by_hand:,.2f}" in shown
    assert "Not in the price book, and not counted:" in shown


def test_another_unit_is_refused(demos: dict[str, Path]) -> None:
    wanted = wanted_of(Stored(demos["us"]))
    base = next(one for one in wanted if one.item == "Base")
    offer = Offer("North yard", base.name, "bag", "bag", Decimal(1), 1, Decimal(5))
    with pytest.raises(InputError, match=f"the job orders it by {base.unit}"):
        bill(wanted, PriceBook("us", (NORTH,), (offer,)))
