"""What an order must say after a job has changed: the difference to what was ordered before."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from basinbook.engine.errors import InputError

ADD: Final = "add"
REDUCE: Final = "reduce"
CANCEL: Final = "cancel"
RETURN: Final = "return"
# What an order says begins with this where it takes the place of all orders before it.
REPLACES: Final = "replaces"
# Quantities are typed, rounded to packs or recorded as a sheet shows them, with some 10 digits;
# less than this is no difference.
_SAME: Final = 1e-7
_MOST_LINES: Final = 5_000


class Line(NamedTuple):
    """A line of an order. received: of its quantity, what has come."""

    item: str
    description: str
    quantity: float
    unit: str
    received: float = 0.0


class OrderedLine(NamedTuple):
    """A line of an order that was sent, and what became of it.

    Of its quantity ``received`` has come, ``broken`` of that can't be used, and ``missing`` will
    not come. What is neither has yet to come. A negative quantity took something off before.
    """

    order: str
    item: str
    description: str
    quantity: float
    unit: str
    received: float = 0.0
    broken: float = 0.0
    missing: float = 0.0


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


def replaced_orders(orders: Sequence[tuple[str, str]], *, anew: bool = False) -> set[str]:
    """Return the orders that later ones took the place of, of (number, what it is) as sent.

    anew: the next order is to take the place of all of them.
    """
    count = len(orders) if anew else 0
    for place, (_, what) in enumerate(orders):
        if what.strip().casefold().startswith(REPLACES):
            count = max(count, place)
    return {number for number, _ in orders[:count]}


def standing(lines: Iterable[OrderedLine], replaced: Iterable[str]) -> list[Line]:
    """Return what can be reckoned with of the orders sent: what has come whole, and is to come.

    Of an order that was replaced that is what has come. Raises InputError for more broken than
    has come, and for numbers below 0.
    """
    gone = set(replaced)
    found = []
    for one in lines:
        name = f"{one.item} {one.description}".strip()
        for value, what in ((one.broken, "broken"), (one.missing, "not coming")):
            if not (math.isfinite(value) and value >= 0):
                raise InputError(f"{what} of {name}", value, "give a number, 0 or more")
        if one.broken > max(one.received, 0.0) + _SAME:
            raise InputError(f"broken of {name}", one.broken, f"at most received, {one.received:g}")
        come = one.received - one.broken
        due = one.received if one.order in gone else one.quantity - one.missing
        found.append(Line(one.item, one.description, due - one.broken, one.unit, come))
    return found


class _Key(NamedTuple):
    """What makes two lines the same thing: words in any case, blanks aside, and the unit."""

    item: str
    description: str
    unit: str


def order_changes(needed: Iterable[Line], ordered: Iterable[Line]) -> list[Change]:
    """Return the changes, those of what is needed first, in its order, then what is no more needed.

    Lines of one thing are added up, over all orders sent; of what has come, more than was ordered
    counts as ordered, for it is there. Raises InputError for a quantity that is no number of 0 or
    more; in orders before it may be negative, where it took something off or went back.
    """
    wanted, named = _added_up(needed, negative=False)
    had, names = _added_up(ordered, negative=True)
    found = []
    for key in dict.fromkeys((*wanted, *had)):
        line = named.get(key) or names[key]
        want, (had_all, come) = wanted.get(key, (0.0, 0.0))[0], had.get(key, (0.0, 0.0))
        had_all = max(had_all, come)
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
        least = -math.inf if negative else 0.0
        for value in (line.quantity, line.received):
            if not math.isfinite(value) or value < least:
                raise InputError(name, value, "give a number, 0 or more")
        key = _Key(_plain(line.item), _plain(line.description), line.unit.strip())
        quantity, come = sums.get(key, (0.0, 0.0))
        sums[key] = quantity + line.quantity, come + line.received
        named.setdefault(key, line)
    return sums, named


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
