"""The steps of building a job, in the order of work: only what the job has, as it was typed.

Lengths are written by a function that the caller gives, since the engine knows no user's units.
What each step says is common practice, no source; where a maker's word counts, it says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from basinbook.engine.layout.checked_inputs import job
from basinbook.engine.layout.model import FLAT, LINTEL, WALLS, Layout, Opening, Piece
from basinbook.engine.layout.results.columns import (
    column_pipe_of,
    columns_of,
    wall_columns_of,
)
from basinbook.engine.layout.results.heights import top, wall_top
from basinbook.engine.layout.results.strips import overhangs
from basinbook.engine.layout.results.ties import ties, turned_blocks
from basinbook.engine.layout.ticks import metres
from basinbook.engine.outfit import (
    BUBBLER,
    CIRCULATION,
    GOES_UP_TO,
    PREFORMED,
    Outfit,
)
from basinbook.engine.spec import APART
from basinbook.engine.spec_columns import IN_WALL
from basinbook.engine.spec_openings import PIPE
from basinbook.engine.squareness import diagonal

Write = Callable[[float], str]
"""Writes a length [m] as the user reads it."""

_WHERE = {
    1: "behind the {behind}",
    2: "beside the side walls, at the back",
    3: "beside the side walls and behind the {behind}",
    4: "at all corners",
}


def steps(layout: Layout, outfit: Outfit, write: Write) -> tuple[str, ...]:
    """Return the steps of a job, each a sentence or two; lengths in ``write``'s units."""
    return (
        *_base(layout, outfit, write),
        *_walls(layout, outfit, write),
        *_second_wall(layout, write),
        *_columns(layout, write),
        *_wall_columns(layout, outfit, write, False),
        *_liner(layout, outfit, write),
        *_caps(layout, outfit, write),
        *_wall_columns(layout, outfit, write, True),
        *_column_caps(layout, write),
        *_water_parts(layout, outfit, write),
        *_filling(layout, outfit, write),
    )


def on_edge(layout: Layout) -> list[Piece]:
    """Return the blocks on edge."""
    return [piece for piece in layout.pieces if piece.orientation == "on edge"]


def courses_of(pieces: Iterable[Piece]) -> int:
    """Return the number of the topmost course of pieces; 0 for none."""
    return max((piece.course for piece in pieces), default=0)


def part_pieces(layout: Layout, *parts: str) -> list[Piece]:
    """Return the blocks of some parts."""
    return [piece for piece in layout.pieces if piece.part in parts]


def service_caps(layout: Layout) -> list[Piece]:
    """Return the caps that lie loose for service."""
    return [piece for piece in layout.caps if piece.service]


def column_pieces(layout: Layout) -> list[Piece]:
    """Return the blocks of the columns."""
    return [piece for piece in layout.pieces if piece.part.startswith("column")]


def overhang_words(layout: Layout, write: Write) -> str:
    """Return how far the caps reach past the outer faces: one length, or one for each wall."""
    found = {wall: write(each.outer) for wall, each in overhangs(layout).items()}
    if len(set(found.values())) == 1:
        return found["front"]
    by_length: dict[str, list[str]] = {}
    for wall, words in found.items():
        by_length.setdefault(words, []).append(wall)
    return listed([f"{words} ({listed(walls)})" for words, walls in by_length.items()])


def counted(count: int, name: str) -> str:
    """Return such as "2 × Lamp 5 W", or the name alone of what is there once."""
    return f"{count} × {name}" if count > 1 else name


def listed(words: Sequence[object]) -> str:
    """Return such as "2, 4 and 6"."""
    texts = [str(word) for word in words]
    return " and ".join([", ".join(texts[:-1]), texts[-1]] if len(texts) > 1 else texts)


def courses_text(first: int, last: int) -> str:
    """Return such as "course 2" or "courses 2 to 4"."""
    return f"course {first}" if first == last else f"courses {first} to {last}"


