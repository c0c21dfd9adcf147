"""One route over another: what is merged, replaced, dropped, and where its problems are told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from checkrun.route.catalog import Catalog, Folder
from checkrun.route.layers import lay_over
from checkrun.route.model import Order, Place, Severity
from checkrun.route.nodes import Map, Node, Scalar, Seq, parse
from checkrun.route.problems import Problem

Write = Callable[[str, str], Path]


def as_data(node: Node) -> object:
    """A tree with every place in it, for comparing."""
    here = (node.file, node.line, node.column)
    if isinstance(node, Map):
        return here, [(key, as_data(k), as_data(v)) for key, (k, v) in node.entries.items()]
    if isinstance(node, Seq):
        return here, [as_data(item) for item in node.items]
    assert isinstance(node, Scalar)
    return here, node.text, node.plain


def tree(text: str, file: str) -> Map:
    root, problems = parse(text, file)
    assert problems == []
    assert isinstance(root, Map)
    return root


def test_a_layer_that_says_nothing_gives_the_same_route_under_its_own_name(
    catalog: Catalog, layer: Write
) -> None:
    layer("same", "")
    below = catalog.load("sound")
    assert catalog.load("same") == replace(below, id="same", built_on=("sound",))


def test_a_check_is_merged_field_by_field(catalog: Catalog, layer: Write) -> None:
    layer(
        "stricter",
        "stations:\n  - id: nose\n    checks:\n      - id: bonnet-gaps\n        fail: Any taper.\n"
        "        class: dangerous\n        cost: {hours: [1, 2, 3]}\n",
    )
    before, after = (catalog.load(name).checks["bonnet-gaps"] for name in ("sound", "stricter"))
    assert before.cost is not None
    assert after.cost is not None
    assert after == replace(
        before,
        on_fail="Any taper.",
        severity=Severity.DANGEROUS,
        cost=replace(before.cost, hours=(Decimal(1), Decimal(2), Decimal(3))),
    )


def test_a_station_is_merged_field_by_field_and_keeps_its_checks(
    catalog: Catalog, layer: Write
) -> None:
    layer("titled", "stations:\n  - {id: tail, title: Tail and lamps, needs: {boot: shut}}\n")
    before, after = catalog.load("sound").stations[1], catalog.load("titled").stations[1]
    assert after == replace(before, title="Tail and lamps", needs=(("boot", "shut"),))


def test_facts_claims_places_and_marks_are_merged_too(catalog: Catalog, layer: Write) -> None:
    layer(
        "merged",
        "car:\n  years: 1966\n  facts:\n    - {id: serial, ask: Which serial?}\n"
        "    - {id: keys, ask: How many keys?, kind: number}\n"
        "claims:\n  - {id: front-first-body, before: 0.7}\n"
        "places:\n  tail: {x: 3.3}\n  boot: {x: 3.0, y: 0.1, z: 0.7}\n"
        "marks:\n  chassis-serial: {where: On the scuttle}\n"
        "  engine-serial: {title: Engine serial, fields: [{digits: 4}], source: common practice}\n"
        "order: as-written\n",
    )
    below, route = catalog.load("sound"), catalog.load("merged")
    assert str(route.years) == "1966"
    assert route.outline == below.outline
    assert [(fact.id, fact.ask, fact.mark) for fact in route.facts] == [
        ("touring-tank", "Is the long tank fitted?", None),
        ("serial", "Which serial?", "chassis-serial"),
        ("keys", "How many keys?", None),
    ]
    assert route.claims == (replace(below.claims[0], before=Decimal("0.7")),)
    assert route.stations[1].place == Place(3.3, 0.0, 0.6)
    first, second = route.marks
    assert first == replace(below.marks[0], where="On the scuttle")
    assert second.id == "engine-serial"
    assert route.order is Order.AS_WRITTEN


@pytest.mark.parametrize(
    ("after", "ids"),
    [
        ("", ["bonnet-gaps", "lamps", "grille"]),
        ("        after: bonnet-gaps\n", ["bonnet-gaps", "grille", "lamps"]),
    ],
    ids=["at the end", "behind the one it names"],
)
def test_a_new_check_takes_its_place_in_the_station(
    catalog: Catalog, layer: Write, sound: str, after: str, ids: list[str]
) -> None:
    new = (
        "        ask: A\n        how: B\n        pass: C\n        concern: D\n        fail: E\n"
        "        class: minor\n        group: trim\n        source: common practice\n"
    )
    layer("lit", f"stations:\n  - id: nose\n    checks:\n      - id: lamps\n{new}")
    path = layer(
        "grilled", f"stations:\n  - id: nose\n    checks:\n      - id: grille\n{new}{after}"
    )
    path.write_text(path.read_text().replace("built-on: sound", "built-on: lit"))
    route = catalog.load("grilled")
    assert [check.id for check in route.stations[0].checks] == ids
    assert route.built_on == ("lit", "sound")


def test_a_new_station_goes_behind_the_one_it_names(
    catalog: Catalog, layer: Write, folder: Path, sound: str
) -> None:
    (folder / "sound.yaml").write_text(sound.replace("    after: nose\n", ""), "utf-8")
    side = "{id: side, title: Side, place: nose, after: nose, checks: []}"
    layer("side", f"stations:\n  - {side}\n")
    assert [station.id for station in catalog.load("side").stations] == ["nose", "side", "tail"]


@pytest.mark.parametrize(
    ("drop", "stations", "checks"),
    [
        ("[boot-seal]", ["nose", "tail"], ["bonnet-gaps"]),
        ("[tail]", ["nose"], ["bonnet-gaps"]),
    ],
)
def test_drop_takes_checks_and_stations_out(
    catalog: Catalog, layer: Write, drop: str, stations: list[str], checks: list[str]
) -> None:
    layer("less", f"drop: {drop}\n")
    route = catalog.load("less")
    assert [station.id for station in route.stations] == stations
    assert list(route.checks) == checks


def test_what_was_dropped_can_be_written_anew(catalog: Catalog, layer: Write) -> None:
    layer(
        "anew",
        "drop: [touring-tank, front-first-body, bonnet-gaps]\n"
        "car:\n  facts:\n    - {id: touring-tank, ask: Long tank?}\n"
        "claims:\n  - {id: front-first-body, says: It is the first, before: 0.5, matters: 0.1}\n",
    )
    route = catalog.load("anew")
    assert route.facts[-1].kind == "text", "nothing of the old one is left"
    assert route.claims[0].says == "It is the first"
    assert list(route.checks) == ["boot-seal"]


def test_dropping_what_others_refer_to_is_told_where_they_do(
    catalog: Catalog, layer: Write
) -> None:
    layer("orphan", "drop: [nose, front-first-body]\n")
    assert [(Path(p.file).name, p.line, p.message) for p in catalog.lint("orphan")] == [
        ("sound.yaml", 40, "there is no station `nose`")
    ]


def test_a_reading_of_the_same_kind_is_merged_and_of_another_kind_replaced(
    catalog: Catalog, layer: Write
) -> None:
    head = "stations:\n  - id: tail\n    checks:\n      - id: boot-seal\n        reading: "
    layer("gap", head + "{kind: gaps, unit: mm, taper: 2.0, points: [left, right]}\n")
    for name, reading in (
        ("same", "{kind: gaps, taper: 1.5}"),
        ("other", "{kind: tread, least: 3}"),
    ):
        path = layer(name, head + reading + "\n")
        path.write_text(path.read_text().replace("built-on: sound", "built-on: gap"))
    same = catalog.load("same").checks["boot-seal"].reading
    other = catalog.load("other").checks["boot-seal"].reading
    assert same is not None
    assert other is not None
    assert (same.kind, same.unit) == ("gaps", "mm")
    assert same.spec == {"taper": "1.5", "points": ["left", "right"]}
    assert (other.kind, other.unit, other.spec) == ("tread", "", {"least": "3"})


def test_laying_over_changes_neither_tree() -> None:
    base = tree("id: a\nstations:\n  - {id: s, checks: [{id: c, ask: x}, {id: d}]}\n", "a")
    top = tree("id: b\ndrop: [d]\nstations:\n  - {id: s, checks: [{id: c, ask: y}]}\n", "b")
    before = as_data(base), as_data(top)
    problems: list[Problem] = []
    laid = lay_over(base, top, problems)
    assert problems == []
    assert (as_data(base), as_data(top)) == before
    assert as_data(laid) not in before


def test_what_a_layer_alone_may_say_is_not_taken_from_below() -> None:
    base = tree("format: 1\nid: a\nbuilt-on: z\ndrop: [x]\ntitle: T\n", "a")
    laid = lay_over(base, tree("id: b\n", "b"), [])
    assert list(laid.entries) == ["title", "id"]


def test_problems_point_into_the_file_where_the_value_was_written(
    catalog: Catalog, layer: Write, folder: Path, sound: str
) -> None:
    (folder / "sound.yaml").write_text(sound.replace("minutes: 1", "minutes: one"), "utf-8")
    layer("over", "stations:\n  - id: tail\n    checks:\n      - {id: boot-seal, class: grave}\n")
    assert [str(problem) for problem in catalog.lint("over")] == [
        f"{folder}/over.yaml:7:32: R025 `grave` is not one of the choices",
        f"{folder}/sound.yaml:33:18: R023 `one` is not a number",
    ]


def test_a_mistake_below_that_a_layer_writes_over_is_none_of_the_layer(
    catalog: Catalog, layer: Write, folder: Path, sound: str
) -> None:
    (folder / "sound.yaml").write_text(sound.replace("minutes: 1", "minutes: one"), "utf-8")
    layer("mended", "stations:\n  - {id: nose, checks: [{id: bonnet-gaps, minutes: 2}]}\n")
    assert catalog.lint("mended") == []
    assert catalog.load("mended").checks["bonnet-gaps"].minutes == 2


def test_an_id_used_twice_over_two_files_names_both(
    catalog: Catalog, layer: Write, folder: Path
) -> None:
    layer("moved", "stations:\n  - id: nose\n    checks:\n      - {id: boot-seal, ask: x}\n")
    told = [problem for problem in catalog.lint("moved") if problem.code == "R040"]
    assert [(str(problem), problem.hint) for problem in told] == [
        (
            f"{folder}/sound.yaml:42:13: R040 the check `boot-seal` is there a second time",
            f"It stands first in {folder}/moved.yaml, line 7; give this one another id.",
        )
    ]


def test_a_route_of_ones_own_wins_over_the_shipped_one_of_its_name(
    folder: Path, tmp_path: Path, sound: str
) -> None:
    own = tmp_path / "own"
    own.mkdir()
    (own / "sound.yaml").write_text(sound.replace("Ash-framed tourer", "My tourer"), "utf-8")
    catalog = Catalog([Folder(own, "yours"), Folder(folder, "shipped")])
    assert catalog.load("sound").title == "My tourer"
    found = catalog.find("sound")
    assert (found.owner, found.path, found.hides) == (
        "yours",
        own / "sound.yaml",
        folder / "sound.yaml",
    )
    assert catalog.all() == (found,)


def test_a_route_of_ones_own_can_lie_on_the_shipped_one_of_its_name(
    folder: Path, tmp_path: Path
) -> None:
    own = tmp_path / "own"
    own.mkdir()
    text = "format: 1\nid: sound\nbuilt-on: sound\ntitle: Mine\ndrop: [boot-seal]\n"
    (own / "sound.yaml").write_text(text, "utf-8")
    catalog = Catalog([Folder(own, "yours"), Folder(folder, "shipped")])
    assert catalog.lint("sound") == []
    route = catalog.load("sound")
    assert (route.title, list(route.checks), route.built_on) == (
        "Mine",
        ["bonnet-gaps"],
        ("sound",),
    )


def test_a_shipped_layer_lies_on_a_route_of_ones_own(
    folder: Path, tmp_path: Path, layer: Write, sound: str
) -> None:
    layer("over", "title: Over\n")
    own = tmp_path / "own"
    own.mkdir()
    (own / "sound.yaml").write_text(sound.replace("Torn or missing.", "Gone."), "utf-8")
    catalog = Catalog([Folder(own, "yours"), Folder(folder, "shipped")])
    assert catalog.load("over").checks["boot-seal"].on_fail == "Gone."


def test_a_file_named_by_its_path_finds_what_lies_beside_it(layer: Write) -> None:
    path = layer("over", "title: Over\n")
    route = Catalog([]).load(str(path))
    assert (route.id, route.built_on) == ("over", ("sound",))


def test_one_file_reached_by_two_paths_is_still_a_ring(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder / "self.yaml").write_text("format: 1\nid: self\nbuilt-on: self\n", "utf-8")
    monkeypatch.chdir(folder)
    problems = Catalog([Folder(folder, "yours")]).lint("self.yaml")
    assert [str(problem) for problem in problems] == [
        "self.yaml:3:11: R043 `built-on` runs in a ring: self -> self"
    ]


@pytest.mark.parametrize("name", ["../routes/sound", "/etc/hosts", "sound.yaml", "a" * 300])
def test_built_on_is_a_name_and_never_a_path(catalog: Catalog, folder: Path, name: str) -> None:
    (folder / "over.yaml").write_text(f"format: 1\nid: over\nbuilt-on: {name}\n", "utf-8")
    assert [problem.code for problem in catalog.lint("over")] == ["R042"]


def test_a_layer_on_a_route_that_is_not_there_is_read_all_the_same(tmp_path: Path) -> None:
    text = (
        "format: 1\nid: over\ntitle: Over\nbuilt-on: nowhere\ndrop: [any]\n"
        "stations:\n  - id: nose\n    checks:\n      - {id: gap, conern: wide, minutes: 12:30}\n"
    )
    (tmp_path / "over.yaml").write_text(text, encoding="utf-8")
    found = Catalog([Folder(tmp_path, "yours")]).lint("over")
    assert [(p.line, p.column, p.code) for p in found] == [
        (4, 11, "R042"),
        (9, 19, "R020"),
        (9, 42, "R023"),
    ]
