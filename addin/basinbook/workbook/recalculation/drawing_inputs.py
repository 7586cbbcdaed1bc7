"""Reading what the drawings need from a workbook: the layout's inputs, the job, the section's."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from basinbook.catalogue.spec_reader import read_spec
from basinbook.drawings.section import SectionInputs
from basinbook.drawings.sheet import TitleBlock
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.engine.spec import BasinSpec
from basinbook.units import check_system, read
from basinbook.workbook.file.open_workbook import Cells, named_cells, open_workbook
from basinbook.workbook.recalculation.calculated import refuse_stale

if TYPE_CHECKING:
    from openpyxl import Workbook

_SECTION_NAMES: Final = {
    "base_thickness": "Base_thickness",
    "base_margin": "Base_margin",
    "liner_lap": "Liner_lap",
}
_NEEDED: Final = ("Job_labels", "Job_values")
_READ: Final = (
    *_NEEDED, "Units", "Job_name", "Job_date", "Job_revision", *_SECTION_NAMES.values(),
)  # fmt: skip


class DrawingInputs(NamedTuple):
    """All that the drawings of a job follow from."""

    spec: BasinSpec
    title: TitleBlock
    section: SectionInputs


def drawing_inputs(path: Path, paper: str = "letter") -> DrawingInputs:
    """Return the layout's inputs, title block and section inputs of a saved workbook.

    Read are the values behind the defined names Units, Job_labels, Job_values, Job_name,
    Job_date, Job_revision, Base_thickness, Base_margin and Liner_lap; Job_labels and Job_values
    must be there, the others may be missing or blank. Raises InputError for a file that is no
    workbook, one without these names, and one whose values are not those of its inputs.
    """
    book = _opened(path)
    if all(name in book.defined_names for name in _NEEDED):
        refuse_stale(path, book, _READ, "file")
    return drawing_inputs_of(book, path, paper)


def drawing_inputs_of(book: Workbook, path: Path, paper: str = "letter") -> DrawingInputs:
    """Return the same of a workbook that is read already; ``path``: where it lies."""

    def cells(name: str) -> Cells:
        return named_cells(book, name)

    for name in _NEEDED:
        if name not in book.defined_names:
            raise InputError(
                "file", str(path), f"it has no cells named {name}; give an estimate workbook"
            )
    return inputs_from(cells, paper)


def inputs_from(cells: Callable[[str], Cells], paper: str) -> DrawingInputs:
    """Return the same from any source of values: ``cells`` gives those of a defined name.

    A name that is missing has no cells. Raises InputError for inputs that can't be used.
    """
    system = check_system(_value(cells("Units")))
    spec = read_spec(cells("Job_labels"), cells("Job_values"), system)
    title = TitleBlock(
        job=_text(cells("Job_name")),
        date=_text(cells("Job_date")),
        revision=_text(cells("Job_revision")),
        system=system,
        paper=paper,
    )
    given: dict[str, float] = {}
    for field, name in _SECTION_NAMES.items():
        value = _value(cells(name))
        if value is not None and value != "":
            given[field] = read(value, kinds.LENGTH, system, name.replace("_", " "))
    return DrawingInputs(spec, title, SectionInputs(**given))


def _opened(path: Path) -> Workbook:
    try:
        return open_workbook(path)
    except InputError as error:
        allowed = f"it is not a workbook that can be read: {error.allowed}"
        raise InputError("file", str(path), allowed) from error


def _value(cells: Cells) -> object:
    return cells[0][0] if cells and cells[0] else None


def _text(cells: Cells) -> str:
    value = _value(cells)
    if isinstance(value, datetime):
        value = value.date()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return "" if value is None else str(value).strip()
