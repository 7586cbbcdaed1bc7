"""Reading a layout's inputs from a sheet's labels and values."""

from __future__ import annotations

import pytest

from basinbook.catalogue.spec_reader import read_spec
from basinbook.engine.errors import InputError
from basinbook.engine.spec import FIELDS

LABELS = ("Inside length", "Inside width", "Block length", "Block height", "Block depth")
VALUES = (64, "46 in", "18", 4, 8.0)


def _read(labels: tuple[object, ...], values: tuple[object, ...], system: str = "us") -> object:
    return read_spec(tuple((x,) for x in labels), tuple((x,) for x in values), system)


def test_defaults_and_units() -> None:
    spec = read_spec(tuple((x,) for x in LABELS), tuple((x,) for x in VALUES), "us")
    assert spec.inside_width == pytest.approx(46 * 0.0254)
    assert spec.columns == FIELDS["columns"].default
    metric = read_spec((LABELS,), ((1600, 1150, 450, 100, 200),), "metric")
    assert metric.block_depth == pytest.approx(0.2)


def test_headings_blanks_and_case() -> None:
    labels = ("Second wall", *LABELS, "", None, "second WALL", "Notes", "Courses")
    values = ("", *VALUES, None, "", "Yes", None, "")
    spec = read_spec(tuple((x,) for x in labels), tuple((x,) for x in values), "us")
    assert spec.second_wall == "yes"
    assert spec.courses == 0


@pytest.mark.parametrize(
    ("labels", "values", "message"),
    [
        (LABELS[1:], VALUES[1:], "Inside length: a blank"),
        ((*LABELS, "Insid length"), (*VALUES, 3), "Insid length: 3 can't be used; no input"),
        ((*LABELS, "Inside length"), (*VALUES, 3), "stands twice"),
        (LABELS, VALUES[:-1], "values: 'a range of 4 cells'"),
        ((*LABELS, "Second wall"), (*VALUES, "maybe"), "allowed are no, yes"),
        ((*LABELS, "Columns"), (*VALUES, 2.5), "give a whole number"),
        ((*LABELS, "Columns"), (*VALUES, 9), "allowed is 0 to 4"),
        (LABELS, ("x", *VALUES[1:]), "Inside length: 'x'"),
        (LABELS, (-64, *VALUES[1:]), "Inside length: -64"),
        (LABELS, (1e9, *VALUES[1:]), "Inside length: 1000000000 can"),
    ],
)
def test_faults_are_named(
    labels: tuple[object, ...], values: tuple[object, ...], message: str
) -> None:
    with pytest.raises(InputError) as caught:
        _read(labels, values)
    assert message in str(caught.value)


def test_one_and_true_are_not_one_key_of_the_cache() -> None:
    _read((*LABELS, "Columns"), (*VALUES, 1))
    with pytest.raises(InputError, match="Columns: True"):
        _read((*LABELS, "Columns"), (*VALUES, True))
