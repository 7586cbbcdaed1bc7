"""Caps of columns: one square piece, or a square of wall caps or blocks."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Rules
from basinbook.engine.layout.checked_inputs import Job, block_rules, refuse
from basinbook.engine.layout.model import FLAT
from basinbook.engine.layout.parts.columns.bearing import bearing
from basinbook.engine.layout.parts.pinwheel import Pinwheel, Rect, around
from basinbook.engine.layout.parts.placed_pieces import Placed
from basinbook.engine.layout.parts.standing_column import Standing
from basinbook.engine.layout.ticks import text, ticks

# A cap's overhang where none is given is at most this part of its piece's depth, and a piece
# bears with at least half of it: common practice, no source.
_MOST_OVER: Final = 3
_LEAST_SHARE: Final = 0.5


class CapPiece(NamedTuple):
    """A piece of a cap in its place from the cap's own corner [ticks]; its length, and if whole."""

    rect: Rect
    length: int
    whole: bool


class Square(NamedTuple):
    """A cap of several pieces: its side [ticks] and its pieces."""

    side: int
    pieces: tuple[CapPiece, ...]

    @property
    def cuts(self) -> int:
        """Cut pieces in it."""
        return sum(not piece.whole for piece in self.pieces)


class _Stock(NamedTuple):
    """What a cap is made of: rules along it and its depth [ticks]."""

    rules: Rules
    depth: int


def cap_stock(job: Job) -> str:
    """Return what column caps are cut from: "column cap", "cap" or "block"; "" without caps."""
    made = job.spec.column_cap_of
    if made == "one piece":
        return "column cap" if ticks(job.spec.column_cap_side) else ""
    return "cap" if made == "wall caps" else "block"


def cap_thickness(job: Job) -> int:
    """Return the thickness of a column's cap [ticks]."""
    spec = job.spec
    heights = {
        "one piece": ticks(spec.column_cap_height), "wall caps": ticks(spec.cap_height),
        "blocks": job.height,
    }  # fmt: skip
    return heights[spec.column_cap_of]


def cap_overhang(job: Job, wheel: Pinwheel, piped: bool = False) -> int:
    """Return how far a column's cap reaches past each face [ticks]; 0 where there is none.

    piped: whether a pipe comes up through it, so that its middle may be left open.
    """
    spec, side = job.spec, wheel.side
    if spec.column_cap_of != "one piece":
        return (_square(job, wheel, piped).side - side) // 2
    cap = ticks(spec.column_cap_side)
    if not cap:
        return 0
    if cap < side:
        raise refuse("column_cap_side", text(cap), f"at least the column's side, {text(side)}")
    if not ticks(spec.column_cap_height):
        raise refuse("column_cap_height", 0, "give the column caps' height, or no cap side")
    return (cap - side) // 2


def cap_pieces(job: Job, column: Standing, hole: int, loose: bool) -> list[Placed]:
    """Return the pieces of the cap on a column.

    hole: diameter of the pipe that comes up through it [ticks], 0 for none: the pieces that it
    meets are cut round it and stay loose. loose: whether all do.
    """
    stock = cap_stock(job)
    if not stock:
        return []
    over, thick = cap_overhang(job, column.wheel, hole > 0), cap_thickness(job)
    if stock == "column cap":
        side = ticks(job.spec.column_cap_side)
        pieces: tuple[CapPiece, ...] = (CapPiece(Rect(0, 0, side, side), side, True),)
    else:
        pieces = _square(job, column.wheel, hole > 0).pieces
    found = []
    for rect, length, whole in pieces:
        x, y, dx, dy = rect.moved(column.x - over, column.y - over)
        met = hole > 0 and meets(Rect(x, y, dx, dy), column.middle, hole)
        box = (x, y, column.top, dx, dy, thick)
        found.append(
            Placed(
                column.part, stock, FLAT, *box, length, whole,
                loose=loose or met, hole=hole if met else 0,
            )
        )  # fmt: skip
    return found


def meets(rect: Rect, middle: tuple[int, int], across: int) -> bool:
    """Return whether a round pipe with that middle and diameter [ticks] runs into a rectangle."""
    x = max(rect.x - middle[0], middle[0] - rect.x - rect.dx, 0)
    y = max(rect.y - middle[1], middle[1] - rect.y - rect.dy, 0)
    return 4 * (x * x + y * y) < across * across


def _square(job: Job, wheel: Pinwheel, piped: bool) -> Square:
    """Return the cap of several pieces with the fewest cuts, then the fewest pieces."""
    stock = _stock(job)
    typed = job.spec.column_cap_overhang
    wanted = None if typed is None else ticks(typed)
    near = (stock.depth - job.depth) // 2 if job.spec.cap_overhang is None else 0
    found = _chosen(stock, wheel, wanted, near, piped)
    if found is None:
        raise _refused(job, stock, wheel, wanted, piped)
    return found