def _base(layout: Layout, outfit: Outfit, write: Write) -> Iterator[str]:
    if not outfit.base_thickness:
        return
    parts = ["basin"]
    parts += ["second wall"] if part_pieces(layout, "second wall") else []
    standing = sum(not column.on_walls for column in columns_of(layout))
    parts += ["columns" if standing > 1 else "column"] if standing else []
    reach = (
        f"{write(outfit.base_margin)} beyond the blocks"
        if outfit.base_margin
        else "flush with the blocks"
    )
    yield (
        f"Base: {outfit.base_material or 'the base'} under {listed(parts)}, {reach}, tamped in "
        f"thin lifts to {write(outfit.base_thickness)}. Tamp on until a heel leaves no dent, then "
        "check the level."
    )


def _walls(layout: Layout, outfit: Outfit, write: Write) -> Iterator[str]:
    spec = layout.spec
    courses = courses_of(part_pieces(layout, *WALLS))
    across = diagonal(spec.inside_length, spec.inside_width)
    glued = f", glued with {outfit.adhesive} by its instructions" if outfit.adhesive else ""
    joint = f" Joints are {write(spec.joint)} wide." if spec.joint else ""
    yield (
        "First course: set it out dry. Begin mid-front, go round both sides, and close the back "
        f"wall by measure. Inside {write(spec.inside_length)} by {write(spec.inside_width)} clear, "
        f"{write(across)} corner to corner both ways.{joint}"
    )
    if courses > 1:
        offset = metres(job(spec).block.offset)
        yield (
            f"{courses_text(2, courses).capitalize()}: as drawn{glued}. Every other course has the "
            f"other wall run through at a corner; no joint within {write(offset)} of one below."
        )
    yield from _on_edge(layout, write)
    yield from _turned(layout, "back", "back wall", "inner")
    for opening in layout.openings:
        if opening.part in WALLS:
            yield _opening(layout, opening, write)


def _turned(layout: Layout, part: str, wall: str, face: str) -> Iterator[str]:
    """Yield how the turned blocks of a wall are laid, flush with one face of it."""
    across = [piece for piece in turned_blocks(layout) if piece.part == part]
    if not across:
        return
    numbers = sorted({piece.course for piece in across})
    word = "course" if len(numbers) == 1 else "courses"
    meets = any(piece.part == part for piece in ties(layout))
    end = " Glue its far end to the other wall." if meets else ""
    yield (
        f"Turned blocks of the {wall}, {word} {listed(numbers)}: lay each across the wall, one end "
        f"flush with the {face} face, the other in the pipe space.{end}"
    )


def opening_size(opening: Opening, write: Write) -> str:
    """Return the width of an opening along its wall, and its height where it is not one course."""
    wide = opening.box.dy if opening.part in ("left", "right") else opening.box.dx
    high = f", {write(opening.box.dz)} high," if opening.rows > 1 else ""
    return f"{write(wide)}{high}"


def opening_place(layout: Layout, opening: Opening, write: Write) -> str:
    """Return where the middle of an opening is, from a corner or end of its wall."""
    box, depth = opening.box, layout.spec.block_depth
    if opening.part in ("left", "right"):
        return f"{write(box.y + box.dy / 2.0 - depth)} from the inside front corner"
    if opening.part in WALLS:
        return f"{write(box.x + box.dx / 2.0 - depth)} from the inside left corner"
    return f"{write(box.x + box.dx / 2.0)} from the left end"


def lintel_words(opening: Opening, write: Write) -> str:
    """Return the lintel over an opening, with its length."""
    named = f"{opening.lintel}, " if opening.lintel != LINTEL else ""
    return f"lintel ({named}{write(opening.lintel_length)} long)"


def _on_edge(layout: Layout, write: Write) -> Iterator[str]:
    spec = layout.spec
    # A lintel over an opening makes no mixed course.
    blocks = (piece for piece in layout.pieces if piece.stock == "block")
    flat = {(piece.part, piece.course) for piece in blocks if piece.orientation == FLAT}
    for mixed, laid in ((False, "on edge"), (True, "blocks on edge between flat ones")):
        edge = [one for one in on_edge(layout) if ((one.part, one.course) in flat) == mixed]
        if not edge:
            continue
        numbers = sorted({piece.course for piece in edge})
        walls = [wall for wall in WALLS if any(piece.part == wall for piece in edge)]
        where = "all walls" if len(walls) == len(WALLS) else f"the {listed(walls)}"
        two = ", two blocks behind each other" if spec.edge_doubled == "yes" else ""
        if two and not mixed and spec.edge_leaves == APART:
            two += ", each leaf a ring of its own"
        word = "Course" if len(numbers) == 1 else "Courses"
        yield f"{word} {listed(numbers)}: {laid} in {where}, {write(spec.block_depth)} high{two}."


