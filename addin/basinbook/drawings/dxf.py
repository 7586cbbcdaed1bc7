"""The layout as a DXF file for those who draw on: every course in true size, layers by content.

Each course is a block of its own, with its pieces at their places in the model, and is inserted
once; the courses stand beside each other in the order in which they are laid, the caps last.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from io import StringIO
from typing import TYPE_CHECKING, Final, NamedTuple

from basinbook.drawings.canvas import Point
from basinbook.drawings.pieces import extent, footprint, label, layer_name, layers, levels, of_part
from basinbook.drawings.plan import PlanView
from basinbook.drawings.plan_views import plan_views
from basinbook.drawings.sheet import NOTE, TitleBlock
from basinbook.engine.layout.model import LINTEL, WALLS, Layout, Opening, Piece
from basinbook.engine.layout.results.columns import ColumnPipe, column_pipe_of
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import INCH

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.blocklayout import BlockLayout
    from ezdxf.layouts.layout import Modelspace

# Codes of the header variables $INSUNITS (1 inches, 4 millimetres), $MEASUREMENT and $LUNITS
# (4 architectural, 2 decimal): DXF reference, section HEADER.
_UNITS: Final = {"us": (1, 0, 4), "metric": (4, 1, 2)}
_UNIT: Final = {"us": INCH, "metric": 0.001}
_VERSION: Final = "R2010"
_PLACES: Final = 6
_STYLE: Final = "BASINBOOK"
_TEXT: Final = 0.3
"""Height of numbers and dimensions, of a block's depth."""
_ROW: Final = 2.6
"""From one dimension line to the next, of the height of its text."""
_COLOURS: Final = {
    "BLOCKS": 7, "CUT": 1, "LINTELS": 3, "OPENINGS": 4, "NUMBERS": 7, "CAPS": 7, "COLUMN_CAPS": 7,
    "LINER": 5, "PIPE": 6, "DIMENSIONS": 8, "TEXT": 7,
}  # fmt: skip
"""Colours of layers by the last word of their names, as AutoCAD colour indices."""


@dataclass(frozen=True)
class Part:
    """What one block of the drawing holds: a course, a layer of one, or the caps.

    name: of the block; layer: what the names of its layers begin with.
    """

    name: str
    layer: str
    heading: str
    pieces: tuple[Piece, ...]
    openings: tuple[Opening, ...]
    view: PlanView


class _Pen(NamedTuple):
    """What all entities need: metres to the drawing's units, height of texts, liner, pipe."""

    unit: float
    text: float
    liner: bool
    pipe: ColumnPipe | None

    def at(self, x: float, y: float) -> Point:
        """Return a point of the model [m] in the drawing's units."""
        return round(x / self.unit, _PLACES), round(y / self.unit, _PLACES)


def dxf_parts(layout: Layout, system: str) -> list[Part]:
    """Return all that is drawn, each course by itself, in the order in which it is laid."""
    shown, views = levels(layout), plan_views(layout, system)
    found = []
    for course in layout.courses:
        split = layers(course.pieces)
        for index, pieces in enumerate(split):
            layer = layer_name(index, len(split))
            at = next(
                at
                for at, level in enumerate(shown)
                if course.number in level.numbers and level.layer == layer
            )
            name = f"COURSE_{course.number:02d}"
            heading = f"Course {course.number}" + (f", {layer}" if layer else "")
            block = f"{name}_LAYER_{index + 1}" if layer else name
            view = views[at]
            openings = tuple(
                one
                for one in layout.openings
                if one.course_from <= course.number <= one.course_to and of_part(pieces, one.part)
            )
            found.append(Part(block, name, heading, pieces, openings, view))
    for view in views[len(shown) :]:
        name = view.title.upper().replace(" ", "_")
        found.append(Part(name, name, view.title, view.pieces, (), view))
    return found


def layer_of(part: Part, piece: Piece) -> str:
    """Return the layer of a piece: by its course, and whether it is cut or a lintel."""
    if piece.stock == LINTEL:
        return f"{part.layer}_LINTELS"
    if not piece.whole:
        return f"{part.layer}_CUT"
    return part.layer if part.layer.endswith("CAPS") else f"{part.layer}_BLOCKS"


