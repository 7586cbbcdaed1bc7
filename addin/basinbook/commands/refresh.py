"""``basinbook refresh``: recalculate the workbook that is open in Excel."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "refresh",
        help="save, close, recalculate (with the drawings) and reopen the workbook open in Excel",
    )
    parser.add_argument("file", nargs="?", type=Path, help="which one, if not the active one")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.commands.recalc import show
    from basinbook.hosts.excel.refresh import refresh_open_workbook

    return show(refresh_open_workbook(arguments.file))
