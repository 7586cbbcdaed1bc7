"""Cautions: a sheet of all, and those of a place under the sheet where they are met."""

from __future__ import annotations

from basinbook.engine.cautions import CUTS, LOCAL, PLACES, Caution, cautions_at
from basinbook.units import one_unit
from basinbook.workbook.template import style
from basinbook.workbook.template.formulas import COMPLETE, outfit_name
from basinbook.workbook.template.sheet_writer import Sheet, Template


def add_cautions(template: Template) -> None:
    """Add the sheet with every caution and its source."""
    sheet = template.sheet("Cautions", [24, 92, 52], landscape=True, pages=1)
    sheet.title("Cautions", message=False)
    sheet.merge("A2:C2")
    sheet.put(
        "A2",
        "Reminders only: they replace neither local code nor licensed practice. " + LOCAL,
        style.STRONG,
    )
    sheet.row(4, "A", ("Caution", "What to mind", "Source"), style.HEAD)
    seen = {found.key: found for place in PLACES for found in cautions_at(place)}
    row = 4
    for row, found in enumerate(seen.values(), start=5):
        sheet.put(f"A{row}", found.key[0].upper() + found.key[1:], style.CAUTION)
        sheet.put(f"B{row}", caution_text(sheet, found, "not in this job"), style.CAUTION)
        sheet.put(f"C{row}", found.source, style.CAUTION)
        lines = max(-(-len(_said(sheet, found)) // 95), -(-len(found.source) // 52), 1)
        sheet.height(row, 12 * lines + 3)
    sheet.finish(f"A1:C{row}", freeze="A5", titles="4:4")


def put_cautions(sheet: Sheet, row: int, place: str) -> int:
    """Write the cautions of a place, one row each, and return the last row used."""
    sheet.section(row, "Cautions")
    found = cautions_at(place)
    # Those that may be left out come last, so that their rows leave no hole.
    for each in (*(one for one in found if not _optional(one)), *filter(_optional, found)):
        row += 1
        put_caution(sheet, row, each)
    return row


def put_caution(sheet: Sheet, row: int, each: Caution) -> None:
    """Write a caution across the sheet."""
    # A column's width counts digits of the normal font; small running text is narrower.
    characters = int(1.25 * sheet.width(sheet.letters))
    sheet.merge(f"A{row}:{sheet.last}{row}")
    role = style.CAUTION_SOMETIMES if _optional(each) else style.CAUTION
    sheet.put(f"A{row}", caution_text(sheet, each), role)
    sheet.height(row, 13 * (-(-len(_said(sheet, each)) // characters)) + 5)
    if _optional(each):
        sheet.ground(f"A{row}:{sheet.last}{row}", f'$A${row}<>""', style.CAUTION)


def _optional(caution: Caution) -> bool:
    return bool(caution.needs) and not caution.otherwise


def caution_text(sheet: Sheet, found: Caution, absent: str = "") -> str:
    """Return the text of a caution, or a formula where it hangs on what the job has.

    While the layout is not complete nobody knows what the job will have: then it is shown.
    """
    text = _said(sheet, found)
    if not found.needs:
        return text
    there = ",".join(map(_has, found.needs))
    otherwise = f"{found.otherwise} {LOCAL}" if found.otherwise else absent
    return (
        f'=IF(IFERROR(AND(Layout_problem="{COMPLETE}",NOT(OR({there}))),FALSE),'
        f'"{otherwise}","{text}")'
    )


def _said(sheet: Sheet, found: Caution) -> str:
    return f"{one_unit(found.text, sheet.system)} {LOCAL}"


def _has(need: str) -> str:
    """Formula text: whether a job has what a caution needs."""
    if need == CUTS:
        return "N(Qty_Saw_cuts)+N(Qty_Cap_saw_cuts)+N(Qty_Pieces_cut_round_the_pipe)>0"
    cell = outfit_name(need)
    # A size or count of 0 is none; a name that is not blank is one.
    return f'IF(ISNUMBER({cell}),{cell}>0,{cell}<>"")'
