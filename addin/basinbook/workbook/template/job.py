"""The Job sheet: everything the estimator fills in for one job."""

from __future__ import annotations

from dataclasses import dataclass

from basinbook.catalogue import function
from basinbook.engine import kinds
from basinbook.engine.kinds import Kind
from basinbook.engine.spec import FIELDS, Field
from basinbook.units import shown_range
from basinbook.workbook.template import style
from basinbook.workbook.template.cautions import put_cautions
from basinbook.workbook.template.costs import FITTING_ROWS, labour_fault
from basinbook.workbook.template.formulas import MISSING, awake, call, lookup, unknown
from basinbook.workbook.template.sheet_writer import COUNT, MONEY, PERCENT, Sheet, Template

MONEY_KIND = Kind("money")
PERCENT_KIND = Kind("percent")
DATE_KIND = Kind("date")

LAST = "E"
_MOST = 100  # people, hours, beads
# A word, not a blank: some programs work out anew each formula whose stored text is empty.
COMPLETE = "Inputs complete"
ADDIN_MISSING = (
    "The Basinbook functions are not installed on this computer: you see the values last "
    "calculated. Run basinbook addin install calc (or excel); see the install page in docs."
)


@dataclass(frozen=True)
class Entry:
    """One line to fill in: its label (the cell's name follows), kind, starter values, help."""

    label: str
    kind: Kind
    us: object
    metric: object
    help: str = ""
    choices: str | tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The name of the cell."""
        return self.label.replace(" ", "_").replace("-", "_")

    def starter(self, system: str) -> object:
        """Return the value that the template starts with."""
        return self.metric if system == "metric" else self.us


PARTICULARS = (
    Entry("Job name", kinds.TEXT, None, None, "Stands on every sheet"),
    Entry("Job number", kinds.TEXT, None, None),
    Entry("Client", kinds.TEXT, None, None, "Does not go to the supplier"),
    Entry("Site address", kinds.TEXT, None, None),
    Entry("Estimator", kinds.TEXT, None, None),
    Entry("Job date", DATE_KIND, None, None),
    Entry("Job revision", kinds.TEXT, "A", "A", "Raise it when something changes; note it below"),
    Entry("Currency", kinds.TEXT, "$", "€"),
)

CHOSEN = (
    Entry(
        "Block",
        kinds.TEXT,
        "Plank block 18 x 4 x 8",
        "Plank block 450 x 100 x 200",
        "From the Materials sheet",
        "Blocks_name",
    ),
    Entry(
        "Cap",
        kinds.TEXT,
        "Smooth cap 24 x 12 x 2",
        "Smooth cap 600 x 300 x 50",
        "Blank for no caps",
        "Caps_name",
    ),
    Entry("Column cap", kinds.TEXT, None, None, "Blank for none", "Column_caps_name"),
    Entry(
        "Base material",
        kinds.TEXT,
        "Stone dust, bulk by volume",
        "Stone dust, bulk by volume",
        "",
        "Bases_name",
    ),
    Entry(
        "Adhesive",
        kinds.TEXT,
        "Masonry adhesive 28 oz",
        "Masonry adhesive 825 mL",
        "",
        "Adhesives_name",
    ),
    Entry(
        "Liner",
        kinds.TEXT,
        "Sheet liner 45 mil",
        "Sheet liner 1.1 mm",
        "Preformed: check its nominal size on the Take-off sheet",
        "Liners_name",
    ),
    Entry("Underlay", kinds.TEXT, None, None, "Blank for none", "Underlays_name"),
)

_REQUIRED = ("Block", "Base_material", "Adhesive", "Liner")

METHOD = (
    Entry("Base thickness", kinds.LENGTH, 4, 100, "Tamped; 4 in (100 mm) is common practice"),
    Entry("Base margin", kinds.LENGTH, 6, 150, "Working margin all round the footprint"),
    Entry("Beads", kinds.COUNT, 2, 2, "Beads of adhesive along each bed"),
    Entry("Bead diameter", kinds.LENGTH, "3/8", 10),
    Entry("Adhesive waste", PERCENT_KIND, 0.1, 0.1),
    Entry(
        "Liner lap",
        kinds.LENGTH,
        6,
        150,
        "Flap on the wall, under the caps; leave the outer edge bare for adhesive",
    ),
    Entry("Liner tolerance", kinds.LENGTH, "1/4", 6, "Of a preformed liner; its maker's figure"),
    Entry("Hose flow", kinds.HOSE_FLOW, 6, 22, "Time a bucket at the site's hose"),
)

PRICING = (
    Entry("Labour rate", MONEY_KIND, 58, 52, "Per person-hour, wages and burden"),
    Entry("Crew", kinds.COUNT, 2, 2, "People on site"),
    Entry("Hours per day", kinds.COUNT, 8, 8),
    Entry("Delivery", MONEY_KIND, 95, 90, "What the supplier charges, in all"),
    Entry("Markup on materials", PERCENT_KIND, 0.2, 0.2),
    Entry("Markup on labour", PERCENT_KIND, 0.35, 0.35),
    Entry("Tax rate", PERCENT_KIND, 0.07, 0.2, "Check local rules for what is taxed"),
    Entry("Tax applies to", kinds.TEXT, "materials", "all", "", ("materials", "all", "none")),
)

# Headings inside the layout inputs: the first field of each group.
_GROUPS = {
    "inside_length": "Size",
    "block_length": "Block (from the Materials sheet)",
    "joint": "Bond and cuts",
    "edge_courses": "Blocks on edge",
    "cap_length": "Caps (sizes from the Materials sheet)",
    "columns": "Columns",
    "second_wall": "Second wall",
    "opening_width": "Pipe opening in the back wall",
}
_SECOND_PAGE = "second_wall"
# The order on the sheet: the size first, as it is measured and asked for.
SIZE_FIRST = ("inside_length", "inside_width", "water_depth", "freeboard", "courses")
LAYOUT_FIELDS: tuple[Field, ...] = (
    *(FIELDS[name] for name in SIZE_FIRST),
    *(field for field in FIELDS.values() if field.name not in SIZE_FIRST),
)
_STARTERS: dict[str, tuple[object, object]] = {
    "water_depth": (14, 350),
    "freeboard": (2, 50),
    "kerf": ("1/8", 3),
    "breakage": (0.05, 0.05),
    "column_core": ("yes", "yes"),
    "pipe_space": (4, 100),
    "opening_course": (1, 1),
    **{
        field.name: (field.choices[0], field.choices[0])
        for field in FIELDS.values()
        if field.choices
    },
}


def from_materials(field_name: str, block: str = "Block", cap: str = "Cap") -> str | None:
    """Return the formula of a layout input that follows from a chosen material, else None."""
    table, chosen = {
        "block": ("Blocks", block),
        "cap": ("Caps", cap),
        "column_cap": ("Column_caps", "Column_cap"),
    }.get(field_name.rpartition("_")[0], ("", ""))
    key = field_name.rpartition("_")[2]
    if not table or key not in ("length", "height", "depth", "side"):
        return None
    found = lookup(table, key, chosen)
    return f'IF({chosen}="","",IFERROR({found},""))'


def layout_value(field: Field) -> str:
    """Return the defined name of a layout input's cell."""
    return field.label.replace(" ", "_").replace("-", "_")


