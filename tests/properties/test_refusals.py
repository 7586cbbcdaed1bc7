"""What a refusal says that works, works: typed as it stands there, it gives a layout.

On random basins with all means of the layout, their places anywhere in the walls. 24 of them, or as
many as ``BASINBOOK_REFUSALS`` says; others from the seed ``BASINBOOK_REFUSALS_SEED`` on.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from random import Random
from typing import Any, Final

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.layout.solver import solve
from basinbook.engine.spec import BY_RULE, FIELDS, INCH, BasinSpec
from layout_jobs import PLAIN_BASIN
from means_jobs import means_anywhere, plain_basin, with_means, without

BASINS: Final = int(os.environ.get("BASINBOOK_REFUSALS", "24"))
SEED: Final = int(os.environ.get("BASINBOOK_REFUSALS_SEED", "0"))
_BY_LABEL: Final = {about.label: name for name, about in FIELDS.items()}
_LENGTH: Final = r"([\d.]+) in \(([\d.]+) mm\)"
_WORKS: Final = re.compile(rf"works: (?:{_LENGTH}|([\w ]+(?:, [\w ]+)*?)(?:, or an|$))")
_INSTEAD: Final = re.compile(rf"an inside length of {_LENGTH}")
_BY_ITSELF: Final = re.compile(
    rf"(?:{_LENGTH}|(\w[\w ]*)) would do by itself, but then (.*) can't be used"
)


def _values(found: re.Match[str]) -> list[Any]:
    """What can be typed for what a message names: a length in either unit, or words."""
    inches, millimetres, words = found.group(1, 2, 3)
    if inches:
        return [float(inches) * INCH, float(millimetres) / 1000.0]
    return [int(word) if word.isdigit() else word for word in words.split(", ")]


def _refusals(basins: int) -> Iterator[tuple[BasinSpec, InputError]]:
    """Jobs that are refused, each until what is refused of it is left out."""
    for seed in range(SEED, SEED + basins):
        rng = Random(seed)
        spec = plain_basin(rng)
        means = means_anywhere(rng, spec)
        while True:
            job = with_means(spec, means)
            try:
                solve(job)
                break
            except InputError as error:
                yield job, error
                if not means:
                    break
                means = without(means, error)


def _refused_then(spec: BasinSpec, name: str, value: Any) -> InputError | None:
    change: dict[str, Any] = {name: value}
    try:
        solve(replace(spec, **change))
    except InputError as error:
        return error
    return None


def test_what_is_said_to_work_gives_a_layout() -> None:
    checked: Counter[str] = Counter()
    for spec, error in _refusals(BASINS):
        name = _BY_LABEL[error.argument]
        if found := _WORKS.search(error.allowed):
            for value in _values(found):
                then = _refused_then(spec, name, value)
                assert then is None, f"{error}\n{value}: {then}\n{spec}"
            checked[name] += 1
        if found := _INSTEAD.search(error.allowed):
            for value in (float(found[1]) * INCH, float(found[2]) / 1000.0):
                then = _refused_then(spec, "inside_length", value)
                assert then is None, f"{error}\n{value}: {then}\n{spec}"
        if found := _BY_ITSELF.search(error.allowed):
            for value in _values(found):
                then = _refused_then(spec, name, value)
                assert then is not None, f"{error}\n{value} gives a layout\n{spec}"
                assert then.argument == found[4], f"{error}\n{value}: {then}\n{spec}"
            checked["by itself"] += 1
    assert len(checked) > min(4, BASINS // 8), checked


_MIXED = replace(
    PLAIN_BASIN, courses=3, water_depth=8 * INCH, course_pattern="flat, mixed, flat",
    place_1_middle=15 * INCH,
)  # fmt: skip
_COLUMN = replace(
    PLAIN_BASIN, inside_length=75 * INCH, wall_column_1="in front wall", wall_column_1_courses=6,
    wall_column_1_at=35 * INCH,
)  # fmt: skip


@pytest.mark.parametrize(
    ("spec", "changes"),
    [
        (_MIXED, {"place_1_middle": 3 * INCH}),
        (_MIXED, {"place_1_middle": 45 * INCH}),
        (_MIXED, {"place_1_middle": 3 * INCH, "mixed_mirrored": "yes"}),
        (_MIXED, {"place_2_middle": 20 * INCH}),
        (_COLUMN, {"wall_column_1_at": 2 * INCH}),
        (_COLUMN, {"opening_2_wall": "front", "opening_2_width": 0.15, "opening_2_offset": 0.9}),
        (PLAIN_BASIN, {"opening_width": 6 * INCH, "opening_course": 2, "opening_offset": 0.05}),
        (
            PLAIN_BASIN,
            {"second_wall": "yes", "pipe_space": 0.1, "access_width": 0.3, "access_offset": 0.1},
        ),
        (PLAIN_BASIN, {"laid_courses": 2, "laid_length": 53 * INCH}),
        (
            BasinSpec(
                54.5 * INCH, 37.5 * INCH, 24 * INCH, 6 * INCH, 12 * INCH, courses=2,
                water_depth=8 * INCH,
            ),
            {"second_wall": "yes", "pipe_space": 12 * INCH, "turned_second": BY_RULE,
             "turned_every": 1},
        ),
    ],
)  # fmt: skip
def test_what_is_refused_by_a_rule_comes_with_what_works(
    spec: BasinSpec, changes: dict[str, Any]
) -> None:
    spec = replace(spec, **changes)
    with pytest.raises(InputError) as error:
        solve(spec)
    found = _WORKS.search(error.value.allowed)
    assert found is not None, error.value
    for value in _values(found):
        assert _refused_then(spec, _BY_LABEL[error.value.argument], value) is None


@pytest.mark.parametrize(
    ("long", "at", "beside"),
    [
        (75, 32, "at most 13 in (330.2 mm) or at least 51 in (1295.4 mm)"),
        (60, 20, "there: at least 39 in (990.6 mm)"),
        (60, 32, "at most 13 in (330.2 mm);"),
        (50, 20, "beside it there is no room for the column"),
    ],
)
def test_a_column_beside_an_opening_is_sent_to_sides_with_room(
    long: int, at: int, beside: str
) -> None:
    """A column of 20 in and an opening of 6 in keep 6 in between; a corner takes 3 in of the wall.

    From the opening's middle to the column's: 3 + 6 + 10 in; from a corner: 3 + 10 in.
    """
    spec = replace(
        _COLUMN, inside_length=long * INCH, wall_column_1_at=at * INCH, opening_2_wall="front",
        opening_2_width=6 * INCH, opening_2_offset=at * INCH,
    )  # fmt: skip
    with pytest.raises(InputError) as error:
        solve(spec)
    assert beside in error.value.allowed
    assert ("at most" in error.value.allowed) == ("at most" in beside)
    assert ("at least" in error.value.allowed) == ("at least" in beside)
