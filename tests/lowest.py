"""Constraints that hold what users install at its lowest declared versions.

``python tests/lowest.py > constraints.txt`` and ``pip install -c constraints.txt .``
"""

from __future__ import annotations

import tomllib
from pathlib import Path

from packaging.requirements import Requirement


def constraints(pyproject: Path) -> list[str]:
    """Return ``name==version`` for each requirement of users; each has a bound or is pinned."""
    project = tomllib.loads(pyproject.read_text(encoding="utf-8"))["project"]
    pinned = []
    extras = project["optional-dependencies"]
    for line in (*project["dependencies"], *extras["excel"], *extras["mail"]):
        wanted = Requirement(line)
        (bound,) = (one.version for one in wanted.specifier if one.operator in (">=", "=="))
        pinned.append(f"{wanted.name}=={bound}")
    return pinned


if __name__ == "__main__":
    print("\n".join(constraints(Path(__file__).parents[1] / "pyproject.toml")))
