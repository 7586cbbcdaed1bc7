"""A cell colour of a workbook as red, green and blue."""

from __future__ import annotations

import colorsys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from openpyxl.styles.colors import Color

# The colours of the default theme of ECMA-376 files, in the order a theme index counts them.
_THEME = (
    "FFFFFF", "000000", "E7E6E6", "44546A", "4472C4", "ED7D31",
    "A5A5A5", "FFC000", "5B9BD5", "70AD47", "0563C1", "954F72",
)  # fmt: skip


def rgb(colour: Color | None) -> str | None:
    """Return the colour as RRGGBB; None when it is automatic or missing."""
    from openpyxl.styles.colors import COLOR_INDEX

    if colour is None:
        return None
    plain: str | None = None
    if colour.type == "rgb" and isinstance(colour.rgb, str):
        plain = colour.rgb[-6:]
    elif colour.type == "theme" and 0 <= int(colour.theme) < len(_THEME):
        plain = _THEME[int(colour.theme)]
    elif colour.type == "indexed" and 0 <= int(colour.indexed) < len(COLOR_INDEX):
        plain = COLOR_INDEX[int(colour.indexed)][-6:]
    return _tinted(plain, float(colour.tint or 0)) if plain else None


def _tinted(plain: str, tint: float) -> str:
    """Lighten (tint > 0) or darken (tint < 0) as ECMA-376 part 1, section 18.8.19 says."""
    if not tint:
        return plain.upper()
    red, green, blue = (int(plain[i : i + 2], 16) / 255 for i in (0, 2, 4))
    hue, light, strength = colorsys.rgb_to_hls(red, green, blue)
    light = light * (1 + tint) if tint < 0 else light * (1 - tint) + tint
    mixed = colorsys.hls_to_rgb(hue, light, strength)
    return "".join(f"{round(part * 255):02X}" for part in mixed)
