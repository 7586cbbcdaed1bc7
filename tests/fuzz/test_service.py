"""The engine's process: each line that is not blank gets one valid JSON line, and it stays up."""

from __future__ import annotations

import io
import json
import resource
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from basinbook.catalogue import call, functions
from basinbook.hosts import serve
from fuzz_limits import limited, run

MEBI = 1024 * 1024
COMMAND = [sys.executable, "-m", "basinbook.cli", "serve"]
GOOD = b'{"id": 1, "name": "WATERVOLUME", "args": [48, 24, 16]}'
VALUE = call("WATERVOLUME", 48, 24, 16).value
# What a line may hold that is no number or text in the ordinary sense.
ODD = [
    b'{"id": {"error": "x"}, "name": "WATERVOLUME", "args": [48, 24, 16]}',
    b'{"id": [1], "batch": []}',
    b'{"id": NaN, "name": "WATERVOLUME", "args": [48, 24, 16]}',
    b'{"id": 1e400, "batch": []}',
    b'{"error": "x"}',
    b'{"id": 1, "name": {"error": "x"}, "args": []}',
    b'{"id": 1, "name": "WATERVOLUME", "args": {"error": "x"}}',
    b'{"id": 1, "batch": {"error": "x"}}',
    b'{"id": 1, "batch": [{"error": "x"}, 5, [], ["WATERVOLUME"], ["WATERVOLUME", {}]]}',
    b'{"id": 1, "name": "WATERVOLUME", "args": [{"error": ["x"]}, 24, 16]}',
    b'{"id": 1, "id": 2, "name": "NOSUCH", "name": "WATERVOLUME", "args": [{"error": 5}]}',
    b'{"id": 1, "name": "WATERVOLUME", "args": [NaN, -Infinity, 1e400]}',
    b'{"id": 1, "name": "WATERVOLUME", "args": [' + b"9" * 4000 + b", 24, 16]}",
    b'{"id": 1, "name": "WATERVOLUME", "args": [' + b"9" * 10_000 + b", 24, 16]}",
    b'{"id": ' + b"9" * 10_000 + b', "name": "WATERVOLUME", "args": [48, 24, 16]}',
    b'{"id": 1, "name": "UNITLABEL", "args": [' + b"9" * 4300 + b"]}",
    b'{"id": 1, "name": "WHY", "args": [' + b'"WHY", ' * 5000 + b'"X"]}',
    b'{"id": 1, "name": "TAKEOFF", "args": [' + b"[" * 900 + b"]" * 900 + b"]}",
    b'{"id": 1, "name": "WATERVOLUME", "args": [' + b"[" * 900 + b"1" + b"]" * 900 + b"]}",
    b'{"id": ' + b"[" * 900 + b"]" * 900 + b', "batch": []}',
    b"[" * 500_000,
    b'{"a":' * 100_000,
    b'{"id": "\\ud800", "name": "WATERVOLUME\\ud800", "args": ["\\ud800"]}',
    b'{"id": 1, "name": "WATER\\u0000VOLUME", "args": ["\\u0000"]}',
    b'{"id": 1, "name": "WATER\x00VOLUME", "args": []}',
    b'{"id": 1, "name": "\xff\xfe", "args": []}',
    b"\xef\xbb\xbf" + GOOD,
    "{}".encode("utf-16"),
    b'{"id": 1, "name": "' + b"A" * 100_000 + b'", "args": []}',
    b'{"id": 1, "name": "TAKEOFF", "args": ["Courses", [["' + b"L" * 100_000 + b'"]], [[1]]]}',
    b'{"id": 1, "batch": [' + b"[], " * 100_000 + b"0]}",
    b"\x00",
    b"\x1a",
]  # fmt: skip


def read_strictly(text: bytes) -> dict[str, Any]:
    """The one line of an answer, as a reader takes it that knows nothing but JSON."""

    def no_json(constant: str) -> None:
        raise AssertionError(f"{constant} is no JSON")

    assert text.endswith(b"\n")
    assert text.count(b"\n") == 1
    found = json.loads(text.decode("ascii"), parse_constant=no_json)
    assert isinstance(found, dict)
    assert "id" in found
    assert len({"value", "error", "results"} & found.keys()) == 1
    return found


@pytest.mark.parametrize("line", ODD, ids=range(len(ODD)))
def test_odd_lines(line: bytes) -> None:
    with limited(20.0, 1024):
        read_strictly(serve.answer(line))


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20)
    | st.sampled_from([{"error": "#N/A"}, "us", "metric", "48", "4' 2\"", 48, 24.0, "WATERVOLUME"]),
    lambda inner: st.lists(inner, max_size=5)
    | st.dictionaries(st.sampled_from(["error", "id", "name", "args", "x"]), inner, max_size=3),
    max_leaves=12,
)  # fmt: skip
NAMES = st.sampled_from(sorted(functions())) | st.text(max_size=10)
CALL = st.tuples(NAMES, st.lists(JSON, max_size=9))
REQUESTS = (
    st.fixed_dictionaries(
        {"id": JSON | st.integers(), "name": NAMES, "args": st.lists(JSON, max_size=9)}
    )
    | st.fixed_dictionaries({"id": JSON, "batch": st.lists(CALL | JSON, max_size=4)})
    | JSON
)
LINES = st.binary(max_size=60).map(lambda b: b.replace(b"\n", b" ")) | REQUESTS.map(
    lambda request: json.dumps(request).encode("ascii")
)


