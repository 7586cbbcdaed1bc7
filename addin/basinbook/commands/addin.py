"""``basinbook addin build|install|uninstall HOST``: the functions inside a spreadsheet program."""

from __future__ import annotations

import argparse
from importlib import import_module
from typing import cast

from basinbook.hosts.installable import HOSTS, Host

_ACTIONS = {
    "build": "write the add-in's file",
    "install": "set the functions up in a spreadsheet program",
    "uninstall": "take the functions out of a spreadsheet program",
}


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = commands.add_parser("addin", help="the functions inside a spreadsheet program")
    actions = parser.add_subparsers(required=True, metavar="ACTION")
    for action, summary in _ACTIONS.items():
        hosts = actions.add_parser(action, help=summary).add_subparsers(
            required=True, metavar="HOST"
        )
        for name, module in HOSTS.items():
            host = cast(Host, import_module(module))
            options = hosts.add_parser(name, help=host.SUMMARY)
            host.add_options(action, options)
            options.set_defaults(command=_run, host=host, action=action)


def _run(arguments: argparse.Namespace) -> int:
    run = getattr(arguments.host, arguments.action)
    print(run(arguments))
    return 0
