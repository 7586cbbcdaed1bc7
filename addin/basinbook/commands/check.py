"""``basinbook check``: list what stands in the way of a job, or is worth a look."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from basinbook.workbook.recalculation.findings import FoundLine

_STOPS = 2


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "check", help="list the findings of a job; exit code 2 where one stops it"
    )
    parser.add_argument("file", type=Path, nargs="?", help="the job's workbook")
    parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    parser.add_argument("--list", action="store_true", help="list what is looked for, and by what")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.engine.errors import InputError
    from basinbook.engine.findings.model import STOPS
    from basinbook.workbook.recalculation.findings import check
    from basinbook.workbook.update.older import version_note

    if arguments.list:
        print(all_findings())
        return 0
    if arguments.file is None:
        raise InputError("file", None, "give the job's workbook")
    if note := version_note(arguments.file):
        print(note, file=sys.stderr)
    lines = check(arguments.file)
    print(_json(lines) if arguments.json else _listed(lines))
    return _STOPS if any(line.grade == STOPS for line in lines) else 0


def _json(lines: Sequence[FoundLine]) -> str:
    import json
    from dataclasses import asdict

    return json.dumps([asdict(line) for line in lines], indent=2, ensure_ascii=False)


def _listed(lines: Sequence[FoundLine]) -> str:
    from basinbook.engine.findings.model import GRADES

    counts = ", ".join(f"{sum(line.grade == grade for line in lines)} {grade}" for grade in GRADES)
    text = [counts]
    for line in lines:
        text.append(f"{line.grade}: {line.name}: {line.found}")
        value = f"{line.value} (limit {line.limit})" if line.limit else line.value
        text.append(f"    {value}; {line.place or line.cell}")
        text.append(f"    {line.change}")
        if line.reason:
            text.append(f"    sent all the same: {line.reason}")
    return "\n".join("".join(c if c.isprintable() else " " for c in row) for row in text)


def all_findings() -> str:
    """Return a table of all findings in Markdown: name, grade, what they are judged by."""
    from basinbook.engine.findings.listing import FINDINGS

    rows = ["| finding | grade | judged by |", "| --- | --- | --- |"]
    rows += [f"| {each.name} | {each.grade} | {each.against} |" for each in FINDINGS.values()]
    return "\n".join(rows)