@given(LINES)
def test_any_line_gets_one_valid_answer(line: bytes) -> None:
    with limited(20.0, 1024):
        found = read_strictly(serve.answer(line))
    try:
        asked = json.loads(line)
    except ValueError:
        asked = None
    if isinstance(asked, dict) and type(asked.get("id")) in (int, str):
        assert found["id"] == asked["id"]


@given(st.data())
def test_damaged_requests(data: st.DataObject) -> None:
    line = bytearray(json.dumps(data.draw(REQUESTS)).encode("ascii"))
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(line) - 1))
        line[at : at + data.draw(st.integers(0, 2))] = data.draw(st.binary(max_size=2))
        if not line:
            break
    with limited(20.0, 1024):
        read_strictly(serve.answer(bytes(line).replace(b"\n", b" ")))


@given(st.lists(LINES, max_size=8))
def test_as_many_answers_as_lines(lines: list[bytes]) -> None:
    out = io.BytesIO()
    with limited(30.0, 1024):
        serve.serve(io.BytesIO(b"\n".join([*lines, GOOD])), out)
    answers = out.getvalue().splitlines(keepends=True)
    assert len(answers) == sum(bool(line.strip()) for line in lines) + 1
    for each in answers:
        read_strictly(each)
    assert read_strictly(answers[-1]) == {"id": 1, "value": VALUE}


def _start(**options: Any) -> subprocess.Popen[bytes]:
    return subprocess.Popen(COMMAND, stdin=subprocess.PIPE, stdout=subprocess.PIPE, **options)


def _ask(process: subprocess.Popen[bytes], line: bytes) -> dict[str, Any]:
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write(line + b"\n")
    process.stdin.flush()
    return read_strictly(process.stdout.readline())


def _heed_interrupts() -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def _little_memory() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (256 * MEBI, 256 * MEBI))


def test_a_line_larger_than_the_memory_is_answered() -> None:
    with _start(preexec_fn=_little_memory) as process:
        assert process.stdin is not None
        for _ in range(600):
            process.stdin.write(b"a" * MEBI)
        assert "too long" in _ask(process, b"")["error"]
        assert _ask(process, GOOD) == {"id": 1, "value": VALUE}
        # What is over the limit inside a request, too.
        long = b'{"id": 2, "name": "WATERVOLUME", "args": ["' + b"9" * 17 * MEBI + b'"]}'
        assert "too long" in _ask(process, long)["error"]
        assert _ask(process, GOOD) == {"id": 1, "value": VALUE}


def test_a_line_that_needs_more_memory_than_there_is() -> None:
    with _start(preexec_fn=_little_memory) as process:
        assert "error" in _ask(process, b'{"id": 1, "batch": [' + b"[]," * 5_000_000 + b"0]}")
        assert _ask(process, GOOD) == {"id": 1, "value": VALUE}


def test_one_call_out_of_memory_is_answered(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise MemoryError

    with monkeypatch.context() as patched:
        patched.setattr(serve, "call", full)
        assert "MemoryError" in read_strictly(serve.answer(GOOD))["error"]
    assert read_strictly(serve.answer(GOOD))["value"] == VALUE


def test_a_value_that_json_has_not_spoils_no_batch(monkeypatch: pytest.MonkeyPatch) -> None:
    class Odd:
        value: object = float("nan")

    real = serve.call
    monkeypatch.setattr(serve, "call", lambda name, *a: Odd() if name == "ODD" else real(name, *a))
    batch = b'{"id": 1, "batch": [["ODD", []], ["WATERVOLUME", [48, 24, 16]]]}'
    for Odd.value in (float("nan"), object(), {1, 2}, 10**5000):
        first, second = read_strictly(serve.answer(batch))["results"]
        assert "error" in first
        assert second == {"value": VALUE}


def test_answers_to_a_batch_are_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serve, "_MOST_ANSWERED", 10)
    item = b'["WATERVOLUME", [48, 24, 16]]'
    answer = read_strictly(serve.answer(b'{"id": 1, "batch": [' + b", ".join([item] * 3) + b"]}"))
    first, *rest = answer["results"]
    assert first == {"value": VALUE}
    assert all("too long" in each["error"] for each in rest)


def _shell(script: str, path: Path) -> tuple[int, str]:
    script = script.replace("SERVE", " ".join(COMMAND)).replace("FILE", str(path))
    done = run(["/bin/sh", "-c", script], 60.0)
    return done.returncode, done.stderr


@pytest.mark.parametrize(
    ("script", "code", "said"),
    [
        ("SERVE < FILE | head -c 1 > /dev/null", 0, ""),
        ("SERVE <&-", 0, ""),
        ("SERVE < /dev/null", 0, ""),
        ("SERVE < FILE >&-", 2, "standard output is closed"),
        ("SERVE < FILE 2>&- | grep -q value", 0, ""),
    ],
)
def test_ends_of_the_conversation_are_clean(
    script: str, code: int, said: str, tmp_path: Path
) -> None:
    path = tmp_path / "lines"
    path.write_bytes((GOOD + b"\n") * 20_000)
    found, error = _shell(script, path)
    assert found == code
    assert said in error
    assert "Traceback" not in error
    assert "Exception" not in error


def test_interrupted_while_it_waits() -> None:
    # Where the tests themselves run in the background, Ctrl-C is ignored by all they start.
    with _start(stderr=subprocess.PIPE, preexec_fn=_heed_interrupts) as process:
        assert _ask(process, GOOD)["value"] == VALUE
        process.send_signal(signal.SIGINT)
        with limited(20.0, 1024):
            _, error = process.communicate()
        assert error == b""
        assert process.returncode == 0