def lowest_wet(layout: Layout, outfit: Outfit) -> Opening | None:
    """Return the lowest opening of the basin's walls below the water level; None for none.

    The pipe opening counts where there is a pipe.
    """
    wet = [
        one
        for one in layout.openings
        if one.part in WALLS
        and one.box.z < layout.spec.water_depth
        and (outfit.pipe or one != layout.pipe_opening)
    ]
    return min(wet, key=lambda one: (one.box.z, one.number), default=None)


def the_opening(opening: Opening) -> str:
    """Return the name of an opening within a sentence."""
    return opening.name if opening.number > PIPE else f"the {opening.name}"


def _opening(layout: Layout, opening: Opening, write: Write) -> str:
    if opening.over == LINTEL:
        over = f"A {lintel_words(opening, write)} bridges it"
    elif opening.over:
        over = "A whole block bridges it"
    elif layout.caps:
        over = "A whole cap bridges it"
    else:
        over = "Bridge it with a lintel"
    loose = bool(opening.over or layout.caps) and opening.part in WALLS
    name = opening.title[0].upper() + opening.title[1:]
    return (
        f"{name}: keep {opening_size(opening, write)} open in "
        f"{courses_text(opening.course_from, opening.course_to)} of the "
        f"{opening.part.removesuffix(' wall')} wall, its middle "
        f"{opening_place(layout, opening, write)}. {over}"
        f"{'; what lies over it stays loose until the end' if loose else ''}."
    )


def _second_wall(layout: Layout, write: Write) -> Iterator[str]:
    wall, spec = part_pieces(layout, "second wall"), layout.spec
    if not wall:
        return
    ends = {
        "both": "closed at both ends",
        "left": "closed at the left end",
        "right": "closed at the right end",
        "none": "open at both ends",
    }[spec.second_wall_returns]
    yield (
        f"Second wall: {len({round(piece.box.z, 6) for piece in wall})} rows of block, "
        f"{write(top(wall))} high, with "
        f"{write(spec.pipe_space)} of pipe space clear behind the back wall, {ends}."
    )
    yield from _turned(layout, "second wall", "second wall", "outer")
    gap = layout.access_gap
    if gap:
        yield (
            f"Access gap: leave {write(gap.box.dx)} free, {write(gap.box.dz)} high, in "
            f"{courses_text(gap.course_from, gap.course_to)} of the second wall, its middle "
            f"{write(gap.box.x + gap.box.dx / 2.0)} from the left end."
        )
    for opening in layout.more_openings:
        if opening.part not in WALLS:
            yield _opening(layout, opening, write)


def _columns(layout: Layout, write: Write) -> Iterator[str]:
    spec, count = layout.spec, layout.spec.columns
    if not count:
        return
    first = columns_of(layout)[0]
    side, rows = first.plan.dx, spec.column_courses * (spec.block_height + spec.joint)
    behind = "second wall" if part_pieces(layout, "second wall") else "back wall"
    how = "round a hollow core" if spec.column_core == "yes" else "two blocks a course"
    yield (
        f"{'Columns' if count > 1 else 'Column'}: {count} of {spec.column_courses} rows, "
        f"{write(side)} square, {write(rows - spec.joint)} high, "
        f"{_WHERE[spec.columns].format(behind=behind)}, {how}. Each row is turned against the one "
        "below; plumb two faces as it rises."
    )


