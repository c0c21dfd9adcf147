"""`checkrun judge`: one reading in, one judgement out."""

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
from checkrun.judge.kinds import KINDS

VIN = "1G4AH59H45G118341"


@pytest.fixture
def say(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    """Run the command with something on standard input: status, output, errors."""

    def said(text: str | bytes, *args: str) -> tuple[int, str, str]:
        raw = text.encode() if isinstance(text, str) else text
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw)))
        status = run(["judge", *args])
        out, err = capsys.readouterr()
        return status, out, err

    return said


def test_a_reading_in_json_is_judged(say: Any) -> None:
    status, out, err = say(json.dumps({"kind": "vin", "value": VIN}))
    assert (status, err) == (0, "")
    assert out == (
        "pass\n"
        "  the check digit is 4, as it must be\n"
        "  character 10 is 5: model year 2005\n"
        "check_digit           4\n"
        "expected_check_digit  4\n"
        "valid                 true\n"
        "model_years           [2005]\n"
        "problems              []\n"
        "source: 49 CFR 565.15 (verified)\n"
    )


def test_json_is_printed_for_programs(say: Any) -> None:
    status, out, _ = say(f"kind: vin\nvalue: {VIN}\n", "--json")
    assert status == 0
    data = json.loads(out)
    assert list(data) == ["result", "reasons", "values", "sources", "problems"]
    assert data["result"] == "pass"
    assert data["values"]["valid"] is True


def test_yaml_and_json_come_to_the_same(say: Any) -> None:
    fields = {
        "kind": "stamp",
        "mark": {
            "fields": [{"name": "year", "digits": 1}, {"name": "serial", "digits": 5}],
            "agrees-with": {"serial": "serial.last 5", "year": "car.year.last 1"},
            "restamped": 0.02,
        },
        "car": {"year": 1966, "facts": {"serial": "PL6-02417"}},
        "value": "6 024?7",
    }
    yaml = """\
kind: stamp
mark:
  fields: [{name: year, digits: 1}, {name: serial, digits: 5}]
  agrees-with: {serial: serial.last 5, year: car.year.last 1}
  restamped: 0.02
car: {year: 1966, facts: {serial: PL6-02417}}
value: 6 024?7
"""
    assert say(yaml, "--json") == say(json.dumps(fields), "--json")
    assert json.loads(say(yaml, "--json")[1])["values"]["agrees"] == "yes"


@pytest.mark.parametrize(
    ("written", "seen"), [("0123", "0123"), ("0120", "0120"), ("1e3", "1e3"), ("no", "no")]
)
def test_yaml_texts_stay_as_they_are_written(say: Any, written: str, seen: str) -> None:
    # YAML 1.1 would make an octal number, a float or a truth of them.
    _, out, _ = say(f"kind: tyre-age\non: 2026-03-14\nvalue: {written}\n", "--json")
    data = json.loads(out)
    if seen == "0123":
        assert (data["values"]["week"], data["values"]["year"]) == (1, 2023)
    elif seen == "0120":
        assert (data["values"]["week"], data["values"]["year"]) == (1, 2020)
    else:
        assert f"`{seen}`" in data["problems"][0]


def test_a_time_of_day_is_no_number_to_base_sixty(say: Any) -> None:
    # As a number to base 60 it would be 750.
    _, out, _ = say("kind: vin\nvalue: 12:30\n", "--json")
    assert json.loads(out)["values"]["problems"][0].startswith("5 characters, a VIN has 17")


def test_the_figures_of_json_keep_their_digits(say: Any) -> None:
    reading = '{"kind": "measure", "unit": "mm", "pass": {"at-least": 1.60}, "value": 1.60}'
    _, out, _ = say(reading, "--json")
    assert json.loads(out)["result"] == "pass"


def test_problems_are_told_and_the_status_is_0(say: Any) -> None:
    status, out, err = say('{"kind": "vin", "value": "1G4AH59H45G11834"}')
    assert (status, err) == (0, "")
    assert out.splitlines()[:2] == [
        "undecided",
        "problem: 16 characters, a VIN has 17; before 1981 there was no common form",
    ]
    _, out, _ = say("kind: stmp")
    assert out == "undecided\nproblem: `stmp` is not a kind of reading; did you mean `stamp`?\n"


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("", "standard input is empty; write a reading there, such as "),
        ("\n  \n", "standard input is empty; write a reading there, such as "),
        ("[1, 2]", "standard input: `field: value` pairs expected, such as "),
        ("fail", "standard input: `field: value` pairs expected, such as "),
        (
            '{"kind": "vin", "kind": "stamp"}',
            "standard input: `kind` is there twice; keep one of the two",
        ),
        (
            "kind: vin\nkind: stamp\n",
            "standard input:2:1: R007 the key `kind` stands here a second "
            "time. It stands first in line 1; keep one of the two.",
        ),
        (
            "kind: {",
            "standard input:1:8: R005 the file ends in the middle of a value. Is a `]` or "
            "`}` missing?",
        ),
        ("kind: &a vin", "standard input:1:7: R008 the anchor `&a` can't be used in routes."),
        (b"kind: vin\xff", "standard input: byte 0xff is not UTF-8"),
        ("[" * 100_000, "standard input: the values are nested too deep for a reading"),
        ("9" * 5000, "standard input: exceeds the limit (4300 digits) for integer string"),
        (b"x" * (1 << 20) + b"x", "standard input: more than 1 MiB; one reading is expected"),
    ],
)
def test_what_is_no_reading_is_one_line_and_status_2(
    say: Any, text: str | bytes, error: str
) -> None:
    status, out, err = say(text)
    assert (status, out) == (2, "")
    assert err.startswith(f"checkrun: {error}")
    assert err.count("\n") == 1


def test_not_a_number_is_told_as_not_finite(say: Any) -> None:
    status, out, _ = say('{"kind": "measure", "unit": "mm", "value": NaN}')
    assert status == 0
    assert "`NaN` is not a finite number" in out


def test_the_kinds_are_listed_with_their_fields(say: Any) -> None:
    status, out, _ = say("", "--kinds")
    assert status == 0
    headings = [line.split()[0] for line in out.splitlines() if not line.startswith(" ")]
    assert headings == [*KINDS, "all"]
    for kind in KINDS.values():
        for name, says in {**kind.spec, **kind.value}.items():
            assert f"    {name:18} {says}" in out.splitlines()
    _, out, _ = say("", "--kinds", "--json")
    assert [kind["kind"] for kind in json.loads(out)] == list(KINDS)


def test_json_needs_no_yaml_and_nothing_needs_the_screens() -> None:
    root = Path(__file__).parents[2]
    script = (
        "import sys, checkrun.cli; checkrun.cli.run(['judge', '--json']); "
        "sys.exit(bool({'yaml', 'textual', 'tinydb'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        input=json.dumps({"kind": "vin", "value": VIN}),
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(root)},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["result"] == "pass"
