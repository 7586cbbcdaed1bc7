"""xlwings, which only users of Excel need and install."""

from __future__ import annotations

from importlib import import_module
from typing import Any, Final

from basinbook.engine.errors import InputError

_INSTALL: Final = "install it: python -m pip install xlwings"


def xlwings_library() -> Any:
    """Return the library. Raises InputError with what to install where it is missing."""
    try:
        return import_module("xlwings")
    except ModuleNotFoundError as error:
        if error.name != "xlwings":
            raise
        raise InputError("xlwings", "not installed", _INSTALL) from None