def _wall_columns(layout: Layout, outfit: Outfit, write: Write, on_walls: bool) -> Iterator[str]:
    """Yield what to do for columns by walls, or for those on walls or their caps."""
    spec = layout.spec
    core = "four blocks a row round a core" if spec.wall_column_core == "yes" else "two a row"
    laid = "" if spec.wall_column_laid == "flat" else f" {spec.wall_column_laid}"
    for column in wall_columns_of(layout):
        if column.on_walls != on_walls:
            continue
        box, number = column.plan, int(column.part.removeprefix("column ")) - spec.columns
        place = getattr(spec, f"wall_column_{number}")
        rows = getattr(spec, f"wall_column_{number}_courses")
        at = box.x + box.dx / 2.0 - spec.block_depth
        beside = f", its middle {write(at)} from the inside left corner"
        if place in ("by left wall", "by right wall", "in left wall", "in right wall"):
            beside = f", its middle {write(box.y + box.dy / 2.0 - spec.block_depth)} from the "
            beside += "inside front corner"
        elif place.endswith("end"):
            beside = ", in line with the second wall"
        on = " Glue what lies loose under it before its first row." if column.on_walls else ""
        if place in IN_WALL:
            yield (
                f"Column {place} ({column.part}): {rows} rows, {core}, {write(box.dx)} square"
                f"{beside}. Lay it with the wall: in each row one block reaches into that, left "
                "and right by turns; caps end at it."
            )
            continue
        yield (
            f"Column {place} ({column.part}): {rows} rows, {core}{laid}, {write(box.dx)} square"
            f"{beside}.{on} Each row is turned against the one below; plumb two faces."
        )
    pipe = column_pipe_of(layout)
    if pipe is not None and on_walls:
        name = outfit.pipe or "the pipe"
        row = sorted({round(p.box.z, 6) for p in wall_columns_of(layout)[0].blocks}).index(
            round(pipe.loose.box.z, 6)
        )
        how = (
            f"cut the front block to {write(pipe.loose.length)} and bring it out beside that"
            if pipe.cut
            else "keep the front block whole for its fitting"
        )
        yield (
            f"Pipe in {pipe.part}: lead {name} up the core as the column rises. In row {row + 1} "
            f"{how}; this block stays loose till the fitting is tight."
        )


def _liner(layout: Layout, outfit: Outfit, write: Write) -> Iterator[str]:
    spec = layout.spec
    if outfit.underlay:
        yield (
            f"Underlay: sweep off grit and chips, then lay {outfit.underlay} over floor and walls."
        )
    if outfit.liner_type == PREFORMED:
        yield (
            f"Preformed liner: measure the clear inside, then let {outfit.liner} down level; its "
            "floor rests everywhere, its sides press nowhere."
        )
    elif outfit.liner:
        under = " under the caps" if layout.caps else ""
        if not outfit.liner_lap:
            end = "ends at the wall top"
        elif outfit.liner_lap > spec.block_depth:
            end = f"has a flap of {write(outfit.liner_lap)} on the wall{under}, trimmed at the face"
        else:
            bare = "; keep the rest of the top bare for adhesive" if under else ""
            end = f"has a flap of {write(outfit.liner_lap)} on the wall{under}{bare}"
        yield (
            f"Sheet liner: let {outfit.liner} hang loose, with the spare cloth folded flat in each "
            f"corner; it {end}."
        )
    if outfit.bulkhead:
        at = " at the pipe opening" if layout.pipe_opening else ""
        through = " through the liner" if outfit.liner else ""
        yield (
            f"Bulkhead fitting: set {counted(outfit.bulkheads, outfit.bulkhead)}{through}{at}, "
            "tightened by its instructions."
        )
    if outfit.cord_passage:
        yield (
            f"Cord passage: set {counted(outfit.cord_passages, outfit.cord_passage)} where cord "
            "leaves the basin."
        )


