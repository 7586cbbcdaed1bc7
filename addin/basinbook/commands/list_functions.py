"""``basinbook functions``: list the worksheet functions."""

from __future__ import annotations

import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser("functions", help="list the worksheet functions")
    parser.set_defaults(command=_run)


def _run(_: argparse.Namespace) -> int:
    from basinbook.catalogue import functions

    for function in functions().values():
        names = ", ".join(
            argument.name if argument.required else f"[{argument.name}]"
            for argument in function.all_arguments
        )
        print(f"{function.name}({names})\n    {function.summary}")
    return 0
