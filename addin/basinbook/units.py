"""The edge where users' units meet the engine's SI units: reading, converting and naming.

Factors come from pint: those of the usual units as a table that pint made (``unit_factors``),
those of all others from pint itself when a text asks for them. A plain number is in the unit
that the unit system ("us" or "metric") gives its kind of quantity; text may carry any unit of the
right dimension, among them feet and inches as the trade writes them (``4' 2 1/2"``, ``4' 2½"``).
A comma is read as the decimal mark (``1,27 m``) or as a mark between thousands (``1,270,000``)
where it can be but one of them, and refused where it can be either (``1,270``).
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TYPE_CHECKING, NamedTuple

from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.kinds import Kind
from basinbook.unit_factors import FACTORS

if TYPE_CHECKING:
    import pint

SYSTEMS = ("us", "metric")


@dataclass(frozen=True)
class Unit:
    """A unit as shown (``label``) and as pint knows it, with the decimals worth showing."""

    label: str
    pint: str
    decimals: int


# kind -> (US customary, metric)
UNITS: dict[Kind, tuple[Unit, Unit]] = {
    kinds.LENGTH: (Unit("in", "inch", 3), Unit("mm", "mm", 1)),
    kinds.RUN: (Unit("ft", "foot", 2), Unit("m", "m", 3)),
    kinds.AREA: (Unit("ft²", "foot**2", 2), Unit("m²", "m**2", 3)),
    kinds.LIQUID: (Unit("gal", "gallon", 1), Unit("L", "liter", 1)),
    kinds.BULK: (Unit("yd³", "yard**3", 3), Unit("m³", "m**3", 3)),
    kinds.CARTRIDGE: (Unit("fl oz", "fluid_ounce", 2), Unit("mL", "mL", 1)),
    kinds.MASS: (Unit("lb", "pound", 1), Unit("kg", "kg", 1)),
    kinds.LOAD_MASS: (Unit("ton", "short_ton", 3), Unit("t", "metric_ton", 3)),
    kinds.DENSITY: (Unit("lb/ft³", "pound/foot**3", 2), Unit("kg/m³", "kg/m**3", 1)),
    kinds.PUMP_FLOW: (Unit("gal/h", "gallon/hour", 1), Unit("L/h", "liter/hour", 1)),
    kinds.HOSE_FLOW: (Unit("gal/min", "gallon/minute", 2), Unit("L/min", "liter/minute", 2)),
    kinds.HEAD: (Unit("ft", "foot", 2), Unit("m", "m", 3)),
    kinds.PRESSURE: (Unit("lb/ft²", "pound_force/foot**2", 2), Unit("kPa", "kPa", 3)),
    kinds.FORCE: (Unit("lbf", "pound_force", 1), Unit("kN", "kN", 3)),
    kinds.FORCE_PER_LENGTH: (Unit("lb/ft", "pound_force/foot", 2), Unit("kN/m", "kN/m", 4)),
    kinds.MOMENT_PER_LENGTH: (
        Unit("lb·ft/ft", "pound_force*foot/foot", 2),
        Unit("kN·m/m", "kN*m/m", 4),
    ),
    kinds.VELOCITY: (Unit("ft/s", "foot/second", 2), Unit("m/s", "m/s", 3)),
    kinds.WIND: (Unit("mph", "mile/hour", 1), Unit("m/s", "m/s", 1)),
    kinds.TEMPERATURE: (Unit("°F", "degF", 1), Unit("°C", "degC", 1)),
    kinds.WATER_RATE: (Unit("in/day", "inch/day", 3), Unit("mm/day", "mm/day", 2)),
    kinds.POWER: (Unit("W", "watt", 1), Unit("W", "watt", 1)),
    kinds.ENERGY: (Unit("kWh", "kilowatt_hour", 2), Unit("kWh", "kilowatt_hour", 2)),
    kinds.HOURS: (Unit("h", "hour", 2), Unit("h", "hour", 2)),
    kinds.ROUGHNESS: (Unit("mil", "thou", 3), Unit("mm", "mm", 4)),
    kinds.CURRENT: (Unit("A", "ampere", 2), Unit("A", "ampere", 2)),
    kinds.VOLTAGE: (Unit("V", "volt", 0), Unit("V", "volt", 0)),
}

# Spellings of the trade that pint doesn't know, or reads as something else.
_ALIASES = {
    "'": "foot", "′": "foot", "’": "foot", '"': "inch", "″": "inch", "”": "inch", "''": "inch",
    "ft": "foot", "feet": "foot", "in": "inch", "ins": "inch", "inches": "inch",
    "lb": "pound", "lbs": "pound", "ton": "short_ton", "tons": "short_ton", "t": "metric_ton",
    "tonne": "metric_ton", "tonnes": "metric_ton",
    "gal": "gallon", "gals": "gallon", "gph": "gallon/hour", "gpm": "gallon/minute",
    "l": "liter", "L": "liter", "lph": "liter/hour", "lpm": "liter/minute",
    "fl oz": "fluid_ounce", "floz": "fluid_ounce", "oz": "fluid_ounce",
    "yd3": "yard**3", "yd³": "yard**3", "cu yd": "yard**3", "ft3": "foot**3", "cu ft": "foot**3",
    "m3": "m**3", "m³": "m**3", "ft2": "foot**2", "ft²": "foot**2", "sq ft": "foot**2",
    "m2": "m**2", "m²": "m**2", "lb/ft3": "pound/foot**3", "lb/ft³": "pound/foot**3",
    "pcf": "pound/foot**3", "kg/m3": "kg/m**3", "kg/m³": "kg/m**3",
    "psf": "pound_force/foot**2", "lb/ft²": "pound_force/foot**2", "lb/ft2": "pound_force/foot**2",
    "psi": "psi", "lb/ft": "pound_force/foot", "plf": "pound_force/foot",
    "F": "degF", "°F": "degF", "C": "degC", "°C": "degC", "h": "hour", "hr": "hour",
    "min": "minute", "kWh": "kilowatt_hour", "mil": "thou", "mils": "thou",
}  # fmt: skip

# Common names that pint reads as they stand.
_PLAIN = ("m", "cm", "km", "yd", "mi", "inch", "foot", "yard", "kg", "g", "ounce", "mL", "liter")

# Digits with points and commas; what they mean is found afterwards.
_NUMBER = r"[.,]?\d[\d.,]*"
_MIXED = rf"(?:(?:\d+[ -])?\d+\s*/\s*\d+|{_NUMBER})"
_FEET_INCHES = re.compile(
    rf"^(?P<sign>-?)\s*(?P<feet>{_NUMBER})\s*(?:'|′|’|ft\.?|feet|foot)\s*-?\s*"
    rf"(?P<inches>{_MIXED})\s*(?:\"|″|”|''|in\.?|inch|inches)?$"
)
_WITH_UNIT = re.compile(
    rf"^(?P<sign>[+-]?)\s*(?P<number>{_MIXED})(?P<exponent>[eE][+-]?\d{{1,3}})?\s*(?P<unit>\D.*)?$"
)
_PLAIN_NUMBER = re.compile(r"\d+(?:\.\d*)?|\.\d+")
_DECIMAL_COMMA = re.compile(r"\d*,\d+")
# Thousands in groups of three: more than one group, or one and decimals after the other mark.
_POINT_AND_GROUPS = re.compile(r"(?!0)\d{1,3}(?:(?:,\d{3}){2,}|(?:,\d{3})+\.\d+)")
_COMMA_AND_GROUPS = re.compile(r"(?!0)\d{1,3}(?:(?:\.\d{3}){2,}|(?:\.\d{3})+,\d+)")
# 1,270 is a thousand and more to some, and one and a quarter to others.
_EITHER = re.compile(r"(?<![\d.,])(?!0)\d{1,3},\d{3}(?![\d,]|\.\d)")
# Fractions that are one sign, and the strokes and small digits of those set from two numbers.
_ONE_SIGN = {ord(sign): unicodedata.normalize("NFKC", sign) for sign in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"}
_SIGNS = "".join(map(chr, _ONE_SIGN))
_SMALL = re.compile(r"[⁰¹²³⁴-⁹]+[⁄∕/][₀-₉]+")
_BESIDE_SIGN = re.compile(rf"(?<=[\d.,])(?=[{_SIGNS}])|(?<=[{_SIGNS}])(?=[\d.,])")
_STROKES = {ord("⁄"): "/", ord("∕"): "/"}
# Names with a power of at most 3, multiplied or divided. pint works out whatever arithmetic it is
# given, m**3**3**3**3 for hours, so nothing else may reach it.
_NAME = r"[A-Za-z_°µ]+(?:\*\*[1-3]|[²³])?"
_UNIT = re.compile(rf"{_NAME}(?: ?[*/·] ?{_NAME}| {_NAME})*")
_LONGEST_UNIT = 40
# Longer than any length or flow that a person types.
_LONGEST_TEXT = 200


class Line(NamedTuple):
    """The straight line from a unit to another: slope, and offset for temperatures."""

    slope: float
    zero: float


@cache
def _registry() -> pint.UnitRegistry[float]:
    # pint takes a third of a second to import: only those who need a rare unit pay for it.
    import pint

    registry: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)
    return registry


@cache
def unit_of(kind: Kind, system: str) -> Unit:
    """Return the unit of ``kind`` in ``system`` ("us" or "metric"); no label where it has none."""
    if kind not in UNITS:
        return Unit("", "", 3)
    return UNITS[kind][SYSTEMS.index(check_system(system))]


def check_system(system: object) -> str:
    """Return ``system`` in lower case; raise InputError where it is neither us nor metric."""
    if system is None or system == "":
        return "us"
    name = system.strip().lower() if isinstance(system, str) else None
    if name not in SYSTEMS:
        raise InputError("units", system, "allowed are us and metric")
    return name


def line_by_pint(unit: str, si: str) -> Line:
    """Return the line from a unit to an SI unit, both as pint writes them; raises pint's errors."""
    registry = _registry()
    zero = float(registry.Quantity(0.0, unit).to(si).magnitude)
    slope_unit = f"delta_{unit}" if zero else unit
    return Line(float(registry.Quantity(1.0, slope_unit).to(si).magnitude), zero)


