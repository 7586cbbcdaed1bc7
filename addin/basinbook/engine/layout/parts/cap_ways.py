"""The runs of caps over the walls, the ways to go round the corners, and the best of these."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError
from basinbook.engine.layout.bond.alternating import Rules
from basinbook.engine.layout.bond.tie_breaks import asymmetry
from basinbook.engine.layout.budget import Budget
from basinbook.engine.layout.checked_inputs import BACK, FRONT, WALL_NAMES, Job, refuse
from basinbook.engine.layout.parts.cap_runs import Laid, Run, fewest_run_cuts, lay_run, near
from basinbook.engine.layout.parts.caps import CapSizes
from basinbook.engine.layout.parts.corners import CORNER_WAYS, OWNS
from basinbook.engine.layout.parts.engaged import Key, keys
from basinbook.engine.layout.parts.openings import NO_GAPS, BasinGaps, Gap
from basinbook.engine.layout.parts.second_wall import WALL, courses
from basinbook.engine.layout.ticks import at_least, at_most, text, ticks
from basinbook.engine.spec import CAP_GAPS, CAP_SHORT_EDGES
from basinbook.engine.spec_openings import ACCESS, opening_field

Joints = Mapping[str, tuple[int, ...]]
"""Middles of the joints of the top course by wall, doubled, from the outside corner [ticks]."""

NO_JOINTS: Final[Joints] = {}
FOUND: Final = "was found in the limit of search"
AS_THEY_FALL, ONE_CAP, LEFT_OPEN = CAP_GAPS
_ON_SHORT_EDGE: Final = CAP_SHORT_EDGES[1]


class Round(NamedTuple):
    """Runs of caps, and ways to combine them: of each the numbers of its runs.

    walls: of each run of a way, in order, the wall that it lies on. broken: whether some end at a
    column that is part of the wall.
    """

    runs: tuple[Run, ...]
    ways: tuple[tuple[int, ...], ...]
    walls: tuple[int, ...] = (0, 1, 2, 3)
    broken: bool = False


def inside(job: Job, caps: CapSizes, wall: int) -> int:
    """Return the length of the opening between the caps, along a wall [ticks]."""
    return (job.length if wall in (FRONT, BACK) else job.width) - 2 * caps.inner


def too_short(caps: CapSizes, sure: bool = True) -> InputError:
    """Return the error for caps that can't be laid round the basin.

    sure: whether that is so, or only none was found before the budget's end.
    """
    none = "the caps can't be laid" if sure else f"no layout of the caps {FOUND}"
    return refuse(
        "cap_length",
        text(caps.rules.length),
        f"{none} without a piece shorter than {text(caps.rules.shortest)}; "
        "change the cap length or the shortest piece",
    )


def _ring(job: Job, caps: CapSizes, below: Joints, gaps: BasinGaps) -> Round:
    """Return the runs over the four walls, places from the caps' inside corner.

    gaps: openings in the walls.
    """
    if job.spec.cap_corner == "mitred":
        whole = mitred_runs(job, caps, below, gaps)
        ways: tuple[tuple[int, ...], ...] = ((0, 1, 2, 3),)
    else:
        whole = [_butted(job, caps, wall, owns, below, gaps) for wall in range(4) for owns in OWNS]
        ways = CORNER_WAYS
    if any(keys(job, wall) for wall in WALL_NAMES):
        return _broken(job, caps, whole, ways)
    return Round(tuple(whole), ways)


def _broken(
    job: Job, caps: CapSizes, whole: Sequence[Run], ways: Sequence[tuple[int, ...]]
) -> Round:
    """Return the parts of the runs over four walls that end at columns which are part of a wall.

    whole: as many runs for each wall, as they would be without columns.
    """
    runs: list[Run] = []
    numbers: list[tuple[int, ...]] = []
    walls: list[int] = []
    for number, run in enumerate(whole):
        wall = number * len(WALL_NAMES) // len(whole)
        parts = ended_at(run, keys(job, WALL_NAMES[wall]), caps.inner, caps.rules.joint)
        numbers.append(tuple(range(len(runs), len(runs) + len(parts))))
        runs += parts
        walls += [wall] * len(parts)
    split = tuple(tuple(run for one in way for run in numbers[one]) for way in ways)
    return Round(tuple(runs), split, tuple(walls[run] for run in split[0]), True)


def ended_at(run: Run, columns: Sequence[Key], off: int, joint: int) -> list[Run]:
    """Return the parts of a run that end at columns in its wall, a joint off them.

    off: what places in the run are less than those in the wall. Beyond a column at the free end of
    its wall nothing is left.
    """
    found, rest = list[Run](), run
    for key in columns:
        low, high = key.low - off, key.high - off
        if not key.at_start:
            found.append(rest._replace(end=low - joint, last=0, mitred=(rest.mitred[0], False)))
        # Butt joints at both ends of the run are counted with its first part.
        rest = rest._replace(start=high + joint, first=0, butts=0, mitred=(False, rest.mitred[1]))
        if key.at_end:
            return found
    return [*found, rest]


def short_edges(job: Job) -> bool:
    """Return whether the shortest piece is kept on the short edge of a mitred cap."""
    return job.spec.cap_short_edge == _ON_SHORT_EDGE


def _mitred_least(job: Job, caps: CapSizes) -> int:
    """Return the least long edge of a mitred end piece [ticks]; refuse caps that are shorter."""
    short = short_edges(job)
    taken = caps.depth if short else caps.depth // 2
    least = max(caps.depth, caps.rules.shortest + taken)
    if least > caps.rules.length:
        middle = "; or keep the shortest piece in the middle" if short else ""
        raise refuse(
            "cap_length",
            text(caps.rules.length),
            f"{at_least(least)} for mitred corners of this cap depth; or butt the corners{middle}",
        )
    for wall, name in ((FRONT, "inside_length"), (WALL_NAMES.index("left"), "inside_width")):
        edge = inside(job, caps, wall)
        if short and edge < caps.rules.shortest:
            wanted = caps.rules.shortest + 2 * caps.inner
            raise refuse(
                name,
                text(edge + 2 * caps.inner),
                f"{at_least(wanted)}, so that the caps' short edges are no shorter than the "
                f"shortest piece of {text(caps.rules.shortest)}; or keep that in the middle",
            )
    return least


def mitred_runs(
    job: Job, caps: CapSizes, below: Joints = NO_JOINTS, gaps: BasinGaps = NO_GAPS
) -> list[Run]:
    """Return the runs over the four walls with all corners mitred."""
    least = _mitred_least(job, caps)
    return [_mitred(job, caps, wall, least, below, gaps) for wall in range(4)]


def _mitred(job: Job, caps: CapSizes, wall: int, least: int, below: Joints, gaps: BasinGaps) -> Run:
    far = inside(job, caps, wall)
    return Run(
        -caps.depth,
        far + caps.depth,
        least,
        least,
        (True, True),
        caps.rules.shortest + 2 * caps.depth if short_edges(job) else 0,
        bars=_bars(job, caps, wall, gaps[wall]),
        below=_here(job, caps, wall, below),
    )


def _butted(
    job: Job, caps: CapSizes, wall: int, owns: tuple[bool, bool], below: Joints, gaps: BasinGaps
) -> Run:
    far, joint = inside(job, caps, wall), caps.rules.joint
    reach = caps.depth if caps.rules.length >= caps.depth else 0
    joints = _here(job, caps, wall, below)
    start, end = -caps.depth if owns[0] else joint, far + caps.depth if owns[1] else far - joint
    butts = (not owns[0] and near(joint, joints)) + (not owns[1] and near(2 * far - joint, joints))
    return Run(
        start,
        end,
        reach if owns[0] else 0,
        reach if owns[1] else 0,
        bars=_bars(job, caps, wall, gaps[wall]),
        below=joints,
        butts=butts,
    )


def _here(job: Job, caps: CapSizes, wall: int, below: Joints) -> tuple[int, ...]:
    off = 2 * (job.depth + caps.inner)
    return tuple(twice - off for twice in below.get(WALL_NAMES[wall], ()))


def _bars(job: Job, caps: CapSizes, wall: int, gaps: Sequence[Gap]) -> tuple[tuple[int, int], ...]:
    """Return where no joint may begin: over openings in the top course that one cap bridges."""
    if job.spec.cap_gaps != ONE_CAP:
        return ()
    top = [gap for gap in gaps if gap.last == len(job.walls[wall]) - 1]
    return tuple(_bar(job, caps, gap, caps.inner) for gap in top)


def bearing(job: Job) -> int:
    """Return what a cap that bridges a gap bears on at both sides, at least [ticks]."""
    return ticks(job.spec.cap_bearing) or job.block.offset


def _bar(job: Job, caps: CapSizes, gap: Gap, off: int) -> tuple[int, int]:
    """Return where no joint may begin over a gap; refuse a gap that no cap bridges.

    off: what places in the run are less than those in the wall.
    """
    bears, most = bearing(job), caps.rules.length - 2 * bearing(job)
    if gap.high - gap.low > most:
        change = (
            at_most(most)
            if most > 0
            else f"a cap bearing under half a cap of {text(caps.rules.length)}"
        )
        raise refuse(
            "access_width" if gap.number == ACCESS else opening_field(gap.number, "width"),
            text(gap.high - gap.low),
            f"{change}, so that one cap bridges it with {text(bears)} of bearing at both sides; or "
            f"a longer cap, or the caps over gaps {AS_THEY_FALL!r}",
        )
    return gap.low - off - bears - caps.rules.joint, gap.high - off + bears


def top_gaps(job: Job, behind: Sequence[Gap]) -> list[Gap]:
    """Return the gaps that reach the top of the second wall."""
    return [gap for gap in behind if gap.last == courses(job) - 1]


def _row(job: Job, caps: CapSizes, below: Joints, behind: Sequence[Gap]) -> Round:
    """Return the runs of the row over the second wall, places from the basin's outside corner."""
    start, end = -caps.row, job.outside_length + caps.row
    gaps, here = top_gaps(job, behind), below.get(WALL, ())
    if job.spec.cap_gaps == LEFT_OPEN:
        for gap in gaps:
            if gap.number == ACCESS:
                return _row_of(
                    job, caps, [Run(start, gap.low, below=here), Run(gap.high, end, below=here)]
                )
    bars = gaps if job.spec.cap_gaps == ONE_CAP else []
    for gap in bars:
        room = min(gap.low, job.outside_length - gap.high)
        if room < bearing(job):
            raise refuse(
                "cap_bearing",
                text(bearing(job)),
                f"{at_most(room)}: the wall beside the {gap.name} ends",
            )
    barred = tuple(_bar(job, caps, gap, 0) for gap in bars)
    return _row_of(job, caps, [Run(start, end, bars=barred, below=here)])


