"""What undo takes back, in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from checkrun.report.entrywords import entry_words
from checkrun.route.model import Route
from checkrun.session.events import Kind


@pytest.mark.parametrize(
    ("kind", "data", "words"),
    [
        (Kind.ANSWERED, {"check": "idle", "result": "fail"}, "the result at Idle, warm"),
        (Kind.MEASURED, {"check": "idle", "text": "7", "unit": ""}, "the reading at Idle, warm"),
        (Kind.NOTED, {"check": "idle", "text": "x"}, "the note at Idle, warm"),
        (Kind.SET_ASIDE, {"check": "idle"}, "setting aside at Idle, warm"),
        (
            Kind.RANKED,
            {"check": "idle", "before": "", "why": "x"},
            "the place in the order at Idle, warm",
        ),
        (
            Kind.PRICED,
            {"check": "idle", "name": "hours", "value": "1 1 1"},
            "hours of work at Idle, warm",
        ),
        (
            Kind.PRICED,
            {"check": "idle", "name": "seller", "value": "yes"},
            "who pays at Idle, warm",
        ),
        (Kind.ANSWERED, {"check": "gone", "result": "fail"}, "the result at gone"),
        (Kind.TERM, {"name": "asking", "value": "1"}, "the price asked"),
        (Kind.TERM, {"name": "later", "value": "1"}, "a figure"),
        (
            Kind.BELIEVED,
            {"claim": "sound", "value": "0.5"},
            "how likely sound is before looking",
        ),
    ],
)
def test_every_entry_that_can_be_undone_has_words(
    tell: Callable[[Route], Any], plover: Route, kind: Kind, data: dict[str, str], words: str
) -> None:
    told = tell(plover)
    told.say(kind, **data)
    assert told.walk.can_undo == told.n
    assert entry_words(told.walk, told.walk.can_undo) == words


def test_without_an_entry_there_are_no_words(told: Any) -> None:
    assert entry_words(told.walk, told.walk.can_undo) == ""
    assert entry_words(told.walk, 99) == ""
