"""How the commands are called, and the boundary where every error becomes one clear line."""

from __future__ import annotations

import argparse
import contextlib
import errno
import importlib
import io
import os
import re
import sys
from collections.abc import Sequence
from typing import Any, NoReturn, TextIO

from checkrun import __version__

_ABOUT = """\
Walk round a collector car in a fixed order, say pass, concern or fail at each check,
and come away with the findings ranked by how grave they are. Everything is kept on
disk as you go. Without a command the program opens on its home screen."""

_STATUS = """\
exit status: 0 done; 1 the thing checked is not in order (lint, verify); 2 wrong use;
3 a fault of checkrun itself (a report is saved beside the sessions); 130 interrupted"""


class Parser(argparse.ArgumentParser):
    """Tells wrong use in one line, with the nearest command to a misspelt one."""

    def error(self, message: str) -> NoReturn:
        """End with exit status 2."""
        unknown = re.match(
            r"argument COMMAND: invalid choice: '(.*)' \(choose from (.*)\)", message
        )
        if unknown:
            from checkrun.route.problems import nearest

            hint = nearest(unknown[1], re.findall(r"[\w-]+", unknown[2]))
            message = f"there is no command `{unknown[1]}`. {hint or f'See: {self.prog} --help'}"
        else:
            message = f"{message}. See: {self.prog} --help"
        self.exit(2, f"checkrun: {message}\n")


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    top = Parser(
        prog="checkrun",
        description=_ABOUT,
        epilog=_STATUS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"checkrun {__version__}")
    _store(top, default=None)
    top.set_defaults(run="screen:home")
    commands = top.add_subparsers(title="commands", metavar="COMMAND")
    _walking(commands)
    _recording(commands)
    _reading(commands)
    _authoring(commands)
    _judging(commands)
    return top


def _walking(commands: Any) -> None:
    _command(commands, "demo", "screen:demo", "try it out on a half-walked car; nothing is kept")
    walk = _command(commands, "walk", "screen:walk", "start a walk on the screen")
    walk.add_argument("route", nargs="?", help="a route's name or file; asked for if left out")
    walk.add_argument("--year", type=_year, help="the car's model year")
    resume = _command(commands, "resume", "screen:resume", "go on where you stood")
    _session(resume, optional=True)


def _recording(commands: Any) -> None:
    begin = _command(
        commands,
        "begin",
        "sessions:begin",
        "start a walk without a screen; prints the session's name",
    )
    begin.add_argument("route", help="a route's name or file")
    begin.add_argument("--year", type=_year, help="the car's model year")
    begin.add_argument(
        "--fact",
        action="append",
        default=[],
        metavar="NAME=ANSWER",
        help="an answer to one of the route's questions; give it once for each",
    )
    _json(begin)
    answer = _command(commands, "answer", "sessions:answer", "record a result without a screen")
    _session(answer)
    answer.add_argument("check", help="the check's id, as the summary and the route name it")
    answer.add_argument(
        "result", help="pass, concern, fail or not-examined; p, c, f or x for short"
    )
    answer.add_argument("--note", metavar="TEXT", help="a note to the check")
    answer.add_argument("--reading", metavar="TEXT", help="what was measured, as it was read")
    answer.add_argument(
        "--why", default="", metavar="TEXT", help="the reason; needed for not-examined"
    )
    _json(answer)
    sign = _command(commands, "sign", "sessions:sign", "sign a session off; then it is read-only")
    _session(sign)
    sign.add_argument("--name", required=True, help="who signs")
    reopen = _command(commands, "reopen", "sessions:reopen", "open a signed session again")
    _session(reopen)
    reopen.add_argument("--why", required=True, metavar="TEXT", help="the reason, kept on record")


def _reading(commands: Any) -> None:
    summary = _command(commands, "summary", "sessions:summary", "print what came out of a walk")
    _session(summary)
    _json(summary)
    sessions = _command(commands, "sessions", "sessions:sessions", "list the sessions there are")
    _json(sessions)
    verify = _command(
        commands,
        "verify",
        "sessions:verify",
        "tell whether a session was changed after it was written, and where",
    )
    _session(verify)
    _json(verify)
    recover = _command(
        commands,
        "recover",
        "sessions:recover",
        "save what can be read of a damaged session into a new one",
    )
    _session(recover)


def _authoring(commands: Any) -> None:
    lint = _command(
        commands, "lint", "routes:lint", "tell every problem of a route, with its place"
    )
    lint.add_argument(
        "routes", nargs="*", metavar="ROUTE", help="names or files; all routes if left out"
    )
    _json(lint)
    routes = _command(commands, "routes", "routes:routes", "list the routes there are")
    _json(routes)


def _judging(commands: Any) -> None:
    judge = _command(
        commands,
        "judge",
        "judge:judge",
        "judge one reading, given as YAML or JSON on standard input",
    )
    judge.add_argument(
        "--kinds", action="store_true", help="list the kinds of reading with their fields instead"
    )
    _json(judge)


def _year(text: str) -> int:
    if not re.fullmatch(r"[0-9]{4}", text):
        raise argparse.ArgumentTypeError(f"`{text}` is no model year; write it like 1966")
    return int(text)


def _command(commands: Any, name: str, run: str, says: str) -> argparse.ArgumentParser:
    command: argparse.ArgumentParser = commands.add_parser(
        name, help=says, description=says[0].upper() + says[1:] + "."
    )
    command.set_defaults(run=run)
    _store(command, default=argparse.SUPPRESS)
    return command


def _store(command: argparse.ArgumentParser, default: Any) -> None:
    command.add_argument(
        "--store",
        metavar="DIR",
        default=default,
        help="the folder of the sessions (else CHECKRUN_STORE, else your own)",
    )


def _session(command: argparse.ArgumentParser, *, optional: bool = False) -> None:
    command.add_argument(
        "session",
        nargs="?" if optional else None,
        help="a session's name, or a part of it that no other has"
        + ("; the latest open one if left out" if optional else ""),
    )


def _json(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help="print data for a program to read")


def run(argv: Sequence[str]) -> int:
    """Run the command; every expected error is one line on standard error and exit status 2."""
    _show_what_can_be_shown(sys.stdout)
    try:
        args = parser().parse_args(argv)
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


def _show_what_can_be_shown(output: TextIO | None) -> None:
    """A character that the terminal or pipe can't take is written as its code, not as a fault."""
    if isinstance(output, io.TextIOWrapper):
        output.reconfigure(errors="backslashreplace")


def _let_go_of_the_output() -> None:
    """Nobody reads it or no more fits; without this, closing it would fail once more."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _told(error: Exception, args: argparse.Namespace) -> int:
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
