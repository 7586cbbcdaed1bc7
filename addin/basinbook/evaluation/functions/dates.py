"""Dates and times as serial numbers: days since the last day of 1899."""

from __future__ import annotations

import calendar
import datetime as dt
import math
from typing import Final

from basinbook.evaluation.book import Value
from basinbook.evaluation.budget import spend
from basinbook.evaluation.standard import standard
from basinbook.evaluation.values import (
    NUM,
    VALUE,
    Fault,
    Given,
    flat,
    number,
    text_number,
)

_ZERO: Final = dt.date(1899, 12, 30).toordinal()
_LAST: Final = dt.date(9999, 12, 31).toordinal() - _ZERO
_DAY_SECONDS: Final = 86_400
_DATE_TEXTS: Final = (
    "%Y-%m-%d", "%m/%d/%Y", "%m/%d/%y", "%d-%b-%Y", "%d-%b-%y", "%d %b %Y", "%d %B %Y",
    "%b %d, %Y", "%B %d, %Y", "%Y/%m/%d",
)  # fmt: skip
_TIME_TEXTS: Final = ("%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M:%S %p")


def _date(serial: float) -> dt.date:
    if not 0 <= serial < _LAST + 1:
        raise Fault(NUM)
    return dt.date.fromordinal(int(serial) + _ZERO)


def _serial(day: dt.date) -> int:
    return day.toordinal() - _ZERO


def _moved(year: int, month: int, day: int = 1) -> dt.date:
    """Return a day of a month, where months may run over into other years."""
    year, month = year + (month - 1) // 12, (month - 1) % 12 + 1
    if not 1899 <= year <= 9999:
        raise Fault(NUM)
    return dt.date(year, month, min(day, calendar.monthrange(year, month)[1]))


def _read(value: Value) -> float:
    """Return a serial number, of a text that is a date the one it stands for."""
    if not isinstance(value, str) or text_number(value) is not None:
        return number(value)
    return float(_read_date(value))


def _read_date(given: str) -> int:
    for form in _DATE_TEXTS:
        try:
            return _serial(dt.datetime.strptime(given.strip(), form).date())
        except ValueError:
            continue
    raise Fault(VALUE)


@standard("TODAY", "", dates=True)
def _today() -> int:
    return _serial(dt.date.today())


@standard("NOW", "", dates=True)
def _now() -> float:
    now = dt.datetime.now()
    seconds = now.hour * 3600 + now.minute * 60 + now.second
    return _serial(now.date()) + seconds / _DAY_SECONDS


@standard("DATE", "www", dates=True)
def _make_date(year: int, month: int, day: int) -> int:
    first = _moved(year + 1900 if 0 <= year < 1900 else year, month)
    serial = _serial(first) + day - 1
    if not 0 <= serial <= _LAST:
        raise Fault(NUM)
    return serial


@standard("DATEVALUE", "t", dates=True)
def _date_value(given: str) -> int:
    return _read_date(given)


@standard("YEAR", "v", dates=True)
def _year(value: Value) -> int:
    return _date(_read(value)).year


@standard("MONTH", "v", dates=True)
def _month(value: Value) -> int:
    return _date(_read(value)).month


@standard("DAY", "v", dates=True)
def _day(value: Value) -> int:
    return _date(_read(value)).day


@standard("DAYS", "vv", dates=True)
def _days(end: Value, start: Value) -> int:
    return math.floor(_read(end)) - math.floor(_read(start))


@standard("EDATE", "vw", dates=True)
def _edate(value: Value, months: int) -> int:
    day = _date(_read(value))
    return _serial(_moved(day.year, day.month + months, day.day))


@standard("EOMONTH", "vw", dates=True)
def _eomonth(value: Value, months: int) -> int:
    day = _date(_read(value))
    return _serial(_moved(day.year, day.month + months, 31))


@standard("WEEKDAY", "v|w", dates=True)
def _weekday(value: Value, kind: int = 1) -> int:
    monday = _date(_read(value)).weekday()
    if kind == 3:
        return monday
    first = {1: 6, 2: 0}.get(kind, kind - 11)
    if not 0 <= first <= 6:
        raise Fault(NUM)
    return (monday - first) % 7 + 1


@standard("WEEKNUM", "v|w", dates=True)
def _weeknum(value: Value, kind: int = 1) -> int:
    day = _date(_read(value))
    if kind == 21:
        return day.isocalendar().week
    first = {1: 6, 2: 0}.get(kind, kind - 11)
    if not 0 <= first <= 6:
        raise Fault(NUM)
    start = (dt.date(day.year, 1, 1).weekday() - first) % 7
    return (day.timetuple().tm_yday - 1 + start) // 7 + 1


