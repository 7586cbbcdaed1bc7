"""The Water sheet (spillway, pump and pipe, levels) and the sheet of losses and loads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.chart.text import RichText, Text
from openpyxl.chart.title import Title
from openpyxl.drawing.text import (
    CharacterProperties,
    Paragraph,
    ParagraphProperties,
    RegularTextRun,
)

from basinbook.catalogue import function
from basinbook.catalogue.model import Array
from basinbook.engine import kinds
from basinbook.engine.kinds import Kind
from basinbook.workbook.build import style
from basinbook.workbook.build.book import Book, Sheet, call
from basinbook.workbook.build.cautions import put_cautions
from basinbook.workbook.build.materials import lookup
from basinbook.workbook.build.pumps import CURVE_POINTS

FITTING_ROWS = 8
LAST = "H"
MONEY_KIND = Kind("money")
_WIDTHS = (32, 21, 10, 30, 12, 12, 12, 12)
_SCALE = 68

_SPILLS = ("none", "straight lip", "bowl rim", "notch")
_STARTER_FITTINGS = (
    ("Entrance, flush and sharp", 1),
    ("Barbed adapter", 2),
    ("90° elbow", 3),
    ("Ball valve, full bore, open", 1),
    ("Outlet into the basin or bowl", 1),
)


@dataclass(frozen=True)
class _Typed:
    """One input: label, name, kind, starter (us, metric), help, choices."""

    label: str
    name: str
    kind: Kind
    us: object = None
    metric: object = None
    help: str = ""
    choices: str | Sequence[str] = ()


_SPILLWAY = (
    _Typed(
        "Spillway",
        "Spill_kind",
        kinds.TEXT,
        "straight lip",
        "straight lip",
        "What the water runs over",
        _SPILLS,
    ),
    _Typed(
        "Lip, notch or bowl width",
        "Spill_size",
        kinds.LENGTH,
        18,
        450,
        "Clear width; of a bowl, its rim's diameter",
    ),
    _Typed(
        "Edge",
        "Spill_edge",
        kinds.TEXT,
        "sharp",
        "sharp",
        "Plate; flat slab; rounded slab",
        ("sharp", "thick", "rounded"),
    ),
    _Typed(
        "Lip thickness",
        "Spill_thickness",
        kinds.LENGTH,
        None,
        None,
        "Along the flow; of a thick or rounded lip",
    ),
    _Typed("End contractions", "Spill_ends", kinds.COUNT, 0, 0, "0, 1 or 2", ("0", "1", "2")),
    _Typed(
        "Wanted head",
        "Spill_head",
        kinds.LENGTH,
        "3/4",
        20,
        "Water level over the lip, measured back from it",
    ),
    _Typed("Height of fall", "Spill_drop", kinds.LENGTH, 14, 350, "Lip to the basin's water"),
)

_PLUMBING = (
    _Typed("Pump", "Pump", kinds.TEXT, "Pump 2400", "Pump 9000", "", "Pumps_name"),
    _Typed("Pipe", "Pipe", kinds.TEXT, "sch40 1-1/2", "pn16 50", "", "Pipes_name"),
    _Typed("Pipe length", "Pipe_length", kinds.RUN, 9, 2.8, "Pump to outlet"),
    _Typed("Static lift", "Static_lift", kinds.HEAD, 2.6, 0.8, "Basin's water to the outlet"),
    _Typed("Hours per day", "Pump_hours", kinds.HOURS, 10, 10),
    _Typed("Price per kWh", "Energy_price", MONEY_KIND, 0.16, 0.29),
    _Typed("Voltage", "Voltage", kinds.VOLTAGE, 120, 230),
    _Typed("Circuit rating", "Circuit_rating", kinds.CURRENT, 20, 16),
)

_CLIMATE = (
    _Typed("Water temperature", "Water_temperature", kinds.TEMPERATURE, 72, 22),
    _Typed("Air temperature", "Air_temperature", kinds.TEMPERATURE, 80, 26, "Mean of a warm week"),
    _Typed("Relative humidity", "Humidity", kinds.RATIO, 0.5, 0.5, "As a part or with %"),
    _Typed("Wind", "Wind", kinds.VELOCITY, 5, 1.5),
    _Typed("Drop measured", "Leak_drop", kinds.LENGTH, None, None, "Leak test: pump off, no rain"),
    _Typed(
        "Drop in the bucket",
        "Bucket_drop",
        kinds.LENGTH,
        None,
        None,
        "Bucket of water standing in the basin, same time",
    ),
    _Typed("Time of the test", "Leak_hours", kinds.HOURS, 24, 24),
    _Typed(
        "Treatment: amount on the label",
        "Label_amount",
        kinds.RATIO,
        None,
        None,
        "In the label's unit",
    ),
    _Typed("Treatment: for a volume of", "Label_volume", kinds.LIQUID, None, None),
)

_GROUND = (
    _Typed("Density of block", "Block_density", kinds.DENSITY, 130, 2080, "Cores counted as empty"),
    _Typed("Friction under the wall", "Wall_friction", kinds.RATIO, 0.45, 0.45, "Your figure"),
    _Typed(
        "Allowable shear of the glue",
        "Glue_shear",
        kinds.PRESSURE,
        None,
        None,
        "Its maker's figure; text may say 10 psi or 70 kPa",
    ),
    _Typed("Share of the bed that is glued", "Glued_share", kinds.RATIO, 0.2, 0.2, "Beads spread"),
    _Typed(
        "Soil under the base",
        "Soil",
        kinds.TEXT,
        "clay",
        "clay",
        "Class, where code has it",
        ("gravel", "sand", "clay"),
    ),
    _Typed("Pump width", "Pump_width", kinds.LENGTH, 7, 180, "To reach through the access gap"),
    _Typed("Pump height", "Pump_height", kinds.LENGTH, 8, 200),
)

_INPUTS = (_SPILLWAY, _PLUMBING, _CLIMATE, _GROUND)


def add_water(book: Book) -> None:
    """Add the sheets."""
    sheet = book.sheet("Water", _WIDTHS, scale=_SCALE)
    sheet.title("Water: spillway, pump, pipe, levels", LAST)
    row = _spillway(book, sheet, 4)
    row = _pump(book, sheet, row + 2)
    row = _levels(book, sheet, row + 2)
    row = put_cautions(sheet, row + 2, "water", LAST)
    sheet.finish(f"A1:{LAST}{row}", freeze="A4", titles="1:2")
    sheet = book.sheet("Losses and loads", _WIDTHS, scale=_SCALE)
    sheet.title("Losses, loads and service", LAST)
    row = _losses(book, sheet, 4)
    row = _loads(book, sheet, row + 2)
    row = _service(book, sheet, row + 2)
    sheet.finish(f"A1:{LAST}{row}", freeze="A4", titles="1:2")


def _inputs(book: Book, sheet: Sheet, row: int, title: str, entries: Sequence[_Typed]) -> int:
    sheet.section(row, title, LAST)
    for entry in entries:
        row += 1
        value = entry.metric if book.metric else entry.us
        role = style.INPUT_TEXT if entry.kind is kinds.TEXT else style.INPUT
        sheet.put(f"A{row}", entry.label, style.LABEL)
        sheet.put(f"B{row}", value, role, name=entry.name)
        if entry.choices:
            sheet.list_of(f"B{row}", entry.choices)
        unit = "=Currency" if entry.kind is MONEY_KIND else (book.unit(entry.kind) or None)
        sheet.put(f"C{row}", unit, style.UNIT)
        _note(sheet, row, entry.help)
    return row


def _note(sheet: Sheet, row: int, text: str) -> None:
    sheet.merge(f"D{row}:{LAST}{row}")
    sheet.put(f"D{row}", text or None, style.NOTE)


def _result(
    book: Book,
    sheet: Sheet,
    row: int,
    label: str,
    formula: str,
    kind: Kind,
    note: str = "",
    name: str = "",
) -> None:
    """One calculated line; where it can't be worked out it says so, and why beside it."""
    sheet.put(f"A{row}", label, style.LABEL)
    role = style.RESULT_TEXT if kind is kinds.TEXT else style.RESULT
    number_format = "#,##0.00" if kind is MONEY_KIND else book.number_format(kind)
    sheet.put(f"B{row}", f'=IFERROR({formula},"-")', role, number_format=number_format, name=name)
    unit = "=Currency" if kind is MONEY_KIND else (book.unit(kind) or None)
    sheet.put(f"C{row}", unit, style.UNIT)
    _note(sheet, row, note)


