"""How a quote looks: its colours, type and distances. One colour beside ink and greys."""

from __future__ import annotations

from typing import Final

from basinbook.workbook.paper import print_text
from basinbook.workbook.paper.print_text import Style

ACCENT: Final = "0E6470"
TINT: Final = "E4F0F1"
WATER: Final = "BFDDE0"
INK: Final = "22303C"
QUIET: Final = "66727C"
RULE: Final = "C9D1D6"

MARGIN: Final = 46.0
"""Between the paper's edge and what is printed [pt]."""
GUTTER: Final = 20.0
"""Between two columns [pt]."""
MM: Final = 72.0 / 25.4


def plain(size: float = 7.8, colour: str = INK) -> Style:
    """Return an upright face."""
    return Style(print_text.face(False, False), size, colour)


def bold(size: float = 7.8, colour: str = INK) -> Style:
    """Return a bold face."""
    return Style(print_text.face(True, False), size, colour)
