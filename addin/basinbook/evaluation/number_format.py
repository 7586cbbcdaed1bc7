"""Show a cell's value as its number format says, as a spreadsheet would print it.

Follows the number format codes of ECMA-376 part 1, section 18.8.31, in English: digits and
thousands, decimals, percent, fractions, scientific, dates and times, elapsed hours, literals such
as ``0.0 "in"``, colours, and up to four sections with or without conditions.  Not followed:
calendars and digits of other languages, and the ``*`` fill, which is left out.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_COLOURS = {
    "black": "000000",
    "blue": "0000FF",
    "cyan": "00FFFF",
    "green": "00FF00",
    "magenta": "FF00FF",
    "red": "FF0000",
    "white": "FFFFFF",
    "yellow": "FFFF00",
}
_GENERAL_DIGITS = 10
# The largest number has 309 digits before the point.
_EXACT = Context(prec=700)
_TOKEN = re.compile(
    r"""
    "(?P<quoted>[^"]*)"? | \\(?P<escaped>.) | _(?P<space>.) | \*(?P<fill>.)
    | \[(?P<bracket>[^\]]*)\]
    | (?P<general>General)
    | (?P<half>AM/PM|A/P)
    | (?P<exponent>E[+-])
    | (?P<date>y+|m+|d+|h+|s+|\.0+(?=\D*$))
    | (?P<digit>[0#?])
    | (?P<mark>[.,%/@])
    | (?P<literal>.)
    """,
    re.VERBOSE | re.IGNORECASE | re.DOTALL,
)


class Token(NamedTuple):
    """One piece of a format section: its kind and its text."""

    kind: str
    text: str


@dataclass(frozen=True)
class Section:
    """One section of a format code."""

    tokens: tuple[Token, ...]
    colour: str | None = None
    condition: tuple[str, float] | None = None

    @property
    def is_date(self) -> bool:
        """True when the section shows a date, a time or an elapsed time."""
        return any(token.kind in ("date", "elapsed", "half") for token in self.tokens)


@dataclass(frozen=True)
class Shown:
    """What the page shows: the text and, where the format asks for one, its colour (RRGGBB)."""

    text: str
    colour: str | None = None


def format_value(value: object, code: str | None = None) -> Shown:
    """Return ``value`` as format ``code`` (None or "General": as it is) shows it."""
    if value is None:
        return Shown("")
    if isinstance(value, bool):
        return Shown(str(value).upper())
    sections = parse(code or "General")
    if isinstance(value, str):
        return _text(value, sections)
    number = _serial(value)
    section, magnitude = _pick(number, sections)
    if section.is_date:
        shown = _date(number, section)
    elif any(token.kind == "general" for token in section.tokens):
        shown = _with_literals(general(magnitude), section)
    else:
        shown = _number(magnitude, section)
    return Shown(shown, section.colour)


def general(value: float, digits: int = _GENERAL_DIGITS) -> str:
    """Return a number in the General format with at most ``digits`` significant digits."""
    if value == 0:
        return "0"
    text = f"{value:.{digits}g}"
    if "e" not in text:
        return text
    if 1e-4 <= abs(value) < 1e11 and float(value).is_integer():
        return f"{value:.0f}"
    mantissa, _, exponent = text.partition("e")
    return f"{mantissa}E{exponent}"


@lru_cache(maxsize=512)
def parse(code: str) -> tuple[Section, ...]:
    """Split a format code into its sections."""
    sections: list[Section] = []
    tokens: list[Token] = []
    colour: str | None = None
    condition: tuple[str, float] | None = None

    def close() -> None:
        nonlocal colour, condition
        sections.append(Section(_minutes_told_apart(tokens), colour, condition))
        tokens.clear()
        colour = condition = None

    for match in _TOKEN.finditer(code):
        kind, text = match.lastgroup or "literal", match[match.lastgroup or 0]
        if kind == "literal" and text == ";":
            close()
        elif kind == "bracket":
            colour = _COLOURS.get(text.lower(), colour)
            if found := re.fullmatch(r"(<=|>=|<>|<|>|=)\s*(-?(?:\d+\.?\d*|\.\d+))", text):
                condition = (found[1], float(found[2]))
            elif text.startswith("$"):
                tokens.append(Token("literal", text[1:].partition("-")[0]))
            elif re.fullmatch(r"h+|m+|s+", text, re.IGNORECASE):
                tokens.append(Token("elapsed", text.lower()))
        elif kind in ("quoted", "escaped", "literal"):
            tokens.append(Token("literal", text))
        elif kind == "space":
            tokens.append(Token("literal", " "))
        elif kind == "date" and text.startswith("."):
            tokens.extend(_decimals_or_second_parts(text, tokens))
        elif kind != "fill":
            tokens.append(Token(kind, text.lower() if kind == "date" else text))
    close()
    return tuple(sections)


def _decimals_or_second_parts(text: str, before: Sequence[Token]) -> list[Token]:
    if any(token.kind == "date" and token.text[0] == "s" for token in before):
        return [Token("date", text)]
    return [Token("mark", "."), *(Token("digit", zero) for zero in text[1:])]


def _minutes_told_apart(tokens: Sequence[Token]) -> tuple[Token, ...]:
    """Return the tokens with m after hours or before seconds marked as minutes (``n``)."""
    parts = [i for i, token in enumerate(tokens) if token.kind in ("date", "elapsed")]
    told = list(tokens)
    for place, i in enumerate(parts):
        if tokens[i].kind != "date" or tokens[i].text[0] != "m" or len(tokens[i].text) > 2:
            continue
        before = tokens[parts[place - 1]].text[0] if place else ""
        after = tokens[parts[place + 1]].text[0] if place + 1 < len(parts) else ""
        if before == "h" or after == "s":
            told[i] = Token("date", "n" * len(tokens[i].text))
    return tuple(told)


def _serial(value: object) -> float:
    if isinstance(value, int | float):
        return value
    if isinstance(value, dt.datetime | dt.date | dt.time | dt.timedelta):
        from openpyxl.utils.datetime import to_excel

        return float(to_excel(value))  # type: ignore[no-untyped-call]
    raise TypeError(f"a cell can't hold {type(value).__name__}")


def _pick(number: float, sections: Sequence[Section]) -> tuple[Section, float]:
    """Return the section for a number, and the number as that section shows it."""
    numeric = sections[:3]
    if any(section.condition for section in numeric):
        for section in numeric:
            if section.condition is None or _holds(number, *section.condition):
                return section, number
        return sections[0], number
    if number < 0 and len(numeric) > 1:
        return numeric[1], -number
    if number == 0 and len(numeric) > 2:
        return numeric[2], number
    return numeric[0], number


def _holds(number: float, sign: str, limit: float) -> bool:
    return {
        "<": number < limit,
        "<=": number <= limit,
        ">": number > limit,
        ">=": number >= limit,
        "=": number == limit,
        "<>": number != limit,
    }[sign]


def _text(value: str, sections: Sequence[Section]) -> Shown:
    for section in sections[3:4] or sections[:1]:
        if len(sections) > 3 or any(token.text == "@" for token in section.tokens):
            return Shown(_with_literals(value, section, "@"), section.colour)
    return Shown(value)


def _with_literals(value: str, section: Section, placeholder: str = "General") -> str:
    return "".join(
        value if token.text.lower() == placeholder.lower() else token.text
        for token in section.tokens
        if token.kind == "literal" or token.text.lower() == placeholder.lower()
    )


def _number(value: float, section: Section) -> str:
    tokens = section.tokens
    if not any(token.kind == "digit" for token in tokens):
        sign = "-" if value < 0 else ""
        return sign + "".join(token.text for token in tokens if token.kind == "literal")
    if _is_fraction(tokens):
        return _fraction(value, tokens)
    if any(token.kind == "exponent" for token in tokens):
        return _scientific(value, tokens)
    digits = [i for i, token in enumerate(tokens) if token.kind == "digit"]
    point = next((i for i, token in enumerate(tokens) if token == Token("mark", ".")), None)
    last_whole = max((i for i in digits if point is None or i < point), default=-1)
    commas = [i for i, token in enumerate(tokens) if token == Token("mark", ",")]
    grouped = any(digits[0] < i < last_whole for i in commas)
    # A comma behind the digits, before the point or at the end, divides by a thousand.
    thousands = sum(
        i > digits[-1] or (point is not None and last_whole < i < point) for i in commas
    )
    percents = sum(token == Token("mark", "%") for token in tokens)
    places = sum(1 for i in digits if point is not None and i > point)
    scaled = Decimal(repr(value)) * 100**percents / Decimal(1000) ** thousands
    rounded = abs(scaled).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP, _EXACT)
    whole, _, part = f"{rounded:f}".partition(".")
    end = len(tokens) if point is None else point
    text = _whole_digits(whole, tokens[:end], grouped) + _part_digits(part, tokens[end:])
    return ("-" if scaled < 0 and rounded else "") + text


def _whole_digits(digits: str, tokens: Sequence[Token], grouped: bool) -> str:
    """Fill the placeholders before the point from the right; the leftmost takes what is left."""
    left = "" if set(digits) == {"0"} else digits
    first = next((i for i, token in enumerate(tokens) if token.kind == "digit"), None)
    out: list[str] = []
    count = 0

    def put(digit: str) -> None:
        nonlocal count
        if grouped and count and count % 3 == 0 and digit != " ":
            out.append(",")
        out.append(digit)
        count += 1

    for i in range(len(tokens) - 1, -1, -1):
        token = tokens[i]
        if token.kind == "digit":
            if left:
                put(left[-1])
                left = left[:-1]
            elif token.text != "#":
                put("0" if token.text == "0" else " ")
            while i == first and left:
                put(left[-1])
                left = left[:-1]
        elif token.kind == "literal" or token.text == "%":
            out.append(token.text[::-1])
    if first is None and left:
        return left + "".join(out)[::-1]
    return "".join(out)[::-1]


def _part_digits(digits: str, tokens: Sequence[Token]) -> str:
    """Fill the point and what follows it; # leaves out closing zeros, ? shows them as spaces."""
    significant = len(digits.rstrip("0"))
    out: list[str] = []
    place = 0
    for token in tokens:
        if token.kind == "digit":
            if place < significant or token.text == "0":
                out.append(digits[place])
            elif token.text == "?":
                out.append(" ")
            place += 1
        elif token.kind == "literal" or token.text in (".", "%"):
            out.append(token.text)
    return "".join(out)


def _is_fraction(tokens: Sequence[Token]) -> bool:
    """Whether there is a bar with something for the number below it."""
    if Token("mark", "/") not in tokens:
        return False
    below = tokens[tokens.index(Token("mark", "/")) + 1 :][:1]
    return any(token.kind == "digit" or token.text.isdigit() for token in below)


def _fraction(value: float, tokens: Sequence[Token]) -> str:
    bar = tokens.index(Token("mark", "/"))
    top = bar - 1
    while top >= 0 and tokens[top].kind == "digit":
        top -= 1
    low = bar + 1
    while low < len(tokens) and (tokens[low].kind == "digit" or tokens[low].text.isdigit()):
        low += 1
    below = "".join(token.text for token in tokens[bar + 1 : low])
    fixed = re.fullmatch(r"[1-9]\d*", below)
    size = abs(Fraction(Decimal(repr(value))))
    has_whole = any(token.kind == "digit" for token in tokens[: top + 1])
    whole = int(size) if has_whole else 0
    if fixed:
        bottom = int(below)
        share = (size - whole) * bottom
        up = int(share + Fraction(1, 2))
    else:
        near = (size - whole).limit_denominator(10 ** len(below) - 1)
        up, bottom = near.numerator, near.denominator
    if has_whole and up == bottom:
        whole, up = whole + 1, 0
    ahead = _whole_digits(str(whole), tokens[: top + 1], False)
    if has_whole and whole == 0 and up == 0:
        ahead = ahead if ahead.strip() else "0"
    behind = "".join(token.text for token in tokens[low:] if token.kind == "literal")
    shown = f"{up}/{bottom}" if up or not has_whole else ""
    text = (ahead.rstrip() if not shown else ahead.lstrip()) + shown
    return ("-" if value < 0 and (whole or up) else "") + text + behind


def _scientific(value: float, tokens: Sequence[Token]) -> str:
    at = next(i for i, token in enumerate(tokens) if token.kind == "exponent")
    places, after_point = 0, False
    for token in tokens[:at]:
        after_point = after_point or token.text == "."
        places += after_point and token.kind == "digit"
    width = sum(token.kind == "digit" for token in tokens[at:])
    mantissa, _, exponent = f"{Decimal(repr(value)):.{places}E}".partition("E")
    power = int(exponent)
    sign = "-" if power < 0 else "+" if tokens[at].text.endswith("+") else ""
    ending = "".join(token.text for token in tokens[at:] if token.kind == "literal")
    return f"{mantissa}E{sign}{abs(power):0{width}d}{ending}"


def _date(serial: float, section: Section) -> str:
    from openpyxl.utils.datetime import from_excel

    second_parts = max(
        (len(token.text) - 1 for token in section.tokens if token.text.startswith(".0")), default=0
    )
    step = 10**second_parts
    seconds = Fraction(round(Fraction(serial) * 86400 * step), step)
    # Rounded before it is split up, so that 59.9996 s never shows as 60.
    try:
        moment = from_excel(float(seconds / 86400))
    except (OverflowError, ValueError):
        # No day of the calendar from year 1 to 9999.
        return general(serial)
    if isinstance(moment, dt.time):
        moment = dt.datetime.combine(dt.date(1899, 12, 30), moment)
    if not isinstance(moment, dt.datetime):
        return general(serial)
    halves = any(token.kind == "half" for token in section.tokens)
    out = []
    for token in section.tokens:
        if token.kind == "date":
            out.append(_date_part(token.text, moment, seconds, halves))
        elif token.kind == "elapsed":
            unit = {"h": 3600, "m": 60, "s": 1}[token.text[0]]
            out.append(f"{int(seconds // unit):0{len(token.text)}d}")
        elif token.kind == "half":
            whole = "AM" if moment.hour < 12 else "PM"
            out.append(whole if len(token.text) > 3 else whole[0])
        elif token.kind in ("literal", "mark"):
            out.append(token.text)
    return "".join(out)


def _date_part(text: str, moment: dt.datetime, seconds: Fraction, halves: bool) -> str:
    letter, width = text[0], len(text)
    if letter == "y":
        return f"{moment.year % 100:02d}" if width < 3 else f"{moment.year}"
    if letter == "m" and width > 2:
        name = _MONTHS[moment.month - 1]
        return name[0] if width == 5 else name[:3] if width == 3 else name
    if letter == "d" and width > 2:
        name = _DAYS[moment.weekday()]
        return name[:3] if width == 3 else name
    if letter == ".":
        return f".{int(seconds % 1 * 10 ** (width - 1)):0{width - 1}d}"
    number = {
        "m": moment.month,
        "d": moment.day,
        "h": (moment.hour % 12 or 12) if halves else moment.hour,
        "n": moment.minute,
        "s": int(seconds % 60),
    }[letter]
    return f"{number:02d}" if width > 1 else str(number)
