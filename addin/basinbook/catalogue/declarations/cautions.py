"""Worksheet functions that give the cautions."""

from __future__ import annotations

from basinbook.catalogue.model import Array, Column, Example, choice, quantity, worksheet_function
from basinbook.engine import cautions, kinds
from basinbook.units import shown

_CATEGORY = "Cautions"


@worksheet_function(
    category=_CATEGORY,
    summary="Caution where a block or cap is too heavy for one person; else an empty text",
    arguments=(quantity("mass", kinds.MASS, "Weight of one block or cap", 0.0, 5000.0),),
    result=kinds.TEXT,
    source="DHHS (NIOSH) Publication 94-110, load constant of the revised lifting equation",
    examples=(
        Example(("40",), ""),
        Example(("75",), "75 lb: " + cautions.CAUTIONS["lifting"].shown),
    ),
)
def lift_note(mass: float, system: str) -> str:
    found = cautions.lift_caution(mass)
    return f"{shown(mass, kinds.MASS, system)}: {found.shown}" if found else ""


@worksheet_function(
    category=_CATEGORY,
    summary="Text of one caution with its source",
    arguments=(choice("key", "Which caution", tuple(cautions.CAUTIONS)),),
    result=kinds.TEXT,
    source="As named in each text",
    examples=(Example(("solvent cement",), cautions.CAUTIONS["solvent cement"].shown),),
    name="CAUTION",
)
def caution_text(key: str) -> str:
    return cautions.caution(key).shown


@worksheet_function(
    category=_CATEGORY,
    summary="Cautions that belong to a sheet",
    arguments=(choice("place", "Which sheet", cautions.PLACES),),
    result=Array(
        (Column("caution", kinds.TEXT), Column("text", kinds.TEXT), Column("source", kinds.TEXT))
    ),
    source="As named in each row",
    examples=(
        Example(
            ("estimate",),
            "\n".join(
                f"{each.key}\t{each.text} {cautions.LOCAL}\t{each.source}"
                for each in cautions.cautions_at("estimate")
            ),
        ),
    ),
    name="CAUTIONS",
)
def cautions_for(place: str) -> list[tuple[object, ...]]:
    return [
        (each.key, f"{each.text} {cautions.LOCAL}", each.source)
        for each in cautions.cautions_at(place)
    ]
