"""Invented characters: stamps, date codes, numbers of vehicles and tyres to be judged."""

from __future__ import annotations

import re
from collections.abc import Iterator
from random import Random

from checkrun.judge.judgement import Car, Fields
from checkrun.judge.marks import expected, rule_of
from checkrun.judge.vin import check_digit
from checkrun.route.model import Mark, MarkField
from checkrun.tables import rows

_DIGITS, _LETTERS = "0123456789", "ABCDEFGHJKLMNPRSTUVWXYZ"
#: A vehicle identification number has so many characters.
_VIN = 17
#: An invented number of an invented maker; its ninth character is the check digit.
_OURS = "ZZZPL5R35K1002417"
_SIZES = ("165/80 R 15 87H", "205/55 R 16 91V", "155/70 R 13 75T", "175/70 R 13 82H")
#: How many codes are tried for one date.
_CODES = 80
#: Tyres up to so many years old are tried.
_YEARS = 14


def mark_text(mark: Mark, car: Car, chance: Random) -> str:
    """Characters that fit a mark, those that must agree with the car as it has them."""
    wishes = dict(mark.agrees_with)
    return "".join(_part(part, wishes.get(part.name, ""), car, chance) for part in mark.fields)


def _part(part: MarkField, wish: str, car: Car, chance: Random) -> str:
    if part.text:
        return part.text
    long = part.digits or part.letters
    wanted = expected(wish, car)[0] if wish else None
    if wanted is not None and len(wanted) == long:
        return wanted
    if part.values:
        return chance.choice(part.values)[0]
    if part.name == "year" and car.year is not None and part.digits:
        return str(car.year - chance.choice((0, 0, 0, 1)))[-long:]
    ends = re.fullmatch("([0-9]+)-([0-9]+)", part.range)
    if ends and part.digits:
        return str(chance.randint(int(ends[1]), int(ends[2]))).zfill(long)
    signs = _DIGITS if part.digits else _LETTERS
    return "".join(chance.choice(signs) for _ in range(long))


def _spoilt(text: str, chance: Random) -> Iterator[str]:
    """The text with one character that can't be read, and with one that is another."""
    for place, sign in enumerate(text):
        if sign.isalnum():
            signs = _DIGITS if sign.isdigit() else _LETTERS
            other = chance.choice([one for one in signs if one != sign])
            yield f"{text[:place]}?{text[place + 1 :]}"
            yield f"{text[:place]}{other}{text[place + 1 :]}"


def stamps(spec: Fields, car: Car, chance: Random) -> Iterator[str]:
    """What a stamp could read: as the car has it, half gone, or another."""
    text = mark_text(rule_of(spec, car).mark, car, chance)
    yield text
    yield from _spoilt(text, chance)


def codes(spec: Fields, car: Car, chance: Random) -> Iterator[str]:
    """Dates of the car's year and the one before, some of them half gone."""
    mark = rule_of(spec, car).mark
    for place in range(_CODES):
        text = mark_text(mark, car, chance)
        yield text
        if place % 8 == 0:
            yield from _spoilt(text, chance)


def vins(spec: Fields, car: Car, chance: Random) -> Iterator[str]:
    """The car's own number, half gone, or another; and one that fits its year."""
    said = [text for text in car.facts.values() if len(text) == _VIN]
    year = _year_of(spec, car)
    codes = [row["code"] for row in rows("vin-model-year") if year in row.values()]
    fitting = f"{_OURS[:9]}{codes[0] if codes else 'K'}{_OURS[10:]}"
    fitting = f"{fitting[:8]}{check_digit(fitting)}{fitting[9:]}"
    for text in (*said, fitting):
        yield text
        yield from _spoilt(text, chance)


def _year_of(spec: Fields, car: Car) -> str:
    """The year a number is of: what the reading says, or the car's."""
    return str(spec.get("year") or car.year)


def tyre_weeks(_spec: Fields, car: Car, chance: Random) -> Iterator[str]:
    """Weeks of the last years."""
    for back in range(1, _YEARS):
        yield f"{chance.randint(1, 52):02d}{(car.today.year - back) % 100:02d}"


def sizes(spec: Fields, car: Car, _chance: Random) -> Iterator[str]:
    """The size that belongs there, what was said of the car, and others, alone and in pairs."""
    for name in ("fitted", "specified"):
        if isinstance(spec.get(name), str):
            yield str(spec[name])
    facts = [text for text in car.facts.values() if "/" in text]
    for one in (*facts, *_SIZES):
        yield one
        yield f"{one}; {one}"
        yield from (f"{one}; {other}" for other in _SIZES if other != one)
