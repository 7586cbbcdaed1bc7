"""Inputs of the job itself: whose it is, and the materials chosen."""

from __future__ import annotations

from typing import Final

from basinbook.engine.inputs import Input
from basinbook.engine.kinds import DATE, TEXT
from basinbook.workbook.template.inputs.groups import (
    ANY_COLUMN,
    CHOSEN,
    PARTICULARS,
    TOPIC_OF,
    of_group,
)

PARTICULAR_INPUTS: Final[tuple[Input, ...]] = (
    *of_group(
        TOPIC_OF[PARTICULARS],
        PARTICULARS,
        Input("Job name", TEXT, help="Stands on every sheet"),
        Input("Job number", TEXT),
        Input("Client", TEXT, help="Does not go to the supplier"),
        Input("Site address", TEXT),
        Input("Estimator", TEXT),
        Input("Job date", DATE),
        Input("Job revision", TEXT, "A", "A", "Raise it when something changes; note it below"),
        Input("Currency", TEXT, "$", "€"),
    ),
)
MATERIAL_INPUTS: Final[tuple[Input, ...]] = (
    *of_group(
        TOPIC_OF[CHOSEN],
        CHOSEN,
        Input(
            "Block",
            TEXT,
            "Plank block 18 x 4 x 8",
            "Plank block 450 x 100 x 200",
            "From the Materials sheet",
            rows_of="Blocks",
            required=True,
        ),
        Input(
            "Cap",
            TEXT,
            "Smooth cap 24 x 12 x 2",
            "Smooth cap 600 x 300 x 50",
            "Blank for no caps",
            rows_of="Caps",
        ),
        Input("Column cap", TEXT, help="Blank for none", rows_of="Column_caps", when=(ANY_COLUMN,)),
        Input(
            "Base material",
            TEXT,
            "Stone dust, bulk by volume",
            "Stone dust, bulk by volume",
            rows_of="Bases",
            required=True,
        ),
        Input(
            "Adhesive",
            TEXT,
            "Masonry adhesive 28 oz",
            "Masonry adhesive 825 mL",
            rows_of="Adhesives",
            required=True,
        ),
        Input(
            "Liner",
            TEXT,
            "Sheet liner 45 mil",
            "Sheet liner 1.1 mm",
            "Preformed: check its nominal size on the Take-off sheet",
            rows_of="Liners",
            required=True,
        ),
        Input("Underlay", TEXT, help="Blank for none", rows_of="Underlays"),
    ),
)
