"""Colours of the sheets: text stands off its ground, cells to type in off the page, in grey too.

W3C Recommendation "Web Content Accessibility Guidelines (WCAG) 2.2": success criteria 1.4.3
(contrast of text, 4.5 to 1, of large text 3 to 1), 1.4.11 (of what shows that a cell is typed in,
3 to 1), 1.4.1 (colour is never the only sign), 1.1.1 (text for pictures); contrast ratio and
relative luminance as its glossary defines them. The ratio hangs on luminance alone, so that what
keeps it is told apart on a grey print too.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.workbook import Workbook

from basinbook.workbook.file.package import open_package, sheet_parts
from basinbook.workbook.template import style

TEXT, LARGE, PART = 4.5, 3.0, 3.0
WHITE = "FFFFFF"


def luminance(colour: str) -> float:
    """The relative luminance of an sRGB colour, by the glossary of WCAG 2.2."""
    channels = (int(colour[at : at + 2], 16) / 255 for at in (0, 2, 4))
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def ratio(one: str, other: str) -> float:
    """The contrast ratio of two colours, by the same glossary."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_ratio_is_that_of_the_guidelines() -> None:
    # Black on white is 21 to 1 by the definition; #767676 is the lightest grey that passes on
    # white, a figure of W3C's "Understanding SC 1.4.3", from memory.
    assert ratio("000000", WHITE) == pytest.approx(21.0)
    assert ratio("767676", WHITE) >= TEXT > ratio("777777", WHITE)


def ground(fill: Any) -> str:
    return str(fill.start_color.rgb)[-6:] if fill is not None and fill.fill_type == "solid" else ""


def ink(font: Any) -> str:
    colour = font.color if font is not None else None
    return str(colour.rgb)[-6:] if colour is not None and isinstance(colour.rgb, str) else ""


def pairs(book: Workbook) -> Iterator[tuple[str, str, str, bool]]:
    """Where, colour of the text, of its ground, and whether the text is large."""
    for sheet in book.worksheets:
        if sheet.sheet_state != "visible":
            continue
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is None and cell.protection.locked:
                    continue
                large = cell.font.size >= 18 or (cell.font.bold and cell.font.size >= 14)
                yield (
                    f"{sheet.title}!{cell.coordinate}",
                    ink(cell.font) or "000000",
                    (ground(cell.fill) or WHITE),
                    large,
                )
        for area in sheet.conditional_formatting:
            first = sheet[str(area.sqref).split()[0].partition(":")[0]]
            for rule in area.rules:
                look = rule.dxf
                own = ground_of_rule(look.fill) or ground(first.fill) or WHITE
                where = f"{sheet.title}!{area.sqref}, {rule.formula}"
                yield where, ink(look.font) or ink(first.font) or "000000", own, False
                # A colour alone says nothing: letters are bold or italic too, or a text comes
                # with its ground.
                font = look.font
                assert font is None or font.b or font.i, where


def ground_of_rule(fill: Any) -> str:
    """The ground of a conditional look, which programs take from the end colour."""
    return str(fill.end_color.rgb)[-6:] if fill is not None and fill.fill_type else ""


def test_text_stands_off_its_ground(blanks: dict[str, Path]) -> None:
    seen = set()
    for where, text, back, large in pairs(openpyxl.load_workbook(blanks["us"])):
        seen.add((text, back))
        assert ratio(text, back) >= (LARGE if large else TEXT), (where, text, back)
    assert len(seen) > 8


def test_cells_to_type_in_stand_off_page_and_results_by_their_edge() -> None:
    """Their ground is pale, and grey prints do not show it: the edge tells them."""
    for role in (style.INPUT, style.INPUT_TEXT):
        assert role.border is not None
        for side in (role.border.left, role.border.right, role.border.top, role.border.bottom):
            edge = str(side.color.rgb)[-6:]
            assert ratio(edge, WHITE) >= PART
            assert ratio(edge, ground(role.fill)) >= PART
    for role in (style.RESULT, style.RESULT_TEXT, style.BOX):
        assert role.border is not None
        assert ratio(str(role.border.left.color.rgb)[-6:], WHITE) < PART


def test_pictures_have_a_text_and_the_front_sheet_reads_downwards(blanks: dict[str, Path]) -> None:
    package = open_package(blanks["us"])
    told = 0
    for part in sheet_parts(package).values():
        for kind, target in package.related(part).values():
            if kind == "drawing":
                for found in package.xml(target).iter("{*}pic"):
                    (about,) = found.iter("{*}cNvPr")
                    told += 1
                    assert about.get("descr"), target
    assert told == 7
    front = openpyxl.load_workbook(blanks["us"]).worksheets[0]
    labels = [str(cell.value or "") for cell in front["A"]]
    order = ("Raised basin", "The job in ten cells", "What comes out", "Findings")
    assert [labels.index(text) for text in order] == sorted(labels.index(text) for text in order)
    # Cells are merged along a row alone, so that a reader meets each row's parts from the left.
    assert all(area.min_row == area.max_row for area in front.merged_cells.ranges)
