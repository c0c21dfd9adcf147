"""`terms`, `cost`, `prior` and `rank`: what they print, what they refuse, and what they leave."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from checkrun import cli, locations
from checkrun.arguments import COMMANDS
from checkrun.session.clock import now
from checkrun.session.store import Store

Run = Callable[..., tuple[int, str, str]]

WREN = """\
format: 1
id: wren
title: Ash Wren saloon, 1960-1964 (an invented marque)
order: as-written
car:
  years: 1960-1964
  outline: {length: 3.9, width: 1.6, wheelbase: 2.4, front-overhang: 0.7}
places:
  nose: {x: -0.8, y: 0.0, z: 0.6}
stations:
  - id: nose
    title: Nose
    place: nose
    checks:
      - id: lip
        ask: Lip of the nose
        how: Run a thumb along its edge, from the left lamp to the right one.
        pass: Thin.
        concern: Wavy.
        fail: Thick.
        class: major
        group: body
        cost: {hours: [4, 10, 30], parts: [0, 200, 900]}
        signs: [{claim: first-nose, pass: [0.8, 0.2], concern: [0.15, 0.3], fail: [0.05, 0.5]}]
        source: common practice
      - id: lamp
        ask: Both head lamps
        how: Ignition on, dip and main beam from the column; look from three paces.
        pass: Both burn.
        concern: One is dim.
        fail: One is dark.
        class: dangerous
        group: safety
        cost: {hours: [0.5, 1, 2], parts: [10, 40, 90]}
        source: common practice
      - id: rubber
        ask: Rubber of the bumper
        how: Press it with a thumb at both ends and in the middle.
        pass: Supple.
        concern: Hard.
        fail: Torn.
        class: minor
        group: trim
        source: common practice
      - id: badge
        ask: Badge on the nose
        how: Torch from the side on its three pins; turn each with a thumb nail.
        pass: Old.
        concern: New.
        fail: Missing.
        class: minor
        group: trim
        source: common practice
claims:
  - {id: first-nose, says: The nose is the first one, before: 0.6, matters: 0.25}
"""


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command in this process; its exit status, output and errors."""

    def call(*arguments: str) -> tuple[int, str, str]:
        capsys.readouterr()
        status = cli.run(arguments)
        out, err = capsys.readouterr()
        return status, out, err

    return call


@pytest.fixture
def name(run: Run) -> str:
    """A session with a fail, two concerns and a pass."""
    folder = locations.own_routes()
    folder.mkdir(parents=True)
    (folder / "wren.yaml").write_text(WREN, encoding="utf-8")
    assert run("lint", "wren")[0] == 0
    status, out, err = run("begin", "wren", "--year", "1962")
    assert (status, err) == (0, "")
    session = out.strip()
    for check, result in (("lip", "f"), ("lamp", "c"), ("rubber", "c"), ("badge", "p")):
        assert run("answer", session, check, result)[0] == 0
    return session


def store() -> Store:
    return Store(locations.store(), now)


def file_of(name: str) -> Path:
    return locations.store() / f"{name}.json"


def money(run: Run, name: str) -> dict[str, Any]:
    status, out, _ = run("summary", name, "--json")
    assert status == 0
    found: dict[str, Any] = json.loads(out)["money"]
    return found


def found(run: Run, name: str) -> list[str]:
    return [item["check"] for item in json.loads(run("summary", name, "--json")[1])["findings"]]


def refused(run: Run, name: str, said: str, *arguments: str) -> None:
    """The command ends with 2 and one line, and the file is to the byte as it was."""
    before = file_of(name).read_bytes()
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert err.startswith("checkrun: ")
    assert err.count("\n") == 1
    assert said in err
    assert file_of(name).read_bytes() == before


# -- terms -------------------------------------------------------------------------------------


def test_terms_are_set_kept_and_used(run: Run, name: str) -> None:
    status, out, err = run(
        "terms", name, "--asking", "42500", "--rate", "85,5", "--currency", "EUR",
        "--margin", "1500", "--percentile", "90 %", "--correlation", "0.3",
    )  # fmt: skip
    assert (status, err) == (0, "")
    assert "asking: 42500  (the price asked)" in out.splitlines()
    assert "rate: 85.5  (what an hour of work costs)" in out.splitlines()
    told = money(run, name)
    assert (told["asking"], told["rate"], told["currency"]) == (42500, 85.5, "EUR")
    assert (told["percentile"], told["margin"]) == (90, 1500)
    assert told["lines"][0]["amount"] == 42500
    assert store().verify(name) == ()