def _sentence(sheet: Sheet, row: int, label: str, formula: str, height: float = 28) -> None:
    """One calculated text that needs the width of the sheet."""
    sheet.put(f"A{row}", label, style.LABEL)
    sheet.merge(f"B{row}:{LAST}{row}")
    sheet.put(f"B{row}", f'=IFERROR({formula},"-")', style.RESULT_TEXT)
    for column in "CDEFGH":
        sheet.put(f"{column}{row}", None, style.RESULT_TEXT)
    sheet.height(row, height)


def _why(name: str, *arguments: str) -> str:
    """Formula text of the reason why a call gives no value; its arguments include the units."""
    return f"{call('WHY', f'{chr(34)}{name}{chr(34)}', *arguments)}"


def _spill(kind: str, ending: str, first: str) -> str:
    """Formula text of a spillway function for the kind of spillway chosen."""
    lip = call(f"SPILL{ending}", first, "Spill_size", "Spill_edge", "Spill_thickness", "Spill_ends")
    bowl = call(f"BOWL{ending}", first, "Spill_size", "Spill_edge", "Spill_thickness")
    notch = call(f"NOTCH{ending}", first, "Spill_size", *_notch_rest(ending))
    others = f'IF({kind}="bowl rim",{bowl},IF({kind}="notch",{notch},""))'
    return f'IF({kind}="straight lip",{lip},{others})'


