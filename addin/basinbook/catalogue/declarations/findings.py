"""The worksheet function that lists what stands in the way of a job."""

from __future__ import annotations

from typing import Final

from basinbook.catalogue.labelled import Rows, flat_pairs, labelled, read_known
from basinbook.catalogue.model import Argument, Array, Column, Example, choice, worksheet_function
from basinbook.engine import kinds
from basinbook.engine.findings.listing import TOPICS, judged
from basinbook.engine.findings.model import Amount, Facts, Phrase
from basinbook.units import shown

_KNOWN: Final = {name: labelled(topic.facts) for name, topic in TOPICS.items()}
_LONGEST: Final = 400


@worksheet_function(
    category="Findings",
    summary="What stands in the way of a job, or is worth a look, judged from its facts",
    details="One row for each finding of the topic, blank from the third column on where it is "
    "not there. Grades: stops (not sent), look (sent with a reason), note.",
    arguments=(
        choice("topic", "What the findings are about", tuple(TOPICS)),
        Argument("labels", kinds.RANGE, "Range of labels of the facts, as the docs list them"),
        Argument("values", kinds.RANGE, "Range of the facts beside the labels; blank: unknown"),
    ),
    result=Array(
        (
            Column("Finding", kinds.TEXT),
            Column("Grade", kinds.TEXT),
            Column("Found", kinds.TEXT),
            Column("Value", kinds.TEXT),
            Column("Limit", kinds.TEXT),
            Column("Change", kinds.TEXT),
            Column("Cell", kinds.TEXT),
        )
    ),
    source="Each finding in docs/findings.md",
    examples=(
        # 14 days before the order: stops. 200 days against 180: to look at.
        Example(
            (
                "money",
                '[["Days from order to delivery"],["Age of the prices"],["Prices good for"],'
                '["Prices dated"]]',
                '[[-14],[200],[180],["yes"]]',
            ),
            "needed before ordered\tstops\tThe goods are needed before they are ordered\t"
            "14 d before the order date\ton the order date or later\t"
            "Mend the order date or the day they are needed by\tOrder_needed_by\n"
            "price unknown\tlook\t\t\t\t\tPrice_total\n"
            "old prices\tlook\tThe prices are old\t200 d\t180 d\t"
            "Ask the supplier again, and set the date of the prices\tPrices_as_of\n"
            "prices without a date\tnote\t\t\t\t\tPrices_as_of",
        ),
    ),
)
def findings(topic: str, labels: Rows, values: Rows, system: str) -> list[tuple[str, ...]]:
    facts = Facts(read_known(*flat_pairs(labels, values), system, _KNOWN[topic]))
    return [
        (
            finding.name,
            finding.grade,
            *(
                (
                    _said(found.what, system),
                    _said(found.value, system),
                    _said(found.limit, system),
                    _said(found.change, system),
                )
                if found
                else ("", "", "", "")
            ),
            finding.cell,
        )
        for finding, found in judged(TOPICS[topic], facts)
    ]


def _said(phrase: Phrase, system: str) -> str:
    parts = (
        shown(part.number, part.kind, system) if isinstance(part, Amount) else part[:_LONGEST]
        for part in phrase.parts
    )
    return phrase.text.format(*parts)
