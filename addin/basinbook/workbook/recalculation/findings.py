"""Reading the findings of a job from its workbook, and keeping the reasons given for them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from basinbook.engine.errors import InputError
from basinbook.engine.findings.listing import FINDINGS
from basinbook.engine.findings.model import GRADES, LOOK, STOPS
from basinbook.evaluation.book import Value
from basinbook.workbook.file.open_workbook import named_places
from basinbook.workbook.recalculation.named_values import Named, NamedValues
from basinbook.workbook.recalculation.opened import Key
from basinbook.workbook.recalculation.recalc import calculated

if TYPE_CHECKING:
    from openpyxl import Workbook

LIST: Final = "Findings_all"
UNCHECKED: Final = "not checked"
"""What has to be accepted to send from a workbook that has no list of findings."""
_JOB: Final = "Job_values"
_COLUMNS: Final = 9
_LONGEST: Final = 200


@dataclass(frozen=True)
class FoundLine:
    """A finding that the workbook has: its words, where its cell is, and the reason given."""

    name: str
    grade: str
    found: str
    value: str
    limit: str
    change: str
    cell: str
    place: str
    reason: str

    @property
    def holds(self) -> bool:
        """Whether nothing is sent because of it."""
        return self.grade == STOPS or (self.grade == LOOK and not self.reason)


def is_job(named: Named) -> bool:
    """Return whether a workbook holds a job; others, such as a bare order sheet, have none."""
    return bool(named.cells(_JOB))


def has_findings(named: Named) -> bool:
    """Return whether a workbook has a list of findings; those of older templates have none."""
    return bool(named.cells(LIST))


def found_lines(named: Named, path: Path) -> tuple[FoundLine, ...]:
    """Return the findings of a calculated workbook, what stops first.

    Raises InputError where the workbook has no list of them, or one that is not worked out.
    """
    cells = named.cells(LIST)
    if not cells:
        raise InputError(
            "workbook",
            str(path),
            "it has no list of findings, as those of older templates; nothing was checked",
        )
    names = [row[0] for row in cells]
    if names != list(FINDINGS) or any(len(row) < _COLUMNS for row in cells):
        raise InputError(
            "workbook",
            str(path),
            "its findings are not worked out by this version; recalculate it first with "
            "basinbook recalc, or bring it up to date",
        )
    lines = [_line(named, [_text(cell) for cell in row]) for row in cells if _text(row[2])]
    return tuple(sorted(lines, key=lambda line: GRADES.index(line.grade)))


def _line(named: Named, row: Sequence[str]) -> FoundLine:
    name, grade, found, value, limit, change, cell, _rank, reason = row
    place = named.place(cell)
    return FoundLine(name, grade, found, value, limit, change, cell, place, reason)


def check(path: Path) -> tuple[FoundLine, ...]:
    """Return the findings of a workbook as they are after a recalculation; the file stays."""
    return found_lines(NamedValues(*calculated(path, LIST)), path)


def checked_reasons(
    lines: Sequence[FoundLine], accept: Mapping[str, str], path: Path
) -> dict[str, str]:
    """Return the reasons to keep: of findings to look at that the workbook has.

    Raises InputError for a name that is no finding, one that stops, and where anything still
    holds: all that does is named at once.
    """
    for name, reason in accept.items():
        if len(reason) > _LONGEST or not reason.isprintable():
            raise InputError(
                "--accept", reason, f"give one line of at most {_LONGEST} plain characters"
            )
        if name not in FINDINGS:
            known = ", ".join(f.name for f in FINDINGS.values() if f.grade == LOOK)
            raise InputError("--accept", name, f"give the name of a finding: {known}")
        if FINDINGS[name].grade == STOPS:
            raise InputError("--accept", name, "this stops the job: mend it")
    holding = [line for line in lines if line.holds and line.name not in accept]
    if holding:
        raise InputError(
            "findings",
            path.name,
            "; ".join(_complaint(line) for line in holding)
            + ". Mend them, or accept what is to be looked at with --accept NAME=REASON",
        )
    open_ones = {line.name for line in lines if line.holds}
    return {name: reason for name, reason in accept.items() if name in open_ones}


def _complaint(line: FoundLine) -> str:
    said = f"{line.grade}: {line.name} ({line.found}, {line.value}"
    limit = f"; limit {line.limit}" if line.limit else ""
    return f"{said}{limit}; {line.place or line.cell})"


def reason_cells(
    book: Workbook, reasons: Mapping[str, str], sent: str = "order"
) -> dict[Key, Value]:
    """Return what to type where to keep reasons in the workbook's table of them.

    sent: what they are kept with. A reason that stands there already for the same finding is
    replaced. Raises InputError where the table is full.
    """
    typed: dict[Key, Value] = {}
    if not reasons:
        return typed
    places = {key: _cells(book, f"Accepted_{key}") for key in ("finding", "reason", "by")}
    taken = [book[sheet][cell].value for sheet, cell in places["finding"]]
    today = dt.datetime.now(tz=dt.UTC).date().isoformat()
    for name, reason in reasons.items():
        free = [k for k, there in enumerate(taken) if there in (name, None, "")]
        if not free:
            raise InputError("--accept", name, "the table of reasons is full; clear a row of it")
        row = next((k for k in free if taken[k] == name), free[0])
        taken[row] = name
        typed[places["finding"][row]] = name
        typed[places["reason"][row]] = reason
        typed[places["by"][row]] = f"with the {sent}, {today}"
    return typed


def _cells(book: Workbook, name: str) -> list[Key]:
    from openpyxl.utils.cell import rows_from_range

    ((sheet, area),) = named_places(name, book.defined_names.get(name))
    return [(sheet, row[0]) for row in rows_from_range(area.replace("$", ""))]


def _text(value: object) -> str:
    return "" if value is None else str(value)
