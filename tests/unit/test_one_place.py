"""A worksheet function is declared in one file: every host, the reference and the help follow."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
DECLARATION = """

@worksheet_function(
    category="Water",
    summary="Twice a length",
    arguments=(length("size", "A length", 0.0, 10.0),),
    result=kinds.LENGTH,
    source="Definition",
    examples=(Example(("5",), "10 in"),),
)
def twice_length(size: float) -> float:
    return 2.0 * size
"""
EVERYWHERE = """
import basinbook
from basinbook.catalogue import call, functions
from basinbook.catalogue.reference import markdown
from basinbook.hosts.calc.extension import contents
from basinbook.hosts.excel import functions as excel

assert basinbook.__file__.startswith({folder!r}), basinbook.__file__
assert call("TWICELENGTH", 5).value == 10
assert "TWICELENGTH" in markdown()
assert "twicelength" in contents(list(functions().values()), "python")["CalcAddIns.xcu"]
assert callable(excel.BASIN_TWICELENGTH)
"""


def test_a_new_function_is_one_declaration(tmp_path: Path) -> None:
    package = tmp_path / "basinbook"
    shutil.copytree(
        ROOT / "addin" / "basinbook", package, ignore=shutil.ignore_patterns("__pycache__")
    )
    declarations = package / "catalogue" / "declarations" / "help.py"
    with declarations.open("a", encoding="utf-8") as stream:
        stream.write(DECLARATION)
    done = subprocess.run(
        [sys.executable, "-c", EVERYWHERE.format(folder=str(tmp_path))],
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    # And on the command line.
    made = subprocess.run(
        [sys.executable, "-m", "basinbook.cli", "call", "TWICELENGTH", "5"],
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert "10 in" in made.stdout, made.stderr
