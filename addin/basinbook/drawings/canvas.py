"""A page to draw on in millimetres of paper, and the room that its texts take."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from basinbook.drawings import style

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure
    from matplotlib.font_manager import FontProperties

MM_PER_INCH: Final = 25.4
MM_PER_POINT: Final = MM_PER_INCH / 72.0
Point = tuple[float, float]
"""A place on paper [mm] or in a drawing [m]."""


class Size(NamedTuple):
    """Width and height on paper [mm]."""

    width: float
    height: float


PAPERS: Final = {
    "letter": Size(11.0 * MM_PER_INCH, 8.5 * MM_PER_INCH),
    "a4": Size(297.0, 210.0),
    "tabloid": Size(17.0 * MM_PER_INCH, 11.0 * MM_PER_INCH),
    "a3": Size(420.0, 297.0),
}
"""The papers, landscape: ANSI/ASME Y14.1 sizes A and B, ISO 216 A4 and A3."""


class Rect(NamedTuple):
    """A rectangle on paper [mm]."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """Its width [mm]."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Its height [mm]."""
        return self.y1 - self.y0

    def meets(self, other: Rect, gap: float = 0.0) -> bool:
        """Whether the two are nearer to each other than ``gap`` [mm]."""
        return (
            self.x0 < other.x1 + gap
            and other.x0 < self.x1 + gap
            and self.y0 < other.y1 + gap
            and other.y0 < self.y1 + gap
        )

    def holds(self, other: Rect) -> bool:
        """Whether the other lies within this one."""
        return (
            self.x0 <= other.x0
            and self.y0 <= other.y0
            and self.x1 >= other.x1
            and self.y1 >= other.y1
        )


@lru_cache(maxsize=4096)
def text_size(text: str, size: float = style.SMALL, bold: bool = False) -> Size:
    """Return the room that a line of text of ``size`` [pt] takes."""
    from matplotlib.textpath import text_to_path

    font = _font(size, bold)
    width, _, _ = text_to_path.get_text_width_height_descent(text, font, ismath=False)
    return Size(width * MM_PER_POINT, _text_height(size, bold))


@cache
def _text_height(size: float, bold: bool) -> float:
    from matplotlib.textpath import text_to_path

    _, height, _ = text_to_path.get_text_width_height_descent("lp", _font(size, bold), ismath=False)
    return height * MM_PER_POINT


@cache
def _font(size: float, bold: bool) -> FontProperties:
    from matplotlib.font_manager import FontProperties

    return FontProperties(family="sans-serif", size=size, weight="bold" if bold else "normal")


def text_rect(
    x: float,
    y: float,
    text: str,
    size: float = style.SMALL,
    across: str = "center",
    up: str = "center",
    rotation: float = 0.0,
    bold: bool = False,
) -> Rect:
    """Return the room [mm] that a line of text takes; rotation is 0 or 90 degrees."""
    width, height = text_size(text, size, bold)
    if rotation:
        width, height = height, width
    left = x - width * {"left": 0.0, "center": 0.5, "right": 1.0}[across]
    low = y - height * {"bottom": 0.0, "center": 0.5, "top": 1.0}[up]
    return Rect(left, low, left + width, low + height)


