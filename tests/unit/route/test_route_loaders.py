"""The C reader and the Python reader give the same trees and, nearly always, the same problems."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from checkrun.route import nodes
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.nodes import Map, Node, Refused, Scalar, Seq, decode, parse
from checkrun.route.problems import Problem, place_of, with_source

ROOT = Path(__file__).parents[3]
FILES = [
    *sorted((ROOT / "checklists").glob("*.yaml")),
    *sorted((ROOT / "tests" / "data" / "bad").glob("*.yaml")),
]
LOADERS = [yaml.CSafeLoader, yaml.SafeLoader]


def as_data(node: Node | None) -> object:
    if node is None:
        return None
    here = (type(node).__name__, node.line, node.column)
    if isinstance(node, Map):
        return here, [(key, as_data(k), as_data(v)) for key, (k, v) in node.entries.items()]
    if isinstance(node, Seq):
        return here, [as_data(item) for item in node.items]
    return (here, node.text, node.plain) if isinstance(node, Scalar) else here


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_both_readers_give_the_same_tree_and_problems(path: Path) -> None:
    text, unread = decode(path.read_bytes(), path.name)
    if unread:
        assert text == ""
        return
    c_tree, c_problems = parse(text, path.name, yaml.CSafeLoader)
    py_tree, py_problems = parse(text, path.name, yaml.SafeLoader)
    assert as_data(c_tree) == as_data(py_tree)
    assert c_problems == py_problems
    assert c_tree is not None or c_problems, "what gives no tree gives a reason"


BROKEN = {
    "colon in a text": "title: gap: wide\n",
    "no blank behind a colon": "id:x\ntitle: y\n",
    "quote not closed": 'title: "gap\nid: x\n',
    "more behind a quote": 'title: "gap" wide\n',
    "list not closed": "a: [b, c\nid: x\n",
    "mapping not closed": "a: {b: c\nid: x\n",
    "no comma": "a: {b: c d: e}\n",
    "indented less": "a:\n    b: 1\n  c: 2\n",
    "indented more": "a: 1\n  b: 2\n",
    "no colon": "a: 1\nbcd\nc: 2\n",
    "at sign": "a: @foo\n",
    "backtick": "a: `foo`\n",
    "per cent": "a: %foo\n",
    "exclamation marks": "a: !foo! bar\n",
    "stars": "a: *foo* bar\n",
    "ampersand": "a: & foo\n",
    "closing bracket": "a: ] b\n",
    "more than": "a: >5 mm\n",
    "bar": "a: |x\n",
    "list behind a key": "a: - b\n",
    "list beside keys": "a: 1\n- b\n",
    "document end": "a: 1\n... b\n",
    "other YAML": "%YAML 2.0\n---\na: 1\n",
}


@pytest.mark.parametrize("case", BROKEN)
def test_broken_yaml_is_told_in_the_same_words_by_both(case: str) -> None:
    told = [parse(BROKEN[case], "x.yaml", loader) for loader in LOADERS]
    assert told[0] == told[1]
    (problem,) = told[0][1]
    assert problem.code == "R005"
    assert not problem.message.startswith("not YAML"), "it has words of our own"
    assert problem.hint


def test_an_escape_that_means_nothing_is_told_by_both_within_a_character() -> None:
    """The one place where the readers differ: before or behind the letter."""
    told = [parse('a: "b\\q"\n', "x.yaml", loader)[1][0] for loader in LOADERS]
    assert [str(problem) for problem in told] == [
        "x.yaml:1:6: R005 this backslash means nothing in double quotes",
        "x.yaml:1:7: R005 this backslash means nothing in double quotes",
    ]


def test_the_python_reader_is_used_where_libyaml_is_missing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    used = []
    parse_with = yaml.parse

    def spy(text: str, Loader: type) -> object:
        used.append(Loader)
        return parse_with(text, Loader=Loader)

    monkeypatch.setattr(nodes.yaml, "parse", spy)
    parse("a: 1\n", "x.yaml")
    monkeypatch.delattr(nodes.yaml, "CSafeLoader")
    parse("a: 1\n", "x.yaml")
    assert used == LOADERS


def test_plain_texts_are_warned_of_under_both_readers(
    folder: Path, sound: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = sound.replace("fail: Torn or missing.", "fail: no").replace("id: sound", "id: bare")
    (folder / "bare.yaml").write_text(text, "utf-8")
    told = [Catalog([Folder(folder, "yours")]).lint("bare")]
    monkeypatch.delattr(nodes.yaml, "CSafeLoader")
    told.append(Catalog([Folder(folder, "yours")]).lint("bare"))
    assert told[0] == told[1]
    assert [problem.code for problem in told[0]] == ["R026"]


@pytest.mark.parametrize("loader", LOADERS)
@pytest.mark.parametrize("mark", ["", "\ufeff"], ids=["plain", "bom"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"], ids=["lf", "crlf", "cr"])
def test_places_are_counted_in_characters_whatever_ends_the_lines(
    loader: type, mark: str, end: str
) -> None:
    lines = ["# Ölwanne 底盤 🚗", "a: {text: Nº du châssis 🚗 é, b: *c}", ' d: "🚗"', ""]
    text, problems = decode((mark + end.join(lines)).encode(), "x.yaml")
    assert problems == []
    _, problems = parse(text.replace(" d:", "d:"), "x.yaml", loader)
    assert [(p.line, p.column, p.code) for p in problems] == [(2, 33, "R008")]
    assert lines[1][33 - 1] == "*"
    _, problems = parse(text.replace(" d:", " \td:"), "x.yaml", loader)
    assert [(p.line, p.column, p.code) for p in problems if p.code == "R006"] == [(3, 2, "R006")]
    _, problems = parse(text.replace("é,", "é\x01,"), "x.yaml", loader)
    assert [(p.line, p.column, p.code) for p in problems if p.code == "R005"] == [(2, 28, "R005")]


@pytest.mark.parametrize("loader", LOADERS)
def test_a_refused_value_is_told_once_and_as_a_key_stands_for_nothing(loader: type) -> None:
    root, problems = parse("*a : 1\nb: *c\n[d]: 2\n{e: f}: 3\n", "x.yaml", loader)
    assert [(p.line, p.column, p.code) for p in problems] == [
        (1, 1, "R008"),
        (2, 4, "R008"),
        (3, 1, "R022"),
        (4, 1, "R022"),
    ]
    assert isinstance(root, Map)
    assert list(root.entries) == ["b"]
    assert isinstance(root.get("b"), Refused)


@pytest.mark.parametrize("loader", LOADERS)
def test_an_escape_for_a_terminal_does_not_get_through(loader: type) -> None:
    root, problems = parse('a: "\\e[31mred\\a"\nb: "two\\nlines\\tand a tab"\n', "x.yaml", loader)
    assert [(p.line, p.column, p.code) for p in problems] == [(1, 4, "R011")]
    assert isinstance(root, Map)
    first, second = root.get("a"), root.get("b")
    assert isinstance(first, Scalar)
    assert isinstance(second, Scalar)
    assert first.text == "?[31mred?"
    assert second.text == "two\nlines\tand a tab"


@pytest.mark.parametrize(
    ("text", "index", "place"),
    [
        ("", 0, (1, 1)),
        ("ab", 1, (1, 2)),
        ("a\nb", 2, (2, 1)),
        ("a\r\nb", 3, (2, 1)),
        ("a\rb", 2, (2, 1)),
        ("a\x85b\u2028c\u2029d", 6, (4, 1)),
        ("a\x0cb", 2, (1, 3)),
        ("é🚗x", 2, (1, 3)),
    ],
)
def test_a_place_is_a_line_and_a_character(text: str, index: int, place: tuple[int, int]) -> None:
    assert place_of(text, index) == place


@pytest.mark.parametrize(
    ("line", "column", "shown"),
    [
        ("title: no", 8, "    title: no\n           ^"),
        ("底盤: no", 5, "    底盤: no\n          ^"),
        ("e\u0301: no", 5, "    e\u0301: no\n       ^"),
        ("a\t\x1b[31mb", 7, "    a  [31mb\n          ^"),
        (f"{'x' * 100}: no", 103, f"    {'x' * 57}: no\n{' ' * 63}^"),
    ],
)
def test_the_caret_stands_under_the_character(line: str, column: int, shown: str) -> None:
    text = f"\ufefffirst: line\r\n{line}\r\nlast: line\r\n"
    problem = Problem("x.yaml", 2, column, "R026", "message", "A hint.")
    expected = f"x.yaml:2:{column}: R026 message\n{shown}\n    A hint."
    assert with_source(problem, text) == expected


def test_a_caret_in_the_first_line_does_not_count_the_byte_order_mark() -> None:
    problem = Problem("x.yaml", 1, 3, "R026", "message")
    assert with_source(problem, "\ufeffa: no") == "x.yaml:1:3: R026 message\n    a: no\n      ^"


def test_a_problem_whose_line_is_not_there_is_shown_without_one() -> None:
    assert with_source(Problem("x", 9, 1, "R001", "m", "h"), "") == "x:9:1: R001 m\n    h"


def test_a_problem_quotes_what_it_found_on_one_line() -> None:
    node = Scalar("x.yaml", 1, 1, "a\tb\nc", plain=False)
    problem = node.problem("R020", f"`{node.text}` is no key", f"Not `{node.text}`.")
    assert (problem.message, problem.hint) == ("`a b c` is no key", "Not `a b c`.")


@pytest.mark.parametrize("loader", LOADERS)
@pytest.mark.parametrize("text", ["# a\n", "---\n", "---\n\n  ", "---\n# a\n", "---\n...\n"])
def test_a_file_without_a_value_is_told_to_be_empty(text: str, loader: type) -> None:
    root, problems = parse(text, "x.yaml", loader)
    assert root is None
    assert [str(p) for p in problems] == ["x.yaml:1:1: R004 the file holds nothing but comments"]
