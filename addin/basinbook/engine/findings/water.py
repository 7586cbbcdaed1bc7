"""Findings on the water side: effect, pump, pipe, levels, spillway."""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds
from basinbook.engine.findings.model import (
    LOOK,
    NOTE,
    STOPS,
    Amount,
    Facts,
    Finding,
    Found,
    Phrase,
    Topic,
    fact,
    length,
    whole,
)
from basinbook.engine.outfit import BOWL, BUBBLER, FALLS, STILL
from basinbook.engine.water.pipe import HIGHEST_VELOCITY, USUAL_VELOCITY
from basinbook.engine.water.weir_flow import IF_CONTRACTED, WITHIN

# A pump that gives less than this part of the flow wanted is too weak; common practice, no source.
_ENOUGH: Final = 0.95
_SLACK: Final = 0.0005


def _flow(number: float) -> Amount:
    return Amount(number, kinds.PUMP_FLOW)


def _no_pump(facts: Facts) -> Found | None:
    effect = facts.text("effect")
    if effect in ("", STILL) or facts.text("pump"):
        return None
    return Found(
        Phrase("The water effect needs a pump, and none is chosen"),
        Phrase("{}", effect),
        Phrase("a pump and its pipe"),
        Phrase("Choose a pump, or still water"),
    )


def _no_pipe(facts: Facts) -> Found | None:
    if facts.text("effect") in ("", STILL) or not facts.text("pump") or facts.text("pipe"):
        return None
    return Found(
        Phrase("A pump is chosen, and no pipe"),
        Phrase("{}", facts.text("pump")),
        Phrase("a pipe"),
        Phrase("Choose a pipe"),
    )


def _no_outlet(facts: Facts) -> Found | None:
    effect = facts.text("effect")
    if effect not in (*FALLS, BUBBLER) or facts.text("outlet"):
        return None
    return Found(
        Phrase("The water effect has no spillway, bowl or bubbler: none is priced or ordered"),
        Phrase("{}", effect),
        Phrase("a part of that kind"),
        Phrase("Choose one on the Base and parts sheet, or say who supplies it"),
    )


def _idle_pump(facts: Facts) -> Found | None:
    if facts.text("effect") not in ("", STILL) or not facts.text("pump"):
        return None
    return Found(
        Phrase("A pump is chosen for still water: it is neither priced nor ordered"),
        Phrase("{}", facts.text("pump")),
        Phrase(""),
        Phrase("Clear the pump, or choose the water effect"),
    )


def _no_flow(facts: Facts) -> Found | None:
    if facts.text("effect") not in FALLS or facts.number("flow_wanted") is not None:
        return None
    return Found(
        Phrase("No flow can be worked out for the spillway"),
        Phrase("unknown"),
        Phrase(""),
        Phrase("Give width, edge and head on the Water sheet; its last line says what is wrong"),
    )


def _pump_unknown(facts: Facts) -> Found | None:
    ready = facts.text("pump") and facts.text("pipe")
    if facts.text("effect") in ("", STILL) or not ready:
        return None
    if facts.number("flow_running") is not None:
        return None
    return Found(
        Phrase("What the pump gives can't be worked out"),
        Phrase("unknown"),
        Phrase(""),
        Phrase("See the last line of the pump on the Water sheet: lift, curve or pipe"),
    )


def _weak_pump(facts: Facts) -> Found | None:
    flows = facts.numbers("flow_running", "flow_wanted")
    if facts.text("effect") not in FALLS or flows is None or flows[0] >= _ENOUGH * flows[1]:
        return None
    running, wanted = flows
    return Found(
        Phrase("The pump does not reach the flow wanted"),
        Phrase("{}", _flow(running)),
        Phrase("{}", _flow(wanted)),
        Phrase("Take a stronger pump or a wider pipe, or want less head over the lip"),
    )


def _velocity(facts: Facts, low: float, high: float) -> Found | None:
    found = facts.number("velocity")
    if facts.text("effect") in ("", STILL) or found is None:
        return None
    if not low * (1.0 + 1e-9) < found <= high * (1.0 + 1e-9):
        return None
    return Found(
        Phrase("The water runs fast in the pipe"),
        Phrase("{}", Amount(found, kinds.VELOCITY)),
        Phrase("{}", Amount(low, kinds.VELOCITY)),
        Phrase("Take the next pipe size"),
    )


