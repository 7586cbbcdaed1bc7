"""Files of users: never lost, never half written, and whatever is odd about them told in a line."""

from __future__ import annotations

import os
import resource
import signal
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

import order_book
from basinbook.cli import main
from basinbook.engine.errors import InputError
from basinbook.files import journal, writing
from basinbook.files.reading import read_file
from basinbook.files.scratch import scratch_folder, temporary_folder, tidy
from basinbook.files.writing import write_file, write_files
from basinbook.workbook.recalculation.recalc import recalculate
from basinbook.workbook.template.template_files import NAMES, template_folder
from fuzz_limits import limited

LITTER = ".basinbook-write-abcdefgh"
COMMAND = [sys.executable, "-m", "basinbook.cli"]
BLANK = template_folder() / NAMES["us"]


def job(path: Path, formulas: int = 1) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["A1"] = 48
    for row in range(1, formulas + 1):
        sheet.cell(row, 2, f"=BASIN.WATERVOLUME(A1,24,{row})")
    book.save(path)
    return path


def names(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


def refused(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    """Run a command that has to be refused; return its one line."""
    with limited(seconds=60):
        assert main([str(word) for word in words]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    return lines[0]


# --- a file that changes while it is worked on ---------------------------------------------------


def saved_meanwhile(path: Path, content: bytes) -> Callable[..., dict[str, bytes]]:
    """A refresher in whose time the user saves the workbook."""

    def refresh(*_: object) -> dict[str, bytes]:
        path.write_bytes(content)
        return {}

    return refresh


def test_a_save_during_a_recalculation_is_kept(tmp_path: Path) -> None:
    path = job(tmp_path / "job.xlsx")
    times = path.stat()
    theirs = job(tmp_path / "theirs.xlsx", formulas=2).read_bytes()
    (tmp_path / "theirs.xlsx").unlink()
    with pytest.raises(InputError, match="saved by another program"):
        recalculate(path, refreshers=(saved_meanwhile(path, theirs),))
    assert path.read_bytes() == theirs
    assert names(tmp_path) == ["job.xlsx"]
    # Of the same size, and with the times set back, it is another content still.
    path = job(tmp_path / "job.xlsx")
    mine = path.read_bytes()
    theirs = mine[:-1] + bytes([mine[-1] ^ 1])

    def refresh(*_: object) -> dict[str, bytes]:
        path.write_bytes(theirs)
        os.utime(path, ns=(times.st_atime_ns, times.st_mtime_ns))
        return {}

    with pytest.raises(InputError, match="saved by another program"):
        recalculate(path, refreshers=(refresh,))
    assert path.read_bytes() == theirs


def test_a_file_that_is_opened_or_taken_away_meanwhile(tmp_path: Path) -> None:
    path = job(tmp_path / "job.xlsx")
    before = path.read_bytes()
    lock = tmp_path / ".~lock.job.xlsx#"

    def opened(*_: object) -> dict[str, bytes]:
        lock.touch()
        return {}

    with pytest.raises(InputError, match="open in another program"):
        recalculate(path, refreshers=(opened,))
    assert path.read_bytes() == before
    lock.unlink()

    def taken(*_: object) -> dict[str, bytes]:
        path.unlink()
        return {}

    with pytest.raises(InputError, match="another program"):
        recalculate(path, refreshers=(taken,))
    assert names(tmp_path) == []


def test_a_new_output_that_appears_meanwhile_is_kept(tmp_path: Path) -> None:
    path, out = job(tmp_path / "job.xlsx"), tmp_path / "out.xlsx"
    with pytest.raises(InputError, match="--force"):
        recalculate(path, out=out, refreshers=(saved_meanwhile(out, b"theirs"),))
    assert out.read_bytes() == b"theirs"


# --- links, locks, and outputs that are inputs ----------------------------------------------------


def test_a_link_stays_and_its_file_is_written(tmp_path: Path) -> None:
    (tmp_path / "office").mkdir()
    real = job(tmp_path / "office" / "real.xlsx")
    real.chmod(0o640)
    before = real.read_bytes()
    link = tmp_path / "job.xlsx"
    link.symlink_to(real)
    assert main(["recalc", str(link)]) == 0
    assert link.is_symlink()
    assert real.read_bytes() != before
    assert real.stat().st_mode & 0o777 == 0o640
    assert names(tmp_path) == ["job.xlsx", "office", "office/real.xlsx"]


WRITERS: dict[str, list[str]] = {
    "recalc": ["recalc", "{source}", "--out", "{out}.xlsx", "--force"],
    "convert": ["convert", "{source}", "--to", "excel", "--out", "{out}.xlsx", "--force"],
    "new": ["new", "{out}.xlsx", "--force"],
    "changes": ["changes", "{blank}", "{blank}", "--out", "{out}.csv", "--force"],
    "addin": ["addin", "build", "calc", "--out", "{out}.oxt", "--force"],
    "order": ["order", "{source}", "--force"],
}


def words(command: str, folder: Path) -> tuple[list[str], Path]:
    """The command in a folder, and the file that it replaces."""
    source = order_book.make(folder / "source.xlsx")
    given = [
        word.format(source=source, out=folder / "out", blank=BLANK) for word in WRITERS[command]
    ]
    if command == "order":
        return given, folder / "Order BB-104 Pond court.pdf"
    return given, next(Path(word) for word in given if word.startswith(str(folder / "out")))


@pytest.mark.parametrize("command", WRITERS)
@pytest.mark.parametrize("lock", [".~lock.{}#", "~${}"])
def test_locks_are_heeded_by_every_command(
    command: str, lock: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    given, target = words(command, tmp_path)
    target.write_bytes(b"theirs")
    (tmp_path / lock.format(target.name)).touch()
    before = names(tmp_path)
    assert "open in another program" in refused(capsys, *given)
    assert target.read_bytes() == b"theirs"
    assert names(tmp_path) == before


@pytest.mark.parametrize("command", ["recalc", "convert", "new", "changes"])
def test_locks_of_the_real_file_are_heeded(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    given, target = words(command, tmp_path)
    (tmp_path / "office").mkdir()
    real = tmp_path / "office" / "real"
    real.write_bytes(b"theirs")
    target.symlink_to(real)
    (tmp_path / "office" / ".~lock.real#").touch()
    assert "open in another program" in refused(capsys, *given)
    assert real.read_bytes() == b"theirs"


def folder_there(path: Path) -> None:
    path.mkdir()


def socket_there(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as server:
        here = Path.cwd()
        os.chdir(path.parent)
        server.bind(path.name)
        os.chdir(here)


@pytest.mark.parametrize("command", WRITERS)
@pytest.mark.parametrize("make", [os.mkfifo, folder_there, socket_there])
def test_what_is_no_file_is_not_written_to(
    command: str,
    make: Callable[[Path], None],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    given, target = words(command, tmp_path)
    make(target)
    before = names(tmp_path)
    message = refused(capsys, *given)
    assert "pipe or a device" in message or "folder" in message
    assert names(tmp_path) == before


READERS = {
    "recalc": ["recalc", "{}"],
    "convert": ["convert", "{}", "--to", "excel"],
    "order": ["order", "{}"],
    "draw": ["draw", "{}"],
    "changes": ["changes", "{}", "{}"],
}


@pytest.mark.parametrize("command", READERS)
@pytest.mark.parametrize("kind", ["pipe", "endless", "folder"])
def test_what_is_no_file_is_not_read(
    command: str, kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "job.xlsx"
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "endless":
        path.symlink_to("/dev/zero")
    else:
        path.mkdir()
    message = refused(capsys, *(word.format(path) for word in READERS[command]))
    assert "pipe or a device" in message or "folder" in message


@pytest.mark.parametrize("kind", ["hard link", "link"])
def test_an_output_that_is_its_input(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, other = job(tmp_path / "job.xlsx"), tmp_path / "other.xlsx"
    before = path.read_bytes()
    if kind == "hard link":
        other.hardlink_to(path)
        for command in (["recalc", path], ["convert", path, "--to", "excel"]):
            assert "workbook itself" in refused(capsys, *command, "--out", other, "--force")
    else:
        other.symlink_to(path)
    for name in (path, other):
        line = refused(capsys, "changes", path, path, "--out", name, "--force")
        assert "workbook itself" in line
        assert "workbook itself" in refused(
            capsys, "changes", path, BLANK, "--out", name, "--force"
        )
    assert path.read_bytes() == before
    assert "workbook itself" in refused(capsys, "new", BLANK, "--force")


# --- sets ----------------------------------------------------------------------------------------


def test_a_set_that_fails_in_the_middle_leaves_the_old_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    files = {tmp_path / name: name.encode() for name in ("a.pdf", "b/c.pdf", "d.pdf")}
    (tmp_path / "a.pdf").write_bytes(b"old")
    replace = Path.replace

    def fails(self: Path, target: Path) -> Path:
        if Path(target).name == "d.pdf":
            raise OSError(28, "No space left on device")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", fails)
    with pytest.raises(InputError, match="No space left"):
        write_files(files, replace=True)
    assert (tmp_path / "a.pdf").read_bytes() == b"old"
    assert [name for name in names(tmp_path) if "." in name] == ["a.pdf"]


def half_placed(folder: Path) -> Path:
    """A set of two files of which a killed run has placed the first."""
    scratch = folder / LITTER
    scratch.mkdir()
    for name in ("a.pdf", "b.pdf"):
        (folder / name).write_bytes(b"old")
        (scratch / f"new-{name}").write_bytes(b"new")
    entries = [journal._entry(scratch, f"new-{name}", name) for name in ("a.pdf", "b.pdf")]
    journal._save(scratch, entries)
    (scratch / "new-a.pdf").replace(folder / "a.pdf")
    return scratch


def test_a_set_is_finished_by_whoever_comes_next(tmp_path: Path) -> None:
    half_placed(tmp_path)
    path = job(tmp_path / "job.xlsx")
    assert main(["recalc", str(path)]) == 0
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes() == b"new"
    assert names(tmp_path) == ["a.pdf", "b.pdf", "job.xlsx"]


def test_a_file_that_the_user_saved_since_is_left_alone(tmp_path: Path) -> None:
    half_placed(tmp_path)
    (tmp_path / "b.pdf").write_bytes(b"saved by the user")
    tidy(tmp_path)
    assert (tmp_path / "b.pdf").read_bytes() == b"saved by the user"
    assert names(tmp_path) == ["a.pdf", "b.pdf"]


def test_a_live_run_keeps_its_folder(tmp_path: Path) -> None:
    with scratch_folder(tmp_path) as mine:
        (mine / "work").touch()
        tidy(tmp_path)
        with scratch_folder(tmp_path) as other:
            assert other != mine
        assert (mine / "work").exists()
    assert names(tmp_path) == []


@pytest.mark.parametrize("name", [".basinbook", ".basinbook-write-", "basinbook-write-abcdefgh",
                                  ".basinbook-write-mine.xlsx"])  # fmt: skip
def test_only_our_own_litter_is_removed(tmp_path: Path, name: str) -> None:
    (tmp_path / name).mkdir()
    (tmp_path / name / "notes.txt").touch()
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "precious.xlsx").touch()
    (tmp_path / LITTER).symlink_to(elsewhere)
    tidy(tmp_path)
    assert (tmp_path / name / "notes.txt").exists()
    assert (elsewhere / "precious.xlsx").exists()


@pytest.mark.parametrize("target", ["../out.xlsx", "/etc/out.xlsx", ".profile", "a/../../b.xlsx"])
def test_a_journal_from_elsewhere_leads_nowhere(tmp_path: Path, target: str) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    scratch = half_placed(folder)
    text = (scratch / "forward").read_text().replace('"b.pdf"', f'"{target}"')
    (scratch / "forward").write_text(text)
    before = names(tmp_path)
    tidy(folder)
    assert (folder / "b.pdf").read_bytes() == b"old"
    assert [name for name in names(tmp_path) if not name.endswith("lock")] == before


def test_temporary_work_leaves_nothing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr("tempfile.gettempdir", lambda: str(tmp_path))
    (tmp_path / LITTER).mkdir()
    with temporary_folder() as folder:
        assert names(tmp_path) == [folder.name, f"{folder.name}/lock"]
    assert names(tmp_path) == []


def test_what_is_written_is_on_disk_before_it_is_renamed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls: list[str] = []
    for name in ("write", "fsync", "replace"):
        called = getattr(os, name)

        def noted(
            *given: object, name: str = name, called: Callable[..., object] = called
        ) -> object:
            calls.append(name)
            return called(*given)

        monkeypatch.setattr(os, name, noted)
    write_file(tmp_path / "out.xlsx", b"content")
    assert calls == ["write", "fsync", "replace", "fsync"]


# --- names, disks, terminals ----------------------------------------------------------------------


@pytest.mark.parametrize("name", ["x" * 400 + ".xlsx", "a\nb.xlsx", "a\udcffb.xlsx", "-.xlsx",
                                  "ü × €.xlsx", "a\x1b[31m.xlsx"])  # fmt: skip
def test_odd_names(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for command in ("recalc", "order", "draw"):
        refused(capsys, command, tmp_path / name)
    if len(name) < 255:
        path = job(tmp_path / name)
        assert main(["recalc", str(path)]) == 0
        assert main(["convert", str(path), "--to", "excel"]) == 0
        assert len(names(tmp_path)) == 2
    else:
        source = job(tmp_path / "job.xlsx")
        for given in (["recalc", source, "--out"], ["new"]):
            assert "name" in refused(capsys, *given, tmp_path / name)


def test_links_in_a_circle(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.xlsx").symlink_to("b.xlsx")
    (tmp_path / "b.xlsx").symlink_to("a.xlsx")
    refused(capsys, "recalc", tmp_path / "a.xlsx")
    refused(capsys, "new", tmp_path / "a.xlsx", "--force")
    refused(capsys, "recalc", job(tmp_path / "job.xlsx"), "--out", tmp_path / "a.xlsx", "--force")


def test_a_full_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system is told to take no more than so many bytes in a file: a write then falls short."""
    path = job(tmp_path / "job.xlsx", formulas=200)
    before = path.read_bytes()
    old = resource.getrlimit(resource.RLIMIT_FSIZE)
    monkeypatch.setattr(signal, "SIGXFSZ", signal.SIGXFSZ)
    try:
        resource.setrlimit(resource.RLIMIT_FSIZE, (2000, old[1]))
        for given in (["recalc", str(path)], ["order", str(path)], ["new", f"{tmp_path}/n.xlsx"]):
            assert main(given) == 2
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, old)
    assert path.read_bytes() == before
    assert names(tmp_path) == ["job.xlsx"]


def run(*given: str, **options: object) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [*COMMAND, *given],
        capture_output=True,
        timeout=120,
        check=False,
        **options,  # type: ignore[call-overload]
    )


def test_a_reader_that_goes_away() -> None:
    done = subprocess.run(
        f"{' '.join(COMMAND)} functions --markdown | true; exit ${{PIPESTATUS[0]}}",
        shell=True,
        executable="/bin/bash",
        capture_output=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 141
    assert done.stderr == b""


def test_output_to_a_full_disk() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [*COMMAND, "functions"], stdout=full, stderr=subprocess.PIPE, timeout=120, check=False
        )
    assert done.returncode == 1
    assert done.stderr == b"basinbook: No space left on device\n"


@pytest.mark.parametrize(
    "settings",
    [{"PYTHONIOENCODING": "ascii"}, {"PYTHONIOENCODING": "cp1252"},
     {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "TERM": "dumb"}],
)  # fmt: skip
def test_terminals_without_our_signs(settings: dict[str, str], tmp_path: Path) -> None:
    env = {**os.environ, **settings}
    done = run("functions", "--markdown", env=env)
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"\\x" not in done.stdout
    done = run("recalc", str(tmp_path / "no × €\udcff.xlsx"), env=env)
    assert done.returncode == 2
    assert done.stderr.count(b"\n") == 1
    assert b"Traceback" not in done.stderr


AT_WORK = """
import sys, time
from basinbook import cli
from basinbook.workbook.recalculation import recalc

def evaluate_book(*_):
    print("at work", flush=True)
    time.sleep(60)

recalc.evaluate_book = evaluate_book
sys.exit(cli.main(["recalc", sys.argv[1]]))
"""


def test_ctrl_c(tmp_path: Path) -> None:
    path = job(tmp_path / "job.xlsx")
    before = path.read_bytes()
    process = subprocess.Popen(
        [sys.executable, "-c", AT_WORK, str(path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        # Where this runs in the background, Ctrl-C is off and its children would inherit that.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    assert process.stdout is not None
    assert process.stdout.readline() == b"at work\n"
    process.send_signal(signal.SIGINT)
    out, errors = process.communicate(timeout=50)
    assert (process.returncode, out, errors) == (130, b"", b"")
    assert path.read_bytes() == before
    assert names(tmp_path) == ["job.xlsx"]


def test_ctrl_c_between_two_renames_finishes_the_set(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    files = {tmp_path / name: b"new" for name in ("a.pdf", "b.pdf")}
    replace = Path.replace
    pressed: list[object] = []

    def interrupted(self: Path, target: Path) -> Path:
        if Path(target).name == "b.pdf" and not pressed:
            pressed.append(True)
            raise KeyboardInterrupt
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_files(files)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {
        "a.pdf": b"new",
        "b.pdf": b"new",
    }


def test_a_set_over_two_disks_is_refused_before_anything_is_placed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def elsewhere(*_: object) -> None:
        raise OSError(None, "it is on another disk")

    monkeypatch.setattr(writing, "_check_disk", elsewhere)
    with pytest.raises(InputError, match="another disk"):
        write_files({tmp_path / "a": b"", tmp_path / "b": b""})
    assert names(tmp_path) == []


def test_a_small_file_takes_no_room_for_the_largest_one(tmp_path: Path) -> None:
    path = tmp_path / "small.bin"
    path.write_bytes(b"two" * 700_000)
    with limited(seconds=20, mebibytes=64):
        assert read_file(path, 2_000_000_000, "file") == path.read_bytes()
    with pytest.raises(InputError, match="at most 2 MB"):
        read_file(path, 2_000_000, "file")
