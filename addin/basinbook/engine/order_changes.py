"""What an order must say after a job has changed: the difference to what was ordered before."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError

ADD: Final = "add"
REDUCE: Final = "reduce"
CANCEL: Final = "cancel"
RETURN: Final = "return"
# Quantities are typed or rounded to packs; less than this is no difference.
_SAME: Final = 1e-9
_MOST_LINES: Final = 5_000


class Line(NamedTuple):
    """A line of an order. received: of its quantity, what has come."""

    item: str
    description: str
    quantity: float
    unit: str
    received: float = 0.0


class Change(NamedTuple):
    """A thing of which another quantity is wanted than was ordered.

    change: to order more, or less (negative). Of what is less, ``back`` has come already and is for
    return; the rest is still to come and can be taken off the order. word: "add", "reduce",
    "cancel" (nothing of it is wanted, nothing has come) or "return".
    """

    item: str
    description: str
    unit: str
    needed: float
    ordered: float
    change: float
    back: float
    word: str


class _Key(NamedTuple):
    """What makes two lines the same thing: words in any case, blanks aside, and the unit."""

    item: str
    description: str
    unit: str


def order_changes(needed: Iterable[Line], ordered: Iterable[Line]) -> list[Change]:
    """Return the changes, those of what is needed first, in its order, then what is no more needed.

    Lines of one thing are added up, over all orders sent. Raises InputError for a quantity that
    is no number of 0 or more (an order before may be negative: it took something off), and for
    more received than was ordered.
    """
    wanted, named = _added_up(needed, negative=False)
    had, names = _added_up(ordered, negative=True)
    found = []
    for key in dict.fromkeys((*wanted, *had)):
        line = named.get(key) or names[key]
        want, (had_all, come) = wanted.get(key, (0.0, 0.0))[0], had.get(key, (0.0, 0.0))
        if come > had_all + _SAME and had_all >= 0:
            raise InputError(
                f"received of {line.item} {line.description}".strip(),
                come,
                f"at most what was ordered, {had_all:g}",
            )
        change = want - had_all
        if abs(change) <= _SAME * max(1.0, want, abs(had_all)):
            continue
        back = max(0.0, come - want)
        found.append(
            Change(
                line.item, line.description, line.unit, want, had_all, change, back,
                _word(want, change, come, back),
            )
        )  # fmt: skip
    return found


def _word(want: float, change: float, come: float, back: float) -> str:
    if change > 0:
        return ADD
    if back > _SAME:
        return RETURN
    return CANCEL if want <= _SAME and come <= _SAME else REDUCE


def _added_up(
    lines: Iterable[Line], *, negative: bool
) -> tuple[dict[_Key, tuple[float, float]], dict[_Key, Line]]:
    """Return quantity and what has come of each thing, and a line that names it."""
    sums: dict[_Key, tuple[float, float]] = {}
    named: dict[_Key, Line] = {}
    for count, line in enumerate(lines, start=1):
        if count > _MOST_LINES:
            raise InputError("lines", "more", f"give at most {_MOST_LINES:,} lines")
        name = f"quantity of {line.item} {line.description}".strip()
        for value, least in ((line.quantity, -math.inf if negative else 0.0), (line.received, 0.0)):
            if not math.isfinite(value) or value < least:
                raise InputError(name, value, "give a number, 0 or more")
        key = _Key(_plain(line.item), _plain(line.description), line.unit.strip())
        quantity, come = sums.get(key, (0.0, 0.0))
        sums[key] = quantity + line.quantity, come + line.received
        named.setdefault(key, line)
    return sums, named


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
