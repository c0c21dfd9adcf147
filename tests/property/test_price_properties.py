"""Moments against enumeration of all that can occur, and the command against any input at all."""

from __future__ import annotations

import io
import itertools
import json
import math
import sys
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from checkrun.cli import run
from checkrun.weigh.cost import Item, Terms, moments
from checkrun.weigh.simulate import simulate

RATE = 50
ranges = st.tuples(*[st.integers(0, 60)] * 3).map(lambda three: tuple(map(float, sorted(three))))
items = st.builds(
    Item,
    st.just(""),
    ranges,
    ranges,
    st.sampled_from([0.0, 0.125, 0.4, 0.5, 0.9, 1.0]),
    st.sampled_from(["", "front", "rear"]),
)
cars = st.lists(items, max_size=5).map(
    lambda found: [
        Item(f"item-{at}", one.hours, one.parts, one.chance, one.together)
        for at, one in enumerate(found)
    ]
)


def exact_mean(hours: tuple[float, ...]) -> Fraction:
    low, likely, high = map(Fraction, hours)
    return (low + 4 * likely + high) / 6


def law(range_: tuple[float, ...], scale: float = 1) -> tuple[float, float]:
    """Mean and standard deviation by scipy."""
    low, likely, high = (scale * figure for figure in range_)
    if low == high:
        return low, 0.0
    alpha = 1 + 4 * (likely - low) / (high - low)
    mean, variance = stats.beta.stats(alpha, 6 - alpha, low, high - low, "mv")
    return float(mean), math.sqrt(variance)


def enumerated(car: list[Item], r: float) -> tuple[float, list[list[float]]]:
    """The mean of the sum and the covariances of the items' costs: every outcome in turn.

    In each outcome it is settled what counts, so that the rest is the rule for the sum of amounts
    that are all correlated alike (C8 of the reference pack).
    """
    laws = [(law(item.hours, RATE), law(item.parts)) for item in car]
    size = range(len(car))
    mean = [0.0] * len(car)
    second = [[0.0] * len(car) for _ in size]
    for outcome in itertools.product([False, True], repeat=len(car)):
        weight = math.prod(
            item.chance if occurs else 1 - item.chance
            for item, occurs in zip(car, outcome, strict=True)
        )
        here: list[list[tuple[float, float]]] = [[] for _ in size]
        for at in size:
            if not outcome[at]:
                continue
            here[at].append(laws[at][1])
            rivals = [
                other
                for other in size
                if outcome[other] and car[other].together == car[at].together != ""
            ]
            if not rivals or max(rivals, key=lambda k: exact_mean(car[k].hours)) == at:
                here[at].append(laws[at][0])
        means = [sum(m for m, _ in amounts) for amounts in here]
        sds = [sum(s for _, s in amounts) for amounts in here]
        for one in size:
            mean[one] += weight * means[one]
            for other in size:
                covariance = r * sds[one] * sds[other]
                if one == other:
                    covariance += (1 - r) * sum(s * s for _, s in here[one])
                second[one][other] += weight * (covariance + means[one] * means[other])
    return sum(mean), [
        [second[one][other] - mean[one] * mean[other] for other in size] for one in size
    ]


@settings(max_examples=300, deadline=None)
@given(cars, st.sampled_from([0.0, 0.2, 0.7, 1.0]))
def test_moments_and_drivers_are_those_of_all_that_can_occur(car: list[Item], r: float) -> None:
    for group in ("front", "rear"):
        labour = [exact_mean(item.hours) for item in car if item.together == group]
        # Which of two equals counts is a matter of names, tested elsewhere.
        assume(len(set(labour)) == len(labour))
    found = moments(car, Terms(RATE, r))
    mean, covariances = enumerated(car, r)
    variance = math.fsum(itertools.chain.from_iterable(covariances))
    # What is left over where large figures cancel.
    noise = 1e-9 * (1 + mean * mean)
    assert found.mean == pytest.approx(mean, rel=1e-9, abs=1e-9)
    assert found.sd**2 == pytest.approx(variance, rel=1e-9, abs=noise)
    assert sum(driver.mean for driver in found.drivers) == pytest.approx(mean, rel=1e-9, abs=1e-9)
    if found.sd:
        assert sum(driver.share for driver in found.drivers) == pytest.approx(1, abs=1e-9)
    for driver in found.drivers:
        wanted = math.fsum(covariances[int(driver.id.removeprefix("item-"))])
        assert driver.share * found.sd**2 == pytest.approx(wanted, rel=1e-9, abs=noise)
    shares = [driver.share for driver in found.drivers]
    assert shares == sorted(shares, reverse=True)


