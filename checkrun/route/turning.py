"""What turning the bits of the world costs at the least for the jobs that are left.

Walking left aside, jobs with the same needs that wait for the same others are one: whoever can do
one of them can do all. So few are left that the least cost of all turns is found exactly, by
trying every next one. Where there are more, each bit is taken by itself: all is done that can be
done as it stands, then it is turned, and so on; the sum over the bits is a lower bound too.
"""

from __future__ import annotations

from checkrun.route.sequencing import Task, bits

#: More different jobs than these are not taken together.
_MOST = 18


class Turning:
    """Lower bounds of the turning in the rests of one task."""

    def __init__(self, task: Task) -> None:
        self._task = task
        self._known: dict[tuple[int, int], int] = {}
        self._bits: dict[tuple[int, int, int], int] = {}
        self._alike = _alike(task)
        self._together = len(self._alike) <= _MOST
        self._waiting = [_waiting(task, bit) for bit in range(len(task.switches))]

    def least(self, left: int, world: int) -> int:
        """The least cost of all turns from here to the end."""
        if not self._task.switches:
            return 0
        key = (left, world)
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = (
                self._whole(left, world) if self._together else self._bit_by_bit(left, world)
            )
        return known

    def _whole(self, left: int, world: int) -> int:
        """All bits together."""
        task = self._task
        left = self._done_as_it_stands(left, world)
        if not left:
            return task.turn(world, task.cares[-1], task.values[-1])[1]
        key = (left, world)
        known = self._known.get(key)
        if known is not None:
            return known
        best = -1
        for jobs, behind, cares, values in self._alike:
            if jobs & left and not behind & left:
                turned, cost, _ = task.turn(world, cares, values)
                if best < 0 or cost < best:
                    cost += self._whole(left & ~jobs, turned)
                    best = cost if best < 0 else min(best, cost)
        self._known[key] = best
        return best

    def _done_as_it_stands(self, left: int, world: int) -> int:
        """What is left when all is done that needs no turn; to do it at once costs nothing."""
        again = True
        while again:
            again = False
            for jobs, behind, cares, values in self._alike:
                if jobs & left and not behind & left and not (world ^ values) & cares:
                    left &= ~jobs
                    again = True
        return left

    def _bit_by_bit(self, left: int, world: int) -> int:
        cost = 0
        for bit, (caring, _) in enumerate(self._waiting):
            key = (bit, left & caring, world >> bit & 1)
            turned = self._bits.get(key)
            if turned is None:
                turned = self._bits[key] = self._one_bit(*key)
            cost += turned
        return cost

    def _one_bit(self, bit: int, left: int, value: int) -> int:
        task, waiting = self._task, self._waiting[bit][1]
        switch = task.switches[bit]
        cost = 0
        while left:
            for jobs, wanted, behind in waiting:
                if wanted == value and not behind & left:
                    left &= ~jobs
            if left:
                cost += switch.off if value else switch.on
                value ^= 1
        if task.cares[-1] >> bit & 1 and task.values[-1] >> bit & 1 != value:
            cost += switch.off if value else switch.on
        return cost


def _alike(task: Task) -> list[tuple[int, int, int, int]]:
    """The jobs that are one: their mask, what must be before them, what they need."""
    found: dict[tuple[int, int, int], int] = {}
    for job in range(task.size):
        cares = task.cares[job]
        key = (task.before[job] if task.before else 0, cares, task.values[job] & cares)
        found[key] = found.get(key, 0) | 1 << job
    return [(jobs, behind, cares, values) for (behind, cares, values), jobs in found.items()]


def _waiting(task: Task, bit: int) -> tuple[int, list[tuple[int, int, int]]]:
    """The jobs that care for a bit, all together and by what they wait for.

    Returns:
        The mask of all; then, for those alike: their mask, the value they want, and the jobs that
        want the other value and must be before them.
    """
    wants = [0, 0]
    for job in range(task.size):
        if task.cares[job] >> bit & 1:
            wants[task.values[job] >> bit & 1] |= 1 << job
    found: dict[tuple[int, int], int] = {}
    for value in (0, 1):
        for job in bits(wants[value]):
            behind = task.before[job] & wants[1 - value] if task.before else 0
            found[value, behind] = found.get((value, behind), 0) | 1 << job
    return wants[0] | wants[1], [(jobs, value, behind) for (value, behind), jobs in found.items()]
