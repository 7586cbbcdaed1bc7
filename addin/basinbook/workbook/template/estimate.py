"""The Estimate sheet: quantities, allowances, packs, prices, labour, markup, tax and total."""

from __future__ import annotations

from typing import Final, NamedTuple

from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.costs import (
    EARNED,
    PRICING_FACTS,
    SITE,
    SUMMARY,
    TOTAL,
    WORK,
    MaterialLine,
    SiteLine,
    WorkLine,
    material_lines,
    weight_facts,
)
from basinbook.workbook.template.formulas import (
    COMPLETE,
    UNKNOWN,
    call,
    cents,
    if_known,
    if_number,
    if_numbers,
    no_amount,
    outfit_name,
    whole_sum,
)
from basinbook.workbook.template.missing import Lack, lack_of, of_material, put_lines, told
from basinbook.workbook.template.sheet_writer import (
    COUNT,
    MONEY,
    PERCENT,
    Rows,
    Sheet,
    Template,
    fixed_format,
)

QUANTITY: Final = "General"
FREE_LINES: Final = 4
FREE_TASKS: Final = 3
_HOURS: Final = "0.0"
_HOURS_EACH: Final = "0.000"
_MOST: Final = 1_000_000
_MOST_MONEY: Final = 10_000_000


def free_tasks(template: Template) -> int:
    """Return how many tasks of the estimator's own the sheet has."""
    return FREE_TASKS + template.more_rows.get(("Estimate", "Labour"), 0)


def _no_zero(number_format: str) -> str:
    """A line of which nothing is needed shows blanks, so that the others stand out."""
    return f"{number_format};-{number_format};"


class Ordered(NamedTuple):
    """Where the order sheet finds one line: cell references, formula text for its note.

    ``known`` is a number where it is known how much is ordered, nothing included.
    """

    item: str
    description: str
    quantity: str
    unit: str
    note: str
    known: str


class Line(NamedTuple):
    """What a line of the sheet lacks: formula texts for the order, and for the price."""

    order: str
    price: str


_COMPLETE: Final = f'"{COMPLETE}"'
# What the price of a material lacks is first what its order does, in the block's first column.
_ORDER_FIRST: Final = "{first}{row}"
_RATE: Final = f'IF({no_amount("Labour_rate")},"{UNKNOWN}",Labour_rate)'


class Estimate(NamedTuple):
    """What other sheets need of this one.

    ``lacking`` is formula text of the first thing that the lines lack which no option changes, or
    that there is none.
    """

    ordered: list[Ordered]
    lacking: str


def add_estimate(template: Template) -> Estimate:
    """Add the sheet and return what the order sheet and the options need of it."""
    sheet = template.sheet("Estimate", [18, 27, 11, 9, 10, 12, 10, 9, 10, 12])
    sheet.title(
        "Estimate",
        "Look through allowances, packs and hours, and put on the lines below what is your own.",
    )
    rows = sheet.rows(4)
    ordered, materials, own = _materials(rows)
    sheet.break_before(rows.row + 2)
    tasks, own_tasks = _labour(rows)
    site = _site(rows)
    _summary(rows)
    lacking = _missing(rows, [*materials, *tasks, *site], [*own, *own_tasks])
    row = put_cautions(sheet, rows.row + 2, "estimate")
    sheet.finish(f"A1:{sheet.last}{row}", freeze="C6", titles="1:2")
    return Estimate(ordered, lacking)


def _materials(rows: Rows) -> tuple[list[Ordered], list[Line], list[Line]]:
    """Material lines and the estimator's own, with their sum.

    What each lacks: those that an option may change, and those that none does.
    """
    sheet = rows.sheet
    rows.section("Materials", gap=0)
    heads = (
        "Item", "Description", "Take-off", "Unit", "Allowance", "Order quantity",
        "Sold in packs of", "Packs",
    )  # fmt: skip
    head = _heads(rows, heads, "Price each")
    lines = material_lines(sheet.system)
    ordered, everywhere = [], []
    changed: list[Line] = []
    same: list[Line] = []
    for line in lines:
        ordered.append(_material(sheet, rows.next(), line))
        (same if line.everywhere else changed).append(_lacking(sheet, rows.row, line))
        if line.everywhere:
            everywhere.append(rows.row)
    for _ in range(FREE_LINES + sheet.more("Materials")):
        ordered.append(_free(sheet, rows.next()))
        same.append(_free_lacking(rows.row))
        everywhere.append(rows.row)
    first, last = head + 1, rows.row
    # Lines that are the same in every option stand together, last.
    _sum(sheet, rows.next(), "Materials", (first, last), "Total_materials")
    _sum(
        sheet,
        rows.next(),
        "of these, pump, fittings, water parts and other",
        (min(everywhere), max(everywhere)),
        "Total_plumbing_and_other",
    )
    sheet.height(rows.row, 26)
    _flag_unknown(sheet, "CFGIJ", first, last)
    return ordered, changed, same


