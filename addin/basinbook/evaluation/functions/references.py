"""Functions of references themselves: their places and sizes, and making others of them."""

from __future__ import annotations

from typing import Final

from openpyxl.utils.cell import get_column_letter

from basinbook.evaluation import areas
from basinbook.evaluation.areas import MAX_COLUMN, MAX_ROW, Area, Reference
from basinbook.evaluation.book import NotComputed
from basinbook.evaluation.budget import spend
from basinbook.evaluation.here import Here
from basinbook.evaluation.run import Run
from basinbook.evaluation.standard import TABLE, standard
from basinbook.evaluation.values import (
    REF,
    VALUE,
    Fault,
    Given,
    Rows,
    as_rows,
    flat,
)

_SUBTOTALS: Final = {
    1: "AVERAGE", 2: "COUNT", 3: "COUNTA", 4: "MAX", 5: "MIN", 6: "PRODUCT", 7: "STDEV",
    8: "STDEVP", 9: "SUM", 10: "VAR", 11: "VARP",
}  # fmt: skip


def _own(here: Here) -> Reference:
    return Reference((Area(here.sheet, here.row, here.column, here.row, here.column),))


def _only(argument: Given | Reference) -> Area:
    area = argument.only if isinstance(argument, Reference) else None
    if area is None:
        raise Fault(VALUE)
    return area


@standard("ROW", "|a", needs_place=True)
def _row(run: Run, here: Here, argument: Given | Reference | None = None) -> Given:
    area = _only(_own(here) if argument is None else argument)
    last = run.clipped(area).bottom if here.is_array else area.top
    spend(last - area.top)
    rows: Rows = [[row] for row in range(area.top, last + 1)]
    return rows if len(rows) > 1 else area.top


@standard("COLUMN", "|a", needs_place=True)
def _column(run: Run, here: Here, argument: Given | Reference | None = None) -> Given:
    area = _only(_own(here) if argument is None else argument)
    last = run.clipped(area).right if here.is_array else area.left
    columns: Rows = [list(range(area.left, last + 1))]
    return columns if len(columns[0]) > 1 else area.left


@standard("ROWS", "a")
def _rows(argument: Given | Reference) -> int:
    return _only(argument).height if isinstance(argument, Reference) else len(as_rows(argument))


@standard("COLUMNS", "a")
def _columns(argument: Given | Reference) -> int:
    return _only(argument).width if isinstance(argument, Reference) else len(as_rows(argument)[0])


@standard("AREAS", "a")
def _areas(argument: Given | Reference) -> int:
    if not isinstance(argument, Reference):
        raise Fault(VALUE)
    return len(argument.areas)


@standard("INDEX", "a|NN", needs_place=True)
def _index(
    run: Run,
    _: Here,
    argument: Given | Reference,
    row: float | None = None,
    column: float | None = None,
) -> Given | Reference:
    """INDEX of one range is a reference, for which the range is not read."""
    if isinstance(argument, Reference) and argument.only is None:
        raise NotComputed("the function INDEX meets several ranges")
    if isinstance(argument, Reference):
        area = run.clipped(argument.areas[0])
    else:
        given = as_rows(argument)
        area = Area(None, 1, 1, len(given), len(given[0]))
    down, right = int(row or 0), int(column or 0)
    if column is None:
        if area.height == 1:
            down, right = 1, down
        else:
            right = 1 if area.width == 1 else 0
    if down < 0 or right < 0:
        raise Fault(VALUE)
    found = areas.picked(
        argument.areas[0] if isinstance(argument, Reference) else area, down, right
    )
    if found is None:
        raise Fault(REF)
    if isinstance(argument, Reference):
        return Reference((found,))
    rows = [line[found.left - 1 : found.right] for line in given[found.top - 1 : found.bottom]]
    return rows[0][0] if found.size == 1 else rows


@standard("OFFSET", "aww|WW")
def _offset(
    argument: Given | Reference,
    down: int,
    right: int,
    height: int | None = None,
    width: int | None = None,
) -> Reference:
    area = _only(argument)
    found = areas.moved(
        area,
        down,
        right,
        area.height if height is None else height,
        area.width if width is None else width,
    )
    if found is None:
        raise Fault(REF)
    return Reference((found,))


@standard("INDIRECT", "v", needs_place=True)
def _indirect(run: Run, here: Here, text: object) -> Given | Reference:
    if not isinstance(text, str):
        raise NotComputed("the function INDIRECT can't be computed with these arguments")
    return run.referred(text, here)


@standard("ADDRESS", "ww|WBT")
def _address(
    row: int, column: int, kind: int | None = None, a1: bool | None = None, sheet: str | None = None
) -> str:
    kind = 1 if kind is None else kind
    if not (1 <= row <= MAX_ROW and 1 <= column <= MAX_COLUMN and 1 <= kind <= 4) or a1 is False:
        raise Fault(VALUE)
    row_sign, column_sign = "$" * (kind < 3), "$" * (kind in (1, 3))
    place = f"{column_sign}{get_column_letter(column)}{row_sign}{row}"
    if not sheet:
        return place
    plain = sheet.replace("'", "''")
    return f"{sheet if sheet.isidentifier() else chr(39) + plain + chr(39)}!{place}"


@standard("SUBTOTAL", "w|a*", needs_place=True)
def _subtotal(run: Run, _: Here, code: int, *arguments: Given | Reference) -> Given:
    """SUBTOTAL: other subtotals in the range are left out of it."""
    if code % 100 not in _SUBTOTALS or not 0 < code <= 111:
        raise Fault(VALUE)
    tables: list[Rows] = []
    for argument in arguments:
        for area in argument.areas if isinstance(argument, Reference) else ():
            clipped = run.clipped(area, trim=True)
            grid = run.book.grids[clipped.sheet or ""]
            if any(clipped.top <= row <= clipped.bottom for row in grid.hidden_rows):
                raise NotComputed("the function SUBTOTAL meets hidden rows")
            table = [list(row) for row in run.rows(Reference((clipped,)))]
            spend(len(grid.formulas))
            for (row, column), formula in grid.formulas.items():
                inside = clipped.top <= row <= clipped.bottom
                if (
                    inside
                    and clipped.left <= column <= clipped.right
                    and "SUBTOTAL(" in formula.text.upper()
                ):
                    table[row - clipped.top][column - clipped.left] = None
            tables.append(table)
    found: Given = TABLE[_SUBTOTALS[code % 100]].compute(*tables)
    return found


@standard("COUNTBLANK", "a", needs_place=True)
def _count_blank(run: Run, _: Here, argument: Given | Reference) -> int:
    if isinstance(argument, Reference) and any(area.is_open for area in argument.areas):
        raise NotComputed("it counts the blanks of whole columns or rows")
    given: Given = run.rows(argument) if isinstance(argument, Reference) else argument
    return sum(value is None or value == "" for value in flat(given))


@standard("SINGLE", "a", needs_place=True)
def _single(run: Run, here: Here, argument: Given | Reference) -> Given | Reference:
    return run.facing(argument, here)


@standard("ANCHORARRAY", "a", needs_place=True)
def _spilled(run: Run, _: Here, argument: Given | Reference) -> Given | Reference:
    return run.spilled(argument)


@standard("HYPERLINK", "v|v")
def _hyperlink(target: object, shown: object = None) -> object:
    return target if shown is None else shown
