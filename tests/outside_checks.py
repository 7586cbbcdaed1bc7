"""Writes all checks against the outside world into docs/outside_checks.md.

python tests/outside_checks.py > docs/outside_checks.md
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator

import reference
from outside import Check, Exhibit

_HEAD = """\
# Checks against the outside world

Written by `python tests/outside_checks.py > docs/outside_checks.md`; each row is a test of
`tests/reference`. "Allowed" is how far ours may lie from the outside value before the test fails,
and the line above each table says why it is that much. "From memory" means that the document was
not at hand when the value was typed.
"""


def exhibits() -> dict[str, list[Exhibit]]:
    """Return the exhibits by what their module is about, in the order of the modules."""
    found = {}
    for module in sorted(each.name for each in pkgutil.iter_modules(reference.__path__)):
        loaded = importlib.import_module(f"reference.{module}")
        if hasattr(loaded, "OUTSIDE"):
            found[module.removeprefix("test_").replace("_", " ")] = list(loaded.OUTSIDE)
    return found


def page() -> str:
    """Return the whole page."""
    found = exhibits()
    count = sum(len(exhibit.checks) for each in found.values() for exhibit in each)
    sources = sum(map(len, found.values()))
    lines = [_HEAD, f"{count} values from {sources} exhibits."]
    for subject, shown in found.items():
        lines += ["", f"## {subject.capitalize()}"]
        for exhibit in shown:
            lines += ["", *_exhibit(exhibit)]
    return "\n".join(lines) + "\n"


def _exhibit(exhibit: Exhibit) -> Iterator[str]:
    yield f"### {exhibit.title}"
    yield ""
    yield f"Source: {exhibit.source}. Tolerance: {exhibit.why}. Left out: {exhibit.left_out}."
    yield ""
    yield "| what | outside | ours | difference | allowed |"
    yield "| --- | ---: | ---: | ---: | ---: |"
    for check in exhibit.checks:
        yield _row(check)


def _row(check: Check) -> str:
    ours = check.ours()
    off, allowed = ours - check.value, check.allowed
    if check.value:
        shown, most = (
            f"{100 * off / check.value:+.2f} %",
            f"{100 * allowed / abs(check.value):.2g} %",
        )
    else:
        shown, most = f"{off:+.2g}", f"{allowed:.2g}"
    what = check.what.replace("|", "\\|")
    return f"| {what} | {check.value:.5g} {check.unit} | {ours:.5g} | {shown} | {most} |"


if __name__ == "__main__":
    print(page(), end="")
