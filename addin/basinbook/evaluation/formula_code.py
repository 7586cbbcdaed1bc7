"""A formula's tree as functions of Python, made once for all formulas of a shape.

Such a function is called with the evaluator and the place of the formula, and gives what its node
does: a value, rows of values, or a reference. What can be told of the tree alone, such as which
function is called and how its arguments are read, is settled when it is made.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import product
from typing import Any, Final

from basinbook.evaluation import areas
from basinbook.evaluation.areas import Area, Reference
from basinbook.evaluation.book import NotComputed
from basinbook.evaluation.formula_tree import (
    Call,
    Literal,
    Name,
    Node,
    Number,
    Operation,
    Parsed,
    Place,
)
from basinbook.evaluation.functions import STANDARD
from basinbook.evaluation.here import Here, Needs
from basinbook.evaluation.operators import OPERATORS
from basinbook.evaluation.our_functions import declared
from basinbook.evaluation.run import Run
from basinbook.evaluation.standard import LAZY, RAW, ROWS, Applied, applied
from basinbook.evaluation.values import NULL, Given, single

Code = Callable[[Run, Here], Any]
TOO_DEEP: Final = "the formula is nested too deeply"
_REFERRING: Final = (":", ",", " ", "#", "@")
_MOST_NAMES: Final = 32
_NODE_STEPS: Final = 20


def worked_out(run: Run, here: Here) -> Given | Reference:
    """Return what the formula of a place gives."""
    shape = here.parsed.shape
    code: Code | None = shape.code
    if code is None:
        code = shape.code = _code(shape.tree)
    found: Given | Reference = code(run, here)
    return found


def _code(node: Node) -> Code:
    """Return what gives a node's value, rows of values or reference."""
    if isinstance(node, Place):
        return _place(node.index)
    if isinstance(node, Call):
        return _call(node)
    if isinstance(node, Operation):
        return _operation(node)
    if isinstance(node, Name):
        return _name(node)
    if isinstance(node, Number):
        index = node.index
        return lambda _, here: here.parsed.numbers[index]
    value = node.value if isinstance(node, Literal) else None
    return lambda _run, _here: value


def _operand(node: Node) -> Code:
    """Return what gives a node as an operand: of a range the cell that faces a plain formula."""
    if isinstance(node, Place):
        return _place_value(node.index)
    if isinstance(node, Name):
        return _name_value(node)
    code = _code(node)
    if not isinstance(node, Call | Operation):
        return code

    def operand(run: Run, here: Here) -> Given:
        found = code(run, here)
        return run.value(found, here) if isinstance(found, Reference) else found

    return operand


# ---- references


def _place(index: int) -> Code:
    def place(run: Run, here: Here) -> Reference:
        run.budget.spend(_NODE_STEPS)
        return Reference((run.area(here.parsed.areas[index], here),))

    return place


def _place_value(index: int) -> Code:
    def place_value(run: Run, here: Here) -> Given:
        return _value_of_area(run, here, here.parsed.areas[index])

    return place_value


def _value_of_area(run: Run, here: Here, area: Area) -> Given:
    run.budget.spend(_NODE_STEPS)
    sheet, top, left, bottom, right = area
    if top == bottom and left == right:
        return run.cell(sheet, top, left, here)
    return run.value(Reference((run.area(area, here),)), here)


def _meaning(name: Name, run: Run, here: Here) -> Parsed:
    if here.names >= _MOST_NAMES:
        raise NotComputed(TOO_DEEP)
    run.budget.spend(_NODE_STEPS)
    return run.named(name, here.sheet)


def _name(node: Name) -> Code:
    def name(run: Run, here: Here) -> Given | Reference:
        return worked_out(run, here.inside(_meaning(node, run, here), 1))

    return name


def _name_value(node: Name) -> Code:
    def name_value(run: Run, here: Here) -> Given:
        parsed = _meaning(node, run, here)
        if isinstance(parsed.shape.tree, Place):
            return _value_of_area(run, here, parsed.areas[0])
        found = worked_out(run, here.inside(parsed, 1))
        return run.value(found, here)

    return name_value


def areas_of(found: Given | Reference) -> tuple[Area, ...]:
    """Return the areas of what has to be a reference."""
    if not isinstance(found, Reference):
        raise NotComputed("a range is made of something that is no reference")
    return found.areas


def _referring(node: Operation) -> Code:
    first = _code(node.operands[0])
    if node.operator == "@":

        def faced(run: Run, here: Here) -> Given | Reference:
            run.budget.spend(_NODE_STEPS)
            return run.facing(first(run, here), here)

        return faced
    if node.operator == "#":

        def spilled(run: Run, here: Here) -> Given | Reference:
            run.budget.spend(_NODE_STEPS)
            return run.spilled(first(run, here))

        return spilled
    second, sign = _code(node.operands[1]), node.operator

    def combined(run: Run, here: Here) -> Given | Reference:
        run.budget.spend(_NODE_STEPS)
        return _combined(run, sign, areas_of(first(run, here)), areas_of(second(run, here)))

    return combined