@lru_cache(maxsize=1024)
def _line(unit: str, si: str) -> Line:
    known = FACTORS.get((unit, si))
    return Line(*known) if known else line_by_pint(unit, si)


@cache
def line(kind: Kind, system: str) -> Line:
    """Return the line from the unit that ``system`` gives ``kind`` to the engine's SI unit."""
    if kind not in UNITS:
        return Line(1.0, 0.0)
    return _line(unit_of(kind, system).pint, kind.si)


def to_si(number: float, kind: Kind, system: str) -> float:
    """Convert a number in the unit that ``system`` gives ``kind`` to the engine's SI unit."""
    if kind not in UNITS:
        return number
    slope, zero = line(kind, system)
    return number * slope + zero


def from_si(number: float, kind: Kind, system: str) -> float:
    """Convert the engine's SI number to the unit that ``system`` gives ``kind``."""
    if kind not in UNITS:
        return number
    slope, zero = line(kind, system)
    return (number - zero) / slope


def factor_table() -> dict[tuple[str, str], Line]:
    """Return the lines of all units named in this module to each SI unit they fit, by pint.

    Made once into ``unit_factors``; a test compares the two.
    """
    import pint

    names = {unit.pint for pair in UNITS.values() for unit in pair} | {*_ALIASES.values(), *_PLAIN}
    table = {}
    for name in sorted(names):
        for si in sorted({kind.si for kind in UNITS}):
            try:
                table[name, si] = line_by_pint(name, si)
            except pint.errors.DimensionalityError:
                continue
    return table


