"""Orders of least cost, held against brute force, other solvers and published tours.

Sources outside the project: TSPLIB (G. Reinelt, 1991; the numbers below are from memory, and so is
its rule for geographic distances) with its published optima burma14 = 3323, ulysses16 = 6859 and
gr17 = 2085: coordinates that lead to the published optimum to the last unit are the right ones.
The solvers of `python-tsp` (dynamic programming) and OR-Tools (CP-SAT).
"""

from __future__ import annotations

import random
from itertools import pairwise, permutations
from math import acos, cos, pi

import pytest

from checkrun.route.bound import Bound
from checkrun.route.search import best_order
from checkrun.route.sequencing import Switch, Task, bits, closed

BURMA14 = (
    "16.47 96.10 16.47 94.44 20.09 92.54 22.39 93.37 25.23 97.24 22.00 96.05 20.47 97.02 "
    "17.20 96.29 16.30 97.38 14.05 98.12 16.53 97.38 21.52 95.59 19.41 97.13 20.09 94.55"
)
ULYSSES16 = (
    "38.24 20.42 39.57 26.15 40.56 25.32 36.26 23.12 33.48 10.54 37.56 12.19 38.42 13.11 "
    "37.52 20.44 41.23 9.10 41.17 13.05 36.08 -5.21 38.47 15.13 38.15 15.35 37.51 15.17 "
    "35.49 14.32 39.36 19.56"
)
#: The lower triangle with its diagonal, row by row.
GR17 = (
    "0 633 0 257 390 0 91 661 228 0 412 227 169 383 0 150 488 112 120 267 0 80 572 196 77 351 63 0 "
    "134 530 154 105 309 34 29 0 259 555 372 175 338 264 232 249 0 505 289 262 476 196 360 444 402 "
    "495 0 353 282 110 324 61 208 292 250 352 154 0 324 638 437 240 421 329 297 314 95 578 435 0 "
    "70 567 191 27 346 83 47 68 189 439 287 254 0 211 466 74 182 243 105 150 108 326 336 184 391 "
    "145 0 268 420 53 239 199 123 207 165 383 240 140 448 202 57 0 246 745 472 237 528 364 332 349 "
    "202 685 542 157 289 426 483 0 121 518 142 84 297 35 29 36 236 390 238 301 55 96 153 336 0"
)


def geographic(text: str) -> list[list[int]]:
    """TSPLIB's GEO distances: degrees and minutes on a sphere of 6378.388 km."""
    numbers = [float(number) for number in text.split()]

    def radians(value: float) -> float:
        degrees = int(value)
        return 3.141592 * (degrees + 5 * (value - degrees) / 3) / 180

    points = [(radians(x), radians(y)) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]

    def far(here: tuple[float, float], there: tuple[float, float]) -> int:
        q1 = cos(here[1] - there[1])
        q2, q3 = cos(here[0] - there[0]), cos(here[0] + there[0])
        return int(6378.388 * acos(0.5 * ((1 + q1) * q2 - (1 - q1) * q3)) + 1)

    return [[0 if a == b else far(a, b) for b in points] for a in points]


def triangle(text: str) -> list[list[int]]:
    numbers = iter(map(int, text.split()))
    rows: list[list[int]] = []
    while len(rows) < 17:
        rows.append([next(numbers) for _ in range(len(rows) + 1)])
    return [[rows[max(i, j)][min(i, j)] for j in range(17)] for i in range(17)]


def round_trip(far: list[list[int]], before: tuple[int, ...] = ()) -> Task:
    """A closed tour through all points: the first is the start and the end."""
    rows = [row[1:] for row in far[1:]] + [far[0][1:]]
    size = len(far) - 1
    nothing = (0,) * (size + 1)
    home = tuple(row[0] for row in far[1:])
    return Task((rows, rows), home, nothing, nothing, before=before)


@pytest.mark.parametrize(
    ("far", "published"),
    [
        pytest.param(geographic(BURMA14), 3323, id="burma14"),
        pytest.param(geographic(ULYSSES16), 6859, id="ulysses16"),
        pytest.param(triangle(GR17), 2085, id="gr17"),
    ],
)
def test_a_published_tour_is_found_and_proven(far: list[list[int]], published: int) -> None:
    task = round_trip(far)
    found = best_order(task, tuple(range(task.size)))
    assert found.cost == found.bound == published
    tour = [0, *(job + 1 for job in found.order), 0]
    assert sum(far[a][b] for a, b in pairwise(tour)) == published


def points(draw: random.Random, count: int) -> list[list[int]]:
    at = [(draw.randrange(1000), draw.randrange(1000)) for _ in range(count)]
    return [[round(((a - c) ** 2 + (b - d) ** 2) ** 0.5) for c, d in at] for a, b in at]


def some_before(draw: random.Random, size: int, share: float) -> tuple[int, ...]:
    numbers = draw.sample(range(size), size)
    before = [0] * size
    for place, job in enumerate(numbers):
        for other in numbers[:place]:
            if draw.random() < share:
                before[job] |= 1 << other
    return closed(before)


