"""Stamps: what was read, held against the car, and its weight."""

from __future__ import annotations

import math
import random
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from checkrun.judge.judgement import Car, Judgement, Outcome
from checkrun.judge.kinds import judge, judge_text
from checkrun.judge.weight import decibans
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Mark, MarkField

GEARBOX: dict[str, Any] = {
    "title": "Gearbox stamp",
    "fields": [{"name": "year", "digits": 1}, {"name": "serial", "digits": 5}],
    "agrees-with": {"year": "car.year.last 1", "serial": "serial.last 5"},
    "restamped": "0.02",
    "source": "invented",
}
PLATE: dict[str, Any] = {
    "title": "Plate",
    "fields": [
        {"text": "PL"},
        {"name": "year", "digits": 1},
        {"text": "-"},
        {"name": "serial", "digits": 5},
    ],
    "agrees-with": {"year": "car.year.last 1"},
}
MONTHS = {"A": "January", "B": "February", "C": "March", "D": "April"}
PLOVER = {"year": 1966, "facts": {"serial": "PL6-02417"}}
PARTS = 100_000


def stamp(value: object, mark: Any = GEARBOX, car: Any = PLOVER, **more: Any) -> Judgement:
    return judge({"kind": "stamp", "mark": mark, "car": car, "value": value, **more})


def within(seen: int, share: float) -> bool:
    """Whether a count of `PARTS` is within four standard errors of a share."""
    return abs(seen / PARTS - share) <= 4 * math.sqrt(share * (1 - share) / PARTS)


# -- the weight, from outside ------------------------------------------------------------------


@pytest.mark.parametrize(("ratio", "weight"), [(1, 0), (8, 9.0309), (100, 20), (1e6, 60)])
def test_the_weight_is_ten_times_the_common_logarithm_of_the_ratio(
    ratio: float, weight: float
) -> None:
    # I. J. Good's deciban; 100 = 20, 10^6 = 60: pack E9 (verified); 8 = 9.0309: check-values.csv
    # (computed).
    assert decibans(ratio) == pytest.approx(weight, abs=1e-4)


def test_the_ratio_is_that_of_agreeing_on_purpose_or_by_chance() -> None:
    # The formula of the specification, recomputed by hand: 1 / (0.02 + 0.98 x 10^-6).
    values = stamp("602417").values
    assert values["chance"] == 1e-6
    assert values["weight_decibans"] == pytest.approx(10 * math.log10(1 / (0.02 + 0.98e-6)))


@pytest.mark.parametrize("typed", ["602417", "60????", "6?????", "?0?4??"])
def test_agreeing_is_as_rare_among_random_parts_as_the_weight_says(typed: str) -> None:
    # Outside check: 10^5 random parts that are not the first, 2 % of them restamped to agree.
    draw = random.Random(1966)
    agreeing = 0
    for _ in range(PARTS):
        other = "602417" if draw.random() < 0.02 else f"{draw.randrange(10**6):06d}"
        agreeing += all(a in ("?", b) for a, b in zip(typed, other, strict=True))
    ratio = 10 ** (stamp(typed).values["weight_decibans"] / 10)
    assert within(agreeing, 1 / ratio)


def test_letters_with_a_list_agree_by_chance_as_often_as_the_list_is_short() -> None:
    # Outside check: 10^5 random parts with one of the four months listed, none restamped.
    mark = {
        "fields": [{"name": "month", "letters": 1, "values": MONTHS}],
        "agrees-with": {"month": "month"},
    }
    draw = random.Random(4)
    agreeing = sum(draw.choice("ABCD") == "C" for _ in range(PARTS))
    values = stamp("C", mark, {"facts": {"month": "C"}}).values
    assert values["chance"] == 0.25
    assert within(agreeing, 10 ** (-values["weight_decibans"] / 10))


