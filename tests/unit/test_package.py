"""Workbook files as packages: what is refused, and that nothing but what was meant changes."""

from __future__ import annotations

import io
import os
import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.drawing.image import Image as SheetImage
from PIL import Image

from basinbook.engine.errors import InputError
from basinbook.workbook.file import limits
from basinbook.workbook.file.package import (
    open_package,
    picture_parts,
    sheet_parts,
    to_xml,
    write_package,
)


def workbook(path: Path) -> Path:
    book = openpyxl.Workbook()
    book.active["A1"] = "wall"  # type: ignore[index]
    book.create_sheet("My & Prices")
    book.save(path)
    return path


def picture_file() -> io.BytesIO:
    data = io.BytesIO()
    Image.new("RGB", (8, 8), "navy").save(data, "PNG")
    data.seek(0)
    return data


def rewritten(path: Path, change: dict[str, bytes | None], **extra: bytes) -> Path:
    """Replace (or with None drop) parts of a zip, by plain zipfile."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts.update({name: data for name, data in change.items() if data is not None})
    for name, data in change.items():
        if data is None:
            parts.pop(name)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in {**parts, **extra}.items():
            archive.writestr(name, data)
    return path


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def refusal(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        open_package(path)
    assert caught.value.argument == "workbook"
    assert str(path)[:20] in str(caught.value)
    return caught.value.allowed


def test_sheets_are_found_by_name(tmp_path: Path) -> None:
    package = open_package(workbook(tmp_path / "job.xlsx"))
    parts = sheet_parts(package)
    assert list(parts) == ["Sheet", "My & Prices"]
    assert all(part in package.parts for part in parts.values())


def test_writing_replaces_one_part_and_keeps_the_rest(tmp_path: Path) -> None:
    path = workbook(tmp_path / "job.xlsx")
    path.chmod(0o640)
    package = open_package(path)
    write_package(package, {"docProps/app.xml": b"<Properties/>"}, path)
    with zipfile.ZipFile(path) as archive:
        after = {entry.filename: archive.read(entry) for entry in archive.infolist()}
        entries = archive.infolist()
    assert after == {**package.parts, "docProps/app.xml": b"<Properties/>"}
    assert list(after) == list(package.parts)
    for old, new in zip(package.entries, entries, strict=True):
        assert (old.date_time, old.compress_type) == (new.date_time, new.compress_type)
    assert path.stat().st_mode & 0o777 == 0o640
    assert names(tmp_path) == ["job.xlsx"]


def test_only_parts_that_exist_can_be_replaced(tmp_path: Path) -> None:
    path = workbook(tmp_path / "job.xlsx")
    before = path.read_bytes()
    with pytest.raises(InputError, match=r"new\.xml"):
        write_package(open_package(path), {"new.xml": b""}, path)
    assert path.read_bytes() == before


def test_pictures_are_found_by_name(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.add_image(SheetImage(picture_file()), "B2")
    other = book.create_sheet("Other")
    other.add_image(SheetImage(picture_file()), "B2")
    path = tmp_path / "job.xlsx"
    book.save(path)
    package = open_package(path)
    drawings = sorted(name for name in package.parts if name.startswith("xl/drawings/drawing"))
    change: dict[str, bytes | None] = {
        name: package.parts[name].replace(b'name="Image 1"', f'name="{title}"'.encode())
        for name, title in zip(drawings, ("plan", "elevation"), strict=True)
    }
    assert all(change[name] != package.parts[name] for name in drawings)
    found = picture_parts(open_package(rewritten(path, change)))
    assert found == {"plan": "xl/media/image1.png", "elevation": "xl/media/image2.png"}
    same = {name: package.parts[name] for name in drawings}
    found = picture_parts(open_package(rewritten(path, dict(same))))
    assert list(found) == ["Image 1", "Other!Image 1"]


def test_no_entity_is_expanded(tmp_path: Path) -> None:
    path = workbook(tmp_path / "job.xlsx")
    main = open_package(path).parts["xl/workbook.xml"]
    bomb = b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>'
    rewritten(path, {"xl/workbook.xml": bomb + main.split(b"?>", 1)[-1]})
    assert "document type" in refusal(path)


def test_xml_goes_through_unchanged_but_for_its_declaration(tmp_path: Path) -> None:
    package = open_package(workbook(tmp_path / "job.xlsx"))
    part = package.parts["xl/workbook.xml"]
    written = to_xml(package.xml("xl/workbook.xml"))
    assert written.split(b"?>", 1)[1].strip() == part.split(b"?>", 1)[-1].strip()


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("../evil.xml", "evil.xml"),
        ("xl/../../evil.xml", "evil.xml"),
        ("/etc/evil.xml", "evil.xml"),
        ("C:/evil.xml", "evil.xml"),
        ("XL/WORKBOOK.XML", "one name"),
    ],
)
def test_part_names_that_lead_astray(tmp_path: Path, name: str, why: str) -> None:
    path = workbook(tmp_path / "job.xlsx")
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr(name, b"x")
    assert why in refusal(path)


def test_too_many_parts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "MAX_PARTS", 3)
    assert "at most 3" in refusal(workbook(tmp_path / "job.xlsx"))


def test_too_large_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "MAX_FILE_BYTES", 1000)
    assert "at most 0.001 MB" in refusal(workbook(tmp_path / "job.xlsx"))


def test_a_part_that_a_relationship_names_is_missing(tmp_path: Path) -> None:
    path = rewritten(workbook(tmp_path / "job.xlsx"), {"xl/worksheets/sheet2.xml": None})
    assert "xl/worksheets/sheet2.xml is missing" in refusal(path)


def test_a_damaged_part(tmp_path: Path) -> None:
    path = rewritten(workbook(tmp_path / "job.xlsx"), {"xl/workbook.xml": b"<workbook><she"})
    assert "xl/workbook.xml is damaged" in refusal(path)


def test_a_flipped_byte(tmp_path: Path) -> None:
    path = workbook(tmp_path / "job.xlsx")
    data = bytearray(path.read_bytes())
    middle = data.index(b"xl/styles.xml") + 60
    data[middle] ^= 0xFF
    path.write_bytes(data)
    assert "damaged" in refusal(path)


def test_a_binary_workbook(tmp_path: Path) -> None:
    path = workbook(tmp_path / "job.xlsb")
    types = open_package(path).parts["[Content_Types].xml"]
    binary = types.replace(
        b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
        b"application/vnd.ms-excel.sheet.binary.macroEnabled.main",
    )
    assert ".xlsb" in refusal(rewritten(path, {"[Content_Types].xml": binary}))


@pytest.mark.parametrize("lock", [".~lock.job.xlsx#", "~$job.xlsx"])
def test_a_file_open_elsewhere_is_not_replaced(tmp_path: Path, lock: str) -> None:
    path = workbook(tmp_path / "job.xlsx")
    package = open_package(path)
    before = path.read_bytes()
    (tmp_path / lock).write_text("someone")
    with pytest.raises(InputError, match="open in another program"):
        write_package(package, {"docProps/app.xml": b"<Properties/>"}, path)
    assert path.read_bytes() == before
    write_package(package, {}, tmp_path / "copy.xlsx")
    assert names(tmp_path) == sorted(["copy.xlsx", "job.xlsx", lock])


def test_a_failing_disk_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = workbook(tmp_path / "job.xlsx")
    package = open_package(path)
    before = path.read_bytes()

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "write", full)
    with pytest.raises(InputError, match="No space left"):
        write_package(package, {}, path)
    assert path.read_bytes() == before
    assert names(tmp_path) == ["job.xlsx"]


def test_out_must_be_a_file_in_a_folder_that_exists(tmp_path: Path) -> None:
    package = open_package(workbook(tmp_path / "job.xlsx"))
    with pytest.raises(InputError, match="no such folder"):
        write_package(package, {}, tmp_path / "none" / "job.xlsx")
    with pytest.raises(InputError, match="it is a folder"):
        write_package(package, {}, tmp_path)
