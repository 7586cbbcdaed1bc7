"""Build, install and uninstall for desktop Excel."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.files.writing import remove_file, write_files
from basinbook.hosts.excel.addin_file import ADDIN_NAME, addin_bytes, is_our_addin
from basinbook.hosts.excel.library import xlwings_library
from basinbook.hosts.excel.settings import (
    INTERPRETER,
    MODULES,
    OUR_MODULE,
    Settings,
    read_settings,
    with_ours,
    without_ours,
    write_settings,
)

SUMMARY: Final = "desktop Excel, through xlwings"
_FILE: Final = "xlwings.conf"
_NO_FUNCTIONS: Final = (
    "Excel on macOS takes no functions written in Python, so there is nothing to install. "
    "Recalculate an open workbook with: basinbook refresh"
)
_THEN: Final = """\
Open Excel, and in it a form or job made with --for excel; it stays an .xlsx file.
To see that it works, type =BASIN_WATERVOLUME(48,24,16) into an empty cell: 79.79.
After an update of basinbook or xlwings run this command again.
To take it out again: basinbook addin uninstall excel"""
_BY_HAND: Final = """\
Once, in Excel:
  1. File > Options > Trust Center > Trust Center Settings > Macro Settings: tick
     "Trust access to the VBA project object model".
  2. Close all windows of Excel and open it again: there is an "xlwings" tab now.
For each blank form that jobs are copied from:
  3. Make the form for Excel: basinbook convert FORM.xlsx --to excel
  4. Open it, save it as "Excel Macro-Enabled Workbook (*.xlsm)".
  5. xlwings tab > Import Functions, then Ctrl+Alt+F9 to calculate all, then save.
To take it out again: basinbook addin uninstall excel --with-addin"""

Run = Callable[[Sequence[str]], None]


def add_options(action: str, parser: argparse.ArgumentParser) -> None:
    """Declare the options of one action."""
    if action == "build":
        parser.add_argument(
            "--out",
            type=Path,
            default=Path(ADDIN_NAME),
            help=f"add-in file (default {ADDIN_NAME}), or xlwings' settings for the workbooks of "
            f"one folder, whose name must be {_FILE}",
        )
    else:
        parser.add_argument(
            "--folder", type=Path, help="Excel's start folder, if not the user's usual one"
        )
        parser.add_argument(
            "--settings", type=Path, help="xlwings' settings file, if not the user's own"
        )
        parser.add_argument(
            "--show", action="store_true", help="say what would be done and do nothing"
        )
    if action == "install":
        parser.add_argument(
            "--import-functions",
            action="store_true",
            help="no add-in file: each form gets the functions by xlwings' Import Functions",
        )
        parser.add_argument(
            "--keep-addin", action="store_true", help="leave xlwings' own add-in as it is"
        )
    if action == "uninstall":
        parser.add_argument(
            "--with-addin", action="store_true", help="take xlwings' own add-in out as well"
        )
    else:
        parser.add_argument(
            "--force", action="store_true", help="replace another file or another Python's path"
        )
    parser.add_argument(
        "--python", help="Python that runs the functions (default: the one that runs this)"
    )


def build(arguments: argparse.Namespace) -> str:
    """Write the add-in file, or a settings file for one folder, of which other lines stay."""
    target: Path = arguments.out
    if target.suffix.lower() == ".xlam":
        data = addin_bytes(_python(arguments))
        write_files({target: data}, replace=arguments.force)
        return (
            f"{target} is written, for Excel on Windows. It runs the functions with the Python of "
            "this machine: build it where it is used."
        )
    if target.name.lower() != _FILE:
        raise InputError(
            "--out",
            str(target),
            f"give an add-in file, whose name ends in .xlam, or settings: xlwings finds those by "
            f"its name only: {_FILE}",
        )
    if not target.parent.is_dir():
        raise InputError("--out", str(target), "there is no such folder; make it first")
    settings = with_ours(read_settings(target), _python(arguments), force=arguments.force)
    write_settings(settings, target)
    return f"{target} is written; it is for the workbooks in that folder, in Excel on Windows."


def install(arguments: argparse.Namespace) -> str:
    """Put the add-in file into Excel's start folder, or set the older way up."""
    return install_on(sys.platform, arguments, run)


def uninstall(arguments: argparse.Namespace) -> str:
    """Take the add-in file away, our lines in the user's settings, and xlwings' add-in if asked."""
    return uninstall_on(sys.platform, arguments, run)


