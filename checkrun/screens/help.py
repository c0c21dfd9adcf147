"""Every key, what the marks mean, and the words of the trade this program uses."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import Binding, BindingType

from checkrun.report.glyphs import Glyphs
from checkrun.report.sheet import Row
from checkrun.screens import keys
from checkrun.screens.page import Page
from checkrun.screens.widgets.sheet import LABEL

_WORDS = (
    ("pass", "looks as the check says a good one looks"),
    ("concern", "doubtful: worth a second look, or money"),
    ("fail", "looks as the check says a bad one looks"),
    ("not-examined", "not looked at, with a reason; never counts as a pass"),
    ("open", "no result yet"),
    ("aside", "set aside: comes back before you leave the station, and at the end"),
)


class HelpScreen(Page[None]):
    """The keys of one screen first, then those of the others."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.READER]

    def __init__(self, screen: str, glyphs: Glyphs) -> None:
        super().__init__("Keys and words", keys.READER, kind="-tall")
        self._screen = screen
        self._glyphs = glyphs

    def rows(self) -> Iterator[Row]:
        """What there is to read."""
        names = [self._screen, *(name for name in keys.BY_SCREEN if name != self._screen)]
        for name in names:
            yield Row("", name, "title")
            for binding in keys.BY_SCREEN[name]:
                shown = self.look.key_names(binding)
                yield Row(shown if len(shown) < LABEL else "", _entry(shown, binding))
            if name == "Walk":
                yield Row("0-9 - .", "Open the reading field with what you type.")
            if name == "Writing a route":
                yield Row("", "ctrl+z: Undo what was written. ctrl+y: redo. F1: these keys.")
            yield Row("", "")
            if name == self._screen:
                yield from self._words()

    def _words(self) -> Iterator[Row]:
        yield Row("", "Results", "title")
        for word, means in _WORDS:
            yield Row(f"{self._glyphs.result[word]} {word.removesuffix('-examined')}", means, word)
        yield Row("", "")
        yield Row(
            "",
            "Classes: minor, no real effect on safety; major, may harm safety; dangerous, "
            "a direct risk: not to be driven. After Directive 2014/45/EU.",
        )
        yield Row("", "Left and right are as seen from the driver's seat.")
        yield Row("", "")

    def action_help(self) -> None:
        """The help is open already."""

    def action_leave(self) -> None:
        """Close the help."""
        self.dismiss(None)


def _entry(shown: str, binding: Binding) -> str:
    says = f"{binding.tooltip} [{binding.id}]"
    return says if len(shown) < LABEL else f"{shown}: {says}"
