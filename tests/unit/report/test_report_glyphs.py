"""The characters beside every state: one cell, distinct, and plain where the terminal is."""

from __future__ import annotations

import dataclasses
import unicodedata
from collections.abc import Iterator, Mapping
from typing import Any

import pytest

from checkrun.report.glyphs import ASCII, UNICODE, Glyphs, glyphs_for
from checkrun.report.plan import Mark
from checkrun.route.model import Result


def characters(glyphs: Any) -> Iterator[str]:
    for field in dataclasses.fields(glyphs):
        value = getattr(glyphs, field.name)
        if dataclasses.is_dataclass(value):
            yield from characters(value)
        elif isinstance(value, Mapping):
            yield from value.values()
        elif isinstance(value, tuple):
            yield from value
        else:
            yield value


@pytest.mark.parametrize(
    ("encoding", "env", "wanted"),
    [
        ("utf-8", {}, UNICODE),
        ("UTF-8", {"TERM": "xterm-256color"}, UNICODE),
        ("utf_16", {}, UNICODE),
        ("ascii", {}, ASCII),
        ("cp1252", {}, ASCII),
        ("", {}, ASCII),
        (None, {}, ASCII),
        ("utf-8", {"CHECKRUN_ASCII": "1"}, ASCII),
        ("utf-8", {"CHECKRUN_ASCII": "yes"}, ASCII),
        ("utf-8", {"CHECKRUN_ASCII": "0"}, UNICODE),
        ("utf-8", {"CHECKRUN_ASCII": ""}, UNICODE),
        ("utf-8", {"TERM": "dumb"}, ASCII),
        ("utf-8", {"TERM": "linux"}, ASCII),
    ],
)
def test_unicode_only_where_it_can_be_shown_and_is_wanted(
    encoding: str | None, env: dict[str, str], wanted: Glyphs
) -> None:
    assert glyphs_for(encoding, env) is wanted


def test_the_plain_set_is_plain() -> None:
    assert all(character.isascii() for character in characters(ASCII))


def test_no_character_is_wide_or_an_emoji() -> None:
    for character in characters(UNICODE):
        assert len(character) == 1
        # Unicode Standard Annex 11: W and F take two cells.
        assert unicodedata.east_asian_width(character) not in "WF", character


@pytest.mark.parametrize("glyphs", [UNICODE, ASCII])
def test_every_result_and_mark_has_a_glyph_of_one_cell_unlike_the_others(glyphs: Glyphs) -> None:
    assert glyphs.result.keys() == {result.value for result in Result} | {"open", "aside"}
    assert glyphs.station.keys() == {mark.value for mark in Mark}
    for told in (glyphs.result, glyphs.station):
        assert len(set(told.values())) == len(told)
        assert all(len(glyph) == 1 for glyph in told.values())
