"""YAML text to a tree of places: every scalar as it was written, with file, line and column.

The tree is built straight from the parser's events, so nothing is resolved or guessed: what type a
value has is up to the key it stands under. Anchors, aliases, tags and merge keys are refused.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from checkrun.route.problems import Problem

#: A route is text for one kind of car; ten thousand checks take about 5 MiB.
LARGEST = 8 * 1024 * 1024
_DEEPEST = 24


class Node:
    """A value of a YAML file and where it stands (1-based line and column)."""

    __slots__ = ("column", "file", "line")

    def __init__(self, file: str, line: int, column: int) -> None:
        self.file = file
        self.line = line
        self.column = column

    def problem(self, code: str, message: str, hint: str = "", *, warning: bool = False) -> Problem:
        """A problem at this place."""
        return Problem(self.file, self.line, self.column, code, message, hint, warning)


class Scalar(Node):
    """A text as written; `plain` if it stood without quotes and in one piece."""

    __slots__ = ("plain", "text")

    def __init__(self, file: str, line: int, column: int, text: str, plain: bool) -> None:
        self.file = file
        self.line = line
        self.column = column
        self.text = text
        self.plain = plain


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
        size = len(raw) / 1024 / 1024
        message = f"the file holds {size:.1f} MiB; a route holds at most {LARGEST >> 20} MiB"
        return "", [Problem(file, 1, 1, "R003", message, "Is this the right file?")]
    if b"\0" in raw:
        hint = "A route is a plain text file in UTF-8; save it as such."
        return "", [
            Problem(file, 1, 1, "R002", "this is not a text file (it holds NUL bytes)", hint)
        ]
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        start = raw.rfind(b"\n", 0, error.start) + 1
        column = len(raw[start : error.start].decode("utf-8", "replace")) + 1
        message = f"byte 0x{raw[error.start]:02x} is not UTF-8"
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
        The root and all problems of reading it; the root is None if the text is not YAML.
    """
    if loader is None:
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    problems = _tabs(text, file)
    builder = _Builder(file, problems)
    try:
        for event in yaml.parse(text, Loader=loader):
            builder.take(event)
            if builder.over:
                return None, problems
    except yaml.MarkedYAMLError as error:
        broken = _syntax(error, file)
        if not any(problem.line == broken.line for problem in problems):
            problems.append(broken)
        return None, problems
    except yaml.reader.ReaderError as error:
        problems.append(_unreadable(error, text, file))
        return None, problems
    if builder.root is None and not problems:
        hint = "A route starts with `format: 1`, `id:` and `title:`."
        problems.append(Problem(file, 1, 1, "R004", "the file holds only comments", hint))
    return builder.root, problems


class _Builder:
    """Turns parser events into nodes, collecting what is refused."""

    def __init__(self, file: str, problems: list[Problem]) -> None:
        self.file = file
        self.problems = problems
        self.root: Node | None = None
        self.over = False
        self._stack: list[Seq | Map] = []
        self._keys: list[Scalar | None] = []
        self._documents = 0

    def take(self, event: Any) -> None:
        """Add one event to the tree."""
        kind = type(event)
        if kind is yaml.ScalarEvent:
            mark = event.start_mark
            if event.anchor is not None or event.tag is not None:
                self._refuse(event)
            self._add(
                Scalar(self.file, mark.line + 1, mark.column + 1, event.value, event.style is None)
            )
        elif kind is yaml.MappingStartEvent or kind is yaml.SequenceStartEvent:
            self._open(event, Map if kind is yaml.MappingStartEvent else Seq)
        elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
            self._stack.pop()
            self._keys.pop()
        elif kind is yaml.AliasEvent:
            self._refuse(event)
            mark = event.start_mark
            self._add(Scalar(self.file, mark.line + 1, mark.column + 1, "", False))
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
            self._keys[-1] = self._as_key(node)
            return
        self._keys[-1] = None
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

    def _as_key(self, node: Node) -> Scalar:
        if type(node) is Scalar:
            return node
        self.problems.append(
            node.problem("R022", "a list or mapping can't be a key", "A key is a plain word.")
        )
        return Scalar(node.file, node.line, node.column, "", False)

    def _refuse(self, event: Any) -> None:
        if type(event) is yaml.AliasEvent:
            message = f"the alias `*{event.anchor}` is not used in routes"
        elif event.anchor is not None:
            message = f"the anchor `&{event.anchor}` is not used in routes"
        else:
            message = f"the tag `{event.tag}` is not used in routes"
        self._problem(
            event,
            "R008",
            message,
            "Write the value out; `built-on` is the way to use a route again.",
        )

    def _problem(self, event: Any, code: str, message: str, hint: str) -> None:
        mark = event.start_mark
        self.problems.append(
            Problem(self.file, mark.line + 1, mark.column + 1, code, message, hint)
        )


_LEADING_TAB = re.compile(r"^ *\t", re.MULTILINE)


def _tabs(text: str, file: str) -> list[Problem]:
    if "\t" not in text:
        return []
    return [
        Problem(
            file,
            text.count("\n", 0, match.start()) + 1,
            match.end() - match.start(),
            "R006",
            "a tab is used to indent",
            "YAML is indented with spaces; put two spaces instead.",
        )
        for match in _LEADING_TAB.finditer(text)
    ]


_SYNTAX_HINTS = (
    ("mapping values are not allowed", "A text holding `: ` must stand in quotes."),
    ("could not find expected ':'", "Is a colon missing behind the key, or a quote not closed?"),
    (
        "did not find expected key",
        "Is the line indented like its neighbours? A text that starts "
        "with a quote or bracket must be quoted as a whole.",
    ),
    ("expected <block end>", "Is the line indented like its neighbours?"),
    ("did not find expected '-' indicator", "Is the line indented like its neighbours?"),
    ("found unexpected end of stream", "A quote or bracket is not closed."),
    ("did not find expected ',' or", "A comma or closing bracket is missing."),
    ("cannot start any token", "Put the text in quotes."),
    ("found undefined tag handle", "Put the text in quotes."),
    ("unknown escape character", "Use single quotes for a text with a backslash."),
    ("undefined alias", "Put the text in quotes; aliases are not used in routes."),
    ("alphabetic or numeric character", "Put the text in quotes."),
)


def _syntax(error: yaml.MarkedYAMLError, file: str) -> Problem:
    mark = error.problem_mark or error.context_mark
    said = error.problem or "this is not YAML"
    hint = next((hint for part, hint in _SYNTAX_HINTS if part in said), "")
    line, column = (1, 1) if mark is None else (mark.line + 1, mark.column + 1)
    return Problem(file, line, column, "R005", f"not YAML: {said}", hint)


def _unreadable(error: yaml.reader.ReaderError, text: str, file: str) -> Problem:
    """A character that YAML forbids; its place is counted here, as the reader gives only a byte."""
    found = re.search(r"[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]", text)
    at = 0 if found is None else found.start()
    line, column = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
    shown = "" if found is None else f" (U+{ord(found.group()):04X})"
    return Problem(
        file,
        line,
        column,
        "R005",
        f"a control character{shown} can't stand in YAML",
        "Take it out, or write it as an escape in double quotes.",
    )
