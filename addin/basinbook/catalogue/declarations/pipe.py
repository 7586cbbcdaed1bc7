"""Worksheet functions on pipe, fittings, pumps, energy and the circuit."""

from __future__ import annotations

from dataclasses import replace

from basinbook.catalogue.model import (
    Example,
    Group,
    choice,
    length,
    quantities,
    quantity,
    ratio,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.water import fittings, pipe, pump
from basinbook.engine.water.fittings import Fitting
from basinbook.engine.water.pipe import Pipe, PipeRun
from basinbook.engine.water.pump import PumpCurve
from basinbook.units import shown

_CATEGORY = "Pipe and pump"
_DARCY = "Darcy-Weisbach with the Colebrook friction factor (Moody 1944; Colebrook 1939)"
_CURVE_DETAILS = (
    "The pump curve is taken as straight between the points of its table. At least three points, "
    "flows rising and heads falling; blank rows are passed over."
)
Cells = tuple[float | None, ...]

_FLOW = quantity("flow", kinds.PUMP_FLOW, "Flow in the pipe", 0.0, 1.0)
BORE = length("inside_diameter", "Inside diameter of the pipe, not its nominal size", 0.003, 1.0)
RUN = quantity("pipe_length", kinds.RUN, "Length of the pipe", 0.0, 1000.0)
_LIFT = quantity(
    "static_lift", kinds.HEAD, "Height from the water in the basin to the outlet", 0.0, 100.0
)
K = ratio("k_sum", "Sum of the loss coefficients K of all fittings", 0.0, 1000.0)
ROUGH = quantity(
    "roughness", kinds.ROUGHNESS, "Wall roughness; blank is smooth plastic, 0.0015 mm",
    0.0, 0.02, default=pipe.SMOOTH,
)  # fmt: skip
TEMPERATURE = quantity(
    "water_temperature", kinds.TEMPERATURE, "Water temperature; blank is 68 °F (20 °C)",
    273.15, 313.15, default=pipe.ROOM_TEMPERATURE,
)  # fmt: skip
_FITTINGS = {row.name.lower(): row for row in fittings.FITTINGS}
_PIPES = pipe.PIPES
_LEVELS = ("low", "typical", "high")


def _run(
    inside_diameter: float,
    roughness: float,
    water_temperature: float,
    static_lift: float = 0.0,
    pipe_length: float = 0.0,
    k_sum: float = 0.0,
) -> PipeRun:
    viscosity = pipe.water_viscosity(water_temperature)
    return PipeRun(static_lift, inside_diameter, pipe_length, roughness, k_sum, viscosity)


def _curve(flows: Cells, heads: Cells) -> PumpCurve:
    if len(flows) != len(heads):
        raise InputError(
            "heads",
            f"a range of {len(heads)} cells",
            f"give as many as there are flows ({len(flows)})",
        )
    points = []
    for flow, head in zip(flows, heads, strict=True):
        if flow is None and head is None:
            continue
        if flow is None or head is None:
            missing = "flows" if flow is None else "heads"
            raise InputError(missing, None, "give both flow and head of a point, or neither")
        points.append((flow, head))
    return PumpCurve(tuple(flow for flow, _ in points), tuple(head for _, head in points))


_PIPE = Group(
    "found",
    (choice("pipe", "Pipe by kind and size, such as sch40 1-1/2 or tube 1", tuple(pipe.PIPES)),),
    lambda pipe: _PIPES[pipe],
)
_FITTING = Group(
    "found",
    (choice("fitting", "Fitting, such as 90° elbow", tuple(_FITTINGS)),),
    lambda fitting: _FITTINGS[fitting],
)
CURVE = Group(
    "curve",
    (
        quantities("flows", kinds.PUMP_FLOW, "Flows of the pump's table, rising", 0.0, 1.0),
        quantities("heads", kinds.HEAD, "Head at each of the flows, falling", 0.0, 1000.0),
    ),
    _curve,
)
# What a pump works against: the whole of it, without fittings, a straight pipe, and its bore.
_SYSTEM = Group("run", (_LIFT, BORE, RUN, K, ROUGH, TEMPERATURE), _run)
_BARE_SYSTEM = Group("run", (_LIFT, BORE, RUN, ROUGH, TEMPERATURE), _run)
_STRAIGHT = Group("run", (BORE, RUN, ROUGH, TEMPERATURE), _run)
_WALL = Group("run", (BORE, ROUGH, TEMPERATURE), _run)
_WANTED = quantity("wanted_flow", kinds.PUMP_FLOW, "Flow that the spillway needs", 1e-7, 1.0)


@worksheet_function(
    category=_CATEGORY,
    summary="Inside diameter of a pipe of the built-in table",
    arguments=(_PIPE,),
    result=kinds.LENGTH,
    source="ASTM D1785, DIN 8062 and common practice; see PIPESOURCE",
    examples=(
        # 1.900 - 2 · 0.145 in.
        Example(("sch40 1-1/2",), "1.61 in"),
        Example(("pn16 40",), "34 mm", units="metric"),
    ),
)
def pipe_bore(found: Pipe) -> float:
    return found.inside_diameter


@worksheet_function(
    category=_CATEGORY,
    summary="Wall roughness of a pipe of the built-in table",
    arguments=(_PIPE,),
    result=kinds.ROUGHNESS,
    source="Moody 1944 (drawn tubing) for smooth plastic; ribbed hose by common practice",
    examples=(
        Example(("tube 1",), "0.0015 mm", units="metric"),
        Example(("ribbed 1",), "0.762 mm", units="metric"),
    ),
)
def pipe_roughness(found: Pipe) -> float:
    return found.roughness


@worksheet_function(
    category=_CATEGORY,
    summary="Source of the dimensions of a pipe of the built-in table",
    arguments=(_PIPE,),
    result=kinds.TEXT,
    source="Definition",
    examples=(Example(("tube 1",), "Sold by inside diameter: common practice, no source"),),
)
def pipe_source(found: Pipe) -> str:
    return found.source


@worksheet_function(
    category=_CATEGORY,
    summary="Smallest pipe of the built-in table that carries a flow within a velocity",
    arguments=(
        _FLOW,
        choice(
            "family",
            "sch40 and flex40 (glued PVC), tube (smooth hose), ribbed (ribbed hose), pn16 (metric)",
            pipe.FAMILIES,
        ),
        quantity(
            "velocity_limit", kinds.VELOCITY, "Highest velocity; blank is 5 ft/s (1.5 m/s)",
            0.1, 10.0, default=pipe.USUAL_VELOCITY,
        ),
    ),
    result=kinds.TEXT,
    source="Velocity of 5 ft/s: common practice for plastic pipe, no source",
    examples=(Example(("1200", "sch40"), "sch40 1-1/4"),),
)  # fmt: skip
def pipe_for_flow(flow: float, family: str, velocity_limit: float) -> str:
    return pipe.smallest_pipe(flow, family, velocity_limit).name


@worksheet_function(
    category=_CATEGORY,
    summary="Mean velocity of the water in a pipe",
    arguments=(_FLOW, BORE),
    result=kinds.VELOCITY,
    source="Continuity",
    # 20 gal/min = 0.044561 ft³/s through 0.0060017 ft² of 1.049 in bore.
    examples=(Example(("20 gpm", "1.049"), "7.42 ft/s"),),
)
def pipe_velocity(flow: float, inside_diameter: float) -> float:
    pipe.check_velocity(flow, inside_diameter)
    return pipe.velocity(flow, inside_diameter)


@worksheet_function(
    category=_CATEGORY,
    summary="Where a velocity stands against common practice for plastic pipe",
    arguments=(quantity("velocity", kinds.VELOCITY, "Velocity in the pipe", 0.0, 100.0),),
    result=kinds.TEXT,
    source="Common practice, no source: 5 ft/s usual, 8 ft/s the most",
    examples=(
        Example(("4",), "usual"),
        Example(("2.6",), "too fast: noise and water hammer; take a larger pipe", units="metric"),
    ),
)
def velocity_note(velocity: float) -> str:
    return pipe.velocity_note(velocity)


@worksheet_function(
    category=_CATEGORY,
    summary="Darcy friction factor of the water in a pipe",
    arguments=(_FLOW, _WALL),
    result=kinds.RATIO,
    source=_DARCY,
    # Re = 14,100; Blasius' rule for smooth pipe gives 0.316 / Re^0.25 = 0.029.
    examples=(Example(("1000", "25", "0.0015"), "0.028", units="metric"),),
)
def friction_factor(flow: float, run: PipeRun) -> float:
    pipe.check_velocity(flow, run.diameter)
    return pipe.friction_factor(flow, run.diameter, run.roughness, run.viscosity)


@worksheet_function(
    category=_CATEGORY,
    summary="Friction head along a pipe, by Darcy-Weisbach",
    arguments=(_FLOW, _STRAIGHT),
    result=kinds.HEAD,
    source=_DARCY,
    examples=(Example(("10 gpm", "1.049", "100"), "5.79 ft"),),
    details="PIPEHEADLOSSHW gives the same by Hazen-Williams, for comparison.",
)
def pipe_head_loss(flow: float, run: PipeRun) -> float:
    pipe.check_velocity(flow, run.diameter)
    return pipe.total_head(flow, run)


@worksheet_function(
    category=_CATEGORY,
    summary="Friction head along a pipe, by Hazen-Williams",
    arguments=(
        _FLOW,
        BORE,
        RUN,
        ratio("coefficient", "C of the pipe; blank is 150 (plastic)", 60.0, 160.0, default=150.0),
    ),
    result=kinds.HEAD,
    source="Williams and Hazen, as in NFPA 13 (from memory)",
    # 0.2083 (100/150)^1.852 · 10^1.852 / 1.049^4.8655 ft per 100 ft, to the rounding of 0.2083.
    examples=(Example(("10 gpm", "1.049", "100"), "5.49 ft"),),
    details="For comparison with printed tables. In pipes under 2 in it tends to read low; "
    "TOTALHEAD and PUMPPOINT use Darcy-Weisbach.",
)
def pipe_head_loss_hw(
    flow: float, inside_diameter: float, pipe_length: float, coefficient: float
) -> float:
    pipe.check_velocity(flow, inside_diameter)
    return pipe.pipe_head_hazen_williams(flow, inside_diameter, pipe_length, coefficient)


@worksheet_function(
    category=_CATEGORY,
    summary="Built-in loss coefficient K of a fitting",
    arguments=(_FITTING, choice("level", "low, typical or high", _LEVELS, default="typical")),
    result=kinds.RATIO,
    source="As FITTINGSOURCE says",
    examples=(Example(("90° elbow",), "0.9"), Example(("90° elbow", "high"), "2.1")),
    details="For pipe of 1/2 to 2 in. Published values for one fitting differ several times over "
    "(a 90° elbow: 0.3 flanged, 2.1 screwed in 1/2 in). Type those of your size and kind in the "
    "workbook's table, and see KSPREAD for how much the answer moves.",
)
def fitting_k(found: Fitting, level: str) -> float:
    return {"low": found.low, "typical": found.typical, "high": found.high}[level]


@worksheet_function(
    category=_CATEGORY,
    summary="Sources of the loss coefficients of a fitting",
    arguments=(_FITTING,),
    result=kinds.TEXT,
    source="Definition",
    examples=(Example(("barbed adapter",), "Common practice, no source"),),
)
def fitting_source(found: Fitting) -> str:
    return found.source


@worksheet_function(
    category=_CATEGORY,
    summary="Head lost in fittings with a sum of loss coefficients",
    arguments=(_FLOW, BORE, K),
    result=kinds.HEAD,
    source="Definition of the loss coefficient",
    # 5 · (7.4247 ft/s)² / (2 · 32.174 ft/s²).
    examples=(Example(("20 gpm", "1.049", "5"), "4.28 ft"),),
)
def fitting_head_loss(flow: float, inside_diameter: float, k_sum: float) -> float:
    pipe.check_velocity(flow, inside_diameter)
    return pipe.fitting_head(k_sum, flow, inside_diameter)


@worksheet_function(
    category=_CATEGORY,
    summary="Total dynamic head that a pump must give at a flow",
    arguments=(_FLOW, _SYSTEM),
    result=kinds.HEAD,
    source=_DARCY,
    # 3 ft + 0.579 ft of friction + 6 · 0.2142 ft in fittings.
    examples=(Example(("600", "3", "1.049", "10", "6"), "4.86 ft"),),
    details="Static lift + pipe friction + fittings; one pipe size all the way.",
)
def total_head(flow: float, run: PipeRun) -> float:
    pipe.check_velocity(flow, run.diameter)
    return pipe.total_head(flow, run)


@worksheet_function(
    category=_CATEGORY,
    summary="Head of a pump at a flow, from its table",
    arguments=(_FLOW, CURVE),
    result=kinds.HEAD,
    source="Straight lines between the points of the maker's table",
    examples=(Example(("600", "[[0],[400],[800],[1200]]", "[[10],[9],[7],[3]]"), "8 ft"),),
    details=_CURVE_DETAILS,
)
def pump_head_at(flow: float, curve: PumpCurve) -> float:
    return curve.head_at(flow)


_EXAMPLE_CURVE = ("[[0],[400],[800],[1200]]", "[[10],[9],[7],[3]]")


@worksheet_function(
    category=_CATEGORY,
    summary="Flow at which a pump runs on a pipe: pump curve against system curve",
    arguments=(CURVE, _SYSTEM),
    result=kinds.PUMP_FLOW,
    source=_DARCY,
    # There the pipe takes 3 + 1.06 + 6 · 0.421 = 6.58 ft, the pump gives 7 - 4 · 41.6/400 ft.
    examples=(Example((*_EXAMPLE_CURVE, "3", "1.049", "10", "6"), "841.6 gal/h"),),
    details=_CURVE_DETAILS,
)
def pump_point(curve: PumpCurve, run: PipeRun) -> float:
    return pump.operating_point(curve, run).flow


@worksheet_function(
    category=_CATEGORY,
    summary="Head at which a pump runs on a pipe",
    arguments=(CURVE, _SYSTEM),
    result=kinds.HEAD,
    source=_DARCY,
    examples=(Example((*_EXAMPLE_CURVE, "3", "1.049", "10", "6"), "6.58 ft"),),
    details=_CURVE_DETAILS,
)
def pump_point_head(curve: PumpCurve, run: PipeRun) -> float:
    return pump.operating_point(curve, run).head


@worksheet_function(
    category=_CATEGORY,
    summary="How a pump on a pipe suits a wanted flow: keep, throttle or take another size",
    arguments=(_WANTED, CURVE, _SYSTEM),
    result=kinds.TEXT,
    source=_DARCY,
    examples=(
        Example(
            ("600", *_EXAMPLE_CURVE, "3", "1.049", "10", "6"),
            "Runs at 841.6 gal/h, 40 % over the wanted 600 gal/h: throttle with a valve that adds "
            "K = 14.6, or take the next smaller pump",
        ),
    ),
    details="From 5 % under to 10 % over the wanted flow counts as suiting: common practice. "
    + _CURVE_DETAILS,
)
def pump_advice(wanted_flow: float, curve: PumpCurve, run: PipeRun, system: str) -> str:
    found = pump.match(curve, run, wanted_flow)
    share = found.flow / wanted_flow - 1.0
    runs = f"Runs at {shown(found.flow, kinds.PUMP_FLOW, system)}"
    wanted = f"the wanted {shown(wanted_flow, kinds.PUMP_FLOW, system)}"
    percent = f"{abs(share) * 100.0:.0f} %"
    if -0.05 <= share <= 0.1:
        return f"{runs} against {wanted}: suits"
    if share > 0.0:
        valve = "" if found.throttle_k is None else f" that adds K = {found.throttle_k:.1f}"
        return (
            f"{runs}, {percent} over {wanted}: throttle with a valve{valve}, or take the next "
            "smaller pump"
        )
    needs = f"there the pipe needs {shown(found.needed, kinds.HEAD, system)}"
    gives = (
        "beyond the pump's table"
        if found.given is None
        else f"the pump gives {shown(found.given, kinds.HEAD, system)}"
    )
    next_size = "pipe" if found.friction_share > 0.5 else "pump"
    return (
        f"{runs}, {percent} under {wanted}: {needs}, {gives}; pipe and fittings take "
        f"{found.friction_share * 100.0:.0f} % of that head, so take the next larger {next_size}"
    )


@worksheet_function(
    category=_CATEGORY,
    summary="How much the flow of a pump moves between low and high loss coefficients",
    arguments=(
        CURVE,
        ratio("k_low", "Sum of the low loss coefficients", 0.0, 1000.0),
        ratio("k_high", "Sum of the high loss coefficients", 0.0, 1000.0),
        _BARE_SYSTEM,
    ),
    result=kinds.RATIO,
    source=_DARCY,
    examples=(Example((*_EXAMPLE_CURVE, "4", "9", "3", "1.049", "10"), "0.152"),),
    details="(flow with low K - flow with high K) / flow with high K. " + _CURVE_DETAILS,
)
def k_spread(curve: PumpCurve, k_low: float, k_high: float, run: PipeRun) -> float:
    if k_high < k_low:
        raise InputError("k_high", k_high, f"give no less than k_low ({k_low:g})")
    most, least = (pump.operating_point(curve, replace(run, k_sum=k)).flow for k in (k_low, k_high))
    return (most - least) / least


@worksheet_function(
    category=_CATEGORY,
    summary="Loss coefficient that a valve must add to bring a pump down to a wanted flow",
    arguments=(_WANTED, CURVE, _SYSTEM),
    result=kinds.RATIO,
    source="Head to spare over the velocity head at the wanted flow",
    # (8 - 4.86) ft over the velocity head of 0.2142 ft.
    examples=(Example(("600", *_EXAMPLE_CURVE, "3", "1.049", "10", "6"), "14.644"),),
    details=_CURVE_DETAILS,
)
def throttle_k(wanted_flow: float, curve: PumpCurve, run: PipeRun) -> float:
    found = pump.match(curve, run, wanted_flow)
    if found.throttle_k is None:
        raise InputError(
            "wanted_flow", wanted_flow, "the pump doesn't reach this flow; see PUMPADVICE"
        )
    return found.throttle_k


@worksheet_function(
    category=_CATEGORY,
    summary="Electric power for a flow and head at an overall efficiency",
    arguments=(
        _FLOW,
        quantity("head", kinds.HEAD, "Total head", 0.0, 100.0),
        ratio("efficiency", "Pump and motor together; small pumps 10 % to 50 %", 0.01, 1.0),
    ),
    result=kinds.POWER,
    source="Definition of work; the efficiency of small pumps is common practice, no source",
    # 1000 · 9.80665 · 0.001 · 2 / 0.3.
    examples=(Example(("3600", "2", "30%"), "65.4 W", units="metric"),),
    details="Where the pump's plate gives watts, use those.",
)
def pump_power(flow: float, head: float, efficiency: float) -> float:
    return pump.hydraulic_power(flow, head, efficiency)


_POWER = quantity("power", kinds.POWER, "Electric power of the pump, from its plate", 0.0, 20000.0)


@worksheet_function(
    category=_CATEGORY,
    summary="Energy that a pump takes in a year",
    arguments=(
        _POWER,
        quantity("hours_per_day", kinds.HOURS, "Hours that it runs per day", 0.0, 86400.0),
        ratio("days_per_year", "Days that it runs per year", 0.0, 366.0, default=365.0),
    ),
    result=kinds.ENERGY,
    source="Definition of power",
    examples=(Example(("100", "10", "200"), "200 kWh"),),
)
def pump_energy(power: float, hours_per_day: float, days_per_year: float) -> float:
    return pump.energy(power, hours_per_day, days_per_year)


@worksheet_function(
    category=_CATEGORY,
    summary="Cost of energy, in the currency of the price",
    arguments=(
        quantity("energy", kinds.ENERGY, "Energy", 0.0, 1e13),
        ratio("price_per_kwh", "Price of one kWh", 0.0, 1e6),
    ),
    result=kinds.RATIO,
    source="Definition",
    examples=(Example(("200", "0.15"), "30"),),
)
def energy_cost(energy: float, price_per_kwh: float) -> float:
    return energy / 3.6e6 * price_per_kwh


@worksheet_function(
    category=_CATEGORY,
    summary="Current that a pump draws from its circuit",
    arguments=(
        _POWER,
        quantity("voltage", kinds.VOLTAGE, "Voltage of the circuit", 5.0, 1000.0),
        ratio("power_factor", "Power factor; blank is 1", 0.1, 1.0, default=1.0),
    ),
    result=kinds.CURRENT,
    source="Definition of active power",
    examples=(Example(("120", "120"), "1 A"), Example(("120", "120", "0.8"), "1.25 A")),
    details="Single phase. The current on the pump's plate goes before this. Wiring is work for a "
    "licensed electrician, to the local code.",
)
def circuit_load(power: float, voltage: float, power_factor: float) -> float:
    return pump.circuit_current(power, voltage, power_factor)


_LOAD = quantity("current", kinds.CURRENT, "Current of all loads on the circuit", 0.0, 1000.0)
_RATING = quantity("circuit_rating", kinds.CURRENT, "Rating of the circuit's breaker", 1.0, 1000.0)


@worksheet_function(
    category=_CATEGORY,
    summary="Load as a share of what a circuit may carry for hours",
    arguments=(_LOAD, _RATING),
    result=kinds.RATIO,
    source="NFPA 70 (National Electrical Code), 210.20(A): continuous loads to 80 % of the rating",
    examples=(Example(("6", "15"), "0.5"),),
    details="Local code governs; ask a licensed electrician.",
)
def circuit_share(current: float, circuit_rating: float) -> float:
    return pump.circuit_share(current, circuit_rating)


@worksheet_function(
    category=_CATEGORY,
    summary="The load on a circuit in words, with what to leave to an electrician",
    arguments=(_LOAD, _RATING),
    result=kinds.TEXT,
    source="NFPA 70 (National Electrical Code), 210.20(A) and article 680",
    examples=(
        Example(
            ("6", "15"),
            "6 A of the 12 A that a 15 A circuit may carry for hours. Ground-fault protection and "
            "a licensed electrician; local code governs",
        ),
    ),
)
def circuit_note(current: float, circuit_rating: float, system: str) -> str:
    may = shown(pump.CONTINUOUS_SHARE * circuit_rating, kinds.CURRENT, system)
    rating = shown(circuit_rating, kinds.CURRENT, system)
    load = shown(current, kinds.CURRENT, system)
    over = pump.circuit_share(current, circuit_rating) > 1.0
    words = (
        f"{load} is more than the {may} that a {rating} circuit may carry for hours: another "
        "circuit is needed"
        if over
        else f"{load} of the {may} that a {rating} circuit may carry for hours"
    )
    return f"{words}. Ground-fault protection and a licensed electrician; local code governs"
