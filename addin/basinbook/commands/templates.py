"""``basinbook templates``: build the template files anew from code."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser("templates", help="build the template workbooks into a folder")
    parser.add_argument("folder", type=Path, help="folder to write to, such as workbook_templates")
    parser.add_argument("--force", action="store_true", help="replace the files there")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.workbook.template.template_files import write_templates

    for written in write_templates(arguments.folder, force=arguments.force):
        print(written)
    return 0
