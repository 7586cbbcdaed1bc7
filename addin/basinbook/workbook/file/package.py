"""A workbook file as what it is inside: a zip of parts (ECMA-376 part 2, Open Packaging).

A workbook is read whole, within limits, and written with some parts replaced; all the others come
out byte for byte as they went in. Bad files raise InputError naming the argument ``workbook``.
"""

from __future__ import annotations

import contextlib
import posixpath
import re
import struct
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import Final
from urllib.parse import unquote

from lxml import etree

from basinbook.engine.errors import InputError
from basinbook.files.reading import read_file
from basinbook.files.scratch import tidy
from basinbook.files.targets import is_same_place, real_file, refuse_inputs
from basinbook.files.writing import Unchanged, digest, write_file
from basinbook.workbook.file import limits, markup

ARGUMENT: Final = "workbook"
# The two that the format allows (ECMA-376 part 2, annex C); others unpack without bounds.
_PACKED: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
# What reading a damaged zip ends in, by what is damaged.
_DAMAGED: Final = (
    zipfile.BadZipFile, zlib.error, struct.error, EOFError, NotImplementedError, RuntimeError,
    ValueError, OverflowError, OSError,
)  # fmt: skip
_OLE: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_CONTENT_TYPES: Final = "[Content_Types].xml"
_SPREADSHEET_TYPES: Final = frozenset(
    {
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
        "application/vnd.openxmlformats-officedocument.spreadsheetml.template.main+xml",
        "application/vnd.ms-excel.sheet.macroenabled.main+xml",
        "application/vnd.ms-excel.template.macroenabled.main+xml",
    }
)


@dataclass(frozen=True)
class Package:
    """A workbook file's parts by name, in the file's order, and how the zip holds them."""

    path: Path
    parts: dict[str, bytes]
    entries: tuple[zipfile.ZipInfo, ...]
    comment: bytes = b""
    digest: str = ""
    _trees: dict[str, etree._Element] = field(default_factory=dict, repr=False, compare=False)
    """Trees of the checks, handed out to the first who asks."""

    def xml(self, part: str) -> etree._Element:
        """Return a part's root element; no entity is expanded and nothing is fetched."""
        if part not in self.parts:
            raise _refused(self.path, f"its part {part} is missing; open and save it again")
        waiting = self._trees.pop(part, None)
        if waiting is not None:
            return waiting
        try:
            return markup.parsed(self.parts[part])
        except etree.XMLSyntaxError as error:
            raise _refused(
                self.path, f"its part {part} is damaged; open and save it again"
            ) from error

    def related(self, part: str) -> dict[str, tuple[str, str]]:
        """Return a part's inner relationships: id → (the type's last word, target part)."""
        folder, name = posixpath.split(part)
        rels = posixpath.join(folder, "_rels", f"{name}.rels")
        if rels not in self.parts:
            return {}
        found = {}
        for item in self.xml(rels):
            if not isinstance(item.tag, str) or item.get("TargetMode") == "External":
                continue
            target = unquote(item.get("Target", ""))
            target = target[1:] if target.startswith("/") else posixpath.join(folder, target)
            kind = item.get("Type", "").rsplit("/", 1)[-1]
            found[item.get("Id", "")] = (kind, posixpath.normpath(target))
        return found


def to_xml(root: etree._Element) -> bytes:
    """Return the bytes of a part whose root element this is."""
    return etree.tostring(
        root.getroottree(), xml_declaration=True, encoding="UTF-8", standalone=True
    )


def open_package(path: Path) -> Package:
    """Read a workbook file (.xlsx, .xlsm and their templates); raises InputError.

    Refused are: what is missing, a folder, a pipe, a device, locked, damaged, protected by a
    password, of the old or the binary format, no workbook, or larger unpacked than any workbook
    has reason to be.
    """
    return package_of(path, workbook_bytes(path))


def workbook_bytes(path: Path) -> bytes:
    """Return the content of a workbook file, once what a killed run left beside it is settled."""
    with contextlib.suppress(OSError, ValueError):
        tidy(real_file(path).parent)
    return read_file(path, limits.MAX_FILE_BYTES, ARGUMENT)