def outline(part: Part, piece: Piece) -> list[Point]:
    """Return the outline of a piece in plan [m], as the plans show it."""
    walls = of_part(part.pieces, *WALLS)
    return footprint(piece, extent(walls or part.pieces))


def dxf_bytes(layout: Layout, title: TitleBlock, outfit: Outfit) -> bytes:
    """Return the file. The same layout and title give the same bytes."""
    from ezdxf import options  # type: ignore[attr-defined]

    before = options.write_fixed_meta_data_for_testing
    # It would write the time of day and random identifiers otherwise.
    options.write_fixed_meta_data_for_testing = True
    try:
        document, stream = _drawn(layout, title, outfit), StringIO()
        # It would list these in the order of a set, which is another one in another process.
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        document.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return stream.getvalue().encode("utf-8", "surrogateescape")


def _drawn(layout: Layout, title: TitleBlock, outfit: Outfit) -> Drawing:
    from ezdxf.filemanagement import new

    pen = _Pen(
        _UNIT[title.system],
        round(layout.spec.block_depth * _TEXT / _UNIT[title.system], _PLACES),
        bool(outfit.liner),
        column_pipe_of(layout),
    )
    document = new(_VERSION, setup=False)
    units, measurement, lengths = _UNITS[title.system]
    document.header["$INSUNITS"] = units
    document.header["$MEASUREMENT"] = measurement
    document.header["$LUNITS"] = lengths
    _set_style(document, pen)
    page = document.modelspace()
    across, low, high = 0.0, 0.0, 0.0
    for part in dxf_parts(layout, title.system):
        box = part.view.extent
        block = document.blocks.new(part.name)
        _draw_part(document, block, part, pen)
        left = sum(1 for _ in part.view.extra.get("left", ())) * _ROW * pen.text + 4.0 * pen.text
        right = sum(1 for _ in part.view.extra.get("right", ())) * _ROW * pen.text
        x = round(across + left - box.x0 / pen.unit, _PLACES)
        page.add_blockref(part.name, (x, 0.0))
        reach = _draw_sides(document, page, part, pen, x)
        low, high = min(low, reach[0]), max(high, reach[1])
        across = x + box.x1 / pen.unit + right + 6.0 * pen.text
    _draw_title(document, page, title, pen, low)
    middle = (across / 2.0, (low + high) / 2.0)
    document.set_modelspace_vport(max(high - low, across / 2.0) * 1.1, middle)
    return document


def _set_style(document: Drawing, pen: _Pen) -> None:
    style = document.dimstyles.new(_STYLE)
    style.dxf.dimtxt = pen.text
    style.dxf.dimtsz = pen.text / 2.0
    style.dxf.dimexo = pen.text / 2.0
    style.dxf.dimexe = pen.text / 2.0
    style.dxf.dimgap = pen.text / 4.0
    style.dxf.dimtad = 1


def _layer(document: Drawing, name: str) -> str:
    if name not in document.layers:
        words = (word for word in _COLOURS if name == word or name.endswith(f"_{word}"))
        document.layers.add(name, color=_COLOURS[next(words)])
    return name


def _draw_part(document: Drawing, block: BlockLayout, part: Part, pen: _Pen) -> None:
    for piece in part.pieces:
        points = [pen.at(*point) for point in outline(part, piece)]
        layer = _layer(document, layer_of(part, piece))
        block.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})
        box = piece.box
        place = pen.at(box.x + box.dx / 2.0, box.y + box.dy / 2.0)
        _write(block, label(piece), place, pen.text, _layer(document, f"{part.layer}_NUMBERS"))
        if piece.hole and pen.pipe:
            block.add_circle(
                pen.at(pen.pipe.x, pen.pipe.y), round(piece.hole / 2.0 / pen.unit, _PLACES),
                dxfattribs={"layer": _layer(document, "PIPE")},
            )  # fmt: skip
    for opening in part.openings:
        layer = _layer(document, f"{part.layer}_OPENINGS")
        box = opening.box
        corners = _corners(pen, box.x, box.y, box.x + box.dx, box.y + box.dy)
        block.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
        place = pen.at(box.x + box.dx / 2.0, box.y + box.dy / 2.0)
        _write(block, opening.title, place, pen.text / 2.0, layer)
    inner = part.view.inside
    if pen.liner and inner and not part.layer.endswith("CAPS"):
        corners = _corners(pen, inner.x0, inner.y0, inner.x1, inner.y1)
        attributes = {"layer": _layer(document, "LINER")}
        block.add_lwpolyline(corners, close=True, dxfattribs=attributes)


