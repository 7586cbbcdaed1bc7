"""The outfit of a job, read from labels and values of a sheet."""

from __future__ import annotations

import pytest

from basinbook.catalogue.spec_reader import read_outfit
from basinbook.engine.errors import InputError
from basinbook.engine.outfit import FIELDS, Outfit


def _read(system: str = "us", **parts: object) -> Outfit:
    labels = tuple((FIELDS[name].label,) for name in parts)
    return read_outfit(labels, tuple((value,) for value in parts.values()), system)


def test_a_job_of_which_nothing_is_given_is_still_water() -> None:
    assert _read() == Outfit()
    assert not _read().runs


def test_lengths_are_read_in_the_workbook_s_units() -> None:
    assert _read(base_thickness="6 in").base_thickness == pytest.approx(0.1524)
    assert _read("metric", base_thickness=100).base_thickness == pytest.approx(0.1)


def test_a_pump_runs_where_the_water_moves() -> None:
    assert _read(effect="straight lip", pump="Pump 1").runs
    assert not _read(effect="straight lip").runs
    assert not _read(pump="Pump 1").runs


@pytest.mark.parametrize(
    ("name", "value", "allowed"),
    [("effect", "waves", "still water"), ("lights", 1.5, "whole number"), ("liner_lap", -1, "0")],
)
def test_what_no_part_can_be_is_refused_by_its_label(
    name: str, value: object, allowed: str
) -> None:
    with pytest.raises(InputError, match=allowed) as error:
        _read(**{name: value})
    assert error.value.argument == FIELDS[name].label
