"""Findings on the inputs."""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds
from basinbook.engine.findings.model import STOPS, Facts, Finding, Found, Phrase, Topic, fact


def _incomplete(facts: Facts) -> Found | None:
    problem = facts.text("problem")
    if not problem:
        return None
    return Found(
        Phrase("The inputs are not complete"),
        Phrase("{}", problem),
        Phrase(""),
        Phrase("Fill in or mend what is named"),
    )


INPUTS: Final = Topic(
    "inputs",
    {"problem": fact("Problem of the inputs", kinds.TEXT)},
    (
        Finding(
            "inputs not complete",
            STOPS,
            "Job_message",
            _incomplete,
            "All inputs that a layout, an order and a price hang on",
        ),
    ),
)
