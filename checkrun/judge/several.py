"""Readings with more than one code in them: `0866 and 0966`, read off two seat shells."""

from __future__ import annotations

import re
from typing import Any

from checkrun.judge.judgement import BadReading, Car, Fields, Judge, Judgement, Outcome
from checkrun.judge.words import shown

_BETWEEN = re.compile(r"\s*;\s*|,\s+|\s+(?:and|&)\s+", re.IGNORECASE)
_MOST = 8
_GRAVEST = (Outcome.FAIL, Outcome.CONCERN, Outcome.UNDECIDED, Outcome.PASS)


def parts_of(value: object) -> list[Any] | None:
    """The codes of a value that holds several, as a list or between `;`, `, ` or `and`."""
    if isinstance(value, str):
        parts: list[Any] = [part for part in _BETWEEN.split(value[:2000]) if part.strip()]
    elif isinstance(value, list | tuple):
        parts = list(value)
    else:
        return None
    return parts if 1 < len(parts) <= _MOST else None


def judge_each(judge: Judge, fields: Fields, car: Car) -> Judgement:
    """The judgement of one code, or of several: that of the gravest, with the others beside it.

    Raises:
        BadReading: If there is one code only and it can't be judged.
    """
    parts = parts_of(fields.get("value"))
    if parts is None:
        return judge(fields, car)
    judged = [(part, _one(judge, {**fields, "value": part}, car)) for part in parts]
    judged.sort(key=lambda item: _GRAVEST.index(item[1].outcome))
    worst = judged[0][1]
    return Judgement(
        worst.outcome,
        tuple(
            f"{shown(part, quote=False)}: {reason}"
            for part, one in judged
            for reason in one.reasons
        ),
        {**worst.values, "each": [dict(one.values) for _, one in judged]},
        tuple(dict.fromkeys(source for _, one in judged for source in one.sources)),
        tuple(problem for _, one in judged for problem in one.problems),
    )


def _one(judge: Judge, fields: Fields, car: Car) -> Judgement:
    try:
        return judge(fields, car)
    except BadReading as problem:
        return Judgement(Outcome.UNDECIDED, problems=(str(problem),))
