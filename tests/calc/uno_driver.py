"""Drives a LibreOffice through UNO; run by the Python that has the ``uno`` module.

Reads one JSON line for each thing to do from standard input and answers with one JSON line.
"""

from __future__ import annotations

import json
import sys
import time
from typing import Any

import uno
from com.sun.star.beans import PropertyValue


def connect(pipe: str) -> Any:
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext(
        "com.sun.star.bridge.UnoUrlResolver", local
    )
    deadline = time.monotonic() + 60
    while True:
        try:
            return resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except Exception:
            if time.monotonic() > deadline:
                raise
            time.sleep(0.1)


def property_value(name: str, value: Any) -> Any:
    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


def state_of(cell: Any) -> dict[str, Any]:
    kind = cell.FormulaResultType2 if cell.Type.value == "FORMULA" else None
    plain = cell.Type.value
    return {
        "error": cell.getError(),
        "formula": cell.Formula,
        "text": cell.String,
        # 1: a number, 2: a text (com.sun.star.sheet.FormulaResult, with the VALUE and STRING bits)
        "value": cell.Value if kind == 1 or plain == "VALUE" else cell.String,
    }


class Driver:
    def __init__(self, pipe: str) -> None:
        self.context = connect(pipe)
        self.desktop = self.context.ServiceManager.createInstanceWithContext(
            "com.sun.star.frame.Desktop", self.context
        )
        self.document: Any = None

    def open(self, path: str | None = None) -> None:
        url = uno.systemPathToFileUrl(path) if path else "private:factory/scalc"
        options = (property_value("Hidden", True),)
        self.document = self.desktop.loadComponentFromURL(url, "_blank", 0, options)
        if self.document is None:
            raise OSError(f"{path} can't be opened; is it open elsewhere?")
        # A window would paint its first sheet; a hidden document shows none.
        self.values(self.sheets()[0])

    def open_with_macros(self, path: str, filter_name: str) -> None:
        """Open a file, and run its macros when something asks for them."""
        always = 4  # com.sun.star.document.MacroExecMode.ALWAYS_EXECUTE_NO_WARN
        options = (
            property_value("Hidden", True),
            property_value("MacroExecutionMode", uno.Any("short", always)),
            property_value("FilterName", filter_name),
        )
        url = uno.systemPathToFileUrl(path)
        self.document = self.desktop.loadComponentFromURL(url, "_blank", 0, options)

    def shown(self, sheet: str, formulas: list[str]) -> list[str]:
        """Put formulas into the first column, and return what their cells show."""
        target = self.cell(sheet, f"A1:A{len(formulas)}")
        target.FormulaArray = tuple((formula,) for formula in formulas)
        return [row[0] for row in target.DataArray]

    def module_texts(self) -> dict[str, str]:
        """The document's macros by module name."""
        library = self.document.BasicLibraries.getByName("VBAProject")
        return {name: library.getByName(name) for name in library.ElementNames}

    def close(self) -> None:
        self.document.close(True)
        self.document = None

    def save(self, path: str, filter_name: str) -> None:
        options = (property_value("FilterName", filter_name),)
        self.document.storeToURL(uno.systemPathToFileUrl(path), options)

    def rename(self, name: str) -> None:
        self.document.Sheets.getByIndex(0).Name = name

    def sheets(self) -> list[str]:
        return list(self.document.Sheets.ElementNames)

    def cell(self, sheet: str, address: str) -> Any:
        return self.document.Sheets.getByName(sheet).getCellRangeByName(address)

    def set(self, cells: list[list[Any]]) -> None:
        for sheet, address, value in cells:
            target = self.cell(sheet, address)
            if value is None:
                target.clearContents(1023)
            elif isinstance(value, str):
                target.String = value
            else:
                target.Value = value

    def enter(self, sheet: str, address: str, text: str) -> None:
        """Type something into a cell, as a person does; Calc guesses what it means."""
        self.cell(sheet, address).FormulaLocal = text

    def formula(self, sheet: str, address: str, formula: str) -> None:
        self.cell(sheet, address).Formula = formula

    def array_formula(self, sheet: str, address: str, formula: str) -> None:
        self.cell(sheet, address).ArrayFormula = formula

    def get(self, sheet: str, addresses: list[str]) -> list[dict[str, Any]]:
        return [state_of(self.cell(sheet, address)) for address in addresses]

    def values(self, sheet: str) -> list[list[Any]]:
        sheet_object = self.document.Sheets.getByName(sheet)
        cursor = sheet_object.createCursor()
        cursor.gotoEndOfUsedArea(True)
        return [list(row) for row in cursor.DataArray]

    def filled(self, sheet: str) -> list[list[Any]]:
        """Row and column, numbered from 1, and value of each cell that shows something."""
        return [
            [row, column, value]
            for row, values in enumerate(self.values(sheet), start=1)
            for column, value in enumerate(values, start=1)
            if value != ""
        ]

    def errors(self, sheet: str) -> list[list[Any]]:
        """Address, formula and error code of each formula cell that shows an error."""
        sheet_object = self.document.Sheets.getByName(sheet)
        found = sheet_object.queryFormulaCells(4)  # com.sun.star.sheet.FormulaResult.ERROR
        cells = found.Cells.createEnumeration()
        listed = []
        while cells.hasMoreElements():
            cell = cells.nextElement()
            listed.append([cell.AbsoluteName, cell.Formula, cell.getError()])
        return listed

    def recalculate(self) -> float:
        start = time.perf_counter()
        self.document.calculateAll()
        return time.perf_counter() - start

    def time_edits(self, edits: list[list[Any]], watched: list[list[str]]) -> list[float]:
        """Seconds from each edit until all dirty cells and the watched ones are recalculated."""
        times = []
        for sheet, address, value in edits:
            target = self.cell(sheet, address)
            start = time.perf_counter()
            if isinstance(value, str):
                target.String = value
            else:
                target.Value = value
            self.document.calculate()
            for watched_sheet, watched_address in watched:
                _ = self.cell(watched_sheet, watched_address).String
            times.append(time.perf_counter() - start)
        return times

    def functions(self) -> list[dict[str, Any]]:
        """The add-in's functions as the function wizard shows them."""
        descriptions = self.context.ServiceManager.createInstanceWithContext(
            "com.sun.star.sheet.FunctionDescriptions", self.context
        )
        listed = []
        for index in range(descriptions.Count):
            found = {item.Name: item.Value for item in descriptions.getByIndex(index)}
            if not found["Name"].upper().startswith("BASIN"):
                continue
            listed.append(
                {
                    "name": found["Name"],
                    "description": found["Description"],
                    "category": found["Category"],
                    "arguments": [
                        [a.Name, a.Description, a.IsOptional] for a in found["Arguments"] or ()
                    ],
                }
            )
        return listed

    def call_function(self, name: str, arguments: list[Any]) -> Any:
        access = self.context.ServiceManager.createInstanceWithContext(
            "com.sun.star.sheet.FunctionAccess", self.context
        )
        return access.callFunction(name, tuple(arguments))

    def quit(self) -> None:
        try:
            self.desktop.terminate()
        except Exception:
            return


def main() -> None:
    driver = Driver(sys.argv[1])
    print(json.dumps({"value": "ready"}), flush=True)
    for line in sys.stdin:
        name, arguments = json.loads(line)
        try:
            answer = {"value": getattr(driver, name)(*arguments)}
        except Exception as error:
            answer = {"error": f"{type(error).__name__}: {error}"}
        print(json.dumps(answer), flush=True)


main()
