"""A layer for a new year: right as it is, and right with its comments taken away."""

from __future__ import annotations

import re
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
import strategies
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from checkrun.route.catalog import Catalog, Folder
from checkrun.route.data import to_data
from checkrun.route.differ import difference
from checkrun.route.model import Route
from checkrun.route.newyear import layer_text, nearest_layer
from checkrun.route.order import walk_order
from checkrun.route.written import entry, flow, item, scalar

CHECKLISTS = Path(__file__).parents[3] / "checklists"


def bare(text: str, *signs: str) -> str:
    """The text with some of the comment signs taken away."""
    for sign in signs:
        text = re.sub(rf"(?m)^{re.escape(sign)} (?!yaml-language-server)", "", text)
    return text


def shipped(*more: Path) -> Catalog:
    return Catalog([*(Folder(path, "yours") for path in more), Folder(CHECKLISTS, "shipped")])


@pytest.fixture(scope="module")
def bases() -> list[str]:
    """A route by itself, one with many pieces, one in its written order, a layer and a layer's."""
    return ["frame-composite", "roadworthy", "papers", "plover", "plover-1968"]


def made(folder: Path, base: str, year: int) -> tuple[Path, str, Route]:
    """The layer for a year, written, with its text and the route below it."""
    catalog = shipped(folder)
    route = catalog.load(base)
    below = nearest_layer(catalog, base, year)
    path = folder / f"{base}-{year}.yaml"
    text = layer_text(path.stem, route, below, year)
    path.write_text(text, "utf-8")
    return path, text, below


def test_every_shipped_route_gives_a_layer_that_is_right_as_it_is(
    tmp_path: Path, bases: list[str]
) -> None:
    for base in bases:
        path, _, below = made(tmp_path, base, 1967)
        catalog = shipped(tmp_path)
        assert [str(problem) for problem in catalog.lint(path.stem, content=True)] == []
        route = catalog.load(path.stem)
        found = difference(below, route)
        assert found.nothing
        assert str(route.years) == "1967"
        assert route.built_on[0] == below.id
        path.unlink()


def test_without_the_signs_before_what_is_there_it_says_the_same(
    tmp_path: Path, bases: list[str]
) -> None:
    for base in bases:
        path, text, below = made(tmp_path, base, 1967)
        path.write_text(bare(text, "#"), "utf-8")
        catalog = shipped(tmp_path)
        assert [str(problem) for problem in catalog.lint(path.stem, content=True)] == []
        route = catalog.load(path.stem)
        assert said(route) == said(below)
        path.unlink()


def said(route: Route) -> dict[str, object]:
    """All that a route says, but for its name."""
    data = to_data(replace(route, id="", title="", about="", built_on=()))
    del data["years"]
    return data


def test_with_the_examples_too_it_has_something_new_of_each_kind(
    tmp_path: Path, bases: list[str]
) -> None:
    for base in bases:
        path, text, below = made(tmp_path, base, 1967)
        path.write_text(bare(re.sub("(?m)^#[+] drop:.*$", "", text), "#", "#+"), "utf-8")
        catalog = shipped(tmp_path)
        assert [str(problem) for problem in catalog.lint(path.stem, content=True)] == []
        found = difference(below, catalog.load(path.stem))
        new = {part.id: part.what.value for part in (*found.stations, *found.checks)}
        assert new.pop("new-station-1967") == "added"
        assert new.pop("new-check-1967") == new.pop("new-sound-1967") == "added"
        assert new == {}
        # Of what is dropped nothing can be changed, so this is taken alone.
        path.write_text(re.sub("(?m)^#[+] drop:", "drop:", text), "utf-8")
        assert [str(problem) for problem in catalog.lint(path.stem, content=True)] == []
        found = difference(below, catalog.load(path.stem))
        assert [part.what.value for part in found.checks] == ["dropped"]
        path.unlink()


def test_the_checks_stand_in_walking_order(tmp_path: Path) -> None:
    _, text, below = made(tmp_path, "plover", 1967)
    lines = bare(text, "#")
    written = re.findall(r"(?m)^      - id: ([a-z0-9-]+)  #", lines)
    assert written == [check.id for station in walk_order(below) for check in station.checks]


def test_the_nearest_layer_lies_below_and_of_two_the_earlier(
    catalog: Catalog, folder: Path
) -> None:
    assert nearest_layer(catalog, "sound", 1960).id == "sound"
    for name, years in (("sound-1960", "1960"), ("sound-1964-1966", "1964-1966")):
        (folder / f"{name}.yaml").write_text(
            f"format: 1\nid: {name}\nbuilt-on: sound\ncar: {{years: {years}}}\n", "utf-8"
        )
    (folder / "broken-1962.yaml").write_text("format: 1\n", "utf-8")
    near = {year: nearest_layer(catalog, "sound", year).id for year in (1955, 1961, 1962, 1963)}
    near |= {year: nearest_layer(catalog, "sound", year).id for year in (1965, 1970)}
    assert near == {
        1955: "sound-1960",
        1961: "sound-1960",
        1962: "sound-1960",
        1963: "sound-1964-1966",
        1965: "sound-1964-1966",
        1970: "sound-1964-1966",
    }


@given(strategies.written_routes(), st.integers(1880, 2100))
@settings(max_examples=60)
def test_any_right_route_gives_a_layer_that_says_the_same_with_and_without_its_signs(
    data: dict[str, object], year: int
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "made.yaml").write_text(strategies.to_yaml(data), "utf-8")
        catalog = Catalog([Folder(folder, "yours")])
        below = catalog.load("made")
        path = folder / f"made-{year}.yaml"
        text = layer_text(path.stem, below, below, year)
        for version in (text, bare(text, "#")):
            path.write_text(version, "utf-8")
            told = [problem for problem in catalog.lint(path.stem) if not problem.warning]
            assert told == []
            assert said(catalog.load(path.stem)) == said(below)


_SIGNS = st.characters(exclude_categories=["Cs", "Cc"], include_characters="\x85\n\t")
_VALUES = st.recursive(
    st.text(_SIGNS, max_size=12) | st.sampled_from(["1.5", "no", "-", "a: b", "#", "12:30", "y"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner),
    max_leaves=8,
)


def plain(value: object) -> object:
    """What a reader that takes every scalar for a text makes of it."""
    return yaml.load(str(value), Loader=yaml.BaseLoader)


@given(st.text(_SIGNS, max_size=200))
def test_a_text_reads_back_as_it_was(text: str) -> None:
    assert plain(f"a: {scalar(text)}") == {"a": text}
    assert plain("\n".join(entry("a", text, 2))) == {"a": text}
    assert plain("\n".join(item(text, 2))) == [text]


@given(st.lists(st.text("abc ,.", min_size=1, max_size=60), min_size=4).map(" ".join))
@settings(deadline=None)
def test_a_long_text_is_folded_and_reads_back(text: str) -> None:
    assert plain("\n".join(entry("a", text, 4))) == {"a": text}


@given(st.dictionaries(st.sampled_from(["id", "x", "y", "agrees-with", "no"]), _VALUES, min_size=1))
def test_a_mapping_reads_back_as_it_was(value: dict[str, object]) -> None:
    assert plain(flow(value)) == value
    assert plain("\n".join(item(value, 4))) == [value]
    assert plain("\n".join(entry("a", value, 4))) == {"a": value}
