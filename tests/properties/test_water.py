"""Over their whole declared ranges: flow rises with head, loss with flow, volume with size."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest
from hypothesis import HealthCheck, assume, given, reject, settings
from hypothesis import strategies as st

from basinbook.catalogue import call, function, functions
from basinbook.catalogue.model import Argument
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.water.outlets import HIGHEST_HEAD
from basinbook.units import from_si, to_si

SETTINGS = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
STATUSES = (
    "within the validated range",
    "within the validated range, if fully contracted",
    "extrapolated below the validated head",
    "extrapolated outside the validated proportions",
    "rule of thumb",
)


def _shared(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers of a range, its ends among them, small ones as often as large ones."""
    least = low if low > 0.0 else high * 1e-9
    logarithmic = st.floats(math.log(least), math.log(high)).map(math.exp)
    even = st.floats(low, high)
    found = st.sampled_from([low, high]) | (logarithmic | even if high > 0.0 else even)
    return found.map(lambda number: min(max(number, low), high))


def _value(argument: Argument) -> st.SearchStrategy[object]:
    """What an argument may be, in SI: a choice, a count, or a number of its range."""
    found: st.SearchStrategy[object]
    if argument.choices:
        found = st.sampled_from(argument.choices)
    elif argument.low is None or argument.high is None:
        raise AssertionError(argument.name)
    elif argument.kind is kinds.COUNT:
        found = st.integers(math.ceil(argument.low), math.floor(argument.high))
    else:
        found = _shared(argument.low, argument.high)
    return found if argument.required else found | st.none()


def _draw(data: st.DataObject, name: str, **fixed: object) -> dict[str, object]:
    """Arguments of a function in SI, some of them fixed."""
    return {
        a.name: fixed[a.name] if a.name in fixed else data.draw(_value(a), label=a.name)
        for a in function(name).arguments
    }


def _ask(name: str, given: dict[str, object]) -> object:
    """Call a function with SI arguments in metric units."""
    raw = [
        from_si(given[a.name], a.kind, "metric")  # type: ignore[arg-type]
        if isinstance(given[a.name], float)
        else given[a.name]
        for a in function(name).arguments
    ]
    return call(name, *raw, *(["metric"] if function(name).has_units else [])).value


def _number(name: str, given: dict[str, object]) -> float:
    value = _ask(name, given)
    assert isinstance(value, (int, float))
    assert math.isfinite(value)
    return float(value)


def _or_refused(name: str, given: dict[str, object], *arguments: str) -> float:
    """The number, or an example passed over where one of these arguments is refused."""
    try:
        return _number(name, given)
    except InputError as error:
        if error.argument not in arguments:
            raise
        reject()


def _two(data: st.DataObject, name: str, argument: str) -> tuple[float, float]:
    """Two numbers of an argument's range, the first clearly the smaller one."""
    found = next(a for a in function(name).arguments if a.name == argument)
    assert found.low is not None
    assert found.high is not None
    first, second = sorted(
        data.draw(st.tuples(*[_shared(found.low, found.high)] * 2), label=argument)
    )
    assume(second > first * (1.0 + 1e-6) + 1e-12)
    return first, second


# The flow, the argument it has to rise with, and how far it can be trusted.
WEIRS = [
    ("SPILLFLOW", "SPILLHEAD", "SPILLSTATUS"),
    ("BOXSPILLFLOW", None, "BOXSPILLSTATUS"),
    ("BOWLFLOW", "BOWLHEAD", "BOWLSTATUS"),
    ("NOTCHFLOW", "NOTCHHEAD", "NOTCHSTATUS"),
    ("VNOTCHFLOW", "VNOTCHHEAD", "VNOTCHSTATUS"),
    ("ORIFICEFLOW", "ORIFICEHEAD", "ORIFICESTATUS"),
    ("SCUPPERFLOW", "SCUPPERHEAD", "SCUPPERSTATUS"),
]


@pytest.mark.parametrize(("flow", "_head", "status"), WEIRS, ids=[w[0] for w in WEIRS])
@SETTINGS
@given(data=st.data())
def test_flow_rises_with_head(
    flow: str, _head: str | None, status: str, data: st.DataObject
) -> None:
    low, high = _two(data, flow, "head")
    given = _draw(data, flow, head=low)
    flows = []
    for head in (low, high):
        try:
            flows.append(_number(flow, given | {"head": head}))
            assert _ask(status, given | {"head": head}) in STATUSES
        except InputError:
            # A rounded slab needs some head, a contracted sheet has a highest one: in between
            # there is no gap, as the next test shows.
            return
    assert 0.0 <= flows[0] < flows[1]


