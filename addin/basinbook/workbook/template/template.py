"""Building and writing the template workbooks."""

from __future__ import annotations

from collections.abc import Mapping

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.workbook.properties import CalcProperties

from basinbook.workbook.template.cautions import add_cautions
from basinbook.workbook.template.checks import add_checks
from basinbook.workbook.template.delivery import add_delivery
from basinbook.workbook.template.drawings import add_drawings
from basinbook.workbook.template.estimate import add_estimate
from basinbook.workbook.template.findings import add_findings
from basinbook.workbook.template.front import add_front
from basinbook.workbook.template.job import add_job
from basinbook.workbook.template.loads import add_losses_and_loads
from basinbook.workbook.template.materials import add_materials
from basinbook.workbook.template.options import add_options
from basinbook.workbook.template.order import add_order
from basinbook.workbook.template.ordered import add_ordered
from basinbook.workbook.template.outfit import add_outfit
from basinbook.workbook.template.owner import add_owner
from basinbook.workbook.template.pumps import add_pump_and_pipe
from basinbook.workbook.template.quote import add_quote
from basinbook.workbook.template.ranges import add_ranges
from basinbook.workbook.template.setting import (
    add_cuts,
    add_pieces,
    add_setting_plan,
    add_steps,
)
from basinbook.workbook.template.sheet_writer import Template
from basinbook.workbook.template.site import add_site
from basinbook.workbook.template.sizes import add_sizes
from basinbook.workbook.template.stages import add_stages
from basinbook.workbook.template.style import FONT
from basinbook.workbook.template.takeoff import add_takeoff
from basinbook.workbook.template.topics import add_topics, gather_layout
from basinbook.workbook.template.water import add_water


def fill(workbook: Workbook, values: Mapping[str, object]) -> None:
    """Type values into the cells of these defined names."""
    for name, value in values.items():
        sheet, _, cell = workbook.defined_names[name].attr_text.rpartition("!")
        workbook[sheet.strip("'")][cell.partition(":")[0].replace("$", "")].value = value


def build_template(system: str) -> Workbook:
    """Return the template workbook of a unit system ("us" or "metric"), not yet calculated."""
    return built_template(system).workbook


def built_template(system: str, more_rows: Mapping[tuple[str, str], int] | None = None) -> Template:
    """Return the template of a unit system ("us" or "metric"), its workbook not yet calculated.

    more_rows: rows to type in beyond the usual ones, by sheet and by table or section.
    """
    template = Template(system, more_rows or {})
    # Column widths count in digits of the normal style's font.
    template.workbook._named_styles["Normal"].font = Font(  # type: ignore[attr-defined]
        name=FONT, size=10
    )
    add_front(template)
    add_site(template)
    add_job(template)
    add_topics(template)
    gather_layout(template)
    add_sizes(template)
    add_outfit(template)
    add_materials(template)
    add_pump_and_pipe(template)
    add_water(template)
    add_losses_and_loads(template)
    add_findings(template)
    add_takeoff(template)
    estimate = add_estimate(template)
    add_options(template, estimate.lacking)
    add_ranges(template)
    add_quote(template)
    add_order(template, estimate.ordered)
    add_ordered(template)
    add_delivery(template)
    add_setting_plan(template)
    add_steps(template)
    add_pieces(template)
    add_cuts(template)
    add_drawings(template)
    add_stages(template, add_checks(template))
    add_owner(template)
    add_cautions(template)
    template.finish_working()
    workbook = template.workbook
    # No program is told to work the file out anew on opening: where the functions are missing it
    # would lose the last values. The number is that of a current calculation engine.
    workbook.calculation = CalcProperties(calcId=191029, fullCalcOnLoad=False)
    workbook.active = 0
    properties = workbook.properties
    properties.creator = "Basinbook"
    properties.title = "Raised basin: take-off, estimate and order"
    return template
