"""What the walk screen is made of: a session, where the person stands, and how to go on."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, cast

from textual.screen import Screen

from checkrun.screens.widgets.walkview import WalkView
from checkrun.session.errors import StoreError
from checkrun.session.session import Session

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp


class WalkBase(Screen[None]):
    """One session on screen, at one of its checks."""

    def __init__(self, session: Session, *, leave: Callable[[], None]) -> None:
        """Show a session.

        Args:
            session: Open; closed when the screen goes.
            leave: What to do when the person leaves the walk.
        """
        super().__init__()
        self.session = session
        self._leave = leave
        self._at = session.walk.at
        self._came_from = ""

    @property
    def look(self) -> CheckrunApp:
        """The app, by its own type."""
        return cast("CheckrunApp", self.app)

    def on_unmount(self) -> None:
        """Let go of the session's file."""
        self.session.close()

    def on_screen_resume(self) -> None:
        """Show the walk, at first and when another screen has gone from above it."""
        self._show()

    @property
    def view(self) -> WalkView:
        """The part that paints."""
        return self.query_one(WalkView)

    def _show(self, message: str | None = None) -> None:
        """Show the present check; a message stays until the next."""
        if self._at not in self.session.walk.index:
            self._at = self.session.walk.at
        self.view.show(self._at, message)

    def _go(self, check_id: str, message: str = "") -> None:
        """Stand at a check from now on."""
        came_from = self._at
        if not self._do(lambda: self.session.move(check_id)):
            return
        self._at, self._came_from = check_id, came_from
        self.view.face()
        self._show(message)
        self._arrive()

    def _do(self, action: Callable[[], object]) -> bool:
        """Do something that is written down; an error is told and leaves everything as it was."""
        try:
            action()
        except StoreError as error:
            self.look.tell(str(error))
            return False
        return True

    def _may_enter(self) -> bool:
        """Whether something can be entered now; if not, says why."""
        walk = self.session.walk
        if self.session.read_only:
            self.look.tell(f"Looking only: {self.session.busy}")
        elif walk.signed is not None:
            self.look.tell(
                f"Signed off by {walk.signed[0]}. To change something, press m for the summary "
                "and o to open the session again."
            )
        else:
            return True
        return False

    def _arrive(self) -> None:
        """What is done on standing at a check; a walk asks for the car's state here."""

    def _walked(self) -> None:
        """What is done when nothing is left to go to; a walk shows its summary here."""
