"""Vehicle identification numbers: check digit, model year, and what does not fit."""

from __future__ import annotations

import random
from datetime import date

import pytest
from vininfo import Vin

from checkrun.judge.judgement import Car, Judgement, Outcome
from checkrun.judge.kinds import judge
from checkrun.judge.vin import check_digit, model_years

TODAY = Car(today=date(2026, 3, 14))
#: What the tenth place can hold. Source: 49 CFR 565.15 Table VII (vin-model-year.csv, verified).
YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
ALPHABET = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"


def vin(value: object, car: Car = TODAY, **more: object) -> Judgement:
    return judge({"kind": "vin", "value": value, **more}, car)


def invented(seed: int) -> str:
    """A number of random characters that stands for no car."""
    draw = random.Random(seed)
    chars = [draw.choice(ALPHABET) for _ in range(17)]
    chars[8], chars[9] = draw.choice("0123456789X"), draw.choice(YEAR_CODES)
    return "".join(chars)


# -- from outside ------------------------------------------------------------------------------


def test_the_worked_example_of_the_regulation() -> None:
    # 49 CFR 565 Table V, the regulation's own sample (pack, check-values.csv, verified).
    judgement = vin("1G4AH59H45G118341")
    assert judgement.outcome is Outcome.PASS
    assert judgement.values["check_digit"] == judgement.values["expected_check_digit"] == "4"
    assert judgement.values["valid"] is True
    assert judgement.values["model_years"] == [2005]
    assert judgement.values["problems"] == []
    assert judgement.sources == ("49 CFR 565.15 (verified)",)


@pytest.mark.parametrize(
    ("number", "digit", "valid"),
    [
        # Pack, vehicle-identification.md, worked examples: the first four verified, the last
        # computed.
        ("1M8GDM9AXKP042788", "X", True),
        ("11111111111111111", "1", True),
        ("1G4AH59H45G118341", "4", True),
        ("LJCPCBLCX11000237", "X", True),
        ("1G4AH59H55G118341", "4", False),
    ],
)
def test_published_examples(number: str, digit: str, valid: bool) -> None:
    values = vin(number).values
    assert values["expected_check_digit"] == digit
    assert values["valid"] is valid


def test_a_general_purpose_library_finds_the_same_numbers_valid() -> None:
    # Outside check: vininfo, a general-purpose VIN library of the registry; invented numbers.
    numbers = [invented(seed) for seed in range(200)]
    fitted = [number[:8] + check_digit(number) + number[9:] for number in numbers]
    for number in [*numbers, *fitted]:
        theirs = Vin(number)
        if getattr(theirs.assembler, "uses_sae_checkdigit", True):
            assert theirs.verify_checksum(check_year=False) is vin(number).values["valid"]
    assert all(vin(number).values["valid"] for number in fitted)
    assert not all(vin(number).values["valid"] for number in numbers)


def test_a_general_purpose_library_reads_the_same_model_years() -> None:
    # Outside check: vininfo gives the years a code can mean, as far as today.
    for at, year_code in enumerate(YEAR_CODES):
        number = invented(at)[:9] + year_code + invented(at)[10:]
        ours = [year for year in model_years(number) if year <= date.today().year + 1]  # noqa: DTZ011
        assert sorted(set(Vin(number).years) & set(model_years(number))) == ours


def test_the_seventh_place_tells_the_cycle() -> None:
    # Pack, check-values.csv (verified): a digit there and code 5 is 2005, a letter and code H 2017.
    assert vin("1G4AH59H45G118341").values["model_years"] == [2005]
    number = "1ZZZZZZZ0HZ000000"
    assert vin(number).values["model_years"] == [2017]


# -- what comes out ----------------------------------------------------------------------------


def test_a_wrong_check_digit_fails_what_was_built_in_north_america() -> None:
    judgement = vin("1G4AH59H55G118341")
    assert judgement.outcome is Outcome.FAIL
    assert judgement.reasons[0] == "the check digit is 5, 4 would fit"
    assert judgement.values["problems"] == ["the check digit is 5, 4 would fit"]


def test_a_wrong_check_digit_is_no_proof_elsewhere() -> None:
    # Pack V12, verified: not compulsory outside North America.
    judgement = vin("WG4AH59H55G118341")
    assert judgement.outcome is Outcome.CONCERN
    assert judgement.reasons[:2] == (
        "the check digit is 5, 0 would fit",
        "built for another market than North America it need not follow that rule, so this is no "
        "proof",
    )


