"""``basinbook recalc``: recalculate a workbook with no spreadsheet program."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

from basinbook.engine.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from basinbook.evaluation.book import Value
    from basinbook.workbook.file.package import Package
    from basinbook.workbook.recalculation.opened import Key
    from basinbook.workbook.recalculation.recalc import Report

# Characters of a formula that are printed: a line or two, where a file may hold thousands.
_SHOWN: Final = 200


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "recalc", help="recalculate a workbook; formulas, formats and all else stay as they are"
    )
    parser.add_argument(
        "file", type=Path, help="the workbook (.xlsx or .xlsm), or a folder of workbooks"
    )
    parser.add_argument(
        "--out", type=Path, help="write here (a folder: into this folder) instead of in place"
    )
    parser.add_argument("--force", action="store_true", help="replace an existing --out file")
    parser.add_argument(
        "--summary", type=Path, help="of a folder: also write the table of jobs as .csv"
    )
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.workbook import jobs
    from basinbook.workbook.recalculation.recalc import recalculate
    from basinbook.workbook.recalculation.redraw import redrawing
    from basinbook.workbook.update.older import package_note

    if jobs.is_folder(arguments.file):
        return _run_folder(arguments)
    if arguments.summary is not None:
        raise InputError("--summary", str(arguments.summary), "give a folder of workbooks with it")
    opened: list[Package] = []

    def keep(package: Package, _: Mapping[Key, Value]) -> dict[str, bytes]:
        opened.append(package)
        return {}

    report = recalculate(
        arguments.file,
        out=arguments.out,
        force=arguments.force,
        early=(redrawing,),
        refreshers=(keep,),
    )
    code = show(report)
    if note := package_note(opened[0], report.out):
        print(note)
    return code


def _run_folder(arguments: argparse.Namespace) -> int:
    from basinbook.workbook import jobs
    from basinbook.workbook.recalculation.named_values import NamedValues
    from basinbook.workbook.recalculation.recalc import recalculate
    from basinbook.workbook.recalculation.redraw import redrawing

    def work(path: Path) -> jobs.Done:
        found: list[jobs.Facts] = []

        def look(package: Package, values: Mapping[Key, Value]) -> dict[str, bytes]:
            found.append(jobs.facts(NamedValues(package, values), path))
            return {}

        out = arguments.out / path.name if arguments.out else None
        report = recalculate(
            path, out=out, force=arguments.force, early=(redrawing,), refreshers=(look,)
        )
        return jobs.Done(found[0], report.out, right=not report.not_computed)

    return jobs.run_folder(arguments.file, work, arguments.summary, force=arguments.force)


def show(report: Report) -> int:
    """Print what a recalculation did; return the exit code."""
    computed = report.formulas - len(report.not_computed)
    print(
        f"{report.out}: {computed} of {report.formulas} formulas computed, "
        f"{report.changed} values changed"
    )
    for problem in report.refused:
        print(f"  {problem.sheet}!{problem.cell} shows an error: {problem.reason}")
    if not report.not_computed:
        return 0
    print("Not computed; their old values are kept and marked:")
    for problem in report.not_computed:
        formula = problem.formula
        if len(formula) > _SHOWN:
            formula = f"{formula[:_SHOWN]}…"
        print(f"  {problem.sheet}!{problem.cell} ={formula}: {problem.reason}")
    return 1