def add_job(template: Template) -> None:
    """Add the sheet with all inputs, and the message about what is missing."""
    sheet = template.sheet("Job", [30, 27, 8, 25, 50], scale=67)
    sheet.title("Raised basin: job", message=False)
    sheet.merge("A2:E2")
    sheet.put(
        "A2",
        awake(f'IFERROR("Calculated with functions "&{call("ADDINVERSION")},"{ADDIN_MISSING}")'),
        style.NOTE,
        name="Addin_line",
    )
    sheet.height(2, 28)
    sheet.put("A3", "Fill in", style.LABEL)
    sheet.put("B3", "a cell like this one", style.INPUT_TEXT)
    sheet.worksheet["B3"].protection = style.LOCKED
    sheet.merge("C3:E3")
    sheet.put(
        "C3",
        "Lengths may be typed as 50, 50 in, 4' 2\" or 1.27 m; grey cells are calculated.",
        style.NOTE,
    )
    sheet.merge("A4:E4")
    sheet.put("A4", f'=IFERROR(Job_message,"{MISSING}")', style.STRONG)
    sheet.flag("A4", "NOT(Ready)")
    sheet.height(4, 30)
    row = _entries(sheet, 6, "Job", PARTICULARS)
    sheet.put(f"A{row}", "Units", style.LABEL)
    sheet.put(f"B{row}", sheet.system, style.RESULT_TEXT, name="Units")
    sheet.merge(f"C{row}:E{row}")
    sheet.put(
        f"C{row}",
        "Of plain numbers in this workbook; the other template has the other units",
        style.NOTE,
    )
    row = _entries(sheet, row + 2, "Materials chosen", CHOSEN)
    row = _layout(sheet, row + 1)
    row = _entries(sheet, row + 1, "Base, adhesive, liner and filling", METHOD)
    row = _entries(sheet, row + 1, "Labour and pricing", PRICING)
    row = _changes(sheet, row + 1)
    row = put_cautions(sheet, row + 2, "job")
    sheet.finish(f"A1:E{row}", freeze="A5", titles="1:2")


