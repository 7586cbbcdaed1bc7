"""The Quote sheet: what the client gets, in words, sizes and prices of the options.

`basinbook quote` prints what these cells show, found by their names, and nothing else of the
workbook but the drawing of its layout. Prices are the cells of the Options sheet.
"""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds
from basinbook.workbook.template import style
from basinbook.workbook.template.costs import ELECTRICIAN, SITE
from basinbook.workbook.template.edited_tables import EditedColumn, put_edited_table
from basinbook.workbook.template.formulas import (
    CLEAR_LENGTH,
    CLEAR_WIDTH,
    COMPLETE,
    JOB,
    call,
    outfit_name,
)
from basinbook.workbook.template.input_cells import put_cell
from basinbook.workbook.template.inputs import inputs_of
from basinbook.workbook.template.inputs.groups import QUOTE, QUOTE_ACCEPTED, QUOTE_WORDS
from basinbook.workbook.template.quote_options import put_options, said
from basinbook.workbook.template.sheet_writer import PERCENT, Rows, Sheet, Template

SHEET: Final = "Quote"
# Parts of the work, and things left out, that a job may have.
_PARTS: Final = 10
_LEFT_OUT: Final = 7
_WORDS: Final = "B"
# What a new workbook starts with is common practice, no source.
_STEPS: Final = (
    ("On acceptance", 0.4),
    ("When the walls are up", 0.4),
    ("On handing over, filled", 0.2),
)
_ASSUMPTIONS: Final = (
    "The ground is firm, and level enough for the base that is drawn.",
    "Pipes and cables in the ground are marked before we dig.",
    "We can reach the place with a barrow, and may keep materials beside it while we build.",
    "Water and current to work with are at hand on the site.",
    "Block differs a little in colour and size from pallet to pallet.",
)
_UPKEEP: Final = (
    "Skim leaves off, and rinse what the water runs through, as they gather.",
    "Fill up before the water falls below its line.",
    "Before frost, drain what can freeze.",
)


