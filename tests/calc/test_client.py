"""The part of the extension that talks to the engine, with engines that misbehave."""

from __future__ import annotations

import ast
import importlib.util
import os
import signal
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from basinbook.catalogue import call, functions
from basinbook.hosts import calc
from example_arguments import raw_arguments

PAYLOAD = Path(calc.__file__).with_name("payload")


def _load() -> Any:
    spec = importlib.util.spec_from_file_location(
        "basinbook_client", PAYLOAD / "basinbook_client.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


client_module = _load()
ENGINE = client_module.engine_command(sys.executable)
ARGUMENTS = (48.0, 24.0, 16.0)


@pytest.fixture(params=["PolledAnswers", "QueuedAnswers"], autouse=True)
def way_of_reading(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both ways to wait for an answer: that of Windows is tested on the others too."""
    monkeypatch.setattr(client_module, "_answers", getattr(client_module, request.param))


def fake(source: str) -> list[str]:
    return [sys.executable, "-c", f"import sys, time, json\n{source}"]


@pytest.mark.parametrize("name", ["basinbook_client.py", "basinbook_component.py"])
def test_payload_is_written_for_older_pythons(name: str) -> None:
    source = (PAYLOAD / name).read_text(encoding="utf-8")
    tree = ast.parse(source, feature_version=(3, 7))
    imported = {
        alias.name.split(".")[0]
        if isinstance(node, ast.Import)
        else (node.module or "").split(".")[0]
        for node in ast.walk(tree)
        if isinstance(node, (ast.Import, ast.ImportFrom))
        for alias in node.names
    }
    office = {"uno", "unohelper", "com", "org", "basinbook_client"}
    assert imported - office <= set(sys.stdlib_module_names)


def test_value_is_the_catalogues() -> None:
    client = client_module.Client(ENGINE)
    try:
        expected = call("WATERVOLUME", *ARGUMENTS).value
        assert client.call("WATERVOLUME", ARGUMENTS) == expected
    finally:
        client.close()


def test_files_in_the_working_folder_are_not_imported(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("json.py", "basinbook.py", "pint.py"):
        (tmp_path / name).write_text("raise SystemExit(1)")
    monkeypatch.chdir(tmp_path)
    client = client_module.Client(ENGINE)
    try:
        assert client.call("WATERVOLUME", ARGUMENTS) == call("WATERVOLUME", *ARGUMENTS).value
    finally:
        client.close()


def test_the_offices_own_python_settings_are_kept_from_the_engine(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # LibreOffice for Windows sets both for the Python that it brings.
    monkeypatch.setenv("PYTHONHOME", "/nowhere")
    monkeypatch.setenv("PYTHONPATH", "/nowhere/lib")
    client = client_module.Client(ENGINE)
    try:
        assert client.call("WATERVOLUME", ARGUMENTS) == call("WATERVOLUME", *ARGUMENTS).value
    finally:
        client.close()


def test_input_error_gives_the_reason_and_leaves_the_engine_alone() -> None:
    client = client_module.Client(ENGINE)
    try:
        with pytest.raises(client_module.EngineError, match="inside_width"):
            client.call("WATERVOLUME", (48.0, -1.0, 16.0))
        first = client.process_id
        client.call("WATERVOLUME", ARGUMENTS)
        assert client.process_id == first
    finally:
        client.close()


def test_question_too_long_for_the_engine_is_answered_and_the_engine_lives_on() -> None:
    client = client_module.Client(ENGINE)
    try:
        client.call("WATERVOLUME", ARGUMENTS)
        first = client.process_id
        with pytest.raises(client_module.EngineError, match="too long"):
            client.call("WATERVOLUME", ("x" * 17_000_000, 24.0, 16.0))
        assert client.call("WATERVOLUME", ARGUMENTS) == call("WATERVOLUME", *ARGUMENTS).value
        assert client.process_id == first
    finally:
        client.close()


def test_killed_engine_is_started_again() -> None:
    client = client_module.Client(ENGINE)
    try:
        client.call("WATERVOLUME", ARGUMENTS)
        first = client.process_id
        os.kill(first, signal.SIGKILL)
        expected = call("WATERVOLUME", 50, 24, 16).value
        assert client.call("WATERVOLUME", (50.0, 24.0, 16.0)) == expected
        assert client.process_id != first
    finally:
        client.close()


def test_engine_that_dies_at_once_is_given_up() -> None:
    client = client_module.Client(fake("sys.exit(1)"))
    start = time.monotonic()
    for number in range(500):
        with pytest.raises(client_module.EngineUnavailableError, match="ended without an answer"):
            client.call("WATERVOLUME", (float(number),))
    assert time.monotonic() - start < 10


def test_hung_engine_never_holds_up_a_sheet() -> None:
    client = client_module.Client(
        fake("time.sleep(600)"), start_timeout=0.3, call_timeout=0.3, pause=60
    )
    start = time.monotonic()
    for number in range(500):
        with pytest.raises(client_module.EngineUnavailableError, match="longer than"):
            client.call("WATERVOLUME", (float(number),))
    assert time.monotonic() - start < 5
    assert client.process_id is None


def test_engine_is_tried_again_after_the_pause() -> None:
    client = client_module.Client(fake("time.sleep(600)"), start_timeout=0.2, pause=0.1)
    for _ in range(3):
        with pytest.raises(client_module.EngineUnavailableError):
            client.call("WATERVOLUME", ARGUMENTS)
    client.command = ENGINE
    client.start_timeout = 30
    time.sleep(0.2)
    try:
        assert client.call("WATERVOLUME", ARGUMENTS) == call("WATERVOLUME", *ARGUMENTS).value
    finally:
        client.close()


def test_one_slow_function_does_not_stop_the_others() -> None:
    answers_all_but_slow = (
        "for line in sys.stdin:\n"
        "    asked = json.loads(line)\n"
        "    time.sleep(600 if asked['name'] == 'SLOW' else 0)\n"
        "    print(json.dumps({'id': asked['id'], 'value': 1}), flush=True)\n"
    )
    client = client_module.Client(fake(answers_all_but_slow), call_timeout=0.5)
    try:
        assert client.call("QUICK", (1,)) == 1
        with pytest.raises(client_module.EngineUnavailableError):
            client.call("SLOW", (1,))
        assert client.call("QUICK", (2,)) == 1
    finally:
        client.close()


def test_missing_interpreter_is_named() -> None:
    client = client_module.Client(["/nowhere/python"])
    with pytest.raises(client_module.EngineUnavailableError, match="/nowhere/python"):
        client.call("WATERVOLUME", ARGUMENTS)


def test_garbage_from_the_engine_is_passed_over() -> None:
    source = (
        "for line in sys.stdin:\n"
        "    asked = json.loads(line)\n"
        "    print('warning: hello', flush=True)\n"
        "    print(json.dumps({'id': -1, 'value': 9}), flush=True)\n"
        "    print(json.dumps({'id': asked['id'], 'value': 1}), flush=True)\n"
    )
    client = client_module.Client(fake(source))
    try:
        assert client.call("ANY", ()) == 1
    finally:
        client.close()


def test_answers_come_whole_in_whatever_pieces() -> None:
    source = (
        "for line in sys.stdin:\n"
        "    asked = json.loads(line)\n"
        "    answer = json.dumps({'id': asked['id'], 'value': 'x' * 200_000 + 'end'})\n"
        "    sys.stdout.write('no answer\\n' + answer[:9])\n"
        "    sys.stdout.flush()\n"
        "    time.sleep(0.05)\n"
        "    print(answer[9:], flush=True)\n"
    )
    client = client_module.Client(fake(source))
    try:
        for number in range(3):
            assert client.call("ANY", (number,)) == "x" * 200_000 + "end"
    finally:
        client.close()


@pytest.mark.parametrize("ending", ["", "sys.exit()"])
def test_an_answer_that_never_ends_is_waited_for_no_longer(ending: str) -> None:
    trickle = f"print('x', end='', flush=True); time.sleep(0.01); {ending}"
    client = client_module.Client(
        fake(f"while True: {trickle}"), start_timeout=0.5, call_timeout=0.5
    )
    start = time.monotonic()
    with pytest.raises(client_module.EngineUnavailableError):
        client.call("ANY", ())
    assert time.monotonic() - start < 5
    assert client.process_id is None


def test_values_are_remembered_and_memory_is_bounded() -> None:
    counting = (
        "for count, line in enumerate(sys.stdin):\n"
        "    print(json.dumps({'id': json.loads(line)['id'], 'value': count}), flush=True)\n"
    )
    client = client_module.Client(fake(counting), remembered=3)
    try:
        assert [client.call("F", (n,)) for n in (0, 1, 2, 0, 1, 2)] == [0, 1, 2, 0, 1, 2]
        assert client.call("F", (3,)) == 3
        assert client.call("F", (2,)) == 2
        assert client.call("F", (0,)) == 4
        # 1, 1.0 and true are different arguments.
        assert client.call("F", (1.0,)) != client.call("F", (True,))
    finally:
        client.close()


COUNTING = (
    "for count, line in enumerate(sys.stdin):\n"
    "    print(json.dumps({'id': json.loads(line)['id'], 'value': VALUE}), flush=True)\n"
)


def test_a_range_of_one_cell_is_the_question_that_its_value_is() -> None:
    client = client_module.Client(fake(COUNTING.replace("VALUE", "count")))
    try:
        first = client.call("F", (2.0, ((1.0, "a"),)))
        assert client.call("F", (((2.0,),), ((1.0, "a"),))) == first
        assert client.call("F", (((2.0,), (2.0,)), ((1.0, "a"),))) != first
        assert client.call("F", (((None,),),)) == client.call("F", (None,))
    finally:
        client.close()


def test_to_every_function_a_range_of_one_cell_is_its_value() -> None:
    """What lets the client ask once for both, by the first example of each function."""
    for name, function in functions().items():
        arguments = raw_arguments(function, function.examples[0])
        wrapped = [[[given]] if not isinstance(given, list) else given for given in arguments]
        assert call(name, *wrapped) == call(name, *arguments), name


def test_memory_for_tables_is_bounded_by_their_cells() -> None:
    table = "[[count] * 10] * 10"
    client = client_module.Client(fake(COUNTING.replace("VALUE", table)), remembered_cells=250)
    try:
        tables = [client.call("F", (n,)) for n in (0, 1, 2)]
        assert [rows[0][0] for rows in tables] == [0, 1, 2]
        assert client.call("F", (1,)) is tables[1]
        assert client.call("F", (2,)) is tables[2]
        assert client.call("F", (0,)) != tables[0]
        # One that is larger than all there is room for is still answered.
        client.remembered_cells = 99
        assert client.call("F", (3,))[0][0] == 4
    finally:
        client.close()
