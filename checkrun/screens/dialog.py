"""What every dialog is: a box over the screen with a title, its content and its keys."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, ClassVar, TypeVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Static

from checkrun.screens import keys
from checkrun.screens.widgets.hints import Hints

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp

T = TypeVar("T")


class Dialog(ModalScreen[T]):
    """A box with a title above and the keys below; a dialog gives its answer by `dismiss`."""

    # A modal screen hides the app's own bindings, so that they must be here too.
    BINDINGS: ClassVar[list[BindingType]] = [*keys.ANYWHERE]
    HELP = "Everywhere"

    def __init__(self, title: str, hints: Sequence[Binding], *, kind: str = "") -> None:
        super().__init__(classes=f"dialog {kind}".strip())
        self._title = title
        self._hints = hints

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    def compose(self) -> ComposeResult:
        """Title, content, keys."""
        with Vertical(id="box"):
            yield said(self._title, "bold")
            yield from self.content()
            yield Hints(self._hints)

    def content(self) -> Iterable[Widget]:
        """What stands between title and keys."""
        return ()

    def action_help(self) -> None:
        """Show the keys."""
        self.look.help(self.HELP)


def said(text: str, style: str = "") -> Static:
    """A text from a file or a person, shown as it is."""
    return Static(Content.styled(text, style) if style else Content(text), classes="said")