@pytest.mark.parametrize(("flow", "_head", "status"), WEIRS, ids=[w[0] for w in WEIRS])
@SETTINGS
@given(data=st.data())
def test_what_is_refused_is_an_end_of_the_range(
    flow: str, _head: str | None, status: str, data: st.DataObject
) -> None:
    """Refused heads lie below or above all that are given a flow, and the status refuses them."""
    given = _draw(data, flow)
    given_a_flow = []
    for exponent in range(40):
        head = 0.0002 * 10.0 ** (exponent / 10.0)
        outcomes = []
        for name in (flow, status):
            try:
                _ask(name, given | {"head": head})
                outcomes.append(True)
            except InputError:
                outcomes.append(False)
        assert outcomes[0] == outcomes[1]
        given_a_flow.append(outcomes[0])
    assert sum(a != b for a, b in pairwise(given_a_flow)) <= 2


def test_status_within_is_given_only_to_modest_proportions() -> None:
    # Francis, as in USBR, Water Measurement Manual, 3rd ed., ch. 7: head up to a third of the lip.
    assert (
        call("SPILLSTATUS", 200, 500, "sharp", None, 2, None, None, "metric").value == STATUSES[3]
    )


@pytest.mark.parametrize(
    ("flow", "head"), [(w[0], w[1]) for w in WEIRS if w[1]], ids=[w[0] for w in WEIRS if w[1]]
)
@SETTINGS
@given(data=st.data())
def test_head_and_flow_there_and_back(flow: str, head: str, data: st.DataObject) -> None:
    given = _draw(data, flow)
    found = to_si(
        _or_refused(flow, given, "head", "lip_thickness", "approach_width"),
        kinds.PUMP_FLOW,
        "metric",
    )
    back = to_si(_or_refused(head, given | {"flow": found}, "flow"), kinds.LENGTH, "metric")
    assert back == pytest.approx(given["head"], rel=1e-6)


@pytest.mark.parametrize("head", [h for _, h, _ in WEIRS if h], ids=[h for _, h, _ in WEIRS if h])
@SETTINGS
@given(data=st.data())
def test_heads_of_any_flow_are_heads_that_the_flow_takes(head: str, data: st.DataObject) -> None:
    found = _or_refused(head, _draw(data, head), "flow", "lip_thickness", "approach_width")
    highest = HIGHEST_HEAD if head == "ORIFICEHEAD" else 2.0
    assert 0.0 < to_si(found, kinds.LENGTH, "metric") <= highest * (1.0 + 1e-9)


# The function, and the arguments that its result has to rise (or stay) with.
RISING = {
    "SPILLFLOW": ("lip_width",),
    "BOWLFLOW": ("bowl_diameter",),
    "NOTCHFLOW": ("notch_width",),
    "USUALSPILLFLOW": ("lip_width",),
    "PIPEVELOCITY": ("flow",),
    "PIPEHEADLOSS": ("flow", "pipe_length", "roughness"),
    "PIPEHEADLOSSHW": ("flow", "pipe_length"),
    "FITTINGHEADLOSS": ("flow", "k_sum"),
    "TOTALHEAD": ("flow", "static_lift", "pipe_length", "k_sum", "roughness"),
    "PUMPPOWER": ("flow", "head"),
    "PUMPENERGY": ("power", "hours_per_day", "days_per_year"),
    "ENERGYCOST": ("energy", "price_per_kwh"),
    "CIRCUITLOAD": ("power",),
    "CIRCUITSHARE": ("current",),
    "WATERVOLUME": ("inside_length", "inside_width", "water_depth"),
    "WATERWEIGHT": ("volume", "density"),
    "FILLTIME": ("volume",),
    "PIPECONTENTS": ("inside_diameter", "pipe_length"),
    "VOLUMEINAIR": ("flow", "drop"),
    "DRAINBACKRISE": ("drained_volume",),
    "DRAINDOWN": ("inside_length", "inside_width", "water_depth", "pipe_volume"),
    "LEFTTOPUMP": ("inside_length", "drain_level"),
    "VAPOURPRESSURE": ("temperature", "humidity"),
    "EVAPORATIONRATE": ("water_temperature", "wind"),
    "SPLASHLOSS": ("flow", "share", "running"),
    "TOPUPWEEK": ("evaporation", "area", "splash"),
    "LEAKTHRESHOLD": ("reference_drop", "uncertainty", "reading_error"),
    "TREATMENTDOSE": ("volume", "label_amount"),
    "BASEVOLUME": ("area", "thickness"),
    "LOOSEVOLUME": ("compacted", "compaction_factor"),
    "BULKWEIGHT": ("volume", "density"),
    "PACKS": ("quantity",),
    "CARTRIDGES": ("bed_length", "beads", "bead_diameter", "waste"),
    "BEADYIELD": ("cartridge",),
    "LINERSHEET": ("inside", "wall_height", "lap"),
    "LINERAREA": ("inside_length", "inside_width", "wall_height", "lap"),
    "DIAGONAL": ("rectangle_length", "rectangle_width"),
    "WATERPRESSURE": ("water_depth", "density"),
    "WALLTHRUST": ("water_depth", "density"),
    "WALLFORCE": ("water_depth", "wall_length"),
    "WATERMOMENT": ("water_depth",),
    "WALLWEIGHT": ("thickness", "wall_height", "block_density", "cap_depth", "cap_height"),
    "SLIDINGRATIO": ("weight", "friction"),
    "OVERTURNINGRATIO": ("weight", "lever"),
    "BONDSHEAR": ("thrust",),
    "BEARINGPRESSURE": ("vertical",),
    "SPREADPRESSURE": ("mass",),
}
PAIRS = [(name, argument) for name, arguments in RISING.items() for argument in arguments]


