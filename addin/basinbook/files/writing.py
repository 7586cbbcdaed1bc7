"""The one way in which a file of a user is written: whole, on disk, and in one step.

One file is written beside its place, put on disk and renamed. A set of files gets its new folder
by one rename, or where the folder is there already, a journal (``journal``) that makes it whole.
A run that is killed leaves the old files or the new ones; its litter goes with the next run.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from basinbook.engine.errors import InputError
from basinbook.files import journal
from basinbook.files.reading import OPEN_ELSEWHERE, read_file
from basinbook.files.scratch import scratch_folder, tidy
from basinbook.files.targets import check_target, real_file

_NEW: Final = "new"
_LARGEST: Final = 2_000_000_000


def digest(data: bytes) -> str:
    """Return what tells one content from another."""
    return hashlib.sha256(data).hexdigest()


@dataclass(frozen=True)
class Unchanged:
    """A file that must still have the content that was read, given as its digest."""

    path: Path
    digest: str

    def check(self, argument: str) -> None:
        """Raise InputError where somebody else has saved another content since."""
        try:
            same = digest(read_file(self.path, _LARGEST, argument)) == self.digest
        except InputError:
            same = False
        if not same:
            raise InputError(
                argument,
                str(self.path),
                "it was saved by another program in the meantime and is left as that saved it; "
                "run the command again",
            )


def write_files(
    files: Mapping[Path, bytes], *, replace: bool = False, argument: str = "out"
) -> None:
    """Write a set of files: all of them or none.

    They lie in one folder or below it; what is missing of it is made. Raises InputError naming
    ``argument`` where a file is there and ``replace`` is not set, and where one can't be written.
    """
    given = [path.parent for path in files]
    root = Path(os.path.commonpath([Path.cwd() / folder for folder in given]))
    root = _real_folder(root, argument)
    # Where the folder was missing at a killed run, its litter lies in a folder above.
    for level in root.parents:
        tidy(level)
    targets = {}
    for path, data in files.items():
        real = check_target(path, replace=replace, argument=argument, make_folder=True)
        if not real.is_relative_to(root):
            raise InputError(argument, str(path), f"it is a link that leads out of {root}")
        targets[real.relative_to(root).as_posix()] = data
    if len(targets) < len(files):
        raise InputError(argument, str(root), "two of the files to write are one")
    if root.exists() and not root.is_dir():
        raise InputError(
            argument,
            str(root),
            "it can't be written; give a folder that exists or can be made, not a file",
        )
    with _explained(root, argument):
        if root.exists():
            _into_folder(root, targets, files, replace, argument)
        else:
            _as_folder(root, targets)


def _real_folder(folder: Path, argument: str) -> Path:
    try:
        return real_file(folder)
    except (OSError, ValueError) as error:
        raise InputError(argument, str(folder), "no folder can have this name") from error


def write_file(
    path: Path,
    data: bytes,
    *,
    replace: bool = False,
    argument: str = "out",
    unchanged: Unchanged | None = None,
    mode_of: Path | None = None,
) -> None:
    """Write one file into a folder that is there.

    ``unchanged``: replace the file only where it still has that content. ``mode_of``: a file whose
    permissions a new file gets; one that is replaced keeps its own. Raises InputError.
    """
    real = check_target(path, replace=replace, argument=argument)
    with _explained(path, argument), scratch_folder(real.parent) as scratch:
        like = next((file for file in (real, mode_of) if file and file.exists()), None)
        _write(scratch / _NEW, data, like)
        # Writing took its time; somebody may have opened or saved the file.
        check_target(path, replace=replace, argument=argument)
        if unchanged is not None:
            unchanged.check(argument)
        (scratch / _NEW).replace(real)
        journal.sync_folder(real.parent)


def remove_file(path: Path, argument: str = "out") -> None:
    """Take a file away, if it is there."""
    with _explained(path, argument):
        path.unlink(missing_ok=True)


@contextlib.contextmanager
def _explained(path: Path, argument: str) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason = error.strerror or str(error)
        advice = f"; {OPEN_ELSEWHERE}" if isinstance(error, PermissionError) else ""
        raise InputError(argument, str(path), f"it can't be written ({reason}){advice}") from error


def _as_folder(root: Path, targets: Mapping[str, bytes]) -> None:
    """Write the set into a folder of its own, which then takes its place by one rename."""
    missing = [level for level in (root, *root.parents) if not level.exists()]
    top = missing[-1]
    with scratch_folder(top.parent) as scratch:
        tree = scratch / _NEW
        for target, data in targets.items():
            file = tree / root.relative_to(top) / target
            file.parent.mkdir(parents=True, exist_ok=True)
            _write(file, data, None)
        for folder, _, _ in os.walk(tree):
            journal.sync_folder(Path(folder))
        tree.rename(top)
        journal.sync_folder(top.parent)


def _into_folder(
    root: Path,
    targets: Mapping[str, bytes],
    files: Mapping[Path, bytes],
    replace: bool,
    argument: str,
) -> None:
    with scratch_folder(root) as scratch:
        named = {f"{_NEW}-{number}": target for number, target in enumerate(targets)}
        for new, target in named.items():
            real = root / target
            _write(scratch / new, targets[target], real if real.exists() else None)
            _check_disk(scratch, real)
        for path in files:
            check_target(path, replace=replace, argument=argument, make_folder=True)
        if len(named) == 1 and (root / target).parent.is_dir():
            (scratch / new).replace(root / target)
            journal.sync_folder((root / target).parent)
        else:
            journal.place(scratch, list(named.items()))


def _check_disk(scratch: Path, target: Path) -> None:
    """A rename doesn't reach over to another disk, which a folder below may be."""
    folder = next(level for level in target.parents if level.exists())
    if folder.stat().st_dev != scratch.stat().st_dev:
        raise OSError(None, f"{folder} is on another disk")


def _write(path: Path, data: bytes, like: Path | None) -> None:
    """Write a new file, put it on disk and give it the permissions of another."""
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    descriptor = os.open(path, flags, 0o666)
    try:
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(descriptor, rest) :]
        if like is not None:
            _copy_permissions(like, path)
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _copy_permissions(source: Path, target: Path) -> None:
    found = source.stat()
    if hasattr(os, "chown"):
        # Only the administrator may give files away.
        with contextlib.suppress(OSError):
            os.chown(target, found.st_uid, found.st_gid)
    target.chmod(found.st_mode & 0o777)