def _notch_rest(ending: str) -> tuple[str, ...]:
    taken = len(function(f"NOTCH{ending}").arguments) - 2
    return ("Spill_edge", "Spill_thickness", "Spill_ends")[:taken]


def _spillway(book: Book, sheet: Sheet, row: int) -> int:
    row = _inputs(book, sheet, row, "Spillway or bowl", _SPILLWAY)
    _result(
        book,
        sheet,
        row + 1,
        "Flow wanted",
        _spill("Spill_kind", "FLOW", "Spill_head"),
        kinds.PUMP_FLOW,
        "At the wanted head; how far to trust it stands below",
        "Flow_wanted",
    )
    _sentence(
        sheet, row + 2, "How far to trust it", _spill("Spill_kind", "STATUS", "Spill_head"), 16
    )
    _result(
        book,
        sheet,
        row + 3,
        "Usual flow for a lip this wide",
        call("USUALSPILLFLOW", "Spill_size", '"full"'),
        kinds.PUMP_FLOW,
        "Full sheet; common practice, no source",
    )
    _sentence(
        sheet,
        row + 4,
        "If there is no figure",
        'IF(ISNUMBER(Flow_wanted),"",'
        + _why(
            "SPILLFLOW",
            "Spill_head",
            "Spill_size",
            "Spill_edge",
            "Spill_thickness",
            "Spill_ends",
            "Units",
        )
        + ")",
    )
    return row + 4


