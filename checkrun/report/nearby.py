"""What is near on a walk, and the round of what is left, in words."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite

from checkrun.route.reach import Reach, along
from checkrun.session.fold import Walk
from checkrun.session.nearby import Near
from checkrun.session.round import UNPLANNABLE, Round


def nearest_line(near: Near | None, here: str, state: Mapping[str, str]) -> str:
    """Why this check is the nearest one.

    Args:
        near: The nearest, if there is one.
        here: The id of the station one stands at.
        state: How the car stands.
    """
    if near is None:
        return "Nothing else is open; m shows the summary."
    if near.way.changes:
        words = [f"{part} {_word(part, value)}" for part, value in near.way.changes]
        # The stop before it says all of them.
        needs = f"{words[0]} and more" if len(words) > 2 else ", ".join(words)
        return f"Nothing nearer; next needs the {needs}: {_time(near.way.seconds)}."
    if near.station.id == here:
        return f"Nearest: right here, car stays {_lift(state)}."
    if not isfinite(near.way.metres):
        return "Next in walking order; how far it is can't be told."
    return f"Nearest: {_metres(near.way.metres)}, car stays {_lift(state)}."


def round_line(walk: Walk) -> str:
    """What is said when a round of what is left begins; empty if none does."""
    led = walk.round
    if led is None or not led.begins:
        return ""
    how_many = _how_many(walk, led)
    way = _way(walk, led)
    if way is None:
        return f"{how_many}, in walking order from here."
    far = f"{_metres(way.metres)}, {_moves(way, dict(led.state))}."
    if len(led.stations) == 1:
        return f"{how_many}, at one station: {far}"
    return f"{how_many}, planned anew from here: {far}"


def near_words(near: Near, here: str) -> str:
    """How far a check is off, or what must be opened for it, and its station if it is another.

    Args:
        near: One of those that are near.
        here: The id of the station one stands at.
    """
    if near.way.changes:
        how = ", ".join(f"{part} {_word(part, value)}" for part, value in near.way.changes)
        far = f"{how}: {_time(near.way.seconds)}"
    else:
        far = "here" if near.station.id == here else _metres(near.way.metres)
    return far if near.station.id == here else f"{far}  {near.station.title}"


def _way(walk: Walk, led: Round) -> Reach | None:
    """The way round; None if there is no plan of it."""
    try:
        return along(led.begin, led.stations, walk.route.outline) if led.planned else None
    except UNPLANNABLE:
        return None


def _how_many(walk: Walk, led: Round) -> str:
    """How many checks a round has; whoever passed some by has not set them aside."""
    ids = led.check_ids
    aside = sum(walk.state(check).aside > 0 for check in ids)
    return f"{len(ids)} set aside" if aside == len(ids) else f"{len(ids)} left open"


def _moves(way: Reach, state: Mapping[str, str]) -> str:
    """What becomes of the lift on the way."""
    moves = [value for part, value in way.changes if part == "car"]
    if not moves:
        return f"car stays {_lift(state)}"
    if len(moves) == 1:
        return f"car goes {_word('car', moves[0])}"
    return f"lift moves {len(moves)} times"


def _lift(state: Mapping[str, str]) -> str:
    return _word("car", state.get("car", "down"))


def _word(part: str, value: str) -> str:
    return "up" if (part, value) == ("car", "raised") else value


def _metres(metres: float) -> str:
    """A length as one says it: half a metre matters on the last steps only."""
    if metres < 0.05:
        return "0 m"
    return f"{metres:.0f} m" if metres >= 2 else f"{metres:.1f} m"


def _time(seconds: float) -> str:
    """A time as one says it: in steps of five seconds, then of minutes, then of hours."""
    if seconds >= 5400:
        return f"{seconds / 3600:.0f} h"
    if seconds >= 600:
        return f"{seconds / 60:.0f} min"
    minutes, rest = divmod(5 * max(1, round(seconds / 5)), 60)
    parts = [f"{minutes} min"] * (minutes > 0) + [f"{rest} s"] * (rest > 0)
    return " ".join(parts)
