"""What differs between two years of a route: complete, field by field, in walking order."""

from __future__ import annotations

import json
import tempfile
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest
import strategies
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checkrun.report.differ import as_data, as_text
from checkrun.route.catalog import Catalog, Folder, YearNotCovered
from checkrun.route.data import to_data
from checkrun.route.differ import Change, Difference, Part, What, differ, difference, merged
from checkrun.route.flat import flat_check, flat_claim, flat_fact, flat_mark, flat_station
from checkrun.route.model import Route, Years
from checkrun.route.order import walk_order

CHECKLISTS = Path(__file__).parents[3] / "checklists"


@pytest.fixture(scope="module")
def found() -> Difference:
    return differ(Catalog([Folder(CHECKLISTS, "shipped")]), "plover", 1964, 1966)


def test_what_the_layers_write_is_what_differs(found: Difference) -> None:
    checks = {part.id: part for part in found.checks}
    assert checks["lamp-lids"].what is What.ADDED
    assert checks["trim-chalk"].what is What.DROPPED
    brake = {change.field: change for change in checks["parking-brake"].changes}
    assert brake["reading.pass.at-least"] == Change("reading.pass.at-least", "6", "4")
    assert brake["reading.fail.above"] == Change("reading.fail.above", "13", "11")
    (tank,) = [part for part in found.claims if part.id == "touring-tank-works"]
    assert Change("before", "0.2", "0.35") in tank.changes
    marks = {part.id: part.what for part in found.marks}
    assert marks["seat-date"] is What.ADDED
    assert marks["trim-chalk"] is What.DROPPED
    assert marks["gearbox-stamp"] is What.CHANGED
    assert "axle-date" not in marks, "nothing differs there"
    assert {part.id: part.what for part in found.facts}["kit-papers"] is What.DROPPED


def test_the_checks_stand_in_walking_order(found: Difference) -> None:
    walked = [check.id for station in walk_order(found.new) for check in station.checks]
    there = [part.id for part in found.checks if part.what is not What.DROPPED]
    assert there == [check for check in walked if check in set(there)]
    before = [check.id for station in walk_order(found.old) for check in station.checks]
    gone = [part.id for part in found.checks if part.what is What.DROPPED]
    assert gone == [check for check in before if check in set(gone)]


def test_there_and_back_the_differences_are_the_same_turned_round(found: Difference) -> None:
    back = differ(Catalog([Folder(CHECKLISTS, "shipped")]), "plover", 1966, 1964)
    turned = {What.ADDED: What.DROPPED, What.DROPPED: What.ADDED, What.CHANGED: What.CHANGED}
    for one, other in ((found.checks, back.checks), (found.marks, back.marks)):
        assert {part.id: turned[part.what] for part in one} == {p.id: p.what for p in other}
        changes = {part.id: {(c.field, c.old, c.new) for c in part.changes} for part in one}
        assert changes == {p.id: {(c.field, c.new, c.old) for c in p.changes} for p in other}


def test_a_year_differs_in_nothing_from_itself() -> None:
    same = differ(Catalog([Folder(CHECKLISTS, "shipped")]), "plover", 1966, 1966)
    assert same.nothing
    assert as_text(same, 1966, 1966).splitlines()[-1] == (
        "Nothing differs: 1966 and 1966 are walked in the same way."
    )


def test_a_year_nobody_covers_is_told() -> None:
    with pytest.raises(YearNotCovered, match="`plover` covers 1963-1968, not 1970"):
        differ(Catalog([Folder(CHECKLISTS, "shipped")]), "plover", 1966, 1970)


def test_the_text_names_every_part_that_differs_once(found: Difference) -> None:
    lines = as_text(found, 1964, 1966).splitlines()
    assert max(map(len, lines)) <= 96 + 4
    heads = [line.split(":")[0].strip() for line in lines if line[:4] in ("  + ", "  - ", "  ~ ")]
    parts = [*found.facts, *found.marks, *found.claims, *found.checks]
    signs = {What.ADDED: "+", What.DROPPED: "-", What.CHANGED: "~"}
    wanted = [f"{signs[part.what]} {part.what.value} {part.id}" for part in parts]
    assert sorted(heads) == sorted(wanted)
    assert "      reading.pass.at-least: 6 -> 4" in lines


def test_the_data_form_holds_the_same(found: Difference) -> None:
    data = json.loads(json.dumps(as_data(found, "plover", 1964, 1966)))
    assert (data["from"], data["to"]) == (
        {"year": 1964, "route": "plover-1964"},
        {"year": 1966, "route": "plover-1966"},
    )
    assert [part["id"] for part in data["checks"]] == [part.id for part in found.checks]
    (lash,) = [part for part in data["checks"] if part["id"] == "rim-lash"]
    change = {"field": "reading.wheel-diameter", "from": "419", "to": "394"}
    assert (lash["what"], lash["station"]) == ("changed", "drivers-seat")
    assert change in lash["changes"]


