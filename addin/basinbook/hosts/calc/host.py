"""Build, install and uninstall for LibreOffice Calc."""

from __future__ import annotations

import argparse
from pathlib import Path

from basinbook.files.scratch import temporary_folder
from basinbook.hosts.calc import office

SUMMARY = "LibreOffice Calc"
_FILE = "basinbook-calc.oxt"


def add_options(action: str, parser: argparse.ArgumentParser) -> None:
    """Declare the options of one action."""
    if action == "build":
        parser.add_argument("--out", type=Path, default=Path(_FILE), help=f"file (default {_FILE})")
        parser.add_argument("--force", action="store_true", help="overwrite the file")
    else:
        parser.add_argument(
            "--profile", type=Path, help="folder of the LibreOffice profile, if not the usual one"
        )
    if action != "uninstall":
        parser.add_argument(
            "--python", help="Python that runs the functions (default: the one that runs this)"
        )


def build(arguments: argparse.Namespace) -> str:
    """Write the extension file."""
    from basinbook.hosts.calc import extension

    target: Path = arguments.out
    extension.build(target, arguments.python, force=arguments.force)
    return (
        f"{target} is written. It runs the functions with the Python of this machine: "
        "build it where it is used."
    )


def install(arguments: argparse.Namespace) -> str:
    """Install the extension in place of any older version of it."""
    from basinbook.catalogue import functions
    from basinbook.hosts.calc import extension

    with temporary_folder() as folder:
        file = extension.build(folder / _FILE, arguments.python)
        office.add_extension(file, arguments.profile)
    return (
        f"The {len(functions())} functions are in LibreOffice Calc now, under Add-in in "
        "the function wizard; close all windows of LibreOffice and open it again.\n"
        "To take them out again: basinbook addin uninstall calc"
    )


def uninstall(arguments: argparse.Namespace) -> str:
    """Remove the extension, if it is installed."""
    from basinbook.hosts.calc import extension

    if not office.is_installed(extension.IDENTIFIER, arguments.profile):
        return "The functions are not installed in LibreOffice Calc; there is nothing to take out."
    office.remove_extension(extension.IDENTIFIER, arguments.profile)
    return "The functions are out of LibreOffice Calc."
