"""Folders for work in progress, told apart by a lock: a live run's, or the litter of a killed one.

They lie beside what is to be written, so that a rename from there stays on one disk.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from basinbook.files import journal

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

_PREFIX: Final = ".basinbook-write-"
_NAME: Final = re.compile(re.escape(_PREFIX) + r"[a-z0-9_]{8}")
_LOCK: Final = "lock"
_TRIES: Final = 20


@contextmanager
def scratch_folder(parent: Path) -> Iterator[Path]:
    """Make a folder in ``parent`` that is held while the work lasts and then removed.

    What a killed run has left in ``parent`` is settled and removed first. Raises OSError.
    """
    tidy(parent)
    folder, descriptor = _made(parent)
    try:
        yield folder
    finally:
        # A set that could be neither finished nor undone is kept for the next run.
        if not journal.is_open(folder):
            _remove(folder, descriptor)
        else:
            os.close(descriptor)


@contextmanager
def temporary_folder() -> Iterator[Path]:
    """Make such a folder where the system keeps temporary files."""
    with scratch_folder(Path(tempfile.gettempdir())) as folder:
        yield folder


def tidy(parent: Path) -> None:
    """Finish or undo a set of files that a killed run left half placed, and remove its litter.

    What belongs to a live run, and what can't be removed, stays.
    """
    try:
        with os.scandir(parent) as entries:
            found = [
                Path(entry.path)
                for entry in entries
                if _NAME.fullmatch(entry.name) and entry.is_dir(follow_symlinks=False)
            ]
    except OSError:
        return
    for folder in found:
        with contextlib.suppress(OSError):
            descriptor = _locked(folder)
            try:
                journal.settle(folder)
            except BaseException:
                os.close(descriptor)
                raise
            _remove(folder, descriptor)


def _made(parent: Path) -> tuple[Path, int]:
    for _ in range(_TRIES):
        folder = Path(tempfile.mkdtemp(prefix=_PREFIX, dir=parent))
        # Another run may take it for litter before it is locked.
        with contextlib.suppress(FileNotFoundError, BlockingIOError):
            descriptor = _locked(folder)
            if _is_there(folder / _LOCK, descriptor):
                return folder, descriptor
            os.close(descriptor)
    raise OSError(None, "other runs are busy in the folder")


def _locked(folder: Path) -> int:
    """Return the open lock of a folder; raises OSError where another process holds it."""
    descriptor = os.open(folder / _LOCK, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        if sys.platform == "win32":
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BaseException:
        os.close(descriptor)
        raise
    return descriptor


def _is_there(path: Path, descriptor: int) -> bool:
    try:
        return os.path.samestat(path.stat(), os.fstat(descriptor))
    except FileNotFoundError:
        return False


def _remove(folder: Path, descriptor: int) -> None:
    if sys.platform == "win32":
        # An open file can't be removed there.
        os.close(descriptor)
        shutil.rmtree(folder, ignore_errors=True)
        return
    shutil.rmtree(folder, ignore_errors=True)
    os.close(descriptor)
