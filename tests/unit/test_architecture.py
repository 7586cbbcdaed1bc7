"""The layers: the engine knows no host, no workbook, no user's units, no catalogue."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "addin" / "basinbook"
FORBIDDEN = {
    "engine": ("basinbook.hosts", "basinbook.workbook", "basinbook.catalogue", "basinbook.units",
               "basinbook.commands", "basinbook.drawings", "basinbook.cli", "openpyxl", "xlwings",
               "pint", "formulas", "uno", "unohelper", "lxml", "reportlab"),
    "catalogue": ("basinbook.hosts", "basinbook.workbook", "basinbook.commands",
                  "basinbook.drawings", "openpyxl", "xlwings", "formulas", "uno"),
}  # fmt: skip


def imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: absolute imports only"
            found |= {f"{node.module}.{alias.name}" for alias in node.names} | {node.module or ""}
    return found


def offences(layer: str, root: Path = PACKAGE) -> list[str]:
    return [
        f"{path.relative_to(root)}: {name}"
        for path in sorted((root / layer).rglob("*.py"))
        for name in sorted(imports(path))
        if any(name == bad or name.startswith(f"{bad}.") for bad in FORBIDDEN[layer])
    ]


@pytest.mark.parametrize("layer", sorted(FORBIDDEN))
def test_layer_imports_nothing_above_it(layer: str) -> None:
    assert any((PACKAGE / layer).rglob("*.py"))
    assert offences(layer) == []


def test_the_check_sees_an_offence(tmp_path: Path) -> None:
    (tmp_path / "engine").mkdir()
    (tmp_path / "engine" / "bad.py").write_text("from basinbook.workbook import recalc\n")
    assert offences("engine", tmp_path)
