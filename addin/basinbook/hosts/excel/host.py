"""Build, install and uninstall for desktop Excel."""

from __future__ import annotations

import argparse
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from basinbook.engine.errors import InputError
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
            default=Path(_FILE),
            help=f"settings for the workbooks of one folder; the name must be {_FILE}",
        )
    else:
        parser.add_argument(
            "--settings", type=Path, help="xlwings' settings file, if not the user's own"
        )
        parser.add_argument(
            "--show", action="store_true", help="say what would be done and do nothing"
        )
    if action == "install":
        parser.add_argument(
            "--keep-addin", action="store_true", help="leave xlwings' own add-in as it is"
        )
    if action == "uninstall":
        parser.add_argument(
            "--with-addin", action="store_true", help="take xlwings' own add-in out as well"
        )
    else:
        parser.add_argument("--force", action="store_true", help="replace another Python's path")
    parser.add_argument(
        "--python", help="Python that runs the functions (default: the one that runs this)"
    )


def build(arguments: argparse.Namespace) -> str:
    """Write a settings file for one folder; lines that are there already stay."""
    target: Path = arguments.out
    if target.name.lower() != _FILE:
        raise InputError("--out", str(target), f"xlwings finds it by its name only: {_FILE}")
    if not target.parent.is_dir():
        raise InputError("--out", str(target), "there is no such folder; make it first")
    settings = with_ours(read_settings(target), _python(arguments), force=arguments.force)
    write_settings(settings, target)
    return f"{target} is written; it is for the workbooks in that folder, in Excel on Windows."


def install(arguments: argparse.Namespace) -> str:
    """Install xlwings' add-in and write the user's settings, with what is left to do by hand."""
    return install_on(sys.platform, arguments, run)


def uninstall(arguments: argparse.Namespace) -> str:
    """Take our lines out of the user's settings, and xlwings' add-in if asked to."""
    return uninstall_on(sys.platform, arguments, run)


def install_on(platform: str, arguments: argparse.Namespace, run: Run) -> str:
    """Install on a platform as ``sys.platform`` names it, running programs with ``run``."""
    if platform == "darwin":
        return _NO_FUNCTIONS
    xlwings_library()  # What the settings name imports it.
    path = _settings_path(arguments)
    before = read_settings(path)
    after = with_ours(before, _python(arguments), force=arguments.force)
    steps = [] if arguments.keep_addin else ["Install xlwings' add-in into Excel"]
    steps += _differences(before, after, path)
    if arguments.show:
        return "\n".join(["Would be done:", *(f"  {step}" for step in steps), "", _BY_HAND])
    _refuse_elsewhere(platform, steps)
    if not arguments.keep_addin:
        run(_xlwings("addin", "install"))
    # xlwings' own command may have made the file.
    write_settings(with_ours(read_settings(path), _python(arguments), force=arguments.force), path)
    return "\n".join(["Done:", *(f"  {step}" for step in steps), "", _BY_HAND])


def uninstall_on(platform: str, arguments: argparse.Namespace, run: Run) -> str:
    """Uninstall on a platform as ``sys.platform`` names it, running programs with ``run``."""
    if platform == "darwin":
        return _NO_FUNCTIONS
    path = _settings_path(arguments)
    before = read_settings(path)
    after = without_ours(before, _python(arguments))
    steps = _differences(before, after, path)
    if arguments.with_addin:
        steps.append("Take xlwings' add-in out of Excel")
    if arguments.show:
        return "\n".join(["Would be done:", *(f"  {step}" for step in steps or ["Nothing"])])
    _refuse_elsewhere(platform, steps)
    if before != after:
        write_settings(after, path)
    if arguments.with_addin:
        run(_xlwings("addin", "remove"))
    return "\n".join(
        [
            "Done:",
            *(f"  {step}" for step in steps or ["Nothing was installed"]),
            "Workbooks keep the VBA module xlwings_udfs that Import Functions wrote into them; "
            "take it out in the VBA editor (Alt+F11), or save them as .xlsx.",
        ]
    )


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
