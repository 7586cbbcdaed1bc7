"""Parts of the water side that are chosen from the table of water parts, and counted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from basinbook.engine import outfit
from basinbook.engine.inputs import Input, cell_name
from basinbook.engine.kinds import COUNT, TEXT
from basinbook.engine.outfit import BOWL, BUBBLER, CIRCULATION, EFFECTS, LIP, NOTCH, STILL


@dataclass(frozen=True)
class Part:
    """A part of the water side that is chosen from the table of water parts, and counted.

    ``field`` and ``counted`` name it and its number in ``engine.outfit``; ``kinds`` are the kinds
    of part that it may be by the effect, "" for any effect that is not named; an effect of no
    kind has no such part. ``help`` stands beside it. ``first``: a blank name stands for the first
    row of the kind, as the effect can't do without it.
    """

    field: str
    counted: str
    named: str
    kinds: dict[str, str]
    help: str
    first: bool = False

    @property
    def label(self) -> str:
        """Its label, as the outfit has it."""
        return outfit.FIELDS[self.field].label

    @property
    def name(self) -> str:
        """The name of the cell that it is chosen in."""
        return self.named or cell_name(self.label)

    @property
    def count(self) -> str:
        """The name of the cell of its number."""
        return f"{self.name}_count"

    def gone(self, effect: str) -> str:
        """Formula text: whether a job of the effect in this cell has no such part."""
        without = [f'{effect}="{each}"' for each in EFFECTS if not self.kind_for(each)]
        return f"OR({','.join(without)})" if without else "FALSE"

    def row(self, effect: str) -> str:
        """Formula text of the row of the table that counts by the effect in this cell, or blank."""
        if not self.first:
            return self.name
        kind = '""'
        for each in EFFECTS:
            if wanted := self.kind_for(each):
                kind = f'IF({effect}="{each}","{wanted}",{kind})'
        found = f"INDEX(Water_parts_name,MATCH({kind},Water_parts_kind,0))"
        return f'IF({self.name}="",IFERROR({found},""),{self.name})'

    def kind_for(self, effect: str) -> str:
        """Return the kind of part that the effect wants here, or "" for none."""
        return self.kinds.get(effect, self.kinds.get("", ""))


PART_KINDS: Final = (
    "spillway", "bowl", "bubbler", "bulkhead fitting", "check valve", "cord passage", "light",
    "automatic fill",
)  # fmt: skip
_OUTLETS: Final = {LIP: "spillway", NOTCH: "spillway", BOWL: "bowl", BUBBLER: "bubbler"}
PARTS: Final = (
    Part(
        "outlet",
        "outlets",
        "Outlet",
        _OUTLETS,
        "Blank: the first of the effect's kind on the Materials sheet; number 0 for none",
        first=True,
    ),
    Part("bulkhead", "bulkheads", "", {"": "bulkhead fitting"}, "Where pipe passes the wall"),
    Part(
        "check_valve",
        "check_valves",
        "",
        {STILL: "", "": "check valve"},
        "Keeps the pipe full when the pump stops",
    ),
    Part(
        "cord_passage",
        "cord_passages",
        "",
        {STILL: "", "": "cord passage"},
        "Where the pump's cord leaves the basin",
    ),
    Part("light", "lights", "", {"": "light"}, "In still water too"),
    Part("automatic_fill", "automatic_fills", "", {"": "automatic fill"}, "In still water too"),
)
assert {kind for part in PARTS for kind in part.kinds.values() if kind} == set(PART_KINDS)
assert not PARTS[0].kind_for(CIRCULATION)
MOST_PARTS: Final = 1000


def part_inputs() -> Iterable[Input]:
    """Yield each part and its number."""
    for part in PARTS:
        name, counted = part.name, outfit.FIELDS[part.counted]
        help = part.help if part.first else f"{part.help}; blank for none"
        yield Input(part.label, TEXT, help=help, rows_of="Water_parts", named=name)
        yield Input(
            counted.label, COUNT, help="Blank is 1", low=0, high=MOST_PARTS, named=part.count
        )