def _pump(book: Book, sheet: Sheet, row: int) -> int:
    row = _inputs(book, sheet, row, "Pump and pipe", _PLUMBING)
    row = _fitting_lines(book, sheet, row + 1)
    row = _curve(book, sheet, row + 2)
    sheet.break_before(row + 1)
    system = ("Static_lift", "Pipe_bore", "Pipe_length")
    rest = ("Pipe_roughness", "Water_temperature")
    typical = (*system, "K_typical", *rest)
    curve = ("Curve_flows", "Curve_heads")
    flow, head = kinds.PUMP_FLOW, kinds.HEAD
    lines = (
        ("Inside diameter", lookup("Pipes", "bore", "Pipe"), kinds.LENGTH, "", "Pipe_bore"),
        ("Roughness", lookup("Pipes", "roughness", "Pipe"), kinds.ROUGHNESS, "", "Pipe_roughness"),
        (
            "Velocity at the wanted flow",
            call("PIPEVELOCITY", "Flow_wanted", "Pipe_bore"),
            kinds.VELOCITY,
            "",
            "Pipe_velocity",
        ),
        (
            "Pipe friction",
            call("PIPEHEADLOSS", "Flow_wanted", "Pipe_bore", "Pipe_length", *rest),
            head,
            "Darcy-Weisbach, at the wanted flow",
            "",
        ),
        (
            "Pipe friction, to compare",
            call("PIPEHEADLOSSHW", "Flow_wanted", "Pipe_bore", "Pipe_length"),
            head,
            "Hazen-Williams, C = 150",
            "",
        ),
        (
            "Fittings",
            call("FITTINGHEADLOSS", "Flow_wanted", "Pipe_bore", "K_typical"),
            head,
            "Typical K",
            "",
        ),
        (
            "Total dynamic head",
            call("TOTALHEAD", "Flow_wanted", *typical),
            head,
            "Lift, friction and fittings at the wanted flow",
            "Total_head",
        ),
        (
            "Pump runs at",
            call("PUMPPOINT", *curve, *typical),
            flow,
            "Where pump curve and system curve meet",
            "Flow_running",
        ),
        ("at a head of", call("PUMPPOINTHEAD", *curve, *typical), head, "", ""),
        (
            "with the lowest K",
            call("PUMPPOINT", *curve, *system, "K_low", *rest),
            flow,
            "Published K differ: so much the flow moves",
            "",
        ),
        ("with the highest K", call("PUMPPOINT", *curve, *system, "K_high", *rest), flow, "", ""),
        (
            "Head over the lip then",
            'IF(Spill_kind="straight lip",'
            + call(
                "SPILLHEAD",
                "Flow_running",
                "Spill_size",
                "Spill_edge",
                "Spill_thickness",
                "Spill_ends",
            )
            + ',"")',
            kinds.LENGTH,
            "At the flow that the pump gives",
            "",
        ),
        ("Power", lookup("Pumps", "power", "Pump"), kinds.POWER, "", "Pump_power"),
        (
            "Energy per year",
            call("PUMPENERGY", "Pump_power", "Pump_hours"),
            kinds.ENERGY,
            "",
            "Pump_energy",
        ),
        ("Cost per year", call("ENERGYCOST", "Pump_energy", "Energy_price"), MONEY_KIND, "", ""),
        (
            "Current",
            call("CIRCUITLOAD", "Pump_power", "Voltage"),
            kinds.CURRENT,
            "",
            "Pump_current",
        ),
    )
    for offset, (label, formula, kind, note, name) in enumerate(lines, start=1):
        _result(book, sheet, row + offset, label, formula, kind, note, name)
    row += len(lines)
    row += 1
    _sentence(sheet, row, "Velocity in the pipe is", call("VELOCITYNOTE", "Pipe_velocity"), 16)
    _sentence(sheet, row + 1, "Pump advice", call("PUMPADVICE", "Flow_wanted", *curve, *typical))
    _sentence(sheet, row + 2, "Circuit", call("CIRCUITNOTE", "Pump_current", "Circuit_rating"))
    _sentence(
        sheet,
        row + 3,
        "If there is no figure",
        'IF(ISNUMBER(Flow_running),"",' + _why("PUMPPOINT", *curve, *typical, "Units") + ")",
    )
    return row + 3


def _fitting_lines(book: Book, sheet: Sheet, row: int) -> int:
    sheet.row(
        row, "A", ("Fitting", "How many", "", "", "K low", "K typical", "K high", ""), style.HEAD
    )
    first = row + 1
    for number in range(1, FITTING_ROWS + 1):
        row += 1
        name, count = (
            _STARTER_FITTINGS[number - 1] if number <= len(_STARTER_FITTINGS) else (None, None)
        )
        sheet.put(f"A{row}", name, style.INPUT_TEXT, name=f"Fitting_{number}")
        sheet.list_of(f"A{row}", "Fittings_name")
        sheet.put(f"B{row}", count, style.INPUT, name=f"Fitting_{number}_count")
        sheet.whole_number(f"B{row}", 0, 200)
        for column, key in zip("EFG", ("low", "typical", "high"), strict=True):
            sheet.put(
                f"{column}{row}",
                f'=IF(A{row}="",0,N(B{row})*{lookup("Fittings", key, f"A{row}")})',
                style.RESULT,
                number_format="0.00",
            )
    last, row = row, row + 1
    sheet.put(f"A{row}", "Sum of K", style.STRONG)
    for column, key in zip("EFG", ("low", "typical", "high"), strict=True):
        sheet.put(
            f"{column}{row}",
            f"=SUM({column}{first}:{column}{last})",
            style.RESULT,
            number_format="0.00",
            name=f"K_{key}",
        )
    book.name("Fitting_names", sheet.worksheet, f"$A${first}:$A${last}")
    return row


