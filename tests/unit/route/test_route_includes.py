"""`include`: what a piece brings into a route, and where its problems are told."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from checkrun.cli import run
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.data import to_data
from checkrun.route.model import Place
from checkrun.route.problems import RouteError

SHARED = Path(__file__).parents[2] / "data" / "shared"
BAD = Path(__file__).parents[2] / "data" / "bad"

Write = Callable[[str, str], Path]

TEXTS = (
    "ask: {0}\n    how: How {0}.\n    pass: Whole.\n    concern: Worn.\n    fail: Torn.\n"
    "    class: minor\n    group: trim\n    source: common practice\n"
)


def check(name: str) -> str:
    """A check as it stands in the list of a piece."""
    return f"  - id: {name}\n    {TEXTS.format(name)}"


def deeper(text: str) -> str:
    return "".join(f"    {line}\n" for line in text.splitlines())


def nose(*includes: str) -> str:
    """The sound route's first station with some pieces more."""
    lines = "".join(f"      - include: {name}\n" for name in includes)
    return f"stations:\n  - id: nose\n    checks:\n{lines}"


@pytest.fixture
def piece(folder: Path) -> Write:
    """Write a piece beside the sound route."""
    return writer(folder)


def writer(folder: Path) -> Write:
    (folder / "pieces").mkdir(exist_ok=True)

    def write(name: str, text: str) -> Path:
        path = folder / "pieces" / f"{name}.yaml"
        path.write_text(f"format: 1\npiece: {name}\n{text}", encoding="utf-8")
        return path

    return write


def told(catalog: Catalog, name: str) -> list[str]:
    return [
        f"{Path(p.file).name}:{p.line}:{p.column}: {p.code} {p.message}" for p in catalog.lint(name)
    ]


def test_a_route_made_of_pieces_is_the_one_that_is_written_out() -> None:
    catalog = Catalog([Folder(SHARED, "yours")])
    assert [catalog.lint(name) for name in ("written-out", "shared")] == [[], []]
    written, shared = (to_data(catalog.load(name)) for name in ("written-out", "shared"))
    assert list(shared) == list(written)
    assert shared == written | {"id": "shared"}
    assert sum(len(station["checks"]) for station in shared["stations"]) == 18
    assert catalog.untaken() == []


def test_the_checks_of_a_piece_stand_where_it_is_taken_in(
    catalog: Catalog, layer: Write, piece: Write
) -> None:
    piece("lamps", f"checks:\n{check('main')}{check('dipped')}")
    layer(
        "lit",
        f"stations:\n  - id: nose\n    checks:\n{deeper(check('first'))}"
        f"      - include: pieces/lamps\n{deeper(check('last'))}",
    )
    assert catalog.lint("lit") == []
    nose_checks = [check.id for check in catalog.load("lit").stations[0].checks]
    assert nose_checks == ["bonnet-gaps", "first", "main", "dipped", "last"]


def test_the_stations_of_a_piece_bring_their_place_marks_and_claims(
    catalog: Catalog, layer: Write, piece: Write
) -> None:
    axle = deeper(check("casing")).replace(
        "source:",
        "reading: {kind: stamp, mark: axle}\n        signs: [{claim: axle-first}]\n        source:",
    )
    piece(
        "under",
        "places:\n  axle: {x: 2.4, y: 0.0, z: 0.3}\n  nose: {x: 9.0, y: 9.0, z: 9.0}\n"
        "marks:\n  axle: {title: Axle, fields: [{digits: 4}], source: common practice}\n"
        "claims:\n  - {id: axle-first, says: The axle is the first, before: 0.5, matters: 0.1}\n"
        f"stations:\n  - id: axle\n    title: Axle\n    place: axle\n    checks:\n{axle}",
    )
    layer("over", "stations:\n  - include: pieces/under\n")
    below, route = catalog.load("sound"), catalog.load("over")
    assert catalog.lint("over") == []
    assert [station.id for station in route.stations] == ["nose", "tail", "axle"]
    assert route.stations[2].place == Place(2.4, 0.0, 0.3)
    assert route.stations[0].place == below.stations[0].place, "the route's own place wins"
    assert [mark.id for mark in route.marks] == ["chassis-serial", "axle"]
    assert [claim.id for claim in route.claims] == ["front-first-body", "axle-first"]


