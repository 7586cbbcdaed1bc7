"""Workbooks built once for the tests of this folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from basinbook.workbook.template.demo_job import DEMO_METRIC, DEMO_US
from basinbook.workbook.template.template_files import make_workbook

SYSTEMS = ("us", "metric")


@pytest.fixture(scope="session")
def blanks(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The template of each unit system, built from code."""
    folder = tmp_path_factory.mktemp("blank")
    return {system: make_workbook(folder / f"{system}.xlsx", system).out for system in SYSTEMS}


@pytest.fixture(scope="session")
def demos(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The invented job in each unit system."""
    folder = tmp_path_factory.mktemp("jobs")
    return {
        system: make_workbook(folder / f"{system}.xlsx", system, values).out
        for system, values in (("us", DEMO_US), ("metric", DEMO_METRIC))
    }
