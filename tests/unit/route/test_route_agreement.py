"""Expressions of `agrees-with`: which characters of the car each one means, and what is none."""

from __future__ import annotations

import pytest

from checkrun.route.agreement import Expression, Malformed, parse


@pytest.mark.parametrize(
    ("written", "expression", "length", "of_it"),
    [
        ("engine-number", Expression("engine-number"), None, "EA09RH"),
        ("engine-number.last 2", Expression("engine-number", last=2), 2, "RH"),
        ("engine-number.first 1", Expression("engine-number", first=1), 1, "E"),
        ("engine-number.character 2", Expression("engine-number", 2, 2), 1, "A"),
        ("engine-number.characters 3 to 4", Expression("engine-number", 3, 4), 2, "09"),
        ("engine-number.characters 5 to 5", Expression("engine-number", 5, 5), 1, "R"),
        ("engine-number.characters 1 to 6", Expression("engine-number", 1, 6), 6, "EA09RH"),
    ],
)
def test_an_expression_means_characters_counted_from_one_with_both_ends(
    written: str, expression: Expression, length: int | None, of_it: str
) -> None:
    assert parse(written) == expression
    assert expression.length == length
    assert expression.of("EA09RH") == of_it


@pytest.mark.parametrize(
    "written",
    [
        "serial.last 5",
        " serial.last  5 ",
        "serial last 5",
        "serial. last 5",
        "facts.serial.last 5",
        "car.serial.last 5",
        "car.facts.serial.last 5",
    ],
)
def test_the_ways_of_writing_one_thing(written: str) -> None:
    assert parse(written) == Expression("serial", last=5)
    assert str(parse(written)) == "serial.last 5"


def test_the_year_of_the_car_has_four_figures() -> None:
    assert parse("car.year") == Expression("car.year")
    assert parse("car.year").length == 4
    assert parse("car.year.characters 3 to 4").of("1966") == "66"
    assert parse("car.years") == Expression("years"), "a fact of another name"
    assert not parse("car.year.last 4").beyond_year
    for much in ("car.year.last 5", "car.year.first 5", "car.year.characters 4 to 5"):
        assert parse(much).beyond_year
    assert not parse("serial.last 5").beyond_year


@pytest.mark.parametrize(
    ("written", "short", "lacking"),
    [
        ("engine-number.characters 3 to 4", "EA", "characters 3 to 4"),
        ("engine-number.characters 3 to 4", "EA0", "characters 3 to 4"),
        ("engine-number.character 3", "EA", "character 3"),
        ("engine-number.last 3", "EA", "3 characters"),
        ("engine-number.first 1", "", "1 character"),
    ],
)
def test_a_text_that_is_too_short_gives_nothing(written: str, short: str, lacking: str) -> None:
    assert parse(written).of(short) is None
    assert parse(written).lacking() == lacking


_ANY = "write `last 5`, `first 2`, `character 2` or `characters 3 to 4` behind the name"


@pytest.mark.parametrize(
    ("written", "reason", "hint"),
    [
        (
            "",
            "no fact is named here",
            "write `car.year` or the id of a fact, such as `serial` or `serial.last 5`",
        ),
        ("s.characters 4 to 3", "`characters 4 to 3` runs backwards", "write `characters 3 to 4`"),
        (
            "s.characters 0 to 2",
            "`characters 0 to 2` is no part of anything: characters count from 1",
            "write `characters 1 to 2`",
        ),
        (
            "s.character 0",
            "`character 0` is no part of anything: characters count from 1",
            _ANY,
        ),
        ("s.last 0", "`last 0` is no part of anything: characters count from 1", _ANY),
        ("s.lst 5", "`lst 5` is no part of `s`", "write `last 5`"),
        ("s.Last 5", "`Last 5` is no part of `s`", "write `last 5`"),
        ("s.characters 3", "`characters 3` is no part of `s`", "write `character 3`"),
        ("s.character 4-3", "`character 4-3` is no part of `s`", "write `characters 3 to 4`"),
        ("s.character 3 to 4", "`character 3 to 4` is no part of `s`", "write `characters 3 to 4`"),
        ("s.last", "`last` is no part of `s`", _ANY),
        ("s.last -5", "`last -5` is no part of `s`", "write `last 5`"),
        ("s.last 1 2", "`last 1 2` is no part of `s`", _ANY),
        ("s.last \u0665", "`last \u0665` is no part of `s`", _ANY),
        ("s.5", "`5` is no part of `s`", _ANY),
        ("s.", "`s.` breaks off", _ANY),
        ("s.last " + "9" * 60, f"`last {'9' * 35}...` is no part of `s`", _ANY),
    ],
)
def test_what_is_no_expression_is_told_with_what_to_write(
    written: str, reason: str, hint: str
) -> None:
    with pytest.raises(Malformed) as problem:
        parse(written)
    assert (str(problem.value), problem.value.hint) == (reason, hint)
