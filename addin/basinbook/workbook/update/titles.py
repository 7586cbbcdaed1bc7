"""Sheets that a user has called otherwise than the template: known by what stands on them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from openpyxl.utils import quote_sheetname

from basinbook.evaluation.book import Grid
from basinbook.workbook.update.side import Side

# A sheet is one of today's where it has so much of what it holds in common with it.
_ALIKE: Final = 0.5


def called_otherwise(old: Side, new: Side) -> dict[str, str]:
    """Return today's title of each sheet that has another one, of those whose own is free."""
    free = {title: _signs(new, title) for title in new.grids if title not in old.grids}
    found: dict[str, str] = {}
    for title in old.grids:
        if title in new.grids or not free:
            continue
        signs = _signs(old, title)
        today = max(free, key=lambda one: len(free[one] & signs))
        if signs and len(free[today] & signs) >= _ALIKE * len(signs):
            found[title] = today
            del free[today]
    return found


def with_titles(side: Side, titles: Mapping[str, str]) -> Side:
    """Return a workbook whose sheets have other titles, in its names and formulas too.

    Its ``book`` is changed.
    """
    if not titles:
        return side
    by_reference = {quote_sheetname(title): quote_sheetname(now) for title, now in titles.items()}
    # A plain title may stand without the marks that others need.
    by_reference |= {title: quote_sheetname(now) for title, now in titles.items()}
    spelt = "|".join(map(re.escape, sorted(by_reference, key=len, reverse=True)))
    reference = re.compile(rf"(?<![\w.'])({spelt})!")

    def put(text: str) -> str:
        return reference.sub(lambda found: f"{by_reference[found[1]]}!", text)

    for title, now in titles.items():
        side.book[title].title = now
    for defined in side.book.defined_names.values():
        defined.attr_text = put(defined.attr_text or "")
    grids = {}
    for title, grid in side.grids.items():
        formulas = {at: replace(one, text=put(one.text)) for at, one in grid.formulas.items()}
        name = titles.get(title, title)
        grids[name] = Grid(name, grid.values, formulas, grid.hidden_rows)
    return Side(side.book, grids, side.sections, side.days, side.version)


def _signs(side: Side, title: str) -> set[tuple[str, str]]:
    """Return by what a sheet is known: the names on it and its locked texts."""
    named = {("name", name) for name, area in side.areas.items() if area.sheet == title}
    return named | {
        ("text", value)
        for spot, value in side.constants(title)
        if isinstance(value, str) and not side.typed(title, spot)
    }
