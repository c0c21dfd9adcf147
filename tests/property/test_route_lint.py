"""Lint on whatever a file may hold, on right routes, and on right routes with one thing wrong."""

from __future__ import annotations

import json
import random
import re
import tempfile
import unicodedata
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import strategies
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checkrun.route.catalog import Catalog
from checkrun.route.data import from_data, to_data
from checkrun.route.model import Check, Route
from checkrun.route.nodes import parse
from checkrun.route.order import walk_order
from checkrun.route.problems import Problem, with_source
from checkrun.route.rules_content import CODES

SOUND = (Path(__file__).parents[1] / "data" / "bad" / "sound.yaml").read_text("utf-8")


def lint(raw: bytes | str, *, content: bool = False) -> list[Problem]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.yaml"
        path.write_bytes(raw.encode() if isinstance(raw, str) else raw)
        return Catalog([]).lint(str(path), content=content)


def read(text: str) -> Route:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.yaml"
        path.write_text(text, "utf-8")
        return Catalog([]).load(str(path))


_LINE_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")


def assert_told_properly(problems: list[Problem], text: str) -> None:
    """In order, each at a place that is there, and shown without a sign that moves the cursor."""
    assert problems == sorted(problems)
    lines = _LINE_END.split(text.removeprefix("\ufeff"))
    for problem in problems:
        assert 1 <= problem.line <= len(lines)
        assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1
        assert problem.message
        shown = with_source(problem, text)
        assert not [sign for sign in shown if unicodedata.category(sign) == "Cc" and sign != "\n"]


@given(st.binary(max_size=200))
def test_lint_takes_any_bytes(raw: bytes) -> None:
    problems = lint(raw)
    assert problems, "no such file is a route"
    assert_told_properly(problems, raw.decode("utf-8", "replace"))


@given(st.text(max_size=200))
def test_lint_takes_any_text(text: str) -> None:
    assert_told_properly(lint(text), text)


_PIECES = st.sampled_from(
    [
        *("id: ", "title: ", "car: ", "stations:", "checks:", "\n", "\n  ", "\n  - ", "\n    "),
        *("- ", ": ", "#", "&a ", "*a", "!!x ", "<<", "{", "}", "[", "]", ",", '"', "'", "|", ">"),
        *(
            "\t",
            "---\n",
            "...\n",
            "%Y",
            "? ",
            "1e999999",
            "no",
            "0",
            "\r\n",
            "\x85",
            "\ufeff",
            "\\",
        ),
        *("marks:", "places:", "claims:", "drop:", "built-on: ", "only: {facts: ", "after: ", "x"),
    ]
)


@given(st.lists(_PIECES, max_size=40).map("".join))
def test_lint_takes_any_rubble_of_yaml_and_both_readers_agree_that_it_is_some(text: str) -> None:
    assert_told_properly(lint(text), text)
    for loader in (yaml.CSafeLoader, yaml.SafeLoader):
        tree, problems = parse(text, "x.yaml", loader)
        assert tree is not None or problems


@given(st.integers(0, len(SOUND) - 1), st.integers(0, 40), st.lists(_PIECES, max_size=3))
def test_lint_takes_a_route_with_a_piece_torn_out_and_another_put_in(
    start: int, length: int, pieces: list[str]
) -> None:
    text = SOUND[:start] + "".join(pieces) + SOUND[start + length :]
    assert_told_properly(lint(text), text)


_KEYS = [
    *("id", "title", "car", "years", "outline", "facts", "kind", "choices", "marks", "fields"),
    *("text", "digits", "places", "x", "stations", "place", "needs", "after", "only", "checks"),
    *("reading", "signs", "claim", "pass", "cost", "claims", "drop", "order", "built-on"),
    *("safety", "required", "format", "about"),
]
_SHAPES = st.recursive(
    st.sampled_from(["", "x", "no", "1", "-1", "1.5", "yes", "raised", "nose", "text", "1966"]),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(_KEYS), inner, max_size=4)
    ),
    max_leaves=12,
)


@given(st.dictionaries(st.sampled_from(_KEYS), _SHAPES, max_size=6))
def test_lint_takes_values_of_any_shape_under_any_key(data: dict[str, Any]) -> None:
    text = json.dumps(data)
    problems = lint(text, content=True)
    assert problems
    assert_told_properly(problems, text)


def assert_weighed_as_written(check: Check, written: dict[str, Any]) -> None:
    """The cost and the signs are those of the file, number by number."""
    cost = written.get("cost")
    assert (check.cost is None) == (cost is None)
    if check.cost is not None and cost is not None:
        for key in ("hours", "parts"):
            assert [str(n) for n in getattr(check.cost, key)] == [n.text for n in cost[key]]
        assert str(check.cost.chance) == (cost["chance"].text if "chance" in cost else "0.5")
        base_rate = None if check.cost.base_rate is None else str(check.cost.base_rate)
        assert base_rate == (cost["base-rate"].text if "base-rate" in cost else None)
        assert check.cost.together == (cost["together"].text if "together" in cost else "")
    signs = written.get("signs", [])
    assert len(check.signs) == len(signs)
    for sign, given_ in zip(check.signs, signs, strict=True):
        assert sign.claim == given_["claim"].text
        assert sign.cause == (given_["cause"].text if "cause" in given_ else "")
        for key, row in zip(
            ("pass", "concern", "fail"), (sign.on_pass, sign.on_concern, sign.on_fail), strict=True
        ):
            assert (None if row is None else [str(n) for n in row]) == (
                [n.text for n in given_[key]] if key in given_ else None
            )


