"""`weigh` and what is nearly a set of claims: an answer, or one line that says where."""

from __future__ import annotations

import contextlib
import io
import json
import math
import re
import sys
from typing import Any

import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from checkrun.cli import run

#: Python refuses to write these out.
huge = st.integers(4300, 5000).map(lambda digits: 10**digits)
words = st.text("abc-_ \n\x00\x1b\u202e\ud800é{}[],:\"'", max_size=6)
names = st.text("abcé-: {", min_size=1, max_size=6).filter(str.strip)
results = st.sampled_from(["pass", "concern", "fail", "not-examined"])
chances = st.floats(0.01, 0.99)
plain = st.one_of(
    st.none(), st.booleans(), st.integers(), huge, st.floats(), words, st.dates().map(str)
)
anything = st.recursive(
    plain,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(words, inner, max_size=4)),
    max_leaves=8,
)


@st.composite
def right(draw: st.DrawFn) -> dict[str, Any]:
    """Claims, checks with signs of them, and what was seen, all as they should be."""
    claims = draw(st.lists(names, min_size=2, max_size=4, unique=True))
    checks = draw(st.lists(names, min_size=2, max_size=6, unique=True))
    seen = draw(st.lists(st.sampled_from(checks), min_size=1, unique=True))
    causes = st.sampled_from(["", "hit", "rust"])

    def sign(claim: str) -> dict[str, Any]:
        true, false, cause = draw(chances), draw(chances), draw(causes)
        named = {"cause": cause} if cause else {}
        return {"claim": claim, **named, "pass": [true, false], "fail": [1 - true, 1 - false]}

    return {
        "claims": [{"id": claim, "before": draw(chances), "matters": 0.2} for claim in claims],
        "checks": [
            {
                "id": check,
                "minutes": draw(st.floats(0.1, 60)),
                "signs": [sign(claim) for claim in draw(subsets(claims))],
            }
            for check in checks
        ],
        "observed": {check: draw(results) for check in seen},
    }


def subsets(items: list[str]) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(items), min_size=1, unique=True)


@st.composite
def nearly_right(draw: st.DrawFn) -> dict[str, Any]:
    """One or two values replaced by others, taken out, put in twice or under another name."""
    data = draw(right())
    for _ in range(draw(st.integers(1, 2))):
        inside: dict[str, Any] | list[Any] = data
        while True:
            keys: list[Any] = list(inside) if isinstance(inside, dict) else [*range(len(inside))]
            if not keys:
                break
            key = draw(st.sampled_from(keys))
            within = inside[key]
            if isinstance(within, (dict, list)) and draw(st.integers(0, 5)):
                inside = within
                continue
            change = draw(st.sampled_from(["replace", "replace", "take out", "twice", "rename"]))
            if change == "replace":
                inside[key] = draw(anything)
            elif change == "take out" or isinstance(inside, list):
                del inside[key]
                if change == "twice" and isinstance(inside, list):
                    inside += [within, within]
            else:
                inside[draw(words)] = inside.pop(key)
            break
    return data


def said(raw: bytes, *args: str) -> tuple[int, str, str]:
    """The command's status, output and errors."""
    out, err, stdin = io.StringIO(), io.StringIO(), sys.stdin
    sys.stdin = io.TextIOWrapper(io.BytesIO(raw))
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = run(["weigh", *args])
    finally:
        sys.stdin = stdin
    return status, out.getvalue(), err.getvalue()


def sound(raw: bytes) -> int:
    """Whether what comes out is what must; gives the status."""
    status, out, err = said(raw, "--json")
    lines = err.splitlines()
    assert status in (0, 2), err
    assert err.count("\n") == len(lines)
    assert all(line.startswith("checkrun: standard input") for line in lines)
    assert all(line.isprintable() for line in lines)
    if status:
        assert (out, len(lines)) == ("", 1)
        return status
    assert all(": warning: " in line for line in lines)
    data = json.loads(out, parse_constant=no_json)
    for claim in data["claims"].values():
        assert 0 <= claim["after"] <= 1
        weights = [sign["decibans"] for sign in claim["signs"] if sign["counted"]]
        assert math.isclose(claim["decibans"], sum(weights), abs_tol=1e-6)
    for row in data["next"]:
        assert 0 <= row["bits"] <= 64
        assert row["claim"] in data["claims"]
    status, out, _ = said(raw)
    assert status == 0
    assert out.strip()
    return status


