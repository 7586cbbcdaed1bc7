"""What the client gets, in plain words made from the job: only what it has, as it was typed.

No cost, no rate, no supplier and no word of how the work is done. Lengths are written by a
function that the caller gives, since the engine knows no user's units; so is the water's volume.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from basinbook.engine.layout.model import WALLS, Layout
from basinbook.engine.layout.results.columns import columns_of
from basinbook.engine.layout.results.heights import top, wall_top
from basinbook.engine.layout.ticks import metres, ticks
from basinbook.engine.outfit import CIRCULATION, GOES_UP_TO, PREFORMED, STILL, Outfit
from basinbook.engine.steps import Write, counted, courses_of, part_pieces
from basinbook.engine.water.volume import water_volume


class Materials(NamedTuple):
    """Names of what the job is built of, as the sheets have them; blank for none."""

    block: str = ""
    cap: str = ""


class Said(NamedTuple):
    """A part of the work and what is said of it."""

    part: str
    words: str


def scope(
    layout: Layout,
    outfit: Outfit,
    materials: Materials,
    write: Write,
    liquid: Callable[[float], str],
) -> tuple[Said, ...]:
    """Return what is built, part by part; ``write`` a length [m], ``liquid`` a volume [m³]."""
    return (
        *_basin(layout, materials, write, liquid),
        *_beside_it(layout, write),
        *_liner(outfit),
        *_water(outfit),
    )


def left_out(layout: Layout, outfit: Outfit) -> tuple[str, ...]:
    """Return what a client might expect and this job has not, in plain words."""
    found = []
    if outfit.effect == STILL:
        found.append("a pump: the water stands still")
    elif not outfit.pump:
        found.append("the pump")
    if outfit.effect in GOES_UP_TO and not outfit.outlet:
        found.append(f"the {GOES_UP_TO[outfit.effect]}")
    if not outfit.liner:
        found.append("a liner")
    if not layout.caps:
        found.append("caps on the wall")
    if not outfit.light:
        found.append("lights")
    if not outfit.automatic_fill:
        found.append("automatic filling")
    if outfit.pump or outfit.light:
        found.append("electrical supply to the basin, which is work for a licensed electrician")
    return tuple(found)


def _basin(
    layout: Layout, materials: Materials, write: Write, liquid: Callable[[float], str]
) -> Iterator[Said]:
    spec = layout.spec
    walls = [piece.box for piece in part_pieces(layout, *WALLS)]
    long = max(box.x + box.dx for box in walls) - min(box.x for box in walls)
    wide = max(box.y + box.dy for box in walls) - min(box.y for box in walls)
    courses = courses_of(part_pieces(layout, *WALLS))
    of = f" of {materials.block}" if materials.block else " of wall block"
    yield Said(
        "Basin",
        f"A raised basin{of}, {write(long)} by {write(wide)} outside and {write(wall_top(layout))} "
        f"high in {courses} course{'s' if courses > 1 else ''}, glued; inside "
        f"{write(spec.inside_length)} by {write(spec.inside_width)}.",
    )
    volume = water_volume(spec.inside_length, spec.inside_width, spec.water_depth)
    yield Said("Water", f"{write(spec.water_depth)} deep, about {liquid(volume)}.")
    if layout.caps:
        name = materials.cap or "wall caps"
        behind = any(piece.part == "second wall" for piece in layout.caps)
        also = " and on the second wall" if behind else ""
        yield Said("Caps", f"{name} on the basin{also}, corners {spec.cap_corner}.")


def _beside_it(layout: Layout, write: Write) -> Iterator[Said]:
    wall = part_pieces(layout, "second wall")
    if wall:
        yield Said(
            "Second wall",
            f"A second wall of the same block, {write(top(wall))} high, behind the back wall: it "
            "hides pipe and cord.",
        )
    alike: dict[tuple[int, int, bool, bool], int] = {}
    for column in columns_of(layout):
        rows = len({ticks(piece.box.z) for piece in column.blocks})
        like = (ticks(column.plan.dz), rows, column.on_walls, bool(column.caps))
        alike[like] = alike.get(like, 0) + 1
    if alike:
        said = (_columns_alike(count, *like, write) for like, count in alike.items())
        yield Said("Columns" if sum(alike.values()) > 1 else "Column", f"{'; '.join(said)}.")


def _columns_alike(
    count: int, height: int, rows: int, on_walls: bool, capped: bool, write: Write
) -> str:
    courses = "1 course" if rows == 1 else f"{rows} courses"
    on = " on the walls" if on_walls else ""
    caps = ", with caps" if capped and count > 1 else ", with a cap" if capped else ""
    return f"{count} of the same block{on}, {write(metres(height))} high, {courses}{caps}"


def _liner(outfit: Outfit) -> Iterator[Said]:
    if not outfit.liner:
        return
    under = f" over {outfit.underlay}" if outfit.underlay else ""
    kind = "preformed" if outfit.liner_type == PREFORMED else "one sheet"
    yield Said("Liner", f"{outfit.liner}, {kind}{under}.")


def _water(outfit: Outfit) -> Iterator[Said]:
    if outfit.effect == CIRCULATION:
        yield Said("Moving water", "The water circulates in the basin.")
    elif outfit.effect != STILL:
        what = GOES_UP_TO[outfit.effect]
        parts = f": {counted(outfit.outlets, outfit.outlet)}" if outfit.outlet else ""
        yield Said("Moving water", f"The water comes from a {what}{parts}.")
    if outfit.pump:
        pipe = f", with {outfit.pipe}" if outfit.pipe else ""
        yield Said("Pump", f"{outfit.pump}{pipe}.")
    if outfit.light:
        yield Said("Light", f"{counted(outfit.lights, outfit.light)}.")
    if outfit.automatic_fill:
        yield Said("Automatic fill", f"{counted(outfit.automatic_fills, outfit.automatic_fill)}.")
