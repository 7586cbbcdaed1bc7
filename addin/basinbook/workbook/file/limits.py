"""What a workbook may hold, in one place; beyond it the file is refused before it is read on.

A workbook from a template has about 10,000 cells in 2 MB of parts, and a job with its own sheets,
photographs and price lists some times that. The limits leave room for a hundred times as much and
keep whatever is asked of a file within about half a gigabyte and a minute. Measured here: parts as
a tree take 0.4 kB a cell, a workbook in openpyxl 0.5 kB a cell and 0.4 kB a merged one.
"""

from __future__ import annotations

from typing import Final

# The file on disk: photographs are what makes workbooks large.
MAX_FILE_BYTES: Final = 100_000_000
# Unpacked, all together and the largest part.
MAX_TOTAL_BYTES: Final = 300_000_000
MAX_PART_BYTES: Final = 150_000_000
# A part that is parsed; such a tree takes some ten times its bytes.
MAX_XML_BYTES: Final = 40_000_000
MAX_PARTS: Final = 5_000
# Text packs down to a twentieth, a blank sheet to a hundredth, a bomb to a thousandth.
MAX_RATIO: Final = 250
RATIO_MATTERS_FROM: Final = 20_000_000
# Tags and attributes of all parts together: each takes a node of a tree.
MAX_MARKUP: Final = 3_000_000
MAX_CELLS: Final = 300_000
# The last row and column of a sheet in both programs (XFD1048576).
LAST_ROW: Final = 1_048_576
LAST_COLUMN: Final = 16_384

# For reading with openpyxl, which makes an object of each element and of each merged cell.
MAX_ELEMENTS: Final = 60_000
MAX_TEXTS: Final = 200_000
MAX_MERGED_CELLS: Final = 100_000
# openpyxl takes a header apart with a pattern that is slow on long texts; programs allow 255.
MAX_HEADER: Final = 1_000
# Cells of a defined name that is read; the longest of a template has some hundreds.
MAX_NAMED_CELLS: Final = 20_000

# On paper: each printed cell is measured and drawn.
MAX_PRINTED_CELLS: Final = 60_000
MAX_PAGES: Final = 300
# A picture is unpacked to be drawn: 60 million points take 180 MB. A telephone takes 50 million.
MAX_PICTURE_POINTS: Final = 60_000_000
MAX_PICTURE_POINTS_OF_A_SHEET: Final = 200_000_000