def test_a_first_part_that_disagrees_is_a_misread_one() -> None:
    # Outside check: 10^5 first parts of which one in 100 is misread (common practice), and 10^5
    # others of which 2 % were restamped; the ratio of those that disagree.
    draw = random.Random(7)
    misread = sum(draw.random() < 0.01 for _ in range(PARTS))
    others = sum(draw.random() >= 0.02 and draw.randrange(10) != 6 for _ in range(PARTS))
    mark = {**GEARBOX, "fields": GEARBOX["fields"][:1]}
    ratio = 10 ** (stamp("5", mark).values["weight_decibans"] / 10)
    assert ratio == pytest.approx(misread / others, rel=4 / math.sqrt(misread))


def test_a_mark_may_say_how_often_a_first_part_agrees() -> None:
    mark = {**GEARBOX, "first": 0.9}
    agrees = 10 ** (stamp("602417", mark).values["weight_decibans"] / 10)
    differs = 10 ** (stamp("602418", mark).values["weight_decibans"] / 10)
    other = 0.02 + 0.98e-6
    assert agrees == pytest.approx(0.9 / other)
    assert differs == pytest.approx(0.1 / (1 - other))


def test_letters_count_a_26th_each() -> None:
    mark = {"fields": [{"name": "tag", "letters": 2}], "agrees-with": {"tag": "tag"}}
    assert stamp("QX", mark, {"facts": {"tag": "QX"}}).values["chance"] == 1 / 26**2


def test_a_range_counts_its_numbers() -> None:
    mark = {
        "fields": [{"name": "day", "digits": 2, "range": "1-31"}],
        "agrees-with": {"day": "day"},
    }
    assert stamp("17", mark, {"facts": {"day": "17"}}).values["chance"] == 1 / 31
    # 10 to 19: ten of the 31 days begin with a 1.
    assert stamp("1?", mark, {"facts": {"day": "17"}}).values["chance"] == 10 / 31


# -- what comes out ----------------------------------------------------------------------------


def test_all_read_and_agreeing_is_a_pass() -> None:
    judgement = stamp("602417")
    assert judgement.outcome is Outcome.PASS
    assert judgement.reasons == (
        "year 6 and serial 02417 agree with the car",
        "one chance in 1,000,000 of agreeing by chance; 2 % of other parts are taken for restamped",
        "this weighs 50 to 1 for a first part (+17.0 decibans)",
    )
    assert judgement.values["fields"] == {"year": "6", "serial": "02417"}
    assert judgement.values["legible"] == 6
    assert judgement.values["agrees"] == "yes"


def test_what_could_be_read_agreeing_is_a_concern() -> None:
    judgement = stamp("6 0?4?7")
    assert judgement.outcome is Outcome.CONCERN
    assert judgement.reasons[0] == (
        "year 6 and serial 0?4?7 agree with the car; 4 of 6 characters were read"
    )
    assert judgement.values["chance"] == 1e-4


def test_one_character_that_disagrees_fails_it() -> None:
    judgement = stamp("6 0241?")
    assert judgement.values["agrees"] == "yes"
    judgement = stamp("6 0251?")
    assert judgement.outcome is Outcome.FAIL
    assert judgement.reasons[0] == "serial reads 0251?, this car's is 02417"
    assert judgement.values["agrees"] == "no"
    assert judgement.values["weight_decibans"] < 0


@pytest.mark.parametrize("typed", ["?", "??????", "? ?????", "?-?-?"])
def test_nothing_legible_weighs_nothing(typed: str) -> None:
    judgement = stamp(typed)
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.values["legible"] == 0
    assert judgement.values["agrees"] == "can't say"
    assert judgement.values["weight_decibans"] == 0
    assert judgement.problems == ()


def test_a_mark_with_nothing_to_agree_with_is_decoded_and_weighs_nothing() -> None:
    mark = {
        "fields": [
            {"text": "E-"},
            {"name": "month", "letters": 1, "values": MONTHS},
            {"name": "day", "digits": 2},
        ]
    }
    judgement = stamp("E-A09", mark)
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.reasons == (
        "month A (January), day 09; this mark has nothing on the car to agree with: weight 0",
    )
    assert judgement.values["weight_decibans"] == 0