def _entries(sheet: Sheet, row: int, title: str, entries: tuple[Entry, ...]) -> int:
    sheet.section(row, title)
    for entry in entries:
        row += 1
        _entry(sheet, row, entry)
    return row + 1


def _entry(sheet: Sheet, row: int, entry: Entry) -> None:
    value, cell = entry.starter(sheet.system), f"B{row}"
    unit = sheet.unit(entry.kind)
    role, number_format = style.INPUT, ""
    if entry.kind is kinds.TEXT:
        role = style.INPUT_TEXT
    elif entry.kind is MONEY_KIND:
        number_format = MONEY
        unit = "money"
        sheet.decimal(cell, 0, 1_000_000)
    elif entry.kind is PERCENT_KIND:
        number_format = PERCENT
        sheet.decimal(cell, 0, 2)
    elif entry.kind is DATE_KIND:
        number_format = "yyyy-mm-dd"
    elif entry.kind is kinds.COUNT:
        number_format = COUNT
        sheet.whole_number(cell, 1, _MOST)
    sheet.put(f"A{row}", entry.label, style.LABEL)
    sheet.put(cell, value, role, number_format=number_format, name=entry.name)
    if entry.choices:
        sheet.list_of(cell, entry.choices)
    if unit == "money":
        per_hour = '&"/h"' if entry.name == "Labour_rate" else ""
        sheet.put(f"C{row}", f"=Currency{per_hour}", style.UNIT)
    else:
        sheet.put(f"C{row}", unit or None, style.UNIT)
    if entry.kind is kinds.LENGTH:
        _read_as(sheet, row)
    sheet.put(f"E{row}", entry.help or None, style.NOTE)
    if len(entry.help) > 56:
        sheet.height(row, 26)


def _read_as(sheet: Sheet, row: int) -> None:
    sheet.put(
        f"D{row}",
        f'=IFERROR(IF(B{row}="","",{call("READLENGTH", f"B{row}")}),"not a length")',
        style.UNIT,
    )


def _layout(sheet: Sheet, row: int) -> int:
    first = row
    for field in LAYOUT_FIELDS:
        if field.name == _SECOND_PAGE:
            sheet.break_before(row)
        if field.name in _GROUPS:
            sheet.section(row, _GROUPS[field.name])
            row += 1
        _layout_field(sheet, row, field)
        row += 1
    sheet.name("Job_labels", f"$A${first}:$A${row - 1}")
    sheet.name("Job_values", f"$B${first}:$B${row - 1}")
    sheet.put(f"A{row}", "Ready", style.LABEL)
    message = call("WHY", '"TAKEOFF"', '"Blocks to buy"', "Job_labels", "Job_values", "Units")
    complete = f'=IFERROR(Job_message="{COMPLETE}",FALSE)'
    sheet.put(f"B{row}", complete, style.RESULT_TEXT, name="Ready")
    sheet.merge(f"C{row}:E{row}")
    sheet.put(
        f"C{row}",
        f'=IF(Job_problem<>"{COMPLETE}",Job_problem,IF({message}="","{COMPLETE}",{message}))',
        style.STRONG,
        name="Job_message",
    )
    sheet.height(row, 28)
    row += 1
    sheet.put(f"A{row}", "Materials and methods", style.LABEL)
    sheet.merge(f"B{row}:E{row}")
    sheet.put(f"B{row}", f"={_problem(sheet.system)}", style.RESULT_TEXT, name="Job_problem")
    row += 1
    sheet.put(f"A{row}", "Notes on the layout", style.LABEL)
    sheet.merge(f"B{row}:E{row}")
    notes = call("LAYOUTNOTES", "Job_labels", "Job_values")
    sheet.put(
        f"B{row}", f'=IFERROR(IF(Ready,{notes},""),"")', style.RESULT_TEXT, name="Layout_notes"
    )
    sheet.height(row, 42)
    row += 1
    sheet.put(f"A{row}", "Line on every sheet", style.LABEL)
    sheet.merge(f"B{row}:E{row}")
    sheet.put(
        f"B{row}",
        '=IF(Job_name="","",Job_name)&IF(Job_number="","","   No. "&Job_number)'
        '&IF(Job_date="","","   "&TEXT(Job_date,"yyyy-mm-dd"))'
        '&IF(Job_revision="","","   Revision "&Job_revision)&"   Units: "&Units',
        style.RESULT_TEXT,
        name="Job_line",
    )
    return row + 1


