"""A stamp in a picture that tells what it was drawn from, so that it is drawn anew only for cause.

The stamp is a text chunk of the PNG file (ISO/IEC 15948, clause 11.3.4.3), which other programs
carry along or drop; where they change the picture, the stamp no longer fits it.
"""

from __future__ import annotations

import hashlib
import struct
import zlib
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Final

import basinbook

_KEYWORD: Final = b"basinbook\0"
# The signature and the header chunk, which has to come first.
_HEAD: Final = 8 + 25
_DRAWN_BY: Final = ("drawings", "engine")


def stamped(png: bytes, key: str) -> bytes:
    """Return the picture with a stamp: the key of what it was drawn from, and its own digest."""
    return png[:_HEAD] + _chunk(png, key) + png[_HEAD:]


def bears(png: bytes, key: str) -> bool:
    """Return whether the picture was stamped with the key and nobody has changed it since."""
    length = len(_chunk(b"", key))
    plain = png[:_HEAD] + png[_HEAD + length :]
    return stamped(plain, key) == png


def drawing_key(*inputs: object) -> str:
    """Return a key of all that drawings follow from: inputs that show themselves whole, and code.

    The code is that of the engine and of the drawings, and the version of matplotlib.
    """
    return _digest(_code(), *(repr(one).encode() for one in inputs))


@cache
def _code() -> bytes:
    package = Path(basinbook.__file__).parent
    sources = sorted(file for folder in _DRAWN_BY for file in (package / folder).rglob("*.py"))
    parts = (part for file in sources for part in (file.name.encode(), file.read_bytes()))
    return _digest(version("matplotlib").encode(), *parts).encode()


def _chunk(png: bytes, key: str) -> bytes:
    kind_and_text = b"tEXt" + _KEYWORD + f"{key} {_digest(png)}".encode("ascii")
    length = struct.pack(">I", len(kind_and_text) - 4)
    return length + kind_and_text + struct.pack(">I", zlib.crc32(kind_and_text))


def _digest(*parts: bytes) -> str:
    found = hashlib.sha256()
    for part in parts:
        found.update(struct.pack(">Q", len(part)) + part)
    return found.hexdigest()
