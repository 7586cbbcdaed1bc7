"""The Ranges sheet: how far the price may go, and what moves it most."""

from __future__ import annotations

from typing import Final, NamedTuple

from openpyxl.chart import BarChart, Reference, Series

from basinbook.workbook.template import style
from basinbook.workbook.template.costs import TOTAL, WORK, markup, material_lines
from basinbook.workbook.template.edited_tables import EditedColumn, put_edited_table
from basinbook.workbook.template.formulas import UNKNOWN, call, if_known, if_numbers
from basinbook.workbook.template.input_cells import put_input
from basinbook.workbook.template.inputs import inputs_of
from basinbook.workbook.template.inputs.groups import RANGES
from basinbook.workbook.template.sheet_writer import COUNT, MONEY, PERCENT, Rows, Sheet, Template

_TABLE: Final = "Ranges"
_SHOWN: Final = 10
# A part that the job has not shows blanks, so that the others stand out.
_AMOUNT: Final = f"{MONEY};-{MONEY};"
_CASES: Final = (
    ("One job in ten costs the client less than", 0.1, "Price_low"),
    ("As many cost less as cost more than", 0.5, "Price_middle"),
    ("Nine jobs in ten cost less than", 0.9, "Price_high"),
)
# What comes on top for the client: contingency, overhead, markup, and tax where it applies.
_TAX_ON_ALL: Final = '(1+IF(Tax_applies_to="all",Tax_rate,0))'
_ON_WORK_COST: Final = f"(1+{markup('Markup_on_labour')})*{_TAX_ON_ALL}"
_ON_MATERIALS: Final = (
    "(1+Contingency_on_materials)*("
    f'(1+{markup("Markup_on_materials")})*(1+IF(Tax_applies_to="none",0,Tax_rate))'
    f"+Overhead*{_ON_WORK_COST})"
)
_ON_LABOUR: Final = f"(1+Contingency_on_labour_and_site)*(1+Overhead)*{_ON_WORK_COST}"


class _Driver(NamedTuple):
    """A part of the price: its name, formula text of its cost, how far it goes down and up.

    on_top: what comes on top of the cost. needs: names that must have a number.
    """

    name: str
    cost: str
    down: float
    up: float
    on_top: str
    needs: tuple[str, ...]


def _drivers(system: str) -> list[_Driver]:
    """Return the parts that the price is the sum of.

    How far they go at first is a start of ours, no source.
    """
    spread = {"Base": (0.1, 0.25), "Adhesive": (0.1, 0.3)}
    work = ("Contingency_on_labour_and_site", "Overhead", "Markup_on_labour", "Margin")
    materials = ("Contingency_on_materials", "Markup_on_materials", *work[1:])
    labour = ("Labour_rate", *work)
    lines = [line for line in material_lines(system) if not line.everywhere]
    return [
        *(
            _Driver(line.item, line.cost, *spread.get(line.item, (0.05, 0.1)), _ON_MATERIALS,
                    materials)
            for line in lines
        ),
        _Driver(
            "Pump, fittings, water parts, other", "Total_plumbing_and_other", 0.05, 0.15,
            _ON_MATERIALS, ("Total_plumbing_and_other", *materials),
        ),
        _Driver("Delivery", "Delivery", 0.0, 0.25, _ON_MATERIALS, ("Delivery", *materials)),
        *(
            _Driver(f"Labour: {line.task}", line.cost, 0.1, 0.3,
                    _ON_LABOUR, labour)
            for line in WORK
        ),
        _Driver("Labour: own tasks", "SUM(Own_labour)", 0.1, 0.3, _ON_LABOUR, labour),
        _Driver("Site", "Total_site", 0.1, 0.3, _ON_LABOUR, ("Total_site", *work)),
        _Driver("Up to the smallest job", "Sum_to_smallest_job", 0.0, 0.0, _TAX_ON_ALL,
                ("Sum_to_smallest_job",)),
    ]  # fmt: skip


def add_ranges(template: Template) -> None:
    """Add the sheet."""
    sheet = template.sheet("Ranges", [38, 11, 11, 13, 13, 13, 13], pages=2)
    sheet.title("How far the price may go")
    sheet.merge(f"A3:{sheet.last}3")
    sheet.put(
        "A3",
        "Each part of the price may turn out lower or higher than estimated: type by how much of "
        "it. The first shares are a start of ours, without a source. Parts are taken as "
        "independent; what rises together makes the range wider.",
        style.NOTE,
    )
    sheet.height(3, 40)
    rows = sheet.rows(4)
    for given in inputs_of(RANGES):
        put_input(rows, given, "D")
    drivers = _drivers(sheet.system)
    cells = put_edited_table(
        rows,
        "Parts of the price",
        _TABLE,
        (
            EditedColumn("Part", "name", fixed=True),
            EditedColumn("Lower by", "down", PERCENT),
            EditedColumn("Higher by", "up", PERCENT),
        ),
        [(driver.name, driver.down, driver.up) for driver in drivers],
        0,
    )
    head = cells[0] - 1
    for letter, heading in zip("DEFG", ("Low", "Estimated", "High", "Moves by"), strict=True):
        sheet.put(f"{letter}{head}", f'="{heading}, "&Currency', style.HEAD)
    for row, driver in zip(cells, drivers, strict=True):
        _put(sheet, row, driver)
    for letter in "BC":
        sheet.decimal(f"{letter}{cells[0]}:{letter}{cells[-1]}", 0, 5)
    _results(rows, cells)
    placed = _most(rows, cells)
    _chart(sheet, placed, rows.next(1))
    sheet.finish(f"A1:{sheet.last}{rows.row + 16}", freeze=f"A{cells[0]}", titles="1:2")


