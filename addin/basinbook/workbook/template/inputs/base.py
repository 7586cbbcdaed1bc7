"""Inputs of the base, of what joins and lines it, of the dig and of the parts."""

from __future__ import annotations

from typing import Final

from basinbook.engine import earth, outfit
from basinbook.engine.inputs import Input
from basinbook.engine.kinds import BULK, COUNT, HOSE_FLOW, LENGTH, RATIO, TEXT
from basinbook.engine.outfit import EFFECTS, STILL
from basinbook.workbook.template.inputs.groups import EARTH, METHOD, TOPIC_OF, WATER_PARTS, of_group
from basinbook.workbook.template.inputs.parts import part_inputs

BASE_INPUTS: Final[tuple[Input, ...]] = (
    *of_group(
        TOPIC_OF[WATER_PARTS],
        WATER_PARTS,
        Input(
            outfit.FIELDS["effect"].label,
            TEXT,
            STILL,
            STILL,
            "What the water does; pump, pipe and fittings are on the Water sheet",
            choices=EFFECTS,
            named="Spill_kind",
            required=True,
        ),
        *part_inputs(),
    ),
    *of_group(
        TOPIC_OF[METHOD],
        METHOD,
        Input(
            "Base thickness",
            LENGTH,
            4,
            100,
            "Tamped; 4 in (100 mm) is common practice",
            like="BASEVOLUME.thickness",
            required=True,
        ),
        Input(
            "Base margin",
            LENGTH,
            6,
            150,
            "Working margin all round the footprint",
            like="BASEAREA.margin",
            required=True,
        ),
        Input(
            "Beads",
            COUNT,
            2,
            2,
            "Beads of adhesive along each bed",
            like="CARTRIDGES.beads",
            required=True,
        ),
        Input("Bead diameter", LENGTH, "3/8", 10, like="CARTRIDGES.bead_diameter", required=True),
        Input(
            "Adhesive waste",
            RATIO,
            0.1,
            0.1,
            "Share of each cartridge that is lost",
            like="CARTRIDGES.waste",
            percent=True,
        ),
        Input(
            "Liner lap",
            LENGTH,
            6,
            150,
            "Flap on the wall, under the caps; leave the outer edge bare for adhesive",
            like="LINERSHEET.lap",
            required=True,
        ),
        Input(
            "Liner tolerance",
            LENGTH,
            "1/4",
            6,
            "Of a preformed liner; its maker's figure",
            like="LINERFIT.tolerance",
            required=True,
        ),
        Input(
            "Hose flow",
            HOSE_FLOW,
            6,
            22,
            "Time a bucket at the site's hose",
            like="FILLTIME.hose_flow",
            required=True,
        ),
    ),
    *of_group(
        TOPIC_OF[EARTH],
        EARTH,
        Input(
            "Dig depth",
            LENGTH,
            help="Below the ground; blank is the base's thickness",
            like="DIGVOLUME.depth",
        ),
        Input(
            "Slope of the sides",
            RATIO,
            0,
            0,
            "Run to a rise of 1; 0 is upright",
            like="DIGVOLUME.slope",
            named="Dig_slope",
            per="to 1",
        ),
        Input(
            "Ground",
            TEXT,
            "common earth",
            "common earth",
            "What is dug, for its swell",
            choices=tuple(earth.SOILS),
            named="Dig_soil",
        ),
        Input(
            "Kept on site",
            RATIO,
            0,
            0,
            "Share of the loose earth that is not hauled off",
            0,
            1,
            named="Dig_kept",
            per="of it",
            percent=True,
        ),
        Input(
            "Load hauled at a time",
            BULK,
            help="Loose; blank: loads are not counted",
            low=0.001,
            high=100,
            named="Haul_load",
        ),
    ),
)
