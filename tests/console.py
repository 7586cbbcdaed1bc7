"""The commands that the pages of docs show, run again: what they print must stand there.

    .venv/bin/python tests/console.py [PAGE...]

writes what they print into the pages. A block of code marked ``console`` holds commands of
``basinbook`` after ``$ ``, and below each what it prints. All blocks of a page run one after the
other in one folder, which is empty at first. ``<!-- play NAME -->`` before a block has somebody
else do their part: a function of ``docs_play.py`` that is given the folder. ``<!-- picture NAME
FILE WHAT -->`` makes docs/pictures/NAME.png of a sheet of a workbook or a page of a PDF file as
they are then; what is written there is kept as a hash: a stale picture is seen without drawing.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import io
import json
import os
import re
import shlex
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final, NamedTuple

from pypdfium2 import PdfDocument

import docs_play
from basinbook.cli import main
from basinbook.workbook.file.open_workbook import open_workbook
from basinbook.workbook.paper.render import pdf_bytes

DOCS: Final = Path(__file__).parents[1] / "docs"
# Written by the catalogue, whose tests run its examples.
_REFERENCE: Final = "functions.md"
PICTURES: Final = DOCS / "pictures"
HASHES: Final = PICTURES / "written_there.json"
_DPI: Final = 75
_PART: Final = re.compile(
    r"^<!-- play (\w+) -->$|^<!-- picture ([^\n]+) -->$|^```console\n(.*?)^```$", re.M | re.S
)
# How many formulas a workbook has, and how many a change moved, is another with every version.
_COUNTED: Final = re.compile(r"(\d+) of \1 formulas computed, \d+ values changed")
# Whenever a page is run, it is this day there.
_DAY: Final = "2026-12-01"


class Shown(NamedTuple):
    """A command of a page, as it stands there, and what is said to be printed."""

    page: str
    command: str
    printed: str


class Picture(NamedTuple):
    """A picture of a page, what is written there, and what it is drawn from."""

    name: str
    words: str
    document: PdfDocument
    number: int

    @property
    def hash(self) -> str:
        return hashlib.sha256(self.words.encode()).hexdigest()[:16]

    def draw(self) -> None:
        image = self.document[self.number].render(scale=_DPI / 72).to_pil()
        image.quantize(64).save(PICTURES / f"{self.name}.png", optimize=True)


def picture(name: str, file: str, what: str) -> Picture:
    """Return the picture of a sheet's first page, or of a page of a PDF file by its number."""
    path = Path(file)
    if path.suffix == ".pdf":
        document, number = PdfDocument(path.read_bytes()), int(what) - 1
    else:
        document, number = PdfDocument(pdf_bytes(open_workbook(path), what)), 0
    words = document[number].get_textpage().get_text_bounded()
    return Picture(name, words.replace(dt.date.today().isoformat(), _DAY), document, number)


def pages() -> list[Path]:
    """The pages with commands."""
    found = (page for page in sorted(DOCS.glob("*.md")) if page.name != _REFERENCE)
    return [page for page in found if "```console" in page.read_text()]


def commands(block: str) -> Iterator[tuple[str, str]]:
    """Yield each command of a block with what is shown below it."""
    command, printed, open_line = "", "", False
    for line in block.splitlines():
        if line.startswith("$ "):
            if command:
                yield command, printed
            command, printed = line, ""
        elif open_line:
            command += "\n" + line
        else:
            printed += line + "\n"
        open_line = line.endswith("\\") and not printed
    if command:
        yield command, printed


def run(command: str) -> str:
    """Run a command of ours where we are; return what it prints, its complaint included."""
    words = shlex.split(command.removeprefix("$ ").replace("\\\n", " "))
    if words[0] != "basinbook":
        raise ValueError(f"{command}: only basinbook is run here")
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        main(words[1:])
    printed = out.getvalue().replace(dt.date.today().isoformat(), _DAY)
    return _COUNTED.sub("all formulas computed", printed)


def replayed(page: Path) -> Iterator[tuple[Shown, str] | Picture]:
    """Yield each command of a page and what it prints now, and each picture."""
    for part in _PART.finditer(page.read_text()):
        if part[1]:
            getattr(docs_play, part[1])(Path.cwd())
        elif part[2]:
            yield picture(*shlex.split(part[2]))
        else:
            for command, printed in commands(part[3]):
                yield Shown(page.name, command, printed), run(command)


@contextlib.contextmanager
def empty_folder() -> Iterator[Path]:
    """Stand in a folder of one's own for a while."""
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        try:
            yield Path(folder)
        finally:
            os.chdir(before)


def renew(page: Path) -> None:
    """Write into a page what its commands print now."""
    text, done = page.read_text(), ""
    hashes = json.loads(HASHES.read_text()) if HASHES.exists() else {}
    with empty_folder():
        for step in replayed(page):
            if isinstance(step, Picture):
                step.draw()
                hashes[step.name] = step.hash
                continue
            shown, printed = step
            before, _, text = text.partition(f"{shown.command}\n{shown.printed}")
            done += f"{before}{shown.command}\n{printed}"
    page.write_text(done + text)
    HASHES.write_text(json.dumps(hashes, indent=1, sort_keys=True) + "\n")


if __name__ == "__main__":
    for name in [Path(given).resolve() for given in sys.argv[1:]] or pages():
        renew(name)
