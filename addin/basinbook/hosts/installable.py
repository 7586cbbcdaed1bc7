"""The spreadsheets that an add-in can be built and installed for, one module each.

A host's module has ``SUMMARY``, ``add_options(action, parser)`` for options of its own, and
``build``, ``install`` and ``uninstall``, which take the parsed arguments and return what to tell
the user.
"""

from __future__ import annotations

import argparse
from typing import Final, Protocol


class Host(Protocol):
    """What a host's module has."""

    SUMMARY: str

    def add_options(self, action: str, parser: argparse.ArgumentParser) -> None:
        """Declare the options of "build", "install" or "uninstall"."""

    def build(self, arguments: argparse.Namespace) -> str:
        """Write the add-in's file."""

    def install(self, arguments: argparse.Namespace) -> str:
        """Set the add-in up in the spreadsheet program."""

    def uninstall(self, arguments: argparse.Namespace) -> str:
        """Take the add-in out of the spreadsheet program."""


HOSTS: Final = {
    "calc": "basinbook.hosts.calc.host",
    "excel": "basinbook.hosts.excel.host",
}
