"""Vehicle identification numbers of 17 characters: check digit and model year.

Source: 49 CFR 565.15, Tables III to VII (reference pack V1 to V12, verified).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from checkrun import tables
from checkrun.judge.characters import LOOK_ALIKE, SEPARATORS, text_of
from checkrun.judge.judgement import Car, Fields, Judgement, Outcome
from checkrun.judge.marks import car_of, year_of
from checkrun.judge.words import either, listed, shown

SOURCE = "49 CFR 565.15 (verified)"
#: The first model year of the 17 characters. Source: pack V9, verified.
FIRST_YEAR = 1981
_LENGTH = 17
_VALUES = {
    **{str(digit): digit for digit in range(10)},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    **{"P": 7, "R": 9},
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
#: Letters that no VIN holds, and the figure each is taken for. Source: pack V5, verified.
_NEVER = {"I": "1", "O": "0", "Q": "0"}
#: The first character of what is built in North America. Source: ISO 3780, from memory.
_NORTH_AMERICA = "12345"


@dataclass(frozen=True, slots=True)
class _Number:
    """A VIN as typed, and what is known beside it."""

    chars: str
    year: int | None
    today: int

    @property
    def american(self) -> bool:
        """Whether it was built where the check digit is compulsory."""
        return self.chars[0] in _NORTH_AMERICA


def check_digit(vin: str) -> str:
    """The check digit that belongs to 17 characters, whatever stands in the ninth place.

    Source: 49 CFR 565.15(c): values by Table III times weights by Table IV, modulo 11, 10 as X.
    """
    rest = sum(_VALUES[char] * weight for char, weight in zip(vin, _WEIGHTS, strict=True)) % 11
    return "X" if rest == 10 else str(rest)


def model_years(vin: str) -> tuple[int, ...]:
    """The model years the tenth character can mean, the earlier first; empty if none.

    Source: 49 CFR 565.15 Table VII, which comes back after 30 years.
    """
    for row in tables.rows("vin-model-year"):
        if row["code"] == vin[9]:
            return int(row["cycle1_year"]), int(row["cycle2_year"])
    return ()


def judge_vin(fields: Fields, car: Car) -> Judgement:
    """Judge one VIN.

    Args:
        fields: `value`, with `?` for what can't be read, and `year` if the model year is known.
        car: What is known of the car.

    Returns:
        Pass if the check digit fits, and the year if it is known. If not: fail for a car built in
        North America, where the check digit is compulsory, else concern.

    Raises:
        BadReading: If there is nothing to judge.
    """
    car = car_of(fields, car)
    given = fields.get("year")
    year = car.year if given is None or given == "" else year_of(given, "year")
    typed = text_of(fields, "the 17 characters, with ? for what can't be read")
    chars = "".join(char.upper()[:1] for char in typed if char not in SEPARATORS)
    if year is not None and year < FIRST_YEAR:
        return _too_early(year)
    problems = _misfits(chars)
    if problems:
        return _not_a_vin(chars, problems)
    number = _Number(chars, year, car.today.year)
    return _partly(number) if "?" in chars else _whole(number)


def _misfits(chars: str) -> list[str]:
    if len(chars) != _LENGTH:
        counted = "1 character" if len(chars) == 1 else f"{len(chars)} characters"
        return [f"{counted}, a VIN has {_LENGTH}; before {FIRST_YEAR} there was no common form"]
    problems = []
    for at, char in enumerate(chars, 1):
        if char in _NEVER:
            problems.append(
                f"{shown(char)} at character {at}: no VIN holds I, O or Q; is it `{_NEVER[char]}`?"
            )
        elif char != "?" and char not in _VALUES:
            problems.append(f"{shown(char)} at character {at} is neither letter nor figure")
    return problems


def _values(
    chars: str, valid: bool | None, years: Iterable[int], problems: list[str], wanted: str | None
) -> dict[str, Any]:
    return {
        "check_digit": chars[8] if len(chars) == _LENGTH and chars[8] != "?" else None,
        "expected_check_digit": wanted,
        "valid": valid,
        "model_years": list(years),
        "problems": problems,
    }


def _too_early(year: int) -> Judgement:
    reason = (
        f"a {year} number has no common form, the 17 characters began with {FIRST_YEAR}: "
        "hold it against its mark"
    )
    return Judgement(Outcome.UNDECIDED, (reason,), _values("", None, (), [], None), (SOURCE,))


def _not_a_vin(chars: str, problems: list[str]) -> Judgement:
    """What can't be a VIN, with what it may have been meant for."""
    values = _values(chars, None, (), problems, None)
    meant = "".join(_NEVER.get(char, char) for char in chars)
    reasons = []
    if meant != chars and not _misfits(meant):
        values["alternatives"] = [meant]
        if "?" not in meant:
            fits = "fits" if check_digit(meant) == meant[8] else "does not fit"
            reasons.append(f"read as {meant} its check digit {fits}")
    return Judgement(Outcome.UNDECIDED, tuple(reasons), values, (SOURCE,), tuple(problems))


