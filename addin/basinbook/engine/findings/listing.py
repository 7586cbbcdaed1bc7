"""The one list of findings, by topic."""

from __future__ import annotations

from typing import Final

from basinbook.engine.findings.inputs import INPUTS
from basinbook.engine.findings.loads import LOADS
from basinbook.engine.findings.model import Facts, Finding, Found, Topic
from basinbook.engine.findings.money import MONEY
from basinbook.engine.findings.sizes import SIZES
from basinbook.engine.findings.water import WATER

TOPICS: Final[dict[str, Topic]] = {
    topic.name: topic for topic in (INPUTS, SIZES, WATER, LOADS, MONEY)
}
FINDINGS: Final[dict[str, Finding]] = {
    finding.name: finding for topic in TOPICS.values() for finding in topic.findings
}
assert len(FINDINGS) == sum(len(topic.findings) for topic in TOPICS.values()), "a name stands twice"


def judged(topic: Topic, facts: Facts) -> list[tuple[Finding, Found | None]]:
    """Return each finding of a topic with what was found, or None."""
    return [(finding, finding.judge(facts)) for finding in topic.findings]
