"""All inputs of a workbook, in the order of its sheets: one list, from which they are written."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from basinbook.engine.inputs import Input
from basinbook.engine.spec import FIELDS, GROUPS
from basinbook.workbook.template.inputs.base import BASE_INPUTS
from basinbook.workbook.template.inputs.groups import FRONT, TOPIC_OF
from basinbook.workbook.template.inputs.job import MATERIAL_INPUTS, PARTICULAR_INPUTS
from basinbook.workbook.template.inputs.labour import LABOUR_INPUTS
from basinbook.workbook.template.inputs.losses import LOSS_INPUTS
from basinbook.workbook.template.inputs.papers import PAPER_INPUTS
from basinbook.workbook.template.inputs.site import site_inputs
from basinbook.workbook.template.inputs.water import WATER_INPUTS

# What an estimator types on the front sheet, in its order: all else has a start that serves.
# Where an input belongs by its topic, its value is shown.
ON_FRONT: Final = (
    "Inside_length", "Inside_width", "Water_depth", "Block", "Cap", "Liner", "Columns",
    "Second_wall", "Spill_kind", "Pump",
)  # fmt: skip

# Layout inputs by group, and in each as declared.
LAYOUT: Final = tuple(
    replace(given, sheet=TOPIC_OF[group])
    for group in GROUPS
    for given in FIELDS.values()
    if given.group == group
)

_JOB: Final = (
    *PARTICULAR_INPUTS,
    *MATERIAL_INPUTS,
    *LAYOUT,
    *BASE_INPUTS,
    *LABOUR_INPUTS,
    *WATER_INPUTS,
    *LOSS_INPUTS,
    *PAPER_INPUTS,
)
INPUTS: Final = (
    *(replace(given, sheet=FRONT) if given.name in ON_FRONT else given for given in _JOB),
    *site_inputs(_JOB),
)
BY_NAME: Final = {given.name: given for given in INPUTS}
assert len(BY_NAME) == len(INPUTS), "two inputs have one name"
assert set(ON_FRONT) <= set(BY_NAME)


def inputs_of(*groups: str) -> tuple[Input, ...]:
    """Return the inputs of these groups, in the order of the list."""
    return tuple(given for given in INPUTS if given.group in groups)
