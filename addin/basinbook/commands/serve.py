"""``basinbook serve``: answer function calls, one JSON line each."""

from __future__ import annotations

import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "serve", help="answer function calls on standard input, one JSON line each"
    )
    parser.set_defaults(command=_run)


def _run(_: argparse.Namespace) -> int:
    from basinbook.hosts.serve import main

    return main()
