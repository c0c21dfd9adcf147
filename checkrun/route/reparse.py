"""A file that is being edited, parsed again and again: only what changed is parsed anew.

Most of a route is its list of stations, and an edit touches one of them. The list is cut at the
dashes of its items, each item is parsed by itself, and its tree is kept by its text. What can't be
cut so with certainty is parsed as a whole: a file with a mistake of YAML in it, with more than one
document, with tabs, or whose stations are no plain list.
"""

from __future__ import annotations

import re

from checkrun.route.nodes import Map, Node, Scalar, Seq, parse
from checkrun.route.problems import Problem

_STATIONS = re.compile(r"^stations:[ ]*(?:#.*)?$", re.M)
_DASH = re.compile(r"( *)- ")
#: Lines in which a document begins or ends, a directive stands, or YAML sees a line end of its own.
_OTHER = re.compile("^(?:---|\\.\\.\\.|%)|[\t\r\x85\u2028\u2029]", re.M)

#: An item's text -> its tree, and the lines that stood above it.
_Kept = dict[str, tuple[Seq, int]]


class Reparser:
    """Parses the texts of one file, each in as little time as the edit since the last allows."""

    def __init__(self, file: str) -> None:
        self._file = file
        self._kept: _Kept = {}

    def parse(self, text: str) -> tuple[Node | None, list[Problem]]:
        """As `nodes.parse`: the tree of the text, and all problems of reading it."""
        cut = _cut(text)
        if cut is not None:
            found = self._in_parts(text, *cut)
            if found is not None:
                return found, []
        return parse(text, self._file)

    def _in_parts(self, text: str, start: int, ends: list[int]) -> Node | None:
        """The tree, or None if the parts don't fit together or one can't be read."""
        items = [text[here:there] for here, there in zip([start, *ends], ends, strict=False)]
        blank = "\n" * text.count("\n", start, ends[-1])
        root, problems = parse(text[:start] + blank + text[ends[-1] :], self._file)
        if problems or not isinstance(root, Map):
            return None
        entry = root.entries.get("stations")
        line = text.count("\n", 0, start)
        if entry is None or not _nothing(entry[1]) or entry[0].line > line:
            return None
        kept: _Kept = {}
        nodes: list[Node] = []
        first: Seq | None = None
        for item in items:
            # Two equal items are two trees: nothing may stand at two places.
            known = self._kept.pop(item, None)
            read = self._item(item) if known is None else known[0]
            if read is None:
                return None
            _move(read, line - (0 if known is None else known[1]))
            kept[item] = (read, line)
            nodes += read.items
            first = first or read
            line += item.count("\n")
        self._kept = kept
        assert first is not None
        stations = Seq(self._file, first.line, first.column, nodes)
        root.entries["stations"] = (entry[0], stations)
        return root

    def _item(self, item: str) -> Seq | None:
        """One item as a list of one, or None if it can't be read or is more than that."""
        root, problems = parse(item, self._file)
        if problems or not isinstance(root, Seq) or len(root.items) != 1:
            return None
        return root


def _cut(text: str) -> tuple[int, list[int]] | None:
    """Where the first item of the stations begins and where each ends, or None."""
    heads = list(_STATIONS.finditer(text))
    if len(heads) != 1 or _OTHER.search(text):
        return None
    place = heads[0].end() + 1
    start, indent, ends = -1, 0, []
    while place < len(text):
        end = text.find("\n", place) + 1 or len(text)
        dash = _DASH.match(text, place, end)
        if start < 0:
            if dash is not None:
                start, indent = place, len(dash[1])
            elif text[place:end].strip() and not text[place:end].lstrip().startswith("#"):
                return None
        elif dash is not None and len(dash[1]) == indent:
            ends.append(place)
        elif text[place] not in " #\n":
            break
        place = end
    return (start, [*ends, place]) if start >= 0 else None


def _nothing(node: Node) -> bool:
    """Whether a key has no value."""
    return isinstance(node, Scalar) and node.plain and not node.text


def _move(node: Node, lines: int) -> None:
    """Move a tree down by some lines."""
    if not lines:
        return
    left = [node]
    while left:
        node = left.pop()
        node.line += lines
        if type(node) is Seq:
            left += node.items
        elif type(node) is Map:
            for key, value in node.entries.values():
                key.line += lines
                left.append(value)
