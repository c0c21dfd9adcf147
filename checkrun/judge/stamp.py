"""Stamped characters: do they agree with the car, and how much does that say?

A part that is not the first one agrees if it was restamped to, or else by chance:
P(agree | not first) = restamped + (1 - restamped) x chance. A first part agrees (P = 1, or what
is given as `first`) unless it is misread.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import prod
from typing import Any

from checkrun.judge.characters import Run, Seen, read, same, text_of
from checkrun.judge.judgement import Car, Fields, Judgement, Outcome
from checkrun.judge.marks import Rule, car_of, expected, rule_of
from checkrun.judge.weight import (
    GOOD,
    MISREAD_SOURCE,
    decibans,
    ratio_within,
    ratio_without,
    said_weight,
)
from checkrun.judge.words import listed, shown


@dataclass(frozen=True, slots=True)
class _Held:
    """A field held against the car.

    Attributes:
        wanted: What it must read; None if that can't be told.
        why: Why it can't be told.
    """

    run: Run
    wanted: str | None
    why: str = ""

    @property
    def counts(self) -> bool:
        """Whether any character could be held against one of the car's."""
        return self.wanted is not None and any(
            "?" not in pair for pair in zip(self.run.seen, self.wanted, strict=True)
        )

    @property
    def agrees(self) -> bool:
        """Whether every character that could be held agrees."""
        return self.wanted is None or same(self.run.seen, self.wanted)

    @property
    def whole(self) -> bool:
        """Whether every character could be held."""
        return self.wanted is not None and "?" not in self.run.seen + self.wanted

    @property
    def alike(self) -> tuple[int, int]:
        """How many of how many parts agree by chance as far as it could be held."""
        assert self.wanted is not None
        pairs = zip(self.run.seen, self.wanted, strict=True)
        common = "".join("?" if seen == "?" else wanted for seen, wanted in pairs)
        return Run(self.run.field, self.run.name, common).alike


def judge_stamp(fields: Fields, car: Car) -> Judgement:
    """Judge one stamp.

    Args:
        fields: `mark` (an id, or its fields with agrees-with, restamped and first), `value` with
            `?` for what can't be read, and `car` where the reading itself tells of it.
        car: What is known of the car.

    Returns:
        Pass if all was read and agrees, concern if what could be read agrees, fail if anything
        disagrees, else undecided; with the weight of it as evidence for a first part.

    Raises:
        BadReading: If there is nothing to judge or the mark can't be used.
    """
    car = car_of(fields, car)
    rule = rule_of(fields, car)
    seen = read(rule.mark, text_of(fields, "the characters, with ? for what can't be read"))
    if not seen.runs and seen.problems:
        return Judgement(Outcome.UNDECIDED, values=_values(seen), problems=seen.problems)
    held = _hold(rule, seen, car)
    counted = [item for item in held if item.counts]
    wrong = [item for item in counted if not item.agrees]
    if wrong:
        return _disagrees(rule, seen, counted, wrong)
    if not counted:
        return _cannot_say(rule, seen, held)
    return _agrees(rule, seen, held, counted)


def _hold(rule: Rule, seen: Seen, car: Car) -> list[_Held]:
    held = []
    wishes = dict(rule.mark.agrees_with)
    for run in seen.runs:
        if run.name not in wishes:
            continue
        wanted, why = expected(wishes[run.name], car)
        if wanted is not None and len(wanted) != len(run.seen):
            why = f"{run.name} has {len(run.seen)} characters, {shown(wanted)} has {len(wanted)}"
            wanted = None
        held.append(_Held(run, wanted, why))
    return held


def _values(
    seen: Seen, agrees: str = "can't say", chance: float = 1.0, ratio: float = 1.0
) -> dict[str, Any]:
    values: dict[str, Any] = {
        "fields": seen.texts,
        "legible": seen.legible,
        "agrees": agrees,
        "chance": chance,
        "weight_decibans": decibans(ratio),
    }
    return {**values, "alternatives": list(seen.alternatives)} if seen.alternatives else values


