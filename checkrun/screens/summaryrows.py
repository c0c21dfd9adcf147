"""The rows of the summary: one line each for the list, and the sheet beside the marked one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from textual.content import Content
from textual.widgets.option_list import Option

from checkrun.report.claimsheet import claim_line, claim_rows
from checkrun.report.glyphs import Glyphs
from checkrun.report.money import amount
from checkrun.report.sheet import Row, judged_text
from checkrun.report.summary import Apart, summarize
from checkrun.report.text import counts_line
from checkrun.session.fold import Counts, Walk
from checkrun.weigh.bill import bill
from checkrun.weigh.findings import Finding
from checkrun.weigh.observe import weighed


class SummaryRows:
    """A walk as it stands, in rows.

    Attributes:
        summary: What came out.
        weighed: Its claims.
        bill: What it costs; the range is worked out when it is asked for.
        details: By the name of a row the check it leads to, or nothing, and its sheet.
    """

    def __init__(self, walk: Walk, glyphs: Glyphs) -> None:
        self._walk = walk
        self._glyphs = glyphs
        self.summary = summarize(walk)
        self.weighed = weighed(walk)
        self.bill = bill(walk, self.weighed.beliefs)
        self.details: dict[str, tuple[str, list[Row]]] = {}

    def options(self) -> Iterator[Option]:
        """The rows of the list, and their details as they are made."""
        summary = self.summary
        yield Option(Content(counts_line(summary)), disabled=True)
        yield from self._findings("Findings, worst first", "find", summary.findings)
        yield from self._worth()
        yield from self._findings("Not examined", "skip", summary.not_examined)
        yield from self._findings("Judged otherwise than recorded", "other", summary.overruled)
        if summary.open:
            yield Option(Content(f"Open ({len(summary.open)})"), disabled=True)
        for item in summary.open:
            glyph = self._glyphs.result["aside" if item.set_aside else "open"]
            rows = [Row("", item.check.ask, "ask"), Row("at", item.station.title)]
            yield self._option(
                f"open:{item.check.id}", item.check.id, rows, Content(f"{glyph} {item.check.ask}")
            )
        if summary.apart:
            yield Option(Content("Apart: the route no longer has these"), disabled=True)
        for entry in summary.apart:
            yield self._apart(entry)
        yield Option(Content("By station"), disabled=True)
        for station, counts in summary.stations:
            rows = [Row("", station.title, "title"), *_station_rows(counts)]
            yield self._option(
                f"at:{station.id}",
                station.checks[0].id,
                rows,
                Content.assemble(f"{station.title}  ", (_short(counts), "$quiet")),
            )

    def _worth(self) -> Iterator[Option]:
        """The claims and, in one line, the bill; its range takes a moment and is put in later."""
        walk = self._walk
        if walk.route.claims:
            yield Option(Content(f"Claims ({len(walk.route.claims)})"), disabled=True)
        for claim in walk.route.claims:
            sure, role, says = claim_line(self.weighed, claim.id)
            colour = {"pass": "$success", "fail": "$error"}.get(role, "$quiet")
            sheet = claim_rows(walk, self.weighed, claim.id, self._glyphs, 0)
            line = Content.assemble((f"{sure} ", colour), says)
            yield self._option(f"claim:{claim.id}", "", sheet, line)
        yield Option(Content("What it costs, and the most to pay"), disabled=True)
        rows = [Row("", "b shows every line of it and lets you change them.", "quiet")]
        told = f"  mean {amount(self.bill.moments.mean)}"
        yield self._option("bill", "", rows, Content(told))

    def _findings(self, title: str, prefix: str, found: tuple[Finding, ...]) -> Iterator[Option]:
        if not found:
            return
        yield Option(Content(f"{title} ({len(found)})"), disabled=True)
        severity = None
        for place, finding in enumerate(found, start=1):
            result, check = finding.result.value, finding.check
            if check.severity is not severity:
                severity = check.severity
                yield Option(Content(f"  {severity.value}"), disabled=True)
            colour = {"fail": "$error", "concern": "$warning"}.get(result, "$secondary")
            line = Content.assemble(
                f"{place:2} ",
                (f"{self._glyphs.result[result]} {result.replace('-', ' '):8}", colour),
                f" {check.ask}",
                (f"  {check.group.value}", "$quiet"),
            )
            yield self._option(f"{prefix}:{check.id}", check.id, _finding_rows(finding), line)

    def _apart(self, entry: Apart) -> Option:
        result = "no result" if entry.result is None else entry.result.value
        rows = [Row("", entry.check, "ask"), Row("result", result)]
        rows += [
            Row(label, text)
            for label, text in (("reading", entry.reading), ("note", entry.note))
            if text
        ]
        return self._option(f"apart:{entry.check}", "", rows, Content(f"  {entry.check}: {result}"))

    def _option(self, name: str, check_id: str, rows: Iterable[Row], line: Content) -> Option:
        self.details[name] = (check_id, list(rows))
        return Option(line, id=name)


def _finding_rows(finding: Finding) -> list[Row]:
    check, result = finding.check, finding.result.value
    seen = {"fail": check.on_fail, "concern": check.on_concern}.get(result, "")
    rows = [
        Row("", check.ask, "ask"),
        Row("result", result.replace("-", " "), result),
        Row("at", finding.station.title),
    ]
    for label, text in (
        ("reason", finding.why),
        ("reading", finding.reading),
        ("judged", judged_text(finding.judged)),
        ("note", finding.note),
        ("means", seen),
        ("why", check.why),
    ):
        if text:
            rows.append(Row(label, text))
    rows.append(Row("ranked", finding.why_here, "quiet"))
    return rows


def _station_rows(counts: Counts) -> list[Row]:
    return [
        Row("pass", str(counts.pass_), "pass"),
        Row("concern", str(counts.concern), "concern"),
        Row("fail", str(counts.fail), "fail"),
        Row("not exam.", str(counts.not_examined), "not-examined"),
        Row("open", str(counts.open), "open"),
    ]


def _short(counts: Counts) -> str:
    parts = (
        (counts.fail, "fail"),
        (counts.concern, "concern"),
        (counts.pass_, "pass"),
        (counts.not_examined, "not examined"),
        (counts.open, "open"),
    )
    return ", ".join(f"{number} {word}" for number, word in parts if number)