def _fast(facts: Facts) -> Found | None:
    return _velocity(facts, USUAL_VELOCITY, HIGHEST_VELOCITY)


def _too_fast(facts: Facts) -> Found | None:
    return _velocity(facts, HIGHEST_VELOCITY, float("inf"))


def _spills(facts: Facts) -> Found | None:
    left = facts.number("freeboard_left")
    if left is None or left >= -_SLACK:
        return None
    return Found(
        Phrase("Water runs over the rim when the pump stops"),
        Phrase("{} over the rim", length(-left)),
        Phrase("at or below the rim"),
        Phrase("Lower the water, feed the bowl over its rim, or rely on a tested check valve"),
    )


def _back_unknown(facts: Facts) -> Found | None:
    # Without a flow nothing that it fills is known, which is a finding of its own.
    if facts.text("effect") not in FALLS or facts.number("flow_running") is None:
        return None
    if facts.numbers("drain_back", "drain_back_open") is not None:
        return None
    return Found(
        Phrase("What runs back when the pump stops can't be worked out"),
        Phrase("unknown"),
        Phrase(""),
        Phrase(
            "Give the bowl's depth, or the lip's height over its pool's floor; or how it is fed"
        ),
    )


def _dry_pump(facts: Facts) -> Found | None:
    left = facts.number("depth_over_pump")
    if facts.text("effect") in ("", STILL) or left is None or left >= 0.0:
        return None
    return Found(
        Phrase("The pump stands out of the water at start, while pipe and outlet fill"),
        Phrase("{} of water over the pump", length(left)),
        Phrase("covered"),
        Phrase("Fill deeper, or choose a lower pump, a narrower pipe or a thinner sheet"),
    )


def _under_intake(facts: Facts) -> Found | None:
    if facts.text("effect") in ("", STILL) or _dry_pump(facts):
        return None
    first, later = facts.number("first_over_intake"), facts.number("over_intake")
    if first is not None and first < 0.0:
        return Found(
            Phrase("The level falls under the pump's intake at the first start"),
            Phrase("{} under it", length(-first)),
            Phrase("over the intake"),
            Phrase("Fill bowl or box by hose first, fill deeper, or choose a lower intake"),
        )
    if later is not None and later < 0.0:
        return Found(
            Phrase("The level falls under the pump's intake before the next fill"),
            Phrase("{} under it", length(-later)),
            Phrase("over the intake"),
            Phrase("Fill more often or deeper, fit an automatic fill, or choose a lower intake"),
        )
    return None


def _storm_over_rim(facts: Facts) -> Found | None:
    left = facts.number("storm_left")
    if left is None or left >= -_SLACK or _spills(facts):
        return None
    return Found(
        Phrase("The storm raises the level over the rim with the pump stopped"),
        Phrase("{} over the rim", length(-left)),
        Phrase("at or below the rim"),
        Phrase("Fit an overflow that carries it, or keep more freeboard"),
    )


def _small_overflow(facts: Facts) -> Found | None:
    flows = facts.numbers("overflow_flow", "storm_flow")
    if flows is None or flows[0] >= flows[1]:
        return None
    return Found(
        Phrase("The overflow does not carry the storm with the water at the rim"),
        Phrase("{}", Amount(flows[0], kinds.HOSE_FLOW)),
        Phrase("{}", Amount(flows[1], kinds.HOSE_FLOW)),
        Phrase("Take a wider overflow or set it lower; local code may ask for a second one"),
    )


def _low_overflow(facts: Facts) -> Found | None:
    left = facts.number("overflow_left")
    if left is None or left >= -_SLACK:
        return None
    return Found(
        Phrase("The stopped level is over the overflow: water is lost each time the pump stops"),
        Phrase("{} over it", length(-left)),
        Phrase("under the overflow"),
        Phrase("Set the overflow higher, fill less, or have less run back"),
    )


