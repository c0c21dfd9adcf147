"""Finding, caching and choosing routes; and routes as plain data."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from checkrun.route.catalog import Catalog, Folder, RouteNotFound, YearNotCovered
from checkrun.route.data import from_data, to_data
from checkrun.route.problems import RouteError

Write = Callable[[str, str], Path]
SHIPPED = Path(__file__).parents[3] / "checklists"


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
