"""Water levels through a day: filled, start, running, stopped, after rain, before the next fill."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.engine.water.balance import DAY
from basinbook.engine.water.overflow import overflow_flow, overflow_head, rain_flow


@dataclass(frozen=True)
class Basin:
    """A basin's measures [m]: inside, and heights above the floor.

    ``intake`` is where the pump takes water in, ``filled`` the level at rest that it is filled to.
    """

    length: float
    width: float
    rim: float
    filled: float
    intake: float | None = None

    def __post_init__(self) -> None:
        """Refuse water over the rim."""
        if self.filled > self.rim:
            raise InputError("water_depth", self.filled, "allowed is at most the rim height")

    @property
    def area(self) -> float:
        """The water's surface [m²]."""
        return self.length * self.width


@dataclass(frozen=True)
class Moved:
    """Water [m³] that leaves the basin and comes back; None: not known.

    first: drawn at the first start, with an empty pipe and bowl; each: drawn at a later start if no
    check valve holds; back: what comes back when the pump stops.
    """

    first: float | None
    each: float | None
    back: float | None


@dataclass(frozen=True)
class Storm:
    """A storm: rain [m] in a time [s] on a catchment [m²]; a blank rain is not known."""

    rain: float | None
    duration: float
    catchment: float | None


@dataclass(frozen=True)
class Overflow:
    """An overflow pipe: height of its bottom over the floor and inside diameter [m]."""

    height: float
    diameter: float


@dataclass(frozen=True)
class DayLevel:
    """A level of the day: its name and depth over the floor [m], None where it is not known."""

    name: str
    depth: float | None


FILLED: Final = "1 filled, pump off"
FIRST: Final = "2 first start, all filling"
LATER: Final = "3 later start, not topped up"
RUNNING: Final = "4 running, topped up"
STOPPED: Final = "5 pump stopped"
LEAKED: Final = "6 stopped, no valve holds"
RAINED: Final = "7 stopped, after the storm"
BEFORE: Final = "8 running, before next fill"
NAMES: Final = (FILLED, FIRST, LATER, RUNNING, STOPPED, LEAKED, RAINED, BEFORE)


def day_levels(
    basin: Basin,
    moved: Moved | None,
    storm: Storm,
    loss: float | None,
    days: float,
    overflow: Overflow | None = None,
) -> tuple[DayLevel, ...]:
    """Return the levels of a day, in the order of ``NAMES``; without a pump (no ``moved``) fewer.

    loss: evaporation and splash, as a fall of the level [m/s]; days: between fills.
    Equations: each level is the one filled to, plus or less a volume over the inside area. Filled
    at rest, what a start draws lowers the level; filled while all runs, what comes back raises it:
    both are shown, as nobody knows when the hose is held in. After the storm the level is that of
    the stopped pump without a valve and the rain of the catchment, but not over what an overflow
    needs that carries the storm under the rim. Before the next fill the pump runs on what a later
    start leaves, less the loss of those days.
    Validity: vertical walls, still water. Source: balance of volumes; ``overflow_flow``.
    """
    area, filled = basin.area, basin.filled
    if moved is None:
        stopped: float | None = filled
        lowest: float | None = filled
        started = [DayLevel(FILLED, filled)]
    else:
        stopped = _plus(filled, moved.each, area)
        lowest = _plus(filled, moved.each, -area)
        started = [
            DayLevel(FILLED, filled),
            DayLevel(FIRST, _plus(filled, moved.first, -area)),
            DayLevel(LATER, lowest),
            DayLevel(RUNNING, filled),
            DayLevel(STOPPED, _plus(filled, moved.back, area)),
            DayLevel(LEAKED, stopped),
        ]
    rained = _rained(stopped, storm, overflow, basin)
    before = None if lowest is None or loss is None else lowest - loss * days * DAY
    names = (RAINED, BEFORE) if moved else ("2 after the storm", "3 before the next fill")
    return (*started, DayLevel(names[0], rained), DayLevel(names[1], before))


def storm_carried(overflow: Overflow, storm: Storm, rim: float) -> float | None:
    """Return an overflow's flow with the water at the rim [m] over that of a storm; None: unknown.

    1 and more: it carries the storm below the rim. Equations: those of ``overflow_flow`` and
    ``rain_flow``.
    """
    if not storm.rain or storm.catchment is None:
        return None
    flow = rain_flow(storm.rain, storm.duration, storm.catchment)
    return overflow_flow(overflow.diameter, rim - overflow.height) / flow


def _plus(level: float, volume: float | None, area: float) -> float | None:
    return None if volume is None else level + volume / area


def _rained(
    stopped: float | None, storm: Storm, overflow: Overflow | None, basin: Basin
) -> float | None:
    if stopped is None or storm.rain is None or storm.catchment is None:
        return None
    level = stopped + storm.rain * storm.catchment / basin.area
    if overflow is None:
        return level
    carried = storm_carried(overflow, storm, basin.rim)
    if carried is None or carried < 1.0:
        return level
    flow = rain_flow(storm.rain, storm.duration, storm.catchment)
    return min(level, overflow.height + overflow_head(overflow.diameter, flow))
