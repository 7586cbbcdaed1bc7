"""A mail draft as a standard .eml file (RFC 5322, MIME) that any mail program opens.

What a mail program reads has to be what was meant. Texts that could be read in another way are
refused, and the finished draft is read back by two parsers and compared before it is given out.
"""

from __future__ import annotations

import email
import email.policy
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from email.header import Header, decode_header, make_header
from email.headerregistry import Address, AddressHeader
from email.message import EmailMessage, Message
from email.utils import getaddresses
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.workbook.order.look_alike import odd_label
from basinbook.workbook.order.plain_text import header_text

# The "valid e-mail address" of the WHATWG HTML standard, with a dot required in the domain: a
# supplier's address is never on the local machine.
_LABEL: Final = r"[A-Za-z0-9](?:[A-Za-z0-9-]{0,61}[A-Za-z0-9])?"
_ADDRESS: Final = re.compile(rf"[A-Za-z0-9.!#$%&'*+/=?^_`{{|}}~-]+@{_LABEL}(?:\.{_LABEL})+")
_LONGEST_ADDRESS: Final = 254  # RFC 5321, section 4.5.3.1.3, less the angle brackets.
_LONGEST_LOCAL_PART: Final = 64
_ALLOWED: Final = (
    "give one plain address such as orders@yard.example, with no spaces or line breaks"
)
_LONGEST_SUBJECT: Final = 400
_POLICY: Final = email.policy.SMTP.clone(raise_on_defect=True)
# An encoded word and the line round it (RFC 2047, section 2); longer texts are encoded, too,
# since a plain line may be no longer.
_LINE: Final = 76
_LONGEST_PLAIN: Final = 60


@dataclass(frozen=True)
class Attachment:
    """A file that goes with the mail."""

    name: str
    content: bytes
    mime_type: str


class _Reading(NamedTuple):
    """Something that a parser read in the draft, and whether it is as meant."""

    what: str
    as_meant: bool


@dataclass(frozen=True)
class _Meant:
    """What a mail program has to read in the draft."""

    to: str
    subject: str
    sender: str
    sender_address: str
    body: str
    attachments: tuple[Attachment, ...]

    @property
    def headers(self) -> list[str]:
        """The names of the message's headers, in order."""
        sender = ["From"] if self.sender_address else []
        return ["X-Unsent", "To", *sender, "Subject", "Content-Type", "MIME-Version"]


def checked_address(argument: str, text: object) -> str:
    """Return one e-mail address; raise InputError naming ``argument`` for anything else.

    Allowed is one mailbox in ASCII letters, with no name, group, route, quotes or comment; a
    domain with accents stands in its xn-- form, where that does not read like another one.
    """
    address = text.strip(" ") if isinstance(text, str) else ""
    if len(address) > _LONGEST_ADDRESS:
        raise InputError(argument, text, f"{_ALLOWED}, and at most {_LONGEST_ADDRESS} characters")
    if not address.isascii():
        raise InputError(argument, text, f"{_ALLOWED}; a domain with accents in its xn-- form")
    if not _ADDRESS.fullmatch(address) or "=?" in address:
        raise InputError(argument, text, _ALLOWED)
    try:
        parts = Address(addr_spec=address)
    except ValueError as error:
        raise InputError(argument, text, _ALLOWED) from error
    if odd := odd_label(parts.domain):
        raise InputError(argument, text, f"{odd}; give the address that you were given by hand")
    if len(parts.username) > _LONGEST_LOCAL_PART:
        raise InputError(
            argument, text, f"{_ALLOWED}, and at most {_LONGEST_LOCAL_PART} characters before the @"
        )
    return address


def draft(
    *,
    to: str,
    subject: str,
    body: str,
    attachments: Sequence[Attachment],
    sender: str = "",
    sender_address: str = "",
) -> bytes:
    """Return a draft's content; ``X-Unsent`` tells mail programs to open it for writing.

    Without ``sender_address`` there is no From line: the mail program puts in its own. Raises
    InputError for a text or address that may not stand in a header, and for a draft that a mail
    parser reads otherwise than it was meant.
    """
    meant = _Meant(
        to=checked_address("to", to),
        subject=header_text("subject", subject, _LONGEST_SUBJECT),
        sender=header_text("sender", sender),
        sender_address=checked_address("sender_address", sender_address) if sender_address else "",
        body=body,
        attachments=tuple(attachments),
    )
    content = _content(meant)
    _compare(meant, content)
    return content


