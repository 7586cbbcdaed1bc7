"""Names and addresses made to be read otherwise: text in quote, order and request, or refused.

The cases are of common practice, no source; those of mail are told from RFC 5322 and RFC 2047, of
domains from RFC 5890, from memory.
"""

from __future__ import annotations

import email
import email.policy
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from openpyxl.workbook import Workbook

from basinbook.engine.errors import InputError
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.order.email_draft import Attachment, checked_address, draft
from basinbook.workbook.order.order_reader import read_order
from basinbook.workbook.order.sheet_looks import sheet_looks
from basinbook.workbook.order.write_order import file_stem, write_read_order
from basinbook.workbook.prices.offers import Terms
from basinbook.workbook.prices.purchase import Wanted
from basinbook.workbook.prices.request import ask
from basinbook.workbook.quote.reader import read_quote
from basinbook.workbook.quote.write_quote import write_read_quote
from workbook.changed import changed

TO = "client@house.example"
JOB = Path("job.xlsx")
ATTACHED = Attachment("x.pdf", b"%PDF", "application/pdf")
# Read by a spreadsheet as a formula, by a shell or a page as code: here they are names.
STAYS_TEXT = (
    "=1+1", "+1+1", "-2+3", "@SUM(A1)", "=cmd|' /C calc'!A0", '=HYPERLINK("http://e.example","x")',
    "=IMPORTXML(A1)", "＝1+1", "'=1+1", ";=1+1", '"=1+1"', "%0D%0ABcc: evil@e.example",
    "Yard <evil@e.example>", "Yard, Other <evil@e.example>", 'Yard"; Bcc: evil@e.example',
    "Yard (a comment)", "../../etc/passwd", "C:\\Windows\\x", "CON", "<img src=x onerror=y>",
    "<b>Yard</b>&amp;", "{{7*7}}", "${HOME} `id` $(id)", "Υаrd of Greek and Cyrillic letters",
)  # fmt: skip
REFUSED = (
    "Yard\nBcc: evil@e.example", "Yard\r\n\r\nbody", "Yard\rx", "Yard\t=1+1", "Yard\u2028x",
    "Yard\u2029x", "Yard\x85x", "Yard\x0bx", "Yard\x0cx", "Yard\x00x", "Yard\x1b[31mx",
    "\ufeff=1+1",
    "Yard\u200bx", "Yard\u00adx", "Yard \u202e811\u202c", "Yard\u2066x\u2069", "Yard\u200fx",
    "Yard\U000e0041x", "Yard\ud800x", "=?utf-8?q?Yard?=", "x" * 200,
)  # fmt: skip
WRONG_ADDRESSES = (
    "a@b.example\nBcc: c@d.example", "a@b.example\r\nSubject: x", "a@b.example%0aBcc:x@y.example z",
    "a@b.example,c@d.example", "a@b.example;c@d.example", "Yard <a@b.example>", "a@b@c.example",
    '"a b"@c.example', "a@[10.0.0.1]", "a(x)@b.example", "=HYPERLINK(A1)", "a\u2028@b.example",
    "a@b\u3002example", "a@b.exam\u200bple", "a\u202e@b.example", "а@b.example", "a@уаrd.example",
    "a@ｂ.example", "=?utf-8?q?a?=@b.example", "a@xn--80ak6aa92e.example",
    "a@xn--pypal-4ve.example", "a@xn--0xa0uobny.example", "a@xn--zzzzzzzzzz99999999.example",
)  # fmt: skip
RIGHT_ADDRESSES = (
    "a@b.example", "=a+b@c.example", "'a@b.example", "a@xn--bcher-kva.example",
    "a@xn--r8jz45g.example",
)  # fmt: skip
assert len({*STAYS_TEXT, *REFUSED, *WRONG_ADDRESSES, *RIGHT_ADDRESSES}) >= 60


@pytest.fixture(scope="module")
def us(demos: dict[str, Path]) -> Workbook:
    return open_workbook(demos["us"])


def requested(name: str, address: str, folder: Path) -> Path:
    wanted = [Wanted(name[:100], name[:100], 1, "each")]  # type: ignore[arg-type]
    (asked,) = ask(wanted, [Terms("Yard", address)], job=name, sender=name, sender_address=TO,
                   folder=folder, force=True)  # fmt: skip
    return asked.workbook


def told(do: Callable[[], object]) -> str:
    """What is said of input that is refused; blank where it is taken."""
    try:
        do()
    except InputError as error:
        return str(error)
    return ""


def test_names_that_stay_text(us: Workbook, tmp_path: Path) -> None:
    for text in STAYS_TEXT:
        with changed(us, {"Quote_client": text, "Quote_from_used": text, "Quote_job": text}):
            quote = read_quote(us, JOB)
        assert [quote.texts["Quote_client"], quote.sender, quote.job] == [text] * 3
        with changed(us, {"Order_sender": text, "Job_name": text}):
            order = read_order(us, JOB)
        assert order.fields["Order_sender"] == order.job == text
        stem = file_stem(f"Quote 1 {text}")
        assert not set(stem) & set('/\\:*?"<>|')
        book = openpyxl.load_workbook(requested(text, TO, tmp_path))["Request"]
        for found in (book["B7"], book["C7"]):
            assert (found.value, found.data_type) == (text, "s"), text
        mail = draft(to=TO, subject=f"Quote 1: {text}", body=f"To {text}\n", attachments=[ATTACHED],
                     sender=text, sender_address=TO)  # fmt: skip
        read = email.message_from_bytes(mail, policy=email.policy.default)
        assert read["Subject"] == f"Quote 1: {text}"
        assert "Bcc" not in read
        assert not (tmp_path / "..").joinpath("etc").exists()


def test_names_that_are_refused(us: Workbook, tmp_path: Path) -> None:
    for text in REFUSED:
        for name in ("Quote_client", "Quote_from_used", "Quote_job", "Quote_number_used"):
            with changed(us, {name: text}):
                assert name in told(lambda: read_quote(us, JOB)), (name, text)
        for name in ("Order_sender", "Job_name"):
            with changed(us, {name: text}):
                assert name in told(lambda: read_order(us, JOB)), (name, text)
        assert told(lambda text=text: requested(text, TO, tmp_path)), text
    # Longer texts have lines; what is not seen in them is refused all the same.
    for text in ("Yard\u2028x", "Yard \u202e811\u202c", "Yard\x00x", "Yard\u200bx"):
        with changed(us, {"Quote_greeting": text}):
            assert "unseen character" in told(lambda: read_quote(us, JOB)), text
    assert not list(tmp_path.iterdir())


def test_addresses(us: Workbook, demos: dict[str, Path], tmp_path: Path) -> None:
    looks = sheet_looks(demos["us"], "Order")
    for text in WRONG_ADDRESSES:
        assert "--to" in told(lambda text=text: write_read_quote(JOB, us, text, tmp_path)), text
        with changed(us, {"Quote_client_email": text}):
            said = told(lambda: write_read_quote(JOB, us, None, tmp_path))
        assert "Quote_client_email" in said, text
        with changed(us, {"Order_supplier_email": text}):
            said = told(lambda: write_read_order(JOB, us, looks, tmp_path))
        assert "Order_supplier_email" in said, text
        assert "E-mail of Yard" in told(lambda text=text: requested("Court", text, tmp_path)), text
    assert not list(tmp_path.iterdir())
    for text in RIGHT_ADDRESSES:
        assert checked_address("--to", text) == text
        mail = draft(to=text, subject="x", body="y\n", attachments=[ATTACHED])
        read = email.message_from_bytes(mail, policy=email.policy.default)
        assert str(read["To"]) == text
