"""Write several files together: all of them or none, and nothing over a user's file unasked."""

from __future__ import annotations

import contextlib
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from basinbook.engine.errors import InputError


def write_together(files: Mapping[Path, bytes], *, force: bool = False) -> None:
    """Write each path's content; on any failure every path is left as it was.

    All paths share one folder, which is made when it is missing.  Raises InputError naming
    ``out`` when a path exists and ``force`` is False, is a folder, or can't be written.
    """
    for path in files:
        refuse_existing(path, force=force)
    folder = next(iter(files)).parent
    made = _make_folder(folder)
    try:
        with tempfile.TemporaryDirectory(prefix=".basinbook-", dir=folder) as scratch:
            _swap_in(files, Path(scratch))
    except OSError as error:
        if made:
            shutil.rmtree(made, ignore_errors=True)
        raise InputError("out", str(folder), f"the files could not be written ({error})") from error


def refuse_existing(path: Path, *, force: bool) -> None:
    """Raise InputError when ``path`` may not be written."""
    if path.is_dir():
        raise InputError("out", str(path), "a folder has this name; choose another folder for out")
    if path.exists() and not force:
        raise InputError("out", str(path), "the file exists; use --force to replace it")


def _make_folder(folder: Path) -> Path | None:
    """Make the folder and return the topmost folder that had to be made."""
    missing = [level for level in (folder, *folder.parents) if not level.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            "out", str(folder), "give a folder that exists or can be made, not a file"
        ) from error
    return missing[-1] if missing else None


def _swap_in(files: Mapping[Path, bytes], scratch: Path) -> None:
    fresh = {path: scratch / f"new-{i}" for i, path in enumerate(files)}
    for path, content in files.items():
        fresh[path].write_bytes(content)
    kept: dict[Path, Path] = {}
    placed: list[Path] = []
    try:
        for i, path in enumerate(files):
            if path.exists():
                path.replace(scratch / f"old-{i}")
                kept[path] = scratch / f"old-{i}"
            fresh[path].replace(path)
            placed.append(path)
    except OSError:
        for path in placed:
            with contextlib.suppress(OSError):
                path.unlink()
        for path, old in kept.items():
            old.replace(path)
        raise
