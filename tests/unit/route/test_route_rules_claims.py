"""Claims, signs and costs: what adds up, what is shared, and in which file it is told if not."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from checkrun.route.catalog import Catalog
from checkrun.route.model import Cost, Only, Sign, Years
from checkrun.route.problems import RouteError
from checkrun.route.schema_check import READING_KINDS
from checkrun.route.tailor import tailor

Write = Callable[[str, str], Path]
Told = list[tuple[str, int, int, str, str, str]]
ROWS = "pass: [0.85, 0.35], concern: [0.12, 0.30], fail: [0.03, 0.35]"
SIGN = f"{{claim: front-first-body, {ROWS}}}"
PARTS = "parts: [0, 300, 2500]"


def told(catalog: Catalog, name: str) -> Told:
    """File, line, column, code, message and hint of every problem of a route."""
    found = []
    for p in catalog.lint(name):
        file = Path(p.file)
        message = p.message.replace(f"{file.parent}/", "")
        found.append((file.name, p.line, p.column, p.code, message, p.hint))
    return found


def codes(catalog: Catalog, name: str) -> list[tuple[str, int, str]]:
    """File, line and code of every problem of a route."""
    return [(file, line, code) for file, line, _, code, _, _ in told(catalog, name)]


@pytest.fixture
def change(folder: Path, sound: str) -> Callable[..., None]:
    """Put other texts in place of some of the sound route."""

    def write(*pairs: tuple[str, str]) -> None:
        text = sound
        for old, new in pairs:
            assert text.count(old) == 1
            text = text.replace(old, new)
        (folder / "sound.yaml").write_text(text, encoding="utf-8")

    return write


Change = Callable[..., None]


def check(name: str, more: str) -> str:
    """One more check at the nose, for a layer."""
    return (
        f"stations:\n  - id: nose\n    checks:\n      - id: {name}\n        ask: {name}\n"
        "        how: Look.\n        pass: Right.\n        concern: Worn.\n        fail: Wrong.\n"
        f"        class: major\n        group: body\n        source: common practice\n{more}"
    )


# Likelihoods that add up.


@pytest.mark.parametrize(
    ("rows", "sums"),
    [
        ("pass: [0.80, 0.35], concern: [0.165, 0.30], fail: [0.03, 0.35]", None),
        ("pass: [0.80, 0.35], concern: [0.175, 0.30], fail: [0.03, 0.35]", None),
        ("pass: [0.80, 0.35], concern: [0.164, 0.30], fail: [0.03, 0.35]", "0.994 if it is true"),
        ("pass: [0.80, 0.35], concern: [0.176, 0.30], fail: [0.03, 0.35]", "1.006 if it is true"),
        ("pass: [0.85, 0.35], concern: [0.12, 0.3051], fail: [0.03, 0.35]", "1.0051 if it is"),
        ("pass: [0.9, 0.2], fail: [0.1, 0.8]", None),
        ("pass: [0.9, 0.2], concern: [0.1, 0.7]", "0.9 if it is false"),
        ("concern: [0.4, 0.2], fail: [0.6, 0.8]", None),
        ("fail: [0.999, 0.999]", None),
        ("fail: [0.03, 0.35]", "0.03 if the claim is true and 0.35 if it is false"),
    ],
)
def test_the_likelihoods_of_a_sign_add_up_to_one_within_rounding(
    catalog: Catalog, change: Change, rows: str, sums: str | None
) -> None:
    change((ROWS, rows))
    found = [p for p in told(catalog, "sound") if p[3] == "R050"]
    if sums is None:
        assert found == []
    else:
        assert [p[:4] for p in found] == [("sound.yaml", 35, 17, "R050")]
        assert sums.replace("it is true", "the claim is true") in found[0][4]


def test_a_row_that_leaves_nothing_for_the_third_is_not_hinted_at(
    catalog: Catalog, change: Change
) -> None:
    change((ROWS, "pass: [0.9, 0.2], fail: [0.2, 0.7]"))
    assert told(catalog, "sound")[0][4:] == (
        "the likelihoods add up to 1.1 if the claim is true and 0.9 if it is false, not to 1",
        "Write how likely each result is: `concern` too.",
    )


def test_of_a_row_that_cannot_be_read_no_sum_is_told(catalog: Catalog, change: Change) -> None:
    change((ROWS, "pass: [0.85, 0.35], concern: [0.12], fail: [1, 0.35]"))
    assert codes(catalog, "sound") == [("sound.yaml", 35, "R022"), ("sound.yaml", 35, "R024")]


def test_one_row_that_differs_says_something(catalog: Catalog, change: Change) -> None:
    change((ROWS, "pass: [0.6, 0.6], concern: [0.3, 0.2], fail: [0.1, 0.2]"))
    assert told(catalog, "sound") == []


def test_a_sign_that_says_nothing_and_does_not_add_up_is_told_of_both(
    catalog: Catalog, change: Change
) -> None:
    change((ROWS, "pass: [0.6, 0.6], fail: [0.1, 0.1]"))
    assert codes(catalog, "sound") == [("sound.yaml", 35, "R050"), ("sound.yaml", 35, "R051")]


def test_a_sign_for_some_cars_only_must_add_up_as_well_and_counts_for_its_claim(
    catalog: Catalog, change: Change
) -> None:
    limit = ", only: {years: 1960-1965, facts: {touring-tank: yes}}"
    change((ROWS, ROWS + limit))
    assert told(catalog, "sound") == [], "the claim has a sign, if not on every car"
    only = Only(Years(1960, 1965), (("touring-tank", "yes"),))
    route = catalog.load("sound")
    assert [sign.only for sign in route.checks["bonnet-gaps"].signs] == [only]
    assert tailor(route, 1970, {}).checks["bonnet-gaps"].signs == ()
    change((ROWS, ROWS.replace("0.12", "0.2") + limit))
    assert codes(catalog, "sound") == [("sound.yaml", 35, "R050")]


def test_signs_of_a_layer_are_told_in_the_layer_and_those_below_in_the_file_below(
    catalog: Catalog, layer: Write, change: Change
) -> None:
    change((ROWS, ROWS.replace("0.12", "0.2")))
    wrong = f"[{SIGN.replace('0.35', '0.4')}]"
    layer("over", check("lamps", f"        signs: {wrong}\n"))
    assert codes(catalog, "over") == [("over.yaml", 16, "R050"), ("sound.yaml", 35, "R050")]


def test_what_a_layer_writes_anew_mends_the_sign_below(
    catalog: Catalog, layer: Write, change: Change
) -> None:
    change((ROWS, ROWS.replace("0.12", "0.2")))
    layer(
        "over",
        f"stations:\n  - {{id: nose, checks: [{{id: bonnet-gaps, signs: [{SIGN}]}}]}}\n",
    )
    assert told(catalog, "over") == []
    assert codes(catalog, "sound") == [("sound.yaml", 35, "R050")]


# Signs whose weight is computed.


def reading(kind: str) -> str:
    """A reading of a kind in one line, for a check of the sound route."""
    mark = ", mark: chassis-serial" if "mark" in READING_KINDS[kind] else ""
    return f"        reading: {{kind: {kind}{mark}}}\n"


@pytest.mark.parametrize("kind", READING_KINDS)
def test_only_at_a_stamp_or_date_code_a_sign_may_be_without_likelihoods(
    catalog: Catalog, change: Change, kind: str
) -> None:
    change((f", {ROWS}", ""), ("        minutes: 1\n", reading(kind)))
    weighed = kind in ("stamp", "date-code")
    assert codes(catalog, "sound") == ([] if weighed else [("sound.yaml", 35, "R052")])
    if weighed:
        signs = catalog.load("sound").checks["bonnet-gaps"].signs
        assert signs == (Sign("front-first-body"),)


def test_likelihoods_may_stand_in_where_nothing_was_read(catalog: Catalog, change: Change) -> None:
    change(("        minutes: 1\n", reading("stamp")))
    assert told(catalog, "sound") == []


@pytest.mark.parametrize("broken", ["{kind: stammp}", "{kind: [stamp]}", "{unit: mm}", "stamp"])
def test_where_the_reading_is_told_to_be_wrong_the_sign_is_not(
    catalog: Catalog, change: Change, broken: str
) -> None:
    change((f", {ROWS}", ""), ("        minutes: 1\n", f"        reading: {broken}\n"))
    assert [(line, code[:3]) for _, line, code in codes(catalog, "sound")] == [(33, "R02")]


@pytest.fixture
def stamped(change: Change) -> None:
    """The sound route with a sign that is weighed by a stamp, in lines 33 to 35."""
    change((f", {ROWS}", ""), ("        minutes: 1\n", reading("stamp")))


def over_gaps(more: str) -> str:
    """A layer's words for the check that the sound route has at the nose."""
    return f"stations:\n  - id: nose\n    checks:\n      - id: bonnet-gaps\n{more}"


