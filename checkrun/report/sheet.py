"""One check as rows of words: what the walk screen, and whoever prints it, puts before a person."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from checkrun.report.glyphs import Glyphs
from checkrun.route.model import Check, Reading, Station
from checkrun.session.fold import CheckState
from checkrun.weigh.findings import with_unit


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a sheet: a label, a text that may wrap, and the role that decides its colour."""

    label: str
    text: str
    role: str = "text"


def check_rows(check: Check, station: Station, state: CheckState, glyphs: Glyphs) -> Iterator[Row]:
    """The rows of a check, what can hurt first, what was entered last."""
    yield Row("", check.ask, "ask")
    for caution in (station.caution, check.caution):
        if caution:
            yield Row(f"{glyphs.caution} CARE", caution, "caution")
    yield Row("how", check.how)
    if check.reading is not None:
        yield Row("read", reading_prompt(check.reading))
    result = glyphs.result
    yield Row(f"{result['pass']} pass", check.on_pass, "pass")
    yield Row(f"{result['concern']} concern", check.on_concern, "concern")
    yield Row(f"{result['fail']} fail", check.on_fail, "fail")
    if check.why:
        yield Row("why", check.why)
    yield Row("class", f"{check.severity.value} if it fails; {check.group.value}", "quiet")
    if check.tools:
        yield Row("with", ", ".join(check.tools), "quiet")
    if check.source:
        yield Row("source", check.source, "quiet")


def entered_rows(state: CheckState, glyphs: Glyphs) -> Iterator[Row]:
    """What was entered for a check so far: few rows, so that a small screen has room."""
    if state.answer is not None:
        name = state.answer.result.value
        words = name.replace("-", " ") + (f": {state.answer.why}" if state.answer.why else "")
    else:
        name = "aside" if state.aside else "open"
        words = "set aside" if state.aside else "open"
    if state.reading:
        words += f"; reads {with_unit(state.reading, state.reading_unit)}"
    role = "entered" if state.reading and name == "open" else name
    yield Row("result", f"{glyphs.result[name]} {words}", role)
    yield from judged_rows(state.judged, glyphs)
    if state.note:
        yield Row("note", state.note, "entered")


def judged_rows(judged: Mapping[str, Any] | None, glyphs: Glyphs) -> Iterator[Row]:
    """What was computed of a reading: the outcome with its first reason, then what is missing."""
    if judged is None:
        return
    outcome = str(judged.get("result", "undecided"))
    glyph = glyphs.result.get(outcome, glyphs.result["open"])
    reasons, problems = judged.get("reasons") or [], judged.get("problems") or []
    role = outcome if outcome in glyphs.result else "quiet"
    text = f"{glyph} {outcome}" + (f": {reasons[0]}" if reasons else "")
    yield Row("judged", text, role)
    for problem in problems[:2]:
        yield Row("mind", str(problem), "error-text")


def judged_text(judged: Mapping[str, Any] | None) -> str:
    """A judgement in one line, with its reasons; empty if there is none."""
    if judged is None:
        return ""
    reasons = "; ".join(str(reason) for reason in judged.get("reasons") or [])
    return f"{judged.get('result', 'undecided')}{': ' + reasons if reasons else ''}"


def reading_prompt(reading: Reading) -> str:
    """What is to be read, in which unit, and how, in a few words."""
    spec = reading.spec
    parts = [reading.kind.replace("-", " ")]
    if reading.unit:
        parts.append(f"in {reading.unit}")
    points = spec.get("points") or spec.get("panels")
    if isinstance(points, list):
        parts.append(f"at {', '.join(map(str, points))}")
    if isinstance(spec.get("choices"), dict):
        parts.append(f"({' / '.join(spec['choices'])})")
    text = " ".join(parts)
    for key in ("tool", "hold"):
        if isinstance(spec.get(key), str):
            text += f"; {spec[key]}"
    return text
