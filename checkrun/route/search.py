"""The best order of a task, with a proof: how much better no order can be.

Dynamic programming over (what is left, where one is, how the world stands), one job a layer: of
two ways to the same point the cheaper is kept. A point whose cost so far and least cost to come
exceed a known order's cost is dropped; that loses nothing. Where a layer still grows too wide only
its most hopeful points are kept, and the least of what is dropped is the bound that is proven.
"""

from __future__ import annotations

from dataclasses import dataclass

from checkrun.route.bound import NEVER, Bound
from checkrun.route.polish import polished
from checkrun.route.sequencing import Task, bits

#: Points of a layer kept in the first pass, which only looks for a good order to prune by.
_QUICK = 6
#: Work in the second pass before it is narrowed; one is a point looked at, a microsecond or two.
_WORK = 400_000
#: Moves weighed to better an order that is not known to be the best.
_TRIES = 4000
#: A tree of so many jobs, squared, is as much work as one point.
_TREE = 16

#: What is left -> (where one is, how the world stands) -> (cost, order so far, least in all).
_Layer = dict[int, dict[tuple[int, int], tuple[int, bytes, int]]]


@dataclass(frozen=True, slots=True)
class Found:
    """An order.

    Attributes:
        order: The jobs.
        cost: What it costs.
        bound: What any order costs at the least; equal to the cost if this is the best.
        work: What the search cost, in points.
    """

    order: tuple[int, ...]
    cost: int
    bound: int
    work: int = 0


def best_order(task: Task, known: tuple[int, ...], work: int = _WORK) -> Found:
    """The best order of a task, or a good one and how far off it can be at most.

    Of equally good orders the first by the jobs' numbers.

    Args:
        task: What is to be put in order; at most 255 jobs.
        known: Any order that keeps what must be before what.
        work: What the search may cost before it is narrowed, in points.
    """
    if not task.size:
        return Found((), task.cost(()), task.cost(()))
    bound = Bound(task)
    search = _Search(task, bound, task.cost(known))
    best = search.run(_QUICK, 0) or known
    if search.work < work:
        search.upper, search.dropped = min(search.upper, task.cost(best)), NEVER
        best = search.run(0, work) or best
    if search.dropped < task.cost(best):
        best = polished(task, min(best, known, key=task.cost), _TRIES)
    cost = task.cost(best)
    return Found(best, cost, max(min(search.dropped, cost), bound.whole()), search.work)


class _Search:
    """One task's layers."""

    def __init__(self, task: Task, bound: Bound, upper: int) -> None:
        self._task = task
        self._bound = bound
        self.upper = upper
        self.dropped = NEVER
        self.work = 0

    def run(self, width: int, work: int) -> tuple[int, ...] | None:
        """The cheapest order of those that cost no more than `upper`, if there is one.

        Args:
            width: Points to keep a layer; 0 keeps all while the work lasts.
            work: What it may cost; each layer gets an even share of what is left of it.
        """
        task = self._task
        kept = width
        layer: _Layer = {(1 << task.size) - 1: {(task.size, task.world): (0, b"", 0)}}
        for done in range(task.size):
            before, came = self.work, sum(map(len, layer.values()))
            layer = self._next(layer)
            spent = self.work - before
            work -= spent
            count = sum(map(len, layer.values()))
            if not count:
                return None
            if not width:
                each = spent / came
                kept = count
                if count * each > work / 2:
                    # Each of the layers to come gets its share of what is left.
                    kept = max(_QUICK, int(work / max(1, task.size - done - 1) / each))
            if count > kept:
                layer = self._narrowed(layer, kept)
        ends = (
            (cost + task.turn(world, task.cares[-1], task.values[-1])[1] + task.home[here], order)
            for (here, world), (cost, order, _) in layer.get(0, {}).items()
        )
        return tuple(min(ends)[1])

    def _next(self, layer: _Layer) -> _Layer:
        task, bound, upper = self._task, self._bound, self.upper
        new: _Layer = {}
        turns, trees = bound.turns, bound.trees
        for left, points in layer.items():
            for job in bits(left):
                if task.before and task.before[job] & left:
                    continue
                rest = left ^ (1 << job)
                self.work += len(points)
                rough = bound.roughly(job, left)
                if rough >= NEVER:
                    continue
                hope: int | None = None
                cares, values = task.cares[job], task.values[job]
                there = new.setdefault(rest, {})
                for (here, world), (cost, order, _) in points.items():
                    turned, turning, way = task.turn(world, cares, values)
                    cost += turning + task.ways[way][here][job]
                    if cost + rough > upper:
                        continue
                    turning = turns(rest, turned)
                    if cost + rough + turning > upper:
                        continue
                    if hope is None:
                        # Most are seen to lead nowhere without it, and it is what costs most.
                        hope, grown = bound.behind(job, rest), bound.trees
                        self.work += (grown - trees) * rest.bit_count() ** 2 // _TREE
                        trees = grown
                    least = cost + hope + turning
                    if least > upper:
                        continue
                    point = (job, turned)
                    old = there.get(point)
                    if old is None or (cost, order) < (old[0], old[1][:-1]):
                        there[point] = (cost, order + bytes((job,)), least)
        return {left: points for left, points in new.items() if points}

    def _narrowed(self, layer: _Layer, kept: int) -> _Layer:
        """The most hopeful points of a layer."""
        points = sorted(
            (least, order, left, point, cost)
            for left, group in layer.items()
            for point, (cost, order, least) in group.items()
        )
        self.dropped = min(self.dropped, points[kept][0])
        new: _Layer = {}
        for least, order, left, point, cost in points[:kept]:
            new.setdefault(left, {})[point] = (cost, order, least)
        return new
