"""A route file while it is edited: its problems, what stands in a line, what lies below."""

from __future__ import annotations

from pathlib import Path

import pytest

from checkrun.report.editrows import (
    differing_rows,
    next_problem,
    preview_rows,
    problem_rows,
    why_not,
)
from checkrun.report.glyphs import UNICODE
from checkrun.route.catalog import Catalog, Folder
from checkrun.route.draft import Draft, Spot, shown_at, taker_of

SHARED = Path(__file__).parents[2] / "data" / "shared"
CHECKLISTS = Path(__file__).parents[3] / "checklists"


def draft_of(path: Path, *folders: Path, through: Path | None = None) -> tuple[Draft, str]:
    there = folders or (path.parent,)
    catalog = Catalog(
        [Folder(folder, "yours" if len(there) > 1 else "shipped") for folder in there]
    )
    return Draft(catalog, path, through), path.read_text("utf-8")


def line_of(text: str, words: str) -> int:
    """The line, from 1, that holds these words; the only one."""
    (found,) = [n for n, line in enumerate(text.splitlines(), start=1) if words in line]
    return found


def test_a_text_is_checked_in_the_place_of_what_is_on_disk() -> None:
    draft, text = draft_of(SHARED / "shared.yaml")
    assert draft.check(text).walkable
    broken = draft.check(text.replace("title: Corners", "titel: Corners"))
    assert [problem.code for problem in broken.here] == ["R020"]
    assert broken.here[0].line == line_of(text, "title: Corners")
    assert not broken.walkable
    assert why_not(broken) == (
        f"it can't be walked yet: line {broken.here[0].line}, `titel` is not a key of a route"
    )
    draft.let_go()
    assert why_not(draft.check(text)) == ""


def test_what_a_line_is_about() -> None:
    draft, text = draft_of(CHECKLISTS / "plover-1966.yaml")
    checked = draft.check(text)
    assert checked.route is not None
    assert draft.spot(line_of(text, "built-on:")) == Spot(leads_to="plover")
    assert draft.file_of("plover") == CHECKLISTS / "plover.yaml"
    station = line_of(text, "- id: boot-floor")
    assert draft.spot(station) == Spot(station="boot-floor")
    for below in range(1, 40):
        spot = draft.spot(station + below)
        if spot.check:
            break
    assert spot.station == "boot-floor"
    found = shown_at(checked.route, spot)
    assert found is not None
    assert (found[0].id, found[1] and found[1].id) == ("boot-floor", spot.check)
    assert draft.spot(1) == Spot()


def test_a_line_that_takes_a_piece_in_leads_to_it_and_the_piece_back_to_its_checks() -> None:
    path = SHARED / "shared.yaml"
    draft, text = draft_of(path)
    assert draft.check(text).walkable
    spot = draft.spot(line_of(text, "include: pieces/front-suspension"))
    assert spot.leads_to == "pieces/front-suspension"
    piece = draft.file_of(spot.leads_to)
    assert piece == SHARED / "pieces" / "front-suspension.yaml"
    inner, piece_text = draft_of(piece, path.parent, through=path)
    checked = inner.check(piece_text)
    assert checked.walkable
    assert checked.route is not None
    assert checked.route.id == "shared"
    at = inner.spot(line_of(piece_text, "id: balljoint") + 2)
    assert at == Spot("front-suspension", "balljoint")
    found = shown_at(checked.route, at)
    assert found is not None
    assert found[1] is not None
    assert found[1].id == "balljoint-left"
    broken = inner.check(piece_text.replace("class: dangerous", "class: deadly", 1))
    assert {problem.file for problem in broken.here} == {str(piece)}
    assert not broken.walkable


def test_a_piece_is_read_with_the_first_route_that_takes_it_in() -> None:
    catalog = Catalog([Folder(SHARED, "shipped")])
    assert taker_of(catalog, SHARED / "pieces" / "rear-tyre.yaml") == SHARED / "shared.yaml"
    assert taker_of(catalog, SHARED / "pieces" / "none.yaml") is None
    assert taker_of(catalog, SHARED / "shared.yaml") is None


