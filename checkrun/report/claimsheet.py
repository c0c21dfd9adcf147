"""The claims of a walk as rows for the screen, in the words of its route."""

from __future__ import annotations

from collections.abc import Iterator

from checkrun.report.claims import bar, percent, said_odds
from checkrun.report.glyphs import Glyphs
from checkrun.report.sheet import Row
from checkrun.session.fold import Walk
from checkrun.weigh.evidence import Belief, Sign
from checkrun.weigh.nextbest import Next
from checkrun.weigh.observe import Weighed
from checkrun.weigh.scale import NO_SUPPORT

#: How many of the checks to look at next are told.
TOLD = 6
#: From so many cells on a bar can stand to both sides of a middle.
_ROOMY = 64


def claim_rows(
    walk: Walk, weighed: Weighed, claim_id: str, glyphs: Glyphs, width: int
) -> Iterator[Row]:
    """One claim: how sure, how firm, every sign with its bar, and what would tell most next.

    Args:
        walk: The walk.
        weighed: Its claims as they stand.
        claim_id: One of them.
        glyphs: The characters that can be shown.
        width: The cells there are; with few of them a bar has one side only.
    """
    claim, belief = weighed.claims[claim_id], weighed.beliefs[claim_id]
    yield Row("", claim.says, "ask")
    prior = "your own" if claim_id in walk.priors else "of the route"
    yield Row("sure", f"{percent(belief.after)}, odds {said_odds(belief.odds)}", role_of(belief))
    best = [found for found in weighed.next_of(claim_id) if found.bits > 0][:TOLD]
    if best:
        check = walk.route.checks[best[0].check]
        yield Row("look next", f"{check.ask}, {best[0].minutes:g} min", "at-next")
    yield Row("before", f"{percent(belief.before)} before anything was looked at ({prior})")
    yield Row("evidence", f"{belief.decibans:+.1f} decibans, {belief.verbal}", role_of(belief))
    firm = f"{percent(belief.halved)} with half of every weight"
    yield Row("how firm", f"{firm}, {percent(belief.doubled)} with twice as much")
    yield Row("at stake", f"{percent(float(claim.matters))} of what it is worth", "quiet")
    yield Row("", "")
    told = "Signs, the weightiest first, in decibans" if belief.signs else "No sign seen yet"
    yield Row("", told, "title")
    for sign in sorted(belief.signs, key=lambda sign: (not sign.counted, -abs(sign.decibans))):
        yield _sign_row(walk, sign, glyphs, roomy=width >= _ROOMY)
    yield Row("", "")
    yield Row(
        "", "What would tell most if looked at next" if best else "No open sign left", "title"
    )
    for place, found in enumerate(best, start=1):
        yield _next_row(walk, found, place)


def claim_line(weighed: Weighed, claim_id: str) -> tuple[str, str, str]:
    """A claim in one line: how sure, in which colour, and what it says."""
    belief = weighed.beliefs[claim_id]
    claim = weighed.claims[claim_id]
    says = f"{claim.short}: {claim.says}" if claim.short else claim.says
    return f"{short(belief.after):>5}", role_of(belief), says


def short(probability: float) -> str:
    """A probability where there is little room; never 0 % or 100 %, since no sign is certain."""
    if probability > 0.99:
        return ">99 %"
    return "<1 %" if probability < 0.01 else f"{100 * probability:.0f} %"


def role_of(weighed: Belief | Sign) -> str:
    """The colour of what speaks for or against; the words say it as well."""
    if (
        (weighed.verbal == NO_SUPPORT)
        if isinstance(weighed, Belief)
        else not round(weighed.decibans)
    ):
        return "quiet"
    return "pass" if weighed.decibans > 0 else "fail"


def _sign_row(walk: Walk, sign: Sign, glyphs: Glyphs, *, roomy: bool) -> Row:
    check = walk.route.checks.get(sign.check)
    text = f"{sign.check if check is None else check.ask}: {sign.result}"
    label = f"{sign.decibans:+.1f}"
    if not sign.counted:
        return Row(label, f"already counted ({sign.cause.replace('-', ' ')}): {text}", "quiet")
    drawn = bar(sign.decibans, glyphs)
    if not roomy:
        drawn = drawn.replace(" ", "").replace(glyphs.box.down, "")
    return Row(label, f"{drawn} {text}", role_of(sign))


def _next_row(walk: Walk, found: Next, place: int) -> Row:
    check, station = walk.route.checks[found.check], walk.route.station_of[found.check]
    rate = f"{_bits(found.bits_per_minute)} bits a minute"
    told = f"{rate} ({_bits(found.bits)} in {found.minutes:g} min)"
    return Row(f"{place}", f"{check.ask}, {station.title}: {told}")


def _bits(value: float) -> str:
    return "under 0.001" if value < 0.0005 else f"{value:.3f}"
