"""The Owner sheet: what the owner does with the basin, on one page to leave with him."""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds, owner
from basinbook.engine.cautions import caution
from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_caution
from basinbook.workbook.template.formulas import (
    CLEAR_LENGTH,
    CLEAR_WIDTH,
    DEPTH_GIVEN,
    JOB,
    MISSING,
    awake,
    call,
    shown,
)
from basinbook.workbook.template.sheet_writer import Rows, Template

_WIDTHS: Final = (4, 23, 37, 4, 23, 37)
# Rows for what is done, each as many as there can be lines; and for parts, in two columns.
_CARE_ROWS: Final = {owner.START_UP: 5, owner.WEEKLY: 6, owner.WINTER: 8}
_PART_ROWS: Final = 5
# Those that not every job has come last, so that they leave no hole.
_CAUTIONS: Final = ("drowning", "barrier", "frost", "treatment", "electricity", "low water")
_LINE: Final = 16
_NONE: Final = "not worked out for this job"


def add_owner(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Owner", _WIDTHS, pages=1)
    sheet.title("Owner's sheet", message=False)
    sheet.merge(f"A2:{sheet.last}2")
    line = 'IF(Ready,Job_name&IF(Site_address="","",", "&Site_address),Job_message)'
    sheet.put("A2", awake(f'IFERROR({line},"{MISSING}")'), style.STRONG)
    rows = sheet.rows(3)
    _numbers(rows)
    for care in owner.CARE:
        _care(rows, care)
    _parts(rows)
    rows.section("Cautions: reminders, which replace neither local code nor licensed practice")
    for key in _CAUTIONS:
        put_caution(sheet, rows.next(), caution(key))
    _contact(rows)
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze="A3")


def _numbers(rows: Rows) -> None:
    """Write what the basin holds, loses and takes to drain."""
    sheet = rows.sheet
    liquid = sheet.unit(kinds.LIQUID)
    size = (CLEAR_LENGTH, CLEAR_WIDTH)

    def amount(name: str) -> str:
        return f'TEXT({name},"#,##0")&" {liquid}"'

    def tape(length: str) -> str:
        return call("TAPELENGTH", length)

    def hours(name: str, way: str, absent: str) -> str:
        return f'IF(ISNUMBER({name}),"about "&TEXT({name},"0.0")&" h {way}","{absent}")'

    fallen = tape(call("DRAINBACKRISE", "Topup_week", *size))
    siphon = f'"&{tape("Hose_bore")}&" inside, down to "&{tape("Drain_to")}&" of water'
    pumped = hours("Pumping_time", "through the drain hose, down to where it draws in", _NONE)
    lines = (
        ("Water", f'{tape("Water_depth")}&" deep, "&{amount("Qty_Water_volume")}'),
        (
            "Water to top up in a week",
            f'IF(ISNUMBER(Topup_week),"about "&{amount("Topup_week")}&", a fall of "&{fallen}&'
            f'", in a warm week without rain; more in wind","{_NONE}")',
        ),
        (
            "Time to drain by a siphon",
            hours(
                "Siphon_time",
                f"through a hose {siphon}",
                "not worked out: how much lower the hose can end is not known",
            ),
        ),
        (
            "Time to drain by the pump",
            f'IF(Runs,{pumped},"no pump in this job")',
        ),
    )
    rows.section("The basin", gap=0)
    for label, formula in lines:
        row = rows.next()
        sheet.merge(f"A{row}:B{row}")
        sheet.put(f"A{row}", label, style.LABEL)
        sheet.merge(f"C{row}:{sheet.last}{row}")
        sheet.put(f"C{row}", f'=IFERROR({formula},"{_NONE}")', style.LABEL)
        sheet.height(row, _LINE)


def _care(rows: Rows, care: str) -> None:
    """Write the lines of what is done at one time."""
    sheet, count = rows.sheet, _CARE_ROWS[care]
    rows.section(care[0].upper() + care[1:])
    arguments = (*JOB, f'"{care}"', str(count))
    table = sheet.template.table(call("OWNERCARE", *arguments), count, 2, DEPTH_GIVEN)
    for number, row in enumerate(rows.take(count), start=1):
        sheet.put(f"A{row}", shown(table.cell(number, 1)), style.STEP)
        sheet.merge(f"B{row}:{sheet.last}{row}")
        sheet.put(f"B{row}", shown(table.cell(number, 2)), style.LABEL)
        sheet.height(row, _LINE)


def _parts(rows: Rows) -> None:
    """Write the parts that may be bought again, in two columns."""
    sheet, count = rows.sheet, 2 * _PART_ROWS
    rows.section("Parts and sizes")
    arguments = ("Outfit_labels", "Outfit_values", str(count))
    table = sheet.template.table(call("OWNERPARTS", *arguments), count, 2, DEPTH_GIVEN)
    for number, row in enumerate(rows.take(_PART_ROWS), start=1):
        sheet.merge(f"A{row}:B{row}")
        for cell, line, column in (
            (f"A{row}", number, 1),
            (f"C{row}", number, 2),
            (f"E{row}", number + _PART_ROWS, 1),
            (f"F{row}", number + _PART_ROWS, 2),
        ):
            sheet.put(cell, shown(table.cell(line, column)), style.LABEL)
        sheet.height(row, _LINE)


def _contact(rows: Rows) -> None:
    """Write whom to ask, as the sheets have it."""
    sheet = rows.sheet
    rows.section("Whom to ask")
    row = rows.next()
    sheet.merge(f"A{row}:{sheet.last}{row}")
    names = (
        f'IF({name}="","",{name}&"   ")'
        for name in ("Order_sender", "Quote_sender_address", "Order_sender_email")
    )
    formula = f"TRIM({'&'.join(names)})"
    blank = "Name and telephone: ______________________________________________"
    sheet.put(f"A{row}", f'=IF({formula}="","{blank}",{formula})', style.STRONG)
    sheet.height(row, 28)
