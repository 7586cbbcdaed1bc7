"""Pictures of looks for docs/setting_out.md, drawn by our own drawings from real layouts.

    .venv/bin/python tests/look_pictures.py

writes docs/pictures/look-NAME.png anew: a mixed course, and leaves that turn corners one by one.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from basinbook.drawings.drawing_set import page_pngs
from basinbook.drawings.sheet import TitleBlock
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import INCH, BasinSpec

_FOLDER: Final = Path(__file__).parents[1] / "docs" / "pictures"
_DPI: Final = 80
_BASIN: Final[dict[str, Any]] = {
    "inside_width": 24 * INCH,
    "block_length": 12 * INCH,
    "block_height": 4 * INCH,
    "block_depth": 8 * INCH,
    "courses": 3,
    "water_depth": 10 * INCH,
    "edge_doubled": "yes",
}
# Name of the picture: page of the drawings, and the inputs.
_LOOKS: Final[dict[str, tuple[str, dict[str, Any]]]] = {
    "mixed": (
        "Elevations",
        {
            "inside_length": 51 * INCH,
            "course_pattern": "flat, mixed, flat",
            "place_1_middle": 18 * INCH,
            "mixed_mirrored": "yes",
        },
    ),
    "leaves": (
        "Plan 2",
        {
            "inside_length": 53 * INCH,
            "course_pattern": "flat, on edge, flat",
            "edge_leaves": "leaf by leaf",
        },
    ),
}


def main() -> None:
    for name, (page, given) in _LOOKS.items():
        layout = solve(BasinSpec(**_BASIN, **given))
        title = TitleBlock(f"Look: {name}", "", "", "us", "letter")
        (_FOLDER / f"look-{name}.png").write_bytes(page_pngs(layout, title, Outfit(), _DPI)[page])


if __name__ == "__main__":
    main()
