"""Date codes: which day they stand for, and whether a part of that day can be the first.

A part may be dated up to `window-days` before the car was built, and not after it. The decade of
a one-figure year is settled by that window alone. A first part lies in the window (P = 1, or what
is given as `first`) unless it is misread; another part by chance, window over production span. A
code without a year comes back every year, so there the span is a year at most: it can fit, and
hardly prove.
"""

from __future__ import annotations

from typing import Any

from checkrun.judge.built import built_of
from checkrun.judge.characters import Seen, read, text_of
from checkrun.judge.dated import Dated, chance_of, place
from checkrun.judge.days import DATE_FIELDS, code_of
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement, Outcome
from checkrun.judge.marks import Rule, car_of, digits, rule_of
from checkrun.judge.several import judge_each
from checkrun.judge.weight import (
    GOOD,
    MISREAD_SOURCE,
    decibans,
    ratio_within,
    ratio_without,
    said_weight,
)
from checkrun.judge.words import either, shown

#: Twenty years before the build, and a hundred years of production, are more than any part has.
_MOST_DAYS = {"window-days": 7_305, "span": 36_525}
_MOST_CANDIDATES = 62


def judge_date_code(fields: Fields, car: Car) -> Judgement:
    """Judge a date code, or several in one reading.

    Args:
        fields: `mark` (an id, or its fields) with fields called month, day, week, year; `built`
            (a day, month, year or the id of a fact; else the build date or the model year of the
            car); `window-days`; `span`, the days the part was made for; `value`.
        car: What is known of the car.

    Returns:
        Pass if it lies in the window, concern if it does as far as it could be read, fail if it
        lies outside, else undecided; with the weight of it as evidence for a first part.

    Raises:
        BadReading: If there is nothing to judge or the mark can't be used.
    """
    return judge_each(_judge_one, fields, car_of(fields, car))


def _judge_one(fields: Fields, car: Car) -> Judgement:
    rule = rule_of(fields, car)
    window = days_given(fields, "window-days", least=0)
    span = days_given(fields, "span", least=1)
    seen = read(rule.mark, text_of(fields, "the characters, with ? for what can't be read"))
    if not seen.runs:
        return Judgement(Outcome.UNDECIDED, values=_values(seen), problems=seen.problems)
    code = code_of(seen.runs)
    if any(run.fits == () for run in seen.runs if run.name in DATE_FIELDS and run.legible):
        return Judgement(Outcome.UNDECIDED, values=_values(seen), problems=seen.problems)
    if not code.legible:
        reason = "nothing of the date could be read, so it says nothing: weight 0"
        return Judgement(
            Outcome.UNDECIDED, (reason,), _values(seen, ratio=1.0), problems=seen.problems
        )
    built = built_of(fields, car)
    if built is None:
        return _unheld(rule, seen)
    dated = place(Dated(rule, seen, code, built, window, span))
    if not dated.left:
        problem = f"there is no such date near the car: {_told(seen)}"
        return Judgement(Outcome.UNDECIDED, values=_values(seen), problems=(problem,))
    if dated.inside:
        return _fits(dated, car)
    if dated.window is not None or all(s.first > built.last for s in dated.left):
        return _does_not_fit(dated)
    return _no_window(dated)


def days_given(fields: Fields, name: str, least: int) -> int | None:
    """A count of days in a reading's spec; None if it is not given.

    Raises:
        BadReading: If it is no such count, or beyond what any part has.
    """
    value = fields.get(name)
    if value is None or value == "":
        return None
    text = digits(value)
    good = text.isascii() and text.isdigit() and len(text) < 6
    most = _MOST_DAYS[name]
    if not good or not least <= int(text) <= most:
        raise BadReading(f"{name}: {shown(value)} is no count of days from {least} to {most}")
    return int(text)


def _values(
    seen: Seen, dated: Dated | None = None, ratio: float | None = None, chance: float | None = None
) -> dict[str, Any]:
    left = () if dated is None else dated.left
    only = None if dated is None else dated.only
    before = None
    if dated is not None and only is not None and only.one_day and dated.built.exact:
        before = (dated.built.first - only.first).days
    values: dict[str, Any] = {
        "fields": seen.texts,
        "legible": seen.legible,
        "candidates": [stretch.text for stretch in left[:_MOST_CANDIDATES]],
        "date": None if only is None else only.text,
        "days_before_build": before,
        "in_window": None if dated is None or dated.window is None else bool(dated.inside),
        "chance": chance,
        "weight_decibans": None if ratio is None else decibans(ratio),
    }
    return {**values, "alternatives": list(seen.alternatives)} if seen.alternatives else values


