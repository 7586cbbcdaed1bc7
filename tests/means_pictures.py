"""The pictures of docs/setting_out.md: plans of real layouts, by our own drawings.

Written anew by ``.venv/bin/python tests/means_pictures.py``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from basinbook.drawings.drawing_set import page_png, pages
from basinbook.drawings.sheet import TitleBlock
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import Outfit
from basinbook.engine.spec import INCH, BasinSpec

_PICTURES: Final = Path(__file__).parents[1] / "docs" / "pictures"
_DPI: Final = 110

# Name of the picture -> the page that it shows, and the basin; sizes invented.
MEANS: Final = {
    "means_openings": (
        "Plan 1",
        BasinSpec(
            60 * INCH, 36 * INCH, 16 * INCH, 4 * INCH, 8 * INCH, courses=3, water_depth=8 * INCH,
            opening_width=6 * INCH, opening_course=2, opening_offset=20 * INCH,
            opening_2_use="cable", opening_2_width=4 * INCH, opening_2_course=2,
            opening_2_offset=44 * INCH,
            opening_3_use="spillway", opening_3_wall="front", opening_3_width=18 * INCH,
            opening_3_course=2, opening_3_lintel_length=30 * INCH,
            opening_4_use="drain", opening_4_wall="left", opening_4_width=10 * INCH,
            opening_4_rows=2, opening_4_lintel_length=18 * INCH,
        ),
    ),
}  # fmt: skip


def main() -> None:
    """Draw every picture."""
    title = TitleBlock("Means of setting-out", "", "", "us", "letter")
    for name, (wanted, spec) in MEANS.items():
        drawn = {page.name: page for page in pages(solve(spec), title, Outfit())}
        (_PICTURES / f"{name}.png").write_bytes(page_png(drawn[wanted].figure, _DPI))


if __name__ == "__main__":
    main()
