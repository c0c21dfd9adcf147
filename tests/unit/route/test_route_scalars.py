"""Plain scalars against two general-purpose readers.

Sources: YAML 1.2.2, chapter 10.3.2 (core schema), as ruamel.yaml's pure reader resolves it; the
YAML 1.1 type repository (yaml.org/type), as PyYAML's own resolver holds it. PyYAML takes the single
letters y and n of yaml.org/type/bool for texts, other 1.1 readers do not, so we name them too.
"""

from __future__ import annotations

import pytest
import yaml
from ruamel.yaml import YAML
from ruamel.yaml.constructor import ConstructorError

from checkrun.route.nodes import Map, Scalar, parse
from checkrun.route.scalars import misread_as


def words(text: str) -> list[str]:
    return text.split()


BOOLS = words("""
    yes Yes YES no No NO true True TRUE false False FALSE on On ON off Off OFF
    yEs oN tRUE yess nope offf ye o onn t f
""")
NULLS = words("~ null Null NULL nULL nil none None ~~")
NUMBERS = words("""
    0 1 -1 +1 123 1966 00 0123 08 09 -0123 +07 0129 1_000 1__0 _1 1_ 0_7 0_8 1.5 1. .5 -.5 +.5
    -1.5 +1.5 1.5.2 1,5 1e3 1E3 1e+3 1e-3 1.0e3 1.0e+3 1.e3 .5e3 .5e+3 1e 1e+ e3 .inf -.inf +.INF
    .Inf .nan .NaN .NAN nan inf -nan . - + .. ... 1.6.0 5.0_1 .5_0 -. 12e03 0e0 -0 +0 -0.0 0. 1..
""")
BASES = words("""
    0x1F 0xff -0x1f +0xA 0x 0xg 0b101 0b -0b1 0b2 0o17 0o8 0o -0o7 0b_1 0x_f 0o1_7
    12:30 1:2:3 12:60 12:5 0:30 09:30 -1:30 1:30.5 12:30:45 12:30:45.5 012:30 1:99 12: :30 24:00
    0:0 190:20:30.15 1_2:30 12:3_0
""")
DATES = [
    "2001-12-14",
    "1966-04-01",
    "1966-4-1",
    "66-04-01",
    "2001-12-14t21:59:43.10-05:00",
    "2001-12-14 21:59:43.10 -5",
    "2001-12-15 2:59:43.10",
    "2001-12-14 21:59",
    "1966-04",
    "1963-1968",
    "2001-12-14T21:59:43Z",
]
TEXTS = [
    "3 mm",
    "No play",
    "yes, both",
    "10 to 20",
    "1/4",
    "PL6-02417",
    "fuel",
    "x",
    "=a",
    "<",
    "<=",
    "==",
]
OTHERS = ["=", "<<", "1" * 60, "1" * 60 + "x", "٣", "２"]
#: Numbers by the float rule of YAML 1.2.2, 10.3.2, that neither of the two readers takes for one.
ONLY_IN_THE_SPEC = [".5e3"]
#: Without those that are no plain scalar behind a key.
SCALARS = [
    text
    for text in [*BOOLS, *NULLS, *NUMBERS, *BASES, *DATES, *TEXTS, *OTHERS]
    if text not in ("-", "...") and not text.endswith(":")
]


def is_text_in_1_1(text: str) -> bool:
    """As PyYAML's own resolver takes it; a text may not look like a list or a directive."""
    tag: str = yaml.SafeLoader("").resolve(yaml.ScalarNode, text, (True, False))
    return tag == "tag:yaml.org,2002:str"


def is_text_in_1_2(text: str) -> bool:
    """As ruamel.yaml's pure YAML 1.2 reader takes it."""
    reader = YAML(typ="safe", pure=True)
    reader.version = (1, 2)
    try:
        return isinstance(reader.load(f"key: {text}\n")["key"], str)
    except ConstructorError:
        return False  # `=` and `<<` stand for something else, and so are no values


@pytest.mark.parametrize("text", SCALARS)
def test_a_scalar_is_named_just_when_a_reader_takes_it_for_something_else(text: str) -> None:
    is_text = is_text_in_1_1(text) and is_text_in_1_2(text) and text not in ONLY_IN_THE_SPEC
    assert (misread_as(text) == "") is is_text


@pytest.mark.parametrize("text", ["y", "Y", "n", "N"])
def test_the_single_letters_of_yaml_1_1_are_named_too(text: str) -> None:
    assert is_text_in_1_1(text), "PyYAML leaves them out of its bools"
    assert misread_as(text) == "true or false"


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("no", "true or false"),
        ("~", "nothing at all"),
        ("12:30", "a number to base 60"),
        ("0123", "an octal number"),
        ("0o17", "an octal number"),
        ("0x1F", "a hexadecimal number"),
        ("0b101", "a binary number"),
        ("1966-04-01", "a date"),
        ("1e3", "a number"),
        ("1966", "a number"),
        ("<<", "a merge key"),
        ("=", "a default value"),
        ("", ""),
        ("none", ""),
    ],
)
def test_what_it_is_taken_for_is_said_in_words(text: str, what: str) -> None:
    assert misread_as(text) == what


@pytest.mark.parametrize("loader", [yaml.CSafeLoader, yaml.SafeLoader])
@pytest.mark.parametrize("text", SCALARS)
def test_our_tree_keeps_every_scalar_as_it_was_written(text: str, loader: type) -> None:
    """So whatever is a text in YAML 1.2 is the same text here; the rest is not changed either."""
    root, problems = parse(f"key: {text}\n", "x.yaml", loader)
    assert problems == []
    assert isinstance(root, Map)
    value = root.get("key")
    assert isinstance(value, Scalar)
    assert (value.text, value.plain) == (text, True)
    if is_text_in_1_2(text):
        reader = YAML(typ="safe", pure=True)
        reader.version = (1, 2)
        assert reader.load(f"key: {text}\n") == {"key": value.text}


@pytest.mark.parametrize("loader", [yaml.CSafeLoader, yaml.SafeLoader])
@pytest.mark.parametrize("quoted", ["'no'", '"no"', "|-\n  no", ">-\n  no"])
def test_a_quoted_scalar_is_not_plain(quoted: str, loader: type) -> None:
    root, _ = parse(f"key: {quoted}\n", "x.yaml", loader)
    assert isinstance(root, Map)
    value = root.get("key")
    assert isinstance(value, Scalar)
    assert (value.text, value.plain) == ("no", False)
