"""Commands on sessions without a screen."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from contextlib import closing, suppress
from typing import Any

from checkrun.commands import Arguments
from checkrun.commands.context import WrongUse, catalog, print_json, store
from checkrun.route.catalog import Catalog, RouteNotFound
from checkrun.route.model import Result, Route
from checkrun.route.problems import nearest
from checkrun.route.tailor import tailor
from checkrun.session.chain import Break
from checkrun.session.clock import now
from checkrun.session.errors import DamagedFile
from checkrun.session.session import Session

_RESULTS = {
    **{result.value: result for result in Result},
    "p": Result.PASS,
    "c": Result.CONCERN,
    "f": Result.FAIL,
    "x": Result.NOT_EXAMINED,
    "not_examined": Result.NOT_EXAMINED,
}


def begin(args: Arguments) -> int:
    """Make a session and print its name."""
    there = catalog()
    route = there.load(args.route)
    year = args.year
    if year is None:
        if route.years.span > 1:
            raise WrongUse(
                f"say the model year: --year {route.years.first} (to {route.years.last})"
            )
        year = route.years.first
    route = there.for_year(args.route, year)
    _say_whose(there, route.id)
    for broken in there.broken(on=there.find(args.route).id):
        print(
            f"checkrun: {broken} can't be walked and was left out; see: checkrun lint {broken}",
            file=sys.stderr,
        )
    facts = _facts(route, args.fact)
    if not tailor(route, year, facts).checks:
        raise WrongUse(f"none of the checks of {route.id} applies to this car")
    with closing(store(args.store).create(route, year, facts)) as session:
        if args.json:
            print_json(
                {"session": session.id, "route": route.id, "checks": len(session.walk.sequence)}
            )
        else:
            print(session.id)
    return 0


def _say_whose(there: Catalog, route_id: str) -> None:
    """Tell when the person's own route wins over a shipped one; not on standard output."""
    try:
        found = there.find(route_id)
    except RouteNotFound:
        return
    if found.hides is not None:
        print(f"checkrun: your own {found.path} wins over the shipped route", file=sys.stderr)


def _facts(route: Route, given: Iterable[str]) -> dict[str, str]:
    """The facts of the command line, each checked as the screen would."""
    from checkrun.route.facts import fact_problem, settle

    known = {fact.id: fact for fact in route.facts}
    facts: dict[str, str] = {}
    for item in given:
        name, equals, answer = item.partition("=")
        if not equals:
            raise WrongUse(f"--fact {item}: write it as NAME=ANSWER")
        if name not in known:
            hint = nearest(name, known) or f"It asks: {', '.join(known) or 'nothing'}."
            raise WrongUse(f"--fact {item}: the route does not ask `{name}`. {hint}")
        problem = fact_problem(route, known[name], answer)
        if problem:
            raise WrongUse(f"--fact {item}: {problem}")
        facts[name] = settle(known[name], answer)
    missing = [fact.id for fact in route.facts if fact.required and not facts.get(fact.id)]
    if missing:
        asked = known[missing[0]]
        example = asked.example or "ANSWER"
        raise WrongUse(f"the route asks `{asked.ask}`: --fact {missing[0]}={example}")
    return facts


def answer(args: Arguments) -> int:
    """Record a result, with the judgement of its reading."""
    from checkrun.report.sheet import judged_text
    from checkrun.report.summary import judged_data

    result = _RESULTS.get(args.result.lower())
    if result is None:
        names = [found.value for found in Result]
        hint = nearest(args.result.lower(), names) or f"Choose from: {', '.join(names)}."
        raise WrongUse(f"`{args.result}` is no result. {hint}")
    with closing(_writable(args)) as session:
        judged = _judged(session, args.check, args.reading)
        session.answer(
            args.check, result, why=args.why, note=args.note, reading=args.reading, judged=judged
        )
        counts = session.walk.counts
        if args.json:
            print_json(
                {
                    "session": session.id,
                    "check": args.check,
                    "result": result.value,
                    "judged": judged_data(judged),
                    "open": counts.open,
                }
            )
        else:
            print(f"{args.check}: {result.value}; {counts.open} open")
            if judged is not None:
                print(f"  the reading is judged {judged_text(judged)}")
    return 0


def _judged(session: Session, check: str, reading: str | None) -> dict[str, Any] | None:
    """The judgement of a reading, to be kept beside it."""
    if reading is None or check not in session.walk.index:
        return None
    from checkrun.judge.atcheck import judge_at

    return judge_at(session.walk, check, reading, now().date())


def sign(args: Arguments) -> int:
    """Sign a session off."""
    with closing(_writable(args)) as session:
        session.sign(args.name)
        print(f"{session.id}: signed off by {args.name}, {session.walk.counts.open} checks open")
    return 0


def reopen(args: Arguments) -> int:
    """Open a signed session again."""
    with closing(_writable(args)) as session:
        was_signed = session.walk.signed is not None
        session.reopen(args.why)
        print(
            f"{session.id}: {'open again' if was_signed else 'was not signed off, so it is open'}"
        )
    return 0


def summary(args: Arguments) -> int:
    """Print what came out of a walk."""
    from checkrun.report.glyphs import glyphs_for
    from checkrun.report.summary import as_data
    from checkrun.report.text import as_text

    with closing(store(args.store).open(args.session, write=False)) as session:
        if args.json:
            print_json(as_data(session))
        else:
            print(as_text(session, glyphs_for(getattr(sys.stdout, "encoding", None))))
    return 0


def sessions(args: Arguments) -> int:
    """List the sessions there are."""
    heads = store(args.store).heads()
    if args.json:
        print_json(
            [
                {
                    "session": head.id,
                    "route": head.route_id,
                    "title": head.title,
                    "year": head.year,
                    "answered": head.answered,
                    "total": head.total,
                    "signed_by": head.signed_by,
                    "problem": head.problem,
                }
                for head in heads
            ]
        )
    elif not heads:
        print("No sessions yet. Start one with: checkrun walk")
    else:
        width = max(len(head.id) for head in heads)
        for head in heads:
            state = head.problem or (f"signed by {head.signed_by}" if head.signed_by else "open")
            print(
                f"{head.id:{width}} {head.answered:>4} of {head.total:<4} {state:20} {head.title}"
            )
    return 0


def verify(args: Arguments) -> int:
    """Check the chain of a session's events and say where it breaks."""
    try:
        breaks = store(args.store).verify(args.session)
    except DamagedFile as error:
        breaks = (Break(0, str(error)),)
    if args.json:
        print_json([{"event": found.n, "problem": found.problem} for found in breaks])
    elif breaks:
        for found in breaks:
            print(found.problem)
    else:
        print("In order: no event was changed, added or taken out after it was written.")
    return 1 if breaks else 0


def recover(args: Arguments) -> int:
    """Save what can be read of a damaged session into a new one."""
    there = store(args.store)
    with suppress(DamagedFile):
        if not there.verify(args.session):
            raise WrongUse(f"{there.find(args.session)} is in order; there is nothing to recover")
    recovery = there.recover(args.session)
    print(f"{recovery.new_id}: {recovery.kept} events kept; the damaged file is as it was")
    for missing in recovery.missing:
        print(f"  lost: {missing}")
    return 0


def _writable(args: Arguments) -> Session:
    return store(args.store).open(args.session)
