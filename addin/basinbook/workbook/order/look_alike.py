"""Domains in xn-- form that read like another: mail programs show their letters, not the form.

A label is told apart by the scripts of its letters (Unicode names) and by letters of other scripts
that look like Latin ones; the list of these is from memory and not complete.
"""

from __future__ import annotations

import unicodedata
from typing import Final

_ACE: Final = "xn--"
# Cyrillic and Greek letters that few readers tell from Latin ones.
_LIKE_LATIN: Final = frozenset("аеорсухіјѕһԁԛԝгкмнтвӏүοαρνυικτχγω")


def odd_label(domain: str) -> str:
    """Return what is odd about a domain's labels; blank for nothing.

    Odd is a label that can't be read, has letters of two scripts, or only such as look like Latin.
    """
    for label in domain.lower().split("."):
        if not label.startswith(_ACE):
            continue
        try:
            letters = label.removeprefix(_ACE).encode("ascii").decode("punycode")
        except (UnicodeError, ValueError):
            return f"{label} is no label that can be read"
        if letters.isascii() or any(not _is_letter(letter) for letter in letters):
            return f"{label} stands for no plain letters"
        scripts = {_script(letter) for letter in letters} - {""}
        if len(scripts) > 1:
            return f"{label} reads {letters}, which mixes letters of two scripts"
        if all(letter in _LIKE_LATIN for letter in letters if _script(letter)):
            return f"{label} reads {letters}, whose letters look like other ones"
    return ""


def _is_letter(letter: str) -> bool:
    return unicodedata.category(letter)[0] in "LMN" or letter == "-"


def _script(letter: str) -> str:
    """Return the first word of a letter's name, which is its script; blank for digits and marks."""
    if unicodedata.category(letter)[0] in "NM" or letter in "-":
        return ""
    script = unicodedata.name(letter, "UNNAMED").split()[0]
    # Japanese is written in three.
    return "CJK" if script in ("HIRAGANA", "KATAKANA", "CJK", "KATAKANA-HIRAGANA") else script
