"""The Water sheet's part on energy and circuit."""

from __future__ import annotations

from basinbook.engine import kinds
from basinbook.workbook.template.formulas import call, given, lookup, outfit_name
from basinbook.workbook.template.lines import Result, put_results, put_sentence
from basinbook.workbook.template.outfit import running
from basinbook.workbook.template.sheet_writer import Rows

_PUMP = outfit_name("pump")
# What ENERGYCOST gives; a product of two cells is left to the spreadsheet.
_ENERGY_COST = 'IF(AND(ISNUMBER(Energy_price),N(Energy_price)>=0),({energy})*Energy_price,"-")'


def put_current(rows: Rows) -> None:
    """What pump and lights take; nothing of what is not there."""
    rows.sheet.break_before(rows.row + 2)
    rows.section("Energy and circuit")
    light = outfit_name("light")
    lit = f'{light}<>""'
    put_sentence(
        rows,
        "On this job",
        f'IF(AND(NOT(Runs),NOT({lit})),"No pump and no light: nothing takes current",'
        f'IF(Runs,"pump","")&IF(AND(Runs,{lit})," and ","")&IF({lit},"light",""))',
        16,
    )
    each = lookup("Water_parts", "power", light)
    taken = f'IF(N({each})>0,{each}*{outfit_name("lights")},"-")'
    power = f'IF(OR(Runs,{lit}),IF(Runs,Pump_power,0)+IF({lit},Light_power,0),"-")'
    days = given("Season_days")
    energy = f"IF(Runs,Pump_energy,0)+IF({lit},Light_energy,0)"
    lines = (
        Result(
            "Power of the pump",
            running(
                f'IF(N({lookup("Pumps", "power", _PUMP)})>0,{lookup("Pumps", "power", _PUMP)},"-")'
            ),
            kinds.POWER,
            "From the Pump and pipe sheet",
            "Pump_power",
        ),
        Result(
            "Power of the lights",
            f'IF({lit},{taken},"-")',
            kinds.POWER,
            "From the Materials sheet",
            "Light_power",
        ),
        Result(
            "Energy of the pump per year",
            running(call("PUMPENERGY", "Pump_power", "Pump_hours", days)),
            kinds.ENERGY,
            "In the days of the season",
            "Pump_energy",
        ),
        Result(
            "Energy of the lights per year",
            f'IF({lit},{call("PUMPENERGY", "Light_power", "Light_hours", days)},"-")',
            kinds.ENERGY,
            "Likewise",
            "Light_energy",
        ),
        Result(
            "Cost per year",
            f'IF(OR(Runs,{lit}),{_ENERGY_COST.replace("{energy}", energy)},"-")',
            kinds.MONEY,
            "Current of pump and lights",
            "Energy_cost",
        ),
        Result(
            "Cost per month of the season",
            f"Energy_cost/{days}*365/12",
            kinds.MONEY,
            "A month of 365/12 days",
        ),
        Result(
            "Current",
            call("CIRCUITLOAD", power, "Voltage"),
            kinds.CURRENT,
            "Of pump and lights together",
            "Pump_current",
        ),
    )
    put_results(rows, *lines)
    note = call("CIRCUITNOTE", "Pump_current", "Circuit_rating")
    put_sentence(rows, "Circuit", f'IF(OR(Runs,{lit}),{note},"-")')