@given(strategies.written_routes())
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
def test_a_right_route_has_no_problem_and_is_read_as_written(data: dict[str, Any]) -> None:
    text = strategies.to_yaml(data)
    assert lint(text) == []
    route = read(text)
    assert route.title == data["title"].strip()
    assert str(route.order.value) == data["order"].text
    written = {str(s["id"].text): s for s in data["stations"]}
    assert sorted(station.id for station in route.stations) == sorted(written)
    for station in route.stations:
        place = data["places"][written[station.id]["place"].text]
        here = station.place
        assert [here.x, here.y, here.z] == [float(place[axis].text) for axis in ("x", "y", "z")]
        assert [check.id for check in station.checks] == [
            check["id"].text for check in written[station.id]["checks"]
        ]
        for check, given_ in zip(station.checks, written[station.id]["checks"], strict=True):
            assert (check.ask, check.on_fail) == (given_["ask"].strip(), given_["fail"].strip())
            assert str(check.minutes) == given_["minutes"].text, "numbers are exact"
            assert_weighed_as_written(check, given_)
    assert from_data(json.loads(json.dumps(to_data(route)))) == route


Plant = Callable[[list[str], int], tuple[list[str], int]]


def _swap(old: str, new: str) -> Plant:
    def plant(lines: list[str], at: int) -> tuple[list[str], int]:
        return [*lines[:at], lines[at].replace(old, new, 1), *lines[at + 1 :]], at + 1

    return plant


def _value(new: str) -> Plant:
    def plant(lines: list[str], at: int) -> tuple[list[str], int]:
        key = lines[at].split(":", 1)[0]
        return [*lines[:at], f"{key}: {new}", *lines[at + 1 :]], at + 1

    return plant


def _again(lines: list[str], at: int) -> tuple[list[str], int]:
    return [*lines[: at + 1], lines[at], *lines[at + 1 :]], at + 2


def _before(new: str) -> Plant:
    """A line before another, indented as it is."""

    def plant(lines: list[str], at: int) -> tuple[list[str], int]:
        margin = lines[at][: len(lines[at]) - len(lines[at].lstrip())]
        return [*lines[:at], margin + new, *lines[at:]], at + 1

    return plant


def _behind(*new: str) -> Plant:
    """Lines behind another; the last of them is at fault."""

    def plant(lines: list[str], at: int) -> tuple[list[str], int]:
        return [*lines[: at + 1], *new, *lines[at + 1 :]], at + 1 + len(new)

    return plant


def _ask_again(lines: list[str], at: int) -> tuple[list[str], int]:
    asked = lines[at - 1].split(":", 1)[1]
    return _value(asked.strip())(lines, at)


def _asked(new: str) -> Plant:
    """Another `ask` in the line before the `how`: facts are asked too."""
    return lambda lines, at: _value(new)(lines, at - 1)


def _alike(lines: list[str], at: int) -> tuple[list[str], int]:
    lines, _ = _value("Askew on the left.")(lines, at - 1)
    return _value("askew, on the left")(lines, at)


def _needs(new: str) -> Plant:
    """What a station needs, in place of what it needed."""

    def plant(lines: list[str], at: int) -> tuple[list[str], int]:
        left = lines[at + 1 :]
        if left[0].strip() == "needs:":
            left = left[1:]
            while left[0].startswith("      "):
                left = left[1:]
        return [*lines[: at + 1], f"    needs: {new}", *left], at + 2

    return plant


