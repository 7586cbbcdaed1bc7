"""xlwings' settings file: lines of a key and a value, ``"UDF MODULES","..."``.

Lines that are not ours stay as they are, in their order. Keys have no case.
"""

from __future__ import annotations

import locale
import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.files.writing import remove_file, write_files

INTERPRETER: Final = "INTERPRETER_WIN"
MODULES: Final = "UDF MODULES"
OUR_MODULE: Final = "basinbook.hosts.excel.functions"

_LINE: Final = re.compile(r'\s*"(?P<key>[^"]*)"\s*,\s*"(?P<value>[^"]*)"\s*')


@dataclass(frozen=True)
class Settings:
    """A settings file's lines; an empty one where there is no file."""

    lines: tuple[str, ...]

    def get(self, key: str) -> str:
        """Return a key's value, or an empty text."""
        # Excel's VBA takes the first of two.
        return next((value for found, value in self._pairs() if found == key.upper()), "")

    def changed(self, values: Mapping[str, str]) -> Settings:
        """Return the settings with these values; an empty value takes the key out."""
        kept = [line for line in self.lines if _key(line) not in values]
        added = [f'"{key}","{value}"' for key, value in values.items() if value]
        return Settings((*kept, *added))

    @property
    def modules(self) -> tuple[str, ...]:
        """The modules that functions are taken from."""
        return tuple(name.strip() for name in self.get(MODULES).split(";") if name.strip())

    def _pairs(self) -> list[tuple[str, str]]:
        matches = (_LINE.fullmatch(line) for line in self.lines)
        return [(match["key"].upper(), match["value"]) for match in matches if match]


def with_ours(settings: Settings, interpreter: str, *, force: bool = False) -> Settings:
    """Return the settings with our module among the user's and the Python that runs it.

    Raises InputError where another Python is set and ``force`` is not: the user's other workbooks
    may need it.
    """
    if '"' in interpreter:
        raise InputError("--python", interpreter, "give a path without quotation marks")
    present = settings.get(INTERPRETER)
    if present and not _same_path(present, interpreter) and not force:
        raise InputError(
            INTERPRETER,
            present,
            f"xlwings uses another Python already; give --force to make it {interpreter}, or keep "
            "both with settings for one folder only: basinbook addin build excel --out "
            "FOLDER/xlwings.conf",
        )
    modules = settings.modules
    if OUR_MODULE not in modules:
        modules = (*modules, OUR_MODULE)
    return settings.changed({INTERPRETER: interpreter, MODULES: ";".join(modules)})


def without_ours(settings: Settings, interpreter: str) -> Settings:
    """Return the settings without our module.

    The Python goes too, if it is ours and no other module is left that may need it.
    """
    modules = tuple(name for name in settings.modules if name != OUR_MODULE)
    values = {MODULES: ";".join(modules)}
    if not modules and _same_path(settings.get(INTERPRETER), interpreter):
        values[INTERPRETER] = ""
    return settings.changed(values)


def read_settings(path: Path) -> Settings:
    """Return a file's settings."""
    try:
        return Settings(tuple(path.read_text(encoding=_encoding()).splitlines()))
    except FileNotFoundError:
        return Settings(())
    except (OSError, UnicodeDecodeError) as error:
        raise InputError("settings", str(path), f"it can't be read ({error})") from error


def write_settings(settings: Settings, path: Path) -> None:
    """Write a settings file in one step, or take it away where nothing is left in it."""

    if not settings.lines:
        remove_file(path, "settings")
        return
    text = "\n".join([*settings.lines, ""])
    try:
        data = text.replace("\n", os.linesep).encode(_encoding())
    except UnicodeEncodeError as error:
        raise InputError("settings", str(path), f"it can't be written ({error})") from error
    write_files({path: data}, replace=True, argument="settings")


def _encoding() -> str:
    """Return the code page of the system, which Excel's VBA reads the file in."""
    return locale.getencoding()


def _key(line: str) -> str:
    match = _LINE.fullmatch(line)
    return match["key"].upper() if match else ""


def _same_path(one: str, other: str) -> bool:
    return os.path.normcase(os.path.expandvars(one)) == os.path.normcase(other)
