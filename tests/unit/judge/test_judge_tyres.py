"""Tyres: age by the code, and size."""

from __future__ import annotations

import calendar
import math
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest

from checkrun import tables
from checkrun.judge.judgement import Car, Judgement, Outcome
from checkrun.judge.kinds import judge, judge_text
from checkrun.judge.tyreage import week_start

ON = date(2026, 3, 14)


def age(value: object, on: str = "2026-03-14") -> Judgement:
    return judge({"kind": "tyre-age", "value": value, "on": on})


def size(value: object, fitted: object = None) -> Judgement:
    fields = {"kind": "tyre-size", "value": value, "fitted": fitted}
    return judge({name: given for name, given in fields.items() if given is not None})


# -- age, from outside -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "week", "years"),
    [
        # Pack, tyres.md and check-values.csv: 49 CFR 574.5 by owner handbooks (verified), the
        # decades computed from the rule's first day, 22 May 1971 (verified).
        ("0301", 3, [2001]),
        ("2501", 25, [2001]),
        ("031", 3, [1981, 1991]),
        ("317", 31, [1977, 1987, 1997]),
    ],
)
def test_published_codes(typed: str, week: int, years: list[int]) -> None:
    values = age(typed).values
    assert values["week"] == week
    assert values["years"] == years
    assert values["year"] == (years[0] if len(years) == 1 else None)
    assert values["decade_known"] is (len(years) == 1)


@pytest.mark.parametrize(("typed", "week"), [("5499", "54"), ("0000", "00")])
def test_published_codes_that_are_none(typed: str, week: str) -> None:
    # Pack, tyres.md: week 54 and week 0 are invalid (computed).
    judgement = age(typed)
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.problems == (f"value: there is no week {week}; weeks run from 01 to 53",)


def test_week_one_is_the_first_full_week() -> None:
    # Outside check: the standard library's calendar with weeks from Sunday to Saturday; the first
    # row without a day of the old year. 49 CFR 574.5 (pack T5, verified).
    month = calendar.Calendar(calendar.SUNDAY)
    for year in range(1971, 2027):
        rows = month.monthdatescalendar(year, 1)
        assert week_start(year, 1) == next(row for row in rows if row[0].year == year)[0]
        assert week_start(year, 31) == week_start(year, 1) + timedelta(weeks=30)


def test_the_age_is_counted_from_that_week() -> None:
    values = age("3122").values
    assert week_start(2022, 31) == date(2022, 7, 31)
    assert values["age_years"] == round((ON - date(2022, 7, 31)).days / 365.25, 2)


# -- age, what comes out -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "outcome"),
    [
        ("3122", Outcome.PASS),
        ("1220", Outcome.PASS),
        ("0120", Outcome.CONCERN),
        ("1216", Outcome.CONCERN),
        ("0116", Outcome.FAIL),
        ("317", Outcome.FAIL),
    ],
)
def test_six_and_ten_years_are_the_bounds(typed: str, outcome: Outcome) -> None:
    # Common practice, as the shipped routes have it.
    assert age(typed).outcome is outcome


@pytest.mark.parametrize(
    "typed", ["DOT U2LL LMLR 3122", "U2LLLMLR3122", "u2ll lmlr 3122", "31 22", "31/22", 3122]
)
def test_the_whole_code_or_its_end_may_be_typed(typed: object) -> None:
    values = age(typed).values
    assert (values["week"], values["year"]) == (31, 2022)


def test_three_figures_leave_the_decade_open_and_are_too_old_all_the_same() -> None:
    judgement = age("DOT U2LL LMLR 317")
    assert judgement.outcome is Outcome.FAIL
    assert judgement.reasons == (
        "made in week 31 of 1977, 1987 or 1997: at least 28.6 years old on 2026-03-14, at most "
        "48.6",
        "three figures do not tell the decade; four came with 2000",
    )
    assert judgement.values["age_years"] == 28.61


def test_three_figures_end_in_the_middle_of_2000() -> None:
    # Pack T6, verified: four figures from July 2000.
    assert age("100").values["years"] == [1980, 1990, 2000]
    assert age("400").values["years"] == [1980, 1990]


