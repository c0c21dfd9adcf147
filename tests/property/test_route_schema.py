"""The schema on routes as authors may write them: a right one is right, a broken one is not."""

from __future__ import annotations

import json
import re
from typing import Any

import strategies
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML

from checkrun.report.guide import schema

VALIDATOR = Draft202012Validator(schema())
#: Ids that YAML 1.2 itself takes for something else than a text or a number.
_TAKEN = re.compile(r": (?:true|false|null)$|^ *(?:true|false|null):|- (?:true|false|null)$", re.M)


#: Whole routes take long to draw, on a machine that has other work at least.
SLOW = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])


def as_read(data: dict[str, Any]) -> Any:
    """The route as a general-purpose YAML reader gives it."""
    text = strategies.to_yaml(data)
    assume(not _TAKEN.search(text))
    return json.loads(json.dumps(YAML(typ="safe", pure=True).load(text), default=str))


@SLOW
@given(strategies.written_routes())
def test_a_route_without_a_mistake_is_right(data: dict[str, Any]) -> None:
    assert [error.message for error in VALIDATOR.iter_errors(as_read(data))] == []


REQUIRED = ("id", "ask", "how", "pass", "concern", "fail", "class", "group", "source")


@SLOW
@given(strategies.written_routes(), st.sampled_from(REQUIRED), st.data())
def test_a_check_without_a_required_key_is_not(
    data: dict[str, Any], key: str, draw: st.DataObject
) -> None:
    read = as_read(data)
    station = draw.draw(st.sampled_from(read["stations"]))
    del draw.draw(st.sampled_from(station["checks"]))[key]
    assert not VALIDATOR.is_valid(read)
    # A layer leaves all but the id to the route below.
    layer = {**read, "built-on": "other"}
    assert VALIDATOR.is_valid(layer) == (key != "id")


@SLOW
@given(strategies.written_routes(), strategies.ids, st.data())
def test_a_key_that_is_none_is_refused_wherever_it_stands(
    data: dict[str, Any], key: str, draw: st.DataObject
) -> None:
    read = as_read(data)
    mappings = [read, read["car"], read["car"]["outline"], *read["stations"]]
    mappings += [check for station in read["stations"] for check in station["checks"]]
    mappings += [check["cost"] for check in mappings if "cost" in check]
    mapping = draw.draw(st.sampled_from(mappings))
    mapping[f"x-{key}"] = "something"
    assert not VALIDATOR.is_valid(read)
