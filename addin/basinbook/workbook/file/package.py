"""A workbook file as what it is inside: a zip of parts (ECMA-376 part 2, Open Packaging).

A workbook is read whole, within limits, and written with some parts replaced; all the others come
out byte for byte as they went in. Bad files raise InputError naming the argument ``workbook``.
"""

from __future__ import annotations

import contextlib
import posixpath
import re
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Final
from urllib.parse import unquote

from lxml import etree

from basinbook.engine.errors import InputError
from basinbook.files.reading import read_file
from basinbook.files.scratch import tidy
from basinbook.files.targets import real_file, refuse_inputs
from basinbook.files.writing import Unchanged, digest, write_file

ARGUMENT: Final = "workbook"
MAX_FILE_BYTES: Final = 100_000_000
MAX_PART_BYTES: Final = 150_000_000
MAX_TOTAL_BYTES: Final = 300_000_000
MAX_PARTS: Final = 5_000
MAX_RATIO: Final = 250
# Small files may compress as well as they like: a blank sheet of many rows does.
_RATIO_MATTERS_FROM: Final = 20_000_000

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

    def xml(self, part: str) -> etree._Element:
        """Return a part's root element; no entity is expanded and nothing is fetched."""
        if part not in self.parts:
            raise _refused(self.path, f"its part {part} is missing; open and save it again")
        parser = etree.XMLParser(
            resolve_entities=False, no_network=True, load_dtd=False, strip_cdata=False
        )
        try:
            root = etree.fromstring(self.parts[part], parser)
        except etree.XMLSyntaxError as error:
            raise _refused(
                self.path, f"its part {part} is damaged; open and save it again"
            ) from error
        if re.match(rb"[^<]*(<\?.*?\?>)?\s*(<!--.*?-->\s*)*<!DOCTYPE", self.parts[part], re.DOTALL):
            raise _refused(self.path, f"its part {part} has a document type, which none should")
        return root

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
    with contextlib.suppress(OSError, ValueError):
        tidy(real_file(path).parent)
    data = read_file(path, MAX_FILE_BYTES, ARGUMENT)
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
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as error:
        raise _refused(path, "it is damaged; open it from a copy or save it again") from error
    _check_is_workbook(package)
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
    if real_file(out) == real_file(package.path):
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
    if len(entries) > MAX_PARTS:
        raise _refused(path, f"it has {len(entries)} parts; a workbook has at most {MAX_PARTS}")
    names = [entry.filename for entry in entries]
    for name in names:
        if name.startswith("/") or re.search(r'(^|/)\.\.(/|$)|[\\:*?"<>|\x00]', name):
            raise _refused(path, f"its part name {name[:60]!r} is none that a workbook has")
    if len({name.lower() for name in names}) != len(names):
        raise _refused(path, "two of its parts have one name; open and save it again")
    if any(entry.flag_bits & 1 for entry in entries):
        raise _refused(path, "it is protected by a password; save it without one")
    total = sum(entry.file_size for entry in entries)
    packed = sum(entry.compress_size for entry in entries)
    largest = max((entry.file_size for entry in entries), default=0)
    if (
        total > MAX_TOTAL_BYTES
        or largest > MAX_PART_BYTES
        or (total > _RATIO_MATTERS_FROM and total > MAX_RATIO * packed)
    ):
        raise _refused(
            path,
            f"it unpacks to {total / 1e6:,.0f} MB, more than a workbook should; "
            f"allowed are {MAX_TOTAL_BYTES // 1_000_000} MB and {MAX_RATIO} times its size",
        )


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
