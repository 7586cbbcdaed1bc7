"""The picture of docs/quote.md: both pages of the quote for the invented job.

    .venv/bin/python tests/quote_pictures.py

writes it anew into docs/pictures.
"""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from PIL import Image

from basinbook.workbook.paper.render import pdf_to_png
from basinbook.workbook.quote.write_quote import write_quote
from basinbook.workbook.template.demo_job import DEMO_US
from basinbook.workbook.template.template_files import make_workbook

_OUT: Final = Path(__file__).parents[1] / "docs" / "pictures" / "quote.png"
_DPI: Final = 84
_COLOURS: Final = 96


def main() -> None:
    """Draw it."""
    with TemporaryDirectory() as folder:
        job = Path(folder) / "job.xlsx"
        make_workbook(job, "us", DEMO_US)
        pages = pdf_to_png(write_quote(job).pdf, Path(folder), _DPI)
        shown = [Image.open(page).convert("RGB") for page in pages]
        whole = Image.new("RGB", (sum(one.width + 8 for one in shown) - 8, shown[0].height), "grey")
        left = 0
        for one in shown:
            whole.paste(one, (left, 0))
            left += one.width + 8
        whole.quantize(_COLOURS).save(_OUT, optimize=True)


if __name__ == "__main__":
    main()
