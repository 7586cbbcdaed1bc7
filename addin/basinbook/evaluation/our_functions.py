"""The catalogue's functions as formulas call them, and what they give."""

from __future__ import annotations

from functools import cache

from basinbook import catalogue
from basinbook.catalogue import model
from basinbook.evaluation.book import Value
from basinbook.evaluation.formula_tree import Call, Node, Operation
from basinbook.evaluation.values import Given, Rows


@cache
def declared(name: str) -> model.Function | None:
    """Return the catalogue's function of a name with our prefix, if there is one."""
    if not name.startswith(("BASIN.", "BASIN_")):
        return None
    return catalogue.functions().get(name[len("BASIN.") :])


def gives_table(node: Node) -> bool:
    """Return whether a formula calls a function of ours that gives a table."""
    if isinstance(node, Call):
        found = declared(node.function)
        if found is not None and isinstance(found.result, model.Array):
            return True
        return any(gives_table(argument) for argument in node.arguments)
    return isinstance(node, Operation) and any(gives_table(part) for part in node.operands)


def from_catalogue(value: model.Cell | model.Table) -> Given:
    """Return what the catalogue gave: one value, or rows of one length."""
    if not isinstance(value, list):
        return "" if value is None else value
    width = max((len(row) for row in value), default=0)
    if not width:
        return ""
    rows: Rows = []
    for line in value:
        filled: list[Value] = ["" if item is None else item for item in line]
        rows.append(filled + [""] * (width - len(line)))
    return rows
