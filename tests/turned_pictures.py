"""Pictures of turned blocks for docs/setting_out.md, drawn by our own drawings from real layouts.

    .venv/bin/python tests/turned_pictures.py

writes docs/pictures/turned-NAME.png anew: the plans of one basin, without and with them.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from basinbook.drawings.drawing_set import page_pngs
from basinbook.drawings.sheet import TitleBlock
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import INCH, SAVING, BasinSpec

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
            turned_walls=SAVING,
            turned_second=SAVING,
        )
    )
    drawn = page_pngs(layout, TitleBlock("Turned blocks", "", "", "us", "letter"), Outfit(), _DPI)
    for name, page in (("1", "Plan 1"), ("2", "Plan 2"), ("elevations", "Elevations")):
        (_FOLDER / f"turned-{name}.png").write_bytes(drawn[page])


if __name__ == "__main__":
    main()
