"""Commands that enter what a person says of money, claims and rank."""

from __future__ import annotations

from contextlib import closing

from checkrun.commands import Arguments
from checkrun.commands.context import WrongUse, store
from checkrun.session.valuing import COSTS, TERMS, believe, rank, set_cost, set_terms, terms_of
from checkrun.weigh.findings import findings


def terms(args: Arguments) -> int:
    """Set what the sums of a session are reckoned with, and print what stands."""
    said = {name: getattr(args, name) for name in TERMS if getattr(args, name) is not None}
    with closing(store(args.store).open(args.session, write=bool(said))) as session:
        if said:
            set_terms(session, said)
        stands = terms_of(session.walk.terms, session.walk.facts)
        for name, meaning in TERMS.items():
            value = getattr(stands, name)
            print(f"{name}: {'-' if value in (None, '') else value}  ({meaning})")
    return 0


def cost(args: Arguments) -> int:
    """Give a check figures of one's own."""
    said = {name: getattr(args, name) for name in COSTS if getattr(args, name) is not None}
    if not said:
        raise WrongUse(f"say what it costs: {', '.join(f'--{name}' for name in COSTS)}")
    with closing(store(args.store).open(args.session)) as session:
        set_cost(session, args.check, said)
        own = session.walk.state(args.check).own
        print(f"{args.check}: " + (", ".join(f"{k} {v}" for k, v in own.items()) or "as the route"))
    return 0


def prior(args: Arguments) -> int:
    """Say how likely a claim is before anything was looked at."""
    with closing(store(args.store).open(args.session)) as session:
        believe(session, args.claim, args.share)
        print(f"{args.claim}: {session.walk.priors.get(args.claim, 'as the route')}")
    return 0


def place(args: Arguments) -> int:
    """Put a finding before another one, at the end, or where the rules put it."""
    chosen = [args.before is not None, args.last, args.by_rule]
    if sum(chosen) != 1:
        raise WrongUse("say where to: one of --before CHECK, --last, --by-rule")
    before = args.check if args.by_rule else args.before or ""
    if args.before == args.check:
        raise WrongUse(f"{args.check} can't stand before itself; --by-rule puts it back")
    with closing(store(args.store).open(args.session)) as session:
        walk = session.walk
        ids = [finding.check.id for finding in findings(walk)]
        for name in (args.check, before):
            if name in walk.index and name not in ids and not args.by_rule:
                raise WrongUse(f"{name} is neither a concern nor a fail, so it has no place")
        rank(session, args.check, before, args.why)
        ids = [finding.check.id for finding in findings(walk)]
    if args.check in ids:
        print(f"{args.check}: place {ids.index(args.check) + 1} of {len(ids)}")
    return 0
