"""The outfit of the job: what it has, once it is known what its water does.

One block on the working sheet, label beside value, as ``engine.outfit`` names them. Each value has
a name of its own (``Outfit_...``): costs and take-off read these, never what is typed.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from basinbook.engine import kinds
from basinbook.engine.inputs import cell_name
from basinbook.engine.outfit import BOWL, CIRCULATION, EFFECTS, FALLS, FIELDS, STILL
from basinbook.workbook.template.costs import FITTING_ROWS
from basinbook.workbook.template.formulas import (
    DEPTH_GIVEN,
    call,
    fitting_name,
    lookup,
    or_blank,
    outfit_name,
)
from basinbook.workbook.template.inputs import BY_NAME
from basinbook.workbook.template.inputs.parts import PARTS
from basinbook.workbook.template.sheet_writer import Rows, Template

# What workbooks of before had in place of the effects without a fall.
_OLD_NONE: Final = "none"
_EFFECT: Final = outfit_name("effect")
# Formula texts: whether no pump runs by the effect, and whether water falls.
STANDS: Final = f'{_EFFECT}="{STILL}"'
FALLING: Final = "OR(" + ",".join(f'{_EFFECT}="{effect}"' for effect in FALLS) + ")"


def add_outfit(template: Template) -> None:
    """Add the block, its names, and whether a pump runs (``Runs``)."""
    values = _values()
    assert list(values) == list(FIELDS)
    rows = [(f'="{FIELDS[field].label}"', f"={formula}") for field, formula in values.items()]
    labels, found = template.block(("Outfit", "What the job has"), rows)
    template.name("Outfit_labels", template.working, labels.reference)
    template.name("Outfit_values", template.working, found.reference)
    template.join("Outfit_labels", "Outfit_values")
    for row, field in enumerate(values):
        _name(template, outfit_name(field), f"${found.letters[0]}${found.first + row}")
    numbers = range(1, FITTING_ROWS + 1)
    others = {fitting_name(number): _unless(STANDS, f"Fitting_{number}") for number in numbers}
    others["Runs"] = f'AND(NOT({STANDS}),{outfit_name("pump")}<>"")'
    others |= _ways()
    heading = "Fittings in the pipe; whether a pump runs; heights and lengths of the water's way"
    (area,) = template.block((heading,), [(f"={formula}",) for formula in others.values()])
    for row, name in enumerate(others):
        _name(template, name, f"${area.letters[0]}${area.first + row}")


def _name(template: Template, name: str, reference: str) -> None:
    template.name(name, template.working, reference)


def _values() -> dict[str, str]:
    """Return the formula text of each field."""
    found = {"effect": _effect()}
    parts = {part.field: part for part in PARTS}
    for field in FIELDS:
        if field in parts:
            part = parts[field]
            gone = part.gone(_EFFECT)
            number = f'IF({part.count}="",1,{part.count})'
            blank = "" if part.first else f'{part.name}="",'
            absent = f'OR({gone},{blank}{part.count}&""="0")'
            found[field] = _unless(absent, part.row(_EFFECT), blank=False)
            found[part.counted] = f'IF({outfit_name(field)}="","",{number})'
    typed = {"pump": "Pump", "pipe": "Pipe"}
    found |= {field: _unless(STANDS, name) for field, name in typed.items()}
    found["pipe_bore"] = or_blank(lookup("Pipes", "bore", outfit_name("pipe")))
    bought = "+".join(_bought(number) for number in range(1, FITTING_ROWS + 1))
    found["fittings"] = f'IF({bought}=0,"",{bought})'
    for field in ("liner", "underlay", "base_material", "adhesive"):
        found[field] = _given(cell_name(FIELDS[field].label))
    found["liner_type"] = or_blank(lookup("Liners", "type", outfit_name("liner")))
    found["liner_lap"] = _unless(f'{outfit_name("liner_type")}<>"sheet"', "Liner_lap")
    for field in ("base_thickness", "base_margin"):
        found[field] = _unless(f'{outfit_name("base_material")}=""', cell_name(FIELDS[field].label))
    for field in ("pump_width", "pump_height"):
        found[field] = _unless(f'{outfit_name("pump")}=""', cell_name(FIELDS[field].label))
    return {field: found[field] for field in FIELDS}


class Way(NamedTuple):
    """A height or length of the water's way: input, names of suggested and of used value."""

    typed: str
    suggested: str
    used: str


