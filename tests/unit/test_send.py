"""Sending a draft over TLS (RFC 3207, RFC 8314) to a real SMTP server on this machine, aiosmtpd."""

from __future__ import annotations

import email
import email.policy
import socket
import ssl
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import trustme
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.workbook.order import send as sending
from basinbook.workbook.order.email_draft import Attachment, draft
from basinbook.workbook.order.send import PASSWORD, Server, password, read_letter, send

USER, SECRET = "mason@hill.example", "trowel and line"


class Box:
    """A mail server's box: what arrived, by whom, and whether over TLS."""

    def __init__(self) -> None:
        self.got: list[tuple[Envelope, bool]] = []

    async def handle_RCPT(  # noqa: N802 (named by the library)
        self, _server: SMTP, _session: Session, envelope: Envelope, address: str, _: list[str]
    ) -> str:
        if address == "nobody@yard.example":
            return "550 no such box"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(  # noqa: N802 (named by the library)
        self, _server: SMTP, session: Session, envelope: Envelope
    ) -> str:
        self.got.append((envelope, session.ssl is not None))
        return "250 OK"


def _login(
    _server: object, _session: object, _envelope: object, _way: str, data: Any
) -> AuthResult:
    assert isinstance(data, LoginPassword)
    right = (data.login, data.password) == (USER.encode(), SECRET.encode())
    return AuthResult(success=right, handled=right)


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> tuple[trustme.CA, Path]:
    made = trustme.CA()
    path = tmp_path_factory.mktemp("ca") / "ca.pem"
    made.cert_pem.write_to_path(str(path))
    return made, path


@pytest.fixture
def server(authority: tuple[trustme.CA, Path]) -> Iterator[tuple[Box, Server]]:
    made, path = authority
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    made.issue_cert("localhost").configure_cert(context)
    box = Box()
    controller = Controller(
        box, hostname="127.0.0.1", port=_free_port(), tls_context=context, require_starttls=True,
        authenticator=_login, auth_required=True,
    )  # fmt: skip
    controller.start()
    try:
        yield box, Server("localhost", controller.port, USER, path)
    finally:
        controller.stop()


@pytest.fixture
def written(tmp_path: Path) -> Path:
    path = tmp_path / "Order 7.eml"
    path.write_bytes(
        draft(
            to="orders@yard.example",
            subject="Order 7: Yard",
            body="1. 118 each: Wall block\n",
            attachments=[Attachment("Order 7.pdf", b"%PDF-1.4 \xff\x00", "application/pdf")],
            sender="A. Mason",
            sender_address=USER,
        )
    )
    return path


def test_it_arrives_as_it_was_written(written: Path, server: tuple[Box, Server]) -> None:
    box, where = server
    number = send(read_letter(written), where, SECRET)
    ((envelope, encrypted),) = box.got
    assert encrypted
    assert envelope.mail_from == USER
    assert envelope.rcpt_tos == ["orders@yard.example"]
    assert isinstance(envelope.content, bytes)
    mail = email.message_from_bytes(envelope.content, policy=email.policy.default)
    assert mail["Message-ID"] == number
    assert "X-Unsent" not in mail
    assert mail["Date"]
    assert mail["Subject"] == "Order 7: Yard"
    text, pdf = list(mail.walk())[1:]
    assert text.get_content().splitlines() == ["1. 118 each: Wall block"]
    assert pdf.get_payload(decode=True) == b"%PDF-1.4 \xff\x00"


def test_the_command_shows_it_and_sends_only_when_told(
    written: Path,
    server: tuple[Box, Server],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    box, where = server
    monkeypatch.setenv(PASSWORD, SECRET)
    words = ["send", str(written), "--host", where.host, "--port", str(where.port)]
    words += ["--ca", str(where.authority)]
    monkeypatch.setattr("sys.stdin.isatty", lambda: False, raising=False)
    assert main(words) == 0
    shown = capsys.readouterr().out
    assert "To:      orders@yard.example" in shown
    assert "Order 7.pdf (0.0 kB)" in shown
    assert "Nothing is sent." in shown
    assert not box.got
    assert main([*words, "--yes"]) == 0
    assert "Sent to orders@yard.example by localhost" in capsys.readouterr().out
    assert len(box.got) == 1
    assert SECRET not in shown


def test_a_server_without_tls_gets_nothing(written: Path) -> None:
    box = Box()
    controller = Controller(box, hostname="127.0.0.1", port=_free_port())
    controller.start()
    try:
        with pytest.raises(InputError, match="no TLS"):
            send(read_letter(written), Server("localhost", controller.port, USER), SECRET)
    finally:
        controller.stop()
    assert not box.got


def test_a_certificate_that_nobody_vouches_for_is_refused(
    written: Path, server: tuple[Box, Server]
) -> None:
    box, where = server
    with pytest.raises(InputError, match="certificate"):
        send(read_letter(written), where._replace(authority=None), SECRET)
    assert not box.got


def test_a_wrong_password_and_a_wrong_box_are_told(
    tmp_path: Path, written: Path, server: tuple[Box, Server]
) -> None:
    box, where = server
    with pytest.raises(InputError, match="refuses this account"):
        send(read_letter(written), where, "guess")
    other = tmp_path / "other.eml"
    other.write_bytes(written.read_bytes().replace(b"orders@", b"nobody@"))
    with pytest.raises(InputError, match=r"nobody@yard\.example"):
        send(read_letter(other), where, SECRET)
    assert not box.got


@pytest.mark.parametrize(
    "more",
    [
        b"Bcc: evil@e.example\r\n",
        b"Cc: evil@e.example\r\n",
        b"To: evil@e.example\r\n",
        b"Resent-To: evil@e.example\r\n",
        b"Sender: evil@e.example\r\n",
    ],
)
def test_a_draft_with_another_receiver_is_refused(written: Path, more: bytes) -> None:
    written.write_bytes(more + written.read_bytes())
    with pytest.raises(InputError, match="draft"):
        read_letter(written)


def test_two_addresses_in_one_line_are_refused(written: Path) -> None:
    plain = written.read_bytes()
    written.write_bytes(plain.replace(b"orders@yard.example", b"a@yard.example, b@e.example", 1))
    with pytest.raises(InputError, match="one address"):
        read_letter(written)


@pytest.mark.parametrize(
    "content", [b"", b"\x00" * 100, b"To: \xff\xfe\r\n\r\n", b"Subject: x\r\n"]
)
def test_what_is_no_draft_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "x.eml"
    path.write_bytes(content)
    with pytest.raises(InputError, match="draft"):
        read_letter(path)


def test_a_draft_without_a_sender_asks_for_one(tmp_path: Path) -> None:
    path = tmp_path / "x.eml"
    path.write_bytes(
        draft(
            to="orders@yard.example",
            subject="x",
            body="y\n",
            attachments=[Attachment("x.pdf", b"%PDF", "application/pdf")],
        )
    )
    with pytest.raises(InputError, match="--from"):
        read_letter(path)
    assert read_letter(path, USER).sender == USER


def test_the_password_comes_from_the_keyring(monkeypatch: pytest.MonkeyPatch) -> None:
    where = Server("localhost", 587, USER)
    monkeypatch.delenv(PASSWORD, raising=False)
    kept = {(sending.KEYRING, f"{USER}@localhost"): SECRET}
    monkeypatch.setattr("keyring.get_password", lambda service, name: kept.get((service, name)))
    assert password(where) == SECRET
    kept.clear()
    with pytest.raises(InputError, match=PASSWORD):
        password(where)
