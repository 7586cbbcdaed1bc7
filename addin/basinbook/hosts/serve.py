"""The engine as a process of its own: one JSON line in, one JSON line out.

A spreadsheet whose own Python can't hold the engine's libraries starts this process and asks it.

- Request ``{"id": 1, "name": "WATERVOLUME", "args": [48, 24, 16]}``, answered by
  ``{"id": 1, "value": 79.79}`` or ``{"id": 1, "error": "inside_width: ...",
  "argument": "inside_width"}``.
- Request ``{"id": 2, "batch": [["WATERVOLUME", [48, 24, 16]], ...]}``, answered by
  ``{"id": 2, "results": [{"value": ...}, {"error": ..., "argument": ...}, ...]}``.

An argument is a number, a text, a truth value, ``null`` for a blank cell, a list of rows for a
range, or ``{"error": "#DIV/0!"}`` for an error cell. A table comes back as a list of rows.
A line that can't be read is answered with an error whose ``id`` is ``null``.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable
from typing import BinaryIO

from basinbook.catalogue import call, functions
from basinbook.catalogue.model import CellError
from basinbook.engine import kinds
from basinbook.engine.errors import InputError
from basinbook.units import to_si

_BAD_LINE = "this line is no request; a request is a JSON object with id, name and args"
# A range of 100,000 cells with long texts fits; beyond it something is wrong on the other side.
_MAX_LINE = 64 * 1024 * 1024


def serve(lines: Iterable[bytes], out: BinaryIO) -> None:
    """Answer each line of ``lines`` with one line on ``out``, until there are no more."""
    warm_up()
    for line in lines:
        if line.strip():
            out.write(answer(line))
            out.flush()


def warm_up() -> None:
    """Import the catalogue and the unit library, so that the first call is as quick as the rest."""
    functions()
    to_si(1.0, kinds.LENGTH, "us")


def answer(line: bytes) -> bytes:
    """Return the response line to one request line."""
    identity: object = None
    try:
        request = json.loads(line, object_hook=_object) if len(line) <= _MAX_LINE else None
        if not isinstance(request, dict):
            raise InputError("request", None, _BAD_LINE)
        identity = request.get("id")
        response = {"id": identity, **_respond(request)}
        # Plain ASCII survives whatever encoding the other side has.
        return json.dumps(response, allow_nan=False).encode("ascii") + b"\n"
    except (ValueError, RecursionError):
        return json.dumps({"id": _plain(identity), "error": _BAD_LINE, "argument": ""}).encode() + (
            b"\n"
        )


def _plain(identity: object) -> object:
    return identity if isinstance(identity, (int, str)) else None


def _respond(request: dict[str, object]) -> dict[str, object]:
    if "batch" in request:
        batch = request["batch"]
        if not isinstance(batch, list):
            raise InputError("batch", None, _BAD_LINE)
        return {
            "results": [
                _evaluate(*item)
                if isinstance(item, list) and len(item) == 2
                else {"error": "an item of a batch is [name, args]", "argument": ""}
                for item in batch
            ]
        }
    return _evaluate(request.get("name"), request.get("args", []))


def _evaluate(name: object, arguments: object) -> dict[str, object]:
    if not isinstance(name, str) or not isinstance(arguments, list):
        return {"error": _BAD_LINE, "argument": ""}
    try:
        return {"value": call(name, *arguments).value}
    except InputError as error:
        return {"error": str(error), "argument": error.argument}
    except Exception as error:  # whatever it is, the sheet must get an answer and the next call too
        return {"error": f"{name}: {type(error).__name__}: {error}", "argument": ""}


def _object(members: dict[str, object]) -> object:
    """Return an error cell for ``{"error": "#DIV/0!"}``; any other object as it is."""
    if members.keys() == {"error"}:
        return CellError(str(members["error"]))
    return members


def main() -> int:
    """Serve on standard input and output until the input ends."""
    # Responses keep the real standard output to themselves: whatever a library prints goes to
    # standard error instead.
    with os.fdopen(os.dup(1), "wb") as out:
        os.dup2(2, 1)
        try:
            serve(sys.stdin.buffer, out)
        except (BrokenPipeError, KeyboardInterrupt):
            return 0
    return 0


if __name__ == "__main__":
    sys.exit(main())
