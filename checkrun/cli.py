"""Runs one command, and is the boundary where every error becomes one clear line."""

from __future__ import annotations

import contextlib
import errno
import importlib
import io
import os
import sys
from collections.abc import Sequence
from typing import TextIO

from checkrun.commands import Arguments

#: Commands that filter standard input. Scripts call them often and with `--json` or nothing; then
#: the parser, which takes as long to load as the work itself, is not needed.
_FILTERS: dict[str, dict[str, object]] = {
    "judge": {"run": "judge:judge", "kinds": False},
    "weigh": {"run": "weigh:weigh"},
    "price": {"run": "price:price"},
}


def run(argv: Sequence[str]) -> int:
    """Run the command; every expected error is one line on standard error and exit status 2."""
    _show_what_can_be_shown(sys.stdout)
    try:
        args = _read(argv)
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else 2
    module, function = args.run.split(":")
    try:
        command = getattr(importlib.import_module(f"checkrun.commands.{module}"), function)
        status: int = command(args)
        if sys.stdout is not None:
            sys.stdout.flush()
        return status
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        _let_go_of_the_output()
        return 0
    except Exception as error:
        return _told(error, args)


def _read(argv: Sequence[str]) -> Arguments:
    """The command and its arguments; ends the process where they are wrong or help is asked for."""
    if argv and argv[0] in _FILTERS and list(argv[1:]) in ([], ["--json"]):
        return Arguments(**_FILTERS[argv[0]], store=None, json=len(argv) > 1)
    from checkrun.arguments import COMMANDS, parser

    only = argv[0] if argv and argv[0] in COMMANDS else ""
    return parser(only).parse_args(argv, Arguments())


def _show_what_can_be_shown(output: TextIO | None) -> None:
    """A character that the terminal or pipe can't take is written as its code, not as a fault."""
    if isinstance(output, io.TextIOWrapper):
        output.reconfigure(errors="backslashreplace")


def _let_go_of_the_output() -> None:
    """Nobody reads it or no more fits; without this, closing it would fail once more."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _told(error: Exception, args: Arguments) -> int:
    """One line for an expected error; a saved report for a fault of our own."""
    from checkrun.commands.context import WrongUse
    from checkrun.route.catalog import RouteNotFound, YearNotCovered
    from checkrun.route.problems import RouteError
    from checkrun.session.errors import StoreError

    if isinstance(error, (WrongUse, RouteNotFound, YearNotCovered, RouteError, StoreError)):
        print(f"checkrun: {error}", file=sys.stderr)
        return 2
    if isinstance(error, OSError) and error.filename is None and error.errno == errno.ENOSPC:
        # The store tells of its own full disk; this is the one that the output was sent to.
        print("checkrun: the output can't be written: the disk is full", file=sys.stderr)
        _let_go_of_the_output()
        return 2
    from checkrun.commands.fault import report

    print(f"checkrun: {report(error, args)}", file=sys.stderr)
    return 3
