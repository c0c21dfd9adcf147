"""`checkrun weigh`: what was seen in; how sure one may be, and what to look at next, out."""

from __future__ import annotations

import io
import itertools
import json
import math
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from checkrun.cli import run

#: X1 and X3 of the reference pack's evidence scale: 0.2 before, a check that finds 0.8 and alarms
#: falsely at 0.1; two signs of one cause beside it; one claim that nothing is known of.
YAML = """\
claims:
  - {id: rail-plated, before: 0.2, matters: 0.3}
  - {id: first-body, before: 0.5}
checks:
  - id: tap
    minutes: 2
    signs:
      - {claim: rail-plated, fail: [0.8, 0.1], pass: [0.2, 0.9]}
  - id: gaps
    minutes: 4
    signs:
      - {claim: first-body, cause: hit, pass: [0.9, 0.3], concern: [0.08, 0.3], fail: [0.02, 0.4]}
  - id: film
    minutes: 4
    signs:
      - {claim: first-body, cause: hit, pass: [0.8, 0.4], fail: [0.2, 0.6]}
  - id: magnet
    minutes: 4
    signs: [{claim: rail-plated, fail: [0.8, 0.1], pass: [0.2, 0.9]}]
  - id: lamp
    signs: [{claim: first-body, pass: [0.6, 0.3], fail: [0.4, 0.7]}]
  - id: walk-round
observed: {tap: fail, gaps: pass, film: fail, lamp: not-examined}
"""


@pytest.fixture
def say(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    """Run the command with something on standard input: status, output, errors."""

    def said(text: str | bytes, *args: str) -> tuple[int, str, str]:
        raw = text.encode() if isinstance(text, str) else text
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw)))
        status = run(["weigh", *args])
        out, err = capsys.readouterr()
        return status, out, err

    return said


def as_json() -> dict[str, Any]:
    """The same as YAML."""
    one, two = {"fail": [0.8, 0.1], "pass": [0.2, 0.9]}, {"pass": [0.8, 0.4], "fail": [0.2, 0.6]}
    gaps = {"pass": [0.9, 0.3], "concern": [0.08, 0.3], "fail": [0.02, 0.4]}
    return {
        "claims": [
            {"id": "rail-plated", "before": 0.2, "matters": 0.3},
            {"id": "first-body", "before": 0.5},
        ],
        "checks": [
            {"id": "tap", "minutes": 2, "signs": [{"claim": "rail-plated", **one}]},
            {
                "id": "gaps",
                "minutes": 4,
                "signs": [{"claim": "first-body", "cause": "hit", **gaps}],
            },
            {"id": "film", "minutes": 4, "signs": [{"claim": "first-body", "cause": "hit", **two}]},
            {"id": "magnet", "minutes": 4, "signs": [{"claim": "rail-plated", **one}]},
            {
                "id": "lamp",
                "signs": [{"claim": "first-body", "pass": [0.6, 0.3], "fail": [0.4, 0.7]}],
            },
            {"id": "walk-round"},
        ],
        "observed": {"tap": "fail", "gaps": "pass", "film": "fail", "lamp": "not-examined"},
    }


def test_the_fields_of_the_answer(say: Any) -> None:
    status, out, err = say(YAML, "--json")
    assert (status, err) == (0, "")
    data = json.loads(out)
    assert list(data) == ["claims", "next"]
    assert list(data["claims"]) == ["rail-plated", "first-body"]
    fields = ["before", "after", "odds", "decibans", "verbal", "halved", "doubled", "signs"]
    for claim in data["claims"].values():
        assert list(claim) == fields
        for sign in claim["signs"]:
            assert list(sign) == ["check", "result", "ratio", "decibans", "counted"]
    for row in data["next"]:
        assert list(row) == ["check", "claim", "bits", "minutes", "bits_per_minute"]