def _curve(book: Book, sheet: Sheet, row: int) -> int:
    """Table and chart of the pump curve against the system curve."""
    flow, head = book.unit(kinds.PUMP_FLOW), book.unit(kinds.HEAD)
    heads = (f"Flow, {flow}", f"Pump head, {head}", "", f"System head, {head}")
    sheet.row(row, "A", heads, style.HEAD)
    first = row + 1
    for number in range(1, CURVE_POINTS + 1):
        row += 1
        for column, key in (("A", "flow"), ("B", "head")):
            point = lookup("Pumps", f"{key}{number}", "Pump")
            sheet.put(
                f"{column}{row}",
                f'=IFERROR(IF({point}="","",{point}),"")',
                style.RESULT,
                number_format=book.number_format(kinds.PUMP_FLOW if key == "flow" else kinds.HEAD),
            )
        system = call(
            "TOTALHEAD",
            f"MAX(A{row},0.001)",
            "Static_lift",
            "Pipe_bore",
            "Pipe_length",
            "K_typical",
            "Pipe_roughness",
            "Water_temperature",
        )
        sheet.put(
            f"D{row}",
            f'=IFERROR({system},"")',
            style.RESULT,
            number_format=book.number_format(kinds.HEAD),
        )
    book.name("Curve_flows", sheet.worksheet, f"$A${first}:$A${row}")
    book.name("Curve_heads", sheet.worksheet, f"$B${first}:$B${row}")
    _chart(
        sheet,
        f"E{first - 1}",
        "Pump curve and system curve",
        f"Flow, {flow}",
        f"Head, {head}",
        first,
        row,
        "A",
        (("B", "Pump", "solid"), ("D", "System", "dash")),
    )
    return max(row, first + 13)


def _chart(
    sheet: Sheet,
    anchor: str,
    title: str,
    across: str,
    up: str,
    first: int,
    last: int,
    x_column: str,
    lines: Sequence[tuple[str, str, str]],
) -> None:
    worksheet = sheet.worksheet
    chart = ScatterChart()
    chart.style = 1
    chart.title = _small(title, 1100)
    chart.x_axis.title, chart.y_axis.title = _small(across, 900), _small(up, 900)
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.height, chart.width = 7.2, 11.5  # type: ignore[assignment]
    chart.legend.position = "b"  # type: ignore[union-attr]
    x_index = ord(x_column) - ord("A") + 1
    for column, label, dash in lines:
        index = ord(column) - ord("A") + 1
        series = Series(
            Reference(worksheet, min_col=index, min_row=first, max_row=last),
            Reference(worksheet, min_col=x_index, min_row=first, max_row=last),
            title=label,
        )
        series.marker.symbol = "none" if dash == "dash" else "circle"
        series.graphicalProperties.line.solidFill = "22303C"
        series.graphicalProperties.line.dashStyle = dash
        series.smooth = False
        chart.series.append(series)
    worksheet.add_chart(chart, anchor)


def _small(text: str, size: int) -> Title:
    """Return a chart title in a size [1/100 pt] that fits the chart."""
    words = CharacterProperties(sz=size, b=size > 1000)
    run = RegularTextRun(rPr=words, t=text)
    paragraph = Paragraph(pPr=ParagraphProperties(defRPr=words), r=[run])
    return Title(tx=Text(rich=RichText(p=[paragraph])), overlay=False)


def _levels(book: Book, sheet: Sheet, row: int) -> int:
    sheet.section(row, "Water levels", LAST)
    length = kinds.LENGTH
    lines = (
        (
            "Water in the pipe",
            call("PIPECONTENTS", "Pipe_bore", "Pipe_length"),
            kinds.LIQUID,
            "",
            "Pipe_contents",
        ),
        (
            "Water in the air",
            'IF(Spill_kind="none",0,' + call("VOLUMEINAIR", "Flow_running", "Spill_drop") + ")",
            kinds.LIQUID,
            "",
            "Air_contents",
        ),
        (
            "Rise when the pump stops",
            call("DRAINBACKRISE", "Pipe_contents+Air_contents", "Inside_length", "Inside_width"),
            length,
            "All that drains back must fit below the rim",
            "Level_rise",
        ),
        (
            "Left to the rim then",
            call("FREEBOARDLEFT", "Qty_Wall_height", "Water_depth", "Level_rise"),
            length,
            "Below zero it spills",
            "Freeboard_left",
        ),
        (
            "Highest operating level",
            call("HIGHESTLEVEL", "Qty_Wall_height", "Level_rise", "Freeboard"),
            length,
            "Keeps the freeboard of the Job sheet",
            "",
        ),
    )
    for offset, (label, formula, kind, note, name) in enumerate(lines, start=1):
        _result(book, sheet, row + offset, label, formula, kind, note, name)
    row += len(lines) + 1
    arguments = (
        "Inside_length",
        "Inside_width",
        "Qty_Wall_height",
        "Water_depth",
        "Pipe_contents+Air_contents",
    )
    return _array(book, sheet, row, "WATERLEVELS", arguments, 3, "ABDE")


