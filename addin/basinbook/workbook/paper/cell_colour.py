"""A cell colour of a workbook as red, green and blue."""

from __future__ import annotations

import colorsys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lxml import etree

if TYPE_CHECKING:
    from openpyxl.styles.colors import Color

# The colours of the default theme of ECMA-376 files, in the order a theme index counts them.
_THEME = (
    "FFFFFF", "000000", "E7E6E6", "44546A", "4472C4", "ED7D31",
    "A5A5A5", "FFC000", "5B9BD5", "70AD47", "0563C1", "954F72",
)  # fmt: skip


# A theme's own list begins with dark and light text, which the index counts the other way round.
_THEME_ORDER = (1, 0, 3, 2, 4, 5, 6, 7, 8, 9, 10, 11)
# The numbered colours of the system: text and window.
_SYSTEM = {64: "000000", 65: "FFFFFF"}


@dataclass(frozen=True)
class Palette:
    """The colours that a theme's index and a number stand for, RRGGBB; standard ones unless given.

    numbered: those that a workbook has in place of the standard list; none: the standard list.
    """

    theme: tuple[str, ...] = _THEME
    numbered: tuple[str, ...] = ()

    @classmethod
    def of_theme(cls, theme: bytes | None, numbered: Sequence[str]) -> Palette:
        """Return the colours of a theme part; one that can't be read counts as the standard one."""
        return cls(_theme_colours(theme) or _THEME, tuple(numbered))


STANDARD = Palette()


def _theme_colours(theme: bytes | None) -> tuple[str, ...]:
    if not theme:
        return ()
    try:
        root = etree.fromstring(theme, etree.XMLParser(resolve_entities=False, no_network=True))
    except etree.XMLSyntaxError:
        return ()
    found = [
        colour.get("val" if colour.tag.endswith("srgbClr") else "lastClr", "")
        for kind in root.iterfind(".//{*}clrScheme/*")
        for colour in kind.iterfind("*")
    ]
    if len(found) != len(_THEME_ORDER) or not all(len(colour) == 6 for colour in found):
        return ()
    return tuple(found[place].upper() for place in _THEME_ORDER)


def rgb(colour: Color | None, palette: Palette = STANDARD) -> str | None:
    """Return the colour as RRGGBB; None when it is automatic or missing."""
    from openpyxl.styles.colors import COLOR_INDEX

    if colour is None:
        return None
    plain: str | None = None
    if colour.type == "rgb" and isinstance(colour.rgb, str):
        plain = colour.rgb[-6:]
    elif colour.type == "theme" and 0 <= int(colour.theme) < len(palette.theme):
        plain = palette.theme[int(colour.theme)]
    elif colour.type == "indexed":
        number = int(colour.indexed)
        numbered = palette.numbered or COLOR_INDEX
        plain = numbered[number][-6:] if 0 <= number < len(numbered) else _SYSTEM.get(number)
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