def _corners(pen: _Pen, x0: float, y0: float, x1: float, y1: float) -> list[Point]:
    return [pen.at(x0, y0), pen.at(x1, y0), pen.at(x1, y1), pen.at(x0, y1)]


def _write(
    where: BlockLayout | Modelspace, text: str, place: Point, height: float, layer: str
) -> None:
    from ezdxf.enums import TextEntityAlignment

    attributes = {"layer": layer, "height": round(height, _PLACES)}
    where.add_text(text, dxfattribs=attributes).set_placement(
        place, align=TextEntityAlignment.MIDDLE_CENTER
    )


class _Side(NamedTuple):
    """A dimension line: its ends, where it stands, and its text, in the drawing's units."""

    start: Point
    end: Point
    base: Point
    angle: float
    text: str


def _draw_sides(
    document: Drawing, page: Modelspace, part: Part, pen: _Pen, x: float
) -> tuple[float, float]:
    """Draw dimensions and heading round a course; return how far they reach down and up."""
    layer = _layer(document, "DIMENSIONS")
    for side in _sides(part, pen, x):
        page.add_linear_dim(
            side.base, side.start, side.end, angle=side.angle, text=side.text,
            dimstyle=_STYLE, dxfattribs={"layer": layer},
        ).render()  # fmt: skip
    box = part.view.extent
    rows = {name: len(part.view.extra.get(name, ())) for name in ("top", "bottom")}
    top = box.y1 / pen.unit + (rows["top"] * _ROW + 4.0) * pen.text
    middle = x + (box.x0 + box.x1) / 2.0 / pen.unit
    place = round(middle, _PLACES), round(top, _PLACES)
    _write(page, part.heading, place, pen.text * 1.4, _layer(document, "TEXT"))
    low = box.y0 / pen.unit - (rows["bottom"] * _ROW + 3.0) * pen.text
    return low, top + 2.0 * pen.text


def _sides(part: Part, pen: _Pen, x: float) -> Iterator[_Side]:
    """Yield the parts of the chains of dimensions that the plan has, the same stops and texts."""
    box = part.view.extent
    for name, level, out, edge in (
        ("bottom", True, -1.0, box.y0), ("top", True, 1.0, box.y1),
        ("left", False, -1.0, box.x0), ("right", False, 1.0, box.x1),
    ):  # fmt: skip
        for row, item in enumerate(part.view.extra.get(name, ()), 1):
            off = edge / pen.unit + out * row * _ROW * pen.text + (0.0 if level else x)
            near = edge / pen.unit + (0.0 if level else x)
            stops = [stop / pen.unit + (x if level else 0.0) for stop in item.stops]
            for start, end, text in zip(stops, stops[1:], item.texts, strict=False):
                ends = [(start, near), (end, near)] if level else [(near, start), (near, end)]
                base = (start, off) if level else (off, start)
                first, last, line = (
                    (round(a, _PLACES), round(b, _PLACES)) for a, b in (*ends, base)
                )
                yield _Side(first, last, line, 0.0 if level else 90.0, text)


def _draw_title(
    document: Drawing, page: Modelspace, title: TitleBlock, pen: _Pen, low: float
) -> None:
    units = "Inches" if title.system == "us" else "Millimetres"
    words = [title.job, title.date, f"Revision {title.revision}" if title.revision else "", units]
    lines = [" – ".join(word for word in words if word), NOTE]
    layer = _layer(document, "TEXT")
    for row, line in enumerate(lines, 1):
        place = (0.0, round(low - row * 2.5 * pen.text, _PLACES))
        page.add_text(
            line, dxfattribs={"layer": layer, "height": round(pen.text * 1.4, _PLACES)}
        ).set_placement(place)
