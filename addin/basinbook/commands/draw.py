"""``basinbook draw``: the drawings of a workbook's job as PDF and SVG files."""

from __future__ import annotations

import argparse
from pathlib import Path


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser("draw", help="write a workbook's drawings as PDF and SVG")
    parser.add_argument("file", type=Path, help="a calculated and saved estimate workbook")
    parser.add_argument(
        "--out", type=Path, help="folder for the drawings (default: the workbook's own)"
    )
    parser.add_argument(
        "--paper",
        choices=("letter", "a4", "tabloid", "a3"),
        help="landscape; default: letter for a job in US units, A4 for one in metric",
    )
    parser.add_argument(
        "--dxf", action="store_true", help="write drawings.dxf too, in true size, to draw on"
    )
    parser.add_argument(
        "--picture", action="store_true", help="write picture.png too, in colours, for the client"
    )
    for what, start in (("block", "grey"), ("cap", "light grey")):
        parser.add_argument(
            f"--{what}-colour", default=start, metavar="COLOUR",
            help=f"of the picture's {what}s (default {start})",
        )  # fmt: skip
    parser.add_argument("--force", action="store_true", help="replace drawings that are there")
    parser.set_defaults(command=_run)


def _run(arguments: argparse.Namespace) -> int:
    from basinbook.drawings.client_picture import Colours
    from basinbook.drawings.drawing_set import FORMATS, write_drawings
    from basinbook.engine.layout.solver import solve
    from basinbook.workbook.recalculation.drawing_inputs import drawing_inputs
    from basinbook.workbook.update.older import version_note

    file: Path = arguments.file
    spec, title, outfit = drawing_inputs(file, arguments.paper)
    folder: Path = arguments.out or file.parent
    asked = (("dxf", arguments.dxf), ("picture", arguments.picture))
    formats = (*FORMATS, *(name for name, wanted in asked if wanted))
    colours = Colours(arguments.block_colour, arguments.cap_colour)
    layout = solve(spec)
    for path in write_drawings(layout, title, outfit, folder, formats, arguments.force, colours):
        print(path)
    if note := version_note(file):
        print(note)
    return 0
