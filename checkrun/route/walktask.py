"""A walk round a car as the task that the search understands.

What must come before what:

- a station's `after` before it (a station that is not there, or a ring, is nothing to wait for);
- cold before running: an engine that has run is not cold again on the same walk;
- what is looked at with the car down and the engine off before the car goes up: leaks, loads,
  lifting points and doors are known before somebody stands beneath it. Common practice;
- what is looked at underneath with the wheels on before the wheels come off: nuts are not pulled
  at on a car whose frame nobody has seen. Common practice.

Where `after` asks for the opposite of one of the last three, `after` wins and that rule falls away.
So it does where a plan begins with the engine running, the car up or the wheels off: what the rule
would keep for the beginning is past.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from checkrun.route.footing import Footing, Path
from checkrun.route.model import STATE_VALUES, Outline, Station
from checkrun.route.sequencing import Switch, Task, bits, closed
from checkrun.route.times import Times
from checkrun.route.zones import Zone, zone

_BIT = {part: 1 << place for place, part in enumerate(STATE_VALUES)}
#: A kind of place: where one is, whether the engine runs, whether the wheels are off.
_Kind = tuple[Zone, bool, bool]


@dataclass(frozen=True, slots=True)
class From:
    """Where a plan begins, if not before the nose of a car as it arrives.

    Attributes:
        station: Where one stands; None for before the nose.
        state: The parts of the car's state that are not as it arrives, with their values.
    """

    station: Station | None = None
    state: tuple[tuple[str, str], ...] = ()


#: Before the nose of a car as it arrives.
NOSE = From()


@dataclass(frozen=True, slots=True)
class WalkTask:
    """Some stations of a car as a task.

    Attributes:
        task: Its jobs are the stations in the order given; milliseconds.
        metres: Metres between them, by way, as in `Task.ways`.
        cooling: What it costs to let a warm engine go cold, milliseconds; no order of `task` does.
    """

    task: Task
    metres: tuple[list[list[float]], list[list[float]]]
    cooling: int


def walk_task(stations: Sequence[Station], outline: Outline, begin: From, times: Times) -> WalkTask:
    """The task of walking to all of these stations."""
    path = Path(outline)
    feet = [path.footing(station.place, zone(station, outline)) for station in stations]
    kinds: list[_Kind | None] = [_kind(station, outline) for station in stations]
    if begin.station is None:
        rows: list[Footing] = [*feet, path.start()]
        kinds.append(None)
    else:
        rows = [*feet, path.footing(begin.station.place, zone(begin.station, outline))]
        kinds.append(_kind(begin.station, outline))
    level = [[path.round(here, there) for there in feet] for here in rows]
    under = [[path.straight(here, there) for there in feet] for here in rows]
    beside = [[_between(here, there, times) for there in kinds[:-1]] for here in kinds]
    wanted = [needs_of(station, outline) for station in stations]
    world = sum(
        _BIT[part] for part, value in begin.state if part in _BIT and value == STATE_VALUES[part][1]
    )
    before, once = _before(stations, wanted, world)
    needs = [_bits(each) for each in wanted]
    end = (_BIT["car"] | _BIT["wheels"], 0)
    task = Task(
        ways=(_costs(level, beside, times), _costs(under, beside, times)),
        home=(0,) * len(stations),
        cares=(*(cares for cares, _ in needs), end[0]),
        values=(*(values for _, values in needs), end[1]),
        switches=_switches(times, once),
        before=before,
        world=world,
        lifted=_BIT["car"],
        stops=_BIT["engine"],
        again=_thousandths(times.start_again),
    )
    return WalkTask(task, (level, under), _thousandths(times.cool_down))


def needs_of(station: Station, outline: Outline) -> dict[str, str]:
    """What a station needs of the car, with what can't be otherwise.

    Wheels come off only with the car up, and are on before it comes down; a seat, the engine bay
    and the boot are got at with the car down; what is open is shut before the car goes up.
    """
    needs = dict(station.needs)
    if needs.get("wheels") == "off":
        needs["car"] = "raised"
    elif zone(station, outline) in (Zone.INSIDE, Zone.BONNET, Zone.BOOT):
        needs.setdefault("car", "down")
    if needs.get("car") == "down":
        needs["wheels"] = "on"
    elif needs.get("car") == "raised":
        needs.setdefault("bonnet", "shut")
        needs.setdefault("boot", "shut")
    return needs


def _bits(needs: Mapping[str, str]) -> tuple[int, int]:
    """The bits that are cared for, and what they must be."""
    cares = sum(_BIT[part] for part in needs)
    return cares, sum(_BIT[part] for part, value in needs.items() if value == STATE_VALUES[part][1])


def _kind(station: Station, outline: Outline) -> _Kind:
    running, off = station.need("engine") == "running", station.need("wheels") == "off"
    return zone(station, outline), running, off


def _between(here: _Kind | None, there: _Kind | None, times: Times) -> float:
    """Seconds from one kind of place to another, beside walking and the car's state."""
    if here == there or there is None:
        return 0.0
    before = Zone.OUTSIDE if here is None else here[0]
    seconds = times.fetch
    if here is None and there == (Zone.OUTSIDE, False, False):
        seconds = 0.0  # the walk begins with what the round of the outside takes
    if before is Zone.INSIDE and there[0] is not Zone.INSIDE:
        seconds += times.get_out
    if there[0] is Zone.INSIDE and before is not Zone.INSIDE:
        seconds += times.get_in
        if before is not Zone.OUTSIDE:
            seconds += times.clean_hands
    return seconds


