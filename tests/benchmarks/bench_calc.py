"""Time from an edit to all cells recalculated in Calc: our template against native arithmetic.

Run: ``python tests/benchmarks/bench_calc.py [EARLIER]`` (needs LibreOffice). The demo job in our
template, and the same workbook with each add-in function replaced by native arithmetic on the
same cells: the function's own formula where it is a product or a quotient, a sum of its arguments
where it is more than a cell formula can say. What replaces a whole layout is thus far cheaper than
a layout; the ratio says what the add-in costs, not what the layout would cost as cell formulas.

EARLIER is a checkout of earlier code: its template with its functions is measured in the same run,
an edit here and an edit there in turns, so that a busy machine slows both. Beside the time on the
clock stands the processor time of office and engine, which a busy machine changes less: where
it is the larger, both worked at the same time.
"""

from __future__ import annotations

import contextlib
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import openpyxl
from openpyxl.worksheet.formula import ArrayFormula

sys.path.insert(0, str(Path(__file__).parents[1]))

from basinbook.catalogue import function
from basinbook.catalogue.model import Array
from basinbook.engine import kinds
from calc.calc_office import Office, private_profile, remove
from workbook.places import place

TURNS, EDITS = 6, 5
_HEAD = " {:>9}  office  engine  native  office"


@dataclass(frozen=True)
class Series:
    """One kind of edit: what, the defined name of the cell, first value, step, how many values.

    After that many values they come again, and the add-in remembers: what is left is the way there.
    pause [s] before each edit: the engine works out one more step meanwhile, counted as its time.
    """

    what: str
    name: str
    first: float
    step: float
    values: int = 1000
    listed: str = "yes"
    ranged: str = "no"
    pause: float = 0.0

    def value(self, number: int) -> float:
        return self.first + number % self.values * self.step


SERIES = (
    Series("new inside length, sizes listed", "Inside_length", 60.0, 1 / 16),
    Series("new inside length, not listed", "Inside_length", 63.0, 1 / 16, listed="no"),
    Series("  a step on, after a pause", "Inside_length", 66.0, 1 / 16, pause=1.5),
    Series("two inside lengths in turn", "Inside_length", 60.0, 1 / 16, 2),
    Series("new water depth", "Water_depth", 15.0, 1 / 32),
    Series("new inside length of an option", "Option_2_Inside_length", 60.0, 1 / 16),
    Series("no layout: adhesive waste", "Adhesive_waste", 0.05, 0.001),
    Series("no layout: labour rate", "Labour_rate", 50.0, 0.5),
    Series("  with the price's range", "Labour_rate", 80.0, 0.5, ranged="yes"),
    Series("no layout: hours of the pump", "Pump_hours", 5.0, 0.05),
)
# US units: inches, gallons (231 in³), pounds (62.4 lb/ft³ is 8.34 lb/gal), ft², yd³.
NATIVE: dict[str, Callable[..., str]] = {
    "WATERVOLUME": lambda a, b, c, *_: f"N({a})*N({b})*N({c})/231",
    "WATERWEIGHT": lambda a, *_: f"N({a})*8.34",
    "FILLTIME": lambda a, b, *_: f"N({a})/N({b})/60",
    "PACKS": lambda a, b, *_: f"ROUNDUP(N({a})/N({b}),0)",
    "BASEVOLUME": lambda a, b, *_: f"N({a})*N({b})/12/27",
    "LOOSEVOLUME": lambda a, b, *_: f"N({a})*N({b})",
    "BULKWEIGHT": lambda a, b, *_: f"N({a})*N({b})*27/2000",
    "CONVERTLENGTH": lambda a, *_: f"N({a})",
    "READLENGTH": lambda a, *_: f'TEXT(N({a}),"0.0##")&" in"',
    "LINERSHEET": lambda a, b, c, *_: f"(N({a})+2*N({b})+2*N({c}))/12",
}


def native_formula(formula: str, cells: str = "") -> str:
    """The formula with each call of an add-in function replaced by native arithmetic."""
    start = formula.find("BASIN.")
    if start < 0:
        return formula
    opening = formula.index("(", start)
    name = formula[start + len("BASIN.") : opening]
    pieces = list(_arguments(formula, opening))
    closing = opening + sum(len(piece) + 1 for piece in pieces)
    arguments = [native_formula(piece.strip()) for piece in pieces]
    replaced = formula[:start] + _native(name, arguments, cells)
    return replaced + native_formula(formula[closing + 1 :])


def _arguments(formula: str, opening: int) -> Iterator[str]:
    depth, quoted, begin = 0, False, opening + 1
    for at in range(opening + 1, len(formula)):
        letter = formula[at]
        if letter == '"':
            quoted = not quoted
        elif quoted:
            continue
        elif letter in "({":
            depth += 1
        elif letter in ")}" and depth:
            depth -= 1
        elif letter == ")" or (letter == "," and not depth):
            yield formula[begin:at]
            begin = at + 1
            if letter == ")":
                return


def _native(name: str, arguments: list[str], cells: str) -> str:
    if name in NATIVE:
        return f"({NATIVE[name](*arguments, '0', '0', '0')})"
    declared = function(name)
    plain = [text for text in arguments if text and not text.startswith('"') and text != "Units"]
    total = f"IFERROR(SUM({','.join(plain)}),0)" if plain else "0"
    if isinstance(declared.result, Array):
        return f"(ROW({cells})*{total})" if cells else "Job_values"
    if declared.result in (kinds.TEXT, kinds.CHOICE):
        return f'IF({total}<0,"low","")'
    return total


