"""``basinbook functions``: list the worksheet functions."""

from __future__ import annotations

import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser("functions", help="list the worksheet functions")
    parser.add_argument("--markdown", action="store_true", help="print the whole reference")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.catalogue import functions
    from basinbook.catalogue.reference import markdown

    if arguments.markdown:
        print(markdown(), end="")
        return 0
    for function in functions().values():
        names = ", ".join(
            argument.name if argument.required else f"[{argument.name}]"
            for argument in function.all_arguments
        )
        print(f"{function.name}({names})\n    {function.summary}")
    return 0