def _row_of(job: Job, caps: CapSizes, whole: Sequence[Run]) -> Round:
    """Return the parts of the row, which ends at columns that are part of the second wall."""
    columns = keys(job, WALL)
    runs = [
        part
        for run in whole
        for part in ended_at(
            run,
            [key for key in columns if run.start < key.high and key.low < run.end],
            0,
            caps.rules.joint,
        )
    ]
    return Round(tuple(runs), (tuple(range(len(runs))),), broken=bool(columns))


def rounds(
    job: Job, caps: CapSizes, below: Joints, gaps: BasinGaps, behind: Sequence[Gap]
) -> tuple[Round, ...]:
    """Return the ring, and the row over the second wall where there is one."""
    found = [_ring(job, caps, below, gaps)]
    if job.spec.second_wall == "yes":
        found.append(_row(job, caps, below, behind))
    return tuple(found)


def barred(found: Round) -> bool:
    """Return whether joints have to keep off a gap."""
    return any(run.bars for run in found.runs)


def fewest_caps_cut(found: Round, rules: Rules) -> int | None:
    """Return the least number of cut caps over all ways, bars not counted; None for no way."""
    floors = [fewest_run_cuts(run, rules) for run in found.runs]
    return min(
        (_total(floors, way) for way in found.ways if _total(floors, way) >= 0), default=None
    )


