"""The command line finds its commands, and imports no more than the one that is asked for."""

from __future__ import annotations

import json
import subprocess
import sys
from pkgutil import iter_modules

import pytest

from basinbook import cli, commands

NAMES = sorted(module.name for module in iter_modules(commands.__path__))


@pytest.mark.parametrize("name", NAMES)
def test_each_module_is_named_as_its_command(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main([name, "--help"])
    assert ended.value.code == 0
    assert capsys.readouterr().out.startswith(f"usage: basinbook {name} ")


def test_help_lists_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        cli.main(["--help"])
    said = capsys.readouterr().out
    assert set(NAMES) <= set(said.split())


def test_one_command_imports_no_other() -> None:
    code = (
        "import json, sys; from basinbook.cli import main; main(['call', 'PACKS', '61', '20']);"
        "print(json.dumps([m for m in sys.modules if m.startswith('basinbook.commands.')]))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    answer, modules = done.stdout.splitlines()
    assert answer == "4"
    assert json.loads(modules) == ["basinbook.commands.call"]