class Canvas:
    """One page; origin at the bottom left corner, lengths in mm of paper.

    What is drawn later lies on top. ``taken`` is the room that texts have, ``blocked`` the room
    that free labels keep out of besides; ``left_out`` counts labels that found no room.
    """

    def __init__(self, paper: str) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure
        from matplotlib.transforms import Affine2D

        self.width, self.height = PAPERS[paper]
        self.figure: Figure = Figure(
            figsize=(self.width / MM_PER_INCH, self.height / MM_PER_INCH), facecolor="white"
        )
        FigureCanvasAgg(self.figure)
        # Artists stand on the figure itself: axes would cost more time than all that is drawn.
        self._to_inches = Affine2D().scale(1.0 / MM_PER_INCH)
        self._to_page = self._to_inches + self.figure.dpi_scale_trans
        self.taken: list[Rect] = []
        self.blocked: list[Rect] = []
        self.left_out = 0
        self._order = 0

    def _next(self) -> int:
        self._order += 1
        return self._order

    def _add(self, artist: Artist) -> None:
        artist.set_transform(self._to_page)
        self.figure.add_artist(artist)

    def line(
        self,
        points: Sequence[Point],
        weight: float = style.THIN,
        dashes: tuple[float, ...] | None = None,
        tone: float = 0.0,
    ) -> None:
        """Draw a line through points."""
        from matplotlib.lines import Line2D

        self._add(
            Line2D(
                [x for x, _ in points],
                [y for _, y in points],
                linewidth=weight,
                color=str(tone),
                linestyle=(0, dashes) if dashes else "-",
                solid_capstyle="butt",
                dash_capstyle="butt",
                solid_joinstyle="miter",
                zorder=self._next(),
            )
        )

    def polygon(
        self,
        points: Sequence[Point],
        fill: float | None = style.WHITE,
        weight: float = style.THIN,
        hatch: str | None = None,
        hatch_tone: float = style.FAINT,
        edge_tone: float = 0.0,
        dashes: tuple[float, ...] | None = None,
        name: str | None = None,
    ) -> None:
        """Draw a closed shape; ``name`` becomes its identifier in an SVG."""
        tone = "none" if fill is None else str(fill)
        if hatch:
            # The hatch takes the colour of the edge, so the outline is drawn by itself.
            self._add_polygon(points, facecolor=tone, edgecolor=str(hatch_tone), linewidth=0.0,
                              hatch=hatch)  # fmt: skip
            tone = "none"
        outline: dict[str, Any] = {"edgecolor": "none", "linewidth": 0.0}
        if weight:
            outline = {
                "edgecolor": str(edge_tone),
                "linewidth": weight,
                "linestyle": (0, dashes) if dashes else "-",
                "joinstyle": "miter",
            }
        if weight or name or not hatch:
            self._add_polygon(points, facecolor=tone, gid=name, **outline)

    def _add_polygon(self, points: Sequence[Point], **look: Any) -> None:
        from matplotlib.patches import Polygon

        self._add(Polygon(list(points), closed=True, zorder=self._next(), **look))

    def rectangle(self, rect: Rect, **look: object) -> None:
        """Draw a rectangle; ``look`` as for ``polygon``."""
        self.polygon(
            [(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)],
            **look,  # type: ignore[arg-type]
        )

    def dot(self, x: float, y: float, radius: float = 0.45) -> None:
        """Draw a filled dot of ``radius`` [mm]."""
        from matplotlib.patches import Circle

        self._add(Circle((x, y), radius, facecolor="black", edgecolor="none", zorder=self._next()))

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float = style.SMALL,
        across: str = "center",
        up: str = "center",
        rotation: float = 0.0,
        bold: bool = False,
        tone: float = 0.0,
        ground: float | None = None,
    ) -> Rect:
        """Write a line of text and return the room it takes; ``ground`` is a tone behind it."""
        rect = text_rect(x, y, text, size, across, up, rotation, bold)
        if ground is not None:
            self.rectangle(_ground(rect, rotation), fill=ground, weight=0.0)
        self.figure.text(
            x,
            y,
            text,
            fontproperties=_font(size, bold),
            ha=across,
            va=up,
            rotation=rotation,
            color=str(tone),
            zorder=self._next(),
            transform=self._to_page,
            parse_math=False,
        )
        self.taken.append(rect)
        return rect

    def is_clear(self, rect: Rect) -> bool:
        """Whether a text in ``rect`` would touch no other text, its room above letters apart."""
        return not any(rect.meets(other, -0.2) for other in self.taken)

    def is_free(self, rect: Rect, gap: float = 0.4, also: Iterable[Rect] = ()) -> bool:
        """Whether a text could stand in ``rect`` without touching text or blocked room."""
        return not any(rect.meets(other, gap) for other in (*self.taken, *self.blocked, *also))


def _ground(rect: Rect, rotation: float) -> Rect:
    """Return the room of a text's letters alone, without what ascends and descends."""
    trim_x, trim_y = (0.35, -0.15) if rotation else (-0.15, 0.35)
    return Rect(rect.x0 + trim_x, rect.y0 + trim_y, rect.x1 - trim_x, rect.y1 - trim_y)
