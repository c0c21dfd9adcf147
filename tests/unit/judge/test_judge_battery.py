"""State of charge by the handbook table of rest voltages."""

from __future__ import annotations

from typing import Any

import pytest

from checkrun.judge.judgement import Outcome
from checkrun.judge.kinds import judge, judge_text


@pytest.mark.parametrize(
    ("volts", "charge"),
    [
        # engine-and-electrical.md of the reference pack: table verified, 12.35 V computed (L20).
        ("12.65", 100.0),
        ("12.45", 75.0),
        ("12.24", 50.0),
        ("12.06", 25.0),
        ("11.89", 0.0),
        ("12.35", 63.1),
        ("12.9", 100.0),
        ("11.0", 0.0),
    ],
)
def test_state_of_charge(volts: str, charge: float) -> None:
    found = judge({"kind": "battery", "volts": volts, "rested": True})
    assert found.values["state_of_charge"] == pytest.approx(charge, abs=0.05)


@pytest.mark.parametrize(
    ("volts", "outcome"),
    [("12.4", "pass"), ("12.39", "concern"), ("12", "concern"), ("11.9", "fail")],
)
def test_usual_limits(volts: str, outcome: str) -> None:
    """12.4 and 12.0 V: rounded cross-check of the table in the reference pack (verified)."""
    assert judge({"kind": "battery", "volts": volts, "rested": "yes"}).outcome.value == outcome


def test_room_temperature_changes_nothing_and_cold_little() -> None:
    """0.2 mV a cell and degree (from memory): a cold battery reads low for its charge."""
    warm = judge({"kind": "battery", "volts": "12.45", "temperature": "20 degC"}).values
    cold = judge({"kind": "battery", "volts": "12.45", "temperature": "-10 degC"}).values
    assert warm["state_of_charge"] == 75.0
    assert cold["state_of_charge"] == pytest.approx(78.75)
    assert "from memory" in cold["note"]


def test_a_battery_that_has_not_rested_proves_nothing_by_a_high_reading() -> None:
    """L15 of the reference pack (verified): a surface charge may take hours to fade."""
    high = judge({"kind": "battery", "volts": "12.7", "rested": "no"})
    assert high.outcome is Outcome.UNDECIDED
    assert high.reasons[0] == ("not rested: a surface charge can hide a flat battery for hours")
    assert judge({"kind": "battery", "volts": "11.7", "rested": "no"}).outcome is Outcome.FAIL


def test_too_high_for_rest_decides_nothing() -> None:
    found = judge({"kind": "battery", "volts": "13.4", "rested": "yes"})
    assert found.outcome is Outcome.UNDECIDED
    assert found.values["note"] == "too high for rest: on charge, or just off it; wait some hours"


def test_six_volts_are_decided_only_if_the_route_says_so() -> None:
    guessed = judge({"kind": "battery", "volts": "6.2", "rested": True})
    assert guessed.outcome is Outcome.UNDECIDED
    assert guessed.values["note"] == "as a 6 V battery; one of 12 V would be dead at this"
    said = judge({"kind": "battery", "volts": "6.225", "rested": True, "nominal": "6 V"})
    assert said.outcome is Outcome.PASS
    assert said.values["state_of_charge"] == 75.0
    assert judge({"kind": "battery", "volts": "6.2", "nominal": 12}).outcome is Outcome.FAIL


def test_a_poor_meter_says_little() -> None:
    """L16 of the reference pack (verified): 120 mV is about 15 % of charge."""
    spec: dict[str, Any] = {"kind": "battery", "volts": "12.45", "rested": True}
    found = judge({**spec, "uncertainty": "0.12"})
    assert found.outcome is Outcome.CONCERN
    assert found.reasons[0].startswith("75 % charged (60.7 to 90 %), 12.45 V +/- 0.12 V")


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("-12.4", "volts: -12.4 V is under zero; change the leads of the meter over"),
        ("24.8", "volts: 24.8 V is no battery of 6 or 12 V at rest"),
        ("12.4 V 300 degC", "temperature: 300 degC is no battery"),
        ("", "volts: nothing is written yet"),
        ("flat", "volts: `flat` is not a quantity; write it as 12.6 V"),
    ],
)
def test_bad_input(line: str, problem: str) -> None:
    assert judge_text("battery", {"unit": "V"}, line).problems == (problem,)
