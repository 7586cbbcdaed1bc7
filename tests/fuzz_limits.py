"""Limits of time and memory round a piece of work, so that fuzzing finds what hangs or swells."""

from __future__ import annotations

import resource
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

_MIB = 1024 * 1024


class OverLimit(BaseException):
    """The work took longer than allowed; no ``except Exception`` on the way may swallow it."""


@contextmanager
def limited(seconds: float = 20.0, mebibytes: int = 1024) -> Iterator[None]:
    """Stop the work inside after so many seconds, and let it take so much more memory.

    Raises OverLimit for the time; memory beyond the limit shows as MemoryError. Works in the main
    thread of a Unix process.
    """

    def stop(_signal: int, _frame: FrameType | None) -> None:
        raise OverLimit(f"longer than {seconds:g} s")

    old_handler = signal.signal(signal.SIGALRM, stop)
    old_memory = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (_memory_now() + mebibytes * _MIB, old_memory[1]))
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        resource.setrlimit(resource.RLIMIT_AS, old_memory)
        signal.signal(signal.SIGALRM, old_handler)


def _memory_now() -> int:
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    return pages * resource.getpagesize()
