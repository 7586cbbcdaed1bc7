"""The Water sheet's part on the spillway, bowl or notch."""

from __future__ import annotations

from basinbook.catalogue import function
from basinbook.engine import kinds
from basinbook.engine.outfit import BOWL, LIP, NOTCH
from basinbook.workbook.template.formulas import call, outfit_name, why
from basinbook.workbook.template.input_cells import put_inputs
from basinbook.workbook.template.inputs import SPILLWAY, inputs_of
from basinbook.workbook.template.lines import Result, put_results, put_sentence
from basinbook.workbook.template.outfit import FALL, FALLING, falling, suggestion
from basinbook.workbook.template.sheet_writer import Rows

_EFFECT = outfit_name("effect")


def put_spillway(rows: Rows) -> None:
    """Put the section of the spillway: flow wanted and how far to trust it."""
    notes = {FALL.typed: suggestion(FALL, call("READLENGTH", FALL.suggested), rows)}
    put_inputs(rows, SPILLWAY, inputs_of(SPILLWAY), gap=0, notes=notes)
    falls = f'{_EFFECT}&IF({outfit_name("outlet")}="","",": "&{outfit_name("outlet")})'
    put_sentence(
        rows,
        "On this job",
        f'IF({FALLING},{falls},{_EFFECT}&": nothing runs over a lip, and what is typed here does '
        'not count")',
        16,
    )
    put_results(
        rows,
        Result(
            "Flow wanted",
            spill("FLOW", "Spill_head"),
            kinds.PUMP_FLOW,
            "At the wanted head; how far to trust it stands below",
            "Flow_wanted",
        ),
    )
    put_sentence(rows, "How far to trust it", falling(spill("STATUS", "Spill_head")), 16)
    sheet = rows.sheet
    sheet.name("Spill_status", f"$B${rows.row}")
    put_results(
        rows,
        Result(
            "Usual flow for a lip this wide",
            falling(call("USUALSPILLFLOW", "Spill_size", '"full"')),
            kinds.PUMP_FLOW,
            "Full sheet; common practice, no source",
        ),
    )
    lip = ("Spill_head", "Spill_size", "Spill_edge", "Spill_thickness", "Spill_ends")
    put_sentence(
        rows,
        "If there is no figure",
        f'IF(OR(ISNUMBER(Flow_wanted),NOT({FALLING})),"",{why("SPILLFLOW", *lip, "Units")})',
    )


def spill(ending: str, first: str) -> str:
    """Formula text of a spillway function for the water effect; blank for one without a fall."""
    lip = call(f"SPILL{ending}", first, "Spill_size", "Spill_edge", "Spill_thickness", "Spill_ends")
    bowl = call(f"BOWL{ending}", first, "Spill_size", "Spill_edge", "Spill_thickness")
    notch = call(f"NOTCH{ending}", first, "Spill_size", *_notch_rest(ending))
    by_effect = "".join(
        f'IF({_EFFECT}="{effect}",{found},'
        for effect, found in ((LIP, lip), (BOWL, bowl), (NOTCH, notch))
    )
    return f'{by_effect}"")))'


def _notch_rest(ending: str) -> tuple[str, ...]:
    taken = len(function(f"NOTCH{ending}").arguments) - 2
    return ("Spill_edge", "Spill_thickness", "Spill_ends")[:taken]
