"""The command `weigh`: claims and what was seen on standard input, how sure one may be of each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from checkrun.commands import Arguments
from checkrun.commands.given import Given
from checkrun.commands.standard_input import read, warn
from checkrun.weigh.asdata import claims_as_data, next_as_data
from checkrun.weigh.evidence import Observed
from checkrun.weigh.evidence import weigh as weighed
from checkrun.weigh.nextbest import ROUNDING, Prospect, next_best

_EXAMPLE = (
    "{claims: [{id: first-body, before: 0.6}], checks: [{id: gaps, minutes: 4, signs: "
    "[{claim: first-body, pass: [0.9, 0.4], fail: [0.1, 0.6]}]}], observed: {gaps: pass}}"
)
#: Twenty claims with a sign each at three hundred checks take about half a megabyte.
_LARGEST = 8 << 20
_ROWS = ("pass", "concern", "fail")
#: A probability below this is a slip of the hand; divided by, it would leave what floats can hold.
_LEAST = 1e-12
_NOT_EXAMINED = "not-examined"
#: What looking takes where it is not said, minutes; as in a route.
_MINUTES = 0.5


def weigh(args: Arguments) -> int:
    """Weigh the claims and rank the open checks."""
    fields = read("set of claims", _EXAMPLE, _LARGEST).fields(["claims"], ["checks", "observed"])
    before = _claims(fields["claims"])
    signs = _signs(fields["checks"], before) if "checks" in fields else {}
    results = _results(fields["observed"], signs) if "observed" in fields else {}
    _warn_of_lone_causes(signs.values())
    beliefs = weighed(before, _observed(signs, results))
    best = next_best(beliefs, _prospects(signs, results))
    if args.json:
        from checkrun.commands.context import print_json

        print_json({"claims": claims_as_data(beliefs), "next": [next_as_data(row) for row in best]})
    else:
        import sys

        from checkrun.report.claims import as_text
        from checkrun.report.glyphs import glyphs_for

        print(as_text(beliefs.values(), best, glyphs_for(sys.stdout.encoding)))
    return 0


@dataclass(frozen=True, slots=True)
class _Sign:
    """One sign of a check as given: by result P(result | true) and P(result | false)."""

    given: Given
    claim: str
    cause: str
    minutes: float
    rows: dict[str, tuple[float, float]]


def _claims(given: Given) -> dict[str, float]:
    """By claim the probability before looking."""
    before: dict[str, float] = {}
    for item in given.items():
        fields = item.fields(["id", "before"], ["matters", "says"])
        claim = _new(fields["id"], before, "claim")
        before[claim] = fields["before"].number(above=0, below=1)
        if "matters" in fields:
            fields["matters"].number(least=0, most=1)
    return before


def _signs(given: Given, claims: Iterable[str]) -> dict[str, list[_Sign]]:
    """By check its signs."""
    found: dict[str, list[_Sign]] = {}
    for item in given.items():
        fields = item.fields(["id"], ["minutes", "signs"])
        check = _new(fields["id"], found, "check")
        minutes = (
            fields["minutes"].number(least=0.001, most=100_000) if "minutes" in fields else _MINUTES
        )
        signs = fields["signs"].items() if "signs" in fields else []
        spoken_of: set[str] = set()
        found[check] = [_sign(sign, minutes, claims, spoken_of) for sign in signs]
    return found


def _sign(given: Given, minutes: float, claims: Iterable[str], spoken_of: set[str]) -> _Sign:
    fields = given.fields(["claim"], ["cause", *_ROWS])
    claim = _known(fields["claim"], claims, "claim")
    if claim in spoken_of:
        fields["claim"].refuse(f"this check has a sign of `{claim}` already; keep one of the two")
    spoken_of.add(claim)
    rows: dict[str, tuple[float, float]] = {}
    for result in _ROWS:
        if result in fields:
            true, false = fields[result].items(2)
            rows[result] = _probability(true), _probability(false)
    if not rows:
        given.refuse(f"a sign needs its probabilities: {', '.join(_ROWS)}")
    for side, name in enumerate(("true", "false")):
        total = sum(row[side] for row in rows.values())
        if not abs(total - 1) <= ROUNDING:
            given.refuse(
                f"the probabilities of {', '.join(_ROWS)} if the claim is {name} must sum to 1, "
                f"not {total:.4g}"
            )
    cause = fields["cause"].name() if "cause" in fields else ""
    return _Sign(given, claim, cause, minutes, rows)


def _probability(given: Given) -> float:
    value = given.number(above=0, below=1)
    if value < _LEAST:
        given.refuse(f"{value:g} is as good as 0, and nothing is that certain; write more")
    return value


def _results(given: Given, checks: Iterable[str]) -> dict[str, str]:
    """By check what was seen."""
    results: dict[str, str] = {}
    for name, result in given.mapping().items():
        if name not in checks:
            _unknown(result, name, checks, "check", at_key=True)
        results[name] = result.choice([*_ROWS, _NOT_EXAMINED])
    return results


def _new(given: Given, known: Iterable[str], what: str) -> str:
    name = given.name()
    if name in known:
        given.refuse(f"the {what} `{name}` is there a second time")
    return name


def _known(given: Given, known: Iterable[str], what: str) -> str:
    name = given.name()
    if name not in known:
        _unknown(given, name, known, what)
    return name


def _unknown(
    given: Given, name: str, known: Iterable[str], what: str, *, at_key: bool = False
) -> None:
    from checkrun.commands.given import shown
    from checkrun.route.problems import nearest_or_all

    hint = nearest_or_all(name, [shown(there) for there in known])
    given.refuse(f"there is no {what} `{shown(name)}`. {hint}", at_key=at_key)


def _warn_of_lone_causes(checks: Iterable[list[_Sign]]) -> None:
    """A cause that one sign of a claim has alone does nothing; it may be misspelt."""
    alone: dict[tuple[str, str], _Sign | None] = {}
    for signs in checks:
        for sign in signs:
            if sign.cause:
                key = sign.claim, sign.cause
                alone[key] = None if key in alone else sign
    lone = [sign for sign in alone.values() if sign is not None]
    if lone:
        first = lone[0]
        warn(
            f"{first.given.mapping()['cause'].place()}: warning: only one sign of `{first.claim}` "
            f"has the cause `{first.cause}`, so it does nothing{_more(lone)}"
        )


def _observed(signs: dict[str, list[_Sign]], results: dict[str, str]) -> list[Observed]:
    """The signs that were seen, in the order of the checks."""
    observed: list[Observed] = []
    silent: list[tuple[_Sign, str, str]] = []
    for check, found in signs.items():
        result = results.get(check, _NOT_EXAMINED)
        for sign in found if result != _NOT_EXAMINED else ():
            if result in sign.rows:
                true, false = sign.rows[result]
                observed.append(Observed(sign.claim, check, result, true / false, sign.cause))
            else:
                silent.append((sign, check, result))
    if silent:
        sign, check, result = silent[0]
        warn(
            f"{sign.given.place()}: warning: `{check}` is a {result}, but its sign of "
            f"`{sign.claim}` has no row for that and adds nothing{_more(silent)}"
        )
    return observed


def _more(found: Sequence[object]) -> str:
    return f" (and {len(found) - 1} more like it)" if len(found) > 1 else ""


def _prospects(signs: dict[str, list[_Sign]], results: dict[str, str]) -> list[Prospect]:
    """The signs of the checks without a result; one that can't be examined is not proposed."""
    return [
        Prospect(sign.claim, check, sign.minutes, tuple(sign.rows.values()), sign.cause)
        for check, found in signs.items()
        if check not in results
        for sign in found
    ]