@pytest.mark.usefixtures("stamped")
def test_a_layer_that_gives_the_check_another_reading_is_told_at_its_kind(
    catalog: Catalog, layer: Write
) -> None:
    layer("over", over_gaps("        reading: {kind: measure, unit: mm}\n"))
    path = layer("top", over_gaps("        minutes: 2\n"))
    path.write_text(path.read_text().replace("built-on: sound", "built-on: over"))
    assert told(catalog, "sound") == []
    message = (
        "a `measure` reading can't be weighed, and a sign of this check has no likelihoods "
        "(sound.yaml, line 35)"
    )
    hint = "Write the signs of this check here too, with pass, concern and fail."
    for name in ("over", "top"):
        assert told(catalog, name) == [("over.yaml", 8, 25, "R052", message, hint)]


@pytest.mark.usefixtures("stamped")
def test_a_layer_may_give_another_reading_and_likelihoods(catalog: Catalog, layer: Write) -> None:
    layer("over", over_gaps(f"        reading: {{kind: measure}}\n        signs: [{SIGN}]\n"))
    assert told(catalog, "over") == []


def test_a_layer_whose_sign_finds_no_stamp_below_is_told_at_the_sign(
    catalog: Catalog, layer: Write, change: Change
) -> None:
    layer("over", over_gaps("        signs: [{claim: front-first-body}]\n"))
    assert codes(catalog, "over") == [("over.yaml", 8, "R052")]
    change(("        minutes: 1\n", reading("stamp")))
    assert told(catalog, "over") == []


