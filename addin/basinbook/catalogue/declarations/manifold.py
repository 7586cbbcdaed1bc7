"""Worksheet functions on several outlets that one pump feeds through a manifold."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from basinbook.catalogue.declarations.pipe import BORE, CURVE, ROUGH, RUN, TEMPERATURE, K
from basinbook.catalogue.model import (
    Argument,
    Array,
    Column,
    Example,
    Group,
    quantities,
    worksheet_function,
)
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.water import manifold, pipe
from basinbook.engine.water.manifold import Branch, Split
from basinbook.engine.water.pipe import PipeRun
from basinbook.engine.water.pump import PumpCurve

_CATEGORY = "Several outlets"
_SOURCE = (
    "Energy and continuity, as parallel pipes in White, Fluid Mechanics, ch. 6; pipe by "
    "Darcy-Weisbach and Colebrook; outlets as their own functions"
)
_DETAILS = (
    "Ranges of one cell for each outlet, in the same order; a blank outlet is passed over, but "
    "what an outlet needs must be given. A spout, orifice or bubbler ends the pipe; over the "
    "others water runs from a box or bowl, whose inlet loss is counted. Losses of the tees at the "
    "manifold belong to the fittings of the branches."
)
_WORDS = ", ".join(manifold.OUTLETS)
Numbers = tuple[float | None, ...]


class _Manifold(NamedTuple):
    """The pipe to the manifold, and the branches by the place of their outlet."""

    main: PipeRun
    branches: dict[int, Branch]
    places: int


def _manifold(
    outlets: Sequence[str | None],
    sizes: Numbers,
    thicknesses: Numbers,
    heights: Numbers,
    bores: Numbers,
    roughnesses: Numbers,
    lengths: Numbers,
    fittings_k: Numbers,
    valves_k: Numbers,
    inside_diameter: float,
    pipe_length: float,
    k_sum: float,
    roughness: float,
    water_temperature: float,
) -> _Manifold:
    viscosity = pipe.water_viscosity(water_temperature)
    words = [(word or "").strip() for word in outlets]
    given = {
        "sizes": sizes, "thicknesses": thicknesses, "heights": heights, "bores": bores,
        "roughnesses": roughnesses, "lengths": lengths, "fittings_k": fittings_k,
        "valves_k": valves_k,
    }  # fmt: skip
    for name, numbers in given.items():
        if len(numbers) != len(words):
            raise InputError(name, f"{len(numbers)} cells", f"give {len(words)}, one an outlet")
    branches = {}
    for at, word in enumerate(words):
        if not word:
            continue

        def need(name: str, at: int = at) -> float:
            value = given[name][at]
            if value is None:
                raise InputError(name, None, f"outlet {at + 1} needs it")
            return value

        sized = word not in (manifold.SPOUT, manifold.V_NOTCH)
        run = PipeRun(
            0.0,
            need("bores"),
            need("lengths"),
            need("roughnesses"),
            need("fittings_k") + (valves_k[at] or 0.0),
            viscosity,
        )
        branches[at] = Branch(
            word,
            need("sizes") if sized else 0.0,
            need("heights"),
            run,
            need("thicknesses") if word == manifold.SCUPPER else 0.0,
        )
    main = PipeRun(0.0, inside_diameter, pipe_length, roughness, k_sum, viscosity)
    return _Manifold(main, branches, len(words))


_OUTLETS = Argument(
    "outlets", kinds.RANGE, f"Kind of each outlet: {_WORDS}; blank for none", cells=kinds.TEXT
)
_BRANCHES = (
    _OUTLETS,
    quantities(
        "sizes",
        kinds.LENGTH,
        "Diameter of hole, riser or bowl; width of lip, notch or scupper; blank for others",
        0.001,
        5.0,
    ),
    quantities("thicknesses", kinds.LENGTH, "Along the flow, of a scupper's wall", 0.001, 2.0),
    quantities(
        "heights",
        kinds.LENGTH,
        "Over the basin's water: of lip, rim or floor, riser's end, middle of a hole or spout",
        0.0,
        10.0,
    ),
    quantities("bores", kinds.LENGTH, "Inside diameter of the pipe to it", 0.003, 1.0),
    quantities("roughnesses", kinds.ROUGHNESS, "Wall roughness of that pipe", 0.0, 0.02),
    quantities("lengths", kinds.RUN, "Length of that pipe from the manifold", 0.0, 1000.0),
    quantities("fittings_k", kinds.RATIO, "Sum of K of its fittings, tee and open valve", 0.0, 1e3),
)
_VALVES = quantities("valves_k", kinds.RATIO, "K that its valve adds; blank: none", 0.0, 1e9)
_MAIN = (BORE, RUN, K, ROUGH, TEMPERATURE)
# A spout of 1 in pipe 12 in up and a lip of 18 in 20 in up, on a manifold of 2 in pipe.
_PUMP_CELLS = ("[[0],[600],[1200],[1700],[2100],[2400]]", "[[15.5],[14],[11.3],[7.9],[4],[0]]")
_CELLS = (
    '[["spout","lip"]]', "[[null,18]]", "[[null,null]]", "[[12,20]]", "[[1.049,1.61]]",
    "[[0.00006,0.00006]]", "[[4,6]]", "[[3,2]]", "[[null,null]]", "2.067", "4", "2",
)  # fmt: skip
_ALL = Group("found", (*_BRANCHES, _VALVES, *_MAIN), _manifold)


def _divided(found: _Manifold, curve: PumpCurve) -> Split:
    return manifold.split(curve, found.main, list(found.branches.values()))


@worksheet_function(
    category=_CATEGORY,
    summary="How the flow of a pump divides between several outlets",
    arguments=(CURVE, _ALL),
    result=Array(
        (
            Column("flow", kinds.PUMP_FLOW),
            Column("head over it", kinds.LENGTH),
            Column("velocity in its pipe", kinds.VELOCITY),
            Column("how far to trust it", kinds.TEXT),
        )
    ),
    source=_SOURCE,
    examples=(
        Example(
            (*_PUMP_CELLS, *_CELLS),
            "730.087\t3.805\t4.517\twithin the validated range\n"
            "1,440.827\t0.583\t3.784\trule of thumb",
        ),
    ),
    details=_DETAILS,
)
def branch_flows(curve: PumpCurve, found: _Manifold) -> Sequence[Sequence[object]]:
    shares = dict(zip(found.branches, _divided(found, curve).shares, strict=True))
    return [tuple(shares[at]) if at in shares else ("", "", "", "") for at in range(found.places)]


@worksheet_function(
    category=_CATEGORY,
    summary="Flow that a pump gives to several outlets together",
    arguments=(CURVE, _ALL),
    result=kinds.PUMP_FLOW,
    source=_SOURCE,
    examples=(Example((*_PUMP_CELLS, *_CELLS), "2,170.9 gal/h"),),
    details=_DETAILS,
)
def branch_total(curve: PumpCurve, found: _Manifold) -> float:
    return _divided(found, curve).flow


@worksheet_function(
    category=_CATEGORY,
    summary="Head at the manifold that feeds several outlets, over the basin's water",
    arguments=(CURVE, _ALL),
    result=kinds.HEAD,
    source=_SOURCE,
    examples=(Example((*_PUMP_CELLS, *_CELLS), "2.59 ft"),),
    details=_DETAILS,
)
def branch_head(curve: PumpCurve, found: _Manifold) -> float:
    return _divided(found, curve).head


@worksheet_function(
    category=_CATEGORY,
    summary="What the valve of each of several outlets must take for the flows wanted",
    arguments=(
        CURVE,
        quantities("wanted_flows", kinds.PUMP_FLOW, "Flow wanted of each outlet", 1e-7, 1.0),
        _ALL,
    ),
    result=Array(
        (
            Column("K of the valve", kinds.RATIO),
            Column("head that it takes", kinds.HEAD),
            Column("verdict", kinds.TEXT),
        )
    ),
    source=f"{_SOURCE}; definition of the loss coefficient",
    examples=(
        Example(
            (*_PUMP_CELLS, "[[600,1000]]", *_CELLS),
            "29.136\t6.24\tits valve must take this\n57.733\t6.19\tits valve must take this",
        ),
    ),
    details=f"{_DETAILS} Valves that are given count for nothing here.",
)
def branch_valves(
    curve: PumpCurve, wanted_flows: Numbers, found: _Manifold
) -> Sequence[Sequence[object]]:
    if len(wanted_flows) != found.places:
        raise InputError(
            "wanted_flows", f"{len(wanted_flows)} cells", f"give {found.places}, one an outlet"
        )
    flows = []
    for at in found.branches:
        flow = wanted_flows[at]
        if flow is None:
            raise InputError("wanted_flows", None, f"outlet {at + 1} needs it")
        flows.append(flow)
    branches = list(found.branches.values())
    valves = dict(
        zip(found.branches, manifold.valves(curve, found.main, branches, flows), strict=True)
    )
    rows: list[Sequence[object]] = []
    for at in range(found.places):
        valve = valves.get(at)
        if valve is None:
            rows.append(("", "", ""))
        elif valve.head < 0.0:
            rows.append(("-", valve.head, "out of reach: it lacks this head"))
        else:
            rows.append((valve.k, valve.head, "its valve must take this"))
    return rows
