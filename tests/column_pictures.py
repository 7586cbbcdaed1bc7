"""Pictures of columns for docs/setting_out.md, drawn by our own drawings from a real layout.

    .venv/bin/python tests/column_pictures.py

writes docs/pictures/column-NAME.png anew: a column on both walls, the pipe out at its front.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from basinbook.drawings.drawing_set import page_pngs
from basinbook.drawings.sheet import TitleBlock
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import LIP, Outfit
from basinbook.engine.spec import INCH, BasinSpec

_FOLDER: Final = Path(__file__).parents[1] / "docs" / "pictures"
_DPI: Final = 80


def main() -> None:
    layout = solve(
        BasinSpec(
            inside_length=48 * INCH,
            inside_width=24 * INCH,
            block_length=12 * INCH,
            block_height=4 * INCH,
            block_depth=8 * INCH,
            courses=4,
            water_depth=12 * INCH,
            second_wall="yes",
            pipe_space=4 * INCH,
            opening_width=3 * INCH,
            cap_length=24 * INCH,
            cap_depth=12 * INCH,
            cap_height=2 * INCH,
            wall_column_1="on both walls",
            wall_column_1_courses=3,
            column_pipe="out at the front",
            column_cap_of="blocks",
            wall_column_2="by left end",
            wall_column_2_courses=4,
        )
    )
    outfit = Outfit(effect=LIP, pump="Pump", pipe="Pipe", base_thickness=4 * INCH)
    drawn = page_pngs(layout, TitleBlock("Columns", "", "", "us", "letter"), outfit, _DPI)
    for name, page in (("plan", "Plan 2"), ("section", "Section"), ("isometric", "Isometric")):
        (_FOLDER / f"column-{name}.png").write_bytes(drawn[page])


if __name__ == "__main__":
    main()
