"""Keys one after the other: each is done with before the next is looked at.

A slow line or a busy machine delivers keys in bursts. Textual sends each key at once to whatever
has the focus at that moment, so that `12.5 Enter p` in one burst would all go to the walk, before
the first digit has opened the reading field. Here a key waits until the one before it has gone all
the way up to the app and what it set off, a focus or another screen, stands.
"""

from __future__ import annotations

from collections import deque
from typing import Any, TypeVar

from textual import events
from textual.app import App
from textual.message import Message
from textual.widget import Widget

T = TypeVar("T")

#: Seconds after which a key is let go although the one before it was never heard of again, as when
#: the widget that had it was taken away.
_PATIENCE = 0.4
#: Enter in a field sets off two messages, one after the other: a round for each, and its own.
_ROUNDS = 3


class Passed(Message):
    """Follows a key on its way up to the app.

    A key can set off a message, and that another, each one round behind it.
    """

    def __init__(self, turn: int, rounds: int) -> None:
        super().__init__()
        self.turn = turn
        self.rounds = rounds


class InOrder(App[T]):
    """An app that takes keys and pastes in order."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self._held: deque[events.Key | events.Paste] = deque()
        self._target: Widget | None = None
        self._turn = 0
        self._under_way = False
        self._watched = False

    async def on_event(self, event: events.Event) -> None:
        """Hold back a key while another is under way."""
        if not isinstance(event, (events.Key, events.Paste)) or event.is_forwarded:
            await super().on_event(event)
            return
        self._held.append(event)
        if not self._under_way:
            await self._let_go()
        elif not self._watched:
            self._watched = True
            self.set_timer(_PATIENCE, lambda: self._go_on(self._turn, watchdog=True))

    async def _let_go(self) -> None:
        """Send the next key on its way, and what tells when it has arrived behind it."""
        event = self._held.popleft()
        self._turn += 1
        self._under_way = True
        self._screen_before = self.screen
        self._target = self.focused or self.screen
        await super().on_event(event)
        self._send(Passed(self._turn, _ROUNDS))

    def _send(self, message: Passed) -> bool:
        """Send it after the key; False if what had the key is gone."""
        return self._target is not None and self._target.post_message(message)

    def on_passed(self, message: Passed) -> None:
        """The key has arrived; what it set off comes first."""
        message.stop()
        turn = message.turn
        if message.rounds > 1 and self._send(Passed(turn, message.rounds - 1)):
            return
        if self.screen is self._screen_before:
            # A focus that the key asked for was put into the same queue before this.
            self.call_later(self._go_on, turn)
        else:
            self.screen.call_after_refresh(lambda: self.call_later(self._go_on, turn))

    async def _go_on(self, turn: int, *, watchdog: bool = False) -> None:
        """Let the next key go, unless that was done already."""
        if watchdog:
            self._watched = False
        if turn != self._turn or not self._under_way:
            return
        self._under_way = False
        if self._held:
            await self._let_go()
