"""What is wrong with a route, where, and what was probably meant."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

#: What ends a line for a YAML 1.1 reader.
_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
#: How many words a hint lists.
_NAMED = 12
_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff]")


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong with a route file.

    Attributes:
        file: As it was named by the person, or the path of a shipped file.
        line: 1-based.
        column: 1-based, in characters.
        code: Stable name of the rule, such as `R020`.
        message: What was found and what was expected.
        hint: What was probably meant, or what to do; may be empty.
        warning: True if the route can be walked all the same.
    """

    file: str
    line: int
    column: int
    code: str
    message: str
    hint: str = ""
    warning: bool = False

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: {self.code} {self.message}"


class RouteError(Exception):
    """A route that can't be walked, with every problem found in it."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        first = self.problems[0]
        more = len(self.problems) - 1
        tail = f" (and {more} more; checkrun lint shows all)" if more else ""
        hint = f". {first.hint}" if first.hint else ""
        super().__init__(f"{first}{hint}{tail}")


def closest(word: str, known: Iterable[str]) -> str | None:
    """The known word nearest in spelling, or None if none is near."""
    from difflib import get_close_matches  # only when something was misspelt

    near = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return near[0] if near else None


def nearest(word: str, known: Iterable[str]) -> str:
    """`did you mean ...?` with the known word nearest in spelling, or an empty text."""
    near = closest(word, known)
    return "" if near is None else f"Did you mean `{near}`?"


def nearest_or_all(word: str, known: Sequence[str]) -> str:
    """The known word nearest in spelling, else some of those there are."""
    if not known:
        return "There are none."
    more = f" and {len(known) - _NAMED} more" if len(known) > _NAMED else ""
    return nearest(word, known) or f"There are: {', '.join(known[:_NAMED])}{more}."


def place_of(text: str, index: int) -> tuple[int, int]:
    """The 1-based line and column of a character of a text."""
    line, start = 1, 0
    for found in _BREAK.finditer(text, 0, index):
        line, start = line + 1, found.end()
    return line, index - start + 1


def printable(text: str) -> str:
    """A text on one line and without what would play tricks on a terminal."""
    return _CONTROL.sub(" ", text)


def _blank(text: str) -> str:
    """Blanks as wide as a text is on the screen, so that a caret stands under the character."""
    return "".join(
        "  " if unicodedata.east_asian_width(char) in "WF" else " "
        for char in text
        if not unicodedata.combining(char)
    )


def with_source(problem: Problem, text: str) -> str:
    """The problem with the line it points at, a caret under the column, and the hint."""
    lines = _BREAK.split(text.removeprefix("\ufeff"))
    parts = [str(problem)]
    if 1 <= problem.line <= len(lines):
        line = printable(lines[problem.line - 1])
        start = max(0, problem.column - 60)
        parts.append(f"    {line[start : start + 100]}".rstrip())
        parts.append(f"    {_blank(line[start : problem.column - 1])}^")
    if problem.hint:
        parts.append(f"    {problem.hint}")
    return "\n".join(parts)