def package_of(path: Path, data: bytes) -> Package:
    """Return the package that a workbook file's content is; raises InputError as `open_package`."""
    if data.startswith(_OLE):
        if "EncryptedPackage".encode("utf-16-le") in data:
            raise _refused(path, "it is protected by a password; save it without one")
        raise _refused(path, "it has the old .xls format; save it as .xlsx")
    if not zipfile.is_zipfile(BytesIO(data)):
        raise _refused(path, "it is damaged or no workbook; give an .xlsx or .xlsm file")
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            entries = tuple(archive.infolist())
            _check_entries(path, entries)
            parts = {entry.filename: archive.read(entry) for entry in entries}
            package = Package(path, parts, entries, archive.comment, digest(data))
    except InputError:
        raise
    except _DAMAGED as error:
        raise _refused(path, "it is damaged; open it from a copy or save it again") from error
    _check_markup(package)
    _check_is_workbook(package)
    _check_sheets(package)
    return package


def write_package(
    package: Package, replaced: Mapping[str, bytes], out: Path, *, replace: bool = True
) -> None:
    """Write the package to ``out`` with some parts replaced, in one step (``write_file``).

    ``out`` may be the package's own file, where nobody has saved that since it was read. Raises
    InputError.
    """
    unknown = [part for part in replaced if part not in package.parts]
    if unknown:
        raise InputError("part", unknown[0], "only parts that the workbook has can be replaced")
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.comment = package.comment
        for entry in package.entries:
            part = entry.filename
            archive.writestr(_like(entry), replaced.get(part, package.parts[part]))
    unchanged = None
    if is_same_place(out, package.path):
        unchanged = Unchanged(package.path, package.digest)
    else:
        refuse_inputs(out, (package.path,))
    write_file(out, buffer.getvalue(), replace=replace, unchanged=unchanged, mode_of=package.path)


def workbook_part(package: Package) -> str:
    """Return the name of the main part."""
    return next(
        (part for kind, part in package.related("").values() if kind == "officeDocument"), ""
    )


def sheet_parts(package: Package) -> dict[str, str]:
    """Return each worksheet's part by the sheet's name, in the workbook's order."""
    main = workbook_part(package)
    related = package.related(main)
    found = {}
    for sheet in package.xml(main).iterfind("{*}sheets/{*}sheet"):
        identity = next((v for k, v in sheet.attrib.items() if str(k).endswith("}id")), "")
        kind, part = related.get(str(identity), ("", ""))
        if kind == "worksheet":
            found[sheet.get("name", "")] = part
    return found


def counts_from_1904(package: Package) -> bool:
    """Return whether its days count from 1904 (ECMA-376 part 1, 18.17.4.1)."""
    properties = package.xml(workbook_part(package)).find("{*}workbookPr")
    return properties is not None and properties.get("date1904") in ("1", "true")


def sheets_in_sight(package: Package) -> frozenset[str]:
    """Return the names of the sheets that are not hidden."""
    sheets = package.xml(workbook_part(package)).iterfind("{*}sheets/{*}sheet")
    return frozenset(
        sheet.get("name", "") for sheet in sheets if sheet.get("state", "visible") == "visible"
    )


def picture_parts(package: Package) -> dict[str, str]:
    """Return the media part of each picture on the sheets, by the picture's name.

    A name that stands on several sheets is kept for the first one; the others are under
    ``sheet!name``.
    """
    found: dict[str, str] = {}
    for sheet, part in sheet_parts(package).items():
        for kind, drawing in package.related(part).values():
            if kind != "drawing":
                continue
            media = package.related(drawing)
            for picture in package.xml(drawing).iter("{*}pic"):
                named = picture.find("{*}nvPicPr/{*}cNvPr")
                blip = picture.find("{*}blipFill/{*}blip")
                if named is None or blip is None:
                    continue
                link = next((v for k, v in blip.attrib.items() if str(k).endswith("}embed")), "")
                name = named.get("name", "")
                if str(link) in media:
                    found[f"{sheet}!{name}" if name in found else name] = media[str(link)][1]
    return found


def _refused(path: Path, allowed: str) -> InputError:
    return InputError(ARGUMENT, str(path), allowed)


