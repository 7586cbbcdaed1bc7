"""The part on evaporation, top-up, treatment and leaks."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.workbook.template.formulas import CLEAR_LENGTH, CLEAR_WIDTH, call, given
from basinbook.workbook.template.input_cells import put_inputs
from basinbook.workbook.template.inputs import inputs_of
from basinbook.workbook.template.inputs.groups import CLIMATE
from basinbook.workbook.template.lines import Result, put_results, put_sentence
from basinbook.workbook.template.outfit import STANDS
from basinbook.workbook.template.sheet_writer import Rows


def put_losses(rows: Rows) -> None:
    """Put the section of evaporation, splash, top-up, dose and leak test."""
    put_inputs(rows, CLIMATE, inputs_of(CLIMATE), gap=0)
    air = ("Water_temperature", "Air_temperature", "Humidity")
    climate = (*air, "Wind")
    area = "Water_area"
    lines = (
        Result(
            "Water surface",
            call("LINERAREA", CLEAR_LENGTH, CLEAR_WIDTH, "0", "0"),
            kinds.AREA,
            "",
            area,
        ),
        Result(
            "Evaporation",
            call("EVAPORATIONRATE", *climate),
            kinds.WATER_RATE,
            "Meyer, small shallow water; means of days",
            "Evaporation",
        ),
        Result(
            "to compare, quiet air",
            call("EVAPORATIONRATE", *air, "0", "", '"pool"'),
            kinds.WATER_RATE,
            "Pool equation without wind, whatever wind is typed: about the least",
            "Evaporation_quiet",
        ),
        Result(
            "Splash per day",
            f"IF({STANDS},0,{call('SPLASHLOSS', 'Flow_running', '', given('Pump_hours'))})",
            kinds.LIQUID,
            "A first guess without a source, until it is measured; still water splashes none",
            "Splash",
        ),
        Result(
            "Top-up per week",
            # The engine is asked for what evaporates, which no hours of the pump change.
            call("TOPUPWEEK", "Evaporation", area, "0") + "+7*Splash",
            kinds.LIQUID,
            "Without rain",
            "Topup_week",
        ),
        Result(
            "Dose of the treatment",
            'IF(Label_amount="","",'
            + call("TREATMENTDOSE", "Qty_Water_volume", "Label_amount", "Label_volume")
            + ")",
            kinds.RATIO,
            "In the label's unit; the label binds",
            "Dose",
        ),
    )
    put_results(rows, *lines)
    put_sentence(
        rows,
        "Leak test",
        'IF(OR(Leak_drop="",Bucket_drop=""),"pump off: measure both drops",'
        + call("LEAKCHECK", "Leak_drop", area, "Bucket_drop", "Leak_hours")
        + ")",
    )
