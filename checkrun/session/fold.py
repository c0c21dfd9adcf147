"""Everything known of a session so far: its events folded over its route."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime

from checkrun.route.model import STATE_VALUES, Route, Station
from checkrun.session.checkstate import Answer, CheckState, Rank, change, put
from checkrun.session.events import UNDOABLE, Event, Kind
from checkrun.session.onward import Onward
from checkrun.session.round import Round
from checkrun.session.tally import Counts, Tally

__all__ = ["Answer", "CheckState", "Counts", "Rank", "Walk"]

_NO_TIME = datetime(1, 1, 1, tzinfo=UTC)
#: What an event that is said of no check is a part of.
_WHOLE = ""


class Walk:
    """A session as it stands: a fold of its events over its route.

    Attributes:
        route: The route walked.
        car_state: Each part of the car's state and the value last confirmed.
        year: The car's model year.
        facts: What was said of the car at the intake.
        began_at: When the walk began.
        signed: Who signed it off and when, or None while it is open.
        reopened: How often it was reopened after signing.
        events: All events so far, oldest first.
        terms: What was said of the money, by name and as typed.
        priors: How likely a person took a claim to be, by its id and as typed.
    """

    __slots__ = (
        "_groups",
        "_history",
        "_late",
        "_onward",
        "_redo",
        "_states",
        "_tally",
        "_undo",
        "_undone",
        "began_at",
        "car_state",
        "events",
        "facts",
        "priors",
        "reopened",
        "route",
        "signed",
        "terms",
        "year",
    )

    def __init__(self, route: Route, stations: Sequence[Station]) -> None:
        """Start with nothing entered.

        Args:
            route: The route walked.
            stations: The stations that apply to this car, in walking order.
        """
        self.route = route
        self.events: list[Event] = []
        self._clear(stations)

    def _clear(self, stations: Sequence[Station]) -> None:
        """Forget everything but the route."""
        self._tally = Tally(stations)
        self._states: dict[str, CheckState] = {}
        self._history: dict[str, list[Event]] = {}
        self._groups: dict[int, list[str]] = {}
        self._undo: list[int] = []
        self._redo: list[int] = []
        self._undone: set[int] = set()
        # The events that set something aside in a round at the end.
        self._late: set[int] = set()
        self.car_state = {part: values[0] for part, values in STATE_VALUES.items()}
        self.year = 0
        self.facts: dict[str, str] = {}
        self.terms: dict[str, str] = {}
        self.priors: dict[str, str] = {}
        self.began_at = _NO_TIME
        self._onward = Onward(self._tally, self.route.outline, self.car_state)
        self.signed: tuple[str, datetime] | None = None
        self.reopened = 0

    # What is known

    @property
    def at(self) -> str:
        """The id of the check the person is at; empty if the route has no checks."""
        return self._onward.at

    @property
    def round(self) -> Round | None:
        """The round of what is left that led to where the person is, or None."""
        return self._onward.round

    @property
    def stations(self) -> tuple[Station, ...]:
        """The stations in walking order."""
        return self._tally.stations

    @property
    def sequence(self) -> tuple[str, ...]:
        """The ids of the checks in walking order."""
        return self._tally.sequence

    @property
    def index(self) -> dict[str, int]:
        """The place of each check in `sequence`."""
        return self._tally.index

    @property
    def station_index(self) -> dict[str, int]:
        """The place of each station in `stations`, by its id."""
        return self._tally.station_index

    @property
    def counts(self) -> Counts:
        """How many checks have each result."""
        return self._tally.counts

    def station_counts(self, station_id: str) -> Counts:
        """How many checks of one station have each result."""
        return self._tally.station_counts(station_id)

    def state(self, check_id: str) -> CheckState:
        """How a check stands; blank if nothing was entered. For reading only."""
        found = self._states.get(check_id)
        return CheckState() if found is None else found

    def open_ids(self) -> tuple[str, ...]:
        """The checks without a result, in walking order."""
        return self._tally.open_ids()

    def open_from(self, check_id: str) -> Iterator[tuple[str, Station]]:
        """The other open checks with their stations, in walking order from a check, to it again."""
        return self._tally.open_from(check_id)

    @property
    def vanished(self) -> dict[str, CheckState]:
        """What was entered for checks the route no longer has."""
        index = self.index
        return {c: s for c, s in self._states.items() if c not in index and not s.blank}

    @property
    def can_undo(self) -> int | None:
        """The group that undo would take back."""
        return self._undo[-1] if self._undo else None

    @property
    def can_redo(self) -> int | None:
        """The group that redo would bring back."""
        return self._redo[-1] if self._redo else None

    def next_after(self, check_id: str) -> str | None:
        """Where to walk on to after a check; None when no other check is open.

        In walking order as long as something that was not set aside is ahead, see `Tally.ahead`;
        then round all that is still open, by the way that is shortest from here.
        """
        return self._onward.next_after(check_id)

    def next_station(self, here: Station) -> Station | None:
        """Where to walk on to when a station is done with; None when no other has an open check."""
        return self._onward.next_station(here)

    def last_answered(self, n: int = 3) -> tuple[str, ...]:
        """The checks answered last, latest first."""
        found: dict[str, None] = {}
        for event in reversed(self.events):
            if len(found) >= n:
                break
            if event.kind is Kind.ANSWERED and event.group not in self._undone:
                check = event.data["check"]
                if check in self.index:
                    found.setdefault(check)
        return tuple(found)

    def answered_after(self, events: Iterable[Event]) -> int:
        """How many checks of the route would have a result after these events, not yet applied."""
        undone = set(self._undone)
        fresh: dict[str, list[Event]] = {}
        touched: set[str] = set()
        for event in events:
            if event.kind in UNDOABLE:
                fresh.setdefault(_subject(event), []).append(event)
                touched.add(_subject(event))
            elif event.kind in (Kind.UNDONE, Kind.REDONE):
                group = event.data["group"]
                touched.update(self._groups.get(group, ()))
                (undone.add if event.kind is Kind.UNDONE else undone.discard)(group)
        answered = self.counts.answered
        for check in touched & self.index.keys():
            history = [*self._history.get(check, ()), *fresh.get(check, ())]
            has_answer = any(e.kind is Kind.ANSWERED and e.group not in undone for e in history)
            answered += has_answer - (not self._tally.is_open(check))
        return answered

    # What happens

    def apply(self, event: Event) -> None:
        """Take in one more event."""
        if not self.events:
            self.began_at = event.at
        self.events.append(event)
        self._take(event)

    def take_route(self, route: Route, stations: Sequence[Station]) -> None:
        """Fold all events anew, over another route."""
        self.route = route
        self._clear(stations)
        if self.events:
            self.began_at = self.events[0].at
        for event in self.events:
            self._take(event)

    def _take(self, event: Event) -> None:
        """Change what is known by one event. An unknown part or group changes nothing."""
        kind, data = event.kind, event.data
        if kind in UNDOABLE:
            self._enter(event)
        elif kind is Kind.MOVED:
            self._onward.go(data["check"])
        elif kind is Kind.STATE_CONFIRMED:
            self.car_state[data["part"]] = data["value"]
        elif kind is Kind.UNDONE:
            self._turn(data["group"], self._undo, self._redo)
        elif kind is Kind.REDONE:
            self._turn(data["group"], self._redo, self._undo)
        elif kind is Kind.BEGAN or kind is Kind.RECOVERED:
            # A recovered event repeats year and facts when the first event itself was lost.
            self.year = data.get("year", self.year)
            self.facts = dict(data.get("facts", self.facts))
        elif kind is Kind.SIGNED:
            self.signed = (data["name"], event.at)
        elif kind is Kind.REOPENED:
            self.signed = None
            self.reopened += 1

    def _enter(self, event: Event) -> None:
        """Take in something said, and walk on if that is what it calls for."""
        check, kind = _subject(event), event.kind
        if event.group not in self._groups:
            self._groups[event.group] = []
            self._undo.append(event.group)
        if check not in self._groups[event.group]:
            self._groups[event.group].append(check)
        self._redo.clear()
        self._history.setdefault(check, []).append(event)
        if check == _WHOLE:
            self._say(event)
            return
        state = self._states.get(check)
        if state is None:
            state = self._states[check] = CheckState()
        walks_on = kind is Kind.ANSWERED or kind is Kind.SET_ASIDE
        ahead = self._tally.ahead(check) if walks_on else None
        if kind is Kind.SET_ASIDE and self._tally.is_late(check, ahead, state):
            self._late.add(event.n)
        change(state, event, late=event.n in self._late)
        self._tally.put(check, state)
        if walks_on:
            self._onward.walk_on(check, ahead, event.group)

    def _say(self, event: Event) -> None:
        """Take in something said of the car as a whole."""
        if event.kind is Kind.TERM:
            put(self.terms, event.data["name"], event.data["value"])
        else:
            put(self.priors, event.data["claim"], event.data["value"])

    def _turn(self, group: int, source: list[int], target: list[int]) -> None:
        """Move a group between done and undone; its checks are told anew from their own events."""
        if group not in source:
            return
        source.remove(group)
        target.append(group)
        (self._undone.add if source is self._undo else self._undone.discard)(group)
        for check in self._groups[group]:
            if check == _WHOLE:
                self.terms.clear()
                self.priors.clear()
                for event in self._history[check]:
                    if event.group not in self._undone:
                        self._say(event)
                continue
            state = CheckState()
            for event in self._history[check]:
                if event.group not in self._undone:
                    change(state, event, late=event.n in self._late)
            self._states[check] = state
            self._tally.put(check, state)
        self._onward.go(next((c for c in self._groups[group] if c in self.index), None))


def _subject(event: Event) -> str:
    """The check that something was said of."""
    check: str = event.data.get("check", _WHOLE)
    return check