def _rule_of_thumb(facts: Facts) -> Found | None:
    status = facts.text("spill_status")
    if facts.text("effect") not in FALLS or status in ("", "-", WITHIN):
        return None
    if status == IF_CONTRACTED:
        return Found(
            Phrase("The spillway's flow is a measured figure only over a deep and wide pool"),
            Phrase("pool not known"),
            Phrase("tested range of a formula"),
            Phrase("Give the lip's height over its pool's floor, and the width of the water there"),
        )
    return Found(
        Phrase("The spillway's flow is no measured figure"),
        Phrase("{}", status),
        Phrase("tested range of a formula"),
        Phrase("Try the lip with a hose before the pump is bought; fit a valve"),
    )


def _outside(facts: Facts, needed: str) -> tuple[float, float] | None:
    """Return the inside width that a falling sheet needs and what it has, where that is less.

    A lip stands on the back wall and falls across the width; a bowl falls all round.
    """
    found = facts.numbers(needed, "inside_width", "inside_length")
    if facts.text("effect") not in FALLS or found is None:
        return None
    least, width, along = found
    has = min(width, along) if facts.text("effect") == BOWL else width
    return (least, has) if least > has + _SLACK else None


def _thrown_out(facts: Facts) -> Found | None:
    found = _outside(facts, "catch_still")
    if found is None:
        return None
    return Found(
        Phrase("The falling sheet lands outside the basin"),
        Phrase("needs {} of inside width", length(found[0])),
        Phrase("{}", length(found[1])),
        Phrase("Want less head over the lip, a lower lip or a smaller bowl")
        if facts.stands
        else Phrase("Want less head over the lip, a lower lip or a smaller bowl, or a wider basin"),
    )


def _blown_out(facts: Facts) -> Found | None:
    found = _outside(facts, "catch_wind")
    if found is None or _thrown_out(facts):
        return None
    return Found(
        Phrase("Wind may carry the falling sheet out of the basin"),
        Phrase("up to {} of inside width", length(found[0])),
        Phrase("{}", length(found[1])),
        Phrase("Take a fuller sheet or a lower fall, or stop the pump in such a wind"),
    )


def _outlets_unknown(facts: Facts) -> Found | None:
    if not facts.number("outlets") or facts.number("outlets_flow") is not None:
        return None
    return Found(
        Phrase("How the pump's flow divides between the outlets can't be worked out"),
        Phrase("unknown"),
        Phrase(""),
        Phrase("See the last line of Outlets on this pump on the Water sheet, which names it"),
    )


def _outlets_short(facts: Facts) -> Found | None:
    short = facts.number("outlets_short")
    if not facts.number("outlets") or not short:
        return None
    return Found(
        Phrase("An outlet can't have the flow wanted, however the valves are set"),
        Phrase("{} out of reach", whole(short)),
        Phrase("none"),
        Phrase("Want less, set it lower, or take a wider pipe or a stronger pump"),
    )


