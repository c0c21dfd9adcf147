"""`for-each`: one check, station or include for each value, and the value in its texts."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from test_route_includes import check, deeper, told, writer

from checkrun.route.catalog import Catalog
from checkrun.route.model import Place

Write = Callable[[str, str], Path]

CORNERS = "{corner: [left-front, right-rear]}"


@pytest.fixture
def piece(folder: Path) -> Write:
    return writer(folder)


def repeated(text: str, loop: str = CORNERS) -> str:
    """A check of the sound route's first station, repeated."""
    lines = deeper(text).splitlines(keepends=True)
    rest = "".join([lines[0], f"        for-each: {loop}\n", *lines[1:]])
    return f"stations:\n  - id: nose\n    checks:\n{rest}"


def test_a_check_is_there_once_for_each_value(catalog: Catalog, layer: Write) -> None:
    layer("over", repeated(check("lining").replace("ask: lining", "ask: The {corner} lining")))
    assert catalog.lint("over") == []
    checks = catalog.load("over").stations[0].checks
    assert [(c.id, c.ask) for c in checks[1:]] == [
        ("lining-left-front", "The left front lining"),
        ("lining-right-rear", "The right rear lining"),
    ]


def test_words_a_capital_and_the_value_itself_stand_in_every_text(
    catalog: Catalog, layer: Write
) -> None:
    text = (
        check("lining")
        .replace("how: How lining.", 'how: "{Corner} first, {corner-id} last; {1/2} {} { stays."')
        .replace(
            "source: common practice",
            "why: Of the {corner}.\n    caution: Under the {corner}.\n"
            '    tools: ["{corner} jack"]\n'
            "    reading: {kind: tread, unit: mm, tyres: [\"{corner-id}\"], hold: 'At {corner}'}\n"
            '    cost: {hours: [1, 2, 3], parts: [1, 2, 3], together: "wheel-{corner}"}\n'
            '    signs:\n      - {claim: front-first-body, cause: "at-{corner}", pass: [0.6, 0.5],'
            " fail: [0.4, 0.5]}\n      - {claim: front-first-body, cause: 'at-{corner-id}', "
            "pass: [0.6, 0.5], fail: [0.4, 0.5]}\n"
            '    only: {facts: {touring-tank: yes, serial: "{corner}"}}\n    source: At {corner}',
        )
    )
    layer("over", repeated(text))
    assert [problem for problem in told(catalog, "over") if "R055" not in problem] == []
    _, left, right = catalog.load("over").stations[0].checks
    assert left.how == "Left front first, left-front last; {1/2} {} { stays."
    assert (left.why, left.caution) == ("Of the left front.", "Under the left front.")
    assert (left.tools, right.tools) == (("left front jack",), ("right rear jack",))
    assert left.reading is not None
    assert left.reading.spec == {"tyres": ["left-front"], "hold": "At left front"}
    assert left.cost is not None
    assert left.cost.together == "wheel-left-front"
    assert [sign.cause for sign in right.signs] == ["at-right-rear", "at-right-rear"]
    assert left.only.facts == (("touring-tank", "yes"), ("serial", "left front"))
    assert left.source == "At left front"


def test_braces_outside_of_a_for_each_stay_as_they_are(
    catalog: Catalog, folder: Path, sound: str, layer: Write
) -> None:
    (folder / "sound.yaml").write_text(sound.replace("Soft, no gap.", "Soft {corner}."), "utf-8")
    layer("over", repeated(check("lining")))
    for name in ("sound", "over"):
        assert catalog.lint(name) == []
        assert catalog.load(name).checks["boot-seal"].on_pass == "Soft {corner}."


def test_an_id_that_names_the_value_gets_no_second_one(catalog: Catalog, layer: Write) -> None:
    loop = "{end: [front, rear], side: [left, right]}"
    layer("over", repeated(check('"{side}-lining"'), loop))
    assert list(catalog.load("over").checks)[1:5] == [
        "left-lining-front",
        "right-lining-front",
        "left-lining-rear",
        "right-lining-rear",
    ]


