"""The kinds of quantity that the engine takes and gives, each in one SI unit."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, eq=False)
class Kind:
    """A kind of quantity: its name and the SI unit that the engine holds it in.

    Each kind is one object, below: looking one up compares no texts.

    ``si`` is a unit expression of the pint library, or "" for what has no unit.
    """

    name: str
    si: str = ""

    @property
    def has_unit(self) -> bool:
        """Whether a value of this kind changes with the unit system."""
        return bool(self.si)


LENGTH = Kind("length", "m")
RUN = Kind("run length", "m")
AREA = Kind("area", "m**2")
LIQUID = Kind("liquid volume", "m**3")
BULK = Kind("bulk volume", "m**3")
CARTRIDGE = Kind("cartridge volume", "m**3")
MASS = Kind("mass", "kg")
LOAD_MASS = Kind("bulk mass", "kg")
DENSITY = Kind("density", "kg/m**3")
PUMP_FLOW = Kind("pump flow", "m**3/s")
HOSE_FLOW = Kind("hose flow", "m**3/s")
HEAD = Kind("head", "m")
PRESSURE = Kind("pressure", "Pa")
FORCE = Kind("force", "N")
FORCE_PER_LENGTH = Kind("force per length", "N/m")
MOMENT_PER_LENGTH = Kind("moment per length", "N")
VELOCITY = Kind("velocity", "m/s")
WIND = Kind("wind speed", "m/s")
TEMPERATURE = Kind("temperature", "K")
WATER_RATE = Kind("water level rate", "m/s")
POWER = Kind("power", "W")
ENERGY = Kind("energy", "J")
HOURS = Kind("time", "s")
ROUGHNESS = Kind("wall roughness", "m")
CURRENT = Kind("current", "A")
VOLTAGE = Kind("voltage", "V")

COUNT = Kind("count")
RATIO = Kind("ratio")
MONEY = Kind("money")
DATE = Kind("date")
TEXT = Kind("text")
CHOICE = Kind("choice")
RANGE = Kind("range")
ANY = Kind("any value")
