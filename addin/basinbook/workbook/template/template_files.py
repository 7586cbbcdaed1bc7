"""The template files: where they lie, how they are made, and copying one for a new job."""

from __future__ import annotations

import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Final

from openpyxl import Workbook
from openpyxl.xml.functions import tostring

import basinbook
from basinbook.engine.errors import InputError
from basinbook.files.reading import read_file
from basinbook.files.scratch import temporary_folder
from basinbook.files.targets import check_target, refuse_inputs
from basinbook.files.writing import write_file, write_files
from basinbook.units import check_system
from basinbook.workbook.convert import convert
from basinbook.workbook.file import limits
from basinbook.workbook.file.package import (
    Package,
    open_package,
    sheet_parts,
    to_xml,
    write_package,
)
from basinbook.workbook.recalculation.recalc import Early, Report, recalculate
from basinbook.workbook.recalculation.redraw import redrawing
from basinbook.workbook.template.drawings import PICTURES
from basinbook.workbook.template.inputs.groups import FRONT
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
    template = template_folder() / template_name(system, host)
    check_target(path, replace=force, argument="file")
    refuse_inputs(path, (template,), "file")
    content = read_file(template, limits.MAX_FILE_BYTES, "template")
    write_file(path, content, replace=force, argument="file")
    return path


def write_templates(folder: Path, *, force: bool = False) -> list[Path]:
    """Build the templates of all unit systems and hosts from code into a folder, all or none."""
    targets = {host: [folder / template_name(system, host) for system in NAMES] for host in HOSTS}
    for target in (path for paths in targets.values() for path in paths):
        check_target(target, replace=force, make_folder=True)
    made: dict[Path, bytes] = {}
    with temporary_folder() as scratch:
        for system, plain, spelt in zip(NAMES, targets["calc"], targets["excel"], strict=True):
            draft = scratch / plain.name
            make_workbook(draft, system)
            made[plain] = draft.read_bytes()
            made[spelt] = convert(draft, "excel").out.read_bytes()
    write_files(made, replace=force)
    return list(made)


def make_workbook(
    path: Path,
    system: str,
    values: Mapping[str, object] | None = None,
    *,
    force: bool = False,
    early: Iterable[Early] = (),
) -> Report:
    """Build a template from code, type in values by defined name, calculate and write it.

    ``early``: what else begins before it is calculated. Raises InputError where the path exists
    and ``force`` is not set.
    """
    check_target(path, replace=force)
    workbook = build_template(system)
    fill(workbook, values or {})
    return write_filled(workbook, path, force=force, early=early)


def write_filled(
    workbook: Workbook,
    path: Path,
    host: str = "calc",
    *,
    force: bool = False,
    early: Iterable[Early] = (),
) -> Report:
    """Calculate a template that was built and filled, and write it in the spelling of a host."""
    with temporary_folder() as scratch:
        draft = scratch / "draft.xlsx"
        _save(workbook, draft)
        if host == "calc":
            return recalculate(draft, out=path, force=force, early=(redrawing, *early))
        report = recalculate(draft, early=(redrawing, *early))
        convert(draft, host, out=path, force=force)
        return replace(report, out=path)


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
    found = {}
    for sheet, names in (("Drawings", PICTURES), (FRONT, (FRONT,))):
        related = package.related(sheet_parts(package)[sheet])
        drawing = next(target for kind, target in related.values() if kind == "drawing")
        root = package.xml(drawing)
        for picture, name in zip(root.iter("{*}cNvPr"), names, strict=True):
            picture.set("name", name)
            picture.set("descr", f"Drawing: {name}")
        found[drawing] = to_xml(root)
    return found
