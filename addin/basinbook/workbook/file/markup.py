"""What can be told of a part of a workbook before any parser is let loose on it."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from lxml import etree
from openpyxl.utils.cell import column_index_from_string

from basinbook.workbook.file.limits import LAST_COLUMN, LAST_ROW

# Encodings in which these marks are the same bytes, zeros apart. The format allows UTF-8 and
# UTF-16 only (ECMA-376 part 2, 8.1.4); some programs write others.
_ENCODINGS: Final = re.compile(
    rb"(utf-?8|utf-?16([bl]e)?|us-ascii|ascii|iso-8859-\d{1,2}|windows-125\d)", re.IGNORECASE
)
_DECLARED: Final = re.compile(rb"<\?xml\s[^>]{0,100}?encoding\s*=\s*[\"']([^\"'>]{0,40})[\"']")
_HEAD: Final = 400
_MARKS_OF_ORDER: Final = b"\xef\xbb\xbf\xfe\xff\0 \t\r\n"
_PLACE: Final = re.compile(r"([A-Za-z]{1,3})([1-9][0-9]{0,6})")


def is_xml(name: str, data: bytes) -> bool:
    """Return whether a part is one that somebody may parse, by its name or its first character."""
    return name.lower().endswith((".xml", ".rels")) or data[:8].lstrip(_MARKS_OF_ORDER)[:1] == b"<"


def nodes_at_most(data: bytes) -> int:
    """Return a number of tags and attributes that a part's tree does not exceed."""
    return data.count(b"<") + data.count(b"=")


def fault(data: bytes) -> str:
    """Return what is wrong with a part that is parsed, or nothing.

    A document type brings entities, which unpack without bounds and may name files; none belongs
    in a workbook. It is looked for in the bytes, whatever the encoding, since each library reads
    encodings in its own way.
    """
    head = data[:_HEAD].lstrip(_MARKS_OF_ORDER).replace(b"\0", b"")
    if not head.startswith(b"<"):
        return "is damaged; open and save it again"
    declared = _DECLARED.match(head)
    if declared and not _ENCODINGS.fullmatch(declared[1]):
        return "is in an encoding that no workbook has; UTF-8 and UTF-16 are allowed"
    if b"<!DOCTYPE" in data or (b"\0" in data and b"<!DOCTYPE" in data.replace(b"\0", b"")):
        return "has a document type, which none should"
    return ""


def parsed(data: bytes) -> etree._Element:
    """Return a part's root element; nothing is expanded and nothing is fetched."""
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, strip_cdata=False
    )
    return etree.fromstring(data, parser)


def is_place(at: str) -> bool:
    """Return whether a sheet has a cell of that name."""
    found = _PLACE.fullmatch(at)
    return (
        found is not None and int(found[2]) <= LAST_ROW and column_number(found[1]) <= LAST_COLUMN
    )


@lru_cache(maxsize=32_768)
def column_number(letters: str) -> int:
    """Return the number of a column from 1; raises ValueError for what is no column."""
    return column_index_from_string(letters.upper())
