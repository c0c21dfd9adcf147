"""`checkrun price`: items in; what they cost, and the most to pay, out."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from checkrun.cli import run

CAR: dict[str, Any] = {
    "items": [
        {"id": "nose", "chance": 1, "together": "front", "hours": [6, 14, 40], "parts": [0, 3, 25]},
        {"id": "wing", "chance": 0.5, "together": "front", "hours": [4, 8, 20]},
        {"id": "tyres", "parts": [300, 420, 600]},
    ],
    "rate": 80,
    "correlation": 0.2,
    "seed": 1,
    "draws": 1000,
    "value": 30_000,
    "claims": [{"id": "first-body", "stake": 6000, "probability": 0.7}],
    "margin": 1500,
    "percentile": 80,
}
YAML = """\
items:
  - {id: nose, chance: 1, together: front, hours: [6, 14, 40], parts: [0, 3, 25]}
  - {id: wing, chance: 0.5, together: front, hours: [4, 8, 20]}
  - id: tyres
    parts: [300, 420, 600]
rate: 80
correlation: 0.2
seed: 1
draws: 1000
value: 30000
claims: [{id: first-body, stake: 6000, probability: 0.7}]
margin: 1500
percentile: 80
"""


@pytest.fixture
def say(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    """Run the command with something on standard input: status, output, errors."""

    def said(given: str | dict[str, Any], *args: str) -> tuple[int, str, str]:
        text = given if isinstance(given, str) else json.dumps(given)
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
        status = run(["price", *args])
        out, err = capsys.readouterr()
        return status, out, err

    return said


@pytest.fixture
def answer(say: Any) -> Any:
    """The answer to something as data."""

    def answered(given: str | dict[str, Any]) -> Any:
        status, out, err = say(given, "--json")
        assert (status, err) == (0, "")
        return json.loads(out)

    return answered


def test_the_answer_for_programs(answer: Any) -> None:
    found = answer(CAR)
    assert list(found) == [
        *("mean", "sd", "p50", "p80", "p90", "percentile", "at_percentile", "standard_error"),
        *("correlation", "histogram", "drivers", "most_to_pay", "lines", "warning"),
    ]
    # 80 x (6 + 56 + 40) / 6 + 37 / 6 + 2580 / 6: the labour of the wing is in that of the nose.
    assert found["mean"] == pytest.approx(80 * 17 + 37 / 6 + 430, abs=1e-6)
    assert [driver["id"] for driver in found["drivers"]] == ["nose", "tyres", "wing"]
    assert sum(driver["share"] for driver in found["drivers"]) == pytest.approx(1, abs=1e-12)
    assert found["p50"] < found["p80"] == found["at_percentile"] < found["p90"]
    assert sum(found["histogram"]["draws"]) == 1000
    assert [line["label"] for line in found["lines"]] == [
        "value as claimed",
        "first-body: 6 000 x 30 % doubt",
        "cost that 80 % stay below",
        "margin",
    ]
    cost = found["p80"]
    assert [line["amount"] for line in found["lines"]] == [30_000, -1800, -cost, -1500]
    assert found["most_to_pay"] == pytest.approx(30_000 - 1800 - cost - 1500, abs=1e-9)


def test_yaml_and_json_come_to_the_same(answer: Any) -> None:
    assert answer(YAML) == answer(CAR)


def test_what_is_left_out_is_the_usual(answer: Any) -> None:
    short = {"items": CAR["items"], "rate": 80}
    assert answer(short) == answer(
        {**short, "correlation": 0.2, "seed": 1, "draws": 20_000, "percentile": 80}
    )
    found = answer(short)
    assert (found["most_to_pay"], found["lines"]) == (None, [])
    assert sum(found["histogram"]["draws"]) == 20_000
    assert answer({**short, "value": 9000}) == answer(
        {**short, "value": 9000, "claims": [], "margin": 0, "structure": "sound"}
    )


def test_a_percentile_can_be_a_share(answer: Any) -> None:
    assert answer({**CAR, "percentile": 0.8}) == answer(CAR)
    assert answer({**CAR, "percentile": 0.55})["percentile"] == 55
    assert answer({**CAR, "percentile": 0.5})["at_percentile"] == answer(CAR)["p50"]


def test_a_failed_structure_is_warned_of_with_a_value_and_without(say: Any, answer: Any) -> None:
    for given in ({**CAR}, {name: CAR[name] for name in ("items", "rate")}):
        given["structure"] = "failed"
        assert answer(given)["warning"].startswith("The structure failed a check.")
        assert "The structure failed a check." in say(given)[1]
    assert answer(CAR)["warning"] == ""


def test_the_answer_for_a_person(say: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CHECKRUN_ASCII", "1")
    status, out, err = say(CAR)
    assert (status, err) == (0, "")
    lines = out.splitlines()
    assert lines[:2] == ["What it costs", "  mean             1 796"]
    assert "What drives it   mean   share" in lines
    assert lines[-7] == "The most to pay"
    assert lines[-1].startswith("  most to pay ")
    assert out.isascii()


def test_no_items_cost_nothing(answer: Any) -> None:
    found = answer({"items": [], "rate": 80, "value": 100})
    assert (found["mean"], found["p90"], found["most_to_pay"]) == (0, 0, 100)


MORE = {"id": "a", "hours": [1, 2, 3]}
CLAIM = {"id": "c", "stake": 1, "probability": 1}
SHARE = "a number of at least 0 and of at most 1 is expected here, not"
WHOLE = "a whole number from 100 to 1000000 is expected here, not"


def one(**changed: Any) -> dict[str, Any]:
    """One item with something changed."""
    return {"rate": 80, "items": [{**MORE, **changed}]}


def car(**changed: Any) -> dict[str, Any]:
    """No items and something changed."""
    return {"rate": 80, "items": [], **changed}


@pytest.mark.parametrize(
    ("given", "at", "error"),
    [
        (one(chance=1.5), "1.5", f"{SHARE} 1.5"),
        (one(chance=-0.1), "-0.1", f"{SHARE} -0.1"),
        (one(parts=[-1, 2, 3]), "-1", "a number of at least 0 and of at most 1"),
        (one(hours=[3, 2, 9]), "[3, 2", "low, likely and high must rise, and 3, 2, 9 do not"),
        (one(hours=[1, 9, 2]), "[1, 9", "low, likely and high must rise, and 1, 9, 2 do not"),
        (one(hours=[1, 2]), "[1, 2", "3 values are expected here, not 2"),
        (one(hours=[1, 2, True]), "true", "a number is expected here, not true"),
        (one(hours=[1, 2, None]), "null", "a number is expected here, not nothing"),
        (one(hours=5), "5", "a list is expected here, not 5"),
        (one(hours=[1, 2, 1e6]), "1000000.0", "a number of at least 0 and of at most 100000 is"),
        (one(chanse=1), '"chanse"', "`chanse` is not known here. Did you mean `chance`?"),
        (one(id=""), '""', "a name is expected here, not nothing"),
        (one(id="a\x1b[31m"), '"a\\u001b', "a name with a character in it that can't be shown"),
        (one(together=7), "7", "a name is expected here, not 7"),
        (car(items=[{"id": "a"}]), '{"id"', "`hours` or `parts` is missing here"),
        (car(items=[{"hours": [1, 2, 3]}]), '{"hours"', "`id` is missing here"),
        (car(items=[MORE, {**MORE, "parts": [1, 1, 1]}]), "", "`a` is there twice; keep one of "),
        ({"items": []}, '{"items"', "`rate` is missing here"),
        (car(draws=10**9), "1000000000", f"{WHOLE} 1000000000"),
        (car(draws=99.5), "99.5", f"{WHOLE} 99.5"),
        (
            car(draws=10**6, items=[{**MORE, "id": str(at)} for at in range(51)]),
            "1000000",
            "1000000 draws of 51 items are too many; 980392 draws are possible",
        ),
        (
            car(items=[{**MORE, "id": str(at)} for at in range(1001)]),
            "[",
            "1001 items are too many; 1000 are enough for a car",
        ),
        (car(seed=-1), "-1", "a whole number from 0 to 4294967295 is expected here, not -1"),
        (car(correlation=1.1), "1.1", f"{SHARE} 1.1"),
        (car(percentile=-3), "-3", "a number above 0 and below 100 is expected here, not -3"),
        (car(percentile=100), "100", "a number above 0 and below 100 is expected here, not 100"),
        (car(rate=-8), "-8", "a number of at least 0 and of at most "),
        (car(value=-1), "-1", "a number of at least 0 and of at most "),
        (car(margin="x"), '"x"', "a number is expected here, not x"),
        (car(claims=[{**CLAIM, "probability": 1.2}]), "1.2", f"{SHARE} 1.2"),
        (car(claims=[{"id": "c", "stake": 1}]), '{"id"', "`probability` is missing here"),
        (car(claims=[CLAIM, CLAIM]), "", "`c` is there twice; keep one of the two"),
        (car(structure="bad"), '"bad"', "one of sound, failed is expected here, not bad"),
        (car(marge=5), '"marge"', "`marge` is not known here. Did you mean `margin`?"),
        ('{"rate": 8, "items": [], "value": NaN}', "NaN", "a number is expected here, not NaN"),
        ('{"rate": 1e999, "items": []}', "1e999", "a number of usual size is expected here, not "),
        ('{"rate": Infinity, "items": []}', "Inf", "a number is expected here, not Infinity"),
        (
            "rate: 80\nitems:\n  - id: a\n    hours: [1, 2, 3]\n    chance: 2\n",
            "2\n",
            f"{SHARE} 2",
        ),
        (
            "items: [{id: a, hours: [1, 2,5, 3]}]\nrate: 8",
            "[1",
            "3 values are expected here, not 4",
        ),
        ("rate: 1,5\nitems: []\n", "1,5", "a number is expected here, not 1,5; write 1.5"),
        ("rate: 80\nitems: []\nrate: 90\n", "rate: 9", "R007 the key `rate` stands here a "),
    ],
)
def test_what_is_wrong_is_told_in_one_line_with_its_place(
    say: Any, given: str | dict[str, Any], at: str, error: str
) -> None:
    text = given if isinstance(given, str) else json.dumps(given)
    # Where nothing is named it is the id of the second of two alike.
    place = text.index(at) if at else text.rindex('"id"') + len('"id": ')
    line, column = text.count("\n", 0, place) + 1, place - text.rfind("\n", 0, place)
    for args in ([], ["--json"]):
        status, out, err = say(text, *args)
        assert (status, out) == (2, "")
        assert err.startswith(f"checkrun: standard input:{line}:{column}: {error}")
        assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("given", "error"),
    [
        ("", "standard input is empty; write a list of items there, such as {items: [{id: sill, "),
        ("[]", "standard input: `field: value` pairs expected, such as {items: "),
        ('{"rate": 1, "rate": 2}', "standard input: `rate` is there twice; keep one of the two"),
    ],
)
def test_what_is_no_list_of_items_is_told(say: Any, given: str, error: str) -> None:
    status, out, err = say(given)
    assert (status, out) == (2, "")
    assert err.startswith(f"checkrun: {error}")
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("argv", "given", "status", "numpy"),
    [
        (["price", "--help"], "", 0, False),
        (["price"], "", 2, False),
        (["price", "--json"], '{"rate": -1, "items": []}', 2, False),
        (["price", "--json"], "items: [{id: a, hours: [3, 2, 1]}]\nrate: 80\n", 2, False),
        (["price", "--json"], json.dumps(CAR), 0, True),
    ],
)
def test_numpy_is_loaded_only_to_draw(
    argv: list[str], given: str, status: int, numpy: bool
) -> None:
    script = (
        f"import sys, checkrun.cli; status = checkrun.cli.run({argv!r}); "
        "print(status, 'numpy' in sys.modules, 'textual' in sys.modules, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        input=given,
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
        check=False,
    )
    assert done.stderr.splitlines()[-1] == f"{status} {numpy} False"