def test_a_station_is_there_for_each_value_with_its_place_and_checks(
    catalog: Catalog, layer: Write
) -> None:
    after = deeper(check("hose")).replace("ask:", "after: lining\n        ask:", 1)
    layer(
        "over",
        "places:\n  at-left-front: {x: 0.0, y: -0.7, z: 0.3}\n"
        "  at-right-rear: {x: 2.4, y: 0.7, z: 0.3}\n"
        f"stations:\n  - id: hub\n    for-each: {CORNERS}\n    title: Hub, {{corner}}\n"
        "    place: at-{corner}\n    after: nose\n    caution: Mind the {corner} stand.\n"
        f"    checks:\n{after}{deeper(check('drum'))}{deeper(check('lining'))}",
    )
    assert catalog.lint("over") == []
    hubs = catalog.load("over").stations[2:]
    assert [(hub.id, hub.title, hub.caution, hub.after) for hub in hubs] == [
        ("hub-left-front", "Hub, left front", "Mind the left front stand.", "nose"),
        ("hub-right-rear", "Hub, right rear", "Mind the right rear stand.", "nose"),
    ]
    assert [hub.place for hub in hubs] == [Place(0.0, -0.7, 0.3), Place(2.4, 0.7, 0.3)]
    assert [check.id for check in hubs[1].checks] == [
        "drum-right-rear",
        "lining-right-rear",
        "hose-right-rear",
    ]


def test_an_include_is_there_for_each_value_and_a_piece_may_repeat_too(
    catalog: Catalog, layer: Write, piece: Write
) -> None:
    inner = check("bolt").replace(
        "ask: bolt", 'for-each: {bolt: ["1", "2"]}\n    ask: "{bolt} {corner}"'
    )
    piece("hub", f"checks:\n{check('lining')}{inner}")
    layer(
        "over",
        "stations:\n  - id: nose\n    checks:\n      - include: pieces/hub\n"
        f"        for-each: {CORNERS}\n",
    )
    assert catalog.lint("over") == []
    assert [(c.id, c.ask) for c in catalog.load("over").stations[0].checks[1:]] == [
        ("lining-left-front", "lining"),
        ("bolt-left-front-1", "1 left front"),
        ("bolt-left-front-2", "2 left front"),
        ("lining-right-rear", "lining"),
        ("bolt-right-rear-1", "1 right rear"),
        ("bolt-right-rear-2", "2 right rear"),
    ]


def test_a_layer_changes_one_of_them_or_several(catalog: Catalog, layer: Write) -> None:
    layer("over", repeated(check("lining")))
    path = layer(
        "upper",
        "drop: [lining-right-rear]\nstations:\n  - id: nose\n    checks:\n"
        "      - {id: lining, for-each: {corner: [left-front]}, fail: 'Gone, {corner}.'}\n",
    )
    path.write_text(path.read_text().replace("built-on: sound", "built-on: over"))
    assert catalog.lint("upper") == []
    checks = catalog.load("upper").checks
    assert list(checks) == ["bonnet-gaps", "lining-left-front", "boot-seal"]
    assert checks["lining-left-front"].on_fail == "Gone, left front."


def test_a_fault_in_a_repeated_check_is_told_once_at_its_place(
    catalog: Catalog, layer: Write
) -> None:
    text = check("lining").replace("class: minor", "class: mnior\n    place: at-{corner}")
    layer("over", repeated(text))
    assert told(catalog, "over") == [
        "over.yaml:14:16: R025 `mnior` is not one of the choices",
        "over.yaml:15:9: R020 `place` is not a key of a check",
    ]


def test_a_place_that_one_value_lacks_is_told_by_its_name(catalog: Catalog, layer: Write) -> None:
    layer(
        "over",
        "places:\n  at-left-front: {x: 0.0, y: -0.7, z: 0.3}\n"
        f"stations:\n  - id: hub\n    for-each: {CORNERS}\n    title: Hub\n"
        f"    place: at-{{corner}}\n    checks:\n{deeper(check('drum'))}",
    )
    assert told(catalog, "over") == ["over.yaml:10:12: R041 there is no place `at-right-rear`"]


def test_all_that_is_wrong_under_a_faulty_for_each_is_told_too(
    catalog: Catalog, layer: Write
) -> None:
    text = check("lining").replace("class: minor", "class: mnior").replace("How", "At {Corner}")
    layer("over", repeated(text, "{corner: [left front]}"))
    assert [line.split()[1] for line in told(catalog, "over")] == ["R027", "R025"]


def test_a_value_is_not_endlessly_long(catalog: Catalog, layer: Write) -> None:
    layer("over", repeated(check("lining"), f"{{corner: [{'a' * 61}]}}"))
    assert told(catalog, "over") == [
        "over.yaml:8:29: R063 a value of `for-each` has at most 60 characters"
    ]


def test_a_product_without_end_is_told_soon(catalog: Catalog, layer: Write) -> None:
    numbers = ", ".join(map(str, range(100)))
    loop = "{" + ", ".join(f"n{name}: [{numbers}]" for name in range(12)) + "}"
    layer("over", repeated(check("lining"), loop))
    assert told(catalog, "over") == [
        "over.yaml:7:9: R066 this makes the route larger than 8 MiB, the most it may hold"
    ]