def test_what_a_route_says_of_a_claim_of_a_piece_wins_field_by_field(
    catalog: Catalog, folder: Path, piece: Write, sound: str
) -> None:
    piece(
        "body",
        "claims:\n  - {id: front-first-body, says: In the piece, before: 0.1, matters: 0.2}\n"
        f"checks:\n{check('lid')}",
    )
    text = sound.replace("says: The front is the one it left the works with, ", "")
    text = text.replace("    checks:\n", "    checks:\n      - include: pieces/body\n", 1)
    (folder / "sound.yaml").write_text(text, "utf-8")
    (claim,) = catalog.load("sound").claims
    assert (claim.says, str(claim.before), str(claim.matters)) == ("In the piece", "0.6", "0.25")


def test_a_layer_overrides_and_drops_what_came_from_a_piece(
    catalog: Catalog, layer: Write, piece: Write
) -> None:
    piece("lamps", f"checks:\n{check('main')}{check('dipped')}")
    layer("lit", nose("pieces/lamps"))
    path = layer(
        "later",
        "drop: [dipped]\nstations:\n  - id: nose\n    checks:\n      - {id: main, fail: Out.}\n",
    )
    path.write_text(path.read_text().replace("built-on: sound", "built-on: lit"))
    assert catalog.lint("later") == []
    before, after = (catalog.load(name).checks for name in ("lit", "later"))
    assert list(after) == ["bonnet-gaps", "main", "boot-seal"]
    assert after["main"] == replace(before["main"], on_fail="Out.")


def test_a_piece_may_take_in_another(catalog: Catalog, layer: Write, piece: Write) -> None:
    piece("inner", f"checks:\n{check('b')}")
    piece("outer", f"checks:\n{check('a')}  - include: pieces/inner\n{check('c')}")
    layer("over", nose("pieces/outer"))
    assert [c.id for c in catalog.load("over").stations[0].checks] == ["bonnet-gaps", "a", "b", "c"]


def test_a_piece_beside_a_route_that_is_named_by_its_path_is_found(
    folder: Path, layer: Write, piece: Write
) -> None:
    piece("inner", f"checks:\n{check('b')}")
    piece("outer", "checks:\n  - include: pieces/inner\n")
    path = layer("over", nose("pieces/outer"))
    assert list(Catalog([]).load(str(path)).checks) == ["bonnet-gaps", "b", "boot-seal"]


def test_ones_own_piece_wins_and_can_take_in_the_shipped_one(
    tmp_path: Path, folder: Path, layer: Write, piece: Write
) -> None:
    piece("lamps", f"checks:\n{check('shipped')}")
    layer("lit", nose("pieces/lamps"))
    own = tmp_path / "own"
    own.mkdir()
    catalog = Catalog([Folder(own, "yours"), Folder(folder, "shipped")])
    assert "shipped" in catalog.load("lit").checks
    writer(own)("lamps", f"checks:\n{check('mine')}  - include: pieces/lamps\n")
    assert list(catalog.load("lit").checks) == ["bonnet-gaps", "mine", "shipped", "boot-seal"]
    assert catalog.untaken() == []


def test_a_piece_without_checks_yet_is_taken_in(
    catalog: Catalog, layer: Write, piece: Write
) -> None:
    piece("later", "checks: []\n")
    layer("over", nose("pieces/later"))
    assert catalog.lint("over") == []


def test_pieces_are_not_among_the_routes(catalog: Catalog, layer: Write, piece: Write) -> None:
    piece("lamps", f"checks:\n{check('main')}")
    layer("lit", nose("pieces/lamps"))
    assert [found.id for found in catalog.all()] == ["lit", "sound"]


