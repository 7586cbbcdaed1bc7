"""Doing work in a second process while this one goes on, where there is a second core for it.

The process is a fork: it has all that this one has at that moment, and hands back its result only.
"""

from __future__ import annotations

import atexit
import os
import pickle
import signal
import socket
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import partial
from typing import NoReturn, TypeVar

Result = TypeVar("Result")


@contextmanager
def beside(work: Callable[[], Result]) -> Iterator[Callable[[], Result | None]]:
    """Begin the work in a second process, and yield what waits for its result.

    That gives None where there is no result: one core, no fork here, or work that failed or was
    killed. Whoever asked does it then in its own process, and meets the errors there. The second
    process ends with the block, and where this one is killed.
    """
    begun = _begun(work) if _has_room() else None
    if begun is None:
        yield lambda: None
        return
    process, stream = begun
    try:
        yield partial(_result, stream)
    finally:
        stream.close()
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)


def _has_room() -> bool:
    """Return whether a fork is sound here and has a core to run on.

    macOS has libraries that do not stand a fork, and a lock that another thread holds would never
    be let go in it.
    """
    if sys.platform != "linux":
        return False
    return len(os.sched_getaffinity(0)) > 1 and threading.active_count() == 1


def _begun(work: Callable[[], object]) -> tuple[int, socket.socket] | None:
    """Return the second process and where its result comes from; None where there can be none."""
    try:
        ours, theirs = socket.socketpair()
    except OSError:
        return None
    # Ctrl-C goes to both; here it may not come before the fork knows that it is one.
    masked = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        process = os.fork()
        if process == 0:
            _work(work, ours, theirs, masked)
    except OSError:
        ours.close()
        return None
    finally:
        theirs.close()
        signal.pthread_sigmask(signal.SIG_SETMASK, masked)
    return process, ours


def _work(
    work: Callable[[], object],
    ours: socket.socket,
    theirs: socket.socket,
    masked: set[int | signal.Signals],
) -> NoReturn:
    """Do the work in the fork and end it, whatever happens: no clean-up of the other runs here."""
    try:
        atexit._clear()
        if signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:
            signal.signal(signal.SIGINT, signal.SIG_DFL)
        signal.pthread_sigmask(signal.SIG_SETMASK, masked)
        ours.close()
        threading.Thread(target=_end_with_the_other, args=(theirs,), daemon=True).start()
        theirs.sendall(pickle.dumps(work()))
        # A library may have made a folder that it removes at the end.
        atexit._run_exitfuncs()
    finally:
        os._exit(0)


def _end_with_the_other(theirs: socket.socket) -> None:
    # Nothing is ever sent this way: it ends when the other process has closed it, or is no more.
    theirs.recv(1)
    os._exit(0)


def _result(stream: socket.socket) -> Result | None:
    with suppress(OSError, EOFError, pickle.UnpicklingError), stream.makefile("rb") as answer:
        found: Result = pickle.loads(answer.read())
        return found
    return None