def test_what_is_not_known_of_the_car_is_not_compared_and_told() -> None:
    judgement = stamp("602417", car={"year": 1966})
    assert judgement.outcome is Outcome.CONCERN
    assert judgement.reasons[-1] == "serial not compared: nothing is known of `serial`"
    assert judgement.values["chance"] == 0.1
    judgement = stamp("602417", car={})
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.values["agrees"] == "can't say"


def test_unreadable_characters_of_the_answer_are_not_compared_either() -> None:
    judgement = stamp("602417", car={"year": 1966, "facts": {"serial": "PL6-02?17"}})
    assert judgement.values["agrees"] == "yes"
    assert judgement.values["chance"] == 1e-5


def test_an_answer_of_another_length_is_not_compared() -> None:
    mark = {**GEARBOX, "agrees-with": {"serial": "serial"}}
    judgement = stamp("602417", mark)
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.reasons[-1] == (
        "serial not compared: serial has 5 characters, `PL602417` has 8"
    )


@pytest.mark.parametrize("typed", ["PL6-02417", "pl6 02417", "PL602417", "602417", "*PL6-02417*"])
def test_what_stands_between_and_what_never_changes_may_be_left_out(typed: str) -> None:
    judgement = stamp(typed, PLATE)
    assert judgement.outcome is Outcome.PASS
    assert judgement.values["fields"] == {"year": "6", "serial": "02417"}


def test_marks_and_cars_of_a_route_are_taken_as_they_are() -> None:
    mark = Mark(
        "gearbox-stamp",
        "Gearbox stamp",
        fields=(MarkField("year", digits=1), MarkField("serial", digits=5)),
        agrees_with=(("serial", "serial.last 5"), ("year", "car.year.last 1")),
        restamped=Decimal("0.02"),
        source="invented",
    )
    car = Car(year=1966, facts={"serial": "PL6-02417"}, marks={mark.id: mark})
    judgement = judge_text("stamp", {"mark": "gearbox-stamp"}, "6 02417", car)
    assert judgement.outcome is Outcome.PASS
    assert judgement.sources[0] == "invented"


# -- parts of an answer, and the shipped marks -------------------------------------------------

MONTH_AND_DAY: dict[str, Any] = {
    "fields": [
        {"text": "E-"},
        {"name": "month", "letters": 1, "values": MONTHS},
        {"name": "day", "digits": 2, "range": "1-31"},
    ],
    "agrees-with": {"month": "engine.character 2", "day": "engine.characters 3 to 4"},
}


@pytest.mark.parametrize("papers", ["E-A09-RH", "E-A09", "ea 09", "E A09RH"])
def test_characters_of_an_answer_are_counted_without_what_stands_between(papers: str) -> None:
    judgement = stamp("E-A09", MONTH_AND_DAY, {"facts": {"engine": papers}})
    assert judgement.outcome is Outcome.PASS
    assert judgement.reasons[0] == "month A and day 09 agree with the car"


@pytest.mark.parametrize(
    ("wanted", "papers", "why"),
    [
        ("engine.characters 3 to 4", "EA", "`EA` has no characters 3 to 4"),
        ("engine.characters 3 to 4", "E-A0", "`EA0` has no characters 3 to 4"),
        ("engine.character 3", "EA", "`EA` has no character 3"),
        ("engine.last 3", "EA", "`EA` has no 3 characters"),
        ("engine.character 3", "", "nothing is known of `engine`"),
        (
            "engine.characters 4 to 3",
            "E-A09",
            "`characters 4 to 3` runs backwards; write `characters 3 to 4`",
        ),
        (
            "engine.characters 0 to 1",
            "E-A09",
            "`characters 0 to 1` is no part of anything: characters count from 1; "
            "write `characters 1 to 1`",
        ),
        ("engine.characters 2 to 4", "E-A09", "day has 2 characters, `A09` has 3"),
    ],
)
def test_a_part_that_the_answer_does_not_have_is_not_compared_and_told(
    wanted: str, papers: str, why: str
) -> None:
    mark = {**MONTH_AND_DAY, "agrees-with": {"day": wanted}}
    judgement = stamp("E-A09", mark, {"facts": {"engine": papers}})
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.reasons[-1] == f"day not compared: {why}"


