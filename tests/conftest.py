"""Workbooks that many tests read, built once in a run, whichever of its workers asks first.

A test that writes into one copies it before; that nobody changed them is checked at the end.
"""

from __future__ import annotations

import fcntl
import gc
import os
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

import merged_borders
from basinbook.workbook.template.demo_job import DEMO_METRIC, DEMO_US
from basinbook.workbook.template.template_files import make_workbook

merged_borders.look_up_once()
# A workbook is some hundred thousand objects: to look for rings of garbage as often as is usual
# takes a tenth of the time to read one. Commands look more seldom still.
gc.set_threshold(100_000)

DEMO = {"us": DEMO_US, "metric": DEMO_METRIC}
_AFFINITY = hasattr(os, "sched_setaffinity")
_CORES = sorted(os.sched_getaffinity(0)) if _AFFINITY else []


def pytest_configure() -> None:
    """Give each worker a core of its own, where there are no more cores than workers.

    What draws in a second process where a core is free would only get in another worker's way.
    """
    workers = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    if 1 < len(_CORES) <= workers:
        number = int(os.environ["PYTEST_XDIST_WORKER"].removeprefix("gw"))
        os.sched_setaffinity(0, {_CORES[number % len(_CORES)]})


@pytest.fixture(scope="module")
def all_cores() -> Iterator[None]:
    """Let the tests of a module, and what they start, run on all cores."""
    own = os.sched_getaffinity(0) if _AFFINITY else set()
    if _AFFINITY:
        os.sched_setaffinity(0, _CORES)
    yield
    if _AFFINITY:
        os.sched_setaffinity(0, own)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the longest files: the workers, which take whole files, then end together.

    Those of workbooks are the longest; among the last are many short ones. Before them come those
    that fork: a process forks the slower the more it holds.
    """
    rooms = ("tests", "workbook", "calc", "excel", "fuzz", "properties", "reference", "unit")
    order = {name: number for number, name in enumerate(rooms)}
    items.sort(key=lambda item: order.get(item.path.parent.name, 0))


@pytest.fixture(scope="module", autouse=True)
def kept_of_earlier_files() -> None:
    """Spare the collector what earlier files keep in memory: it need not look there again."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all workers of this run have in common."""
    own = tmp_path_factory.getbasetemp()
    # Each worker of pytest-xdist has a folder of its own below the run's.
    folder = (own.parent if own.name.startswith("popen-") else own) / "shared"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture(scope="session")
def blanks(shared: Path) -> Iterator[dict[str, Path]]:
    """The template of each unit system, built from code."""
    yield from _built({shared / f"blank_{system}.xlsx": (system, {}) for system in DEMO})


@pytest.fixture(scope="session")
def demos(shared: Path) -> Iterator[dict[str, Path]]:
    """The invented job in each unit system."""
    yield from _built({shared / f"demo_{system}.xlsx": (system, DEMO[system]) for system in DEMO})


def _built(wanted: dict[Path, tuple[str, Mapping[str, object]]]) -> Iterator[dict[str, Path]]:
    before = {}
    for path, (system, values) in wanted.items():
        with path.with_suffix(".lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not path.exists():
                make_workbook(path, system, values)
        before[path] = path.read_bytes()
    yield {system: path for path, (system, _) in wanted.items()}
    assert {path: path.read_bytes() for path in wanted} == before
