"""How far it is on foot from one station to another.

The car is its outline, a rectangle. One walks round it on a second rectangle that lies arm's
length outside the first; the shortest way between two points of that path follows it, one way
round or the other, because a convex thing is passed closest along its edge. Outside, at the
bonnet and at the boot one stands on the path, at the point nearest to the station. Inside one
goes through the door abreast of the station, on the left or the right, and from seat to seat
straight. Under a raised car all ways are straight. When the lift moves in between, one leaves by
any side, square to it, and walks round on the path.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from checkrun.route.model import Outline, Place
from checkrun.route.zones import Zone

#: Arm's length from the car's side, metres. Common practice: near enough to touch, far enough to
#: look along a panel.
ARM = 0.6


@dataclass(frozen=True, slots=True)
class Footing:
    """Where one stands at a station.

    Attributes:
        x: Metres rearwards of the front axle line.
        y: Metres to the right of the middle.
        exits: Where it meets the path round the car, as metres along the path, and the metres to
            get there.
        inside: Whether one sits in the car or leans into it through a door.
    """

    x: float
    y: float
    exits: tuple[tuple[float, float], ...]
    inside: bool = False


class Path:
    """The rectangle one walks on round a car."""

    def __init__(self, outline: Outline) -> None:
        self._front, self._rear = outline.front - ARM, outline.rear + ARM
        self._half = outline.width / 2 + ARM
        self._long, self._wide = self._rear - self._front, 2 * self._half
        self.around = 2 * (self._long + self._wide)

    def start(self) -> Footing:
        """Where a walk begins: before the nose, in the middle, where the cart stands."""
        return Footing(self._front, 0.0, ((self._at(self._front, 0.0), 0.0),))

    def footing(self, place: Place, zone: Zone) -> Footing:
        """Where one stands at a place."""
        x, y = place.x, place.y
        sides = ((x, -self._half), (x, self._half))
        if zone is Zone.INSIDE:
            return Footing(x, y, self._exits(x, y, sides), inside=True)
        if zone is Zone.UNDERNEATH:
            ends = ((self._front, y), (self._rear, y))
            return Footing(x, y, self._exits(x, y, sides + ends))
        x, y = self._nearest(x, y)
        return Footing(x, y, ((self._at(x, y), 0.0),))

    def round(self, here: Footing, there: Footing) -> float:
        """Metres from one to the other with the car down, or with the lift moved on the way."""
        if here.inside and there.inside:
            return self.straight(here, there)
        return min(
            out + self._along(leaves, enters) + into
            for leaves, out in here.exits
            for enters, into in there.exits
        )

    @staticmethod
    def straight(here: Footing, there: Footing) -> float:
        """Metres from one to the other under the raised car."""
        return hypot(here.x - there.x, here.y - there.y)

    def _along(self, here: float, there: float) -> float:
        one_way = abs(here - there)
        return min(one_way, self.around - one_way)

    def _exits(
        self, x: float, y: float, points: tuple[tuple[float, float], ...]
    ) -> tuple[tuple[float, float], ...]:
        held = [
            (
                min(max(px, self._front), self._rear),
                min(max(py, -self._half), self._half),
            )
            for px, py in points
        ]
        return tuple((self._at(px, py), hypot(px - x, py - y)) for px, py in held)

    def _nearest(self, x: float, y: float) -> tuple[float, float]:
        """The point of the path nearest to a place on either side of it."""
        x = min(max(x, self._front), self._rear)
        y = min(max(y, -self._half), self._half)
        gaps = (y + self._half, self._half - y, x - self._front, self._rear - x)
        nearest = gaps.index(min(gaps))
        if nearest < 2:
            return x, -self._half if nearest == 0 else self._half
        return self._front if nearest == 2 else self._rear, y

    def _at(self, x: float, y: float) -> float:
        """Metres along the path from the left front corner, rearwards first."""
        if y <= -self._half:
            return x - self._front
        if x >= self._rear:
            return self._long + y + self._half
        if y >= self._half:
            return self._long + self._wide + self._rear - x
        return 2 * self._long + self._wide + self._half - y
