"""The summary as plain text for a terminal or a pipe."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from checkrun.report.sheet import judged_text
from checkrun.report.summary import Summary, summarize
from checkrun.session.session import Session
from checkrun.weigh.findings import Finding

_WIDTH = 96


def as_text(session: Session) -> str:
    """The whole summary, findings first."""
    return "\n".join(_lines(session))


def counts_line(summary: Summary) -> str:
    """How many checks have each result, in one line."""
    counts = summary.counts
    return (
        f"{counts.fail} fail, {counts.concern} concern, {counts.pass_} pass, "
        f"{counts.not_examined} not examined, {counts.open} open"
    )


def _lines(session: Session) -> Iterator[str]:
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
