"""Likelihoods that add up and names that are shared, on routes with signs and costs at random."""

from __future__ import annotations

import tempfile
from collections import Counter
from fractions import Fraction
from pathlib import Path

from hypothesis import example, given, settings
from hypothesis import strategies as st

from checkrun.route.catalog import Catalog, Folder
from checkrun.route.problems import Problem

SOUND = (Path(__file__).parents[1] / "data" / "bad" / "sound.yaml").read_text("utf-8")
ROWS = "pass: [0.85, 0.35], concern: [0.12, 0.30], fail: [0.03, 0.35]"
_CLAIMS = ("front-first-body", "other")
_NAMES = ("", "water", "wear", "salt")


def lint(text: str, *layers: str) -> list[Problem]:
    """The problems of a route, or of the uppermost of layers on it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "sound.yaml").write_text(text, "utf-8")
        below = "sound"
        for number, layer in enumerate(layers):
            head = f"format: 1\nid: layer-{number}\nbuilt-on: {below}\n"
            below = f"layer-{number}"
            (folder / f"{below}.yaml").write_text(head + layer, "utf-8")
        return Catalog([Folder(folder, "yours")]).lint(below)


_thousandths = st.integers(1, 999)


@given(
    st.dictionaries(
        st.sampled_from(["pass", "concern", "fail"]),
        st.tuples(_thousandths, _thousandths),
        min_size=1,
    )
)
@example({"pass": (995, 500), "fail": (1, 500)})
@example({"pass": (994, 500), "fail": (11, 500)})
@example({"pass": (994, 500), "fail": (12, 500)})
@example({"pass": (500, 500), "fail": (494, 494)})
@settings(max_examples=150)
def test_likelihoods_are_told_just_if_a_column_is_not_one_or_both_are_the_same(
    rows: dict[str, tuple[int, int]],
) -> None:
    written = ", ".join(f"{key}: [0.{t:03}, 0.{f:03}]" for key, (t, f) in rows.items())
    problems = lint(SOUND.replace(ROWS, written))
    # In fractions, and so without the arithmetic of the program.
    sums = [sum(Fraction(row[column], 1000) for row in rows.values()) for column in (0, 1)]
    off = any(abs(total - 1) > Fraction(5, 1000) for total in sums)
    silent = all(true == false for true, false in rows.values())
    wanted = ["R050"] * off + ["R051"] * silent
    assert [problem.code for problem in problems] == wanted
    assert all((problem.line, problem.column) == (35, 17) for problem in problems)


_signs = st.lists(
    st.tuples(st.sampled_from(_CLAIMS), st.sampled_from(_NAMES)), min_size=1, max_size=4
)
_checks = st.lists(st.tuples(_signs, st.sampled_from(_NAMES)), min_size=1, max_size=5)


def _checks_text(drawn: list[tuple[list[tuple[str, str]], str]], first: int) -> str:
    parts = []
    for number, (signs, together) in enumerate(drawn, first):
        key = f", together: {together}" if together else ""
        parts.append(
            f"      - id: made-{number}\n        ask: Look\n        how: Look\n"
            "        pass: Right\n        concern: Worn\n        fail: Wrong\n"
            "        class: minor\n        group: trim\n        source: common practice\n"
            f"        cost: {{hours: [1, 1, 1], parts: [0, 0, 0]{key}}}\n        signs:\n"
        )
        for claim, cause in signs:
            named = f", cause: {cause}" if cause else ""
            parts.append(f"          - {{claim: {claim}{named}, {ROWS}}}\n")
    return "".join(parts)


_OTHER = "  - {id: other, says: Something else, before: 0.5, matters: 0.1}\n"


@given(below=_checks, above=_checks, layered=st.booleans())
@settings(max_examples=80)
def test_what_stands_alone_in_the_whole_route_is_told_and_nothing_else(
    below: list[tuple[list[tuple[str, str]], str]],
    above: list[tuple[list[tuple[str, str]], str]],
    layered: bool,
) -> None:
    lower, upper = _checks_text(below, 0), _checks_text(above, len(below))
    mark = "      - id: boot-seal\n"
    if layered:
        sound = SOUND.replace(mark, lower + mark) + _OTHER
        problems = lint(sound, f"stations:\n  - id: tail\n    checks:\n{upper}")
    else:
        problems = lint(SOUND.replace(mark, lower + upper + mark) + _OTHER)
    everything = [*below, *above]
    causes = Counter(sign for signs, _ in everything for sign in signs if sign[1])
    keys = Counter(key for _, key in everything if key)
    spoken = {claim for signs, _ in everything for claim, _ in signs} | {"front-first-body"}
    told = sorted((problem.code, problem.message.split("`")[1]) for problem in problems)
    assert told == sorted(
        [("R053", cause) for (_, cause), count in causes.items() if count == 1]
        + [("R055", key) for key, count in keys.items() if count == 1]
        + [("R054", claim) for claim in _CLAIMS if claim not in spoken]
    )
    assert all(problem.warning for problem in problems)
    if layered:
        # Each in the file that holds the name: the lower one for what only it has.
        for problem in problems:
            name = problem.message.split("`")[1]
            if problem.code == "R053":
                claim = problem.message.split("`")[3]
                lower_has = any((claim, name) in signs for signs, _ in below)
            elif problem.code == "R055":
                lower_has = any(key == name for _, key in below)
            else:
                lower_has = True  # the claims stand in the lower file
            assert Path(problem.file).stem == ("sound" if lower_has else "layer-0")
