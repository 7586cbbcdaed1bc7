"""Killing a writing command at each of its steps, or at any moment, and looking at what is left.

A command runs in a process of its own up to where the writer starts. From there on it is forked
for each step: the fork is killed at that step, the folder is copied as it lies, the command runs
on (as the next run would) and the folder is copied again.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from basinbook.files import writing
from basinbook.files.scratch import tidy

STEPS = ("open", "write", "fsync", "replace", "rename", "link", "mkdir", "unlink", "rmdir", "chmod")
_FAILED = 3

Tree = dict[str, bytes]


@dataclass(frozen=True)
class Left:
    """What lies in the folder after a kill, after the next run, and after a look into it only."""

    killed: Tree
    after: Tree
    looked: Tree


def tree(folder: Path) -> Tree:
    """Return the files below a folder by name, and the folders, which end in a stroke."""
    return {
        f"{path.relative_to(folder)}{'/' if path.is_dir() else ''}": (
            b"" if path.is_dir() else path.read_bytes()
        )
        for path in sorted(folder.rglob("*"))
    }


def at_every_step(
    work: Callable[[], object], folder: Path, copies: Path, *, whole: bool = True
) -> tuple[list[Left], Tree]:
    """Kill ``work`` at each step of the writer; return what each kill left.

    ``whole``: the next run is a whole one, else it goes on from the writer's start too. With them
    comes the folder after a run that was not killed.
    """
    process = os.fork()
    if process == 0:
        _silently(lambda: _serve(work, folder, copies, whole))
    _, status = os.waitpid(process, 0)
    assert os.waitstatus_to_exitcode(status) == 0
    numbers = sorted(int(path.name) for path in copies.iterdir() if path.name.isdigit())
    left = [
        Left(*(tree(copies / f"{n}{state}") for state in ("", " after", " looked")))
        for n in numbers
    ]
    return left, tree(copies / "done")


def at_any_moment(
    work: Callable[[], object], folder: Path, copies: Path, times: int, seed: int = 1
) -> tuple[list[Left], Tree]:
    """Kill ``work`` at random moments of its whole run; return what each kill left."""
    rng = random.Random(seed)
    before = copies / "before"
    shutil.copytree(folder, before, symlinks=True)
    start = time.monotonic()
    assert _forked(work) == 0
    whole = time.monotonic() - start
    done = tree(folder)
    left = []
    for _ in range(times):
        _restore(folder, before)
        process = os.fork()
        if process == 0:
            _silently(work)
        time.sleep(rng.uniform(0, whole))
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)
        killed = tree(folder)
        assert _forked(work) == 0
        left.append(Left(killed, tree(folder), {}))
    return left, done


def _serve(work: Callable[[], object], folder: Path, copies: Path, whole: bool) -> object:
    """Run ``work`` up to the writer, and from there once for each step."""
    entered = {"_real_folder": writing._real_folder, "check_target": writing.check_target}
    before = copies / "before"
    shutil.copytree(folder, before, symlinks=True)

    def forking(name: str, path: Path, *arguments: Any, **options: Any) -> Any:
        def go_on() -> Any:
            return entered[name](path, *arguments, **options)

        if not path.is_relative_to(folder):
            return go_on()
        for hook, function in entered.items():
            setattr(writing, hook, function)
        step = 1
        while True:
            process = os.fork()
            if process == 0:
                # The run goes on from here, to its end or to the kill.
                _kill_at(step)
                return go_on()
            _, status = os.waitpid(process, 0)
            code = os.waitstatus_to_exitcode(status)
            if code != -signal.SIGKILL:
                assert code == 0, code
                shutil.copytree(folder, copies / "done")
                os._exit(0)
            shutil.copytree(folder, copies / str(step))
            process = os.fork()
            if process == 0:
                if whole:
                    _silently(work)
                return go_on()
            _, status = os.waitpid(process, 0)
            assert os.waitstatus_to_exitcode(status) == 0, f"next run after step {step}"
            shutil.copytree(folder, copies / f"{step} after")
            _restore(folder, before)
            process = os.fork()
            if process == 0:
                _kill_at(step)
                return go_on()
            os.waitpid(process, 0)
            tidy(folder)
            shutil.copytree(folder, copies / f"{step} looked")
            _restore(folder, before)
            step += 1

    for hook in entered:
        setattr(writing, hook, partial(forking, hook))
    return work()


def _kill_at(step: int) -> None:
    """Replace the system's calls by ones that count, and kill this process at one of them."""
    count = 0

    def counted(name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def run(*arguments: Any, **options: Any) -> Any:
            nonlocal count
            count += 1
            if count == step:
                if name == "write":
                    # A write may end in the middle.
                    call(arguments[0], arguments[1][: len(arguments[1]) // 2])
                os.kill(os.getpid(), signal.SIGKILL)
            return call(*arguments, **options)

        return run

    for name in STEPS:
        setattr(os, name, counted(name, getattr(os, name)))


def _forked(work: Callable[[], object]) -> int:
    process = os.fork()
    if process == 0:
        _silently(work)
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])


def _silently(work: Callable[[], object]) -> None:
    """Run in a forked process, say nothing but of a failure, and never come back."""
    code = _FAILED
    try:
        with _no_output():
            code = int(work() not in (None, 0))
    except BaseException as error:
        print(f"{type(error).__name__}: {error}", file=sys.stderr)
    finally:
        os._exit(code)


@contextmanager
def _no_output() -> Iterator[None]:
    out, sys.stdout = sys.stdout, open(os.devnull, "w")  # noqa: PTH123, SIM115
    try:
        yield
    finally:
        sys.stdout = out


def _restore(folder: Path, before: Path) -> None:
    for path in folder.iterdir():
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            with suppress(FileNotFoundError):
                path.unlink()
    shutil.copytree(before, folder, symlinks=True, dirs_exist_ok=True)
