"""Answers to the intake's questions: does an answer fit, and if not, what would."""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation

from checkrun.route.model import Fact, Mark, MarkField, Route, Years

#: The words taken for yes and for no.
_YES_NO = {"yes": "yes", "y": "yes", "true": "yes", "no": "no", "n": "no", "false": "no"}


def settle(fact: Fact, answer: str) -> str:
    """The answer as it is kept: white space off its ends, `y` as `yes`, a mark in capitals."""
    answer = answer.strip()
    if fact.kind == "yes-no":
        return _YES_NO.get(answer.lower(), answer)
    if fact.kind == "choice":
        return next((c for c in fact.choices if c.lower() == answer.lower()), answer)
    return answer.upper() if fact.mark is not None else answer


def fact_problem(route: Route, fact: Fact, answer: str) -> str:
    """Why an answer does not fit the question, in one line; empty if it does.

    An empty answer fits unless the fact is required.
    """
    answer = settle(fact, answer)
    if not answer:
        return "the walk can't start without it" if fact.required else ""
    if fact.kind == "yes-no" and answer not in ("yes", "no"):
        return "answer yes or no"
    if fact.kind == "choice" and answer not in fact.choices:
        return f"choose from: {', '.join(fact.choices)}"
    if fact.kind == "number" and not _is_number(answer):
        return "write a plain number, such as 48000 or 12.5"
    mark = None if fact.mark is None else route.mark(fact.mark)
    return "" if mark is None else mark_problem(mark, answer)


def mark_problem(mark: Mark, answer: str) -> str:
    """Where a text leaves the pattern of a mark, in one line; empty if it fits."""
    rest, done = answer.upper(), 0
    for part in mark.fields:
        match = re.match(_pattern(part), rest)
        if match is None:
            found = f"`{rest[:8]}`" if rest else "nothing"
            return f"{_wanted(part)} expected at character {done + 1}, not {found}"
        done += match.end()
        rest = rest[match.end() :]
    return f"`{rest[:8]}` is too much at the end" if rest else ""


def _pattern(part: MarkField) -> str:
    """A regular expression for one field; `?` stands for a character that can't be read."""
    if part.text:
        return re.escape(part.text.upper())
    return rf"[0-9?]{{{part.digits}}}" if part.digits else rf"[A-Z?]{{{part.letters}}}"


def _wanted(part: MarkField) -> str:
    if part.text:
        return f"`{part.text}`"
    count, what = (part.digits, "digit") if part.digits else (part.letters, "letter")
    name = f" ({part.means or part.name})" if part.means or part.name else ""
    return f"{count} {what}{'s' if count > 1 else ''}{name}"


def year_problem(years: Years, answer: str) -> str:
    """Why a text is no model year of a route, in one line; empty if it is one."""
    if not re.fullmatch(r"[0-9]{4}", answer.strip()):
        return f"write the model year, {years}"
    return "" if int(answer) in years else f"this route covers {years}"


def _is_number(answer: str) -> bool:
    try:
        return Decimal(answer).is_finite()
    except InvalidOperation:
        return False
