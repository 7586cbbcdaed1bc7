"""The licences of everything that Basinbook installs: python tests/licences.py > docs/licences.md.

Reads the metadata of the installed distributions, from Basinbook's own requirements down.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from importlib.metadata import Distribution, PackageNotFoundError, distribution

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

# The uses, in the order of the page: a package stands where it is first needed.
USES = {
    "": "run time",
    "excel": "run time, extra `[excel]`",
    "mail": "run time, extra `[mail]`",
    "test": "tests, extra `[test]`",
    "docs": "pages as a site, extra `[docs]`",
}
_OPTIONAL = set(USES) - {"test"}
_OTHER_SYSTEMS = (
    {"sys_platform": "win32", "platform_system": "Windows", "os_name": "nt"},
    {"sys_platform": "darwin", "platform_system": "Darwin", "os_name": "posix"},
)
# Licences that ask for the source of what is built on them, or of changes to them, by the words
# and identifiers that packages use.
_COPYLEFT = re.compile(
    r"GPL|EUPL|\bMPL|CDDL|\bEPL|CECILL|\bOSL|\bCPAL|\bMS-RL|SSPL|CC-BY-SA"
    r"|general public|european union public|mozilla public|eclipse public|common development",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Package:
    """An installed package, its licence in its own words, and what asks for it."""

    name: str
    version: str
    licence: str
    use: str
    asked_by: tuple[str, ...]


def packages(root: str = "basinbook") -> list[Package]:
    """Return what ``root`` and its extras install, by use and name."""
    found: dict[str, tuple[str, Distribution]] = {}
    asked: dict[str, set[str]] = {}
    for extra in USES:
        waiting = [(root, frozenset({extra}))]
        seen = set()
        while waiting:
            name, extras = waiting.pop()
            if (name, extras) in seen:
                continue
            seen.add((name, extras))
            for wanted in required(name, extras):
                other = canonicalize_name(wanted.name)
                if other != root:
                    first, _ = found.setdefault(other, (extra, distribution(other)))
                    if first == extra:
                        asked.setdefault(other, set()).add(name)
                    waiting.append((other, frozenset(wanted.extras | {""})))
    return [
        Package(name, dist.version, licence(dist), USES[extra], tuple(sorted(asked[name])))
        for extra in USES
        for name, (first, dist) in sorted(found.items())
        if first == extra
    ]


def required(
    name: str, extras: Iterable[str], system: dict[str, str] | None = None
) -> Iterator[Requirement]:
    """Yield what an installed distribution asks for, on this system or another."""
    for line in distribution(name).requires or ():
        wanted = Requirement(line)
        if wanted.marker is None or any(
            wanted.marker.evaluate({**(system or {}), "extra": extra}) for extra in extras
        ):
            yield wanted


def licence(found: Distribution) -> str:
    """Return a distribution's licence: its expression, else its classifiers, else its text."""
    data = found.metadata
    if expression := data.get_all("License-Expression"):
        return str(expression[0])
    classifiers = [
        line.rpartition(" :: ")[2]
        for line in data.get_all("Classifier") or ()
        if line.startswith("License :: ") and line != "License :: OSI Approved"
    ]
    if classifiers:
        return ", ".join(classifiers)
    text = "".join(data.get_all("License") or ()).strip()
    return text.splitlines()[0] if text else "not given"


def copyleft(words: str) -> bool:
    """Whether a licence, as its package words it, is copyleft in any degree."""
    return bool(_COPYLEFT.search(words))


def elsewhere(known: Iterable[str], root: str = "basinbook") -> list[str]:
    """Return what is asked for at run time on Windows or macOS only, so is not installed here."""
    names = {*known, root}
    found = set()
    for system in _OTHER_SYSTEMS:
        for name in names:
            try:
                wanted = list(required(name, _OPTIONAL if name == root else {""}, system))
            except PackageNotFoundError:
                continue
            found |= {canonicalize_name(one.name) for one in wanted}
    return sorted(found - names)


def markdown() -> str:
    """Return the page."""
    all_packages = packages()
    run_time = [one for one in all_packages if one.use != USES["test"]]
    rows = "\n".join(
        f"| {one.name} | {one.version} | {one.licence} | {one.use} | "
        f"{'Basinbook' if 'basinbook' in one.asked_by else ', '.join(one.asked_by)} |"
        for one in all_packages
    )
    others = ", ".join(elsewhere(one.name for one in run_time)) or "none"
    return f"""# Licences

Basinbook is under the MIT licence. This is what it installs, directly and through others, with the
licence that each package's own metadata gives. A test fails when anything needed at run time is
copyleft, gives no licence, or is not listed here. Made by:

```sh
.venv/bin/python tests/licences.py > docs/licences.md
```

| package | version | licence | for | asked for by |
| --- | --- | --- | --- | --- |
{rows}

What is in brackets is installed only by who asks for it: `pip install '.[excel]'`,
`'.[mail]'` or both. What tests need
is never part of what users install; the copyleft licences there reach nobody who runs Basinbook.

On Windows or macOS these come along too and are not installed where this page was made, so their
metadata were not read: {others}.

The built packages of numpy and scipy carry the run-time libraries of GCC inside, which are under
the GPL with the GCC Runtime Library Exception; the exception lets programs of any licence use them.
"""


if __name__ == "__main__":
    print(markdown(), end="")
