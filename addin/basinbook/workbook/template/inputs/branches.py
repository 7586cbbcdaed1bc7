"""Inputs of fittings and of several outlets on one pump."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from basinbook.engine.inputs import Input
from basinbook.engine.kinds import COUNT, LENGTH, PUMP_FLOW, RATIO, RUN, TEXT
from basinbook.engine.water.manifold import MOST_OUTLETS, OUTLETS
from basinbook.workbook.template.costs import FITTING_ROWS


def fitting_inputs() -> Iterable[Input]:
    """Yield a fitting and its number for each row of fittings."""
    for number in range(1, FITTING_ROWS + 1):
        label = f"Fitting {number}"
        yield Input(label, TEXT, rows_of="Fittings")
        yield Input(f"{label} count", COUNT, low=0, high=200)


# What is asked of each of several outlets on one pump, in the order of the rows.
BRANCH_ROWS: Final = (
    ("outlet", Input("kind", TEXT, help="Blank for none", choices=OUTLETS)),
    ("size", Input("size", LENGTH, help="Of hole, riser, bowl; width", low=0.001, high=5.0)),
    ("wall", Input("wall thickness", LENGTH, help="Of a scupper only", low=0.001, high=2.0)),
    ("height", Input("height", LENGTH, help="Over the basin's water", low=0.0, high=10.0)),
    ("pipe", Input("pipe", TEXT, help="From the manifold", rows_of="Pipes")),
    ("length", Input("pipe length", RUN, like="TOTALHEAD.pipe_length")),
    ("fittings_k", Input("K of its fittings", RATIO, help="Tee, bends, open valve; 0: none",
                         like="TOTALHEAD.k_sum")),
    ("valve_k", Input("K that its valve adds", RATIO, help="Blank: fully open", low=0.0,
                      high=1e6)),
    ("wanted", Input("flow wanted", PUMP_FLOW, help="Blank: no valve is worked out",
                     like="SPILLHEAD.flow")),
)  # fmt: skip


def branch_cell(key: str, number: int) -> str:
    """Return the name of a cell of one of several outlets on the pump."""
    return f"Branch_{number}_{key}"


def branch_inputs() -> Iterable[Input]:
    """Yield what is asked of each outlet, one outlet after another."""
    for number in range(1, MOST_OUTLETS + 1):
        for key, given in BRANCH_ROWS:
            label = f"Outlet {number}: {given.label}"
            yield replace(given, label=label, named=branch_cell(key, number))
