"""Betters an order by small moves, for tasks too wide to be searched whole."""

from __future__ import annotations

from collections.abc import Iterator

from checkrun.route.sequencing import Task

#: Longest run of jobs that is moved as one.
_RUN = 4


def polished(task: Task, order: tuple[int, ...], tries: int) -> tuple[int, ...]:
    """An order that is no dearer: short runs of jobs moved elsewhere, either way round.

    Args:
        task: What is to be put in order.
        order: An order that keeps what must be before what.
        tries: How many moves are weighed at the most; each costs one walk through the order.
    """
    shortest = [list(map(min, *rows)) for rows in zip(*task.ways, strict=True)]
    longest = [list(map(max, *rows)) for rows in zip(*task.ways, strict=True)]
    least = task.cost(order)
    better = True
    while better:
        better = False
        for other in _hopeful(shortest, longest, order):
            tries -= 1
            if tries < 0:
                return order
            if task.keeps(other) and (cost := task.cost(other)) < least:
                order, least, better = other, cost, True
                break
    return order


def _hopeful(
    shortest: list[list[int]], longest: list[list[int]], order: tuple[int, ...]
) -> Iterator[tuple[int, ...]]:
    """The moves that may save walking, whichever way it is walked."""
    start_row = len(shortest) - 1
    for length in range(1, _RUN + 1):
        for start in range(len(order) - length + 1):
            run, rest = order[start : start + length], order[:start] + order[start + length :]
            padded = (start_row, *rest)
            before, behind = padded[start], rest[start : start + 1]
            freed = longest[before][run[0]] + sum(longest[run[-1]][job] for job in behind)
            freed -= sum(shortest[before][job] for job in behind)
            for place in range(len(rest) + 1):
                here, there = padded[place], rest[place : place + 1]
                bridged = sum(longest[here][job] for job in there)
                for moved in (run, run[::-1]) if length > 1 else (run,):
                    added = shortest[here][moved[0]] + sum(shortest[moved[-1]][j] for j in there)
                    if added - bridged < freed and (place != start or moved != run):
                        yield rest[:place] + moved + rest[place:]