WATER: Final = Topic(
    "water",
    {
        "effect": fact("Water effect", kinds.TEXT),
        "pump": fact("Pump", kinds.TEXT),
        "pipe": fact("Pipe", kinds.TEXT),
        "outlet": fact("Spillway, bowl or bubbler", kinds.TEXT),
        "flow_wanted": fact("Flow wanted", kinds.PUMP_FLOW),
        "flow_running": fact("Flow running", kinds.PUMP_FLOW),
        "velocity": fact("Velocity", kinds.VELOCITY),
        "freeboard_left": fact("Freeboard left", kinds.LENGTH),
        "depth_over_pump": fact("Depth over the pump", kinds.LENGTH),
        "first_over_intake": fact("Over the intake at the first start", kinds.LENGTH),
        "over_intake": fact("Over the intake before the next fill", kinds.LENGTH),
        "storm_left": fact("To the rim after the storm", kinds.LENGTH),
        "storm_flow": fact("Rain of the storm", kinds.HOSE_FLOW),
        "overflow_flow": fact("Overflow carries", kinds.HOSE_FLOW),
        "overflow_left": fact("Overflow over the stopped level", kinds.LENGTH),
        "drain_back": fact("Runs back when the pump stops", kinds.LIQUID),
        "drain_back_open": fact("Runs back without a check valve", kinds.LIQUID),
        "spill_status": fact("Spillway status", kinds.TEXT),
        "catch_still": fact("Least inside width for the sheet, still air", kinds.LENGTH),
        "catch_wind": fact("Least inside width for the sheet, with wind", kinds.LENGTH),
        "inside_length": fact("Inside length", kinds.LENGTH),
        "inside_width": fact("Inside width", kinds.LENGTH),
        "outlets": fact("Outlets on the pump", kinds.COUNT),
        "outlets_flow": fact("Flow of all outlets on the pump", kinds.PUMP_FLOW),
        "outlets_short": fact("Outlets on the pump out of reach", kinds.COUNT),
        "laid": fact("Courses laid", kinds.COUNT),
    },
    (
        Finding(
            "no pump", STOPS, "Pump", _no_pump, "Every water effect but still water runs by a pump"
        ),
        Finding(
            "spills when the pump stops",
            STOPS,
            "Freeboard",
            _spills,
            "What drains back must fit below the rim: level rise of the Water sheet",
        ),
        Finding("no pipe", LOOK, "Pipe", _no_pipe, "A pump is joined to its outlet by a pipe"),
        Finding(
            "no outlet",
            LOOK,
            "Outlet",
            _no_outlet,
            "Water that falls or wells up does so from a part that is bought",
        ),
        Finding(
            "no flow figure",
            LOOK,
            "Spill_head",
            _no_flow,
            "The spillway's formula has a figure for width, edge and head",
        ),
        Finding(
            "pump flow unknown", LOOK, "Pump", _pump_unknown, "Pump curve and system curve meet"
        ),
        Finding(
            "pump too weak",
            LOOK,
            "Pump",
            _weak_pump,
            "95 % of the flow wanted; common practice, no source",
        ),
        Finding(
            "outlets unknown",
            LOOK,
            "Branch_1_outlet",
            _outlets_unknown,
            "Energy and continuity: flow at the manifold and in each branch",
        ),
        Finding(
            "outlet out of reach",
            LOOK,
            "Branch_1_wanted",
            _outlets_short,
            "Head at the manifold at the sum of the flows wanted, less what each branch needs",
        ),
        Finding(
            "too fast in the pipe",
            LOOK,
            "Pipe",
            _too_fast,
            "8 ft/s (2.4 m/s); common practice, no source",
        ),
        Finding(
            "drain-back unknown",
            LOOK,
            "Outlet_fed",
            _back_unknown,
            "Contents of a bowl or box that is fed from below run back through the pump",
        ),
        Finding(
            "pump dry at start",
            LOOK,
            "Water_depth",
            _dry_pump,
            "The pump's height, while pipe and outlet fill",
        ),
        Finding(
            "level under the intake",
            LOOK,
            "Days_between_fills",
            _under_intake,
            "Levels through a day of the Water sheet; intake typed, or else the pump's height",
        ),
        Finding(
            "storm over the rim",
            LOOK,
            "Storm_rain",
            _storm_over_rim,
            "The storm typed, on the area that runs in, with the pump stopped and no valve holding",
        ),
        Finding(
            "overflow too small",
            LOOK,
            "Overflow_bore",
            _small_overflow,
            "Flow into a level pipe with the water at the rim, as OVERFLOWFLOW says",
        ),
        Finding(
            "overflow too low",
            LOOK,
            "Overflow_height",
            _low_overflow,
            "Level with the pump stopped; geometry",
        ),
        Finding(
            "sheet thrown out",
            LOOK,
            "Spill_head",
            _thrown_out,
            "Throw of the nappe as its function says; an upper bound for thin sheets",
        ),
        Finding(
            "fast in the pipe", NOTE, "Pipe", _fast, "5 ft/s (1.5 m/s); common practice, no source"
        ),
        Finding(
            "spillway not measured",
            NOTE,
            "Spill_head",
            _rule_of_thumb,
            "Range of the tests behind the spillway's formula, as its function says",
        ),
        Finding(
            "sheet blown out",
            NOTE,
            "Spill_wind",
            _blown_out,
            "The typed wind, whole and square on the sheet: a bound, no source",
        ),
        Finding("pump in still water", NOTE, "Pump", _idle_pump, "Still water runs no pump"),
    ),
)
