"""The parts of YAML that get a colour."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from checkrun.report.yamlmarks import Marks

CHECKLISTS = Path(__file__).parents[3] / "checklists"


def marked(text: str, number: int = 0) -> list[tuple[str, str]]:
    lines = text.split("\n")
    line = lines[number]
    return [
        (line[span.start : span.end], span.role.removeprefix("yaml-"))
        for span in Marks(lines).of(number, line)
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("id: wren", [("id", "key"), (":", "sign")]),
        (
            "  - id: nose  # first",
            [("- ", "sign"), ("id", "key"), (":", "sign"), ("# first", "comment")],
        ),
        ("# all of it", [("# all of it", "comment")]),
        ('ask: "a: b # c"', [("ask", "key"), (":", "sign"), ('"a: b # c"', "text")]),
        ("minutes: 0.5", [("minutes", "key"), (":", "sign"), ("0.5", "number")]),
        (
            "nose: {x: -0.8}",
            [
                ("nose", "key"),
                (":", "sign"),
                ("{", "sign"),
                ("x", "key"),
                (":", "sign"),
                ("-0.8", "number"),
                ("}", "sign"),
            ],
        ),
        ("ask: The {side} one", [("ask", "key"), (":", "sign"), ("{side}", "name")]),
        ("title: Don't touch", [("title", "key"), (":", "sign")]),
        ("size: 205/55 R16", [("size", "key"), (":", "sign")]),
    ],
)
def test_a_line(text: str, expected: list[tuple[str, str]]) -> None:
    assert [pair for pair in marked(text) if pair[0].strip()] == expected


def test_a_block_of_text_is_text_to_its_end_whatever_it_looks_like() -> None:
    text = (
        "about: >-\n  id: no key here\n\n  # no remark\n"
        "title: one\n  - how: |\n      a: b\n    pass: x"
    )
    assert marked(text)[-1] == (">-", "block")
    assert marked(text, 1) == [("  id: no key here", "text")]
    assert marked(text, 2) == []
    assert marked(text, 3) == [("  # no remark", "text")]
    assert marked(text, 4)[0] == ("title", "key")
    assert marked(text, 6) == [("      a: b", "text")]
    assert marked(text, 7)[0] == ("pass", "key")


@pytest.mark.parametrize("path", sorted(CHECKLISTS.rglob("*.yaml")), ids=lambda path: path.stem)
def test_in_every_shipped_file_the_keys_are_those_that_yaml_finds(path: Path) -> None:
    """Held against PyYAML: a key is coloured where its scanner says that one stands."""
    text = path.read_text("utf-8")
    lines = text.split("\n")
    marks = Marks(lines)
    coloured = {
        (number, span.start)
        for number, line in enumerate(lines)
        for span in marks.of(number, line)
        if span.role == "yaml-key"
    }
    keys, key = set(), False
    for token in yaml.scan(text, Loader=yaml.CSafeLoader):
        if key and isinstance(token, yaml.ScalarToken):
            keys.add((token.start_mark.line, token.start_mark.column))
        key = isinstance(token, yaml.KeyToken)
    assert coloured == keys
