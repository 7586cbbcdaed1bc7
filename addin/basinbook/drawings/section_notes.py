"""What the section says of a job: only of parts that it has, with the sizes that were given."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from basinbook.drawings.canvas import Point
from basinbook.drawings.lengths import length_with_unit
from basinbook.drawings.pieces import of_part
from basinbook.drawings.section_cut import Cut
from basinbook.drawings.section_pipe import Plumbing
from basinbook.engine.layout.model import LINTEL, WALLS, Piece
from basinbook.engine.layout.results.columns import columns_of
from basinbook.engine.layout.results.heights import top
from basinbook.engine.layout.results.strips import overhangs
from basinbook.engine.outfit import GOES_UP_TO, PREFORMED, SHEET, Outfit
from basinbook.engine.steps import counted


class Remark(NamedTuple):
    """A text about a point of the section [m]."""

    text: str
    about: Point


def title(cut: Cut, system: str) -> str:
    """Return what the section is called, with the place where it cuts."""
    if cut.opening:
        return "Section front to back, through the pipe opening"
    far = length_with_unit(cut.plane - cut.outer_left, system)
    return f"Section front to back, {far} from the outside left face"


def caution(outfit: Outfit) -> str:
    """Return what to mind, as far as it is there."""
    powered = [name for name, there in (("pump", outfit.pump), ("light", outfit.light)) if there]
    power = f"Power of {' and '.join(powered)}: ground-fault protected, by licensed practice. "
    return f"{power if powered else ''}Open water and wall heights: local codes govern."


def not_drawn(outfit: Outfit, plumbing: Plumbing) -> str:
    """Return the parts of the job whose place the section can't know; "" for none."""
    piped = bool(outfit.pipe)
    parts = (
        ("" if piped else outfit.outlet, outfit.effect, outfit.outlets),
        ("" if piped else outfit.check_valve, "check valve", outfit.check_valves),
        (
            "" if plumbing.goes_through_wall else outfit.bulkhead,
            "bulkhead fitting",
            outfit.bulkheads,
        ),
        (outfit.light, "light", outfit.lights),
        (outfit.automatic_fill, "automatic fill", outfit.automatic_fills),
        (outfit.cord_passage, "cord passage", outfit.cord_passages),
    )
    found = [f"{kind} ({counted(count, name)})" for name, kind, count in parts if name]
    return f"Also in this job, not drawn: {', '.join(found)}." if found else ""


def front_remarks(cut: Cut, outfit: Outfit, system: str) -> list[Remark]:
    """Return the remarks for the column in front of the basin."""
    return [
        *_cap(cut, system),
        *_flap(cut, outfit, system),
        _wall(cut, outfit, system),
        *_more_openings(cut, system, True),
        *_liner(cut, outfit),
        _water(cut, system),
        *_base(cut, outfit, system),
    ]


def back_remarks(cut: Cut, outfit: Outfit, plumbing: Plumbing, system: str) -> list[Remark]:
    """Return the remarks for the column behind the basin."""
    return [
        *_pipe(outfit, plumbing),
        *_second_wall(cut, system),
        *_more_openings(cut, system, False),
        *_opening(cut, outfit, plumbing, system),
        *_column(cut, system),
        *_pump(outfit, plumbing),
    ]


def _cap(cut: Cut, system: str) -> Iterator[Remark]:
    caps = cut.caps("front")
    if not caps:
        return
    box = next((p for p in caps if p in cut.pieces), caps[0]).box
    out, over = (length_with_unit(past, system) for past in overhangs(cut.layout)["front"])
    yield Remark(
        f"cap {length_with_unit(box.dy, system)} × {length_with_unit(box.dz, system)}, overhang "
        f"{out} outside, {over} inside",
        (box.y + box.dy * 0.3, box.z + box.dz * 0.6),
    )


def flap(cut: Cut, outfit: Outfit) -> float:
    """Return how much of the liner lies on the wall top [m]."""
    return min(outfit.liner_lap, cut.layout.spec.block_depth) if outfit.liner_type == SHEET else 0.0


