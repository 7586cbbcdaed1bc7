"""A formula's text as a tree: one tree for all formulas of one shape.

Formulas of a workbook differ mostly in the cells and numbers they name. These are lifted out of
the text as the formula's own ``Constants``; what is left, its shape, is parsed once.
"""

from __future__ import annotations

import math
import re
from collections import OrderedDict
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from openpyxl.utils.cell import column_index_from_string

from basinbook.catalogue.model import CellError
from basinbook.evaluation.areas import MAX_COLUMN, MAX_ROW, Area
from basinbook.evaluation.book import NotComputed, Value
from basinbook.evaluation.budget import MOST_FORMULA
from basinbook.evaluation.values import NA, Rows

_UNREADABLE: Final = "the formula can't be read here"
_TOO_DEEP: Final = "the formula is nested too deeply"
_MOST_NESTED: Final = 100
_SHORT: Final = 300
# Characters of all long formulas that are kept.
_MOST_LONG: Final = 512 * MOST_FORMULA
_OTHER_BOOK: Final = "it refers to another workbook"
_TOKEN: Final = re.compile(
    r"""
    (?P<space>[ \t\r\n]+)
    | "(?P<text>[^"]*(?:""[^"]*)*)"
    | (?P<error>\#(?:NULL!|DIV/0!|VALUE!|REF!|NAME\?|NUM!|N/A))
    | (?P<sheet>(?:'[^']+(?:''[^']*)*'|[^\W\d][\w.]*)!)
    | (?P<area>
        (?:
          (?P<cell>\$?[A-Za-z]{1,3}\$?[0-9]{1,7})(?::(?P<last_cell>\$?[A-Za-z]{1,3}\$?[0-9]{1,7}))?
          | (?P<column>\$?[A-Za-z]{1,3}):(?P<last_column>\$?[A-Za-z]{1,3})
          | (?P<row>\$?[0-9]{1,7}):(?P<last_row>\$?[0-9]{1,7})
        )(?![\w.(!\\?])
      )
    | (?P<number>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)(?![\w.!])
    | (?P<function>(?:\[[0-9]+\]!(?=BASIN[._]))?[^\W\d][\w.]*)\(  # of ours also with a link
    | (?P<name>[^\W\d][\w.\\?]*|\\[\w.\\?]*)
    | (?P<external>\[[^\[\]]*\])
    | (?P<sign><=|>=|<>|[-+*/^&=<>%:,;(){}@\#])
    """,
    re.VERBOSE,
)
# What stands before a function's name: the file format's marks, and Excel's link to the add-in.
_PREFIXES: Final = re.compile(r"^(?:_XLFN\.|_XLWS\.|_XLL\.|_XLUDF\.|\[[0-9]+\]!)+")
# Signs between two operands, and how tightly they bind.
_BINDING: Final = {
    "=": 1, "<>": 1, "<": 1, ">": 1, "<=": 1, ">=": 1,
    "&": 2, "+": 3, "-": 3, "*": 4, "/": 4, "^": 5, " ": 8, ":": 9,
}  # fmt: skip
_SIGN_BINDS: Final = 7


@dataclass(frozen=True, slots=True)
class Literal:
    """A text, truth value, error or array written in the formula."""

    value: Value | Rows


@dataclass(frozen=True, slots=True)
class Number:
    """A number written in the formula: which of its constants."""

    index: int


@dataclass(frozen=True, slots=True)
class Place:
    """A range of cells: which of the formula's constants."""

    index: int


@dataclass(frozen=True, slots=True)
class Blank:
    """An argument left out, as the second in ``IF(A1,,3)``."""


@dataclass(frozen=True, slots=True)
class Name:
    """A defined name."""

    sheet: str | None
    text: str


@dataclass(frozen=True, slots=True)
class Operation:
    """An operator and its one or two operands."""

    operator: str
    operands: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Call:
    """A function call; the name in capitals, without the file format's prefixes."""

    function: str
    arguments: tuple[Node, ...]


Node = Literal | Number | Place | Blank | Name | Operation | Call
_Piece = tuple[str, str]
"""Kind and text of a token; of a number or area that is lifted out, its kind alone."""


@dataclass(slots=True, eq=False)
class Shape:
    """The tree that formulas of one shape share, and what was made of it (``formula_code``)."""

    tree: Node
    code: Any = None


@dataclass(frozen=True, slots=True)
class Parsed:
    """A formula: its shape, and the numbers and areas that the tree points to."""

    shape: Shape
    numbers: tuple[float, ...]
    areas: tuple[Area, ...]


