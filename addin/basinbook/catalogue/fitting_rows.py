"""Bringing a table to the number of rows that a sheet has room for."""

from __future__ import annotations

from collections.abc import Sequence

from basinbook.catalogue.model import Argument, count

ROWS: Argument = count(
    "rows", "Rows to fill; blank for as many as there are", 1, 2000, default=None
)


def fitted(
    table: Sequence[Sequence[object]], rows: int | None, width: int, *, note_column: int = 0
) -> list[Sequence[object]]:
    """Return the table in exactly ``rows`` rows: padded with blanks, or with a note of the rest.

    width: columns of the table; note_column: where the note stands. None leaves it as it is.
    """
    if rows is None:
        return list(table)
    if len(table) > rows:
        rest: list[object] = [""] * width
        rest[note_column] = f"{len(table) - rows + 1} more rows: make room"
        return [*table[: rows - 1], rest]
    return [*table, *[[""] * width] * (rows - len(table))]
