"""Finding LibreOffice and running its extension tool."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from basinbook.engine.errors import InputError

# Where LibreOffice lies when it isn't on the search path.
_FOLDERS = (
    "/usr/lib/libreoffice/program",
    "/opt/libreoffice/program",
    "/Applications/LibreOffice.app/Contents/MacOS",
    r"C:\Program Files\LibreOffice\program",
    r"C:\Program Files (x86)\LibreOffice\program",
)
# The folder of LibreOffice's programs, for an installation in another place.
FOLDER_VARIABLE = "BASINBOOK_OFFICE"


def program(name: str) -> str:
    """Return the path of LibreOffice's program ``name`` ("soffice" or "unopkg").

    Raises InputError where there is none.
    """
    given = os.environ.get(FOLDER_VARIABLE)
    # unopkg.com is the one that waits and prints on Windows.
    names = (f"{name}.com", f"{name}.exe") if sys.platform == "win32" else (name,)
    folders = (given,) if given else (None, *_FOLDERS)
    for folder in folders:
        for file in names:
            found = shutil.which(file, path=folder)
            if found:
                return found
    raise InputError(
        "LibreOffice",
        given,
        f"no {name} was found; install LibreOffice, or set {FOLDER_VARIABLE} to the folder "
        "that holds it",
    )


def profile_options(profile: Path | None) -> list[str]:
    """Return the options that make LibreOffice's programs use ``profile`` and nothing shared."""
    if profile is None:
        return []
    folder = profile.resolve()
    return [
        f"-env:UserInstallation={folder.as_uri()}",
        f"-env:UNO_SHARED_PACKAGES_CACHE={(folder / 'shared_packages').as_uri()}",
    ]


def environment() -> dict[str, str]:
    """Return an environment that LibreOffice's programs can be started in.

    The Python inside LibreOffice looks for its own library beside the first ``python3`` on the
    search path. With a virtual environment first it takes the wrong one and fails.
    """
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith("PYTHON") and name != "VIRTUAL_ENV"
    }
    return kept if sys.platform == "win32" else {**kept, "PATH": os.defpath}


def add_extension(extension: Path, profile: Path | None = None) -> None:
    """Install an extension file, in place of an older version of it."""
    # An unsigned file asks nothing more than this.
    _unopkg(["add", "--force", "--suppress-license", str(extension)], profile)


def remove_extension(identifier: str, profile: Path | None = None) -> None:
    """Remove the extension of that identifier."""
    _unopkg(["remove", identifier], profile)


def is_installed(identifier: str, profile: Path | None = None) -> bool:
    """Return whether the extension of that identifier is installed."""
    return f"Identifier: {identifier}" in _unopkg(["list"], profile)


def _unopkg(arguments: Sequence[str], profile: Path | None) -> str:
    command, *rest = arguments
    shared = ["--shared"] if sys.platform != "win32" and os.geteuid() == 0 else []
    done = subprocess.run(
        [program("unopkg"), command, *shared, *rest, *profile_options(profile)],
        capture_output=True,
        text=True,
        env=environment(),
        timeout=300,
        check=False,
    )
    if done.returncode != 0:
        raise InputError(
            "LibreOffice",
            f"unopkg {command}",
            "close LibreOffice and try again; it says: "
            + " ".join((done.stderr or done.stdout).split()),
        )
    return done.stdout