def test_a_triangle_stands_for_the_nineties() -> None:
    # Trade practice, from memory (pack T8).
    judgement = age("317<")
    assert judgement.values["year"] == 1997
    assert judgement.reasons[1] == (
        "the triangle behind three figures stands for the 1990s (from memory)"
    )


def test_a_figure_that_cannot_be_read_leaves_what_it_leaves() -> None:
    judgement = age("3?22")
    assert judgement.outcome is Outcome.PASS
    assert judgement.values["week"] is None
    assert judgement.values["year"] == 2022
    judgement = age("31?2")
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.values["years"] == [2002, 2012, 2022]
    assert judgement.values["decade_known"] is False
    assert age("1?15").outcome is Outcome.FAIL


def test_the_day_of_the_walk_is_taken_where_none_is_given() -> None:
    judgement = judge_text("tyre-age", {}, "3122", Car(today=ON))
    assert judgement.values["age_years"] == 3.62
    assert judge({"kind": "tyre-age", "value": "3122"}).problems == (
        "on: the day it is judged on is not known; write it as 2026-03-14",
    )


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ("0232", "value: week 02 of 2032 has not come yet on 2026-03-14"),
        ("12", "value: `12` does not end in three or four figures: week and year"),
        ("DOT U2LL", "value: `DOT U2LL` does not end in three or four figures: week and year"),
        ("<", "value: `<` does not end in three or four figures: week and year"),
        ("LMLR13122", "value: `LMLR13122`: put a blank before the last three or four figures"),
        ("3I22", "`3I22`: letters among the last figures; is it `3122`?"),
        (
            "",
            "value: nothing was read yet; type the code of the tyre, or its last three or four "
            "figures",
        ),
    ],
)
def test_what_is_no_code_is_told(typed: str, problem: str) -> None:
    judgement = age(typed)
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.problems == (problem,)


def test_a_look_alike_in_the_code_is_offered() -> None:
    assert age("31Z2").problems != ()
    assert age("B122").values["alternatives"] == ["8122"]


def test_several_codes_are_judged_each_and_the_gravest_counts() -> None:
    judgement = age("3122 and 0914")
    assert judgement.outcome is Outcome.FAIL
    assert judgement.reasons == (
        "0914: made in week 9 of 2014: 12.0 years old on 2026-03-14",
        "3122: made in week 31 of 2022: 3.6 years old on 2026-03-14",
    )
    assert judgement.values["year"] == 2014
    assert [values["year"] for values in judgement.values["each"]] == [2014, 2022]
    assert age("3122; what").outcome is Outcome.UNDECIDED


@pytest.mark.parametrize("on", ["14/3/26", "2026", "tomorrow", "2026-02-30"])
def test_a_day_that_is_none_is_told(on: str) -> None:
    assert age("3122", on).problems == (f"on: `{on}` is no day; write it as 1966-02-17",)


# -- size, from outside ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "diameter"),
    [
        # Pack, tyres.md: the first verified (a printed table), the others computed.
        ("245/55-18", 726.70),
        ("205/55-16", 631.90),
        ("185/70-14", 614.60),
        ("165/80-15", 645.00),
    ],
)
def test_published_diameters(typed: str, diameter: float) -> None:
    values = size(typed).values
    assert values["diameter"] == pytest.approx(diameter, abs=0.01)
    assert values["circumference"] == pytest.approx(math.pi * diameter, abs=0.06)


@pytest.mark.parametrize(("index", "kg"), [("91", 615), ("62", 265), ("0", 45), ("80", 450)])
def test_published_loads(index: str, kg: float) -> None:
    # Pack, check-values.csv and tyres.md (verified): 62 is 265 kg and not 165.
    assert size(f"165/80 R 15 {index}T").values["load_kg"] == kg


def test_the_load_table_has_no_slip() -> None:
    # Pack T19 (computed): rising, within 2 % of 45 x 10^(index / 80), ten times after 80 but for
    # 35 and 37, which are printed without their half kilogram.
    loads = {int(row["load_index"]): Decimal(row["kg"]) for row in tables.rows("load-index")}
    rising = [loads[index] for index in sorted(loads)]
    assert all(low < high for low, high in pairwise(rising))
    for index, kg in loads.items():
        assert float(kg) == pytest.approx(45 * 10 ** (index / 80), rel=0.02)
    rounded = [index for index in range(51) if loads[index + 80] != 10 * loads[index]]
    assert rounded == [35, 37]
    assert all(abs(loads[index + 80] / 10 - loads[index]) <= Decimal("0.5") for index in rounded)