# Causes and shared labour.

CAUSE = SIGN.replace("{claim: front-first-body", "{claim: front-first-body, cause: new-front")


def test_a_cause_is_shared_within_one_claim(catalog: Catalog, change: Change) -> None:
    other = CAUSE.replace("front-first-body", "rear-first-body")
    claim = "claims:\n  - {id: rear-first-body, says: The rear too, before: 0.6, matters: 0.1}"
    change((SIGN, f"{CAUSE}, {other}"), ("claims:", claim))
    assert codes(catalog, "sound") == [("sound.yaml", 35, "R053")] * 2
    change((SIGN, f"{CAUSE}, {CAUSE}"))
    assert told(catalog, "sound") == []


def test_a_cause_may_be_shared_by_signs_of_different_cars(catalog: Catalog, change: Change) -> None:
    early, late = (CAUSE[:-1] + f", only: {{years: {years}}}}}" for years in (1960, 1970))
    change((SIGN, f"{early}, {late}"))
    assert told(catalog, "sound") == []


def test_a_cause_that_is_misspelt_is_told_with_the_one_that_is_meant(
    catalog: Catalog, change: Change
) -> None:
    slip = CAUSE.replace("new-front", "new-frond")
    change((SIGN, f"{CAUSE}, {slip}, {CAUSE}"))
    ((_, line, _, code, message, hint),) = told(catalog, "sound")
    assert (line, code) == (35, "R053")
    assert message == "the cause `new-frond` stands only once for `front-first-body`"
    assert hint == "Write `new-front` if that is meant; else take it out."


def test_a_cause_that_stands_once_below_is_told_there_until_a_layer_shares_it(
    catalog: Catalog, layer: Write, change: Change
) -> None:
    change((SIGN, CAUSE))
    layer("over", "title: Over\n")
    layer("shares", check("lamps", f"        signs: [{CAUSE}]\n"))
    assert codes(catalog, "sound") == [("sound.yaml", 35, "R053")]
    assert codes(catalog, "over") == [("sound.yaml", 35, "R053")]
    assert told(catalog, "shares") == []


def test_what_is_left_alone_by_dropping_the_rest_was_right_where_it_was_written(
    catalog: Catalog, layer: Write, change: Change
) -> None:
    key = f"{PARTS}, together: front-off"
    change(
        (SIGN, CAUSE),
        (PARTS, key),
        (
            "        group: trim\n",
            "        group: trim\n"
            f"        cost: {{hours: [1, 1, 1], {key}}}\n        signs: [{CAUSE}]\n",
        ),
    )
    layer("less", "drop: [boot-seal]\n")
    assert told(catalog, "sound") == []
    assert told(catalog, "less") == []


def test_a_key_of_labour_may_be_shared_over_two_files(
    catalog: Catalog, layer: Write, change: Change
) -> None:
    change((PARTS, f"{PARTS}, together: front-off"))
    hours = "        cost: {hours: [1, 2, 4], parts: [0, 0, 0], together: "
    layer("shares", check("lamps", f"{hours}front-off}}\n"))
    layer("slip", check("lamps", f"{hours}front-of}}\n"))
    assert codes(catalog, "sound") == [("sound.yaml", 34, "R055")]
    assert told(catalog, "shares") == []
    assert [(*p[:4], p[5]) for p in told(catalog, "slip")] == [
        (*("slip.yaml", 16, 62, "R055"), "Write `front-off` if that is meant; else take it out."),
        (*("sound.yaml", 34, 69, "R055"), "Write `front-of` if that is meant; else take it out."),
    ]


