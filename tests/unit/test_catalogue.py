"""The catalogue: declarations complete, examples true, reference up to date."""

from __future__ import annotations

import inspect
import subprocess
import sys
from pathlib import Path

import pytest

from basinbook.catalogue import call, function, functions
from basinbook.catalogue.model import Array, Example, Function
from basinbook.catalogue.reference import markdown
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from example_arguments import raw_arguments

ROOT = Path(__file__).parents[2]
ALL = list(functions().values())
EXAMPLES = [(f, e) for f in ALL for e in f.examples]


@pytest.mark.parametrize(
    ("function", "example"), EXAMPLES, ids=[f"{f.name}-{n}" for n, (f, _) in enumerate(EXAMPLES)]
)
def test_example_gives_what_it_says(function: Function, example: Example) -> None:
    assert call(function.name, *raw_arguments(function, example)).text() == example.gives


@pytest.mark.parametrize("function", ALL, ids=[f.name for f in ALL])
def test_declaration_is_complete(function: Function) -> None:
    """Every function has help, source, an example; compute takes what is declared, by name."""
    assert function.summary
    assert function.source
    assert function.examples
    wanted = {a.name: None for a in function.arguments}
    for group in function.groups:
        parts = {a.name: wanted.pop(a.name) for a in group.arguments}
        inspect.signature(group.make).bind(
            **parts, **{"system": "us"} if group.takes_system else {}
        )
        wanted[group.name] = None
    parameters = {p for p in inspect.signature(function.compute).parameters if p != "system"}
    assert wanted.keys() == parameters
    for argument in function.arguments:
        assert argument.help
        if argument.kind.has_unit or argument.kind in (kinds.COUNT, kinds.RATIO):
            assert argument.low is not None
            assert argument.high is not None
            assert argument.low <= argument.high
    # Hosts take optional arguments from the end only.
    wanted_first = [argument.required for argument in function.arguments]
    assert wanted_first == sorted(wanted_first, reverse=True)
    if isinstance(function.result, Array):
        assert function.result.columns


def test_reference_is_not_stale() -> None:
    assert (ROOT / "docs" / "functions.md").read_text(encoding="utf-8") == markdown(), (
        "run: basinbook functions --markdown > docs/functions.md"
    )


@pytest.mark.parametrize(
    "work",
    [
        "from basinbook.catalogue import functions; functions()",
        "from basinbook import cli; cli._parser([])",
    ],
    ids=["catalogue", "command line"],
)
def test_no_library_comes_along_before_it_is_needed(work: str) -> None:
    """Importing every declaration, or every command, loads Python's own library and us."""
    code = (
        f"import sys; before = set(sys.modules); {work};"
        "new = {name.partition('.')[0] for name in set(sys.modules) - before};"
        "print(sorted(new - sys.stdlib_module_names - {'basinbook'}))"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


def test_a_name_typed_wrong_is_told_with_those_near_it() -> None:
    with pytest.raises(InputError, match="near it are WATERVOLUME"):
        function("WATERVOLUM")
    with pytest.raises(InputError, match=r"for the names$"):
        function("qqqq")
