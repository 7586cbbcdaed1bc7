"""A picture of the feature for the client: shaded, with water, in colours of choice; no numbers."""

from __future__ import annotations

from io import BytesIO
from typing import Any, Final, NamedTuple

from basinbook.drawings.canvas import Point, Rect
from basinbook.drawings.isometric import Face, IsometricView
from basinbook.engine.errors import InputError, check_choice
from basinbook.engine.layout.model import Layout

Colour = tuple[float, float, float]
"""Red, green and blue, from 0 to 1."""

COLOURS: Final[dict[str, Colour]] = {
    "grey": (0.74, 0.74, 0.73),
    "light grey": (0.87, 0.87, 0.86),
    "dark grey": (0.52, 0.52, 0.53),
    "buff": (0.88, 0.81, 0.68),
    "tan": (0.80, 0.68, 0.53),
    "brown": (0.60, 0.47, 0.38),
    "red": (0.72, 0.47, 0.40),
    "white": (0.96, 0.95, 0.93),
}
"""Colours of block and caps by name: neutral ones, of no maker's list."""
BLOCK: Final = "grey"
CAP: Final = "light grey"


class Colours(NamedTuple):
    """Names of the colours of block and caps."""

    block: str = BLOCK
    cap: str = CAP


PLAIN: Final = Colours()

_LIGHT: Final = {"top": 1.0, "left": 0.86, "right": 0.70}
_WATER: Final[Colour] = (0.60, 0.76, 0.84)
_RIPPLE: Final[Colour] = (0.72, 0.85, 0.91)
_DARK: Final[Colour] = (0.24, 0.24, 0.25)
_GROUND: Final[Colour] = (0.89, 0.89, 0.86)
_AIR: Final[Colour] = (0.96, 0.96, 0.94)
_MARGIN: Final = 0.03
"""Ground round the feature and air round both, of its width."""
_PIXELS: Final = (200, 6000)
_DPI: Final = 100


def client_picture(
    layout: Layout,
    block: str = BLOCK,
    cap: str = CAP,
    corner: str = "front right",
    pixels: int = 1600,
) -> bytes:
    """Return a PNG picture of the feature, seen from above and from a corner.

    block, cap: names from ``COLOURS``; corner: "front right" or "back left"; pixels: width. The
    same layout and colours give the same bytes. Raises InputError for a colour that is not
    there, another corner, and a width out of range.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.collections import PolyCollection
    from matplotlib.figure import Figure

    colours = {"block": _colour("block colour", block), "cap": _colour("cap colour", cap)}
    if corner not in ("front right", "back left"):
        raise InputError("corner", corner, "allowed are front right and back left")
    if not _PIXELS[0] <= pixels <= _PIXELS[1]:
        raise InputError("pixels", pixels, f"allowed are {_PIXELS[0]} to {_PIXELS[1]}")
    view = IsometricView(layout, corner)
    ground = view.ground(view.frame.width * _MARGIN)
    frame = _room(view.frame, ground)
    width = pixels / _DPI
    figure = Figure(figsize=(width, width * frame.height / frame.width), facecolor=_AIR)
    canvas: Any = FigureCanvasAgg(figure)  # Its methods have no types.
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(frame.x0, frame.x1)
    axes.set_ylim(frame.y0, frame.y1)
    shapes: list[tuple[Point, ...]] = [ground]
    fills = [_GROUND]
    for face in view.faces:
        fill = _fill(face, colours)
        shapes.append(face.corners)
        fills.append(fill)
        if face.look == "water":
            ripples = _ripples(face.corners)
            shapes += ripples
            fills += [_RIPPLE] * len(ripples)
    lines = [_times(fill, 0.72) if fill not in (_RIPPLE, _GROUND) else fill for fill in fills]
    axes.add_collection(
        PolyCollection(
            shapes, facecolors=fills, edgecolors=lines, linewidths=pixels / 2000.0,
            joinstyle="round",
        )
    )  # fmt: skip
    stream = BytesIO()
    canvas.print_png(stream, metadata={"Software": None})
    return stream.getvalue()


def _colour(argument: str, name: str) -> Colour:
    check_choice(argument, name, COLOURS)
    return COLOURS[name]


def _room(frame: Rect, ground: tuple[Point, ...]) -> Rect:
    """Return the room of the picture: feature and ground, and air above [m]."""
    by = frame.width * _MARGIN
    xs, ys = [x for x, _ in ground], [y for _, y in ground]
    return Rect(
        min(frame.x0, *xs) - by, min(frame.y0, *ys) - by,
        max(frame.x1, *xs) + by, max(frame.y1, *ys) + by,
    )  # fmt: skip


def _fill(face: Face, colours: dict[str, Colour]) -> Colour:
    if face.look == "water":
        return _WATER
    if face.look == "opening":
        return _DARK
    return _times(colours["cap" if face.look == "cap" else "block"], _LIGHT[face.side])


def _times(colour: Colour, light: float) -> Colour:
    red, green, blue = (round(part * light, 4) for part in colour)
    return red, green, blue


def _ripples(corners: tuple[Point, ...]) -> list[tuple[Point, ...]]:
    """Return slivers of light along the water's surface, a parallelogram [m]."""
    a, b, _, d = corners
    long, deep = (b[0] - a[0], b[1] - a[1]), (d[0] - a[0], d[1] - a[1])

    def at(along: float, across: float) -> Point:
        return (
            a[0] + along * long[0] + across * deep[0],
            a[1] + along * long[1] + across * deep[1],
        )

    found = []
    for row in range(1, 12):
        across, start = row / 12.0, 0.08 + 0.37 * row % 0.55
        end = min(start + 0.16 + 0.05 * (row % 3), 0.94)
        middle = (start + end) / 2.0
        points = ((start, 0.0), (middle, -0.004), (end, 0.0), (middle, 0.004))
        found.append(tuple(at(along, across + off) for along, off in points))
    return found
