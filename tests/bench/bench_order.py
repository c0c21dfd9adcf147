"""Walking orders: every shipped route, sixty stations, and the same instances given to OR-Tools.

The figures of the first two are milliseconds in one process, without start-up and reading. OR-Tools
gets its CP-SAT solver on one thread, with a circuit and what must come before what, and has to
prove its order too; the time its model takes to build is left out.
"""

from __future__ import annotations

import random
import statistics
import time
from typing import Any

import pytest

from checkrun import locations
from checkrun.route import planner
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Outline, Place, Station
from checkrun.route.search import best_order
from checkrun.route.sequencing import Task, closed

from .figures import Figures, ratio

_ROUNDS = 5
_SHIPPED = Catalog([Folder(locations.shipped("checklists"), "shipped")])


def test_shipped(figures: Figures) -> None:
    slowest, worst, who = 0.0, 0.0, ""
    for found in _SHIPPED.all():
        route = _SHIPPED.load(found.id)
        seconds = []
        for _ in range(_ROUNDS):
            planner._best.cache_clear()
            begun = time.perf_counter()
            plan = planner.plan(route)
            seconds.append(time.perf_counter() - begun)
        median = statistics.median(seconds) * 1e3
        worst = max(worst, plan.gap)
        if median > slowest:
            slowest, who = median, f"{found.id}, {len(route.stations)} stations"
    assert worst == 0, "every shipped route has a proven order"
    figures.add("slowest shipped route planned, ms", slowest, 300, f"{who}; every gap is 0 %")


@pytest.mark.parametrize("seed", range(3))
def test_sixty_stations(figures: Figures, seed: int) -> None:
    stations, outline = _car(60, seed)
    seconds = []
    for _ in range(3):
        planner._best.cache_clear()
        begun = time.perf_counter()
        _, bound = planner.planned(stations, outline)
        seconds.append(time.perf_counter() - begun)
    order, bound = planner.planned(stations, outline)
    walk = planner.walk_task(order, outline, planner.NOSE, planner.TIMES)
    cost = walk.task.cost(range(len(order))) / 1000
    gap = (cost - bound) / bound
    note = f"gap {gap:.1%}"
    figures.add(f"60 stations planned, car {seed + 1}, ms", min(seconds) * 1e3, 2000, note)


@pytest.mark.parametrize("size", [10, 13, 16])
def test_against_or_tools(figures: Figures, size: int) -> None:
    ours, theirs = [], []
    for seed in range(5):
        task = _walk_round(size, seed)
        known = tuple(range(size))
        begun = time.perf_counter()
        found = best_order(task, known)
        ours.append(time.perf_counter() - begun)
        solver, model = _circuit(task)
        begun = time.perf_counter()
        status = solver.solve(model)
        theirs.append(time.perf_counter() - begun)
        assert solver.status_name(status) == "OPTIMAL"
        assert found.bound == found.cost == round(solver.objective_value)
    note = f"{_ms(ours)} : {_ms(theirs)} ms, equal costs, both proven"
    figures.add(f"{size} stations against OR-Tools", ratio(ours, theirs), 1, note)


def _car(count: int, seed: int) -> tuple[list[Station], Outline]:
    """Stations round, in and under a car, in states as routes have them."""
    draw = random.Random(seed)
    outline = Outline(4.2, 1.7, 2.5, 0.75)
    stations = []
    for number in range(count):
        kind = number % 6
        if kind < 2:
            side = draw.choice([-1.0, 1.0])
            place = Place(draw.uniform(-0.9, 3.5), side, 0.7)
            needs = {"car": "down", "engine": "cold"}
        elif kind == 2:
            place = Place(draw.uniform(-0.5, 0.5), draw.uniform(-0.8, 0.8), 0.8)
            needs = {"car": "down", "bonnet": "open", "engine": draw.choice(["cold", "running"])}
        elif kind == 3:
            place = Place(draw.uniform(1.2, 2.0), draw.choice([-0.36, 0.36]), 0.6)
            needs = {"car": "down"}
        else:
            place = Place(draw.uniform(-0.6, 3.2), draw.uniform(-0.6, 0.6), 0.3)
            needs = {"car": "raised", "wheels": "on", "engine": "cold"}
        stations.append(Station(f"s{number}", "", place, tuple(needs.items())))
    return stations, outline


def _walk_round(size: int, seed: int) -> Task:
    """A closed walk through points, some before others, one way dearer than the other."""
    draw = random.Random(seed)
    spots = [(draw.uniform(0, 1000), draw.uniform(0, 1000)) for _ in range(size + 1)]
    far = [
        [
            round(abs(complex(a[0] - b[0], a[1] - b[1]))) + (draw.randrange(60) if a > b else 0)
            for b in spots
        ]
        for a in spots
    ]
    before = [0] * size
    for job in range(size):
        for other in range(job):
            if draw.random() < 0.1:
                before[job] |= 1 << other
    rows = [row[1:] for row in far[1:]] + [far[0][1:]]
    nothing = (0,) * (size + 1)
    home = tuple(row[0] for row in far[1:])
    return Task((rows, rows), home, nothing, nothing, before=closed(before))


def _circuit(task: Task) -> tuple[Any, Any]:
    """The same task for CP-SAT: a circuit through a start, and each job's place in the order."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    size = task.size
    place = [model.new_int_var(0, size - 1, "") for _ in range(size)]
    arcs, costs = [], []
    for here in range(size + 1):
        for there in range(size + 1):
            if here == there:
                continue
            taken = model.new_bool_var("")
            arcs.append((here, there, taken))
            far = task.home[here] if there == size else task.ways[0][here][there]
            costs.append(far * taken)
            if here < size and there < size:
                model.add(place[there] == place[here] + 1).only_enforce_if(taken)
    model.add_circuit(arcs)
    for job in range(size):
        for other in range(size):
            if task.before[job] >> other & 1:
                model.add(place[other] < place[job])
    model.minimize(sum(costs))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return solver, model


def _ms(seconds: list[float]) -> str:
    return f"{statistics.median(seconds) * 1e3:.1f}"
