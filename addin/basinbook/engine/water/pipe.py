"""Water in pipes: sizes, velocity, friction and the total head that a pump must give."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from basinbook.engine.errors import InputError, check_choice
from basinbook.engine.water.volume import GRAVITY

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_INCH = 0.0254
ROOM_TEMPERATURE = 293.15
# Drawn tubing, the smoothest line of L. F. Moody, Friction Factors for Pipe Flow, 1944.
SMOOTH = 1.5e-6
# Ribbed hose has no single roughness: 3 % of the bore stands for its ribs, which about doubles
# the friction. Common practice, no source.
RIBBED_SHARE = 0.03
# Plastic pipe: Illinois Administrative Code, title 77, part 906, appendix A, exhibit I; also NFPA
# 13, table of C values (from memory).
PLASTIC_C = 150.0

# Common practice for plastic pipe [m/s]: to 5 ft/s; over 8 ft/s noise and water hammer.
USUAL_VELOCITY = 5.0 * 0.3048
HIGHEST_VELOCITY = 8.0 * 0.3048
# Far beyond any water pipe; past it heads run to miles, and no formula here holds.
FASTEST = 100.0


@dataclass(frozen=True)
class Pipe:
    """A pipe on sale: inside diameter [m], wall roughness [m], and where they come from."""

    name: str
    inside_diameter: float
    roughness: float
    source: str


_D1785 = "ASTM D1785, outside diameter less twice the least wall; the real bore is a little smaller"
_ISO = "DIN 8062, series for 16 bar, outside diameter less twice the least wall"
_FLEXIBLE = "Flexible PVC on schedule 40 outside diameters: bore as ASTM D1785, common practice"
_TUBE = "Sold by inside diameter: common practice, no source"
_RIBBED = "Sold by inside diameter; roughness of the ribs is common practice, no source"

# nominal: (outside diameter [in], least wall [in]) of schedule 40, ASTM D1785 tables 1 and 2.
SCHEDULE_40 = {
    "1/2": (0.840, 0.109),
    "3/4": (1.050, 0.113),
    "1": (1.315, 0.133),
    "1-1/4": (1.660, 0.140),
    "1-1/2": (1.900, 0.145),
    "2": (2.375, 0.154),
    "2-1/2": (2.875, 0.203),
    "3": (3.500, 0.216),
}
_PN16 = {20: 1.5, 25: 1.9, 32: 2.4, 40: 3.0, 50: 3.7, 63: 4.7, 75: 5.6}
_TUBES = {"1/2": 0.5, "3/4": 0.75, "1": 1.0, "1-1/4": 1.25, "1-1/2": 1.5, "2": 2.0}


def _table() -> dict[str, Pipe]:
    pipes = []
    for size, (outside, wall) in SCHEDULE_40.items():
        bore = (outside - 2.0 * wall) * _INCH
        pipes.append(Pipe(f"sch40 {size}", bore, SMOOTH, _D1785))
        if size in _TUBES:
            pipes.append(Pipe(f"flex40 {size}", bore, SMOOTH, _FLEXIBLE))
    for size, bore in _TUBES.items():
        pipes.append(Pipe(f"tube {size}", bore * _INCH, SMOOTH, _TUBE))
        ribs = RIBBED_SHARE * bore * _INCH
        pipes.append(Pipe(f"ribbed {size}", bore * _INCH, ribs, _RIBBED))
    for outside_mm, wall_mm in _PN16.items():
        bore = (outside_mm - 2.0 * wall_mm) / 1000.0
        pipes.append(Pipe(f"pn16 {outside_mm}", bore, SMOOTH, _ISO))
    order = ("sch40", "flex40", "tube", "ribbed", "pn16")
    pipes.sort(key=lambda pipe: (order.index(pipe.name.split()[0]), pipe.inside_diameter))
    return {pipe.name: pipe for pipe in pipes}


PIPES: dict[str, Pipe] = _table()
FAMILIES = tuple(dict.fromkeys(name.split()[0] for name in PIPES))


def smallest_pipe(flow: float, family: str, velocity_limit: float = USUAL_VELOCITY) -> Pipe:
    """Return the smallest pipe of a family that carries a flow [m³/s] within a velocity [m/s].

    Raises InputError for another family, and where even its largest is too small. Source: that of
    each pipe of the table; the usual velocity is common practice.
    """
    check_choice("family", family, FAMILIES)
    for pipe in PIPES.values():
        if pipe.name.split()[0] == family and velocity(flow, pipe.inside_diameter) <= (
            velocity_limit
        ):
            return pipe
    raise InputError(
        "flow", flow, f"the largest {family} pipe of the table is too small; split the flow"
    )


def velocity(flow: float, diameter: float) -> float:
    """Return the mean velocity [m/s] of a flow [m³/s] in a pipe of inside diameter [m].

    Equation: v = 4 Q / (π D²). Raises InputError without a bore. Source: continuity.
    """
    if not diameter > 0.0:
        raise InputError("inside_diameter", diameter, "give a diameter above zero")
    return flow / (math.pi / 4.0 * diameter * diameter)


def check_velocity(flow: float, diameter: float, argument: str = "flow") -> None:
    """Raise InputError naming the argument where a flow [m³/s] would run faster than 100 m/s.

    diameter: inside [m]. The limit is no published one; pipes carry water at a fiftieth of it.
    """
    if velocity(flow, diameter) > FASTEST * (1.0 + 1e-9):
        raise InputError(
            argument, flow, "it would run faster than 330 ft/s (100 m/s); give a wider pipe"
        )


def velocity_note(metres_per_second: float) -> str:
    """Return where a velocity [m/s] stands against common practice for plastic pipe.

    Up to 5 ft/s (1.5 m/s) is usual; 5 to 8 ft/s is fast; above 8 ft/s (2.4 m/s) noise and water
    hammer are to be expected. Common practice, no source.
    """
    if metres_per_second <= USUAL_VELOCITY * (1.0 + 1e-9):
        return "usual"
    if metres_per_second <= HIGHEST_VELOCITY * (1.0 + 1e-9):
        return "fast: take the next pipe size if you can"
    return "too fast: noise and water hammer; take a larger pipe"


def water_viscosity(temperature: float) -> float:
    """Return the kinematic viscosity [m²/s] of water at a temperature [K] and one atmosphere.

    Equation: μ = 280.68 τ^-1.9 + 511.45 τ^-7.7 + 61.131 τ^-19.6 + 0.45903 τ^-40 [µPa·s] with
    τ = T / 300 K, over a density of 998.2 kg/m³. Validated from 253 to 383 K; the fixed density
    adds under 0.5 % up to 35 °C. Raises InputError outside 0 to 40 °C. Source: IAPWS
    SR6-08(2011), liquid water at 0.1 MPa.
    """
    if not 273.15 <= temperature <= 313.15:
        raise InputError("water_temperature", temperature, "allowed is 0 to 40 °C")
    tau = temperature / 300.0
    dynamic: float = (
        280.68 * tau**-1.9 + 511.45 * tau**-7.7 + 61.131 * tau**-19.6 + 0.45903 * tau**-40.0
    )
    return dynamic * 1e-6 / 998.2


def friction_factor(
    flow: float, diameter: float, roughness: float, viscosity: float | None = None
) -> float:
    """Return the Darcy friction factor [-] of a flow [m³/s] in a round pipe.

    diameter, roughness [m]; viscosity: kinematic [m²/s], that of water at 20 °C if left out.
    Equation: 64/Re to Re = 2040, Colebrook above it, by the library ``fluids`` (solved exactly by
    D. Clamond's method). Validity: ε/D up to 0.05, Re up to 1e8; from 2040 to 4000 the true
    factor is uncertain and Colebrook's is on the high side. Source: Moody 1944; Colebrook 1939.
    """
    from fluids.friction import friction_factor as darcy

    if viscosity is None:
        viscosity = water_viscosity(ROOM_TEMPERATURE)
    reynolds = velocity(flow, diameter) * diameter / viscosity
    if reynolds <= 0.0:
        return 0.0
    return float(darcy(Re=reynolds, eD=roughness / diameter))


def darcy_weisbach(factor: float, length: float, diameter: float, speed: float) -> float:
    """Return the friction head [m] for a Darcy factor [-], length, diameter [m], velocity [m/s].

    Equation: h = f (L/D) v²/2g. Source: Darcy-Weisbach.
    """
    return factor * length / diameter * speed * speed / (2.0 * GRAVITY)


def pipe_head(
    flow: float,
    diameter: float,
    length: float,
    roughness: float = SMOOTH,
    viscosity: float | None = None,
) -> float:
    """Return the friction head [m] of a flow [m³/s] along a pipe, by Darcy-Weisbach.

    diameter, length, roughness [m]; viscosity [m²/s], of water at 20 °C if left out. Validity and
    source: those of friction_factor.
    """
    factor = friction_factor(flow, diameter, roughness, viscosity)
    return darcy_weisbach(factor, length, diameter, velocity(flow, diameter))


def pipe_head_hazen_williams(
    flow: float, diameter: float, length: float, coefficient: float = PLASTIC_C
) -> float:
    """Return the friction head [m] of a flow [m³/s] along a pipe, by Hazen-Williams.

    diameter, length [m]; coefficient C [-] (150 for plastic; 140 to stay careful).
    Equation: h = 10.67 L Q^1.852 / (C^1.852 D^4.8704). Validity: water near 16 °C, turbulent,
    pipes of 2 in and more, under 10 ft/s; in small pipes it reads low. Kept for comparison with
    printed tables. Raises InputError without a bore. Source: Williams and Hazen, as NFPA 13 and
    Illinois Administrative Code, title 77, part 906, appendix A, exhibit I use it.
    """
    if not diameter > 0.0:
        raise InputError("inside_diameter", diameter, "give a diameter above zero")
    ratio = max(flow, 0.0) / coefficient
    return 10.67 * length * math.pow(ratio, 1.852) / math.pow(diameter, 4.8704)


def fitting_head(k_sum: float, flow: float, diameter: float) -> float:
    """Return the head [m] lost in fittings with a sum of K [-] at a flow [m³/s].

    Equation: h = ΣK v²/2g, v in the pipe of the given inside diameter [m]. Source: definition of
    the loss coefficient.
    """
    speed = velocity(flow, diameter)
    return k_sum * speed * speed / (2.0 * GRAVITY)


@dataclass(frozen=True)
class PipeRun:
    """What a pump works against.

    static_lift: from the water in the basin up to the outlet or the water over the lip [m];
    diameter (inside), length, roughness [m]; k_sum: of all fittings [-]; viscosity [m²/s].
    """

    static_lift: float
    diameter: float
    length: float
    roughness: float = SMOOTH
    k_sum: float = 0.0
    viscosity: float | None = None

    def __post_init__(self) -> None:
        """Refuse a pipe without a bore, or rougher than Colebrook holds for."""
        if not self.diameter > 0.0:
            raise InputError("inside_diameter", self.diameter, "give a diameter above zero")
        if not 0.0 <= self.roughness <= 0.05 * self.diameter * (1.0 + 1e-9):
            raise InputError(
                "roughness", self.roughness, "allowed is 0 to a twentieth of the diameter"
            )


def total_head(flow: float, run: PipeRun) -> float:
    """Return the total dynamic head [m] of a pipe run at a flow [m³/s].

    Equation: H = static lift + f (L/D) v²/2g + ΣK v²/2g. Validity: that of friction_factor; one
    pipe size all the way. Source: energy equation with Darcy-Weisbach.
    """
    friction = pipe_head(flow, run.diameter, run.length, run.roughness, run.viscosity)
    return run.static_lift + friction + fitting_head(run.k_sum, flow, run.diameter)


def friction_factors(reynolds: ArrayLike, relative_roughness: ArrayLike) -> Floats:
    """Return Darcy friction factors [-] for arrays of Re and ε/D [-], broadcast together.

    Equation, validity and source: those of friction_factor, with Colebrook's equation solved by
    Newton steps on all elements at once; Re = 0 gives 0.
    """
    import numpy as np

    re, rough = np.broadcast_arrays(
        np.asarray(reynolds, dtype=float), np.asarray(relative_roughness, dtype=float)
    )
    turbulent = np.maximum(re, 2040.0)
    part, film = rough / 3.7, 2.51 / turbulent
    # x = 1/√f; Haaland's explicit formula starts within 2 %, so three steps reach 1e-14.
    x = -1.8 * np.log10(part**1.11 + 6.9 / turbulent)
    slope = 2.0 / np.log(10.0)
    for _ in range(3):
        inner = part + film * x
        x = x - (x + slope * np.log(inner)) / (1.0 + slope * film / inner)
    laminar = 64.0 / np.maximum(re, 1e-300)
    factors: Floats = np.where(re < 2040.0, np.where(re > 0.0, laminar, 0.0), 1.0 / (x * x))
    return factors


def total_heads(
    flows: ArrayLike,
    static_lift: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    roughness: ArrayLike = SMOOTH,
    k_sum: ArrayLike = 0.0,
    viscosity: float | None = None,
) -> Floats:
    """Return total dynamic heads [m] for arrays of flows [m³/s] and runs, broadcast together.

    The vectorised form of total_head, with the same equation, validity and source.
    """
    import numpy as np

    if viscosity is None:
        viscosity = water_viscosity(ROOM_TEMPERATURE)
    bore = np.asarray(diameter, dtype=float)
    speed = np.asarray(flows, dtype=float) / (np.pi / 4.0 * bore * bore)
    factors = friction_factors(speed * bore / viscosity, np.asarray(roughness, dtype=float) / bore)
    losses = factors * np.asarray(length, dtype=float) / bore + np.asarray(k_sum, dtype=float)
    heads: Floats = np.asarray(static_lift, dtype=float) + losses * speed * speed / (2.0 * GRAVITY)
    return heads