# Claims that no sign speaks of.


def test_a_claim_of_a_layer_needs_a_sign_there_or_below(catalog: Catalog, layer: Write) -> None:
    claim = "claims:\n  - {id: new, says: It is new, before: 0.5, matters: 0.1}\n"
    layer("over", claim)
    sign = SIGN.replace("front-first-body", "new")
    layer("told", check("lamps", f"        signs: [{sign}]\n") + claim)
    assert codes(catalog, "over") == [("over.yaml", 5, "R054")]
    assert told(catalog, "told") == []


def test_a_claim_below_without_a_sign_is_told_below_even_if_the_layer_drops_something(
    catalog: Catalog, layer: Write, change: Change
) -> None:
    change((f"        signs: [{SIGN}]\n", ""))
    layer("over", "drop: [boot-seal]\n")
    assert codes(catalog, "over") == [("sound.yaml", 51, "R054")]


def test_a_layer_can_bring_the_sign_of_a_claim_below(
    catalog: Catalog, layer: Write, change: Change
) -> None:
    change((f"        signs: [{SIGN}]\n", ""))
    layer("over", check("lamps", f"        signs: [{SIGN}]\n"))
    assert told(catalog, "over") == []


@pytest.mark.parametrize("dropped", ["bonnet-gaps", "nose"])
def test_a_claim_that_loses_its_signs_by_a_drop_is_told_at_what_is_dropped(
    catalog: Catalog, layer: Write, change: Change, dropped: str
) -> None:
    change(("    after: nose\n", ""))
    layer("less", f"drop: [touring-tank, {dropped}]\n")
    layer("both", f"drop: [{dropped}, front-first-body]\n")
    assert told(catalog, "less") == [
        (
            *("less.yaml", 4, 22, "R054"),
            "this leaves the claim `front-first-body` without any sign",
            "Drop `front-first-body` too, or give another check a sign of it.",
        )
    ]
    assert told(catalog, "both") == []


def test_a_claim_that_loses_its_signs_to_other_signs_is_told_at_those(
    catalog: Catalog, layer: Write
) -> None:
    layer("over", over_gaps("        signs: []\n"))
    assert [p[:4] for p in told(catalog, "over")] == [("over.yaml", 8, 16, "R054")]


def test_a_claim_that_one_sign_of_two_is_left_of_is_not_silent(
    catalog: Catalog, layer: Write, change: Change
) -> None:
    change(("        group: trim\n", f"        group: trim\n        signs: [{SIGN}]\n"))
    layer("less", "drop: [bonnet-gaps]\n")
    assert told(catalog, "less") == []


def test_without_the_route_below_nothing_is_said_of_what_it_may_bring(
    catalog: Catalog, folder: Path, layer: Write
) -> None:
    path = layer(
        "over",
        over_gaps(f"        signs: [{CAUSE}, {{claim: new}}]\n")
        + "claims:\n  - {id: lost, says: It is lost, before: 0.5, matters: 0.1}\n",
    )
    path.write_text(path.read_text().replace("built-on: sound", "built-on: gone"))
    assert codes(catalog, "over") == [("over.yaml", 3, "R042")]


# Costs.


def test_the_new_keys_of_a_cost_are_read_exactly(catalog: Catalog, change: Change) -> None:
    change((PARTS, f"{PARTS}, chance: 0.35, base-rate: 0.040, together: front-off"))
    cost = catalog.load("sound").checks["bonnet-gaps"].cost
    assert cost is not None
    assert (str(cost.chance), str(cost.base_rate), cost.together) == ("0.35", "0.040", "front-off")


def test_without_them_a_concern_is_put_right_every_other_time(catalog: Catalog) -> None:
    cost = catalog.load("sound").checks["bonnet-gaps"].cost
    assert cost == Cost(
        (Decimal(6), Decimal(14), Decimal(40)),
        (Decimal(0), Decimal(300), Decimal(2500)),
        Decimal("0.5"),
        None,
        "",
    )


