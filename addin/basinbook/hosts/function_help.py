"""What every spreadsheet's function wizard shows of a function."""

from __future__ import annotations

from typing import Final

from basinbook.catalogue.model import Argument

CATEGORY: Final = "Basin"


def argument_help(argument: Argument) -> str:
    """Return an argument's help text: what it is, which words it takes, whether it is needed.

    Calc's wizard calls every argument optional, because each takes any kind of value.
    """
    words = argument.help
    if argument.choices and argument.name != "units":
        words += f": {', '.join(argument.choices)}"
    return f"{words} (must be given)" if argument.required and not argument.repeats else words
