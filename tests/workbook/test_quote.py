"""The quote to the client: its sheet, its files, what must not be in them, and its acceptance."""

from __future__ import annotations

import datetime as dt
import email
import email.policy
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import openpyxl
import pypdf
import pytest
from openpyxl.workbook import Workbook

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.file.open_workbook import named_cells, open_workbook
from basinbook.workbook.order.send import read_letter
from basinbook.workbook.order.sheet_looks import sheet_looks
from basinbook.workbook.order.write_order import write_read_order
from basinbook.workbook.prices.offers import Terms
from basinbook.workbook.prices.purchase import wanted_of
from basinbook.workbook.prices.request import ask
from basinbook.workbook.quote import accept as accepting
from basinbook.workbook.quote import write_quote
from basinbook.workbook.quote.accept import accept
from basinbook.workbook.quote.reader import read_quote
from basinbook.workbook.quote.write_quote import write_read_quote
from basinbook.workbook.recalculation.stored import Stored
from leaks import leaks, planted
from workbook.changed import changed
from workbook.edited import evaluated
from workbook.places import SYSTEMS, place, renamed

TO = "client@house.example"


@pytest.fixture(scope="module", params=SYSTEMS)
def path(request: pytest.FixtureRequest, demos: dict[str, Path]) -> Path:
    return demos[request.param]


@pytest.fixture(scope="module")
def us(demos: dict[str, Path]) -> Workbook:
    """The demo's values, which `changed` changes for a while."""
    return open_workbook(demos["us"])


def text_of(pdf: Path) -> str:
    return " ".join(" ".join(p.extract_text() for p in pypdf.PdfReader(pdf).pages).split())


def test_the_files_have_what_the_sheet_has(path: Path, tmp_path: Path) -> None:
    book = open_workbook(path)
    quote = read_quote(book, path)
    to = TO if quote.system == "us" else None
    files = write_read_quote(path, book, to, tmp_path)
    text = text_of(files.pdf)
    assert len(pypdf.PdfReader(files.pdf).pages) == 2
    assert [one.number for one in quote.offers] == [1, 2, 3, 4]
    for offer in quote.offers:
        price = named_cells(book, f"Option_{offer.number}_price")[0][0]
        assert offer.price == price
        assert offer.before_tax is not None
        assert offer.tax is not None
        assert offer.before_tax + offer.tax == pytest.approx(price, abs=1e-6)
        # Cents are whole: compared as integers, with no tolerance.
        cents = [round(100 * (amount or 0)) for amount in offer.amounts]
        assert sum(cents) == round(100 * price)
        for amount in (offer.price, offer.before_tax, offer.tax, *offer.amounts):
            assert amount is not None
            assert quote.money(amount) in text
    wanted = [quote.number, quote.day(quote.until), "Invented client", "Name and signature"]
    wanted += [" ".join(row[-1].split()) for name in quote.lists for row in quote.lists[name]]
    for words in wanted:
        assert words.casefold() in text.casefold(), words
    page = pypdf.PdfReader(files.pdf).pages[0].mediabox
    # ANSI/ASME Y14.1: Letter; ISO 216: A4 [pt].
    paper = {"us": (612, 792), "metric": (595, 842)}[quote.system]
    assert (round(float(page.width)), round(float(page.height))) == paper
    if files.email is None:
        assert to is None
        assert list(tmp_path.iterdir()) == [files.pdf]
        return
    letter = read_letter(files.email)  # as basinbook send reads it
    assert (letter.to, letter.subject) == (TO, f"Quote {quote.number}: {quote.job}")
    assert [name for name, _ in letter.files] == [files.pdf.name]
    mail = email.message_from_bytes(files.email.read_bytes(), policy=email.policy.default)
    assert list(mail.walk())[2].get_payload(decode=True) == files.pdf.read_bytes()


def test_shares_dates_and_options_on_the_sheet(demos: dict[str, Path]) -> None:
    """Steps of payment that don't add up, a blank option, and one without a price."""
    path = demos["us"]
    book = openpyxl.load_workbook(path)
    _, shares = place(book, "Quote_step_share")
    first = shares.partition(":")[0]
    typed = {
        ("Quote", first): 0.35,
        place(book, "Option_4_Columns"): None,
        place(book, "Option_4_Second_wall"): None,
        place(book, "Option_2_Liner"): "No such liner",
        place(book, "Quote_offer_3"): "no",
        place(book, "Quote_valid_days"): 7,
    }
    values = evaluated(path, typed)

    def row(name: str) -> list[Any]:
        sheet, area = place(book, name)
        return [values[sheet, one.coordinate] for one in book[sheet][area][0]]

    said = values[place(book, "Quote_problem")]
    assert said == "Steps of payment: the shares add to 95.0%; make them 100.0%"
    assert row("Quote_offered") == ["yes", "yes", "no", "no"]
    assert row("Quote_no_price")[1] == "Liner: not on the Materials sheet"
    assert row("Quote_no_price")[0] == ""
    assert "Block: Ledge block 16 x 6 x 8" in row("Quote_differs")[1]
    until = values[place(book, "Quote_valid_until")]
    assert until - values[place(book, "Quote_date_used")] == 7


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("Quote_problem", "Client: fill it in on the Job sheet", "Client: fill it in"),
        ("Quote_greeting", "With 35% markup on all of it", "no cost, rate, markup or supplier"),
        ("Quote_greeting", "Block at 4.35 each", "no cost, rate, markup or supplier"),
        ("Quote_closing", "Work beyond it at 65 per hour", "no cost, rate, markup or supplier"),
        ("Quote_scope", "Block of EXAMPLE masonry yard", "no cost, rate, markup or supplier"),
        ("Quote_sizes", "#N/A", "clear up the error"),
        ("Quote_date_used", "soon", "give a date"),
    ],
)
def test_what_stops_a_quote(us: Workbook, tmp_path: Path, name: str, value: str, told: str) -> None:
    with changed(us, {name: value}), pytest.raises(InputError, match=told):
        write_read_quote(Path("job.xlsx"), us, TO, tmp_path)
    assert not list(tmp_path.iterdir())


