"""`lint --fix`: what is repaired is just the planted mistake, and every other byte stays."""

from __future__ import annotations

import random
import string
import tempfile
from pathlib import Path
from typing import Any

import pytest
import strategies
from hypothesis import given, settings
from hypothesis import strategies as st

from checkrun.route.catalog import Catalog
from checkrun.route.fix import Fixed, fix, index_of, one_slip
from checkrun.route.problems import place_of
from checkrun.route.schema_check import CHECK_KEYS

BOM = b"\xef\xbb\xbf"


def fixed(raw: bytes) -> Fixed:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.yaml"
        path.write_bytes(raw)
        done = fix(Catalog([]), path, raw)
        assert path.read_bytes() == raw, "nothing is written here"
        return done


def problems(raw: bytes) -> list[tuple[int, str, str]]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.yaml"
        path.write_bytes(raw)
        told = Catalog([]).lint(str(path))
        return [(problem.line, problem.code, problem.message) for problem in told]


def without(told: list[tuple[int, str, str]], one: tuple[int, str, str]) -> list[Any]:
    left = list(told)
    left.remove(one)
    return left


def slip(word: str, chance: random.Random) -> str:
    """The word with one slip of the finger."""
    at = chance.randrange(len(word))
    letter = chance.choice(string.ascii_lowercase)
    kinds = [word[:at] + word[at + 1 :], word[:at] + letter + word[at:]]
    kinds.append(word[:at] + letter + word[at + 1 :])
    if at:
        kinds.append(word[: at - 1] + word[at] + word[at - 1] + word[at + 1 :])
    return chance.choice(kinds)


#: The line a mistake is put into, what stands there then, and what must stand there after it.
MISTAKES: dict[str, tuple[str, str, str]] = {
    "bare no": ("concern:", "concern: no", 'concern: "no"'),
    "bare date": ("fail:", "fail: 1966-04-01  # as told", 'fail: "1966-04-01"  # as told'),
    "bare clock": ("why:", "why: 12:30", 'why: "12:30"'),
    "bare octal": ("title:", "title:   0123", 'title:   "0123"'),
    "years backwards": ("years:", "years: 1975 - 1953", "years: 1953 - 1975"),
    "quoted years": ("years:", "years: '1975-1953'", "years: '1953-1975'"),
    "comma": ("minutes:", "minutes: 1,5", "minutes: 1.5"),
    "comma and comment": ("minutes:", "minutes: 0,25 # quick", "minutes: 0.25 # quick"),
    "misspelt ask": ("ask:", 'aks: "Lamp, left"', 'ask: "Lamp, left"'),
    "misspelt fail": ("fail:", "fial:  It is bent # 'x'", "fail:  It is bent # 'x'"),
    "misspelt in quotes": ("source:", '"sorce": common practice', '"source": common practice'),
    "misspelt minutes": ("minutes:", "minuts: 2", "minutes: 2"),
}


@pytest.mark.parametrize("mistake", MISTAKES)
@given(
    data=strategies.written_routes(),
    seed=st.integers(0, 999),
    end=st.sampled_from(["\n", "\r\n"]),
    mark=st.sampled_from([b"", BOM]),
)
@settings(max_examples=8)
def test_a_planted_mistake_is_repaired_and_every_other_byte_is_as_it_was(
    mistake: str, data: dict[str, Any], seed: int, end: str, mark: bytes
) -> None:
    starts, broken, mended = MISTAKES[mistake]
    lines = strategies.to_yaml(data).splitlines()
    where = [i for i, line in enumerate(lines) if line.strip().startswith(f"{starts} ")]
    if not where:
        return
    at = random.Random(seed).choice(where)
    margin = lines[at][: len(lines[at]) - len(lines[at].lstrip())]

    def whole(line: str) -> bytes:
        return mark + end.join([*lines[:at], margin + line, *lines[at + 1 :], ""]).encode()

    done = fixed(whole(broken))
    assert done.raw == whole(mended)
    (repair,) = done.repairs
    told = (repair.problem.line, repair.problem.code, repair.problem.message)
    assert repair.problem.line == at + 1
    assert problems(done.raw) == without(problems(whole(broken)), told)
    assert fixed(done.raw).repairs == (), "and there is nothing more to repair"


