"""What a layout is made of. Lengths in metres.

Axes: the origin is the outside front left corner of the flat-laid basin wall, at the top of the
base; x runs to the right along the front, y to the back, z up.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from basinbook.engine.spec import BasinSpec
from basinbook.engine.spec_openings import ACCESS, PIPE, opening_name

WALLS = ("front", "right", "back", "left")
LINTEL = "lintel"
FLAT, ON_EDGE, TURNED, TURNED_ON_EDGE = "flat", "on edge", "turned", "turned on edge"
ON_END = "on end"


class Box(NamedTuple):
    """An axis-parallel box: its least corner and its size [m]."""

    x: float
    y: float
    z: float
    dx: float
    dy: float
    dz: float


class Piece(NamedTuple):
    """One block, cut block or cap in its place.

    number: place in the laying order of its course, from 1 (front centre first, round to the
    back, the back wall measured in last). part: "front", "right", "back", "left",
    "second wall", "left return", "right return", "column 1".. for blocks; the same for caps.
    stock: "block", "lintel", "cap" or "column cap". orientation: "flat", "on edge", or of a whole
    block laid across the wall "turned" or "turned on edge"; "on end" in columns only.
    length: along the wall [m], of a mitred cap its long edge; mitres: ends of a cap cut at 45
    degrees (0, 1 or 2).
    loose: stays unglued until what goes through an opening below it, or the column that it belongs
    to, is fitted; service: for good, to be lifted off. hole: diameter of the pipe that it is cut
    round [m], 0 for none.
    """

    number: int
    course: int
    part: str
    stock: str
    orientation: str
    box: Box
    length: float
    whole: bool
    corner: bool = False
    mitres: int = 0
    loose: bool = False
    hole: float = 0.0
    service: bool = False

    @property
    def name(self) -> str:
        """What papers and messages call it: its course and number, such as 2.14."""
        return f"{self.course}.{self.number}"

    @property
    def turned(self) -> bool:
        """Whether it lies across its wall."""
        return self.orientation in (TURNED, TURNED_ON_EDGE)

    @property
    def shorter(self) -> float:
        """By how much a piece of a wall that is laid stands shorter than it was set out [m]."""
        along = {"right": self.box.dy, "left": self.box.dy}.get(self.part, self.box.dx)
        return max(0.0, self.length - along)

    @property
    def in_wall(self) -> Box:
        """What lies in its wall [m]: its box, but of a turned block not what reaches past.

        A turned block is as deep in the wall as it is long along it; it reaches into the pipe
        space, so past the far face of the back wall and the near one of the second wall.
        """
        box = self.box
        if not self.turned:
            return box
        past = 0.0 if self.part == "back" else box.dy - self.length
        return box._replace(y=box.y + past, dy=self.length)

    @property
    def short_edge(self) -> float:
        """Length of its shorter long side [m]: a mitre takes the cap's depth away there."""
        if not self.mitres:
            return self.length
        depth = self.box.dy if self.part in ("front", "back") else self.box.dx
        return self.length - self.mitres * depth

    @property
    def middle_length(self) -> float:
        """Length along its middle [m]: its area in plan over its width, mitred or not."""
        return (self.length + self.short_edge) / 2.0


@dataclass(frozen=True)
class Course:
    """One course: its number from the base, height of its bed z [m], height [m] and pieces."""

    number: int
    z: float
    height: float
    pieces: tuple[Piece, ...]


class Stock(NamedTuple):
    """One whole block or cap that pieces are cut from; lengths and offcut in metres."""

    number: int
    stock: str
    lengths: tuple[float, ...]
    offcut: float


@dataclass(frozen=True)
class CutPlan:
    """Which piece is cut from which whole block (saw kerf counted), the fewest blocks possible."""

    stock: str
    whole: int
    cut_pieces: int
    saw_cuts: int
    different_lengths: int
    bars: tuple[Stock, ...]
    breakage: float

    @property
    def needed(self) -> int:
        """Whole blocks laid and cut up, without breakage."""
        return self.whole + len(self.bars)


@dataclass(frozen=True)
class Opening:
    """A gap left in a wall: pipe opening, access gap or another.

    number: as in ``spec_openings``. use: what goes through, as typed. over: "block" or "lintel"
    that bridges it, or "" where no course lies over it. rows: courses of its wall that it is
    high. lintel: its name as typed; lintel_length [m].
    """

    part: str
    course_from: int
    course_to: int
    box: Box
    number: int
    use: str
    over: str
    rows: int = 1
    lintel: str = ""
    lintel_length: float = 0.0

    @property
    def name(self) -> str:
        """What sentences call it."""
        return opening_name(self.number)

    @property
    def title(self) -> str:
        """Its name, with what goes through where that is typed."""
        return f"{self.name} ({self.use})" if self.use else self.name


@dataclass(frozen=True)
class Layout:
    """Every piece of a basin in its place, by course from the base; caps apart.

    fewest_cuts: cut blocks of the same basin with its look left free (see
    ``results.look_cost``), or these if they are fewer; None where no look is asked for.
    least: whether it is proved to be the least in what the spec aims at. broken: pieces that are
    needed once more. blocks: for them and the courses still to lay; all_blocks: for them and all
    courses, as the job is priced and ordered.
    """

    spec: BasinSpec
    courses: tuple[Course, ...]
    caps: tuple[Piece, ...]
    column_caps: tuple[Piece, ...]
    openings: tuple[Opening, ...]
    blocks: CutPlan
    all_blocks: CutPlan
    cap_cuts: CutPlan
    advice: tuple[str, ...]
    fewest_cuts: int | None = None
    least: bool = True
    broken: tuple[Piece, ...] = ()

    def __hash__(self) -> int:
        """Hash the spec alone, which a layout follows from: its hundreds of pieces take long."""
        return hash(self.spec)

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """All pieces of all courses: of block, and lintels."""
        return tuple(piece for course in self.courses for piece in course.pieces)

    @cached_property
    def pipe_opening(self) -> Opening | None:
        """The opening that the pipe goes through; None for none."""
        return next((one for one in self.openings if one.number == PIPE), None)

    @cached_property
    def access_gap(self) -> Opening | None:
        """The access gap in the second wall; None for none."""
        return next((one for one in self.openings if one.number == ACCESS), None)

    @cached_property
    def more_openings(self) -> tuple[Opening, ...]:
        """The openings beside these two."""
        return tuple(one for one in self.openings if one.number > PIPE)

    @cached_property
    def to_lay(self) -> tuple[Piece, ...]:
        """Block pieces of the courses that don't stand yet, and those that broke once more."""
        laid = self.spec.laid_courses
        above = (p for course in self.courses if course.number > laid for p in course.pieces)
        return (*above, *self.broken)
