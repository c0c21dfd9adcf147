"""A folder with the sound route of `tests/data/bad` in it, and a way to write others beside it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from checkrun.route.catalog import Catalog, Folder

SOUND = Path(__file__).parents[2] / "data" / "bad" / "sound.yaml"

Write = Callable[[str, str], Path]


@pytest.fixture
def sound() -> str:
    return SOUND.read_text(encoding="utf-8")


@pytest.fixture
def folder(tmp_path: Path, sound: str) -> Path:
    path = tmp_path / "routes"
    path.mkdir()
    (path / "sound.yaml").write_text(sound, encoding="utf-8")
    return path


@pytest.fixture
def layer(folder: Path) -> Write:
    """Write a route that lies on the sound one."""

    def write(name: str, text: str) -> Path:
        path = folder / f"{name}.yaml"
        path.write_text(f"format: 1\nid: {name}\nbuilt-on: sound\n{text}", encoding="utf-8")
        return path

    return write


@pytest.fixture
def catalog(folder: Path) -> Catalog:
    return Catalog([Folder(folder, "shipped")])
