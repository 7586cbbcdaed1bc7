"""What changed between two states of a job: inputs, quantities, order, price."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Final

from basinbook.engine.errors import InputError
from basinbook.workbook.recalculation.stored import Stored

if TYPE_CHECKING:
    import pandas as pd

# What a spreadsheet program takes for a formula at the start of a cell, also behind blanks and
# quotes; one that parts lines at semicolons sees such starts inside a text, too.
_FORMULA: Final = re.compile(r"(^|;)([\s\"']*[=+\-@\uff1d\uff0b\uff0d\uff20])")
_BREAKS: Final = re.compile(r"[\t\r\n\v\f\x85\u2028\u2029]+")
COLUMNS: Final = ("part", "what", "before", "after", "difference")
_ORDER: Final[tuple[str, ...]] = ("Order_needed", "Order_lines")
_PRICES: Final = ("Total_materials", "Total_labour", "Price_before_tax", "Tax", "Price_total")
_MISSING: Final = "Missing_price"
_WHOLE: Final = "Order_whole"
_UNKNOWN: Final = "unknown"
_ORDER_IS_WHOLE: Final = ("", "Order is whole")
_JOB: Final = (
    "Job_revision", "Block", "Cap", "Column_cap", "Base_material", "Adhesive", "Liner", "Underlay",
    "Pump", "Pipe",
)  # fmt: skip


def changes(before: Path, after: Path) -> pd.DataFrame:
    """Return what differs between two calculated workbooks of a job, one row for each thing.

    Columns: part ("input", "quantity", "order", "price"), what, before, after, and the difference
    where both are numbers; what is not known is "unknown", never 0 or blank. Compared are the
    stored values, in the workbooks' own units. Raises InputError for a file that is no estimate
    workbook, for two of different unit systems, for ``before`` where it was never calculated, and
    for ``after`` where its values are not those of its inputs. What ``before`` says may be what an
    earlier version worked out (``not_current``).
    """
    import pandas as pd

    was, now = _estimate(before), _estimate(after)
    was.refuse_without_value(_read(was), "before")
    now.refuse_stale(_read(now), "after")
    old, new = _state(was), _state(now)
    if old.pop(("input", "Units")) != new.pop(("input", "Units")):
        raise InputError("after", str(after), "both workbooks must have the same units")
    _fill_unknown_order(old, new)
    _fill_unknown_order(new, old)
    frame = pd.DataFrame(
        {"before": pd.Series(old, dtype=object), "after": pd.Series(new, dtype=object)}
    )
    frame = frame.where(frame.notna(), "")
    frame = frame[[_differ(a, b) for a, b in zip(frame["before"], frame["after"], strict=True)]]
    frame["difference"] = [
        b - a if _number(a) and _number(b) else ""
        for a, b in zip(frame["before"], frame["after"], strict=True)
    ]
    frame.index = frame.index.set_names(["part", "what"])
    return frame.reset_index()[list(COLUMNS)]


def not_current(path: Path) -> str:
    """Return a note where values of a workbook are not those a recalculation gives, or blank."""
    stored = _estimate(path)
    stale = stored.stale(_read(stored))
    if not stale:
        return ""
    cells = "1 value" if len(stale) == 1 else f"{len(stale)} values"
    return (
        f"{path}: {cells} compared here are as stored, and a recalculation gives others, for "
        "something was typed since, or another version worked them out. To compare what it gives "
        f'now, recalculate a copy first: basinbook recalc "{path}" --out COPY.xlsx'
    )


def csv_text(found: pd.DataFrame) -> str:
    """Return the rows as CSV in which no text runs as a formula in a spreadsheet program.

    An apostrophe stands before what would start one, a blank for tabs and line breaks. Numbers
    stay numbers.
    """
    return found.map(_no_formula).to_csv(index=False, lineterminator="\n")


def screen_text(found: pd.DataFrame) -> str:
    """Return the rows as a table for a terminal, which no text in them can steer."""
    return found.map(printable).to_string(index=False, float_format=lambda number: f"{number:,.2f}")


def _no_formula(value: object) -> object:
    if not isinstance(value, str):
        return value
    return _FORMULA.sub(r"\1'\2", _BREAKS.sub(" ", value))


def printable(value: object) -> object:
    """Return a text with a mark in place of each sign that could steer a terminal."""
    if not isinstance(value, str):
        return value
    return "".join(
        letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in value
    )


def _number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _differ(a: object, b: object) -> bool:
    if isinstance(a, (int, float)) and isinstance(b, (int, float)):
        return abs(a - b) > 1e-9 * max(1.0, abs(a), abs(b))
    return str(a) != str(b)


def _estimate(path: Path) -> Stored:
    stored = Stored(path)
    if "Job_labels" not in stored.names or "Units" not in stored.names:
        raise InputError("workbook", str(path), "give an estimate workbook")
    return stored


def _read(stored: Stored) -> list[str]:
    """The names whose cells are compared."""
    quantities = (name for name in stored.names if name.startswith("Qty_"))
    return [
        "Units",
        *_JOB,
        "Job_labels",
        "Job_values",
        *quantities,
        *_order_name(stored),
        *(name for name in (_WHOLE,) if name in stored.names),
        *_PRICES,
        _MISSING,
    ]


def _state(stored: Stored) -> dict[tuple[str, str], object]:
    """What a job's workbook says now, in the sheets' order."""
    found: dict[tuple[str, str], object] = {("input", "Units"): _one(stored, "Units")}
    for name in _JOB:
        found["input", name.replace("_", " ")] = _one(stored, name)
    for label, value in zip(
        _cells(stored, "Job_labels"), _cells(stored, "Job_values"), strict=True
    ):
        if label and value not in (None, ""):
            found["input", str(label)] = value
    for name in stored.names:
        if name.startswith("Qty_"):
            what = name.removeprefix("Qty_").replace("_", " ")
            found["quantity", what] = _known(_one(stored, name))
    lines = _order(stored)
    for item, quantity in lines:
        found["order", item] = quantity
    there = _WHOLE in stored.names
    found[_ORDER_IS_WHOLE] = _one(stored, _WHOLE) if there else bool(lines)
    for name in _PRICES:
        found["price", name.replace("_", " ")] = _known(_one(stored, name))
    if _MISSING in stored.names:
        found["price", _MISSING.replace("_", " ")] = _one(stored, _MISSING)
    return found


def _known(value: object) -> object:
    """Return a number or text that was worked out, or a word for none: a blank looks like 0."""
    return _UNKNOWN if value in (None, "") else value


def _fill_unknown_order(
    state: dict[tuple[str, str], object], other: Mapping[tuple[str, str], object]
) -> None:
    """Say of lines that the other state orders and an order that isn't whole lacks: unknown.

    Older workbooks have an order that is whole or has no line, which no basin has.
    """
    if state.pop(_ORDER_IS_WHOLE) is not True:
        for key in other:
            if key[0] == "order":
                state.setdefault(key, _UNKNOWN)


def _order(stored: Stored) -> list[tuple[str, object]]:
    lines = [line for name in _order_name(stored) for line in stored.cells(name)]
    return [
        (f"{item}: {text} ({unit})", quantity)
        for _, item, text, quantity, unit, _ in lines
        if quantity not in (None, "")
    ]


def _order_name(stored: Stored) -> list[str]:
    """Return the name of all that is needed, ordered or not; older workbooks have it as lines."""
    return [name for name in _ORDER if name in stored.names][:1]


def _cells(stored: Stored, name: str) -> list[object]:
    return [cell for row in stored.cells(name) for cell in row]


def _one(stored: Stored, name: str) -> object:
    cells = _cells(stored, name)
    return cells[0] if cells else None
