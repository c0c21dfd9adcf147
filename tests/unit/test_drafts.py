from __future__ import annotations

import json
from pathlib import Path

import pytest

from checkrun.session.drafts import Drafts


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "walks"


def test_a_draft_is_there_again_for_the_next_program(folder: Path) -> None:
    Drafts(folder).keep("s-1", "note", "sill", "half a\nno")
    assert Drafts(folder).get("s-1", "note", "sill") == "half a\nno"
    assert Drafts(folder).get("s-1", "reading", "sill") is None
    assert Drafts(folder).get("s-2", "note", "sill") is None


def test_an_emptied_draft_is_one_too(folder: Path) -> None:
    drafts = Drafts(folder)
    drafts.keep("s-1", "note", "sill", "")
    assert Drafts(folder).get("s-1", "note", "sill") == ""


def test_the_latest_text_counts_and_dropping_the_last_removes_the_file(folder: Path) -> None:
    drafts = Drafts(folder)
    drafts.keep("s", "note", "a", "one")
    drafts.keep("s", "note", "a", "two")
    drafts.keep("s", "note", "b", "other")
    assert Drafts(folder).get("s", "note", "a") == "two"
    drafts.drop("s", "note", "a")
    assert Drafts(folder).get("s", "note", "a") is None
    assert Drafts(folder).get("s", "note", "b") == "other"
    drafts.drop("s", "note", "b")
    drafts.drop("s", "note", "b")
    assert [*folder.iterdir()] == []


def test_drafts_are_no_sessions(folder: Path) -> None:
    from checkrun.session.heads import session_ids

    Drafts(folder).keep("s", "note", "a", "one")
    assert session_ids(folder) == []


@pytest.mark.parametrize("raw", [b"", b"{", b"[1]", b'"x"', b"\xff\xfe", b'{"s/note/a": 5}'])
def test_a_broken_file_of_drafts_is_as_none(folder: Path, raw: bytes) -> None:
    folder.mkdir()
    (folder / ".drafts.json").write_bytes(raw)
    drafts = Drafts(folder)
    assert drafts.get("s", "note", "a") is None
    drafts.keep("s", "note", "a", "new")
    assert Drafts(folder).get("s", "note", "a") == "new"


def test_a_draft_that_can_not_be_kept_stops_nobody(folder: Path) -> None:
    folder.write_text("a file in the folder's place")
    drafts = Drafts(folder)
    drafts.keep("s", "note", "a", "text")
    assert drafts.get("s", "note", "a") == "text"
    drafts.drop("s", "note", "a")
    assert folder.read_text() == "a file in the folder's place"


def test_a_failed_write_leaves_the_drafts_before_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drafts = Drafts(folder)
    drafts.keep("s", "note", "a", "old")

    def refuse(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", refuse)
        drafts.keep("s", "note", "a", "newer")
    assert Drafts(folder).get("s", "note", "a") == "old"
    assert [path.name for path in folder.iterdir()] == [".drafts.json"]


def test_any_text_survives(folder: Path) -> None:
    for text in ("ü ✓ 漢", 'quotes " \\', "tab\t", "\ud800"):
        Drafts(folder).keep("s", "note", "a", text)
        found = Drafts(folder).get("s", "note", "a")
        assert found == text or (text == "\ud800" and found is not None)
    assert isinstance(json.loads((folder / ".drafts.json").read_text("utf-8")), dict)
