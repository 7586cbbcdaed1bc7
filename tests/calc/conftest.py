from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.hosts.calc.office import program
from calc.calc_office import Office, private_profile, remove, system_python


def _need_office() -> None:
    """Fail, not skip: what drives Calc must run wherever the tests run (`bash .ci/test`)."""
    try:
        program("soffice")
    except InputError as error:
        pytest.fail(str(error))
    if not system_python():
        pytest.fail("no Python with LibreOffice's uno module was found")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents and "profile" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.calc)


@pytest.fixture(scope="session")
def profile() -> Iterator[Path]:
    """A LibreOffice profile of its own in which the add-in is installed."""
    _need_office()
    folder = private_profile()
    try:
        assert main(["addin", "install", "calc", "--profile", str(folder)]) == 0
        yield folder
    finally:
        remove(folder)


@pytest.fixture(scope="session")
def calc(profile: Path) -> Iterator[Office]:
    """A headless LibreOffice with the add-in."""
    with Office(profile) as office:
        yield office


@pytest.fixture
def own_profile(profile: Path, tmp_path: Path) -> Path:
    """A copy of the profile: a second office with the same one would join the first."""
    folder = tmp_path / "profile"
    shutil.copytree(profile, folder, ignore=shutil.ignore_patterns(".lock"))
    return folder


@pytest.fixture(scope="session")
def bare_profile() -> Iterator[Path]:
    """A LibreOffice profile without the add-in."""
    _need_office()
    folder = private_profile()
    try:
        yield folder
    finally:
        remove(folder)
