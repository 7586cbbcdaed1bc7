"""The pictures of docs/setting_out.md, drawn by our own drawings from real layouts.

    .venv/bin/python tests/setting_out_pictures.py

writes them anew into docs/pictures. The basins are invented.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final, NamedTuple

from basinbook.drawings.drawing_set import page_pngs
from basinbook.drawings.sheet import TitleBlock
from basinbook.engine.layout.solver import solve
from basinbook.engine.outfit import BOWL, LIP, Outfit
from basinbook.engine.spec import (
    CAP_GAPS,
    CAP_JOINTS,
    CAP_SHORT_EDGES,
    INCH,
    SAVING,
    SERVICE_CAPS,
    BasinSpec,
)
from layout_jobs import PLAIN_BASIN

_FOLDER: Final = Path(__file__).parents[1] / "docs" / "pictures"
_DPI: Final = 80
_SECOND_WALL: Final = replace(PLAIN_BASIN, second_wall="yes", pipe_space=4 * INCH)
_CAPPED: Final = replace(
    PLAIN_BASIN, cap_length=16 * INCH, cap_depth=12 * INCH, cap_height=2 * INCH, second_wall="yes",
    cap_joints=CAP_JOINTS[1],
)  # fmt: skip
_LOOK: Final = replace(PLAIN_BASIN, courses=3, water_depth=10 * INCH, edge_doubled="yes")


class Drawn(NamedTuple):
    """What some pictures show: title, basin, and the page of the drawings by the picture's name."""

    title: str
    spec: BasinSpec
    pages: dict[str, str]
    outfit: Outfit = Outfit()


PICTURES: Final = (
    Drawn(
        "Openings",
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
        {"means_openings": "Plan 1"},
    ),
    Drawn(
        "Turned blocks",
        replace(_SECOND_WALL, turned_walls=SAVING, turned_second=SAVING),
        {"turned-1": "Plan 1", "turned-2": "Plan 2", "turned-elevations": "Elevations"},
    ),
    Drawn(
        "Columns",
        replace(
            _SECOND_WALL, opening_width=3 * INCH, cap_length=24 * INCH, cap_depth=12 * INCH,
            cap_height=2 * INCH, wall_column_1="on both walls", wall_column_1_courses=3,
            column_pipe="out at the front", column_cap_of="blocks",
            wall_column_2="by left end", wall_column_2_courses=4,
        ),
        {"column-plan": "Plan 2", "column-section": "Section", "column-isometric": "Isometric"},
        Outfit(effect=LIP, pump="Pump", pipe="Pipe", base_thickness=4 * INCH),
    ),
    Drawn(
        "Columns: pipe through the cap",
        replace(
            _SECOND_WALL, opening_width=3 * INCH, cap_length=24 * INCH, cap_depth=12 * INCH,
            cap_height=2 * INCH, wall_column_1="on both walls", wall_column_1_courses=3,
            column_pipe="through the cap", column_cap_of="blocks",
        ),
        {"column-cap-pipe": "Plan 2", "column-cap-pipe-section": "Section"},
        Outfit(effect=BOWL, pump="Pump", pipe="Pipe", base_thickness=4 * INCH),
    ),
    Drawn(
        "Columns on one wall",
        replace(
            _SECOND_WALL, cap_length=24 * INCH, cap_depth=10 * INCH, cap_height=2 * INCH,
            wall_column_laid="on end", wall_column_core="no",
            wall_column_1="on back wall", wall_column_1_at=12 * INCH, wall_column_1_courses=2,
            wall_column_2="on back wall", wall_column_2_at=36 * INCH, wall_column_2_courses=2,
        ),
        {"columns-one-wall": "Isometric"},
    ),
    Drawn(
        "Columns in walls",
        replace(
            PLAIN_BASIN, inside_length=75 * INCH, cap_length=24 * INCH, cap_depth=10 * INCH,
            cap_height=2 * INCH, wall_column_1="in front wall", wall_column_1_at=22 * INCH,
            wall_column_1_courses=6, wall_column_2="in front wall", wall_column_2_at=53 * INCH,
            wall_column_2_courses=6, column_cap_of="blocks",
        ),
        {
            "engaged-1": "Plan 1",
            "engaged-caps": "Plan 2",
            "engaged-elevations": "Elevations",
            "engaged-isometric": "Isometric",
        },
    ),
    Drawn(
        "Look: mixed",
        replace(
            _LOOK, inside_length=51 * INCH, course_pattern="flat, mixed, flat",
            place_1_middle=18 * INCH, mixed_mirrored="yes",
        ),
        {"look-mixed": "Elevations"},
    ),
    Drawn(
        "Look: leaves",
        replace(
            _LOOK, inside_length=53 * INCH, course_pattern="flat, on edge, flat",
            edge_leaves="leaf by leaf",
        ),
        {"look-leaves": "Plan 2"},
    ),
    Drawn(
        "Look: gap behind the liner",
        replace(
            _LOOK, inside_length=46 * INCH, course_pattern="flat, on edge, flat",
            liner_gap=0.5 * INCH,
        ),
        {"look-liner-gap": "Plan 2"},
    ),
    Drawn("Caps: in line", replace(_CAPPED, cap_overhang_least=0.0), {"caps-in-line": "Plan 2"}),
    Drawn(
        "Caps: loose for service",
        replace(
            PLAIN_BASIN, cap_length=16 * INCH, cap_depth=10 * INCH, cap_height=2 * INCH,
            service_cap=SERVICE_CAPS[3],
        ),
        {"caps-service": "Plan 2"},
    ),
    Drawn(
        "Caps: bridging",
        replace(
            _CAPPED, access_width=9 * INCH, cap_corner="mitred", cap_short_edge=CAP_SHORT_EDGES[1],
            cap_gaps=CAP_GAPS[1], service_cap=SERVICE_CAPS[2],
        ),
        {"caps-bridging": "Plan 2"},
    ),
    Drawn(
        "As built",
        replace(
            PLAIN_BASIN, laid_courses=2, laid_length=PLAIN_BASIN.inside_length + INCH,
        ),
        {"as-built-elevations": "Elevations"},
    ),
)  # fmt: skip


def main() -> None:
    """Draw every picture."""
    for title, spec, names, outfit in PICTURES:
        drawn = page_pngs(solve(spec), TitleBlock(title, "", "", "us", "letter"), outfit, _DPI)
        for name, page in names.items():
            (_FOLDER / f"{name}.png").write_bytes(drawn[page])


if __name__ == "__main__":
    main()
