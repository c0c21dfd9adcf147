"""A route read again and again while it is edited comes out as one read for the first time."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checkrun.route.catalog import Catalog, Folder

CHECKLISTS = Path(__file__).parents[2] / "checklists"
SHARED = Path(__file__).parents[1] / "data" / "shared"
#: A route with pieces and loops, and a layer over two others.
FILES = [SHARED / "shared.yaml", CHECKLISTS / "plover-1964.yaml"]
TYPED = ["", " ", "x", "\n", "{corner}", "# word", "fail: ", "  - id: new-one\n", "0.5", "'", ": "]


def folders(path: Path) -> list[Folder]:
    return [Folder(path.parent, "shipped")]


def fresh(path: Path, text: str) -> object:
    catalog = Catalog(folders(path))
    catalog.hold(path, text.encode())
    route, problems, _ = catalog.read(path, content=True)
    return route, sorted(problems)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
@settings(deadline=None, max_examples=12, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_it_comes_out_as_if_read_for_the_first_time(path: Path, data: st.DataObject) -> None:
    catalog = Catalog(folders(path))
    text = path.read_text("utf-8")
    for _ in range(4):
        catalog.hold(path, text.encode())
        route, problems, _ = catalog.read(path, content=True)
        assert (route, sorted(problems)) == fresh(path, text)
        at = data.draw(st.integers(0, len(text)))
        taken = data.draw(st.integers(0, 4))
        text = text[:at] + data.draw(st.sampled_from(TYPED)) + text[at + taken :]
        if not text.strip():
            return


def test_a_piece_that_changes_changes_the_routes_that_take_it_in() -> None:
    path, piece = SHARED / "shared.yaml", SHARED / "pieces" / "front-tyre.yaml"
    catalog = Catalog(folders(path))
    text = piece.read_text("utf-8")
    for word in ("one", "two"):
        catalog.hold(piece, text.replace("source: ", f"source: {word}, ", 1).encode())
        route, _, _ = catalog.read(path)
        assert route is not None
        assert any(check.source.startswith(f"{word}, ") for check in route.checks.values())


def test_a_piece_of_ones_own_that_comes_meanwhile_is_taken_in_once_its_file_is_let_go(
    tmp_path: Path,
) -> None:
    """A route is being edited, and over it a piece, whose first save makes a copy that wins."""
    path, shipped = SHARED / "shared.yaml", SHARED / "pieces" / "front-tyre.yaml"
    catalog = Catalog([Folder(tmp_path, "yours"), Folder(SHARED, "shipped")])
    catalog.hold(path, path.read_bytes())
    catalog.read(path)
    catalog.hold(shipped, shipped.read_bytes())
    own = tmp_path / "pieces" / "front-tyre.yaml"
    own.parent.mkdir()
    own.write_text(shipped.read_text("utf-8").replace("source: ", "source: mine, ", 1), "utf-8")
    catalog.hold(shipped, None)
    route, _, _ = catalog.read(path)
    assert route is not None
    assert any(check.source.startswith("mine, ") for check in route.checks.values())


def test_what_was_held_is_forgotten_when_it_is_let_go() -> None:
    path = SHARED / "shared.yaml"
    catalog = Catalog(folders(path))
    catalog.hold(path, path.read_bytes() + b"\nzzz: 1\n")
    assert catalog.read(path)[1]
    catalog.hold(path, None)
    assert catalog.kept is None
    assert catalog.read(path)[1] == []
