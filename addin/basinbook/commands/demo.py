"""``basinbook demo``: an invented job from the filled-in workbook to the order files."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "demo", help="make an invented job: workbook, order files, drawings, pictures"
    )
    parser.add_argument(
        "--out", type=Path, default=Path("basinbook-demo"), help="folder (default basinbook-demo)"
    )
    parser.add_argument("--force", action="store_true", help="replace files of an earlier demo")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.workbook.template.demo_files import make_demo

    print(make_demo(arguments.out, force=arguments.force))
    return 0
