"""The template files: where they lie, how they are made, and copying one for a new job."""

from __future__ import annotations

import tempfile
import zipfile
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Final

from openpyxl import Workbook
from openpyxl.xml.functions import tostring

import basinbook
from basinbook.engine.errors import InputError
from basinbook.units import check_system
from basinbook.workbook.convert import convert
from basinbook.workbook.file.package import (
    Package,
    open_package,
    sheet_parts,
    to_xml,
    write_package,
)
from basinbook.workbook.file.safe_write import refuse_existing, write_together
from basinbook.workbook.recalculation.recalc import Report, recalculate
from basinbook.workbook.recalculation.redraw import redraw
from basinbook.workbook.template.drawings import PICTURES
from basinbook.workbook.template.template import build_template, fill

NAMES: Final = {"us": "basin_us.xlsx", "metric": "basin_metric.xlsx"}
HOSTS: Final = ("calc", "excel")
# The date in a template's properties and on the entries of its zip, and the system they name. The
# time of building would make every build another file, and say nothing: the version does.
_DATED: Final = datetime(2026, 1, 1)
_UNIX: Final = 3
_PROPERTIES: Final = "docProps/core.xml"


def template_folder() -> Path:
    """Return the folder of the template files: inside an installed package, or the repository's."""
    package = Path(basinbook.__file__).parent
    for folder in (package / "templates", package.parents[1] / "workbook_templates"):
        if (folder / NAMES["us"]).is_file():
            return folder
    raise InputError("template", str(package), "the template files are missing; install again")


def template_name(system: str, host: str) -> str:
    """Return the file name of a template: the unit system's, in the spelling of a host."""
    if host not in HOSTS:
        raise InputError("host", host, f"allowed are {', '.join(HOSTS)}")
    name = NAMES[check_system(system)]
    return name if host == "calc" else name.replace(".", f"_{host}.")


def new_workbook(
    path: Path, system: str = "us", host: str = "calc", *, force: bool = False
) -> Path:
    """Copy the blank template of a unit system and host to a path, new unless ``force`` is set.

    "calc" is the spelling of Calc and of the recalculation without a spreadsheet program.
    """
    if path.suffix.lower() != ".xlsx":
        raise InputError("file", str(path), "give a name that ends in .xlsx")
    if not path.parent.is_dir():
        raise InputError("file", str(path), "the folder does not exist")
    template = template_folder() / template_name(system, host)
    refuse_existing(path, force=force)
    write_together({path: template.read_bytes()}, force=force)
    return path


def write_templates(folder: Path, *, force: bool = False) -> list[Path]:
    """Build the templates of all unit systems and hosts from code into a folder."""
    written = []
    for system in NAMES:
        plain = folder / template_name(system, "calc")
        make_workbook(plain, system, force=force)
        spelt = folder / template_name(system, "excel")
        convert(plain, "excel", out=spelt, force=force)
        written += [plain, spelt]
    return written


def make_workbook(
    path: Path, system: str, values: Mapping[str, object] | None = None, *, force: bool = False
) -> Report:
    """Build a template from code, type in values by defined name, calculate and write it.

    Raises InputError where the path exists and ``force`` is not set.
    """
    refuse_existing(path, force=force)
    workbook = build_template(system)
    fill(workbook, values or {})
    with tempfile.TemporaryDirectory(prefix="basinbook-") as scratch:
        draft = Path(scratch) / "draft.xlsx"
        _save(workbook, draft)
        return recalculate(draft, out=path, force=force, refreshers=(redraw,))


def _save(workbook: Workbook, path: Path) -> None:
    """Save as the same bytes each time, with the names of the drawings on their pictures.

    The library that saves has no way to set either: it writes the time of saving, and numbers the
    pictures.
    """
    workbook.save(path)
    package = open_package(path)
    workbook.properties.created = workbook.properties.modified = _DATED
    properties = tostring(workbook.properties.to_tree())
    undated = replace(package, entries=tuple(_undated(entry) for entry in package.entries))
    write_package(undated, {**_named_pictures(package), _PROPERTIES: properties}, path)


def _undated(entry: zipfile.ZipInfo) -> zipfile.ZipInfo:
    fresh = zipfile.ZipInfo(entry.filename, _DATED.timetuple()[:6])
    fresh.compress_type = zipfile.ZIP_DEFLATED
    fresh.create_system = _UNIX
    fresh.external_attr = 0o644 << 16
    return fresh


def _named_pictures(package: Package) -> dict[str, bytes]:
    part = sheet_parts(package)["Drawings"]
    drawing = next(target for kind, target in package.related(part).values() if kind == "drawing")
    root = package.xml(drawing)
    for found, name in zip(root.iter("{*}cNvPr"), PICTURES, strict=True):
        found.set("name", name)
        found.set("descr", f"Drawing: {name}")
    return {drawing: to_xml(root)}
