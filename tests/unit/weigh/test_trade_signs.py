"""What the trade expects of the shipped claims, signs and costs.

Every expectation here is common practice: what people who look at such cars for a living hold to be
strong or weak, dear or cheap. None is from a published source; the verbal scale alone is (see
`checkrun.weigh.scale`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from checkrun.route.catalog import Catalog, Folder
from checkrun.route.model import Check, Group, Route, Sign
from checkrun.weigh.evidence import Belief, Observed, weigh
from checkrun.weigh.scale import verbal_of

CHECKLISTS = Path(__file__).parents[3] / "checklists"
ROUTES = ("frame-composite", "plover", "plover-1964", "plover-1966")
#: Reading kinds whose weight is computed from what was read.
COMPUTED = ("stamp", "date-code")
TANK = "touring-tank-works"
#: A clean hole where the standard car has a threaded one, no cut brackets, no bite of a lock
#: washer, and the right close-out panel.
WORKS_FITTED = ("tank-stub-holes", "tank-brackets", "tank-washer-bites", "close-out-panel")
#: The glued-in strip, wherever it can be seen.
STRIPS = ("strip-behind", "strip-boot", "strip-below")


@cache
def shipped(name: str) -> Route:
    return Catalog([Folder(CHECKLISTS, "shipped")]).load(name)


def sign_of(route: Route, check: str, claim: str) -> Sign:
    (sign,) = [sign for sign in route.checks[check].signs if sign.claim == claim]
    return sign


def seen(route: Route, claim: str, results: Iterable[tuple[str, str]]) -> Belief:
    """What these results at these checks say of a claim, by the rows of the route."""
    observed = []
    for check, result in results:
        sign = sign_of(route, check, claim)
        row = {"pass": sign.on_pass, "concern": sign.on_concern, "fail": sign.on_fail}[result]
        assert row is not None
        observed.append(Observed(claim, check, result, float(row[0] / row[1]), sign.cause))
    return weigh({claim: 0.5}, observed)[claim]


def ratio(belief: Belief) -> float:
    return float(10 ** (belief.decibans / 10))


def mean(range_: tuple[Decimal, Decimal, Decimal]) -> float:
    """Mean of a beta-PERT (common practice in costing)."""
    low, likely, high = range_
    return float(low + 4 * likely + high) / 6


def dearest(route: Route, group: Group) -> Check:
    """The check of a group with the most labour, on the mean."""
    those = [c for c in route.checks.values() if c.group is group and c.cost is not None]
    return max(those, key=lambda check: mean(check.cost.hours) if check.cost else 0)


# -- works-fitted against converted: common practice ----------------------------------------------


def test_clean_hole_whole_brackets_no_bite_and_the_right_panel_are_strong_together() -> None:
    belief = seen(shipped("plover-1966"), TANK, [(check, "pass") for check in WORKS_FITTED])
    assert ratio(belief) >= 1000
    assert belief.verbal in ("strong support for", "very strong support for")


@pytest.mark.parametrize("check", WORKS_FITTED)
def test_no_one_of_them_is_strong_alone(check: str) -> None:
    assert 2 <= ratio(seen(shipped("plover-1966"), TANK, [(check, "pass")])) < 100


def test_threaded_hole_and_bite_are_one_trace_of_the_small_tank() -> None:
    """Who finds the thread finds the bite as a rule, so the pair weighs no more than the hole."""
    route = shipped("plover-1966")
    both = seen(route, TANK, [("tank-stub-holes", "pass"), ("tank-washer-bites", "pass")])
    assert both.decibans == seen(route, TANK, [("tank-stub-holes", "pass")]).decibans
    assert [sign.counted for sign in both.signs] == [True, False]


def test_a_converted_car_is_found_out_as_strongly() -> None:
    belief = seen(shipped("plover-1966"), TANK, [(check, "fail") for check in WORKS_FITTED])
    assert ratio(belief) <= 1 / 1000
    assert belief.verbal in ("strong support against", "very strong support against")


@pytest.mark.parametrize("name", ["plover", "plover-1964", "plover-1966"])
@pytest.mark.parametrize("times", [1, 2, 40])
def test_a_glued_in_strip_stays_weak_however_often_it_is_seen(name: str, times: int) -> None:
    belief = seen(shipped(name), TANK, [(check, "pass") for check in STRIPS] * times)
    assert belief.verbal == "weak support for"
    assert ratio(belief) < 10


def test_a_strip_does_not_make_good_what_the_brackets_say() -> None:
    looks = [(check, "pass") for check in STRIPS] + [("tank-brackets", "fail")]
    assert ratio(seen(shipped("plover-1966"), TANK, looks)) < 1


def test_seeing_the_strip_everywhere_never_lifts_moderate_signs_to_strong() -> None:
    route = shipped("plover-1966")
    moderate = [("tank-brackets", "pass"), ("spare-well-shape", "concern")]
    without = seen(route, TANK, moderate)
    with_strips = seen(route, TANK, [*moderate, *((check, "pass") for check in STRIPS)])
    assert ratio(with_strips) / ratio(without) < 10
    assert verbal_of(with_strips.decibans).startswith(("weak", "moderate support"))


def test_on_a_1964_the_bitten_ring_is_right_and_says_little() -> None:
    """Every 1964 was built with the small tank, so what gives a 1966 away is as built here."""
    early = sign_of(shipped("plover-1964"), "tank-washer-bites", TANK)
    assert early.cause == "small-tank"
    belief = seen(shipped("plover-1964"), TANK, [("tank-washer-bites", "pass")])
    assert 1 < ratio(belief) < 2


def test_on_a_1964_the_four_signs_of_a_works_tank_are_not_strong() -> None:
    """No 1964 got the tank at the works: the claim is the dealer's kit, on a car built without it.

    So the frame has the holes and bites of the small tank whoever put the kit in and whenever, and
    bolts and a hand-cut panel are easily done again. What tells is the paper with this serial.
    """
    early = shipped("plover-1964")
    (claim,) = [claim for claim in early.claims if claim.id == TANK]
    assert "dealer's kit" in claim.says
    four = seen(early, TANK, [(check, "pass") for check in WORKS_FITTED])
    assert four.verbal == "weak support for"
    assert ratio(four) < 10
    with_paper = seen(early, TANK, [(check, "pass") for check in (*WORKS_FITTED, "kit-paper")])
    strongest = max(with_paper.signs, key=lambda sign: abs(sign.decibans))
    assert strongest.check == "kit-paper"
    assert with_paper.verbal == "moderate support for"


# -- claims and signs of every shipped route ------------------------------------------------------


@pytest.mark.parametrize("name", ROUTES)
def test_every_claim_has_four_signs_and_no_cause_stands_alone(name: str) -> None:
    route = shipped(name)
    signs = [sign for check in route.checks.values() for sign in check.signs]
    assert len(route.claims) >= 8
    assert {claim.id: n for claim in route.claims if (n := _count(signs, claim.id)) < 4} == {}
    causes = Counter((sign.claim, sign.cause) for sign in signs if sign.cause)
    assert [cause for cause, n in causes.items() if n < 2] == []
    assert len({claim for claim, _ in causes}) >= 4


def _count(signs: list[Sign], claim: str) -> int:
    return sum(sign.claim == claim for sign in signs)


@pytest.mark.parametrize("name", ROUTES)
def test_no_one_result_is_taken_for_proof(name: str) -> None:
    """Judgement is kept sober: nothing beyond 0.95 or below 0.02, no result above 30 to 1."""
    rows = [
        (check.id, row)
        for check in shipped(name).checks.values()
        for sign in check.signs
        for row in (sign.on_pass, sign.on_concern, sign.on_fail)
        if row is not None
    ]
    assert rows
    assert [r for r in rows if not all(Decimal("0.02") <= p <= Decimal("0.95") for p in r[1])] == []
    assert [r for r in rows if not Decimal(1) / 30 <= r[1][0] / r[1][1] <= 30] == []


@pytest.mark.parametrize("name", ["plover", "plover-1964", "plover-1966"])
def test_what_is_read_off_a_part_speaks_of_that_part_alone(name: str) -> None:
    """The computed weight is for a first part: a stamp must not be weighed for any other claim."""
    spoken = {
        check.id: {sign.claim for sign in check.signs}
        for check in shipped(name).checks.values()
        if check.signs and check.reading is not None and check.reading.kind in COMPUTED
    }
    # The kit of 1964 had no plate.
    assert spoken.pop("tank-plate", {TANK}) == {TANK}
    assert spoken == {
        "engine-number": {"engine-first"},
        "block-date": {"engine-first"},
        "gearbox-stamp": {"gearbox-first"},
        "axle-date": {"axle-first"},
        "rail-serial-right": {"plate-belongs"},
    }


@pytest.mark.parametrize("name", ROUTES)
def test_claims_leave_something_of_the_price(name: str) -> None:
    """All stakes come off one price: they never take it all, and a doubt unseen is no bargain."""
    claims = shipped(name).claims
    assert sum(claim.matters for claim in claims) <= Decimal("0.9")
    unseen = sum(claim.matters * (1 - claim.before) for claim in claims)
    assert Decimal("0.15") <= unseen <= Decimal("0.25")


@pytest.mark.parametrize("name", ROUTES)
def test_rust_is_charged_as_a_repair_and_hardly_as_a_doubt(name: str) -> None:
    (sound,) = [claim for claim in shipped(name).claims if claim.id == "frame-sound-inside"]
    assert sound.matters <= Decimal("0.08")


@pytest.mark.parametrize("name", ROUTES)
def test_every_claim_has_a_short_name_of_its_own(name: str) -> None:
    names = [claim.short for claim in shipped(name).claims]
    assert [short for short in names if not 0 < len(short) <= 24] == []
    assert len(set(names)) == len(names)


# -- costs: common practice -----------------------------------------------------------------------


@pytest.mark.parametrize("name", ROUTES)
def test_every_check_says_what_its_fault_costs(name: str) -> None:
    checks = shipped(name).checks.values()
    assert [check.id for check in checks if check.cost is None] == []


@pytest.mark.parametrize("name", ROUTES)
def test_frame_and_body_decide_and_the_engine_is_the_cheap_part(name: str) -> None:
    route = shipped(name)
    hours = {group: _hours(dearest(route, group)) for group in Group}
    assert hours[Group.STRUCTURE] > hours[Group.MECHANICAL] > hours[Group.SAFETY]
    assert hours[Group.STRUCTURE] > hours[Group.BODY] > hours[Group.TRIM]


def _hours(check: Check) -> float:
    assert check.cost is not None
    return mean(check.cost.hours)


@pytest.mark.parametrize("name", ROUTES)
def test_only_what_is_hidden_and_dear_is_reckoned_with_unseen(name: str) -> None:
    rated = [c for c in shipped(name).checks.values() if c.cost and c.cost.base_rate is not None]
    assert {c.group for c in rated} == {Group.STRUCTURE, Group.SAFETY, Group.MECHANICAL}
    assert {"rail-probe-left", "kickup-probe-right", "halfshaft-joint-left", "compression"} <= {
        check.id for check in rated
    }
    assert [c.id for c in rated if c.cost and not 0 < (c.cost.base_rate or 0) <= 0.25] == []
    # One rate a fault: the finger and the gauge find the same rot in the same rail.
    assert not {"rail-wall-left", "rail-wall-right"} & {check.id for check in rated}


@pytest.mark.parametrize("name", ROUTES)
def test_shared_labour_is_shared_by_two_or_more(name: str) -> None:
    keys = Counter(c.cost.together for c in shipped(name).checks.values() if c.cost)
    del keys[""]
    assert [key for key, n in keys.items() if n < 2] == []
    assert {"body-off", "gearbox-out", "tank-out", "engine-out", "bonnet-off"} <= set(keys)


#: Where the way to it costs more than the work: the body let up, one bleeding, shoes by the axle.
BOTH_SIDES = {"body-off", "front-hoses", "rear-brakes"}


@pytest.mark.parametrize("name", ROUTES)
def test_left_and_right_are_two_jobs(name: str) -> None:
    sides: dict[str, set[str]] = {}
    for check in shipped(name).checks.values():
        side = check.id.rpartition("-")[2]
        if check.cost and check.cost.together and side in ("left", "right"):
            sides.setdefault(check.cost.together, set()).add(side)
    assert {key for key, both in sides.items() if len(both) == 2} == BOTH_SIDES


#: The check that has the parts, and those that show the same fault.
ONE_FAULT = {
    "age-front-left": ["tread-front-left"],
    "age-rear-right": ["tread-rear-right"],
    "front-surface": ["front-film"],
    "nose-inside": ["grille-mouth", "nose-below"],
    "tail-lip": ["boot-seam", "boot-floor-press", "damp-behind"],
    "rail-probe-left": ["rail-wall-left"],
    "rail-probe-right": ["rail-wall-right"],
    "damper-front-left": ["bounce-front-left"],
    "damper-front-right": ["bounce-front-right"],
    "diagonals": ["wheelbase"],
    "pedal-hold": ["master-cylinder"],
    "ignition-shield": ["radio-buzz"],
}
ENGINE = ("compression", "oil-pressure-warm")
ENGINE_SYMPTOMS = ("oil-dip", "oil-pressure-start", "engine-noise", "smoke")


@pytest.mark.parametrize("name", ROUTES)
def test_one_fault_seen_in_several_places_is_bought_about_once(name: str) -> None:
    checks = shipped(name).checks
    for carrier, others in ONE_FAULT.items():
        first = checks[carrier].cost
        rest = [cost for check in others if (cost := checks[check].cost)]
        assert first is not None
        assert len(rest) == len(others)
        assert {cost.together for cost in rest} == {first.together} != {""}
        assert sum(mean(cost.parts) for cost in rest) <= 0.5 * mean(first.parts), carrier


@pytest.mark.parametrize("name", ROUTES)
def test_all_that_an_engine_can_show_buys_one_engine(name: str) -> None:
    costs = {check: shipped(name).checks[check].cost for check in (*ENGINE, *ENGINE_SYMPTOMS)}
    parts = {check: mean(cost.parts) for check, cost in costs.items() if cost}
    assert {cost.together for cost in costs.values() if cost} == {"engine-out"}
    assert sum(parts[check] for check in ENGINE_SYMPTOMS) < sum(parts[check] for check in ENGINE)