@pytest.mark.parametrize(
    ("symbol", "kmh"), [("S", 180), ("T", 190), ("U", 200), ("H", 210), ("V", 240), ("W", 270)]
)
def test_published_speeds(symbol: str, kmh: int) -> None:
    # Pack, speed-symbols.csv (verified); H ranks above U.
    assert size(f"165/80 R 15 87{symbol}").values["speed_kmh"] == kmh


# -- size, what comes out ----------------------------------------------------------------------


@pytest.mark.parametrize(
    "typed", ["165/80 R 15 87H", "165/80R15 87H", "165/80 r15 (87 h)", "165/80 R 15 87H TL XL"]
)
def test_a_size_is_read_as_people_type_it(typed: str) -> None:
    values = size(typed).values
    assert values["width"] == 165
    assert values["ratio"] == 80
    assert values["rim"] == 15
    assert values["construction"] == "radial"
    assert values["load_kg"] == 545
    assert values["speed_kmh"] == 210


def test_a_size_without_a_ratio_is_nominally_82_percent() -> None:
    # Pack T15, verified; treated as one of 80 %.
    judgement = size("165 R 15", "165/80 R 15")
    assert judgement.values["ratio"] == 82
    assert judgement.outcome is Outcome.PASS
    assert "a size without a ratio is nominally 82 %: UK MOT manual 5.2.3 (verified)" in (
        judgement.sources
    )


@pytest.mark.parametrize("typed", ["5.90-15", "5,90-15", "5.90 - 15 4PR"])
def test_an_inch_size_gives_a_range(typed: str) -> None:
    # 381 mm of rim and twice 149.86 mm at 82 and at 95 % (pack T16, from memory).
    values = size(typed).values
    assert values["width"] == 149.86
    assert values["diameter"] is None
    assert values["diameter_range"] == pytest.approx([626.77, 665.73], abs=0.01)


def test_a_letter_size_tells_no_width() -> None:
    judgement = size("FR70-14")
    assert judgement.values["width"] is None
    assert judgement.values["construction"] == "radial"
    assert judgement.reasons[-1] == "radial, letter F tells the load, not the width"


def test_a_speed_before_the_r_is_an_open_one() -> None:
    assert size("185/70 HR 15").values["speed_kmh"] == 210
    judgement = size("185/70 VR 15")
    assert judgement.values["speed_kmh"] is None
    assert judgement.reasons[-1].endswith("VR: the speed is an open one, ask the maker")
    assert size("185/70 VR 15 88V").values["speed_kmh"] == 240


@pytest.mark.parametrize(
    ("typed", "outcome", "reason"),
    [
        ("165/80 R 15 87H", Outcome.PASS, "the size that belongs there"),
        ("175/80 R 15 90H", Outcome.CONCERN, "another size, 2.5 % larger round: within 3 %"),
        ("195/80 R 15 94H", Outcome.FAIL, "another size, 7.4 % larger round: more than 3 %"),
        ("145/80 R 15 78H", Outcome.FAIL, "another size, 5.0 % smaller round: more than 3 %"),
        ("165/80 R 15 80H", Outcome.FAIL, "carries 450 kg, 545 kg belong there"),
        ("165/80 R 15 87S", Outcome.CONCERN, "good for 180 km/h, 210 km/h belong there"),
        ("165/80 D 15 87H", Outcome.CONCERN, "cross-ply where radial belongs"),
    ],
)
def test_a_size_beside_the_one_that_belongs_there(
    typed: str, outcome: Outcome, reason: str
) -> None:
    # The bounds are common practice.
    judgement = size(typed, "165/80 R 15 87H")
    assert judgement.outcome is outcome
    assert judgement.reasons[0] == reason


def test_the_difference_is_that_of_the_diameters() -> None:
    values = size("175/80 R 15", "165/80 R 15").values
    assert values["difference_percent"] == pytest.approx(100 * (661 / 645 - 1), abs=0.001)
    by_its_other_name = judge(
        {"kind": "tyre-size", "value": "175/80 R 15", "specified": "165/80 R 15"}
    )
    assert by_its_other_name.values == values


