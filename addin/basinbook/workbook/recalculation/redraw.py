"""Drawing the Drawings sheet's pictures anew after a recalculation."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from openpyxl.utils.cell import get_column_letter
from openpyxl.utils.datetime import from_excel

from basinbook.catalogue.model import CellError
from basinbook.engine.errors import InputError
from basinbook.engine.layout.solver import solve
from basinbook.evaluation.evaluator import Value
from basinbook.workbook.file.open_workbook import Cells, named_area
from basinbook.workbook.file.package import Package, picture_parts, workbook_part
from basinbook.workbook.recalculation.recalc import Key

_DPI: Final = 150
_DATES: Final = ("Job_date",)


def redraw(package: Package, values: Mapping[Key, Value]) -> dict[str, bytes]:
    """Return fresh bytes for the media parts of the pictures that carry a drawing's name.

    A refresher for ``recalculate``. A workbook without such pictures gives none, and one whose
    pictures are stamped with the same inputs gives none either. Where the inputs are not
    complete, the pictures say what is missing, since an old drawing would mislead.
    """
    from basinbook.drawings.drawing_set import PICTURES, page_pngs
    from basinbook.drawings.stamp import bears, drawing_key, stamped
    from basinbook.workbook.recalculation.drawing_inputs import inputs_from

    parts = {
        name: part
        for name, part in picture_parts(package).items()
        if name in PICTURES and part.lower().endswith(".png") and part in package.parts
    }
    if not parts:
        return {}
    cells = _reader(package, values)
    try:
        metric = cells("Units") == (("metric",),)
        inputs = inputs_from(cells, "a4" if metric else "letter")
        keys = {name: drawing_key(name, _DPI, *inputs) for name in parts}
        if all(bears(package.parts[part], keys[name]) for name, part in parts.items()):
            return {}
        spec, title, outfit = inputs
        drawn = page_pngs(solve(spec), title, outfit, dpi=_DPI)
    except InputError as error:
        # Inputs that make no layout, or one that has no room on paper.
        keys = dict.fromkeys(parts, drawing_key(str(error)))
        if all(bears(package.parts[part], keys[name]) for name, part in parts.items()):
            return {}
        drawn = dict.fromkeys(parts, _notice(str(error)))
    return {part: stamped(drawn[name], keys[name]) for name, part in parts.items()}


def _reader(package: Package, values: Mapping[Key, Value]) -> Callable[[str], Cells]:
    root = package.xml(workbook_part(package))
    names = {
        item.get("name", ""): item.text or ""
        for item in root.iterfind("{*}definedNames/{*}definedName")
    }

    def cells(name: str) -> Cells:
        sheet, _, area = names.get(name, "").rpartition("!")
        if not sheet or "#REF" in area:
            return ()
        left, top, right, bottom = named_area(name, area)
        sheet = sheet.strip("'").replace("''", "'")
        return tuple(
            tuple(
                _plain(name, values.get((sheet, f"{get_column_letter(column)}{row}")))
                for column in range(left, right + 1)
            )
            for row in range(top, bottom + 1)
        )

    return cells


def _plain(name: str, value: Value) -> object:
    if isinstance(value, CellError):
        return value.text
    if name in _DATES and isinstance(value, (int, float)) and value > 0:
        return from_excel(value)
    return value


def _notice(message: str) -> bytes:
    """A page that says why there is no drawing."""
    from matplotlib.figure import Figure

    from basinbook.drawings.drawing_set import page_png

    figure = Figure(figsize=(11, 8.5))
    figure.text(
        0.5, 0.6, f"No drawing yet.\n\n{message}", ha="center", va="center", wrap=True, fontsize=14
    )
    return page_png(figure, 50)
