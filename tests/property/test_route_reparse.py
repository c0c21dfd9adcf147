"""A file parsed in parts is the tree that it is as a whole, whatever was typed into it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checkrun.route.nodes import Map, Node, Scalar, Seq, parse
from checkrun.route.reparse import Reparser

CHECKLISTS = Path(__file__).parents[2] / "checklists"
WHOLE = (CHECKLISTS / "plover-1966.yaml").read_text("utf-8")
TYPED = st.one_of(
    st.text("ab: -#'\"[]{}|>\n&*!%\t", max_size=6),
    st.sampled_from(
        [
            "\n  - id: new\n",
            "\n",
            "  - ",
            "- ",
            "stations:\n",
            "\n---\n",
            "# word\n",
            "'",
            '"',
            "|\n",
        ]
    ),
)


def plain(node: Node | None) -> Any:
    """All that a tree holds, with its places."""
    if isinstance(node, Map):
        entries = [(plain(key), plain(value)) for key, value in node.entries.values()]
        return ("map", node.line, node.column, list(node.entries), entries)
    if isinstance(node, Seq):
        return ("seq", node.line, node.column, [plain(item) for item in node.items])
    if isinstance(node, Scalar):
        return ("text", node.line, node.column, node.text, node.plain)
    return None if node is None else (type(node).__name__, node.line, node.column)


def same(reparser: Reparser, text: str) -> None:
    root, problems = reparser.parse(text)
    expected, told = parse(text, "x.yaml")
    assert problems == told
    assert plain(root) == plain(expected)


@settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_whatever_is_typed_the_tree_is_that_of_the_whole(data: st.DataObject) -> None:
    # A few stations are enough, and quick: every one is cut in the same way.
    lines = WHOLE.splitlines(keepends=True)
    begin = next(i for i, line in enumerate(lines) if line.startswith("stations:"))
    text = "".join(lines[:12] + lines[begin : begin + 60])
    reparser = Reparser("x.yaml")
    same(reparser, text)
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        taken = data.draw(st.integers(0, 12))
        text = text[:at] + data.draw(TYPED) + text[at + taken :]
        if text.strip():
            same(reparser, text)


@pytest.mark.parametrize("path", sorted(CHECKLISTS.glob("*.yaml")), ids=lambda path: path.stem)
def test_shipped_routes_line_by_line(path: Path) -> None:
    text = path.read_text("utf-8")
    reparser = Reparser("x.yaml")
    same(reparser, text)
    lines = text.splitlines(keepends=True)
    for at in range(0, len(lines), max(1, len(lines) // 8)):
        same(reparser, "".join([*lines[:at], "# one line more\n", *lines[at:]]))
        same(reparser, "".join([*lines[:at], *lines[at + 1 :]]))


def test_two_equal_stations_stand_at_two_places() -> None:
    text = "id: x\nstations:\n  - id: a\n    title: A\n  - id: a\n    title: A\ncar: {}\n"
    reparser = Reparser("x.yaml")
    same(reparser, text)
    same(reparser, "# above\n" + text)


def test_only_the_item_that_changed_is_parsed(monkeypatch: pytest.MonkeyPatch) -> None:
    import checkrun.route.reparse as module

    parsed: list[str] = []

    def spy(text: str, file: str) -> Any:
        parsed.append(text)
        return parse(text, file)

    monkeypatch.setattr(module, "parse", spy)
    reparser = Reparser("x.yaml")
    reparser.parse(WHOLE)
    parsed.clear()
    typed = WHOLE.replace("Whole, ", "Whole and ", 1) if "Whole, " in WHOLE else WHOLE
    typed = typed.replace("stations:\n", "stations:\n  # a line\n")
    reparser.parse(typed)
    assert len(parsed) <= 3
    assert sum(map(len, parsed)) < len(WHOLE) / 2
