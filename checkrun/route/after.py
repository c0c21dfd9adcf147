"""The author's own order, with `after` honoured."""

from __future__ import annotations

from collections.abc import Sequence

from checkrun.route.model import Station


def after_honoured(stations: Sequence[Station]) -> tuple[Station, ...]:
    """The same stations with each behind the one its `after` names, otherwise as they were."""
    known = {station.id for station in stations}
    done: set[str] = set()
    waiting: dict[str, list[Station]] = {}
    ordered: list[Station] = []

    def put(station: Station) -> None:
        standing = [station]
        while standing:
            here = standing.pop()
            ordered.append(here)
            done.add(here.id)
            standing.extend(reversed(waiting.pop(here.id, [])))

    for station in stations:
        after = station.after
        if after is None or after in done or after not in known:
            put(station)
        else:
            waiting.setdefault(after, []).append(station)
    # A ring of `after` is told by lint; here its stations keep their places at the end.
    ordered.extend(station for ring in waiting.values() for station in ring)
    return tuple(ordered)