def _array(
    book: Book, sheet: Sheet, row: int, name: str, arguments: Sequence[str], rows: int, columns: str
) -> int:
    """Array function, each of its columns picked out by INDEX into a column of the sheet."""
    declared = function(name)
    assert isinstance(declared.result, Array)
    for index, (letter, column) in enumerate(zip(columns, declared.result.columns, strict=True), 1):
        unit = book.unit(column.kind)
        head = column.name[0].upper() + column.name[1:]
        sheet.put(f"{letter}{row}", f"{head}, {unit}" if unit else head, style.HEAD)
        for line in range(1, rows + 1):
            text = column.kind is kinds.TEXT
            sheet.put(
                f"{letter}{row + line}",
                f'=IFERROR(INDEX({call(name, *arguments)},{line},{index}),"")',
                style.RESULT_TEXT if text else style.RESULT,
                number_format="" if text else book.number_format(column.kind),
            )
    sheet.height(row, 28)
    return row + rows


def _losses(book: Book, sheet: Sheet, row: int) -> int:
    row = _inputs(book, sheet, row, "Losses, leak test and treatment", _CLIMATE)
    climate = ("Water_temperature", "Air_temperature", "Humidity", "Wind")
    area = "Water_area"
    lines = (
        (
            "Water surface",
            call("LINERAREA", "Inside_length", "Inside_width", "0", "0"),
            kinds.AREA,
            "",
            area,
        ),
        (
            "Evaporation",
            call("EVAPORATIONRATE", *climate),
            kinds.WATER_RATE,
            "Meyer, small shallow water; means of days",
            "Evaporation",
        ),
        (
            "to compare, quiet air",
            call("EVAPORATIONRATE", *climate, "", '"pool"'),
            kinds.WATER_RATE,
            "Pool equation; the methods differ, in wind by a factor of two",
            "",
        ),
        (
            "Splash per day",
            call("SPLASHLOSS", "Flow_running", "", "Pump_hours"),
            kinds.LIQUID,
            "A first guess without a source, until it is measured",
            "Splash",
        ),
        (
            "Top-up per week",
            call("TOPUPWEEK", "Evaporation", area, "Splash"),
            kinds.LIQUID,
            "Without rain",
            "",
        ),
        (
            "Dose of the treatment",
            'IF(Label_amount="","",'
            + call("TREATMENTDOSE", "Qty_Water_volume", "Label_amount", "Label_volume")
            + ")",
            kinds.RATIO,
            "In the label's unit; the label binds",
            "",
        ),
    )
    for offset, (label, formula, kind, note, name) in enumerate(lines, start=1):
        _result(book, sheet, row + offset, label, formula, kind, note, name)
    row += len(lines) + 1
    _sentence(
        sheet,
        row,
        "Leak test",
        'IF(OR(Leak_drop="",Bucket_drop=""),"measure both drops",'
        + call("LEAKCHECK", "Leak_drop", area, "Bucket_drop", "Leak_hours")
        + ")",
    )
    return row


