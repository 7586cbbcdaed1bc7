"""Moving a workbook between hosts: the functions' names in its formulas, and nothing else.

Calc and the embedded evaluation spell a function ``BASIN.NAME``, Excel ``BASIN_NAME``, since a
VBA name can't hold a dot. Only that mark changes, in the file's own bytes: a part without one of
our functions stays as it is, byte for byte, and so does everything else in a part that has one.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from basinbook.catalogue import functions
from basinbook.engine.errors import InputError, check_choice
from basinbook.files.targets import check_target
from basinbook.workbook.file.package import (
    Package,
    open_package,
    sheet_parts,
    workbook_part,
    write_package,
)

MARKS: Final = {"calc": ".", "excel": "_"}

# Elements that hold a formula: of cells and of conditional formats and data checks kept in an
# extension (f), of conditional formats and data checks, of defined names and of tables.
_FORMULA_ELEMENTS: Final = frozenset(
    ("f", "formula", "formula1", "formula2", "definedName", "calculatedColumnFormula",
     "totalsRowFormula")
)  # fmt: skip
_CELL_VALUE_RULE: Final = "cfvo"
_MENTION: Final = re.compile(rb"BASIN", re.IGNORECASE)
# A formula's texts, our calls, quoted sheet names, brackets (of tables and links) and other words,
# so that a call is only seen where one stands. Spaces and line breaks must survive, and operators
# such as A1# pass, which is why this is no tokenizer of a library. What is opened and never closed
# goes to the end, so that no start is tried again and again.
_FORMULA: Final = re.compile(
    r"""
    "(?:[^"]|"")*"
    | (?P<before>
        (?:(?:'(?:[^']|'')*'|(?:\[[^\[\]]*\])?[\w.\\]*)!)?  # another file, or a sheet
        (?:_xl[a-z]+\.)*                                    # the file format's prefixes
      )
      BASIN(?P<mark>[._])(?P<name>\w+)\(
    | '(?:[^']|'')*'
    | \[(?:'.|[^\[\]']|\[(?:'.|[^\[\]'])*\])*\]
    | ["'\[].*                                              # never closed: to the end
    | [\w.\\]+
    | .
    """,
    re.IGNORECASE | re.VERBOSE | re.DOTALL,
)
_XML: Final = re.compile(
    r"(?P<skip><!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>|<![^>]*>)"
    r"|<(?P<close>/?)(?:[\w.-]+:)?(?P<element>[\w.-]+)"
    r"(?P<attributes>(?:[^<>\"']|\"[^\"]*\"|'[^']*')*?)(?P<empty>/?)>"
    r"|(?P<text>[^<]+)",
    re.DOTALL,
)
_CHARACTER: Final = re.compile(r"&[^;&\s]+;|.", re.DOTALL)
_VALUE: Final = re.compile(r"""\bval\s*=\s*(?P<quote>["'])(?P<text>.*?)(?P=quote)""", re.DOTALL)


@dataclass(frozen=True)
class Report:
    """What a conversion did: names changed, and names with our prefix that are not ours."""

    out: Path
    changed: int
    unknown: tuple[str, ...]


def convert(path: Path, host: str, *, out: Path | None = None, force: bool = False) -> Report:
    """Write the workbook with the functions' names as ``host`` ("calc" or "excel") spells them.

    Without ``out`` a new file beside it is written, named after the host. A file that exists is
    replaced only with ``force``; ``path`` itself may be the ``out`` then. Raises InputError.
    """
    _check_host(host)
    target = out if out is not None else default_out(path, host)
    if target.suffix.lower() != path.suffix.lower():
        raise InputError("out", str(target), f"give a name that ends in {path.suffix}")
    check_target(target, replace=force)
    package = open_package(path)
    found = _Found()
    replaced = _converted_parts(package, host, found)
    write_package(package, replaced, target, replace=force)
    return Report(target, found.changed, tuple(sorted(found.unknown)))


def converted_parts(package: Package, host: str) -> dict[str, bytes]:
    """Return the parts of a package that another host's spelling changes."""
    _check_host(host)
    return _converted_parts(package, host, _Found())


def convert_formula(text: str, host: str) -> str:
    """Return a formula (without its equals sign) as ``host`` spells it.

    Texts in quotation marks and names that are no function of the catalogue stay as they are.
    """
    _check_host(host)
    return _applied(text, _edits(text, host, _Found()))


def default_out(path: Path, host: str) -> Path:
    """Return the file beside ``path`` that a conversion to ``host`` writes."""
    stem = path.stem
    for other in MARKS:
        stem = stem.removesuffix(f"_{other}")
    return path.with_name(f"{stem}_{host}{path.suffix}")


class _Found:
    def __init__(self) -> None:
        self.changed = 0
        self.unknown: set[str] = set()


@dataclass(frozen=True)
class _Edit:
    """Characters ``start`` to ``end`` of a text and what takes their place."""

    start: int
    end: int
    text: str


def _check_host(host: str) -> None:
    check_choice("to", host, MARKS)


def _converted_parts(package: Package, host: str, found: _Found) -> dict[str, bytes]:
    replaced = {}
    for part in _formula_parts(package):
        data = package.parts[part]
        encoding = package.xml(part).getroottree().docinfo.encoding or "UTF-8"
        if encoding.upper() in ("UTF-8", "ASCII", "US-ASCII") and not _MENTION.search(data):
            continue
        text = data.decode(encoding)
        fresh = _applied(text, list(_part_edits(text, host, found)))
        if fresh != text:
            replaced[part] = fresh.encode(encoding)
    return replaced


def _formula_parts(package: Package) -> list[str]:
    """Return the parts that hold formulas; charts hold references only."""
    sheets = list(sheet_parts(package).values())
    tables = [
        target
        for sheet in sheets
        for kind, target in package.related(sheet).values()
        if kind == "table" and target in package.parts
    ]
    return [workbook_part(package), *sheets, *tables]


def _part_edits(xml: str, host: str, found: _Found) -> Iterator[_Edit]:
    """Yield the edits of a part's text; its markup is walked, not rewritten."""
    inside = False
    for piece in _XML.finditer(xml):
        if piece["element"] is not None:
            name = piece["element"]
            inside = name in _FORMULA_ELEMENTS and not piece["close"] and not piece["empty"]
            if name == _CELL_VALUE_RULE and (value := _VALUE.search(piece["attributes"])):
                start = piece.start("attributes") + value.start("text")
                yield from _escaped_edits(value["text"], start, host, found)
        elif inside and piece["text"] is not None:
            yield from _escaped_edits(piece["text"], piece.start(), host, found)


def _escaped_edits(escaped: str, start: int, host: str, found: _Found) -> Iterator[_Edit]:
    """Yield the edits of a formula as XML writes it, where ``&amp;`` is one character."""
    if not _MENTION.search(html.unescape(escaped).encode()):
        return
    spans = [match.span() for match in _CHARACTER.finditer(escaped)]
    formula = "".join(html.unescape(escaped[a:b]) for a, b in spans)
    if len(formula) != len(spans):
        return
    for edit in _edits(formula, host, found):
        yield _Edit(start + spans[edit.start][0], start + spans[edit.end - 1][1], edit.text)


def _edits(formula: str, host: str, found: _Found) -> list[_Edit]:
    edits: list[_Edit] = []
    for call in _FORMULA.finditer(formula):
        if call["name"] is None:
            continue
        if call["name"].upper() not in functions():
            found.unknown.add(f"BASIN{call['mark']}{call['name']}")
            continue
        here = []
        if call["before"]:
            # Written where the functions came from another file or were not known. Without them
            # every host looks in its own place.
            here.append(_Edit(call.start("before"), call.end("before"), ""))
        if call["mark"] != MARKS[host]:
            here.append(_Edit(call.start("mark"), call.end("mark"), MARKS[host]))
        found.changed += bool(here)
        edits += here
    return edits


def _applied(text: str, edits: list[_Edit]) -> str:
    pieces = []
    done = 0
    for edit in edits:
        pieces += [text[done : edit.start], edit.text]
        done = edit.end
    return "".join([*pieces, text[done:]])
