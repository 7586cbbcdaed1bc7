"""The mail draft: what stands in its headers, and that it is read back before it is given out."""

from __future__ import annotations

import email
import email.policy

import pytest

from basinbook.engine.errors import InputError
from basinbook.workbook.order import email_draft
from basinbook.workbook.order.email_draft import Attachment, draft

# A coded word with a line break in it: mail programs of the time read a Bcc line here.
CODED = "=?utf-8?q?Yard=0D=0ABcc:_evil@e.example?="
# One with a blank line, after which all other headers become text.
CODED_BLANK = "=?utf-8?q?Yard=0D=0A=0D=0Ahi?="


def made(**changed: object) -> bytes:
    arguments: dict[str, object] = {
        "to": "orders@yard.example",
        "subject": "Order 7: Yard",
        "body": "1. 118 block: Wall block\n",
        "attachments": [Attachment("Order 7.pdf", b"%PDF", "application/pdf")],
        "sender": "A. Mason",
        "sender_address": "mason@hill.example",
    }
    return draft(**{**arguments, **changed})  # type: ignore[arg-type]


@pytest.mark.parametrize("text", [CODED, CODED_BLANK, f"Pond {CODED}", "a\nBcc: x@y.example"])
@pytest.mark.parametrize("argument", ["subject", "sender"])
def test_code_and_line_breaks_are_refused(argument: str, text: str) -> None:
    with pytest.raises(InputError, match=argument):
        made(**{argument: text})


def test_a_file_name_in_code_is_refused() -> None:
    with pytest.raises(InputError, match="file name"):
        made(attachments=[Attachment(f"{CODED}.pdf", b"", "application/pdf")])


@pytest.mark.parametrize("text", [CODED, CODED_BLANK])
@pytest.mark.parametrize("argument", ["subject", "sender"])
def test_a_draft_that_reads_otherwise_is_refused(
    monkeypatch: pytest.MonkeyPatch, argument: str, text: str
) -> None:
    """Were the first check to miss it, reading the draft back finds it."""
    monkeypatch.setattr(email_draft, "header_text", lambda _argument, given, _longest=0: given)
    monkeypatch.setattr(email_draft, "_header_words", lambda _header, given: given)
    with pytest.raises(InputError, match="mail draft"):
        made(**{argument: text})


@pytest.mark.parametrize(
    "name",
    [
        "A. Mason",
        'A. "Trowel" Mason (left), yard; 2 \\ 3 <x@y.example>',
        "Aménagements paysagers de la vallée supérieure, société à responsabilité limitée",
        "庭の池と石垣の会社 " * 6,
        "." * 140,
        "x" * 150,
    ],
)
def test_names_come_out_as_they_went_in(name: str) -> None:
    message = email.message_from_bytes(made(sender=name, subject=name), policy=email.policy.default)
    assert message["Subject"] == name.strip()
    (sender,) = message["From"].addresses
    # Some versions of the parser read a blank between two coded words of a name.
    assert sender.display_name.replace(" ", "") == name.replace(" ", "")
    assert sender.addr_spec == "mason@hill.example"


def test_no_header_line_is_longer_than_a_reader_takes() -> None:
    content = made(sender="ü" * 150, subject="Å " * 150, to=f"{'a' * 64}@{'b' * 60}.example")
    head = content.partition(b"\r\n\r\n")[0]
    # RFC 5322, section 2.1.1: 78 characters where it can be; an address can't be parted.
    assert all(len(line) <= 78 for line in head.split(b"\r\n") if b"@" not in line)
    assert all(len(line) <= 998 for line in content.split(b"\r\n"))