def _fits(dated: Dated, car: Car) -> Judgement:
    chance = chance_of(dated)
    ratio = None if chance is None else ratio_within(dated.rule.first, chance)
    reasons = [f"{_dates(dated)}: {_when(dated)}, and up to {dated.window} days are in order"]
    year = dated.built.last.year if car.year is None else car.year
    if dated.only is not None and dated.only.first.year == year - 1:
        reasons.append(
            f"{year - 1} is in order for a {year} car: parts come first (common practice)"
        )
    if len(dated.left) > 1:
        reasons.append(f"{len(dated.left)} dates remain; the window does not settle which")
    if not dated.code.has_year:
        reasons.append("the mark has no year, so a part of any year fits: it can't prove")
    outcome = Outcome.PASS
    if not dated.code.whole:
        reasons.append("not all of the date could be read")
        outcome = Outcome.CONCERN
    return Judgement(
        Outcome.UNDECIDED if dated.seen.problems else outcome,
        (*reasons, _weighs(dated, chance, ratio)),
        _values(dated.seen, dated, ratio, chance),
        _sources(dated),
        dated.seen.problems,
    )


def _does_not_fit(dated: Dated) -> Judgement:
    chance = None if dated.window is None else chance_of(dated)
    ratio = None if chance is None else ratio_without(dated.rule.first, chance)
    after = all(stretch.first > dated.built.last for stretch in dated.left)
    if after:
        reason = f"{_dates(dated)}: {_when(dated)}, so it is not the car's first"
    elif dated.only is not None:
        reason = f"{_dates(dated)}: {_when(dated)}, and {dated.window} days are the most"
    else:
        days = f"the {dated.window} days before"
        reason = f"{_dates(dated)}: none of them lies in {days}; {dated.built.said}"
    misread = (MISREAD_SOURCE,) if dated.rule.first in (None, 1) else ()
    return Judgement(
        Outcome.FAIL,
        (reason, _weighs(dated, chance, ratio)),
        _values(dated.seen, dated, ratio, chance),
        (*_sources(dated), *misread),
        dated.seen.problems,
    )


def _no_window(dated: Dated) -> Judgement:
    problem = "window-days: how long before the build a part may be dated is not given"
    return Judgement(
        Outcome.UNDECIDED,
        (f"{_dates(dated)}: {_when(dated)}; without a window that can't be judged",),
        _values(dated.seen, dated),
        _sources(dated),
        (*dated.seen.problems, problem),
    )


def _unheld(rule: Rule, seen: Seen) -> Judgement:
    problem = "built: neither a build date nor a model year is known to hold the date against"
    return Judgement(
        Outcome.UNDECIDED,
        (f"reads {_told(seen)}",),
        _values(seen),
        tuple(source for source in (rule.mark.source,) if source),
        (*seen.problems, problem),
    )


def _told(seen: Seen) -> str:
    return ", ".join(f"{run.name} {run.seen}" for run in seen.runs)


def _dates(dated: Dated) -> str:
    texts = [stretch.text for stretch in dated.left]
    if len(texts) > 6:
        return f"dated one of {len(texts)} days, {texts[0]} to {texts[-1]}"
    return f"dated {either(texts)}"


def _when(dated: Dated) -> str:
    """How a date lies to the build: `127 days before the car was built on 1966-03-29`."""
    only, built = dated.only, dated.built
    if only is None:
        return built.said
    if only.one_day and built.exact:
        days = (built.first - only.first).days
        if not days:
            return f"the day {built.said}"
        count = f"{abs(days)} day{'' if abs(days) == 1 else 's'}"
        return f"{count} {'before' if days > 0 else 'after'} {built.said}"
    least, most = (built.first - only.last).days, (built.last - only.first).days
    if most < 0:
        return f"{-most} days or more after the last day it can have been built ({built.said})"
    if least >= 0:
        return f"{least} to {most} days before it was built ({built.said})"
    return f"at most {most} days before it was built ({built.said})"


def _weighs(dated: Dated, chance: float | None, ratio: float | None) -> str:
    if chance is None or ratio is None:
        missing = "window" if dated.window is None else "span"
        return f"without a {missing} its weight can't be told"
    if chance == 1:
        return f"any other part would fit as well; this {said_weight(ratio)}"
    return f"{100 * chance:.2g} % of other parts would fit by chance; this {said_weight(ratio)}"


def _sources(dated: Dated) -> tuple[str, ...]:
    return tuple(s for s in (dated.rule.mark.source, dated.built.source, GOOD) if s)