def test_a_worked_example(say: Any) -> None:
    claim = json.loads(say(YAML, "--json")[1])["claims"]["rail-plated"]
    assert claim["before"] == 0.2
    assert claim["after"] == pytest.approx(2 / 3)
    assert claim["odds"] == pytest.approx(2)
    assert claim["decibans"] == pytest.approx(9.031, abs=5e-4)
    assert claim["verbal"] == "weak support for"
    # Odds of 1 to 4, times the root of 8 and the square of 8.
    assert claim["halved"] == pytest.approx(math.sqrt(8) / (4 + math.sqrt(8)))
    assert claim["doubled"] == pytest.approx(16 / 17)
    (sign,) = claim["signs"]
    assert (sign["check"], sign["result"], sign["counted"]) == ("tap", "fail", True)
    assert sign["ratio"] == pytest.approx(8)


def test_signs_of_one_cause_count_once_and_what_was_not_examined_is_none(say: Any) -> None:
    claim = json.loads(say(YAML, "--json")[1])["claims"]["first-body"]
    told = [(sign["check"], sign["counted"]) for sign in claim["signs"]]
    # Both are 3 to 1, one for and one against; the first of equals counts.
    assert told == [("gaps", True), ("film", False)]
    assert claim["after"] == pytest.approx(0.75)


def test_the_next_best_check_is_an_open_one(say: Any) -> None:
    (row,) = json.loads(say(YAML, "--json")[1])["next"]
    assert (row["check"], row["claim"], row["minutes"]) == ("magnet", "rail-plated", 4)
    assert row["bits_per_minute"] == pytest.approx(row["bits"] / 4)
    nothing_seen = YAML[: YAML.index("observed:")]
    rows = json.loads(say(nothing_seen, "--json")[1])["next"]
    assert {row["check"] for row in rows} == {"tap", "gaps", "film", "magnet", "lamp"}
    (tap,) = (row for row in rows if row["check"] == "tap")
    assert tap["bits"] == pytest.approx(0.27546, abs=5e-6)  # X3
    # Looking takes half a minute unless it is said, as in a route.
    assert [row["minutes"] for row in rows if row["check"] == "lamp"] == [0.5]
    assert [row["bits_per_minute"] for row in rows] == sorted(
        (row["bits_per_minute"] for row in rows), reverse=True
    )


def test_yaml_and_json_come_to_the_same(say: Any) -> None:
    assert say(json.dumps(as_json()), "--json") == say(YAML, "--json")
    assert say(json.dumps(as_json(), indent=1)) == say(YAML)