@given(strategies.written_routes(), st.sampled_from(sorted(CHECK_KEYS)), st.randoms())
@settings(max_examples=60)
def test_a_slip_in_a_key_gives_that_key_or_is_left_alone(
    data: dict[str, Any], key: str, chance: random.Random
) -> None:
    text = strategies.to_yaml(data)
    lines = text.splitlines()
    where = [i for i, line in enumerate(lines) if line.startswith(f"        {key}: ")]
    if not where:
        return
    at = chance.choice(where)
    wrong = slip(key, chance)
    broken = [*lines[:at], lines[at].replace(key, wrong, 1), *lines[at + 1 :], ""]
    done = fixed("\n".join(broken).encode())
    assert done.raw.decode() in ("\n".join(broken), text)


@given(strategies.written_routes(), st.lists(st.sampled_from(sorted(MISTAKES)), max_size=3))
@settings(max_examples=40)
def test_of_several_mistakes_each_repair_takes_one_problem_and_adds_none(
    data: dict[str, Any], mistakes: list[str]
) -> None:
    lines = strategies.to_yaml(data).splitlines()
    for number, mistake in enumerate(dict.fromkeys(mistakes)):
        starts, broken, _ = MISTAKES[mistake]
        where = [i for i, line in enumerate(lines) if line.strip().startswith(f"{starts} ")]
        if where:
            at = where[number % len(where)]
            margin = lines[at][: len(lines[at]) - len(lines[at].lstrip())]
            lines[at] = margin + broken
    raw = "\n".join([*lines, ""]).encode()
    before = problems(raw)
    done = fixed(raw)
    after = problems(done.raw)
    assert len(after) == len(before) - len(done.repairs)
    for line, code, message in after:
        assert (code, message) in [(c, m) for _, c, m in before], f"line {line} is new"
    text = raw.decode()
    for repair in reversed(done.repairs):
        assert text[repair.start : repair.start + len(repair.old)] == repair.old
        text = repair.done(text)
    assert text.encode() == done.raw, "the repairs are all that was changed"


@given(st.binary(max_size=120) | st.text(max_size=120).map(str.encode))
def test_what_is_no_route_is_left_as_it_is(raw: bytes) -> None:
    done = fixed(raw)
    assert len(done.repairs) <= raw.count(b":") + raw.count(b"\n") + 1
    if not done.repairs:
        assert done.raw == raw


@given(st.text(alphabet="ab\n\r\x85\u2028é", max_size=30), st.data())
def test_a_place_leads_back_to_its_character(text: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(text)))
    line, column = place_of(text, at)
    if text[at - 1 : at + 1] == "\r\n":
        return  # between the two there is no place
    assert index_of(text, line, column) == at
    assert index_of("\ufeff" + text, line, column) == at + 1


def edits(one: str, other: str) -> int:
    """How many slips lie between two words, each a letter or two neighbours: the textbook table.

    Restricted Damerau-Levenshtein distance (Damerau 1964), from memory.
    """
    table = {(i, 0): i for i in range(len(one) + 1)} | {(0, j): j for j in range(len(other) + 1)}
    for i, a in enumerate(one, 1):
        for j, b in enumerate(other, 1):
            least = min(table[i - 1, j], table[i, j - 1], table[i - 1, j - 1] - (a == b)) + 1
            if i > 1 and j > 1 and a == other[j - 2] and one[i - 2] == b:
                least = min(least, table[i - 2, j - 2] + 1)
            table[i, j] = least
    return table[len(one), len(other)]


_words = st.text("abc", max_size=5)


@given(_words, _words)
def test_one_slip_is_a_distance_of_one(one: str, other: str) -> None:
    assert one_slip(one, other) == (edits(one, other) == 1)
