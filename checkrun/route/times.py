"""What walking and each change of the car's state cost in time.

All of it is common practice, rounded: what two people who do this work take without hurry. Only
the proportions matter for the order: the lift and the wheels cost minutes, the rest seconds.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Times:
    """Seconds, if not said otherwise; common practice throughout.

    Attributes:
        walking: Metres in a second: a slow walk with a torch in the hand.
        raise_car: Arms to the maker's points, up to the knee, shaken, up, on to the locks.
        lower_car: Tools out from below, off the locks, down, arms away.
        wheels_off: All four, the nuts put by.
        wheels_on: All four, started by hand, tightened crosswise with a torque wrench.
        open_bonnet: Released and propped.
        shut_bonnet: Prop stowed, shut, pulled at.
        open_boot: Key found, opened.
        shut_boot: Shut.
        start_engine: Chocks, extraction, the start, and until it is warm.
        start_again: The warm engine stopped before the lift moves and started again after it.
        cool_down: Until a warm engine is cold again.
        fetch: Tools and lamp for another kind of place: outside, inside, bonnet, boot, underneath,
            at the hubs, and with the engine running.
        get_in: Cover on the seat, gloves off.
        get_out: And out again.
        clean_hands: Before one sits down after work at the bonnet, in the boot or underneath.
    """

    walking: float = 1.0
    raise_car: float = 180
    lower_car: float = 120
    wheels_off: float = 240
    wheels_on: float = 360
    open_bonnet: float = 20
    shut_bonnet: float = 10
    open_boot: float = 15
    shut_boot: float = 5
    start_engine: float = 300
    start_again: float = 30
    cool_down: float = 4 * 3600
    fetch: float = 30
    get_in: float = 15
    get_out: float = 15
    clean_hands: float = 40


#: The times the planner goes by.
TIMES = Times()
