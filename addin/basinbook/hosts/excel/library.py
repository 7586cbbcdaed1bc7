"""Libraries that only users of Excel need and install."""

from __future__ import annotations

from importlib import import_module
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from basinbook.engine.errors import InputError


def xlwings_library() -> Any:
    """Return xlwings. Raises InputError with what to install where it is missing."""
    try:
        return import_module("xlwings")
    except ModuleNotFoundError as error:
        if error.name != "xlwings":
            raise
        raise _missing("xlwings", "xlwings") from None


def xlwings_version() -> str:
    """Return the version, which stands in its DLL's name; raises InputError as above."""
    try:
        return version("xlwings")
    except PackageNotFoundError:
        raise _missing("xlwings", "xlwings") from None


def vba_libraries() -> tuple[Any, Any, Any]:
    """Return what pyopenvba has for workbooks, for VBA and for compound files; as above."""
    try:
        from pyopenvba import cfb, excel, vba
    except ModuleNotFoundError:
        raise _missing("pyopenvba", "pyopenvba==6.5.0") from None
    return excel, vba, cfb


def _missing(name: str, package: str) -> InputError:
    return InputError(name, "not installed", f"install it: python -m pip install {package}")
