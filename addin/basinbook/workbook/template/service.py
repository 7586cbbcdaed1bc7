"""The part on draining and service."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.workbook.template.formulas import call
from basinbook.workbook.template.lines import Result, put_results, put_sentence
from basinbook.workbook.template.sheet_writer import Rows


def put_service(rows: Rows) -> None:
    """Put the section of draining and of the pump's way out."""
    rows.section("Draining and service")
    gap = ("Access_gap", "Access_height", "Pump_width", "Pump_height")
    put_results(
        rows,
        Result(
            "Water to drain for frost",
            call("DRAINDOWN", "Inside_length", "Inside_width", "Water_depth", "", "Pipe_contents"),
            kinds.LIQUID,
            "Basin and pipe; pump, valve and fittings must come out",
        ),
        Result(
            "Height of the access gap",
            "Qty_Access_gap_height",
            kinds.LENGTH,
            "In the second wall",
            "Access_height",
        ),
    )
    put_sentence(
        rows,
        "Pump through the gap",
        'IF(Access_height=0,"no access gap on the Job sheet",'
        f'IF(ISNUMBER(Access_height),{call("ACCESSCHECK", *gap)},"-"))',
    )
