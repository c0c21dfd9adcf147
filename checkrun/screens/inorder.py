"""Keys one after the other: each is done with before the next is looked at.

A slow line or a busy machine delivers keys in bursts. Textual sends each key at once to whatever
has the focus at that moment, so that `12.5 Enter p` in one burst would all go to the walk, before
the first digit has opened the reading field. Here a key waits until the one before it has gone all
the way up to the app and what it set off, a focus or another screen, stands.
"""

from __future__ import annotations

from collections import deque
from time import monotonic
from typing import Any, TypeVar

from textual import events
from textual.app import App
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget

T = TypeVar("T")

#: Seconds after which what a key set off stands in any case; a key that comes later need not ask.
_SETTLES = 0.1
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
        self._turn = 0
        self._sent_at = 0.0
        self._target: Widget | None = None
        self._screen_before: Screen[Any] | None = None

    @property
    def keys_waiting(self) -> int:
        """How many keys and pastes have come that no widget has been given yet."""
        return len(self._held)

    async def on_event(self, event: events.Event) -> None:
        """Hold back a key that comes on the heels of another."""
        if not isinstance(event, (events.Key, events.Paste)) or event.is_forwarded:
            await super().on_event(event)
        elif self._held or event.time - self._sent_at < _SETTLES:
            self._held.append(event)
            if len(self._held) == 1:
                self._ask()
        else:
            await self._let_go(event)

    async def _let_go(self, event: events.Key | events.Paste) -> None:
        """Send a key on its way."""
        self._turn += 1
        self._sent_at = monotonic()
        self._screen_before = self.screen
        self._target = self.focused or self.screen
        await super().on_event(event)

    def _ask(self) -> None:
        """Send what tells when the last key has arrived behind it."""
        turn = self._turn
        self.set_timer(_PATIENCE, lambda: self._go_on(turn))
        if not self._send(Passed(turn, _ROUNDS)):
            self.call_later(self._go_on, turn)

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

    async def _go_on(self, turn: int) -> None:
        """Let the next key go, unless that was done already."""
        if turn == self._turn and self._held:
            event = self._held.popleft()
            await self._let_go(event)
            if self._held:
                self._ask()
