"""Working out what a sheet will ask next, while it is busy with its own cells.

At a new length a sheet asks for the job's layout first, and later for those of its options and for
the sizes near it. These slow questions are kept, with the two ranges of labels and values that they
were asked with. Where some values of the job's range change, ranges that had the same ones under
the same labels will have the new ones too. What is worked out ahead only stays in the engine's own
memory of results: a wrong guess costs time, and never gives a wrong answer.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from contextlib import suppress
from functools import lru_cache
from itertools import chain, pairwise
from typing import Final, NamedTuple

from basinbook.catalogue import call
from basinbook.catalogue.joined import parted

# Of these an answer takes milliseconds, and the engine remembers what it takes them for.
_SLOW: Final = frozenset({"TAKEOFFTABLE", "MODULESIZES"})
# The job has a setting plan, its options have none.
_OF_THE_JOB: Final = "SETTINGRUNS"
_MOST_QUESTIONS: Final = 12
# More change where another job is opened, not where somebody types.
_MOST_CHANGES: Final = 3
_PLAIN: Final = {str, float, int, bool, type(None)}

Cells = tuple[object, ...]


class Question(NamedTuple):
    """A slow question: its function, labels and values, and the arguments after these."""

    name: str
    labels: Cells
    values: Cells
    others: Cells


class Ahead:
    """The slow questions asked last, and those of them that are due to be worked out anew."""

    def __init__(self) -> None:
        self.due: deque[Question] = deque()
        # Whether each was asked, or is a guess that nobody asked for yet.
        self._asked: dict[Question, bool] = {}
        self._job: tuple[Cells, Cells] = (), ()

    def look(self, name: object, arguments: Sequence[object]) -> None:
        """See what is asked; where the job's values are new, some questions become due."""
        found = _labelled(arguments)
        if found is None:
            return
        labels, values, others = found
        job_labels, before = self._job
        if name == _OF_THE_JOB or labels == job_labels:
            self._job = labels, values
        if labels == job_labels and values != before:
            self._change(labels, before, values)
        if name in _SLOW:
            question = Question(str(name), labels, values, others)
            with suppress(ValueError):
                self.due.remove(question)
            self._asked.pop(question, None)
            self._asked[question] = True
            if len(self._asked) > _MOST_QUESTIONS:
                del self._asked[next(iter(self._asked))]

    def _change(self, labels: Cells, before: Cells, after: Cells) -> None:
        self.due.clear()
        old = list(zip(labels, before, strict=True))
        changed = {pair: new for pair, new in zip(old, after, strict=True) if pair[1] != new}
        # A guess that nobody asked for, such as sizes no longer listed, is not made again.
        known = [question for question, asked in self._asked.items() if asked]
        self._asked = {}
        if len(changed) > _MOST_CHANGES:
            return
        for question in known:
            pairs = zip(question.labels, question.values, strict=True)
            values = tuple(changed.get(pair, pair[1]) for pair in pairs)
            fresh = question._replace(values=values)
            self._asked[fresh] = values == question.values
            if values != question.values:
                self.due.append(fresh)

    def work(self) -> None:
        """Work out the first question that is due."""
        question = self.due.popleft()
        # Whatever is wrong with it is said where it is asked for.
        with suppress(Exception):
            call(question.name, [question.labels], [question.values], *question.others)


class _Range(NamedTuple):
    """The cells of a range, and whether they are plain values."""

    cells: Cells
    is_plain: bool


def _labelled(arguments: Sequence[object]) -> tuple[Cells, Cells, Cells] | None:
    """Return labels, values and what comes after them; None without two such ranges."""
    for at, (first, second) in enumerate(pairwise(arguments)):
        if (labels := _range(first)) is None or (values := _range(second)) is None:
            continue
        others = tuple(arguments[at + 2 :])
        if len(labels.cells) != len(values.cells) or not (labels.is_plain and values.is_plain):
            return None
        return labels.cells, values.cells, others if _plain(others) else ()
    return None


def _range(argument: object) -> _Range | None:
    """Return a range, or that of the text of one; None for a single value."""
    if isinstance(argument, list):
        return _flat(argument)
    return _of_text(argument) if type(argument) is str else None


@lru_cache(maxsize=64)
def _of_text(text: str) -> _Range | None:
    """Dozens of questions have the same two texts."""
    rows = parted(text)
    return None if rows is None else _flat(rows)


def _flat(rows: Sequence[object]) -> _Range:
    cells = tuple(
        chain.from_iterable(row if isinstance(row, (list, tuple)) else [row] for row in rows)
    )
    return _Range(cells, _plain(cells))


def _plain(cells: Cells) -> bool:
    return {*map(type, cells)} <= _PLAIN
