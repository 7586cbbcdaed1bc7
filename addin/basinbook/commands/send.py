"""``basinbook send``: send a mail draft over SMTP with TLS, after a look at it."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "send",
        help="send a mail draft that basinbook wrote, over SMTP with TLS",
        description="Shows the draft and asks before it is sent. The account's password comes "
        "from the environment variable BASINBOOK_MAIL_PASSWORD or the system's keyring.",
    )
    parser.add_argument("draft", type=Path, help="the .eml file")
    parser.add_argument("--from", dest="sender", metavar="ADDRESS", help="where the draft has none")
    parser.add_argument(
        "--host", default=os.environ.get("BASINBOOK_MAIL_HOST"), help="the mail server"
    )
    parser.add_argument(
        "--port",
        type=int,
        default=587,
        help="465: TLS from the start; others turn to TLS first (default 587)",
    )
    parser.add_argument(
        "--user", default=os.environ.get("BASINBOOK_MAIL_USER"), help="account (default: sender)"
    )
    parser.add_argument("--ca", type=Path, metavar="FILE", help="own certificate authority (PEM)")
    parser.add_argument("--yes", action="store_true", help="send without asking")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.engine.errors import InputError
    from basinbook.workbook.order.send import Server, password, read_letter, send

    letter = read_letter(arguments.draft, arguments.sender)
    print("\n".join(letter.lines))
    print()
    if not arguments.host:
        raise InputError("host", None, "give --host NAME, or set BASINBOOK_MAIL_HOST")
    if not 0 < arguments.port < 65536:
        raise InputError("port", arguments.port, "give a number from 1 to 65535")
    server = Server(arguments.host, arguments.port, arguments.user or letter.sender, arguments.ca)
    if not arguments.yes and not _agreed():
        print("Nothing is sent.")
        return 0
    number = send(letter, server, password(server))
    print(f"Sent to {letter.to} by {server.host}, Message-ID {number}.")
    return 0


def _agreed() -> bool:
    """Ask; where nobody can answer, no."""
    if not sys.stdin.isatty():
        print("To send it, run the command again with --yes.")
        return False
    return input("Send it? [y/N] ").strip().lower() in ("y", "yes")
