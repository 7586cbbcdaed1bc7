"""The look of the drawings: line weights, grey tones, hatches and text sizes, without colour.

Everything is told apart by line, tone and hatch, so that a drawing reads the same on a
black-and-white printer and to a colour-blind reader.
"""

from __future__ import annotations

from typing import Any, Final

SMALL: Final = 7.0
"""Smallest text [pt at print size]: dimensions, labels, and numbers in a workbook's pictures."""
NUMBER: Final = 9.0
"""Numbers of pieces in the printed set [pt]."""
TITLE: Final = 8.5
"""Text of view titles [pt]."""
LARGE: Final = 9.5
"""Text of the title block [pt]."""

# Line weights [pt].
HAIR: Final = 0.3
THIN: Final = 0.45
MEDIUM: Final = 0.8
HEAVY: Final = 1.3
LINER: Final = 2.6

# Grey tones, 0 black to 1 white.
WHITE: Final = 1.0
WATER: Final = 0.93
CORNER: Final = 0.84
SIDE: Final = 0.82
SHADE: Final = 0.62
FAINT: Final = 0.45
QUIET: Final = 0.3

# Hatches, as matplotlib names them; the number of marks sets the density.
CUT: Final = "//////"
LOOSE: Final = "......"
LAID: Final = "-----"
SECTION: Final = "\\\\\\\\\\"
BASE: Final = "oo.."
OFFCUT: Final = "xxxx"
TURNED: Final = "xxx"

# Dashes [in line widths].
DASHED: Final = (6.0, 3.0)
CHAIN: Final = (12.0, 3.0, 2.0, 3.0)
DOTTED: Final = (1.5, 2.5)

RC: Final[dict[Any, Any]] = {
    "font.family": "sans-serif",
    # The second name has the same widths as the first, for viewers without it.
    "font.sans-serif": ["DejaVu Sans", "Bitstream Vera Sans", "Verdana", "sans-serif"],
    # Letters in pictures as wide as in print.
    "text.hinting": "no_hinting",
    "hatch.linewidth": 0.35,
    "svg.fonttype": "none",
    "svg.hashsalt": "basinbook",
    "pdf.fonttype": 42,
    "pdf.compression": 6,
    "path.simplify": False,
}
"""Settings of matplotlib while a page is drawn and written: real text, fixed identifiers."""