def _check_entries(path: Path, entries: tuple[zipfile.ZipInfo, ...]) -> None:
    """Refuse a zip that would unpack to too much, or whose names lead out of it."""
    if len(entries) > limits.MAX_PARTS:
        raise _refused(
            path, f"it has {len(entries)} parts; a workbook has at most {limits.MAX_PARTS}"
        )
    names = [entry.filename for entry in entries]
    for name in names:
        if name.startswith("/") or re.search(r'(^|/)\.\.(/|$)|[\\:*?"<>|\x00]', name):
            raise _refused(path, f"its part name {name[:60]!r} is none that a workbook has")
    if len({name.lower() for name in names}) != len(names):
        raise _refused(path, "two of its parts have one name; open and save it again")
    if any(entry.compress_type not in _PACKED for entry in entries):
        raise _refused(path, "its parts are packed in a way that no workbook is; save it again")
    if any(entry.flag_bits & 1 for entry in entries):
        raise _refused(path, "it is protected by a password; save it without one")
    total = sum(entry.file_size for entry in entries)
    packed = sum(entry.compress_size for entry in entries)
    largest = max((entry.file_size for entry in entries), default=0)
    if (
        total > limits.MAX_TOTAL_BYTES
        or largest > limits.MAX_PART_BYTES
        or (total > limits.RATIO_MATTERS_FROM and total > limits.MAX_RATIO * packed)
    ):
        raise _refused(
            path,
            f"it unpacks to {total / 1e6:,.0f} MB, more than a workbook should; "
            f"allowed are {limits.MAX_TOTAL_BYTES // 1_000_000} MB and "
            f"{limits.MAX_RATIO} times its size",
        )


def _check_markup(package: Package) -> None:
    """Refuse parts whose trees would be too large, and those that any parser may be misled by."""
    nodes = 0
    for name, data in package.parts.items():
        if not markup.is_xml(name, data):
            continue
        if len(data) > limits.MAX_XML_BYTES:
            raise _refused(
                package.path,
                f"its part {name} has {len(data) / 1e6:,.0f} MB; "
                f"allowed are {limits.MAX_XML_BYTES / 1e6:g} MB",
            )
        nodes += markup.nodes_at_most(data)
        if nodes > limits.MAX_MARKUP:
            raise _refused(package.path, f"its parts have more than {limits.MAX_MARKUP:,} elements")
        if fault := markup.fault(data):
            raise _refused(package.path, f"its part {name} {fault}")


def _check_sheets(package: Package) -> None:
    count = 0
    for part in dict.fromkeys(sheet_parts(package).values()):
        root = package.xml(part)
        for cell in root.iter("{*}c"):
            count += 1
            at = cell.get("r")
            if at is not None and not markup.is_place(at):
                raise _refused(
                    package.path, f"its part {part} has a cell {at[:20]!r}, which no sheet has"
                )
        if count > limits.MAX_CELLS:
            raise _refused(package.path, f"its sheets have more than {limits.MAX_CELLS:,} cells")
        package._trees[part] = root


def _check_is_workbook(package: Package) -> None:
    no_workbook = _refused(package.path, "it is no workbook; give an .xlsx or .xlsm file")
    if _CONTENT_TYPES not in package.parts or "_rels/.rels" not in package.parts:
        raise no_workbook
    main = workbook_part(package)
    content_type = ""
    for item in package.xml(_CONTENT_TYPES):
        if isinstance(item.tag, str) and item.get("PartName", "").lower() == f"/{main}".lower():
            content_type = item.get("ContentType", "").lower()
    if content_type == "application/vnd.ms-excel.sheet.binary.macroenabled.main":
        raise _refused(package.path, "it has the binary .xlsb format; save it as .xlsx or .xlsm")
    if content_type not in _SPREADSHEET_TYPES:
        raise no_workbook
    missing = [p for p in (main, *sheet_parts(package).values()) if p not in package.parts]
    if missing:
        raise _refused(package.path, f"its part {missing[0]} is missing; open and save it again")


def _like(entry: zipfile.ZipInfo) -> zipfile.ZipInfo:
    """Return a fresh entry of the same name, time, compression and attributes."""
    fresh = zipfile.ZipInfo(entry.filename, entry.date_time)
    for attribute in ("compress_type", "comment", "create_system", "external_attr"):
        setattr(fresh, attribute, getattr(entry, attribute))
    fresh.internal_attr = entry.internal_attr
    return fresh
