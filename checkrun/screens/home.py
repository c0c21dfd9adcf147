"""The home screen: start a walk, go on with one, look at a finished one, browse routes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.screen import Screen
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from checkrun.screens import keys
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.painted import Painted
from checkrun.session.errors import StoreError

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp
    from checkrun.session.store import Head

_EMPTY = (
    "\nNo walk yet. Press n to start one: choose the route that fits the car, answer a few "
    "questions about it, and walk. To see how it goes on a ready-made car, leave with q and "
    "type: checkrun demo\n"
)


class HomeScreen(Screen[None]):
    """All sessions of the store, open ones first."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.HOME]

    def __init__(self) -> None:
        super().__init__()
        self._heads: list[Head] = []

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    def compose(self) -> ComposeResult:
        """Headline, list, what to do, keys."""
        self._heads = self._read()
        yield Painted(id="headline")
        yield OptionList(*self._options(), id="sessions")
        yield Painted(id="status")
        yield Hints(keys.HOME)

    def on_mount(self) -> None:
        """Start on the first line."""
        self.query_one("#headline", Painted).paint(
            [
                [
                    (" checkrun ", "here"),
                    ("  walk a car from the first check to the summary", "quiet"),
                ]
            ]
        )
        self.query_one("#status", Painted).paint([[(f" {self.look.store.folder}", "quiet")]])
        options = self.query_one(OptionList)
        options.focus()
        options.action_first()

    def on_screen_resume(self) -> None:
        """Show what has changed while another screen was above this one."""
        if not self.is_mounted or not self.query(OptionList):
            return
        self._heads = self._read()
        options = self.query_one(OptionList)
        kept = options.highlighted
        options.set_options(self._options())
        options.highlighted = kept if kept is not None and kept < options.option_count else 0
        if options.highlighted is not None and options.get_option_at_index(0).disabled:
            options.action_first()

    def _read(self) -> list[Head]:
        try:
            return self.look.store.heads()
        except StoreError as error:
            self.call_after_refresh(self.look.tell, str(error))
            return []

    def _options(self) -> list[Option]:
        finished = [head for head in self._heads if head.signed_by is not None]
        walking = [head for head in self._heads if head.signed_by is None]
        options = [Option(Content("n  Start a walk"), id="start")]
        if not self._heads:
            options.append(Option(Content(_EMPTY), disabled=True))
        options += self._section("Walks to go on with", walking)
        options += self._section("Signed off", finished)
        options.append(Option(Content("r  Browse the routes"), id="routes"))
        return options

    def _section(self, title: str, heads: Sequence[Head]) -> list[Option]:
        if not heads:
            return []
        return [
            Option(Content(title), disabled=True),
            *(Option(_line(head), id=f"s:{head.id}") for head in heads),
        ]

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self._choose(event.option_id)

    def action_open(self) -> None:
        """Open the marked line."""
        options = self.query_one(OptionList)
        if options.highlighted is not None:
            self._choose(options.get_option_at_index(options.highlighted).id)

    def _choose(self, option_id: str | None) -> None:
        if option_id == "start":
            self.action_start()
        elif option_id == "routes":
            self.action_routes()
        elif option_id is not None:
            self._open(option_id.removeprefix("s:"))

    def _open(self, session_id: str) -> None:
        head = next(head for head in self._heads if head.id == session_id)
        if head.problem == "damaged":
            self._offer_recovery(session_id)
        else:
            self.look.open_session(session_id)

    def _offer_recovery(self, session_id: str) -> None:
        from checkrun.screens.recover import RecoverScreen

        def done(recover: bool | None) -> None:
            if not recover:
                return
            try:
                recovery = self.look.store.recover(session_id)
            except StoreError as error:
                self.look.tell(str(error))
                return
            lost = "; lost: " + ", ".join(recovery.missing) if recovery.missing else ""
            self.look.tell(f"{recovery.kept} events are kept in {recovery.new_id}{lost}")

        self.app.push_screen(RecoverScreen(session_id), done)

    def action_start(self) -> None:
        """Choose a route and start a walk on it."""
        from checkrun.screens.routes import RoutesScreen

        self.app.push_screen(RoutesScreen(self.look.catalog))

    def action_routes(self) -> None:
        """Browse the routes."""
        self.action_start()

    def action_quit(self) -> None:
        """Leave the program."""
        self.app.exit()

    def action_help(self) -> None:
        """Show the keys."""
        self.look.help("Home")


def _line(head: Head) -> Content:
    """A session in one line; what people typed is never read as markup."""
    if head.problem:
        return Content.assemble(head.id, ("  ", ""), (head.problem, "$error"))
    serial = head.facts.get("serial", "")
    title = head.title.split(",")[0]
    name = f"{head.year} {title}{', ' + serial if serial else ''}"
    signed = f"  signed by {head.signed_by}" if head.signed_by else ""
    return Content.assemble(
        name,
        (f"  {head.answered} of {head.total}", "$primary"),
        (f"  {head.changed_at.astimezone():%Y-%m-%d %H:%M}{signed}", "$quiet"),
    )