SHIPPED = Catalog([Folder(Path(__file__).parents[3] / "checklists", "shipped")])

#: A mark, and the fact of the papers it agrees with.
ENGINE = ("engine-number", "engine-number")
BODY = ("body-tag", "body-number")


def shipped(mark: str, year: int, facts: dict[str, str], typed: str) -> Judgement:
    """A stamp judged by a mark of the shipped route for a model year."""
    route = SHIPPED.for_year("plover", year)
    marks = {mark.id: mark for mark in route.marks}
    return judge_text("stamp", {"mark": mark}, typed, Car(year, facts, marks))


@pytest.mark.parametrize(
    ("mark", "fact", "year", "answer", "says", "one_in"),
    [
        # Months without I are 12, days 31, trims 1,000, states of tune 3, tanks 2.
        (*ENGINE, 1965, "E-A09-RH",
         "month A, day 09 and tune RH agree with the car", 12 * 31 * 3),
        (*ENGINE, 1966, "E-A09-RH",
         "month A, day 09 and tune RH agree with the car", 12 * 31 * 3),
        (*ENGINE, 1964, "E-A09",
         "month A and day 09 agree with the car", 12 * 31),
        (*BODY, 1965, "C14-401",
         "month C, day 14 and trim 401 agree with the car", 12 * 31 * 1000),
        (*BODY, 1966, "C14-401T",
         "month C, day 14, trim 401 and tank T agree with the car", 12 * 31 * 1000 * 2),
    ],
)  # fmt: skip
def test_shipped_marks_of_engine_and_body_agree_in_whole(
    mark: str, fact: str, year: int, answer: str, says: str, one_in: int
) -> None:
    judgement = shipped(mark, year, {fact: answer}, answer)
    assert judgement.outcome is Outcome.PASS
    assert judgement.reasons[0] == says
    assert judgement.values["chance"] == pytest.approx(1 / one_in)


@pytest.mark.parametrize(
    ("mark", "fact", "year", "answer", "typed", "wrong"),
    [
        (*ENGINE, 1966, "E-A09-RH", "E-B09-RH", "month reads B, this car's is A"),
        (*ENGINE, 1966, "E-A09-RH", "E-A19-RH", "day reads 19, this car's is 09"),
        (*ENGINE, 1966, "E-A09-RH", "E-A09-RX", "tune reads RX, this car's is RH"),
        (*ENGINE, 1964, "E-A09", "E-C09", "month reads C, this car's is A"),
        (*ENGINE, 1964, "E-A09", "E-A08", "day reads 08, this car's is 09"),
        (*BODY, 1965, "C14-401", "C15-401", "day reads 15, this car's is 14"),
        (*BODY, 1965, "C14-401", "C14-402", "trim reads 402, this car's is 401"),
        (*BODY, 1966, "C14-401T", "D14-401T", "month reads D, this car's is C"),
        (*BODY, 1966, "C14-401T", "C14-411T", "trim reads 411, this car's is 401"),
        (*BODY, 1966, "C14-401T", "C14-401S", "tank reads S, this car's is T"),
    ],
)  # fmt: skip
def test_each_part_of_a_shipped_mark_is_held_against_the_papers(
    mark: str, fact: str, year: int, answer: str, typed: str, wrong: str
) -> None:
    judgement = shipped(mark, year, {fact: answer}, typed)
    assert judgement.outcome is Outcome.FAIL
    assert judgement.reasons[0] == wrong


# -- facts of the trade: common practice -------------------------------------------------------


def test_a_stamp_of_year_and_serial_says_more_than_a_date_alone() -> None:
    # Common practice.
    casting = judge(
        {
            "kind": "date-code",
            "mark": {"fields": [{"name": "month", "digits": 2}, {"name": "year", "digits": 2}]},
            "built": "1966-03-29",
            "window-days": 180,
            "span": 2190,
            "value": "11 65",
        }
    )
    assert casting.outcome is Outcome.PASS
    assert stamp("602417").values["weight_decibans"] > casting.values["weight_decibans"] > 0


