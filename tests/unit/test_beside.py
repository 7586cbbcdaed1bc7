"""Work in a second process: its result comes back, and nothing of it is left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from basinbook import beside as module
from basinbook.beside import beside

# What each of them does with a file of its process number, so that a test can find it.
CHILD = """
import atexit, os, signal, sys, time
from pathlib import Path
from basinbook import beside as module
module._has_room = lambda: sys.platform == "linux"
number, how = Path(sys.argv[1]), sys.argv[2]
# Tests that run in the background may have it ignored.
signal.signal(
    signal.SIGINT, signal.SIG_IGN if how == "ignores" else signal.default_int_handler
)
atexit.register(print, "bye")
print("hello")
def work():
    part = number.with_suffix(".part")
    part.write_text(str(os.getpid()))
    part.rename(number)
    if how == "raises":
        raise ValueError("x")
    if how == "works":
        atexit.register(number.with_suffix(".end").write_text, "x")
        return b"a" * 5_000_000
    time.sleep(0.5 if how == "ignores" else 60)
    return b"a"
try:
    with module.beside(work) as result:
        found = result()
        print(found and len(found))
except KeyboardInterrupt:
    sys.exit(130)
"""

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="forks on Linux only")


@pytest.fixture
def room(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Fork whatever cores and threads this run has."""
    fork, begun = os.fork, []

    def noted() -> int:
        number = fork()
        begun.append(number)
        return number

    monkeypatch.setattr(module, "_has_room", lambda: True)
    monkeypatch.setattr(os, "fork", noted)
    yield
    assert begun
    for number in begun:
        # It was waited for.
        with pytest.raises(ChildProcessError):
            os.waitpid(number, os.WNOHANG)


def _begun(tmp_path: Path, how: str) -> tuple[subprocess.Popen[str], Path, int]:
    number = tmp_path / "number"
    # Buffered, as for a user: what stands in the buffer at the fork is to be written once.
    environment = {name: at for name, at in os.environ.items() if name != "PYTHONUNBUFFERED"}
    process = subprocess.Popen(
        [sys.executable, "-c", CHILD, str(number), how],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment,
        start_new_session=True,
    )  # fmt: skip
    until = time.monotonic() + 60
    while not number.exists():
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < until
        time.sleep(0.01)
    return process, number, int(number.read_text())


def _runs(number: int) -> bool:
    """Whether a process runs; one that has ended may wait for its new parent to notice."""
    try:
        state = Path(f"/proc/{number}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except OSError:
        return False
    return state not in "ZX"


def _ends(number: int) -> bool:
    until = time.monotonic() + 20
    while _runs(number) and time.monotonic() < until:
        time.sleep(0.01)
    return not _runs(number)


@pytest.mark.parametrize(("how", "says"), [("works", "5000000"), ("raises", "None")])
def test_result_comes_once_and_only_own_ends_are_run(tmp_path: Path, how: str, says: str) -> None:
    process, number, second = _begun(tmp_path, how)
    out, _ = process.communicate(timeout=60)
    assert (process.returncode, out) == (0, f"hello\n{says}\nbye\n")
    assert number.with_suffix(".end").exists() is (how == "works")
    assert _ends(second)


def test_killed_work_gives_no_result(tmp_path: Path) -> None:
    process, _, second = _begun(tmp_path, "sleeps")
    os.kill(second, signal.SIGKILL)
    assert process.communicate(timeout=60) == ("hello\nNone\nbye\n", "")
    assert _ends(second)


def test_work_ends_where_the_first_process_is_killed(tmp_path: Path) -> None:
    process, _, second = _begun(tmp_path, "sleeps")
    process.kill()
    process.communicate(timeout=60)
    assert _ends(second)


def test_an_interrupt_ends_both_without_a_word(tmp_path: Path) -> None:
    process, _, second = _begun(tmp_path, "sleeps")
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert (process.returncode, out, err) == (130, "hello\nbye\n", "")
    assert _ends(second)


def test_an_interrupt_that_is_ignored_is_ignored_by_both(tmp_path: Path) -> None:
    """As of a command that a shell script runs in the background."""
    process, _, second = _begun(tmp_path, "ignores")
    os.killpg(process.pid, signal.SIGINT)
    assert process.communicate(timeout=60) == ("hello\n1\nbye\n", "")
    assert _ends(second)


@pytest.mark.usefixtures("room")
def test_work_is_waited_for_after_an_error() -> None:
    with pytest.raises(ZeroDivisionError), beside(lambda: time.sleep(60)):
        raise ZeroDivisionError


@pytest.mark.usefixtures("room")
def test_result_that_cannot_be_sent_is_none() -> None:
    with beside(lambda: threading.Lock()) as result:
        assert result() is None


@pytest.mark.usefixtures("room")
def test_an_answer_cut_off_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = module.pickle.dumps([1, 2, 3])
    monkeypatch.setattr(module.pickle, "dumps", lambda _: whole[:-2])
    with beside(lambda: 0) as result:
        assert result() is None


def test_fork_that_fails_leaves_it_to_the_first_process(monkeypatch: pytest.MonkeyPatch) -> None:
    def none() -> int:
        raise OSError("no more processes")

    monkeypatch.setattr(module, "_has_room", lambda: True)
    monkeypatch.setattr(os, "fork", none)
    with beside(lambda: 1) as result:
        assert result() is None
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, ())


@pytest.mark.parametrize("case", ["one core", "another thread", "another system"])
def test_there_is_no_fork_where_it_would_not_serve(
    monkeypatch: pytest.MonkeyPatch, case: str
) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0} if case == "one core" else {0, 1})
    monkeypatch.setattr(threading, "active_count", lambda: 2 if case == "another thread" else 1)
    monkeypatch.setattr(sys, "platform", "darwin" if case == "another system" else "linux")
    assert not module._has_room()
    monkeypatch.undo()
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    assert module._has_room()
