"""The command line: ``basinbook COMMAND``; bad input exits with 2 and one clear line."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from pkgutil import iter_modules

from basinbook import __version__, commands
from basinbook.engine.errors import InputError

Command = Callable[[argparse.Namespace], int]


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code: 0 done, 2 bad input."""
    arguments = _parser().parse_args(argv)
    command: Command = arguments.command
    try:
        return command(arguments)
    except InputError as error:
        print(f"basinbook: {error}", file=sys.stderr)
        return 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="basinbook",
        description="Take-off, setting-out, estimate and order for raised basins of wall block.",
    )
    parser.add_argument("--version", action="version", version=f"basinbook {__version__}")
    subparsers = parser.add_subparsers(required=True, metavar="COMMAND")
    for module in sorted(iter_modules(commands.__path__), key=lambda found: found.name):
        import_module(f"{commands.__name__}.{module.name}").add(subparsers)
    return parser


if __name__ == "__main__":
    sys.exit(main())
