"""Readings that are chosen and not measured: signs seen, yes or no, how many."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from checkrun.judge import fields as take
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement, Outcome, worst
from checkrun.judge.words import nearest, shown

_RESULTS = {outcome.value: outcome for outcome in Outcome if outcome is not Outcome.UNDECIDED}
_BETWEEN_SIGNS = re.compile(r"\s*(?:[;\n+&]|,(?=\s|$))\s*")
_AND = re.compile(r"\s+and\s+", re.IGNORECASE)
_RANGE = re.compile(
    r"(?P<only>[0-9]+)|(?P<low>[0-9]+) ?(?:-|to) ?(?P<high>[0-9]+)"
    r"|(?P<least>[0-9]+) ?(?:\+|or more)|(?:>|over |more than ) ?(?P<over>[0-9]+)"
    r"|(?:<|under |less than |fewer than ) ?(?P<under>[0-9]+)"
    r"|(?:up to |at most ) ?(?P<most>[0-9]+)"
)
_YES_NO = {"yes": ("yes", "y", "true"), "no": ("no", "n", "false")}
_NUMBERS = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_MOST = 10**9


def judge_signs(fields: Fields, _car: Car) -> Judgement:
    """The worst of the signs that were seen."""
    choices = _choices(fields)
    chosen = _chosen(fields.get("value"), choices)
    if not chosen:
        raise BadReading("value: no sign is chosen yet")
    outcome = worst(*(choices[sign] for sign in chosen))
    ordered = sorted(chosen, key=lambda sign: choices[sign] is not outcome)
    reasons = tuple(f"{sign}: {choices[sign].value}" for sign in ordered)
    return Judgement(outcome, reasons, {"chosen": list(chosen), "result": outcome.value})


def judge_yes_no(fields: Fields, _car: Car) -> Judgement:
    """The result the route gives to a yes or to a no."""
    choices = _choices(fields)
    given = take.text(fields, "value")
    if not given:
        raise BadReading("value: nothing is chosen yet; answer yes or no")
    answer = next((word for word, same in _YES_NO.items() if given.casefold() in same), None)
    sign = next((sign for sign in choices if sign.casefold() == (answer or given.casefold())), None)
    if sign is None and answer is not None:
        raise BadReading(f"choices: what `{answer}` means is not given")
    if sign is None:
        raise BadReading(f"value: {shown(given)} is neither yes nor no")
    outcome = choices[sign]
    values = {"chosen": sign, "result": outcome.value}
    return Judgement(outcome, (f"{sign}: {outcome.value}",), values)


def judge_count(fields: Fields, _car: Car) -> Judgement:
    """The result of the first range a whole number lies in."""
    choices = _choices(fields)
    given = take.text(fields, "value")
    if not given:
        raise BadReading("value: nothing is counted yet")
    count = _whole(given)
    for name, outcome in choices.items():
        low, high = _range(name)
        if low <= count <= high:
            values = {"chosen": name, "result": outcome.value, "count": count}
            return Judgement(outcome, (f"{count}, that is {name}: {outcome.value}",), values)
    raise BadReading(f"choices: none of {', '.join(choices)} covers {count}")


def _choices(fields: Fields) -> dict[str, Outcome]:
    choices: dict[str, Outcome] = {}
    for name, value in take.mapping(fields, "choices").items():
        result = take.scalar(value, f"choices {name}")
        if result not in _RESULTS:
            raise BadReading(
                f"choices: {shown(name)} means {shown(result)}; it must be pass, concern or fail"
            )
        choices[{"True": "yes", "False": "no"}.get(name, name)] = _RESULTS[result]
    if not choices:
        raise BadReading("choices: there is nothing to choose from")
    return choices


def _chosen(value: Any, choices: Mapping[str, Outcome]) -> tuple[str, ...]:
    if value is None:
        return ()
    if isinstance(value, list | tuple):
        if len(value) > take.MOST:
            raise BadReading(f"value: {len(value)} signs; at most {take.MOST} are read")
        pieces = [take.scalar(item, f"sign {n}") for n, item in enumerate(value, 1)]
    else:
        pieces = _pieces(take.scalar(value, "value"), choices)
    return tuple(dict.fromkeys(_match(piece, choices) for piece in pieces if piece))


def _pieces(text: str, choices: Mapping[str, Outcome]) -> list[str]:
    """The signs in a line; a sign may itself hold a comma or an `and`."""
    if _begun(text, choices):
        return [text]
    pieces: list[str] = []
    for piece in _BETWEEN_SIGNS.split(text):
        parts = [piece] if _begun(piece, choices) else _AND.split(piece)
        pieces += parts
    return pieces


def _begun(text: str, choices: Mapping[str, Outcome]) -> list[str]:
    """The choices a text is, or is the beginning of."""
    key = " ".join(text.casefold().split())
    folded = {sign: " ".join(sign.casefold().split()) for sign in choices}
    same = [sign for sign, spelled in folded.items() if spelled == key]
    return same or [sign for sign, spelled in folded.items() if key and spelled.startswith(key)]


def _match(text: str, choices: Mapping[str, Outcome]) -> str:
    found = _begun(text, choices)
    if len(found) == 1:
        return found[0]
    if found:
        raise BadReading(f"value: {shown(text)} may be {' or '.join(found[:4])}")
    raise BadReading(f"value: {shown(text)} is not among the signs; {nearest(text, choices)}")


def _whole(given: str) -> int:
    word = given.casefold()
    if word in _NUMBERS:
        return _NUMBERS.index(word)
    if re.fullmatch(r"[0-9]{1,9}(?:\.0+)?", word):
        return int(Decimal(word))
    if re.fullmatch(r"-[0-9]+", word):
        raise BadReading(f"value: {shown(given)} is impossible, a count starts at 0")
    raise BadReading(f"value: {shown(given)} is not a whole number")


def _range(name: str) -> tuple[int, int]:
    found = _RANGE.fullmatch(name.strip().casefold())
    if found is None:
        if name.strip().casefold() in _NUMBERS:
            only = _NUMBERS.index(name.strip().casefold())
            return only, only
        raise BadReading(f"choices: {shown(name)} is no count; write 0, 1-2, 3 or more")
    part = {key: int(value[:9]) for key, value in found.groupdict().items() if value is not None}
    if "only" in part:
        return part["only"], part["only"]
    low = part.get("low", part.get("least", part.get("over", -1) + 1))
    high = part.get("high", part.get("most", part.get("under", _MOST + 1) - 1))
    return low, high
