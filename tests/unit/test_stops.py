"""The order in which the car is changed; what is safe is common practice."""

from __future__ import annotations

from itertools import product

import pytest

from checkrun.route.model import STATE_VALUES, Place, Station
from checkrun.session.stops import CAUTIONS, DO, change, changes_before

ARRIVED = {part: values[0] for part, values in STATE_VALUES.items()}


def before(state: dict[str, str], **needs: str) -> list[tuple[str, str]]:
    station = Station("s", "S", Place(0, 0, 0), needs=tuple(needs.items()))
    return [(found.part, found.value) for found in changes_before({**ARRIVED, **state}, station)]


def test_what_the_car_is_in_already_needs_no_change() -> None:
    assert before({}, car="down", engine="cold") == []
    assert before({"car": "raised"}, car="raised") == []
    assert before({}) == []


def test_the_engine_is_off_before_the_car_goes_up_even_if_nobody_says_so() -> None:
    assert before({"engine": "running"}, car="raised") == [("engine", "cold"), ("car", "raised")]


def test_wheels_come_off_once_the_car_is_up() -> None:
    assert before({}, wheels="off", car="raised") == [("car", "raised"), ("wheels", "off")]


def test_wheels_are_on_before_the_car_comes_down_even_if_nobody_says_so() -> None:
    assert before({"car": "raised", "wheels": "off"}, car="down") == [
        ("wheels", "on"),
        ("car", "down"),
    ]


def test_the_engine_starts_last_once_the_car_is_down() -> None:
    assert before({"car": "raised"}, engine="running", bonnet="open", car="down") == [
        ("car", "down"),
        ("bonnet", "open"),
        ("engine", "running"),
    ]


def test_every_change_has_words_and_what_can_hurt_has_a_caution() -> None:
    every = {(part, value) for part, values in STATE_VALUES.items() for value in values}
    assert DO.keys() == every
    assert CAUTIONS.keys() == {
        ("car", "raised"),
        ("car", "down"),
        ("wheels", "off"),
        ("wheels", "on"),
        ("engine", "running"),
    }
    for part, value in every:
        found = change(part, value)
        assert (found.do, found.caution) == (DO[part, value], CAUTIONS.get((part, value), ""))


@pytest.mark.parametrize(
    ("part", "value", "words"),
    [
        ("car", "raised", ("arms locked", "jack alone", "chocked")),
        ("wheels", "off", ("asbestos", "Springs", "Stands")),
        ("engine", "running", ("fuel leak", "gas kills", "fan and belts")),
        ("car", "down", ("Nobody under",)),
        ("wheels", "on", ("torque wrench",)),
    ],
)
def test_cautions_name_what_hurts(part: str, value: str, words: tuple[str, ...]) -> None:
    assert all(word in CAUTIONS[part, value] for word in words)


STATES = [dict(zip(STATE_VALUES, row, strict=True)) for row in product(*STATE_VALUES.values())]


def test_from_any_state_the_way_to_any_station_is_safe_and_leads_there() -> None:
    """All 32 states to all stations that could be asked for: 243 ways to say or not say a part."""
    wanted = [(None, *values) for values in STATE_VALUES.values()]
    for state, row in product(STATES, product(*wanted)):
        needs = {p: v for p, v in zip(STATE_VALUES, row, strict=True) if v is not None}
        if needs.get("wheels") == "off" and needs.get("car") == "down":
            continue  # a car does not stand on its hubs
        now = dict(state)
        for part, value in before(state, **needs):
            assert now[part] != value
            if (part, value) == ("car", "raised"):
                assert now["engine"] == "cold" or needs.get("engine") == "running"
            if (part, value) == ("car", "down"):
                assert now["wheels"] == "on"
            if part == "wheels" and "car" in needs:
                assert now["car"] == "raised" or state["car"] == "down"
            now[part] = value
        assert needs.items() <= now.items()
