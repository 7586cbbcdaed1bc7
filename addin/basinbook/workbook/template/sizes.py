"""The Sizes sheet: inside sizes near the wanted one that need no or few cuts."""

from __future__ import annotations

from basinbook.workbook.template import style
from basinbook.workbook.template.formulas import lookup
from basinbook.workbook.template.lines import put_array
from basinbook.workbook.template.sheet_writer import Template

LAST = "G"
ROWS = 14


def add_sizes(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Sizes", [15, 15, 11, 13, 13, 13, 50], pages=1)
    sheet.title("Inside sizes that need few cuts")
    sheet.merge(f"A3:{LAST}3")
    sheet.put(
        "A3",
        "Near the inside size of the Job sheet, with its block, courses and all that stands with "
        "it, but the pipe opening: fewest cut pieces first, then nearest. Type a size that "
        "suits onto the Job sheet.",
        style.NOTE,
    )
    sheet.height(3, 28)
    sheet.put("A5", "Look as far as", style.LABEL)
    sheet.put("B5", None, style.INPUT, name="Sizes_span")
    sheet.merge(f"C5:{LAST}5")
    sheet.put("C5", "Up and down in each direction; blank for one block length", style.NOTE)
    sheet.put("A6", "List the sizes", style.LABEL)
    sheet.put("B6", "no", style.INPUT_TEXT, name="Sizes_listed")
    sheet.list_of("B6", ("no", "yes"))
    sheet.merge(f"C6:{LAST}6")
    sheet.put("C6", "Dozens of layouts: each change of the job then takes longer", style.NOTE)
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
    last = put_array(sheet, 8, "MODULESIZES", arguments, ROWS, "ABCDEFG", wanted)
    sheet.put("F8", '="Blocks, "&Currency', style.HEAD)
    sheet.finish(f"A1:{LAST}{last}", freeze="A9", titles="1:2")
