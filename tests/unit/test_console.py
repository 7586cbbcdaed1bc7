"""What the pages of docs say a command prints is what it prints."""

from __future__ import annotations

from pathlib import Path

import pytest

from console import commands, empty_folder, pages, replayed


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.stem)
def test_commands_of_a_page_print_what_it_shows(page: Path) -> None:
    with empty_folder():
        for shown, printed in replayed(page):
            assert printed == shown.printed, shown.command


def test_a_command_may_go_on_over_lines() -> None:
    block = "$ basinbook call \\\n  A 1\n3\n$ basinbook call B\n4\n5\n"
    assert [*commands(block)] == [
        ("$ basinbook call \\\n  A 1", "3\n"), ("$ basinbook call B", "4\n5\n"),
    ]  # fmt: skip
