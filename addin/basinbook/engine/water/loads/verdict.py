"""The verdict on a basin's loads, in three grades; none of them says that anything holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from basinbook.engine import kinds
from basinbook.engine.kinds import Kind
from basinbook.engine.water.loads.box import BLOCK_BENDING, BoxLoad
from basinbook.engine.water.loads.ground import FOOT
from basinbook.engine.water.loads.ratios import rounded_down

# International Building Code (2009), section 1807.2.3: sliding and overturning.
LEAST_STABILITY_RATIO: Final = 1.5
# International Building Code (2009), section 105.2: walls over 4 ft, bottom of footing to top.
PERMIT_HEIGHT: Final = 4 * FOOT
# International Residential Code (2009), section R404.4: walls that retain over 24 in.
DESIGN_DEPTH: Final = 2 * FOOT

# Common practice, no source: inside up to 6 ft, water up to 20 in, walls of 8 in nominal; and a
# free column of 3 ft that something stands on.
COMMON_SPAN: Final = 6 * FOOT
COMMON_DEPTH: Final = 20 / 12 * FOOT
COMMON_THICKNESS: Final = 7.5 / 12 * FOOT
LOADED_COLUMN: Final = 3 * FOOT

ENGINEER: Final = "needs an engineer"
UNKNOWN: Final = "not judged"
CLOSER: Final = "look closer"
COMMON: Final = "within what is commonly built"


@dataclass(frozen=True)
class Reason:
    """What a grade rests on: subject, number, how it lies to the limit, kind of both, source."""

    subject: str
    number: float
    limit: float
    kind: Kind
    side: str
    source: str


@dataclass(frozen=True)
class Verdict:
    """A grade, its reasons, and what is not known."""

    grade: str
    reasons: tuple[Reason, ...]
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True)
class Judged:
    """What a basin is judged by: lengths [m], stresses [Pa], ratios; None where not known.

    heights: by what stands, from the bottom of the base; glue: whether its allowable is known;
    box: of the closed box; bending: of block, demand alone; push: ratio of a free column;
    loaded_column: height of a column that something stands on, 0 for none; slender: height over
    side of a column on or at walls, and its limit; ratios: others by name,
    with source and what is usual.
    """

    heights: Sequence[tuple[str, float]]
    water_depth: float
    longest: float
    thickness: float
    glue: bool
    box: BoxLoad | None = None
    bending: float | None = None
    push: float | None = None
    loaded_column: float = 0.0
    slender: tuple[float, float] = (0.0, 0.0)
    unknown: tuple[str, ...] = ()
    ratios: Sequence[tuple[str, float | None, str, float]] = ()


def verdict(judged: Judged) -> Verdict:
    """Return the grade of a basin with its reasons: the gravest only.

    Ratios are judged as ``rounded_down`` shows them. Sources of the limits stand in the reasons;
    local code goes before them.
    """
    grave = [
        Reason(f"{name} from the bottom of the base", height, PERMIT_HEIGHT, kinds.LENGTH, "over",
               "IBC 2009, 105.2")
        for name, height in judged.heights
        if height > PERMIT_HEIGHT * (1 + 1e-9)
    ]  # fmt: skip
    closer: list[Reason] = []

    def length(subject: str, number: float, limit: float, source: str, found: list[Reason]) -> None:
        if number > limit * (1 + 1e-9):
            found.append(Reason(subject, number, limit, kinds.LENGTH, "over", source))

    def ratio(subject: str, number: float | None, source: str, usual: float) -> None:
        if number is None:
            return
        shown = rounded_down(number)
        for limit, found in ((1.0, grave), (usual, closer)):
            if shown < limit:
                found.append(Reason(subject, shown, limit, kinds.RATIO, "under", source))
                return

    practice = "common practice"
    length("water", judged.water_depth, DESIGN_DEPTH, "IRC 2009, R404.4", grave)
    if judged.loaded_column >= LOADED_COLUMN * (1 - 1e-9):
        grave.append(
            Reason("free column with a weight on it", judged.loaded_column, LOADED_COLUMN,
                   kinds.LENGTH, "not under", practice)
        )  # fmt: skip
    slender, most = judged.slender
    if slender > most * (1 + 1e-9):
        what = "column on or at walls, height over side"
        grave.append(Reason(what, slender, most, kinds.RATIO, "over", "IRC 2006, R606.6"))
    if not judged.glue:
        unknown = "Allowable shear of the glue is blank, type its maker's figure"
        grave.append(Reason(unknown, 0.0, 0.0, kinds.TEXT, "", ""))
    if judged.box is not None and judged.glue:
        what = f"closed box, {judged.box.limit} at course {judged.box.course}: ratio"
        ratio(what, judged.box.ratio, "IBC 2009, 1807.2.3", LEAST_STABILITY_RATIO)
    if judged.bending:
        source = "ACI 318-14, 14.5.2"
        ratio("block in sideways bending: ratio", BLOCK_BENDING / judged.bending, source, 1.5)
    ratio("push on a column: ratio", judged.push, "IBC, 1607, 200 lb", LEAST_STABILITY_RATIO)
    for given in judged.ratios:
        ratio(*given)
    length("inside", judged.longest, COMMON_SPAN, practice, closer)
    length("water", judged.water_depth, COMMON_DEPTH, practice, closer)
    if judged.thickness < COMMON_THICKNESS * (1 - 1e-9):
        closer.append(
            Reason("wall", judged.thickness, COMMON_THICKNESS, kinds.LENGTH, "under", practice)
        )
    if grave:
        return Verdict(ENGINEER, tuple(grave), judged.unknown)
    if judged.unknown:
        return Verdict(UNKNOWN, (), judged.unknown)
    return Verdict(CLOSER, tuple(closer)) if closer else Verdict(COMMON, ())