def no_json(name: str) -> None:
    """Infinity and NaN, which only some readers of JSON take."""
    raise AssertionError(f"{name} was printed")


def written(data: Any) -> bytes | None:
    """JSON, or nothing where Python can't write a number that large."""
    try:
        return json.dumps(data).encode()
    except ValueError:
        return None


@settings(deadline=None)
@given(data=right())
def test_what_is_right_is_weighed(data: dict[str, Any]) -> None:
    raw = json.dumps(data).encode()
    assert sound(raw) == 0
    as_yaml = yaml.safe_dump(data, sort_keys=False).encode()
    assert said(as_yaml, "--json")[:2] == said(raw, "--json")[:2]
    seen = {
        (check["id"], sign["claim"])
        for check in data["checks"]
        for sign in check["signs"]
        if data["observed"].get(check["id"]) in ("pass", "fail")
    }
    answer = json.loads(said(raw, "--json")[1])
    assert list(answer["claims"]) == [claim["id"] for claim in data["claims"]]
    signs = {(s["check"], claim) for claim, of in answer["claims"].items() for s in of["signs"]}
    assert signs == seen
    could = {
        (check["id"], sign["claim"])
        for check in data["checks"]
        for sign in check["signs"]
        if check["id"] not in data["observed"]
    }
    assert {(row["check"], row["claim"]) for row in answer["next"]} == could


@settings(max_examples=300, deadline=None)
@given(data=nearly_right())
def test_what_is_nearly_right_in_json(data: dict[str, Any]) -> None:
    raw = written(data)
    if raw is not None and sound(raw):
        error = said(raw)[2]
        assert re.match(r"checkrun: standard input:\d+:\d+: ", error), error


@settings(max_examples=150, deadline=None)
@given(data=nearly_right())
def test_what_is_nearly_right_in_yaml(data: dict[str, Any]) -> None:
    if written(data) is not None:
        sound(yaml.safe_dump(data, sort_keys=False, allow_unicode=False).encode())


@settings(max_examples=200, deadline=None)
@given(data=anything)
def test_nested_garbage(data: Any) -> None:
    raw = written(data)
    if raw is not None:
        assert sound(raw) == 2
    raw = written({"claims": [{"id": "a", "before": 0.5}], "checks": data, "observed": data})
    if raw is not None:
        sound(raw)


@given(
    raw=st.one_of(st.binary(max_size=60), st.text("{}[]:,\"'-claims 0.5\n\t#&*!|>%@`", max_size=60))
)
def test_any_bytes(raw: bytes | str) -> None:
    sound(raw.encode() if isinstance(raw, str) else raw)


@given(
    chance=st.one_of(st.floats(), st.sampled_from([5e-324, 1e-300, 1e-13, 1 - 1e-16, math.nan])),
    other=chances,
)
def test_only_what_lies_inside_0_and_1_is_a_probability(chance: float, other: float) -> None:
    claim = {"id": "a", "before": chance}
    status = sound(json.dumps({"claims": [claim]}).encode())
    assert (status == 0) is (0 < chance < 1)
    sign = {"claim": "a", "pass": [chance, other], "fail": [1 - chance, 1 - other]}
    data = {
        "claims": [{"id": "a", "before": 0.5}],
        "checks": [{"id": "x", "signs": [sign]}],
        "observed": {"x": "pass"},
    }
    status = sound(json.dumps(data).encode())
    assert (status == 0) is (chance >= 1e-12 and 1 - chance >= 1e-12)
    del data["observed"]
    assert sound(json.dumps(data).encode()) == status


def test_much_is_weighed_and_too_much_is_told() -> None:
    sign = {"claim": "a", "pass": [0.8, 0.4], "fail": [0.2, 0.6]}
    data = {
        "claims": [{"id": "a", "before": 0.5}],
        "checks": [{"id": f"check-{at}", "signs": [sign]} for at in range(5_000)],
        "observed": {f"check-{at}": "pass" for at in range(2_500)},
    }
    assert sound(json.dumps(data).encode()) == 0
    data["observed"] = {f"check-{at}": "pass" for at in range(5_001)}
    assert sound(json.dumps(data).encode()) == 2
    assert sound(json.dumps({"claims": ["x" * (8 << 20)]}).encode()) == 2
