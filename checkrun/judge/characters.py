"""The characters of a mark as they were typed, held against the mark's fields.

Characters are taken as they stand. A `?` is one that can't be read. A character of the wrong kind
that looks like one of the right kind (0 O, 1 I, 5 S, 8 B) is told together with the text it may
have been meant for, and counts as not read: nothing is swapped silently.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from checkrun.judge.judgement import BadReading, Fields
from checkrun.judge.words import shown

if TYPE_CHECKING:
    from checkrun.route.model import Mark, MarkField

#: Stand between the characters of a mark and say nothing.
SEPARATORS = frozenset(" \t\u00a0-./*\u2010\u2011\u2012\u2013\u2014")
LOOK_ALIKE = {"0": "O", "O": "0", "1": "I", "I": "1", "5": "S", "S": "5", "8": "B", "B": "8"}
_DIGITS = "0123456789"
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_LONGEST = 200
_MOST_VALUES = 10_000


def text_of(fields: Fields, what: str, name: str = "value") -> str:
    """The characters under a key as one text; a whole number is taken as its digits.

    Raises:
        BadReading: If nothing is there, or no text, or too much of it.
    """
    value = fields.get(name)
    if isinstance(value, int) and not isinstance(value, bool):
        # Python refuses to write very long integers out.
        value = str(value) if abs(value) < 10**_LONGEST else "9" * (_LONGEST + 1)
    if isinstance(value, float | Decimal):
        raise BadReading(f"{name}: {shown(str(value))} came as a number; put it in quotes")
    if value is None or (isinstance(value, str) and not value.strip()):
        raise BadReading(f"{name}: nothing was read yet; type {what}")
    if not isinstance(value, str):
        raise BadReading(f"{name}: one text is expected ({what}), not {shown(value)}")
    if len(value) > _LONGEST:
        raise BadReading(
            f"{name}: {shown(value)} is too long for {what}: {len(value):,} characters"
        )
    return value.strip()


@dataclass(frozen=True, slots=True)
class Run:
    """One named field of a mark with the characters seen there, `?` where one was not read."""

    field: MarkField
    name: str
    seen: str

    @property
    def legible(self) -> int:
        """How many characters were read."""
        return len(self.seen) - self.seen.count("?")

    @property
    def fits(self) -> tuple[str, ...] | None:
        """The listed values that fit what was read; None if the mark lists none."""
        allowed = allowed_values(self.field)
        return None if allowed is None else tuple(v for v in allowed if same(self.seen, v))

    @property
    def alike(self) -> tuple[int, int]:
        """How many of how many parts show the same legible characters here by chance.

        One of 10 for each digit and one of 26 for each letter; where the mark lists the values
        or gives a range, those of them that fit.
        """
        allowed, fits = allowed_values(self.field), self.fits
        if allowed and fits:
            return len(fits), len(allowed)
        return 1, int((10 if self.field.digits else 26) ** self.legible)


@dataclass(frozen=True, slots=True)
class Seen:
    """A mark as it was read.

    Attributes:
        runs: Its named fields, from left to right; empty if they can't be told apart.
        problems: What does not fit the mark, and where.
        alternatives: What may have been meant, if look-alike characters are all that is wrong.
    """

    runs: tuple[Run, ...] = ()
    problems: tuple[str, ...] = ()
    alternatives: tuple[str, ...] = ()

    @property
    def legible(self) -> int:
        """How many characters of the named fields were read."""
        return sum(run.legible for run in self.runs)

    @property
    def characters(self) -> int:
        """How many characters the named fields have."""
        return sum(len(run.seen) for run in self.runs)

    @property
    def texts(self) -> dict[str, str]:
        """The characters by the names of the fields."""
        return {run.name: run.seen for run in self.runs}


def allowed_values(field: MarkField) -> tuple[str, ...] | None:
    """The values a field can have by its `values` or `range`, or None if it lists none."""
    if field.values:
        return tuple(value.upper() for value, _ in field.values)
    match = re.fullmatch(r"\s*([0-9]{1,9})\s*-\s*([0-9]{1,9})\s*", field.range, re.ASCII)
    if match is None or not field.digits:
        return None
    low, high = int(match[1]), int(match[2])
    if not low <= high < low + _MOST_VALUES:
        return None
    return tuple(f"{number:0{field.digits}d}" for number in range(low, high + 1))


def same(seen: str, other: str) -> bool:
    """Whether two texts of one length agree wherever both could be read."""
    if seen == other or "?" not in seen + other:
        return seen == other
    return len(seen) == len(other) and all(
        a == b or a == "?" or b == "?" for a, b in zip(seen, other, strict=True)
    )


@dataclass(frozen=True, slots=True)
class _Slot:
    """One place of a mark: a literal character, a digit or a letter."""

    owner: int
    literal: str
    digit: bool
    what: str


def _slots(mark: Mark) -> Iterator[_Slot]:
    for at, field in enumerate(mark.fields):
        if field.text:
            for char in field.text.upper():
                if char not in SEPARATORS:
                    yield _Slot(at, char, False, f"`{char}`")
        else:
            what = "a figure" if field.digits else "a letter"
            named = f"{what} ({field.name})" if field.name else what
            for _ in range(field.digits or field.letters):
                yield _Slot(at, "", bool(field.digits), named)


def read(mark: Mark, typed: str) -> Seen:
    """What was typed as the fields of a mark.

    Blanks, hyphens, dots, slashes and stars are passed over; characters that are always the same
    may be left out; one `?`, or nothing but `?`, says that nothing could be read.
    """
    slots = list(_slots(mark))
    chars = [(at, c.upper()[:1]) for at, c in enumerate(typed, 1) if c not in SEPARATORS]
    if chars and all(char == "?" for _, char in chars):
        chars = [(0, "?")] * len(slots)
    elif len(chars) != len(slots):
        free = [slot for slot in slots if not slot.literal]
        if len(chars) != len(free):
            return Seen(problems=(_miscounted(chars, slots, typed),))
        slots = free
    taken: list[str] = []
    problems: list[str] = []
    meant = list(typed)
    swaps_only = True
    for slot, (at, char) in zip(slots, chars, strict=True):
        good, guess = _held(slot, char)
        taken.append(char if good else "?")
        if not good and guess:
            meant[at - 1] = guess
            problems.append(
                f"{shown(char)} at character {at}: {slot.what} is expected there; is it `{guess}`?"
            )
        elif not good:
            swaps_only = False
            problems.append(f"{shown(char)} at character {at}: {slot.what} is expected there")
    runs = _runs(mark, slots, taken)
    unlisted = [problem for run in runs if (problem := _unlisted(run))]
    alternatives = ("".join(meant).upper(),) if problems and swaps_only and not unlisted else ()
    return Seen(runs, (*problems, *unlisted), alternatives)


def _held(slot: _Slot, char: str) -> tuple[bool, str]:
    """Whether a character fits its place, and if not, the look-alike that would."""
    allowed = slot.literal or (_DIGITS if slot.digit else _LETTERS)
    if char == "?" or char in allowed:
        return True, ""
    other = LOOK_ALIKE.get(char, "")
    return False, other if other in allowed else ""


def _miscounted(chars: list[tuple[int, str]], slots: list[_Slot], typed: str) -> str:
    if len(chars) > len(slots):
        at = chars[len(slots)][0]
        much = shown(typed[at - 1 :])
        return f"{much} from character {at} on is too much: the mark has {_count(len(slots))}"
    return f"{len(chars)} of {_count(len(slots))}; type ? for each one that can't be read"


def _count(number: int) -> str:
    return "1 character" if number == 1 else f"{number} characters"


def _runs(mark: Mark, slots: list[_Slot], taken: list[str]) -> tuple[Run, ...]:
    runs: list[Run] = []
    for at, field in enumerate(mark.fields):
        if not field.text:
            seen = "".join(c for slot, c in zip(slots, taken, strict=True) if slot.owner == at)
            runs.append(Run(field, field.name or f"field {at + 1}", seen))
    return tuple(runs)


def _unlisted(run: Run) -> str:
    """Why the characters of a field can't stand there, or an empty text."""
    allowed = allowed_values(run.field)
    if allowed is None or not run.legible or run.fits:
        return ""
    if run.field.values:
        more = ", ..." if len(allowed) > 16 else ""
        return f"`{run.seen}` is no {run.name} of this mark: {', '.join(allowed[:16])}{more}"
    return f"`{run.seen}` is no {run.name}: {allowed[0]} to {allowed[-1]} is possible"
