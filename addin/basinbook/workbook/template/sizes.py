"""The Sizes sheet: inside sizes near the wanted one that need no or few cuts."""

from __future__ import annotations

from basinbook.workbook.template import style
from basinbook.workbook.template.formulas import lookup
from basinbook.workbook.template.input_cells import put_input
from basinbook.workbook.template.inputs import inputs_of
from basinbook.workbook.template.inputs.groups import SIZES
from basinbook.workbook.template.lines import put_array
from basinbook.workbook.template.sheet_writer import Template

ROWS = 14


def add_sizes(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Sizes", [15, 15, 11, 13, 13, 13, 47], pages=1)
    sheet.title("Inside sizes that need few cuts")
    sheet.merge(f"A3:{sheet.last}3")
    sheet.put(
        "A3",
        "Near the inside size of the Basin sheet, with its block, courses and all that stands with "
        "it, but the pipe opening: fewest cut pieces first, then nearest. Type a size that "
        "suits onto the Basin sheet.",
        style.NOTE,
    )
    sheet.height(3, 28)
    rows = sheet.rows(5)
    for given in inputs_of(SIZES):
        put_input(rows, given, "F")
    preformed = f'{lookup("Liners", "type", "Liner")}="preformed"'
    nominal = [
        f'IFERROR(IF({preformed},{lookup("Liners", key, "Liner")},""),"")'
        for key in ("length", "width")
    ]
    arguments = (
        "Job_labels",
        "Job_values",
        "Sizes_span",
        str(ROWS),
        lookup("Blocks", "price", "Block"),
        str(ROWS),
        *nominal,
        "Liner_tolerance",
    )
    wanted = 'Sizes_listed="yes"'
    rows.next()
    cells = put_array(rows, "MODULESIZES", arguments, ROWS, "ABCDEFG", wanted)
    head = cells[0] - 1
    sheet.put(f"F{head}", '="Blocks, "&Currency', style.HEAD)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze=f"A{cells[0]}", titles="1:2")