@pytest.mark.parametrize(("name", "argument"), PAIRS)
@settings(SETTINGS, max_examples=10)
@given(data=st.data())
def test_more_gives_no_less(name: str, argument: str, data: st.DataObject) -> None:
    low, high = _two(data, name, argument)
    given = _draw(data, name, **{argument: low})
    try:
        found = [_number(name, given | {argument: each}) for each in (low, high)]
    except InputError:
        return
    # Only pressure under an eccentric load falls as weight makes the load more central.
    if name != "BEARINGPRESSURE":
        assert found[0] <= found[1] * (1.0 + 1e-9)
    assert min(found) >= 0.0


PLAIN = [
    each.name
    for each in functions().values()
    if isinstance(each.result, kinds.Kind)
    and each.result not in (kinds.TEXT, kinds.ANY)
    and not any(a.kind in (kinds.RANGE, kinds.TEXT) for a in each.arguments)
]
# Height left to the rim, water left over a pump, a shift to the left, and a length that was itself
# below zero.
BELOW_ZERO = {"FREEBOARDLEFT", "PUMPCOVER", "SQUARESHIFT", "CONVERTLENGTH"}


@pytest.mark.parametrize("name", PLAIN)
@settings(SETTINGS, max_examples=10)
@given(data=st.data())
def test_no_quantity_is_below_zero(name: str, data: st.DataObject) -> None:
    try:
        found = _number(name, _draw(data, name))
    except InputError:
        return
    assert found >= 0.0 or name in BELOW_ZERO


# More of these leaves less flow to a pump.
HINDERS = {"static_lift": (0.0, 20.0), "k_sum": (0.0, 1000.0), "pipe_length": (0.0, 1000.0)}


@pytest.mark.parametrize("argument", HINDERS)
@SETTINGS
@given(data=st.data())
def test_more_to_overcome_leaves_a_pump_less_flow(argument: str, data: st.DataObject) -> None:
    points = data.draw(st.integers(3, 6))
    unique = {"min_size": points, "max_size": points, "unique": True}
    flows = sorted(data.draw(st.lists(st.integers(0, 20_000), **unique)))
    heads = sorted(data.draw(st.lists(st.integers(0, 300), **unique)), reverse=True)
    curve = {"flows": [[n] for n in flows], "heads": [[n / 10] for n in heads]}
    given = _draw(data, "PUMPPOINT", **curve)
    low, high = sorted(data.draw(st.tuples(*[_shared(*HINDERS[argument])] * 2)))
    found = [
        _or_refused(name, given | {argument: each}, *HINDERS, "flows", "roughness")
        for each in (low, high)
        for name in ("PUMPPOINT", "PUMPPOINTHEAD")
    ]
    assert flows[0] <= found[2] <= found[0] * (1.0 + 1e-9) <= flows[-1] * (1.0 + 1e-8)
    assert heads[-1] / 10 * (1.0 - 1e-9) <= found[1] <= found[3] * (1.0 + 1e-9)


# Found by trial: flow of a contracted or boxed lip fell, and went below zero, at great heads.
@pytest.mark.parametrize(
    ("name", "arguments"),
    [
        ("BOXSPILLFLOW", (2000, 600, 16000, 5)),
        ("BOXSPILLFLOW", (2000, 10, 1286, 5)),
        ("SPILLFLOW", (450, 100, "sharp", None, 2)),
        ("NOTCHFLOW", (450, 100)),
        ("PIPEVELOCITY", (3.6e6, 3)),
        ("FITTINGHEADLOSS", (3.6e6, 3, 1000)),
        ("PIPEHEADLOSS", (3.6e6, 3, 1)),
        ("PIPEHEADLOSSHW", (3.6e6, 3, 1)),
        ("TOTALHEAD", (3.6e6, 1, 3, 1, 1)),
        ("FRICTIONFACTOR", (3.6e6, 3)),
    ],
)
def test_beyond_its_validity_nothing_is_given(name: str, arguments: tuple[object, ...]) -> None:
    metric = [None] * (len(function(name).arguments) - len(arguments)) + ["metric"]
    with pytest.raises(InputError) as caught:
        call(name, *arguments, *metric)
    assert caught.value.argument in ("head", "flow")


def test_flows_just_below_the_highest_head_rise() -> None:
    # dQ/dH of (L - 0.1 n H) H^1.5 is zero at H = 6 L / n.
    for ends in (1, 2):
        highest = 6.0 * 0.1 / ends
        heads = [highest * share * 1000 for share in (0.9, 0.99, 0.999)]
        flows = [
            call("SPILLFLOW", h, 100, "sharp", None, ends, None, None, "metric").value
            for h in heads
        ]
        assert all(a < b for a, b in combinations(flows, 2))  # type: ignore[operator]