def test_a_piece_is_no_route(catalog: Catalog, piece: Write) -> None:
    path = piece("lamps", f"checks:\n{check('main')}")
    assert told(catalog, str(path)) == [
        "lamps.yaml:2:1: R067 `lamps` is a piece, and only a route can be walked"
    ]
    with pytest.raises(RouteError):
        catalog.load(str(path))


def test_a_problem_that_comes_of_the_route_names_it_and_all_others_are_told_once(
    catalog: Catalog, layer: Write, piece: Write
) -> None:
    text = check("lid").replace("source:", "only: {facts: {hood: yes}}\n    source:")
    piece("lids", f"checks:\n{text.replace('minor', 'mnior')}")
    for name in ("one", "two"):
        layer(name, nose("pieces/lids"))
    path = layer("three", "")
    path.write_text(path.read_text().replace("built-on: sound", "built-on: two"))
    found = [told(catalog, name) for name in ("one", "two", "three")]
    same = "lids.yaml:10:12: R025 `mnior` is not one of the choices"
    fact = "lids.yaml:12:20: R041 there is no fact `hood` (taken into `{}`)"
    assert found == [[same, fact.format(name)] for name in ("one", "two", "two")]


def test_of_what_a_missing_piece_could_hold_nothing_is_told(catalog: Catalog, layer: Write) -> None:
    layer("over", "stations:\n  - {id: nose, title: 1, checks: [{include: pieces/lamps}]}\n")
    upper = layer("upper", "drop: [lamp]\nstations:\n  - {id: tail, after: axle}\n")
    upper.write_text(upper.read_text().replace("built-on: sound", "built-on: over"))
    assert told(catalog, "upper") == [
        "over.yaml:5:23: R026 other YAML readers take `1` for a number",
        "over.yaml:5:45: R060 there is no piece `pieces/lamps`",
    ]


def test_a_piece_that_is_no_yaml_is_told_at_its_place(
    catalog: Catalog, layer: Write, piece: Write
) -> None:
    piece("lamps", "checks: [\n")
    layer("lit", nose("pieces/lamps"))
    assert told(catalog, "lit") == ["lamps.yaml:3:10: R005 the file ends in the middle of a value"]


def test_a_sign_of_a_piece_that_cannot_be_weighed_is_told_at_its_place(
    catalog: Catalog, layer: Write, piece: Write
) -> None:
    text = check("lid").replace(
        "source:",
        "reading: {kind: measure}\n    signs: [{claim: front-first-body}]\n    source:",
    )
    piece("lids", f"checks:\n{text}")
    layer("over", nose("pieces/lids"))
    (problem,) = told(catalog, "over")
    assert problem.startswith("lids.yaml:13:13: R052 a sign without likelihoods")
    assert problem.endswith("(taken into `over`)")


def test_a_ring_of_pieces_is_told_and_ends(catalog: Catalog, layer: Write, piece: Write) -> None:
    piece("self", "checks:\n  - include: pieces/self\n")
    layer("over", nose("pieces/self"))
    assert told(catalog, "over") == ["self.yaml:4:14: R061 `include` runs in a ring: self -> self"]


def test_pieces_lie_eight_deep_at_the_most(catalog: Catalog, layer: Write, piece: Write) -> None:
    for number in range(9):
        piece(f"p{number}", f"checks:\n  - include: pieces/p{number + 1}\n")
    piece("p9", f"checks:\n{check('deep')}")
    layer("fits", nose("pieces/p2"))
    layer("over", nose("pieces/p1"))
    assert "deep" in catalog.load("fits").checks
    assert told(catalog, "over") == [
        "p8.yaml:4:14: R066 pieces lie more than 8 deep in each other here"
    ]


@pytest.mark.parametrize("loop", ["", "\n    for-each: {n: [1, 2, 3, 4, 5, 6, 7, 8, 9]}"])
def test_pieces_that_would_never_end_are_told_soon(
    catalog: Catalog, layer: Write, piece: Write, loop: str
) -> None:
    for number in range(1, 8):
        each = loop.replace("n:", f"n{number}:")
        piece(f"p{number}", "checks:\n" + f"  - include: pieces/p{number + 1}{each}\n" * 12)
    piece("p8", f"checks:\n{check('leaf')}")
    layer("over", nose("pieces/p1"))
    started = time.perf_counter()
    found = [problem for problem in told(catalog, "over") if " R040 " not in problem]
    assert time.perf_counter() - started < 5.0
    assert [problem.split(" ", 1)[1] for problem in found] == [
        "R066 this makes the route larger than 8 MiB, the most it may hold"
    ]