def test_the_size_that_belongs_there_may_be_a_fact_of_the_car() -> None:
    spec = {"kind": "tyre-size", "fitted": "placard-size", "value": "205/55 R 16 87V"}
    asked = Car(facts={"placard-size": "205/55 R 16 91V"})
    judgement = judge(spec, asked)
    assert judgement.outcome is Outcome.FAIL
    # Load indexes 87 and 91: 545 and 615 kg, as in the table above.
    assert judgement.reasons[0] == "carries 545 kg, 615 kg belong there"
    assert judge(spec | {"value": "205/55 R 16 91V"}, asked).outcome is Outcome.PASS
    assert judge(spec | {"fitted": "car.facts.placard-size"}, asked).outcome is Outcome.FAIL
    for nobody_asked in (Car(), Car(facts={"placard-size": " "})):
        assert judge(spec, nobody_asked).outcome is Outcome.UNDECIDED
    wrong = judge(spec, Car(facts={"placard-size": "all round"}))
    assert "placard-size" in wrong.problems[0]


def test_a_radial_beside_an_inch_size_gives_a_range() -> None:
    judgement = size("165/80 R 15 87H", "5.90-15")
    assert judgement.outcome is Outcome.CONCERN
    assert judgement.values["difference_percent"] is None
    assert judgement.reasons[:2] == (
        "radial where cross-ply belongs",
        "another size, -3.1 to +2.9 % round",
    )


def test_tyres_of_an_axle_must_be_alike() -> None:
    # RCW 46.37.425(7), verified; 49 CFR 570.9(b), from memory.
    judgement = size("165/80 R 15 87H; 165/80-15")
    assert judgement.outcome is Outcome.FAIL
    assert judgement.reasons[0] == "the tyres differ in make-up"
    assert size(["165/80 R 15", "175/80 R 15"]).reasons[0] == "the tyres differ in size"
    alike = size("165/80 R 15 87H; 165/80R15 87H", "165/80 R 15 87H")
    assert alike.outcome is Outcome.PASS
    assert "two tyres of one size and make-up" in alike.reasons


@pytest.mark.parametrize(
    "typed",
    ["5.90-15 both sides", "5.90-15, both", "left 5.90-15, right 5.90-15", "5.90-15 and 5.90-15"],
)
def test_both_tyres_of_an_axle_may_be_told_in_one_line(typed: str) -> None:
    judgement = size(typed)
    assert judgement.problems == ()
    assert judgement.reasons[0] == "two tyres of one size and make-up"
    assert judgement.values["rim"] == 15


def test_without_a_size_that_belongs_there_nothing_is_judged() -> None:
    judgement = size("165/80 R 15 87H")
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.reasons == (
        "no size is given that belongs there, so say yourself",
        "radial, 645 mm across, 2026 mm round, 545 kg, 210 km/h",
    )


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ("165/8O R 15", "value: `165/8O R 15` is no tyre size; is it `165/80 R 15`?"),
        ("round", "value: `round` is no tyre size; write it as 165/80 R 15 87H or 5.90-15"),
        ("165/80R99", "value: `165/80R99`: a rim of 99 in is not possible (8 to 30)"),
        ("165/00R15", "value: `165/00R15`: a ratio of 0 % is not possible (20 to 110)"),
        ("000/80R15", "value: `000/80R15`: a width of 0 mm is not possible (60 to 500)"),
        ("165/80R15 140H", "value: load index 140 is not in the table, which ends at 130"),
        (
            "165/80R15 87I",
            "value: `87I` after the rim is no load index with its speed letter, such as 87H",
        ),
        ("", "value: nothing was read yet; type the size as marked, such as 165/80 R 15 87H"),
        ([], "value: one size, or those of an axle, is expected"),
    ],
)
def test_what_is_no_size_is_told(typed: object, problem: str) -> None:
    judgement = size(typed)
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.problems == (problem,)


def test_a_size_that_belongs_there_and_is_none_is_told() -> None:
    assert size("165/80 R 15", "any").problems == (
        "fitted: `any` is no tyre size; write it as 165/80 R 15 87H or 5.90-15",
    )