def _partly(number: _Number) -> Judgement:
    """A VIN of which not all could be read: what the check digit says of the rest."""
    chars = number.chars
    unread = [at for at, char in enumerate(chars) if char == "?"]
    places = listed(str(at + 1) for at in unread)
    reasons = [f"character{'s' if len(unread) > 1 else ''} {places} could not be read"]
    wanted, alternatives = None, []
    if all(at == 8 for at in unread):
        wanted = check_digit(chars.replace("?", "0"))
        alternatives = [chars.replace("?", wanted)]
        reasons.append(f"the check digit must be {wanted}")
    elif len(unread) == 1:
        filled = [chars.replace("?", char) for char in _VALUES]
        alternatives = [vin for vin in filled if check_digit(vin) == vin[8]]
        left = ", ".join(vin[unread[0]] for vin in alternatives)
        reasons.append(f"the check digit leaves {left}" if left else "no character would fit")
    years = () if 9 in unread else _years(number)
    values = _values(chars, None, years, [], wanted)
    if alternatives:
        values["alternatives"] = alternatives
    return Judgement(Outcome.UNDECIDED, tuple(reasons), values, (SOURCE,))


def _whole(number: _Number) -> Judgement:
    chars = number.chars
    wanted = check_digit(chars)
    valid = wanted == chars[8]
    years = _years(number)
    wrong = [*_wrong_digit(number, wanted), *_wrong_year(number, years)]
    outcome = Outcome.PASS
    reasons = list(wrong)
    sources = [SOURCE]
    if wrong and number.american:
        outcome = Outcome.FAIL
    elif wrong:
        outcome = Outcome.CONCERN
        reasons.append(
            "built for another market than North America it need not follow that rule, so this "
            "is no proof"
        )
    if wrong:
        sources.append("1 to 5 in the first place: built in North America, ISO 3780 (from memory)")
    if valid:
        reasons.append(f"the check digit is {chars[8]}, as it must be")
    if years and number.year in (None, *years):
        reasons.append(f"character 10 is {chars[9]}: model year {either(map(str, years))}")
    values = _values(chars, valid, years, wrong, wanted)
    meant = [] if valid else _look_alikes(chars)
    if meant:
        values["alternatives"] = meant
        reasons.append(f"it would fit as {either(meant)}")
    return Judgement(outcome, tuple(reasons), values, tuple(sources))


def _wrong_digit(number: _Number, wanted: str) -> list[str]:
    found = number.chars[8]
    return [] if found == wanted else [f"the check digit is {found}, {wanted} would fit"]


def _wrong_year(number: _Number, years: tuple[int, ...]) -> list[str]:
    code = number.chars[9]
    if not model_years(number.chars):
        return [f"character 10 is {code}, which stands for no model year"]
    if number.year is not None and number.year not in years:
        said = either(map(str, years))
        return [f"character 10 is {code}, model year {said}; this car is a {number.year}"]
    return []


def _years(number: _Number) -> tuple[int, ...]:
    """The model years that are left.

    The car's own year settles it; else years to come fall away (a model year begins in the year
    before it), and of two the seventh place tells: a letter from 2010 on, a figure before, for
    cars and light trucks. Source: 49 CFR 565.15(b), pack V11, verified.
    """
    years = model_years(number.chars)
    if number.year in years:
        return (number.year,) if number.year is not None else years
    # A car without a day to be judged on carries the epoch: no year is to come then.
    if number.today > Car().today.year:
        years = tuple(year for year in years if year <= number.today + 1) or years
    if len(years) == 2 and number.chars[6] != "?":
        return (years[0],) if number.chars[6].isdigit() else (years[1],)
    return years


def _look_alikes(chars: str) -> list[str]:
    """The texts with one look-alike changed (5 S, 8 B) whose check digit fits."""
    found = []
    for at, char in enumerate(chars):
        other = LOOK_ALIKE.get(char, "")
        if other and other in _VALUES:
            meant = chars[:at] + other + chars[at + 1 :]
            if check_digit(meant) == meant[8]:
                found.append(meant)
    return found
