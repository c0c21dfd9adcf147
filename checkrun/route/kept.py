"""What was made of nodes before, where they are read again: by other layers, or while one writes.

A node that is still the same object is what it was, but for its line; so only what comes without a
problem is kept, for a problem says where it stands. What was of no use since one `begin` is
forgotten with the next.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from checkrun.route.nodes import Node
from checkrun.route.read import Reader

if TYPE_CHECKING:
    from checkrun.route.includes import Expanded

_Made = TypeVar("_Made")


class Kept:
    """The results since the last `begin` but one.

    Attributes:
        expanded: What whole files came to with their pieces in their places, by the file.
    """

    def __init__(self) -> None:
        self.expanded: dict[Path, Expanded] = {}
        #: What it was made of, and how -> the node itself, so that it lives on, and the result.
        self._now: dict[Hashable, tuple[Node, object]] = {}
        self._before: dict[Hashable, tuple[Node, object]] = {}

    def begin(self) -> None:
        """Something was changed: what no reading has a use for from now on can go."""
        self._before, self._now = self._now, {}

    def make(self, reader: Reader, node: Node, how: Hashable, make: Callable[[], _Made]) -> _Made:
        """What is made of a node: as it was made before, or made now.

        Args:
            reader: Told of what is wrong; then the result is not kept.
            node: What it is made of; changed in nothing but its line since.
            how: All else that the result hangs on.
            make: Makes it.
        """
        key = (id(node), how)
        known = self._now.get(key) or self._before.get(key)
        if known is None:
            problems = len(reader.problems)
            made = make()
            if len(reader.problems) > problems:
                return made
            known = (node, made)
        self._now[key] = known
        return known[1]  # type: ignore[return-value]
