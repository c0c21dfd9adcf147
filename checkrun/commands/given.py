"""A value that a command was given, which can tell its place.

The place is looked up only when there is something to tell of it.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any, NoReturn

#: What the places are places of.
NAME = "standard input"
#: Not compiled here: a command that reads no numbers starts sooner.
_NUMBER = r"[-+]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?"
_LONGEST_NAME = 100


class Source:
    """The text that was given."""

    __slots__ = ("is_json", "text")

    def __init__(self, text: str, is_json: bool) -> None:
        self.text = text
        self.is_json = is_json


class Given:
    """A value that was given, which can tell its place.

    Every method that reads it raises `WrongUse`, in one line with the place, where it is not what
    is expected.

    Attributes:
        value: A text, number, truth, list, mapping or None as read; YAML's scalars are all texts.
    """

    __slots__ = ("_key", "_parent", "_source", "value")

    def __init__(
        self, value: Any, source: Source, parent: Given | None = None, key: str | int = ""
    ) -> None:
        self.value = value
        self._source = source
        self._parent = parent
        self._key = key

    def fields(self, needed: Sequence[str] = (), may: Sequence[str] = ()) -> dict[str, Given]:
        """The fields of a mapping, in the order given; no others than those named."""
        found = self.mapping()
        for name, given in found.items():
            if name not in needed and name not in may:
                from checkrun.route.problems import nearest_or_all

                hint = nearest_or_all(name, [*needed, *may])
                given.refuse(f"`{shown(name)}` is not known here. {hint}", at_key=True)
        for name in needed:
            if name not in found:
                self.refuse(f"`{name}` is missing here")
        return found

    def mapping(self) -> dict[str, Given]:
        """The entries of a mapping whose keys are free."""
        if not isinstance(self.value, dict):
            self._expected("`name: value` pairs are")
        return {name: Given(value, self._source, self, name) for name, value in self.value.items()}

    def items(self, count: int | None = None) -> list[Given]:
        """The items of a list, of this many if it is said."""
        if not isinstance(self.value, list):
            self._expected("a list is")
        if count is not None and len(self.value) != count:
            self.refuse(f"{count} values are expected here, not {len(self.value)}")
        return [Given(value, self._source, self, at) for at, value in enumerate(self.value)]

    def name(self) -> str:
        """A short text that can be shown anywhere."""
        text = self.value
        if not isinstance(text, str) or not text.strip():
            self._expected("a name is")
        if len(text) > _LONGEST_NAME:
            self.refuse(f"a name of {len(text)} characters is too long; {_LONGEST_NAME} are enough")
        if not text.isprintable():
            self.refuse("a name with a character in it that can't be shown")
        return str(text)

    def choice(self, known: Sequence[str]) -> str:
        """One of some words."""
        if not isinstance(self.value, str) or self.value not in known:
            self._expected(f"one of {', '.join(known)} is")
        return str(self.value)

    def number(
        self,
        *,
        above: float = -math.inf,
        least: float = -math.inf,
        below: float = math.inf,
        most: float = math.inf,
    ) -> float:
        """A finite number inside bounds: without `above` and `below`, `least` and `most` with."""
        value = self._number()
        if not (value > above and value >= least and value < below and value <= most):
            bounds = {"above": above, "of at least": least, "below": below, "of at most": most}
            said = " and ".join(
                f"{how} {at:.12g}" for how, at in bounds.items() if math.isfinite(at)
            )
            self._expected(f"a number {said} is")
        return value

    def whole(self, least: int, most: int) -> int:
        """A whole number from `least` to `most`."""
        value = self._number()
        if value != int(value) or not least <= value <= most:
            self._expected(f"a whole number from {least} to {most} is")
        return int(value)

    def refuse(self, message: str, *, at_key: bool = False) -> NoReturn:
        """Say what is wrong here."""
        raise wrong(f"{self.place(at_key=at_key)}: {message}") from None

    def place(self, *, at_key: bool = False) -> str:
        """`standard input:LINE:COLUMN` of the value, or of the key it stands under."""
        path: list[str | int] = []
        given = self
        while given._parent is not None:
            path.append(given._key)
            given = given._parent
        path.reverse()
        find = _json_place if self._source.is_json else _yaml_place
        try:
            line, column = find(self._source.text, path, at_key)
        except RecursionError:  # as deep as can be read: the place must be told without the figures
            return NAME
        return f"{NAME}:{line}:{column}"

    def _number(self) -> float:
        value = self.value
        if isinstance(value, str):
            written = value.strip()
            if not re.fullmatch(_NUMBER, written):
                comma = re.fullmatch(r"[-+]?[0-9]+,[0-9]+", written)
                hint = f"; write {written.replace(',', '.')}" if comma else ""
                self._expected("a number is", hint)
            value = exact(written)
        elif isinstance(value, bool) or not isinstance(value, (int, Decimal)):
            self._expected("a number is")
        try:
            found = float(value)
        except (OverflowError, ValueError):  # an integer, or an exponent, of absurd size
            found = math.inf
        if not math.isfinite(found):
            self._expected("a number of usual size is")
        return found

    def _expected(self, what: str, hint: str = "") -> NoReturn:
        self.refuse(f"{what} expected here, not {shown(self.value)}{hint}")


def shown(value: Any) -> str:
    """A value in a message: short, on one line, without what would play tricks on a terminal."""
    if isinstance(value, (dict, list)):
        what = "mapping" if isinstance(value, dict) else "list"
        return f"a {what}" if value else f"an empty {what}"
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and value.bit_length() > 200:
        return "a number of that size"
    text = "".join(char if char.isprintable() else " " for char in str(value))
    return text if len(text) <= 40 else f"{text[:39]}…"


def exact(text: str) -> Any:
    """A number with its digits; one with an exponent that is no number's stays a text."""
    try:
        return Decimal(text)
    except InvalidOperation:
        return text


def _yaml_place(text: str, path: Iterable[str | int], at_key: bool) -> tuple[int, int]:
    from checkrun.route.nodes import Map, Node, Seq, parse

    root, _ = parse(text, NAME)
    assert root is not None
    key: Node = root
    value: Node = root
    for step in path:
        if isinstance(value, Map):
            key, value = value.entries[str(step)]
        else:
            assert isinstance(value, Seq)
            key = value = value.items[int(step)]
    found = key if at_key else value
    return found.line, found.column


def _json_place(text: str, path: Sequence[str | int], at_key: bool) -> tuple[int, int]:
    from checkrun.route.problems import place_of

    decoder = json.JSONDecoder(parse_float=str, parse_int=str)

    def past_blanks(at: int) -> int:
        while text[at] in " \t\r\n":
            at += 1
        return at

    def past_sign(at: int) -> int:
        """Behind the comma, colon or bracket that comes next, at what stands there."""
        return past_blanks(past_blanks(at) + 1)

    key = value = past_blanks(0)
    for step in path:
        key = value = past_sign(value)
        for _ in range(step if isinstance(step, int) else 0):
            key = value = past_sign(decoder.raw_decode(text, value)[1])
        while isinstance(step, str):
            name, end = decoder.raw_decode(text, key)
            value = past_sign(end)
            if name == step:
                break
            key = past_sign(decoder.raw_decode(text, value)[1])
    return place_of(text, key if at_key else value)


def wrong(text: str) -> Exception:
    """What the boundary tells as wrong use; imported only when there is something to tell."""
    from checkrun.commands.context import WrongUse

    return WrongUse(text)
