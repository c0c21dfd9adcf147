"""All that is known of one check, and how one event changes it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from checkrun.route.model import Result
from checkrun.session.events import Event, Kind


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person said of a check, the reason given, and when."""

    result: Result
    why: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Rank:
    """A place among the findings that a person gave one.

    Attributes:
        before: The check it stands before; empty for the end.
        why: The reason.
        n: The number of the event; what was said later is done later.
    """

    before: str
    why: str
    n: int


@dataclass(slots=True)
class CheckState:
    """All that is known of one check; changed by the fold only.

    Attributes:
        answer: The result that stands, or None while the check is open.
        note: What was noted; the latest text.
        reading: What was measured, as typed.
        reading_unit: The unit a bare number is in.
        judged: The judgement of the reading as it was kept, or None.
        aside: How often it was set aside since it was last answered.
        rounds: How often of these it was in the round of what is left at the end.
        own: The person's own figures of its cost, by name and as typed.
        rank: Where the person put it among the findings, or None.
    """

    answer: Answer | None = None
    note: str = ""
    reading: str = ""
    reading_unit: str = ""
    judged: dict[str, Any] | None = None
    aside: int = 0
    rounds: int = 0
    own: dict[str, str] = field(default_factory=dict)
    rank: Rank | None = None

    @property
    def blank(self) -> bool:
        """Whether nothing was entered that could be lost."""
        return self.answer is None and not (self.note or self.reading)


def change(state: CheckState, event: Event, *, late: bool) -> None:
    """Enter one event into the state of its check.

    Args:
        state: Changed in place.
        event: Something said of the check.
        late: Whether the event fell into the round of what is left at the end.
    """
    data = event.data
    if event.kind is Kind.ANSWERED:
        state.answer = Answer(Result(data["result"]), data.get("why", ""), event.at)
        state.aside = state.rounds = 0
    elif event.kind is Kind.MEASURED:
        state.reading, state.reading_unit = data["text"], data["unit"]
        state.judged = data.get("judged")
    elif event.kind is Kind.NOTED:
        state.note = data["text"]
    elif event.kind is Kind.SET_ASIDE:
        state.aside += 1
        state.rounds += late
    elif event.kind is Kind.PRICED:
        put(state.own, data["name"], data["value"])
    elif event.kind is Kind.RANKED:
        here = data["before"] == data["check"]
        state.rank = None if here else Rank(data["before"], data["why"], event.n)


def put(said: dict[str, str], name: str, value: str) -> None:
    """Keep what was said under a name; an empty text takes it back."""
    if value:
        said[name] = value
    else:
        said.pop(name, None)