def read(value: object, kind: Kind, system: str, argument: str) -> float:
    """Return ``value`` (a number, or text with or without a unit) in the SI unit of ``kind``.

    Raises InputError naming ``argument`` where the value is no finite number or has a unit of
    another dimension.
    """
    number = math.nan
    if isinstance(value, str):
        number = _read_text(value, kind, system, argument)
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        try:
            number = to_si(float(value), kind, system)
        except OverflowError:  # a whole number beyond the largest float
            number = math.inf
    if not math.isfinite(number):
        raise InputError(argument, value, f"give {_wanted(kind, system)}")
    return number


def _wanted(kind: Kind, system: str) -> str:
    if kind not in UNITS:
        return "a number"
    label = unit_of(kind, system).label
    example = {"in": "50, 50 in, 4' 2\" or 1.27 m", "mm": "1270, 1.27 m or 50 in"}.get(label)
    return f"a number in {label}, or text with a unit" + (f" such as {example}" if example else "")


@lru_cache(maxsize=4096)
def _read_text(text: str, kind: Kind, system: str, argument: str) -> float:
    wanted = f"give {_wanted(kind, system)}"
    if len(text) > _LONGEST_TEXT:
        raise InputError(argument, text, wanted)
    stripped = _with_plain_fractions(" ".join(text.split()))
    if doubtful := _EITHER.search(stripped):
        large, small = (float(doubtful[0].replace(",", mark)) for mark in ("", "."))
        raise InputError(
            argument, text, f"{doubtful[0]} can be {large:g} or {small:g}; give the one it is"
        )
    if kind.si == "m" and (match := _FEET_INCHES.match(stripped)):
        feet, inches = _mixed_number(match["feet"]), _mixed_number(match["inches"])
        if feet is None or inches is None:
            raise InputError(argument, text, wanted)
        number = (-1.0 if match["sign"] else 1.0) * (12.0 * feet + inches)
        return number * _line("inch", "m")[0]
    match = _WITH_UNIT.match(stripped)
    number_found = _mixed_number(match["number"]) if match else None
    if match is None or number_found is None:
        raise InputError(argument, text, wanted)
    number = number_found
    if match["exponent"]:
        # Read together, as every language reads 1e2; a fraction is scaled.
        plain = _plain_number(match["number"])
        number = (
            float(plain + match["exponent"])
            if plain is not None
            else number * float(f"1{match['exponent']}")
        )
    if match["sign"] == "-":
        number = -number
    if not math.isfinite(number):
        raise InputError(argument, text, wanted)
    unit = (match["unit"] or "").strip().rstrip(".")
    if not unit:
        return to_si(number, kind, system)
    if kind not in UNITS:
        if kind is kinds.RATIO and unit == "%":
            return number / 100.0
        raise InputError(argument, text, "give a number without a unit")
    return _with_unit(number, unit, kind, argument, text, wanted)


