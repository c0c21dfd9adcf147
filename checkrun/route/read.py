"""Read single values from nodes by the type their key expects."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from checkrun.route.model import Only, Years
from checkrun.route.nodes import Map, Node, Refused, Scalar, Seq
from checkrun.route.problems import Problem, closest, nearest
from checkrun.route.scalars import misread_as
from checkrun.route.shapes import Shape, takes

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_YEARS = re.compile(r"([0-9]{4})(?:\s*-\s*([0-9]{4}))?")
YES = frozenset({"yes", "true"})
NO = frozenset({"no", "false"})

Read = Callable[["Reader", Node], Any]


def shown(written: str) -> str:
    """A text for a message: on one line, and cut if it is long."""
    written = " ".join(written.split())
    return written if len(written) <= 40 else f"{written[:40]}..."


@dataclass(frozen=True, slots=True)
class Key:
    """One key of the route format.

    Attributes:
        read: Turns the value's node into the model's value, or None after telling a problem.
        says: What the key means, in one line.
        required: Whether the merged route must have it.
    """

    read: Read
    says: str
    required: bool = False


class Reader:
    """Collects problems while values are read; a value that can't be used becomes None."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems

    def tell(
        self, node: Node, code: str, message: str, hint: str = "", *, warning: bool = False
    ) -> None:
        """Add a problem at a node; of a refused value everything has been told."""
        if not isinstance(node, Refused):
            self.problems.append(node.problem(code, message, hint, warning=warning))

    def shape(self, node: Node, wanted: str) -> None:
        """Tell that a node is not of the wanted shape."""
        found = "`key: value` pairs" if isinstance(node, Map) else "a list"
        if isinstance(node, Scalar):
            found = f"`{shown(node.text)}`" if node.text else "nothing"
        hint = ""
        if isinstance(node, Map) and wanted == "a text":
            hint = "A text holding `: ` or starting with `{` must stand in quotes."
        elif isinstance(node, Seq) and wanted == "a text":
            hint = "A text starting with `[` or `- ` must stand in quotes."
        self.tell(node, "R022", f"{wanted} is expected here, not {found}", hint)

    def keys(self, node: Node, table: Mapping[str, Key], what: str) -> dict[str, Any]:
        """The values of a mapping by their keys; unknown and missing keys are told."""
        values: dict[str, Any] = {}
        if not isinstance(node, Map):
            self.shape(node, f"{what} written as `key: value` pairs")
            return values
        misspelt: set[str | None] = set()
        for name, (key_node, value) in node.entries.items():
            key = table.get(name)
            if key is None:
                misspelt.add(closest(name, table))
                hint = nearest(name, table) or f"Known here: {', '.join(table)}."
                if name == "<<":
                    hint = "Merge keys are not used; `built-on` is the way to use a route again."
                self.tell(key_node, "R020", f"`{name}` is not a key of {what}", hint)
            else:
                values[name] = key.read(self, value)
        for name, key in table.items():
            if key.required and name not in node.entries and name not in misspelt:
                self.tell(node, "R021", f"{what} has no `{name}`", f"{name}: {key.says}")
        return values


@takes(Shape("text"))
def text(reader: Reader, node: Node) -> str | None:
    """A text, as written but for white space at its ends."""
    if type(node) is not Scalar:
        reader.shape(node, "a text")
        return None
    written = node.text.strip()
    if not written:
        reader.tell(node, "R029", "the text is empty", "Write it, or take the key out.")
        return None
    if node.plain:
        misread = misread_as(written)
        if misread:
            reader.tell(
                node,
                "R026",
                f"other YAML readers take `{written}` for {misread}",
                f'If the text is meant, put it in quotes: "{written}".',
                warning=True,
            )
    return written


@takes(Shape("bare"))
def bare(reader: Reader, node: Node) -> str | None:
    """A short text for which quotes are not asked, such as a fact's wanted value."""
    if type(node) is not Scalar:
        reader.shape(node, "a text")
        return None
    return node.text.strip()


@takes(Shape("id"))
def ident(reader: Reader, node: Node) -> str | None:
    """An id: small letters, digits and single hyphens."""
    if type(node) is not Scalar:
        reader.shape(node, "an id")
        return None
    if not _ID.fullmatch(node.text):
        meant = re.sub(r"[^a-z0-9]+", "-", node.text.lower()).strip("-")
        hint = f"Write `{shown(meant)}`." if meant else "Use small letters, digits and hyphens."
        reader.tell(node, "R027", f"`{shown(node.text)}` is not an id", hint)
        return None
    return node.text


