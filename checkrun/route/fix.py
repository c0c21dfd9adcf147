"""Repairs of a route file that can only be meant one way; every other byte stays as it is.

Four mistakes are repaired, each in its own line: a text that other YAML readers take for something
else gets quotes, a key with one slip of the finger gets its name, years that run backwards are
turned round, and a decimal comma becomes a point. Nothing else is: how wide a tab was meant, which
of two equal keys is right or what an id should be called is for the author to say.

A repair is done only if the route then has just that one problem less and none that it had not; of
its content, which is looked at once nothing is wrong, nothing is asked here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from checkrun.route.catalog import Catalog
from checkrun.route.problems import Problem
from checkrun.route.scalars import misread_as

_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
_BOM = "\ufeff"
_PLAIN = re.compile(r"[^\s#]+(?:[ \t]+[^\s#]+)*")
_KEY = re.compile(r"([\"']?)([\w-]+)\1(?=\s*:)")
_YEARS = re.compile(r"([0-9]{4})(\s*-\s*)([0-9]{4})(?![0-9])")
#: Three figures behind a comma may be thousands, and are left alone.
_COMMA = re.compile(r"([-+]?(?:0|[1-9][0-9]*)),([0-9]{1,2}|[0-9]{4,})(?=\s*(?:#|$|[,}\]]))", re.M)
_MEANT = re.compile(r"Did you mean `([\w-]+)`\?")


@dataclass(frozen=True, slots=True)
class Repair:
    """One mistake put right.

    Attributes:
        problem: What was told of it, where it stood.
        start: Index of the first character replaced.
        old: The characters that stood there.
        new: Those that stand there now.
    """

    problem: Problem
    start: int
    old: str
    new: str

    def done(self, text: str) -> str:
        """The text with it."""
        return text[: self.start] + self.new + text[self.start + len(self.old) :]


@dataclass(frozen=True, slots=True)
class Fixed:
    """What could be repaired in a file.

    Attributes:
        raw: All bytes of the file after it.
        repairs: In the order of the file.
        left: The problems that are there still.
    """

    raw: bytes
    repairs: tuple[Repair, ...]
    left: tuple[Problem, ...]


def fix(catalog: Catalog, path: Path, raw: bytes) -> Fixed:
    """Repair what is safe to repair in the bytes of a route file; nothing is written.

    Args:
        catalog: Where the routes below it are; reads these bytes in place of the file's meanwhile.
        path: The file.
        raw: What it holds.
    """
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        return Fixed(raw, (), tuple(_lint(catalog, path, raw)))
    problems = _lint(catalog, path, raw)
    repairs: list[Repair] = []
    # From the end, so that what stands before keeps its index.
    for problem in sorted(problems, reverse=True):
        repair = _repair(text, problem) if problem.file == str(path) else None
        if repair is None:
            continue
        tried = repair.done(text)
        then = _lint(catalog, path, tried.encode())
        if sorted(then) == sorted(_moved(problems, repair)):
            text, problems = tried, then
            repairs.insert(0, repair)
    return Fixed(text.encode(), tuple(repairs), tuple(problems))


def _lint(catalog: Catalog, path: Path, raw: bytes) -> list[Problem]:
    catalog.hold(path, raw)
    try:
        return catalog.lint(str(path))
    finally:
        catalog.hold(path, None)


def _moved(problems: Iterable[Problem], repair: Repair) -> list[Problem]:
    """The other problems, those behind the repair in its line moved as far as it is longer."""
    done, by = repair.problem, len(repair.new) - len(repair.old)
    return [
        replace(other, column=other.column + by)
        if (other.file, other.line) == (done.file, done.line) and other.column > done.column
        else other
        for other in problems
        if other != done
    ]


def _repair(text: str, problem: Problem) -> Repair | None:
    """How a problem can be put right, if that is sure."""
    find = _FINDERS.get(problem.code)
    if find is None:
        return None
    at = index_of(text, problem.line, problem.column)
    found = find(text, at, problem)
    return None if found is None else Repair(problem, *found)


def index_of(text: str, line: int, column: int) -> int:
    """The index of the character at a 1-based line and column; a byte order mark is no character.

    The inverse of `problems.place_of`.
    """
    start = len(_BOM) if text.startswith(_BOM) else 0
    for _ in range(line - 1):
        found = _BREAK.search(text, start)
        if found is None:
            break
        start = found.end()
    return start + column - 1


#: Index, what stands there and what is to stand there; None if it is not sure.
_Found = tuple[int, str, str] | None


def _quote(text: str, at: int, problem: Problem) -> _Found:
    """Quotes round a plain text; none of those that are misread holds a quote or a backslash."""
    match = _PLAIN.match(text, at)
    # In brackets the text ends at a comma or bracket too.
    written = re.split(r"[,\[\]{}]", match[0])[0].rstrip() if match else ""
    return (at, written, f'"{written}"') if misread_as(written) else None


def _key(text: str, at: int, problem: Problem) -> _Found:
    """The one key that is one slip away from what was written."""
    match, meant = _KEY.match(text, at), _MEANT.search(problem.hint)
    if match is None or meant is None:
        return None
    near = [key for key in _all_keys() if one_slip(match[2], key)]
    return (match.start(2), match[2], meant[1]) if near == [meant[1]] else None


def _years(text: str, at: int, problem: Problem) -> _Found:
    """A range of years turned round."""
    match = _YEARS.match(text, at + (text[at : at + 1] in ('"', "'")))
    if match is None or int(match[1]) <= int(match[3]):
        return None
    return match.start(), match[0], f"{match[3]}{match[2]}{match[1]}"


def _comma(text: str, at: int, problem: Problem) -> _Found:
    """A decimal comma made a point, where it can't be thousands."""
    match = _COMMA.match(text, at)
    return None if match is None else (at, match[0], f"{match[1]}.{match[2]}")


_FINDERS: dict[str, Callable[[str, int, Problem], _Found]] = {
    "R020": _key,
    "R023": _comma,
    "R026": _quote,
    "R028": _years,
}


@cache
def _all_keys() -> tuple[str, ...]:
    """Every key of the format, of whatever part it is: a slip must not be near to two."""
    from checkrun.route import schema, schema_car, schema_check, schema_weigh
    from checkrun.route.read import ONLY_KEYS, Key

    names = {*ONLY_KEYS, *schema_check.READING_COMMON}
    for module in (schema, schema_car, schema_check, schema_weigh):
        for table in vars(module).values():
            if isinstance(table, dict) and any(isinstance(key, Key) for key in table.values()):
                names.update(table)
    for keys in schema_check.READING_KINDS.values():
        names.update(keys)
    return tuple(sorted(names))


def one_slip(written: str, meant: str) -> bool:
    """Whether one letter is missing, too much, wrong, or two neighbours have changed places."""
    if written == meant or abs(len(written) - len(meant)) > 1:
        return False
    start = next(
        (i for i, (a, b) in enumerate(zip(written, meant, strict=False)) if a != b),
        min(len(written), len(meant)),
    )
    one, other = written[start:], meant[start:]
    return (
        one[1:] == other  # too much
        or one == other[1:]  # missing
        or one[1:] == other[1:]  # wrong
        or (one[1::-1] == other[:2] and len(one) > 1 and one[2:] == other[2:])  # changed places
    )