def parse(formula: str) -> Parsed:
    """Return a formula given without its equals sign; raises NotComputed."""
    if len(formula) > MOST_FORMULA:
        raise NotComputed(f"the formula has more than {MOST_FORMULA:,} characters")
    return _kept(formula) if len(formula) <= _SHORT else _LONG_ONES.parsed(formula)


def _parsed(formula: str) -> Parsed:
    pieces: list[_Piece] = []
    numbers: list[float] = []
    areas: list[Area] = []
    sheet: str | None = None
    end, in_braces = 0, False
    for match in _TOKEN.finditer(formula):
        if match.start() != end:
            break
        end = match.end()
        kind = match.lastgroup or ""
        text = match[kind]
        if sheet is not None and kind not in ("area", "name", "error"):
            raise NotComputed(_UNREADABLE)
        if kind == "area" and (area := _area(match, sheet)) is None:
            kind = "name"
        if kind == "sheet":
            sheet = _sheet(text)
            pieces.append(("sheet", sheet))
            continue
        if kind == "area" and area is not None:
            areas.append(area)
            text = ""
            if sheet is not None:
                pieces.pop()
        elif kind == "number" and not in_braces:
            numbers.append(_finite(text))
            text = ""
        elif kind == "text":
            text = text.replace('""', '"').replace("\r\n", "\n")
        elif kind == "sign":
            in_braces = text == "{" or (in_braces and text != "}")
        pieces.append((kind, text))
        sheet = None
    if end != len(formula) or sheet is not None:
        raise NotComputed(_OTHER_BOOK if "[" in formula[end : end + 1] else _UNREADABLE)
    shape = tuple(pieces)
    kept = _shape(shape) if len(shape) <= _SHORT else Shape(_Parser(shape).whole())
    return Parsed(kept, tuple(numbers), tuple(areas))


_kept: Final = lru_cache(maxsize=16_384)(_parsed)


