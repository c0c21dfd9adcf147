"""Pieces and `for-each`: the same route as the one that is written out, and no file is too odd."""

from __future__ import annotations

import copy
import re
import tempfile
from pathlib import Path
from typing import Any

import strategies
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Bare

from checkrun.route.catalog import Catalog, Folder
from checkrun.route.data import to_data
from checkrun.route.problems import Problem


def write(folder: Path, route: Any, pieces: dict[str, Any]) -> None:
    (folder / "pieces").mkdir(exist_ok=True)
    name = route["id"].text
    (folder / f"{name}.yaml").write_text(strategies.to_yaml(route), "utf-8")
    for stem, piece in pieces.items():
        head = {"format": Bare("1"), "piece": Bare(stem)}
        (folder / "pieces" / f"{stem}.yaml").write_text(strategies.to_yaml(head | piece), "utf-8")


def read(route: Any, pieces: dict[str, Any]) -> tuple[dict[str, Any], list[Problem]]:
    with tempfile.TemporaryDirectory() as name:
        write(Path(name), route, pieces)
        catalog = Catalog([Folder(Path(name), "yours")])
        route_id = route["id"].text
        return to_data(catalog.load(route_id)), catalog.read(catalog.find(route_id).path)[1]


@given(data=strategies.written_routes(), drawn=st.data())
@settings(max_examples=40, deadline=None)
def test_a_route_cut_into_pieces_is_the_same_route(
    data: dict[str, Any], drawn: st.DataObject
) -> None:
    whole, _ = read(data, {})
    cut = copy.deepcopy(data)
    pieces: dict[str, Any] = {}

    def moved(items: list[Any], what: str) -> list[Any]:
        """The list with a run of its members in a piece."""
        start = drawn.draw(st.integers(0, len(items)))
        end = drawn.draw(st.integers(start, len(items)))
        name = f"p{len(pieces)}"
        pieces[name] = {what: items[start:end]}
        return [*items[:start], {"include": Bare(f"pieces/{name}")}, *items[end:]]

    for station in cut["stations"]:
        station["checks"] = moved(station["checks"], "checks")
    cut["stations"] = moved(cut["stations"], "stations")
    for key in ("marks", "places", "claims"):
        if cut.get(key) and drawn.draw(st.booleans()):
            piece = drawn.draw(st.sampled_from(sorted(pieces)))
            pieces[piece][key] = cut.pop(key)
    again, problems = read(cut, pieces)
    assert [problem for problem in problems if not problem.warning] == []
    assert again == whole


_VALUES = st.lists(strategies.ids, min_size=1, max_size=4, unique=True)
#: Words that hold no brace, so that nothing else in a text asks for a value.
_WORDS = strategies.texts.map(lambda text: re.sub(r"[{}]", "", text)).filter(str.strip)


@st.composite
def gapped(draw: st.DrawFn) -> str:
    gaps = st.sampled_from(["{at}", "{At}", "{at-id}"])
    return "".join(draw(st.lists(_WORDS | gaps, min_size=1, max_size=6)))


def put_in(text: str, value: str) -> str:
    words = value.replace("-", " ")
    return (
        text.replace("{at}", words)
        .replace("{At}", words[0].upper() + words[1:])
        .replace("{at-id}", value)
    )


@given(
    data=strategies.written_routes(),
    values=_VALUES,
    texts=st.lists(gapped(), min_size=6, max_size=6),
    as_piece=st.booleans(),
)
@settings(max_examples=40, deadline=None)
def test_a_repeated_check_is_the_same_as_each_written_out(
    data: dict[str, Any], values: list[str], texts: list[str], as_piece: bool
) -> None:
    keys = ("ask", "how", "pass", "concern", "fail", "source")
    check: dict[str, Any] = dict(zip(keys, texts, strict=True))
    check |= {"class": Bare("minor"), "group": Bare("trim")}
    written, looped = copy.deepcopy(data), copy.deepcopy(data)
    for value in values:
        one = {key: put_in(text, value) for key, text in zip(keys, texts, strict=True)}
        named = {"id": Bare(f"zz-repeated-{value}")}
        written["stations"][0]["checks"].append(named | check | one)
    loop = {"for-each": {"at": [Bare(value) for value in values]}}
    named = {"id": Bare("zz-repeated")}
    pieces = {"repeated": {"checks": [named | check]}} if as_piece else {}
    item = {"include": Bare("pieces/repeated")} if as_piece else named | check
    looped["stations"][0]["checks"].append(item | loop)
    assert read(looped, pieces)[0] == read(written, {})[0]


