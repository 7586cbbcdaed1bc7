"""A formula's text as a tree, read by the tokenizer of the ``formulas`` library."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, ClassVar, Final

from formulas.errors import BaseError
from formulas.parser import Parser
from formulas.tokens import function, operand, operator

MAX_ROW: Final = 1_048_576
MAX_COLUMN: Final = 16_384

# The library drops line breaks, also those inside a text; this stands for them meanwhile.
_BREAK: Final = "\ue00a"
_PREFIXES: Final = re.compile(r"^(?:_XLFN\.|_XLWS\.|_XLL\.|_XLUDF\.)+")


class NotComputed(BaseError):  # type: ignore[misc]  # noqa: N818 - an outcome to report
    """A formula that can't be computed here; its text says why.

    The library's functions turn any fault into #VALUE!, but let its own base error through.
    """

    def __init__(self, reason: str) -> None:
        Exception.__init__(self, reason)


@dataclass(frozen=True)
class Literal:
    """A number, text, truth value or error written in the formula."""

    value: Any


@dataclass(frozen=True)
class Blank:
    """An argument left out, as the second in ``IF(A1,,3)``."""


@dataclass(frozen=True)
class Area:
    """A rectangle of cells, rows and columns from 1, inclusive; ``sheet`` None is the own one."""

    sheet: str | None
    top: int
    left: int
    bottom: int
    right: int


@dataclass(frozen=True)
class Name:
    """A defined name, or a cell reference that the tokenizer took for one."""

    sheet: str | None
    text: str


@dataclass(frozen=True)
class Spill:
    """What the dynamic array at one cell covers, written ``A1#``."""

    anchor: Area


@dataclass(frozen=True)
class Operation:
    """An operator and its one or two operands."""

    operator: str
    operands: tuple[Node, ...]


@dataclass(frozen=True)
class Call:
    """A function call; the name in capitals, without the file format's prefixes."""

    function: str
    arguments: tuple[Node, ...]


Node = Literal | Blank | Area | Name | Spill | Operation | Call


def walk(node: Node) -> Iterator[Node]:
    """Yield the node and all below it."""
    yield node
    below: tuple[Node, ...] = ()
    if isinstance(node, Operation):
        below = node.operands
    elif isinstance(node, Call):
        below = node.arguments
    for child in below:
        yield from walk(child)


@lru_cache(maxsize=8192)
def parse(formula: str) -> Node:
    """Return the tree of a formula given without its equals sign; raises NotComputed."""
    text = "".join(
        piece.replace("\r\n", "\n").replace("\n", _BREAK if piece.startswith('"') else " ")
        for piece in re.split(r'("[^"]*")', formula)
    )
    try:
        _, builder = _PARSER.ast("=" + text)
    except NotComputed:
        raise
    except (BaseError, ValueError, IndexError, RecursionError) as error:
        raise NotComputed("the formula can't be read here") from error
    tree: Node = builder[0]
    return tree


class _Builder:
    """Takes the library's tokens in reverse Polish order and stacks up the tree."""

    def __init__(self, match: object = None) -> None:  # noqa: ARG002 - the library gives it
        self._nodes: list[Node] = []

    def __len__(self) -> int:
        return len(self._nodes)

    def __getitem__(self, index: int) -> Node:
        return self._nodes[index]

    def append(self, token: Any) -> None:
        if isinstance(token, (operator.Operator, function.Function)):
            count = token.get_n_args
            if count > len(self._nodes):
                raise NotComputed("the formula can't be read here")
            parts = tuple(self._nodes[len(self._nodes) - count :])
            del self._nodes[len(self._nodes) - count :]
            if isinstance(token, function.Function):
                self._nodes.append(Call(_PREFIXES.sub("", token.name.upper()), parts))
            elif token.name == "u+" and "-" in token.source[: token.end_match]:
                # Two minus signs, which the tokenizer makes one plus, turn TRUE and texts into
                # numbers; a plus does not.
                self._nodes.append(Operation("U-", (Operation("U-", parts),)))
            else:
                self._nodes.append(Operation(token.name.upper(), parts))
        else:
            self._nodes.append(_operand(token))

    def finish(self) -> None:
        """Nothing is left to do; the library calls this at the end."""


class _TreeParser(Parser):  # type: ignore[misc]
    ast_builder = _Builder
    # LET and LAMBDA come out as plain calls, which no function answers: they get reported.
    filters: ClassVar[list[Any]] = [kind for kind in Parser.filters if kind is not function.Lambda]


_PARSER: Final = _TreeParser()


def _operand(token: Any) -> Node:
    if isinstance(token, operand.Empty):
        return Blank()
    if isinstance(token, operand.String):
        return Literal(token.compile().replace(_BREAK, "\n"))
    if isinstance(token, operand.Range):
        return _reference(token)
    return Literal(token.compile())


def _reference(token: Any) -> Node:
    attributes = token.attr
    if "excel_id" in attributes or "filename" in attributes:
        raise NotComputed("it refers to another workbook")
    source = token.source[: token.end_match].strip()
    if "r1" not in attributes:
        sheet = source.rpartition("!")[0].strip("'").replace("''", "'") or None
        return Name(sheet, attributes["ref"])
    if attributes["ref"].startswith(":"):
        raise NotComputed("the formula can't be read here")
    sheet = attributes.get("sheet")
    area = Area(
        sheet.replace("''", "'") if sheet else None,
        max(int(attributes["r1"]), 1),
        max(int(attributes["n1"]), 1),
        int(attributes["r2"]),
        int(attributes["n2"]),
    )
    area = Area(
        area.sheet,
        min(area.top, area.bottom),
        min(area.left, area.right),
        max(area.top, area.bottom),
        max(area.left, area.right),
    )
    if attributes.get("anchor"):
        return Spill(area)
    return area