def _problem(system: str) -> str:
    """Formula text: the first fault among materials, methods and prices, or that all is there."""
    found = []
    for entry in CHOSEN:
        table = str(entry.choices).removesuffix("_name")
        found.append((unknown(entry.name, table), f"{entry.label}: not on the Materials sheet"))
        if entry.name in _REQUIRED:
            found.append((f'{entry.name}=""', f"{entry.label}: choose one"))
    # The layout has a default for it; what the sheets show of water has none.
    found.append(('Water_depth=""', "Water depth: this input is missing"))
    others = [("Pump", "Pumps"), ("Pipe", "Pipes")]
    others += [(f"Fitting_{n}", "Fittings") for n in range(1, FITTING_ROWS + 1)]
    for name, table in others:
        found.append((unknown(name, table), f"{table}: one is not on the Pump and pipe sheet"))
    found.append((labour_fault(), "Labour: put tasks of your own on the Estimate sheet"))
    found += [_wrong(entry, system) for entry in (*METHOD, *PRICING) if entry.kind.name in _CHECKED]
    formula = f'"{COMPLETE}"'
    for fault, text in reversed(found):
        formula = f'IF({fault},"{text}",{formula})'
    # Where the functions are missing, the fault is theirs: this lets their error through.
    return f'IF({call("ADDINVERSION")}="","",{formula})'


# What the functions allow of an entry: the function and its argument.
_LIMITS = {
    "Base_thickness": ("BASEVOLUME", "thickness"),
    "Base_margin": ("BASEAREA", "margin"),
    "Bead_diameter": ("CARTRIDGES", "bead_diameter"),
    "Beads": ("CARTRIDGES", "beads"),
    "Adhesive_waste": ("CARTRIDGES", "waste"),
    "Liner_lap": ("LINERSHEET", "lap"),
    "Liner_tolerance": ("LINERFIT", "tolerance"),
}
_CHECKED = ("length", "count", "money", "percent", "hose flow")


def _wrong(entry: Entry, system: str) -> tuple[str, str]:
    """Formula text that tells a wrong value of an entry, and what to say of it."""
    name = entry.name
    low, high = 0.0, 1e9
    if name in _LIMITS:
        of, argument = _LIMITS[name]
        (declared,) = (given for given in function(of).arguments if given.name == argument)
        low, high = declared.low or 0.0, declared.high or 0.0
    if entry.kind is kinds.LENGTH:
        value = call("CONVERTLENGTH", name, '"m"')
        allowed = shown_range(low, high, entry.kind, system)
        return (
            f'OR({name}="",NOT(IFERROR(AND({value}>={low:g},{value}<={high:g}),FALSE)))',
            f"{entry.label}: give {allowed}",
        )
    if entry.kind is kinds.HOSE_FLOW:
        value = call("FILLTIME", '"100 L"', name)
        return f"NOT(IFERROR({value}>0,FALSE))", f"{entry.label}: give a flow"
    if entry.kind is kinds.COUNT:
        high = min(high, _MOST)
        return (
            f"OR(N({name})<1,N({name})>{high:g},N({name})<>INT(N({name})))",
            f"{entry.label}: give a whole number from 1 to {high:g}",
        )
    return f"OR(ISTEXT({name}),N({name})<0,N({name})>{high:g})", f"{entry.label}: out of range"


def _layout_field(sheet: Sheet, row: int, field: Field) -> None:
    cell = f"B{row}"
    sheet.put(f"A{row}", field.label, style.LABEL)
    formula = from_materials(field.name)
    starter = _STARTERS.get(field.name, (None, None))[1 if sheet.metric else 0]
    if formula:
        sheet.put(cell, f"={formula}", style.RESULT, number_format=sheet.number_format(field.kind))
    elif field.kind in (kinds.TEXT, kinds.CHOICE):
        sheet.put(cell, starter, style.INPUT_TEXT)
    else:
        sheet.put(
            cell,
            starter,
            style.INPUT,
            number_format=PERCENT if field.kind is kinds.RATIO else "General",
        )
    sheet.name(layout_value(field), f"$B${row}")
    if field.choices:
        sheet.list_of(cell, field.choices)
    elif field.kind is kinds.COUNT:
        sheet.whole_number(cell, int(field.low or 0), int(field.high or 0))
    sheet.put(f"C{row}", sheet.unit(field.kind) or None, style.UNIT)
    if field.kind is kinds.LENGTH:
        _read_as(sheet, row)
    sheet.put(f"E{row}", field.help, style.NOTE)
    if len(field.help) > 56:
        sheet.height(row, 26)


def _changes(sheet: Sheet, row: int) -> int:
    """Room for the record of what changed: date, who, what, price agreed."""
    sheet.section(row, "Record of changes")
    sheet.row(
        row + 1,
        "A",
        ("Date and revision", "Changed by", "", "Agreed with", "What changed"),
        style.HEAD,
    )
    for offset in range(2, 7):
        sheet.row(row + offset, "A", (None,) * 5, style.INPUT_TEXT)
    return row + 6
