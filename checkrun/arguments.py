"""How the commands are called: their names, arguments and help."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from typing import Any, NamedTuple, NoReturn

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


class Command(NamedTuple):
    """How one command is called.

    Attributes:
        run: Module and function in `checkrun.commands`.
        says: What it does, for the help.
        arguments: Adds its arguments.
    """

    run: str
    says: str
    arguments: Callable[[argparse.ArgumentParser], None]


def parser(only: str = "") -> argparse.ArgumentParser:
    """The command line: the whole of it, or of one command only, which is there sooner."""
    top = Parser(
        prog="checkrun",
        description=_ABOUT,
        epilog=_STATUS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"checkrun {__version__}")
    _store(top, default=None)
    top.set_defaults(run="screen:home")
    # Without `prog` argparse would format a usage line only to find it out.
    commands = top.add_subparsers(title="commands", metavar="COMMAND", prog="checkrun")
    for name, command in COMMANDS.items():
        if only in ("", name):
            says = command.says
            added = commands.add_parser(
                name, help=says, description=says[0].upper() + says[1:] + "."
            )
            added.set_defaults(run=command.run)
            _store(added, default=argparse.SUPPRESS)
            command.arguments(added)
    return top


def _none(command: argparse.ArgumentParser) -> None:
    """No arguments of its own."""


def _walk(command: argparse.ArgumentParser) -> None:
    command.add_argument("route", nargs="?", help="a route's name or file; asked for if left out")
    command.add_argument("--year", type=_year, help="the car's model year")


def _dry_run(command: argparse.ArgumentParser) -> None:
    command.add_argument("route", help="a route's name or file")
    command.add_argument("--year", type=_year, help="the car's model year, for its closest layer")


def _resume(command: argparse.ArgumentParser) -> None:
    _session(command, optional=True)


def _begin(command: argparse.ArgumentParser) -> None:
    command.add_argument("route", help="a route's name or file")
    command.add_argument("--year", type=_year, help="the car's model year")
    command.add_argument(
        "--fact",
        action="append",
        default=[],
        metavar="NAME=ANSWER",
        help="an answer to one of the route's questions; give it once for each",
    )
    _json(command)


def _answer(command: argparse.ArgumentParser) -> None:
    _session(command)
    command.add_argument("check", help="the check's id, as the summary and the route name it")
    command.add_argument(
        "result", help="pass, concern, fail or not-examined; p, c, f or x for short"
    )
    command.add_argument("--note", metavar="TEXT", help="a note to the check")
    command.add_argument("--reading", metavar="TEXT", help="what was measured, as it was read")
    command.add_argument(
        "--why", default="", metavar="TEXT", help="the reason; needed for not-examined"
    )
    _json(command)


def _sign(command: argparse.ArgumentParser) -> None:
    _session(command)
    command.add_argument("--name", required=True, help="who signs")


def _reopen(command: argparse.ArgumentParser) -> None:
    _session(command)
    command.add_argument("--why", required=True, metavar="TEXT", help="the reason, kept on record")


def _session_as_data(command: argparse.ArgumentParser) -> None:
    _session(command)
    _json(command)


def _terms(command: argparse.ArgumentParser) -> None:
    _session(command)
    for name, metavar, means in (
        ("asking", "AMOUNT", "the price asked"),
        ("value", "AMOUNT", "what it is worth if all is as said, where that is another price"),
        ("rate", "AMOUNT", "what an hour of work costs"),
        ("currency", "SIGN", "the sign or code of the currency"),
        ("margin", "AMOUNT", "what must be left over"),
        (
            "percentile",
            "NUMBER",
            "how many of 100 such cars must cost less than is taken off, 50 to 99",
        ),
        ("correlation", "SHARE", "how far the costs go together, 0 to 1"),
    ):
        command.add_argument(f"--{name}", metavar=metavar, help=f"{means}; '' takes it back")


def _cost(command: argparse.ArgumentParser) -> None:
    _session(command)
    command.add_argument("check", help="the check's id")
    command.add_argument(
        "--hours", metavar="'L M H'", help="low, likely and high hours of work; '' takes it back"
    )
    command.add_argument(
        "--parts", metavar="'L M H'", help="low, likely and high price of parts; '' takes it back"
    )
    command.add_argument("--chance", metavar="SHARE", help="how likely it has to be put right")
    command.add_argument("--seller", metavar="yes|no", help="whether the seller puts it right")


def _prior(command: argparse.ArgumentParser) -> None:
    _session(command)
    command.add_argument("claim", help="the claim's id")
    command.add_argument("share", help="between 0 and 1, or '40 %%'; '' for what the route says")


def _rank(command: argparse.ArgumentParser) -> None:
    _session(command)
    command.add_argument("check", help="the check of the finding")
    command.add_argument("--before", metavar="CHECK", help="the finding it is to stand before")
    command.add_argument("--last", action="store_true", help="put it at the end")
    command.add_argument("--by-rule", action="store_true", help="let the rules place it again")
    command.add_argument("--why", default="", metavar="TEXT", help="the reason, kept on record")


def _lint(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "routes", nargs="*", metavar="ROUTE", help="names or files; all routes if left out"
    )
    command.add_argument(
        "--fix",
        action="store_true",
        help="first repair what is safe to repair, in your own files; each is kept as it was",
    )
    _json(command)


def _order(command: argparse.ArgumentParser) -> None:
    command.add_argument("route", help="a route's name or file")
    command.add_argument("--year", type=_year, help="the route for a car of that model year")
    _json(command)


def _differ(command: argparse.ArgumentParser) -> None:
    command.add_argument("route", help="a route's name or file")
    command.add_argument("year", type=_year, metavar="YEAR", help="one model year")
    command.add_argument("other", type=_year, metavar="YEAR", help="the other one")
    _json(command)


def _new_year(command: argparse.ArgumentParser) -> None:
    command.add_argument("route", help="a route's name or file")
    command.add_argument("year", type=_year, metavar="YEAR", help="the model year to write for")
    command.add_argument("--to", metavar="FILE", help="write it here, not to your own routes")


def _edit(command: argparse.ArgumentParser) -> None:
    command.add_argument("route", help="a route's name, or the file of a route or a piece")


def _schema(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--guide", action="store_true", help="print the guide to the format for people instead"
    )


def _judge(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--kinds", action="store_true", help="list the kinds of reading with their fields instead"
    )
    _json(command)


def _year(text: str) -> int:
    if not re.fullmatch(r"[0-9]{4}", text):
        raise argparse.ArgumentTypeError(f"`{text}` is no model year; write it like 1966")
    return int(text)


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


COMMANDS: dict[str, Command] = {
    "demo": Command("screen:demo", "try it out on a half-walked car; nothing is kept", _none),
    "walk": Command("screen:walk", "start a walk on the screen", _walk),
    "dry-run": Command(
        "screen:dry_run",
        "walk a route with invented answers, to feel its rhythm; nothing is kept",
        _dry_run,
    ),
    "resume": Command("screen:resume", "go on where you stood", _resume),
    "begin": Command(
        "sessions:begin", "start a walk without a screen; prints the session's name", _begin
    ),
    "answer": Command("sessions:answer", "record a result without a screen", _answer),
    "sign": Command("sessions:sign", "sign a session off; then it is read-only", _sign),
    "reopen": Command("sessions:reopen", "open a signed session again", _reopen),
    "summary": Command("sessions:summary", "print what came out of a walk", _session_as_data),
    "terms": Command("valuing:terms", "set the price asked, the hour rate and the like", _terms),
    "cost": Command("valuing:cost", "give a check hours and parts of your own", _cost),
    "prior": Command("valuing:prior", "say how likely a claim is before looking", _prior),
    "rank": Command("valuing:place", "put a finding elsewhere in the order", _rank),
    "sessions": Command("sessions:sessions", "list the sessions there are", _json),
    "verify": Command(
        "sessions:verify",
        "tell whether a session was changed after it was written, and where",
        _session_as_data,
    ),
    "recover": Command(
        "sessions:recover", "save what can be read of a damaged session into a new one", _session
    ),
    "lint": Command("routes:lint", "tell every problem of a route, with its place", _lint),
    "routes": Command("routes:routes", "list the routes there are", _json),
    "order": Command(
        "order:order", "print the order a route is walked in, and what it costs", _order
    ),
    "differ": Command(
        "authoring:differ", "show what differs between two model years of a route", _differ
    ),
    "new-year": Command(
        "authoring:new_year", "write a layer for one more model year, ready to edit", _new_year
    ),
    "edit": Command("screen:edit", "write in a route's file; it is checked as you write", _edit),
    "schema": Command(
        "schema:schema", "print the JSON Schema of route files, for editors", _schema
    ),
    "judge": Command(
        "judge:judge", "judge one reading, given as YAML or JSON on standard input", _judge
    ),
    "weigh": Command(
        "weigh:weigh", "weigh claims and what was seen, as YAML or JSON on standard input", _json
    ),
    "price": Command(
        "price:price", "price a list of items, as YAML or JSON on standard input", _json
    ),
}
