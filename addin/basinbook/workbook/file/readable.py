"""Whether a workbook can be read with openpyxl within bounds.

That library makes an object of each element, and of each cell of a merged range.
"""

from __future__ import annotations

from typing import Final

from lxml import etree
from openpyxl.utils.cell import range_boundaries

from basinbook.engine.errors import InputError
from basinbook.workbook.file import limits, markup
from basinbook.workbook.file.package import ARGUMENT, Package, sheet_parts

_HEADERS: Final = (
    "oddHeader",
    "oddFooter",
    "evenHeader",
    "evenFooter",
    "firstHeader",
    "firstFooter",
)


def check_readable(package: Package) -> None:
    """Refuse a workbook that openpyxl would not get through; raises InputError."""
    sheets = set(sheet_parts(package).values())
    for part, data in package.parts.items():
        if not markup.is_xml(part, data):
            continue
        # A part that can't hold so many elements need not be parsed to count them.
        small = data.count(b"<") <= limits.MAX_ELEMENTS
        if part in sheets:
            _check_sheet(package, part)
        elif not small:
            root = package.xml(part)
            allowed = limits.MAX_ELEMENTS
            if root.find("{*}si") is not None:
                allowed = 4 * limits.MAX_TEXTS
            _check_count(package, part, _count(root), allowed)


def _check_sheet(package: Package, part: str) -> None:
    root = package.xml(part)
    data = root.find("{*}sheetData")
    beside = _count(root) - (0 if data is None else _count(data))
    _check_count(package, part, beside, limits.MAX_ELEMENTS)
    try:
        merged = sum(
            _size(item.get("ref", "")) for item in root.iterfind("{*}mergeCells/{*}mergeCell")
        )
        columns = sum(
            int(item.get("max", "1")) - int(item.get("min", "1")) + 1
            for item in root.iterfind("{*}cols/{*}col")
        )
    except (ValueError, TypeError) as error:
        raise _refused(package, f"its part {part} is damaged; open and save it again") from error
    if merged > limits.MAX_MERGED_CELLS:
        raise _refused(
            package,
            f"its part {part} has {merged:,} merged cells; allowed are {limits.MAX_MERGED_CELLS:,}",
        )
    if columns > limits.LAST_COLUMN:
        raise _refused(package, f"its part {part} tells the width of {columns:,} columns")
    for name in _HEADERS:
        for item in root.iterfind(f"{{*}}headerFooter/{{*}}{name}"):
            if len(item.text or "") > limits.MAX_HEADER:
                raise _refused(
                    package,
                    f"its part {part} has a header or footer of {len(item.text or ''):,} "
                    f"characters; allowed are {limits.MAX_HEADER:,}",
                )


def _check_count(package: Package, part: str, count: int, allowed: int) -> None:
    if count > allowed:
        raise _refused(
            package, f"its part {part} has {count:,} elements beside cells; allowed are {allowed:,}"
        )


def _count(root: etree._Element) -> int:
    return int(str(root.xpath("count(descendant::node())")).partition(".")[0])


def _size(reference: str) -> int:
    left, top, right, bottom = range_boundaries(reference)
    if left is None or top is None or right is None or bottom is None:
        raise ValueError(reference)
    return (right - left + 1) * (bottom - top + 1)


def _refused(package: Package, allowed: str) -> InputError:
    return InputError(ARGUMENT, str(package.path), allowed)
