"""What a route is once it has been read: frozen values, nothing of YAML left in them."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import Enum
from functools import cached_property
from typing import Any


class Result(Enum):
    """What a person says of a check."""

    PASS = "pass"
    CONCERN = "concern"
    FAIL = "fail"
    NOT_EXAMINED = "not-examined"


class Severity(Enum):
    """How grave a failed check is.

    Source: the deficiency classes of Directive 2014/45/EU (reference pack D1 to D3, verified).
    """

    DANGEROUS = "dangerous"
    MAJOR = "major"
    MINOR = "minor"


class Group(Enum):
    """The part of the question a check belongs to, in the order findings are ranked."""

    STRUCTURE = "structure"
    SAFETY = "safety"
    IDENTITY = "identity"
    BODY = "body"
    MECHANICAL = "mechanical"
    TRIM = "trim"


class Order(Enum):
    """Who decides the order of the stations."""

    BY_POSITION = "by-position"
    AS_WRITTEN = "as-written"


#: The parts of the car's state and their values; the first value is how a car usually arrives.
STATE_VALUES: dict[str, tuple[str, str]] = {
    "car": ("down", "raised"),
    "wheels": ("on", "off"),
    "bonnet": ("shut", "open"),
    "boot": ("shut", "open"),
    "engine": ("cold", "running"),
}


@dataclass(frozen=True, slots=True)
class Years:
    """A closed range of model years."""

    first: int
    last: int

    def __contains__(self, year: int) -> bool:
        return self.first <= year <= self.last

    def __str__(self) -> str:
        return str(self.first) if self.first == self.last else f"{self.first}-{self.last}"

    @property
    def span(self) -> int:
        """How many model years the range covers."""
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class Only:
    """The cars a check, station, sign or claim applies to; no limit at all means every car."""

    years: Years | None = None
    facts: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Place:
    """A point in metres after ISO 4130: x rearwards, y to the right, z up.

    The origin is the centre of the front axle line at ground level.
    """

    x: float
    y: float
    z: float


@dataclass(frozen=True, slots=True)
class Outline:
    """The car as a box seen from above, metres."""

    length: float
    width: float
    wheelbase: float
    front_overhang: float

    @property
    def front(self) -> float:
        """Where the nose ends, metres on the x axis."""
        return -self.front_overhang

    @property
    def rear(self) -> float:
        """Where the tail ends, metres on the x axis."""
        return self.length - self.front_overhang


@dataclass(frozen=True, slots=True)
class Fact:
    """Something asked about the car before the walk."""

    id: str
    ask: str
    kind: str = "text"
    choices: tuple[str, ...] = ()
    mark: str | None = None
    required: bool = False
    example: str = ""


@dataclass(frozen=True, slots=True)
class MarkField:
    """One run of characters of a mark: a literal text, digits or letters."""

    name: str = ""
    text: str = ""
    digits: int = 0
    letters: int = 0
    means: str = ""
    values: tuple[tuple[str, str], ...] = ()
    range: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """A stamped or cast number or date code and the rule for reading it."""

    id: str
    title: str
    where: str = ""
    fields: tuple[MarkField, ...] = ()
    agrees_with: tuple[tuple[str, str], ...] = ()
    restamped: Decimal | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """What is to be measured or read at a check.

    Attributes:
        kind: One of the reading kinds of the route format.
        unit: The unit a bare number is taken to be in; empty where the kind has none.
        spec: Every other key as written in the route, for the judgement of that kind.
    """

    kind: str
    unit: str = ""
    spec: dict[str, Any] = field(default_factory=dict, hash=False)


#: How likely a concern has to be put right where the route does not say.
CHANCE = Decimal("0.5")


@dataclass(frozen=True, slots=True)
class Cost:
    """What it takes to put a fault right.

    Attributes:
        hours: Low, likely and high hours of work.
        parts: Low, likely and high price of parts, in the route's currency.
        chance: How likely a concern here has to be put right, above 0 and at most 1.
        base_rate: How often the fault is there if this was not examined; None if not known.
        together: Findings of the same key share their labour: the larger counts once.
    """

    hours: tuple[Decimal, Decimal, Decimal]
    parts: tuple[Decimal, Decimal, Decimal]
    chance: Decimal = CHANCE
    base_rate: Decimal | None = None
    together: str = ""


@dataclass(frozen=True, slots=True)
class Sign:
    """How likely each result is if a claim is true and if it is false.

    Without any likelihood its weight is computed from the check's reading, a stamp or date code.
    """

    claim: str
    cause: str = ""
    on_pass: tuple[Decimal, Decimal] | None = None
    on_concern: tuple[Decimal, Decimal] | None = None
    on_fail: tuple[Decimal, Decimal] | None = None
    only: Only = Only()


@dataclass(frozen=True, slots=True)
class Claim:
    """Something said of the car, to be weighed by its signs."""

    id: str
    says: str
    before: Decimal
    matters: Decimal
    only: Only = Only()
    short: str = ""

    @property
    def name(self) -> str:
        """A few words for it, where there is no room for all it says."""
        return self.short or self.id.replace("-", " ")


@dataclass(frozen=True, slots=True)
class Check:
    """One thing to look at: what, how, and what each result looks like."""

    id: str
    ask: str
    how: str = ""
    on_pass: str = ""
    on_concern: str = ""
    on_fail: str = ""
    why: str = ""
    caution: str = ""
    reading: Reading | None = None
    tools: tuple[str, ...] = ()
    severity: Severity = Severity.MAJOR
    group: Group = Group.MECHANICAL
    minutes: Decimal = Decimal("0.5")
    cost: Cost | None = None
    signs: tuple[Sign, ...] = ()
    source: str = ""
    only: Only = Only()


@dataclass(frozen=True, slots=True)
class Station:
    """One place to stand or crouch, with the checks done from there."""

    id: str
    title: str
    place: Place
    needs: tuple[tuple[str, str], ...] = ()
    caution: str = ""
    after: str | None = None
    only: Only = Only()
    checks: tuple[Check, ...] = ()

    def need(self, part: str) -> str | None:
        """What this station needs of one part of the car's state, or None if it does not care."""
        for name, value in self.needs:
            if name == part:
                return value
        return None


@dataclass(frozen=True)
class Route:
    """Everything to look at on a kind of car.

    Attributes:
        stations: In the order written; `checkrun.route.order.walk_order` gives the walking order.
        built_on: Ids of the routes below this one, nearest first.
    """

    id: str
    title: str
    years: Years
    outline: Outline
    about: str = ""
    built_on: tuple[str, ...] = ()
    order: Order = Order.BY_POSITION
    facts: tuple[Fact, ...] = ()
    safety: tuple[str, ...] = ()
    marks: tuple[Mark, ...] = ()
    stations: tuple[Station, ...] = ()
    claims: tuple[Claim, ...] = ()

    @cached_property
    def checks(self) -> dict[str, Check]:
        """Every check by its id, in the order of `stations`."""
        return {check.id: check for station in self.stations for check in station.checks}

    @cached_property
    def station_of(self) -> dict[str, Station]:
        """The station of every check, by the check's id."""
        return {check.id: station for station in self.stations for check in station.checks}

    def mark(self, mark_id: str) -> Mark | None:
        """The mark of that id, or None."""
        return next((mark for mark in self.marks if mark.id == mark_id), None)
