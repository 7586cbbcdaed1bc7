"""Workbooks made to hang, swell or mislead whoever opens them; each says what is wrong with it."""

from __future__ import annotations

import io
import re
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

import openpyxl
from openpyxl.drawing.image import Image as SheetImage
from PIL import Image

import order_book

SHEET = "xl/worksheets/sheet1.xml"
_END = b"</worksheet>"
_DATA_END = b"</sheetData>"
_TYPE = b'<!DOCTYPE x [<!ENTITY a "aaaa">]>'

Parts = dict[str, bytes]


def parts_of(path: Path) -> Parts:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def write(path: Path, parts: Parts, kind: int = zipfile.ZIP_DEFLATED) -> Path:
    with zipfile.ZipFile(path, "w", kind) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return path


def order(path: Path) -> Parts:
    return parts_of(order_book.make(path))


def _before_root(text: bytes) -> Callable[[bytes], bytes]:
    def change(data: bytes) -> bytes:
        start, root = data.split(b"<worksheet", 1)
        return start + text + b"<worksheet" + root

    return change


def _replaced(old: bytes, new: bytes) -> Callable[[bytes], bytes]:
    def change(data: bytes) -> bytes:
        assert old in data, old
        return data.replace(old, new, 1)

    return change


def _print_area(area: str) -> Callable[[bytes], bytes]:
    def change(data: bytes) -> bytes:
        start, _, rest = data.partition(b'_xlnm.Print_Area"')
        attributes, _, rest = rest.partition(b">")
        _, _, rest = rest.partition(b"<")
        text = f"'Order'!{area}".encode()
        return start + b'_xlnm.Print_Area"' + attributes + b">" + text + b"<" + rest

    return change


def _merges(*areas: str) -> Callable[[bytes], bytes]:
    items = "".join(f'<mergeCell ref="{area}"/>' for area in areas).encode()

    def change(data: bytes) -> bytes:
        start, _, rest = data.partition(b"<mergeCells")
        if rest:
            rest = rest.partition(b"</mergeCells>")[2]
            return start + b"<mergeCells>" + items + b"</mergeCells>" + rest
        return data.replace(_DATA_END, _DATA_END + b"<mergeCells>" + items + b"</mergeCells>", 1)

    return change


def _after_data(text: bytes) -> Callable[[bytes], bytes]:
    return _replaced(_DATA_END, _DATA_END + text)


def _utf16(data: bytes) -> bytes:
    text = data.split(b"?>", 1)[-1].decode() if data.startswith(b"<?xml") else data.decode()
    return f'<?xml version="1.0" encoding="UTF-16"?>{text}'.encode("utf-16")


def _columns(data: bytes) -> bytes:
    start, _, rest = data.partition(b"<cols>")
    rest = rest.partition(b"</cols>")[2]
    columns = b"".join(
        b'<col min="%d" max="16384" width="9" customWidth="1"/>' % number
        for number in range(1, 16385)
    )
    return start + b"<cols>" + columns + b"</cols>" + rest


def _formats(data: bytes) -> bytes:
    one = (
        b'<conditionalFormatting sqref="A1"><cfRule type="expression" priority="1">'
        b"<formula>1</formula></cfRule></conditionalFormatting>"
    )
    at = data.index(b"<pageMargins") if b"<pageMargins" in data else data.index(_END)
    return data[:at] + one * 60_000 + data[at:]