def _total(floors: Sequence[int | None], way: Sequence[int]) -> int:
    """Return the cuts of a way; -1 where one of its runs can't be laid."""
    cuts = 0
    for number in way:
        one = floors[number]
        if one is None:
            return -1
        cuts += one
    return cuts


class Best(NamedTuple):
    """The best way: its runs as laid, cuts, joints over joints, and whether these are proved."""

    runs: tuple[tuple[Run, Laid], ...]
    cuts: int
    over: int
    cuts_proved: bool
    over_proved: bool


class Looked(NamedTuple):
    """What was found, and whether nothing was left untried."""

    best: Best | None
    whole_search: bool


def best_way(budget: Budget, found: Round, rules: Rules, apart: bool) -> Looked:
    """Return the way with the fewest cuts, then the fewest joints over joints, then the tidiest.

    apart: no joint may stand over one below.
    """
    floors = [fewest_run_cuts(run, rules) for run in found.runs]
    laid: dict[int, Laid | None] = {}
    sure = True
    best: tuple[tuple[int, int, int, int], Best] | None = None
    ways = sorted((total, way) for way in found.ways if (total := _total(floors, way)) >= 0)
    for least, way in ways:
        if best is not None and least > best[1].cuts:
            break
        for number in way:
            if number not in laid:
                laid[number], whole = lay_run(budget, found.runs[number], rules, apart)
                sure = sure and whole
        pairs = [(found.runs[number], run) for number in way if (run := laid[number]) is not None]
        if len(pairs) < len(way):
            continue
        cuts, over = sum(run.cuts for _, run in pairs), sum(run.over for _, run in pairs)
        sizes = {step for pair in pairs for step in _cut_steps(*pair, rules)}
        odd = sum(_odd(*pair, rules) for pair in pairs)
        rank = (cuts, over, len(sizes), odd)
        if best is None or rank < best[0]:
            best = rank, Best(tuple(pairs), cuts, over, cuts == ways[0][0], over == 0)
    if best is None:
        return Looked(None, sure)
    one = best[1]
    cuts_proved, over_proved = one.cuts_proved or sure, one.over_proved or sure
    return Looked(one._replace(cuts_proved=cuts_proved, over_proved=over_proved), sure)


def _cut_steps(run: Run, laid: Laid, rules: Rules) -> list[int]:
    last = len(laid.steps) - 1
    return [
        step
        for index, step in enumerate(laid.steps)
        if step != rules.pitch
        or (index == 0 and run.mitred[0])
        or (index == last and run.mitred[1])
    ]


def _odd(run: Run, laid: Laid, rules: Rules) -> int:
    at, places = run.start - rules.joint, []
    for step in laid.steps[:-1]:
        at += step
        places.append(at)
    return asymmetry(tuple(places), run.start + run.end - rules.joint)