@pytest.mark.parametrize(
    ("key", "value", "right"),
    [
        ("chance", "0.001", True),
        ("chance", "1", True),
        ("chance", "0", False),
        ("chance", "1.001", False),
        ("chance", "-0.5", False),
        ("base-rate", "0.001", True),
        ("base-rate", "0.999", True),
        ("base-rate", "0", False),
        ("base-rate", "1", False),
    ],
)
def test_a_chance_may_be_certain_and_a_base_rate_may_not(
    catalog: Catalog, change: Change, key: str, value: str, right: bool
) -> None:
    change((PARTS, f"{PARTS}, {key}: {value}"))
    assert codes(catalog, "sound") == ([] if right else [("sound.yaml", 34, "R024")])


def test_a_layer_changes_one_key_of_a_cost_and_keeps_the_rest(
    catalog: Catalog, layer: Write, change: Change
) -> None:
    change((PARTS, f"{PARTS}, chance: 0.35, base-rate: 0.04"))
    layer("over", over_gaps("        cost: {chance: 0.8}\n"))
    cost = catalog.load("over").checks["bonnet-gaps"].cost
    assert cost is not None
    assert (cost.hours[1], cost.chance, cost.base_rate) == (14, Decimal("0.8"), Decimal("0.04"))


def test_a_route_with_warnings_is_walked_and_one_with_errors_is_not(
    catalog: Catalog, change: Change
) -> None:
    change((SIGN, CAUSE), (PARTS, f"{PARTS}, together: front-off"))
    assert [p.code for p in catalog.lint("sound") if p.warning] == ["R055", "R053"]
    assert catalog.load("sound").checks["bonnet-gaps"].signs[0].cause == "new-front"
    change((SIGN, "{claim: front-first-body}"), (PARTS, f"{PARTS}, together: front-off"))
    with pytest.raises(RouteError) as error:
        catalog.load("sound")
    assert [p.code for p in error.value.problems] == ["R052"]


# What the claims put at stake, and their short names.

ONLY_CLAIM = "before: 0.6, matters: 0.25}"


def claim(name: str, matters: str) -> str:
    return f"  - {{id: {name}, says: {name}, before: 0.5, matters: {matters}}}\n"


@pytest.mark.parametrize(
    ("matters", "told_at"), [("0.75", []), ("0.76", [("sound.yaml", 53, "R056")])]
)
def test_claims_that_put_more_than_the_whole_price_at_stake_are_warned_of(
    catalog: Catalog, change: Change, matters: str, told_at: list[tuple[str, int, str]]
) -> None:
    other = SIGN.replace("front-first-body", "other")
    change(
        (f"signs: [{SIGN}]", f"signs: [{SIGN}, {other}]"),
        (f"{ONLY_CLAIM}\n", f"{ONLY_CLAIM}\n{claim('other', matters)}"),
    )
    found = [row for row in codes(catalog, "sound") if row[2] == "R056"]
    assert found == told_at
    if told_at:
        message, hint = next(row for row in told(catalog, "sound") if row[3] == "R056")[4:]
        assert message == "the claims put 1.01 of the price at stake, more than all of it"
        assert hint.startswith("Each doubt is taken off the price")
        assert all(problem.warning for problem in catalog.lint("sound"))


def test_a_layer_is_warned_of_stakes_only_where_it_says_something_of_claims(
    catalog: Catalog, layer: Write, change: Change
) -> None:
    other = SIGN.replace("front-first-body", "other")
    change(
        (f"signs: [{SIGN}]", f"signs: [{SIGN}, {other}]"),
        (f"{ONLY_CLAIM}\n", f"{ONLY_CLAIM}\n{claim('other', '0.9')}"),
    )
    layer("silent", "title: Silent\n")
    layer("speaks", "claims:\n  - {id: other, matters: 0.8}\n")
    layer("mends", "claims:\n  - {id: other, matters: 0.5}\n")
    assert codes(catalog, "silent") == []
    assert codes(catalog, "speaks") == [("speaks.yaml", 5, "R056")]
    assert codes(catalog, "mends") == []


@pytest.mark.parametrize(("short", "right"), [("x" * 24, True), ("x" * 25, False)])
def test_a_short_name_has_room_beside_an_amount(
    catalog: Catalog, change: Change, short: str, right: bool
) -> None:
    change((ONLY_CLAIM, f'before: 0.6, matters: 0.25, short: "{short}"}}'))
    if right:
        (found,) = catalog.load("sound").claims
        assert (found.short, found.name) == (short, short)
        return
    (problem,) = told(catalog, "sound")
    assert problem[3:] == (
        "R024",
        "25 characters are too many for a short name",
        "Use 24 at most; `says` holds the whole of it.",
    )


def test_a_claim_without_a_short_name_is_called_by_its_id(catalog: Catalog) -> None:
    (found,) = catalog.load("sound").claims
    assert (found.short, found.name) == ("", "front first body")