def test_no_stamp_alone_is_proof_since_parts_are_restamped() -> None:
    # Common practice: the more parts are restamped, the less an agreeing stamp says.
    weights = [
        stamp("602417", {**GEARBOX, "restamped": share}).values["weight_decibans"]
        for share in (0, 0.02, 0.5, 1)
    ]
    assert weights == sorted(weights, reverse=True)
    assert weights[0] == pytest.approx(60)
    assert weights[-1] == 0


# -- bad input ---------------------------------------------------------------------------------


def test_look_alikes_are_offered_and_never_swapped() -> None:
    judgement = stamp("6O24I7")
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.values["fields"] == {"year": "6", "serial": "?24?7"}
    assert judgement.values["alternatives"] == ["602417"]
    assert judgement.problems == (
        "`O` at character 2: a figure (serial) is expected there; is it `0`?",
        "`I` at character 5: a figure (serial) is expected there; is it `1`?",
    )


@pytest.mark.parametrize(("typed", "meant"), [("5", "S"), ("8", "B"), ("0", "O"), ("1", "I")])
def test_figures_among_letters_are_offered_as_letters(typed: str, meant: str) -> None:
    mark = {"fields": [{"name": "tag", "letters": 2}]}
    assert stamp(f"A{typed}", mark).values["alternatives"] == [f"A{meant}"]


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ("6024", "4 of 6 characters; type ? for each one that can't be read"),
        ("6024178", "`8` from character 7 on is too much: the mark has 6 characters"),
        ("X02417", "`X` at character 1: a figure (year) is expected there"),
        ("--", "0 of 6 characters; type ? for each one that can't be read"),
        ("", "value: nothing was read yet; type the characters, with ? for what can't be read"),
        (None, "value: nothing was read yet; type the characters, with ? for what can't be read"),
        (6.5, "value: `6.5` came as a number; put it in quotes"),
        (
            ["6"],
            "value: one text is expected (the characters, with ? for what can't be read), "
            "not a list",
        ),
    ],
)
def test_what_does_not_fit_the_mark_is_told_in_one_line(typed: object, problem: str) -> None:
    judgement = stamp(typed)
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.problems == (problem,)


def test_a_value_the_mark_does_not_list_is_told() -> None:
    mark = {"fields": [{"name": "month", "letters": 1, "values": MONTHS}]}
    assert stamp("Z", mark).problems == ("`Z` is no month of this mark: A, B, C, D",)


@pytest.mark.parametrize(
    ("mark", "problem"),
    [
        ("nope", "mark: there is no mark `nope`; write its `fields` out here"),
        (None, "mark: the id of a mark of the route is expected, or its fields"),
        ({}, "mark: fields: a list of {text}, {name, digits} or {name, letters}"),
        (
            {"fields": [{"digits": 1, "letters": 1}]},
            "mark: field 1: just one of `text`, `digits`, `letters` is expected",
        ),
        ({"fields": [{"digits": "99"}]}, "mark: field 1: digits: how many, 1 to 20, is expected"),
        (
            {**GEARBOX, "restamped": 2},
            "mark: restamped: `2` is no share; write a number from 0 to 1",
        ),
        (
            {**GEARBOX, "restamped": "nan"},
            "mark: restamped: `nan` is no share; write a number from 0 to 1",
        ),
        (
            {**GEARBOX, "first": 0},
            "first: 0 would say that no first part ever agrees; write it above 0",
        ),
    ],
)
def test_a_mark_that_cannot_be_used_is_told(mark: Any, problem: str) -> None:
    assert stamp("602417", mark).problems == (problem,)


def test_a_car_that_is_no_car_is_told() -> None:
    assert stamp("602417", car="PL6").problems == (
        "car: `year: 1966` and `facts: {name: answer}` are expected",
    )
    assert stamp("602417", car={"year": "66"}).problems == (
        "car: year: `66` is no year; write four figures, such as 1966",
    )