def _caps(layout: Layout, outfit: Outfit, write: Write) -> Iterator[str]:
    if layout.caps:
        behind = any(piece.part == "second wall" for piece in layout.caps)
        also = "; lay them over the second wall, too" if behind else ""
        glued = f", glued with {outfit.adhesive}" if outfit.adhesive else ""
        yield (
            f"Caps: over the basin, {overhang_words(layout, write)} past the outer face, "
            f"{write(overhangs(layout)['front'].inner)} over the water, corners "
            f"{layout.spec.cap_corner}{glued}{also}."
        )
        for cap in service_caps(layout):
            yield (
                f"Service cap: cap {cap.number} of the {cap.part}{' wall' * (cap.part == 'back')} "
                "lies loose on a dry bed, to be lifted off for service; mark it, and keep adhesive "
                "out of its joints. Its weight and one person's limit stand on the Take-off sheet."
            )


def _column_caps(layout: Layout, write: Write) -> Iterator[str]:
    words: dict[tuple[int, str, str, bool], list[str]] = {}
    for column in columns_of(layout):
        top = max(piece.box.z for piece in (*column.blocks, *column.caps))
        pieces = [p for p in (*column.blocks, *column.caps) if p.box.z > top - 1e-6]
        low = min(piece.box.x for piece in pieces)
        wide = max(piece.box.x + piece.box.dx for piece in pieces) - low
        past = column.plan.x - low
        if not column.caps and layout.spec.column_cap_of == "one piece":
            continue
        many = len(pieces)
        words.setdefault((many, write(wide), write(past), any(p.hole for p in pieces)), []).append(
            column.part
        )
    for (many, wide_text, past_text, cut), parts in words.items():
        one = "one on each column" if len(parts) > 1 else "one on the column"
        if len(words) > 1:
            one = f"one on {listed(parts)}"
        made = f" of {many} {layout.spec.column_cap_of}" if many > 1 else ""
        round_pipe = ", cut round the pipe" if cut else ""
        yield (
            f"Column caps: {one}{made}, {wide_text} square, {past_text} past the column all "
            f"round{round_pipe}."
        )


def _water_parts(layout: Layout, outfit: Outfit, write: Write) -> Iterator[str]:
    goes_up_to = GOES_UP_TO.get(outfit.effect, "")
    if outfit.pump:
        on = "liner" if outfit.liner else "floor"
        yield f"Pump: stand {outfit.pump} on the {on} where a hand can reach it and lift it out."
    if outfit.pipe:
        fitted = f" with {outfit.fittings} fittings" if outfit.fittings > 1 else ""
        fitted = " with 1 fitting" if outfit.fittings == 1 else fitted
        by = " through the pipe opening" if layout.pipe_opening else ""
        to = "back into the basin" if outfit.effect == CIRCULATION else f"up to the {goes_up_to}"
        by = "" if outfit.effect == CIRCULATION else by
        yield f"Pipe: run {outfit.pipe}{fitted} from the pump{by} {to}."
    if outfit.check_valve:
        yield (
            f"Check valve: {counted(outfit.check_valves, outfit.check_valve)} in the pipe, its "
            "arrow away from the pump."
        )
    if outfit.outlet and goes_up_to:
        level = "" if outfit.effect == BUBBLER else ", level across"
        name = goes_up_to.capitalize()
        yield f"{name}: set {counted(outfit.outlets, outfit.outlet)}{level}."
    if outfit.light:
        yield (
            f"Light: set {counted(outfit.lights, outfit.light)}; wiring is work for a licensed "
            "electrician."
        )
    if outfit.automatic_fill:
        yield (
            f"Automatic fill: set {counted(outfit.automatic_fills, outfit.automatic_fill)} to "
            f"close at {write(layout.spec.water_depth)} of water; how it joins drinking water is "
            "for local code."
        )


def _filling(layout: Layout, outfit: Outfit, write: Write) -> Iterator[str]:
    spec = layout.spec
    free = wall_top(layout) - spec.water_depth
    wet = lowest_wet(layout, outfit)
    first = ""
    if wet:
        closed = "the pipe" if wet == layout.pipe_opening else "what goes through it"
        first = f" Stop below {the_opening(wet)} until {closed} is closed."
    yield (
        f"Filling: {write(spec.water_depth)} deep, which leaves {write(free)} to the top of the "
        f"block.{first}"
    )
    off = "pump off, " if outfit.pump else ""
    yield (
        f"Leak test: {off}mark the level, wait, and set what it fell against the limit of the "
        "check sheet."
    )
