"""What openpyxl does not tell of a sheet's looks: parts of texts with a look of their own, and
conditional formats that newer programs keep in an extension of the sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from basinbook.workbook.file.package import open_package, sheet_parts, workbook_part
from basinbook.workbook.order.readable import Run

if TYPE_CHECKING:
    from lxml import etree


@dataclass(frozen=True)
class SheetLooks:
    """Runs by the name of their cell; ranges with a conditional format that may hide a value."""

    runs: Mapping[str, list[Run]] = field(default_factory=dict)
    conditions: tuple[str, ...] = ()


def sheet_looks(path: Path, sheet: str) -> SheetLooks:
    """Return the looks of one sheet of a workbook file; none where it has no such sheet."""
    package = open_package(path)
    part = sheet_parts(package).get(sheet)
    if part is None:
        return SheetLooks()
    root = package.xml(part)
    strings = next(
        (
            package.xml(target).findall("{*}si")
            for kind, target in package.related(workbook_part(package)).values()
            if kind == "sharedStrings" and target in package.parts
        ),
        [],
    )
    runs: dict[str, list[Run]] = defaultdict(list)
    for cell in root.iterfind("{*}sheetData/{*}row/{*}c"):
        text = cell.find("{*}is")
        index = cell.findtext("{*}v") if cell.get("t") == "s" else None
        if index is not None and index.isdecimal() and int(index) < len(strings):
            text = strings[int(index)]
        for look in text.iterfind("{*}r/{*}rPr") if text is not None else ():
            runs[cell.get("r", "")].append(_run(look))
    conditions = [
        condition.findtext("{*}sqref") or ""
        for condition in root.iterfind("{*}extLst/{*}ext/{*}conditionalFormattings/*")
        if condition.find(".//{*}dxf") is not None
        or any(drawn.get("showValue") in ("0", "false") for drawn in condition.iter())
    ]
    return SheetLooks(runs, tuple(part for ranges in conditions for part in ranges.split()))


def _run(look: etree._Element) -> Run:
    colour = look.find("{*}color")
    size = look.find("{*}sz")
    strike = look.find("{*}strike")
    return Run(
        colour=_colour(colour) if colour is not None else None,
        size=float(size.get("val", "11")) if size is not None else None,
        strike=strike is not None and strike.get("val", "1") not in ("0", "false"),
    )


def _colour(element: etree._Element) -> Any:
    from openpyxl.styles.colors import Color

    kinds = {"rgb": str, "theme": int, "indexed": int, "tint": float}
    given: dict[str, Any] = {
        name: kind(value) for name, kind in kinds.items() if (value := element.get(name))
    }
    return Color(**given)
