"""``basinbook fill``: type values into a job's inputs from the command line."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from basinbook.engine.inputs import Input


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser(
        "fill",
        help="type values into a job's inputs by the names of their cells, and recalculate",
        description='Values are typed as on the sheet: Inside_length="5\' 4\\"" Columns=2. '
        "All are checked first; where one can't be used, nothing is written.",
    )
    parser.add_argument("file", type=Path, nargs="?", help="the job's workbook")
    parser.add_argument("values", nargs="*", metavar="NAME=VALUE", help="an empty value clears")
    parser.add_argument("--out", type=Path, help="write here instead of into the file itself")
    parser.add_argument("--force", action="store_true", help="replace an existing --out file")
    parser.add_argument(
        "--from-site", action="store_true", help="type what was measured on the Site sheet"
    )
    parser.add_argument("--list", action="store_true", help="list the inputs and what they take")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.commands.recalc import show
    from basinbook.engine.errors import InputError
    from basinbook.workbook.fill import fill, from_site
    from basinbook.workbook.update.older import version_note

    if arguments.list:
        print("\n".join(_listed()))
        return 0
    if arguments.file is None:
        raise InputError("file", None, "give the job's workbook")
    given: dict[str, str] = {}
    for text in arguments.values:
        name, equals, value = text.partition("=")
        if not equals:
            raise InputError("value", text, "give NAME=VALUE")
        if name in given:
            raise InputError(name, value, "it is given twice; give it once")
        given[name] = value
    if arguments.from_site:
        # What is given in so many words goes before what was measured.
        known = {name.strip().lower().replace(" ", "_") for name in given}
        found = from_site(arguments.file)
        given |= {name: text for name, text in found.items() if name.lower() not in known}
        if not given:
            print(f"{arguments.file}: the job has what was measured on the site")
            return 0
    if not given:
        raise InputError("value", None, "give at least one NAME=VALUE")
    filled = fill(arguments.file, given, out=arguments.out, force=arguments.force)
    for one in filled.typed:
        idle = f"; {one.idle[0].lower()}{one.idle[1:]}" if one.idle else ""
        print(f"{one.name} ({one.place}): {_told(one.before)} -> {_told(one.now)}{idle}")
    code = show(filled.report)
    if note := version_note(filled.report.out):
        print(note)
    return code


def _told(value: object) -> str:
    return "blank" if value in (None, "") else str(value)


def _listed() -> list[str]:
    from basinbook.workbook.template.inputs import INPUTS

    return [f"{given.name:<32} {_takes(given)}" for given in INPUTS]


def _takes(given: Input) -> str:
    if given.choices:
        return ", ".join(given.choices)
    if given.rows_of:
        return f"a row of the table {given.rows_of}"
    return given.kind.name
