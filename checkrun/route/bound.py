"""What the rest of an order costs at the least: the bound that makes the search exact.

Every order is a path through the jobs that are left, and so a spanning tree of them with an edge
in and an edge home. The cheapest tree is never dearer than the cheapest path. Weights put on the
jobs make trees dearer where they branch and leave the paths as they stand to each other (Held and
Karp, "The traveling-salesman problem and minimum spanning trees", Operations Research 18, 1970;
from memory); they are found once by subgradient steps for the whole task and used for every rest.
What turning the bits of the world costs is added (`turning`). Edges that no order can have,
because something must come in between, are left out.
"""

from __future__ import annotations

from checkrun.route.sequencing import Task, bits
from checkrun.route.turning import Turning

#: Dearer than anything: an edge that no order has.
NEVER = 10**15

#: Steps of the weights: so many, or so many a job where that is more.
_STEPS = 60
_STEPS_A_JOB = 2.5


class Bound:
    """Lower bounds for the rests of one task."""

    def __init__(self, task: Task) -> None:
        """Find the weights.

        Args:
            task: What is to be put in order; one job at least.
        """
        self._task = task
        self._all = (1 << task.size) - 1
        self._after = _behind(task)
        jobs = range(task.size)
        self._in = [self._edge(task.size, job) if not self._before(job) else NEVER for job in jobs]
        self._home = [task.home[job] if not self._after[job] else NEVER for job in jobs]
        self._directed = [
            [self._edge(here, there) if self._may_follow(here, there) else NEVER for there in jobs]
            for here in jobs
        ]
        self._plain = [
            [
                min(self._directed[here][there], self._directed[there][here])
                for there in range(task.size)
            ]
            for here in range(task.size)
        ]
        self.turns = Turning(task).least
        self._trees: dict[int, int] = {0: 0}
        self._weights = self._ascended()
        self._settle()

    def whole(self) -> int:
        """What any order costs at the least."""
        entering = min(cost + weight for cost, weight in zip(self._in, self._weights, strict=True))
        return self._tree(self._all) + entering + self.turns(self._all, self._task.world)

    def behind(self, job: int, left: int) -> int:
        """What going on from a job through all that is left costs at the least, but for `turns`."""
        if not left:
            return self._home[job]
        for there, cost in self._nearest[job]:
            if left >> there & 1:
                return self._tree(left) + cost
        return NEVER

    @property
    def trees(self) -> int:
        """How many trees were built so far: what all else costs little beside."""
        return len(self._trees)

    def roughly(self, job: int, left: int) -> int:
        """What doing a job and going on from it through the rest costs at the least, seen quickly.

        Never more than `behind(job, rest)`. The tree of all that is left is no dearer than that of
        the rest with the job hung on by its cheapest edge; and the former is mostly known already.

        Args:
            job: One of those left.
            left: What is left before it is done.
        """
        rest = left ^ (1 << job)
        if not rest:
            return self._home[job]
        entering = next((cost for there, cost in self._nearest[job] if rest >> there & 1), NEVER)
        if entering >= NEVER:
            return NEVER
        hung = next(cost for there, cost in self._edges[job] if rest >> there & 1)
        return entering + self._tree(left) - hung + 2 * self._weights[job]

    # The graph

    def _before(self, job: int) -> int:
        return self._task.before[job] if self._task.before else 0

    def _may_follow(self, here: int, there: int) -> bool:
        if here == there or self._before(here) >> there & 1:
            return False
        return not self._after[here] & self._before(there)

    def _edge(self, here: int, there: int) -> int:
        """The least cost of one job straight after another, turning aside."""
        task = self._task
        if here == task.size:
            cares, values = -1, task.world
        else:
            cares, values = task.cares[here], task.values[here]
        both = cares & task.cares[there] & task.lifted
        low = (cares & ~values | task.cares[there] & ~task.values[there]) & task.lifted
        level, under = task.ways[0][here][there], task.ways[1][here][there]
        if low or not task.lifted:
            return level
        return under if both else min(level, under)

    # Trees

    def _tree(self, left: int) -> int:
        """The cheapest tree of what is left with its edge home, the weights taken back."""
        known = self._trees.get(left)
        if known is not None:
            return known
        rows, weights = self._weighted, self._weights
        rest = list(bits(left))
        home = rows[-1]
        cost = min([home[job] for job in rest]) - 2 * sum([weights[job] for job in rest])
        row = rows[rest.pop()]
        near = [row[job] for job in rest]
        while rest:
            nearest = min(near)
            cost += nearest
            at = near.index(nearest)
            row = rows[rest[at]]
            del rest[at], near[at]
            near = [
                old if old < row[job] else row[job] for job, old in zip(rest, near, strict=True)
            ]
        self._trees[left] = cost
        return cost

    def _settle(self) -> None:
        """The weighted edges, and the nearest ones of each job first."""
        weights = self._weights
        jobs = range(self._task.size)
        self._weighted = [
            [cost + weights[here] + weights[there] for there, cost in enumerate(self._plain[here])]
            for here in jobs
        ]
        self._weighted.append([self._home[job] + weights[job] for job in jobs])
        self._edges = [
            sorted(enumerate(row), key=lambda pair: (pair[1], pair[0]))
            for row in self._weighted[:-1]
        ]
        self._nearest = [
            sorted(
                (
                    (there, cost + weights[there])
                    for there, cost in enumerate(self._directed[here])
                    if cost < NEVER
                ),
                key=lambda pair: (pair[1], pair[0]),
            )
            for here in jobs
        ]

    def _ascended(self) -> list[int]:
        """Weights that make the bound of the whole task high.

        Steps after Volgenant and Jonker, "A branch and bound algorithm for the symmetric traveling
        salesman problem", European Journal of Operational Research 9, 1982; from memory. Any steps
        give a valid bound.
        """
        size = self._task.size
        weights, steps = [0] * size, max(_STEPS, int(_STEPS_A_JOB * size))
        best, found = weights, -NEVER
        before: list[int] = []
        for done in range(steps):
            cost, degrees = self._one_tree(weights)
            if not done:
                first = max(cost, 0) / (2 * size)
            if cost > found:
                best, found = weights, cost
            over = [degree - 2 for degree in degrees]
            if not any(over):
                break
            step = first * (1 - done / steps) ** 2
            weights = [
                weight + round(step * (0.7 * now + 0.3 * then))
                for weight, now, then in zip(weights, over, before or over, strict=True)
            ]
            before = over
        return best

    def _one_tree(self, weights: list[int]) -> tuple[int, list[int]]:
        """The cheapest tree with its edges in and home: its cost and each job's edges."""
        size = self._task.size
        degrees = [0] * size
        cost = -2 * sum(weights)
        for ends in (self._in, self._home):
            least = [end + weight for end, weight in zip(ends, weights, strict=True)]
            nearest = min(least)
            cost += nearest
            degrees[least.index(nearest)] += 1
        rest = list(range(1, size))
        # The weight of what lies in the tree is added to the distance, that of the rest kept in it.
        near = [self._plain[0][job] + weights[0] + weights[job] for job in rest]
        ends = [0] * len(rest)
        while rest:
            nearest = min(near)
            at = near.index(nearest)
            job = rest.pop(at)
            cost += nearest
            degrees[job] += 1
            degrees[ends.pop(at)] += 1
            del near[at]
            row, shift = self._plain[job], weights[job]
            for place, other in enumerate(rest):
                new = row[other] + shift + weights[other]
                if new < near[place]:
                    near[place] = new
                    ends[place] = job
        return cost, degrees


def _behind(task: Task) -> list[int]:
    """The jobs that must come after each one."""
    after = [0] * task.size
    for job, before in enumerate(task.before):
        for other in bits(before):
            after[other] |= 1 << job
    return after