def test_terms_alone_are_printed_and_nothing_is_written(run: Run, name: str) -> None:
    before = file_of(name).read_bytes()
    status, out, err = run("terms", name)
    assert (status, err) == (0, "")
    assert [line.split(":")[0] for line in out.splitlines()] == [
        "asking",
        "value",
        "rate",
        "currency",
        "margin",
        "percentile",
        "correlation",
    ]
    assert "asking: -  (the price asked)" in out
    assert "rate: 80  (what an hour of work costs)" in out
    assert file_of(name).read_bytes() == before


def test_a_term_is_taken_back_by_an_empty_one(run: Run, name: str) -> None:
    run("terms", name, "--asking", "42500", "--rate", "95")
    status, out, _ = run("terms", name, "--asking", "", "--rate", "")
    assert status == 0
    assert "asking: -  (the price asked)" in out
    assert "rate: 80  (what an hour of work costs)" in out
    assert money(run, name)["most_to_pay"] is None


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--asking", "42,500", "can be read in two ways. Write 42500"),
        ("--asking", "-1", "'-1' is no amount"),
        ("--asking", "lots", "asking: 'lots' is no amount. Write it like 85 or 85.5."),
        ("--rate", "1e3", "rate: '1e3' is no amount"),
        ("--margin", "9999999999", "is no amount"),
        ("--percentile", "100", "percentile: 100 is not between 50 and 99"),
        ("--correlation", "2", "correlation: 2 is no share"),
        ("--currency", "twelve euros", "currency: a sign or a short code is expected"),
    ],
)
def test_a_term_that_is_none_is_refused_and_the_others_with_it(
    run: Run, name: str, option: str, value: str, said: str
) -> None:
    other = "--value" if option != "--value" else "--rate"
    refused(run, name, said, "terms", name, other, "100", f"{option}={value}")


# -- cost --------------------------------------------------------------------------------------


def test_a_cost_of_ones_own_is_kept_and_told(run: Run, name: str) -> None:
    status, out, err = run("cost", name, "lip", "--hours", "2 4 9", "--parts=100", "--chance=0.8")
    assert (status, err) == (0, "")
    assert out == "lip: hours 2 4 9, parts 100 100 100, chance 0.8\n"
    (item,) = [item for item in money(run, name)["items"] if item["check"] == "lip"]
    assert (item["hours"], item["parts"], item["chance"]) == ([2, 4, 9], [100, 100, 100], 0.8)
    assert item["own"] == ["hours", "parts", "chance"]
    status, out, _ = run("cost", name, "lip", "--hours", "", "--parts", "", "--chance", "")
    assert (status, out) == (0, "lip: as the route\n")


def test_the_seller_may_put_it_right(run: Run, name: str) -> None:
    before = money(run, name)["mean"]
    assert run("cost", name, "lip", "--seller", "yes")[1] == "lip: seller yes\n"
    assert money(run, name)["mean"] < before
    assert run("cost", name, "lip", "--seller", "no")[1] == "lip: as the route\n"
    assert money(run, name)["mean"] == before


def test_what_nobody_priced_can_be_given_a_cost(run: Run, name: str) -> None:
    assert money(run, name)["unpriced"] == ["rubber"]
    assert run("cost", name, "rubber", "--parts", "30 40 80")[0] == 0
    assert money(run, name)["unpriced"] == []


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["lip"], "say what it costs: --hours, --parts, --chance, --seller"),
        (["lip", "--hours", "9 4 2"], "hours: low, likely and high must rise. Write 2 4 9."),
        (["lip", "--hours", "2 4"], "low, likely and high are expected. Such as 2 4 9."),
        (["lip", "--parts", "0 1,000 2"], "can be read in two ways. Write 1000"),
        (["lip", "--parts=-1 2 3"], "'-1' is no amount"),
        (["lip", "--chance", "1.5"], "chance: 1.5 is no share"),
        (["lip", "--seller", "perhaps"], "seller: yes or no is expected"),
        (["lipp", "--hours", "1"], "lipp"),
    ],
)
def test_a_cost_that_is_none_is_refused(
    run: Run, name: str, arguments: list[str], said: str
) -> None:
    refused(run, name, said, "cost", name, *arguments)


# -- prior -------------------------------------------------------------------------------------


def test_a_prior_of_ones_own_is_kept_and_taken_back(run: Run, name: str) -> None:
    def before() -> float:
        told = json.loads(run("summary", name, "--json")[1])["claims"]["first-nose"]["before"]
        return float(told)

    assert before() == 0.6
    assert run("prior", name, "first-nose", "30 %") == (0, "first-nose: 0.3\n", "")
    assert before() == 0.3
    assert run("prior", name, "first-nose", "") == (0, "first-nose: as the route\n", "")
    assert before() == 0.6