def make_native(source: Path, target: Path) -> tuple[int, int]:
    """Write the native workbook; return how many formulas it has and how many were replaced."""
    book = openpyxl.load_workbook(source)
    formulas = replaced = 0
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                value: Any = cell.value
                text = value.text if isinstance(value, ArrayFormula) else value
                if not isinstance(text, str) or not text.startswith("="):
                    continue
                formulas += 1
                if "BASIN." not in text:
                    continue
                replaced += 1
                if isinstance(value, ArrayFormula):
                    cell.value = ArrayFormula(value.ref, native_formula(text, value.ref))
                else:
                    cell.value = native_formula(text)
    book.save(target)
    return formulas, replaced


class Edit(NamedTuple):
    """What an edit took: time on the clock, processor time of office and of engine [s]."""

    clock: float
    office: float
    engine: float


@dataclass(frozen=True)
class Book:
    """A workbook open in an office of its own."""

    path: Path
    office: Office

    def cell(self, name: str) -> tuple[str, str]:
        return place(openpyxl.load_workbook(self.path, read_only=True), name)

    def time(self, cell: tuple[str, str], values: list[Any]) -> list[Edit]:
        """What each edit took."""
        before = self.processor()
        times: list[float] = self.office.time_edits([[*cell, value] for value in values], [])
        office, engine = (
            (after - old) / len(values) for old, after in zip(before, self.processor(), strict=True)
        )
        return [Edit(each, office, engine) for each in times]

    def processor(self) -> tuple[float, float]:
        """Processor time so far of office and engine [s]; 0 where the system doesn't tell."""
        used = [0.0, 0.0]
        for pid, line in self.office.processes().items():
            for thread in Path(f"/proc/{pid}/task").glob("*/schedstat"):
                with contextlib.suppress(OSError):
                    used["basinbook.hosts.serve" in line] += int(thread.read_text().split()[0])
        return used[0] / 1e9, used[1] / 1e9


def _python(tree: Path, folder: Path) -> Path:
    """An interpreter that runs the code of a checkout."""
    script = folder / "python"
    script.write_text(f'#!/bin/sh\nPYTHONPATH="{tree}/addin" exec "{sys.executable}" "$@"\n')
    script.chmod(0o755)
    return script


@contextlib.contextmanager
def _books(tree: Path) -> Iterator[tuple[Book, Book]]:
    """The demo job of a checkout and the same in native arithmetic, each open in an office."""
    folder, profile = Path(tempfile.mkdtemp(prefix="basinbook-bench-")), private_profile()
    other = Path(f"{profile}-native")
    try:
        python = str(_python(tree, folder))

        def run(*arguments: str) -> None:
            command = [python, "-P", "-m", "basinbook.cli", *arguments]
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)

        run("demo", "--out", str(folder / "demo"))
        run("addin", "install", "calc", "--profile", str(profile), "--python", python)
        (ours,) = (folder / "demo").glob("*.xlsx")
        native = folder / "native.xlsx"
        formulas, replaced = make_native(ours, native)
        print(f"{tree}: {formulas} formulas, {replaced} of them with add-in functions")
        shutil.copytree(profile, other)
        with Office(profile) as first, Office(other) as second:
            books = Book(ours, first), Book(native, second)
            for book in books:
                book.office.open(str(book.path))
                book.office.recalculate()
            yield books
            print(f"  memory of office and engine [KiB]: {first.memory()}")
    finally:
        remove(profile)
        remove(other)
        remove(folder)


def measure(series: Series, books: list[Book]) -> list[Edit]:
    """The medians of each book's edits, some here and some there in turns."""
    cells = [book.cell(series.name) for book in books]
    typed = [
        openpyxl.load_workbook(book.path)[sheet][at].value
        for book, (sheet, at) in zip(books, cells, strict=True)
    ]
    times: list[list[Edit]] = [[] for _ in books]
    for book, cell in zip(books, cells, strict=True):
        wanted = {"Sizes_listed": series.listed, "Range_wanted": series.ranged}
        book.office.set([[*book.cell(name), value] for name, value in wanted.items()])
        book.time(cell, [series.value(n) for n in range(3)])
    for turn in range(TURNS):
        first = 3 + turn * EDITS
        values = [series.value(n) for n in range(first, first + EDITS)]
        for book, cell, found in zip(books, cells, times, strict=True):
            if series.pause:
                for value in values:
                    time.sleep(series.pause)
                    found += book.time(cell, [value])
            else:
                found += book.time(cell, values)
    for book, cell, value in zip(books, cells, typed, strict=True):
        book.office.set([[*cell, value]])
    return [Edit(*map(statistics.median, zip(*found, strict=True))) for found in times]


def main() -> int:
    trees = [Path(__file__).parents[2], *(Path(given).resolve() for given in sys.argv[1:2])]
    with contextlib.ExitStack() as stack:
        books = [book for tree in trees for book in stack.enter_context(_books(tree))]
        print(f"medians of {TURNS * EDITS} edits [ms]; office, engine: processor time")
        print(f"{'':34}" + _HEAD.format("now") + _HEAD.format("earlier") * (len(trees) - 1))
        for series in SERIES:
            print(f"{series.what:34}", end="")
            found = measure(series, books)
            for ours, native in zip(found[::2], found[1::2], strict=True):
                clock, office, engine, alone = (1e3 * s for s in (*ours, native.clock))
                print(f" {clock:9.2f} {office:7.2f} {engine:7.2f} {alone:7.2f}", end="")
                print(f" {1e3 * native.office:7.2f}", end="")
            print(flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
