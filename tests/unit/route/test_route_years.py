"""The layers of one route for its years: none twice, none left out, no check lost between two."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from checkrun.route.catalog import Catalog
from checkrun.route.model import Outline, Route, Years
from checkrun.route.rules_years import check_years, family_of

Layer = Callable[[str, str], Path]
Told = list[tuple[str, int, str, str]]


@pytest.fixture
def together(catalog: Catalog, layer: Layer) -> Callable[..., Told]:
    """What is told of the sound route with layers for years."""

    def told(**layers: str) -> Told:
        for name, text in layers.items():
            layer(name.replace("_", "-"), text)
        routes = [(catalog.load(found.id), catalog.root(found.path)) for found in catalog.all()]
        problems = check_years(routes)
        assert all(problem.warning for problem in problems)
        return [(Path(p.file).stem, p.line, p.code, p.message) for p in problems]

    return told


def years(written: str, more: str = "") -> str:
    return f"car:\n  years: {written}\n{more}"


CHECK = (
    "stations:\n  - id: nose\n    checks:\n      - id: {}\n        ask: Cross bar\n"
    "        how: Two fingers behind the edge.\n        pass: Even.\n        concern: A step.\n"
    "        fail: A gap.\n        class: minor\n        group: body\n"
    "        source: common practice\n"
)
ONE = CHECK.format("cross-bar")


def test_years_one_behind_the_other_are_right(together: Callable[..., Told]) -> None:
    layers = {"sound_1964": years("1964"), "sound_1965": years("1965"), "sound_1966": years("1966")}
    assert together(**layers) == []


def test_one_layer_alone_leaves_no_gap(together: Callable[..., Told]) -> None:
    assert together(sound_1964=years("1964")) == []


def test_a_gap_is_told_at_the_layer_behind_it(together: Callable[..., Told]) -> None:
    assert together(sound_1964=years("1964"), sound_1967=years("1967-1968")) == [
        (
            "sound-1967",
            5,
            "R075",
            "no layer covers 1965-1966: such a car is walked by `sound` as it stands",
        )
    ]


def test_a_year_that_two_layers_cover_is_told(together: Callable[..., Told]) -> None:
    (told,) = together(sound_1964_1966=years("1964-1966"), sound_1966_1968=years("1966-1968"))
    assert told[:3] == ("sound-1966-1968", 5, "R076")
    assert told[3].startswith("`sound-1964-1966` covers 1966 too (")


def test_a_layer_on_a_layer_may_cover_its_year_again(
    together: Callable[..., Told], folder: Path
) -> None:
    (folder / "sound-1965.yaml").write_text(
        f"format: 1\nid: sound-1965\nbuilt-on: sound-1964-1966\n{years('1965')}", "utf-8"
    )
    assert together(sound_1964_1966=years("1964-1966")) == []


def test_a_route_for_another_make_is_no_layer_for_a_year(together: Callable[..., Told]) -> None:
    assert together(sound_1964=years("1964"), other=years("1964"), other_1966=years("1966")) == []


@pytest.mark.parametrize(
    ("name", "built_on", "family"),
    [
        ("plover-1966", ("plover", "frame"), "plover"),
        ("plover-1966", ("plover-1965", "plover", "frame"), "plover"),
        ("plover-1964-1966", ("plover",), "plover"),
        ("plover", ("frame",), None),
        ("other-1966", ("plover",), None),
        ("plover-1966", (), None),
    ],
)
def test_a_layer_for_years_is_told_by_its_name(
    name: str, built_on: tuple[str, ...], family: str | None
) -> None:
    outline = Outline(4.1, 1.68, 2.45, 0.72)
    assert family_of(Route(name, name, Years(1966, 1966), outline, built_on=built_on)) == family


def test_a_check_that_two_years_need_and_the_one_between_lacks_is_told_there(
    together: Callable[..., Told],
) -> None:
    layers = {
        "sound_1964": years("1964", ONE),
        "sound_1965": years("1965", CHECK.format("wing-stay")),
        "sound_1966": years("1966", ONE),
    }
    assert together(**layers) == [
        (
            "sound-1965",
            5,
            "R079",
            "`sound-1964` and `sound-1966` have the check `cross-bar`, and the years between "
            "have not",
        )
    ]


def test_a_check_that_is_dropped_or_comes_or_goes_is_meant(together: Callable[..., Told]) -> None:
    layers = {
        "sound_1964": years("1964", ONE),
        "sound_1965": years("1965", "drop: [bonnet-gaps]\nclaims: []\n"),
        "sound_1966": years("1966", CHECK.format("wing-stay")),
        "sound_1967": years("1967", CHECK.format("wing-stay")),
    }
    assert together(**layers) == []


def test_the_checks_of_a_dropped_station_are_meant(together: Callable[..., Told]) -> None:
    layers = {name: years(name[-4:]) for name in ("sound_1964", "sound_1966")}
    assert together(**layers, sound_1965=years("1965", "drop: [tail]\n")) == []


def test_a_drop_in_the_layer_below_is_meant_in_the_one_on_it(
    together: Callable[..., Told], folder: Path
) -> None:
    (folder / "sound-1966.yaml").write_text(
        f"format: 1\nid: sound-1966\nbuilt-on: sound-1965\n{years('1966')}", "utf-8"
    )
    layers = {name: years(name[-4:]) for name in ("sound_1964", "sound_1967")}
    assert together(**layers, sound_1965=years("1965", "drop: [boot-seal]\n")) == []