def _costs(metres: list[list[float]], beside: list[list[float]], times: Times) -> list[list[int]]:
    return [
        [_thousandths(far / times.walking + more) for far, more in zip(row, extra, strict=True)]
        for row, extra in zip(metres, beside, strict=True)
    ]


def _switches(times: Times, once: bool) -> tuple[Switch, ...]:
    """What turning each bit costs; `once` if the engine is started and stays warm."""
    costs = {
        "car": (times.raise_car, times.lower_car),
        "wheels": (times.wheels_off, times.wheels_on),
        "bonnet": (times.open_bonnet, times.shut_bonnet),
        "boot": (times.open_boot, times.shut_boot),
        "engine": (times.start_engine, times.start_engine if once else times.cool_down),
    }
    return tuple(
        Switch(_thousandths(costs[part][0]), _thousandths(costs[part][1])) for part in STATE_VALUES
    )


def _before(
    stations: Sequence[Station], wanted: Sequence[Mapping[str, str]], world: int
) -> tuple[tuple[int, ...], bool]:
    """What must be before each station, and whether cold comes before running in it.

    Args:
        stations: Those to be walked.
        wanted: What each needs of the car.
        world: How the car stands at the beginning, as bits.
    """
    places = {station.id: place for place, station in enumerate(stations)}
    links = {
        place: places[station.after]
        for place, station in enumerate(stations)
        if station.after is not None and station.after in places
    }
    before = closed(
        [
            1 << links[place] if place in links and not _in_ring(place, links) else 0
            for place in range(len(stations))
        ]
    )
    once = True
    for name, first, then in _rules(wanted):
        if world & _BIT[name] or any(before[place] & then for place in bits(first)):
            once = once and name != "engine"
        else:
            before = closed(
                [mask | first * (then >> place & 1) for place, mask in enumerate(before)]
            )
    return before, once


def _rules(wanted: Sequence[Mapping[str, str]]) -> list[tuple[str, int, int]]:
    """The rules for all cars: what each is about, the stations that come first, those behind."""
    cold = running = low = high = on = off = 0
    for place, needs in enumerate(wanted):
        bit = 1 << place
        engine, car, wheels = needs.get("engine"), needs.get("car"), needs.get("wheels")
        cold |= bit * (engine == "cold")
        running |= bit * (engine == "running")
        low |= bit * (car == "down" and engine != "running")
        high |= bit * (car == "raised")
        on |= bit * (car == "raised" and wheels == "on" and engine != "running")
        off |= bit * (wheels == "off")
    return [("engine", cold, running), ("car", low, high), ("wheels", on, off)]


def _in_ring(place: int, links: Mapping[int, int]) -> bool:
    step, seen = links.get(place), set[int]()
    while step is not None and step not in seen:
        if step == place:
            return True
        seen.add(step)
        step = links.get(step)
    return False


def _thousandths(value: float) -> int:
    return round(value * 1000)
