"""What crosses the pipe to the engine after an edit in Calc: what is new, and nothing else."""

from __future__ import annotations

import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import openpyxl
import pytest

from basinbook.workbook.template.demo_job import DEMO_US
from basinbook.workbook.template.template_files import make_workbook
from calc.calc_office import Office, private_profile, remove
from calc.recording import Recording
from workbook.places import place

LAYOUT_FUNCTIONS = {
    "WHY", "TAKEOFFTABLE", "PIECELIST", "SETTINGRUNS", "CUTLIST", "LAYOUTNOTES", "BASEAREA",
    "MODULESIZES",
}  # fmt: skip


class Opened(NamedTuple):
    """The demo job open in an office whose requests are recorded."""

    office: Office
    requests: Recording
    book: openpyxl.Workbook

    def edit(self, name: str, value: Any) -> Counter[str]:
        """Type a value; return how often each function was asked for."""
        self.requests.new()
        self.office.time_edits([[*place(self.book, name), value]], [])
        return self.requests.new()


@pytest.fixture(scope="module")
def opened(profile: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Opened]:
    folder = tmp_path_factory.mktemp("recorded")
    path = folder / "job.xlsx"
    make_workbook(path, "us", {**DEMO_US, "Range_wanted": "no"})
    recording = Recording(folder)
    own = private_profile()
    remove(own)
    try:
        shutil.copytree(profile, own, ignore=shutil.ignore_patterns(".lock"))
        with Office(own, BASINBOOK_PYTHON=str(recording.interpreter)) as office:
            office.open(str(path))
            office.recalculate()
            yield Opened(office, recording, openpyxl.load_workbook(path))
            office.close()
    finally:
        remove(own)


@pytest.mark.parametrize(("name", "value"), [("Tax_rate", 0.081), ("Delivery", 111)])
def test_a_price_asks_for_nothing(opened: Opened, name: str, value: float) -> None:
    assert opened.edit(name, value) == {}


def test_the_labour_rate_asks_for_what_a_layout_costs(opened: Opened) -> None:
    asked = {"AIMNOTE": 1, "AIMADVICE": 1, "WALLADVICE": 1}
    assert opened.edit("Labour_rate", 61.5) == asked


def test_a_method_asks_for_its_quantity_once_a_layout(opened: Opened) -> None:
    asked = opened.edit("Adhesive_waste", 0.137)
    assert set(asked) <= {"CARTRIDGES", "PACKS"}
    # The job's own and those of the three options that are not as on the job.
    assert asked["CARTRIDGES"] == 4


def test_hours_of_the_pump_ask_for_energy_splash_and_what_they_lower(opened: Opened) -> None:
    # And how far the level falls in a week, on the owner's sheet.
    asked = {"PUMPENERGY": 1, "SPLASHLOSS": 1, "DAYLEVELS": 1, "FINDINGS": 1, "DRAINBACKRISE": 1,
             "TAPELENGTH": 1}  # fmt: skip
    assert opened.edit("Pump_hours", 7.25) == asked


def test_a_length_asks_for_each_layout_once_and_back_again_for_nothing(opened: Opened) -> None:
    sheet, cell = place(opened.book, "Inside_length")
    before = opened.office.get(sheet, [cell])[0]["value"]
    asked = opened.edit("Inside_length", 61.4375)
    # Option 3 has a length of its own, option 1 is the job's own question; the others and the job
    # are laid out anew.
    assert asked["TAKEOFFTABLE"] == asked["WHY"] == 3
    assert asked["PIECELIST"] == asked["SETTINGRUNS"] == asked["CUTLIST"] == 1
    assert asked["MODULESIZES"] == 1
    # Some 10 of them write lengths for stage sheets, delivery and owner.
    assert sum(asked.values()) <= 125, asked
    assert opened.edit("Inside_length", before) == {}
    assert opened.edit("Inside_length", 61.4375) == {}


def test_an_option_asks_for_its_own_layout(opened: Opened) -> None:
    asked = opened.edit("Option_2_Inside_length", 66.0625)
    assert {name for name in asked if name in LAYOUT_FUNCTIONS} == {
        "WHY", "TAKEOFFTABLE", "BASEAREA",
    }  # fmt: skip
    assert asked["TAKEOFFTABLE"] == 1
    assert sum(asked.values()) <= 20
