"""The engine as the spreadsheet's own Python sees it: a process that is asked by JSON lines.

This file travels inside the extension and runs in whatever Python the office has (3.7 and
later), so it needs nothing but the standard library.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import select
import subprocess
import sys
import threading
import time
from collections import OrderedDict
from pathlib import Path
from typing import IO, Any, Union

MODULE = "basinbook.hosts.serve"
# The interpreter that the extension was built with can be overruled by this variable.
INTERPRETER_VARIABLE = "BASINBOOK_PYTHON"
_REMEMBERED_RANGES = 500
# Bytes of an answer that are read at once.
_PIECE = 65536
# The office's own Python settings would lead another interpreter astray.
_FOREIGN = ("PYTHONHOME", "PYTHONPATH", "PYTHONEXECUTABLE", "__PYVENV_LAUNCHER__")


class EngineError(Exception):
    """The engine said no to these arguments; the text says why."""


class EngineUnavailableError(EngineError):
    """The engine gave no answer: it can't be started, died or took too long."""


class _Range:
    """A range of cells: its rows, and their JSON text and hash, which are long to make."""

    __slots__ = ("_hash", "rows", "text")

    def __init__(self, rows: tuple[Any, ...]) -> None:
        self.rows = rows
        self.text = json.dumps(rows)
        self._hash = hash(rows)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return self is other or (isinstance(other, _Range) and self.rows == other.rows)


class Client:
    """Forwards calls to the engine's process, which it starts when it is first needed.

    Values are remembered, so that a cell that is recalculated with the same inputs costs no
    round trip: at most ``remembered`` answers, and of tables as many as have ``remembered_cells``
    cells in all. A process that died is started again once; one that doesn't answer in time is
    ended. After two failures in a row all calls fail at once for ``pause`` seconds, so that a
    sheet of a thousand cells never waits a thousand times.
    """

    def __init__(
        self,
        command: list[str],
        start_timeout: float = 30.0,
        call_timeout: float = 10.0,
        pause: float = 20.0,
        remembered: int = 5000,
        remembered_cells: int = 500_000,
    ) -> None:
        self.command = list(command)
        self.start_timeout = start_timeout
        self.call_timeout = call_timeout
        self.pause = pause
        self.remembered = remembered
        self.remembered_cells = remembered_cells
        self._cells = 0
        self._memory: OrderedDict[Any, dict[str, Any]] = OrderedDict()
        self._ranges: OrderedDict[tuple[Any, ...], _Range] = OrderedDict()
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._answers: Answers | None = None
        self._number = 0
        self._failures = 0
        self._failed_at = 0.0
        self._reason = ""

    def call(self, name: str, arguments: tuple[Any, ...]) -> Any:
        """Return the value of the worksheet function ``name``; raises EngineError.

        ``arguments``: numbers, texts, None for blanks, tuples of rows for ranges. A table comes
        back as a tuple of rows.
        """
        with self._lock:
            # Dozens of cells hand over the same two ranges: one copy and one JSON text do for all.
            given = tuple(
                [
                    self._given(argument) if type(argument) is tuple else argument
                    for argument in arguments
                ]
            )
            # 1, 1.0 and True are one key to a dictionary; their types keep them apart.
            key = (name, given, tuple(map(type, given)))
            answer = self._memory.get(key)
            if answer is None:
                answer = self._ask(name, given)
                self._remember(key, answer)
            else:
                self._memory.move_to_end(key)
        if "error" in answer:
            raise EngineError(answer["error"])
        return answer["value"]

    def close(self) -> None:
        """End the engine's process."""
        with self._lock:
            self._end()

    @property
    def process_id(self) -> int | None:
        """The process id of the engine, or None where it isn't running."""
        return self._process.pid if self._process else None

    def _given(self, rows: tuple[Any, ...]) -> Any:
        """Return a range; of one cell its value, which is to a function what the range is.

        A named cell arrives as such a range, a picked cell as a value: so both are one question.
        """
        if len(rows) == 1 and isinstance(rows[0], tuple) and len(rows[0]) == 1:
            return rows[0][0]
        known = self._ranges.get(rows)
        if known is None:
            known = self._ranges[rows] = _Range(rows)
            if len(self._ranges) > _REMEMBERED_RANGES:
                self._ranges.popitem(last=False)
        return known

    def _remember(self, key: Any, answer: dict[str, Any]) -> None:
        self._memory[key] = answer
        self._cells += _size(answer)
        while len(self._memory) > self.remembered or self._cells > self.remembered_cells:
            self._cells -= _size(self._memory.popitem(last=False)[1])

    def _ask(self, name: str, arguments: tuple[Any, ...]) -> dict[str, Any]:
        if self._failures >= 2:
            if time.monotonic() - self._failed_at < self.pause:
                raise EngineUnavailableError(self._reason)
            self._failures = 0
        for _ in range(2):
            started = self._process is None
            try:
                answer = self._round_trip(name, arguments)
            except EOFError:
                self._end()
                self._failed("the engine ended without an answer")
                if started:
                    break
            except TimeoutError:
                self._end()
                self._failed(f"the engine took longer than {self.call_timeout:g} seconds")
                break
            else:
                self._failures = 0
                return answer
        raise EngineUnavailableError(self._reason)

    def _round_trip(self, name: str, arguments: tuple[Any, ...]) -> dict[str, Any]:
        process, timeout = self._process, self.call_timeout
        if process is None:
            process, timeout = self._start(), self.start_timeout
        assert process.stdin is not None
        assert self._answers is not None
        self._number += 1
        line = f'{{"id": {self._number}, "name": "{name}", "args": {_text(arguments)}}}\n'
        try:
            process.stdin.write(line.encode("ascii"))
            process.stdin.flush()
        except OSError:
            raise EOFError from None
        deadline = time.monotonic() + timeout
        while True:
            received = self._answers.line(deadline)
            try:
                answer = json.loads(received.decode("ascii"))
            except ValueError:
                continue
            # A question that the engine couldn't read is answered without its number; there is
            # only one at a time.
            if isinstance(answer, dict) and answer.get("id", "") in (self._number, None):
                if "value" in answer:
                    answer["value"] = _office_value(answer["value"])
                return answer

    def _start(self) -> subprocess.Popen[bytes]:
        environment = {k: v for k, v in os.environ.items() if k not in _FOREIGN}
        options: dict[str, Any] = {}
        if sys.platform == "win32":
            # No black console window beside the sheet.
            options["creationflags"] = 0x08000000
        try:
            self._process = subprocess.Popen(
                self.command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env=environment,
                **options,
            )
        except OSError as error:
            self._failures = 2
            self._failed(f"{self.command[0]} can't be started: {error.strerror}")
            raise EngineUnavailableError(self._reason) from None
        assert self._process.stdout is not None
        self._answers = _answers(self._process.stdout)
        return self._process

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        process.wait()
        if self._answers is not None:
            self._answers.close()
        if process.stdin is not None:
            # What was still to be written to it is lost anyway.
            with contextlib.suppress(OSError):
                process.stdin.close()

    def _failed(self, reason: str) -> None:
        self._failures += 1
        self._failed_at = time.monotonic()
        self._reason = f"{reason}; install it again with: basinbook addin install calc"


