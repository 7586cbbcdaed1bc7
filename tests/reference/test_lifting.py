"""Lifting: tables and worked examples of the manual of the revised lifting equation."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import pytest

from basinbook.catalogue import call
from basinbook.engine import lifting
from basinbook.engine.errors import InputError
from basinbook.engine.lifting import METRIC, US, Lift
from outside import Check, Exhibit, judge, named

INCH, LB, CM = 0.0254, 0.45359237, 0.01
MANUAL = "DHHS (NIOSH) Publication 94-110, revised 2021, "
REPRINTED = ", found again in a stored copy of its worksheet for single lifts, all rows"


# Rows as printed: of table 1, 22 and 23 in are .46 and .44 where 10/H rounds to .45 and .43; of
# table 3, 130 cm is .86 where the formula rounds to .85. Each is kept, with room for it.
def _rows(at: Iterable[int], printed: str) -> dict[int, float]:
    return dict(zip(at, map(float, printed.split()), strict=True))


H_IN = _rows(range(10, 26), "1 .91 .83 .77 .71 .67 .63 .59 .56 .53 .50 .48 .46 .44 .42 .40")
H_CM = _rows(
    (25, *range(28, 61, 2), 63),
    "1 .89 .83 .78 .74 .69 .66 .63 .60 .57 .54 .52 .50 .48 .46 .45 .43 .42 .40",
)
V_IN = _rows(range(0, 71, 5), ".78 .81 .85 .89 .93 .96 1 .96 .93 .89 .85 .81 .78 .74 .70")
V_CM = _rows(
    (*range(0, 171, 10), 175),
    ".78 .81 .84 .87 .90 .93 .96 .99 .99 .96 .93 .90 .87 .84 .81 .78 .75 .72 .70",
)
D_IN = _rows((*range(10, 61, 5), 70), "1 .94 .91 .89 .88 .87 .87 .86 .86 .85 .85 .85")
D_CM = _rows(range(25, 176, 15), "1 .93 .90 .88 .87 .87 .86 .86 .85 .85 .85")
A_DEG = _rows(range(0, 136, 15), "1 .95 .90 .86 .81 .76 .71 .66 .62 .57")
# Lifts a minute: hands under 30 in and from there up, for 1, 2 and 8 h.
F_ROWS = {
    0.2: (1.00, 1.00, 0.95, 0.95, 0.85, 0.85), 0.5: (0.97, 0.97, 0.92, 0.92, 0.81, 0.81),
    1: (0.94, 0.94, 0.88, 0.88, 0.75, 0.75), 2: (0.91, 0.91, 0.84, 0.84, 0.65, 0.65),
    3: (0.88, 0.88, 0.79, 0.79, 0.55, 0.55), 4: (0.84, 0.84, 0.72, 0.72, 0.45, 0.45),
    5: (0.80, 0.80, 0.60, 0.60, 0.35, 0.35), 6: (0.75, 0.75, 0.50, 0.50, 0.27, 0.27),
    7: (0.70, 0.70, 0.42, 0.42, 0.22, 0.22), 8: (0.60, 0.60, 0.35, 0.35, 0.18, 0.18),
    9: (0.52, 0.52, 0.30, 0.30, 0.00, 0.15), 10: (0.45, 0.45, 0.26, 0.26, 0.00, 0.13),
}  # fmt: skip
ROOM = {("H", 22): 0.0055, ("H", 23): 0.0055, ("D", 130): 0.0055}
ROUNDED = "printed to two digits; a half is rounded up"


def _table(
    name: str, printed: dict[int, float], unit: str, ours: Callable[[int], float]
) -> tuple[Check, ...]:
    return tuple(
        Check(
            f"{name} = {at} {unit}",
            value,
            "-",
            lambda at=at: ours(at),  # type: ignore[misc]
            abs=0.005 + ROOM.get((name, at) if unit != "cm" or name == "D" else ("", 0), 0.0),
        )
        for at, value in printed.items()
    )


def _inches(reach: float, start: float, end: float, *rest: float | str) -> Lift:
    return Lift(reach * INCH, start * INCH, end * INCH, *rest)  # type: ignore[arg-type]


# Example, its load [lb], lift [in], limits [lb] and indices printed, at start and end.
FEW = (0.0, 0.2, "up to 1 h")
EXAMPLES = (
    ("1, loading punch press stock", 44, _inches(23, 15, 64, *FEW, "fair"),
     (16.3, 14.5), (2.7, 3.0)),
    ("2, loading supply rolls", 35, _inches(20, 27, 10, *FEW, "poor"), (20.9, None), (1.7, None)),
    ("3, loading bags into a hopper", 40, _inches(18, 15, 36, 45.0, 0.2, "up to 1 h", "fair"),
     (18.9, None), (2.1, None)),
    ("4, package inspection, as lifted", 26, _inches(10, 22, 59, 0.0, 3.0, "up to 1 h", "fair"),
     (34.9, None), (0.7, None)),
    ("4, package inspection, as set down", 26, _inches(20, 22, 59, 0.0, 3.0, "up to 1 h", "fair"),
     (None, 15.2), (None, 1.7)),
)  # fmt: skip


def _examples() -> Iterable[Check]:
    for name, load, lift, limits, indices in EXAMPLES:
        for end, place in enumerate(("start", "end")):
            limit, index = limits[end], indices[end]
            if limit is None or index is None:
                continue

            def ours(lift: Lift = lift, end: int = end) -> float:
                return lifting.multipliers(lift, US)[end].limit / LB

            yield Check(
                f"example {name}: limit at the {place}", limit, "lb", ours, abs=0.05, rel=0.03
            )
            yield Check(
                f"example {name}: index at the {place}",
                index,
                "-",
                lambda ours=ours, load=load: load / ours(),  # type: ignore[misc]
                abs=0.05,
                rel=0.03,
            )


OUTSIDE = [
    Exhibit(
        "Lifting: horizontal multiplier, inches",
        MANUAL + "table 1, pp. 8 and 9" + REPRINTED,
        ROUNDED + "; 22 and 23 in are printed .46 and .44, a unit more than the formula",
        _table("H", H_IN, "in", lambda h: lifting.horizontal_multiplier(h * INCH, US)),
    ),
    Exhibit(
        "Lifting: horizontal multiplier, centimetres",
        MANUAL + "table 1, pp. 8 and 9" + REPRINTED,
        ROUNDED,
        _table("H", H_CM, "cm", lambda h: lifting.horizontal_multiplier(h * CM)),
    ),
    Exhibit(
        "Lifting: vertical multiplier, inches",
        MANUAL + "table 2, p. 10" + REPRINTED,
        ROUNDED,
        _table("V", V_IN, "in", lambda v: lifting.vertical_multiplier(v * INCH, US)),
    ),
    Exhibit(
        "Lifting: vertical multiplier, centimetres",
        MANUAL + "table 2, p. 10" + REPRINTED,
        ROUNDED,
        _table("V", V_CM, "cm", lambda v: lifting.vertical_multiplier(v * CM)),
    ),
    Exhibit(
        "Lifting: distance multiplier, inches",
        MANUAL + "table 3, p. 11" + REPRINTED,
        ROUNDED,
        _table("D", D_IN, "in", lambda d: lifting.distance_multiplier(d * INCH, US)),
    ),
    Exhibit(
        "Lifting: distance multiplier, centimetres",
        MANUAL + "table 3, p. 11" + REPRINTED,
        ROUNDED + "; 130 cm is printed .86, a unit more than the formula",
        _table("D", D_CM, "cm", lambda d: lifting.distance_multiplier(d * CM)),
    ),
    Exhibit(
        "Lifting: asymmetry multiplier",
        MANUAL + "table 4, p. 13" + REPRINTED,
        ROUNDED,
        _table("A", A_DEG, "°", lifting.asymmetry_multiplier),
    ),
    Exhibit(
        "Lifting: frequency multiplier",
        MANUAL + "table 5" + REPRINTED.replace("all rows", "rows to 10 lifts a minute"),
        "the printed value",
        tuple(
            Check(
                f"{rate:g} a minute, {time}, hands {'from 30 in up' if up else 'under 30 in'}",
                row[2 * column + up],
                "-",
                lambda rate=rate, time=time, up=up: lifting.frequency_multiplier(  # type: ignore[misc]
                    rate, time, (30.0 if up else 29.0) * INCH, US
                ),
                abs=1e-9,
            )
            for rate, row in F_ROWS.items()
            for column, time in enumerate(("up to 1 h", "up to 2 h", "up to 8 h"))
            for up in (0, 1)
        ),
        "11 to 15 lifts a minute, which the stored copy has cut off",
    ),
    Exhibit(
        "Lifting: frequency multiplier between rates of its table",
        MANUAL + "example 7, pp. 56 and 57: 2.4 lifts a minute lie between those of 2 and 3; "
        "value from memory",
        ROUNDED,
        (
            Check(
                "2.4 lifts a minute, up to 1 h",
                0.90,
                "-",
                lambda: lifting.frequency_multiplier(2.4, "up to 1 h", 10 * INCH, US),
                abs=0.005,
            ),
        ),
    ),
    Exhibit(
        "Lifting: worked examples of single lifts",
        MANUAL + "examples 1 to 4, pp. 33 to 46; limits, heights and multipliers of example 4 "
        "and the .44 of example 1 found again in a copy of it, the rest from memory",
        "the manual multiplies up to five multipliers rounded to two digits, half a percent to one "
        "percent each, and rounds limits and indices to one digit (p. 29); its 23 in is .44",
        tuple(_examples()),
        "examples 5 and 6, whose numbers were not found again; 7 to 10 and the three-task example, "
        "which add several tasks to one index: pieces are judged one by one here",
    ),
]


@pytest.mark.parametrize("name", named(OUTSIDE))
def test_outside(name: str) -> None:
    judge(*named(OUTSIDE)[name])


@pytest.mark.parametrize("form", [METRIC, US])
def test_beyond_the_tables_nothing_is_lifted(form: lifting.Form) -> None:
    """Tables 1 to 5 end in .00, and section 1.3.5.4 has 0 above the greatest rate."""
    ideal = Lift(form.near, form.knuckle, form.knuckle)
    assert lifting.weight_limit(ideal, form) == pytest.approx(form.load)
    for beyond in (
        ideal._replace(reach=form.far + 0.01),
        ideal._replace(end=form.high + 0.01),
        ideal._replace(turn=136.0),
        ideal._replace(rate=15.5),
        ideal._replace(rate=12.5, time="up to 2 h"),
        ideal._replace(rate=10.5, time="up to 8 h"),
        ideal._replace(rate=9.0, time="up to 8 h", start=0.3),
    ):
        assert lifting.weight_limit(beyond, form) == 0.0
        with pytest.raises(InputError, match="limit"):
            lifting.lifting_index(10.0, 0.0)


def test_a_block_of_46_lb_at_a_common_reach_is_over_its_limit() -> None:
    """The reported case: nothing was said below 51 lb."""
    # 16 in from the ankles, from the ground to a wall of 20 in: 51 · .625 · .775 · .91 · .95
    lift = ("16", "0", "20", "0", "0.2", "up to 1 h", "fair")
    assert call("LIFTLIMIT", *lift).value == pytest.approx(21.4, abs=0.05)
    assert call("LIFTINGINDEX", "46", *lift).value == pytest.approx(2.15, abs=0.01)
    assert "over 21.4 lb" in call("LIFTADVICE", "46", 21.4).text()
    assert "within" in call("LIFTADVICE", "20", 21.4).text()
    assert "not by hand alone" in call("LIFTADVICE", "65", 21.4).text()
    assert "lift nothing" in call("LIFTADVICE", "5", 0).text()


def test_the_two_forms_of_the_equation_lie_close() -> None:
    for reach in (0.26, 0.4, 0.6):
        for start in (0.05, 0.6, 1.2):
            lift = Lift(reach, start, 0.9, 30.0, 1.5, "up to 8 h", "fair")
            ratio = lifting.weight_limit(lift, US) / lifting.weight_limit(lift)
            assert 0.995 < ratio < 1.035
