from __future__ import annotations

import pytest

from basinbook.catalogue import call
from basinbook.engine.water.fittings import FITTINGS, Fitting


@pytest.mark.parametrize("row", FITTINGS, ids=lambda row: row.name)
def test_rows_are_in_order_and_sourced(row: Fitting) -> None:
    assert 0.0 < row.low <= row.typical <= row.high
    assert row.source
    for level in ("low", "typical", "high"):
        found = call("FITTINGK", row.name, level).value
        assert found == getattr(row, level)
    assert call("FITTINGSOURCE", row.name).value == row.source


def test_names_are_unique() -> None:
    assert len({row.name.lower() for row in FITTINGS}) == len(FITTINGS)


def test_published_values_differ_by_more_than_a_factor_of_two() -> None:
    assert sum(row.high > 2.0 * row.low for row in FITTINGS) >= 5
