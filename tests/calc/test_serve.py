"""The engine's process: one JSON line in, one out, whatever the line."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest

from basinbook.catalogue import call
from basinbook.hosts.serve import answer


def _answers(*lines: str) -> list[dict[str, Any]]:
    done = subprocess.run(
        [sys.executable, "-m", "basinbook.cli", "serve"],
        input="".join(f"{line}\n" for line in lines),
        capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    return [json.loads(line) for line in done.stdout.splitlines()]


def test_one_answer_for_each_line_in_order() -> None:
    answers = _answers(
        '{"id": 1, "name": "WATERVOLUME", "args": [48, 24, 16]}',
        "",
        '{"id": "two", "name": "BASIN.WATERVOLUME", "args": [48, 24, 16, "us"]}',
        "no JSON",
        '{"id": 3, "name": "WATERVOLUME", "args": [48, null, 16]}',
    )
    value = call("WATERVOLUME", 48, 24, 16).value
    assert answers[0] == {"id": 1, "value": value}
    assert answers[1] == {"id": "two", "value": value}
    assert answers[2]["id"] is None
    assert answers[3]["argument"] == "inside_width"
    assert len(answers) == 4


@pytest.mark.parametrize(
    "line",
    [
        b"",
        b"null",
        b"[]",
        b"{}",
        b'"text"',
        b"{'id': 1}",
        b"\xff\xfe\x00",
        b"[" * 100_000,
        b'{"id": 1, "name": 3, "args": []}',
        b'{"id": 1, "name": "WATERVOLUME", "args": {}}',
        b'{"id": 1, "name": "WATERVOLUME", "args": [{}, [], [[1, 2]], 5]}',
        b'{"id": 1, "name": "NOSUCH", "args": []}',
        b'{"id": 1, "name": "WATERVOLUME", "args": [NaN, Infinity, 1e999]}',
        b'{"id": 1, "name": "WATERVOLUME", "args": [1,2,3,4,5,6,7,8,9]}',
        b'{"id": 1, "batch": 5}',
        b'{"id": NaN, "batch": []}',
    ],
)
def test_a_bad_line_is_answered_with_a_readable_error(line: bytes) -> None:
    text = answer(line)
    assert text.endswith(b"\n")
    assert text.count(b"\n") == 1
    assert json.loads(text)["error"]


def test_error_cells_and_ranges() -> None:
    error = json.loads(
        answer(b'{"id": 1, "name": "WATERVOLUME", "args": [48, {"error": "#REF!"}, 16]}')
    )
    assert "#REF!" in error["error"]
    assert error["argument"] == "inside_width"
    value = json.loads(answer(b'{"id": 1, "name": "WATERVOLUME", "args": [[[48]], 24, 16]}'))
    assert value["value"] == call("WATERVOLUME", 48, 24, 16).value


def test_batch_answers_each_item() -> None:
    line = b'{"id": 1, "batch": [["WATERVOLUME", [48, 24, 16]], ["NOSUCH", []], 7]}'
    results = json.loads(answer(line))["results"]
    assert results[0] == {"value": call("WATERVOLUME", 48, 24, 16).value}
    assert "error" in results[1]
    assert "error" in results[2]


def test_nothing_else_reaches_standard_output() -> None:
    # A library that prints would break the conversation.
    source = (
        "import os, sys\n"
        "import basinbook.hosts.serve as serve\n"
        "real = serve.call\n"
        "def noisy(*a):\n    print('noise')\n    os.write(1, b'more')\n    return real(*a)\n"
        "serve.call = noisy\n"
        "sys.exit(serve.main())\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", source],
        input='{"id": 1, "name": "WATERVOLUME", "args": [48, 24, 16]}\n',
        capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    assert json.loads(done.stdout) == {"id": 1, "value": call("WATERVOLUME", 48, 24, 16).value}
    assert "noise" in done.stderr
