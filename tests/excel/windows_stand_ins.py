"""Stand-ins for what xlwings needs of Windows, so that its own code runs here as it does there.

What they copy is the documented behaviour of pywin32 (its com/win32com/src/oleargs.cpp): an empty
cell is None, an error cell the integer of its SCODE, a missing argument the integer of
DISP_E_PARAMNOTFOUND, several cells a tuple of row tuples; a result of None becomes VT_NULL. That
Excel shows #VALUE! for a Null is what users of xlwings report (its issue 390). Excel itself is
not here.
"""

from __future__ import annotations

import ctypes
import importlib
import sys
import types
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any
from unittest import mock

MISSING = -2147352572
"""DISP_E_PARAMNOTFOUND, an optional argument left out, as pywin32 gives it."""
DIV_0 = 0x800A0000 + 2007 - 2**32
"""The SCODE of a cell with #DIV/0! as a signed number; xlErrDiv0 is 2007."""
RANGE_IID = "{00020846-0000-0000-C000-000000000046}"

_RELOADED = ("xlwings", "basinbook.hosts.excel.adapter", "basinbook.hosts.excel.functions")
_LOADED_BEFORE = (
    "numpy", "pandas", "PIL.ImageGrab", "matplotlib", "asyncio", "multiprocessing", "pint",
)  # fmt: skip
_WINDOWS_ONLY = (
    "pythoncom",
    "pywintypes",
    "win32api",
    "win32con",
    "win32event",
    "win32gui",
    "win32process",
    "win32timezone",
    "win32com",
    "win32com.client",
    "win32com.server",
    "win32com.server.dispatcher",
    "win32com.server.policy",
    "win32com.server.util",
)


class ComError(Exception):
    """Stands in for pywintypes.com_error."""


class PyIDispatch:
    """Stands in for the type of a raw COM pointer."""


@dataclass(frozen=True)
class Windows:
    """xlwings as it is on Windows, and our module as imported by it."""

    xlwings: Any
    udfs: Any
    com_server: Any
    functions: Any


@contextmanager
def windows() -> Iterator[Windows]:
    """Import xlwings and our functions as on Windows; afterwards all is as it was."""
    # These look at the platform when they are imported, and must not see the wrong one. pint must
    # not be forgotten afterwards: its registry outlives this.
    for name in _LOADED_BEFORE:
        importlib.import_module(name)
    before = {name: module for name, module in sys.modules.items() if _ours(name)}
    package = vars(importlib.import_module("basinbook.hosts.excel"))
    attributes = dict(package)
    for name in before:
        del sys.modules[name]
    stand_ins = _modules()
    try:
        with mock.patch.dict(sys.modules, stand_ins):
            with (
                mock.patch.object(sys, "platform", "win32"),
                mock.patch.object(ctypes, "windll", mock.MagicMock(), create=True),
                mock.patch.object(ctypes, "oledll", mock.MagicMock(), create=True),
                mock.patch.object(ctypes, "PyDLL", mock.MagicMock()),
            ):
                xlwings = importlib.import_module("xlwings")
                functions = importlib.import_module("basinbook.hosts.excel.functions")
            yield Windows(
                xlwings, sys.modules["xlwings.udfs"], sys.modules["xlwings.com_server"], functions
            )
    finally:
        for name in [name for name in sys.modules if _ours(name)]:
            del sys.modules[name]
        sys.modules.update(before)
        package.clear()
        package.update(attributes)


def cells(*rows: tuple[object, ...]) -> Any:
    """Return a COM range of these cells, as an argument of a function in a cell is one."""
    return ComRange(rows)


class ComRange:
    """A range as COM hands it over: only what a user-defined function may read."""

    def __init__(self, rows: tuple[tuple[object, ...], ...]) -> None:
        self._rows = rows
        self._oleobj_ = mock.MagicMock()
        self._oleobj_.GetTypeInfo().GetTypeAttr().iid = RANGE_IID
        self.Worksheet = workbook().Worksheets(1)
        self.Rows = mock.MagicMock(Count=len(rows))
        self.Columns = mock.MagicMock(Count=len(rows[0]))
        self.Row = self.Column = 1

    @property
    def Value2(self) -> object:  # noqa: N802
        one = len(self._rows) == 1 and len(self._rows[0]) == 1
        return self._rows[0][0] if one else self._rows

    def GetAddress(self, *_: object) -> str:  # noqa: N802
        return "$A$1"


class ComSheet:
    def __init__(self, book: ComWorkbook) -> None:
        self.Name = "Job"
        self.Parent = book


class ComWorkbook:
    """A workbook as COM hands it over, with one sheet."""

    def __init__(self, name: str) -> None:
        self.Name = name
        self.Application = mock.MagicMock()
        self.Application.Version = "16.0"
        sheet = ComSheet(self)
        self.Worksheets = mock.MagicMock(return_value=sheet, Count=1)


def workbook(name: str = "job.xlsm") -> ComWorkbook:
    return ComWorkbook(name)


def _ours(name: str) -> bool:
    return any(name == root or name.startswith(f"{root}.") for root in _RELOADED)


def _modules() -> dict[str, types.ModuleType]:
    found: dict[str, Any] = {name: mock.MagicMock(name=name) for name in _WINDOWS_ONLY}
    found["pythoncom"].__file__ = "pythoncom"
    found["pythoncom"].TypeIIDs = {found["pythoncom"].IID_IDispatch: PyIDispatch}
    found["pywintypes"].com_error = ComError
    found["pywintypes"].TimeType = type("TimeType", (), {})
    found["pywintypes"].IID = str
    client = found["win32com.client"]
    client.Dispatch = lambda thing, **_: thing
    for name in ("CDispatch", "CoClassBaseClass", "DispatchBaseClass"):
        setattr(client, name, type(name, (), {}))
    # Nothing here is a wrapped Python object.
    found["win32com.server.util"].unwrap.side_effect = ComError
    found["win32process"].GetWindowThreadProcessId.return_value = (1, 1)
    found["win32com"].client = client
    found["win32com"].server = found["win32com.server"]
    for name in ("dispatcher", "policy", "util"):
        setattr(found["win32com.server"], name, found[f"win32com.server.{name}"])
    return found
