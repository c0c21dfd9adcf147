"""The summary: findings worst first, what was not examined, what is open, and the signature."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.screen import Screen
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from checkrun.report.sheet import Row, judged_text
from checkrun.report.summary import Apart, Summary, summarize
from checkrun.report.text import counts_line
from checkrun.screens import keys
from checkrun.screens.theme import BREAKPOINTS, width_class
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.painted import Painted
from checkrun.screens.widgets.sheet import Sheet
from checkrun.session.errors import StoreError
from checkrun.session.fold import Counts
from checkrun.session.session import Session
from checkrun.weigh.findings import Finding

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp


class SummaryScreen(Screen[str]):
    """What came out of a walk; answers the check to go to, or nothing for back to the walk."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.SUMMARY]
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS

    def __init__(self, session: Session, *, at: str = "") -> None:
        """Show a session.

        Args:
            session: Open; stays open.
            at: The check to mark, if it is listed.
        """
        super().__init__()
        self._session = session
        self._start = at
        self._summary: Summary = summarize(session.walk)
        self._details: dict[str, tuple[str, list[Row]]] = {}

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    def compose(self) -> ComposeResult:
        """Headline, list and detail, keys."""
        self.add_class(width_class(self.app.size.width))
        yield Painted(id="headline")
        with Horizontal(id="split"):
            yield OptionList(*self._options())
            detail = Sheet(id="detail")
            detail.add_class("-always")
            yield detail
        yield Painted(id="status")
        yield Hints(keys.SUMMARY)

    def on_mount(self) -> None:
        """Mark where the person came from."""
        options = self.query_one(OptionList)
        options.focus()
        options.action_first()
        for prefix in ("find", "skip"):
            name = f"{prefix}:{self._start}"
            if name in self._details:
                options.highlighted = options.get_option_index(name)
                break
        self._show_head()

    def _show_head(self) -> None:
        walk = self._session.walk
        name = walk.facts.get("serial", "")
        self.query_one("#headline", Painted).paint(
            [
                [
                    (" Summary ", "here"),
                    (f" {walk.year} {walk.route.title.split(',')[0]} {name} ", "title"),
                ]
            ]
        )
        if walk.signed is not None:
            name, at = walk.signed
            signed = f" Signed off by {name}, {at.astimezone():%Y-%m-%d %H:%M}. o opens it again."
        else:
            signed = f" {counts_line(self._summary)}"
        self.query_one("#status", Painted).paint([[(signed, "message")]])

    # The list

    def _options(self) -> Iterator[Option]:
        summary = self._summary
        self._details.clear()
        yield Option(Content(counts_line(summary)), disabled=True)
        yield from self._findings("Findings, worst first", "find", summary.findings)
        yield from self._findings("Not examined", "skip", summary.not_examined)
        yield from self._findings("Judged otherwise than recorded", "other", summary.overruled)
        if summary.open:
            yield Option(Content(f"Open ({len(summary.open)})"), disabled=True)
        for item in summary.open:
            glyph = self.look.glyphs.result["aside" if item.set_aside else "open"]
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
                (f"{self.look.glyphs.result[result]} {result.replace('-', ' '):8}", colour),
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

    def _option(self, name: str, check_id: str, rows: list[Row], line: Content) -> Option:
        self._details[name] = (check_id, rows)
        return Option(line, id=name)

    @on(OptionList.OptionHighlighted)
    def _highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option_id in self._details:
            self.query_one("#detail", Sheet).show(self._details[event.option_id][1])

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_go()

    # Keys

    def action_go(self) -> None:
        """Go to the marked check."""
        options = self.query_one(OptionList)
        if options.highlighted is None:
            return
        name = options.get_option_at_index(options.highlighted).id
        check_id = self._details[name][0] if name in self._details else ""
        if check_id:
            self.dismiss(check_id)

    def action_walk(self) -> None:
        """Go back to the walk."""
        self.dismiss(None)

    def action_leave(self) -> None:
        """Leave the summary; a signed session is left altogether."""
        signed = self._session.walk.signed is not None
        self.dismiss(None)
        if signed:
            self.look.leave_walk()

    def action_sign(self) -> None:
        """Sign the session off."""
        from checkrun.screens.ask import AskScreen

        walk = self._session.walk
        if walk.signed is not None:
            self.look.tell(f"It is signed off already, by {walk.signed[0]}.")
            return
        open_checks = walk.counts.open
        text = "After this the record can only be read; opening it again is put on record."
        if open_checks:
            text = f"{open_checks} checks are still open and will stay open in the record. {text}"

        def done(name: str | None) -> None:
            if name:
                self._do_and_show(lambda: self._session.sign(name))

        self.app.push_screen(AskScreen("Sign off", text, "your name"), done)

    def action_reopen(self) -> None:
        """Open a signed session again."""
        from checkrun.screens.ask import AskScreen

        if self._session.walk.signed is None:
            self.look.tell("It is not signed off, so it is open already.")
            return

        def done(why: str | None) -> None:
            if why:
                self._do_and_show(lambda: self._session.reopen(why))

        text = "The signature stays on record; so does this reason."
        self.app.push_screen(AskScreen("Open again: why?", text, "the reason"), done)

    def _do_and_show(self, action: object) -> None:
        assert callable(action)
        try:
            action()
        except StoreError as error:
            self.look.tell(str(error))
            return
        self._summary = summarize(self._session.walk)
        self._show_head()

    def action_help(self) -> None:
        """Show the keys."""
        self.look.help("Summary")


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
