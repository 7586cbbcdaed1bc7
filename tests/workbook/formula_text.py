"""Taking formulas apart with openpyxl's tokenizer, which shares nothing with the evaluator."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token
from openpyxl.workbook import Workbook
from openpyxl.worksheet.formula import ArrayFormula


@dataclass
class Call:
    """A function call: its name as written, and the tokens of each argument."""

    name: str
    arguments: list[list[Token]] = field(default_factory=lambda: [[]])

    @property
    def texts(self) -> list[str]:
        """The arguments as written; none for a call with empty brackets."""
        texts = ["".join(token.value for token in tokens).strip() for tokens in self.arguments]
        return [] if texts == [""] else texts


def formula(value: object) -> str:
    """Return a cell's formula with its equals sign, or nothing where it has none."""
    if isinstance(value, ArrayFormula):
        return str(value.text)
    return value if isinstance(value, str) and value.startswith("=") else ""


def formulas(book: Workbook) -> Iterator[tuple[str, str, str]]:
    """Yield sheet, cell and formula of every formula cell."""
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                text = formula(cell.value)
                if text:
                    yield sheet.title, cell.coordinate, text


def calls(text: str) -> tuple[list[Call], int]:
    """Return all function calls of a formula and its deepest nesting of calls."""
    found: list[Call] = []
    opened: list[Call | None] = []
    deepest = 0
    for token in Tokenizer(text).items:
        closes = token.subtype == Token.CLOSE and token.type in (Token.FUNC, Token.PAREN)
        separates = token.type == Token.SEP and token.subtype == Token.ARG
        # A token belongs to every call around it; its own brackets and commas don't.
        around = [call for call in opened[: -1 if closes or separates else None] if call]
        for call in around:
            call.arguments[-1].append(token)
        if token.subtype == Token.OPEN and token.type in (Token.FUNC, Token.PAREN):
            call = Call(token.value.rstrip("(")) if token.type == Token.FUNC else None
            if call:
                found.append(call)
            opened.append(call)
            deepest = max(deepest, sum(1 for one in opened if one))
        elif closes:
            opened.pop()
        elif separates and opened and opened[-1]:
            opened[-1].arguments.append([])
    assert not opened, text
    return found, deepest
