"""YAML text to a tree of places: every scalar as it was written, with file, line and column.

The tree is built straight from the parser's events, so nothing is resolved or guessed: what type a
value has is up to the key it stands under. Anchors, aliases, tags and merge keys are refused.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from checkrun.route.problems import Problem, place_of, printable

#: A route is text for one kind of car; ten thousand checks take about 5 MiB.
LARGEST = 8 * 1024 * 1024
_DEEPEST = 24
#: Can stand in a text by an escape only, and would play tricks on a terminal.
_CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")


class Node:
    """A value of a YAML file and where it stands (1-based line and column)."""

    __slots__ = ("column", "file", "line")

    def __init__(self, file: str, line: int, column: int) -> None:
        self.file = file
        self.line = line
        self.column = column

    def problem(self, code: str, message: str, hint: str = "", *, warning: bool = False) -> Problem:
        """A problem at this place."""
        said = printable(message), printable(hint)
        return Problem(self.file, self.line, self.column, code, *said, warning)


class Scalar(Node):
    """A text as written; `plain` if it stood without quotes and not as a block."""

    __slots__ = ("plain", "text")

    def __init__(self, file: str, line: int, column: int, text: str, plain: bool) -> None:
        self.file = file
        self.line = line
        self.column = column
        self.text = text
        self.plain = plain


class Refused(Node):
    """Stands where a value was refused and told already: nothing more is said of it."""

    __slots__ = ()


class Seq(Node):
    """A list."""

    __slots__ = ("items",)

    def __init__(self, file: str, line: int, column: int, items: list[Node] | None = None) -> None:
        self.file = file
        self.line = line
        self.column = column
        self.items: list[Node] = [] if items is None else items


class Map(Node):
    """A mapping: each key's text to the key's own place and its value."""

    __slots__ = ("entries",)

    def __init__(
        self,
        file: str,
        line: int,
        column: int,
        entries: dict[str, tuple[Scalar, Node]] | None = None,
    ) -> None:
        self.file = file
        self.line = line
        self.column = column
        self.entries: dict[str, tuple[Scalar, Node]] = {} if entries is None else entries

    def get(self, key: str) -> Node | None:
        """The value under a key, or None."""
        entry = self.entries.get(key)
        return None if entry is None else entry[1]


def decode(raw: bytes, file: str) -> tuple[str, list[Problem]]:
    """The text of a route file, or an empty text and why it is none."""
    if len(raw) > LARGEST:
        message = f"the file is larger than {LARGEST >> 20} MiB, the most a route may hold"
        return "", [Problem(file, 1, 1, "R003", message, "Is this the right file?")]
    if b"\0" in raw:
        hint = "A route is a plain text file in UTF-8; save it as such."
        return "", [
            Problem(file, 1, 1, "R002", "this is not a text file (it holds NUL bytes)", hint)
        ]
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = error.object[: error.start].decode("utf-8", "replace")
        line, column = place_of(before, len(before))
        message = f"byte 0x{error.object[error.start]:02x} is not UTF-8"
        return "", [Problem(file, line, column, "R002", message, "Save the file as UTF-8.")]
    if not text.strip():
        hint = "A route starts with `format: 1`, `id:` and `title:`."
        return "", [Problem(file, 1, 1, "R004", "the file is empty", hint)]
    return text, []


def parse(text: str, file: str, loader: Any = None) -> tuple[Node | None, list[Problem]]:
    """The tree of one YAML document.

    Args:
        text: The file's text.
        file: Its name, for the problems.
        loader: A PyYAML loader class; by default the C one where libyaml is there.

    Returns:
        The root and all problems of reading it; the root is None if nothing could be made of it.
    """
    if loader is None:
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    problems: list[Problem] = []
    if "\t" in text:
        from checkrun.route.syntax import tabs

        problems += tabs(text, file)
    builder = _Builder(file, problems)
    try:
        for event in yaml.parse(text, Loader=loader):
            builder.take(event)
            if builder.over:
                return None, problems
    except yaml.MarkedYAMLError as error:
        from checkrun.route.syntax import not_yaml

        broken = not_yaml(error, text, file)
        if not any(problem.line == broken.line for problem in problems):
            problems.append(broken)
        return None, problems
    except yaml.reader.ReaderError as error:
        from checkrun.route.syntax import unreadable

        problems.append(unreadable(error, text, file))
        return None, problems
    root = builder.root
    blank = root is None or (isinstance(root, Scalar) and root.plain and not root.text)
    if blank and not problems:
        hint = "A route starts with `format: 1`, `id:` and `title:`."
        problems.append(Problem(file, 1, 1, "R004", "the file holds nothing but comments", hint))
        return None, problems
    return root, problems


class _Builder:
    """Turns parser events into nodes, collecting what is refused."""

    def __init__(self, file: str, problems: list[Problem]) -> None:
        self.file = file
        self.problems = problems
        self.root: Node | None = None
        self.over = False
        self._stack: list[Seq | Map] = []
        self._keys: list[Node | None] = []
        self._documents = 0

    def take(self, event: Any) -> None:
        """Add one event to the tree."""
        kind = type(event)
        if kind is yaml.ScalarEvent:
            self._scalar(event)
        elif kind is yaml.MappingStartEvent or kind is yaml.SequenceStartEvent:
            self._open(event, Map if kind is yaml.MappingStartEvent else Seq)
        elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
            self._stack.pop()
            self._keys.pop()
        elif kind is yaml.AliasEvent:
            self._refuse(event)
            mark = event.start_mark
            self._add(Refused(self.file, mark.line + 1, mark.column + 1))
        elif kind is yaml.DocumentStartEvent:
            self._documents += 1
            if self._documents == 2:
                self._problem(
                    event,
                    "R010",
                    "a second document starts here",
                    "One file holds one route; take the line `---` out.",
                )
                self.over = True

    def _scalar(self, event: Any) -> None:
        mark = event.start_mark
        if event.anchor is not None or event.tag is not None:
            self._refuse(event)
        value = event.value
        found = _CONTROL.search(value) if event.style == '"' else None
        if found is not None:
            self._problem(
                event,
                "R011",
                f"the text holds a control character (U+{ord(found.group()):04X})",
                "Take the escape out; a text holds letters, signs and line ends only.",
            )
            value = _CONTROL.sub("?", value)
        self._add(Scalar(self.file, mark.line + 1, mark.column + 1, value, not event.style))

    def _open(self, event: Any, shape: type[Map] | type[Seq]) -> None:
        mark = event.start_mark
        if event.anchor is not None or event.tag is not None:
            self._refuse(event)
        node = shape(self.file, mark.line + 1, mark.column + 1)
        self._add(node)
        self._stack.append(node)
        self._keys.append(None)
        if len(self._stack) > _DEEPEST:
            self._problem(
                event,
                "R009",
                f"values are nested more than {_DEEPEST} deep",
                "A route needs at most seven levels; a bracket may be missing.",
            )
            self.over = True

    def _add(self, node: Node) -> None:
        if not self._stack:
            self.root = node
            return
        parent = self._stack[-1]
        if type(parent) is Seq:
            parent.items.append(node)
            return
        key = self._keys[-1]
        if key is None:
            self._keys[-1] = node
            if not isinstance(node, (Scalar, Refused)):
                self.problems.append(
                    node.problem(
                        "R022", "a key must be a word", "Is a colon or a bracket too much here?"
                    )
                )
            return
        self._keys[-1] = None
        if not isinstance(key, Scalar):
            return
        assert type(parent) is Map
        first = parent.entries.get(key.text)
        if first is not None:
            self.problems.append(
                key.problem(
                    "R007",
                    f"the key `{key.text}` stands here a second time",
                    f"It stands first in line {first[0].line}; keep one of the two.",
                )
            )
            return
        parent.entries[key.text] = (key, node)

    def _refuse(self, event: Any) -> None:
        if type(event) is yaml.AliasEvent:
            what, sign, name = "alias", "*", f"*{event.anchor}"
            else_ = "write the value out"
        elif event.anchor is not None:
            what, sign, name = "anchor", "&", f"&{event.anchor}"
            else_ = "take it out"
        else:
            what, sign = "tag", "!"
            name = event.tag.replace("tag:yaml.org,2002:", "!!")
            else_ = "take it out"
        self._problem(
            event,
            "R008",
            f"the {what} `{name}` can't be used in routes",
            f"If the `{sign}` belongs to the text, put the text in quotes; else {else_}.",
        )

    def _problem(self, event: Any, code: str, message: str, hint: str) -> None:
        mark = event.start_mark
        self.problems.append(
            Problem(self.file, mark.line + 1, mark.column + 1, code, message, hint)
        )
