"""The questions about the car before the walk, each checked as it is typed."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Input, Static

from checkrun.route.catalog import Catalog, RouteNotFound, YearNotCovered
from checkrun.route.facts import fact_problem, settle, year_problem
from checkrun.route.model import Fact, Route
from checkrun.route.tailor import tailor
from checkrun.screens import keys
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.painted import Painted
from checkrun.session.errors import StoreError

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp

_YEAR = "year"


class IntakeScreen(Screen[None]):
    """Asks for the model year and the route's facts, then shows what the walk will be."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.INTAKE]

    def __init__(self, catalog: Catalog, route: Route, year: int | None = None) -> None:
        super().__init__()
        self._catalog = catalog
        self._chosen = route
        self._route = route
        self._broken = catalog.broken(on=route.id)
        self._year = year if year is not None or route.years.span > 1 else route.years.first

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    def compose(self) -> ComposeResult:
        """One question under the other."""
        yield Painted(id="headline")
        with VerticalScroll(id="form", can_focus=False):
            yield from self._question(
                _YEAR, f"Model year ({self._chosen.years})", str(self._year or "")
            )
            for fact in self._route.facts:
                yield from self._fact_question(fact)
        yield Painted(id="status")
        yield Hints(keys.INTAKE)

    def _fact_question(self, fact: Fact) -> list[Widget]:
        hint = {"yes-no": "yes or no", "choice": " / ".join(fact.choices)}.get(fact.kind, "")
        hint = hint or (f"such as {fact.example}" if fact.example else "")
        must = "needed" if fact.required else "may be left out"
        return self._question(
            fact.id, f"{fact.ask} ({'; '.join(t for t in (hint, must) if t)})", ""
        )

    def _question(self, name: str, ask: str, start: str) -> list[Widget]:
        kept = self.look.drafts.get("intake", self._chosen.id, name)
        return [
            Static(Content(ask), classes=f"question of-{name}"),
            Input(value=start or kept or "", id=f"fact-{name}", classes=f"of-{name}"),
            Static("", classes=f"answer-problem of-{name}", id=f"problem-{name}"),
        ]

    def on_mount(self) -> None:
        """Start on the first question."""
        self.query_one("#headline", Painted).paint(
            [[(" The car ", "here"), (f"  {self._chosen.title}", "title")]]
        )
        first = self.query(Input).first()
        first.focus()
        first.cursor_position = len(first.value)
        self._count()

    @on(Input.Changed)
    async def _typed(self, event: Input.Changed) -> None:
        event.stop()
        name = (event.input.id or "").removeprefix("fact-")
        self.look.drafts.keep("intake", self._chosen.id, name, event.value)
        if name == _YEAR:
            await self._take_year(event.value)
        self._tell(name, quiet=len(event.value) < 1)
        self._count()

    async def _take_year(self, text: str) -> None:
        """Follow the year to the layer that fits it; what was answered stays."""
        if year_problem(self._chosen.years, text):
            return
        try:
            route = self._catalog.for_year(self._chosen.id, int(text))
        except (RouteNotFound, YearNotCovered):  # a file the catalog does not search has no layers
            return
        for fact in self._route.facts:
            self._show_question(fact, on=False)
        self._route = route
        for fact in route.facts:
            if self.query(f"#fact-{fact.id}"):
                self._show_question(fact, on=True)
            else:
                await self.query_one("#form").mount(*self._fact_question(fact))

    def _show_question(self, fact: Fact, *, on: bool) -> None:
        for widget in self.query(f".of-{fact.id}"):
            widget.display = on

    @on(Input.Submitted)
    def _done(self, event: Input.Submitted) -> None:
        event.stop()
        fields = [field for field in self.query(Input) if field.display]
        place = fields.index(event.input)
        if self._tell((event.input.id or "").removeprefix("fact-")):
            return
        if place + 1 < len(fields):
            fields[place + 1].focus()
        else:
            self.action_go()

    def _tell(self, name: str, *, quiet: bool = False) -> str:
        """Show and give what is wrong with one answer."""
        problem = self._problem(name)
        self.query_one(f"#problem-{name}", Static).update(Content("" if quiet else problem))
        return problem

    def _problem(self, name: str) -> str:
        text = self.query_one(f"#fact-{name}", Input).value
        if name == _YEAR:
            return year_problem(self._chosen.years, text)
        fact = next((fact for fact in self._route.facts if fact.id == name), None)
        return "" if fact is None else fact_problem(self._route, fact, text)

    def _answers(self) -> dict[str, str]:
        answers = {
            fact.id: settle(fact, self.query_one(f"#fact-{fact.id}", Input).value)
            for fact in self._route.facts
        }
        return {name: text for name, text in answers.items() if text}

    def _count(self) -> None:
        """Say how many checks the walk has with these answers."""
        year = self.query_one(f"#fact-{_YEAR}", Input).value
        if year_problem(self._chosen.years, year):
            text = "The model year decides which checks belong to the walk."
        else:
            route = tailor(self._route, int(year), self._answers())
            text = (
                f"{self._route.id}: {len(route.checks)} checks. Enter: next question. F10: go on."
            )
            if self._broken:
                text = f"{self._route.id}. Left out, can't be walked: {', '.join(self._broken)}"
        self.query_one("#status", Painted).paint([[(f" {text}", "quiet")]])

    def action_go(self) -> None:
        """Show what the walk will be, if every answer fits."""
        from checkrun.screens.brief import BriefScreen

        names = [_YEAR, *(fact.id for fact in self._route.facts)]
        wrong = [name for name in names if self._tell(name)]
        if wrong:
            self.query_one(f"#fact-{wrong[0]}", Input).focus()
            return
        year = int(self.query_one(f"#fact-{_YEAR}", Input).value)
        answers = self._answers()
        route = tailor(self._route, year, answers)
        if not route.checks:
            self.look.tell("There is nothing to walk: none of its checks applies to this car.")
            return

        def done(start: bool | None) -> None:
            if start:
                self._start(year, answers)

        self.app.push_screen(BriefScreen(route, self.look.glyphs), done)

    def _start(self, year: int, answers: dict[str, str]) -> None:
        try:
            session = self.look.store.create(self._route, year, answers)
        except StoreError as error:
            self.look.tell(str(error))
            return
        self._forget()
        self.look.start_walking(session)

    def _forget(self) -> None:
        """Drop the drafts of these questions."""
        for name in [_YEAR, *(fact.id for fact in self._route.facts)]:
            self.look.drafts.drop("intake", self._chosen.id, name)

    def action_leave(self) -> None:
        """Go back without starting; what was typed is given up."""
        self._forget()
        self.look.leave_intake()

    def action_help(self) -> None:
        """Show the keys."""
        self.look.help("Questions about the car")
