"""What a field of a mark agrees with on the car, as a route writes it under `agrees-with`.

`car.year` or the id of a fact stands for all its characters; `last N`, `first N`, `character N` and
`characters A to B` behind it take a part. Characters are counted from 1, both ends included, and
what stands between them, such as a hyphen, is not counted.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

YEAR = "car.year"
_YEAR_LENGTH = 4
_HEAD = re.compile(r"(?:car\.)?(?:facts\.)?([^\s.]+)([\s.]*)(.*)", re.DOTALL)
_COUNT = re.compile(r"(last|first|character)\s+([0-9]{1,4})", re.ASCII)
_RANGE = re.compile(r"characters\s+([0-9]{1,4})\s+to\s+([0-9]{1,4})", re.ASCII)
_PARTS = ("last", "first", "character", "characters")
_ANY = "write `last 5`, `first 2`, `character 2` or `characters 3 to 4` behind the name"
_LONGEST = 40


class Malformed(ValueError):
    """An expression that can't be read; the text says why.

    Attributes:
        hint: What to write, in small letters and without a full stop.
    """

    def __init__(self, reason: str, hint: str) -> None:
        self.hint = hint
        super().__init__(reason)


@dataclass(frozen=True, slots=True)
class Expression:
    """The characters of the car that a field must read.

    Attributes:
        name: `car.year`, or the id of a fact.
        begin: The first character of a part counted from the left, 1 or more; 0 if not given.
        end: Its last character, included; 0 if not given.
        first: How many characters from the left; 0 if not given.
        last: How many from the right; 0 if not given.
    """

    name: str
    begin: int = 0
    end: int = 0
    first: int = 0
    last: int = 0

    def __str__(self) -> str:
        part = self.part
        return f"{self.name}.{part}" if part else self.name

    @property
    def part(self) -> str:
        """The part as it is written, such as `last 5`; empty where the whole is meant."""
        if self.begin:
            one = self.begin == self.end
            return f"character {self.begin}" if one else f"characters {self.begin} to {self.end}"
        if self.first:
            return f"first {self.first}"
        return f"last {self.last}" if self.last else ""

    @property
    def length(self) -> int | None:
        """How many characters it gives; None where that depends on the answer."""
        if self.begin:
            return self.end - self.begin + 1
        return self.first or self.last or (_YEAR_LENGTH if self.name == YEAR else None)

    @property
    def beyond_year(self) -> bool:
        """Whether it asks more of a model year than its four figures."""
        return self.name == YEAR and max(self.first, self.last, self.end) > _YEAR_LENGTH

    def of(self, whole: str) -> str | None:
        """The characters it means, out of all there are; None if those are too few."""
        if max(self.first, self.last, self.end) > len(whole):
            return None
        if self.begin:
            return whole[self.begin - 1 : self.end]
        if self.first:
            return whole[: self.first]
        return whole[-self.last :] if self.last else whole

    def lacking(self) -> str:
        """What a text that is too short does not have, such as `characters 3 to 4`."""
        if self.begin:
            return self.part
        count = self.first or self.last
        return "1 character" if count == 1 else f"{count} characters"

    def of_length(self, length: int) -> Expression:
        """The same start or end, with so many characters, 1 or more."""
        if self.begin:
            return Expression(self.name, begin=self.begin, end=self.begin + length - 1)
        if self.first:
            return Expression(self.name, first=length)
        return Expression(self.name, last=length)


def parse(written: str) -> Expression:
    """An expression as it stands under `agrees-with`.

    Raises:
        Malformed: If it is none.
    """
    match = _HEAD.fullmatch(written.strip())
    if match is None:
        raise Malformed(
            "no fact is named here",
            "write `car.year` or the id of a fact, such as `serial` or `serial.last 5`",
        )
    car = match[1] == "year" and written.strip().startswith(YEAR)
    name, rest = YEAR if car else match[1], match[3]
    if not rest:
        if match[2]:
            raise Malformed(f"`{_cut(written)}` breaks off", _ANY)
        return Expression(name)
    count, span = _COUNT.fullmatch(rest), _RANGE.fullmatch(rest)
    if span is not None:
        return _range(name, rest, int(span[1]), int(span[2]))
    if count is None:
        raise Malformed(f"`{_cut(rest)}` is no part of `{_cut(name)}`", _meant(rest))
    number = int(count[2])
    if not number:
        raise Malformed(f"`{_cut(rest)}` is no part of anything: characters count from 1", _ANY)
    if count[1] == "character":
        return Expression(name, begin=number, end=number)
    return Expression(name, **{count[1]: number})


def _range(name: str, rest: str, begin: int, end: int) -> Expression:
    if not begin or not end:
        hint = f"write `characters 1 to {end}`" if end else _ANY
        raise Malformed(f"`{_cut(rest)}` is no part of anything: characters count from 1", hint)
    if begin > end:
        raise Malformed(f"`{_cut(rest)}` runs backwards", f"write `characters {end} to {begin}`")
    return Expression(name, begin=begin, end=end)


def _meant(rest: str) -> str:
    """What was probably meant by a part that can't be read."""
    from difflib import get_close_matches  # only when something was misspelt

    word = re.match(r"[^\s0-9]*", rest)
    near = get_close_matches(word[0][:_LONGEST].lower() if word else "", _PARTS, 1, 0.6)
    numbers = [int(n) for n in re.findall(r"(?<![0-9])[0-9]{1,4}(?![0-9])", rest, re.ASCII)]
    if not near or not numbers or not min(numbers):
        return _ANY
    if near[0] in ("last", "first"):
        return f"write `{near[0]} {numbers[0]}`" if len(numbers) == 1 else _ANY
    if len(numbers) == 1:
        return f"write `character {numbers[0]}`"
    low, high = min(numbers[:2]), max(numbers[:2])
    return f"write `characters {low} to {high}`" if len(numbers) == 2 else _ANY


def _cut(text: str) -> str:
    """A text for a message: on one line, and cut if it is long."""
    line = " ".join(text.split())
    return line if len(line) <= _LONGEST else f"{line[:_LONGEST]}..."
