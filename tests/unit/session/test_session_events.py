from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import Any

import pytest

from checkrun.session.errors import WhyMissing, nearest, reason_of
from checkrun.session.events import Event, Kind, from_doc, moment, stamp
from checkrun.session.text import clean

GOOD: dict[str, Any] = {
    "n": 2,
    "at": "2026-03-04T09:00:00.000123Z",
    "kind": "answered",
    "group": 2,
    "data": {"check": "a", "result": "fail", "why": "rust"},
    "hash": "ab",
}


def test_a_document_becomes_an_event_and_the_same_document_again() -> None:
    event = from_doc(GOOD)
    assert event.at == datetime(2026, 3, 4, 9, 0, 0, 123, tzinfo=UTC)
    assert event.kind is Kind.ANSWERED
    assert event.to_doc() == GOOD
    assert from_doc(event.to_doc()) == event


BAD: list[tuple[dict[str, Any], str]] = [
    ({"n": 0}, "'n' is missing or not a whole number from 1"),
    ({"n": True}, "'n' is missing or not a whole number from 1"),
    ({"n": 1.0}, "'n' is missing or not a whole number from 1"),
    ({"group": "2"}, "'group' is missing or not a whole number from 1"),
    ({"kind": "guessed"}, "unknown kind 'guessed'"),
    ({"kind": 3}, "'kind' is missing or not a text"),
    ({"at": "yesterday"}, "'yesterday' is not a moment"),
    ({"at": "2026-03-04T09:00:00"}, "'2026-03-04T09:00:00' is not a moment"),
    ({"hash": None}, "'hash' is missing or not a text"),
    ({"data": []}, "'data' is missing or not a mapping"),
    ({"data": {"result": "fail"}}, "answered: 'check' is missing or not a text"),
    ({"data": {"check": "a", "result": "good"}}, "answered: unknown result 'good'"),
    ({"data": {"check": "a", "result": "pass", "why": 1}}, "answered: 'why' is not a text"),
    (
        {"kind": "began", "data": {"route": "r", "route_sha": "s", "year": "1965"}},
        "began: 'year' is missing or not a whole number",
    ),
    (
        {
            "kind": "began",
            "data": {
                "route": "r",
                "route_sha": "s",
                "year": 1965,
                "facts": {"serial": 5},
                "program": "0",
            },
        },
        "began: 'facts' are not all texts",
    ),
    (
        {"kind": "undone", "data": {"group": True}},
        "undone: 'group' is missing or not a whole number",
    ),
]


@pytest.mark.parametrize(("change", "told"), BAD)
def test_a_document_of_another_shape_is_refused_in_words(change: dict[str, Any], told: str) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(told)}$"):
        from_doc({**GOOD, **change})


def test_moments_are_written_in_utc_with_microseconds() -> None:
    assert stamp(datetime(2026, 3, 4, 9, tzinfo=UTC)) == "2026-03-04T09:00:00.000000Z"
    assert moment("2026-03-04T10:00:00+01:00") == datetime(2026, 3, 4, 9, tzinfo=UTC)


def test_every_kind_has_a_shape() -> None:
    for kind in Kind:
        with pytest.raises(ValueError, match=kind.value):
            from_doc({**GOOD, "kind": kind.value, "data": {}})


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("brake [mm]\tok\n", "brake [mm]\tok\n"),
        ("a\r\nb\rc", "a\nb\nc"),
        ("bell\x07 esc\x1b[31m del\x7f c1\x9b", "bell esc[31m del c1"),
        ("half \ud83d pair", "half � pair"),
        ("whole 🚗 ü 名", "whole 🚗 ü 名"),
        ("\x00", ""),
    ],
)
def test_text_keeps_what_can_be_shown(typed: str, kept: str) -> None:
    assert clean(typed) == kept


def test_long_text_is_never_cut() -> None:
    assert clean("x" * 1_000_000) == "x" * 1_000_000


def test_an_error_is_one_line_of_message_and_hint() -> None:
    error = WhyMissing()
    assert str(error) == "A check that was not examined needs a reason. Say why."
    assert (error.message, error.hint) == (
        "A check that was not examined needs a reason.",
        "Say why.",
    )
    assert isinstance(error, ValueError)


def test_refusals_of_the_system_are_put_in_plain_words() -> None:
    import errno

    assert reason_of(OSError(errno.ENOSPC, "x")) == "the disk is full"
    assert reason_of(OSError(errno.EROFS, "x")) == "the disk is read-only"
    assert reason_of(OSError(errno.EMFILE, "Too many open files")) == "Too many open files"
    assert reason_of(OSError("odd")) == "odd"


def test_nearest_gives_a_likely_spelling_or_none() -> None:
    assert nearest("bonet-gaps", ["bonnet-gaps", "sill"]) == "bonnet-gaps"
    assert nearest("zzz", ["bonnet-gaps"]) is None


def test_an_event_does_not_share_its_data_with_the_document() -> None:
    doc = {**GOOD, "data": dict(GOOD["data"])}
    event: Event = from_doc(doc)
    doc["data"]["check"] = "z"
    assert event.data["check"] == "a"
