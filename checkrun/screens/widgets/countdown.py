"""A countdown for readings taken over time, shown as a bar while it runs."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic

from textual.timer import Timer
from textual.widget import Widget

_STEP = 0.25


class Countdown:
    """Counts down from a number of seconds; one runs at a time, and stopping it is no fault."""

    def __init__(self, owner: Widget, bar: tuple[str, str], say: Callable[[str], None]) -> None:
        """A countdown that stands still.

        Args:
            owner: Whose timers run; the countdown ends with it.
            bar: The full and the empty cell of the bar.
            say: Shows one line.
        """
        self._owner = owner
        self._bar = bar
        self._say = say
        self._timer: Timer | None = None
        self._seconds = 0.0
        self._started = 0.0

    @property
    def running(self) -> bool:
        """Whether it counts."""
        return self._timer is not None

    def start(self, seconds: float) -> None:
        """Count down from here."""
        self.stop()
        self._seconds, self._started = seconds, monotonic()
        self._timer = self._owner.set_interval(_STEP, self._tick)
        self._tick()

    def stop(self) -> None:
        """Stop counting."""
        if self._timer is not None:
            self._timer.stop()
            self._timer = None

    def _tick(self) -> None:
        gone = min(monotonic() - self._started, self._seconds)
        left = self._seconds - gone
        cells = 20
        full = round(cells * gone / self._seconds)
        line = self._bar[0] * full + self._bar[1] * (cells - full)
        if left > 0:
            self._say(f"{line} {left:.0f} s of {self._seconds:.0f} s; w stops it")
            return
        self.stop()
        self._say(f"{line} time: read the end value, then r to type start and end")
        self._owner.app.bell()
