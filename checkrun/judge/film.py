"""Paint film: spots of several touches on panels, panels out of family, thin and thick spots."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from checkrun.judge import fields as take
from checkrun.judge.judgement import BadReading, Car, Fields, Judgement, Outcome
from checkrun.judge.limits import Bound, Limits, decide, figure, said
from checkrun.judge.spread import OUTLIER, mad, mean, median, modified_z
from checkrun.judge.together import Finding, together
from checkrun.judge.words import listed
from checkrun.units import Unit

#: A panel is not out of family while it is within this share of the median: three panels that
#: agree by chance within a hair make any fourth one look strange (common practice).
_FAMILY = Decimal("0.1")
#: Fewer panels are no family.
_FEWEST = 3


@dataclass(frozen=True, slots=True)
class _Panel:
    name: str
    mean: Decimal
    lowest: Decimal
    highest: Decimal
    z: float | None = None
    outlier: bool = False


def judge_film(fields: Fields, _car: Car) -> Judgement:
    """A spot under `thin-below` or over `filler-above` fails, a panel out of family is a concern.

    A spot is the mean of its touches, a panel the mean of its spots; panels are compared by the
    modified z-score of their means.
    """
    unit = take.spec_unit(fields, "um", "length")
    out_by = take.uncertainty(fields, unit)
    thin, thick = _limits(fields, unit)
    spots, missing = _spots(fields, unit)
    if not spots:
        raise BadReading("panels: no spot is written yet")
    panels = _family(spots, out_by)
    found = _spot_findings(panels, thin, thick, out_by)
    middle = median([panel.mean for panel in panels])
    found += [
        (Outcome.CONCERN, _stranger(panel, middle, unit)) for panel in panels if panel.outlier
    ]
    if len(panels) >= _FEWEST and not any(panel.outlier for panel in panels):
        found.append((Outcome.PASS, f"one family round {said(middle, unit)}"))
    if not found:
        found = [(Outcome.UNDECIDED, "no limit is given, and fewer than three panels to compare")]
    line = ""
    if missing:
        line = f"{len(panels)} of {len(panels) + len(missing)} panels; missing {listed(missing)}"
    outcome, reasons = together(found, line)
    return Judgement(outcome, reasons, _values(panels), _SOURCES)


_SOURCES = (
    "panels out of family: modified z-score over 3.5 (Iglewicz and Hoaglin 1993; verified in a "
    "published implementation)",
)


def _limits(fields: Fields, unit: Unit) -> tuple[Limits, Limits]:
    """The limit of the thinnest spot, and that of the thickest."""
    thin = take.number(fields, "thin-below", unit)
    thick = take.number(fields, "filler-above", unit)
    if thin is not None and thick is not None and thin > thick:
        raise BadReading("thin-below is more than filler-above")
    low = None if thin is None else Bound(thin, said(thin, unit))
    high = None if thick is None else Bound(thick, said(thick, unit))
    return Limits(unit, least=low, below=low), Limits(unit, most=high, above=high)


def _spots(fields: Fields, unit: Unit) -> tuple[dict[str, list[Decimal]], list[str]]:
    """The spots of every panel that was measured, and the panels that were not."""
    given = fields.get("panels")
    if given is None or isinstance(given, str | list | tuple):
        return {}, list(take.names(given, "panels"))
    spots: dict[str, list[Decimal]] = {}
    missing: list[str] = []
    for name, value in take.mapping(fields, "panels").items():
        items = value if isinstance(value, list | tuple) else [value]
        means = [
            _spot(item, f"spot {number} of {name}", unit)
            for number, item in enumerate(items[: take.MOST], 1)
        ]
        taken = [spot for spot in means if spot is not None]
        if taken:
            spots[name] = taken
        else:
            missing.append(name)
    return spots, missing


def _spot(value: Any, where: str, unit: Unit) -> Decimal | None:
    touches = [touch for touch in take.many(value, where, unit) if touch is not None]
    for touch in touches:
        take.not_negative(touch, where, "a film")
        take.not_beyond(touch, 50, where, "film")
    return mean([touch.to(unit) for touch in touches]) if touches else None


def _family(spots: dict[str, list[Decimal]], out_by: Decimal) -> list[_Panel]:
    means = [mean(values) for values in spots.values()]
    scores: list[float | None] = [None] * len(means)
    if len(means) >= _FEWEST:
        scores = list(modified_z(means))
    middle = median(means)
    apart = max(middle * _FAMILY, out_by * Decimal(2).sqrt())
    return [
        _Panel(
            name,
            average,
            min(values),
            max(values),
            z,
            z is not None and abs(z) > OUTLIER and abs(average - middle) > apart,
        )
        for (name, values), average, z in zip(spots.items(), means, scores, strict=True)
    ]


def _spot_findings(
    panels: list[_Panel], thin: Limits, thick: Limits, out_by: Decimal
) -> list[Finding]:
    """What the spots say, panel by panel, or once if all of them pass."""
    unit = thin.unit
    found = []
    for panel in panels:
        for limits, spot, word in ((thin, panel.lowest, "thinn"), (thick, panel.highest, "thick")):
            if limits.given:
                told = f"{panel.name}, {word}est spot {said(spot, unit)}"
                verdict = decide(spot, out_by, limits, told)
                found.append((verdict.outcome, verdict.reason))
    if any(outcome is not Outcome.PASS for outcome, _ in found):
        return [finding for finding in found if finding[0] is not Outcome.PASS]
    low, high = min(panel.lowest for panel in panels), max(panel.highest for panel in panels)
    told = f"spots from {said(low, unit)} to {said(high, unit)}: none thin or thick"
    return [(Outcome.PASS, told)] if found else []


def _stranger(panel: _Panel, middle: Decimal, unit: Unit) -> str:
    side = "over" if panel.mean > middle else "under"
    apart = said(abs(panel.mean - middle), unit)
    return (
        f"{panel.name} stands apart: {said(panel.mean, unit)}, {apart} {side} the "
        f"{said(middle, unit)} of the family (modified z {figure(panel.z or 0.0)})"
    )


def _values(panels: list[_Panel]) -> dict[str, Any]:
    means = [panel.mean for panel in panels]
    return {
        "median": float(median(means)),
        "mad": float(mad(means)),
        "panels": {
            panel.name: {
                "mean": float(panel.mean),
                "modified_z": panel.z,
                "outlier": panel.outlier,
                "lowest_spot": float(panel.lowest),
                "highest_spot": float(panel.highest),
            }
            for panel in panels
        },
    }