def _flag_unknown(sheet: Sheet, columns: str, first: int, last: int) -> None:
    """Have what is unknown stand out in the lines whose cost is."""
    for column in columns:
        unknown = f'AND($J{first}="{UNKNOWN}",{column}{first}="{UNKNOWN}")'
        sheet.flag(f"{column}{first}:{column}{last}", unknown)


def _heads(rows: Rows, heads: tuple[str, ...], each: str) -> int:
    """Write the headings of a table that ends in price and extension."""
    sheet, row = rows.sheet, rows.next()
    sheet.row(row, "A", heads, style.HEAD)
    sheet.put(f"I{row}", f'="{each}, "&Currency', style.HEAD)
    sheet.put(f"J{row}", '="Extension, "&Currency', style.HEAD)
    sheet.height(row, 28)
    return row


def _material(sheet: Sheet, row: int, line: MaterialLine) -> Ordered:
    def number(column: str, formula: str, number_format: str) -> str:
        return sheet.put(
            f"{column}{row}", formula, style.BOX_NUMBER, number_format=_no_zero(number_format)
        )

    def when_chosen(formula: str) -> str:
        return if_known(f"IF({line.none},{line.nothing},{formula})", otherwise=UNKNOWN)

    # Of the many lines for the water's parts, those not used stay blank.
    of_water = line.chosen.startswith(outfit_name(""))
    item = f'=IF({line.none},"",{line.item_text})' if of_water else line.item
    sheet.put(f"A{row}", item, style.BOX)
    description = sheet.put(f"B{row}", f'=IF({line.none},"",{line.chosen})', style.BOX)
    listed = f"ISNUMBER(MATCH({line.chosen},{line.table}_name,0))"
    quantity = when_chosen(f"IF({listed},{line.quantity},NA())")
    number("C", quantity, fixed_format(line.decimals))
    unit = sheet.put(f"D{row}", f'=IF({line.none},"",IFERROR({line.unit},""))', style.BOX)
    allowance = f"={line.allowance}" if line.allowance else None
    sheet.put(
        f"E{row}", allowance, style.BOX_NUMBER, number_format=PERCENT if line.allowance else ""
    )
    sheet.put(
        f"G{row}",
        f'=IF({line.none},"",IFERROR({line.pack_size},"{UNKNOWN}"))',
        style.BOX_NUMBER,
        number_format=QUANTITY,
    )
    needed = line.needed or f"C{row}"
    packs = if_number(f"G{row}", call("PACKS", needed, f"G{row}"))
    number("H", if_known(f"IF({line.none},{line.nothing},IF({needed}=0,0,{packs}))"), COUNT)
    all_packs = f"IF(H{row}=0,0,H{row}*G{row})"
    ordered = number("F", f'=IF(ISNUMBER(H{row}),{all_packs},"{UNKNOWN}")', QUANTITY)
    # What is not needed may lack a price.
    no_price = f'IF(ISNUMBER(F{row}),IF(F{row}=0,0,"{UNKNOWN}"),"{UNKNOWN}")'
    number("I", f"=IF({line.none},0,IFERROR({line.price},{no_price}))", MONEY)
    number("J", _extension(row), MONEY)
    note = f'IF({line.none},"",{line.note})'
    return Ordered(line.item_text, description, ordered, unit, note, known=ordered)


def _extension(row: int, quantity: str = "F") -> str:
    """Return the formula of a line's cost: nothing of what is not needed, or unknown."""
    cost = f'IF(ISNUMBER(I{row}),{cents(f"{quantity}{row}*I{row}")},"{UNKNOWN}")'
    known = f"IF({quantity}{row}=0,0,{cost})"
    return f'=IF(ISNUMBER({quantity}{row}),{known},"{UNKNOWN}")'


def _lacking(sheet: Sheet, row: int, line: MaterialLine) -> Line:
    """What a material lacks; what is not chosen lacks nothing here."""
    cells = (f"Estimate!{column}{row}" for column in "FJ")
    for_order, for_price = of_material(sheet.template, line, *cells)
    return Line(for_order, f'IF({_ORDER_FIRST}<>"{COMPLETE}",{_ORDER_FIRST},{for_price})')


