"""Sending a mail draft by SMTP (RFC 5321), over TLS only, when the user asks for it."""

from __future__ import annotations

import email
import email.policy
import os
import smtplib
import ssl
from dataclasses import dataclass
from email.headerregistry import AddressHeader
from email.message import EmailMessage, Message
from email.utils import formatdate, make_msgid
from pathlib import Path
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.files.reading import read_file
from basinbook.workbook.order.email_draft import checked_address
from basinbook.workbook.order.plain_text import header_text

PASSWORD: Final = "BASINBOOK_MAIL_PASSWORD"
KEYRING: Final = "basinbook mail"
_IMPLICIT_TLS: Final = 465
_MOST_BYTES: Final = 50_000_000
_MOST_PARTS: Final = 50
_SECONDS: Final = 30.0
# Of our drafts, and a Date or Message-ID that a mail program put in.
_KNOWN: Final = frozenset(
    ("x-unsent", "to", "from", "subject", "content-type", "mime-version", "date", "message-id")
)


@dataclass(frozen=True)
class Letter:
    """A draft as it would be sent: addresses, subject, text, attached files with their bytes."""

    sender: str
    to: str
    subject: str
    text: str
    files: tuple[tuple[str, int], ...]
    message: EmailMessage

    @property
    def lines(self) -> tuple[str, ...]:
        """What to look at before it is sent."""
        files = [f"  {name} ({size / 1000:,.1f} kB)" for name, size in self.files]
        return (
            f"From:    {self.sender}",
            f"To:      {self.to}",
            f"Subject: {self.subject}",
            *(["Files:", *files] if files else []),
            "",
            *self.text.splitlines(),
        )


class Server(NamedTuple):
    """A mail server: host, port (465 begins with TLS, others turn to it), user of the account.

    authority: file of a certificate authority beside those of the machine.
    """

    host: str
    port: int
    user: str
    authority: Path | None = None


def read_letter(path: Path, sender: str | None = None) -> Letter:
    """Return a draft that was read and checked again.

    sender: address that it is sent from, where the draft has none. Raises InputError for a file
    that is no draft of ours: another header, a copy to somebody, several receivers.
    """
    content = read_file(path, _MOST_BYTES, "draft")
    message = email.message_from_bytes(content, policy=email.policy.default)
    assert isinstance(message, EmailMessage)
    try:
        return _letter(path, message, sender)
    except (ValueError, LookupError, AttributeError, TypeError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError("draft", str(path), "it can't be read as a mail") from error


def _letter(path: Path, message: EmailMessage, sender: str | None) -> Letter:
    names = [name.lower() for name in message]
    odd = sorted({name for name in names if name not in _KNOWN or names.count(name) > 1})
    if odd or message.defects or not {"to", "subject"} <= set(names):
        what = f"headers {', '.join(odd)}" if odd else "no plain To and Subject"
        raise InputError(
            "draft", str(path), f"it has {what}; write it anew with basinbook, or send it by hand"
        )
    to = _address("To", message["To"], path)
    found = _address("From", message["From"], path) if "from" in names else None
    if found is None:
        if not sender:
            raise InputError("from", None, "the draft has no sender; give --from ADDRESS")
        found = checked_address("from", sender)
        message["From"] = found
    elif sender and sender != found:
        raise InputError("from", sender, f"the draft is from {found}")
    parts = [part for part in message.walk() if not part.is_multipart()]
    if not parts or len(parts) > _MOST_PARTS:
        raise InputError("draft", str(path), f"it has {len(parts)} parts; 1 to {_MOST_PARTS}")
    body, *files = parts
    del message["X-Unsent"]
    return Letter(
        sender=found,
        to=to,
        subject=header_text("subject", str(message["Subject"]), 400),
        text=_bytes(body).decode("utf-8"),
        files=tuple((str(part.get_filename()), len(_bytes(part))) for part in files),
        message=message,
    )


def _address(header: str, value: object, path: Path) -> str:
    if not isinstance(value, AddressHeader) or len(value.addresses) != 1:
        raise InputError("draft", str(path), f"give one address in its {header} line")
    return checked_address(header, value.addresses[0].addr_spec)


def _bytes(part: Message) -> bytes:
    payload = part.get_payload(decode=True)
    return payload if isinstance(payload, bytes) else b""


def password(server: Server) -> str:
    """Return the account's password: from the environment, else from the system's keyring.

    It is never taken from the command line, where others on the machine could read it.
    """
    given = os.environ.get(PASSWORD)
    if given:
        return given
    name = f"{server.user}@{server.host}"
    try:
        import keyring
        from keyring.errors import KeyringError
    except ImportError as error:
        raise InputError(
            "password",
            None,
            f"set the environment variable {PASSWORD}, or install basinbook[mail] to have it kept "
            "in the system's keyring",
        ) from error
    try:
        kept = keyring.get_password(KEYRING, name)
    except KeyringError:
        kept = None
    if kept:
        return kept
    raise InputError(
        "password",
        None,
        f"set the environment variable {PASSWORD}, or keep it in the system's keyring: "
        f'keyring set "{KEYRING}" {name}',
    )


def send(letter: Letter, server: Server, secret: str) -> str:
    """Send the letter, and return its Message-ID. Nothing goes out without TLS.

    Raises InputError where the server can't be reached, shows no certificate that holds, or
    refuses account, address or letter.
    """
    message = letter.message
    if "Date" not in message:
        message["Date"] = formatdate(localtime=True)
    if "Message-ID" not in message:
        message["Message-ID"] = make_msgid(domain=letter.sender.rpartition("@")[2])
    where = f"{server.host}:{server.port}"
    try:
        with _connected(server) as link:
            link.login(server.user, secret)
            link.send_message(message, letter.sender, [letter.to])
    except ssl.SSLCertVerificationError as error:
        raise InputError(
            "host", where, f"its certificate doesn't hold ({error.verify_message}); nothing is sent"
        ) from error
    except smtplib.SMTPNotSupportedError as error:
        raise InputError(
            "host", where, "it offers no TLS or no way to log in; nothing is sent"
        ) from error
    except smtplib.SMTPAuthenticationError as error:
        raise InputError(
            "user", server.user, "the server refuses this account or its password; nothing is sent"
        ) from error
    except smtplib.SMTPRecipientsRefused as error:
        raise InputError("to", letter.to, "the server refuses this address") from error
    except smtplib.SMTPException as error:
        raise InputError("draft", where, f"the server refuses it: {_said(error)}") from error
    except (OSError, ValueError) as error:
        raise InputError(
            "host", where, f"no connection to a mail server ({error}); nothing is sent"
        ) from error
    return str(message["Message-ID"])


def _connected(server: Server) -> smtplib.SMTP:
    context = ssl.create_default_context()
    if server.authority is not None:
        try:
            context.load_verify_locations(server.authority)
        except (OSError, ssl.SSLError) as error:
            raise InputError(
                "ca", str(server.authority), "give a file of certificates (PEM)"
            ) from error
    if server.port == _IMPLICIT_TLS:
        return smtplib.SMTP_SSL(server.host, server.port, timeout=_SECONDS, context=context)
    link = smtplib.SMTP(server.host, server.port, timeout=_SECONDS)
    try:
        link.starttls(context=context)
    except BaseException:
        link.close()
        raise
    return link


def _said(error: smtplib.SMTPException) -> str:
    text = getattr(error, "smtp_error", b"")
    return text.decode("ascii", "replace") if isinstance(text, bytes) else str(text or error)
