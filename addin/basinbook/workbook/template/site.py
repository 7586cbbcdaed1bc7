"""The Site sheet: what is measured on the site before the job is worked out, beside the job."""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds
from basinbook.engine.cautions import caution
from basinbook.engine.inputs import Input
from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_caution
from basinbook.workbook.template.formulas import call
from basinbook.workbook.template.input_cells import WORDS, put_inputs
from basinbook.workbook.template.inputs import inputs_of
from basinbook.workbook.template.inputs.site import FROM_SITE, SITE, SITE_ONLY
from basinbook.workbook.template.sheet_writer import Rows, Template

_WIDTHS: Final = (30, 22, 8, 25, 42)
_SKETCH_ROWS: Final = 24


def add_site(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Site", _WIDTHS, pages=1)
    sheet.title("Site measure sheet")
    sheet.merge(f"A3:{sheet.last}3")
    sheet.put(
        "A3",
        "Take it to the site and write in what is found. What the job has too stands beside it; "
        "basinbook fill FILE --from-site types what was found there into the job.",
        style.NOTE,
    )
    sheet.height(3, 28)
    rows = sheet.rows(4)
    fed = inputs_of(SITE)
    put_inputs(rows, SITE, fed, gap=0, notes={given.name: _beside(given) for given in fed})
    put_inputs(rows, SITE_ONLY, inputs_of(SITE_ONLY))
    for key in ("call before digging", "dig"):
        put_caution(sheet, rows.next(1 if key != "dig" else 0), caution(key))
    _sketch(rows)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze="A4")


def _beside(given: Input) -> str:
    """Formula text of what the job has, and whether the site differs from it."""
    site, job = given.name, FROM_SITE[given.name]
    if given.kind in WORDS:
        same, told = f"{site}={job}", job
    else:
        told = f'{job}&""'
        same = f"{site}={job}"
        if given.kind is kinds.LENGTH:
            metres = (call("CONVERTLENGTH", cell, '"m"') for cell in (site, job))
            told = f'IFERROR({call("READLENGTH", job)},{job}&"")'
            same = f"IFERROR(ABS({'-'.join(metres)})<0.0005,FALSE)"
    of_job = f'IF({job}="","blank in the job",{told})'
    judged = f'IF({same},"As in the job","Differs from the job: "&{of_job})'
    told = f'IF({site}="","Job: "&{of_job},{judged})'
    return f'IFERROR({told},"not known in the job")'


def _sketch(rows: Rows) -> None:
    """Room for a sketch; what is typed there is kept."""
    sheet = rows.sheet
    rows.section("Sketch: north, house, walls, trees, tap, power, way in, how the ground falls")
    cells = rows.take(_SKETCH_ROWS)
    sheet.merge(f"A{cells[0]}:{sheet.last}{cells[-1]}")
    for row in cells:
        for letter in sheet.letters:
            sheet.put(f"{letter}{row}", None, style.INPUT_TEXT)
        sheet.height(row, 16)
