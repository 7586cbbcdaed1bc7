"""``basinbook call``: print one worksheet function's value with its unit."""

from __future__ import annotations

import argparse
import json

from basinbook.engine import kinds
from basinbook.engine.errors import InputError


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser("call", help="print one function's value with its unit")
    parser.add_argument("name", help="worksheet name, such as WATERVOLUME")
    parser.add_argument(
        "values",
        nargs="*",
        help="its arguments; lengths as 50, 4' 2\" or 1.27 m; "
        'ranges as rows in JSON: [["Inside length"],["Inside width"]]',
    )
    parser.add_argument("--units", choices=("us", "metric"), help="unit system (default us)")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.catalogue import call, function

    found = function(arguments.name)
    values: list[object] = list(arguments.values)
    for index, argument in enumerate(found.arguments[: len(values)]):
        if argument.kind is kinds.RANGE:
            values[index] = _range(argument.name, arguments.values[index])
    if arguments.units and found.has_units:
        if len(values) > len(found.arguments):
            raise InputError("units", arguments.units, "give it once, as an argument or --units")
        values += [None] * (len(found.arguments) - len(values))
        values.append(arguments.units)
    print(call(arguments.name, *values).text())
    return 0


def _range(name: str, text: str) -> object:
    """Return a range written as a JSON array of rows; anything else as one cell."""
    if not text.lstrip().startswith("["):
        return text
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError(name, text, "give rows of cells in JSON, such as [[50],[26]]") from error
