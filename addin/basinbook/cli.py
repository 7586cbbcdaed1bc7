"""The command line: ``basinbook COMMAND``; bad input exits with 2 and one clear line."""

from __future__ import annotations

import argparse
import atexit
import codecs
import contextlib
import gc
import io
import os
import sys
import unicodedata
from collections.abc import Callable, Sequence
from importlib import import_module
from pkgutil import iter_modules
from typing import Final

from basinbook import __version__, commands
from basinbook.engine.errors import InputError

Command = Callable[[argparse.Namespace], int]

BAD_INPUT: Final = 2
FAILED: Final = 1
# What a shell gives a program that was stopped by Ctrl-C, or by a reader that went away.
INTERRUPTED: Final = 130
READER_GONE: Final = 141
_RARELY: Final = 2_000_000

# Words for the signs of our messages, where the terminal has none of them.
_PLAIN: Final = {
    "×": "x", "€": "EUR", "£": "GBP", "Ø": "dia.", "°": " deg", "²": "2", "³": "3", "½": "1/2",
    "¼": "1/4", "¾": "3/4", "–": "-", "—": "-", "−": "-", "…": "...", "’": "'", "‘": "'",
    "“": '"', "”": '"', "≤": "<=", "≥": ">=", "≠": "!=", "→": "->", "·": "*",
    "±": "+/-", "\u00a0": " ",
}  # fmt: skip


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code: 0 done, 2 bad input.

    Whatever the outside world does to a command ends in one line or none: what is wrong with the
    input, a full disk or one that fails (1), too little memory (1), Ctrl-C (130), a reader of the
    output that went away (141).
    """
    # A command makes many small objects and ends soon: to look for rings of garbage hardly ever
    # saves a tenth of its time. What does many jobs clears away after each.
    gc.set_threshold(_RARELY)
    # Nor is there any use in looking for them at the end, which took a quarter of a recalculation.
    atexit.unregister(gc.freeze)
    atexit.register(gc.freeze)
    try:
        _print_on_any_terminal()
        words = sys.argv[1:] if argv is None else argv
        arguments = _parser(words).parse_args(words)
        command: Command = arguments.command
        code = command(arguments)
        if sys.stdout is not None:
            sys.stdout.flush()
    except InputError as error:
        return _complain(str(error), BAD_INPUT)
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        _drop_output()
        return READER_GONE
    except OSError as error:
        _drop_output()
        place = f"{error.filename}: " if error.filename else ""
        return _complain(f"{place}{error.strerror or error}", FAILED)
    except MemoryError:
        return _complain("there is too little memory for this", FAILED)
    return code


def _parser(words: Sequence[str]) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="basinbook",
        description="Take-off, setting-out, estimate and order for raised basins of wall block.",
    )
    parser.add_argument("--version", action="version", version=f"basinbook {__version__}")
    subparsers = parser.add_subparsers(required=True, metavar="COMMAND")
    names = sorted(module.name for module in iter_modules(commands.__path__))
    # A module is named as its command: where that is given, the others need not be imported.
    for name in words[:1] if words and words[0] in names else names:
        import_module(f"{commands.__name__}.{name}").add(subparsers)
    return parser


def _complain(message: str, code: int) -> int:
    """Say what is wrong in one line, also where it quotes a file's name with line breaks."""
    line = "".join(sign if sign.isprintable() else f"\\x{ord(sign):02x}" for sign in message)
    # With no place for messages either, the exit code says enough.
    with contextlib.suppress(OSError):
        print(f"basinbook: {line}", file=sys.stderr, flush=True)
    return code


def _print_on_any_terminal() -> None:
    """Let no sign of a message fail on a terminal that lacks it."""
    codecs.register_error("plain", _plain)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="plain")


def _plain(error: UnicodeError) -> tuple[str, int]:
    """Return words for the signs that an encoding lacks, and where to go on."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(_plain_sign(sign) for sign in error.object[error.start : error.end]), error.end


def _plain_sign(sign: str) -> str:
    without_accent = unicodedata.normalize("NFKD", sign).encode("ascii", "ignore").decode("ascii")
    return _PLAIN.get(sign) or without_accent or f"\\x{ord(sign):02x}"


def _drop_output() -> None:
    """Keep the interpreter from writing the rest of the output when it ends."""
    if sys.stdout is None:
        return
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


if __name__ == "__main__":
    sys.exit(main())
