"""The VBA text of the add-in: one short function for each of the catalogue, with its help.

What a function does is done in one place, ``Ask`` (payload/server.bas); a function only hands its
name and arguments over. Excel takes help from attributes that its editor doesn't show.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from basinbook.catalogue.model import Function
from basinbook.hosts.excel.names import argument_name, excel_name, help_text

# VBA takes lines of 1023 characters, and a module of about 64 KB of text loads in every version.
MAX_LINE: Final = 1023
_MAX_MODULE: Final = 48_000
_END: Final = "\r\n"
# The first group of functions after the 19 that Excel has (addin_file).
_GROUP: Final = r" \n20"


def wrapper_modules(functions: Iterable[Function]) -> dict[str, str]:
    """Return the modules' texts by name, each short enough for VBA."""
    modules: list[list[str]] = [[]]
    size = 0
    for function in functions:
        text = wrapper(function)
        if size + len(text) > _MAX_MODULE:
            modules.append([])
            size = 0
        modules[-1].append(text)
        size += len(text)
    return {
        f"BasinFunctions{number}": module_text("".join(texts))
        for number, texts in enumerate(modules, start=1)
    }


def module_text(body: str) -> str:
    """Return a module's text with the line ends of VBA; declarations come first in it."""
    text = body if body.startswith("Option Explicit") else f"Option Explicit{_END}{body}"
    return _END.join(text.splitlines()) + _END


def wrapper(function: Function) -> str:
    """Return the VBA function of one function of the catalogue."""
    name = excel_name(function)
    lines = [
        f"Function {name}({', '.join(_parameters(function))})",
        f'Attribute {name}.VB_Description = "{_quoted(help_text(function.summary))}"',
        f'Attribute {name}.VB_ProcData.VB_Invoke_Func = "{_GROUP}"',
        *_body(function),
        "End Function",
    ]
    return "".join(line + _END for line in lines)


def _parameters(function: Function) -> Iterator[str]:
    for argument in function.all_arguments:
        name = argument_name(argument)
        if argument.repeats:
            yield f"ParamArray {name}()"
        else:
            yield name if argument.required else f"Optional {name}"


def _body(function: Function) -> Iterator[str]:
    name = excel_name(function)
    given = [argument_name(argument) for argument in function.all_arguments]
    if not any(argument.repeats for argument in function.all_arguments):
        yield f'    {name} = Ask("{name}", Array({", ".join(given)}))'
        return
    *plain, rest = given
    yield "    Dim argsArray As Variant, k As Long"
    yield f"    argsArray = Array({', '.join(plain)})"
    yield f"    ReDim Preserve argsArray(0 To UBound({rest}) + {len(plain)})"
    yield f"    For k = 0 To UBound({rest})"
    yield f"        argsArray(k + {len(plain)}) = {rest}(k)"
    yield "    Next k"
    yield f'    {name} = Ask("{name}", argsArray)'


def _quoted(text: str) -> str:
    return text.replace('"', '""')
