"""Jumping by a few letters: what fits, and in which order it is offered."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.report.find import Hit, find

DOOR = Hit("sill-left", "Left door", "")
SILL = Hit("sill-left", "Left door", "Left sill, inner face")
NOSE = Hit("lamp-left", "Nose", "")
LAMP = Hit("lamp-left", "Nose", "Bowl of the left headlamp")
GAP = Hit("bonnet-gap", "Nose", "Gap of the bonnet")
UNDER = Hit("frame-kink", "Under the frame", "")
BAY = Hit("idle", "Engine bay, engine running", "")
IDLE = Hit("idle", "Engine bay, engine running", "Idle, warm")


@pytest.mark.parametrize("letters", ["", "  ", "\t"])
def test_without_letters_every_station_is_offered_in_walking_order(told: Any, letters: str) -> None:
    assert find(told.walk, letters) == [NOSE, DOOR, UNDER, BAY]


def test_a_station_leads_to_its_first_open_check_else_to_its_first(told: Any) -> None:
    told.answer("lamp-left", "pass")
    assert find(told.walk, "")[0] == Hit("bonnet-gap", "Nose", "")
    told.answer("bonnet-gap", "pass")
    assert find(told.walk, "")[0] == NOSE


@pytest.mark.parametrize(
    ("letters", "found"),
    [
        ("idle", [BAY, IDLE]),
        ("IDLE", [BAY, IDLE]),
        # Every word must fit, in whichever order, each at the start of a word or within one.
        ("run eng", [BAY, IDLE]),
        ("left inner", [SILL]),
        ("inner left", [SILL]),
        ("inner right", []),
        ("zebra", []),
        # The parts of an id are words as well.
        ("kink", [UNDER, Hit("frame-kink", "Under the frame", "Kink in the frame rail")]),
        ("bonnet-gap", [GAP]),
        # What begins a word comes before what only holds it: `lamp` in `lamp-left`, `headlamp`.
        ("eadlam", [LAMP]),
    ],
)
def test_typed_words_find_checks_and_stations(told: Any, letters: str, found: list[Hit]) -> None:
    assert find(told.walk, letters) == found


def test_what_begins_a_word_comes_before_what_only_holds_the_letters(told: Any) -> None:
    # `ill` stands within `sill` alone; `in` begins `inner` and `in`, and stands within others.
    asked = [hit.ask for hit in find(told.walk, "in") if hit.ask]
    assert asked == ["Left sill, inner face", "Kink in the frame rail", "Idle, warm"]


def test_no_more_hits_than_asked_for(told: Any) -> None:
    assert find(told.walk, "", most=2) == [NOSE, DOOR]
    assert len(find(told.walk, "e")) == 9
    assert find(told.walk, "e", most=3) == find(told.walk, "e")[:3]