def whole_task(seed: int) -> Task:
    """Any small task: bits that must be turned, jobs before others, and another way when lifted."""
    draw = random.Random(seed)
    size = draw.randrange(1, 7)
    level, under = points(draw, size + 1), points(draw, size + 1)
    ways = tuple([row[1:] for row in far[1:]] + [far[0][1:]] for far in (level, under))
    count = draw.randrange(4)
    cares = tuple(draw.randrange(1 << count) for _ in range(size + 1))
    switches = tuple(Switch(draw.randrange(900), draw.randrange(900)) for _ in range(count))
    return Task(
        (ways[0], ways[1]),
        tuple(draw.randrange(300) for _ in range(size)),
        cares,
        tuple(each & draw.randrange(1 << count) for each in cares),
        switches,
        some_before(draw, size, 0.2),
        draw.randrange(1 << count),
        lifted=1 if count else 0,
        stops=2 if count > 1 else 0,
        again=draw.randrange(1 + switches[1].on + switches[1].off) if count > 1 else 0,
    )


@pytest.mark.parametrize("seed", range(150))
def test_brute_force_finds_no_better_order_and_of_equal_ones_the_same(seed: int) -> None:
    task = whole_task(seed)
    orders = [each for each in permutations(range(task.size)) if task.keeps(each)]
    cost, first = min((task.cost(each), each) for each in orders)
    found = best_order(task, orders[-1])
    assert (found.cost, found.bound, found.order) == (cost, cost, first)


@pytest.mark.parametrize("seed", range(150))
def test_the_bound_is_above_no_rest_of_any_order(seed: int) -> None:
    task = whole_task(seed)
    bound = Bound(task)
    for order in permutations(range(task.size)):
        if not task.keeps(order):
            continue
        assert bound.whole() <= task.cost(order)
        world, spent, here, left = task.world, 0, task.size, (1 << task.size) - 1
        for job in order:
            world, turning, way = task.turn(world, task.cares[job], task.values[job])
            spent += turning + task.ways[way][here][job]
            assert bound.roughly(job, left) <= bound.behind(job, left ^ 1 << job)
            here, left = job, left ^ 1 << job
            assert spent + bound.behind(job, left) + bound.turns(left, world) <= task.cost(order)


@pytest.mark.parametrize("seed", range(12))
def test_a_search_cut_short_still_tells_how_far_off_it_can_be(seed: int) -> None:
    draw = random.Random(seed)
    task = round_trip(points(draw, 13), some_before(draw, 12, 0.1))
    known = best_order(task, next_order(task))
    short = best_order(task, next_order(task), work=1)
    assert known.bound == known.cost
    assert short.bound <= known.cost <= short.cost
    assert task.keeps(short.order)
    assert short.cost <= task.cost(next_order(task))


def next_order(task: Task) -> tuple[int, ...]:
    """Always the first job that can be done."""
    order: list[int] = []
    left = (1 << task.size) - 1
    while left:
        order.append(next(job for job in bits(left) if not task.before[job] & left))
        left ^= 1 << order[-1]
    return tuple(order)


@pytest.mark.parametrize("seed", range(6))
def test_another_exact_solver_finds_no_shorter_tour(seed: int) -> None:
    import numpy as np
    from python_tsp.exact import solve_tsp_dynamic_programming

    draw = random.Random(seed)
    far = points(draw, 10)
    task = round_trip(far)
    _, length = solve_tsp_dynamic_programming(np.array(far))
    found = best_order(task, tuple(range(task.size)))
    assert found.cost == found.bound == length


@pytest.mark.parametrize("size", [9, 12, 14])
@pytest.mark.parametrize("seed", range(4))
def test_a_constraint_solver_finds_no_shorter_order_with_things_before_others(
    size: int, seed: int
) -> None:
    from ortools.sat.python import cp_model

    draw = random.Random(seed)
    far = points(draw, size + 1)
    # One way dearer than the other, so that this is not only a matter of distances.
    far = [
        [cost + draw.randrange(200) if a != b else 0 for b, cost in enumerate(row)]
        for a, row in enumerate(far)
    ]
    before = some_before(draw, size, 0.12)
    task = round_trip(far, before)
    model = cp_model.CpModel()
    arcs, spent = [], []
    at = [model.new_int_var(0, size, f"at {job}") for job in range(size + 1)]
    model.add(at[0] == 0)
    for here in range(size + 1):
        for there in range(size + 1):
            if here != there:
                taken = model.new_bool_var(f"{here} {there}")
                arcs.append((here, there, taken))
                spent.append(far[here][there] * taken)
                if there:
                    model.add(at[there] == at[here] + 1).only_enforce_if(taken)
    model.add_circuit(arcs)
    for job, mask in enumerate(before):
        for other in bits(mask):
            model.add(at[other + 1] < at[job + 1])
    model.minimize(sum(spent))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    found = best_order(task, next_order(task))
    assert found.cost == found.bound == round(solver.objective_value)
    assert task.keeps(found.order)


def test_nothing_to_do_costs_what_the_end_needs() -> None:
    task = Task(([[]], [[]]), (), (1,), (1,), (Switch(5, 7),))
    assert best_order(task, ()).cost == 5


def test_a_cost_that_turning_would_avoid_is_refused() -> None:
    with pytest.raises(ValueError, match="off and on"):
        Task(([[]], [[]]), (), (0,), (0,), (Switch(5, 7),), stops=1, again=13)


def test_something_before_itself_is_refused() -> None:
    with pytest.raises(ValueError, match="before itself"):
        closed([2, 1])


def test_what_is_before_what_is_before_is_before() -> None:
    assert closed([0, 1, 2, 4]) == (0, 1, 3, 7)


def test_a_quarter_circle_of_the_equator_is_as_long_as_it_is() -> None:
    # The test's own rule of distances: a quarter of the great circle.
    far = geographic("0.0 0.0 0.0 90.0")
    assert far[0][1] == int(6378.388 * pi / 2 + 1)
