"""What the plans of a layout show: which pieces, the dimensions round them, what each is called."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from basinbook.drawings import style
from basinbook.drawings.lengths import length_text
from basinbook.drawings.pieces import SAME, Extent, Level, extent, levels, of_part, outside
from basinbook.drawings.plan import Chain, PlanView, chain_through, edges_of
from basinbook.engine.layout.model import WALLS, Layout, Opening, Piece
from basinbook.engine.layout.results.columns import column_pipe_of


def plan_views(layout: Layout, system: str, number_size: float = style.SMALL) -> list[PlanView]:
    """Return the plans of all courses (equal ones share one), then those of the caps.

    number_size: of the pieces' numbers [pt].
    """
    shown = levels(layout)
    # Columns are set out once, each in the first plan that shows it.
    views, seen = list[PlanView](), set[str]()
    for level in shown:
        fresh = {piece.part for piece in _columns(level.pieces)} - seen
        views.append(_course_view(layout, level, system, bool(fresh)))
        seen |= fresh
    if layout.caps:
        views.append(_cap_view(layout, system))
    if layout.column_caps:
        views.append(_column_cap_view(layout, system))
    return [replace(view, number_size=number_size) for view in views]


def _columns(pieces: Sequence[Piece]) -> list[Piece]:
    return [piece for piece in pieces if piece.part.startswith("column")]


def _course_view(layout: Layout, level: Level, system: str, set_columns: bool) -> PlanView:
    openings = tuple(
        opening
        for opening in layout.openings
        if opening.course_from <= level.numbers[0] <= opening.course_to
        and of_part(level.pieces, opening.part)
    )
    cuts = sum(not piece.whole for piece in level.pieces)
    each = " each" if len(level.numbers) > 1 else ""
    heights = ", ".join(length_text(z, system) for z in level.z[:4])
    more = ", …" if len(level.z) > 4 else ""
    unit = " mm" if system == "metric" else ""
    # What stands beside or above the basin is shown with the basin's outline.
    apart = not of_part(level.pieces, *WALLS)
    standing = _standing(layout, level)
    dashed = "; basin dashed" if apart else "; blocks on edge dashed" if standing else ""
    return PlanView(
        title=level.name,
        subtitle=f"{len(level.pieces)} pieces{each}, {cuts} cut; bed at {heights}{more}{unit}"
        + dashed,
        pieces=level.pieces,
        system=system,
        laid=level.laid,
        courses=level.numbers,
        openings=openings,
        below=(outside(layout.pieces),) if apart else standing,
        inside=_inside(level.pieces),
        extra=_course_chains(
            level.pieces, openings, system, set_columns, outside(layout.pieces) if apart else None
        ),
        # Blocks laid as a column's cap are cut round it.
        pipe=column_pipe_of(layout),
    )


def _standing(layout: Layout, level: Level) -> tuple[Extent, ...]:
    """Return the blocks on edge that reach up between the flat ones of a layer from one below."""
    bed, parts = level.pieces[0].box.z, {piece.part for piece in level.pieces}
    return tuple(
        extent([piece])
        for piece in layout.courses[level.numbers[0] - 1].pieces
        if piece.part in parts and piece.box.z + SAME < bed < piece.box.z + piece.box.dz - SAME
    )


def _inside(pieces: Sequence[Piece]) -> Extent | None:
    """Return the clear inside of the walls in these pieces [m]; None where a wall is missing."""
    left, right = of_part(pieces, "left"), of_part(pieces, "right")
    front, back = of_part(pieces, "front"), of_part(pieces, "back")
    if not (left and right and front and back):
        return None
    return Extent(extent(left).x1, extent(front).y1, extent(right).x0, extent(back).y0)


def _course_chains(
    pieces: tuple[Piece, ...],
    openings: Sequence[Opening],
    system: str,
    set_columns: bool,
    basin: Extent | None = None,
) -> dict[str, tuple[Chain, ...]]:
    """Return the chains of dimensions; basin: its outline where the pieces stand apart from it."""
    whole = extent(pieces)
    walls = of_part(pieces, *WALLS)
    outer = outside(pieces) if walls else whole
    inner = _inside(pieces)
    second = of_part(pieces, "second wall")
    columns = _columns(pieces)
    rows: dict[str, list[Chain | None]] = {"bottom": [], "left": [], "top": [], "right": []}
    xs = [outer.x0, outer.x1] + ([inner.x0, inner.x1] if inner else [])
    ys = [outer.y0, outer.y1] + ([inner.y0, inner.y1] if inner else [])
    xs += edges_of((o for o in openings if o.part == "front"), 0)
    ys += edges_of((o for o in openings if o.part == "left"), 1)
    right = edges_of((o for o in openings if o.part == "right"), 1)
    if second:
        ys += [extent(second).y0, extent(second).y1]
    if walls:
        rows["bottom"].append(chain_through(xs, system))
        rows["left"].append(chain_through(ys, system))
        if inner:
            rows["bottom"].append(chain_through((outer.x0, outer.x1), system))
            rows["left"].append(chain_through((outer.y0, outer.y1), system))
    if (set_columns and _size(whole) != _size(outer)) or not walls:
        rows["bottom"].append(chain_through((whole.x0, whole.x1), system))
        rows["left"].append(chain_through((whole.y0, whole.y1), system))
    gaps = [o for o in openings if o.part == "second wall"]
    if gaps and second:
        rows["top"].append(
            chain_through((extent(second).x0, extent(second).x1, *edges_of(gaps, 0)), system)
        )
    if right and inner:
        rows["right"].append(chain_through((inner.y0, inner.y1, *right), system))
    if columns and set_columns:
        parts = {piece.part for piece in columns}
        each = [extent(of_part(columns, part)) for part in sorted(parts)]
        from_ = outer if walls else basin
        base_x = (from_.x0, from_.x1) if from_ else ()
        base_y = (from_.y0, from_.y1) if from_ else ()
        rows["top"].append(
            chain_through((*base_x, *(v for e in each for v in (e.x0, e.x1))), system)
        )
        rows["right"].append(
            chain_through((*base_y, *(v for e in each for v in (e.y0, e.y1))), system)
        )
    return {side: _distinct(found) for side, found in rows.items()}


def _size(box: Extent) -> tuple[float, ...]:
    return tuple(round(value, 6) for value in (box.x0, box.y0, box.x1, box.y1))


def _distinct(chains: Sequence[Chain | None]) -> tuple[Chain, ...]:
    """Return the chains without those that say nothing new, the most finely divided first."""
    kept: list[Chain] = []
    for item in chains:
        if item is not None and item not in kept:
            kept.append(item)
    return tuple(sorted(kept, key=lambda item: -len(item.stops)))


def _cap_view(layout: Layout, system: str) -> PlanView:
    caps = layout.caps
    cuts = sum(not piece.whole for piece in caps)
    mitred = sum(piece.mitres > 0 for piece in caps)
    walls, ring = outside(layout.pieces), outside(caps)
    inner = _inside(of_part(caps, *WALLS))
    chains = _course_chains(caps, (), system, False)
    across = chain_through((ring.x0, ring.x1, walls.x0, walls.x1), system)
    along = chain_through((ring.y0, ring.y1, walls.y0, walls.y1), system)
    chains |= {"top": _distinct((across,)), "right": _distinct((along,))}
    note = f", {mitred} mitred" if mitred else ""
    return PlanView(
        title="Caps",
        subtitle=f"{len(caps)} pieces, {cuts} cut{note}; wall below dashed",
        pieces=caps,
        system=system,
        below=(walls,),
        inside=inner,
        extra=chains,
        pipe=column_pipe_of(layout),
    )


def _column_cap_view(layout: Layout, system: str) -> PlanView:
    caps = layout.column_caps
    columns = _columns(layout.pieces)
    parts = sorted({piece.part for piece in columns})
    below = tuple(extent(of_part(columns, part)) for part in parts)
    whole = extent(caps)
    xs = [value for piece in caps for value in (piece.box.x, piece.box.x + piece.box.dx)]
    ys = [value for piece in caps for value in (piece.box.y, piece.box.y + piece.box.dy)]
    return PlanView(
        title="Column caps",
        subtitle=f"{len(caps)} pieces; column below dashed",
        pieces=caps,
        system=system,
        below=below,
        pipe=column_pipe_of(layout),
        extra={
            "bottom": _distinct(
                (chain_through(xs, system), chain_through((whole.x0, whole.x1), system))
            ),
            "left": _distinct(
                (chain_through(ys, system), chain_through((whole.y0, whole.y1), system))
            ),
        },
    )
