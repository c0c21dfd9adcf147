"""Model years between which a route reads the same."""

from __future__ import annotations

from pathlib import Path

from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Check, Only, Outline, Place, Route, Station, Years
from checkrun.route.stretches import layers_on, stretches
from checkrun.route.tailor import of_year


def route(first: int, last: int, *limits: Years | None, **more: object) -> Route:
    checks = tuple(Check(f"c{n}", "Look", only=Only(y)) for n, y in enumerate(limits))
    station = Station("nose", "Nose", Place(0, 0, 0), checks=checks)
    outline = Outline(4.0, 1.6, 2.4, 0.7)
    return Route("r", "R", Years(first, last), outline, stations=(station,), **more)  # type: ignore[arg-type]


def told(found: tuple[Years, ...]) -> list[str]:
    return [str(years) for years in found]


def test_a_route_that_is_the_same_in_all_years_is_one_stretch() -> None:
    assert told(stretches(route(1960, 1969, None), [])) == ["1960-1969"]
    assert told(stretches(route(1964, 1964, None), [])) == ["1964"]


def test_it_is_cut_where_a_check_or_a_layer_begins_and_ends() -> None:
    assert told(stretches(route(1960, 1969, Years(1963, 1965)), [])) == [
        "1960-1962",
        "1963-1965",
        "1966-1969",
    ]
    layers = [route(1964, 1964), route(1968, 1975, Years(1969, 1972))]
    assert told(stretches(route(1960, 1969), layers)) == [
        "1960-1963",
        "1964",
        "1965-1967",
        "1968",
        "1969",
    ]


def test_limits_beyond_the_routes_years_cut_nothing() -> None:
    assert told(stretches(route(1960, 1969, Years(1950, 1990)), [])) == ["1960-1969"]


def test_only_what_is_built_on_it_is_a_layer() -> None:
    base, layer, other = route(1960, 1969), route(1964, 1964, built_on=("r",)), route(1965, 1965)
    assert layers_on(base, [base, layer, other]) == [layer]


def test_every_year_of_a_shipped_stretch_has_the_same_checks(tmp_path: Path) -> None:
    from checkrun import locations

    catalog = Catalog([Folder(locations.shipped("checklists"), "shipped")], tmp_path)
    base = catalog.load("plover")
    others = [catalog.load(found.id) for found in catalog.all()]
    found = stretches(base, layers_on(base, others))
    assert found[0].first == base.years.first
    assert found[-1].last == base.years.last
    for years in found:
        walked = [
            (year_route := catalog.for_year("plover", year)).id
            + str(list(of_year(year_route, year).checks))
            for year in range(years.first, years.last + 1)
        ]
        assert len(set(walked)) == 1
