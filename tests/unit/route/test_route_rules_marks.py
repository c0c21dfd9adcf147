"""Marks and limits of routes that lie on each other: told in the file that holds the fault."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from checkrun import tables
from checkrun.route.catalog import Catalog, Folder

Write = Callable[[str, str], Path]
Told = list[tuple[str, int, int, str, str, str]]
#: Lies on the sound route: its mark agrees with two facts, one of them its own.
BASE = """\
car:
  facts:
    - {id: sold, ask: When was it sold?}
marks:
  chassis-serial:
    fields: [{text: PL}, {name: serial, digits: 5}, {name: year, digits: 2}]
    agrees-with:
      serial: serial.last 5
      year: sold.first 2
"""


def told(catalog: Catalog, name: str) -> Told:
    """File, line, column, code, message and hint of every problem of a route."""
    found = []
    for p in catalog.lint(name):
        file = Path(p.file)
        message = p.message.replace(f"{file.parent}/", "")
        found.append((file.name, p.line, p.column, p.code, message, p.hint))
    return found


@pytest.fixture
def write(folder: Path, layer: Write) -> Write:
    """Write a route that lies on `base`."""
    layer("base", BASE)

    def over(name: str, text: str) -> Path:
        path = folder / f"{name}.yaml"
        path.write_text(f"format: 1\nid: {name}\nbuilt-on: base\n{text}", encoding="utf-8")
        return path

    return over


def test_a_layer_may_leave_out_a_field_that_agreed_below(catalog: Catalog, write: Write) -> None:
    write("other", "marks:\n  chassis-serial:\n    fields: [{name: serial, digits: 5}]\n")
    assert told(catalog, "base") == []
    assert told(catalog, "other") == []


def test_nor_is_the_fact_needed_that_such_a_field_agreed_with(
    catalog: Catalog, write: Write
) -> None:
    fields = "marks:\n  chassis-serial:\n    fields: [{name: serial, digits: 5}]\n"
    write("other", f"drop: [sold]\n{fields}")
    assert told(catalog, "other") == []


def test_so_it_stays_where_a_third_layer_says_something_else_of_the_mark(
    catalog: Catalog, write: Write
) -> None:
    write("other", "marks:\n  chassis-serial:\n    fields: [{name: serial, digits: 5}]\n")
    path = write("third", "marks: {chassis-serial: {where: On the left}}\n")
    path.write_text(path.read_text("utf-8").replace("built-on: base", "built-on: other"), "utf-8")
    assert catalog.load("third").built_on == ("other", "base", "sound")
    assert told(catalog, "third") == []


def test_a_field_that_only_a_layer_names_is_told_in_the_layer(
    catalog: Catalog, write: Write
) -> None:
    write("more", "marks:\n  chassis-serial:\n    agrees-with: {years: sold.first 2}\n")
    assert told(catalog, "more") == [
        (
            "more.yaml",
            6,
            19,
            "R041",
            "this mark has no field `years`",
            "Did you mean `year`?",
        )
    ]


def test_a_field_made_longer_is_told_where_its_length_stands(
    catalog: Catalog, write: Write
) -> None:
    write(
        "longer",
        "marks:\n  chassis-serial:\n"
        "    fields: [{name: serial, digits: 6}, {name: year, letters: 1}]\n",
    )
    assert told(catalog, "longer") == [
        (
            "longer.yaml",
            6,
            37,
            "R033",
            "the field `serial` has 6 digits, and `serial.last 5` gives 5 characters "
            "(base.yaml, line 11)",
            "Write `agrees-with` for it here too, such as {serial: serial.last 6}.",
        ),
        (
            "longer.yaml",
            6,
            63,
            "R033",
            "the field `year` has 1 letter, and `sold.first 2` gives 2 characters "
            "(base.yaml, line 12)",
            "Write `agrees-with` for it here too, such as {year: sold.first 1}.",
        ),
    ]


def test_a_fault_below_is_told_there(catalog: Catalog, write: Write, folder: Path) -> None:
    path = folder / "base.yaml"
    write("top", "title: The same\n")
    path.write_text(path.read_text("utf-8").replace("sold.first 2", "sold.firs 2"), "utf-8")
    assert told(catalog, "top") == [
        ("base.yaml", 12, 13, "R032", "`firs 2` is no part of `sold`", "Write `first 2`.")
    ]


def test_a_fact_that_a_mark_still_needs_is_told_where_it_is_dropped(
    catalog: Catalog, write: Write
) -> None:
    write("less", "drop: [boot-seal, sold]\n")
    assert told(catalog, "less") == [
        (
            "less.yaml",
            4,
            19,
            "R041",
            "the mark `chassis-serial` is still read here and agrees with `sold`",
            "Keep the fact, or drop all that reads the mark.",
        )
    ]


def test_a_mark_that_nothing_reads_any_more_needs_no_fact(catalog: Catalog, write: Write) -> None:
    # A mark itself can't be dropped.
    write("less", "drop: [serial, sold]\n")
    assert told(catalog, "less") == []


def test_without_the_route_below_only_what_is_sure_is_told(
    catalog: Catalog, write: Write, folder: Path
) -> None:
    write(
        "top", "marks:\n  chassis-serial:\n    agrees-with: {serial: last 5, year: gone.last 2}\n"
    )
    (folder / "base.yaml").unlink()
    assert [(code, message) for _, _, _, code, message, _ in told(catalog, "top")] == [
        ("R042", "there is no route `base` to build on"),
        ("R032", "`5` is no part of `last`"),
    ]


def test_a_limit_below_is_told_there(catalog: Catalog, layer: Write, write: Write) -> None:
    layer("base", BASE + limits("us-in-use/tread-dept"))
    write("top", "title: The same\n")
    assert told(catalog, "top") == [
        (
            "base.yaml",
            17,
            61,
            "R034",
            "the table `us-in-use` has no row `tread-dept`",
            "Did you mean `tread-depth`?",
        )
    ]


@pytest.mark.parametrize("name", ["us-in-use/tread-depth", "us-in-use/lining-riveted"])
def test_a_limit_that_is_there_and_a_plain_one_are_no_problem(
    name: str, catalog: Catalog, layer: Write
) -> None:
    layer("good", limits(name))
    assert told(catalog, "good") == []
    layer("plain", limits("3/32 in"))
    assert told(catalog, "plain") == []


def test_only_limits_that_are_named_are_looked_up(
    catalog: Catalog, layer: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked_up: list[str] = []
    limit = tables.limit

    def counted(name: str) -> tables.Limit:
        looked_up.append(name)
        return limit(name)

    monkeypatch.setattr(tables, "limit", counted)
    assert told(catalog, "sound") == []
    assert looked_up == []
    layer("one", limits("us-in-use/tread-depth"))
    assert told(catalog, "one") == []
    assert looked_up == ["us-in-use/tread-depth"]


def limits(name: str) -> str:
    """A layer's station whose check has a limit."""
    return (
        "stations:\n  - id: nose\n    checks:\n      - id: bonnet-gaps\n"
        f"        reading: {{kind: measure, unit: mm, pass: {{at-least: {name}}}}}\n"
    )


def test_the_shipped_routes_have_no_problem() -> None:
    shipped = Catalog([Folder(Path(__file__).parents[3] / "checklists", "shipped")])
    assert [problem for found in shipped.all() for problem in shipped.lint(found.id)] == []
