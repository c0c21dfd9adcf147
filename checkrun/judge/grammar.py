"""How a typed line falls into labelled groups of values.

- Values are separated by blanks, groups by `;`, by `|`, or by `,` with a blank behind it; a comma
  between digits is a decimal comma.
- A group may begin with its label: `left 4.1 4.2, right 4.3 4.3`. A label the spec knows begins a
  group of its own even without a comma.
- A mixed fraction (`1 1/2"`) and two units that belong together (`5 ft 3 in`) are one value.
- A unit stands behind each value, or once at the end of its group or of the line.
- `?` or `-` stands for a value that was not taken.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from checkrun.unit_table import FOLLOWED
from checkrun.units import NotAQuantity, Unit, free_unit, unit

_SEPARATOR = re.compile(r"\s*(?:[;|\n]|,(?=\s|$)|\s/\s)\s*")
_SEPARATOR_OF_SPOTS = re.compile(r"\s*(?:[;|\n]|,(?=\s|$))\s*")
_NUMBER = re.compile(
    r"[-+\N{MINUS SIGN}]?(?:[0-9]+(?:[ ]+|-)[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+[ ]?[½¼¾⅛⅜⅝⅞]"
    r"|[½¼¾⅛⅜⅝⅞]|(?:[0-9][0-9.,]*[0-9]|[0-9]|\.[0-9]+)[.,]?(?:[eE][-+]?[0-9]{1,3}(?![0-9]))?)"
)
_WORD = re.compile(r"''|[\"']|°[ ]?[CFcf]?(?![^\W\d_])|[^\s\d\"'°;]+[^\s\"'°;]*|\S+")
_START = re.compile(r"[-+\N{MINUS SIGN}]?[0-9½¼¾⅛⅜⅝⅞]|[-+]?\.[0-9]|[?(]|[-](?=\s|$)")
_MOST_WORDS = 3
_NOT_TAKEN = ("?", "-")


@dataclass(slots=True)
class Value:
    """One value of a line: its number as typed, and its unit as typed or as passed on."""

    number: str
    unit: str = ""

    def __str__(self) -> str:
        return _joined(self.number, self.unit)


@dataclass(slots=True)
class Group:
    """Values with the label before them, or an empty label."""

    label: str
    values: list[Value] = field(default_factory=list)

    def texts(self) -> list[str]:
        """The values, each with its unit."""
        return [str(value) for value in self.values]


def groups(
    text: str, names: Sequence[str] = (), unit: str = "", *, spots: bool = False
) -> list[Group]:
    """The groups of a line.

    Args:
        text: As typed.
        names: Labels to expect.
        unit: The unit of the spec, which may be a plain word for what is counted.
        spots: Keep `/` between blanks as a value of its own.
    """
    like = _spec_unit(unit)
    found: list[Group] = []
    separator = _SEPARATOR_OF_SPOTS if spots else _SEPARATOR
    for piece in separator.split(text.replace("\t", " ").replace("\N{NO-BREAK SPACE}", " ")):
        for label, rest in _labelled(piece.strip(), names):
            if label or rest:
                found.append(Group(label, _values(rest, like)))
    _pass_units_on(found)
    return found


@lru_cache(maxsize=64)
def _spec_unit(name: str) -> Unit | None:
    try:
        return free_unit(name)
    except NotAQuantity:
        return None


def _labelled(piece: str, names: Sequence[str]) -> Iterable[tuple[str, str]]:
    """The piece as label and rest, cut where a known label begins."""
    known, begin_of_one = _known(tuple(names))
    cuts = [0]
    if known:
        cuts += [found.start() for found in begin_of_one.finditer(piece)]
    for start, end in zip(cuts, [*cuts[1:], len(piece)], strict=True):
        part = piece[start:end].strip()
        name = next((n for n in known if _begins(part, n)), "")
        begin = len(name) if name else _first_value(part)
        yield part[:begin].strip(" :="), part[begin:].strip(" :=")


@lru_cache(maxsize=64)
def _known(names: tuple[str, ...]) -> tuple[list[str], re.Pattern[str]]:
    """The labels, longest first, and what finds one behind a blank."""
    known = sorted({name for name in names if len(name) > 1}, key=lambda n: (-len(n), n))
    spelled = "|".join(re.escape(name).replace(r"\ ", r"[\s-]") for name in known)
    return known, re.compile(rf"(?<=\s)(?:{spelled})(?=[\s:=]|$)", re.IGNORECASE)


def _begins(part: str, name: str) -> bool:
    head = part[: len(name)].casefold().replace("-", " ")
    tail = part[len(name) : len(name) + 1]
    return head == name.casefold().replace("-", " ") and not tail.isalnum()


def _first_value(part: str) -> int:
    """Where the values of a part begin, behind the words of its label."""
    if not part[:1].isalpha():
        return 0
    for word in re.finditer(r"\S+", part):
        if _START.match(part, word.start()):
            return word.start()
    return len(part)


def _values(text: str, like: Unit | None) -> list[Value]:
    values: list[Value] = []
    at = 0
    while at < len(text):
        if text[at] == " ":
            at += 1
            continue
        number = _NUMBER.match(text, at)
        if number is None:
            word = _WORD.match(text, at)
            end = word.end() if word is not None else at + 1
            values.append(Value(text[at:end]))
            at = end
            continue
        name, at = _unit_behind(text, number.end(), like)
        _add(values, Value(number.group(), name), like)
    return values


def _unit_behind(text: str, at: int, like: Unit | None) -> tuple[str, int]:
    """The unit behind a number, and where it ends: as many words as make a known unit."""
    words: list[int] = []
    start = at
    while len(words) < _MOST_WORDS:
        start = at if not words else words[-1]
        while text[start : start + 1] == " ":
            start += 1
        word = _WORD.match(text, start)
        if word is None or _START.match(text, start) or text[start] in "?/()":
            break
        words.append(word.end())
    begin = at + (text[at : at + 1] == " ")
    for end in reversed(words):
        if _is_unit(text[at:end].strip(), like):
            return text[at:end].strip(), end
    return (text[begin : words[0]].strip(), words[0]) if words else ("", at)


@lru_cache(maxsize=256)
def _is_unit(name: str, like: Unit | None) -> bool:
    try:
        unit(name, "" if like is None or not like.symbol else like)
    except NotAQuantity:
        return False
    return True


def _add(values: list[Value], value: Value, like: Unit | None) -> None:
    """Add a value, joined to the one before it if the two are one, as 5 ft 3 in."""
    before = values[-1] if values else None
    if before is not None and before.unit and value.unit and not value.number.startswith("-"):
        larger, smaller = _symbol(before.unit, like), _symbol(value.unit, like)
        if larger and FOLLOWED.get(larger) == smaller:
            before.number = f"{before} {value.number}"
            before.unit = value.unit
            return
    values.append(value)


def _joined(number: str, unit: str) -> str:
    return f"{number}{unit}" if unit[:1] in ("'", '"') else f"{number} {unit}".strip()


def _symbol(name: str, like: Unit | None) -> str:
    try:
        return unit(name, "" if like is None or not like.symbol else like).symbol
    except NotAQuantity:
        return ""


def _pass_units_on(found: list[Group]) -> None:
    """A unit that stands once, at the end of a group or of the line, holds for what is before."""
    every = [value for group in found for value in group.values]
    if len(every) > 1 and every[-1].unit and not any(value.unit for value in every[:-1]):
        _spread(every)
    for group in found:
        values = group.values
        if len(values) > 1 and values[-1].unit and not any(value.unit for value in values[:-1]):
            _spread(values)


def _spread(values: list[Value]) -> None:
    for value in values[:-1]:
        if value.number not in _NOT_TAKEN:
            value.unit = values[-1].unit