@settings(max_examples=100, deadline=None)
@given(cars, st.sampled_from([0.0, 0.2, 1.0]))
def test_the_draws_lie_where_they_can_and_spread_as_they_must(car: list[Item], r: float) -> None:
    terms = Terms(RATE, r, draws=2000)
    exact, found = moments(car, terms), simulate(car, terms)
    most = sum(RATE * item.hours[2] + item.parts[2] for item in car if item.chance)
    assert 0 <= found.low <= found.p50 <= found.p80 == found.at <= found.p90 <= found.high
    assert found.high <= most * (1 + 1e-9)
    assert sum(found.histogram) == 2000
    assert found.standard_error >= 0
    assert found.correlation <= r + 1e-9
    # A median is never further from the mean than a standard deviation; the rest is for the draws.
    assert abs(found.p50 - exact.mean) <= 1.15 * exact.sd + 1e-6


@settings(max_examples=60, deadline=None)
@given(cars, st.integers(0, 2**32 - 1))
def test_the_same_seed_gives_the_same_answer(car: list[Item], seed: int) -> None:
    terms = Terms(RATE, seed=seed, draws=500)
    assert simulate(car, terms) == simulate(list(car), terms)
    assert moments(car, terms) == moments(list(car), terms)


VALID: dict[str, Any] = {
    "items": [
        {"id": "a", "chance": 0.5, "together": "g", "hours": [1, 2, 3], "parts": [0, 5, 9]},
        {"id": "b", "hours": [1, 2, 3]},
    ],
    "rate": 80,
    "correlation": 0.2,
    "seed": 1,
    "draws": 100,
    "value": 100,
    "claims": [{"id": "c", "stake": 10, "probability": 0.5}],
    "margin": 1,
    "percentile": 80,
}
numbers = st.one_of(
    st.floats(),
    st.integers(),
    st.sampled_from([0, -0.0, 1e9, 10**9, 10**400, 1e308, 5e-324, 0.1, 0.5, 1, 99.99]),
)
values = st.recursive(
    st.one_of(st.none(), st.booleans(), numbers, st.text(max_size=8)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=6,
)


def paths(value: Any, so_far: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The way to every value inside a value."""
    below: Any = {}
    if isinstance(value, dict):
        below = value.items()
    elif isinstance(value, list):
        below = enumerate(value)
    return [so_far, *(path for key, one in below for path in paths(one, (*so_far, key)))]


@st.composite
def spoilt(draw: st.DrawFn) -> Any:
    """The valid input with some values replaced, taken out, or put in under a free name."""
    found = json.loads(json.dumps(VALID))
    for _ in range(draw(st.integers(1, 3))):
        ways = [path for path in paths(found) if path]
        if not ways:
            break
        *way, last = draw(st.sampled_from(ways))
        place = found
        for step in way:
            place = place[step]
        kind = draw(st.sampled_from(["number", "any", "out", "in"]))
        if kind == "out":
            del place[last]
        elif kind == "in" and isinstance(place, dict):
            place[draw(st.text(max_size=8))] = draw(values)
        else:
            place[last] = draw(numbers if kind == "number" else values)
    return found


def told(monkeypatch: Any, capsys: Any, raw: bytes, *args: str) -> None:
    """The command takes it, or tells in one line what is wrong; it never breaks."""
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw)))
    status = run(["price", *args])
    out, err = capsys.readouterr()
    assert status in (0, 2), (raw, err)
    if status:
        assert (out, err.count("\n")) == ("", 1)
        assert err.startswith("checkrun: standard input")
        return
    assert err == ""
    if args:
        found = json.loads(out, parse_constant=lambda name: pytest.fail(f"{name} in {raw!r}"))
        assert found["most_to_pay"] is None or found["most_to_pay"] >= 0


same_function = settings(
    deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=300
)


@same_function
@given(spoilt())
def test_no_json_breaks_the_command(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], data: Any
) -> None:
    raw = json.dumps(data).encode()
    told(monkeypatch, capsys, raw, "--json")
    told(monkeypatch, capsys, raw)


@same_function
@given(st.one_of(st.binary(max_size=60), st.text(max_size=60).map(lambda text: text.encode())))
def test_no_bytes_break_the_command(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], raw: bytes
) -> None:
    told(monkeypatch, capsys, raw, "--json")
    told(monkeypatch, capsys, b"rate: 80\nitems: [{id: a, hours: [1, 2, " + raw)
