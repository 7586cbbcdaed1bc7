"""The add-in file for Excel: a workbook of one sheet that holds the functions' VBA.

Excel is not needed to write it. pyopenvba makes the VBA project; what it leaves as Excel would not
write it is mended in ``_project``. The file has no compiled code, so that Excel compiles the text.
The same functions, libraries and Python give the same bytes.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from basinbook.catalogue import functions
from basinbook.catalogue.model import Function
from basinbook.files.scratch import temporary_folder
from basinbook.hosts.excel.library import vba_libraries, xlwings_version
from basinbook.hosts.excel.names import excel_name, help_text
from basinbook.hosts.excel.settings import OUR_MODULE
from basinbook.hosts.excel.wrappers import module_text, wrapper_modules
from basinbook.hosts.function_help import CATEGORY, argument_help

ADDIN_NAME: Final = "basinbook.xlam"
SERVER: Final = "BasinServer"
_BINDING: Final = "BasinBinding"
_BOOK, _SHEET, _FIRST = "ThisWorkbook", "Sheet1", "Module1"
_PROJECT_PART: Final = "xl/vbaProject.bin"
_BOOK_PART: Final = "xl/workbook.xml"
_SHEET_PART: Final = "xl/worksheets/sheet1.xml"
_CORE_PART: Final = "docProps/core.xml"
# [MS-OVBA] 2.3.4.1: no version of compiled code, so that the text counts.
_NOT_COMPILED: Final = bytes((0xCC, 0x61, 0xFF, 0xFF, 0x00, 0x00, 0x00))
# [MS-OVBA] 2.3.4.2: the end of the dir stream, six bytes of which are the last.
_END_OF_DIR: Final = bytes((0x10, 0, 0, 0, 0, 0))
# [MS-OFFMACRO2] 2.2.2.1.1: the help of macros' arguments.
_HELP_EXTENSION: Final = "{8193D73E-4604-4355-AFF4-8A2333D13BE4}"
_X14: Final = "http://schemas.microsoft.com/office/spreadsheetml/2009/9/main"
_LONG_AGO: Final = (1980, 1, 1, 0, 0, 0)
_CORE: Final = """\
<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/\
core-properties" xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title>Basinbook</dc:title>\
<dc:description>Worksheet functions for raised water basins of wall block; each asks the Python \
that wrote this file.</dc:description></cp:coreProperties>"""


def addin_bytes(python: str, modules: Mapping[str, str] | None = None) -> bytes:
    """Return the add-in's file; its functions are answered by this Python.

    ``modules``: other VBA texts by module name, in place of those that are usually written.
    """
    texts = {**addin_modules(), **(modules or {})}
    with temporary_folder() as folder:
        path = folder / ADDIN_NAME
        _write_project(path, texts)
        with zipfile.ZipFile(path) as written:
            parts = {name: written.read(name) for name in written.namelist()}
    parts[_PROJECT_PART] = _project(parts[_PROJECT_PART])
    parts[_BOOK_PART] = _book(parts[_BOOK_PART].decode(), functions()).encode()
    parts[_SHEET_PART] = _sheet(parts[_SHEET_PART].decode(), python).encode()
    parts[_CORE_PART] = _CORE.encode()
    return _zipped(parts)


def is_our_addin(path: Path) -> bool:
    """Return whether a file is an add-in that was written here."""
    try:
        with zipfile.ZipFile(path) as file:
            return b"<dc:title>Basinbook</dc:title>" in file.read(_CORE_PART)
    except (OSError, KeyError, zipfile.BadZipFile):
        return False


def addin_modules() -> dict[str, str]:
    """Return the add-in's VBA texts by module name."""
    server = (
        _payload("server").replace("@VERSION@", xlwings_version()).replace("@MODULE@", OUR_MODULE)
    )
    return {
        _BOOK: module_text(_payload("this_workbook")),
        SERVER: module_text(server.replace("@MODULE@", OUR_MODULE)),
        _BINDING: module_text(_payload("binding")),
        **wrapper_modules(functions().values()),
    }


def _payload(name: str) -> str:
    return (files(__package__) / "payload" / f"{name}.bas").read_text(encoding="ascii")


def _write_project(path: Path, texts: Mapping[str, str]) -> None:
    excel, _, _ = vba_libraries()
    book = excel.ExcelFile.create_new(path)
    project = book.vba_project()
    project.delete_module(_FIRST)
    for name, text in texts.items():
        if name == _BOOK:
            book.set_module(name, text)
        else:
            project.add_module(name, text)
    # Written anew, it loses the compiled code of the file that the library starts from.
    book.set_module(_SHEET, "")
    book.save()
    book.close()


def _project(data: bytes) -> bytes:
    _, vba, cfb = vba_libraries()
    storage = "VBA"
    project = cfb.CFB.from_bytes(data)
    dir_stream = vba.decompress(project.get_stream_in_storage(storage, "dir"))
    end = dir_stream.rindex(_END_OF_DIR) + len(_END_OF_DIR)
    project.write_stream_in_storage(storage, "dir", vba.compress(dir_stream[:end]))
    project.write_stream_in_storage(storage, "_VBA_PROJECT", _NOT_COMPILED)
    written: bytes = project.to_bytes()
    return written


def _book(xml: str, declared: Mapping[str, Function]) -> str:
    """Return the workbook part with the functions' group and their arguments' help."""
    groups = (
        f'<functionGroups builtInGroupCount="19"><functionGroup name={quoteattr(CATEGORY)}/>'
        "</functionGroups>"
    )
    names = "".join(_help(function) for function in declared.values() if function.all_arguments)
    extension = (
        f'<ext uri="{_HELP_EXTENSION}" xmlns:x14="{_X14}"><x14:definedNames>{names}'
        "</x14:definedNames></ext>"
    )
    return (
        xml.replace("</sheets>", f"</sheets>{groups}")
        .replace(f'name="{_SHEET}"', 'name="Basinbook"')
        .replace("<extLst>", f"<extLst>{extension}")
    )


def _help(function: Function) -> str:
    texts = [argument_help(argument) for argument in function.all_arguments]
    listed = "".join(
        f'<x14:argumentDescription index="{index}">{escape(help_text(text))}'
        "</x14:argumentDescription>"
        for index, text in enumerate(texts)
    )
    return (
        f'<x14:definedName name="{excel_name(function)}"><x14:argumentDescriptions '
        f'count="{len(texts)}">{listed}</x14:argumentDescriptions></x14:definedName>'
    )


def _sheet(xml: str, python: str) -> str:
    rows = "".join(
        f'<row r="{row}"><c r="A{row}" t="inlineStr"><is><t xml:space="preserve">{escape(text)}'
        "</t></is></c></row>"
        for row, text in enumerate(("Python that answers:", python), start=1)
    )
    return re.sub(r"<sheetData ?/>", lambda _: f"<sheetData>{rows}</sheetData>", xml).replace(
        '<dimension ref="A1"/>', '<dimension ref="A1:A2"/>'
    )


def _zipped(parts: Mapping[str, bytes]) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in parts.items():
            entry = zipfile.ZipInfo(name, _LONG_AGO)
            entry.compress_type = zipfile.ZIP_DEFLATED
            package.writestr(entry, data)
    return file.getvalue()
