"""The import contracts of pyproject.toml hold, and each of them fails where it is broken."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CONTRACTS = {
    contract["name"]: contract
    for contract in tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"][
        "importlinter"
    ]["contracts"]
}
# What breaks a contract: the module that it is written into, and the line. One is inside a
# function, as imports of heavy libraries are.
OFFENCES = {
    "rooms": (
        ("engine/errors.py", "from basinbook import units"),
        ("units.py", "from basinbook.catalogue import model"),
        ("catalogue/model.py", "from basinbook.evaluation import book"),
        ("drawings/style.py", "from basinbook.evaluation import number_format"),
        ("evaluation/book.py", "def f():\n    from basinbook.workbook.file import cells"),
        ("workbook/convert.py", "from basinbook.hosts import serve"),
        ("hosts/serve.py", "from basinbook.commands import recalc"),
        ("evaluation/evaluator.py", "import basinbook.hosts.serve"),
        ("new_room.py", ""),
    ),
    "hosts": (("hosts/excel/names.py", "from basinbook.hosts.calc import extension"),),
    "workbook": (
        ("workbook/file/cells.py", "from basinbook.workbook.recalculation import recalc"),
        ("workbook/paper/paging.py", "from basinbook.workbook import changes"),
        ("workbook/order/order_reader.py", "from basinbook.workbook.template import style"),
    ),
    "catalogue": (("catalogue/model.py", "from basinbook.catalogue import invoke"),),
    "engine": (
        ("engine/water/volume.py", "from basinbook.engine.layout import solver"),
        ("engine/kinds.py", "from basinbook.engine import spec"),
    ),
    "layout": (
        ("engine/layout/bond/alternating.py", "from basinbook.engine.layout import checked_inputs"),
        ("engine/layout/ticks.py", "from basinbook.engine.layout.bond import whole_wall"),
        ("engine/layout/parts/walls.py", "from basinbook.engine.layout.results import advice"),
    ),
    "rings": (("drawings/style.py", "from basinbook.drawings import canvas"),),
    "engine's libraries": (
        ("engine/takeoff.py", "def f():\n    import openpyxl.styles"),
        ("engine/spec.py", "import pint"),
        ("engine/layout/solver.py", "from lxml import etree"),
    ),
    "catalogue's libraries": (
        ("catalogue/declarations/help.py", "import openpyxl"),
        ("catalogue/invoke.py", "from lxml import etree"),
    ),
    "one room": (
        ("catalogue/invoke.py", "import pint"),
        ("workbook/changes.py", "import xlwings"),
    ),
}


def lint(folder: Path) -> tuple[int, dict[str, bool]]:
    """Run the contracts on the package in a folder; return the exit code and which were kept."""
    done = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(folder / "addin"), "COLUMNS": "200", "NO_COLOR": "1"},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    lines = re.findall(r"^(.+) (KEPT|BROKEN)(?: \(.*\))?$", done.stdout, re.MULTILINE)
    kept = {name: state == "KEPT" for name, state in lines}
    assert kept.keys() == CONTRACTS.keys(), done.stdout + done.stderr
    return done.returncode, kept


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the package with the contracts."""
    shutil.copytree(
        ROOT / "addin", tmp_path / "addin", ignore=shutil.ignore_patterns("__pycache__")
    )
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def test_contracts_hold() -> None:
    assert lint(ROOT) == (0, dict.fromkeys(CONTRACTS, True))


def test_every_contract_has_an_offence_here() -> None:
    assert OFFENCES.keys() == CONTRACTS.keys()


@pytest.mark.parametrize("contract", OFFENCES)
def test_contract_fails_where_it_is_broken(contract: str, copy: Path) -> None:
    for place, line in OFFENCES[contract]:
        path = copy / "addin" / "basinbook" / place
        before = path.read_bytes() if path.exists() else b""
        path.write_bytes(before + f"\n{line}\n".encode())
        code, kept = lint(copy)
        path.write_bytes(before)
        if not before:
            path.unlink()
        assert code == 1, (place, line)
        assert not kept[contract], (place, line)
    assert lint(copy) == (0, dict.fromkeys(CONTRACTS, True))


def test_imports_name_the_whole_path(tmp_path: Path) -> None:
    """The linter refuses relative imports, in the package and the tests alike."""
    bad = tmp_path / "bad.py"
    bad.write_text("from . import errors\n", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "ruff", "check", "--no-cache", "--config", "pyproject.toml", bad],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 1
    assert "TID252" in done.stdout
