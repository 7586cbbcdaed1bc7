"""Writes docs/loads_strip_and_box.md: ordinary basins as free strip, as closed box, and judged.

python tests/strip_and_box.py > docs/loads_strip_and_box.md
"""

from __future__ import annotations

from typing import Final

from basinbook.catalogue import call

_HEAD: Final = """\
# Free strip and closed box: twelve ordinary basins

Written by `python tests/strip_and_box.py > docs/loads_strip_and_box.md`. These are figures to think
with, not a design: local codes and licensed practice go before them, and none of them says that a
wall holds. Equations, sources and limits stand in [water and loads](water_and_loads.md).

All: block 18 × 4 in laid flat at 138 lb/ft³, caps of 24 × 12 × 2 in, 2 in of freeboard, on a tamped
base of 4 in (friction 0.45) over clay, a fifth of each bed glued. Inside and water in inches.

| inside | water | wall | glue, psi | strip: sliding | strip: tipping | box | bends, psi | verdict |
| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | --- |"""
_TAIL: Final = """\

## What each says

- **Strip**: a length of wall that stands alone, by its weight and friction on the base. No corner,
  no glue. The lower bound: at 1.5 times it asks nothing of glue and corners.
- **Box**: how many times the water's load friction, glue, corners and block carry together.
- **Bends**: the tension in a block if all of the water's load went sideways, demand alone.

## What each leaves out

- Strip: all that ties the walls together. It tells long walls and short ones alike.
- Box: pipe opening and other gaps; columns and second wall, which stand beside without bond; how
  stiff glue, block and ground are; that glue is hardly ever spread as drawn; glued
  heads.
- Both: water under the wall, soft or filled ground, frost, earthquake, soil outside an empty basin,
  people on the wall, glue that ages in water. Ice is not judged at all: drain the basin before
  frost.
- The sizes at which the verdict looks closer (inside over 72 in, water over 20 in, a wall under
  7 1/2 in) are common practice, no source."""

# Inside length and width, water, thickness [in] and glue [lb/in²].
BASINS: Final = (
    (48, 48, 14, 8, 10), (48, 48, 17, 8, 10), (60, 48, 14, 8, 5), (64, 46, 14, 8, 10),
    (64, 46, 17, 8, 5), (64, 46, 17, 8, 10), (64, 46, 20, 8, 20), (72, 72, 17, 8, 10),
    (72, 72, 20, 8, 10), (84, 48, 17, 8, 20), (60, 60, 17, 6, 20), (120, 48, 24, 8, 50),
)  # fmt: skip
_LABELS: Final = [
    ["Inside length"], ["Inside width"], ["Block length"], ["Block height"], ["Block depth"],
    ["Water depth"], ["Freeboard"], ["Cap length"], ["Cap depth"], ["Cap height"],
]  # fmt: skip


def page() -> str:
    """Return the whole page."""
    lines = [_HEAD]
    for length, width, water, wall, glue in BASINS:
        values = [[length], [width], [18], [4], [wall], [water], [2], [24], [12], [2]]
        given = (_LABELS, values, 138, 0.45, f"{glue} psi", 0.2)
        ((_, _, sliding, _, turning, *_),) = _rows("WALLLOADS", *given)
        ((box, limit, _),) = _rows("BOXLOAD", *given, "clay")
        bends = max(float(row[5]) for row in _rows("LOADDEMANDS", _LABELS, values, 138, 0.2))
        said = str(call("LOADVERDICT", *given, "clay", 4).value)
        grade = said.split(":")[0].split(",")[0].lower()
        lines.append(
            f"| {length} × {width} | {water} | {wall} | {glue} | {float(sliding):.2f} | "
            f"{float(turning):.2f} | {float(box):.2f} ({limit}) | {bends / 144:.0f} | {grade} |"
        )
    return "\n".join([*lines, _TAIL]) + "\n"


def _rows(name: str, *arguments: object) -> list[list[str | float]]:
    found = call(name, *arguments).value
    assert isinstance(found, list)
    return found  # type: ignore[return-value]


if __name__ == "__main__":
    print(page(), end="")