_RUBBLE = st.sampled_from(
    [
        *("format: 1\n", "piece: a\n", "piece: b\n", "checks:\n", "stations:\n", "places:\n"),
        *("  - include: pieces/a\n", "  - include: pieces/b\n", "  - id: x\n", "    place: {a}\n"),
        *("    for-each: {a: [x, y]}\n", "    for-each: {a: [x], b: [y, z]}\n", "  - {a}\n"),
        *(
            "    for-each: [x]\n",
            "    checks:\n",
            "      - id: '{a}'\n",
            '        ask: "{b} {A}"\n',
        ),
        *(
            "      - include: pieces/b\n",
            "        for-each: {b: [1]}\n",
            "    after: x\n",
            "  - x\n",
        ),
        *("claims:\n", "  nose: {x: 1}\n", "marks: []\n", "- ", "{", "}", "]", "*a", "&a ", "\t"),
    ]
)


@given(
    st.lists(_RUBBLE, max_size=14), st.lists(_RUBBLE, max_size=14), st.lists(_RUBBLE, max_size=8)
)
@settings(max_examples=300, deadline=None)
def test_lint_takes_any_rubble_in_a_route_and_its_pieces(
    route: list[str], one: list[str], other: list[str]
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "pieces").mkdir()
        files = {
            "r.yaml": "format: 1\nid: r\nstations:\n  - include: pieces/a\n" + "".join(route),
            "pieces/a.yaml": "format: 1\npiece: a\nstations:\n" + "".join(one),
            "pieces/b.yaml": "format: 1\npiece: b\nchecks:\n" + "".join(other),
        }
        for file, text in files.items():
            (folder / file).write_text(text, "utf-8")
        catalog = Catalog([Folder(folder, "yours")])
        problems = catalog.lint("r")
        assert problems == sorted(set(problems))
        assert problems
        for problem in (*problems, *catalog.untaken()):
            lines = files[str(Path(problem.file).relative_to(folder))].split("\n")
            assert 1 <= problem.line <= len(lines)
            assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1


_FAULTS = [
    ("class", Bare("grave"), "R025"),
    ("minutes", Bare("1,5"), "R023"),
    ("minutes", Bare("0"), "R024"),
    ("concern", Bare("no"), "R026"),
    ("source", "", "R029"),
    ("how", {"a": "b"}, "R022"),
    ("id", Bare("Not An Id"), "R027"),
    ("after", Bare("nowhere-at-all"), "R041"),
    ("asks", "x", "R020"),
]


@given(data=strategies.written_routes(), fault=st.sampled_from(_FAULTS), seed=st.integers(0, 99))
@settings(max_examples=60, deadline=None)
def test_a_planted_mistake_is_found_at_its_line_in_the_piece(
    data: dict[str, Any], fault: tuple[str, Any, str], seed: int
) -> None:
    key, value, code = fault
    station = data["stations"][seed % len(data["stations"])]
    checks, station["checks"] = station["checks"], [{"include": Bare("pieces/cut")}]
    checks[seed % len(checks)][key] = {"a": "b"} if isinstance(value, dict) else value
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write(folder, data, {"cut": {"checks": checks}})
        text = (folder / "pieces" / "cut.yaml").read_text("utf-8").split("\n")
        starts = f"{key}: {value.text}" if isinstance(value, Bare) else f"{key}:"
        lines = [at for at, line in enumerate(text, 1) if line.strip(" -").startswith(starts)]
        told = [
            (problem.line, problem.code)
            for problem in Catalog([Folder(folder, "yours")]).lint(data["id"].text)
            if Path(problem.file).name == "cut.yaml"
        ]
    assert set(told) & {(line + (code == "R022"), code) for line in lines}