def _combined(
    run: Run, sign: str, first: tuple[Area, ...], second: tuple[Area, ...]
) -> Given | Reference:
    if sign == ",":
        run.budget.spend(len(first) + len(second))
        return Reference((*first, *second))
    if len({area.sheet for area in (*first, *second)}) != 1:
        raise NotComputed("a range reaches over several sheets")
    if sign == ":":
        return Reference((areas.around((*first, *second)),))
    run.budget.spend(len(first) * len(second))
    common = [area for a, b in product(first, second) if (area := areas.shared(a, b))]
    return Reference(tuple(common)) if common else NULL


# ---- operators and functions


def _operation(node: Operation) -> Code:
    # A long sum nests to the left, and is worked through without recursion.
    operations = []
    innermost: Node = node
    while isinstance(innermost, Operation) and innermost.operator not in _REFERRING:
        operations.append(innermost)
        innermost = innermost.operands[0]
    if not operations:
        return _referring(node)
    first = _operand(innermost)
    steps = [
        (
            applied(OPERATORS[operation.operator], len(operation.operands)),
            _operand(operation.operands[1]) if len(operation.operands) > 1 else None,
            f"the operator {operation.operator}",
        )
        for operation in reversed(operations)
    ]

    def operate(run: Run, here: Here) -> Given:
        result: Given = first(run, here)
        for function, second, what in steps:
            run.budget.spend(_NODE_STEPS)
            operands = [result] if second is None else [result, second(run, here)]
            result = _guarded(function, operands, (), what)
        return result

    return operate


def _call(node: Call) -> Code:
    if declared(node.function):
        return _catalogue_call(node)
    standard = STANDARD.get(node.function)
    if standard is None:
        return _refused(f"the function {node.function} is not known here")
    what = f"the function {node.function}"
    codes = standard.codes(len(node.arguments))
    if codes is None:
        refused = _refused(f"{what} can't be computed with these arguments")
        return _dated(refused) if standard.dates else refused
    readers = [_argument(code, node) for code, node in zip(codes, node.arguments, strict=True)]
    arrays, needs_place = standard.arrays, standard.needs_place
    function = applied(standard, len(readers))

    def call(run: Run, here: Here) -> Given | Reference:
        run.budget.spend(_NODE_STEPS)
        if arrays and not here.is_array:
            here = here.as_array()
        arguments = [read(run, here) for read in readers]
        found: Given | Reference = _guarded(
            function, arguments, (run, here) if needs_place else (), what
        )
        return found

    return _dated(call) if standard.dates else call


def _refused(why: str) -> Code:
    def refused(run: Run, _: Here) -> Given:
        run.budget.spend(_NODE_STEPS)
        raise NotComputed(why)

    return refused


def _dated(call: Code) -> Code:
    def dated(run: Run, here: Here) -> Given | Reference:
        if run.book.date_1904:
            raise NotComputed("dates of this workbook count from 1904")
        found: Given | Reference = call(run, here)
        return found

    return dated


def _argument(code: str, node: Node) -> Code:
    """Return what gives an argument as a function takes it by that letter (``standard``)."""
    if code in LAZY:
        lazy = _code(node)
        return lambda run, here: partial(lazy, run, here)
    if code in RAW:
        return _code(node)
    if code not in ROWS:
        operand = _operand(node)
        if isinstance(node, Number):
            return operand
        return lambda run, here: single(operand(run, here))
    code_of_rows, trim = _code(node), code == "s"

    def rows(run: Run, here: Here) -> Given:
        found = code_of_rows(run, here)
        return run.rows(found, trim=trim) if isinstance(found, Reference) else found

    return rows


def _catalogue_call(node: Call) -> Code:
    function = node.function
    arguments = [_code(argument) for argument in node.arguments]

    def call(run: Run, here: Here) -> Given:
        run.budget.spend(_NODE_STEPS)
        return run.catalogue(function, [_as_argument(run, code(run, here)) for code in arguments])

    return call


def _as_argument(run: Run, found: Given | Reference) -> object:
    """Return an argument as the catalogue wants it: one value, or a tuple of row tuples."""
    given = single(run.rows(found) if isinstance(found, Reference) else found)
    return tuple(tuple(row) for row in given) if isinstance(given, list) else given


def _guarded(function: Applied, arguments: list[Any], context: tuple[Any, ...], what: str) -> Any:
    try:
        return function(arguments, context)
    except (NotComputed, Needs, RecursionError):
        raise
    except Exception as error:
        # What a function doesn't foresee must not keep the rest of the workbook from updating.
        raise NotComputed(f"{what} can't be computed with these arguments") from error