def test_pieces_that_no_route_takes_in_are_told_when_all_are_linted(
    tmp_path: Path,
    folder: Path,
    layer: Write,
    piece: Write,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    for what in ("CACHE", "STORE"):
        monkeypatch.setenv(f"CHECKRUN_{what}", str(tmp_path / what.lower()))
    monkeypatch.setenv("CHECKRUN_SETTINGS", str(tmp_path / "settings.json"))
    monkeypatch.setenv("CHECKRUN_ROUTES", str(folder))
    path = piece("lamps", f"checks:\n{check('main')}")
    route = layer("lit", "")
    assert run(["lint", str(route)]) in (0, 1)
    assert "R065" not in capsys.readouterr().out, "one route says nothing of the others"
    run(["lint"])
    assert f"{path}:2:1: R065 no route takes in the piece `lamps`" in capsys.readouterr().out
    layer("lit", nose("pieces/lamps"))
    run(["lint"])
    assert "R065" not in capsys.readouterr().out
    run(["routes"])
    assert "lamps" not in capsys.readouterr().out


def test_a_piece_that_only_a_hidden_route_takes_in_is_not_told(
    tmp_path: Path, folder: Path, layer: Write, piece: Write, sound: str
) -> None:
    piece("lamps", f"checks:\n{check('main')}")
    layer("lit", nose("pieces/lamps"))
    own = tmp_path / "own"
    own.mkdir()
    (own / "lit.yaml").write_text(sound.replace("id: sound", "id: lit"), "utf-8")
    catalog = Catalog([Folder(own, "yours"), Folder(folder, "shipped")])
    for found in catalog.all():
        catalog.lint(found.id)
    assert catalog.untaken() == []


def test_beside_a_route_that_cannot_be_read_no_piece_is_called_unused(
    catalog: Catalog, folder: Path, layer: Write, piece: Write
) -> None:
    piece("lamps", f"checks:\n{check('main')}")
    (folder / "broken.yaml").write_text("stations: [", "utf-8")
    catalog.lint("sound")
    assert [problem.code for problem in catalog.untaken()] == ["R065"]
    catalog.lint("broken")
    assert catalog.untaken() == []


def test_the_cache_notices_a_piece_that_changes_goes_or_is_hidden(
    tmp_path: Path, folder: Path, layer: Write, piece: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "own"
    own.mkdir()
    outer = f"checks:\n  - include: pieces/inner\n{check('outer')}"
    piece("outer", outer)
    inner = piece("inner", f"checks:\n{check('first')}")
    layer("over", nose("pieces/outer"))
    reads: list[Path] = []
    read = Catalog.read

    def noting(self: Catalog, path: Path) -> object:
        reads.append(path)
        return read(self, path)

    monkeypatch.setattr(Catalog, "read", noting)

    def load() -> list[str]:
        there = [Folder(own, "yours"), Folder(folder, "shipped")]
        return list(Catalog(there, tmp_path / "cache").load("over").checks)[1:-1]

    def loads(*names: str) -> None:
        """Read anew, and then served from the cache."""
        reads.clear()
        assert [load(), load()] == [[*names], [*names]]
        assert len(reads) == 1

    loads("first", "outer")
    piece("inner", f"checks:\n{check('second')}")
    loads("second", "outer")
    mine = writer(own)("inner", f"checks:\n{check('mine')}  - include: pieces/inner\n")
    loads("mine", "second", "outer")
    piece("inner", f"checks:\n{check('third')}")
    loads("mine", "third", "outer")
    mine.unlink()
    assert load() == ["third", "outer"]
    inner.unlink()
    with pytest.raises(RouteError, match="R060 there is no piece `pieces/inner`"):
        load()
