"""One mistake per file: every problem exactly as an author reads it.

The files lie in `tests/data/bad`. `sound.yaml` is right; each other file is that one with one thing
wrong, or lies on it. What is told of each stands in `expected.txt` there.
"""

from __future__ import annotations

import time
import tracemalloc
from pathlib import Path

import pytest

from checkrun.route.catalog import Catalog, Folder
from checkrun.route.nodes import LARGEST
from checkrun.route.problems import Problem, RouteError

FOLDER = Path(__file__).parents[2] / "data" / "bad"


def as_read(problem: Problem) -> list[str]:
    """A problem as an author reads it: its place and message, then the hint."""
    line = str(problem).replace(f"{Path(problem.file).parent}/", "")
    return [line, f"    {problem.hint}"] if problem.hint else [line]


def lint(name: str, folder: Path = FOLDER) -> list[Problem]:
    return Catalog([Folder(folder, "yours")]).lint(name)


def lint_as_read(name: str, folder: Path = FOLDER) -> list[str]:
    return [line for problem in lint(name, folder) for line in as_read(problem)]


def expected() -> dict[str, list[str]]:
    """The problems of every file, from `expected.txt`."""
    found: dict[str, list[str]] = {}
    for block in (FOLDER / "expected.txt").read_text(encoding="utf-8").strip().split("\n\n"):
        head, *lines = block.split("\n")
        found[head.strip("[]")] = lines
    return found


BAD = expected()


def test_the_sound_file_has_no_problem() -> None:
    assert lint("sound") == []


@pytest.mark.parametrize("name", BAD)
def test_a_mistake_is_told_at_its_place_with_what_to_do(name: str) -> None:
    assert lint_as_read(name) == BAD[name]


def test_every_bad_file_has_its_expected_problems() -> None:
    there = {path.stem for path in FOLDER.glob("*.yaml")}
    assert there - {"sound", "alias-bomb"} == set(BAD)
    assert all(BAD.values())


#: What warns and no more: a text that others misread, what says or shares nothing, and braces that
#: nothing gives a value.
WARNINGS = {"R026", "R051", "R053", "R054", "R055", "R068"}


@pytest.mark.parametrize("name", BAD)
def test_only_a_route_with_mere_warnings_is_walked_all_the_same(name: str) -> None:
    catalog = Catalog([Folder(FOLDER, "yours")])
    if all(problem.code in WARNINGS for problem in lint(name)):
        assert catalog.load(name).id == name
    else:
        with pytest.raises(RouteError) as error:
            catalog.load(name)
        assert not any(problem.warning for problem in error.value.problems)


def test_problems_of_several_kinds_are_all_told_in_one_go_in_the_order_of_the_file() -> None:
    codes = [problem.code for problem in lint("many")]
    assert codes == ["R046", "R008", "R007", "R023", "R041", "R041", "R040", "R020", "R026"]
    places = [(problem.line, problem.column) for problem in lint("many")]
    assert places == sorted(places)


def test_an_alias_bomb_is_told_at_once_and_takes_no_memory() -> None:
    lint("sound")  # so that YAML is imported before the clock runs
    tracemalloc.start()
    started = time.perf_counter()
    problems = lint("alias-bomb")
    took = time.perf_counter() - started
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    refused = [problem for problem in problems if problem.code == "R008"]
    assert len(refused) == 9 + 8 * 9, "nine anchors, and nine aliases in each of eight lists"
    assert as_read(refused[0]) == [
        "alias-bomb.yaml:2:4: R008 the anchor `&a` can't be used in routes",
        "    If the `&` belongs to the text, put the text in quotes; else take it out.",
    ]
    assert took < 1.0
    assert peak < 1.5 * LARGEST, "the buffer the file is read into, and little else"


def test_a_file_with_nul_bytes_is_told_to_be_no_text(tmp_path: Path) -> None:
    (tmp_path / "picture.yaml").write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR")
    assert lint_as_read("picture", tmp_path) == [
        "picture.yaml:1:1: R002 this is not a text file (it holds NUL bytes)",
        "    A route is a plain text file in UTF-8; save it as such.",
    ]


def test_utf_16_is_told_to_be_no_utf_8(tmp_path: Path) -> None:
    (tmp_path / "wide.yaml").write_bytes("format: 1\n".encode("utf-16"))
    assert [problem.code for problem in lint("wide", tmp_path)] == ["R002"]


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "bom"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"], ids=["lf", "crlf"])
def test_a_byte_that_is_not_utf_8_is_told_at_its_character(
    tmp_path: Path, mark: bytes, end: bytes
) -> None:
    text = "format: 1|title: Plüsch ".encode().replace(b"|", end) + b"caf\xe9" + end
    (tmp_path / "old.yaml").write_bytes(mark + text)
    assert lint_as_read("old", tmp_path) == [
        "old.yaml:2:18: R002 byte 0xe9 is not UTF-8",
        "    Save the file as UTF-8.",
    ]


def test_a_huge_file_is_told_without_being_read_to_its_end(tmp_path: Path) -> None:
    with (tmp_path / "huge.yaml").open("wb") as file:
        file.write(b"format: 1\n")
        file.truncate(20 * 1024 * 1024)
    tracemalloc.start()
    problems = lint("huge", tmp_path)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert [line for problem in problems for line in as_read(problem)] == [
        "huge.yaml:1:1: R003 the file is larger than 8 MiB, the most a route may hold",
        "    Is this the right file?",
    ]
    assert peak < 2.2 * LARGEST, "the bytes up to the limit, and the buffer they were read into"


def test_a_folder_in_place_of_a_file_is_no_route(tmp_path: Path) -> None:
    (tmp_path / "folder.yaml").mkdir()
    problems = Catalog([]).read(tmp_path / "folder.yaml")[1]
    assert [line for problem in problems for line in as_read(problem)] == [
        "folder.yaml:1:1: R001 the file can't be read: is a directory"
    ]


def test_five_thousand_tabs_are_told_quickly(tmp_path: Path) -> None:
    text = "format: 1\n" + "\tid: x\n" * 5000
    (tmp_path / "tabs.yaml").write_text(text, encoding="utf-8")
    started = time.perf_counter()
    problems = lint("tabs", tmp_path)
    assert time.perf_counter() - started < 1.0
    assert [problem.line for problem in problems if problem.code == "R006"] == list(range(2, 5002))
