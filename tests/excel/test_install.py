"""Setting the Excel host up: the settings file, and what is said and done on each system."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import pytest

from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.hosts.excel import host
from basinbook.hosts.excel.settings import (
    OUR_MODULE,
    Settings,
    read_settings,
    with_ours,
    without_ours,
    write_settings,
)

PYTHON = r"C:\Tools\python.exe"
OTHER = r"D:\Other\python.exe"


def arguments(path: Path, **given: object) -> argparse.Namespace:
    usual = {
        "settings": path, "python": PYTHON, "force": False, "show": False,
        "keep_addin": False, "with_addin": False, "import_functions": True,
        "folder": path.parent / "XLSTART",
    }  # fmt: skip
    return argparse.Namespace(**{**usual, **given})


@pytest.fixture
def ran() -> list[list[str]]:
    return []


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / ".xlwings" / "xlwings.conf"


def as_xlwings_reads(path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """The settings as xlwings' own reader finds them."""
    import xlwings.utils

    monkeypatch.setattr(xlwings, "USER_CONFIG_FILE", str(path))
    found: dict[str, str] = xlwings.utils.read_user_config()
    return found


def test_install_on_windows(
    path: Path, ran: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    said = host.install_on("win32", arguments(path), lambda command: ran.append(list(command)))
    assert as_xlwings_reads(path, monkeypatch) == {
        "interpreter_win": PYTHON,
        "udf modules": OUR_MODULE,
    }
    assert [command[-2:] for command in ran] == [["addin", "install"]]
    assert ran[0][0] == sys.executable
    for told in (str(path), PYTHON, OUR_MODULE, "Trust access", "Import Functions", "uninstall"):
        assert told in said


def test_install_keeps_what_is_there(path: Path, ran: list[list[str]]) -> None:
    path.parent.mkdir()
    path.write_text('"SHOW CONSOLE","True"\n"udf modules","prices;tools"\nodd line\n')
    host.install_on("win32", arguments(path), lambda command: ran.append(list(command)))
    assert path.read_text().splitlines() == [
        '"SHOW CONSOLE","True"',
        "odd line",
        f'"INTERPRETER_WIN","{PYTHON}"',
        f'"UDF MODULES","prices;tools;{OUR_MODULE}"',
    ]


def test_install_twice_changes_nothing_more(path: Path, ran: list[list[str]]) -> None:
    host.install_on("win32", arguments(path), lambda command: ran.append(list(command)))
    once = path.read_bytes()
    host.install_on("win32", arguments(path), lambda command: ran.append(list(command)))
    assert path.read_bytes() == once


def test_another_python_is_not_replaced_unasked(path: Path, ran: list[list[str]]) -> None:
    path.parent.mkdir()
    path.write_text(f'"INTERPRETER_WIN","{OTHER}"\n')
    with pytest.raises(InputError, match="--force"):
        host.install_on("win32", arguments(path), lambda command: ran.append(list(command)))
    assert path.read_text() == f'"INTERPRETER_WIN","{OTHER}"\n'
    assert ran == []
    said = host.install_on(
        "win32", arguments(path, force=True), lambda command: ran.append(list(command))
    )
    assert f'it was "{OTHER}"' in said
    assert read_settings(path).get("INTERPRETER_WIN") == PYTHON


def test_xlwings_own_command_may_make_the_file(path: Path) -> None:
    """It writes the Python that runs it, which is then the same."""

    def run(_: object) -> None:
        path.parent.mkdir()
        path.write_text(f'"INTERPRETER_WIN","{PYTHON}"\n')

    host.install_on("win32", arguments(path), run)
    assert read_settings(path).modules == (OUR_MODULE,)


def test_nothing_is_written_where_the_addin_fails(path: Path) -> None:
    def run(_: object) -> None:
        raise InputError("xlwings", "addin install", "close Excel and try again")

    with pytest.raises(InputError, match="close Excel"):
        host.install_on("win32", arguments(path), run)
    assert not path.exists()


@pytest.mark.parametrize("platform", ["win32", "linux"])
def test_show_does_nothing(platform: str, path: Path, ran: list[list[str]]) -> None:
    said = host.install_on(
        platform, arguments(path, show=True), lambda command: ran.append(list(command))
    )
    assert said.startswith("Would be done:")
    assert PYTHON in said
    assert ran == []
    assert not path.exists()


def test_keep_addin(path: Path, ran: list[list[str]]) -> None:
    host.install_on(
        "win32", arguments(path, keep_addin=True), lambda command: ran.append(list(command))
    )
    assert ran == []
    assert path.exists()


def test_macos_needs_nothing(path: Path, ran: list[list[str]]) -> None:
    for action in (host.install_on, host.uninstall_on):
        said = action("darwin", arguments(path), lambda command: ran.append(list(command)))
        assert "basinbook refresh" in said
    assert ran == []
    assert not path.exists()


def test_elsewhere_it_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    if sys.platform in ("win32", "darwin"):
        pytest.skip("this is about other systems")
    conf = tmp_path / "xlwings.conf"
    for options in (["--import-functions"], ["--folder", str(tmp_path)]):
        assert main(["addin", "install", "excel", "--settings", str(conf), *options]) == 2
        assert "on Windows only; there the command does this" in capsys.readouterr().err
    assert [*tmp_path.iterdir()] == []
    assert not conf.exists()


def test_uninstall(path: Path, ran: list[list[str]]) -> None:
    path.parent.mkdir()
    path.write_text('"SHOW CONSOLE","True"\n')
    host.install_on("win32", arguments(path), lambda _: None)
    host.uninstall_on("win32", arguments(path), lambda command: ran.append(list(command)))
    assert path.read_text() == '"SHOW CONSOLE","True"\n'
    assert ran == []
    host.uninstall_on(
        "win32", arguments(path, with_addin=True), lambda command: ran.append(list(command))
    )
    assert [command[-2:] for command in ran] == [["addin", "remove"]]


def test_uninstall_leaves_no_empty_file(path: Path) -> None:
    host.install_on("win32", arguments(path), lambda _: None)
    host.uninstall_on("win32", arguments(path), lambda _: None)
    assert not path.exists()


def test_uninstall_keeps_what_others_need() -> None:
    """Other modules run in the same Python; another Python is the user's."""
    shared = with_ours(Settings(('"UDF MODULES","prices"',)), PYTHON)
    assert without_ours(shared, PYTHON).get("INTERPRETER_WIN") == PYTHON
    assert without_ours(shared, PYTHON).modules == ("prices",)
    own = Settings((f'"INTERPRETER_WIN","{OTHER}"', f'"UDF MODULES","{OUR_MODULE}"'))
    assert without_ours(own, PYTHON).lines == (f'"INTERPRETER_WIN","{OTHER}"',)


def test_uninstall_where_nothing_is(path: Path) -> None:
    assert "Nothing was installed" in host.uninstall_on("win32", arguments(path), lambda _: None)
    assert not path.exists()


def test_settings_of_a_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    conf = tmp_path / "xlwings.conf"
    command = ["addin", "build", "excel", "--out", str(conf), "--python", PYTHON]
    assert main(command) == 0
    assert read_settings(conf).modules == (OUR_MODULE,)
    assert main([*command[:-1], OTHER]) == 2
    assert read_settings(conf).get("INTERPRETER_WIN") == PYTHON
    assert main([*command[:-1], OTHER, "--force"]) == 0
    assert read_settings(conf).get("INTERPRETER_WIN") == OTHER
    assert main(["addin", "build", "excel", "--out", str(tmp_path / "other.conf")]) == 2
    assert main(["addin", "build", "excel", "--out", str(tmp_path / "no" / "xlwings.conf")]) == 2
    assert [entry.name for entry in tmp_path.iterdir()] == ["xlwings.conf"]
    assert "by its name only" in capsys.readouterr().err


def test_a_path_with_quotation_marks_is_refused() -> None:
    with pytest.raises(InputError, match="quotation marks"):
        with_ours(Settings(()), 'C:\\"odd"\\python.exe')


def test_a_file_that_cant_be_read_or_written(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="read"):
        read_settings(tmp_path)
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError, match="written"):
        write_settings(Settings(('"A","b"',)), tmp_path / "file" / "xlwings.conf")


def test_run_wants_success() -> None:
    """xlwings' command prints what went wrong and ends with 0."""
    host.run([sys.executable, "-c", "print('Successfully installed the xlwings add-in!')"])
    with pytest.raises(InputError, match="quit Excel"):
        host.run([sys.executable, "-c", "print('Error: Failed: quit Excel and try again')"])
    with pytest.raises(InputError):
        host.run([sys.executable, "-c", "raise SystemExit(3)"])


def test_xlwings_has_the_commands_that_are_run() -> None:
    """Against xlwings' own parser of its command line."""
    import subprocess

    for action in ("install", "remove"):
        command = [*host._xlwings("addin", action), "--help"]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        assert done.returncode == 0
        assert f"addin {action}" in done.stdout


@pytest.mark.parametrize("command", ["addin install excel", "addin uninstall excel", "refresh"])
def test_without_xlwings_one_line_says_what_to_install(
    command: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    # What Python itself does for a name that is None there: no such module.
    monkeypatch.setitem(sys.modules, "xlwings", None)
    assert main(command.split()) == 2
    assert capsys.readouterr().err == (
        "basinbook: xlwings: 'not installed' can't be used; "
        "install it: python -m pip install xlwings\n"
    )
