"""A mail draft as a standard .eml file (RFC 5322, MIME) that any mail program opens."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP

from basinbook.engine.errors import InputError

# The "valid e-mail address" of the WHATWG HTML standard, with a dot required in the domain: a
# supplier's address is never on the local machine.
_LABEL = r"[A-Za-z0-9](?:[A-Za-z0-9-]{0,61}[A-Za-z0-9])?"
_ADDRESS = re.compile(rf"[A-Za-z0-9.!#$%&'*+/=?^_`{{|}}~-]+@{_LABEL}(?:\.{_LABEL})+")
_LONGEST_ADDRESS = 254  # RFC 5321, section 4.5.3.1.3, less the angle brackets.
_LONGEST_LOCAL_PART = 64
_ALLOWED = "give one plain address such as orders@yard.example, with no spaces or line breaks"


@dataclass(frozen=True)
class Attachment:
    """A file that goes with the mail."""

    name: str
    content: bytes
    mime_type: str


def checked_address(argument: str, text: object) -> str:
    """Return one e-mail address; raise InputError naming ``argument`` for anything else."""
    address = text.strip(" ") if isinstance(text, str) else ""
    if not address.isascii():
        raise InputError(argument, text, f"{_ALLOWED}; a domain with accents in its xn-- form")
    if not _ADDRESS.fullmatch(address) or len(address) > _LONGEST_ADDRESS:
        raise InputError(argument, text, _ALLOWED)
    try:
        parts = Address(addr_spec=address)
    except ValueError as error:
        raise InputError(argument, text, _ALLOWED) from error
    if len(parts.username) > _LONGEST_LOCAL_PART:
        raise InputError(argument, text, _ALLOWED)
    return address


def one_line(text: str) -> str:
    """Return text that can stand in a header: printable, on one line."""
    spaced = "".join(letter if letter.isprintable() else " " for letter in text)
    return " ".join(spaced.split())


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

    Without ``sender_address`` there is no From line: the mail program puts in its own.  Both
    addresses have gone through `checked_address`.
    """
    message = EmailMessage(policy=SMTP)
    message["X-Unsent"] = "1"
    message["To"] = Address(addr_spec=to)
    if sender_address:
        message["From"] = Address(display_name=one_line(sender), addr_spec=sender_address)
    message["Subject"] = one_line(subject)
    message.set_content(body, cte="quoted-printable")
    for attachment in attachments:
        kind, _, subtype = attachment.mime_type.partition("/")
        message.add_attachment(
            attachment.content, maintype=kind, subtype=subtype, filename=attachment.name
        )
    return message.as_bytes()