def install_on(platform: str, arguments: argparse.Namespace, run: Run) -> str:
    """Install on a platform as ``sys.platform`` names it, running programs with ``run``."""
    if platform == "darwin":
        return _NO_FUNCTIONS
    xlwings_library()  # What answers the functions imports it.
    if arguments.import_functions:
        return _install_settings(platform, arguments, run)
    target = start_folder(arguments.folder) / ADDIN_NAME
    python = _python(arguments)
    if '"' in python:
        raise InputError("--python", python, "give a path without quotation marks")
    steps = [f"Write {target}, whose functions are answered by {python}"]
    if arguments.show:
        return _told("Would be done:", steps, _THEN)
    _refuse_elsewhere(platform, steps)
    # An add-in of ours is there after an update, and is what should be replaced.
    replace = arguments.force or is_our_addin(target)
    write_files({target: addin_bytes(python)}, replace=replace, argument="--folder")
    return _told("Done:", steps, _THEN)


def _install_settings(platform: str, arguments: argparse.Namespace, run: Run) -> str:
    path = _settings_path(arguments)
    before = read_settings(path)
    after = with_ours(before, _python(arguments), force=arguments.force)
    steps = [] if arguments.keep_addin else ["Install xlwings' add-in into Excel"]
    steps += _differences(before, after, path)
    if arguments.show:
        return _told("Would be done:", steps, _BY_HAND)
    _refuse_elsewhere(platform, steps)
    if not arguments.keep_addin:
        run(_xlwings("addin", "install"))
    # xlwings' own command may have made the file.
    write_settings(with_ours(read_settings(path), _python(arguments), force=arguments.force), path)
    return _told("Done:", steps, _BY_HAND)


def uninstall_on(platform: str, arguments: argparse.Namespace, run: Run) -> str:
    """Uninstall on a platform as ``sys.platform`` names it, running programs with ``run``."""
    if platform == "darwin":
        return _NO_FUNCTIONS
    path = _settings_path(arguments)
    before = read_settings(path)
    after = without_ours(before, _python(arguments))
    target = start_folder(arguments.folder) / ADDIN_NAME
    ours = is_our_addin(target)
    steps = [f"Take {target} away"] if ours else []
    steps += _differences(before, after, path)
    if arguments.with_addin:
        steps.append("Take xlwings' add-in out of Excel")
    if arguments.show:
        return _told("Would be done:", steps or ["Nothing"])
    _refuse_elsewhere(platform, steps)
    if ours:
        remove_file(target, "--folder")
    if before != after:
        write_settings(after, path)
    if arguments.with_addin:
        run(_xlwings("addin", "remove"))
    return _told(
        "Done:",
        steps or ["Nothing was installed"],
        "Workbooks keep their last values, and the VBA module xlwings_udfs where Import Functions "
        "wrote one into them; take that out in the VBA editor (Alt+F11), or save them as .xlsx.",
    )


def start_folder(given: Path | None) -> Path:
    """Return the folder whose add-ins Excel opens by itself, the user's own on Windows.

    Elsewhere it is told as Windows spells it.
    """
    if given is not None:
        return given
    return Path(os.environ.get("APPDATA", "%APPDATA%"), "Microsoft", "Excel", "XLSTART")


def _told(heading: str, steps: Sequence[str], after: str = "") -> str:
    return "\n".join([heading, *(f"  {step}" for step in steps), *(["", after] if after else [])])


def run(command: Sequence[str]) -> None:
    """Run a program and show what it says; raises InputError where it fails."""
    done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    said = " ".join(f"{done.stdout} {done.stderr}".split())
    # xlwings' command ends with 0 even where it could not do its work.
    if done.returncode != 0 or "Successfully" not in said:
        raise InputError("xlwings", " ".join(command[-2:]), f"close Excel and try again: {said}")


def _xlwings(*arguments: str) -> list[str]:
    code = "import sys; from xlwings.cli import main; sys.exit(main())"
    return [sys.executable, "-c", code, *arguments]


def _refuse_elsewhere(platform: str, steps: Sequence[str]) -> None:
    if platform != "win32":
        raise InputError(
            "excel",
            platform,
            "desktop Excel takes our functions on Windows only; there the command does this: "
            + "; ".join(steps or ["nothing"]),
        )


def _settings_path(arguments: argparse.Namespace) -> Path:
    if arguments.settings is not None:
        given: Path = arguments.settings
        return given
    return Path(xlwings_library().USER_CONFIG_FILE)


def _python(arguments: argparse.Namespace) -> str:
    return arguments.python or sys.executable


def _differences(before: Settings, after: Settings, path: Path) -> list[str]:
    steps = []
    for key in (INTERPRETER, MODULES):
        old, new = before.get(key), after.get(key)
        if old != new:
            change = f'set "{key}" to "{new}"' if new else f'take out "{key}"'
            steps.append(f"In {path}: {change}" + (f' (it was "{old}")' if old else ""))
    if OUR_MODULE in after.modules and len(after.modules) == 1 and not before.modules:
        steps.append(
            "Import Functions then takes these functions for every workbook, unless a workbook or "
            "its folder has settings of its own"
        )
    return steps
