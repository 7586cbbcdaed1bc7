"""Where a file may be written, asked before any work is done for it and again before it is done."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from basinbook.engine.errors import InputError

# Spreadsheet programs put one of these beside a file they have open for writing.
_LOCKS: Final = (".~lock.{}#", "~${}")


def real_file(path: Path) -> Path:
    """Return the file that a path leads to through links; nothing need be there.

    Raises OSError for links that lead in a circle.
    """
    try:
        real = path.resolve()
    except RuntimeError as error:
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP)) from error
    if real.is_symlink():
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP))
    return real


def check_target(
    path: Path, *, replace: bool = True, argument: str = "out", make_folder: bool = False
) -> Path:
    """Return the real file that ``path`` leads to, if it may be written there.

    Refused are: a folder, a pipe or a device, a file that another program has open or that is
    write-protected, any file unless ``replace``, and a missing folder unless ``make_folder``.
    Raises InputError naming ``argument``.
    """

    def refused(allowed: str) -> InputError:
        return InputError(argument, str(path), allowed)

    try:
        real = real_file(path)
        if not make_folder and not real.parent.is_dir():
            raise refused("there is no such folder; make it first")
        mode = real.stat().st_mode if real.exists() else None
    except InputError:
        raise
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise refused(f"no file can have this name ({reason})") from error
    if mode is None:
        return real
    if stat.S_ISDIR(mode):
        raise refused("it is a folder; give a file name")
    if not stat.S_ISREG(mode):
        raise refused("it is a pipe or a device; give a file name")
    if not replace:
        raise refused("the file exists; give another name or --force")
    for place in dict.fromkeys((path, real)):
        for pattern in _LOCKS:
            lock = place.with_name(pattern.format(place.name))
            if os.path.lexists(lock):
                raise refused(
                    "it is open in another program; close it there (if it is not open, delete "
                    f"{lock.name} beside it)"
                )
    if not os.access(real, os.W_OK):
        raise refused("it is write-protected; allow writing or give --out")
    return real


def refuse_inputs(out: Path, inputs: Iterable[Path], argument: str = "out") -> None:
    """Refuse an output that is one of the inputs, be it by a link or in other letters."""
    for path in inputs:
        if is_same_file(out, path):
            raise InputError(
                argument, str(out), "this is the workbook itself, which is read; give another name"
            )


def is_same_file(one: Path, other: Path) -> bool:
    """Return whether two paths lead to one file, or would if it were there."""
    try:
        return one.samefile(other)
    except (OSError, ValueError):
        return is_same_place(one, other)


def is_same_place(one: Path, other: Path) -> bool:
    """Return whether two paths lead to one name in one folder, through links or not."""
    try:
        return real_file(one) == real_file(other)
    except (OSError, ValueError):
        return False
