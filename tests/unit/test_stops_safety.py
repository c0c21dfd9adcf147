"""The safety stops from any state of the car to any station.

Common practice: a car is neither lifted nor let down with its engine running, and it never stands
on the ground without its wheels.
"""

from __future__ import annotations

import itertools

import pytest
import strategies
from hypothesis import given
from hypothesis import strategies as st

from checkrun.route.model import STATE_VALUES, Place, Station
from checkrun.session.stops import changes_before

ARRIVED = {part: values[0] for part, values in STATE_VALUES.items()}
states = st.fixed_dictionaries({part: st.sampled_from(v) for part, v in STATE_VALUES.items()})


def parsed(text: str) -> dict[str, str]:
    """The parts and values of `car raised, wheels off`."""
    return dict(part.split() for part in text.split(", ") if part)


def station(needs: dict[str, str]) -> Station:
    return Station("here", "Here", Place(0, 0, 0), tuple(needs.items()))


@pytest.mark.parametrize(
    ("state", "needs", "steps"),
    [
        # What a station does not ask for stays as it is.
        ("car raised, wheels off, bonnet open", "", ""),
        ("car raised, wheels off", "bonnet open", "bonnet open"),
        # A wheel comes off in the air, even if only the wheel is asked for.
        ("", "wheels off", "car raised, wheels off"),
        ("car raised", "wheels off", "wheels off"),
        ("car raised, wheels off", "wheels on", "wheels on"),
        # What is open is shut before the car goes up, unless it is asked to be open there.
        ("boot open, bonnet open", "car raised", "bonnet shut, boot shut, car raised"),
        ("boot open", "wheels off", "boot shut, car raised, wheels off"),
        ("bonnet open", "car raised, bonnet open", "car raised"),
        ("car raised, boot open", "car raised", ""),
        # An engine that runs is off before the car moves, and a start comes last of all.
        ("", "car raised, engine running", "car raised, engine running"),
        ("car raised, engine running", "car raised, engine running", ""),
        ("car raised, engine running", "car raised, wheels off", "engine cold, wheels off"),
        ("car raised, engine running", "car down", "engine cold, car down"),
        ("engine running", "bonnet open, engine cold", "engine cold, bonnet open"),
        (
            "engine running, bonnet open",
            "car raised, bonnet shut, engine cold, wheels off",
            "engine cold, bonnet shut, car raised, wheels off",
        ),
        (
            "car raised, wheels off",
            "engine running, car down, bonnet open",
            "wheels on, car down, bonnet open, engine running",
        ),
    ],
)
def test_what_is_done_and_in_which_order(state: str, needs: str, steps: str) -> None:
    changes = changes_before(ARRIVED | parsed(state), station(parsed(needs)))
    assert ", ".join(f"{step.part} {step.value}" for step in changes) == steps


def test_an_engine_that_runs_is_stopped_for_the_lift_and_started_again() -> None:
    changes = changes_before(
        ARRIVED | {"engine": "running"}, station({"car": "raised", "engine": "running"})
    )
    assert [(step.part, step.value, bool(step.caution)) for step in changes] == [
        ("engine", "cold", False),
        ("car", "raised", True),
        ("engine", "running", True),
    ]


def test_the_state_given_is_not_changed() -> None:
    state = dict(ARRIVED)
    changes_before(state, station({"car": "raised", "wheels": "off"}))
    assert state == ARRIVED


@given(states, strategies.needs)
def test_after_the_changes_nothing_is_needed_any_more(
    state: dict[str, str], needs: tuple[tuple[str, str], ...]
) -> None:
    here = station(dict(needs))
    after = state | {step.part: step.value for step in changes_before(state, here)}
    assert changes_before(after, here) == ()


def test_no_step_is_unsafe_on_the_way_from_any_state_to_any_station() -> None:
    every = [
        dict(zip(STATE_VALUES, values, strict=True))
        for values in itertools.product(*STATE_VALUES.values())
    ]
    wishes = [
        {part: value for part, value in zip(STATE_VALUES, row, strict=True) if value}
        for row in itertools.product(*((None, *values) for values in STATE_VALUES.values()))
    ]
    for state, needs in itertools.product(every, wishes):
        if (state["car"], state["wheels"]) == ("down", "off"):
            continue  # no car stands like that, and no step may lead there
        now = dict(state)
        for step in changes_before(state, station(needs)):
            assert step.part != "car" or now["engine"] == "cold"
            now[step.part] = step.value
            assert (now["car"], now["wheels"]) != ("down", "off")