def _loads(book: Book, sheet: Sheet, row: int) -> int:
    row = _inputs(
        book, sheet, row, "Loads and service: what you know of block, glue and ground", _GROUND
    )
    caps = ("N(Cap_depth)", "N(Cap_height)")
    tons = 1000.0 if book.metric else 2000.0
    mass = f"Qty_Water_weight+Qty_Block_weight+Qty_Cap_weight+Qty_Base_weight*{tons:g}"
    lines = (
        ("Pressure at the floor", call("WATERPRESSURE", "Water_depth"), kinds.PRESSURE, "", ""),
        (
            "Thrust on a wall",
            call("WALLTHRUST", "Water_depth"),
            kinds.FORCE_PER_LENGTH,
            "Per length; front and back wall, and side walls alike",
            "Thrust",
        ),
        (
            "Thrust on the front wall",
            call("WALLFORCE", "Water_depth", "Inside_length"),
            kinds.FORCE,
            "Whole wall",
            "",
        ),
        (
            "Weight of the wall",
            call("WALLWEIGHT", "Block_depth", "Qty_Wall_height", "Block_density", *caps),
            kinds.FORCE_PER_LENGTH,
            "",
            "Wall_weight",
        ),
        (
            "Sliding ratio",
            call("SLIDINGRATIO", "Wall_weight", "Wall_friction", "Thrust"),
            kinds.RATIO,
            "Friction over thrust; glue, corners and columns not counted",
            "Sliding",
        ),
        (
            "Overturning ratio",
            call(
                "OVERTURNINGRATIO",
                "Wall_weight",
                "Half_thickness",
                call("WATERMOMENT", "Water_depth"),
            ),
            kinds.RATIO,
            "About the outer toe",
            "Overturning",
        ),
        (
            "Bond ratio, lowest joint",
            'IF(Glue_shear="","",'
            + call("BONDSHEARRATIO", "Glue_shear", "Thrust", "Block_depth", "Glued_share")
            + ")",
            kinds.RATIO,
            "Needs the glue maker's figure",
            "Bond",
        ),
        ("Weight on the ground", mass, kinds.MASS, "Water, block, caps and base", "Ground_weight"),
        (
            "Pressure on the ground",
            call("SPREADPRESSURE", "Ground_weight", "Qty_Overall_length", "Qty_Overall_width"),
            kinds.PRESSURE,
            "Spread over the overall size",
            "Ground_pressure",
        ),
        (
            "Presumptive bearing",
            call("SOILBEARING", "Soil"),
            kinds.PRESSURE,
            "Where local code has it; not for fill, mud or organic soil",
            "Ground_bearing",
        ),
        (
            "Bearing ratio",
            call("BEARINGRATIO", "Ground_bearing", "Ground_pressure"),
            kinds.RATIO,
            "",
            "Bearing",
        ),
    )
    half = call("CONVERTLENGTH", "Block_depth", f'"{book.unit(kinds.LENGTH)}"')
    _result(
        book,
        sheet,
        row + 1,
        "Half the wall's thickness",
        f"{half}/2",
        kinds.LENGTH,
        "Lever of the wall's weight",
        "Half_thickness",
    )
    row += 1
    for offset, (label, formula, kind, note, name) in enumerate(lines, start=1):
        _result(book, sheet, row + offset, label, formula, kind, note, name)
    row += len(lines) + 1
    blank = (
        f'IF(ISNUMBER({name}),{name},"")' for name in ("Sliding", "Overturning", "Bond", "Bearing")
    )
    _sentence(
        sheet,
        row,
        "Engineer",
        call("LOADNOTE", "Qty_Wall_height_with_caps", "Water_depth", *blank),
        44,
    )
    sheet.break_before(row + 2)
    row += 2
    first = row
    row = _pressure(book, sheet, row)
    return max(row, first + 14)


def _pressure(book: Book, sheet: Sheet, row: int) -> int:
    """Table and chart of pressure by depth."""
    steps = 6
    last = _array(book, sheet, row, "PRESSURETABLE", ("Water_depth", str(steps)), steps + 1, "AB")
    length, pressure = book.unit(kinds.LENGTH), book.unit(kinds.PRESSURE)
    _chart(
        sheet,
        f"D{row}",
        "Water pressure by depth",
        f"Depth, {length}",
        f"Pressure, {pressure}",
        row + 1,
        last,
        "A",
        (("B", "Pressure", "solid"),),
    )
    return last


def _service(book: Book, sheet: Sheet, row: int) -> int:
    sheet.section(row, "Draining and service", LAST)
    _result(
        book,
        sheet,
        row + 1,
        "Water to drain for frost",
        call("DRAINDOWN", "Inside_length", "Inside_width", "Water_depth", "", "Pipe_contents"),
        kinds.LIQUID,
        "Basin and pipe; pump, valve and fittings must come out",
        "",
    )
    gap = ("Access_gap", "Access_height", "Pump_width", "Pump_height")
    courses = "IF(N(Access_gap_courses)=0,Qty_Courses,Access_gap_courses)"
    high = call("CONVERTLENGTH", "Block_height", f'"{book.unit(kinds.LENGTH)}"')
    _result(
        book,
        sheet,
        row + 2,
        "Height of the access gap",
        f"{courses}*{high}",
        kinds.LENGTH,
        "In the second wall",
        "Access_height",
    )
    _sentence(
        sheet,
        row + 3,
        "Pump through the gap",
        f'IF(N(Access_gap)=0,"no access gap on the Job sheet",{call("ACCESSCHECK", *gap)})',
    )
    return row + 3
