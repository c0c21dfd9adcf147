"""`for-each`: a check, station or include once for each value, with the value in its texts.

In a text `{corner}` gives the words (`left front`), `{Corner}` the same with a capital letter and
`{corner-id}` the value itself (`left-front`). Where an id stands `{corner}` gives the value itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product

from checkrun.route.nodes import Map, Node, Refused, Scalar, Seq
from checkrun.route.problems import closest
from checkrun.route.read import Key, Reader, ident, list_of
from checkrun.route.shapes import Shape, takes

#: The names that have a value here, the outermost first, and their values.
Values = tuple[tuple[str, str], ...]

#: Keys of checks and stations whose value is an id, at whatever depth they stand.
_ID_KEYS = frozenset({"id", "place", "after", "claim", "cause", "together", "mark"})
_GAP = re.compile(r"\{([A-Za-z][A-Za-z0-9_ -]*)\}")
_AS_ID = "-id"
_LONGEST = 60


@takes(Shape("named", list_of(ident)))
def _untouched(reader: Reader, node: Node) -> Node:
    """The node itself: `rounds` reads it before anything else is read."""
    return node


FOR_EACH = Key(_untouched, "one of it for each value: names, and the ids each stands for in turn")


def rounds(reader: Reader, node: Node, outer: Values) -> tuple[Iterator[Values], bool]:
    """The values of every round of a `for-each`, the last name changing fastest.

    Args:
        reader: Where problems are told.
        node: What stands under `for-each`.
        outer: The values given further out.

    Returns:
        The rounds, and whether all of it could be read. What can't be read makes one round, so that
        what stands under it is read all the same.
    """
    if not isinstance(node, Map):
        reader.shape(node, "a name with its values, such as {side: [left, right]},")
        return iter((outer,)), False
    lists: list[list[tuple[str, str]]] = []
    whole = bool(node.entries)
    if not whole:
        reader.tell(node, "R063", "`for-each` has no name", "Write {side: [left, right]}.")
    for name, (key, value) in node.entries.items():
        if ident(reader, key) is None or not _is_free(reader, key, outer):
            whole = False
            continue
        found, good = _values(reader, name, value)
        whole = whole and good
        lists.append([(name, each) for each in found or [name]])
    return ((*outer, *chosen) for chosen in product(*lists)), whole


def _is_free(reader: Reader, key: Scalar, outer: Values) -> bool:
    if key.text.endswith(_AS_ID):
        message = f"a name of `for-each` can't end in `{_AS_ID}`"
        hint = f"`{{name{_AS_ID}}}` is how the value itself is written; choose another name."
        reader.tell(key, "R063", message, hint)
        return False
    if key.text in dict(outer):
        message = f"`{key.text}` has a value here already"
        reader.tell(key, "R063", message, "It comes from further out; choose another name.")
        return False
    return True


def _values(reader: Reader, name: str, node: Node) -> tuple[list[str], bool]:
    if not isinstance(node, Seq):
        reader.shape(node, "a list")
        return [], False
    if not node.items:
        reader.tell(node, "R063", f"`{name}` has no value", "Write one at least.")
    found: list[str] = []
    for item in node.items:
        value = ident(reader, item)
        if value is not None and len(value) > _LONGEST:
            message = f"a value of `for-each` has at most {_LONGEST} characters"
            reader.tell(item, "R063", message, "Give it a shorter name.")
        elif value in found:
            message = f"the value `{value}` is there a second time"
            reader.tell(item, "R063", message, "Each value gives one of its own; take one out.")
        elif value is not None:
            found.append(value)
    return found, len(found) == len(node.items) > 0


class Filler:
    """Puts the values of one round into the texts of a tree; every node keeps its place."""

    def __init__(self, reader: Reader, values: Values) -> None:
        self._reader = reader
        self._values = values
        self._ids: dict[str, str] = {}
        self._words: dict[str, str] = {}
        for name, value in values:
            words = value.replace("-", " ")
            self._ids |= {name: value, f"{name}{_AS_ID}": value}
            self._words |= {name: words, f"{name}{_AS_ID}": value}
            self._words[name[0].upper() + name[1:]] = words[0].upper() + words[1:]

    def fill(self, node: Node, key: str) -> Node:
        """The tree under a key, with the values in its texts."""
        if type(node) is Scalar:
            return self._scalar(node, self._ids if key in _ID_KEYS else self._words)
        if type(node) is Seq:
            items = [self.fill(item, key) for item in node.items]
            return Seq(node.file, node.line, node.column, items)
        if type(node) is not Map:
            return node
        gap = _unquoted(node)
        if gap in self._words:
            message = f"`{{{gap}}}` must stand in quotes here"
            self._reader.tell(node, "R022", message, f'Write "{{{gap}}}".')
            return Refused(node.file, node.line, node.column)
        entries: dict[str, tuple[Scalar, Node]] = {}
        for name, (key_node, value) in node.entries.items():
            named = self._scalar(key_node, self._words)
            entries[named.text] = (named, self.fill(value, name))
        return Map(node.file, node.line, node.column, entries)

    def ident(self, node: Scalar) -> Scalar:
        """An id with each value in it: where it names it, else at its end."""
        filled = self._scalar(node, self._ids)
        named = {found[1].removesuffix(_AS_ID) for found in _GAP.finditer(node.text)}
        added = [value for name, value in self._values if name not in named]
        if not added:
            return filled
        text = "-".join([filled.text, *added])
        return Scalar(node.file, node.line, node.column, text, node.plain)

    def _scalar(self, node: Scalar, known: dict[str, str]) -> Scalar:
        if "{" not in node.text:
            return node

        def value(gap: re.Match[str]) -> str:
            found = known.get(gap[1])
            if found is None:
                self._stray(node, gap, known)
            return gap[0] if found is None else found

        text = _GAP.sub(value, node.text)
        return Scalar(node.file, node.line, node.column, text, node.plain)

    def _stray(self, node: Scalar, gap: re.Match[str], known: dict[str, str]) -> None:
        """Tell braces no value can be put into; without any value they may be meant as they are."""
        message = f"nothing gives `{gap[0]}` a value here"
        if not known:
            hint = "Take it in with a `for-each` of that name, or write it without braces."
            self._reader.tell(node, "R068", message, hint, warning=True)
            return
        near = closest(gap[1], known)
        names = ", ".join(f"`{{{name}}}`" for name in known)
        hint = f"Did you mean `{{{near}}}`?" if near else f"Known here: {names}."
        self._reader.tell(node, "R064", message, hint)


def _unquoted(node: Map) -> str | None:
    """The name in `{name}` that YAML takes for a mapping, or None for any other mapping."""
    if len(node.entries) != 1:
        return None
    ((name, (_, value)),) = node.entries.items()
    return name if isinstance(value, Scalar) and value.plain and not value.text else None