@takes(Shape("years"))
def years(reader: Reader, node: Node) -> Years | None:
    """A model year or a closed range of them."""
    if type(node) is not Scalar:
        reader.shape(node, "a year or range of years")
        return None
    match = _YEARS.fullmatch(node.text.strip())
    if match is None:
        hint = "Write 1966 or 1963-1968."
        message = f"`{shown(node.text)}` is not a year or range of years"
        reader.tell(node, "R028", message, hint)
        return None
    first, last = int(match[1]), int(match[2] or match[1])
    if last < first:
        hint = f"Write {last}-{first}."
        reader.tell(node, "R028", f"the years {node.text} run backwards", hint)
        return None
    if not 1880 <= first <= last <= 2100:
        reader.tell(node, "R028", f"{node.text} is no model year", "Write 1966 or 1963-1968.")
        return None
    return Years(first, last)


@takes(Shape("yes-no"))
def yes_no(reader: Reader, node: Node) -> bool | None:
    """`yes` or `no`."""
    if type(node) is Scalar:
        if node.text.lower() in YES:
            return True
        if node.text.lower() in NO:
            return False
    reader.shape(node, "`yes` or `no`")
    return None


def one_of(choices: Mapping[str, Any]) -> Read:
    """A reader for one of a few words, giving what the word stands for."""

    @takes(Shape("one", tuple(choices)))
    def read(reader: Reader, node: Node) -> Any:
        if type(node) is not Scalar:
            reader.shape(node, f"one of {', '.join(choices)}")
            return None
        value = choices.get(node.text)
        if value is None:
            hint = nearest(node.text.lower(), choices) or f"Choose from: {', '.join(choices)}."
            message = f"`{shown(node.text)}` is not one of the choices"
            reader.tell(node, "R025", message, hint)
        return value

    return read


def list_of(read_item: Read) -> Read:
    """A reader for a list; members that can't be used are left out."""

    @takes(Shape("list", read_item))
    def read(reader: Reader, node: Node) -> tuple[Any, ...]:
        if type(node) is not Seq:
            reader.shape(node, "a list")
            return ()
        values = [read_item(reader, item) for item in node.items]
        return tuple([value for value in values if value is not None])

    return read


def run_of(count: int, read_item: Read, what: str, example: str) -> Read:
    """A reader for a list of exactly `count` members."""

    @takes(Shape("list", read_item, low=str(count), high=str(count)))
    def read(reader: Reader, node: Node) -> tuple[Any, ...] | None:
        if type(node) is not Seq or len(node.items) != count:
            reader.tell(node, "R022", f"{what} is expected here", f"Write {example}.")
            return None
        values = tuple(read_item(reader, item) for item in node.items)
        return None if None in values else values

    return read


def pairs_of(read_value: Read) -> Read:
    """A reader for a mapping of free names to values, as pairs."""

    @takes(Shape("pairs", read_value))
    def read(reader: Reader, node: Node) -> tuple[tuple[str, Any], ...]:
        if type(node) is not Map:
            reader.shape(node, "`key: value` pairs")
            return ()
        values = [(name, read_value(reader, value)) for name, (_, value) in node.entries.items()]
        return tuple([(name, value) for name, value in values if value is not None])

    return read


ONLY_KEYS: dict[str, Key] = {
    "years": Key(years, "the model years it applies to"),
    "facts": Key(pairs_of(bare), "answers at the intake it applies to"),
}


@takes(Shape("keys", ONLY_KEYS))
def only(reader: Reader, node: Node) -> Only:
    """The cars something applies to."""
    values = reader.keys(node, ONLY_KEYS, "`only`")
    return Only(values.get("years"), values.get("facts") or ())


def as_written(reader: Reader, node: Node) -> Any:
    """Any value as texts, lists and mappings of texts, for whoever knows what it means."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Seq):
        return [as_written(reader, item) for item in node.items]
    if not isinstance(node, Map):
        return ""
    return {name: as_written(reader, value) for name, (_, value) in node.entries.items()}


def filled(values: dict[str, Any], names: Iterable[tuple[str, str]]) -> dict[str, Any]:
    """Keyword arguments from the values that are there, under the model's own names."""
    return {attribute: values[key] for key, attribute in names if values.get(key) is not None}