def _free_lacking(row: int) -> Line:
    """What a line of the estimator's own lacks: typed something, it wants quantity and price."""
    quantity, price = (_own_lack(row, *of) for of in (("C", "Quantity"), ("I", "Price each")))
    return Line(told(f"Estimate!F{row}", [quantity]), told(f"Estimate!J{row}", [quantity, price]))


def _own_lack(row: int, column: str, heading: str) -> Lack:
    cell = f"Estimate!{column}{row}"
    called = f'"{heading} of """&Estimate!A{row}&""" (Estimate sheet, cell {column}{row})"'
    return Lack(cell, called, no_amount(cell), "give a number, 0 or more")


def _free(sheet: Sheet, row: int) -> Ordered:
    """One line of the estimator's own, such as plants or hire of a saw."""
    item = sheet.put(f"A{row}", None, style.INPUT_TEXT)
    description = sheet.put(f"B{row}", None, style.INPUT_TEXT)
    quantity = sheet.put(f"C{row}", None, style.INPUT, number_format=QUANTITY)
    unit = sheet.put(f"D{row}", None, style.INPUT_TEXT)
    sheet.decimal(f"C{row}", 0, _MOST)
    for column in "EGH":
        sheet.put(f"{column}{row}", None, style.BOX)
    unused = f"COUNTA(A{row}:C{row},I{row})=0"
    wanted = f'=IF({unused},0,IF({no_amount(f"C{row}")},"{UNKNOWN}",C{row}))'
    known = sheet.put(f"F{row}", wanted, style.BOX_NUMBER, number_format=_no_zero(QUANTITY))
    sheet.put(f"I{row}", None, style.INPUT, number_format=MONEY)
    sheet.decimal(f"I{row}", 0, _MOST_MONEY)
    price = f'IF({no_amount(f"I{row}")},"{UNKNOWN}",{cents(f"F{row}*I{row}")})'
    cost = f'=IF(ISNUMBER(F{row}),IF(F{row}=0,0,{price}),"{UNKNOWN}")'
    sheet.put(f"J{row}", cost, style.BOX_NUMBER, number_format=_no_zero(MONEY))
    return Ordered(item, description, quantity, unit, '""', known)


def _labour(rows: Rows) -> tuple[list[Line], list[Line]]:
    """Tasks of the cost model and the estimator's own, with their sums; and what each lacks."""
    sheet = rows.sheet
    rows.section("Labour")
    heads = ("Task", "", "Quantity", "Unit", "Hours per unit", "Person-hours", "", "")
    head = _heads(rows, heads, "Per hour")
    sheet.merge(f"A{head}:B{head}")
    tasks, own_tasks = [], []
    for line in WORK:
        _task(sheet, rows.next(), line)
        hours = lack_of(sheet.template, line.hours_fact)
        tasks.append(Line(_COMPLETE, told(f"Estimate!F{rows.row}", [hours])))
    own = rows.row + 1
    for _ in range(free_tasks(sheet.template)):
        row = rows.next()
        _free_task(sheet, row)
        lacks = [_own_lack(row, *of) for of in (("C", "Quantity"), ("E", "Hours per unit"))]
        own_tasks.append(Line(_COMPLETE, told(f"Estimate!F{row}", lacks)))
    first, last = head + 1, rows.row
    _flag_unknown(sheet, "EFIJ", first, last)
    sheet.name("Own_hours", f"$F${own}:$F${last}")
    sheet.name("Own_labour", f"$J${own}:$J${last}")
    row = rows.next()
    sheet.put(f"E{row}", "Hours", style.STRONG)
    sheet.put(
        f"F{row}",
        f"={whole_sum({f'F{first}:F{last}': last - first + 1})}",
        style.RESULT,
        number_format=_HOURS,
        name="Person_hours",
    )
    _sum(sheet, row, "Labour", (first, last), "Total_labour")
    row = rows.next()
    sheet.put(f"E{row}", "Crew days", style.STRONG)
    days = "IF(MIN(Crew,Hours_per_day)<1,NA(),Person_hours/(Crew*Hours_per_day))"
    sheet.put(
        f"F{row}",
        if_known(if_numbers(("Person_hours",), days), otherwise=UNKNOWN),
        style.RESULT,
        number_format=_HOURS,
        name="Crew_days",
    )
    return tasks, own_tasks


