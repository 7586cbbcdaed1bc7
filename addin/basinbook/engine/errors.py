"""The one error that every bad input ends in."""

from __future__ import annotations

from collections.abc import Iterable


class InputError(ValueError):
    """A value that can't be used, with the argument's name, the value and what is allowed.

    ``value`` is kept as the user gave it, so that hosts can show it back unchanged.
    """

    def __init__(self, argument: str, value: object, allowed: str) -> None:
        self.argument = argument
        self.value = value
        self.allowed = allowed
        super().__init__(f"{_cropped(argument)}: {_shown(value)} can't be used; {allowed}")


def check_choice(argument: str, word: str, choices: Iterable[str]) -> None:
    """Refuse a word that is none of the choices, with a list of them."""
    allowed = tuple(choices)
    if word not in allowed:
        raise InputError(argument, word, f"allowed are {', '.join(allowed)}")


def _shown(value: object) -> str:
    if value is None or value == "":
        return "a blank"
    # Spreadsheets hand over whole numbers as floats.
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        value = int(value)
    try:
        text = repr(value) if isinstance(value, str) else str(value)
    except (ValueError, RecursionError):  # thousands of digits, or of rows in rows
        return f"{type(value).__name__} of great size"
    return _cropped(text)


def _cropped(text: str) -> str:
    return text if len(text) <= 200 else text[:197] + "..."
