"""What the pages of docs say a command prints is what it prints."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from console import HASHES, PICTURES, Picture, commands, empty_folder, pages, replayed


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.stem)
def test_commands_of_a_page_print_what_it_shows(page: Path) -> None:
    """And its pictures have what is written in the files now. Else: python tests/console.py."""
    hashes = json.loads(HASHES.read_text())
    with empty_folder():
        for step in replayed(page):
            if isinstance(step, Picture):
                assert step.hash == hashes[step.name], f"{step.name}.png is stale"
                assert (PICTURES / f"{step.name}.png").exists()
            else:
                shown, printed = step
                assert printed == shown.printed, shown.command


def test_a_command_may_go_on_over_lines() -> None:
    block = "$ basinbook call \\\n  A 1\n3\n$ basinbook call B\n4\n5\n"
    assert [*commands(block)] == [
        ("$ basinbook call \\\n  A 1", "3\n"), ("$ basinbook call B", "4\n5\n"),
    ]  # fmt: skip
