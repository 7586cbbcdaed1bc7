"""Findings on loads and lifting."""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds
from basinbook.engine.cautions import LOAD_CONSTANT
from basinbook.engine.findings.model import (
    LOOK,
    NOTE,
    Amount,
    Facts,
    Finding,
    Found,
    Phrase,
    Topic,
    fact,
    length,
)

# International Residential Code (2009), R404.4 and International Building Code (2009), 105.2: a
# wall over 48 in from the bottom of its footing, or one that holds back over 24 in.
_HIGH: Final = 48 * 0.0254
_RETAINED: Final = 24 * 0.0254
_SLACK: Final = 0.0005
_STANDS: Final = 1.0
_USUAL: Final = 1.5


def _engineer(facts: Facts) -> Found | None:
    base = facts.number("base_thickness") or 0.0
    said: list[str] = []
    parts: list[Amount | str] = []
    limits: list[str] = []
    bounds: list[Amount | str] = []
    for name, label in (
        ("wall_height", "wall with caps"),
        ("second_height", "second wall"),
        ("column_height", "columns"),
    ):
        height = facts.number(name)
        if height is not None and height > 0.0 and height + base > _HIGH + _SLACK:
            said.append(f"{label} {{}} from the bottom of the base")
            parts.append(length(height + base))
            limits.append(f"{label} {{}}")
            bounds.append(length(_HIGH))
    water = facts.number("water_depth")
    if water is not None and water > _RETAINED + _SLACK:
        said.append("water {} deep")
        parts.append(length(water))
        limits.append("water {}")
        bounds.append(length(_RETAINED))
    for name, label in (
        ("sliding", "sliding"),
        ("overturning", "overturning"),
        ("bond", "glue"),
        ("bearing", "bearing"),
    ):
        ratio = facts.number(name)
        if ratio is not None and ratio < _STANDS:
            said.append(f"{label} ratio {{}}")
            parts.append(Amount(ratio, kinds.RATIO))
            limits.append(f"{label} ratio {{}}")
            bounds.append(Amount(_STANDS, kinds.RATIO))
    if not said:
        return None
    return Found(
        Phrase("Needs an engineer, or a permit"),
        Phrase("; ".join(said), *parts),
        Phrase("; ".join(limits), *bounds),
        Phrase("Have it designed by licensed practice, or build lower; local code governs"),
    )


def _strip(facts: Facts) -> Found | None:
    low = [
        (label, ratio)
        for name, label in (("sliding", "sliding"), ("overturning", "overturning"))
        if (ratio := facts.number(name)) is not None and _STANDS <= ratio < _USUAL
    ]
    if not low:
        return None
    said = "; ".join(f"{label} {{}}" for label, _ in low)
    ratios = [Amount(ratio, kinds.RATIO) for _, ratio in low]
    return Found(
        Phrase("As a free strip, without glue and corners, the wall has little in hand"),
        Phrase(said, *ratios),
        Phrase("{}", Amount(_USUAL, kinds.RATIO)),
        Phrase("Glue every bed and corner; a thicker block gives more"),
    )


def _heavy(facts: Facts) -> Found | None:
    """What weighs more than one person's limit; where that is unknown, than its most anywhere."""
    said: list[str] = []
    masses: list[Amount | str] = []
    limits: list[Amount | str] = []
    for name, label in (("block", "block"), ("cap", "cap"), ("column_cap", "column cap")):
        mass, limit = facts.number(name), facts.number(f"{name}_limit")
        most = LOAD_CONSTANT if limit is None else limit
        if mass is not None and mass > most:
            said.append(f"{label} {{}}")
            masses.append(Amount(mass, kinds.MASS))
            limits.append(Amount(most, kinds.MASS))
    if not said:
        return None
    words = ", ".join(said)
    return Found(
        Phrase("A piece is over one person's limit at the reach and height it is lifted"),
        Phrase(words, *masses),
        Phrase(words, *limits),
        Phrase("Plan two people or a lifting tool, or say on the Job sheet how it is handled"),
    )


def _weight_unknown(facts: Facts) -> Found | None:
    missing = facts.text("missing_weight")
    if not missing:
        return None
    return Found(
        Phrase("A weight is unknown, so that lifting and loads are not judged"),
        Phrase("{}", missing),
        Phrase(""),
        Phrase("Type it on the Materials sheet"),
    )


LOADS: Final = Topic(
    "loads",
    {
        "wall_height": fact("Wall height with caps", kinds.LENGTH),
        "second_height": fact("Second wall height", kinds.LENGTH),
        "column_height": fact("Column height", kinds.LENGTH),
        "base_thickness": fact("Base thickness", kinds.LENGTH),
        "water_depth": fact("Water depth", kinds.LENGTH),
        "sliding": fact("Sliding ratio", kinds.RATIO),
        "overturning": fact("Overturning ratio", kinds.RATIO),
        "bond": fact("Bond ratio", kinds.RATIO),
        "bearing": fact("Bearing ratio", kinds.RATIO),
        "block": fact("Weight of a block", kinds.MASS),
        "cap": fact("Weight of a cap", kinds.MASS),
        "column_cap": fact("Weight of a column cap", kinds.MASS),
        "block_limit": fact("Limit for a block", kinds.MASS),
        "cap_limit": fact("Limit for a cap", kinds.MASS),
        "column_cap_limit": fact("Limit for a column cap", kinds.MASS),
        "missing_weight": fact("Missing weight", kinds.TEXT),
    },
    (
        Finding(
            "needs an engineer",
            LOOK,
            "Courses",
            _engineer,
            "48 in from the bottom of the base, or over 24 in held back: International "
            "Residential Code (2009), R404.4, International Building Code (2009), 105.2; and "
            "ratios of the Losses and loads sheet under 1",
        ),
        Finding(
            "weight unknown",
            LOOK,
            "Blocks_weight",
            _weight_unknown,
            "Every piece in the job has a weight on the Materials sheet",
        ),
        Finding(
            "little in hand as a strip",
            NOTE,
            "Water_depth",
            _strip,
            "Sliding and overturning ratio of 1.5 for a free strip of wall; common practice, "
            "no source",
        ),
        Finding(
            "heavy pieces",
            NOTE,
            "Block",
            _heavy,
            "Recommended weight limit at the reach and height of the Job sheet, at the most 23 kg "
            "(51 lb): DHHS (NIOSH) Publication 94-110",
        ),
    ),
)