#: The line a mistake is put into (by how it starts), the mistake, and the code it must be told by.
FAULTS: dict[str, tuple[str, Plant, str]] = {
    "unknown key": ("ask:", _swap("ask:", "asks:"), "R020"),
    "key twice": ("minutes:", _again, "R007"),
    "comma": ("minutes:", _value("1,5"), "R023"),
    "unit": ("minutes:", _value("5 min"), "R023"),
    "zero": ("minutes:", _value("0"), "R024"),
    "endless": ("minutes:", _value("1e99999999"), "R023"),
    "no such class": ("class:", _value("grave"), "R025"),
    "no such place": ("place:", _value("nowhere-at-all"), "R041"),
    "no place at all": ("x:", _value("3380"), "R024"),
    "empty text": ("source:", _value('""'), "R029"),
    "mapping for a text": ("how:", _value("{a: b}"), "R022"),
    "bare no": ("concern:", _value("no"), "R026"),
    "bare date": ("concern:", _value("1966-04-01"), "R026"),
    "bare clock": ("concern:", _value("12:30"), "R026"),
    "bare number": ("concern:", _value("0123"), "R026"),
    "anchor": ("title:", _value('&a "x"'), "R008"),
    "alias": ("title:", _value("*a"), "R008"),
    "tag": ("title:", _value("!!str x"), "R008"),
    "colon": ("title:", _value("gap: wide"), "R005"),
    "control character": ("title:", _value("a\x01b"), "R005"),
    "control escape": ("title:", _value('"\\e[0m"'), "R011"),
    "not an id": ("- id:", _value("Not An Id"), "R027"),
    "years backwards": ("years:", _value("1975-1953"), "R028"),
    "format": ("format:", _value("2"), "R030"),
    "other id": ("id:", _value("other"), "R046"),
    "deep": ("how:", _value("[" * 30 + "]" * 30), "R009"),
}
#: The same for what a mechanic could make nothing of.
CONTENT_FAULTS: dict[str, tuple[str, Plant, str]] = {
    "no how-to": ("how:", _value("Look well."), "R070"),
    "how-to that asks again": ("how:", _ask_again, "R070"),
    "how-to that only inspects": ("how:", _value("Inspect the hoses for damage."), "R071"),
    "ask that only inspects": ("how:", _asked("Check the lamps carefully"), "R071"),
    "pass of anything": ("pass:", _value("In good condition."), "R071"),
    "fail of anything": ("fail:", _value("Not OK"), "R071"),
    "results alike": ("fail:", _alike, "R071"),
    "no source": ("source:", _value("TBD"), "R072"),
    "limit without unit": ("minutes:", _before("reading: {kind: measure, limit: 3}"), "R073"),
    "taper without unit": ("minutes:", _before("reading: {kind: gaps, taper: 1.5}"), "R073"),
    "wheels off on the ground": ("place:", _needs("{car: down, wheels: off}"), "R074"),
    "mark for nothing": (
        "places:",
        _before("marks: {lost: {title: T, fields: [{digits: 2}], source: common practice}}"),
        "R077",
    ),
    "place for nobody": ("places:", _behind("  nobody-is-here: {x: 0, y: 1, z: 0.5}"), "R078"),
}


#: 39 mistakes in 8 routes each: 312 broken routes.
@pytest.mark.parametrize("fault", [*FAULTS, *CONTENT_FAULTS])
@given(data=strategies.written_routes(), seed=st.integers(0, 999))
@settings(max_examples=8, suppress_health_check=[HealthCheck.too_slow])  # on a busy machine
def test_a_planted_mistake_is_found_at_its_line(
    fault: str, data: dict[str, Any], seed: int
) -> None:
    starts, plant, code = (FAULTS | CONTENT_FAULTS)[fault]
    lines = strategies.to_yaml(data).splitlines()
    # With a value behind it: a sign's likelihoods stand in the lines below their key.
    where = [
        i for i, line in enumerate(lines) if line.strip().startswith(f"{starts} ") or line == starts
    ]
    planted, line = plant(lines, random.Random(seed).choice(where))
    problems = lint("\n".join(planted) + "\n", content=fault in CONTENT_FAULTS)
    assert (line, code) in [(problem.line, problem.code) for problem in problems]


@given(strategies.written_routes())
@settings(max_examples=40)
def test_warnings_of_content_are_warnings_and_told_only_when_asked_for(
    data: dict[str, Any],
) -> None:
    text = strategies.to_yaml(data)
    problems = lint(text, content=True)
    assert_told_properly(problems, text)
    assert {problem.code for problem in problems} <= CODES
    assert all(problem.warning for problem in problems)


@given(strategies.model_routes)
def test_a_route_is_the_same_after_being_plain_data(route: Route) -> None:
    data = to_data(route)
    text = json.dumps(data)
    assert from_data(data) == route
    again = from_data(json.loads(text))
    assert again == route
    assert json.dumps(to_data(again)) == text


@given(strategies.walkable_routes(), st.randoms(use_true_random=False))
def test_a_walk_has_every_station_once_and_does_not_hang_on_the_file(
    route: Route, shuffler: random.Random
) -> None:
    walked = walk_order(route)
    assert sorted(s.id for s in walked) == sorted(s.id for s in route.stations)
    # Stations at one place keep the author's order, so only one of them is left for this.
    at_place = {(s.place.x, s.place.y): replace(s, after=None) for s in route.stations}
    stations = list(at_place.values())
    there = walk_order(replace(route, stations=tuple(stations)))
    shuffler.shuffle(stations)
    assert walk_order(replace(route, stations=tuple(stations))) == there


@given(strategies.walkable_routes())
def test_after_is_honoured_unless_it_runs_in_a_ring(route: Route) -> None:
    after = {s.id: s.after for s in route.stations}
    walked = [s.id for s in walk_order(route)]
    for name in after:
        chain, step = [name], after[name]
        while step is not None and step not in chain:
            chain.append(step)
            step = after[step]
        if step is None and len(chain) > 1:
            assert walked.index(chain[1]) < walked.index(name)