def _task(sheet: Sheet, row: int, line: WorkLine) -> None:
    sheet.merge(f"A{row}:B{row}")

    def when_needed(formula: str) -> str:
        return f'IF({line.quantity}=0,"",{formula})' if line.optional else formula

    def shown(number_format: str) -> str:
        return _no_zero(number_format) if line.optional else number_format

    task = f'"{line.task}"'
    sheet.put(f"A{row}", f"={when_needed(task)}" if line.optional else line.task, style.BOX)
    sheet.put(f"B{row}", None, style.BOX)
    for column in "GH":
        sheet.put(f"{column}{row}", None, style.BOX)
    sheet.put(f"C{row}", if_known(line.quantity), style.BOX_NUMBER, number_format=shown("#,##0.0"))
    # A table without the task is told of by Job_message, and leaves no price.
    sheet.put(f"D{row}", f'=IFERROR({when_needed(line.unit_text)},"")', style.BOX)
    sheet.put(
        f"E{row}",
        if_known(when_needed(line.hours_each), otherwise=UNKNOWN),
        style.BOX_NUMBER,
        number_format=_HOURS_EACH,
    )
    hours = f'IF(C{row}=0,0,IF(ISNUMBER(E{row}),C{row}*E{row},"{UNKNOWN}"))'
    hours = f'=IF(ISNUMBER(C{row}),{hours},"{UNKNOWN}")'
    sheet.put(f"F{row}", hours, style.BOX_NUMBER, number_format=shown(_HOURS))
    sheet.put(f"I{row}", f"={when_needed(_RATE)}", style.BOX_NUMBER, number_format=MONEY)
    sheet.put(f"J{row}", _extension(row), style.BOX_NUMBER, number_format=shown(MONEY))


def _free_task(sheet: Sheet, row: int) -> None:
    """A task of the estimator's own: in every option the same."""
    sheet.merge(f"A{row}:B{row}")
    sheet.put(f"A{row}", None, style.INPUT_TEXT)
    sheet.put(f"B{row}", None, style.INPUT_TEXT)
    for column in "GH":
        sheet.put(f"{column}{row}", None, style.BOX)
    sheet.put(f"C{row}", None, style.INPUT, number_format=QUANTITY)
    sheet.put(f"D{row}", None, style.INPUT_TEXT)
    sheet.put(f"E{row}", None, style.INPUT, number_format=_HOURS_EACH)
    for column in "CE":
        sheet.decimal(f"{column}{row}", 0, _MOST)
    hours = f'IF(C{row}=0,0,IF({no_amount(f"E{row}")},"{UNKNOWN}",C{row}*E{row}))'
    known = f'IF({no_amount(f"C{row}")},"{UNKNOWN}",{hours})'
    sheet.put(
        f"F{row}",
        f"=IF(COUNTA(A{row}:C{row},E{row})=0,0,{known})",
        style.BOX_NUMBER,
        number_format=_no_zero(_HOURS),
    )
    rate = f'=IF(N(F{row})=0,"",{_RATE})'
    sheet.put(f"I{row}", rate, style.BOX_NUMBER, number_format=MONEY)
    sheet.put(f"J{row}", _extension(row), style.BOX_NUMBER, number_format=_no_zero(MONEY))


def _site(rows: Rows) -> list[Line]:
    """Site costs with their sum; and what each lacks. A price of 0 shows blanks."""
    sheet = rows.sheet
    rows.section("Site")
    heads = ("Cost", "", "Quantity", "Unit", "", "", "", "")
    head = _heads(rows, heads, "Price each")
    sheet.merge(f"A{head}:B{head}")
    lines = []
    for line in SITE:
        row = rows.next()
        _site_line(sheet, row, line)
        lacks = [lack_of(sheet.template, fact) for fact in line.lacking]
        lines.append(Line(_COMPLETE, told(f"Estimate!J{row}", lacks)))
    first, last = head + 1, rows.row
    _flag_unknown(sheet, "CIJ", first, last)
    row = rows.next()
    _sum(sheet, row, "Site", (first, last), "Total_site")
    row = rows.next()
    sheet.put(f"A{row}", "Not in this price", style.LABEL)
    sheet.merge(f"B{row}:{sheet.last}{row}")
    left_out = "&".join(f'IF({line.none},"; {line.what}","")' for line in SITE)
    sheet.put(f"B{row}", f"=MID({left_out},3,255)", style.RESULT_TEXT, name="Not_priced")
    sheet.height(row, 28)
    return lines


