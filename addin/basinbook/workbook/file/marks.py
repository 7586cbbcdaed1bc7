"""Marking the cells whose old value was kept, and taking the marks away again.

A mark is a conditional format of the sheet: the cell's own style stays as it is, the mark moves
with the cell when rows are inserted, and it outlives saving in a spreadsheet program. Its rule
says what it means. Only where there is something to mark does the styles part get one more
differential format (ECMA-376 part 1, 18.3.1.18 and 18.8.15).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from lxml import etree

from basinbook.workbook.file.cells import SheetCells

RULE: Final = 'ISTEXT("basinbook: old value, not recalculated")'

# Elements of a sheet that stand before its conditional formats (ECMA-376 part 1, 18.3.1.99).
_BEFORE: Final = frozenset(
    {
        "sheetPr", "dimension", "sheetViews", "sheetFormatPr", "cols", "sheetData", "sheetCalcPr",
        "sheetProtection", "protectedRanges", "scenarios", "autoFilter", "sortState",
        "dataConsolidate", "customSheetViews", "mergeCells", "phoneticPr",
        "conditionalFormatting",
    }
)  # fmt: skip
# Struck through, so that it shows in a black-and-white print too.
_FORMAT: Final = (
    '<dxf xmlns="{namespace}"><font><strike/><color rgb="FF9C0006"/></font><fill>'
    '<patternFill patternType="solid"><fgColor rgb="FFFFC7CE"/><bgColor rgb="FFFFC7CE"/>'
    "</patternFill></fill></dxf>"
)


def marked(sheet: SheetCells) -> tuple[str, ...]:
    """Return the ranges that carry the mark."""
    return tuple(
        reference
        for rule in _rules(sheet.root)
        if (parent := rule.getparent()) is not None
        for reference in parent.get("sqref", "").split()
    )


def set_marks(sheet: SheetCells, ranges: Sequence[str], styles: etree._Element) -> bool:
    """Make ``ranges`` the sheet's marked ranges; return whether ``styles`` was changed."""
    if set(marked(sheet)) == set(ranges):
        return False
    for rule in _rules(sheet.root):
        formats = rule.getparent()
        assert formats is not None
        formats.remove(rule)
        if not len(formats):
            sheet.root.remove(formats)
    sheet.changed = True
    if not ranges:
        return False
    index, styles_changed = _format_index(styles)
    namespace = str(sheet.root.tag).partition("}")[0] + "}"
    priorities = [int(r.get("priority", 0)) for r in sheet.root.iter(f"{namespace}cfRule")]
    formats = etree.Element(f"{namespace}conditionalFormatting", sqref=" ".join(ranges))
    rule = etree.SubElement(
        formats,
        f"{namespace}cfRule",
        type="expression",
        dxfId=str(index),
        priority=str(max(priorities, default=0) + 1),
    )
    etree.SubElement(rule, f"{namespace}formula").text = RULE
    before = [child for child in sheet.root if _local(child) in _BEFORE]
    sheet.root.insert(sheet.root.index(before[-1]) + 1, formats)
    return styles_changed


def _rules(root: etree._Element) -> list[etree._Element]:
    return [
        rule
        for rule in root.iterfind("{*}conditionalFormatting/{*}cfRule")
        if any(formula.text == RULE for formula in rule.iterfind("{*}formula"))
    ]


def _format_index(styles: etree._Element) -> tuple[int, bool]:
    """Return the index of the mark's format in the styles part, and whether it had to be added."""
    namespace = str(styles.tag)[1:].partition("}")[0]
    wanted = etree.fromstring(_FORMAT.format(namespace=namespace))
    formats = styles.find(f"{{{namespace}}}dxfs")
    if formats is None:
        formats = etree.Element(f"{{{namespace}}}dxfs", count="0")
        after = [child for child in styles if _local(child) in ("tableStyles", "colors", "extLst")]
        if after:
            after[0].addprevious(formats)
        else:
            styles.append(formats)
    for index, present in enumerate(formats):
        if _shape(present) == _shape(wanted):
            return index, False
    formats.append(wanted)
    formats.set("count", str(len(formats)))
    return len(formats) - 1, True


def _shape(element: etree._Element) -> object:
    return (
        _local(element),
        sorted((str(key), str(value)) for key, value in element.attrib.items()),
        [_shape(child) for child in element],
    )


def _local(element: etree._Element) -> str:
    return str(element.tag).rpartition("}")[2]
