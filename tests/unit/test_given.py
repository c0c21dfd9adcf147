"""Values of standard input and their places, in JSON as in YAML."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from checkrun.commands.context import WrongUse
from checkrun.commands.given import Given, shown
from checkrun.commands.standard_input import read

Read = Callable[[str], Given]


@pytest.fixture
def given(monkeypatch: pytest.MonkeyPatch) -> Read:
    """What the command finds on standard input."""

    def put(text: str) -> Given:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
        return read("thing", "{a: 1}")

    return put


BLOCK = """\
# a comment
first:
  - one
  - {deep: [1, 2, {last: x}]}
"plain text": >
  folded
twice:   2
"""
#: The same keys, with blanks of every sort and texts that look like structure.
OBJECT = '\n{"first"\t:\r\n [ "}],{\\"" ,\n  {"deep":[1 , 2,{ "last" : "x"}]}],\n "twice" :2}\n'


def test_places_in_yaml(given: Read) -> None:
    fields = given(BLOCK).mapping()
    first = fields["first"].items()
    assert fields["first"].place() == "standard input:3:3"
    assert fields["first"].place(at_key=True) == "standard input:2:1"
    assert [item.place() for item in first] == ["standard input:3:5", "standard input:4:5"]
    deep = first[1].mapping()["deep"]
    assert deep.place() == "standard input:4:12"
    assert deep.items()[2].mapping()["last"].place() == "standard input:4:26"
    assert deep.items()[2].mapping()["last"].place(at_key=True) == "standard input:4:20"
    assert fields["twice"].place() == "standard input:7:10"


def test_places_in_json(given: Read) -> None:
    root = given(OBJECT)
    fields = root.mapping()
    assert root.place() == "standard input:2:1"
    assert fields["first"].place() == "standard input:3:2"
    assert fields["first"].place(at_key=True) == "standard input:2:2"
    first = fields["first"].items()
    assert [item.place() for item in first] == ["standard input:3:4", "standard input:4:3"]
    deep = first[1].mapping()["deep"].items()
    assert [item.place() for item in deep] == [
        "standard input:4:12",
        "standard input:4:16",
        "standard input:4:18",
    ]
    assert deep[2].mapping()["last"].place() == "standard input:4:29"
    assert deep[2].mapping()["last"].place(at_key=True) == "standard input:4:20"
    assert fields["twice"].place() == "standard input:5:11"


def test_the_place_of_a_value_behind_a_byte_order_mark(given: Read) -> None:
    assert given('\ufeff{"a": 1}').mapping()["a"].place() == "standard input:1:7"


@pytest.mark.parametrize(
    ("written", "number"),
    [("0", 0), ("-3", -3), ("+3", 3), ("0.10", 0.1), ("1e3", 1000), ("2.5E-1", 0.25)],
)
def test_numbers_of_yaml_are_read_from_their_text(given: Read, written: str, number: float) -> None:
    found = given(f"a: {written}").mapping()["a"]
    assert found.value == written
    assert found.number() == number


def test_numbers_of_json_keep_their_digits_until_they_are_asked_for(given: Read) -> None:
    found = given('{"a": 0.10, "b": 12, "c": "1.5"}').mapping()
    assert found["a"].value == Decimal("0.10")
    assert str(found["a"].value) == "0.10"
    assert [given.number() for given in found.values()] == [0.1, 12, 1.5]


@pytest.mark.parametrize(
    "written", ["", "~", "012", ".5", "5.", "1_000", "0x1f", "12:30", ".inf", "nan", "1 2", "1,5,2"]
)
def test_what_only_some_readers_take_for_a_number_is_none(given: Read, written: str) -> None:
    with pytest.raises(WrongUse, match=r"^standard input:1:\d: a number is expected here, not "):
        given(f"a: {written}").mapping()["a"].number()


@pytest.mark.parametrize("written", ["1e400", "-1e400", "1" * 400, "1e99999999999999999999"])
def test_numbers_of_absurd_size_are_told(given: Read, written: str) -> None:
    for text in (f"a: {written}", f'{{"a": {written}}}'):
        with pytest.raises(WrongUse, match="a number of usual size is expected here, not ") as told:
            given(text).mapping()["a"].number()
        assert len(str(told.value)) < 130


@pytest.mark.parametrize(
    ("bounds", "inside", "outside"),
    [
        ({"above": 0, "below": 1}, ["0.001", "0.999"], ["0", "1", "-1"]),
        ({"least": 0, "most": 1}, ["0", "1"], ["-0.001", "1.001"]),
        ({"least": 2}, ["2", "1e9"], ["1.99"]),
    ],
)
def test_both_sides_of_every_bound(
    given: Read, bounds: dict[str, float], inside: list[str], outside: list[str]
) -> None:
    for text in inside:
        assert given(f"a: {text}").mapping()["a"].number(**bounds) == float(text)
    for text in outside:
        with pytest.raises(WrongUse, match=f"is expected here, not {text}$"):
            given(f"a: {text}").mapping()["a"].number(**bounds)


def test_whole_numbers(given: Read) -> None:
    assert given("a: 7").mapping()["a"].whole(1, 7) == 7
    for text in ("8", "0", "6.5"):
        with pytest.raises(
            WrongUse, match=f"a whole number from 1 to 7 is expected here, not {text}"
        ):
            given(f"a: {text}").mapping()["a"].whole(1, 7)


def test_names(given: Read) -> None:
    assert given("a: 07 left").mapping()["a"].name() == "07 left"
    for text, message in [
        ('{"a": ""}', "a name is expected here, not nothing"),
        ('{"a": " "}', "a name is expected here, not "),
        ('{"a": null}', "a name is expected here, not nothing"),
        ('{"a": ["b"]}', "a name is expected here, not a list"),
        (json.dumps({"a": "b" * 101}), "a name of 101 characters is too long; 100 are enough"),
        ('{"a": "\\ud800"}', "a name with a character in it that can't be shown"),
        ('{"a": "b\\nc"}', "a name with a character in it that can't be shown"),
    ]:
        with pytest.raises(WrongUse, match=f"^standard input:1:7: {message}"):
            given(text).mapping()["a"].name()


def test_a_choice(given: Read) -> None:
    assert given("a: b").mapping()["a"].choice(["b", "c"]) == "b"
    for text in ("a: d", "a: [b]"):
        with pytest.raises(WrongUse, match="one of b, c is expected here, not "):
            given(text).mapping()["a"].choice(["b", "c"])


def test_fields(given: Read) -> None:
    found = given("b: 1\na: 2").fields(["a"], ["b"])
    assert list(found) == ["b", "a"]
    with pytest.raises(WrongUse, match=r"^standard input:1:1: `c` is missing here$"):
        given("b: 1\na: 2").fields(["a", "c"], ["b"])
    with pytest.raises(WrongUse, match=r"^standard input:2:1: `anna` is not known here\. Did you"):
        given("b: 1\nanna: 2").fields(["b"], ["ann"])


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (None, "nothing"),
        ("", "nothing"),
        (False, "false"),
        ({}, "an empty mapping"),
        ([], "an empty list"),
        ({"a": [1]}, "a mapping"),
        ([[]], "a list"),
        (10**4000, "a number of that size"),
        ("x" * 41, "x" * 39 + "…"),
        ("a\x1b[2Jb\n\u202e", "a [2Jb  "),
    ],
)
def test_values_in_a_message(value: Any, words: str) -> None:
    assert shown(value) == words


def test_what_stands_twice_is_named_on_one_line(given: Read) -> None:
    with pytest.raises(WrongUse) as told:
        given('{"a\\n": 1, "b": 2, "a\\n": 3}')
    assert str(told.value) == "standard input: `a ` is there twice; keep one of the two"