def _by_chance(rule: Rule, counted: list[_Held]) -> tuple[float, float]:
    """The chance of agreeing unmeant, and of agreeing at all, for a part that is not the first."""
    # So many characters that the product is no float any more say no more than this.
    few, many = zip(*(item.alike for item in counted), strict=True)
    chance = max(prod(few) / prod(many), 1e-300)
    restamped = float(rule.mark.restamped or 0)
    return chance, restamped + (1 - restamped) * chance


def _agrees(rule: Rule, seen: Seen, held: list[_Held], counted: list[_Held]) -> Judgement:
    chance, other = _by_chance(rule, counted)
    ratio = ratio_within(rule.first, other)
    read_all = all("?" not in run.seen for run in seen.runs)
    whole = read_all and all(item.whole for item in held)
    names = listed(f"{item.run.name} {item.run.seen}" for item in counted)
    verb = "agrees" if len(counted) == 1 else "agree"
    partly = "" if read_all else f"; {seen.legible} of {seen.characters} characters were read"
    reasons = [
        f"{names} {verb} with the car{partly}",
        f"{_rarely(chance)} of agreeing by chance; {_restamped(rule)}",
        f"this {said_weight(ratio)}",
        *_open(held),
    ]
    outcome = Outcome.PASS if whole else Outcome.CONCERN
    return Judgement(
        # A character that does not fit its place has to be settled first.
        Outcome.UNDECIDED if seen.problems else outcome,
        tuple(reasons),
        _values(seen, "yes", chance, ratio),
        _sources(rule),
        seen.problems,
    )


def _disagrees(rule: Rule, seen: Seen, counted: list[_Held], wrong: list[_Held]) -> Judgement:
    chance, other = _by_chance(rule, counted)
    ratio = ratio_without(rule.first, other)
    return Judgement(
        Outcome.FAIL,
        (
            *(f"{w.run.name} reads {w.run.seen}, this car's is {w.wanted}" for w in wrong),
            f"this {said_weight(ratio)}: a first part could only be misread",
        ),
        _values(seen, "no", chance, ratio),
        (*_sources(rule), *((MISREAD_SOURCE,) if rule.first in (None, 1) else ())),
        seen.problems,
    )


def _cannot_say(rule: Rule, seen: Seen, held: list[_Held]) -> Judgement:
    if not seen.runs:
        reasons = ["this mark is the same on every part, so it says nothing: weight 0"]
    elif not seen.legible:
        reasons = ["nothing could be read, so it says nothing: weight 0"]
    elif not held:
        reasons = [f"{_told(seen)}; this mark has nothing on the car to agree with: weight 0"]
    else:
        reasons = [f"{_told(seen)}; what could be read can't be held against the car: weight 0"]
    return Judgement(
        Outcome.UNDECIDED,
        (*reasons, *_open(held)),
        _values(seen),
        _sources(rule),
        seen.problems,
    )


def _told(seen: Seen) -> str:
    """The fields with their meanings: `month A (January), day 09`."""
    parts = []
    for run in seen.runs:
        meaning = next((means for value, means in run.field.values if value == run.seen), "")
        parts.append(f"{run.name} {run.seen}" + (f" ({meaning})" if meaning else ""))
    return ", ".join(parts)


def _open(held: list[_Held]) -> list[str]:
    """A line for each field that could not be held against the car."""
    return [f"{item.run.name} not compared: {item.why}" for item in held if item.wanted is None]


def _rarely(chance: float) -> str:
    return f"one chance in {1 / chance:,.0f}" if chance < 1 else "every part is sure"


def _restamped(rule: Rule) -> str:
    if rule.mark.restamped is None:
        return "no share of restamped parts is given, so the weight is the most it can be"
    return f"{float(100 * rule.mark.restamped):g} % of other parts are taken for restamped"


def _sources(rule: Rule) -> tuple[str, ...]:
    return tuple(source for source in (rule.mark.source, GOOD) if source)
