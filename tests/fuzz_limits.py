"""Limits of time and memory round a piece of work, so that fuzzing finds what hangs or swells.

Time is the processor's throughout, so that a busy machine makes no fault. Work that only waits
would use none of it for ever: it is looked at now and then, and ends where it has used nothing
since the look before.
"""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

_MIB = 1024 * 1024
# On the clock, between two looks. Even among many others a process that can work gets its turn
# far more often.
_LOOK = 30.0
# Looking takes some itself.
_NOTHING = 0.01
_TICKS = os.sysconf("SC_CLK_TCK")
_PAGE = resource.getpagesize()


class OverLimit(BaseException):
    """The work took longer than allowed; no ``except Exception`` on the way may swallow it."""


@contextmanager
def limited(seconds: float = 20.0, mebibytes: int = 1024, look: float = _LOOK) -> Iterator[None]:
    """Stop the work inside after so many seconds, and let it take so much more memory.

    Raises OverLimit for the time, or where it waits from one look to the next; memory beyond the
    limit shows as MemoryError. Works in the main thread of a Unix process, and what other
    processes work while this one waits is not seen: for those there is ``run``.
    """
    used = time.process_time()

    def stop(_signal: int, _frame: FrameType | None) -> None:
        raise OverLimit(f"longer than {seconds:g} s")

    def look_again(_signal: int, _frame: FrameType | None) -> None:
        nonlocal used
        before, used = used, time.process_time()
        if used - before < _NOTHING:
            raise OverLimit(f"waited for {look:g} s")

    handlers = {signal.SIGPROF: stop, signal.SIGALRM: look_again}
    old_handlers = {each: signal.signal(each, handler) for each, handler in handlers.items()}
    old_memory = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (_memory_now() + mebibytes * _MIB, old_memory[1]))
    signal.setitimer(signal.ITIMER_PROF, seconds)
    signal.setitimer(signal.ITIMER_REAL, look, look)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        resource.setrlimit(resource.RLIMIT_AS, old_memory)
        for each, old_handler in old_handlers.items():
            signal.signal(each, old_handler)


def run(
    command: Sequence[str | Path], seconds: float, look: float = _LOOK
) -> subprocess.CompletedProcess[str]:
    """Run a command within so much processor time, its own and that of all that it starts.

    Raises OverLimit as ``limited`` does, and leaves nothing of it running.
    """
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    ) as process:
        used = 0.0
        try:
            while True:
                with suppress(subprocess.TimeoutExpired):
                    out, errors = process.communicate(timeout=look)
                    return subprocess.CompletedProcess(command, process.returncode, out, errors)
                before, used = used, _session_time(process.pid)
                if used > seconds:
                    raise OverLimit(f"longer than {seconds:g} s")
                if used - before < _NOTHING:
                    raise OverLimit(f"waited for {look:g} s")
        except BaseException:
            with suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            raise


def _session_time(leader: int) -> float:
    """Processor time so far of the processes of a session, and of those they waited for [s]."""
    ticks = 0
    for path in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            # After the name, which may hold anything: state, parent, group, session, ...
            fields = path.read_text(encoding="utf-8", errors="replace").rpartition(")")[2].split()
            if int(fields[3]) == leader:
                ticks += sum(map(int, fields[11:15]))
    return ticks / _TICKS


def _memory_now() -> int:
    # With no file object, which takes half of what a limit takes: fuzzing sets some 300,000.
    statm = os.open("/proc/self/statm", os.O_RDONLY)
    try:
        return int(os.read(statm, 100).split()[0]) * _PAGE
    finally:
        os.close(statm)
