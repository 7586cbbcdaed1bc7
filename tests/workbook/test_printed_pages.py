"""Every page of three jobs on letter and A4: how many, no text cut off, none under 7 points.

The pages are those that ``basinbook pictures`` and the PDFs are made of; that a text is drawn at
the size that it is laid out at is read back from a PDF in ``tests/unit/test_render.py``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import openpyxl
import pytest

from basinbook.workbook.paper import print_text
from basinbook.workbook.paper.charts import TEXT_SIZE
from basinbook.workbook.paper.paging import Page, pages, paper
from basinbook.workbook.paper.printed_sheet import PAD, Block, fitted, grids, run_room
from basinbook.workbook.paper.render import Looks
from basinbook.workbook.template.demo_job import DEMO_US
from basinbook.workbook.template.template_files import make_workbook
from workbook.places import place

PAPERS: Final = ("letter", "a4")
STILL: Final = {
    "Job_name": "Orchard still basin",
    "Inside_length": 1500,
    "Inside_width": 900,
    "Water_depth": 300,
}
LARGE: Final = {
    **DEMO_US,
    "Job_name": "Terrace basin with two openings and lights",
    "Inside_length": "12'",
    "Inside_width": "6'",
    "Water_depth": 20,
    "Liner": "Sheet liner 45 mil",
    "Liner_lap": 2,
    "Columns": 4,
    "Pipe_space": 10,
    "Access_gap": 20,
    "Turned_blocks_in_basin_walls": "where they save cuts",
    "Turned_blocks_in_second_wall": "where they save cuts",
    "Mixed_courses": "3",
    "Blocks_on_edge_a_wall": 2,
    "Opening_2_for": "light",
    "Opening_2_wall": "front",
    "Opening_2_width": 4,
    "Opening_2_course": 3,
    "Opening_3_for": "overflow",
    "Opening_3_wall": "left",
    "Opening_3_width": 3,
    "Opening_3_course": 4,
    "Wall_column_1": "by front wall",
    "Wall_column_1_courses": 2,
}
# Pages of each sheet that has more than one, on letter and on A4. Columns: still, demo, large.
COUNTS: Final[dict[str, tuple[tuple[int, int], tuple[int, int], tuple[int, int]]]] = {
    "Materials": ((3, 3), (3, 3), (3, 3)),
    "Pump and pipe": ((3, 3), (3, 3), (3, 3)),
    "Water": ((5, 5), (5, 5), (5, 5)),
    "Losses and loads": ((3, 3), (3, 3), (3, 3)),
    "Findings": ((2, 2), (2, 2), (2, 2)),
    "Take-off": ((3, 3), (3, 3), (3, 3)),
    "Estimate": ((3, 3), (3, 3), (3, 3)),
    "Options": ((2, 2), (2, 2), (2, 2)),
    "Ranges": ((2, 2), (2, 2), (2, 2)),
    "Quote": ((4, 4), (4, 4), (4, 5)),
    "Delivery": ((2, 2), (2, 2), (2, 2)),
    "Setting plan": ((1, 1), (2, 2), (3, 4)),
    "Steps": ((1, 1), (2, 2), (2, 2)),
    "Pieces": ((2, 2), (4, 4), (7, 6)),
    "Drawings": ((6, 6), (6, 6), (6, 6)),
    "Checks": ((3, 3), (3, 3), (3, 3)),
    "Stages": ((6, 6), (6, 6), (6, 6)),
}  # fmt: skip


@pytest.fixture(scope="module")
def printed(
    demos: dict[str, Path], tmp_path_factory: pytest.TempPathFactory
) -> dict[tuple[str, str], dict[str, tuple[list[Page], float]]]:
    """Pages of each sheet and their scale, by job and paper."""
    folder = tmp_path_factory.mktemp("printed")
    files = {"still": folder / "still.xlsx", "demo": demos["us"], "large": folder / "large.xlsx"}
    make_workbook(files["still"], "metric", STILL)
    make_workbook(files["large"], "us", LARGE)
    found: dict[tuple[str, str], dict[str, tuple[list[Page], float]]] = {}
    for job, file in files.items():
        book = openpyxl.load_workbook(file, data_only=True)
        where, at = place(book, "Ready")
        assert book[where][at].value is True, job
        looks = Looks(book)
        for sheet in book.worksheets:
            if sheet.sheet_state != "visible":
                continue
            laid = grids(sheet, looks)
            for name in PAPERS:
                found.setdefault((job, name), {})[sheet.title] = pages(
                    sheet, laid, paper(sheet, name)
                )
    return found


def shown(page: Page) -> list[Block]:
    """The texts of a page that begin on it."""
    rows, columns = set(page.rows), set(page.columns)
    return [
        block
        for block in page.grid.blocks
        if block.text and block.top in rows and block.left in columns
    ]


def test_each_sheet_has_its_pages(printed: Any) -> None:
    jobs = ("still", "demo", "large")
    counts = {
        title: tuple(tuple(len(printed[job, name][title][0]) for name in PAPERS) for job in jobs)
        for title in printed["demo", "letter"]
    }
    more = {title: each for title, each in counts.items() if each != ((1, 1),) * 3}
    assert more == COUNTS


def test_no_page_is_an_empty_grid(printed: Any) -> None:
    """The drawings are pictures: they have no text of their own."""
    for (job, name), sheets in printed.items():
        for title, (made, _) in sheets.items():
            for number, page in enumerate(made, 1):
                texts = len({block.text for block in shown(page)})
                assert texts > 2 or page.grid.pictures, (job, name, title, number)


def test_no_text_is_under_seven_points_or_cut_off(printed: Any) -> None:
    for (job, name), sheets in printed.items():
        for title, (made, scale) in sheets.items():
            if made[0].grid.sheet._charts:
                assert TEXT_SIZE * scale >= 6.995, (job, name, title)
            for page in made:
                widths, heights = page.grid.widths, page.grid.heights
                for block in shown(page):
                    where = job, name, title, block.cell.coordinate, block.text
                    room = sum(heights[block.top : block.bottom + 1]) - 2 * PAD
                    lines = fitted(block, widths, room)
                    assert lines.size * scale >= 6.995, where
                    if block.rotation:
                        continue
                    assert lines.height <= room + 0.2, where
                    own = sum(widths[block.left : block.right + 1]) - 2 * PAD - block.indent
                    across = max(own, run_room(block, widths))
                    for line in lines.lines:
                        assert print_text.width(line, block.style, lines.size) <= across + 0.1, (
                            where
                        )


@pytest.mark.parametrize("title", ["Setting plan", "Pieces", "Cuts"])
def test_rows_of_lists_are_stored_as_high_as_their_texts(printed: Any, title: str) -> None:
    """A spreadsheet program takes the heights that it finds. Those of our own PDF may be more."""
    wrapped = 0
    for job in ("still", "demo", "large"):
        for page in printed[job, "letter"][title][0]:
            sheet = page.grid.sheet
            for block in shown(page):
                stored = sheet.row_dimensions[block.cell.row].height or 15
                needed = fitted(block, page.grid.widths)
                wrapped += len(needed.lines) > 1
                if block.top == block.bottom:
                    assert needed.height <= stored + 0.5, (job, title, block.text)
    assert wrapped > 5 or title == "Cuts"
