"""Working out what a sheet will ask next, while it is busy with its own cells.

At a new length a sheet asks for the job's layout first, and later for those of its options and for
the sizes near it. These slow questions are kept, with the two ranges of labels and values that they
were asked with. Where some values of the job's range change, ranges that had the same ones under
the same labels will have the new ones too. While nobody asks for anything, the same questions are
worked out for the values that are likely to be typed next: one more step the way of the last edit,
and the first sizes of the list. What is worked out ahead only stays in the engine's own memory of
results: a wrong guess costs time, and never gives a wrong answer.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from contextlib import suppress
from functools import lru_cache
from itertools import chain, pairwise
from operator import ne
from time import perf_counter
from typing import Final, NamedTuple, TypeGuard

from basinbook.catalogue import call, function
from basinbook.catalogue.joined import parted
from basinbook.catalogue.model import Array
from basinbook.engine import kinds

# Of these an answer takes milliseconds, and the engine remembers what it takes them for.
_LIST_OF_SIZES: Final = "MODULESIZES"
_SLOW: Final = frozenset({"TAKEOFFTABLE", _LIST_OF_SIZES, "AIMADVICE"})
# The job has a setting plan, its options have none.
_OF_THE_JOB: Final = "SETTINGRUNS"
_MOST_QUESTIONS: Final = 12
# More change where another job is opened, not where somebody types.
_MOST_CHANGES: Final = 3
_SIZES_TRIED: Final = 2
# What takes longer would keep a question waiting that comes in the meantime.
_QUICK: Final = 0.3
_DIGITS: Final = 9
_SAME: Final = 1e-6
_PLAIN: Final = {str, float, int, bool, type(None)}

Cells = tuple[object, ...]


class Question(NamedTuple):
    """A slow question: its function, labels and values, and the arguments after these."""

    name: str
    labels: Cells
    values: Cells
    others: Cells


class Edit(NamedTuple):
    """A number of the job that was typed over another: the label beside it, and both."""

    label: object
    before: float
    after: float


class Ahead:
    """The slow questions asked last, and those of them that are to be worked out anew.

    due: at the values that the job has now. likely: at those of a next edit, until another is made.
    """

    def __init__(self) -> None:
        self.due: deque[Question] = deque()
        self.likely: deque[Question] = deque()
        # Whether each was asked, or is a guess that nobody asked for yet.
        self._asked: dict[Question, bool] = {}
        self._job: tuple[Cells, Cells] = (), ()
        self._edit: Edit | None = None
        self._is_quick = True

    def look(self, name: object, arguments: Sequence[object]) -> None:
        """See what is asked; where the job's values are new, some questions become due."""
        found = _labelled(arguments)
        if found is None:
            return
        labels, values, others = found
        job_labels, before = self._job
        if name == _OF_THE_JOB or (labels == job_labels and self._is_job(labels, values)):
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

    def _is_job(self, labels: Cells, values: Cells) -> bool:
        """Return whether values under the job's labels are its own, and not those of an option."""
        _, job = self._job
        options = [one.values for one in self._asked if one.labels == labels and one.values != job]
        if values in options:
            return False
        far = _differences(values, job)
        return far <= _MOST_CHANGES and all(
            far <= _differences(values, option) for option in options
        )

    def _change(self, labels: Cells, before: Cells, after: Cells) -> None:
        self.due.clear()
        self.likely.clear()
        self._edit = None
        old = list(zip(labels, before, strict=True))
        changed = {pair: new for pair, new in zip(old, after, strict=True) if pair[1] != new}
        # A guess that nobody asked for, such as sizes no longer listed, is not made again.
        known = [question for question, asked in self._asked.items() if asked]
        self._asked = {}
        if len(changed) > _MOST_CHANGES:
            self._is_quick = True
            return
        if len(changed) == 1:
            (((label, number), new),) = changed.items()
            if _is_number(number) and _is_number(new):
                self._edit = Edit(label, float(number), float(new))
        for question in known:
            fresh = _changed(question, changed)
            self._asked[fresh] = fresh == question
            if fresh != question:
                self.due.append(fresh)

    def work(self) -> None:
        """Work out the first question that is due."""
        _answer(self.due.popleft())

    @property
    def is_curious(self) -> bool:
        """Whether there is a next edit to prepare for, while nobody asks for anything."""
        return self._is_quick and (self._edit is not None or bool(self.likely))

    def guess(self) -> None:
        """Work out one question as it will be asked after a next edit.

        Where that takes long, it is the last one at this job: what is asked in the meantime waits.
        """
        edit, self._edit = self._edit, None
        if edit is not None:
            known = list(self._asked)
            for change in self._next(edit):
                fresh = ((question, _changed(question, change)) for question in known)
                self.likely += [after for before, after in fresh if after != before]
        if self.likely:
            start = perf_counter()
            _answer(self.likely.popleft())
            self._is_quick = perf_counter() - start < _QUICK

    def _next(self, edit: Edit) -> Iterator[dict[tuple[object, object], object]]:
        """Yield changes that may come next: a step more of the same, and the first sizes listed."""
        yield {(edit.label, edit.after): edit.after + (edit.after - edit.before)}
        job = dict(zip(*self._job, strict=True))
        for question in self._asked:
            if question.name == _LIST_OF_SIZES and question[1:3] == self._job:
                for row in _sizes(question):
                    for label, size in row.items():
                        now = job.get(label)
                        if _is_number(now) and abs(size - now) > _SAME:
                            yield {(label, now): size}


def _differences(values: Cells, others: Cells) -> int:
    return sum(map(ne, values, others))


def _changed(question: Question, changes: dict[tuple[object, object], object]) -> Question:
    pairs = zip(question.labels, question.values, strict=True)
    return question._replace(values=tuple(changes.get(pair, pair[1]) for pair in pairs))


def _answer(question: Question) -> object:
    # Whatever is wrong with it is said where it is asked for.
    with suppress(Exception):
        return call(question.name, [question.labels], [question.values], *question.others).value
    return None


def _sizes(question: Question) -> list[dict[str, float]]:
    """Return the lengths of the first sizes in a list, by the labels of the inputs."""
    result, rows = function(question.name).result, _answer(question)
    if not isinstance(result, Array) or not isinstance(rows, list):
        return []
    found = []
    for row in rows[:_SIZES_TRIED]:
        named = zip(result.columns, row, strict=True)
        # A length comes back from SI units with its last digits changed.
        found.append(
            {
                column.name: round(size, _DIGITS)
                for column, size in named
                if column.kind == kinds.LENGTH and isinstance(size, float)
            }
        )
    return found


def _is_number(value: object) -> TypeGuard[float]:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


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
