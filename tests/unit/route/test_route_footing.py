"""How far it is on foot, held against the geometry of a rectangle and a shortest-path solver."""

from __future__ import annotations

from itertools import pairwise, product
from math import hypot

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from checkrun.route.footing import ARM, Path
from checkrun.route.model import Outline, Place
from checkrun.route.zones import Zone

OUTLINE = Outline(4.1, 1.68, 2.45, 0.72)
PATH = Path(OUTLINE)
FRONT, REAR, HALF = -0.72 - ARM, 3.38 + ARM, 0.84 + ARM
AROUND = 2 * (REAR - FRONT + 2 * HALF)


def outside(x: float, y: float) -> tuple[Place, Zone]:
    return Place(x, y, 0.5), Zone.OUTSIDE


def metres(here: tuple[Place, Zone], there: tuple[Place, Zone]) -> float:
    return PATH.round(PATH.footing(*here), PATH.footing(*there))


NOSE, TAIL = outside(-0.72, 0.0), outside(3.38, 0.0)


def test_the_path_is_as_long_as_the_rectangle_at_arms_length() -> None:
    assert PATH.around == pytest.approx(AROUND)


@pytest.mark.parametrize(
    ("here", "there", "expected"),
    [
        (NOSE, NOSE, 0),
        (NOSE, TAIL, AROUND / 2),
        (NOSE, outside(0.0, -0.84), HALF - FRONT),
        (NOSE, outside(0.0, 0.84), HALF - FRONT),
        (outside(0.0, -0.84), outside(2.45, -0.84), 2.45),
        (outside(0.0, -0.84), outside(0.0, 0.84), 2 * (HALF - FRONT)),
        (outside(3.0, -0.84), outside(3.0, 0.84), 2 * (HALF + REAR - 3.0)),
        (outside(-5.0, -5.0), outside(-5.0, 5.0), 2 * HALF),
    ],
    ids=["here", "half round", "corner", "other corner", "side", "nose", "tail", "far off"],
)
def test_outside_one_walks_round_the_nearer_end(
    here: tuple[Place, Zone], there: tuple[Place, Zone], expected: float
) -> None:
    assert metres(here, there) == pytest.approx(expected)
    assert metres(there, here) == pytest.approx(expected)


def test_a_seat_is_reached_through_the_door_abreast_of_it_on_either_side() -> None:
    seat = Place(1.5, -0.36, 0.6), Zone.INSIDE
    assert metres(outside(1.5, -0.95), seat) == pytest.approx(HALF - 0.36)
    assert metres(outside(1.5, 0.95), seat) == pytest.approx(HALF + 0.36)
    assert metres(outside(0.5, -0.95), seat) == pytest.approx(1.0 + HALF - 0.36)
    assert metres((Place(1.5, 0.36, 0.6), Zone.INSIDE), seat) == pytest.approx(0.72)


def test_one_leaves_from_under_the_car_by_the_best_side_when_it_comes_down() -> None:
    under = Place(-0.4, 0.0, 0.3), Zone.UNDERNEATH
    assert metres(under, NOSE) == pytest.approx(-0.4 - FRONT)
    assert metres(under, outside(-0.4, 0.84)) == pytest.approx(HALF)


def test_under_a_raised_car_all_ways_are_straight() -> None:
    here = PATH.footing(Place(0.0, -0.5, 0.3), Zone.UNDERNEATH)
    there = PATH.footing(Place(2.0, 0.7, 0.3), Zone.UNDERNEATH)
    assert PATH.straight(here, there) == pytest.approx(hypot(2.0, 1.2))


def test_no_way_round_is_shorter_than_the_shortest_path_of_a_grid() -> None:
    """Dijkstra on the corners and some points of the path, with all edges that miss the car."""
    spots = [(x, y) for x, y in product((FRONT, REAR), (-HALF, HALF))]
    stations = [
        *(outside(x / 4, side) for x in range(0, 12, 3) for side in (-0.9, 0.9)),
        NOSE,
        TAIL,
        outside(-0.8, 0.5),
        outside(3.5, -0.3),
    ]
    feet = [PATH.footing(*station) for station in stations]
    spots += [(foot.x, foot.y) for foot in feet]

    def misses(a: tuple[float, float], b: tuple[float, float]) -> bool:
        """Whether a straight way stays out of what lies within the path."""
        line = np.linspace(a, b, 400)
        within = (np.abs(line[:, 1]) < HALF - 1e-6) & (line[:, 0] > FRONT + 1e-6)
        return not (within & (line[:, 0] < REAR - 1e-6)).any()

    far = np.array(
        [[hypot(a[0] - b[0], a[1] - b[1]) if misses(a, b) else 0 for b in spots] for a in spots]
    )
    shortest = dijkstra(csr_array(far))[4:, 4:]
    for i, here in enumerate(feet):
        for j, there in enumerate(feet):
            assert PATH.round(here, there) == pytest.approx(shortest[i][j])


def test_a_whole_round_is_as_long_as_the_path() -> None:
    corners = [
        NOSE,
        outside(0, -0.9),
        outside(2, -0.9),
        TAIL,
        outside(2, 0.9),
        outside(0, 0.9),
        NOSE,
    ]
    assert sum(metres(a, b) for a, b in pairwise(corners)) == pytest.approx(AROUND)
