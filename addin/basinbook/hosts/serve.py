"""The engine as a process of its own: one JSON line in, one JSON line out.

A spreadsheet whose own Python can't hold the engine's libraries starts this process and asks it.

- Request ``{"id": 1, "name": "WATERVOLUME", "args": [48, 24, 16]}``, answered by
  ``{"id": 1, "value": 79.79}`` or ``{"id": 1, "error": "inside_width: ...",
  "argument": "inside_width"}``.
- Request ``{"id": 2, "batch": [["WATERVOLUME", [48, 24, 16]], ...]}``, answered by
  ``{"id": 2, "results": [{"value": ...}, {"error": ..., "argument": ...}, ...]}``.

An id is a number or a text. An argument is a number, a text, a truth value, ``null`` for a blank
cell, a list of rows for a range, or ``{"error": "#DIV/0!"}`` for an error cell. A table comes back
as a list of rows. Every line that is not blank gets one answer; that to a line which is too long
or can't be read has the id ``null``.
"""

from __future__ import annotations

import gc
import json
import os
import select
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from basinbook.catalogue import call, functions
from basinbook.catalogue.model import CellError
from basinbook.engine.errors import InputError
from basinbook.hosts.ahead import Ahead

_BAD_LINE = "this line is no request; a request is a JSON object with id, name and args"
_BAD_IDENTITY = "the id of a request is a number or a text"
# A range of 100,000 cells fits. Beyond it something is wrong on the other side, and what JSON
# makes of a line takes twenty times its length.
_MAX_LINE = 16 * 1024 * 1024
_LONG_LINE = f"this line is too long; a request has at most {_MAX_LINE} bytes"
_PIECE = 1024 * 1024
# Characters of answers to one batch: calls of tables, however many, can't fill the memory.
_MOST_ANSWERED = 64 * 1024 * 1024
_MAX_ERROR = 3000
_RARELY = 100_000
# A sheet that asks for nothing so long [s] has done with the last edit.
_PAUSE = 0.25
# Made once: the functions of the json module make such a one at each call.
_text = json.JSONEncoder(allow_nan=False).encode


def serve(stream: BinaryIO, out: BinaryIO) -> None:
    """Answer each line of ``stream`` with one line on ``out``, until there are no more."""
    # So that the first call is as quick as the rest.
    functions()
    ahead = Ahead()
    for line in _lines(stream):
        if line is None:
            out.write(_encoded(None, _refusal(_LONG_LINE)))
        elif line.strip():
            out.write(answer(line, ahead))
        out.flush()
        while ahead.due and not _waiting(stream, 0):
            ahead.work()
        pause = _PAUSE
        while ahead.is_curious and not _waiting(stream, pause):
            ahead.guess()
            pause = 0


def _waiting(stream: BinaryIO, seconds: float) -> bool:
    """Whether there is something to read within a time, or no telling, as of a pipe on Windows."""
    try:
        return bool(select.select([stream], [], [], seconds)[0])
    except (OSError, ValueError):
        return True


def _lines(stream: BinaryIO) -> Iterator[bytes | None]:
    """Read lines; one longer than allowed comes as None, and is never held as a whole."""
    while line := stream.readline(_MAX_LINE + 1):
        if len(line) <= _MAX_LINE:
            yield line
            continue
        while not line.endswith(b"\n") and (line := stream.readline(_PIECE)):
            pass
        yield None


def answer(line: bytes, ahead: Ahead | None = None) -> bytes:
    """Return the response line to one request line; ``ahead`` sees what is asked."""
    identity: object = None
    try:
        request = json.loads(line, object_hook=_object)
        if not isinstance(request, dict):
            return _encoded(None, _refusal(_BAD_LINE))
        identity = request.get("id")
        # Another id, such as an error cell, might be what JSON can't hold.
        if identity is not None and not isinstance(identity, (int, float, str)):
            return _encoded(None, _refusal(_BAD_IDENTITY))
        members = _respond(request)
        if ahead is not None and isinstance(request.get("args"), list):
            ahead.look(request.get("name"), request["args"])
        return _encoded(identity, members)
    except (ValueError, RecursionError, MemoryError):
        return _encoded(None, _refusal(_BAD_LINE))


def _encoded(identity: object, members: str) -> bytes:
    """Return the line of an answer, whose other members are JSON text already."""
    # Plain ASCII survives whatever encoding the other side has.
    return f'{{"id": {_text(identity)}, {members}}}\n'.encode("ascii")


def _respond(request: dict[str, object]) -> str:
    if "batch" not in request:
        return _evaluate(request.get("name"), request.get("args", []))
    batch = request["batch"]
    if not isinstance(batch, list):
        return _refusal(_BAD_LINE)
    results: list[str] = []
    answered = 0
    for item in batch:
        if answered > _MOST_ANSWERED:
            result = _refusal("the answers to this batch are too long; ask for fewer at once")
        elif isinstance(item, list) and len(item) == 2:
            result = _evaluate(*item)
        else:
            result = _refusal("an item of a batch is [name, args]")
        results.append(f"{{{result}}}")
        answered += len(result)
    return f'"results": [{", ".join(results)}]'


def _evaluate(name: object, arguments: object) -> str:
    """Return the members of the answer to one call, as JSON text."""
    if not isinstance(name, str) or not isinstance(arguments, list):
        return _refusal(_BAD_LINE)
    try:
        return f'"value": {_text(call(name, *arguments).value)}'
    except InputError as error:
        return _refusal(str(error), error.argument)
    except Exception as error:  # whatever it is, the sheet must get an answer and the next call too
        return _refusal(f"{name}: {type(error).__name__}: {error}")


def _refusal(text: str, argument: str = "") -> str:
    return f'"error": {_text(text[:_MAX_ERROR])}, "argument": {_text(argument[:200])}'


def _object(members: dict[str, object]) -> object:
    """Return an error cell for ``{"error": "#DIV/0!"}``; any other object as it is."""
    if members.keys() == {"error"} and isinstance(members["error"], str):
        return CellError(members["error"])
    return members


def main() -> int:
    """Serve on standard input and output until the input ends or nobody listens any more."""
    if sys.stdin is None:
        return 0
    try:
        out = _own_output()
    except OSError:
        print("basinbook: serve: standard output is closed, so nobody can be answered",
              file=sys.stderr)  # fmt: skip
        return 2
    # A layout makes thousands of small tuples, none of them in rings: to look for rings less often
    # saves some of its time.
    gc.set_threshold(_RARELY)
    with suppress(BrokenPipeError, KeyboardInterrupt):
        serve(sys.stdin.buffer, out)
    # What is left for a listener that has gone is lost.
    with suppress(BrokenPipeError):
        out.close()
    return 0


def _own_output() -> BinaryIO:
    """Take standard output for the answers alone: what a library prints goes to standard error."""
    out = os.fdopen(os.dup(1), "wb")
    try:
        os.dup2(2, 1)
    except OSError:  # started without a standard error
        with Path(os.devnull).open("wb") as nowhere:
            os.dup2(nowhere.fileno(), 1)
    return out


if __name__ == "__main__":
    sys.exit(main())
