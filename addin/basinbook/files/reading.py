"""Reading a file that a user named: a plain file of bounded size, and nothing else."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import BinaryIO, Final

from basinbook.engine.errors import InputError

OPEN_ELSEWHERE: Final = "close it in the other program and try again"
_PIECE: Final = 1_000_000
_NON_BLOCKING: Final = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


def read_file(path: Path, limit: int, argument: str) -> bytes:
    """Return the content of a plain file of at most ``limit`` bytes.

    Raises InputError naming ``argument`` for what is missing, a folder, a pipe, a device or too
    large; no byte of these is read.
    """
    try:
        # A pipe must not be waited for, and what is opened may be another thing than what was
        # looked at.
        _check_kind(path, path.stat().st_mode, argument)
        descriptor = os.open(path, os.O_RDONLY | _NON_BLOCKING)
        with os.fdopen(descriptor, "rb") as file:
            found = os.fstat(descriptor)
            _check_kind(path, found.st_mode, argument)
            data = _content(file, limit) if found.st_size <= limit else b""
    except FileNotFoundError as error:
        raise InputError(
            argument, str(path), "there is no such file; check the name and the folder"
        ) from error
    except PermissionError as error:
        raise InputError(argument, str(path), f"it can't be read; {OPEN_ELSEWHERE}") from error
    except InputError:
        raise
    except (OSError, ValueError) as error:
        raise InputError(
            argument, str(path), "it can't be read; check the name and the folder"
        ) from error
    if found.st_size > limit or len(data) > limit:
        raise InputError(argument, str(path), f"give a file of at most {limit / 1e6:g} MB")
    return data


def _content(file: BinaryIO, limit: int) -> bytes:
    """Return what the file has; one byte more than the limit shows one that has grown since.

    Piece by piece: a read of so many bytes at once takes room for all of them first.
    """
    pieces, room = [], limit + 1
    while room and (piece := file.read(min(room, _PIECE))):
        pieces.append(piece)
        room -= len(piece)
    return b"".join(pieces)


def _check_kind(path: Path, mode: int, argument: str) -> None:
    if stat.S_ISDIR(mode):
        raise InputError(argument, str(path), "it is a folder; give a file")
    if not stat.S_ISREG(mode):
        raise InputError(argument, str(path), "it is a pipe or a device; give a file")