def _with_unit(
    number: float, unit: str, kind: Kind, argument: str, text: str, wanted: str
) -> float:
    name = _ALIASES.get(unit, unit)
    if unit == "oz" and kind in (kinds.MASS, kinds.LOAD_MASS):
        name = "ounce"
    if len(name) > _LONGEST_UNIT or not _UNIT.fullmatch(name):
        raise InputError(argument, text, wanted)
    try:
        slope, zero = _line(name, kind.si)
    except Exception as error:  # pint's own errors, and those of its tokenizer for odd names
        raise InputError(argument, text, wanted) from error
    return number * slope + zero


def _mixed_number(text: str) -> float | None:
    """Return 2.5 for "2 1/2", "2-1/2" and "2.5"; None for what is no number."""
    whole = 0.0
    part = text.strip()
    if "/" not in part:
        plain = _plain_number(part)
        return None if plain is None else float(plain)
    if match := re.match(r"^(\d+)[ -](\d+\s*/\s*\d+)$", part):
        whole, part = float(match[1]), match[2]
    top, bottom = (float(piece) for piece in part.split("/"))
    return None if bottom == 0.0 else whole + top / bottom


def _plain_number(text: str) -> str | None:
    """Return a number with a point for its decimals and no other mark; None for any other text."""
    if _PLAIN_NUMBER.fullmatch(text):
        return text
    if _POINT_AND_GROUPS.fullmatch(text):
        return text.replace(",", "")
    if _COMMA_AND_GROUPS.fullmatch(text):
        return text.replace(".", "").replace(",", ".")
    return text.replace(",", ".") if _DECIMAL_COMMA.fullmatch(text) else None


def _with_plain_fractions(text: str) -> str:
    """Return a text with ``54 1/2`` for ``54½`` and for ``54 1⁄2``."""
    if text.isascii():
        return text
    text = _SMALL.sub(lambda match: f" {unicodedata.normalize('NFKC', match[0])}", text)
    text = _BESIDE_SIGN.sub(" ", text).translate(_ONE_SIGN).translate(_STROKES)
    return " ".join(text.split())


def shown(number: float, kind: Kind, system: str) -> str:
    """Return an SI number as text in the user's unit, with the unit, for messages and listings."""
    unit = unit_of(kind, system)
    text = f"{from_si(number, kind, system):,.{unit.decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{text} {unit.label}".strip()


def shown_range(low: float, high: float, kind: Kind, system: str) -> str:
    """Return an SI range as text in the user's unit: ``1.97 in to 1,180 in``.

    What has a unit is rounded to three figures, inwards, so that either limit shown is allowed.
    """
    if not kind.has_unit:
        return f"{shown(low, kind, system)} to {shown(high, kind, system)}"
    label = unit_of(kind, system).label
    first = _three_figures(from_si(low, kind, system), math.ceil)
    last = _three_figures(from_si(high, kind, system), math.floor)
    return f"{first} {label} to {last} {label}"


def tape_words(metres: float, system: str) -> str:
    """Return a length [m] as a sentence has it: ``4' 2 1/2"``, to 1/16 in, or ``1270 mm``."""
    text = tape_mark(metres, system)
    return f"{text} mm" if system == "metric" else text


def usual_paper(system: str) -> str:
    """Return the paper that goes with a unit system: ANSI letter, or ISO A4."""
    return "a4" if system == "metric" else "letter"