def _site_line(sheet: Sheet, row: int, line: SiteLine) -> None:
    sheet.merge(f"A{row}:B{row}")
    sheet.put(f"A{row}", line.what, style.BOX)
    for column in "BEFGH":
        sheet.put(f"{column}{row}", None, style.BOX)
    unpriced = f"N(I{row})=0"
    quantity = f'=IF({unpriced},"",IFERROR({line.quantity},"{UNKNOWN}"))'
    sheet.put(f"C{row}", quantity, style.BOX_NUMBER, number_format="#,##0.0")
    unit = line.unit[sheet.system == "metric"]
    sheet.put(f"D{row}", f'=IF({unpriced},"","{unit}")', style.BOX)
    sheet.put(
        f"I{row}",
        if_known(line.price, otherwise=UNKNOWN),
        style.BOX_NUMBER,
        number_format=_no_zero(MONEY),
    )
    priced = f'IF(ISNUMBER(C{row}),{cents(f"C{row}*I{row}")},"{UNKNOWN}")'
    cost = f'=IF(ISNUMBER(I{row}),IF(I{row}=0,0,{priced}),"{UNKNOWN}")'
    sheet.put(f"J{row}", cost, style.BOX_NUMBER, number_format=_no_zero(MONEY))


def _sum(sheet: Sheet, row: int, label: str, lines: tuple[int, int], name: str) -> None:
    """Write the sum of the extensions of some lines; unknown where one of them is."""
    first, last = lines
    formula = whole_sum({f"J{first}:J{last}": last - first + 1})
    sheet.merge(f"G{row}:I{row}")
    sheet.put(f"G{row}", label, style.STRONG)
    sheet.put(f"J{row}", f"={formula}", style.RESULT, number_format=MONEY, name=name)


def _summary(rows: Rows) -> None:
    sheet = rows.sheet
    sheet.break_before(rows.row + 2)
    rows.section("Price")
    for line in (*SUMMARY, *EARNED):
        row = rows.next()
        sheet.merge(f"G{row}:I{row}")
        last = line.name == TOTAL
        formula = f"IF(Ready,{line.formula},NA())" if last else line.formula
        sheet.put(f"G{row}", line.label, style.STRONG if last else style.LABEL)
        sheet.put(
            f"J{row}",
            if_known(formula, otherwise=UNKNOWN),
            style.RESULT_STRONG if last else style.RESULT,
            number_format=PERCENT if line in EARNED else MONEY,
            name=line.name,
        )
    row = rows.next()
    sheet.merge(f"A{row}:{sheet.last}{row}")
    sheet.put(
        f"A{row}",
        "Every line is rounded to the cent, half a cent up: what is printed adds up. Markup is a "
        "part of the cost, margin a part of the price.",
        style.NOTE,
    )


def _missing(rows: Rows, changed: list[Line], same: list[Line]) -> str:
    """Name the first cell that price and order lack, and tell how many the price does.

    ``changed`` are the lines that an option may change, ``same`` those that none does, whose first
    lack is returned.
    """
    sheet, template = rows.sheet, rows.sheet.template
    for fact in PRICING_FACTS:
        lack = lack_of(template, fact)
        same.append(Line(_COMPLETE, told("", [lack])))
    headings = ("Missing for the order", "Missing for the price")
    order, price = put_lines(template, headings, [*changed, *same])
    facts = weight_facts(sheet.system)
    (weights,) = put_lines(
        template,
        ("Missing for weights",),
        [[told("", [lack_of(template, fact)])] for fact in facts],
    )
    rows.section("What is missing (a price of nothing is a typed 0)")
    row = rows.next()
    sheet.put(f"A{row}", "Lines not priced", style.LABEL)
    sheet.put(f"B{row}", f"={price.count}", style.RESULT, number_format=COUNT, name="Missing_count")
    for label, formula, name in (
        ("First of the price", price.first(""), "Missing_price"),
        ("First of the order", order.first(""), "Missing_order"),
        ("First of the weights", weights.first(""), "Missing_weight"),
    ):
        row = rows.next()
        sheet.put(f"A{row}", label, style.LABEL)
        sheet.merge(f"B{row}:{sheet.last}{row}")
        sheet.put(f"B{row}", f"={formula}", style.RESULT_TEXT, name=name)
        sheet.flag(f"B{row}", f'B{row}<>""')
    return price.first(COMPLETE, len(changed) + 1)