def test_the_model_year_is_held_against_the_car() -> None:
    assert vin("1M8GDM9AXKP042788", year=1989).outcome is Outcome.PASS
    judgement = vin("1M8GDM9AXKP042788", year="1990")
    assert judgement.outcome is Outcome.FAIL
    assert judgement.reasons[0] == "character 10 is K, model year 1989; this car is a 1990"
    of_the_walk = vin("1M8GDM9AXKP042788", Car(year=2019, today=TODAY.today))
    assert of_the_walk.values["model_years"] == [2019]


def test_years_to_come_fall_away() -> None:
    # Code 1 with a letter in the seventh place would be 2031.
    assert vin("LJCPCBLCX11000237").values["model_years"] == [2001]
    assert vin("LJCPCBLCX11000237", Car()).values["model_years"] == [2031]


def test_a_car_before_1981_has_no_common_form() -> None:
    # Pack V9 and V13, verified.
    judgement = vin("PL6-02417", year=1966)
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.problems == ()
    assert judgement.values["valid"] is None
    assert judgement.reasons == (
        "a 1966 number has no common form, the 17 characters began with 1981: hold it against its "
        "mark",
    )


def test_blanks_and_hyphens_between_are_passed_over() -> None:
    assert vin(" 1g4ah59h4-5g-118341 ").outcome is Outcome.PASS


# -- what can't be read, look-alikes -----------------------------------------------------------


def test_a_check_digit_that_cannot_be_read_is_worked_out() -> None:
    judgement = vin("1G4AH59H?5G118341")
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.values["expected_check_digit"] == "4"
    assert judgement.values["alternatives"] == ["1G4AH59H45G118341"]


def test_one_character_that_cannot_be_read_is_narrowed_down() -> None:
    judgement = vin("1G4AH5?H45G118341")
    assert judgement.values["valid"] is None
    assert judgement.reasons == (
        "character 7 could not be read",
        "the check digit leaves 9, R, Z",
    )
    assert "1G4AH59H45G118341" in judgement.values["alternatives"]
    assert vin("??4AH59H45G118341").reasons == ("characters 1 and 2 could not be read",)


def test_letters_that_no_vin_holds_are_offered_as_figures_and_never_swapped() -> None:
    judgement = vin("1G4AH59H45GII834I")
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.values["valid"] is None
    assert judgement.problems[0] == ("`I` at character 12: no VIN holds I, O or Q; is it `1`?")
    assert judgement.values["alternatives"] == ["1G4AH59H45G118341"]
    assert judgement.reasons == ("read as 1G4AH59H45G118341 its check digit fits",)


def test_a_look_alike_that_would_fit_is_offered() -> None:
    judgement = vin("1G4AHS9H45G118341")
    assert judgement.values["valid"] is False
    assert judgement.values["alternatives"] == ["1G4AH59H45G118341"]
    assert judgement.reasons[-1] == "it would fit as 1G4AH59H45G118341"


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        (
            "1G4AH59H45G11834",
            "16 characters, a VIN has 17; before 1981 there was no common form",
        ),
        ("1G4AH59H45G11834é", "`É` at character 17 is neither letter nor figure"),
        ("", "value: nothing was read yet; type the 17 characters, with ? for what can't be read"),
        (17.5, "value: `17.5` came as a number; put it in quotes"),
    ],
)
def test_what_is_no_vin_is_told(typed: object, problem: str) -> None:
    judgement = vin(typed)
    assert judgement.outcome is Outcome.UNDECIDED
    assert judgement.problems == (problem,)


@pytest.mark.parametrize("year", ["66", "soon", True, 12345, []])
def test_a_year_that_is_none_is_told(year: object) -> None:
    (problem,) = vin("1G4AH59H45G118341", year=year).problems
    assert problem.startswith("year: ")
    assert problem.endswith(" is no year; write four figures, such as 1966")


def test_a_tenth_place_that_stands_for_no_year_is_told() -> None:
    # Pack V6, verified: U, Z and 0 are not used there.
    for code in "UZ0":
        number = "11111111" + "0" + code + "1111111"
        number = number[:8] + check_digit(number) + number[9:]
        judgement = vin(number)
        assert judgement.values["valid"] is True
        assert judgement.outcome is Outcome.FAIL
        assert judgement.reasons[0] == f"character 10 is {code}, which stands for no model year"