def _stock(job: Job) -> _Stock:
    spec = job.spec
    if spec.column_cap_of == "blocks":
        return _Stock(job.block, job.depth)
    length, depth = ticks(spec.cap_length), ticks(spec.cap_depth)
    if not length or not depth or not ticks(spec.cap_height):
        raise refuse(
            "column_cap_of", spec.column_cap_of, "give the wall caps' sizes, or one piece or blocks"
        )
    return _Stock(block_rules(spec, length, "cap_length"), depth)


@lru_cache(maxsize=256)
def _chosen(
    stock: _Stock, wheel: Pinwheel, wanted: int | None, near: int, piped: bool
) -> Square | None:
    """Return the best square; wanted: its overhang, near: what it is to be near else [ticks]."""
    side = wheel.side
    most = stock.depth // _MOST_OVER
    usable = [
        square
        for square in _squares(stock, side, wanted, most, piped)
        if _borne(square, wheel)
        and (
            0 < square.side - side <= 2 * most
            if wanted is None
            else square.side == side + 2 * wanted
        )
    ]
    return min(
        usable,
        key=lambda each: (each.cuts, len(each.pieces), abs((each.side - side) // 2 - near)),
        default=None,
    )


def _fits(past: int, wanted: int | None, most: int) -> bool:
    """Return whether a square that is so much wider than the column has a usable overhang."""
    return 0 < past <= 2 * most if wanted is None else past == 2 * wanted


def _squares(
    stock: _Stock, side: int, wanted: int | None, most: int, piped: bool
) -> Iterator[Square]:
    """Yield rows of pieces that make a square, and four pieces round the middle.

    Pieces are only cut across, never lengthwise: so a square's side is that of whole depths with
    their joints, or a piece's length with a depth. A hole left in the middle is one for the pipe.
    """
    (length, joint, *_), depth = stock.rules, stock.depth
    rows = 1
    while (far := rows * (depth + joint) - joint) <= side + 2 * (
        most if wanted is None else wanted
    ):
        lengths = _row(stock.rules, far)
        if lengths:
            yield Square(far, tuple(_grid(stock, lengths, rows)))
        rows += 1
    # All round ones are alike in cuts but for whole pieces, and for those that leave no hole.
    longs = {length, depth} if wanted is None else {side + 2 * wanted - depth - joint}
    for long in longs:
        if not max(depth, stock.rules.shortest) <= long <= length or (long > depth and not piped):
            continue
        far = long + depth + joint
        pieces = (CapPiece(rect, long, long == length) for rect in around(far, long, depth))
        yield Square(far, tuple(pieces))


def _row(rules: Rules, far: int) -> list[int]:
    """Return the lengths of the pieces in a row [ticks]: whole ones and at most two cut alike."""
    whole, rest = divmod(far + rules.joint, rules.pitch)
    if not rest:
        return [rules.length] * whole
    if rest >= rules.least:
        return [*[rules.length] * whole, rest - rules.joint]
    if not whole:
        return []
    first = (rules.pitch + rest) // 2
    ends = [first - rules.joint, rules.pitch + rest - first - rules.joint]
    return [*[rules.length] * (whole - 1), *ends] if min(ends) >= rules.shortest else []


def _grid(stock: _Stock, lengths: list[int], rows: int) -> Iterator[CapPiece]:
    """Yield the pieces of rows, every other row the other way round."""
    joint = stock.rules.joint
    for row in range(rows):
        at = 0
        for length in lengths[:: -1 if row % 2 else 1]:
            rect = Rect(at, row * (stock.depth + joint), length, stock.depth)
            yield CapPiece(rect, length, length == stock.rules.length)
            at += length + joint


def _borne(square: Square, wheel: Pinwheel) -> bool:
    """Return whether each piece bears on the column's blocks with half of it and does not tip."""
    over = (square.side - wheel.side) // 2
    for turned in (False, True):
        below = [box.moved(over, over) for box in wheel.boxes(turned)]
        for piece in square.pieces:
            found = bearing(piece.rect, below)
            if found.share < _LEAST_SHARE or not found.steady:
                return False
    return True


def _refused(
    job: Job, stock: _Stock, wheel: Pinwheel, wanted: int | None, piped: bool
) -> InputError:
    """Return the error for a cap that can't be made up, with the overhangs that can."""
    side, most = wheel.side, stock.depth // _MOST_OVER
    works = sorted(
        {
            (square.side - side) // 2
            for square in _squares(stock, side, None, most, piped)
            if square.side >= side and _borne(square, wheel)
        },
        key=lambda over: (abs(over - (wanted or 0)), over),
    )
    why = (
        f"{job.spec.column_cap_of} of {text(stock.rules.length)} by {text(stock.depth)}, cut "
        f"across only, make no square over a column of {text(side)}"
    )
    if works and wanted is not None:
        listed = " or ".join(text(over) for over in works[:2])
        return refuse(
            "column_cap_overhang", text(wanted), f"{why} with this overhang; give {listed}"
        )
    if works:
        why += f" with an overhang of up to {text(most)}"
        return refuse("column_cap_of", job.spec.column_cap_of, f"{why}; type 0 as its overhang")
    other = "wall caps" if job.spec.column_cap_of == "blocks" else "blocks"
    return refuse("column_cap_of", job.spec.column_cap_of, f"{why}; give one piece or {other}")
