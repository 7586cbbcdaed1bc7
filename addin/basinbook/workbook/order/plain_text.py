"""Text that may be sent: what a reader sees, with nothing hidden in it."""

from __future__ import annotations

import unicodedata
from typing import Final

from basinbook.engine.errors import InputError

LONGEST_CELL: Final = 2000
"""Most characters in one cell of an order."""
LONGEST_LINE: Final = 150
"""Most characters in one text that goes into a mail header."""
# Joiners that Persian and Indian scripts and emoji need.
_JOINERS: Final = "\u200c\u200d"
_LAYOUT: Final = "\t\r\n"
# Control, format (reading direction among them), line and paragraph separator, half a pair.
_UNSEEN: Final = ("Cc", "Cf", "Zl", "Zp", "Cs")
_CODED: Final = "=?"


def seen_text(argument: str, text: str, longest: int = LONGEST_CELL) -> str:
    """Return the text; raise InputError naming ``argument`` where it holds what no reader sees.

    Refused are control characters, line and paragraph separators, characters that turn the
    reading direction or have no width, and more than ``longest`` characters. Tabs and line breaks
    are seen.
    """
    if len(text) > longest:
        raise InputError(argument, text, f"it has {len(text):,} characters; at most {longest:,}")
    for letter in text:
        if letter in _LAYOUT or letter in _JOINERS:
            continue
        if unicodedata.category(letter) in _UNSEEN:
            raise InputError(
                argument,
                text,
                f"it holds the unseen character U+{ord(letter):04X}; type the text anew",
            )
    return text


def header_text(argument: str, text: str, longest: int = LONGEST_LINE) -> str:
    """Return text for a mail header: one line of seen characters, blanks at its ends cut off.

    Raises InputError naming ``argument`` for a line break or tab inside, for ``=?``, which begins
    a word in code (RFC 2047) that mail programs turn into other letters, and as `seen_text` does.
    """
    line = seen_text(argument, text.strip(" "), longest)
    if any(letter in _LAYOUT for letter in line):
        raise InputError(argument, text, "give one line, with no line breaks and tabs in it")
    if _CODED in line:
        raise InputError(
            argument, text, f"write it without {_CODED!r}, which mail programs read as code"
        )
    return one_line(line)


def one_line(text: str) -> str:
    """Return text on one line, with single blanks."""
    return " ".join(text.split())
