"""What the owner of a basin does with it: start-up, week by week, and before frost.

Only what the job has; lengths are written by a function that the caller gives. What each line says
is common practice, no source; where a maker's word counts, it says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from basinbook.engine.layout.model import Layout
from basinbook.engine.layout.results.heights import wall_top
from basinbook.engine.outfit import BOWL, BUBBLER, CIRCULATION, GOES_UP_TO, PREFORMED, Outfit
from basinbook.engine.steps import Write, counted, listed, service_caps

START_UP: Final = "start-up"
WEEKLY: Final = "every week"
WINTER: Final = "before frost"


def start_up(layout: Layout, outfit: Outfit, write: Write) -> Iterator[str]:
    """Yield how the basin is filled and, where it has a pump, started."""
    depth = layout.spec.water_depth
    free = wall_top(layout) - depth
    back = " Put back what was taken out for the winter." * outfit.runs
    yield f"Clear leaves and grit out of the basin.{back}"
    filled = f"{write(depth)} deep, {write(free)} under the top of the block"
    if outfit.automatic_fill:
        yield f"Open the supply of the automatic fill; it closes when the water is {filled}."
    else:
        yield f"Fill with the hose till the water is {filled}."
    if outfit.runs:
        yield "See that the pump stands under water, then plug it in. Fill up again while it runs."
        yield f"Watch it for some minutes: {_right(outfit)}."
    if outfit.light:
        yield f"Switch on the {_lights(outfit)}, and see that nothing drips where its lead goes."


def _right(outfit: Outfit) -> str:
    if outfit.effect == CIRCULATION:
        return "all the water comes back into the basin"
    if outfit.effect == BUBBLER:
        return "no water is lost over the rim"
    return "no water lands outside the basin"


def _lights(outfit: Outfit) -> str:
    return "lights" if outfit.lights > 1 else "light"


def weekly(layout: Layout, outfit: Outfit, write: Write) -> Iterator[str]:
    """Yield what is looked at each week."""
    depth = write(layout.spec.water_depth)
    if outfit.automatic_fill:
        yield f"See that the water is {depth} deep: the automatic fill may stick open or shut."
    else:
        yield f"Fill up to {depth} of water."
    yield "Take out leaves; brush off what grows on the walls below the water."
    if outfit.runs:
        yield "Unplug the pump, clear what it draws in through, and plug it in again."
    if outfit.pump or outfit.light:
        yield "Once a month press the test button of the ground-fault protection: it must trip."
    if outfit.runs and outfit.effect in GOES_UP_TO:
        yield f"Wipe the {GOES_UP_TO[outfit.effect]} clean: dirt turns the water aside."
    yield "Where the level falls much faster than it did, have the basin looked at for a leak."


def winter(layout: Layout, outfit: Outfit, write: Write) -> Iterator[str]:
    """Yield the steps of draining down before frost, in their order."""
    del write
    off = ["pump"] * outfit.runs + [_lights(outfit)] * bool(outfit.light)
    if off:
        yield f"Unplug the {listed(off)}, or have the circuit switched off."
    if outfit.automatic_fill:
        yield "Close the supply of the automatic fill and let its pipe run empty."
    pumped = "; or by the pump through a hose, stopped before it runs dry" * outfit.runs
    yield (
        "Drain the basin: by a siphon, where a full hose can end lower than its floor"
        f"{pumped}. Bail what is left."
    )
    caps = [cap.number for cap in service_caps(layout)]
    if caps:
        word = "caps" if len(caps) > 1 else "cap"
        yield f"For the pipe, lift off the loose {word} ({listed(caps)}), by two or with a tool."
    if outfit.runs and outfit.pipe:
        held = ", and open the check valve, which holds water in it" if outfit.check_valve else ""
        yield f"Take the pipe off the pump and let it run empty{held}."
    if outfit.runs:
        by = " through the access gap" if layout.access_gap else ""
        yield f"Take the pump out{by}, clean it and keep it as its maker's instructions say."
    if outfit.runs and outfit.effect == BOWL:
        yield "Empty the bowl: ice bursts it."
    keeps = " Tread on it with care: cold makes it stiff." if outfit.liner else ""
    made = "preformed liner" if outfit.liner_type == PREFORMED else "liner"
    stays = f"The {made} stays in.{keeps} " if outfit.liner else ""
    yield f"{stays}Look in after rain and thaw: water that gathers is drained again."


def parts(outfit: Outfit, write: Write) -> Iterator[tuple[str, str]]:
    """Yield the parts that may be bought again: what each is, and its name and size."""
    if outfit.runs:
        size = ""
        if outfit.pump_width and outfit.pump_height:
            size = f", {write(outfit.pump_width)} wide, {write(outfit.pump_height)} high"
        yield "Pump", f"{outfit.pump}{size}"
        if outfit.pipe:
            bore = f", {write(outfit.pipe_bore)} inside" if outfit.pipe_bore else ""
            yield "Pipe", f"{outfit.pipe}{bore}"
    for name, part, number in (
        ("Outlet", outfit.outlet, outfit.outlets),
        ("Check valve", outfit.check_valve, outfit.check_valves),
        ("Fitting through the wall", outfit.bulkhead, outfit.bulkheads),
        ("Cord passage", outfit.cord_passage, outfit.cord_passages),
        ("Light", outfit.light, outfit.lights),
        ("Automatic fill", outfit.automatic_fill, outfit.automatic_fills),
    ):
        if part:
            yield name, counted(number, part)
    if outfit.liner:
        said = outfit.liner_type in outfit.liner.lower()
        kind = "" if said else f", {outfit.liner_type}"
        yield "Liner", f"{outfit.liner}{kind}"
    if outfit.underlay:
        yield "Underlay", outfit.underlay


CARE: Final[dict[str, Callable[[Layout, Outfit, Write], Iterator[str]]]] = {
    START_UP: start_up,
    WEEKLY: weekly,
    WINTER: winter,
}
"""The lines of care by when they are done."""
