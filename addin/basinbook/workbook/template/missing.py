"""What a price, an order or a weight lacks: the cell to fill in, named as the sheets show it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from basinbook.workbook.template.costs import Fact, MaterialLine
from basinbook.workbook.template.formulas import COMPLETE
from basinbook.workbook.template.inputs import BY_NAME
from basinbook.workbook.template.sheet_writer import Area, Template


class Lack(NamedTuple):
    """Formula texts of a cell's value, of what it is called, and of whether it is of no use."""

    value: str
    called: str
    fault: str
    give: str


def lack_of(template: Template, fact: Fact) -> Lack:
    """Return what to say of a fact of the cost model, whose table must have been written."""
    if not fact.table:
        given = BY_NAME[fact.name]
        called = f'"{given.label} ({given.sheet} sheet)"'
    else:
        sheet, title, heading = template.columns[f"{fact.table}_{fact.name}"]
        of = ", for" if heading.endswith(" of") else " of"
        called = f'"{heading}{of} """&{fact.row}&""" ({sheet} sheet, {title})"'
    return Lack(fact.value, called, fact.fault, fact.give)


def told(known: str, lacks: Iterable[Lack]) -> str:
    """Return formula text of the first thing lacking, looked for where ``known`` has no number.

    Without such a cell it is looked for in any case.
    """
    text = f'"{COMPLETE}"'
    for lack in reversed(tuple(lacks)):
        blank = f'IF({lack.value}=""," is blank"," can\'t be used: {lack.give}")'
        text = f"IF({lack.fault},{lack.called}&{blank},{text})"
    if known:
        text = f'IF(ISNUMBER({known}),"{COMPLETE}",{text})'
    return f'IFERROR({text},"{COMPLETE}")'


@dataclass(frozen=True)
class Lines:
    """What lines lack, on the working sheet: a column of texts, and 1 beside each that tells."""

    texts: Area
    marks: Area

    @property
    def count(self) -> str:
        """Formula text of how many lines lack something."""
        return f"SUM({self.marks})"

    def first(self, none: str, start: int = 1) -> str:
        """Return formula text of the first thing lacking from a line on, counted from 1."""
        text, mark = (
            f"{area.cell(start, 1)}:{area.letters[0]}{area.last}"
            for area in (self.texts, self.marks)
        )
        return f'IF(SUM({mark})=0,"{none}",INDEX({text},MATCH(1,{mark},0)))'


def put_lines(
    template: Template, headings: Sequence[str], lines: Sequence[Sequence[str]]
) -> list[Lines]:
    """Write what each line lacks, in formula texts one to a heading; return what each column tells.

    An edit works anew only the lines that read the edited cell, and the counts of them.
    """
    mark = f'=IF({{left}}{{row}}="{COMPLETE}",0,1)'
    rows = [[cell for text in line for cell in (f"={text}", mark)] for line in lines]
    names = [name for heading in headings for name in (heading, "1 where something is")]
    areas = template.block(names, rows)
    return [Lines(*pair) for pair in zip(areas[::2], areas[1::2], strict=True)]


def of_material(template: Template, line: MaterialLine, ordered: str, cost: str) -> tuple[str, str]:
    """Return what a material lacks for the order, and for the price beside that.

    ``ordered`` and ``cost`` are its cells, which have a number where nothing is lacking. What is
    not chosen lacks nothing here.
    """
    facts = [lack_of(template, fact) for fact in line.quantity_facts]
    price = lack_of(template, line.price_fact)
    for_order, for_price = (
        f'IF({line.none},"{COMPLETE}",{told(*of)})' for of in ((ordered, facts), (cost, [price]))
    )
    return for_order, for_price