def test_findings_stop_it_and_old_values_are_not_quoted(
    demos: dict[str, Path],
    us: Workbook,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    sheet, area = place(us, "Findings_all")
    row = next(row for row in us[sheet][area] if row[2].value in (None, ""))
    before = [one.value for one in row]
    row[1].value, row[2].value = "stops", "Something to mend"
    try:
        with pytest.raises(InputError, match=r"stops: .*Something to mend.*Mend them"):
            write_read_quote(demos["us"], us, TO, tmp_path)
    finally:
        for one, value in zip(row, before, strict=True):
            one.value = value
    # How a copy is made is tested with the order.
    asked = []

    def copied(*given: Any) -> tuple[Path, int, tuple[()]]:
        asked.append(given)
        return demos["us"], 3, ()

    monkeypatch.setattr(write_quote, "current_copy", copied)
    job = tmp_path / "job.xlsx"
    job.write_bytes(demos["us"].read_bytes())
    command = ["quote", str(job), "--out", str(tmp_path / "out")]
    assert main(command) == 0
    assert asked[0][0] == job
    assert "3 cells were not up to date: the quote comes from a" in capsys.readouterr().out
    assert job.read_bytes() == demos["us"].read_bytes()
    assert main(command) == 2
    assert "--force" in capsys.readouterr().err


def test_no_secret_is_in_what_goes_out(demos: dict[str, Path], tmp_path: Path) -> None:
    job, book, secrets = planted(demos["us"], tmp_path)
    assert len(secrets) >= 30
    out = tmp_path / "out"
    quote = write_read_quote(job, book, TO, out)
    assert leaks([quote.pdf, quote.email or quote.pdf], secrets) == []
    # What is the client's is none of the supplier's business.
    to_yard = [one for one in secrets if "zqyard" not in one.casefold()]
    to_yard += [
        "Invented client",
        quote.pdf.stem.split()[1],
        f"{named_cells(book, 'Price_total')[0][0]:.2f}",
    ]
    order = write_read_order(job, book, sheet_looks(job, "Order"), out)
    sent = [order.workbook, order.pdf, order.email]
    assert leaks(sent, to_yard) == []
    yards = [Terms("North yard", "orders@north.example"), Terms("Zqother", "sales@zqother.example")]
    asked = ask(wanted_of(Stored(job)), yards, job="Court", sender="A. Mason",
                sender_address="", folder=out)  # fmt: skip
    sent = [asked[0].workbook, asked[0].email]
    assert leaks(sent, [*secrets, "Invented client", "Zqother"]) == []
    # The search finds what is there: in a name, a PDF's text, a sheet's cell, a header, a text.
    parts = {
        leak.part for leak in leaks([order.workbook, order.pdf, order.email], ["Zqyard Stone"])
    }
    assert any(": text" in part for part in parts)
    assert any("sharedStrings" in part or "sheet1" in part for part in parts)
    parts = {leak.part for leak in leaks([quote.pdf, quote.email or quote.pdf], ["fernbank"])}
    assert {quote.pdf.name, f"{quote.pdf.name}: metadata", f"{quote.pdf.name}: text"} <= parts
    assert any("headers" in part for part in parts)
    assert any("text/plain" in part for part in parts)


def test_an_accepted_option_is_the_job(
    demos: dict[str, Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    path = tmp_path / "job.xlsx"
    monkeypatch.setattr(accepting, "current_copy", lambda path, *_: (path, 0, ()))
    monkeypatch.setattr(accepting, "redrawing", lambda *_: nullcontext(lambda *_: {}))
    # Sheets may have names of the firm's own.
    names = {"Job": "Chantier de l'entrepreneur", "Quote": "Devis"}
    renamed(demos["metric"], path, names)
    before = open_workbook(path)
    price = named_cells(before, "Option_3_price")[0][0]
    assert main(["accept", str(path), "option 3", "--date", "2026-12-01"]) == 0
    said = capsys.readouterr().out
    book = open_workbook(path)

    def now(name: str) -> object:
        return named_cells(book, name)[0][0]

    assert now("Price_total") == pytest.approx(price, abs=0.005)
    assert now("Block") == "Terrace block 350 x 100 x 175"
    assert (now("Accepted_option"), now("Accepted_on")) == ("Option 3", dt.datetime(2026, 12, 1))
    assert now("Accepted_price") == price
    assert "Block: Plank block 450 x 100 x 200" in str(now("Job_before"))
    (row,) = [
        r for r in book[names["Job"]].iter_rows(values_only=True) if "accepted at" in str(r[4])
    ]
    assert str(row[0]).startswith("2026-12-01")
    assert "Inside length: 1.6 m → 1575" in str(row[4])
    changes = [line.strip() for line in said.splitlines() if line.startswith("  ")]
    assert [line.split(":")[0] for line in changes] == [
        "Inside length", "Inside width", "Block", "Cap", "Liner"
    ]  # fmt: skip
    assert "; ".join(changes) in str(row[4])
    kept = path.read_bytes()
    with pytest.raises(InputError, match=r"Option 3 was accepted on 2026-12-01 .*give --again"):
        accept(path, "2")
    assert path.read_bytes() == kept
