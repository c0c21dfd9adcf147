"""The guide to the route format: it says what the tables say, and its readings are judged so."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from checkrun.commands import Arguments
from checkrun.commands.schema import schema as command
from checkrun.judge.catalog import COMMON, KINDS
from checkrun.judge.judgement import Car
from checkrun.judge.kinds import from_text, judge, judge_text
from checkrun.report.guide import MODELINE, guide, schema, schema_text, written
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.example_readings import READINGS, Typed
from checkrun.route.examples import EXAMPLES
from checkrun.route.jsonschema import TABLES
from checkrun.route.schema_check import READING_KINDS

SHIPPED = Path(__file__).parents[3] / "checklists"
TYPED = [(kind, typed) for kind, readings in READINGS.items() for typed in readings]


def test_the_guide_beside_the_routes_is_this_one() -> None:
    kept = (SHIPPED / "README.md").read_text("utf-8")
    assert kept == guide(), "checkrun schema --guide > checklists/README.md"


def test_the_command_prints_either(capsys: pytest.CaptureFixture[str]) -> None:
    assert command(Arguments(guide=False)) == 0
    assert capsys.readouterr().out == schema_text()
    assert command(Arguments(guide=True)) == 0
    assert capsys.readouterr().out == guide()


def test_every_key_and_every_field_stands_in_the_guide_with_what_it_means() -> None:
    lines = guide().split("\n")
    for table in TABLES.values():
        for key, value in table.items():
            needed = "required" if value.required else ""
            means = value.says.replace("|", "\\|")
            rows = [line for line in lines if line.startswith(f"| `{key}` | {needed} | ")]
            assert any(f" | {means} | " in row for row in rows), key
    for kind, fields in READING_KINDS.items():
        start = lines.index(f"### {kind}")
        for field in fields:
            row = next(line for line in lines[start:] if line.startswith(f"| `{field}` | "))
            assert KINDS[kind].spec[field] in row
    for key, means in COMMON.items():
        if key not in ("kind", "car"):
            assert any(line.startswith(f"| `{key}` | ") and means in line for line in lines)


def test_each_link_leads_to_a_heading() -> None:
    text = guide()
    headings = {
        line.lstrip("# ").lower().replace(" ", "-") for line in text.split("\n") if line[:1] == "#"
    }
    links = {part.split(")")[0] for part in text.split("](#")[1:]}
    assert links
    assert links <= headings


def test_every_example_stands_in_the_guide() -> None:
    text = guide()
    for name, examples in EXAMPLES.items():
        for key in examples:
            if key in TABLES[name]:
                first = examples[key].split("\n")[0]
                assert first in text, (name, key)


def test_the_first_line_for_editors_names_the_schema_beside_the_routes() -> None:
    assert MODELINE.startswith("# ")
    assert (SHIPPED / MODELINE.split("$schema=")[1]).is_file()


def _judged(kind: str, typed: Typed) -> Any:
    route = Catalog([Folder(SHIPPED, "shipped")]).load("plover")
    marks = {mark.id: mark for mark in route.marks}
    car = Car(1966, {"serial": "PL6-02417"}, marks, date(2026, 2, 3))
    spec = {name: yaml.load(value, yaml.BaseLoader) for name, value in typed.fields.items()}
    return judge_text(kind, spec, typed.line, car)


@pytest.mark.parametrize(("kind", "typed"), TYPED, ids=lambda it: it if isinstance(it, str) else "")
def test_each_reading_is_judged_as_the_guide_says(kind: str, typed: Typed) -> None:
    judged = _judged(kind, typed)
    assert judged.problems == ()
    assert judged.outcome.value == typed.result
    assert written(kind, typed) in guide()


#: Fields of readings that are not of the shape the schema asks for.
MISSHAPEN: list[tuple[str, dict[str, Any]]] = [
    ("measure", {"pass": "3"}),
    ("measure", {"pass": {"atmost": "3"}}),
    ("measure", {"fail": {"at-most": "3"}}),
    ("camber-caster", {"camber": {"most": "1"}}),
    ("signs-seen", {"choices": {"dry": "good"}}),
    ("signs-seen", {"choices": ["dry"]}),
    ("cylinders", {"measure": "pressure"}),
    ("battery", {"rested": "perhaps"}),
    ("stamp", {"first": "1.5"}),
]


@pytest.mark.parametrize(("kind", "wrong"), MISSHAPEN)
def test_what_the_schema_refuses_in_a_reading_can_not_be_judged(
    kind: str, wrong: dict[str, Any]
) -> None:
    made = schema()
    of = Draft202012Validator({"$ref": "#/$defs/reading", "$defs": made["$defs"]})
    assert list(of.iter_errors({"kind": kind, **wrong}))
    typed = READINGS[kind][0]
    spec = {name: yaml.load(value, yaml.BaseLoader) for name, value in typed.fields.items()}
    marks = {mark.id: mark for mark in Catalog([Folder(SHIPPED, "s")]).load("plover").marks}
    car = Car(1966, {"serial": "PL6-02417"}, marks, date(2026, 2, 3))
    judged = judge(from_text(kind, {**spec, **wrong}, typed.line), car)
    assert judged.problems != ()
