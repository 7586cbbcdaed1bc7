"""The quote's options side by side: name, what differs, sizes, and one price each."""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds
from basinbook.workbook.template import style
from basinbook.workbook.template.formulas import COMPLETE, UNKNOWN, call
from basinbook.workbook.template.input_cells import put_cell
from basinbook.workbook.template.inputs import BY_NAME, inputs_of
from basinbook.workbook.template.inputs.groups import QUOTE_OFFERS
from basinbook.workbook.template.options import AS_ON_JOB, CHANGED, HEAD_ROW, OPTIONS, Option
from basinbook.workbook.template.sheet_writer import MONEY, Rows, Sheet
from basinbook.workbook.template.takeoff import quantity

# The options' columns on this sheet are those of the Options sheet.
LETTERS: Final = tuple(option.column for option in OPTIONS)


def put_options(rows: Rows) -> dict[str, str]:
    """Write the section; return by its column on this sheet the name of each option's price."""
    sheet = rows.sheet
    rows.section(QUOTE_OFFERS)
    head = rows.next()
    sheet.row(head, "A", ("Option", ""), style.HEAD)
    for option in OPTIONS:
        own = f"'Options'!{option.column}{HEAD_ROW}"
        title = '"As described"' if option is AS_ON_JOB else f'{own}&""'
        sheet.put(f"{option.column}{head}", f"={title}", style.HEAD)
    sheet.height(head, 20)
    _name_row(sheet, "Quote_option_names", head)
    typed, offered = rows.next(), rows.next()
    sheet.put(f"A{typed}", "Offer it", style.LABEL)
    sheet.put(f"A{offered}", "On the quote", style.LABEL)
    differs = rows.next()
    for option, given in zip(OPTIONS, inputs_of(QUOTE_OFFERS), strict=True):
        at = option.column
        put_cell(sheet, f"{at}{typed}", given, given.name, given.start(sheet.system))
        usual = "yes" if option is AS_ON_JOB else f'IF({at}{differs}="","no","yes")'
        usual = f'"{usual}"' if option is AS_ON_JOB else usual
        wanted = f'=IF({at}{typed}="",{usual},{at}{typed})'
        sheet.put(f"{at}{offered}", wanted, style.RESULT_TEXT)
    _name_row(sheet, "Quote_offered", offered)
    sheet.put(f"A{differs}", "What differs", style.LABEL)
    for option in OPTIONS:
        sheet.put(f"{option.column}{differs}", f"={_differs(sheet, option)}", style.RESULT_TEXT)
    sheet.height(differs, 66)
    _name_row(sheet, "Quote_differs", differs)
    _sizes(rows)
    for label, name, key in (
        ("Price before tax", "Quote_before_tax", "Price_before_tax"),
        ("Tax", "Quote_tax", "Tax"),
        ("Price", "Quote_prices", "price"),
    ):
        row = rows.next()
        last = key == "price"
        sheet.put(f"A{row}", label, style.STRONG if last else style.LABEL)
        sheet.put(f"B{row}", "=Currency", style.UNIT)
        for option in OPTIONS:
            role = style.RESULT_STRONG if last else style.RESULT
            cell = f"{option.column}{row}"
            sheet.put(cell, f"={option.cell(key)}", role, number_format=MONEY)
        _name_row(sheet, name, row)
    reason = rows.next()
    sheet.put(f"A{reason}", "Why it has no price", style.LABEL)
    for option in OPTIONS:
        price, message = option.cell("price"), option.cell("message")
        why = f'IF({message}="{COMPLETE}","a part of it is unknown",{message})'
        sheet.put(f"{option.column}{reason}", f'=IF(ISNUMBER({price}),"",{why})', style.RESULT_TEXT)
    sheet.height(reason, 28)
    _name_row(sheet, "Quote_no_price", reason)
    return {option.column: option.cell("price") for option in OPTIONS}


def _name_row(sheet: Sheet, name: str, row: int) -> None:
    sheet.name(name, f"${LETTERS[0]}${row}:${LETTERS[-1]}${row}")


def _sizes(rows: Rows) -> None:
    sheet = rows.sheet
    outside, water = rows.next(), rows.next()
    sheet.put(f"A{outside}", "Outside", style.LABEL)
    sheet.put(f"A{water}", "Water, about", style.LABEL)
    unit = sheet.unit(kinds.LIQUID)
    for option in OPTIONS:
        table = option.quantities
        long, wide, high = (
            said(sheet, quantity(label, table))
            for label in ("Outside length", "Outside width", "Wall height with caps")
        )
        words = f'{long}&" by "&{wide}&", "&{high}&" high"'
        known = f"ISNUMBER({option.cell('Qty_Water_volume')})"
        sheet.put(
            f"{option.column}{outside}",
            f'=IFERROR(IF({known},{words},""),"")',
            style.RESULT_TEXT,
        )
        volume = f'TEXT({option.cell("Qty_Water_volume")},"#,##0")&" {unit}"'
        sheet.put(
            f"{option.column}{water}", f'=IFERROR(IF({known},{volume},""),"")', style.RESULT_TEXT
        )
    sheet.height(outside, 27)
    _name_row(sheet, "Quote_outside", outside)
    _name_row(sheet, "Quote_water", water)


def _differs(sheet: Sheet, option: Option) -> str:
    """Return formula text of what an option has otherwise than the job."""
    if option is AS_ON_JOB:
        return '"The basin as it is drawn"'
    told = []
    for name in CHANGED:
        given, own = BY_NAME[name], option.cell(name)
        shown = said(sheet, own) if given.kind is kinds.LENGTH else f'IF({own}&""="0","none",{own})'
        told.append(f'IF(OR({own}="",{own}={name}),"","; {given.label}: "&{shown})')
    return f'IFERROR(MID({"&".join(told)},3,900),"{UNKNOWN}")'


def said(sheet: Sheet, length: str) -> str:
    """Return formula text of a length as a sentence has it, less the plain number beside it."""
    (area,) = sheet.template.block(
        ("Length in words",), [(f'=IFERROR({call("READLENGTH", length)},"")',)]
    )
    plain = f'SUBSTITUTE({area.cell(1, 1)},",","")'
    return f'LEFT({plain},FIND(" = ",{plain}&" = ")-1)'
