"""The part on draining and service."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.workbook.template.formulas import CLEAR_LENGTH, CLEAR_WIDTH, call, given
from basinbook.workbook.template.input_cells import put_inputs
from basinbook.workbook.template.inputs import inputs_of
from basinbook.workbook.template.inputs.groups import SERVICE
from basinbook.workbook.template.lines import Result, put_results, put_sentence
from basinbook.workbook.template.outfit import running
from basinbook.workbook.template.sheet_writer import Rows


def put_service(rows: Rows) -> None:
    """Put the section of draining and of the pump's way out."""
    rows.sheet.break_before(rows.row + 2)
    put_inputs(rows, SERVICE, inputs_of(SERVICE))
    gap = ("Access_gap", "Access_height", "Pump_width", "Pump_height")
    basin = (CLEAR_LENGTH, CLEAR_WIDTH, "Water_depth")
    hose = ("Hose_bore", "Hose_length")
    intake = f'IF(Pump_intake="",{given("Pump_height")},Pump_intake)'
    curve = ("Curve_flows", "Curve_heads")
    season = call("TREATMENTDOSE", "Season_water", "Label_amount", "Label_volume")
    often = "Dose*ROUNDUP(Season_days/Treatment_every,0)"
    put_results(
        rows,
        Result(
            "Water to drain for frost",
            call("DRAINDOWN", CLEAR_LENGTH, CLEAR_WIDTH, "Water_depth", "", "Pipe_contents"),
            kinds.LIQUID,
            "Basin and pipe; pump, valve and fittings must come out",
        ),
        Result(
            "Time to drain by siphon",
            call("DRAINTIMESIPHON", *basin, "Drain_to", given("Hose_drop"), *hose),
            kinds.HOURS,
            "Falling head; hose full and without a kink",
            "Siphon_time",
        ),
        Result(
            "Time to drain by the pump",
            running(
                call("DRAINTIMEPUMP", *basin, intake, "Qty_Wall_height_with_caps", *curve, *hose)
            ),
            kinds.HOURS,
            "Over the caps, down to its intake; stop it before it runs dry",
            "Pumping_time",
        ),
        Result(
            "Water left at its intake",
            running(call("LEFTTOPUMP", *basin, intake)),
            kinds.LIQUID,
            "To bail or siphon",
        ),
        Result(
            "Water per season",
            f"{given('Season_fills')}*Qty_Water_volume+Topup_week/7*{given('Season_days')}",
            kinds.LIQUID,
            "Fillings, and top-up in the days of the season (Water sheet), without rain",
            "Season_water",
        ),
        Result(
            "Treatment per season",
            f'IF(Label_amount="",NA(),IF(Treatment_every="",{season},{often}))',
            kinds.RATIO,
            "In the label's unit; the label binds",
            "Season_dose",
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
        'IF(Access_height=0,"no access gap on the Columns and second wall sheet",'
        f'IF(ISNUMBER(Access_height),{call("ACCESSCHECK", *gap)},"-"))',
    )
