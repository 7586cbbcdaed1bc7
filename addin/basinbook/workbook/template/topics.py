"""Sheets of the job's inputs by topic: walls, caps, columns, openings, base and liner, pricing.

Functions read the inputs of a layout as one range of labels and one of values, which gathers them
from these sheets out of sight.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from basinbook.engine.inputs import Input
from basinbook.engine.spec import FIELDS
from basinbook.engine.spec_openings import opening_field
from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.costs import LAYING, LINTELS, SAW_CUTS, WORK, WorkLine
from basinbook.workbook.template.formulas import amount, lintel_name, lookup, outfit_name, shown
from basinbook.workbook.template.input_cells import (
    fit_note,
    of_sheet,
    put_beside,
    put_cell,
    put_idle,
    put_input,
    put_inputs,
    put_shown,
)
from basinbook.workbook.template.inputs import BY_NAME, LAYOUT, inputs_of
from basinbook.workbook.template.inputs.groups import (
    BASE,
    HOLES,
    LOOKS,
    POSTS,
    PRICES,
    TOPICS,
    WALLS,
    WATER_PARTS,
)
from basinbook.workbook.template.inputs.parts import PARTS
from basinbook.workbook.template.outfit import counted_cell
from basinbook.workbook.template.sheet_writer import Rows, Sheet, Template

UNLISTED: Final = "not listed"
NO_SIZE: Final = "no size on the Materials sheet"
NO_PRICE: Final = "a price or hours are missing"
# The range of the sheets that the inputs of the layout stand on.
JOB_SHEETS: Final = "Job_sheets"
_OF_LAYOUT: Final = frozenset(given.group for given in LAYOUT)
# As they are typed: some on the front sheet.
_GATHERED: Final = tuple(BY_NAME[given.name] for given in LAYOUT)
# Columns of these sheets: label, cell, unit, length as it is read, note. On one page of letter or
# A4 notes of 9 points come out at 7 and more.
TOPIC_WIDTHS: Final = (28, 24, 9, 14, 49)


class _Topic(NamedTuple):
    """A sheet: what to do there, and the place whose cautions stand at its foot, if any."""

    what: str
    place: str = ""


_TOPICS: Final = {
    WALLS: _Topic(
        "Say how the walls are laid: joints, bond, blocks on edge or turned, and what stands "
        "already. Every cell has a start that serves; change what this job has otherwise.",
        "walls",
    ),
    LOOKS: _Topic(
        "Only for a pattern of courses, blocks on edge between flat ones, or caps laid otherwise "
        "than flush and butted: else leave this sheet as it is."
    ),
    POSTS: _Topic(
        "Columns at the corners, on and at walls, and a second wall behind the basin. Grey rows "
        "belong to what this job does not have."
    ),
    HOLES: _Topic(
        "Openings in the walls for pipe, spillway and cable, and the lintels over them. Grey rows "
        "belong to openings that this job does not have."
    ),
    BASE: _Topic(
        "Say how base, glue and liner are laid and what is dug, and choose the parts that go with "
        "the water effect; pump, pipe and fittings are on the Water sheet.",
        "base",
    ),
    PRICES: _Topic(
        "Give your rates, shares and tax, what the layout is to be least in, and how pieces are "
        "handled: price and limits on lifting follow. Materials have their prices on their sheet."
    ),
}


class FromMaterials(NamedTuple):
    """Where a layout input is looked up: table, column, and the name of what is chosen."""

    table: str
    key: str
    chosen: str

    @property
    def formula(self) -> str:
        """Formula text of its value; blank where nothing is chosen.

        Of what no table has, or has without a size, a word: without its caps a basin would be
        another, and seem complete.
        """
        found = lookup(self.table, self.key, self.chosen)
        size = f'IF(OR({found}="",{found}=0),"{NO_SIZE}",{found})'
        return f'IF({self.chosen}="","",IFERROR({size},"{UNLISTED}"))'


def of_task(task: str) -> WorkLine:
    """Return the line of the cost model for a task."""
    (line,) = (line for line in WORK if line.task == task)
    return line


def _labour(task: str) -> str:
    """Return formula text of what a task costs in labour, for one of its unit."""
    return f"{of_task(task).hours_each}*{amount('Labour_rate')}"


# Layout inputs that follow from a chosen material.
FROM_MATERIALS: Final[dict[str, FromMaterials]] = {
    "Block_length": FromMaterials("Blocks", "length", "Block"),
    "Block_height": FromMaterials("Blocks", "height", "Block"),
    "Block_depth": FromMaterials("Blocks", "depth", "Block"),
    "Cap_length": FromMaterials("Caps", "length", "Cap"),
    "Cap_depth": FromMaterials("Caps", "depth", "Cap"),
    "Cap_height": FromMaterials("Caps", "height", "Cap"),
    "Column_cap_side": FromMaterials("Column_caps", "side", "Column_cap"),
    "Column_cap_height": FromMaterials("Column_caps", "height", "Column_cap"),
    **{
        FIELDS[opening_field(number, f"lintel_{key}")].name: FromMaterials(
            "Lintels", key, lintel_name(number)
        )
        for number in LINTELS
        for key in ("length", "height")
    },
}

# What the cost model gives for a price that the layout may weigh: shown beside it, and typed by who
# wants the layout of least cost. A layout that read it would be worked anew with every rate.
_FROM_COSTS: Final = {
    "Price_of_a_block": amount(lookup("Blocks", "price", "Block")),
    "Cost_of_a_cut": _labour(SAW_CUTS),
    "Cost_of_laying_a_piece": _labour(LAYING),
}


def add_topics(template: Template) -> None:
    """Add the sheets, and the ranges that gather the inputs of the layout."""
    for title, topic in _TOPICS.items():
        sheet = template.sheet(title, TOPIC_WIDTHS, pages=1)
        sheet.title(title, topic.what)
        rows = sheet.rows(4)
        for group in TOPICS[title]:
            if group == WATER_PARTS:
                _water_parts(rows)
            elif group in _OF_LAYOUT:
                put_layout_group(rows, group)
            else:
                put_inputs(rows, group, inputs_of(group))
        row = put_cautions(sheet, rows.row + 2, topic.place) if topic.place else rows.row
        sheet.finish(f"A1:{sheet.last}{row}", freeze="A4", titles="1:2")


def gather_layout(template: Template) -> None:
    """Write labels and values of the layout's inputs as ranges, and the sheet of each."""
    rows = [(given.label, shown(given.name), given.sheet) for given in _GATHERED]
    headings = ("Input of the layout", "Its value", "Its sheet")
    areas = template.block(headings, rows)
    for name, area in zip(("Job_labels", "Job_values", JOB_SHEETS), areas, strict=True):
        template.name(name, area.worksheet, area.reference)
    template.join("Job_labels", "Job_values")


