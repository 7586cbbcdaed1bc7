"""Drawing the Drawings sheet's pictures anew after a recalculation."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Final

from basinbook.beside import beside
from basinbook.engine.errors import InputError
from basinbook.engine.layout.solver import solve
from basinbook.evaluation.evaluator import Value
from basinbook.workbook.file.package import Package, picture_parts
from basinbook.workbook.recalculation.drawing_inputs import NAMES, inputs_from
from basinbook.workbook.recalculation.named_values import NamedValues
from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import Reader, Refresher

_DPI: Final = 150
# Sets of pictures that are kept, each of half a megabyte: going back and forth between two sizes,
# or drawing one job in several workbooks, draws each set once in a process.
_MOST_KEPT: Final = 4
_kept: Final[OrderedDict[str, dict[str, bytes]]] = OrderedDict()
"""Pictures by name, of the inputs drawn last; by all that drawings follow from."""


def redraw(package: Package, values: Mapping[Key, Value]) -> dict[str, bytes]:
    """Return fresh bytes for the media parts of the pictures that carry a drawing's name.

    A refresher for ``recalculate``. A workbook without such pictures gives none, and one whose
    pictures are stamped with the same inputs gives none either. Where the inputs are not
    complete, the pictures say what is missing, since an old drawing would mislead.
    """
    from basinbook.drawings.drawing_set import page_pngs
    from basinbook.drawings.front import PICTURE, basin_png
    from basinbook.drawings.stamp import bears, drawing_key, stamped

    parts = _parts(package)
    if not parts:
        return {}
    try:
        inputs = inputs_from(NamedValues(package, values).cells)
        keys = {name: drawing_key(name, _DPI, *inputs) for name in parts}
        if all(bears(package.parts[part], keys[name]) for name, part in parts.items()):
            return {}
        text = repr(inputs)
        if text not in _kept:
            spec, title, outfit = inputs
            layout = solve(spec)
            _keep(
                text,
                page_pngs(layout, title, outfit, dpi=_DPI) | {PICTURE: basin_png(layout, _DPI)},
            )
        drawn = _kept[text]
    except InputError as error:
        # Inputs that make no layout, or one that has no room on paper.
        keys = dict.fromkeys(parts, drawing_key(str(error)))
        if all(bears(package.parts[part], keys[name]) for name, part in parts.items()):
            return {}
        drawn = dict.fromkeys(parts, _notice(str(error)))
    return {part: stamped(drawn[name], keys[name]) for name, part in parts.items()}


@contextmanager
def redrawing(package: Package, read: Reader) -> Iterator[Refresher]:
    """Begin the same for ``recalculate`` early, beside the evaluation of the formulas."""
    if not _parts(package):
        yield redraw
        return

    def work() -> tuple[str, dict[str, bytes], dict[str, bytes] | None]:
        values = read(NAMES)
        text, fresh = _inputs_text(package, values), redraw(package, values)
        return text, fresh, _kept.get(text)

    with beside(work) as result:

        def refresh(package: Package, values: Mapping[Key, Value]) -> dict[str, bytes]:
            drawn = result()
            # All formulas may give another value than a few of them, such as one of the clock.
            if drawn is None or drawn[0] != _inputs_text(package, values):
                return redraw(package, values)
            text, fresh, pictures = drawn
            if pictures is not None:
                _keep(text, pictures)
            return fresh

        yield refresh


def _keep(text: str, pictures: dict[str, bytes]) -> None:
    _kept[text] = pictures
    _kept.move_to_end(text)
    while len(_kept) > _MOST_KEPT:
        _kept.popitem(last=False)


def _parts(package: Package) -> dict[str, str]:
    """Return the media parts of the pictures that carry a drawing's name."""
    from basinbook.drawings.drawing_set import PICTURES
    from basinbook.drawings.front import PICTURE

    return {
        name: part
        for name, part in picture_parts(package).items()
        if name in (*PICTURES, PICTURE) and part.lower().endswith(".png") and part in package.parts
    }


def _inputs_text(package: Package, values: Mapping[Key, Value]) -> str:
    """Return all that the drawings follow from as a text, to tell it from others."""
    try:
        return repr(inputs_from(NamedValues(package, values).cells))
    except InputError as error:
        return str(error)


def _notice(message: str) -> bytes:
    """A page that says why there is no drawing."""
    from matplotlib.figure import Figure

    from basinbook.drawings.drawing_set import page_png

    figure = Figure(figsize=(11, 8.5))
    figure.text(
        0.5, 0.6, f"No drawing yet.\n\n{message}", ha="center", va="center", wrap=True, fontsize=14
    )
    return page_png(figure, 50)
