"""Paint film: spots, panels, panels out of family."""

from __future__ import annotations

from statistics import mean, median
from typing import Any

import pytest

from checkrun.judge.judgement import Judgement, Outcome
from checkrun.judge.kinds import judge, judge_text

SPEC: dict[str, Any] = {"kind": "film", "unit": "um", "thin-below": "80", "filler-above": "500"}


def film(panels: Any, **more: Any) -> Judgement:
    return judge({**SPEC, **more, "panels": panels})


def one_each(*figures: float) -> dict[str, Any]:
    return {f"panel {n}": [[figure]] for n, figure in enumerate(figures)}


def test_modified_z_of_the_reference_pack_paint_set() -> None:
    """Outliers-and-thickness.md O9, after Iglewicz and Hoaglin (formula verified there).

    Median 103, MAD 3.5, modified z of 318 = 41.43, the largest other 1.35.
    """
    found = film(one_each(100, 104, 97, 110, 102, 99, 318, 105)).values
    assert (found["median"], found["mad"]) == (103.0, 3.5)
    scores = [panel["modified_z"] for panel in found["panels"].values()]
    assert scores[6] == pytest.approx(41.43, abs=0.005)
    assert max(abs(z) for z in scores[:6] + scores[7:]) == pytest.approx(1.35, abs=0.005)
    assert [panel["outlier"] for panel in found["panels"].values()].index(True) == 6


def test_modified_z_of_the_handbook_set() -> None:
    """NIST/SEMATECH e-Handbook, Grubbs page, set from Tietjen and Moore (data from memory).

    The pack computes 29.96 for the value 245.57 (O10).
    """
    figures = (199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57)
    found = film(one_each(*figures)).values["panels"]
    assert found["panel 7"]["modified_z"] == pytest.approx(29.96, abs=0.005)
    assert [name for name, panel in found.items() if panel["outlier"]] == ["panel 7"]


def test_modified_z_of_the_reference_pack_wall_set() -> None:
    """check-values.csv: -15.176 for 0.95 (computed there)."""
    found = judge({"kind": "film", "unit": "mm",
                   "panels": one_each(1.42, 1.38, 1.45, 1.40, 1.43, 1.39, 0.95)})  # fmt: skip
    assert found.values["panels"]["panel 6"]["modified_z"] == pytest.approx(-15.176, abs=1e-3)


def test_a_spot_is_the_mean_of_its_touches_and_a_panel_of_its_spots() -> None:
    """SSPC-PA 2: a spot is the mean of at least three readings (reference pack F1, verified)."""
    nose = [[250, 260, 255], [270, 265, 275]]
    wings = {"left": [[300, 310, 305]], "right": [[290, 300]]}
    found = film({"nose": nose, **wings}).values
    assert found["panels"]["nose"]["mean"] == pytest.approx(mean(mean(spot) for spot in nose))
    assert found["panels"]["nose"]["lowest_spot"] == 255
    assert found["panels"]["nose"]["highest_spot"] == 270
    assert found["median"] == pytest.approx(median([262.5, 305, 295]))


@pytest.mark.parametrize(
    ("panels", "outcome", "reason"),
    [
        (one_each(190, 205, 198), Outcome.PASS, "spots from 190 um to 205 um: none thin or thick"),
        (one_each(310, 455, 305), Outcome.CONCERN, "panel 1 stands apart: 455 um, 145 um over the "
         "310 um of the family (modified z 19.6)"),
        (one_each(250, 700, 260), Outcome.FAIL, "panel 1, thickest spot 700 um: 200 um over the "
         "limit of 500 um"),
        (one_each(90, 70, 100), Outcome.FAIL, "panel 1, thinnest spot 70 um: 10 um under the limit "
         "of 80 um"),
    ],
)  # fmt: skip
def test_outcomes(panels: Any, outcome: Outcome, reason: str) -> None:
    found = film(panels)
    assert (found.outcome, found.reasons[0]) == (outcome, reason)


def test_panels_that_agree_within_a_tenth_are_one_family() -> None:
    """Common practice: 300, 301 and 310 um are no repaired panel, whatever the score says."""
    found = film(one_each(300, 301, 310))
    assert found.values["panels"]["panel 2"]["modified_z"] > 3.5
    assert found.outcome is Outcome.PASS


def test_no_spread_gives_no_score() -> None:
    found = film(one_each(200, 200, 200)).values
    assert found["mad"] == 0.0
    assert {panel["modified_z"] for panel in found["panels"].values()} == {0.0}


def test_half_the_panels_alike_fall_back_on_the_mean_deviation() -> None:
    """Reference pack O5: MAD 0 leaves the score undefined; the mean deviation stands in."""
    found = film(one_each(200, 200, 200, 400)).values["panels"]
    assert found["panel 3"]["modified_z"] == pytest.approx(200 / (1.253314 * 50))
    assert not found["panel 3"]["outlier"]


def test_missing_panels_leave_it_open_unless_one_fails() -> None:
    spec = {**SPEC, "panels": ["nose", "left wing", "right wing"]}
    found = judge_text("film", spec, "nose 200, left 210")
    assert found.outcome is Outcome.UNDECIDED
    assert found.reasons[0] == "2 of 3 panels; missing right wing"
    assert judge_text("film", spec, "nose 700, left 210").outcome is Outcome.FAIL


def test_two_panels_are_no_family() -> None:
    found = judge({"kind": "film", "unit": "um", "panels": one_each(100, 400)})
    assert found.outcome is Outcome.UNDECIDED
    assert found.values["panels"]["panel 1"]["modified_z"] is None
