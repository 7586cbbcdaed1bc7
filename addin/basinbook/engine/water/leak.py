"""The leak test: what a drop of the level says beside evaporation over the same time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from basinbook.engine.errors import InputError, check_choice

# Kohler, Nordenson and Fox (1955), US Weather Bureau Research Paper 38: mean annual ratio of
# lake to Class A pan evaporation. A bucket standing in the basin's own water is taken as 1.
PAN_COEFFICIENTS: Final = {"bucket": 1.0, "pan": 0.70, "computed": 1.0}
# No source: what a careful reading of a pencil mark against a rule is good for.
READING_ERROR: Final = 0.001
# No source: order of the spread between the two evaporation methods, and of a pan coefficient.
REFERENCE_UNCERTAINTY: Final = {"bucket": 0.10, "pan": 0.20, "computed": 0.30}
# JCGM 100:2008, 6.2 and G.6.6: k = 2 makes an interval of about 95 % of a standard uncertainty; a
# tight basin then shows "more" in some 2.5 % of tests.
COVERAGE: Final = 2.0


@dataclass(frozen=True)
class LeakTest:
    """What a drop of the water level says.

    drop, expected: measured and explained drop [m]; uncertainty: of their difference, expanded by
    the factor coverage [m]; threshold: drop [m] above which evaporation doesn't explain it; leak:
    volume rate [m³/s] of the difference (negative: the level fell less than expected);
    leak_uncertainty: [m³/s], likewise expanded; verdict: "more", "within" or "less".
    """

    drop: float
    expected: float
    uncertainty: float
    coverage: float
    threshold: float
    leak: float
    leak_uncertainty: float
    verdict: str


def leak_test(
    drop: float,
    reference_drop: float,
    duration: float,
    area: float,
    reference: str = "bucket",
    uncertainty: float | None = None,
    reading_error: float = READING_ERROR,
    coverage: float = COVERAGE,
) -> LeakTest:
    """Return what a drop of the level says, beside the evaporation over the same time.

    drop: of the basin's level [m], pump stopped, no rain, no filling; reference_drop: of the
    reference [m]; duration: of the test [s]; area: water surface [m²]; reference: "bucket"
    standing in the basin, Class A "pan" or "computed" evaporation; uncertainty: of the
    reference, standard, as a part of the expected drop (None for the default); reading_error:
    standard, of one reading [m]; coverage: factor k.
    Equations: expected = c · reference drop, c the pan coefficient; uncertainty =
    k · √((r · expected)² + 2 · δ² + c² · 2 · δ²), two readings of the basin and two of a measured
    reference; threshold = expected + uncertainty.
    Validity: tests of 12 to 72 h; readings and reference that scatter normally: a tight basin then
    passes the threshold in 2.3 % of tests at k = 2. Raises InputError outside.
    Source: combination of standard uncertainties, JCGM 100:2008, 5.1.2; coverage factor, the same,
    6.2 and G.6.6; pan coefficient Kohler, Nordenson and Fox (1955). The bucket as a reference is
    common practice.
    """
    check_choice("reference", reference, PAN_COEFFICIENTS)
    if not 12 * 3600.0 * (1 - 1e-9) <= duration <= 72 * 3600.0 * (1 + 1e-9):
        raise InputError("duration", duration, "allowed is 12 to 72 h")
    if not 1.0 <= coverage <= 3.0:
        raise InputError("coverage", coverage, "allowed is 1 to 3")
    part = REFERENCE_UNCERTAINTY[reference] if uncertainty is None else uncertainty
    factor = PAN_COEFFICIENTS[reference]
    expected = factor * reference_drop
    # A reading is taken twice: at the start and at the end.
    read = math.sqrt(2.0) * reading_error
    of_reference = 0.0 if reference == "computed" else factor * read
    spread = coverage * math.hypot(part * expected, read, of_reference)
    difference = drop - expected
    verdict = "within"
    if abs(difference) > spread:
        verdict = "more" if difference > 0.0 else "less"
    return LeakTest(
        drop=drop,
        expected=expected,
        uncertainty=spread,
        coverage=coverage,
        threshold=expected + spread,
        leak=difference * area / duration,
        leak_uncertainty=spread * area / duration,
        verdict=verdict,
    )
