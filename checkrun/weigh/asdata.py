"""What was weighed and priced as plain data, under the names that `--json` prints."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from checkrun.weigh.cost import Moments, Terms
from checkrun.weigh.evidence import Belief
from checkrun.weigh.nextbest import Next
from checkrun.weigh.offer import Offer
from checkrun.weigh.simulate import Spread


def claims_as_data(beliefs: Mapping[str, Belief]) -> dict[str, Any]:
    """The claims for a program, by their ids."""
    return {
        belief.claim: {
            "before": belief.before,
            "after": belief.after,
            "odds": belief.odds,
            "decibans": belief.decibans,
            "verbal": belief.verbal,
            "halved": belief.halved,
            "doubled": belief.doubled,
            "signs": [
                {
                    "check": sign.check,
                    "result": sign.result,
                    "ratio": sign.ratio,
                    "decibans": sign.decibans,
                    "counted": sign.counted,
                }
                for sign in belief.signs
            ],
        }
        for belief in beliefs.values()
    }


def next_as_data(row: Next) -> dict[str, Any]:
    """What one open check would tell, for a program."""
    return {
        "check": row.check,
        "claim": row.claim,
        "bits": row.bits,
        "minutes": row.minutes,
        "bits_per_minute": row.bits_per_minute,
    }


def price_as_data(
    cost: Moments, spread: Spread, terms: Terms, most: Offer | None, warning: str
) -> dict[str, Any]:
    """The answer for a program: drawn amounts in cents, exact ones to six places."""
    return {
        "mean": round(cost.mean, 6),
        "sd": round(cost.sd, 6),
        "p50": round(spread.p50, 2),
        "p80": round(spread.p80, 2),
        "p90": round(spread.p90, 2),
        "percentile": terms.percentile,
        "at_percentile": round(spread.at, 2),
        "standard_error": round(spread.standard_error, 6),
        "correlation": round(spread.correlation, 6),
        "histogram": {
            "low": round(spread.low, 2),
            "high": round(spread.high, 2),
            "draws": list(spread.histogram),
        },
        "drivers": [
            {"id": driver.id, "mean": round(driver.mean, 6), "share": driver.share}
            for driver in cost.drivers
        ],
        "most_to_pay": None if most is None else most.most_to_pay,
        "lines": []
        if most is None
        else [{"label": label, "amount": amount} for label, amount in most.lines],
        "warning": warning,
    }