def add_quote(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet(SHEET, [30, 11, 25, 25, 25, 25], landscape=True, scale=80)
    sheet.title("Quote to the client")
    sheet.merge("A3:F3")
    sheet.height(3, 28)
    rows = sheet.rows(4)
    _inputs(rows, QUOTE, 0)
    _used(rows)
    _inputs(rows, QUOTE_WORDS)
    _scope(rows)
    _sizes(rows)
    _materials(rows)
    sheet.break_before(rows.row + 2)
    offered = put_options(rows)
    steps = _payments(rows, offered)
    _left_out(rows)
    _season(rows)
    _list(rows, "Assumptions", "Quote_assumption", "What this price takes for granted",
          _ASSUMPTIONS, 2)  # fmt: skip
    _inputs(rows, QUOTE_ACCEPTED)
    _problem(sheet, steps)
    sheet.finish(f"A1:F{rows.row}", freeze="A4", titles="1:2")


def _inputs(rows: Rows, group: str, gap: int = 1) -> None:
    """Write inputs whose cells have the width that names and sentences need."""
    sheet = rows.sheet
    rows.section(group, gap)
    for given in inputs_of(group):
        row = rows.next()
        long = group == QUOTE_WORDS or given.name == "Job_before"
        last = "F" if long else "D"
        sheet.put(f"A{row}", given.label, style.LABEL)
        sheet.merge(f"B{row}:{last}{row}")
        put_cell(sheet, f"B{row}", given, given.name, given.start(sheet.system))
        if long:
            sheet.height(row, 30)
            continue
        sheet.merge(f"E{row}:F{row}")
        sheet.put(f"E{row}", given.help or None, style.NOTE)


def _used(rows: Rows) -> None:
    """Write what the quote shows where its own cells are blank."""

    def first(*names: str) -> str:
        name, *rest = names
        return f'IF({name}<>"",{name},{first(*rest)})' if rest else f'IF({name}="","",{name})'

    of_job = 'IF(Job_number<>"",Job_number,TEXT(Quote_date_used,"yyyymmdd"))'
    numbered = f'"Q-"&{of_job}&IF(Job_revision="","","-"&Job_revision)'
    until = (
        "IF(AND(ISNUMBER(Quote_date_used),ISNUMBER(Quote_valid_days)),"
        'Quote_date_used+Quote_valid_days,"")'
    )
    lines = (
        ("Number", f'IF(Quote_number<>"",Quote_number&"",{numbered})', "Quote_number_used", ""),
        ("Date", first("Quote_date", "Job_date"), "Quote_date_used", "yyyy-mm-dd"),
        ("Good until", until, "Quote_valid_until", "yyyy-mm-dd"),
        ("Job", first("Job_name"), "Quote_job", ""),
        ("For", first("Client"), "Quote_client", ""),
        ("Address", first("Quote_client_address", "Site_address"), "Quote_address", ""),
        ("Site", first("Site_address"), "Quote_site", ""),
        ("From", first("Quote_sender", "Order_sender"), "Quote_from_used", ""),
        (
            "E-mail",
            first("Quote_sender_email", "Order_sender_email"),
            "Quote_from_email_used",
            "",
        ),
    )
    sheet = rows.sheet
    rows.section("As it is written on the quote (calculated)")
    for label, formula, name, number_format in lines:
        row = rows.next()
        sheet.put(f"A{row}", label, style.LABEL)
        sheet.merge(f"B{row}:D{row}")
        sheet.put(
            f"B{row}", f"={formula}", style.RESULT_TEXT, number_format=number_format, name=name
        )


def _pairs(rows: Rows, title: str, name: str, lines: list[tuple[str, str]], height: float) -> None:
    """Write formulas of labels beside formulas of words, and name both columns as one."""
    sheet = rows.sheet
    rows.section(title)
    cells = rows.take(len(lines))
    for row, (label, words) in zip(cells, lines, strict=True):
        sheet.put(f"A{row}", label, style.LABEL)
        sheet.merge(f"{_WORDS}{row}:F{row}")
        sheet.put(f"{_WORDS}{row}", f"={words}", style.RESULT_TEXT)
        if height:
            sheet.height(row, height)
    sheet.name(name, f"$A${cells[0]}:$B${cells[-1]}")


def _scope(rows: Rows) -> None:
    table = rows.sheet.template.table(
        call("SCOPE", *JOB, "Block", "Cap", str(_PARTS)), _PARTS, 2, f'Layout_problem="{COMPLETE}"'
    )
    lines = [
        (f'={table.cell(line, 1)}&""', f'{table.cell(line, 2)}&""') for line in range(1, _PARTS + 1)
    ]
    _pairs(rows, "What is built", "Quote_scope", lines, 22)


def _sizes(rows: Rows) -> None:
    def two(length: str, width: str) -> str:
        return f'{said(rows.sheet, length)}&" by "&{said(rows.sheet, width)}'

    unit = rows.sheet.unit(kinds.LIQUID)
    wanted = (
        ("Outside", two("Qty_Outside_length", "Qty_Outside_width")),
        ("Inside", two(CLEAR_LENGTH, CLEAR_WIDTH)),
        ("Height, caps included", said(rows.sheet, "Qty_Wall_height_with_caps")),
        ("Depth of the water", said(rows.sheet, "Water_depth")),
        ("Water", f'"about "&TEXT(Qty_Water_volume,"#,##0")&" {unit}"'),
    )
    lines = [
        (label, f'IFERROR(IF(ISNUMBER(Qty_Water_volume),{words},""),"")') for label, words in wanted
    ]
    _pairs(rows, "Sizes", "Quote_sizes", lines, 0)


def _materials(rows: Rows) -> None:
    wanted = (
        ("Block", "Block"),
        ("Caps", "Cap"),
        ("Column caps", 'IF(N(Columns)>0,Column_cap,"")'),
        *(
            (label, outfit_name(field))
            for label, field in (
                ("Liner", "liner"), ("Underlay", "underlay"), ("Base", "base_material"),
                ("Adhesive", "adhesive"), ("Outlet", "outlet"), ("Pump", "pump"), ("Pipe", "pipe"),
                ("Light", "light"), ("Automatic fill", "automatic_fill"),
            )
        ),
    )  # fmt: skip
    lines = [(label, f'{name}&""') for label, name in wanted]
    _pairs(rows, "Materials by name", "Quote_materials", lines, 0)


def _payments(rows: Rows, offered: dict[str, str]) -> str:
    """Write the steps of payment with their amounts; return formula text of what is wrong.

    Each amount is the difference of two sums so far that are rounded to the cent: together they
    are the price to the cent, whatever the shares.
    """
    sheet = rows.sheet
    cells = put_edited_table(
        rows,
        "Steps of payment",
        "Quote_step",
        (EditedColumn("When", "name"), EditedColumn("Share", "share", PERCENT)),
        _STEPS,
        2,
    )
    first, last = cells[0], cells[-1]
    sheet.decimal(f"B{first}:B{last}", 0, 1)
    for letter, price in offered.items():
        sheet.put(f"{letter}{first - 1}", "=Currency", style.HEAD)
        for row in cells:
            before = f"SUM(B${first}:B{row - 1})" if row > first else "0"
            amount = f"ROUND(ROUND({price}*SUM(B${first}:B{row}),2)-ROUND({price}*{before},2),2)"
            known = f'IF(AND(ISNUMBER(B{row}),ISNUMBER({price})),{amount},"")'
            sheet.put(f"{letter}{row}", f"={known}", style.BOX_NUMBER, number_format="#,##0.00")
    sheet.name("Quote_step_amounts", f"$C${first}:$F${last}")
    row = rows.next()
    sheet.put(f"A{row}", "Together", style.STRONG)
    shares = f"B{first}:B{last}"
    sheet.put(f"B{row}", f"=SUM({shares})", style.RESULT, number_format=PERCENT)
    for letter in offered:
        column = f"{letter}{first}:{letter}{last}"
        total = f'=IF(COUNT({column})=0,"",ROUND(SUM({column}),2))'
        sheet.put(f"{letter}{row}", total, style.RESULT, number_format="#,##0.00")
    row = rows.next()
    sheet.merge(f"A{row}:F{row}")
    alone = f'SUMPRODUCT((A{first}:A{last}<>"")*({shares}=""))'
    unnamed = f'SUMPRODUCT((A{first}:A{last}="")*({shares}<>""))'
    less = f'COUNTIF({shares},"<0")'
    text = '"Steps of payment: the shares add to "&TEXT({sum},"0.0%")&"; make them 100.0%"'
    sum_ = f"SUM({shares})"
    wrong = (
        f'IF({alone}+{unnamed}+{less}>0,"Steps of payment: give each step a name and a share of 0% '
        f'or more",IF(ABS({sum_}-1)>0.000001,{text.format(sum=sum_)},"{COMPLETE}"))'
    )
    sheet.put(f"A{row}", f"={wrong}", style.NOTE, name="Quote_step_problem")
    sheet.flag(f"A{row}", f'A{row}<>"{COMPLETE}"')
    return "Quote_step_problem"


def _left_out(rows: Rows) -> None:
    sheet = rows.sheet
    table = sheet.template.table(
        call("NOTINCLUDED", *JOB, str(_LEFT_OUT)), _LEFT_OUT, 1, f'Layout_problem="{COMPLETE}"'
    )
    (electrician,) = (line for line in SITE if line.what == ELECTRICIAN)
    rows.section("Not included")
    cells = rows.take(_LEFT_OUT)
    for line, row in enumerate(cells, start=1):
        sheet.merge(f"A{row}:F{row}")
        cell = table.cell(line, 1)
        # Whose work has a price is not left out.
        paid = f'AND(ISNUMBER(SEARCH("{ELECTRICIAN}",{cell})),NOT({electrician.none}))'
        sheet.put(f"A{row}", f'=IF(IFERROR({paid},FALSE),"",{cell}&"")', style.RESULT_TEXT)
    row = rows.next()
    sheet.merge(f"A{row}:F{row}")
    unpriced = "&".join(f'IF({line.none},", {line.client}","")' for line in SITE if line.client)
    sheet.put(f"A{row}", f"=MID({unpriced},3,255)", style.RESULT_TEXT)
    sheet.name("Quote_left_out", f"$A${cells[0]}:$A${row}")
    _list(rows, "Not included besides, in your own words", "Quote_left_out_own", "Not included",
          (), 3)  # fmt: skip


def _season(rows: Rows) -> None:
    """What the basin takes in a season, where the Water sheet knows it; and its upkeep."""
    sheet = rows.sheet
    energy, liquid = sheet.unit(kinds.ENERGY), sheet.unit(kinds.LIQUID)
    runs = 'IF(Runs,"; pump "&Pump_hours&" hours a day","")'
    lines = [
        (
            "Current",
            'IF(ISNUMBER(Energy_cost),IF(Energy_cost>0,"about "&Currency&" "&'
            'TEXT(Energy_cost,"#,##0")&" for "&TEXT(IF(ISNUMBER(Pump_energy),Pump_energy,0)+'
            f'IF(ISNUMBER(Light_energy),Light_energy,0),"#,##0")&" {energy}"&{runs}&"; "&'
            'Season_days&" days",""),"")',
        ),
        (
            "Water",
            f'IF(ISNUMBER(Season_water),"about "&TEXT(Season_water,"#,##0")&" {liquid}, filling '
            'and topping up without rain","")',
        ),
    ]
    _pairs(rows, "Running it for a season", "Quote_season", lines, 0)
    _list(rows, "Upkeep", "Quote_upkeep", "What to do", _UPKEEP, 2)


def _list(
    rows: Rows, title: str, name: str, heading: str, starters: tuple[str, ...], spare: int
) -> None:
    """Write a list of sentences to edit."""
    cells = put_edited_table(
        rows,
        title,
        name,
        (EditedColumn(heading, "words"),),
        [(words,) for words in starters],
        spare,
        wide=True,
    )
    rows.sheet.height(cells[0] - 1, 16)


def _problem(sheet: Sheet, steps: str) -> None:
    """Say at the top what the quote lacks."""
    lacks = (
        ('Quote_client=""', "Client: fill it in on the Job sheet"),
        ('Quote_job=""', "Job name: fill it in on the Job sheet"),
        ("NOT(ISNUMBER(Quote_date_used))", "Quote date: give a date here or on the Job sheet"),
        ("NOT(ISNUMBER(Quote_valid_until))", "Quote good for: give a number of days"),
        ('Quote_from_used=""', "Quote from: fill it in here or on the Order sheet"),
        ('COUNTIF(Quote_offered,"yes")=0', "Options: offer one at least"),
    )
    found = f'IF({steps}<>"{COMPLETE}",{steps},"{COMPLETE}")'
    for wrong, text in reversed(lacks):
        found = f'IF({wrong},"{text}",{found})'
    sheet.put("A3", f"=IF(NOT(Ready),Job_message,{found})", style.STRONG, name="Quote_problem")
    sheet.flag("A3", f'A3<>"{COMPLETE}"')
