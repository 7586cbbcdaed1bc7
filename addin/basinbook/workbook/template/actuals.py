"""What a job took in the end: hours, blocks broken, adhesive and base, beside the estimate."""

from __future__ import annotations

from typing import Final, NamedTuple

from basinbook.engine import kinds
from basinbook.engine.spec import FIELDS
from basinbook.workbook.prices.learned import ADHESIVE, BASE, BROKEN
from basinbook.workbook.template import style
from basinbook.workbook.template.costs import WORK
from basinbook.workbook.template.formulas import call, if_known, lookup
from basinbook.workbook.template.input_cells import fit_note
from basinbook.workbook.template.sheet_writer import Rows, fixed_format

_MOST: Final = 100_000
_COLUMNS: Final = (
    ("A", "task"), ("B", "amount"), ("C", "unit"), ("D", "planned"), ("E", "took"),
)  # fmt: skip
_HEADS: Final = ("What", "Amount", "Unit", "Estimated", "Took", "Took / amount", "How to count")


class _Line(NamedTuple):
    """A line: what, formula text of amount and of what the estimate has, unit, decimals, note."""

    what: str
    amount: str
    unit: str
    planned: str
    note: str


def put_actuals(rows: Rows) -> None:
    """Write a line for each task and allowance that is learned from, with a cell for what it took.

    Named columns, by which they are read from the files of several jobs.
    """
    sheet = rows.sheet
    bulk, place = sheet.unit(kinds.BULK), int(sheet.metric)
    bead = call("BEADYIELD", lookup("Adhesives", "cartridge", "Adhesive"), "Bead_diameter")
    breakage = f'IF(Breakage="",{FIELDS["breakage"].default},Breakage)'
    lines = [
        _Line(
            line.task,
            line.quantity,
            line.unit[place],
            f"({line.quantity})*{line.hours_each}",
            "Person-hours, all of the crew",
        )
        for line in WORK
    ]
    lines += [
        _Line(
            BROKEN,
            "Qty_Blocks_needed",
            "block",
            f"Qty_Blocks_needed*{breakage}",
            "Whole blocks broken or unfit; the amount is what was needed without them",
        ),
        _Line(
            ADHESIVE,
            f"Qty_Bed_length*Beads/{bead}",
            "cartridge",
            "Qty_Cartridges",
            "Cartridges opened; the amount is what the beads hold, with nothing lost",
        ),
        _Line(
            BASE,
            "Qty_Base_tamped",
            bulk,
            "Qty_Base_loose",
            f"Loose, in {bulk}; the amount is the tamped volume",
        ),
    ]
    rows.section("What the job took (blank: not counted), for basinbook learn")
    head = rows.next()
    sheet.row(head, "A", _HEADS, style.HEAD)
    sheet.height(head, 20)
    cells = rows.take(len(lines))
    for row, line in zip(cells, lines, strict=True):
        sheet.put(f"A{row}", line.what, style.BOX)
        for letter, text in (("B", line.amount), ("D", line.planned)):
            sheet.put(
                f"{letter}{row}", if_known(text), style.BOX_NUMBER, number_format=fixed_format(1)
            )
        sheet.put(f"C{row}", line.unit, style.UNIT)
        sheet.put(f"E{row}", None, style.INPUT)
        sheet.decimal(f"E{row}", 0, _MOST)
        rate = f'=IF(OR(E{row}="",N(B{row})=0),"",E{row}/B{row})'
        sheet.put(f"F{row}", rate, style.RESULT, number_format=fixed_format(3))
        sheet.put(f"G{row}", line.note, style.NOTE)
        fit_note(sheet, row, line.note, "G")
    for letter, key in _COLUMNS:
        sheet.name(f"Actual_{key}", f"${letter}${cells[0]}:${letter}${cells[-1]}")
