"""The parts of YAML that are told apart by colour, line by line.

Only the lines that are on screen are looked at; what a line needs to know of those above it, that
it belongs to a block of text, is found once for each text. It is for reading only: what a value
means is decided by the reader of routes, never here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

_QUOTED = r"\"(?:[^\"\\]|\\.)*\"|'(?:[^']|'')*'"
#: The dashes in front of a list item, and a key with its colon behind it.
_HEAD = re.compile(
    r"( *)((?:- +)*)"
    rf"((?:{_QUOTED}|(?:[^\s\"'\[\]{{}}#,&*!|>%@`-]|-(?=\S))(?:[^:#]|:(?=\S)|(?<=\S)#)*?)(?=:(?:\s|$)))?"
)
#: The end of a line whose text goes on, deeper, in the next: a block, or a plain value.
_BLOCK = re.compile(r"(?:^|[:-]\s+)[|>][-+0-9]*\s*(?:#.*)?$")
_PART = re.compile(
    r"(?P<comment>(?:^|(?<=\s))#.*$)"
    r"|(?P<name>\{[A-Za-z][\w-]*\})"
    rf"|(?P<key>(?:(?<=[{{,])|(?<=[{{,] ))(?:{_QUOTED}|[^\s\"'\[\]{{}},#:][^,{{}}\[\]:]*)(?=:\s))"
    r"|(?P<text>\"(?:[^\"\\]|\\.)*\"?|(?:(?<=[\s\[{,:])|^)'(?:[^']|'')*'?)"
    r"|(?P<sign>[\[\]{},:](?=\s|$|[\]},\"'\[{])|[\[{])"
    r"|(?P<block>(?<=\s)[|>][-+0-9]*\s*$)"
    r"|(?P<number>(?:(?<=[:,\[-] )|(?<=\[))[-+]?\d+(?:\.\d+)?(?=\s*(?:$|[,\]}]|\s#)))"
)


class Span(NamedTuple):
    """Some characters of a line and what they are."""

    start: int
    end: int
    role: str


class Marks:
    """The marks of a text's lines."""

    def __init__(self, lines: Sequence[str] = ()) -> None:
        self._in_block = list(_blocks(lines))

    def of(self, number: int, line: str) -> list[Span]:
        """The spans of a line, from left to right.

        Args:
            number: Its place in the text, from 0.
            line: Itself.
        """
        if number < len(self._in_block) and self._in_block[number]:
            return [Span(0, len(line), "yaml-text")] if line.strip() else []
        return list(_spans(line))


def _blocks(lines: Sequence[str]) -> Iterator[bool]:
    """For each line whether it belongs to a block of text."""
    deeper = -1
    for line in lines:
        indent = len(line) - len(line.lstrip(" "))
        inside = deeper >= 0 and (not line.strip() or indent > deeper)
        yield inside
        if not inside:
            deeper = -1
            opens = ("|" in line or ">" in line) and _BLOCK.search(line)
            if opens and not line.lstrip().startswith("#"):
                dashes = _HEAD.match(line)
                deeper = indent if dashes is None or not dashes[3] else dashes.start(3)


def _spans(line: str) -> Iterator[Span]:
    head = _HEAD.match(line)
    place = 0
    if head is not None:
        if head[2]:
            yield Span(head.start(2), head.end(2), "yaml-sign")
        if head[3]:
            yield Span(head.start(3), head.end(3), "yaml-key")
        place = head.end()
    for part in _PART.finditer(line, place):
        yield Span(part.start(), part.end(), f"yaml-{part.lastgroup}")