def _put(sheet: Sheet, row: int, driver: _Driver) -> None:
    """Write what a part is of the price to the client, and how low and high that may be."""
    formula = if_numbers(driver.needs, f"({driver.cost})*{driver.on_top}")
    sheet.put(
        f"E{row}", if_known(formula, otherwise=UNKNOWN), style.BOX_NUMBER, number_format=_AMOUNT
    )
    for letter, sign, share in (("D", "-", "B"), ("F", "+", "C")):
        moved = f"E{row}*(1{sign}N({share}{row}))"
        sheet.put(
            f"{letter}{row}",
            f'=IF(ISNUMBER(E{row}),{moved},"{UNKNOWN}")',
            style.BOX_NUMBER,
            number_format=_AMOUNT,
        )
    sheet.put(
        f"G{row}",
        f'=IF(ISNUMBER(E{row}),F{row}-D{row},"{UNKNOWN}")',
        style.BOX_NUMBER,
        number_format=_AMOUNT,
    )


def _results(rows: Rows, cells: range) -> None:
    sheet = rows.sheet
    first, last = cells[0], cells[-1]
    rows.section("Price to the client")
    for label, share, name in _CASES:
        row = rows.next()
        columns = (f"{letter}{first}:{letter}{last}" for letter in "DEF")
        drawn = call("PRICERANGE", str(share), *columns)
        found = f'IF(Range_wanted<>"yes","",IF(ISNUMBER({TOTAL}),{drawn},"{UNKNOWN}"))'
        sheet.merge(f"A{row}:F{row}")
        sheet.put(f"A{row}", label, style.LABEL)
        sheet.put(
            f"G{row}", if_known(found, otherwise=UNKNOWN), style.RESULT, number_format=MONEY,
            name=name,
        )  # fmt: skip
    row = rows.next()
    sheet.merge(f"A{row}:F{row}")
    sheet.put(f"A{row}", "As estimated", style.LABEL)
    sheet.put(f"G{row}", f"={TOTAL}", style.RESULT, number_format=MONEY)


def _most(rows: Rows, cells: range) -> range:
    """Write the parts that move the price most, the largest first, and return their rows."""
    sheet = rows.sheet
    first, last = cells[0], cells[-1]
    # Two alike stand in the order of the table.
    (keys,) = sheet.template.block(
        ("Moves by",),
        [(f"=IF(ISNUMBER('Ranges'!G{row}),'Ranges'!G{row},0)-ROW()/1000000000",) for row in cells],
    )
    sheet.break_before(rows.row + 2)
    rows.section("What moves the price most")
    head = rows.next()
    sheet.merge(f"A{head}:F{head}")
    sheet.put(f"A{head}", "Part", style.HEAD)
    sheet.put(f"G{head}", '="From low to high, "&Currency', style.HEAD)
    sheet.height(head, 28)
    placed = rows.take(_SHOWN)
    for number, row in enumerate(placed, start=1):
        at = f"MATCH(LARGE({keys},{number}),{keys},0)"
        moved = f"INDEX($G${first}:$G${last},{at})"
        there = f"IF(ISNUMBER({moved}),{moved}>0,FALSE)"
        sheet.merge(f"A{row}:F{row}")
        sheet.put(f"A{row}", f'=IF({there},INDEX($A${first}:$A${last},{at}),"")', style.RESULT_TEXT)
        sheet.put(f"G{row}", f'=IF({there},{moved},"")', style.RESULT, number_format=MONEY)
    return placed


def _chart(sheet: Sheet, placed: range, row: int) -> None:
    """Write a bar for each part, the one that moves the price most on top."""
    chart = BarChart()
    chart.type = "bar"
    chart.style = 1
    chart.legend = None
    chart.height, chart.width = 7.6, 18.5  # type: ignore[assignment]
    chart.gapWidth = 40
    worksheet = sheet.worksheet
    data = Reference(worksheet, min_col=7, min_row=placed[0], max_row=placed[-1])
    series = Series(data, title="From low to high")
    series.graphicalProperties.solidFill = "3A4A58"
    chart.series.append(series)
    chart.set_categories(Reference(worksheet, min_col=1, min_row=placed[0], max_row=placed[-1]))
    chart.x_axis.scaling.orientation = "maxMin"
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.y_axis.number_format = COUNT
    chart.y_axis.majorGridlines = None
    worksheet.add_chart(chart, f"A{row}")