@pytest.mark.parametrize(
    ("claim", "share", "said"),
    [
        ("first-nose", "1", "between 0 and 1, and neither of them"),
        ("first-nose", "0", "between 0 and 1, and neither of them"),
        ("first-nose", "140 %", "140 % is no share"),
        ("first-nose", "likely", "'likely' is no amount"),
        ("first-noze", "0.5", "There is no claim 'first-noze' in this route. Did you mean first"),
        ("other", "0.5", "There are: first-nose."),
    ],
)
def test_a_prior_that_is_none_is_refused(
    run: Run, name: str, claim: str, share: str, said: str
) -> None:
    refused(run, name, said, "prior", name, claim, share)


# -- rank --------------------------------------------------------------------------------------


def test_a_finding_is_put_before_another_at_the_end_and_back(run: Run, name: str) -> None:
    assert found(run, name) == ["lamp", "lip", "rubber"]
    assert run("rank", name, "rubber", "--before", "lamp", "--why", "the buyer asked") == (
        0,
        "rubber: place 1 of 3\n",
        "",
    )
    assert found(run, name) == ["rubber", "lamp", "lip"]
    assert run("rank", name, "lamp", "--last", "--why", "done")[1] == "lamp: place 3 of 3\n"
    assert found(run, name) == ["rubber", "lip", "lamp"]
    assert run("rank", name, "rubber", "--by-rule")[1] == "rubber: place 2 of 3\n"
    assert run("rank", name, "lamp", "--by-rule")[1] == "lamp: place 1 of 3\n"
    assert found(run, name) == ["lamp", "lip", "rubber"]
    told = json.loads(run("summary", name, "--json")[1])["findings"]
    assert "by hand" not in json.dumps(told)


def test_given_back_to_the_rules_where_they_placed_it_nothing_is_written(
    run: Run, name: str
) -> None:
    before = file_of(name).read_bytes()
    assert run("rank", name, "lip", "--by-rule") == (0, "lip: place 2 of 3\n", "")
    assert file_of(name).read_bytes() == before


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["lip"], "say where to: one of --before CHECK, --last, --by-rule"),
        (["lip", "--last", "--by-rule"], "say where to: one of --before CHECK"),
        (["lip", "--before", "lip", "--why", "x"], "lip can't stand before itself; --by-rule"),
        (["lip", "--last"], "Another place in the order needs a reason"),
        (["lip", "--last", "--why", "  "], "Another place in the order needs a reason"),
        (["lipp", "--last", "--why", "x"], "lipp"),
        (["lip", "--before", "lampe", "--why", "x"], "lampe"),
        (["badge", "--last", "--why", "x"], "badge is neither a concern nor a fail"),
        (["lip", "--before", "badge", "--why", "x"], "badge is neither a concern nor a fail"),
    ],
)
def test_a_place_that_is_none_is_refused(
    run: Run, name: str, arguments: list[str], said: str
) -> None:
    refused(run, name, said, "rank", name, *arguments)


# -- sessions that can't be changed, and help --------------------------------------------------

CHANGES = (
    ("terms", "{}", "--asking", "1"),
    ("cost", "{}", "lip", "--hours", "1"),
    ("prior", "{}", "first-nose", "0.5"),
    ("rank", "{}", "lip", "--last", "--why", "x"),
    ("rank", "{}", "lip", "--by-rule"),
)


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: " ".join(change))
def test_a_signed_session_is_not_changed(run: Run, name: str, change: tuple[str, ...]) -> None:
    assert run("sign", name, "--name", "Ines")[0] == 0
    refused(run, name, "signed off", *(part.format(name) for part in change))
    assert run("terms", name)[0] == 0


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: " ".join(change))
def test_a_session_open_elsewhere_is_not_changed(
    run: Run, name: str, change: tuple[str, ...]
) -> None:
    with store().open(name):
        refused(run, name, "can only be read", *(part.format(name) for part in change))
        assert run("terms", name)[0] == 0


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: " ".join(change))
def test_an_unknown_session_is_told_in_one_line(
    run: Run, name: str, change: tuple[str, ...]
) -> None:
    refused(run, name, "nowhere", *(part.format("nowhere") for part in change))


@pytest.mark.parametrize("command", COMMANDS)
def test_the_help_of_every_command_can_be_printed(run: Run, command: str) -> None:
    """A percent sign in a help text is read by argparse as the start of a format."""
    status, out, err = run(command, "--help")
    assert (status, err) == (0, "")
    assert out.startswith(f"usage: checkrun {command}")


def test_the_help_of_prior_shows_how_to_write_a_share(run: Run) -> None:
    assert "'40 %'" in run("prior", "--help")[1]
