"""Find a check or station from a few typed letters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from checkrun.session.fold import Walk


@dataclass(frozen=True, slots=True)
class Hit:
    """Where a jump can lead: a check, or a station by its first open check."""

    check_id: str
    station: str
    ask: str


def find(walk: Walk, letters: str, most: int = 40) -> list[Hit]:
    """The checks and stations that fit, best first; the walking order decides between equals.

    Every typed word must begin a word of the check or its station, or else stand somewhere in it.
    Without letters every station is offered.
    """
    words = letters.lower().split()
    if not words:
        return list(_stations(walk))[:most]
    ranked = []
    for place, hit in enumerate([*_stations(walk), *_checks(walk)]):
        score = _score(words, f"{hit.ask} {hit.station} {hit.check_id}".lower())
        if score is not None:
            ranked.append((score, place, hit))
    ranked.sort(key=lambda found: found[:2])
    return [hit for _, _, hit in ranked[:most]]


def _stations(walk: Walk) -> Iterator[Hit]:
    for station in walk.stations:
        first = next(
            (check.id for check in station.checks if walk.state(check.id).answer is None),
            station.checks[0].id,
        )
        yield Hit(first, station.title, "")


def _checks(walk: Walk) -> Iterator[Hit]:
    for station in walk.stations:
        for check in station.checks:
            yield Hit(check.id, station.title, check.ask)


def _score(words: list[str], text: str) -> int | None:
    """How far from a perfect fit: 0 if every word begins one of the text; None if one lacks."""
    parts = text.replace("-", " ").split()
    score = 0
    for word in words:
        if any(part.startswith(word) for part in parts):
            continue
        if word not in text:
            return None
        score += 1
    return score
