"""Inputs of the site sheet: what is measured on the site, for the job or to plan the work."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from basinbook.engine.inputs import Input
from basinbook.engine.kinds import LENGTH, RUN, TEXT
from basinbook.workbook.template.inputs.groups import of_group

# What is measured on the site and the job has an input for; its limits are that input's.
SITE: Final = "Measured on the site, for the job"
SITE_ONLY: Final = "Measured on the site, to plan the work"
_FOR_THE_JOB: Final = (
    "Inside_length", "Inside_width", "Water_depth", "Hose_flow", "Hose_drop", "Dig_depth",
    "Dig_soil", "Soil",
)  # fmt: skip
_TO_PLAN: Final = of_group(
    "Site",
    SITE_ONLY,
    Input("Fall of the ground", LENGTH, help="From the highest to the lowest corner of the "
          "base, by level and board", low=0.0, high=5.0, named="Site_fall"),
    Input("Falls towards", TEXT, named="Site_falls_towards"),
    Input("Narrowest way in", LENGTH, help="Gate or passage, for barrow, saw and blocks",
          low=0.0, high=50.0, named="Site_way_in"),
    Input("Steps and ramps on it", TEXT, named="Site_steps"),
    Input("Power: distance", RUN, help="To a receptacle; where there is none, work for "
          "a licensed electrician", low=0.0, high=500.0, named="Site_power"),
    Input("Power: ground-fault protection", TEXT, help="Press its test button",
          choices=("yes", "no", "not known"), named="Site_power_protected"),
    Input("Hose: distance", RUN, help="Tap to basin", low=0.0, high=500.0,
          named="Site_hose"),
    Input("Buried lines", TEXT, help="Marks seen, and their number", named="Site_lines"),
    Input("Soil, as it is found", TEXT, help="In a test hole as deep as the base",
          named="Site_soil_found"),
    Input("Measured by, on", TEXT, named="Site_measured_by"),
)  # fmt: skip
FROM_SITE: Final = {f"Site_{name.lower()}": name for name in _FOR_THE_JOB}
"""The input of the job that each of those of the Site sheet is for, by the names of their cells."""


def _of_site(given: Input, named: str) -> Input:
    return replace(
        given,
        label=f"Site: {given.label[0].lower()}{given.label[1:]}",
        named=named,
        us=None,
        metric=None,
        help="",
        sheet="Site",
        group=SITE,
        required=False,
        default=None,
        when=(),
    )


def site_inputs(job: Iterable[Input]) -> tuple[Input, ...]:
    """Return the inputs of the site sheet: first those that are like some of the job's."""
    by_name = {given.name: given for given in job}
    return (*(_of_site(by_name[name], named) for named, name in FROM_SITE.items()), *_TO_PLAN)
