"""Reading what the drawings need from a workbook: the layout's inputs, the job, its outfit."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Final, NamedTuple

from basinbook.catalogue.spec_reader import read_outfit, read_spec
from basinbook.drawings.sheet import TitleBlock
from basinbook.engine.errors import InputError
from basinbook.engine.outfit import (
    CIRCULATION,
    FALLS,
    FIELDS,
    PREFORMED,
    SHEET,
    STILL,
    Outfit,
)
from basinbook.engine.spec import BasinSpec
from basinbook.units import check_system, usual_paper
from basinbook.workbook.file.open_workbook import Cells
from basinbook.workbook.recalculation.named_values import Named
from basinbook.workbook.recalculation.stored import Stored

# Where workbooks without an outfit of their own have what belongs to it: field and cell.
_OLDER: Final = {
    "liner": "Liner",
    "liner_lap": "Liner_lap",
    "underlay": "Underlay",
    "base_material": "Base_material",
    "base_thickness": "Base_thickness",
    "base_margin": "Base_margin",
    "adhesive": "Adhesive",
}
_OLDER_WATER: Final = {
    "pump": "Pump",
    "pipe": "Pipe",
    "pipe_bore": "Pipe_bore",
    "pump_width": "Pump_width",
    "pump_height": "Pump_height",
}
_NEEDED: Final = ("Job_labels", "Job_values")
_OUTFIT: Final = ("Outfit_labels", "Outfit_values")
NAMES: Final = (
    *_NEEDED, *_OUTFIT, "Units", "Job_name", "Job_date", "Job_revision", "Spill_kind",
    *_OLDER.values(), *_OLDER_WATER.values(),
)  # fmt: skip


class DrawingInputs(NamedTuple):
    """All that the drawings of a job follow from."""

    spec: BasinSpec
    title: TitleBlock
    outfit: Outfit


def drawing_inputs(path: Path, paper: str | None = None) -> DrawingInputs:
    """Return the layout's inputs, title block and outfit of a saved workbook.

    Read are the values behind the defined names Units, Job_labels, Job_values, Job_name,
    Job_date, Job_revision, Outfit_labels and Outfit_values; Job_labels and Job_values must be
    there, the others may be missing or blank. Raises InputError for a file that is no workbook,
    one without these names, and one whose values are not those of its inputs.
    """
    stored = _opened(path)
    if all(name in stored.names for name in _NEEDED):
        stored.refuse_stale(NAMES, "file")
    return drawing_inputs_of(stored, path, paper)


def drawing_inputs_of(named: Named, path: Path, paper: str | None = None) -> DrawingInputs:
    """Return the same of values that are read already; ``path``: of which workbook."""
    for name in _NEEDED:
        if not named.place(name):
            raise InputError(
                "file", str(path), f"it has no cells named {name}; give an estimate workbook"
            )
    return inputs_from(named.cells, paper)


def inputs_from(cells: Callable[[str], Cells], paper: str | None = None) -> DrawingInputs:
    """Return the same from any source of values: ``cells`` gives those of a defined name.

    A name that is missing has no cells; without a paper it is that of the units. Raises
    InputError for inputs that can't be used.
    """
    system = check_system(_value(cells("Units")))
    spec = read_spec(cells("Job_labels"), cells("Job_values"), system)
    title = TitleBlock(
        job=_text(cells("Job_name")),
        date=_text(cells("Job_date")),
        revision=_text(cells("Job_revision")),
        system=system,
        paper=paper or usual_paper(system),
    )
    return DrawingInputs(spec, title, _outfit(cells, system))


def _outfit(cells: Callable[[str], Cells], system: str) -> Outfit:
    labels, values = (cells(name) for name in _OUTFIT)
    if labels:
        return read_outfit(labels, values, system)
    found = {field: _value(cells(name)) for field, name in _OLDER.items()}
    spillway, pump = _text(cells("Spill_kind")), _text(cells("Pump"))
    effect = spillway if spillway in FALLS else CIRCULATION if pump else STILL
    if effect != STILL:
        found |= {field: _value(cells(name)) for field, name in _OLDER_WATER.items()}
    found |= {"effect": effect, "liner_type": _liner_type(cells, found["liner"])}
    # What can't be worked out, such as the bore of a pipe that no table has, is not there.
    known = {
        field: None if field == "pipe_bore" and not isinstance(value, (int, float)) else value
        for field, value in found.items()
    }
    given = tuple((FIELDS[field].label,) for field in known)
    return read_outfit(given, tuple((value,) for value in known.values()), system)


def _liner_type(cells: Callable[[str], Cells], liner: object) -> str:
    if not liner:
        return ""
    rows = zip(cells("Liners_name"), cells("Liners_type"), strict=False)
    preformed = any(name[0] == liner and kind[0] == PREFORMED for name, kind in rows)
    return PREFORMED if preformed else SHEET


def _opened(path: Path) -> Stored:
    try:
        return Stored(path)
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