def _flap(cut: Cut, outfit: Outfit, system: str) -> Iterator[Remark]:
    lies = flap(cut, outfit)
    if not lies:
        return
    glued = "glued" if outfit.adhesive else "laid"
    under = " under the caps" if cut.caps("front") else ""
    trim = ", trimmed at the outer face" if outfit.liner_lap > lies else ""
    yield Remark(
        f"liner flap {length_with_unit(outfit.liner_lap, system)} {glued} on the wall top"
        f"{under}{trim}",
        (cut.inner[0] - lies * 0.7, cut.wall),
    )


def _wall(cut: Cut, outfit: Outfit, system: str) -> Remark:
    front, joint = cut.inner[0], cut.layout.spec.joint
    courses = max((p.course for p in of_part(cut.layout.pieces, *WALLS)), default=0)
    how = ", glued bed on bed" if outfit.adhesive else ""
    wide = f", joints {length_with_unit(joint, system)}" if joint else ""
    return Remark(
        f"wall: {courses} course{'' if courses == 1 else 's'}, "
        f"{length_with_unit(cut.wall, system)} high{how}{wide}",
        (cut.outer[0] + (front - cut.outer[0]) * 0.4, _in_block(cut, cut.wall * 0.62)),
    )


def _in_block(cut: Cut, wished: float) -> float:
    """Return the height nearest to a wished one at which the front wall is not open [m]."""
    boxes = [piece.box for piece in cut.blocks("front")]
    if any(box.z < wished < box.z + box.dz for box in boxes):
        return wished
    return min((box.z + box.dz / 2.0 for box in boxes), key=lambda z: abs(z - wished))


def _liner(cut: Cut, outfit: Outfit) -> Iterator[Remark]:
    if not outfit.liner:
        return
    kind = "preformed liner" if outfit.liner_type == PREFORMED else "flexible sheet liner"
    under = f" on underlay ({outfit.underlay})" if outfit.underlay else ""
    yield Remark(f"{kind} ({outfit.liner}){under}", (cut.inner[0] + 0.002, cut.wall * 0.15))


def _water(cut: Cut, system: str) -> Remark:
    (front, back), depth = cut.inner, cut.layout.spec.water_depth
    return Remark(
        f"water {length_with_unit(depth, system)} deep, freeboard "
        f"{length_with_unit(cut.wall - depth, system)}",
        (front + (back - front) * 0.08, depth * 0.5),
    )


def _base(cut: Cut, outfit: Outfit, system: str) -> Iterator[Remark]:
    if not outfit.base_thickness:
        return
    margin = outfit.base_margin
    reach = f"{length_with_unit(margin, system)} beyond" if margin else "flush with"
    of = f" of {outfit.base_material}" if outfit.base_material else ""
    yield Remark(
        f"tamped base{of} {length_with_unit(outfit.base_thickness, system)} thick, "
        f"{reach} the blocks",
        (cut.outer[0] - margin * 0.5 + 0.01, -outfit.base_thickness * 0.5),
    )


def _pipe(outfit: Outfit, plumbing: Plumbing) -> Iterator[Remark]:
    if outfit.pipe:
        x, z = plumbing.path[-1]
        yield Remark(_pipe_words(outfit, plumbing), (x, z - 0.01))
    if outfit.check_valve:
        name = counted(outfit.check_valves, outfit.check_valve)
        yield Remark(f"check valve ({name})", plumbing.valve)


def _pipe_words(outfit: Outfit, plumbing: Plumbing) -> str:
    goes_up_to = GOES_UP_TO.get(outfit.effect)
    if goes_up_to is None:
        return "pipe back into the basin"
    outlet = f" ({counted(outfit.outlets, outfit.outlet)})" if outfit.outlet else ""
    where = plumbing.riser.where
    return f"pipe up to the {goes_up_to}{outlet}{', ' + where if where else ''}"


