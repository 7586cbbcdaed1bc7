"""Time from an edit to all cells recalculated in Calc: our template against native arithmetic.

Run: ``python tests/benchmarks/bench_calc.py`` (needs LibreOffice). In one office, one after the
other: the demo job in our template, and the same workbook with each add-in function replaced by
native arithmetic on the same cells: the function's own formula where it is a product or a
quotient, a sum of its arguments where it is more than a cell formula can say. What replaces a
whole layout is thus far cheaper than a layout; the ratio says what the add-in costs, not what
the layout would cost as cell formulas.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.worksheet.formula import ArrayFormula

sys.path.insert(0, str(Path(__file__).parents[1]))

from basinbook.catalogue import function
from basinbook.catalogue.model import Array
from basinbook.cli import main as basinbook
from basinbook.engine import kinds
from basinbook.workbook.template.demo_job import DEMO_US
from basinbook.workbook.template.template_files import make_workbook
from calc.calc_office import Office, private_profile, remove

EDITS = 30
# What is typed anew, the defined name of its cell, the first value, the step, and how many values
# there are before they come again (then the add-in remembers: what is left is the way there).
SERIES = (
    ("inside length: new layouts", "Inside_length", 60.0, 1 / 16, 1000),
    ("inside length: two, in turn", "Inside_length", 60.0, 1 / 16, 2),
    ("water depth: same bond", "Water_depth", 15.0, 1 / 32, 1000),
    ("adhesive waste: no layout", "Adhesive_waste", 0.05, 0.001, 1000),
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
    for place in range(opening + 1, len(formula)):
        letter = formula[place]
        if letter == '"':
            quoted = not quoted
        elif quoted:
            continue
        elif letter in "({":
            depth += 1
        elif letter in ")}" and depth:
            depth -= 1
        elif letter == ")" or (letter == "," and not depth):
            yield formula[begin:place]
            begin = place + 1
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


def time_edits(office: Office, path: Path, edits: list[list[Any]]) -> list[float]:
    """Seconds of each edit, the first ones left out."""
    office.open(str(path))
    try:
        office.recalculate()
        times: list[float] = office.time_edits(edits, [])
        return times[-EDITS:]
    finally:
        office.close()


def edits_of(workbook: Path, name: str, first: float, step: float, values: int) -> list[list[Any]]:
    """Edits of the cell of that name: sheet, cell and value."""
    place = openpyxl.load_workbook(workbook).defined_names[name].attr_text
    sheet, _, cell = place.rpartition("!")
    address = cell.replace("$", "").split(":")[0]
    return [[sheet.strip("'"), address, first + n % values * step] for n in range(EDITS + 3)]


def _compare(
    office: Office,
    ours: Path,
    native: Path,
    what: str,
    name: str,
    first: float,
    step: float,
    values: int,
) -> None:
    edits = edits_of(ours, name, first, step, values)
    slow, fast = (time_edits(office, path, edits) for path in (ours, native))
    ratio = statistics.median(slow) / statistics.median(fast)
    print(
        f"{what:34} template {1e3 * statistics.median(slow):6.1f} ms "
        f"(worst {1e3 * max(slow):6.1f})   native {1e3 * statistics.median(fast):5.1f} "
        f"ms   ratio {ratio:5.1f}"
    )


def main() -> int:
    folder = Path(tempfile.mkdtemp(prefix="basinbook-bench-"))
    profile = private_profile()
    try:
        basinbook(["addin", "install", "calc", "--profile", str(profile)])
        with Office(profile) as office:
            for listed, series in (("no", SERIES), ("yes", SERIES[:1])):
                ours = folder / f"ours_{listed}.xlsx"
                native = folder / f"native_{listed}.xlsx"
                make_workbook(ours, "us", {**DEMO_US, "Sizes_listed": listed})
                formulas, replaced = make_native(ours, native)
                print(
                    f"Sizes listed: {listed}; {formulas} formulas, {replaced} of them with add-in "
                    f"functions; {EDITS} edits each"
                )
                for line in series:
                    _compare(office, ours, native, *line)
            print(f"memory of office and engine [KiB]: {office.memory()}")
    finally:
        remove(profile)
        remove(folder)
    return 0


if __name__ == "__main__":
    sys.exit(main())