class _LongOnes:
    """Long formulas by their text, kept up to so many characters together.

    A workbook has hundreds of some hundred characters, all of which the next recalculation asks
    for again; as many of the longest that a program takes would fill the memory.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[str, Parsed] = OrderedDict()
        self._characters = 0

    def parsed(self, formula: str) -> Parsed:
        """Return a formula; the ones that were asked for longest ago are given up for it."""
        found = self._kept.get(formula)
        if found is not None:
            self._kept.move_to_end(formula)
            return found
        found = self._kept[formula] = _parsed(formula)
        self._characters += len(formula)
        while self._characters > self._most:
            self._characters -= len(self._kept.popitem(last=False)[0])
        return found


_LONG_ONES: Final = _LongOnes(_MOST_LONG)


def _finite(text: str) -> float:
    found = float(text)
    if found == math.inf:
        raise NotComputed("it has a number too large to hold")
    return found


def _sheet(text: str) -> str:
    name = text[:-1]
    if name.startswith("'"):
        name = name[1:-1].replace("''", "'")
    if "[" in name:
        raise NotComputed(_OTHER_BOOK)
    return name


def _area(match: re.Match[str], sheet: str | None) -> Area | None:
    """Return what a token refers to; None where no sheet has so many columns or rows."""
    if match["cell"]:
        first, last = match["cell"], match["last_cell"] or match["cell"]
    elif match["column"]:
        first, last = f"{match['column']}1", f"{match['last_column']}{MAX_ROW}"
    else:
        first, last = f"A{match['row']}", f"XFD{match['last_row']}"
    (left, top), (right, bottom) = _cell(first), _cell(last)
    if max(left, right) > MAX_COLUMN or max(top, bottom) > MAX_ROW or not min(top, bottom):
        return None
    return Area(sheet, min(top, bottom), min(left, right), max(top, bottom), max(left, right))


@lru_cache(maxsize=65_536)
def _cell(text: str) -> tuple[int, int]:
    plain = text.replace("$", "").upper()
    letters = plain.rstrip("0123456789")
    return column_index_from_string(letters), int(plain[len(letters) :])


@lru_cache(maxsize=2048)
def _shape(pieces: tuple[_Piece, ...]) -> Shape:
    return Shape(_Parser(pieces).whole())


class _Parser:
    """Reads the pieces of a shape from left to right, by how tightly operators bind."""

    def __init__(self, pieces: tuple[_Piece, ...]) -> None:
        self._pieces = pieces
        # The kind of each piece, of a sign the sign itself; "" after the last one.
        self._kinds = [text if kind == "sign" else kind for kind, text in pieces] + ["", ""]
        self._at = 0
        self._numbers = 0
        self._areas = 0
        self._depth = 0

    def whole(self) -> Node:
        """Return the tree of all pieces; raises NotComputed."""
        tree = self._expression(0)
        self._skip_space()
        if self._at < len(self._pieces):
            raise NotComputed(_UNREADABLE)
        return tree

    def _kind(self, ahead: int = 0) -> str:
        """Return the kind of the piece to be read, or of the one after it."""
        return self._kinds[self._at + ahead]

    def _take(self, *kinds: str) -> str:
        if self._kind() not in kinds:
            raise NotComputed(_UNREADABLE)
        self._at += 1
        return self._pieces[self._at - 1][1]

    def _skip_space(self) -> None:
        while self._kind() == "space":
            self._at += 1

    def _between(self) -> str:
        """Return the operator that follows an operand, "" if none does; a blank may be one."""
        if self._kind() == "space":
            if self._kind(1) in ("area", "name", "function", "sheet", "("):
                return " "
            self._skip_space()
        return self._kind() if self._kind() in _BINDING else ""

    def _expression(self, least: int) -> Node:
        self._depth += 1
        if self._depth > _MOST_NESTED:
            raise NotComputed(_TOO_DEEP)
        left = self._operand()
        while True:
            sign = self._between()
            if self._kind() == "%" and least <= _SIGN_BINDS:
                self._at += 1
                left = Operation("%", (left,))
            elif sign and _BINDING[sign] > least:
                self._at += 1
                left = Operation(sign, (left, self._expression(_BINDING[sign])))
            else:
                self._depth -= 1
                return left

    def _operand(self) -> Node:
        self._skip_space()
        kind = self._kind()
        if kind in ("+", "-"):
            return self._signed()
        if kind == "@":
            self._at += 1
            return Operation("@", (self._expression(_SIGN_BINDS),))
        node = self._plain(kind)
        if self._kind() == "#":
            self._at += 1
            return Operation("#", (node,))
        return node

    def _signed(self) -> Node:
        """Read signs before an operand; two minus signs still turn TRUE and texts to numbers."""
        minus = 0
        while self._kind() in ("+", "-", "space"):
            minus += self._kind() == "-"
            self._at += 1
        node = self._expression(_SIGN_BINDS)
        for _ in range(minus if minus < 3 else 2 - minus % 2):
            node = Operation("U-", (node,))
        return node

    def _plain(self, kind: str) -> Node:
        if kind == "number":
            self._at += 1
            self._numbers += 1
            return Number(self._numbers - 1)
        if kind == "area":
            self._at += 1
            self._areas += 1
            return Place(self._areas - 1)
        if kind == "function":
            return self._call()
        if kind == "(":
            return self._in_brackets()
        if kind == "{":
            return self._array()
        if kind == "external":
            raise NotComputed(_OTHER_BOOK)
        if kind == "sheet":
            sheet = self._take("sheet")
            if self._kind() == "name":
                return Name(sheet, self._take("name"))
            return Literal(CellError(self._take("error").upper()))
        if kind == "name":
            word = self._take("name")
            if word.upper() in ("TRUE", "FALSE"):
                return Literal(word.upper() == "TRUE")
            return Name(None, word)
        return Literal(self._constant())

    def _constant(self) -> Value:
        """Read a text, an error, or within an array also a number or truth value."""
        kind = self._kind()
        word = self._take("text", "error")
        return word if kind == "text" else CellError(word.upper())

    def _call(self) -> Node:
        name = _PREFIXES.sub("", self._take("function").upper())
        arguments: list[Node] = []
        self._skip_space()
        if self._kind() == ")":
            self._at += 1
            return Call(name, ())
        while True:
            self._skip_space()
            left_out = self._kind() in (",", ")")
            arguments.append(Blank() if left_out else self._expression(0))
            self._skip_space()
            if self._take(",", ")") == ")":
                return Call(name, tuple(arguments))

    def _in_brackets(self) -> Node:
        self._take("(")
        node = self._expression(0)
        self._skip_space()
        while self._take(",", ")") == ",":
            node = Operation(",", (node, self._expression(0)))
            self._skip_space()
        return node

    def _array(self) -> Node:
        rows: Rows = [[]]
        end = self._take("{")
        while end != "}":
            rows[-1].append(self._element())
            self._skip_space()
            end = self._take(",", ";", "}")
            if end == ";":
                rows.append([])
        width = max(len(row) for row in rows)
        return Literal([row + [NA] * (width - len(row)) for row in rows])

    def _element(self) -> Value:
        self._skip_space()
        sign = self._take("+", "-") if self._kind() in ("+", "-") else ""
        if self._kind() == "number":
            found = _finite(self._take("number"))
            return -found if sign == "-" else found
        if sign:
            raise NotComputed(_UNREADABLE)
        if self._kind() == "name":
            word = self._take("name").upper()
            if word not in ("TRUE", "FALSE"):
                raise NotComputed(_UNREADABLE)
            return word == "TRUE"
        return self._constant()
