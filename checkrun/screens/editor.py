"""The text of a route: written, checked as one writes, and saved without losing anything.

What was installed is never changed: the first save of such a file makes a copy in one's own folder.
A text with mistakes is saved like any other; it only can't be walked, and the screen says why.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.screen import Screen
from textual.timer import Timer
from textual.widgets import TextArea

from checkrun import locations
from checkrun.report.editrows import next_problem, why_not
from checkrun.report.sheet import Row
from checkrun.route.catalog import Catalog
from checkrun.route.draft import Checked, Draft, taker_of
from checkrun.screens import keys
from checkrun.screens.theme import BREAKPOINTS, width_class
from checkrun.screens.widgets.beside import About, Beside
from checkrun.screens.widgets.hints import Hints
from checkrun.screens.widgets.painted import Painted
from checkrun.screens.widgets.sheet import Sheet
from checkrun.screens.widgets.yamlarea import YamlArea
from checkrun.session.openfile import OpenFile
from checkrun.session.routefile import put_schema_beside

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp

#: Seconds without a key after which the text is checked.
_PAUSE = 0.25
#: Drafts of route files stand under this name among those of sessions.
_DRAFTS = "route-file"
#: What the headline says of whose a file is.
_WHOSE = {"shipped": "shipped: changes go into a copy of your own", "yours": "yours"}


class EditorScreen(Screen[None]):
    """One route file, or a piece."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.EDITOR]
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS

    def __init__(self, catalog: Catalog, path: Path, through: Path | None = None) -> None:
        """Open a file.

        Args:
            catalog: Where the routes it goes with are found.
            path: The file.
            through: For a piece, a route that takes it in; by default the first that does.

        Raises:
            CannotEdit: If it is no text, or one that would not be written back as it is.
        """
        super().__init__()
        self._catalog = catalog
        self._file = OpenFile(path)
        self._through = through or taker_of(catalog, path)
        self._draft = Draft(catalog, path, self._through)
        self._checked = Checked(None, (), ())
        self._sought = ""
        self._pause: Timer | None = None
        self._said = ""
        self._gone = False

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    @property
    def area(self) -> YamlArea:
        """The text."""
        return self.query_one(YamlArea)

    @property
    def beside(self) -> Beside:
        """What stands beside it."""
        return self.query_one(Beside)

    @property
    def changed(self) -> bool:
        """Whether the text is not what is on disk."""
        return self._file.differs(self.area.text)

    @property
    def unchecked(self) -> bool:
        """Whether something was typed that has not been checked yet."""
        return self._pause is not None

    def compose(self) -> ComposeResult:
        """Headline, the text and what stands beside it, what was said last, keys."""
        self.add_class(width_class(self.app.size.width))
        yield Painted(id="headline")
        with Container(id="writing"):
            yield YamlArea(self._file.text)
            yield Beside(self._draft, self.look.glyphs)
        yield Sheet(id="said", more="F4")
        narrow = self.has_class("-narrow")
        yield Hints(keys.EDITOR, rows=2 if narrow else 1, help="F1")

    def on_mount(self) -> None:
        """Check it; bring back what was typed and never saved."""
        area = self.area
        area.focus()
        kept = self.look.drafts.get(_DRAFTS, "text", str(self._file.path))
        self.check()
        if kept is not None and kept != area.text:
            area.replace(kept, area.document.start, area.document.end)
            area.move_cursor((0, 0))
            self._say("What was typed here and never saved is back; ctrl+z takes it away.")

    # As one writes

    @on(TextArea.Changed)
    def _typed(self, event: TextArea.Changed) -> None:
        event.stop()
        self.area.text_changed()
        if self._pause is not None:
            self._pause.stop()
        self._pause = self.set_timer(_PAUSE, self.check)

    @on(TextArea.SelectionChanged)
    def _moved(self, event: TextArea.SelectionChanged) -> None:
        event.stop()
        self._say("")
        self.beside.moved(self._cursor()[0])

    def check(self) -> None:
        """Read the text as it is now, keep it, and show what it comes to."""
        if self._gone:
            return
        if self._pause is not None:
            self._pause.stop()
            self._pause = None
        text, name = self.area.text, str(self._file.path)
        self._checked = self._draft.check(text)
        self.area.show_faults(self._checked.here)
        changed = self._file.differs(text)
        if changed:
            self.look.drafts.keep(_DRAFTS, "text", name, text)
        else:
            self.look.drafts.drop(_DRAFTS, "text", name)
        self._show_headline(changed=changed)
        self._say(self._said)
        self.beside.take(self._checked, self._cursor()[0])

    def _show_headline(self, *, changed: bool) -> None:
        whose = self._file.whose(locations.shipped("checklists"), locations.own_routes())
        here = self._checked.here
        errors = sum(not problem.warning for problem in here)
        state = [f"{errors} wrong"] * bool(errors)
        state += [f"{len(here) - errors} to better"] * bool(len(here) - errors)
        role = "fail" if errors else "concern" if here else "pass"
        row = [
            (f" {self._file.path.name} ", "here"),
            (" not saved ", "concern") if changed else (" saved ", "quiet"),
            (f" {', '.join(state) or 'no problem'} ", role),
            (f" {_WHOSE.get(whose, self._file.path.parent)} ", "quiet"),
        ]
        self.query_one("#headline", Painted).paint([row])

    def _say(self, text: str) -> None:
        """Say something; with nothing to say the problem at the cursor stands there."""
        self._said, role = text, "message"
        line, _ = self._cursor()
        here = [problem for problem in self._checked.here if problem.line == line]
        if here and not text:
            text = f"{here[0].message}. {here[0].hint}".strip()
            role = "concern" if here[0].warning else "error-text"
        self.query_one("#said", Sheet).show([Row("", text, role)])

    def _cursor(self) -> tuple[int, int]:
        """Line and column of the cursor, from 1."""
        row, column = self.area.cursor_location
        return row + 1, column + 1

    # Keys

    def action_save(self) -> None:
        """Write the file."""
        self._save()

    def action_next_problem(self) -> None:
        """Go to the next problem, and list them."""
        self.check()
        place = next_problem(self._checked.here, *self._cursor())
        if place >= 0:
            problem = self._checked.here[place]
            self.area.go_to(problem.line, problem.column)
        else:
            elsewhere = bool(self._checked.elsewhere)
            self._say("The problems are in other files." if elsewhere else "There is no problem.")
        self.beside.show_problem(self._cursor()[0])

    def action_preview(self) -> None:
        """Show the check at the cursor; again: the problems."""
        self._turn_to(About.PREVIEW)

    def action_differences(self) -> None:
        """Show what differs from the route below; again: the problems."""
        self._turn_to(About.DIFFERENCES)

    def _turn_to(self, about: About) -> None:
        if self.unchecked:
            self.check()
        self.beside.turn_to(about, self._cursor()[0])

    def action_more(self) -> None:
        """Read on in what stands beside the text."""
        self.beside.read_on()

    def action_find(self) -> None:
        """Find words."""
        from checkrun.screens.ask import AskScreen

        def done(words: str | None) -> None:
            if words:
                self._sought = words
                if not self.area.find(words):
                    self._say(f"`{words}` is nowhere in this file.")

        screen = AskScreen("Find", "Capitals make no difference.", "words", value=self._sought)
        self.app.push_screen(screen, done)

    def action_follow(self) -> None:
        """Open what the line at the cursor names."""
        self.check()
        name = self._draft.spot(self._cursor()[0]).leads_to
        path = self._draft.file_of(name) if name else None
        if path is None:
            self._say("A line with `built-on` or `include` leads to a file; this one doesn't.")
            return
        through = self._through or self._file.path
        self.look.edit_file(self._catalog, path, through if "/" in name else None)

    def on_screen_resume(self) -> None:
        """What lies below may have been changed meanwhile."""
        if self.is_mounted:
            self.check()

    def action_leave(self) -> None:
        """Close the file, if need be after asking."""
        if not self.changed:
            self._close()
            return
        from checkrun.screens.unsaved import UnsavedScreen

        def done(choice: str | None) -> None:
            if choice == "drop" or (choice == "save" and self._save()):
                self._close()

        self.app.push_screen(UnsavedScreen(self._file.path.name), done)

    def action_help(self) -> None:
        """Show the keys."""
        self.look.help("Writing a route")

    def _save(self) -> bool:
        """Write the file; whether that went well."""
        from checkrun.report.guide import schema_text

        own, shipped = locations.own_routes(), locations.shipped("checklists")
        before = self._file.path
        try:
            saved = self._file.save(self.area.text, shipped, own)
            put_schema_beside(saved.path, own, schema_text())
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            self.look.tell(f"{before.name} can't be saved: {reason}. What you wrote is still here.")
            return False
        self.look.drafts.drop(_DRAFTS, "text", str(before))
        if saved.path != before:
            self._draft.move(saved.path)
        self.check()
        said = [f"Saved to {saved.path}"]
        if saved.backup is not None:
            said.append(f"as it was it is kept in {saved.backup.name}")
        self._say("; ".join(filter(None, [*said, why_not(self._checked)])) + ".")
        return True

    def _close(self) -> None:
        self._gone = True
        self._draft.let_go()
        self.look.drafts.drop(_DRAFTS, "text", str(self._file.path))
        self.look.leave_intake()