def test_what_a_file_is_held_against(tmp_path: Path) -> None:
    layer, text = draft_of(CHECKLISTS / "plover-1966.yaml")
    layer.check(text)
    found = layer.parent()
    assert found is not None
    assert (found[0], found[1].id) == ("plover", "plover")
    # A text that can't be read says nothing of what lies below: what it said last holds.
    layer.check("x: y: z\n" + text)
    assert layer.parent() is not None
    own = tmp_path / "wren.yaml"
    shipped = tmp_path / "shipped"
    shipped.mkdir()
    for path in (own, shipped / "wren.yaml"):
        text = (SHARED / "written-out.yaml").read_text("utf-8")
        path.write_text(text.replace("id: written-out\n", "id: wren\n"), "utf-8")
    copy, text = draft_of(own, tmp_path, shipped)
    copy.check(text)
    found = copy.parent()
    assert found is not None
    assert found[0] == "the shipped wren"
    alone, text = draft_of(SHARED / "shared.yaml")
    alone.check(text)
    assert alone.parent() is None


def test_differences_from_the_route_below_are_told() -> None:
    draft, text = draft_of(CHECKLISTS / "plover-1966.yaml")
    route = draft.check(text).route
    rows = [row.text for row in differing_rows(draft.parent(), route, None)]
    assert rows[0] == "What differs from plover"
    assert any("+ added lamp-lids" in row for row in rows)
    same = list(differing_rows(None, route, route))
    assert same[0].text == "What differs from as opened"
    assert "Nothing differs" in same[1].text
    assert "once the file makes a route" in next(differing_rows(None, None, None)).text


def test_a_check_is_shown_as_the_mechanic_will_see_it() -> None:
    draft, text = draft_of(SHARED / "shared.yaml")
    route = draft.check(text).route
    rows = list(preview_rows(route, Spot("front-left-corner", ""), UNICODE, old=False))
    assert rows[0].text == "Left front corner, standing"
    assert route is not None
    check = next(iter(route.checks.values()))
    rows = list(preview_rows(route, Spot(check=check.id), UNICODE, old=True))
    assert rows[0].text.startswith("As it was before the problem")
    assert check.ask in [row.text for row in rows]
    assert check.how in [row.text for row in rows]
    (row,) = preview_rows(route, Spot(), UNICODE, old=False)
    assert row.text == "Put the cursor into a check or a station."
    (row,) = preview_rows(None, Spot(check="x"), UNICODE, old=False)
    assert "once the file makes a route" in row.text


def test_problems_are_listed_with_what_to_do_and_found_one_after_the_other() -> None:
    draft, text = draft_of(SHARED / "shared.yaml")
    good = draft.check(text)
    assert [row.text for row in problem_rows(good, -1, UNICODE)] == [
        "No problem. It can be walked."
    ]
    bad = draft.check(
        text.replace("place: front-left", "place: frnt-left").replace("format: 1", "")
    )
    lines = [problem.line for problem in bad.here]
    assert lines == sorted(lines)
    assert len(lines) >= 2
    rows = list(problem_rows(bad, 1, UNICODE))
    marked = [row for row in rows if row.role == "marked"]
    assert [row.text for row in marked] == [f"{lines[1]}: {bad.here[1].message}"]
    assert bad.here[1].hint in "".join(row.text for row in rows)
    first, second = ((p.line, p.column) for p in bad.here[:2])
    assert next_problem(bad.here, 0, 0) == 0
    assert next_problem(bad.here, *first) == (1 if second > first else 0)
    assert next_problem(bad.here, 10**6, 1) == 0
    assert next_problem([], 1, 1) == -1


@pytest.mark.parametrize("text", ["", "- a", "x: y: z", "\ud800", "id: ["])
def test_no_text_is_refused(text: str) -> None:
    draft, _ = draft_of(SHARED / "shared.yaml")
    checked = draft.check(text)
    assert checked.route is None
    assert checked.here
    assert draft.spot(1) == Spot()