class PolledAnswers:
    """The engine's answers, read by whoever waits for one: no thread to wake is the quicker way."""

    def __init__(self, stream: IO[bytes]) -> None:
        self._stream = stream
        self._begun = b""
        self._waiting = select.poll()
        self._waiting.register(stream, select.POLLIN)

    def line(self, deadline: float) -> bytes:
        """Return the next answer; raises EOFError where none will come, TimeoutError when due."""
        pieces = [self._begun]
        while b"\n" not in pieces[-1]:
            left = deadline - time.monotonic()
            if left <= 0 or not self._waiting.poll(1000 * left):
                raise TimeoutError
            pieces.append(os.read(self._stream.fileno(), _PIECE))
            if not pieces[-1]:
                raise EOFError
        line, _, self._begun = b"".join(pieces).partition(b"\n")
        return line

    def close(self) -> None:
        """Read no more."""
        self._stream.close()


class QueuedAnswers:
    """The same where pipes can't be polled, as on Windows: a thread reads, which may wait."""

    def __init__(self, stream: IO[bytes]) -> None:
        self._lines: queue.Queue[bytes | None] = queue.Queue()
        reader = threading.Thread(target=_pump, args=(stream, self._lines))
        reader.daemon = True
        reader.start()

    def line(self, deadline: float) -> bytes:
        """Return the next answer; raises EOFError where none will come, TimeoutError when due."""
        try:
            received = self._lines.get(timeout=max(0.0, deadline - time.monotonic()))
        except queue.Empty:
            raise TimeoutError from None
        if received is None:
            raise EOFError
        return received

    def close(self) -> None:
        """Leave it to the thread, which ends with the stream."""


Answers = Union[PolledAnswers, QueuedAnswers]


def _answers(stream: IO[bytes]) -> Answers:
    return PolledAnswers(stream) if hasattr(select, "poll") else QueuedAnswers(stream)


def _text(arguments: tuple[Any, ...]) -> str:
    """Return the arguments as JSON: in one go where there is no range, whose text is known."""
    if _Range not in map(type, arguments):
        return json.dumps(arguments)
    texts = [one.text if type(one) is _Range else json.dumps(one) for one in arguments]
    return f"[{', '.join(texts)}]"


def _size(answer: dict[str, Any]) -> int:
    """Return how many cells an answer fills."""
    value = answer.get("value")
    return sum(len(row) for row in value) if isinstance(value, tuple) else 1


def _office_value(value: Any) -> Any:
    """Return a value as the office takes it: numbers as floats, an empty text for a blank."""
    if isinstance(value, list):
        # A list of pieces has thousands of cells, nearly all of which stay as they are.
        return tuple(
            [
                item if type(item) is str or type(item) is float else _office_value(item)
                for item in value
            ]
        )
    if value is None:
        return ""
    return float(value) if isinstance(value, (bool, int)) else value


def _pump(stream: IO[bytes], answers: queue.Queue[bytes | None]) -> None:
    """Hand each line on to the queue, so that whoever waits can stop waiting; None at the end."""
    with stream:
        for line in stream:
            answers.put(line)
    answers.put(None)


def client() -> Client:
    """Return a client for the interpreter named by the environment or beside this file."""
    return Client(engine_command(os.environ.get(INTERPRETER_VARIABLE) or settings()["python"]))


def engine_command(python: str) -> list[str]:
    """Return the command that starts the engine (which needs a Python 3.11 or later)."""
    # The office's working folder may be anybody's: -P keeps Python from importing from there.
    return [python, "-P", "-m", MODULE]


def settings() -> dict[str, Any]:
    """Return what was written into the extension when it was built."""
    text = Path(__file__).with_name("basinbook.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found