def test_what_is_only_in_the_first_stands_behind_what_led_to_it() -> None:
    assert merged(["a", "x", "b", "y", "z"], ["b", "a", "c"]) == ["b", "y", "z", "a", "x", "c"]
    assert merged(["x", "a"], ["a"]) == ["x", "a"]
    assert merged([], ["a"]) == ["a"]
    assert merged(["a"], []) == ["a"]


def laid_over(flat: dict[str, str], part: Part | None) -> dict[str, str]:
    """A part with its changes made, as somebody would who has only the list of them."""
    result = dict(flat)
    for change in part.changes if part is not None else ():
        assert result.get(change.field) == change.old
        if change.new is None:
            del result[change.field]
        else:
            result[change.field] = change.new
    return result


def parts(route: Route) -> dict[str, dict[str, Any]]:
    return {
        "facts": {fact.id: flat_fact(fact) for fact in route.facts},
        "marks": {mark.id: flat_mark(mark) for mark in route.marks},
        "claims": {claim.id: flat_claim(claim) for claim in route.claims},
        "stations": {station.id: flat_station(station) for station in route.stations},
        "checks": {
            check.id: {"station": station.id, **flat_check(check)}
            for station in route.stations
            for check in station.checks
        },
    }


def mixed(one: Route, other: Route, chance: Random) -> Route:
    """A route with parts kept, dropped, added, or saying what those of another say."""
    stations = []
    for index, station in enumerate(one.stations):
        theirs = other.stations[index % len(other.stations)]
        if chance.random() < 0.5:
            swapped = chance.choice(["title", "place", "needs", "caution", "only"])
            station = replace(station, **{swapped: getattr(theirs, swapped)})
        checks = []
        for number, check in enumerate(station.checks):
            what = chance.choice(["keep", "drop", "other", "field"])
            their = theirs.checks[number % len(theirs.checks)]
            if what == "other":
                checks.append(replace(their, id=check.id))
            elif what == "field":
                key = chance.choice(["ask", "on_fail", "reading", "cost", "signs", "group"])
                checks.append(replace(check, **{key: getattr(their, key)}))
            elif what == "keep":
                checks.append(check)
        stations.append(replace(station, checks=tuple(checks)))
    taken = {station.id for station in stations} | {c.id for s in stations for c in s.checks}
    more = [
        station
        for station in other.stations
        if taken.isdisjoint({station.id, *(check.id for check in station.checks)})
    ]
    claims = chance.choice([one.claims, (), other.claims])
    return replace(one, stations=(*stations, *more), claims=claims, order=other.order)


def read(data: dict[str, Any]) -> Route:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.yaml"
        path.write_text(strategies.to_yaml(data), "utf-8")
        return Catalog([]).load(str(path))


@given(strategies.written_routes(), strategies.written_routes(), st.integers(0, 999))
@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
def test_the_first_route_with_the_changes_made_is_the_second(
    data: dict[str, Any], more: dict[str, Any], seed: int
) -> None:
    one = read(data)
    other = mixed(one, read(more), Random(seed))
    old, new, found = parts(one), parts(other), difference(one, other)
    for kind in old:
        changed = {part.id: part for part in getattr(found, kind)}
        names = old[kind].keys() | new[kind].keys()
        after = {name: laid_over(old[kind].get(name, {}), changed.get(name)) for name in names}
        assert {name: flat for name, flat in after.items() if flat} == new[kind]


def in_any_order(route: Route) -> Any:
    """All that a route says, whatever order its parts stand in and whatever it is called."""
    data = to_data(replace(route, id="", title="", about="", built_on=(), years=Years(1966, 1966)))
    for station in data["stations"]:
        station.get("checks", []).sort(key=lambda check: check["id"])
    for key in ("facts", "marks", "claims", "stations"):
        data[key].sort(key=json.dumps)
    return data


@given(strategies.written_routes(), strategies.written_routes(), st.integers(0, 999))
@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
def test_nothing_differs_only_where_the_plain_data_are_the_same(
    data: dict[str, Any], more: dict[str, Any], seed: int
) -> None:
    one = read(data)
    other = mixed(one, read(more), Random(seed))
    found = difference(one, other)
    parts_ = (found.car, found.facts, found.marks, found.claims, found.stations, found.checks)
    assert (not any(parts_)) == (in_any_order(one) == in_any_order(other))
    assert difference(one, one).nothing
