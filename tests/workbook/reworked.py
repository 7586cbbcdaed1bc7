"""A workbook's values after edits, of which only what can differ is worked out anew.

What each formula reads is kept as it is worked out. A formula that read nothing that moved gives
what it gave; all others are worked out by the evaluator itself, in its own order. So the values are
those of a whole evaluation, which test_reworked compares.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from typing import Any

from basinbook.evaluation.areas import Area
from basinbook.evaluation.book import Book, Cell, Grid, Value
from basinbook.evaluation.budget import CURRENT
from basinbook.evaluation.evaluator import Evaluator
from basinbook.evaluation.here import Here, Needs
from basinbook.evaluation.values import Rows

Typed = Mapping[Cell, Any]
Node = Cell | Area
_BY_THE_CLOCK = re.compile(r"\b(TODAY|NOW|RAND\w*)\(", re.IGNORECASE)


class Reworked:
    """A book, what is typed over in it, the values that gives, and what each formula read."""

    def __init__(self, book: Book) -> None:
        """Work the book out as it is."""
        self.book = book
        self.typed: dict[Cell, Any] = {}
        self.reads: dict[Cell, set[Node]] = {}
        self.readers: dict[Node, set[Cell]] = defaultdict(set)
        self.by_the_clock = {
            (title, *at)
            for title, grid in book.grids.items()
            for at, formula in grid.formulas.items()
            if _BY_THE_CLOCK.search(formula.text)
        }
        self._areas: dict[str, set[Area]] = defaultdict(set)
        self._around: dict[Cell, list[Area]] = {}
        self._keep(_Tracing(book), {})
        self._at_first = self.anchors

    def type(self, typed: Typed) -> dict[Cell, Value]:
        """Return the values of all formula cells with these cells, and no others, typed over.

        The next edit starts from here.
        """
        run = self._rework(typed)
        self._keep(run, typed)
        return run.values

    def after(self, typed: Typed) -> dict[Cell, Value]:
        """Return the values as `type` does; the next edit starts from where this one has."""
        return self._rework(typed).values

    def moved(self, typed: Typed, wanted: Iterable[Cell] | None = None) -> dict[Cell, Value]:
        """Return those of the values that differ from where the edit starts.

        ``wanted``: only these cells and what they read have to be among them.
        """
        run = self._rework(typed, wanted)
        return {cell: run.values[cell] for cell in run.moved if cell in run.values}

    def _rework(self, typed: Typed, wanted: Iterable[Cell] | None = None) -> _Tracing:
        edited = {
            cell
            for cell in {*typed, *self.typed}
            if not (cell in typed and cell in self.typed and _same(typed[cell], self.typed[cell]))
        }
        # Where an array's first cell is typed over, its others are as stored.
        edited |= {cell for anchor in edited for cell in self.covered.get(anchor, ())}
        has_formulas = any(cell in self.anchors or cell in self._at_first for cell in edited)
        run = _Tracing(self._with(typed), None if has_formulas else self)
        run.start_from(self, edited)
        run.work(wanted)
        if run.failed:
            # Formulas that read each other in turns, before and after, look like a circle.
            run = _Tracing(run.book)
            run.start_anew(self)
            run.work(wanted)
        assert not run.failed
        return run

    def _with(self, typed: Typed) -> Book:
        over: dict[str, dict[tuple[int, int], Any]] = defaultdict(dict)
        for (sheet, row, column), value in typed.items():
            over[sheet][row, column] = value
        grids = dict(self.book.grids)
        for title, here in over.items():
            grid = grids[title]
            formulas = {at: formula for at, formula in grid.formulas.items() if at not in here}
            grids[title] = Grid(grid.name, {**grid.values, **here}, formulas, grid.hidden_rows)
        return Book(grids, self.book.names, self.book.tables, self.book.date_1904)

    def _keep(self, run: _Tracing, typed: Typed) -> None:
        if not run.values:
            run.work()
            assert not run.failed
        self.typed, self.values = dict(typed), run.values
        self.anchors, self.covered = run.anchors, run.covered
        for anchor, reads in run.reads.items():
            old = self.reads.get(anchor, set())
            for node in old - reads:
                self.readers[node].discard(anchor)
            for node in reads - old:
                self.readers[node].add(anchor)
                if isinstance(node, Area) and node not in self._areas[str(node.sheet)]:
                    self._areas[str(node.sheet)].add(node)
                    self._around.clear()
            self.reads[anchor] = reads

    def nodes(self, cell: Cell) -> list[Node]:
        """Return what a formula that reads the cell has read: the cell, or an area around it."""
        if cell not in self._around:
            sheet, row, column = cell
            self._around[cell] = [
                area
                for area in self._areas[sheet]
                if area.top <= row <= area.bottom and area.left <= column <= area.right
            ]
        return [cell, *self._around[cell]]


class _Tracing(Evaluator):
    """The evaluator, which notes what each formula reads and leaves those that can't have moved."""

    def __init__(self, book: Book, alike: Reworked | None = None) -> None:
        """``alike``: what has a book with the same cells that have formulas."""
        self._alike = alike
        super().__init__(book)
        self.anchors = self._anchors
        self.covered: dict[Cell, list[Cell]] = alike.covered if alike else defaultdict(list)
        if not alike:
            for cell, anchor in self._anchors.items():
                self.covered[anchor].append(cell)
        self.values: dict[Cell, Value] = {}
        self.failed: dict[Cell, str] = {}
        self.reads: dict[Cell, set[Node]] = {}
        self.moved: set[Cell] = set()
        self._reading: set[Node] = set()
        # Of an edit: values and reads before it, formulas that may have moved or have to be done.
        self._before: dict[Cell, Value] = {}
        self._read: dict[Cell, set[Node]] = {}
        self._doubtful: set[Cell] = set()
        self._anew: Collection[Cell] = self.covered
        # What was read of doubtful cells, and whether any of those has moved, once that is known.
        self._inside: dict[Node, list[Cell]] = {}
        self._has_moved: dict[Node, bool] = {}

    def _find_anchors(self) -> dict[Cell, Cell]:
        return self._alike.anchors if self._alike else super()._find_anchors()

    def start_from(self, before: Reworked, edited: Collection[Cell]) -> None:
        """Take over the values that no edited cell leads to."""
        self._before, self._read, self.moved = before.values, before.reads, set(edited)
        anew = {self._anchors[cell] for cell in edited if cell in self._anchors}
        anew |= before.by_the_clock & self.covered.keys()
        doubtful = set(anew)
        waiting = [*edited, *(cell for anchor in anew for cell in self.covered[anchor])]
        while waiting:
            cell = waiting.pop()
            for node in before.nodes(cell):
                if node in self._inside:
                    self._inside[node].append(cell)
                    continue
                self._inside[node] = [cell]
                for reader in before.readers.get(node, ()):
                    if reader in self.covered and reader not in doubtful:
                        doubtful.add(reader)
                        waiting += self.covered[reader]
        self._values = dict(self._before)
        for cell in (*edited, *(cell for anchor in doubtful for cell in self.covered[anchor])):
            self._values.pop(cell, None)
        self._doubtful, self._anew = doubtful - anew, anew

    def start_anew(self, before: Reworked) -> None:
        """Work everything out, and tell what has moved."""
        self._before = before.values

    def work(self, wanted: Iterable[Cell] | None = None) -> None:
        """Work out all formulas, or wanted ones and what they read."""
        asked = None if wanted is None else {self._anchors.get(cell) for cell in wanted}
        token = CURRENT.set(self.budget)
        try:
            for anchor in (*self._anew, *self._doubtful):
                if asked is None or anchor in asked:
                    self._settle(anchor)
        finally:
            CURRENT.reset(token)
        self.values, self.failed = self._values, self._not_computed

    def _compute(self, anchor: Cell, *, is_circular: bool) -> None:
        # In a circle it is worked out, whatever it read before: that tells whether it is one.
        if not is_circular and anchor in self._doubtful and self._stays(anchor):
            self._values.update((cell, self._before[cell]) for cell in self.covered[anchor])
            return
        self._reading = set()
        super()._compute(anchor, is_circular=is_circular)
        self.reads[anchor] = self._reading
        for cell in self.covered[anchor]:
            if cell not in self._before or not _same(self._before[cell], self._values.get(cell)):
                self.moved.add(cell)

    def _stays(self, anchor: Cell) -> bool:
        """Return whether nothing that a formula read has moved, once all of it is worked out."""
        missing: list[Cell] = []
        for node in self._read[anchor] & self._inside.keys():
            if node not in self._has_moved:
                cells = self._inside[node]
                anchors = (self._anchors[cell] for cell in cells if cell in self._anchors)
                if waiting := [at for at in anchors if not self._is_settled(at)]:
                    missing += waiting
                    continue
                self._has_moved[node] = not self.moved.isdisjoint(cells)
            if self._has_moved[node]:
                return False
        if missing:
            raise Needs(missing)
        return True

    def cell(self, title: str | None, row: int, column: int, here: Here) -> Value:
        self._reading.add((title.upper() if title else here.sheet, row, column))
        return super().cell(title, row, column, here)

    def _fetch(self, area: Area, *, trim: bool = False) -> Rows:
        self._reading.add(area if area.size > 1 else (str(area.sheet), area.top, area.left))
        return super()._fetch(area, trim=trim)


def _same(one: object, other: object) -> bool:
    # 1, 1.0 and TRUE are told apart, as functions may do.
    return type(one) is type(other) and repr(one) == repr(other)
