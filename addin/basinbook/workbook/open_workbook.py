"""Open a user's workbook for reading, with one clear message for a file that isn't one."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

from basinbook.engine.errors import InputError

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook

# A job's workbook is well under 1 MB; these bounds only keep out files made to fill the memory.
_LARGEST_FILE = 50 * 2**20
_LARGEST_UNPACKED = 300 * 2**20
_ALLOWED = "give an .xlsx or .xlsm workbook"


def open_workbook(path: Path, *, values: bool) -> Workbook:
    """Return the workbook with its cells' cached values, or with their formulas.

    Raises InputError naming ``file`` when it is missing, locked, too big, damaged, protected by a
    password or no workbook.  The file is read once and closed again.
    """
    content = _read(path)
    check_package(content, path)
    import openpyxl

    try:
        return openpyxl.load_workbook(io.BytesIO(content), data_only=values)
    except Exception as error:
        # openpyxl raises whatever the damaged part happens to break.
        raise InputError("file", str(path), f"{_ALLOWED}; this one is damaged") from error


def check_package(content: bytes, path: Path) -> None:
    """Raise InputError when ``content`` is no workbook package or unpacks to too much."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            names = set(package.namelist())
            unpacked = sum(part.file_size for part in package.infolist())
    except (zipfile.BadZipFile, ValueError, NotImplementedError) as error:
        raise InputError(
            "file",
            str(path),
            f"{_ALLOWED}; this file is something else, damaged or protected by a password",
        ) from error
    if unpacked > _LARGEST_UNPACKED:
        raise InputError(
            "file", str(path), f"{_ALLOWED} of less than {_LARGEST_UNPACKED // 2**20} MB unpacked"
        )
    if "[Content_Types].xml" not in names or not any(n.startswith("xl/") for n in names):
        raise InputError("file", str(path), f"{_ALLOWED}; this file has no worksheets")


def _read(path: Path) -> bytes:
    if not path.exists():
        raise InputError("file", str(path), f"{_ALLOWED} that exists")
    if path.is_dir():
        raise InputError("file", str(path), f"{_ALLOWED}, not a folder")
    try:
        if path.stat().st_size > _LARGEST_FILE:
            raise InputError(
                "file", str(path), f"{_ALLOWED} of less than {_LARGEST_FILE // 2**20} MB"
            )
        return path.read_bytes()
    except OSError as error:
        raise InputError(
            "file",
            str(path),
            "close it in the program that has it open, or check that you may read it",
        ) from error