def put_layout_group(rows: Rows, group: str) -> None:
    """Write a group of layout inputs; sizes of what is chosen follow from its table."""
    rows.section(group)
    for given in inputs_of(group):
        _layout_input(rows.sheet, rows.next(), given)


def _water_parts(rows: Rows) -> None:
    """Write the water effect and the parts that go with it, the number of each beside it."""
    sheet = rows.sheet
    rows.section(WATER_PARTS)
    put_input(rows, BY_NAME["Spill_kind"])
    for part in PARTS:
        row, chosen, count = rows.next(), BY_NAME[part.name], BY_NAME[part.count]
        sheet.put(f"A{row}", chosen.label, style.LABEL)
        put_cell(sheet, f"B{row}", chosen, chosen.name, chosen.start(sheet.system))
        sheet.put(f"C{row}", "number", style.UNIT)
        put_cell(sheet, f"D{row}", count, count.name, count.start(sheet.system))
        there = counted_cell(part.name)
        left_out = f'IF({part.count}&""="0","none of it",Outfit_effect&" has none")'
        note = f"{chosen.help}; blank number is 1"
        told = f'IF(OR({part.name}="",{there}<>""),"{note}","Not counted: "&{left_out})'
        if part.first:
            taken = f'"Blank: "&{there}&", the first of its kind; number 0 for none"'
            told = f'IF(AND({part.name}="",{there}<>""),{taken},{told})'
        absent = f'AND({part.name}="",{part.gone(outfit_name("effect"))})'
        put_idle(sheet, row, absent, "Spill_kind", told)
        fit_note(sheet, row, note, "E")


def _layout_input(sheet: Sheet, row: int, given: Input) -> None:
    cell, found = f"B{row}", FROM_MATERIALS.get(given.name)
    if found:
        formula = f"={found.formula}"
        number_format = sheet.number_format(given.kind)
        sheet.put(cell, formula, style.RESULT, number_format=number_format, name=given.name)
    elif of_sheet(sheet, given):
        put_cell(sheet, cell, given, given.name, given.start(sheet.system))
    else:
        put_shown(sheet, row, given)
        return
    put_beside(sheet, row, given, told=_told(given))


def _told(given: Input) -> str:
    """Return formula text of a price's help with what the cost model gives for it, else nothing."""
    price = _FROM_COSTS.get(given.name)
    if price is None:
        return ""
    return f'"{given.help}; now "&IFERROR(TEXT({price},"0.00"),"not known: {NO_PRICE}")'
