"""A set of files taking the places of others: all of them, also where the run is killed between.

The new files lie in a scratch folder, with links to the old ones. Once the journal is there, on
disk, the set counts as written: whoever comes next places what is not placed yet. Where that
can't be done, the old files go back. A file that somebody else has changed since is left alone.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

_FORWARD: Final = "forward"
_BACK: Final = "back"
_DRAFT: Final = "draft"

Print = tuple[int, int, int]
"""A file's number on its disk, size and time of change: what a rename keeps."""


@dataclass(frozen=True)
class Entry:
    """One file of a set, by names: in the scratch folder and in the folder that holds it."""

    new: str
    old: str
    target: str
    print_new: Print
    print_old: Print | None


def place(scratch: Path, targets: Sequence[tuple[str, str]]) -> None:
    """Put files of a scratch folder in their places: pairs of a name there and a path.

    Paths are relative to the folder that holds the scratch folder. On OSError the old files are
    back in their places.
    """
    entries = [_entry(scratch, new, target) for new, target in targets]
    _save(scratch, entries)
    try:
        settle(scratch)
    except KeyboardInterrupt:
        settle(scratch)
        raise


def settle(scratch: Path) -> None:
    """Finish a set that has a journal, or undo it; without one nothing was placed yet."""
    if not is_open(scratch):
        return
    try:
        entries = _load(scratch)
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise OSError(None, f"the journal in {scratch} can't be read") from error
    parent = scratch.parent
    if (scratch / _BACK).exists():
        _undo(scratch, entries)
        return
    try:
        for entry in entries:
            _make_folders(parent, entry.target)
            if (scratch / entry.new).exists() and (
                fingerprint(parent / entry.target) == entry.print_old
            ):
                (scratch / entry.new).replace(parent / entry.target)
        _sync_folders(parent, entries)
        (scratch / _FORWARD).unlink()
    except OSError:
        (scratch / _FORWARD).replace(scratch / _BACK)
        _undo(scratch, entries)
        raise


def is_open(scratch: Path) -> bool:
    """Return whether a set is neither finished nor undone."""
    return any((scratch / name).exists() for name in (_FORWARD, _BACK))


def fingerprint(path: Path) -> Print | None:
    """Return what tells a file from another at its place; None where there is none."""
    try:
        found = path.lstat()
    except FileNotFoundError:
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns


def sync_folder(folder: Path) -> None:
    """See that the names in a folder are on disk; not every system can."""
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        # Some network disks have no such call for folders.
        with contextlib.suppress(OSError):
            os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _entry(scratch: Path, new: str, target: str) -> Entry:
    path = scratch.parent / target
    print_new, print_old = fingerprint(scratch / new), fingerprint(path)
    if print_new is None:
        raise FileNotFoundError(None, f"there is no {new}")
    old = f"{new}-old"
    if print_old is not None:
        try:
            (scratch / old).hardlink_to(path)
        except OSError:
            shutil.copy2(path, scratch / old)
    return Entry(new, old, target, print_new, print_old)


def _save(scratch: Path, entries: Sequence[Entry]) -> None:
    draft = scratch / _DRAFT
    with draft.open("w", encoding="utf-8") as file:
        json.dump([asdict(entry) for entry in entries], file)
        file.flush()
        os.fsync(file.fileno())
    sync_folder(scratch)
    # From here on the new set counts.
    draft.replace(scratch / _FORWARD)
    sync_folder(scratch)


def _load(scratch: Path) -> list[Entry]:
    journal = scratch / (_BACK if (scratch / _BACK).exists() else _FORWARD)
    return [
        Entry(
            _plain(item["new"], 1),
            _plain(item["old"], 1),
            _plain(item["target"], 100),
            _print(item["print_new"]),
            None if item["print_old"] is None else _print(item["print_old"]),
        )
        for item in json.loads(journal.read_text(encoding="utf-8"))
    ]


def _plain(text: object, most: int) -> str:
    """Return a path that leads neither out of its folder nor to a hidden file."""
    parts = str(text).split("/")
    if len(parts) > most or any(part in ("", os.sep) or part.startswith(".") for part in parts):
        raise ValueError(text)
    return str(text)


def _print(numbers: Sequence[object]) -> Print:
    number, size, changed = (int(str(value)) for value in numbers)
    return number, size, changed


def _undo(scratch: Path, entries: Sequence[Entry]) -> None:
    for entry in entries:
        target = scratch.parent / entry.target
        if fingerprint(target) != entry.print_new:
            continue
        if entry.print_old is None:
            target.unlink()
        else:
            (scratch / entry.old).replace(target)
    _sync_folders(scratch.parent, entries)
    (scratch / _BACK).unlink()


def _make_folders(parent: Path, target: str) -> None:
    (parent / target).parent.mkdir(parents=True, exist_ok=True)


def _sync_folders(parent: Path, entries: Sequence[Entry]) -> None:
    for folder in dict.fromkeys((parent / entry.target).parent for entry in entries):
        if folder.is_dir():
            sync_folder(folder)
