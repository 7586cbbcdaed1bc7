"""The function reference as Markdown, made from the catalogue."""

from __future__ import annotations

from itertools import groupby

from basinbook.catalogue import functions
from basinbook.catalogue.model import Argument, Array, Example, Function
from basinbook.engine import kinds
from basinbook.engine.kinds import Kind
from basinbook.units import shown_range, unit_of

_HEAD = """# Worksheet functions

Made from the catalogue by `basinbook functions --markdown`; do not edit by hand.

In Calc, and in the templates, a function is written `BASIN.NAME(...)`; in Excel `BASIN_NAME(...)`.
A plain number is in the unit that the unit system gives its kind of quantity; a text may carry
its own: `50`, `50 in`, `4' 2 1/2"`, `1.27 m`. Arguments in [brackets] may be left out. The last
argument of most functions, `units`, is `us` (default) or `metric`. On the command line:
`basinbook call NAME ARGUMENT...`.
"""


def markdown() -> str:
    """Return the whole reference, by category."""
    ordered = sorted(functions().values(), key=lambda f: (f.category, f.name))
    parts = [_HEAD]
    for category, members in groupby(ordered, key=lambda f: f.category):
        parts.append(f"\n## {category}\n")
        parts += [_function(member) for member in members]
    return "\n".join(parts).rstrip() + "\n"


def _function(function: Function) -> str:
    names = ", ".join(
        (a.name if a.required else f"[{a.name}]") + (", ..." if a.repeats else "")
        for a in function.all_arguments
    )
    lines = [f"### {function.name}", "", f"`{function.name}({names})`", "", f"{function.summary}."]
    if function.details:
        lines += ["", function.details]
    if function.all_arguments:
        lines += ["", "| Argument | Unit: us, metric | Allowed | Meaning |"]
        lines += ["| --- | --- | --- | --- |"]
        lines += [_argument(a) for a in function.all_arguments]
    lines += ["", f"Gives: {_result(function.result)}", "", f"Source: {function.source}"]
    if function.examples:
        lines += ["", "```text", *(_example(function, e) for e in function.examples), "```"]
    return "\n".join([*lines, ""])


def _argument(argument: Argument) -> str:
    cells = (argument.name, _units(argument.quantity), _allowed(argument), argument.help)
    return f"| {' | '.join(cells)} |".replace("|  |", "| |")


def _units(kind: Kind) -> str:
    if not kind.has_unit:
        return ""
    return f"{unit_of(kind, 'us').label}, {unit_of(kind, 'metric').label}"


def _allowed(argument: Argument) -> str:
    if argument.choices:
        return ", ".join(argument.choices)
    if argument.low is None or argument.high is None:
        return ""
    kind = argument.quantity
    us = shown_range(argument.low, argument.high, kind, "us")
    if not kind.has_unit or unit_of(kind, "us") == unit_of(kind, "metric"):
        return us
    return f"{us}; {shown_range(argument.low, argument.high, kind, 'metric')}"


def _result(result: Kind | Array) -> str:
    if isinstance(result, Array):
        columns = ", ".join(
            column.name + (f" [{_units(column.kind)}]" if column.kind.has_unit else "")
            for column in result.columns
        )
        return f"an array with the columns {columns}"
    if result is kinds.ANY:
        return "a value whose kind depends on the arguments"
    return result.name + (f" [{_units(result)}]" if result.has_unit else "")


def _example(function: Function, example: Example) -> str:
    words = [f"'{a}'" if set(a) & set(" \"[]()'") or not a else a for a in example.arguments]
    units = " --units metric" if example.units == "metric" and function.has_units else ""
    return f"$ basinbook call {function.name} {' '.join(words)}{units}\n{example.gives}".replace(
        " \n", "\n"
    )
