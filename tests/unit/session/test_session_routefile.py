"""Route files on disk: whose they are, and that replacing one loses nothing."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from checkrun.session.routefile import is_installed, own_path, put_schema_beside, save


def test_what_was_installed_is_saved_into_ones_own_folder(tmp_path: Path) -> None:
    shipped, own = tmp_path / "shipped", tmp_path / "own"
    assert own_path(shipped / "wren.yaml", shipped, own) == own / "wren.yaml"
    piece = shipped / "pieces" / "brake.yaml"
    assert is_installed(piece, shipped)
    assert own_path(piece, shipped, own) == own / "pieces" / "brake.yaml"
    for path in (own / "wren.yaml", tmp_path / "elsewhere.yaml"):
        assert not is_installed(path, shipped)
        assert own_path(path, shipped, own) == path


def test_a_new_file_gets_its_folder_and_needs_no_backup(tmp_path: Path) -> None:
    path = tmp_path / "own" / "pieces" / "brake.yaml"
    saved = save(path, b"new", known=None)
    assert (saved.path, saved.backup) == (path, None)
    assert path.read_bytes() == b"new"


def test_what_was_there_is_kept_beside_it_each_time_it_is_not_known(tmp_path: Path) -> None:
    path = tmp_path / "wren.yaml"
    path.write_bytes(b"first")
    first = save(path, b"second", known=None)
    assert first.backup == tmp_path / "wren.yaml.backup-1"
    assert first.backup.read_bytes() == b"first"
    # What this program wrote itself need not be kept again ...
    assert save(path, b"third", known=b"second").backup is None
    # ... what somebody else wrote meanwhile must.
    path.write_bytes(b"theirs")
    other = save(path, b"fourth", known=b"third")
    assert other.backup == tmp_path / "wren.yaml.backup-2"
    assert other.backup.read_bytes() == b"theirs"
    assert path.read_bytes() == b"fourth"


def test_nothing_is_written_that_stands_there_already(tmp_path: Path) -> None:
    path = tmp_path / "wren.yaml"
    path.write_bytes(b"same")
    before = path.stat().st_mtime_ns
    assert save(path, b"same", known=None).backup is None
    assert path.stat().st_mtime_ns == before
    assert list(tmp_path.iterdir()) == [path]


def test_permissions_and_links_stay_as_they_are(tmp_path: Path) -> None:
    real, link = tmp_path / "real.yaml", tmp_path / "link.yaml"
    real.write_bytes(b"old")
    real.chmod(0o640)
    link.symlink_to(real)
    save(link, b"new", known=None)
    assert link.is_symlink()
    assert real.read_bytes() == b"new"
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


def test_a_write_that_fails_leaves_the_file_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "wren.yaml"
    path.write_bytes(b"old")
    real = os.replace

    def refuse(source: str, target: str | Path) -> None:
        if Path(target) == path:
            raise OSError(28, "No space left on device")
        real(source, target)

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(OSError, match="No space left"):
        save(path, b"new", known=None)
    assert path.read_bytes() == b"old"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["wren.yaml", "wren.yaml.backup-1"]


def test_the_schema_is_put_beside_ones_own_files_once(tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    put_schema_beside(tmp_path / "elsewhere.yaml", own, "{}")
    assert list(own.iterdir()) == []
    put_schema_beside(own / "wren.yaml", own, "{}")
    put_schema_beside(own / "wren.yaml", own, "changed")
    assert (own / "route.schema.json").read_text() == "{}"
