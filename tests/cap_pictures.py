"""Pictures of choices of caps for docs/setting_out.md, by our own drawings from real layouts.

    .venv/bin/python tests/cap_pictures.py

writes docs/pictures/caps-NAME.png anew: caps in line with the wall, as the overhang with the fewest
cuts, and mitred caps with one that bridges the access gap and is loose.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from basinbook.drawings.drawing_set import page_pngs
from basinbook.drawings.sheet import TitleBlock
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import (
    CAP_GAPS,
    CAP_JOINTS,
    CAP_SHORT_EDGES,
    INCH,
    SERVICE_CAPS,
    BasinSpec,
)

_FOLDER: Final = Path(__file__).parents[1] / "docs" / "pictures"
_DPI: Final = 80
_PAGE: Final = "Plan 2"
_BASIN: Final[dict[str, Any]] = {
    "inside_length": 48 * INCH,
    "inside_width": 24 * INCH,
    "block_length": 12 * INCH,
    "block_height": 4 * INCH,
    "block_depth": 8 * INCH,
    "courses": 4,
    "water_depth": 12 * INCH,
    "cap_length": 16 * INCH,
    "cap_depth": 12 * INCH,
    "cap_height": 2 * INCH,
    "second_wall": "yes",
    "cap_joints": CAP_JOINTS[1],
}
_CAPS: Final[dict[str, dict[str, Any]]] = {
    "in-line": {"cap_overhang_least": 0.0},
    "bridging": {
        "access_width": 9 * INCH,
        "cap_corner": "mitred",
        "cap_short_edge": CAP_SHORT_EDGES[1],
        "cap_gaps": CAP_GAPS[1],
        "service_cap": SERVICE_CAPS[2],
    },
}


def main() -> None:
    for name, given in _CAPS.items():
        layout = solve(BasinSpec(**_BASIN, **given))
        title = TitleBlock(f"Caps: {name}", "", "", "us", "letter")
        (_FOLDER / f"caps-{name}.png").write_bytes(page_pngs(layout, title, Outfit(), _DPI)[_PAGE])


if __name__ == "__main__":
    main()
