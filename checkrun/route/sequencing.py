"""The task of the planner in bare numbers: an order of jobs at the least cost.

Jobs are numbered from 0; `start` is one more than the last. What a job needs of the world is two
masks of bits, `cares` (which bits matter to it) and `values` (what they must be). A bit that a job
does not care for stays as it is. All costs are whole numbers (the planner's are milliseconds), so
that sums are exact and equal is equal.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Switch:
    """One bit of the world and what it costs to turn it."""

    on: int
    off: int


@dataclass(frozen=True, slots=True)
class Task:
    """Jobs to be put in order.

    Attributes:
        ways: Costs of going from one job to the next, `ways[way][here][there]`, the last row from
            the start. Way 1 is gone while `lifted` is on before and after, way 0 otherwise.
        home: The cost of going from the last job to the end.
        cares: The bits each job cares for, and the end last.
        values: What they must be.
        switches: What turning each bit costs.
        before: The jobs that must be done before each one: a mask, closed under itself.
        world: The bits at the start.
        lifted: The bit that chooses the way.
        stops: Bits that each cost `again` more if they are on when `lifted` is turned.
        again: That cost; at most that of turning such a bit off and on again.

    Raises:
        ValueError: If `again` is more than that: turning them would then be worth it.
    """

    ways: tuple[Sequence[Sequence[int]], Sequence[Sequence[int]]]
    home: tuple[int, ...]
    cares: tuple[int, ...]
    values: tuple[int, ...]
    switches: tuple[Switch, ...] = ()
    before: tuple[int, ...] = ()
    world: int = 0
    lifted: int = 0
    stops: int = 0
    again: int = 0
    _turns: dict[tuple[int, int, int], tuple[int, int, int]] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )

    def __post_init__(self) -> None:
        for bit in bits(self.stops):
            if self.again > self.switches[bit].off + self.switches[bit].on:
                raise ValueError("`again` costs more than turning a bit off and on")

    @property
    def size(self) -> int:
        """How many jobs there are."""
        return len(self.home)

    def turn(self, world: int, cares: int, values: int) -> tuple[int, int, int]:
        """The world made ready for a job: what it then is, what that costs, and the way."""
        key = (world, cares, values)
        known = self._turns.get(key)
        if known is None:
            known = self._turns[key] = self._turn(*key)
        return known

    def _turn(self, world: int, cares: int, values: int) -> tuple[int, int, int]:
        turned = (world ^ values) & cares
        cost = 0
        for bit in bits(turned):
            cost += self.switches[bit].off if world >> bit & 1 else self.switches[bit].on
        new = world ^ turned
        if turned & self.lifted:
            cost += self.again * (world & new & self.stops).bit_count()
        return new, cost, int(bool(world & new & self.lifted))

    def cost(self, order: Sequence[int]) -> int:
        """What an order costs, its last job's way home and the end's needs with it."""
        world, here, total = self.world, self.size, 0
        for job in order:
            world, turning, way = self.turn(world, self.cares[job], self.values[job])
            total += turning + self.ways[way][here][job]
            here = job
        total += self.turn(world, self.cares[-1], self.values[-1])[1]
        return total + (self.home[here] if order else 0)

    def keeps(self, order: Sequence[int]) -> bool:
        """Whether an order puts every job behind those that must be before it."""
        done = 0
        for job in order:
            if self.before and self.before[job] & ~done:
                return False
            done |= 1 << job
        return True


def bits(mask: int) -> Iterator[int]:
    """The numbers of the bits that are set, rising."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def closed(before: Sequence[int]) -> tuple[int, ...]:
    """The masks with all that is before what is before, and so on.

    Raises:
        ValueError: If something comes before itself.
    """
    whole = list(before)
    left = (1 << len(whole)) - 1
    while left:
        ready = [job for job in bits(left) if not whole[job] & left]
        if not ready:
            raise ValueError("something comes before itself")
        for job in ready:
            for other in bits(whole[job]):
                whole[job] |= whole[other]
            left ^= 1 << job
    return tuple(whole)