def _content(meant: _Meant) -> bytes:
    message = EmailMessage(policy=_POLICY)
    message.set_content(meant.body, cte="quoted-printable")
    for attachment in meant.attachments:
        kind, _, subtype = attachment.mime_type.partition("/")
        message.add_attachment(
            attachment.content,
            maintype=kind,
            subtype=subtype,
            filename=header_text("file name", attachment.name),
        )
    lines = ["X-Unsent: 1", f"To: {meant.to}"]
    if meant.sender_address:
        lines.append(_sender_line(meant.sender, meant.sender_address))
    lines.append(f"Subject: {_header_words('Subject', meant.subject)}")
    head = "".join(f"{line}\r\n" for line in lines)
    return head.encode("ascii") + message.as_bytes()


def _sender_line(name: str, address: str) -> str:
    if not name:
        return f"From: {address}"
    words = _header_words("From", name)
    if words == name:
        quoted = re.sub(r'(["\\])', r"\\\1", name)
        words = f'"{quoted}"'
    return f"From: {words}\r\n <{address}>"


def _header_words(header: str, text: str) -> str:
    """Return the text as it stands in a header: plain where it is short and ASCII, else encoded.

    `EmailMessage` would fold long texts in ways that put blanks inside words.
    """
    if text.isascii() and len(text) <= _LONGEST_PLAIN:
        return text
    coded = Header(text, "utf-8", maxlinelen=_LINE, header_name=header)
    return coded.encode(linesep="\r\n")


def _compare(meant: _Meant, content: bytes) -> None:
    """Raise InputError when one of two mail parsers reads another message than was meant."""
    for reading in _readings(meant, content):
        if not reading.as_meant:
            raise InputError(
                "mail draft",
                reading.what,
                "a mail program would read it otherwise than it is meant; write the order's "
                "texts in plainer words",
            )


def _readings(meant: _Meant, content: bytes) -> Iterator[_Reading]:
    """Yield what both parsers read, in turn."""
    try:
        yield from _modern_readings(meant, content)
        yield from _old_readings(meant, content)
    except (ValueError, LookupError):
        yield _Reading("its structure", False)


def _modern_readings(meant: _Meant, content: bytes) -> Iterator[_Reading]:
    message = email.message_from_bytes(content, policy=email.policy.default)
    yield _Reading("its headers", sorted(message.keys()) == sorted(meant.headers))
    yield _Reading("its structure", not message.defects)
    yield _Reading("X-Unsent", message["X-Unsent"] == "1")
    to = message["To"]
    yield _Reading("To", isinstance(to, AddressHeader) and _mailboxes(to) == [("", meant.to)])
    if meant.sender_address:
        sender = message["From"]
        # Some versions of this parser read a blank between two encoded words of a name.
        name = meant.sender.replace(" ", "")
        boxes = _mailboxes(sender) if isinstance(sender, AddressHeader) else []
        yield _Reading("From", boxes == [(name, meant.sender_address)])
    yield _Reading("Subject", message["Subject"] == meant.subject)
    yield from _part_readings(meant, message)


def _mailboxes(header: AddressHeader) -> list[tuple[str, str]]:
    """Return the names, less their blanks, and the addresses; groups count as no address."""
    if any(group.display_name is not None for group in header.groups):
        return []
    return [(one.display_name.replace(" ", ""), one.addr_spec) for one in header.addresses]


def _old_readings(meant: _Meant, content: bytes) -> Iterator[_Reading]:
    message = email.message_from_bytes(content, policy=email.policy.compat32)
    yield _Reading("its headers", sorted(message.keys()) == sorted(meant.headers))
    yield _Reading("its structure", not message.defects)
    yield _Reading("To", getaddresses([message["To"]]) == [("", meant.to)])
    if meant.sender_address:
        boxes = [(_decoded(name), address) for name, address in getaddresses([message["From"]])]
        yield _Reading("From", boxes == [(meant.sender, meant.sender_address)])
    yield _Reading("Subject", _decoded(message["Subject"]) == meant.subject)
    yield from _part_readings(meant, message)


def _decoded(text: str) -> str:
    return str(make_header(decode_header(text)))


def _part_readings(meant: _Meant, message: Message) -> Iterator[_Reading]:
    parts = list(message.walk())[1:]
    yield _Reading("its parts", len(parts) == 1 + len(meant.attachments))
    body, *files = parts
    text = _payload(body).decode("utf-8").replace("\r\n", "\n")
    yield _Reading("its text", body.get_content_type() == "text/plain" and text == meant.body)
    for part, attachment in zip(files, meant.attachments, strict=True):
        yield _Reading("its files' names", part.get_filename() == attachment.name)
        yield _Reading("its files", _payload(part) == attachment.content)
        yield _Reading("its files' kinds", part.get_content_type() == attachment.mime_type)


def _payload(part: Message) -> bytes:
    payload = part.get_payload(decode=True)
    return payload if isinstance(payload, bytes) else b""
