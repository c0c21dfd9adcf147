"""What is wrong with a route, where, and what was probably meant."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches


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
        hint = f" {first.hint}" if first.hint else ""
        super().__init__(f"{first}{hint}{tail}")


def nearest(word: str, known: Iterable[str]) -> str:
    """`did you mean ...?` with the known word nearest in spelling, or an empty text."""
    near = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f"Did you mean `{near[0]}`?" if near else ""


def with_source(problem: Problem, text: str) -> str:
    """The problem with the line it points at, a caret under the column, and the hint."""
    lines = text.splitlines()
    parts = [str(problem)]
    if 1 <= problem.line <= len(lines):
        line = lines[problem.line - 1].replace("\t", " ")
        start = max(0, problem.column - 60)
        parts.append(f"    {line[start : start + 100]}")
        parts.append(f"    {' ' * (problem.column - 1 - start)}^")
    if problem.hint:
        parts.append(f"    {problem.hint}")
    return "\n".join(parts)
