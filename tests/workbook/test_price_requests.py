"""Asking suppliers for prices, and reading what comes back. All names and prices are invented."""

from __future__ import annotations

import datetime as dt
import email
import email.policy
import zipfile
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.prices.book import read_book, write_book
from basinbook.workbook.prices.offers import Offer, PriceBook, Terms
from basinbook.workbook.prices.purchase import Wanted
from basinbook.workbook.prices.request import answered, ask, taken

NORTH = Terms("North yard", "orders@north.example", least_order=Decimal("731.99"))
SOUTH = Terms("South yard", "sales@south.example", mark=",")
WANTED = [
    Wanted("Wall block", "Plank block 18 x 4 x 8", Decimal(59), "each"),
    Wanted("Base", "Stone dust, bulk by volume", Decimal("1.5"), "yd³"),
    Wanted("=Cap", "+1 (odd name)", Decimal(20), "each"),
]


@pytest.fixture
def sent(tmp_path: Path) -> dict[str, Path]:
    asked = ask(
        WANTED, [NORTH, SOUTH], job="Yard 7", sender="A. Mason",
        sender_address="mason@hill.example", folder=tmp_path,
    )  # fmt: skip
    assert [one.supplier for one in asked] == ["North yard", "South yard"]
    assert asked[1].email.name == "Request Yard 7 South yard.eml"
    return {one.supplier: one.workbook for one in asked}


def filled(path: Path, prices: dict[int, object], **other: object) -> Path:
    book = openpyxl.load_workbook(path)
    sheet = book["Request"]
    for line, price in prices.items():
        sheet.cell(6 + line, 6).value = price  # type: ignore[assignment]
    for cell, value in other.items():
        sheet[cell].value = value  # type: ignore[union-attr]
    out = path.with_name(f"answered {path.name}")
    book.save(out)
    return out


def test_each_gets_the_lines_and_nothing_of_the_other(sent: dict[str, Path]) -> None:
    secrets = (b"South yard", b"south.example", b"731.99")
    parts = zipfile.ZipFile(sent["North yard"])
    assert not [name for name in parts.namelist() for one in secrets if one in parts.read(name)]
    mail = email.message_from_bytes(
        sent["North yard"].with_suffix(".eml").read_bytes(), policy=email.policy.default
    )
    assert mail["To"] == "orders@north.example"
    text, book = list(mail.walk())[1:]
    assert "59 each: Wall block, Plank block 18 x 4 x 8" in text.get_content()
    assert book.get_payload(decode=True) == sent["North yard"].read_bytes()
    assert not [one for one in secrets if one.decode() in text.get_content()]
    sheet = openpyxl.load_workbook(sent["North yard"])["Request"]
    # Text like a formula is text.
    assert (sheet["B9"].value, sheet["B9"].data_type) == ("=Cap", "s")
    assert sheet["C9"].data_type == "s"


def test_answers_are_read_back_by_line(sent: dict[str, Path]) -> None:
    back = filled(sent["South yard"], {1: 5.4, 2: "1.046,50 €"}, G7="on stock")
    found = answered(sent["South yard"], back, SOUTH.mark)
    assert [one.price for one in found] == [Decimal("5.4"), Decimal("1046.50"), None]
    assert found[0].remark == "on stock"
    assert not any(one.told for one in found)


def test_what_was_changed_is_told_and_not_taken(sent: dict[str, Path]) -> None:
    back = filled(sent["North yard"], {1: 5.4, 2: "ask us"}, D7=60, C9="Other cap", F9=2)
    found = answered(sent["North yard"], back, NORTH.mark)
    assert found[0].told == "quantity is 60, asked was 59"
    assert "give one number" in found[1].told
    assert found[2].told == "description is Other cap, asked was +1 (odd name)"
    fresh, before = taken(PriceBook("us", (NORTH,)), NORTH, found, dt.date(2026, 3, 1))
    assert not fresh.offers
    assert not before


def test_a_line_that_nobody_asked_for_is_refused(sent: dict[str, Path]) -> None:
    back = filled(sent["North yard"], {}, A10=9, D10=1)
    with pytest.raises(InputError, match="no such line"):
        answered(sent["North yard"], back, ".")
    with pytest.raises(InputError, match="number the lines"):
        answered(sent["North yard"], filled(sent["North yard"], {}, A8=1), ".")
    with pytest.raises(InputError, match="row 6 must read"):
        answered(sent["North yard"], filled(sent["North yard"], {}, F6="Cost"), ".")


def test_an_address_is_needed(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="E-mail of Bare"):
        ask(WANTED, [Terms("Bare")], job="x", sender="", sender_address="", folder=tmp_path)
    with pytest.raises(InputError, match="E-mail of Bad"):
        ask(WANTED, [Terms("Bad", "a@b.example\nBcc: c@d.example")], job="x", sender="",
            sender_address="", folder=tmp_path)  # fmt: skip
    assert not list(tmp_path.iterdir())


def test_by_the_commands(
    demos: dict[str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    prices = tmp_path / "book.xlsx"
    old = Offer("North yard", "Plank block 18 x 4 x 8", "each", "single", Decimal(1), 1, Decimal(6))
    write_book(prices, PriceBook("us", (NORTH, SOUTH), (old,)))
    job = ["request", str(demos["us"]), "--prices", str(prices), "--out", str(tmp_path / "out")]
    assert main([*job, "--supplier", "north YARD"]) == 0
    assert main([*job, "--supplier", "East"]) == 2
    assert "the price book has North yard, South yard" in capsys.readouterr().err
    request = next((tmp_path / "out").glob("*.xlsx"))
    back = filled(request, {2: 5.55})
    read = ["answer", str(back), "--request", str(request), "--prices", str(prices)]
    assert main([*read, "--supplier", "North yard"]) == 0
    assert read_book(prices).offers == (old,)
    assert "5.55 (in the book: 6)" in capsys.readouterr().out
    assert main([*read, "--supplier", "North yard", "--take"]) == 0
    (fresh,) = read_book(prices).offers
    assert fresh.price == Decimal("5.55")
    assert fresh.date == dt.date.today().isoformat()
