"""Limits of time and memory round a piece of work, so that fuzzing finds what hangs or swells."""

from __future__ import annotations

import resource
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

_MIB = 1024 * 1024
# On a machine that others use too, work of a second may take several on the clock.
_CLOCK = 10.0


class OverLimit(BaseException):
    """The work took longer than allowed; no ``except Exception`` on the way may swallow it."""


@contextmanager
def limited(seconds: float = 20.0, mebibytes: int = 1024) -> Iterator[None]:
    """Stop the work inside after so many seconds, and let it take so much more memory.

    The seconds are those of the processor, so that a busy machine makes no fault; on the clock it
    may take ten times as long. Raises OverLimit for the time; memory beyond the limit shows as
    MemoryError. Works in the main thread of a Unix process.
    """

    def stop(_signal: int, _frame: FrameType | None) -> None:
        raise OverLimit(f"longer than {seconds:g} s")

    old_handlers = {each: signal.signal(each, stop) for each in (signal.SIGALRM, signal.SIGPROF)}
    old_memory = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (_memory_now() + mebibytes * _MIB, old_memory[1]))
    signal.setitimer(signal.ITIMER_PROF, seconds)
    signal.setitimer(signal.ITIMER_REAL, _CLOCK * seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        resource.setrlimit(resource.RLIMIT_AS, old_memory)
        for each, old_handler in old_handlers.items():
            signal.signal(each, old_handler)


def _memory_now() -> int:
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    return pages * resource.getpagesize()
