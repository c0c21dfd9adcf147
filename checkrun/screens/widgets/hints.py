"""The line of keys at the foot of a screen, made from the table of keys."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from textual.binding import Binding

from checkrun.screens.widgets.painted import Painted, Runs


class Hints(Painted):
    """As many keys as fit, in the table's order; help comes last and always fits."""

    DEFAULT_CSS = "Hints { height: 1; background: $panel; }"

    def __init__(
        self, bindings: Sequence[Binding], *, rows: int = 1, id: str = "hints", help: str = "?"
    ) -> None:
        super().__init__(id=id)
        self._help = help
        self._keys = tuple(bindings)
        self._most = rows
        self.styles.height = rows

    def show(self, bindings: Sequence[Binding]) -> None:
        """Show other keys from now on."""
        self._keys = tuple(bindings)
        self.change()

    def make(self, width: int, height: int) -> Iterable[Runs]:
        """The keys that fit the width."""
        key_names = self.app.key_names  # type: ignore[attr-defined]
        last = (self._help, "help")
        rows: list[list[tuple[str, str]]] = [[]]
        used = 0
        for binding in self._keys:
            name = key_names(binding).split(" or ")[0]
            size = len(name) + len(binding.description) + 3
            room = width - (len(f" {self._help} help") if len(rows) == self._most else 0)
            if used + size > room:
                if len(rows) == self._most:
                    break
                rows.append([])
                used = 0
            rows[-1] += [(f" {name}", "key"), (f" {binding.description} ", "text")]
            used += size
        rows[-1] += [(f" {last[0]}", "key"), (f" {last[1]}", "text")]
        return rows