# What is changed in which part of an order workbook; then the words of the message, or nothing
# where the workbook can be read all the same.
CHANGES: dict[str, tuple[str, Callable[[bytes], bytes], str]] = {
    "28 comments before the root": (SHEET, _before_root(b"<!-- a -->" * 28), ""),
    "a thousand comments, then nothing": (SHEET, _before_root(b"<!-- a --> " * 1000), ""),
    "entities": (SHEET, _before_root(_TYPE), "document type"),
    "entities behind comments": (SHEET, _before_root(b"<!-- <!-a>-->" + _TYPE), "document type"),
    "entities in UTF-16": (
        SHEET, lambda data: _utf16(_before_root(_TYPE)(data)), "document type"),
    "entities in the styles": (
        "xl/styles.xml", _replaced(b"<styleSheet", _TYPE + b"<styleSheet"), "document type"),
    "entities in the styles in UTF-16": (
        "xl/styles.xml",
        lambda data: _utf16(data.replace(b"<styleSheet", _TYPE + b"<styleSheet", 1)),
        "document type"),
    "a sheet in UTF-16": (SHEET, _utf16, ""),
    "another encoding": (
        SHEET,
        lambda data: b'<?xml version="1.0" encoding="UTF-7"?>' + data.split(b"?>", 1)[-1],
        "UTF-8"),
    "print area of a million rows": ("xl/workbook.xml", _print_area("$A$1:$J$1048576"), "print"),
    "print area of the sheet": ("xl/workbook.xml", _print_area("$A$1:$XFD$1048576"), "print"),
    "print area beyond the sheet": ("xl/workbook.xml", _print_area("$A$1:$J$99999999"), "print"),
    "one merge over the sheet": (SHEET, _merges("A1:XFD1048576"), "merged"),
    "a hundred thousand merges": (
        SHEET, _merges(*(f"A{n}:B{n}" for n in range(50, 100_050))), "elements"),
    "merges of a hundred columns": (
        SHEET, _merges(*(f"A{n}:CV{n}" for n in range(50, 1_100))), "merged"),
    "widths of columns over and over": (SHEET, _columns, "columns"),
    "a cell in the last row": (
        SHEET, _replaced(_DATA_END, b'<row r="1048576"><c r="A1048576"><v>1</v></c></row>'
                         + _DATA_END), ""),
    "a row that no sheet has": (
        SHEET, _replaced(_DATA_END, b'<row r="99999999999"><c r="A99999999999"><v>1</v></c></row>'
                         + _DATA_END), "99999999999"),
    "a column that no sheet has": (
        SHEET, _replaced(_DATA_END, b'<row r="99"><c r="ZZZZZ99"><v>1</v></c></row>' + _DATA_END),
        "ZZZZZ99"),
    "conditional formats by the hundred thousand": (SHEET, _formats, "elements"),
    "a header of a megabyte": (
        SHEET, _after_data(b"<headerFooter><oddHeader>" + b"&amp;L" * 200_000
                           + b"</oddHeader></headerFooter>"), "header"),
    "breaks by the hundred thousand": (
        SHEET, _replaced(_END, b"<rowBreaks>" + b"".join(
            b'<brk id="%d"/>' % n for n in range(100_001)) + b"</rowBreaks>" + _END), "elements"),
    "elements within elements": (
        SHEET, _after_data(b"<a>" * 5000 + b"</a>" * 5000), "damaged"),
    "a name for every cell": (
        "xl/workbook.xml",
        lambda data: re.sub(rb"Order!\$A\$12:[^<]*", b"Order!$A$1:$XFD$1048576", data), "20,000"),
    "a text of 12 megabytes": (
        SHEET, _replaced(_DATA_END, b'<row r="99"><c r="A99" t="inlineStr"><is><t>'
                         + b"x" * 12_000_000 + b"</t></is></c></row>" + _DATA_END), "damaged"),
    "a million cells": (
        SHEET, _replaced(_DATA_END, b'<row r="99">' + b"<c/>" * 1_000_000 + b"</row>" + _DATA_END),
        "cells"),
    "ten million attributes": (
        SHEET, _after_data(b"<a" + b"".join(b' a%x=""' % n for n in range(1_500_000)) + b"/>"),
        "damaged"),
}  # fmt: skip


def changed(name: str, path: Path) -> Path:
    part, change, _ = CHANGES[name]
    parts = order(path)
    parts[part] = change(parts[part])
    return write(path, parts)


def huge_picture(path: Path, side: int) -> Path:
    """A sheet with a picture of so many points each way in some kilobytes."""
    book = openpyxl.load_workbook(order_book.make(path))
    small = io.BytesIO()
    Image.new("L", (8, 8)).save(small, "PNG")
    small.seek(0)
    book["Order"].add_image(SheetImage(small), "B2")
    book.save(path)
    parts = parts_of(path)
    (name,) = [name for name in parts if name.startswith("xl/media/")]
    parts[name] = png(side)
    return write(path, parts)


def png(side: int) -> bytes:
    """A square picture in one colour, one bit a point."""
    row = b"\0" * (1 + (side + 7) // 8)
    packer = zlib.compressobj(9)
    data = b"".join([packer.compress(row * side), packer.flush()])

    def chunk(kind: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    header = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", data) + chunk(b"IEND", b"")
    )
