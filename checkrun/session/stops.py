"""What must be done to the car before a station, and where it can hurt somebody.

The cautions are common practice. They do not replace local rules, the maker's manuals of the car
and of the lift, or the training that some of this work needs by law.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from checkrun.route.model import STATE_VALUES, Station

#: What a person does to bring a part of the car into a state.
DO: dict[tuple[str, str], str] = {
    ("car", "raised"): "Raise the car",
    ("car", "down"): "Let the car down",
    ("wheels", "off"): "Take the wheels off",
    ("wheels", "on"): "Put the wheels on, nuts tight",
    ("bonnet", "open"): "Open the bonnet and prop it",
    ("bonnet", "shut"): "Shut the bonnet",
    ("boot", "open"): "Open the boot",
    ("boot", "shut"): "Shut the boot",
    ("engine", "cold"): "Engine off, and cold",
    ("engine", "running"): "Start the engine",
}

#: The safety stops: what is shown and must be confirmed before the state is entered.
CAUTIONS: dict[tuple[str, str], str] = {
    ("car", "raised"): (
        "Lift only at the maker's points, arms locked; shake the car at knee height before it "
        "goes up, then set it down on the locks. On jacks: hard level ground, wheels chocked, "
        "stands under the frame. Never go under a car that a jack alone holds. The lift maker's "
        "manual and local rules come first."
    ),
    ("car", "down"): (
        "Nobody under the car or in it. Tools, lamps and stands out from below, doors shut. "
        "Let it down slowly and watch both sides."
    ),
    ("wheels", "off"): (
        "Stands under the frame before a wheel comes off. Brake dust may hold asbestos: no air "
        "line, no dry brush; wipe it wet, wear a mask. Springs are under load: undo nothing "
        "that holds one."
    ),
    ("wheels", "on"): (
        "Clean faces, nuts started by hand, tightened crosswise with a torque wrench to the "
        "maker's figure, and once more with the car on the ground."
    ),
    ("engine", "running"): (
        "Only if no fuel leak was seen. Out of gear, handbrake on, wheels chocked. Lead the "
        "exhaust outside: its gas kills. Hair, sleeves, rings and leads clear of fan and belts. "
        "Extinguisher at hand. Hot parts burn."
    ),
}


@dataclass(frozen=True, slots=True)
class Change:
    """One part of the car's state to be changed before a station.

    Attributes:
        do: What to do, in words.
        caution: What can hurt; empty if this is no safety stop.
    """

    part: str
    value: str
    do: str
    caution: str = ""


def change(part: str, value: str) -> Change:
    """The change of one part to one value."""
    return Change(part, value, DO[part, value], CAUTIONS.get((part, value), ""))


def changes_before(state: Mapping[str, str], station: Station) -> tuple[Change, ...]:
    """What must be done before a station; see `changes_to`."""
    return changes_to(state, dict(station.needs))


def changes_to(state: Mapping[str, str], wanted: Mapping[str, str]) -> tuple[Change, ...]:
    """What must be done for a wanted state, in the order in which it is safe to do it.

    Beside what is asked for: the engine is stopped before the car goes up or down, what is open
    is shut before it goes up, the car is up before a wheel comes off, and the wheels are on before
    it comes down.
    """
    wanted = dict(wanted)
    if wanted.get("wheels") == "off":
        wanted.setdefault("car", "raised")
    car = wanted.get("car", "")
    if car == "raised":
        wanted.setdefault("engine", "cold")
    elif car == "down":
        wanted["wheels"] = "on"
    now = {part: state.get(part, values[0]) for part, values in STATE_VALUES.items()}
    if car == "raised" != now["car"]:
        wanted = {"bonnet": "shut", "boot": "shut"} | wanted
    steps = [(part, wanted[part]) for part in _ORDER[car] if part in wanted]
    if wanted.get("engine") == "cold" or car not in ("", now["car"]):
        steps.insert(0, ("engine", "cold"))
    changes = []
    for part, value in steps:
        if now[part] != value:
            now[part] = value
            changes.append(change(part, value))
    return tuple(changes)


#: Going up: up, then wheels. Coming down: wheels on first. An engine is started when all is done.
_ORDER: dict[str, tuple[str, ...]] = {
    "": ("wheels", "bonnet", "boot", "engine"),
    "raised": ("bonnet", "boot", "car", "wheels", "engine"),
    "down": ("wheels", "car", "bonnet", "boot", "engine"),
}