def _second_wall(cut: Cut, system: str) -> Iterator[Remark]:
    behind = of_part(cut.layout.pieces, "second wall")
    if not behind:
        return
    here = cut.blocks("second wall")
    # Where the section runs through the access gap, the wall beside it is pointed at.
    box = max(here or behind, key=lambda p: p.box.z).box
    gap = "" if here else "; cut at its access gap"
    yield Remark(
        f"second wall {length_with_unit(top(behind), system)} high, pipe space "
        f"{length_with_unit(cut.layout.spec.pipe_space, system)}{gap}",
        (box.y + box.dy * 0.6, box.z + box.dz * 0.5),
    )


def _more_openings(cut: Cut, system: str, in_front: bool) -> Iterator[Remark]:
    """Yield the other openings that are cut: those of the front wall, or those behind it."""
    for other in cut.layout.more_openings:
        box = other.box
        here = other.part not in ("left", "right") and box.x < cut.plane < box.x + box.dx
        if here and (other.part == "front") == in_front:
            lintel = " under a lintel" if other.over == LINTEL else ""
            yield Remark(
                f"{other.title} {length_with_unit(box.dx, system)} wide{lintel}",
                (box.y + box.dy * 0.5, box.z + box.dz * 0.5),
            )


def _opening(cut: Cut, outfit: Outfit, plumbing: Plumbing, system: str) -> Iterator[Remark]:
    if cut.opening is None:
        return
    box, first, last = cut.opening.box, cut.opening.course_from, cut.opening.course_to
    wet = ", below the water level" if box.z < cut.layout.spec.water_depth else ""
    if outfit.bulkhead and plumbing.goes_through_wall:
        to = " sealed to the liner" if outfit.liner else ""
        wet += f": bulkhead fitting ({counted(outfit.bulkheads, outfit.bulkhead)}){to}"
    number = f"course {first}" if first == last else f"courses {first} to {last}"
    yield Remark(
        f"pipe opening {length_with_unit(box.dx, system)} wide in {number}{wet}",
        (box.y + box.dy * 0.7, box.z + box.dz * 0.5),
    )


def _column(cut: Cut, system: str) -> Iterator[Remark]:
    if not cut.column:
        return
    box = cut.column[len(cut.column) // 2].box
    own = next(each for each in columns_of(cut.layout) if each.part == cut.column[0].part)
    spec = cut.layout.spec
    hollow = spec.column_core if own in columns_of(cut.layout)[: spec.columns] else (
        spec.wall_column_core
    )  # fmt: skip
    core = "with a hollow core" if hollow == "yes" else "of two blocks a course"
    high = top(cut.column) - (own.plan.z if own.on_walls else 0.0)
    yield Remark(
        f"column {core}, {length_with_unit(high, system)} high{' on the walls' * own.on_walls}",
        (box.y + box.dy * 0.6, box.z + box.dz * 0.5),
    )
    for cap in (p for p in cut.pieces if p.stock == "column cap"):
        yield _column_cap(cap, system)


def _column_cap(cap: Piece, system: str) -> Remark:
    box = cap.box
    return Remark(
        f"column cap {length_with_unit(box.dx, system)} square × "
        f"{length_with_unit(box.dz, system)}",
        (box.y + box.dy * 0.8, box.z + box.dz * 0.5),
    )


def _pump(outfit: Outfit, plumbing: Plumbing) -> Iterator[Remark]:
    if not outfit.pump:
        return
    on = "liner" if outfit.liner else "floor"
    sized = "" if plumbing.sized else ", drawn without its size"
    with_pipe = plumbing.goes_through_wall and not outfit.cord_passage
    beside = "; cord beside the pipe" if with_pipe else ""
    yield Remark(
        f"pump ({outfit.pump}) on the {on}{sized}{beside}",
        (plumbing.end - plumbing.length * 0.15, plumbing.height * 0.25),
    )