@standard("ISOWEEKNUM", "v", dates=True)
def _iso_weeknum(value: Value) -> int:
    return _date(_read(value)).isocalendar().week


def _seconds(value: Value) -> int:
    serial = _read(value)
    if serial < 0:
        raise Fault(NUM)
    return round(serial % 1 * _DAY_SECONDS) % _DAY_SECONDS


@standard("HOUR", "v")
def _hour(value: Value) -> int:
    return _seconds(_time(value)) // 3600


@standard("MINUTE", "v")
def _minute(value: Value) -> int:
    return _seconds(_time(value)) // 60 % 60


@standard("SECOND", "v")
def _second(value: Value) -> int:
    return _seconds(_time(value)) % 60


def _time(value: Value) -> Value:
    if isinstance(value, str) and text_number(value) is None:
        return _time_value(value)
    return value


@standard("TIME", "www")
def _make_time(hours: int, minutes: int, seconds: int) -> float:
    total = hours * 3600 + minutes * 60 + seconds
    if total < 0:
        raise Fault(NUM)
    return total % _DAY_SECONDS / _DAY_SECONDS


@standard("TIMEVALUE", "t")
def _time_value(given: str) -> float:
    for form in _TIME_TEXTS:
        try:
            found = dt.datetime.strptime(given.strip().upper(), form)
        except ValueError:
            continue
        return (found.hour * 3600 + found.minute * 60 + found.second) / _DAY_SECONDS
    raise Fault(VALUE)


@standard("DATEDIF", "vvt", dates=True)
def _datedif(start: Value, end: Value, unit: str) -> int:
    first, last = _date(_read(start)), _date(_read(end))
    if first > last:
        raise Fault(NUM)
    months = (last.year - first.year) * 12 + last.month - first.month - (last.day < first.day)
    found = {
        "Y": months // 12,
        "M": months,
        "YM": months % 12,
        "D": (last - first).days,
        "MD": (last - _moved(first.year, first.month + months, first.day)).days,
        "YD": (last - _moved(first.year, first.month + months // 12 * 12, first.day)).days,
    }.get(unit.upper())
    if found is None:
        raise Fault(NUM)
    return found


def _days360(first: dt.date, last: dt.date, *, european: bool) -> int:
    day, last_day = min(first.day, 30), last.day
    end_of_february = first.month == 2 and (first + dt.timedelta(1)).month == 3
    if not european and end_of_february:
        day = 30
    if last_day == 31 and (european or day == 30):
        last_day = 30
    return (last.year - first.year) * 360 + (last.month - first.month) * 30 + last_day - day


@standard("DAYS360", "vv|b", dates=True)
def _days_of_360(start: Value, end: Value, european: bool = False) -> int:
    return _days360(_date(_read(start)), _date(_read(end)), european=european)


@standard("YEARFRAC", "vv|w", dates=True)
def _yearfrac(start: Value, end: Value, basis: int = 0) -> float:
    first, last = sorted((_date(_read(start)), _date(_read(end))))
    days = (last - first).days
    if basis in (0, 4):
        return _days360(first, last, european=basis == 4) / 360
    if basis in (2, 3):
        return days / (360 if basis == 2 else 365)
    if basis != 1:
        raise Fault(NUM)
    if first.year == last.year or (last - first).days <= 365 + calendar.isleap(first.year):
        within = any(
            calendar.isleap(year) and first <= dt.date(year, 2, 29) <= last
            for year in range(first.year, last.year + 1)
        )
        return days / (366 if within or (calendar.isleap(first.year) and first.year == last.year)
                       else 365)  # fmt: skip
    years = range(first.year, last.year + 1)
    return days / (sum(365 + calendar.isleap(year) for year in years) / len(years))


def _days_off(given: Given | None) -> set[int]:
    if given is None:
        return set()
    return {math.floor(_read(value)) for value in flat(given) if value not in (None, "")}


def _works(serial: int, off: set[int]) -> bool:
    return _date(serial).weekday() < 5 and serial not in off


@standard("NETWORKDAYS", "vv|r", dates=True)
def _networkdays(start: Value, end: Value, holidays: Given | None = None) -> int:
    first, last = math.floor(_read(start)), math.floor(_read(end))
    off = _days_off(holidays)
    low, high = min(first, last), max(first, last)
    spend(high - low)
    count = sum(_works(serial, off) for serial in range(low, high + 1))
    return count if first <= last else -count


@standard("WORKDAY", "vw|r", dates=True)
def _workday(start: Value, count: int, holidays: Given | None = None) -> int:
    serial, off = math.floor(_read(start)), _days_off(holidays)
    step = 1 if count > 0 else -1
    spend(abs(count) * 2)
    left = abs(count)
    while left:
        serial += step
        left -= _works(serial, off)
    return serial
