"""Cells of a workbook that is read, with other values for a while."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from typing import Any

from openpyxl.workbook import Workbook

from workbook.places import place


def cell(book: Workbook, name: str) -> Any:
    """The first cell of a defined name."""
    sheet, at = place(book, name)
    return book[sheet][at.partition(":")[0]]


@contextlib.contextmanager
def changed(book: Workbook, values: Mapping[str, object]) -> Iterator[Workbook]:
    """Give cells other values by name, and theirs back at the end; text stays text."""
    before = {name: (cell(book, name).value, cell(book, name).data_type) for name in values}
    try:
        for name, value in values.items():
            cell(book, name)._value = value
            cell(book, name).data_type = "s" if isinstance(value, str) else "n"
        yield book
    finally:
        for name, (value, kind) in before.items():
            cell(book, name)._value = value
            cell(book, name).data_type = kind
