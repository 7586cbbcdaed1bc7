"""Telling that a workbook is of an earlier version, and what it lacks."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Final

from basinbook.engine.errors import InputError
from basinbook.units import SYSTEMS
from basinbook.workbook.file.cells import SheetCells, shared_texts
from basinbook.workbook.file.open_workbook import named_area
from basinbook.workbook.file.package import Package, open_package, sheet_parts, workbook_part
from basinbook.workbook.template.version import VERSION, VERSION_NAME

if TYPE_CHECKING:
    from basinbook.workbook.update.side import Side

_OF_OPTION: Final = re.compile(r"Option_\d+_(\w+)")
# Named in a line; how many more there are is told.
_SHOWN: Final = 4


def version_in(side: Side) -> int:
    """Return the version of a workbook's sheets and cells; the first ones carry none."""
    place = side.single().get(VERSION_NAME)
    return _number(side.value(place)) if place else 1


def newer(version: int) -> str:
    """Return what to do about a workbook of a later version than this program's."""
    return (
        f"it has workbook version {version}, and this program knows {VERSION}; "
        "install a newer Basinbook"
    )


def version_note(path: Path) -> str:
    """Return a line about a workbook of another version than today's, or blank for any other.

    It names what the workbook lacks, and how to bring it up to date.
    """
    return package_note(open_package(path), path)


def package_note(package: Package, path: Path) -> str:
    """Return the same line about a workbook that is open already, and lies at a path."""
    names = _names(package)
    if "Job_labels" not in names or "Units" not in names:
        return ""
    version = _number(_value(package, names[VERSION_NAME])) if VERSION_NAME in names else 1
    if version == VERSION:
        return ""
    if version > VERSION:
        return f"{path}: {newer(version)}"
    units = str(_value(package, names["Units"])).strip().lower()
    lacks = _lacks(package, names, units if units in SYSTEMS else SYSTEMS[0])
    return (
        f"{path} has workbook version {version}, today's is {VERSION}{lacks}. "
        f'basinbook convert "{path}" --current makes an up-to-date copy'
    )


def _lacks(package: Package, names: dict[str, str], system: str) -> str:
    # The template's modules are loaded for an older workbook only: they take a while.
    from basinbook.workbook.template.inputs import BY_NAME
    from basinbook.workbook.template.template_files import NAMES, template_folder

    template = open_package(template_folder() / NAMES[system])
    sheets = [sheet for sheet in sheet_parts(template) if sheet not in sheet_parts(package)]
    missing = [name for name in _names(template) if name not in names]
    inputs = [BY_NAME[name].label for name in missing if name in BY_NAME]
    own = {name: match[1] for name in missing if (match := _OF_OPTION.fullmatch(name))}
    own = {name: BY_NAME[of].label for name, of in own.items() if of in BY_NAME}
    found = []
    if sheets:
        found.append(f"sheets {_some(sheets)}")
    if inputs:
        found.append(f"inputs {_some(inputs)}")
    if own:
        found.append(f"inputs of options {_some(list(dict.fromkeys(own.values())))}")
    if others := len(missing) - len(inputs) - len(own):
        found.append(f"{others} other named cells")
    return f", and it lacks {', '.join(found)}" if found else ""


def _some(names: list[str]) -> str:
    more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
    return f"{', '.join(names[:_SHOWN])}{more}"


def _names(package: Package) -> dict[str, str]:
    root = package.xml(workbook_part(package))
    return {
        item.get("name", ""): item.text or ""
        for item in root.iterfind("{*}definedNames/{*}definedName")
        if item.get("localSheetId") is None
    }


def _value(package: Package, reference: str) -> object:
    """Return what is stored in the first cell of a reference; nothing for what is no reference."""
    sheet, _, area = reference.rpartition("!")
    part = sheet_parts(package).get(sheet.strip("'").replace("''", "'"))
    if part is None:
        return None
    try:
        left, top, _, _ = named_area(reference, area)
    except InputError:
        return None
    related = package.related(workbook_part(package)).values()
    texts = [part for kind, part in related if kind == "sharedStrings"]
    shared = shared_texts(package.xml(texts[0])) if texts else []
    return SheetCells(package.xml(part), shared).value((top, left))


def _number(value: object) -> int:
    """Return a version as it is typed in a workbook; what is none is the first."""
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return int(value) if number and value >= 1 else 1  # type: ignore[call-overload, operator]
