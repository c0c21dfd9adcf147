"""What a mark agrees with: no text breaks the reading of it, and the parts are the parts."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from checkrun.judge.judgement import Car
from checkrun.judge.marks import expected
from checkrun.route.agreement import YEAR, Expression, Malformed, parse

ids = st.from_regex(r"[a-z0-9]{1,8}(-[a-z0-9]{1,8}){0,2}", fullmatch=True)
names = st.one_of(ids.filter(lambda name: name not in ("car", "facts")), st.just(YEAR))
counts = st.integers(1, 9999)
expressions = st.one_of(
    st.builds(Expression, names),
    st.builds(lambda name, n: Expression(name, first=n), names, counts),
    st.builds(lambda name, n: Expression(name, last=n), names, counts),
    st.builds(
        lambda name, a, b: Expression(name, begin=min(a, b), end=max(a, b)), names, counts, counts
    ),
)
words = st.sampled_from(
    ["serial", "car.year", "car", "facts", ".", " ", "last", "first", "character", "characters",
     "to", "0", "1", "3", "40", "-", "99999", "\n", "\u202e", "\x1b", "\u0663", "*"]
)  # fmt: skip
near = st.lists(words, max_size=8).map("".join) | st.lists(words, max_size=8).map(" ".join)
characters = st.text("ABCDEFGHJKLMNPRSTUVWXYZ0123456789?", max_size=12)
between = st.text(" -./*", max_size=2)


def tried(written: str) -> Expression | Malformed:
    """What a text is read as, or why it is not."""
    try:
        return parse(written)
    except Malformed as problem:
        return problem


@given(expressions)
def test_an_expression_is_read_as_it_is_written(expression: Expression) -> None:
    assert parse(str(expression)) == expression


@given(st.one_of(st.text(max_size=80), near))
def test_any_text_is_an_expression_or_is_told_to_be_none(written: str) -> None:
    found = tried(written)
    if isinstance(found, Malformed):
        assert str(found).strip()
        assert found.hint.startswith("write `")
        assert len(f"{found}{found.hint}") < 250
    else:
        assert parse(str(found)) == found
        assert found.length is None or found.length >= 1


@given(st.one_of(st.text(max_size=80), near), st.text(max_size=20))
def test_a_reason_is_one_line_that_a_terminal_only_shows(written: str, answer: str) -> None:
    found, why = expected(written, Car(year=1966, facts={"serial": answer}))
    assert (found is None) == bool(why)
    assert why.isprintable()


@given(characters, characters, characters, between, between)
def test_a_part_is_what_stands_between_the_rest(
    before: str, part: str, after: str, left: str, right: str
) -> None:
    car = Car(facts={"number": f"{before}{left}{part}{right}{after}".lower()})
    low, high = len(before) + 1, len(before) + len(part)
    if part:
        assert expected(f"number.characters {low} to {high}", car) == (part, "")
        assert expected(f"number.character {low}", car) == (part[0], "")
    if before:
        assert expected(f"number.first {len(before)}", car) == (before, "")
    if after:
        assert expected(f"number.last {len(after)}", car) == (after, "")
    whole = len(before + part + after)
    if whole:
        found, why = expected(f"number.characters 1 to {whole + 1}", car)
        assert found is None
        assert why == f"`{before}{part}{after}` has no characters 1 to {whole + 1}"
