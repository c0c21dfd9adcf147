"""The age of a tyre by the last group of its code: week and year."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from checkrun.judge.built import day_of
from checkrun.judge.characters import LOOK_ALIKE, same, text_of
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement, Outcome
from checkrun.judge.marks import car_of
from checkrun.judge.several import judge_each
from checkrun.judge.words import either, shown

TIN_SOURCE = "49 CFR 574.5: week and year are the last group of the code (verified)"
AGE_SOURCE = "up to 6 years a pass, over 10 a fail: common practice"
_PASS_YEARS, _FAIL_YEARS = 6, 10
#: No code is older than the rule, and three figures ended with the first half of 2000.
#: Source: pack T7b and T6, verified.
_FIRST_DAY, _LAST_OF_THREE = date(1971, 5, 22), date(2000, 7, 1)
_TRIANGLES = "<>\u25b2\u25b3\u25b6\u25b7\u25ba\u25c0\u25c1\u25c4"


@dataclass(frozen=True, slots=True)
class _Made:
    """The last group of a code: its week and year, as read, and the weeks it can mean."""

    week: str
    year: str
    nineties: bool
    weeks: tuple[tuple[int, int, date], ...] = ()


def judge_age(fields: Fields, car: Car) -> Judgement:
    """Judge the age of a tyre, or of several in one reading.

    Args:
        fields: `value`: the code or its last three or four figures, `?` for one that can't be
            read; `on`: the day it is judged on, else the day of the walk.
        car: What is known of the walk.

    Returns:
        Pass up to 6 years, fail over 10, concern between; undecided if what was read leaves more
        than one of them. `age_years` is the least it can be.

    Raises:
        BadReading: If there is no date in it.
    """
    return judge_each(_judge_one, fields, car_of(fields, car))


def _judge_one(fields: Fields, car: Car) -> Judgement:
    given = fields.get("on")
    on = car.today if given is None or given == "" else day_of(given, "on")
    if on == Car().today:
        raise BadReading("on: the day it is judged on is not known; write it as 2026-03-14")
    text = text_of(fields, "the code of the tyre, or its last three or four figures")
    made, alternative = _last_group(text)
    if alternative:
        problem = f"{shown(text)}: letters among the last figures; is it `{alternative}`?"
        values = {**_age_values(made, on), "alternatives": [alternative]}
        return Judgement(Outcome.UNDECIDED, values=values, problems=(problem,))
    made = _weeks(made, on)
    ages = [_age(start, on) for _, _, start in made.weeks]
    outcomes = {_band(age) for age in ages}
    reasons = _age_reasons(made, ages, on)
    outcome = outcomes.pop() if len(outcomes) == 1 else Outcome.UNDECIDED
    return Judgement(outcome, reasons, _age_values(made, on), (TIN_SOURCE, AGE_SOURCE))


def _last_group(text: str) -> tuple[_Made, str]:
    """Week and year from a code, and what was meant if letters stand for figures in it."""
    nineties = text[-1] in _TRIANGLES
    groups = [g for g in re.split(r"[\s\-./*]+", text.upper().rstrip(_TRIANGLES)) if g]
    groups = [group for group in groups if group != "DOT"] or [""]
    if len(groups) == 2 and all(re.fullmatch("[0-9?]{2}", group) for group in groups):
        groups = ["".join(groups)]
    last = groups[-1]
    if re.fullmatch("[0-9?OISB]{3,4}", last) and re.search("[0-9]", last):
        meant = "".join(LOOK_ALIKE[c] if c in "OISB" else c for c in last)
        figures = "".join("?" if c in "OISB" else c for c in last)
        return _Made(figures[:2], figures[2:], nineties), meant if meant != last else ""
    match = re.search("[0-9?]+$", last)
    figures = match[0] if match else ""
    if len(figures) in (3, 4) and figures != last:
        return _Made(figures[:2], figures[2:], nineties), ""
    if len(figures) > 4:
        raise BadReading(f"value: {shown(text)}: put a blank before the last three or four figures")
    raise BadReading(f"value: {shown(text)} does not end in three or four figures: week and year")


def week_start(year: int, week: int) -> date:
    """The Sunday on which a week of the code begins.

    Week 01 is the first full week of the year. Source: 49 CFR 574.5 (pack T5, verified); that
    weeks run from Sunday to Saturday is from memory.
    """
    first = date(year, 1, 1)
    return first + timedelta(days=(6 - first.weekday()) % 7, weeks=week - 1)


def _weeks(made: _Made, on: date) -> _Made:
    """Everything the code can mean by the day it is judged on."""
    weeks = [week for week in range(1, 54) if same(made.week, f"{week:02d}")]
    if not weeks:
        raise BadReading(f"value: there is no week {made.week}; weeks run from 01 to 53")
    four = len(made.year) == 2
    years = range(2000, on.year + 1) if four else range(1971, 2001)
    first, last = (date(2000, 1, 1), on) if four else (_FIRST_DAY, min(_LAST_OF_THREE, on))
    if made.nineties and not four:
        years = range(1990, 2000)
    found = tuple(
        (year, week, start)
        for year in years
        if same(made.year, str(year)[-len(made.year) :])
        for week in weeks
        if first <= (start := week_start(year, week)) <= last
    )
    if not found:
        figures = f"week {made.week} of {'20' if four else '...'}{made.year}"
        raise BadReading(f"value: {figures} has not come yet on {on}")
    return _Made(made.week, made.year, made.nineties, found)


def _age(start: date, on: date) -> float:
    return (on - start).days / 365.25


def _band(age: float) -> Outcome:
    if age <= _PASS_YEARS:
        return Outcome.PASS
    return Outcome.CONCERN if age <= _FAIL_YEARS else Outcome.FAIL


def _age_values(made: _Made, on: date) -> dict[str, Any]:
    years = sorted({year for year, _, _ in made.weeks})
    ages = [_age(start, on) for _, _, start in made.weeks]
    return {
        "week": None if "?" in made.week else int(made.week),
        "year": years[0] if len(years) == 1 else None,
        "years": years,
        "age_years": round(min(ages), 2) if ages else None,
        "decade_known": len({year // 10 for year in years}) == 1,
    }


def _age_reasons(made: _Made, ages: list[float], on: date) -> tuple[str, ...]:
    years = sorted({year for year, _, _ in made.weeks})
    week = f"week {made.week}" if "?" in made.week else f"week {int(made.week)}"
    said = either(map(str, years)) if len(years) < 5 else f"{years[0]} to {years[-1]}"
    made_in = f"made in {week} of {said}"
    if len(made.weeks) == 1:
        first = f"{made_in}: {ages[0]:.1f} years old on {on}"
    else:
        first = f"{made_in}: at least {min(ages):.1f} years old on {on}, at most {max(ages):.1f}"
    reasons = [first]
    if len(made.year) == 1 and made.nineties:
        reasons.append("the triangle behind three figures stands for the 1990s (from memory)")
    elif len(made.year) == 1:
        reasons.append("three figures do not tell the decade; four came with 2000")
    return tuple(reasons)
