"""Finding, caching and choosing routes; and routes as plain data."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from checkrun import __version__
from checkrun.route.cache import keep, kept
from checkrun.route.catalog import Catalog, Folder, RouteNotFound, YearNotCovered
from checkrun.route.data import from_data, to_data
from checkrun.route.model import Cost, Route
from checkrun.route.problems import RouteError

Write = Callable[[str, str], Path]
SHIPPED = Path(__file__).parents[3] / "checklists"
SOUND_FOLDER = Path(__file__).parents[2] / "data" / "bad"


class CountingCatalog(Catalog):
    """A catalog that counts how often it reads YAML."""

    def __init__(self, folders: list[Folder], cache: Path | None) -> None:
        super().__init__(folders, cache)
        self.reads = 0

    def read(self, path):  # type: ignore[no-untyped-def]
        self.reads += 1
        return super().read(path)


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    return tmp_path / "cache" / "deep"


@pytest.fixture
def fresh(folder: Path, cache: Path) -> Callable[[], CountingCatalog]:
    """A new start of the program: a catalog that knows only what the cache keeps."""
    own = folder.parent / "own"
    own.mkdir()

    def start() -> CountingCatalog:
        return CountingCatalog([Folder(own, "yours"), Folder(folder, "shipped")], cache)

    return start


Fresh = Callable[[], CountingCatalog]


@pytest.mark.parametrize("path", sorted(SHIPPED.glob("*.yaml")), ids=lambda path: path.stem)
def test_a_shipped_route_is_the_same_after_being_plain_data(path: Path) -> None:
    catalog = Catalog([Folder(SHIPPED, "shipped")])
    route = catalog.load(path.stem)
    data = to_data(route)
    assert from_data(data) == route
    again = from_data(json.loads(json.dumps(data)))
    assert again == route
    assert json.dumps(to_data(again)) == json.dumps(data), "numbers keep their written form"


def test_a_cached_route_is_the_same_and_yaml_is_not_read_again(fresh: Fresh, layer: Write) -> None:
    layer("over", "title: Over\n")
    first, second = fresh(), fresh()
    route = first.load("over")
    assert second.load("over") == route
    assert (first.reads, second.reads) == (1, 0)


def test_a_change_of_the_file_is_noticed(fresh: Fresh, layer: Write) -> None:
    layer("over", "title: Over\n")
    fresh().load("over")
    layer("over", "title: New\n")
    assert fresh().load("over").title == "New"


def test_a_change_of_the_route_below_is_noticed(
    fresh: Fresh, layer: Write, folder: Path, sound: str
) -> None:
    layer("over", "")
    fresh().load("over")
    (folder / "sound.yaml").write_text(sound.replace("Ash-framed", "Oak-framed"), "utf-8")
    assert fresh().load("over").title == "Oak-framed tourer"


def test_a_route_below_that_is_gone_is_noticed(fresh: Fresh, layer: Write, folder: Path) -> None:
    layer("over", "")
    fresh().load("over")
    (folder / "sound.yaml").unlink()
    with pytest.raises(RouteError, match="there is no route `sound` to build on"):
        fresh().load("over")


def test_a_new_route_of_ones_own_that_wins_below_is_noticed(
    fresh: Fresh, layer: Write, folder: Path, sound: str
) -> None:
    layer("over", "")
    fresh().load("over")
    own = folder.parent / "own" / "sound.yaml"
    own.write_text(sound.replace("Ash-framed", "My own"), "utf-8")
    assert fresh().load("over").title == "My own tourer"
    own.unlink()
    assert fresh().load("over").title == "Ash-framed tourer"


def without_money(route: Route) -> Route:
    """The route with nothing of what costs did not have at first."""
    stations = []
    for station in route.stations:
        checks = [
            c if c.cost is None else replace(c, cost=Cost(c.cost.hours, c.cost.parts))
            for c in station.checks
        ]
        stations.append(replace(station, checks=tuple(checks)))
    return replace(route, stations=tuple(stations))


def as_first_written(route: Route) -> dict[str, Any]:
    """The data of a route as they were before a cost had a chance: two ranges and no more."""
    data = to_data(route)
    for station in data["stations"]:
        for check in station["checks"]:
            if "cost" in check:
                check["cost"] = check["cost"][:2]
    return data


@pytest.mark.parametrize("path", sorted(SHIPPED.glob("*.yaml")), ids=lambda path: path.stem)
def test_a_copy_that_knows_of_no_chances_is_read_with_the_usual_ones(path: Path) -> None:
    route = Catalog([Folder(SHIPPED, "shipped")]).load(path.stem)
    old = as_first_written(route)
    assert from_data(old) == without_money(route)
    assert json.dumps(to_data(from_data(old))) == json.dumps(old), "and keeps its bytes"


def test_the_copy_of_a_cost_holds_only_what_is_not_as_usual(folder: Path, sound: str) -> None:
    ranges = [["6", "14", "40"], ["0", "300", "2500"]]
    for more, held in (
        ("", ranges),
        (", chance: 0.5", ranges),
        (", chance: 0.35", [*ranges, {"chance": "0.35"}]),
        (
            ", chance: 1, base-rate: 0.10, together: front-off",
            [*ranges, {"chance": "1", "base_rate": "0.10", "together": "front-off"}],
        ),
    ):
        text = sound.replace("2500]}", f"2500]{more}}}")
        (folder / "sound.yaml").write_text(text, encoding="utf-8")
        route = Catalog([Folder(folder, "yours")]).load("sound")
        data = to_data(route)
        assert data["stations"][0]["checks"][0]["cost"] == held
        assert from_data(json.loads(json.dumps(data))) == route


def test_what_an_older_program_kept_is_not_served(
    fresh: Fresh, folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # It named its files without the form of what it kept, and knew of no likelihoods that must
    # add up: such a route was kept then and is refused now.
    path = folder / "sound.yaml"
    path.write_text(path.read_text("utf-8").replace("concern: [0.12, 0.30], ", ""), "utf-8")
    raw = path.read_bytes()
    digest = hashlib.sha256(raw).hexdigest()
    named = f"{__version__}\n{path}\n{digest}".encode()
    older = Catalog([Folder(SOUND_FOLDER, "yours")]).load("sound")
    with monkeypatch.context() as then:
        name = cache / f"route-{hashlib.sha256(named).hexdigest()[:32]}.json"
        then.setattr("checkrun.route.cache._file", lambda *_: name)
        keep(cache, [(path, raw)], older)
        found = kept(cache, path, lambda *_: None, lambda *_: None)
        assert found == older, "as the older program would find it"
    starting = fresh()
    with pytest.raises(RouteError, match="R050 the likelihoods"):
        starting.load("sound")
    assert starting.reads == 1


def test_what_was_kept_in_another_form_is_read_anew(
    fresh: Fresh, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as then:
        then.setattr("checkrun.route.cache._FORM", 1)
        fresh().load("sound")
    first, second = fresh(), fresh()
    first.load("sound")
    second.load("sound")
    assert (first.reads, second.reads) == (1, 0)


@pytest.mark.parametrize(
    ("place", "wrong"),
    [
        (("cost", 0, 0), "much"),
        (("cost", 2), ["chance"]),
        (("cost", 2), {"chance": "half"}),
        (("minutes",), "soon"),
        (("signs", 0), []),
    ],
)
def test_cached_data_that_make_no_route_are_passed_over(
    fresh: Fresh, cache: Path, place: tuple[Any, ...], wrong: Any
) -> None:
    route = fresh().load("sound")
    (file,) = cache.glob("route-*.json")
    data = json.loads(file.read_text("utf-8"))
    holder = data["route"]["stations"][0]["checks"][0]
    holder["cost"].append({"chance": "0.7"})
    for step in place[:-1]:
        holder = holder[step]
    holder[place[-1]] = wrong
    file.write_text(json.dumps(data), "utf-8")
    mending = fresh()
    assert mending.load("sound") == route
    assert mending.reads == 1


@pytest.mark.parametrize(
    "damage",
    [b"", b"{", b"\xff\x00", b"[]", b"{}", b'{"files": [["x"]], "route": {}}', b"null", b'"x"'],
)
def test_a_damaged_cache_file_is_passed_over_and_mended(
    fresh: Fresh, cache: Path, damage: bytes
) -> None:
    route = fresh().load("sound")
    (kept,) = cache.glob("route-*.json")
    kept.write_bytes(damage)
    mending, mended = fresh(), fresh()
    assert mending.load("sound") == route
    assert mended.load("sound") == route
    assert (mending.reads, mended.reads) == (1, 0)


def test_a_cache_cut_off_anywhere_is_passed_over(fresh: Fresh, cache: Path) -> None:
    route = fresh().load("sound")
    (kept,) = cache.glob("route-*.json")
    whole = kept.read_bytes()
    for end in range(0, len(whole), len(whole) // 40):
        kept.write_bytes(whole[:end])
        assert fresh().load("sound") == route


def test_a_cache_folder_that_cannot_be_made_is_no_error(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", "utf-8")
    catalog = CountingCatalog([Folder(folder, "shipped")], tmp_path / "file" / "cache")
    assert catalog.load("sound").id == "sound"
    assert catalog.load("sound").id == "sound"
    assert catalog.reads == 2


def test_a_cache_that_cannot_be_written_is_no_error(
    folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_args: object, **_more: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "write_text", refuse)
    assert Catalog([Folder(folder, "shipped")], cache).load("sound").id == "sound"
    assert list(cache.glob("*")) == []


def test_the_cache_keeps_the_latest_64_routes(fresh: Fresh, layer: Write, cache: Path) -> None:
    catalog = fresh()
    for number in range(70):
        layer("over", f"title: Over {number}\n")
        catalog.load("over")
    assert len(list(cache.glob("route-*.json"))) == 64
    assert list(cache.glob("*.new")) == []


def test_a_route_that_cannot_be_walked_is_not_kept(fresh: Fresh, layer: Write, cache: Path) -> None:
    layer("over", "drop: [nothing]\n")
    with pytest.raises(RouteError):
        fresh().load("over")
    assert not cache.exists()


def test_the_error_of_a_route_names_the_first_problem_and_counts_the_rest(
    catalog: Catalog, layer: Write
) -> None:
    path = layer("over", "tittle: Over\ndrop: [boot-seals]\n")
    with pytest.raises(RouteError) as error:
        catalog.load("over")
    assert str(error.value) == (
        f"{path}:4:1: R020 `tittle` is not a key of a route. Did you mean `title`? "
        "(and 1 more; checkrun lint shows all)"
    )


@pytest.mark.parametrize(
    ("year", "chosen"),
    [(1953, "sound"), (1962, "sound"), (1963, "wide"), (1966, "narrow"), (1968, "wide")],
)
def test_the_narrowest_layer_that_covers_the_year_is_walked(
    catalog: Catalog, layer: Write, year: int, chosen: str
) -> None:
    layer("wide", "car: {years: 1963-1968}\n")
    layer("narrow", "car: {years: 1965-1967}\n")
    layer("broken", "car: {years: 1966}\nnonsense: 1\n")
    assert catalog.for_year("sound", year).id == chosen
    assert catalog.for_year(str(catalog.find("sound").path), year).id == chosen


def test_a_layer_may_cover_years_that_the_route_below_does_not(
    catalog: Catalog, layer: Write
) -> None:
    layer("late", "car: {years: 1976-1978}\n")
    assert catalog.for_year("sound", 1977).id == "late"
    with pytest.raises(YearNotCovered) as error:
        catalog.for_year("sound", 1980)
    assert str(error.value) == "`sound` covers 1953-1975, not 1980"
    with pytest.raises(YearNotCovered) as error:
        catalog.for_year("late", 1966)
    assert str(error.value) == "`late` covers 1976-1978, not 1966"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("sond", "there is no route `sond`. Did you mean `sound`?"),
        ("quite-different", "there is no route `quite-different`. There are: sound."),
        ("../routes/sound", "there is no file ../routes/sound"),
        ("elsewhere.yaml", "there is no file elsewhere.yaml"),
        ("a" * 300, f"there is no route `{'a' * 300}`. There are: sound."),
    ],
)
def test_a_name_that_leads_nowhere_is_answered_with_what_is_there(
    catalog: Catalog, name: str, said: str
) -> None:
    with pytest.raises(RouteNotFound) as error:
        catalog.find(name)
    assert str(error.value) == said


def test_no_routes_at_all_are_named_as_such(tmp_path: Path) -> None:
    with pytest.raises(RouteNotFound) as error:
        Catalog([Folder(tmp_path / "nowhere", "yours")]).find("x")
    assert str(error.value) == "there is no route `x`. There are none."


def test_a_hint_names_a_dozen_routes_at_the_most(catalog: Catalog, layer: Write) -> None:
    for number in range(20):
        layer(f"zz-{number:02}", "")
    with pytest.raises(RouteNotFound) as error:
        catalog.find("quite-different")
    assert str(error.value).endswith(
        "There are: sound, " + ", ".join(f"zz-{number:02}" for number in range(11)) + " and 9 more."
    )
