"""Asked before a file is left whose changes are not saved."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from checkrun.screens import keys
from checkrun.screens.dialog import Dialog, said


class UnsavedScreen(Dialog[str]):
    """Answers `save` or `drop`, or nothing if the person writes on."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.UNSAVED]
    HELP = "Changes that are not saved"

    def __init__(self, name: str) -> None:
        super().__init__("Not saved yet", keys.UNSAVED)
        self._name = name

    def content(self) -> Iterable[Widget]:
        """Which file it is."""
        yield said(f"{self._name} has changes that are not on disk.")

    def action_save(self) -> None:
        """Save them."""
        self.dismiss("save")

    def action_drop(self) -> None:
        """Leave the file as it is on disk."""
        self.dismiss("drop")

    def action_back(self) -> None:
        """Write on."""
        self.dismiss(None)
