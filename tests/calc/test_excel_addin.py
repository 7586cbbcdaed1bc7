"""The add-in file for Excel in LibreOffice, which reads and runs its VBA; Excel is not here.

Every function is called from a cell. What would load xlwings' DLL is replaced by a few lines that
show what they were asked.
"""

from __future__ import annotations

from pathlib import Path

from basinbook.catalogue import functions
from basinbook.hosts.excel.addin_file import SERVER, addin_bytes, addin_modules
from basinbook.hosts.excel.names import excel_name
from calc.calc_office import Office

VBA_FILTER = "Calc MS Excel 2007 VBA XML"
STAND_IN = """\
Option Explicit\r
Public Function Ask(ByVal FunctionName As String, ByVal Given As Variant) As Variant\r
    Dim Text As String, k As Long\r
    Text = FunctionName\r
    For k = LBound(Given) To UBound(Given)\r
        Text = Text & " " & Given(k)\r
    Next k\r
    Ask = Text\r
End Function\r
"""


def test_every_function_is_called_from_a_cell(calc: Office, tmp_path: Path) -> None:
    path = tmp_path / "basinbook.xlam"
    path.write_bytes(addin_bytes(r"C:\Tools\python.exe", {SERVER: STAND_IN}))
    calls, expected = [], []
    for function in functions().values():
        numbers = [str(number + 1) for number, _ in enumerate(function.all_arguments)]
        name = excel_name(function)
        calls.append(f"={name}({';'.join(numbers)})")
        expected.append(" ".join([name, *numbers]))
    calc.open_with_macros(str(path), VBA_FILTER)
    try:
        assert calc.shown("Basinbook", calls) == expected
        read = calc.module_texts()
        for name, text in addin_modules().items():
            if name != SERVER:
                assert lines(text) == lines(read[name]), name
    finally:
        calc.close()


def lines(text: str) -> list[str]:
    """The lines of a module that LibreOffice shows: no attributes, and none that it adds."""
    hidden = ("Attribute", "Rem Attribute", "Option VBASupport")
    return [line for line in text.splitlines() if line and not line.startswith(hidden)]
