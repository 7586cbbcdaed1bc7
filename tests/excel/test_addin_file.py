"""The add-in file for Excel, read back by programs that have nothing to do with its writing.

Excel itself is not here; in LibreOffice it is run by tests/calc/test_excel_addin.py.
"""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path

import olefile
import pytest
from lxml import etree
from oletools.olevba import VBA_Parser, decompress_stream

from basinbook.catalogue import functions
from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.hosts.excel import host
from basinbook.hosts.excel.addin_file import ADDIN_NAME, addin_bytes, addin_modules
from basinbook.hosts.excel.names import MAX_HELP, excel_name
from basinbook.hosts.excel.wrappers import MAX_LINE
from excel.windows_stand_ins import windows, workbook

PYTHON = r"C:\Our tools\python.exe"
ALL = {excel_name(function): function for function in functions().values()}


@pytest.fixture(scope="module")
def addin() -> bytes:
    return addin_bytes(PYTHON)


@pytest.fixture(scope="module")
def texts(addin: bytes) -> dict[str, str]:
    """The modules that olevba finds, by name."""
    parser = VBA_Parser(ADDIN_NAME, data=addin)
    found = {Path(name).stem: code for _, _, name, code in parser.extract_macros()}
    assert not parser.detect_vba_stomping()
    return found


def test_olevba_reads_what_was_written(texts: dict[str, str]) -> None:
    written = addin_modules()
    assert {*texts} == {*written, "Sheet1"}
    for name, text in written.items():
        header = r"(Attribute VB_\w+ = [^\r\n]*\r?\n)+"
        assert re.sub(header, "", texts[name], count=1).split() == text.split()
        assert max(map(len, text.splitlines())) <= MAX_LINE
        assert len(text) < 0x10000
        assert text.encode("cp1252").decode("cp1252") == text


def test_names_and_arguments_are_the_catalogues(texts: dict[str, str]) -> None:
    """They are also those of the functions that xlwings itself would write for Excel."""
    pattern = re.compile(r"^(Function BASIN_\w+\(.*\))$", re.MULTILINE)
    found = pattern.findall("\n".join(texts.values()).replace("\r", ""))
    assert len(found) == len(ALL)
    with windows() as excel:
        theirs = io.StringIO()
        module = "basinbook.hosts.excel.functions"
        excel.udfs.generate_vba_wrapper(module, excel.functions, theirs, workbook(ADDIN_NAME))
    assert sorted(found) == sorted(pattern.findall(theirs.getvalue()))
    for line in found:
        name, _, arguments = line.removeprefix("Function ").removesuffix(")").partition("(")
        assert len([a for a in arguments.split(", ") if a]) == len(ALL[name].all_arguments)


def test_help_is_short_enough_and_complete(addin: bytes, texts: dict[str, str]) -> None:
    attribute = re.compile(r'Attribute (BASIN_\w+)\.VB_Description = "(.*)"')
    shown = {name: text for code in texts.values() for name, text in attribute.findall(code)}
    assert shown == {name: f.summary.replace('"', '""') for name, f in ALL.items()}
    assert max(len(text) for text in shown.values()) <= MAX_HELP
    book = etree.fromstring(zipfile.ZipFile(io.BytesIO(addin)).read("xl/workbook.xml"))
    described = book.findall(".//{*}ext/{*}definedNames/{*}definedName")
    assert len(described) == sum(bool(f.all_arguments) for f in ALL.values())
    for element in described:
        arguments = ALL[element.get("name", "")].all_arguments
        helps = [one.text or "" for one in element.iter("{*}argumentDescription")]
        (group,) = element
        assert group.get("count") == str(len(helps)) == str(len(arguments))
        assert len(helps) <= 60  # [MS-OFFMACRO2] 2.2.5.4
        for text, argument in zip(helps, arguments, strict=True):
            assert text.startswith(argument.help[:200])
            assert len(text) <= MAX_HELP


def test_compound_file_has_no_defect_and_no_compiled_code(addin: bytes) -> None:
    data = zipfile.ZipFile(io.BytesIO(addin)).read("xl/vbaProject.bin")
    with olefile.OleFileIO(data, raise_defects=olefile.DEFECT_UNSURE) as project:
        assert project.parsing_issues == []
        # [MS-OVBA] 2.3.4.1: a version of 0xFFFF, after which no compiled code may follow.
        compiled = project.openstream(["VBA", "_VBA_PROJECT"]).read()
        assert compiled == bytes.fromhex("CC61FFFF000000")
        listed = decompress_stream(bytearray(project.openstream(["VBA", "dir"]).read()))
        # The last module ends with 2B, the stream with 10, each with four bytes of nought.
        assert bytes(listed).endswith(b"\x2b\0\0\0\0\0\x10\0\0\0\0\0")


def test_package_is_read_whole_and_names_nobody(addin: bytes) -> None:
    package = zipfile.ZipFile(io.BytesIO(addin))
    assert package.testzip() is None
    for name in package.namelist():
        if name.endswith((".xml", ".rels")):
            etree.fromstring(package.read(name))
    sheet = etree.fromstring(package.read("xl/worksheets/sheet1.xml"))
    (cell,) = (cell for cell in sheet.iter("{*}c") if cell.get("r") == "A2")
    assert "".join(map(str, cell.itertext())) == PYTHON
    about = etree.fromstring(package.read("docProps/core.xml"))
    assert {etree.QName(element).localname for element in about} == {"title", "description"}


def test_two_builds_are_equal_and_another_python_differs(addin: bytes) -> None:
    assert addin_bytes(PYTHON) == addin
    assert addin_bytes(r"D:\python.exe") != addin


def test_install_and_uninstall(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from excel.test_install import arguments

    folder = tmp_path / "XLSTART"
    given = arguments(tmp_path / "none.conf", folder=folder, python=PYTHON, import_functions=False)
    said = host.install_on("win32", given, lambda _: None)
    assert str(folder / ADDIN_NAME) in said
    assert (folder / ADDIN_NAME).read_bytes() == addin_bytes(PYTHON)
    # After an update the same command replaces it; a file that is not ours it leaves alone.
    host.install_on("win32", given, lambda _: None)
    (folder / ADDIN_NAME).write_bytes(b"the user's own")
    with pytest.raises(InputError, match="force"):
        host.install_on("win32", given, lambda _: None)
    assert "Nothing was installed" in host.uninstall_on("win32", given, lambda _: None)
    assert (folder / ADDIN_NAME).read_bytes() == b"the user's own"
    given.force = True
    host.install_on("win32", given, lambda _: None)
    host.uninstall_on("win32", given, lambda _: None)
    assert [*folder.iterdir()] == []
    assert main(["addin", "build", "excel", "--out", str(tmp_path / "a.xlam")]) == 0
    assert main(["addin", "build", "excel", "--out", str(tmp_path / "a.xlam")]) == 2
    assert "--force" in capsys.readouterr().err
