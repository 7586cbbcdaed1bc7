"""Limits of tests count what the processor does, so that a busy machine makes no fault."""

from __future__ import annotations

import os
import subprocess
import sys
import time

import pytest

from fuzz_limits import OverLimit, limited, run

WORK = "import time\nwhile time.process_time() < {}: pass"


def work(seconds: float) -> None:
    end = time.process_time() + seconds
    while time.process_time() < end:
        pass


def test_work_within_the_limit_goes_on_however_often_it_is_looked_at() -> None:
    with limited(seconds=20, look=0.1):
        work(0.5)


def test_work_over_the_limit_ends() -> None:
    with pytest.raises(OverLimit, match=r"longer than 0\.1 s"), limited(seconds=0.1):
        work(20)


def test_waiting_takes_nothing_of_the_limit_and_ends_all_the_same() -> None:
    with limited(seconds=0.1, look=20):
        time.sleep(0.3)
    with pytest.raises(OverLimit, match=r"waited for 0\.1 s"), limited(seconds=20, look=0.1):
        time.sleep(20)


def test_commands_are_limited_with_what_they_start() -> None:
    done = run([sys.executable, "-c", "print('done')\nraise SystemExit(3)"], 20)
    assert (done.returncode, done.stdout) == (3, "done\n")
    done = run([sys.executable, "-c", WORK.format(0.5)], 20, look=0.2)
    assert done.returncode == 0
    inner = f"{sys.executable} -c '{WORK.format(20)}'; true"
    with pytest.raises(OverLimit, match=r"longer than 0\.1 s"):
        run(["/bin/sh", "-c", inner], 0.1, look=0.5)


def test_a_command_that_waits_ends_with_what_it_started() -> None:
    # Its own: the tests of two Pythons run at the same time.
    mark = f"31.{os.getpid()}"
    with pytest.raises(OverLimit, match="waited for"):
        run(["/bin/sh", "-c", f"sleep {mark}; true"], 20, look=0.5)
    left = subprocess.run(["ps", "-eo", "args"], capture_output=True, text=True, check=True)
    assert f"sleep {mark}" not in left.stdout.splitlines()
