"""The schema of routes, held against the reader, and against programs that know JSON Schema.

From outside: the 2020-12 metaschema as `jsonschema` brings it, `check-jsonschema` run as a process,
and two general-purpose YAML readers, one of YAML 1.2 and one of 1.1.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from subprocess import run
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML, YAMLError

from checkrun.report.guide import schema
from checkrun.route import layers
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.example_readings import COMMON_FIELDS, READINGS
from checkrun.route.examples import EXAMPLES, LAYER, ROUTE
from checkrun.route.jsonschema import BY_ID, TABLES
from checkrun.route.nodes import Map, Node, Seq, parse
from checkrun.route.problems import Problem
from checkrun.route.read import Key, Reader
from checkrun.route.reading_shapes import fields_of
from checkrun.route.schema_check import READING_COMMON, READING_KINDS
from checkrun.route.shapes import Shape, shape_of

ROOT = Path(__file__).parents[3]
SHIPPED = sorted((ROOT / "checklists").rglob("*.yaml"))
BAD = ROOT / "tests" / "data" / "bad"

SCHEMA = schema()
VALIDATOR = Draft202012Validator(SCHEMA)


def yaml_12(text: str) -> Any:
    """As an editor sees it: a date is a text, as JSON has none."""
    return _as_json(YAML(typ="safe", pure=True).load(text))


def yaml_11(text: str) -> Any:
    """As an older reader sees it: `yes` and `off` are true and false."""
    return _as_json(yaml.safe_load(text))


def _as_json(data: Any) -> Any:
    return json.loads(json.dumps(data, default=str))


def faults(data: Any, of: Draft202012Validator = VALIDATOR) -> list[str]:
    return [error.message for error in of.iter_errors(data)]


def definition(name: str) -> Draft202012Validator:
    """The schema of one of `$defs`, by itself."""
    return Draft202012Validator({"$ref": f"#/$defs/{name}", "$defs": SCHEMA["$defs"]})


def test_it_is_a_schema_by_the_metaschema() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == Draft202012Validator.META_SCHEMA["$id"]


@pytest.mark.parametrize("load", [yaml_12, yaml_11])
@pytest.mark.parametrize("path", [*SHIPPED, BAD / "sound.yaml"], ids=lambda path: path.stem)
def test_every_shipped_route_is_right_by_it(path: Path, load: Callable[[str], Any]) -> None:
    assert faults(load(path.read_text("utf-8"))) == []


def test_every_shipped_route_is_right_by_an_unmodified_checker(tmp_path: Path) -> None:
    done = _checked(ROOT / "checklists" / "route.schema.json", *SHIPPED)
    assert (done.returncode, done.stdout.strip()) == (0, "ok -- validation done")
    broken = tmp_path / "broken.yaml"
    broken.write_text(SHIPPED[0].read_text("utf-8").replace("format: 1", "format: 2"), "utf-8")
    done = _checked(ROOT / "checklists" / "route.schema.json", broken)
    assert done.returncode == 1
    assert "$.format: 1 was expected" in done.stdout


def _checked(schema_file: Path, *files: Path) -> Any:
    command = [sys.executable, "-m", "check_jsonschema", "--schemafile", schema_file, *files]
    return run(command, capture_output=True, text=True, check=False, timeout=120)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_shipped_file_leads_editors_to_its_schema(path: Path) -> None:
    first = path.read_text("utf-8").splitlines()[0]
    name = first.removeprefix("# yaml-language-server: $schema=")
    assert (path.parent / name).resolve() == ROOT / "checklists" / "route.schema.json"


def test_the_file_beside_the_routes_is_this_schema() -> None:
    kept = (ROOT / "checklists" / "route.schema.json").read_text("utf-8")
    assert json.loads(kept) == SCHEMA, "checkrun schema > checklists/route.schema.json"


#: Problems that a schema can't see, by their codes.
UNSEEN = {
    "what YAML itself reads away": {"R007", "R008", "R011"},
    "texts that only some readers take for something else": {"R026"},
    "names that lead nowhere": {"R034", "R041", "R042", "R044", "R046", "R060", "R064", "R068"},
    "names and rings that stand twice": {"R040", "R043", "R045", "R061"},
    "pieces of the other kind, and what is repeated for nothing": {"R062", "R063"},
    "figures and characters that don't fit together": {"R032", "R033", "R050"},
    "what says nothing": {"R051", "R052", "R053", "R054", "R055"},
}
#: Files whose problem a schema could see by its code, and does not, or the other way round.
BESIDES = {
    "merge-key": "the reader of YAML has put in what was merged",
    "number-octal": "to a reader of YAML it is a number",
    "number-float": "to a reader of YAML it is a number",
    "number-endless": "to a reader of YAML it is a number",
    "no-such-answer": "a choice among the answers of a fact is a name that leads nowhere",
    "cost-falls": "figures that don't fit together",
    "outline-no-car": "figures that don't fit together",
    "years-backwards": "figures that don't fit together",
    "text-float": "YAML 1.2 takes it for a number too",
    "text-octal": "YAML 1.2 takes it for a number too",
    "both": "a piece with checks and stations",
    "neither": "a piece without either",
}


def _bad_files() -> dict[str, tuple[Path, set[str]]]:
    """Every bad file that YAML itself can read, with the codes of the problems in it."""
    catalog = Catalog([Folder(BAD, "yours")])
    read = {problem for path in sorted(BAD.glob("*.yaml")) for problem in catalog.read(path)[1]}
    found: dict[str, tuple[Path, set[str]]] = {}
    for problem in sorted(read):
        path = Path(problem.file)
        found.setdefault(path.stem, (path, set()))[1].add(problem.code)
    return {name: bad for name, bad in found.items() if _is_yaml(bad[0])}


def _is_yaml(path: Path) -> bool:
    if path.stem == "alias-bomb":  # it is, and would fill the memory
        return False
    try:
        yaml_12(path.read_text("utf-8"))
    except YAMLError:
        return False
    return True


BAD_FILES = _bad_files()


@pytest.mark.parametrize("name", BAD_FILES)
def test_of_each_bad_file_it_sees_what_it_can(name: str) -> None:
    path, codes = BAD_FILES[name]
    seen = bool(codes - set().union(*UNSEEN.values()))
    assert bool(faults(yaml_12(path.read_text("utf-8")))) == (seen != (name in BESIDES))


def test_there_are_bad_files_of_both_sorts() -> None:
    assert set(BESIDES) <= set(BAD_FILES)
    codes = {code for _, found in BAD_FILES.values() for code in found}
    assert {"R020", "R021", "R022", "R023", "R024", "R025", "R027", "R028"} <= codes
    assert {"R041", "R050"} <= codes


#: Values by definition: right ones and wrong ones, as YAML 1.2 reads them.
VALUES = {
    "text": (["Nose", "1966"], ["", "  ", 1966, True, None, ["Nose"], {"edges": "touch"}]),
    "bare": (["PL", "", 5, 0.5, True], [None, ["PL"], {}]),
    "id": (
        ["nose", "left-2", 1966, "at-{corner}", "{corner}-drum"],
        ["Nose", "left side", "-a", "a--b", "a-", "ä", "", None, True, "{corner", -1],
    ),
    "years": (
        [1966, "1966", "1963-1968", "1963 - 1968"],
        [1879, 2101, 66, 1966.5, "1963 to 1968", "1963-68", "63-68", "1863-1968", None, True],
    ),
    "yes-no": ([True, False, "yes", "no", "Yes"], ["on", "y", "maybe", 1, 0, None]),
    "quantity": ([1.6, 2, "1/16 in"], [True, None, [1.6]]),
    "names": ([["front", 2], "front"], [[], 3, None, {"front": 1}]),
}


@pytest.mark.parametrize("name", VALUES)
def test_values_are_taken_as_yaml_readers_give_them(name: str) -> None:
    right, wrong = VALUES[name]
    of = definition(name)
    assert {str(value): faults(value, of) for value in right if faults(value, of)} == {}
    assert [value for value in wrong if not faults(value, of)] == []


@pytest.mark.parametrize("wheels", ["on", "off", True, False])
def test_words_that_older_readers_take_for_yes_or_no_are_right_as_both(wheels: Any) -> None:
    assert faults({"wheels": wheels}, definition("needs")) == []
    assert faults({"bonnet": wheels}, definition("needs")) != []


def _bounds() -> list[tuple[str, str, list[float], list[float]]]:
    """Numbers at both sides of the ends that the format has."""
    return [
        ("check", "minutes", [0.1, 90], [0, -1]),
        ("claim", "before", [0.01, 0.99], [0, 1, 1.5]),
        ("claim", "matters", [0, 1], [-0.1, 1.1]),
        ("cost", "chance", [0.1, 1], [0, 1.1]),
        ("field", "digits", [1, 20], [0, 21, 2.5]),
        ("place", "x", [-30, 0, 30], [-30.5, 3380]),
        ("outline", "length", [0.5, 30], [0, -4.1, 4100]),
    ]


@pytest.mark.parametrize(("table", "key", "right", "wrong"), _bounds())
def test_numbers_end_where_the_reader_ends_them(
    table: str, key: str, right: list[float], wrong: list[float]
) -> None:
    of = Draft202012Validator(
        {**SCHEMA["$defs"][table]["properties"][key], "$defs": SCHEMA["$defs"]}
    )
    read = TABLES[table][key].read
    for value in [*right, *wrong]:
        problems: list[Problem] = []
        read(Reader(problems), _node(str(value)))
        # That a measure of the outline is above zero the reader tells of the outline as a whole.
        told = bool(problems) or (table == "outline" and value <= 0)
        assert told == (value in wrong) == bool(faults(value, of)), value


def test_lists_that_layers_merge_are_those_of_the_reader() -> None:
    assert BY_ID == layers._BY_ID


# Layers and pieces


def test_a_layer_needs_only_its_names_and_what_differs() -> None:
    layer = {"format": 1, "id": "made", "built-on": "plover"}
    assert faults(layer) == []
    assert faults({**layer, "stations": [{"id": "tail", "checks": [{"id": "seal"}]}]}) == []
    assert faults({**layer, "stations": [{"id": "tail", "checks": [{"how": "Press it."}]}]}) != []
    assert faults({"format": 1, "built-on": "plover"}) != []
    whole = {key: value for key, value in layer.items() if key != "built-on"}
    missing = {fault for fault in faults(whole) if "required" in fault}
    assert missing == {f"'{key}' is a required property" for key in ("title", "car", "stations")}


def test_what_a_layer_replaces_as_a_whole_must_be_whole_in_it() -> None:
    check = {"id": "seal", "signs": [{"pass": [0.9, 0.2]}]}
    layer = {"format": 1, "id": "made", "built-on": "plover"}
    found = faults({**layer, "stations": [{"id": "tail", "checks": [check]}]})
    assert found == ["'claim' is a required property"]


REQUIRED = [
    (table, key)
    for table in ("car", "outline", "fact", "mark", "place", "station", "check", "cost", "claim")
    for key, value in TABLES[table].items()
    if value.required
]


@pytest.mark.parametrize(("table", "key"), REQUIRED)
def test_a_whole_route_lacks_no_required_key_at_any_depth(table: str, key: str) -> None:
    data = yaml_12((BAD / "sound.yaml").read_text("utf-8"))
    assert _without(data, table, key) > 0
    assert f"{key!r} is a required property" in faults(data)


def _without(data: Any, table: str, key: str) -> int:
    """Take a key out of all that a table describes; how often it was there."""
    car, stations = data["car"], data["stations"]
    checks = [check for station in stations for check in station["checks"]]
    described = {
        "car": [car],
        "outline": [car["outline"]],
        "fact": car["facts"],
        "mark": list(data["marks"].values()),
        "place": list(data["places"].values()),
        "station": stations,
        "check": checks,
        "cost": [check["cost"] for check in checks if "cost" in check],
        "claim": data["claims"],
    }
    return sum(item.pop(key, None) is not None for item in described[table])


def test_a_choice_needs_its_choices() -> None:
    data = yaml_12((BAD / "sound.yaml").read_text("utf-8"))
    data["car"]["facts"][0]["kind"] = "choice"
    assert faults(data) == ["'choices' is a required property"]


def test_pieces_are_taken_in_and_repeated() -> None:
    data = yaml_12((BAD / "sound.yaml").read_text("utf-8"))
    taken = {"include": "pieces/brakes", "for-each": {"corner": ["left-front", "right-front"]}}
    data["stations"].append({"include": "pieces/under"})
    data["stations"][0]["checks"].append(taken)
    data["stations"][1]["for-each"] = {"side": ["left", "right"]}
    assert faults(data) == []
    taken["for-each"]["corner"] = "left-front"
    assert faults(data) == ["'left-front' is not of type 'array'"]
    taken.pop("for-each")
    taken["id"] = "brakes"
    assert faults(data) != []


def test_a_piece_holds_whole_checks_or_whole_stations_and_no_car() -> None:
    checks = yaml_12(EXAMPLES["piece"]["checks"])
    piece = {"format": 1, "piece": "brakes", "checks": checks}
    assert faults(piece) == []
    assert faults({**piece, "car": {"years": 1966}}) != []
    assert faults({**piece, "stations": []}) != []
    assert faults({"format": 1, "piece": "brakes"}) != []
    del checks[0]["how"]
    assert faults(piece) == ["'how' is a required property"]


# Examples


def test_every_key_has_an_example_and_no_other_has() -> None:
    keys = {(name, key) for name, table in TABLES.items() for key in table}
    assert {(name, key) for name, found in EXAMPLES.items() for key in found} == keys


EXAMPLE = [(name, key) for name, found in EXAMPLES.items() for key in found if key in TABLES[name]]


@pytest.mark.parametrize(("name", "key"), EXAMPLE)
def test_each_example_is_read_without_a_problem(name: str, key: str) -> None:
    problems: list[Problem] = []
    node = _node(EXAMPLES[name][key])
    value = TABLES[name][key].read(Reader(problems), node)
    _read_all(shape_of(TABLES[name][key].read), node, Reader(problems))
    assert problems == []
    assert value is not None


def _node(text: str) -> Node:
    root, problems = parse(f"it:\n  {text.rstrip().replace(chr(10), f'{chr(10)}  ')}\n", "example")
    assert isinstance(root, Map)
    assert problems == []
    node = root.get("it")
    assert node is not None
    return node


def _read_all(shape: Shape, node: Node, reader: Reader) -> None:
    """Read what a key leaves to a later step by the tables its shape names."""
    if shape.kind == "list":
        assert isinstance(node, Seq)
        for item in node.items:
            _read_all(shape_of(shape.of), item, reader)
    elif shape.kind == "named":
        assert isinstance(node, Map)
        for _, value in node.entries.values():
            _read_all(shape_of(shape.of), value, reader)
    elif shape.kind == "keys":
        table: dict[str, Key] = shape.of
        for key, found in reader.keys(node, table, "it").items():
            assert found is not None, key
            assert isinstance(node, Map)
            _read_all(shape_of(table[key].read), node.entries[key][1], reader)


@pytest.mark.parametrize("load", [yaml_12, yaml_11])
@pytest.mark.parametrize(("name", "key"), EXAMPLE)
def test_each_example_is_right_by_the_schema(
    name: str, key: str, load: Callable[[str], Any]
) -> None:
    table = SCHEMA if name in ("route", "piece") else SCHEMA["$defs"][name]
    of = Draft202012Validator({**table["properties"][key], "$defs": SCHEMA["$defs"]})
    assert faults(load(EXAMPLES[name][key]), of) == []


def test_the_smallest_files_are_right_by_both(tmp_path: Path) -> None:
    for text in (ROUTE, LAYER):
        data = yaml_12(text)
        (tmp_path / f"{data['id']}.yaml").write_text(text, "utf-8")
        assert faults(data) == []
    catalog = Catalog([Folder(tmp_path, "yours")])
    assert catalog.read(tmp_path / "plover.yaml")[1] == []
    assert catalog.read(tmp_path / "plover-1966.yaml")[1] == []
    assert catalog.load("plover-1966").checks["boot-seal"].how.endswith("under the lip too.")


# Readings


@pytest.mark.parametrize("kind", READING_KINDS)
def test_each_kind_has_an_example_of_every_field_and_the_schema_knows_the_kind(kind: str) -> None:
    of = definition("reading")
    shown = {field for typed in READINGS[kind] for field in typed.fields}
    assert shown - set(COMMON_FIELDS) == set(READING_KINDS[kind])
    for typed in READINGS[kind]:
        reading = {"kind": kind, **{key: yaml_12(value) for key, value in typed.fields.items()}}
        assert faults(reading, of) == []
    strange = {field for other in READING_KINDS for field in fields_of(other)}
    for field in strange - set(fields_of(kind)):
        example = next(
            typed.fields[field]
            for readings in READINGS.values()
            for typed in readings
            if field in typed.fields
        )
        assert faults({"kind": kind, field: yaml_12(example)}, of) != [], field


def test_the_fields_of_every_kind_have_examples() -> None:
    assert {"kind", *COMMON_FIELDS} == set(READING_COMMON)
    of = definition("reading")
    common = {field: yaml_12(value) for field, value in COMMON_FIELDS.items()}
    assert faults({"kind": "measure", **common}, of) == []


def test_a_layer_changes_fields_of_a_reading_without_naming_its_kind() -> None:
    of = definition("reading")
    assert faults({"side-difference": 1.2, "taper": 1.5}, of) == []
    assert faults({"tapir": 1.5}, of) != []
