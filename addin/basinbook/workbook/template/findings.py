"""The Findings sheet: what stands in the way of the job, and why it is sent all the same."""

from __future__ import annotations

from typing import Final

from basinbook.catalogue import function
from basinbook.catalogue.model import Array
from basinbook.engine.findings.listing import FINDINGS, TOPICS
from basinbook.engine.findings.model import GRADES, LOOK, NOTE, STOPS, Topic
from basinbook.workbook.template import style
from basinbook.workbook.template.finding_facts import FACTS
from basinbook.workbook.template.formulas import call, or_blank
from basinbook.workbook.template.sheet_writer import Area, Rows, Sheet, Template

SHEET: Final = "Findings"
LISTED: Final = 18
REASONS: Final = 8
PANEL_ROWS: Final = 4
_COLUMNS: Final = ("name", "grade", "found", "value", "limit", "change", "cell")
_RANK: Final = 1000
_UNKNOWN: Final = "The findings can't be worked out here: see the top of the Basin sheet"
_NONE: Final = "Nothing was found that stands in the way"


def add_findings(template: Template) -> None:
    """Add the sheet, and on the working sheet what it is picked from."""
    sheet = template.sheet(SHEET, [8, 20, 38, 19, 19, 34, 16, 22], landscape=True)
    sheet.title("Findings")
    rows = sheet.rows(3)
    summary = rows.next()
    sheet.merge(f"A{summary}:{sheet.last}{summary}")
    where = rows.next()
    sheet.merge(f"A{where}:{sheet.last}{where}")
    sheet.put(
        f"A{where}",
        "What stops is not sent. What is to be looked at is sent only with a reason, typed below. "
        "Notes are to be known. Click a line's cell to go where it lies.",
        style.NOTE,
    )
    head = rows.next()
    heads = ("Grade", "Finding", "What was found", "Value", "Limit", "What to change", "Cell")
    sheet.row(head, "A", (*heads, "Reason to send all the same"), style.HEAD)
    sheet.height(head, 22)
    listed = rows.take(LISTED)
    more = rows.next()
    _reasons(rows)
    areas, positions = _working(template)
    for number, row in enumerate(listed, start=1):
        _listed(sheet, row, areas, positions.cell(number, 1))
    sheet.merge(f"A{more}:{sheet.last}{more}")
    count = f"COUNT({areas['rank']})"
    sheet.put(
        f"A{more}",
        f'=IF({count}>{LISTED},"And "&({count}-{LISTED})&" more: mend these first, or list all '
        'with basinbook check","")',
        style.STRONG,
    )
    _summary(sheet, summary, areas)
    sheet.flag(f"A{listed[0]}:A{listed[-1]}", f'$A{listed[0]}="{STOPS}"')
    sheet.finish(f"A1:{sheet.last}{rows.row}", freeze=f"A{listed[0]}", titles="1:2")


def put_panel(rows: Rows) -> None:
    """Write the counts by grade and the first findings, each with the way to its cell."""
    sheet = rows.sheet
    rows.section("Findings", gap=0)
    row = rows.next()
    sheet.merge(f"A{row}:{sheet.last}{row}")
    sheet.put(f"A{row}", '=HYPERLINK("#Findings_summary",Findings_summary)', style.STRONG)
    for number in range(1, PANEL_ROWS + 1):
        row = rows.next()
        place = f"INDEX(Findings_listed,{number},1)"
        there = f"LEN({place})>0"
        sheet.put(f"A{row}", f'=IF({there},{place},"")', style.BOX)
        sheet.merge(f"B{row}:{sheet.last}{row}")
        found, value, limit, change = (
            f"INDEX(Findings_listed,{number},{column})" for column in (3, 4, 5, 6)
        )
        said = f'{found}&": "&{value}&IF(LEN({limit})=0,"","; limit "&{limit})&". "&{change}'
        sheet.put(
            f"B{row}",
            f'=IF({there},HYPERLINK("#"&INDEX(Findings_cells,{number}),{said}),"")',
            style.BOX,
        )
        sheet.flag(f"A{row}", f'$A{row}="{STOPS}"')
        sheet.height(row, 26)