def test_the_answer_for_a_person(say: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CHECKRUN_ASCII", "1")
    status, out, err = say(YAML)
    assert (status, err) == (0, "")
    assert out == (
        "rail-plated: 66.7 %, before looking 20.0 %\n"
        "  odds      2.0 to 1 for\n"
        "  evidence  +9.0 decibans: weak support for\n"
        "  how firm  41.4 % with every weight halved, 94.1 % doubled\n"
        "  tap               |####       +9.0  fail\n"
        "\n"
        "first-body: 75.0 %, before looking 50.0 %\n"
        "  odds      3.0 to 1 for\n"
        "  evidence  +4.8 decibans: weak support for\n"
        "  how firm  63.4 % with every weight halved, 90.0 % doubled\n"
        "  gaps              |##         +4.8  pass\n"
        "  film            ##|           -4.8  fail, already counted (hit)\n"
        "\n"
        "What would tell most if looked at next\n"
        "  magnet  0.0874 bits a minute on rail-plated: 0.3495 bits in 4 min\n"
    )


def test_claims_alone_are_as_they_were(say: Any) -> None:
    _, out, _ = say("claims: [{id: a, before: 0.3}]", "--json")
    claim = json.loads(out)["claims"]["a"]
    assert claim["after"] == pytest.approx(0.3, abs=1e-15)
    assert (claim["decibans"], claim["verbal"]) == (0, "no support either way")
    assert say("claims: []")[:2] == (0, "no claims\n")


def test_a_cause_that_is_used_once_is_warned_of(say: Any) -> None:
    lone = YAML.replace(
        "{claim: first-body, cause: hit, pass: [0.8", "{claim: first-body, pass: [0.8"
    )
    status, out, err = say(lone, "--json")
    assert status == 0
    assert json.loads(out)["claims"]["first-body"]["after"] == pytest.approx(0.5)
    assert err == (
        "checkrun: standard input:12:36: warning: only one sign of `first-body` has the cause "
        "`hit`, so it does nothing\n"
    )
    both = lone.replace(
        "{claim: first-body, pass: [0.6", "{claim: first-body, cause: l, pass: [0.6"
    )
    assert say(both)[2].endswith(
        "`first-body` has the cause `hit`, so it does nothing (and 1 more like it)\n"
    )


def test_a_result_that_a_sign_has_no_row_for_is_warned_of(say: Any) -> None:
    status, out, err = say(YAML.replace("film: fail", "film: concern"), "--json")
    assert status == 0
    assert [s["check"] for s in json.loads(out)["claims"]["first-body"]["signs"]] == ["gaps"]
    assert err == (
        "checkrun: standard input:16:9: warning: `film` is a concern, but its sign of `first-body` "
        "has no row for that and adds nothing\n"
    )


ROWS = "pass: [0.8, 0.4], fail: [0.2, 0.6]"


def one_sign(sign: str, rest: str = "") -> str:
    return f"claims: [{{id: a, before: 0.3}}]\nchecks:\n- id: x\n  signs:\n  - {{{sign}}}\n{rest}"


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("", "standard input is empty; write a set of claims there, such as {claims: ["),
        ("[1, 2]", "standard input: `field: value` pairs expected, such as {claims: ["),
        ("checks: []", "standard input:1:1: `claims` is missing here"),
        ("claims:", "standard input:1:8: a list is expected here, not nothing"),
        ("claims: {a: b}", "standard input:1:9: a list is expected here, not a mapping"),
        ("claims: [3]", "standard input:1:10: `name: value` pairs are expected here, not 3"),
        ("claims: [{id: a}]", "standard input:1:10: `before` is missing here"),
        (
            "claims: [{id: a, befor: 0.5}]",
            "standard input:1:18: `befor` is not known here. Did you mean `before`?",
        ),
        (
            "claims: [{id: a, before: 0}]",
            "standard input:1:26: a number above 0 and below 1 is expected here, not 0",
        ),
        (
            "claims: [{id: a, before: 1}]",
            "standard input:1:26: a number above 0 and below 1 is expected here, not 1",
        ),
        (
            "claims:\n- id: a\n  before: 0,5\n",
            "standard input:3:11: a number is expected here, not 0,5; write 0.5",
        ),
        (
            "claims: [{id: a, before: 20 %}]",
            "standard input:1:26: a number is expected here, not 20 %",
        ),
        (
            '{"claims": [{"id": "a", "before": NaN}]}',
            "standard input:1:35: a number is expected here, not NaN",
        ),
        (
            '{"claims": [{"id": "a",\n "before": 1e99999999999999999999}]}',
            "standard input:2:12: a number of usual size is expected here, not "
            "1e99999999999999999999",
        ),
        (
            '{"claims": [{"id": "a", "before": true}]}',
            "standard input:1:35: a number is expected here, not true",
        ),
        (
            '{"claims": [{"id": 3, "before": 0.5}]}',
            "standard input:1:20: a name is expected here, not 3",
        ),
        (
            '{"claims": [{"id": "a\\u001b[2J", "before": 0.5}]}',
            "standard input:1:20: a name with a character in it that can't be shown",
        ),
        (
            "claims: [{id: a, before: 0.5}, {id: a, before: 0.4}]",
            "standard input:1:37: the claim `a` is there a second time",
        ),
        (
            "claims: [{id: a, before: 0.5, matters: 1.5}]",
            "standard input:1:40: a number of at least 0 and of at most 1 is expected here, not "
            "1.5",
        ),
        (
            "claims: []\nchecks: [{id: x}, {id: x}]",
            "standard input:2:24: the check `x` is there a second time",
        ),
        (
            "claims: []\nchecks: [{id: x, minutes: 0}]",
            "standard input:2:27: a number of at least 0.001 and of at most 100000 is expected "
            "here, not 0",
        ),
        (
            one_sign(f"claim: b, {ROWS}"),
            "standard input:5:13: there is no claim `b`. There are: a.",
        ),
        (
            one_sign(f"claim: a, {ROWS}}}\n  - {{claim: a, {ROWS}"),
            "standard input:6:13: this check has a sign of `a` already; keep one of the two",
        ),
        (
            one_sign("claim: a"),
            "standard input:5:5: a sign needs its probabilities: pass, concern, fail",
        ),
        (
            one_sign("claim: a, pass: [0.8, 0.4], fail: [0.3, 0.6]"),
            "standard input:5:5: the probabilities of pass, concern, fail if the claim is true "
            "must sum to 1, not 1.1",
        ),
        (
            one_sign("claim: a, pass: [0.8, 0.4], fail: [0.2, 0.59]"),
            "standard input:5:5: the probabilities of pass, concern, fail if the claim is false "
            "must sum to 1, not 0.99",
        ),
        (
            one_sign("claim: a, pass: [0.8], fail: [0.2, 0.6]"),
            "standard input:5:22: 2 values are expected here, not 1",
        ),
        (
            one_sign("claim: a, pass: [1, 0.4], fail: [0.2, 0.6]"),
            "standard input:5:23: a number above 0 and below 1 is expected here, not 1",
        ),
        (
            one_sign("claim: a, pass: [1e-13, 0.4], fail: [0.99, 0.6]"),
            "standard input:5:23: 1e-13 is as good as 0, and nothing is that certain; write more",
        ),
        (
            one_sign(f"claim: a, {ROWS}", "observed: {y: pass}"),
            "standard input:6:12: there is no check `y`. There are: x.",
        ),
        (
            one_sign(f"claim: a, {ROWS}", "observed: {x: passed}"),
            "standard input:6:15: one of pass, concern, fail, not-examined is expected here, not "
            "passed",
        ),
        (
            one_sign(f"claim: a, {ROWS}", "observed: [pass]"),
            "standard input:6:11: `name: value` pairs are expected here, not a list",
        ),
        (
            one_sign(f"claim: a, {ROWS}", "observed: {x: pass, x: fail}"),
            "standard input:6:21: R007 the key `x` stands here a second time.",
        ),
        (b"claims: []\xff", "standard input: byte 0xff is not UTF-8"),
        (
            '{"claims": ' + "[" * 20_000,
            "standard input: the values are nested too deep for a set of",
        ),
    ],
    ids=itertools.count(),
)
def test_bad_input_is_one_line_that_says_where(say: Any, text: str | bytes, error: str) -> None:
    status, out, err = say(text, "--json")
    assert (status, out) == (2, "")
    assert err.startswith(f"checkrun: {error}")
    assert err.count("\n") == 1


def test_more_than_can_be_meant_is_told(say: Any) -> None:
    assert say(b" " * (8 << 20) + b"x") == (
        2,
        "",
        "checkrun: standard input: more than 8 MiB; one set of claims is expected\n",
    )


def test_probabilities_may_be_rounded(say: Any) -> None:
    rounded = one_sign("claim: a, pass: [0.335, 0.17], concern: [0.335, 0.333], fail: [0.335, 0.5]")
    assert say(rounded)[0] == 0


def test_json_needs_neither_yaml_nor_the_report_nor_the_screens() -> None:
    root = Path(__file__).parents[2]
    watched = {"yaml", "textual", "tinydb", "numpy", "checkrun.report", "checkrun.route.model"}
    script = (
        "import sys, checkrun.cli; checkrun.cli.run(['weigh', '--json']); "
        f"print({watched} & set(sys.modules), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        input=json.dumps(as_json()),
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(root)},
        check=False,
    )
    assert done.stderr == "set()\n"
    assert json.loads(done.stdout)["claims"]["rail-plated"]["after"] == pytest.approx(2 / 3)
