"""Mail fields of any kind: the draft says what was meant, or the field is refused by name."""

from __future__ import annotations

import email
import email.policy
from email.header import decode_header, make_header
from email.utils import getaddresses

from hypothesis import given
from hypothesis import strategies as st

from basinbook.engine.errors import InputError
from basinbook.workbook.order.email_draft import Attachment, draft
from fuzz_limits import limited

_PIECES = st.sampled_from(
    [
        "=?utf-8?q?Yard=0D=0ABcc:_evil@e.example?=",
        "=?utf-8?b?WWFyZA0KDQpoaQ==?=",
        "=?", "?=", "\r\n", "\n\n", "\nBcc: e@e.example", "\u2028", "\u0085", "\u202e", "\x00",
        "\ud800", "." * 200, "x" * 3000, "(" * 100, '"', "\\", "<a@b.example>", ", ", ";", ":",
        "é", "庭", "😀", " ", "\t", "@", "%0d%0a", "a", "7",
    ]
)  # fmt: skip
_TEXTS = st.one_of(
    st.lists(_PIECES, max_size=12).map("".join),
    st.text(max_size=120),
    st.text(alphabet='abé庭 .,"()\\<>@:;=?_-', max_size=160),
)
_ADDRESSES = st.one_of(
    st.sampled_from(["orders@yard.example", "a.b+c@d-e.example"]),
    st.emails(),
    st.lists(_PIECES, max_size=6).map(lambda parts: "".join(parts) + "@yard.example"),
)
_BODIES = st.text(alphabet=st.characters(exclude_categories=["Cs", "Cc"]), max_size=300)


def _plain(text: str) -> str:
    return " ".join(text.split())


@given(_ADDRESSES, _TEXTS, _BODIES, _TEXTS, _ADDRESSES, st.binary(max_size=200))
def test_a_draft_is_read_as_it_was_meant(
    to: str, subject: str, body: str, sender: str, sender_address: str, content: bytes
) -> None:
    files = [Attachment("Order é.pdf", content, "application/pdf")]
    body = f"{_plain(body)}\n"
    with limited(10.0, 512):
        try:
            made = draft(
                to=to,
                subject=subject,
                body=body,
                attachments=files,
                sender=sender,
                sender_address=sender_address,
            )
        except InputError:
            return
    message = email.message_from_bytes(made, policy=email.policy.compat32)
    assert message.keys() == ["X-Unsent", "To", "From", "Subject", "MIME-Version", "Content-Type"]
    assert getaddresses([message["To"]]) == [("", to.strip(" "))]
    ((name, address),) = getaddresses([message["From"]])
    assert str(make_header(decode_header(name))) == _plain(sender)
    assert address == sender_address.strip(" ")
    assert str(make_header(decode_header(message["Subject"]))) == _plain(subject)
    payload = message.get_payload()
    assert isinstance(payload, list)
    text, attached = payload
    assert text.get_payload(decode=True).decode().replace("\r\n", "\n") == body
    assert attached.get_filename() == "Order é.pdf"
    assert attached.get_payload(decode=True) == content
