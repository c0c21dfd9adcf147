"""The summary as plain text for a terminal or a pipe."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from checkrun.report import money
from checkrun.report.claims import percent
from checkrun.report.glyphs import UNICODE, Glyphs
from checkrun.report.sheet import judged_text
from checkrun.report.summary import Summary, summarize
from checkrun.session.session import Session
from checkrun.weigh.bill import Bill, bill, reckoned
from checkrun.weigh.findings import Finding
from checkrun.weigh.observe import Weighed, weighed

_WIDTH = 96


def as_text(session: Session, glyphs: Glyphs = UNICODE) -> str:
    """The whole summary, findings first."""
    return "\n".join(_lines(session, glyphs))


def counts_line(summary: Summary) -> str:
    """How many checks have each result, in one line."""
    counts = summary.counts
    return (
        f"{counts.fail} fail, {counts.concern} concern, {counts.pass_} pass, "
        f"{counts.not_examined} not examined, {counts.open} open"
    )


def _lines(session: Session, glyphs: Glyphs) -> Iterator[str]:
    walk = session.walk
    summary = summarize(walk)
    facts = ", ".join(f"{name} {answer}" for name, answer in walk.facts.items() if answer)
    yield f"{walk.route.title}: model year {walk.year}{', ' + facts if facts else ''}"
    yield f"session {session.id}, begun {walk.began_at:%Y-%m-%d %H:%M} UTC"
    yield counts_line(summary)
    if walk.signed is not None:
        yield f"signed off by {walk.signed[0]} on {walk.signed[1]:%Y-%m-%d %H:%M} UTC"
    if walk.reopened:
        yield f"opened again after signing: {walk.reopened}"
    yield from _ranked("Findings, worst first", summary.findings)
    weighed_ = weighed(walk)
    yield from _claims(weighed_)
    yield from _bill(bill(walk, weighed_.beliefs), glyphs)
    yield from _ranked("Not examined, what matters most first", summary.not_examined)
    yield from _ranked("Judged otherwise than recorded", summary.overruled)
    if summary.open:
        yield ""
        yield f"Open ({len(summary.open)})"
        for item in summary.open:
            aside = " (set aside)" if item.set_aside else ""
            yield f"  ·  {item.station.title}: {item.check.ask}{aside}  [{item.check.id}]"
    if summary.apart:
        yield ""
        yield "Apart: entered for checks that the route no longer has"
        for entry in summary.apart:
            result = "no result" if entry.result is None else entry.result.value
            extra = " ".join(text for text in (entry.reading, entry.note) if text)
            yield f"  ·  {entry.check}: {result} {extra}".rstrip()
    if summary.confirmed:
        yield ""
        yield "Safety stops confirmed"
        for at, change, _ in summary.confirmed:
            yield f"  ·  {at[:16].replace('T', ' ')} UTC: {change}"


def _claims(found: Weighed) -> Iterator[str]:
    if not found.claims:
        return
    yield ""
    yield f"Claims ({len(found.claims)})"
    for claim in found.claims.values():
        belief = found.beliefs[claim.id]
        counted = sum(sign.counted for sign in belief.signs)
        yield f"  ·  {claim.says}: {percent(belief.after)}  [{claim.id}]"
        yield from _indented(
            f"{percent(belief.before)} before looking, {belief.decibans:+.1f} decibans "
            f"({belief.verbal}) by {counted} sign{'' if counted == 1 else 's'}; "
            f"{percent(belief.halved)} to {percent(belief.doubled)} with half or twice the weight"
        )


def _bill(found: Bill, glyphs: Glyphs) -> Iterator[str]:
    if found.lines or found.offer is not None:
        currency = f" ({found.terms.currency})" if found.terms.currency else ""
        head, *rest = money.rows(
            found.moments,
            found.spread,
            reckoned(found.terms),
            found.offer,
            glyphs,
            warning=found.warning,
        )
        yield from ("", f"{head}{currency}", *rest)
    elif found.warning:
        yield from ("", *money.warning_rows(found.warning, glyphs, 72))
    for title, checks in (
        ("The seller puts right", [line.check for line in found.seller]),
        ("Without any cost so far", [line.check for line in found.unpriced]),
    ):
        if checks:
            yield from ("", f"{title} ({len(checks)})")
            yield from (f"  ·  {check.ask}  [{check.id}]" for check in checks)


def _ranked(title: str, ranked: Sequence[Finding]) -> Iterator[str]:
    if not ranked:
        return
    yield ""
    yield f"{title} ({len(ranked)})"
    for place, finding in enumerate(ranked, start=1):
        check = finding.check
        yield (
            f"{place:3}  {finding.result.value} · {check.severity.value} · {check.group.value} · "
            f"{check.ask}  [{check.id}]"
        )
        for label, text in (
            ("at", finding.station.title),
            ("reason", finding.why),
            ("reading", finding.reading),
            ("judged", judged_text(finding.judged)),
            ("note", finding.note),
            ("stands here since", finding.why_here),
        ):
            if text:
                yield from _indented(f"{label}: {text}")


def _indented(text: str) -> list[str]:
    return [
        line
        for part in text.splitlines()
        for line in textwrap.wrap(
            part, _WIDTH, initial_indent=" " * 5, subsequent_indent=" " * 7, break_long_words=False
        )
    ]
