"""The table of unit factors is what pint gives, and holds every unit that the module names.

After a change of the units in units.py: python tests/unit/test_unit_factors.py writes it anew.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from basinbook import unit_factors, units

_HEAD = '''"""Factors of the usual units: (unit, SI unit) to slope and offset, as pint gives them.

Made by tests/unit/test_unit_factors.py, which also compares them with pint; do not edit by hand.
With them a plain call need not load pint, which takes longer than all the rest.
"""

FACTORS: dict[tuple[str, str], tuple[float, float]] = {
'''


def test_table_is_what_pint_gives() -> None:
    by_pint = units.factor_table()
    assert unit_factors.FACTORS.keys() == by_pint.keys(), f"run: python {__file__}"
    for names, found in unit_factors.FACTORS.items():
        # Other versions of pint may differ in the last digit.
        assert found == pytest.approx(by_pint[names], rel=1e-14, abs=0.0), names


def test_plain_calls_load_no_heavy_library() -> None:
    """Neither pint nor a library of numbers comes along for usual units, typed or plain."""
    code = (
        "import json, sys; from basinbook.catalogue import call;"
        "call('WATERVOLUME', 48, '4 ft', '400 mm'); call('SPILLFLOW', '1 cm', '1 m');"
        "print(json.dumps([m for m in ('pint','fluids','scipy','numpy','pandas') if m in "
        "sys.modules]))"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert json.loads(found.stdout) == []


def _write() -> None:
    rows = [
        f'    ("{unit}", "{si}"): ({line.slope!r}, {line.zero!r}),\n'
        for (unit, si), line in units.factor_table().items()
    ]
    Path(unit_factors.__file__).write_text(_HEAD + "".join(rows) + "}\n", encoding="utf-8")


if __name__ == "__main__":
    _write()
