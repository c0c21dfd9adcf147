"""Near-scalars: texts one slip away from a number, a date, a bool or nothing.

Sources as in `tests/unit/route/test_route_scalars.py`: PyYAML's own YAML 1.1 resolver, and the
rules of the core schema of YAML 1.2.2, chapter 10.3.2 (written down here from memory of the table
there, and held against ruamel.yaml where both speak).
"""

from __future__ import annotations

import re

import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from checkrun.route.nodes import Map, Scalar, parse
from checkrun.route.scalars import misread_as

#: The core schema: null, bool, int (decimal, octal, hexadecimal), float (with infinity and nan).
CORE_1_2 = re.compile(
    r"null|Null|NULL|~"
    r"|true|True|TRUE|false|False|FALSE"
    r"|[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+"
    r"|[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?"
    r"|[-+]?(\.inf|\.Inf|\.INF)|\.nan|\.NaN|\.NAN"
)

_PARTS = st.sampled_from(
    [
        *("0", "1", "7", "8", "12", "30", "59", "60", "1966", "04", "_", ".", ":", "-", "+", "e"),
        *("E", "0x", "0b", "0o", "f", "F", "T", "Z", " ", "t", "yes", "No", "on", "y", "n", "true"),
        *("null", "~", ".inf", ".NaN", "mm", "<<", "="),
    ]
)
near_scalars = (
    st.lists(_PARTS, min_size=1, max_size=7)
    .map("".join)
    .filter(
        lambda text: (
            text == text.strip()
            and ": " not in text
            and not text.startswith((":", "- ", "? ", "= "))
            and not text.endswith(":")
            and text not in ("-", "---", "...")
        )
    )
)
_LETTERS = {"y", "Y", "n", "N"}


def is_text_in_1_1(text: str) -> bool:
    tag: str = yaml.SafeLoader("").resolve(yaml.ScalarNode, text, (True, False))
    return tag == "tag:yaml.org,2002:str"


@given(near_scalars)
@settings(max_examples=1500)
@example("1" * 60)
@example("12:30:45.5")
@example("1e3")
@example("2001-12-14 21:59:43.10 -5")
def test_what_either_schema_takes_for_something_else_is_named(text: str) -> None:
    if not is_text_in_1_1(text) or CORE_1_2.fullmatch(text):
        assert misread_as(text)


@given(near_scalars)
@settings(max_examples=1500)
def test_what_both_schemas_take_for_text_is_left_alone(text: str) -> None:
    """But for the letters y and n, and for numbers that only ruamel.yaml reads, such as 0o1_7."""
    if is_text_in_1_1(text) and not CORE_1_2.fullmatch(text) and misread_as(text):
        assert text in _LETTERS or re.fullmatch(r"[-+]?0?o?[0-9_]+", text)


@given(near_scalars)
@settings(max_examples=150)
@example("-_")
@example("._")
def test_what_yaml_1_2_calls_text_is_that_text_in_our_tree(text: str) -> None:
    root, problems = parse(f"key: {text}\n", "x.yaml")
    assert problems == []
    assert isinstance(root, Map)
    value = root.get("key")
    assert isinstance(value, Scalar)
    assert value.text == text
    if not misread_as(text):
        reader = YAML(typ="safe", pure=True)
        reader.version = (1, 2)
        try:
            read = reader.load(f"key: {text}\n")
        except ValueError:
            assert "_" in text  # ruamel.yaml takes `-_` for a number, then can't make one of it
        else:
            assert read == {"key": text}


@given(st.text("0123456789_:.eE+-xobT yesnoYNtruflm~<=", max_size=30))
@settings(max_examples=1000)
def test_any_text_of_such_signs_is_named_if_pyyaml_takes_it_for_something_else(text: str) -> None:
    if text and not is_text_in_1_1(text):
        assert misread_as(text)
