"""Building the Calc extension (.oxt) from the catalogue."""

from __future__ import annotations

import json
import sys
import zipfile
from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from basinbook import __version__
from basinbook.catalogue import Function, functions
from basinbook.catalogue.model import Argument, Array
from basinbook.files.writing import write_files
from basinbook.hosts.function_help import CATEGORY, argument_help

IDENTIFIER = "org.basinbook.calc"
SERVICE = "Basin"
INTERFACE = "XBasin"
_PAYLOAD = Path(__file__).with_name("payload")
# A zip must carry dates; a fixed one makes the same catalogue give the same file.
_DATE = (2020, 1, 1, 0, 0, 0)


def build(target: Path, interpreter: str | None = None, *, force: bool = False) -> Path:
    """Write the extension to ``target``, new unless ``force`` is set, and return it.

    interpreter: the Python that runs the engine; by default the one that runs this.
    """
    files = contents(list(functions().values()), interpreter or sys.executable)
    stream = BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for name, text in files.items():
            info = zipfile.ZipInfo(name, _DATE)
            info.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(info, text.encode("utf-8"))
    write_files({target: stream.getvalue()}, replace=force)
    return target


def contents(declared: Sequence[Function], interpreter: str) -> dict[str, str]:
    """Return the extension's files by name."""
    return {
        "META-INF/manifest.xml": _manifest(),
        "description.xml": _description(),
        "description.txt": (
            "Worksheet functions for raised water basins of wall block: take-off, setting-out, "
            "estimate and order.\n"
        ),
        f"{INTERFACE}.idl": interface(declared),
        "CalcAddIns.xcu": configuration(declared),
        "basinbook_component.py": _payload("basinbook_component.py"),
        "pythonpath/basinbook_client.py": _payload("basinbook_client.py"),
        "pythonpath/basinbook.json": _settings(declared, interpreter),
    }


def interface(declared: Sequence[Function]) -> str:
    """Return the interface of the add-in in UNO's interface language."""
    methods = "\n".join(
        f"        {_result_type(function)} {method_name(function)}({_parameters(function)});"
        for function in declared
    )
    return (
        f"module org {{ module basinbook {{ module calc {{\n"
        f"    interface {INTERFACE} : com::sun::star::uno::XInterface\n    {{\n{methods}\n    }};\n"
        f"}}; }}; }};\n"
    )


def configuration(declared: Sequence[Function]) -> str:
    """Return the configuration that gives functions and arguments their names and help texts."""
    nodes = "\n".join(_function_node(function) for function in declared)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" '
        'xmlns:xs="http://www.w3.org/2001/XMLSchema" '
        'oor:name="CalcAddIns" oor:package="org.openoffice.Office">\n'
        '<node oor:name="AddInInfo">\n'
        f'<node oor:name="{SERVICE}" oor:op="replace">\n<node oor:name="AddInFunctions">\n'
        f"{nodes}\n</node>\n</node>\n</node>\n</oor:component-data>\n"
    )


def method_name(function: Function) -> str:
    """Return a function's name in the interface; Calc compares it without regard to case."""
    return function.name.lower()


def parameter_name(argument: Argument) -> str:
    """Return an argument's name in the interface, where underscores are not allowed."""
    return "a" + "".join(word.capitalize() for word in argument.name.split("_"))


def _result_type(function: Function) -> str:
    return "sequence< sequence< any > >" if isinstance(function.result, Array) else "any"


def _parameters(function: Function) -> str:
    return ", ".join(
        f"[in] {'sequence< any >' if argument.repeats else 'any'} {parameter_name(argument)}"
        for argument in function.all_arguments
    )


def _function_node(function: Function) -> str:
    arguments = "\n".join(
        f'<node oor:name="{parameter_name(argument)}" oor:op="replace">'
        f"{_text('DisplayName', argument.name)}{_text('Description', argument_help(argument))}"
        "</node>"
        for argument in function.all_arguments
    )
    return (
        f'<node oor:name="{method_name(function)}" oor:op="replace">'
        f"{_text('DisplayName', f'BASIN.{function.name}')}"
        f"{_text('Description', function.summary)}"
        f'<prop oor:name="Category"><value>Add-In</value></prop>'
        f'<prop oor:name="CategoryDisplayName"><value xml:lang="en">{CATEGORY}</value></prop>'
        f'<node oor:name="Parameters">{arguments}</node></node>'
    )


def _text(name: str, value: str) -> str:
    return f'<prop oor:name="{name}"><value xml:lang="en">{escape(value)}</value></prop>'


def _manifest() -> str:
    entries = (
        ("application/vnd.sun.star.uno-typelibrary;type=RDB", f"{INTERFACE}.idl"),
        ("application/vnd.sun.star.configuration-data", "CalcAddIns.xcu"),
        ("application/vnd.sun.star.uno-component;type=Python", "basinbook_component.py"),
    )
    lines = "\n".join(
        f"<manifest:file-entry manifest:media-type={quoteattr(kind)} "
        f"manifest:full-path={quoteattr(path)}/>"
        for kind, path in entries
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">\n'
        f"{lines}\n</manifest:manifest>\n"
    )


def _description() -> str:
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<description xmlns="http://openoffice.org/extensions/description/2006" '
        'xmlns:xlink="http://www.w3.org/1999/xlink">\n'
        f'<identifier value="{IDENTIFIER}"/>\n<version value="{__version__}"/>\n'
        '<platform value="all"/>\n'
        '<display-name><name lang="en">Basinbook functions</name></display-name>\n'
        '<extension-description><src lang="en" xlink:href="description.txt"/>'
        "</extension-description>\n</description>\n"
    )


def _settings(declared: Sequence[Function], interpreter: str) -> str:
    return json.dumps(
        {
            "python": interpreter,
            "version": __version__,
            "functions": [
                {
                    "name": function.name,
                    "method": method_name(function),
                    "repeats": bool(function.arguments and function.arguments[-1].repeats),
                }
                for function in declared
            ],
        },
        indent=1,
    )


def _payload(name: str) -> str:
    return (_PAYLOAD / name).read_text(encoding="utf-8")
