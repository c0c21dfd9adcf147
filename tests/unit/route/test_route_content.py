"""Warnings of what a mechanic could make nothing of, each both told and not told."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from checkrun.route.catalog import Catalog, Folder
from checkrun.route.rules_content import CODES
from checkrun.route.wording import no_source, only_looks, says_nothing, too_short

CHECKLISTS = Path(__file__).parents[3] / "checklists"

Told = list[tuple[int, str, str]]
Change = Callable[..., Told]


@pytest.fixture
def change(tmp_path: Path, sound: str) -> Change:
    """The sound route with some of its text replaced, and what is told of it then."""

    def told(*swaps: tuple[str, str]) -> Told:
        text = sound
        for old, new in swaps:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        (tmp_path / "sound.yaml").write_text(text, encoding="utf-8")
        catalog = Catalog([Folder(tmp_path, "yours")])
        problems = catalog.lint("sound", content=True)
        assert all(problem.warning and problem.code in CODES for problem in problems)
        assert catalog.load("sound").id == "sound", "a warning keeps no route from being walked"
        return [(problem.line, problem.code, problem.message) for problem in problems]

    return told


HOW = "how: Run the feeler stack down both sides."
FAIL = "fail: The edges touch."


def test_the_sound_route_has_nothing_of_the_kind(change: Change) -> None:
    assert change() == []


@pytest.mark.parametrize(
    ("how", "code", "message"),
    [
        ("Look well.", "R070", "`Look well.` does not say how to look"),
        ("gap down, each side of the BONNET!", "R070", "`how` only repeats `ask`"),
        ("Inspect the bonnet.", "R071", "`Inspect the bonnet.` could be said of anything"),
    ],
)
def test_a_how_that_says_nothing_is_told(change: Change, how: str, code: str, message: str) -> None:
    assert change((HOW, f"how: {how}")) == [(27, code, message)]


@pytest.mark.parametrize(
    "text",
    [
        "Inspect the brake hoses.",
        "Check brake hoses for damage",
        "Check all lamps",
        "Visually inspect the wing for any signs of damage or wear.",
        "Look at the tyre",
        "look over the hood for faults",
        "Verify proper operation of horn",
        "Examine.",
    ],
)
def test_a_text_that_only_says_to_look_is_vague(text: str) -> None:
    assert only_looks(text)


@pytest.mark.parametrize(
    "text",
    [
        "Check the level on the stick, engine cold.",
        "Look along the sill with the torch flat.",
        "Look for oil behind the hub.",
        "Check for a step in the seam",
        "Inspect the hoses with a mirror",
        "Gap down each side of the bonnet",
        "Press it with a thumb all the way round.",
        "Check twelve bolts one by one, a quarter turn each",
        "",
        "检查制动软管是否有裂纹",
    ],
)
def test_a_text_that_says_how_or_where_is_not(text: str) -> None:
    assert not only_looks(text)


@pytest.mark.parametrize(
    ("text", "short"),
    [
        ("Look.", True),
        ("Look at it", True),
        ("Press with a thumb.", False),
        ("看", True),
        ("用手电筒从侧面照看", False),
        ("- - - -", True),
    ],
)
def test_a_how_of_fewer_than_four_words_is_too_short_in_any_script(text: str, short: bool) -> None:
    assert too_short(text) is short


@pytest.mark.parametrize(
    "text",
    ["OK", "In good condition.", "No damage", "Looks fine", "not ok!", "Worn", "Slightly damaged"],
)
def test_a_result_of_judging_words_only_says_nothing(text: str) -> None:
    assert says_nothing(text)


@pytest.mark.parametrize(
    "text", ["Torn or missing.", "Soft, no gap.", "No", "no oil", "Good thread", "", "3 mm", "正常"]
)
def test_a_result_with_a_word_of_its_own_does(text: str) -> None:
    assert not says_nothing(text)


def test_a_vague_result_and_two_that_are_alike_are_told(change: Change) -> None:
    assert change((FAIL, "fail: Bad")) == [(30, "R071", "`Bad` could be said of anything")]
    assert change((FAIL, "fail: even, to a MILLIMETRE")) == [
        (30, "R071", "`fail` reads just as `pass` does")
    ]


@pytest.mark.parametrize("text", ["TBD", "internet", "none", "n/a", "?", "- -"])
def test_a_source_that_names_nothing_is_told(change: Change, text: str) -> None:
    assert no_source(text)
    old = "    fields: [{text: PL}, {name: serial, digits: 5}]\n    source: common practice"
    assert change((old, old.replace("common practice", f'"{text}"'))) == [
        (15, "R072", f"`{text}` names no source")
    ]


@pytest.mark.parametrize("text", ["common practice", "49 CFR 570.7(a)", "handbook, page 12"])
def test_a_source_that_can_be_looked_up_is_not(text: str) -> None:
    assert not no_source(text)


READING = "        minutes: 1\n"


@pytest.mark.parametrize(
    "reading",
    [
        "{kind: measure, limit: 3}",
        "{kind: measure, pass: {at-most: 1}, fail: {above: 3 mm}}",
        "{kind: gaps, side-difference: 1.2, taper: 1.5}",
        "{kind: film, thin-below: 70}",
        "{kind: camber-caster, caster: {at-least: 2, at-most: 4}}",
        "{kind: tread, least: -1.6}",
    ],
)
def test_a_limit_without_a_unit_is_told_once_a_reading(change: Change, reading: str) -> None:
    (told,) = change((READING, f"{READING}        reading: {reading}\n"))
    assert told[:2] == (34, "R073")


@pytest.mark.parametrize(
    "reading",
    [
        "{kind: measure, unit: mm, limit: 3}",
        "{kind: measure, limit: 3 mm}",
        "{kind: measure, limit: 3/32 in}",
        '{kind: measure, limit: 0.1"}',
        "{kind: tread, limit: us-in-use/tread-depth}",
        "{kind: wall, gauge: 11, limit-percent: 20, pass: {at-most: 10}}",
        "{kind: cylinders, pass: {at-least: 85}}",
        "{kind: yes-no, choices: {yes: pass, no: fail}}",
        "{kind: measure}",
    ],
)
def test_a_limit_with_one_or_in_percent_is_not(change: Change, reading: str) -> None:
    assert change((READING, f"{READING}        reading: {reading}\n")) == []


NEEDS = "needs: {car: down, engine: cold}"
TAIL = "    after: nose\n"
NOSE_AT = "nose: {x: -0.72, y: 0.0, z: 0.6}"


@pytest.mark.parametrize(
    ("swap", "line", "why"),
    [
        (
            (NEEDS, "needs: {car: down, wheels: off}"),
            23,
            "the wheels can't be off while the car is down",
        ),
        ((NOSE_AT, "nose: {x: -0.72, y: 0.0, z: -0.1}"), 22, "-0.1 m is below the ground"),
        (
            (NOSE_AT, "nose: {x: -0.72, y: 0.0, z: 2.3}"),
            22,
            "2.3 m is higher than a person reaches",
        ),
        (
            (NOSE_AT, "nose: {x: 0.1, y: 0.1, z: 0.6}"),
            22,
            "it lies under the bonnet, which is shut",
        ),
    ],
)
def test_a_station_nobody_can_reach_is_told_with_the_reason(
    change: Change, swap: tuple[str, str], line: int, why: str
) -> None:
    assert change(swap) == [(line, "R074", f"nobody can reach this station: {why}")]


def test_what_lies_in_the_shut_boot_or_high_on_a_raised_car_is_told(change: Change) -> None:
    place = "tail: {x: 3.38, y: 0.0, z: 0.6}"
    assert change((place, "tail: {x: 2.75, y: 0.0, z: 0.8}"), (NEEDS, "needs: {boot: open}")) == []
    wide = ("length: 4.1, width: 1.68", "length: 4.6, width: 1.68")
    assert change((place, "tail: {x: 2.98, y: 0.0, z: 0.8}"), wide) == [
        (39, "R074", "nobody can reach this station: it lies in the boot, which is shut")
    ]
    raised = (TAIL, f"{TAIL}    needs: {{car: raised}}\n")
    assert change((place, "tail: {x: 3.1, y: 0.0, z: 0.8}"), raised) == [
        (41, "R074", "nobody can reach this station: it is 0.8 m up on a car that is raised")
    ]
    assert change((place, "tail: {x: 3.1, y: 0.0, z: 0.4}"), raised) == []


def test_an_engine_that_has_run_is_not_cold_again(change: Change) -> None:
    cold = (TAIL, f"{TAIL}    needs: {{engine: cold}}\n")
    assert change((NEEDS, "needs: {engine: running}"), cold) == [
        (
            41,
            "R074",
            "nobody can reach this station: the engine has run at `nose` before, and is not cold "
            "again in this walk",
        )
    ]
    assert change(cold) == []


@pytest.mark.parametrize(
    ("needs", "place"),
    [
        ("{car: raised, wheels: off}", NOSE_AT),
        ("{wheels: off}", NOSE_AT),  # the program raises the car before the wheels come off
        ("{bonnet: open}", "nose: {x: 0.1, y: 0.1, z: 0.9}"),
        ("{car: raised}", "nose: {x: 0.1, y: 0.1, z: 0.3}"),
        ("{car: down}", "nose: {x: 1.2, y: 0.1, z: 0.6}"),  # the seats
        ("{car: down}", "nose: {x: -0.3, y: 0.0, z: 0.6}"),  # an arm reaches in
        ("{engine: running}", "nose: {x: 3.5, y: 0.4, z: 0.3}"),
    ],
)
def test_a_station_one_can_reach_is_not_told(change: Change, needs: str, place: str) -> None:
    assert change((NEEDS, f"needs: {needs}"), (NOSE_AT, place)) == []


def test_marks_places_and_years_that_are_for_nothing_are_told(change: Change) -> None:
    assert change(
        ("ask: Serial on the plate, mark: chassis-serial", "ask: Serial on the plate")
    ) == [(12, "R077", "no check or fact reads the mark `chassis-serial`")]
    assert change((NOSE_AT, f"{NOSE_AT}\n  roof: {{x: 1, y: 0, z: 1.2}}")) == [
        (18, "R078", "no station is at the place `roof`")
    ]
    assert change((READING, f"{READING}        only: {{years: 1976-1980}}\n")) == [
        (34, "R081", "no car of this route is of 1976-1980")
    ]
    assert change((READING, f"{READING}        only: {{years: 1975-1980}}\n")) == []


def test_what_a_layer_leaves_alone_was_right_where_it_was_written(
    catalog: Catalog, layer: Callable[[str, str], Path]
) -> None:
    layer("fewer", "drop: [tail, serial]\ncar: {years: 1960}\n")
    assert catalog.lint("fewer", content=True) == []
    layer("more", "places: {roof: {x: 1, y: 0, z: 1.2}}\n")
    assert [problem.code for problem in catalog.lint("more", content=True)] == ["R078"]


def test_a_limit_that_a_layer_changes_wants_a_source_there(
    catalog: Catalog, layer: Callable[[str, str], Path], folder: Path, sound: str
) -> None:
    reading = "        reading: {kind: measure, unit: mm, limit: 3}\n"
    (folder / "sound.yaml").write_text(sound.replace(READING, READING + reading), "utf-8")
    head = "stations:\n  - id: nose\n    checks:\n      - id: bonnet-gaps\n"
    layer("over", f"{head}        reading: {{limit: 4}}\n")
    (told,) = catalog.lint("over", content=True)
    assert (told.line, told.code) == (8, "R072")
    assert told.message.startswith("the limit 4 is new here, and its source is that of the old one")
    layer(
        "over", f"{head}        reading: {{limit: 4}}\n        source: our own measuring, 12 cars\n"
    )
    assert catalog.lint("over", content=True) == []
    layer("over", f"{head}        reading: {{tool: rule}}\n")
    assert catalog.lint("over", content=True) == []


def stations(order: str, places: list[tuple[float, float]]) -> str:
    """A route of bare stations in an order."""
    check = (
        "ask: Sound of the panel\n        how: Knock with a knuckle along it.\n"
        "        pass: Dull.\n        concern: Another note.\n        fail: Hollow.\n"
        "        class: minor\n        group: body\n        source: common practice\n"
    )
    lines = [
        f"format: 1\nid: made\ntitle: Made\norder: {order}\ncar:\n  years: 1966\n"
        "  outline: {length: 4.1, width: 1.68, wheelbase: 2.45, front-overhang: 0.72}\nplaces:\n"
    ]
    lines += [f"  p{n}: {{x: {x}, y: {y}, z: 0.6}}\n" for n, (x, y) in enumerate(places)]
    lines.append("stations:\n")
    for n in range(len(places)):
        lines.append(f"  - id: s{n}\n    title: S\n    place: p{n}\n    checks:\n")
        lines.append(f"      - id: c{n}\n        {check}")
    return "".join(lines)


#: From one end to the other and back, five ways of 4.3 m where 4.7 m would do.
ENDS = [(-0.8, 0.0), (3.46, 0.0), (-0.8, 0.1), (3.46, 0.1), (-0.8, 0.2), (3.46, 0.2)]
ROUND = [(-0.8, 0.0), (0.0, -0.95), (2.45, -0.95), (3.46, 0.0), (2.45, 0.95), (0.0, 0.95)]


@pytest.mark.parametrize(
    ("order", "places", "told"),
    [
        ("as-written", ROUND, []),
        ("as-written", [*ROUND[3:], *ROUND[:3]], []),
        ("as-written", ROUND[::-1], []),
        ("by-position", ENDS, []),
        ("as-written", ENDS, ["R080"]),
    ],
)
def test_an_order_that_walks_the_car_twice_is_told(
    tmp_path: Path, order: str, places: list[tuple[float, float]], told: list[str]
) -> None:
    path = tmp_path / "made.yaml"
    path.write_text(stations(order, places), "utf-8")
    assert [problem.code for problem in Catalog([]).lint(str(path), content=True)] == told


def test_no_shipped_route_has_anything_of_the_kind() -> None:
    shipped = Catalog([Folder(CHECKLISTS, "shipped")])
    found = [p for route in shipped.all() for p in shipped.lint(route.id, content=True)]
    assert [str(problem) for problem in found] == []