def one_system(text: str, system: str) -> str:
    """Return a text with its lengths in one unit system, where it has them in both.

    The layout knows no user's units and tells ``4.5 in (114.3 mm)``; papers have one of them, as
    on the tape.
    """

    def one(found: re.Match[str]) -> str:
        over, inches, millimetres = found.groups()
        if system == "metric":
            return tape_words(float(millimetres) / 1000.0, system)
        long = float(over.rstrip("/")) / float(inches) if over else float(inches)
        return tape_words(long * 0.0254, system)

    return re.sub(r"([0-9]+/)?([0-9]+(?:\.[0-9]+)?) in \(([0-9]+(?:\.[0-9]+)?) mm\)", one, text)


def one_unit(text: str, system: str) -> str:
    """Return a text with the unit of one system, where it has a length in both, number unchanged.

    For refusals and cautions: ``give at most 1.969 in (50 mm)`` names a limit, which ``one_system``
    would round to the tape and past it.
    """
    kept = r"\2" if system == "metric" else r"\1"
    return re.sub(r"([0-9.]+ (?:in|ft)) \(([0-9.]+ m?m)\)", kept, text)


def tape_mark(metres: float, system: str) -> str:
    """Return a length [m] as drawings and the crew's sheets have it: ``4' 2 1/2"``, or ``1270``.

    To the nearest 1/16 in or mm, and with a half of either where the length has one.
    """
    if system == "metric":
        return millimetres(metres)
    return feet_and_inches(metres).removeprefix("about ")


def _three_figures(number: float, rounded: Callable[[float], int]) -> str:
    if abs(number) < 1e-12:
        return "0"
    decimals = 2 - math.floor(math.log10(abs(number)) + 1e-12)
    ratio = number * 10.0**decimals
    # What is a whole number but for the arithmetic stays what it is.
    whole = round(ratio) if math.isclose(ratio, round(ratio), rel_tol=1e-9) else rounded(ratio)
    text = f"{whole / 10.0**decimals:,.{max(0, decimals)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def feet_and_inches(metres: float, parts: int = 16) -> str:
    """Return a length [m] as feet and inches to the nearest 1/``parts`` in: ``4' 2 1/2"``.

    A length with half a part has twice the parts, as 15 1/32 in; see ``inch_fraction``. Starts
    with "about" where the text is off by more than a thousandth of an inch.
    """
    inches = metres / 0.0254
    ticks, parts = _marks(abs(inches), parts)
    feet, rest = divmod(ticks, 12 * parts)
    small = _fraction(rest, parts)
    if feet:
        small = f"{feet}' {small}" if rest >= parts or not rest else f"{feet}' 0 {small}"
    about = "" if abs(ticks / parts - abs(inches)) < 1e-3 else "about "
    return f'{about}{"-" if inches < 0 and ticks else ""}{small}"'


def inch_fraction(metres: float, parts: int = 16) -> str:
    """Return a length [m] in inches, without a unit: ``7 1/2``.

    To the nearest 1/``parts``, and with half a part where the length has one to a thousandth of
    an inch: two halves of an odd sixteenth are 32nds, and rounded they would not add up.
    """
    return _fraction(*_marks(metres / 0.0254, parts))


def millimetres(metres: float) -> str:
    """Return a length [m] in mm, without a unit: ``1270``, ``442.5``.

    To the nearest whole mm, and with a half where the length has one to a twentieth of a mm.
    """
    doubled = metres * 2000.0
    half = round(doubled)
    if half % 2 and abs(doubled - half) <= 0.1 + 1e-9:
        return f"{half / 2:.1f}"
    return f"{metres * 1000.0:.0f}"


def tape_length(metres: float, system: str) -> str:
    """Return a length [m] as a crew reads it off the tape, without a unit: inches, or mm.

    The one text of a piece's length, for setting plan and cut list; drawings write the same in
    feet and inches (``feet_and_inches``) or mm. See ``inch_fraction`` and ``millimetres``.
    """
    return millimetres(metres) if system == "metric" else inch_fraction(metres)


class _Marks(NamedTuple):
    """A number of equal parts of an inch."""

    number: int
    parts: int


def _marks(inches: float, parts: int) -> _Marks:
    """Return the nearest number of 1/``parts``, or of half parts where the length has one."""
    halves = round(inches * parts * 2)
    if halves % 2 and abs(halves / (parts * 2) - inches) < 1e-3:
        return _Marks(halves, parts * 2)
    return _Marks(round(inches * parts), parts)


def _fraction(ticks: int, parts: int) -> str:
    """Return a number of 1/``parts`` as whole and fraction, shortened: ``7 1/2``."""
    whole, rest = divmod(ticks, parts)
    if not rest:
        return f"{whole}"
    divisor = math.gcd(rest, parts)
    fraction = f"{rest // divisor}/{parts // divisor}"
    return f"{whole} {fraction}" if whole else fraction