def _working(template: Template) -> tuple[dict[str, Area], Area]:
    """Write facts, findings and their order; return the columns, and which finding comes k-th."""
    lines: list[list[str]] = []
    for topic in TOPICS.values():
        table = _judged(template, topic)
        for number, finding in enumerate(topic.findings, start=1):
            at = [table.cell(number, column) for column in range(1, len(_COLUMNS) + 1)]
            # In Calc an empty text of an array is not equal to "", though it has no letters.
            blank = f"LEN({at[2]})=0"
            rank = GRADES.index(finding.grade) * _RANK + len(lines) + 1
            reason = (
                f'IF({blank},"",IFERROR(INDEX(Accepted_reason,'
                f'MATCH("{finding.name}",Accepted_finding,0))&"",""))'
            )
            lines.append(
                [
                    f"={at[0]}",
                    finding.grade,
                    *(f"={cell}" for cell in at[2:6]),
                    finding.cell,
                    f'=IF({blank},"",{rank})',
                    f"={reason}" if finding.grade == LOOK else '=""',
                ]
            )
    names = (*_COLUMNS, "rank", "reason")
    columns = template.block([f"Finding {name}" for name in names], lines)
    areas = dict(zip(names, columns, strict=True))
    first, last = columns[0], columns[-1]
    template.name(
        "Findings_all",
        template.working,
        f"${first.letters[0]}${first.first}:${last.letters[0]}${last.last}",
    )
    ranks = areas["rank"]
    (positions,) = template.block(
        ["Finding in order"],
        [[f'=IFERROR(MATCH(SMALL({ranks},{k}),{ranks},0),"")'] for k in range(1, LISTED + 1)],
    )
    (names_to_accept,) = template.block(
        ["Findings that a reason may be given for"],
        [[f.name] for f in FINDINGS.values() if f.grade == LOOK],
    )
    # The cells' names in the order listed, where links find them.
    (cells,) = template.block(
        ["Cell of a listed finding"],
        [
            [f'=IF({at}="","",INDEX({areas["cell"]},{at}))']
            for at in (positions.cell(k, 1) for k in range(1, LISTED + 1))
        ],
    )
    template.name("Findings_cells", template.working, cells.reference)
    template.name("Findings_to_accept", template.working, names_to_accept.reference)
    return areas, positions


def _judged(template: Template, topic: Topic) -> Area:
    formulas = FACTS[topic.name]
    labels, values = template.block(
        (f"Fact: {topic.name}", "Value"),
        [
            (fact.label, f"={or_blank(formulas[name])}")
            for name, fact in topic.facts.items()
            if name in formulas
        ],
    )
    declared = function("FINDINGS")
    assert isinstance(declared.result, Array)
    return template.table(
        call("FINDINGS", f'"{topic.name}"', str(labels), str(values)),
        len(topic.findings),
        len(declared.result.columns),
    )


def _listed(sheet: Sheet, row: int, areas: dict[str, Area], position: str) -> None:
    def picked(column: str) -> str:
        return f'IF({position}="","",INDEX({areas[column]},{position}))'

    for letter, column in zip(
        sheet.letters, ("grade", "name", "found", "value", "limit", "change"), strict=False
    ):
        sheet.put(f"{letter}{row}", f"={picked(column)}", style.BOX)
    cell = picked("cell")
    link = f'IF({position}="","",HYPERLINK("#"&{cell},SUBSTITUTE({cell},"_"," ")))'
    sheet.put(f"G{row}", f"={link}", style.BOX)
    sheet.put(f"H{row}", f"={picked('reason')}", style.BOX)
    sheet.height(row, 40)


def _reasons(rows: Rows) -> None:
    """Room for the reasons why what was to be looked at is sent all the same."""
    sheet = rows.sheet
    rows.section("Looked at, and sent all the same")
    head = rows.next()
    sheet.merge(f"A{head}:B{head}")
    sheet.merge(f"C{head}:G{head}")
    sheet.row(head, "A", ("Finding", "", "Reason", "", "", "", "", "By whom, date"), style.HEAD)
    cells = rows.take(REASONS)
    for row in cells:
        sheet.merge(f"A{row}:B{row}")
        sheet.merge(f"C{row}:G{row}")
        for letter in sheet.letters:
            sheet.put(f"{letter}{row}", None, style.INPUT_TEXT)
        sheet.list_of(f"A{row}", "Findings_to_accept")
    for letter, name in (("A", "finding"), ("C", "reason"), ("H", "by")):
        sheet.name(f"Accepted_{name}", f"${letter}${cells[0]}:${letter}${cells[-1]}")


def _summary(sheet: Sheet, row: int, areas: dict[str, Area]) -> None:
    """Name the counts by grade, and put them into words."""
    ranks, names, reasons = areas["rank"], areas["name"], areas["reason"]
    known = f'COUNTIF({names},"?*")={len(FINDINGS)}'
    grades = areas["grade"]
    found = f'({ranks}<>"")'
    formulas = {
        "Findings_stop": f'SUMPRODUCT({found}*({grades}="{STOPS}"))',
        "Findings_look": f'SUMPRODUCT({found}*({grades}="{LOOK}")*({reasons}=""))',
        "Findings_accepted": f'SUMPRODUCT({found}*({grades}="{LOOK}")*({reasons}<>""))',
        "Findings_note": f'SUMPRODUCT({found}*({grades}="{NOTE}"))',
    }
    counted = sheet.template.block(
        ["Findings", "Count"],
        [[name, f'=IF({known},{formula},"unknown")'] for name, formula in formulas.items()],
    )[1]
    for number, name in enumerate(formulas):
        at = counted.first + number
        sheet.template.name(name, sheet.template.working, f"${counted.letters[0]}${at}")
    words = (
        "=IF(ISNUMBER(Findings_stop),IF(COUNT("
        + str(ranks)
        + f')=0,"{_NONE}",Findings_stop&" to mend before anything is sent; "&Findings_look'
        '&" to look at, which need a reason; "&Findings_accepted&" with a reason; "&Findings_note'
        f'&" to note"),"{_UNKNOWN}")'
    )
    sheet.put(f"A{row}", words, style.STRONG, name="Findings_summary")
    sheet.name("Findings_listed", f"$A${row + 3}:$H${row + 2 + LISTED}")
    sheet.height(row, 20)
