"""The Water sheet's part on the spillway, bowl or notch."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.engine.outfit import BOWL, LIP, NOTCH
from basinbook.units import one_system
from basinbook.workbook.template.formulas import call, outfit_name, quoted, why
from basinbook.workbook.template.input_cells import help_of, put_inputs
from basinbook.workbook.template.inputs import BY_NAME, inputs_of
from basinbook.workbook.template.inputs.groups import SPILLWAY
from basinbook.workbook.template.lines import Result, put_array, put_results, put_sentence
from basinbook.workbook.template.outfit import FALL, FALLING, falling, suggestion
from basinbook.workbook.template.sheet_writer import Rows

_EFFECT = outfit_name("effect")


# A whole rim is long: 3/4 in over one of 24 in takes 8,800 gal/h, 1/4 in takes 1,700.
_BOWL_HEAD = (
    "Of a bowl start with 1/4 in (6 mm) or less: its whole rim runs over; blank for no wanted flow"
)


def put_spillway(rows: Rows) -> None:
    """Put the section of the spillway: flow wanted and how far to trust it."""
    of_bowl = quoted(one_system(_BOWL_HEAD, rows.sheet.system))
    of_lip = quoted(help_of(BY_NAME["Spill_head"], rows.sheet))
    notes = {
        FALL.typed: suggestion(FALL, call("READLENGTH", FALL.suggested), rows),
        "Spill_head": f'IF({_EFFECT}="{BOWL}",{of_bowl},{of_lip})',
    }
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
            "Usual flow for its width or rim",
            falling(_usual_flow()),
            kinds.PUMP_FLOW,
            "Full sheet; common practice, no source; a notch has none",
            "Flow_usual",
        ),
        Result(
            "Head at that usual flow",
            falling(spill("HEAD", "Flow_usual")),
            kinds.LENGTH,
            "Over lip or rim",
        ),
    )
    _two_formulas(rows)
    _throw(rows)
    refused = "".join(
        f'IF({_EFFECT}="{effect}",{why(f"{function}FLOW", "Spill_head", *taken, "Units")},'
        for effect, (function, taken) in _OUTLETS.items()
    )
    put_sentence(
        rows,
        "If there is no figure",
        f'IF(OR(ISNUMBER(Flow_wanted),NOT({FALLING})),"",{refused}""{")" * len(_OUTLETS)})',
    )


_POOL = ("Spill_crest", "Spill_approach")
_SLAB = ("Spill_size", "Spill_edge", "Spill_thickness")
_OUTLET = (_EFFECT, *_SLAB, "Spill_ends", *_POOL)
_OUT = "Spill_overhang"
# By effect: the group of functions, and what they take after head or flow.
_OUTLETS = {
    LIP: ("SPILL", (*_SLAB, "Spill_ends", *_POOL)),
    BOWL: ("BOWL", _SLAB),
    NOTCH: ("NOTCH", ("Spill_size", *_POOL)),
}


def _two_formulas(rows: Rows) -> None:
    """Put the sheet's flow by two formulas, and how far they are apart."""
    put_array(rows, "SHEETFORMULAS", ("Spill_head", *_OUTLET), 2, "AB", FALLING)
    put_results(
        rows,
        Result(
            "Formulas apart by",
            falling(call("SHEETSPREAD", "Spill_head", *_OUTLET)),
            kinds.RATIO,
            "Of the flow wanted: it is at least so uncertain; level and finish of the lip on top",
            "Flow_spread",
        ),
    )


def _throw(rows: Rows) -> None:
    """Put how far the sheet is thrown, and the least basin that catches it."""
    # A full sheet flies furthest, a thin one drifts furthest. Once a pump is chosen its flow
    # counts, and while that is unknown so is this.
    full, thin = (
        f'IF(OR(Pump="",ISNUMBER(Flow_running)),{which}(Flow_wanted,Flow_running),"")'
        for which in ("MAX", "MIN")
    )
    length = kinds.LENGTH
    put_results(
        rows,
        Result(
            "Sheet lands from the lip",
            falling(call("SHEETTHROW", full, FALL.used, *_OUTLET)),
            length,
            "Outer edge, at the larger of flow wanted and pump's flow; a thin sheet lands nearer",
            "Sheet_throw",
        ),
        Result(
            "Wind adds at most",
            falling(call("SHEETDRIFT", thin, FALL.used, "Spill_wind", *_OUTLET)),
            length,
            "At the smaller flow, the whole wind square on the sheet; a bound, no source",
            "Sheet_drift",
        ),
        Result(
            "Least inside width, still air",
            falling(call("CATCHWIDTH", _EFFECT, "Spill_size", "Sheet_throw", "0", _OUT)),
            length,
            "From the wall under the lip; of a bowl, about its middle",
            "Catch_still",
        ),
        Result(
            "Least inside width, with wind",
            falling(call("CATCHWIDTH", _EFFECT, "Spill_size", "Sheet_throw", "Sheet_drift", _OUT)),
            length,
            "Drops that splash up go further: usually as far as the fall is high (no source)",
            "Catch_wind",
        ),
    )


def spill(ending: str, first: str) -> str:
    """Formula text of a spillway function for the water effect; blank for one without a fall."""
    by_effect = "".join(
        f'IF({_EFFECT}="{effect}",{call(f"{function}{ending}", first, *taken)},'
        for effect, (function, taken) in _OUTLETS.items()
    )
    return f'{by_effect}""{")" * len(_OUTLETS)}'


def _usual_flow() -> str:
    lip = call("USUALSPILLFLOW", "Spill_size", '"full"')
    bowl = call("USUALBOWLFLOW", "Spill_size", '"full"')
    return f'IF({_EFFECT}="{LIP}",{lip},IF({_EFFECT}="{BOWL}",{bowl},"-"))'
