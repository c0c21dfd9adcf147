"""The car's state, and what can be changed about it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from checkrun.route.model import STATE_VALUES
from checkrun.screens import keys
from checkrun.screens.dialog import Dialog
from checkrun.session.stops import Change, change


class CarStateScreen(Dialog[Change]):
    """The five parts of the car's state; answers the change asked for, or nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(i), f"pick({i - 1})", show=False) for i in range(1, len(STATE_VALUES) + 1)),
        *keys.STATE[1:],
    ]

    def __init__(self, state: Mapping[str, str]) -> None:
        super().__init__("The car's state", keys.STATE)
        self._state = state

    def content(self) -> Iterable[Widget]:
        """One line a part: what it is now, and what Enter would make it."""
        yield OptionList(
            *(
                Option(
                    Content(f"{n}  {part:7} {self._state[part]:8} Enter: {self._other(part).do}")
                )
                for n, part in enumerate(STATE_VALUES, start=1)
            )
        )

    def on_mount(self) -> None:
        """Start on the first part."""
        options = self.query_one(OptionList)
        options.focus()
        options.highlighted = 0

    def _other(self, part: str) -> Change:
        first, second = STATE_VALUES[part]
        return change(part, second if self._state[part] == first else first)

    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_pick(event.option_index)

    def action_pick(self, index: int) -> None:
        """Ask for the change of one part."""
        self.dismiss(self._other(list(STATE_VALUES)[index]))

    def action_back(self) -> None:
        """Leave the car as it is."""
        self.dismiss(None)