FALL: Final = Way("Spill_drop", "Fall_suggested", "Fall_used")
LIFT: Final = Way("Static_lift", "Lift_suggested", "Lift_used")
PIPE_LENGTH: Final = Way("Pipe_length", "Pipe_length_suggested", "Pipe_length_used")


def _ways() -> dict[str, str]:
    """Return the formula texts of what the geometry suggests, and of what is used."""
    layout = ("Job_labels", "Job_values")
    calls = {
        FALL: (FALLING, call("SUGGESTFALL", _EFFECT, *layout)),
        LIFT: (f"NOT({STANDS})", call("SUGGESTLIFT", _EFFECT, *layout, "Spill_head")),
        PIPE_LENGTH: (f"NOT({STANDS})", call("SUGGESTPIPE", _EFFECT, *layout)),
    }
    found = {}
    for way, (there, formula) in calls.items():
        found[way.suggested] = f'IF({DEPTH_GIVEN},IF({there},IFERROR({formula},""),""),"")'
        found[way.used] = f'IF({there},{_given(way.typed, way.suggested)},"")'
    return found


def _bought(number: int) -> str:
    """Formula text of how many of a fitting are bought; a flow feature is none to buy."""
    chosen = fitting_name(number)
    count = f'IF({lookup("Fittings", "bought", chosen)}="yes",N(Fitting_{number}_count),0)'
    return f'IF({chosen}="",0,IFERROR({count},0))'


def _effect() -> str:
    """Formula text of the effect; without one the water stands still."""
    circulates = f'IF(Pump="","{STILL}","{CIRCULATION}")'
    return f'IF(Spill_kind="","{STILL}",IF(Spill_kind="{_OLD_NONE}",{circulates},Spill_kind))'


def counted_cell(name: str) -> str:
    """Return the cell that counts for what is chosen in a cell: blank where the job has no such."""
    fields = {part.name: part.field for part in PARTS} | {"Pump": "pump", "Pipe": "pipe"}
    if name in fields:
        return outfit_name(fields[name])
    numbers = {f"Fitting_{number}": number for number in range(1, FITTING_ROWS + 1)}
    return fitting_name(numbers[name]) if name in numbers else name


def effect_unknown() -> str:
    """Formula text: whether the word for the effect is none that is known."""
    allowed = ",".join(f'Spill_kind="{effect}"' for effect in (*EFFECTS, _OLD_NONE))
    return f"NOT(OR({allowed}))"


def _given(name: str, otherwise: str = '""') -> str:
    return f'IF({name}="",{otherwise},{name})'


def _unless(absent: str, name: str, *, blank: bool = True) -> str:
    """Formula text of a typed value, blank where it does not count; blank stays blank."""
    return f'IF({absent},"",{_given(name) if blank else name})'


def falling(formula: str) -> str:
    """Formula text that shows a dash where no water falls."""
    return f'IF({FALLING},{formula},"-")'


def running(formula: str) -> str:
    """Formula text that shows a dash where no pump runs."""
    return f'IF(Runs,{formula},"-")'


def suggestion(way: Way, shown: str, rows: Rows) -> str:
    """Formula text of the note beside a height or length that the geometry suggests."""
    given = BY_NAME[way.typed]
    unit = "" if given.kind is kinds.LENGTH else f" {rows.sheet.unit(given.kind)}"
    bowl = f'IF({_EFFECT}="{BOWL}",", the bowl\'s own height not counted","")'
    told = f'IF({way.typed}="","Blank: ","Typed; ")&"by the geometry "&{shown}&"{unit}"&{bowl}'
    return f'IF(ISNUMBER({way.suggested}),{told},"{given.help}; blank: by the geometry")'
