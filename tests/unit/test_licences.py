"""The page of licences is complete, and nothing needed at run time is copyleft."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from licences import USES, Package, copyleft, packages

ROOT = Path(__file__).parents[2]


def listed() -> dict[str, list[str]]:
    """The rows of the page by package."""
    page = (ROOT / "docs" / "licences.md").read_text(encoding="utf-8")
    rows = [line.strip("| ").split(" | ") for line in page.splitlines() if line.startswith("| ")]
    return {row[0]: row[1:] for row in rows[2:]}


def offending(found: list[Package]) -> list[tuple[str, str]]:
    return [
        (one.name, one.licence)
        for one in found
        if one.use not in (USES["test"], USES["docs"])
        and (copyleft(one.licence) or one.licence == "not given")
    ]


def test_nothing_at_run_time_is_copyleft() -> None:
    assert offending(packages()) == []


def test_a_copyleft_package_at_run_time_is_seen() -> None:
    # Test tools that are copyleft indeed, as if users got them.
    tools = [one for one in packages() if one.name in ("iapws", "hypothesis")]
    moved = [Package(one.name, "1", one.licence, USES[""], ("basinbook",)) for one in tools]
    assert [name for name, _ in offending(moved)] == ["hypothesis", "iapws"]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("EUPL 1.1+", True),
        ("European Union Public Licence 1.1 (EUPL 1.1)", True),
        ("LGPL-2.1-or-later", True),
        ("GNU Affero General Public License v3", True),
        ("MPL-2.0 AND MIT", True),
        ("Mozilla Public License 2.0 (MPL 2.0)", True),
        ("EPL-2.0", True),
        ("BSD-3-Clause, Apache-2.0, dependency licenses", False),
        ("BSD-3-Clause AND 0BSD AND MIT AND Zlib AND CC0-1.0", False),
        ("Python Software Foundation License", False),
        ("MIT-CMU", False),
    ],
)
def test_copyleft_is_known_by_its_words(words: str, expected: bool) -> None:
    assert copyleft(words) is expected


def test_page_lists_everything_that_is_installed() -> None:
    assert {one.name for one in packages()} <= listed().keys(), (
        "run: .venv/bin/python tests/licences.py > docs/licences.md"
    )


def test_page_names_what_basinbook_asks_for() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = {"": project["dependencies"], **project["optional-dependencies"]}
    for extra, wanted in lines.items():
        names = {canonicalize_name(Requirement(line).name) for line in wanted} - {"basinbook"}
        here = {
            name
            for name, (_, _, use, asked_by) in listed().items()
            if use == USES[extra] and asked_by == "Basinbook"
        }
        if extra == "test":  # Some of its packages come along at run time as well.
            here |= names & listed().keys()
        assert names == here
