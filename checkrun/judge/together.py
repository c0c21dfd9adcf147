"""Several findings of one reading put together: the worst decides and stands first."""

from __future__ import annotations

from collections.abc import Iterable

from checkrun.judge.judgement import Outcome, worst

_ORDER = (Outcome.FAIL, Outcome.CONCERN, Outcome.PASS, Outcome.UNDECIDED)
Finding = tuple[Outcome, str]


def together(found: Iterable[Finding], missing: str = "") -> tuple[Outcome, tuple[str, ...]]:
    """The outcome of all findings and their reasons, worst first.

    Args:
        found: Outcomes with their reasons.
        missing: What was not taken. Only a fail stands without it; everything else is undecided.
    """
    ordered = sorted(found, key=lambda finding: _ORDER.index(finding[0]))
    reasons = tuple(reason for _, reason in ordered)
    outcome = worst(*(outcome for outcome, _ in ordered))
    if not missing:
        return outcome, reasons
    if outcome is Outcome.FAIL:
        return outcome, (*reasons, missing)
    return Outcome.UNDECIDED, (missing, *reasons)
