"""Readings on the walk screen: what is typed is judged, and another result needs a reason."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from checkrun.session.session import Session

if TYPE_CHECKING:
    from checkrun.screens.app import CheckrunApp

#: The usual reasons for another result than the reading was judged.
OVERRULING = (
    "the reading can't be trusted",
    "the limit does not fit this car",
    "more was seen than the reading tells",
    "it is being put right",
)
UNDECIDED = "undecided"


def judged(app: CheckrunApp, session: Session, check_id: str, text: str) -> dict[str, Any] | None:
    """The judgement of a line typed at a check, on the day of the walk."""
    from checkrun.judge.atcheck import judge_at

    day = session.walk.events[-1].at.date()
    return judge_at(session.walk, check_id, text, day, unit=unit(app, session, check_id))


def unit(app: CheckrunApp, session: Session, check_id: str) -> str:
    """The unit that bare numbers are in."""
    from checkrun.judge.atcheck import unit_at

    return unit_at(session.walk, check_id, app.units)


def keep(app: CheckrunApp, session: Session, check_id: str, text: str) -> None:
    """Keep a line as it was typed, with its unit and its judgement.

    Raises:
        StoreError: If it can't be kept.
    """
    found = judged(app, session, check_id, text)
    session.measure(check_id, text, unit=unit(app, session, check_id), judged=found)


def outcome(session: Session, check_id: str) -> str:
    """What the reading of a check was judged; undecided if there is none."""
    found = session.walk.state(check_id).judged
    return UNDECIDED if found is None else str(found.get("result", UNDECIDED))


def ask_why(
    app: CheckrunApp, outcome: str, result: str, done: Callable[[str | None], None]
) -> None:
    """Ask why a result is another than the reading was judged."""
    from checkrun.screens.reason import ReasonScreen

    says = f"You say {result}; the reading is judged {outcome}."
    app.push_screen(ReasonScreen("Why another result?", says, OVERRULING), done)
