"""How much searching a layout may take: counted in steps, so that results repeat on any machine.

All searches of one layout draw on one budget. When it ends, each gives the best that it has
found, marked as not proved. A search solved before, for another layout or cell, is charged as if
it were made anew: so what a layout comes to never depends on what was asked for earlier.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from typing import Concatenate, Final, Generic, ParamSpec, TypeVar

LAYOUT_STEPS: Final = 600_000
"""Steps for one layout; a step takes some microseconds."""

_RESERVE: Final = 280_000
_LAST_TRY: Final = 90_000
_WITHOUT_END: Final = 1 << 60

_Inputs = ParamSpec("_Inputs")
_Found = TypeVar("_Found")


class _Key:
    """A search and its inputs, which are deep enough to hash once only."""

    __slots__ = ("_hash", "inputs")

    def __init__(self, inputs: tuple[object, ...]) -> None:
        self.inputs = inputs
        self._hash = hash(inputs)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self.inputs == other.inputs


class _Cost:
    """Steps that a remembered search took itself, and the remembered searches it asked.

    doubtful: see ``Budget``.
    """

    __slots__ = ("_every", "doubtful", "key", "own", "parts")

    def __init__(self, key: _Key) -> None:
        self.key = key
        self.own = 0
        self.doubtful = False
        self.parts: list[_Cost] = []
        self._every: tuple[_Cost, ...] | None = None

    def every(self) -> tuple[_Cost, ...]:
        """Return it with all searches that it asked and that these asked, each once."""
        if self._every is None:
            found = {self.key: self}
            for part in self.parts:
                for one in part.every():
                    found.setdefault(one.key, one)
            self._every = tuple(found.values())
        return self._every


class Budget:
    """Steps left for the searches of one layout.

    reserve: kept back for finding anything at all. doubtful: whether a search found nothing though
    it did not look everywhere, so that there may be something all the same.
    """

    def __init__(self, steps: int = LAYOUT_STEPS, reserve: int = _RESERVE) -> None:
        self.left = steps
        self.reserve = reserve
        self.doubtful = False
        self._paid: dict[_Key, _Cost] = {}
        self._open = _Cost(_Key(()))
        self._asked = 0
        # Last tries that found nothing, with steps left.
        self._failed: set[Hashable] = set()

    @property
    def ended(self) -> bool:
        """Whether no steps are left."""
        return self.left < 0

    def take(self, steps: int = 1) -> bool:
        """Use some steps; tell whether they were there."""
        self.left -= steps
        return self.left >= 0

    def nothing_left_out(self, search: Callable[[], _Found]) -> tuple[_Found, bool]:
        """Return what a search finds, and whether nothing more than that can be there."""
        before, self.doubtful = self.doubtful, False
        found = search()
        whole = not self.ended and not self.doubtful
        self.doubtful = self.doubtful or before
        return found, whole

    @contextmanager
    def part(self, steps: int) -> Iterator[None]:
        """Let the searches inside use so many of the steps at most."""
        given = min(steps, self.left)
        kept = self.left - given
        self.left = given
        try:
            yield
        finally:
            self.left += kept

    @contextmanager
    def at_least(self, steps: int) -> Iterator[None]:
        """Let the searches inside use so many steps where fewer are left; what is lent goes first.

        For what follows from a layout whose search may have used all.
        """
        before = self.left
        self.left = max(before, steps)
        try:
            yield
        finally:
            self.left = min(before, self.left)

    @contextmanager
    def trial(self, steps: int) -> Iterator[None]:
        """Let a search inside, whose failing does no harm, use so many of the steps at most."""
        given = min(self.reserve, _LAST_TRY // 3)
        kept, self.reserve = self.reserve - given, given
        try:
            with self.part(steps):
                yield
        finally:
            self.reserve += kept

    def last_try(self, what: Hashable, search: Callable[[], _Found | None]) -> _Found | None:
        """Let a search without any result use some of the reserve after the end.

        what: the search and its inputs. Where it failed before with steps left, it would again;
        where these came to their end, it gets further with what is remembered.
        """
        if what in self._failed:
            return None
        given = min(self.reserve, _LAST_TRY)
        if given <= 0:
            self.left = -1
            return None
        self.left = given
        try:
            found = search()
            if found is None and not self.ended:
                self._failed.add(what)
            return found
        finally:
            self.reserve -= given - max(0, self.left)
            self.left = -1

    def kept(self, key: _Key, cost: _Cost | None) -> bool:
        """Return whether a result made before may be used: charged already, or affordable now.

        cost: of the result where it is still at hand.
        """
        paid = self._paid.get(key)
        if paid is None:
            if cost is None or not self._charge(cost):
                return False
            paid = cost
        self.doubtful = self.doubtful or paid.doubtful
        self._open.parts.append(paid)
        return True

    def _charge(self, cost: _Cost) -> bool:
        paid = self._paid
        fresh = {one.key: one for one in cost.every() if one.key not in paid}
        due = sum([one.own for one in fresh.values()])
        if due > self.left:
            return False
        self.left -= due
        self._asked += due
        self._paid |= fresh
        return True

    def recorded(self, key: _Key, search: Callable[[], _Found]) -> tuple[_Found, _Cost | None]:
        """Run a search; its cost is None where the budget cut it short."""
        cost, before = _Cost(key), self.left
        outer, asked = self._open, self._asked
        self._open, self._asked = cost, 0
        doubtful, self.doubtful = self.doubtful, False
        try:
            found = search()
        finally:
            cost.doubtful = self.doubtful
            self.doubtful = self.doubtful or doubtful
            used = before - self.left
            cost.own = used - self._asked
            self._open, self._asked = outer, asked + used
        if self.ended:
            return found, None
        # Each once: what is asked for again costs no more.
        cost.parts = list(dict.fromkeys(cost.parts))
        self._paid[key] = cost
        outer.parts.append(cost)
        return found, cost

    def free(self, search: Callable[[], _Found]) -> _Found:
        """Run a search again that this layout was charged for, but whose result is gone."""
        left, asked, opened = self.left, self._asked, self._open
        self.left, self._open = _WITHOUT_END, _Cost(_Key(()))
        try:
            return search()
        finally:
            self.left, self._asked, self._open = left, asked, opened


class Remembered(Generic[_Inputs, _Found]):
    """A search that keeps its last results by their inputs, and what each of them cost."""

    def __init__(self, search: Callable[Concatenate[Budget, _Inputs], _Found], most: int) -> None:
        self._search = search
        self._most = most
        self._results: dict[_Key, tuple[_Found, _Cost]] = {}
        self.__doc__ = search.__doc__

    def __call__(self, budget: Budget, *inputs: _Inputs.args, **named: _Inputs.kwargs) -> _Found:
        """Return the result; see the search itself."""
        key = _Key((self, *inputs))
        result = self._results.pop(key, None)
        if budget.kept(key, result[1] if result is not None else None):
            if result is None:
                return budget.free(lambda: self._search(budget, *inputs, **named))
            self._results[key] = result
            return result[0]
        found, cost = budget.recorded(key, lambda: self._search(budget, *inputs, **named))
        if cost is not None:
            self._results[key] = found, cost
            if len(self._results) > self._most:
                del self._results[next(iter(self._results))]
        return found

    def cache_clear(self) -> None:
        """Forget all results."""
        self._results.clear()


def remembered(
    most: int,
) -> Callable[[Callable[Concatenate[Budget, _Inputs], _Found]], Remembered[_Inputs, _Found]]:
    """Return a decorator that keeps so many results of a search; inputs by position only."""
    return lambda search: Remembered(search, most)
