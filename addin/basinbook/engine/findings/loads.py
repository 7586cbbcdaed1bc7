"""Findings on loads and lifting."""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds
from basinbook.engine.cautions import LOAD_CONSTANT, LOCAL
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
)
from basinbook.engine.water.loads import CLOSER, ENGINEER


def _graded(facts: Facts, grade: str) -> Phrase | None:
    """Return the reasons of the Losses and loads sheet's verdict where it has this grade."""
    said = facts.text("verdict")
    start = f"{grade.capitalize()}: "
    if not said.startswith(start):
        return None
    reasons = said.removeprefix(start).removesuffix(f" {LOCAL}")
    return Phrase("{}", reasons.removesuffix("."))


def _engineer(facts: Facts) -> Found | None:
    reasons = _graded(facts, ENGINEER)
    if not reasons:
        return None
    return Found(
        Phrase("Needs an engineer, or a permit"),
        reasons,
        Phrase(""),
        Phrase("Have it designed by licensed practice, or build lower; local code governs"),
    )


def _closer(facts: Facts) -> Found | None:
    reasons = _graded(facts, CLOSER)
    if not reasons:
        return None
    return Found(
        Phrase("Loads have less in hand than is commonly built"),
        reasons,
        Phrase(""),
        Phrase(
            "Glue more of every bed and corner still to lay"
            if facts.stands
            else "Glue more of every bed and corner; a thicker block gives more"
        ),
    )


_PIECES: Final = (("block", "block"), ("cap", "cap"), ("column_cap", "column cap"))


def _heavy(facts: Facts) -> Found | None:
    """What weighs more than one person's limit; where that is unknown, than its most anywhere."""
    said: list[str] = []
    masses: list[Amount | str] = []
    limits: list[Amount | str] = []
    for name, label in _PIECES:
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
        Phrase(
            "Plan two people or a lifting tool, or say under Lifting on the Labour and pricing "
            "sheet how it is handled"
        ),
    )


def _limit_unknown(facts: Facts) -> Found | None:
    unjudged = [
        label
        for name, label in _PIECES
        if facts.number(name) is not None and facts.number(f"{name}_limit") is None
    ]
    if not unjudged:
        return None
    return Found(
        Phrase("A lifting limit is unknown, so that a piece is judged by its most anywhere"),
        Phrase(", ".join(unjudged)),
        Phrase("{}", Amount(LOAD_CONSTANT, kinds.MASS)),
        Phrase("Say under Lifting on the Labour and pricing sheet how pieces are handled"),
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
        "verdict": fact("Verdict on loads", kinds.TEXT),
        "block": fact("Weight of a block", kinds.MASS),
        "cap": fact("Weight of a cap", kinds.MASS),
        "column_cap": fact("Weight of a column cap", kinds.MASS),
        "block_limit": fact("Limit for a block", kinds.MASS),
        "cap_limit": fact("Limit for a cap", kinds.MASS),
        "column_cap_limit": fact("Limit for a column cap", kinds.MASS),
        "missing_weight": fact("Missing weight", kinds.TEXT),
        "laid": fact("Courses laid", kinds.COUNT),
    },
    (
        Finding(
            "needs an engineer",
            LOOK,
            "Courses",
            _engineer,
            "Verdict of the Losses and loads sheet: over 48 in from the bottom of the base or over "
            "24 in held back (International Building Code (2009), 105.2; International Residential "
            "Code (2009), R404.4), ratios under 1, glue without a figure",
        ),
        Finding(
            "weight unknown",
            LOOK,
            "Blocks_weight",
            _weight_unknown,
            "Every piece in the job has a weight on the Materials sheet",
        ),
        Finding(
            "lifting limit unknown",
            LOOK,
            "Lift_reach",
            _limit_unknown,
            "A limit follows from reach and height as typed under Lifting: DHHS (NIOSH) "
            "Publication 94-110",
        ),
        Finding(
            "look closer at the loads",
            NOTE,
            "Water_depth",
            _closer,
            "Verdict of the Losses and loads sheet: ratios of 1 to 1.5 of the closed box, inside "
            "over 72 in, water over 20 in, a wall under 7 1/2 in; common practice, no source",
        ),
        Finding(
            "heavy pieces",
            NOTE,
            "Block",
            _heavy,
            "Recommended weight limit at reach and height as typed under Lifting, at most 23 kg "
            "(51 lb): DHHS (NIOSH) Publication 94-110",
        ),
    ),
)
