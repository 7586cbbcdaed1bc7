"""Words that are none of an argument's choices, given to the engine's functions by themselves."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from basinbook.engine.errors import InputError
from basinbook.engine.layout.solver import solve
from basinbook.engine.lifting import coupling_multiplier, frequency_multiplier
from basinbook.engine.spec import INCH, BasinSpec
from basinbook.engine.suggest import fall, lift, pipe_length
from basinbook.engine.water.levels import comes_back, over_outlet

LAYOUT = solve(
    BasinSpec(48 * INCH, 24 * INCH, 12 * INCH, 4 * INCH, 8 * INCH, water_depth=12 * INCH)
)


@pytest.mark.parametrize(
    ("argument", "call"),
    [
        ("effect", lambda: over_outlet("rim", 0.5, 0.01)),
        ("effect", lambda: fall(LAYOUT, "rim")),
        ("effect", lambda: lift(LAYOUT, "rim")),
        ("effect", lambda: pipe_length(LAYOUT, "rim")),
        ("check_valve", lambda: comes_back(0.01, 0.01, 0.01, 0.01, "from below", "maybe")),
        ("time", lambda: frequency_multiplier(1.0, "all day", 0.5)),
        ("grip", lambda: coupling_multiplier("slippery", 0.5)),
    ],
)
def test_an_unknown_word_is_refused_with_those_allowed(
    argument: str, call: Callable[[], float]
) -> None:
    """Some counted as nothing or as no, which looks like an answer."""
    with pytest.raises(InputError, match="allowed are") as caught:
        call()
    assert caught.value.argument == argument
