"""The pieces that broke, from what is typed for them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from basinbook.engine.layout.checked_inputs import refuse
from basinbook.engine.layout.model import Course as CourseLaid
from basinbook.engine.layout.model import Piece
from basinbook.engine.spec import BasinSpec


def broken_pieces(spec: BasinSpec, courses: Sequence[CourseLaid]) -> tuple[Piece, ...]:
    """Return the pieces that broke, from their courses and numbers such as 2.14, 3.5 or 2/14.

    Raises InputError for what is no such list, for a piece that there is not, and for what may be
    another piece whose last nought a spreadsheet left out.
    """
    found = []
    parts = [part for part in re.split(r"[,;\s]+", spec.broken.strip()) if part]
    for part in parts:
        given = re.fullmatch(r"(\d{1,3})[./](\d{1,4})", part)
        if given is None:
            raise refuse(
                "broken",
                spec.broken,
                "give course and number as the drawings do, such as 2.14 or 2.14, 3.5, or blank; "
                "a spreadsheet may have made a date of 2/14: type it into a cell for text",
            )
        course, number = int(given[1]), int(given[2])
        if not 1 <= course <= len(courses):
            raise refuse("broken", part, f"there are courses 1 to {len(courses)}")
        pieces = courses[course - 1].pieces
        if not 1 <= number <= len(pieces):
            raise refuse("broken", part, f"course {course} has pieces 1 to {len(pieces)}")
        if parts == [f"{course}.{number}"] and 10 * number <= len(pieces):
            raise refuse(
                "broken",
                part,
                f"that may be piece {number} or {10 * number}; give {course}/{number} or "
                f"{course}/{10 * number}",
            )
        found.append(pieces[number - 1])
    return tuple(found)
