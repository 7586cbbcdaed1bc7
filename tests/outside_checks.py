"""Writes all checks against the outside world into docs/outside_checks.md.

python tests/outside_checks.py > docs/outside_checks.md
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterable, Iterator
from types import ModuleType

import reference
from outside import Check, Exhibit

_HEAD = """\
# Checks against the outside world

Written by `python tests/outside_checks.py > docs/outside_checks.md`; each row is a test of
`tests/reference`. "Allowed" is how far ours may lie from the outside value before the test fails,
and the lines above each table say why it is that much. "From memory" means that the document was
not found again with the means at hand. A row "nearest in range" compares a published value with the
range of low to high that we show: no difference means that it lies in it.

| subject | values | tables | from memory | greatest share of the allowed used |
| --- | ---: | ---: | ---: | ---: |"""
_LIBRARIES = """\
## Also compared with libraries

These tests compare many cases at once, most of them random, with a library or with what is known by
construction; they are no list of values, so they are named here."""
# Differences below this share are rounding of floating-point numbers.
_SAME = 1e-9


def modules() -> dict[str, ModuleType]:
    """Return the modules of tests/reference by what they are about, in their order."""
    names = sorted(each.name for each in pkgutil.iter_modules(reference.__path__))
    return {
        name.removeprefix("test_").replace("_", " ").capitalize(): importlib.import_module(
            f"reference.{name}"
        )
        for name in names
    }


def page() -> str:
    """Return the whole page."""
    found = modules()
    exhibits = {
        subject: list(module.OUTSIDE)
        for subject, module in found.items()
        if hasattr(module, "OUTSIDE")
    }
    lines = [_HEAD, *_summary(exhibits)]
    for subject, shown in exhibits.items():
        lines += ["", f"## {subject}"]
        for exhibit in shown:
            lines += ["", *_exhibit(exhibit)]
    lines += ["", _LIBRARIES, ""]
    for subject, module in found.items():
        lines += _others(subject, module)
    return "\n".join(lines) + "\n"


def _summary(exhibits: dict[str, list[Exhibit]]) -> Iterator[str]:
    every: list[Exhibit] = []
    for subject, shown in exhibits.items():
        every += shown
        yield _counts(f"[{subject}](#{subject.lower().replace(' ', '-')})", shown)
    yield _counts("**all**", every)


def _counts(title: str, shown: Iterable[Exhibit]) -> str:
    shown = list(shown)
    checks = [check for exhibit in shown for check in exhibit.checks]
    recalled = sum(len(each.checks) for each in shown if "from memory" in each.source)
    most = max(abs(check.ours() - check.value) / check.allowed for check in checks)
    return f"| {title} | {len(checks)} | {len(shown)} | {recalled or ''} | {100 * most:.0f} % |"


def _exhibit(exhibit: Exhibit) -> Iterator[str]:
    yield f"### {exhibit.title}"
    yield ""
    yield f"- Source: {exhibit.source}."
    yield f"- Tolerance: {exhibit.why}."
    if exhibit.left_out != "nothing":
        yield f"- Left out: {exhibit.left_out}."
    yield ""
    yield "| what | outside | ours | difference | allowed |"
    yield "| --- | ---: | ---: | ---: | ---: |"
    for check in exhibit.checks:
        yield _row(check)


def _row(check: Check) -> str:
    ours = check.ours()
    off, allowed = ours - check.value, check.allowed
    scale = abs(check.value)
    if abs(off) <= _SAME * (scale or 1.0):
        shown = "0"
    else:
        shown = f"{100 * off / scale:+.2g} %" if scale else f"{off:+.2g}"
    if scale:
        most = "exact" if allowed <= _SAME * scale else f"{100 * allowed / scale:.2g} %"
    else:
        most = f"{allowed:.2g}"
    what = check.what.replace("|", "\\|")
    # Of a nothing the last digits hang on the machine.
    told = _like(0.0 if not scale and abs(off) <= _SAME else ours)
    return f"| {what} | {check.value:.7g} {check.unit} | {told} | {shown} | {most} |"


def _like(ours: float) -> str:
    """Enough figures to see the difference, and no zeros after them."""
    return f"{ours:.5g}" if abs(ours) < 1e5 else f"{ours:,.0f}"


def _others(subject: str, module: ModuleType) -> Iterator[str]:
    """List what a module tests besides its exhibits: its first line, then each test by name."""
    tests = [
        (name, test)
        for name, test in vars(module).items()
        if name.startswith("test_")
        and name != "test_outside"
        and inspect.isfunction(test)
        and test.__module__ == module.__name__
    ]
    if not tests:
        return
    yield f"- **{subject}**: {_first_line(module) or 'no word of its own'}"
    for name, test in tests:
        said = _first_line(test)
        yield f"    - {name.removeprefix('test_').replace('_', ' ')}" + (
            f": {said}" if said else ""
        )


def _first_line(thing: object) -> str:
    """Return the first sentence of a docstring, on one line."""
    text = inspect.getdoc(thing) or ""
    return re.sub(r"\s+", " ", text.split("\n\n")[0]).strip()


if __name__ == "__main__":
    print(page(), end="")
