"""A whole route walked with keys in a real terminal, killed again and again, and nothing lost."""

from __future__ import annotations

import json
import random
import re
import sys
import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest
from realterm import ENTER, F9, F10, Terminal

from checkrun import cli, locations
from checkrun.commands.context import catalog
from checkrun.judge.atcheck import judge_at, outcome_of
from checkrun.route import planner
from checkrun.route.model import Result, Route, Station
from checkrun.route.tailor import as_walked
from checkrun.screens.judging import OVERRULING
from checkrun.screens.reason import REASONS
from checkrun.session.clock import now
from checkrun.session.events import Event, Kind
from checkrun.session.fold import Walk
from checkrun.session.round import MOST
from checkrun.session.stops import changes_before

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")

KEYS = {Result.PASS: "p", Result.CONCERN: "c", Result.FAIL: "f", Result.NOT_EXAMINED: "x"}
READINGS = ["2,4", "3/32 in", "12.52", "0", "-0.5", ".047", "40 pcfx", "1 2 3 / 4 5 6", "7 [mm]"]
NOTES = [
    "brake [mm]",
    "[red]not red[/red]",
    "left: soft\nright: hard, see the next one",
    "Größe ½ – schräg",
    "pcfxnrsumjqvty",
]
OWN_WORDS = "locked [glovebox], no key"
AT_LEAST = 20  # kills
SIZE = (120, 50)


@dataclass(frozen=True)
class Plan:
    """What is to be entered at one check."""

    result: Result
    why: str
    reading: str
    note: str
    aside: int


@dataclass(frozen=True)
class Model:
    """What must be on record, as the test itself reckons it."""

    at: str
    results: dict[str, Result] = field(default_factory=dict)
    readings: dict[str, str] = field(default_factory=dict)
    notes: dict[str, str] = field(default_factory=dict)
    aside: dict[str, int] = field(default_factory=dict)
    rounds: dict[str, int] = field(default_factory=dict)
    over: bool = False


def planned(route: Route, chance: random.Random) -> dict[str, Plan]:
    """A result for every check, with readings, notes and reasons here and there."""
    plans = {}
    walk = Walk(route, route.stations)
    facts = {"serial": "PL6-02417"}
    began = {"route": route.id, "route_sha": "", "year": 1966, "facts": facts, "program": ""}
    walk.apply(Event(1, now(), Kind.BEGAN, began, 1))
    for check in route.checks.values():
        result = chance.choices(list(KEYS), weights=[12, 4, 3, 2])[0]
        why = chance.choice([*REASONS, OWN_WORDS]) if result is Result.NOT_EXAMINED else ""
        measured = check.reading is not None and chance.random() < 0.6
        reading = chance.choice(READINGS) if measured else ""
        judged = judge_at(walk, check.id, reading, now().date())
        if not why and outcome_of(judged).value not in ("undecided", result.value):
            why = chance.choice(OVERRULING)
        note = chance.choice(NOTES) if chance.random() < 0.15 else ""
        aside = chance.choices([0, 1, 2], weights=[30, 2, 1])[0]
        plans[check.id] = Plan(result, why, reading, note, aside)
    return plans


def left(line: str) -> str:
    """What stands before the plan of the car, which is far enough off."""
    return re.split(r" {3,}", line)[0].strip()


class Walker:
    """Walks with keys, is killed on the way, and holds the screen against the model."""

    def __init__(self, route: Route, plans: dict[str, Plan], chance: random.Random) -> None:
        self.route = route
        self.plans = plans
        self.chance = chance
        self.by_ask = {check.ask: check.id for check in route.checks.values()}
        assert len(self.by_ask) == len(route.checks), "two checks look alike on screen"
        self.order = [check.id for station in route.stations for check in station.checks]
        self.model = Model(self.order[0])
        self.car = {"car": "down", "wheels": "on", "bonnet": "shut", "boot": "shut"}
        self.car["engine"] = "cold"
        self.kills = 0
        self.drafts: dict[str, str] = {}
        self.amid = {"note": 0, "reading": 0, "stop": 0, "reason": 0}

    # What is seen

    def counts(self) -> tuple[str, int] | None:
        """The check on screen and the number of results in the headline."""
        found = re.match(r" \d+/\d+ .* (\d+)/(\d+) ", self.term.lines[0])
        check = self.by_ask.get(left(self.term.lines[1][1:]))
        return None if found is None or check is None else (check, int(found[1]))

    def shows(self, model: Model) -> bool:
        """Whether the screen says what the model says."""
        if model.over:
            return " Summary " in self.term.lines[0] and " 0 open" in self.term.text
        if self.counts() != (model.at, len(model.results)):
            return False
        if "▌" in self.term.text:  # a dialog; a stop comes by itself and may hide the rows
            return self.stopped()
        rows = self.entered()
        asides = model.aside.get(model.at, 0)
        return (
            rows.get("reading", "").startswith(model.readings.get(model.at, ""))
            and (rows.get("reading", "") != "") == (model.at in model.readings)
            and rows.get("note", "") == model.notes.get(model.at, "").split("\n")[0]
            and ("set aside" in rows.get("result", "")) == (asides > 0)
        )

    def entered(self) -> dict[str, str]:
        """What was entered at the check, as the rows above the status line say."""
        top = next((n for n, line in enumerate(self.term.lines) if line[:8] == " result "), None)
        if top is None:
            return {}
        words, _, reading = left(self.term.lines[top][11:]).partition("; reads ")
        rows = {"result": words, "reading": reading}
        for line in self.term.lines[top + 1 :][:7]:
            if line.startswith(" note "):
                rows["note"] = left(line[11:])
        return rows

    def stopped(self) -> bool:
        return re.search(r"▌ +(STOP\. )?Before: ", self.term.text) is not None

    # The test's own reckoning of where a walk goes on

    def next_after(self, check: str, model: Model) -> str | None:
        """Open ones of the station first, then the next station, then the round at the end."""
        found = [*self.brought_back(check, model), *self.ahead(check, model)]
        if found:
            return found[0]
        rest = [c for c in self.order if c not in model.results and c != check]
        if not rest:
            return None
        least = min(model.rounds.get(c, 0) for c in rest)
        rest = [c for c in rest if model.rounds.get(c, 0) == least]
        here, n = self.route.station_of[check], self.order.index(check)
        rest.sort(key=lambda c: (self.route.station_of[c] is not here, self.order.index(c) < n))
        stations = list(dict.fromkeys(self.route.station_of[c].id for c in rest))
        if stations[0] != here.id and len(stations) <= MOST:
            left = [s for s in self.route.stations if s.id in stations]
            left.sort(key=lambda s: stations.index(s.id))
            begin = planner.From(here, tuple(self.car.items()))
            stations = [s.id for s in planner.planned(left, self.route.outline, begin)[0]]
        return next(c for c in rest if self.route.station_of[c].id == stations[0])

    def brought_back(self, check: str, model: Model) -> list[str]:
        """What is open at the station: the later ones, then those set aside once at most."""
        ids = [c.id for c in self.route.station_of[check].checks]
        place = ids.index(check)
        cyclic = [*ids[place + 1 :], *ids[:place]]
        is_open = [c for c in cyclic if c not in model.results]
        later = [c for c in ids[place + 1 :] if c in is_open and not model.aside.get(c)]
        return [*later, *(c for c in is_open if model.aside.get(c, 0) <= 1)]

    def ahead(self, check: str, model: Model) -> list[str]:
        """What is neither answered nor set aside at the stations ahead."""
        n, here = self.order.index(check), self.route.station_of[check]
        return [
            c
            for c in self.order[n + 1 :]
            if self.route.station_of[c] is not here
            and c not in model.results
            and not model.aside.get(c)
        ]

    def set_aside(self, check: str, model: Model) -> Model:
        """The model after a check was set aside: was that its turn in the round at the end?"""
        late = not self.ahead(check, model) and (
            bool(model.aside.get(check)) or not self.brought_back(check, model)
        )
        aside = {**model.aside, check: model.aside.get(check, 0) + 1}
        rounds = {**model.rounds, check: model.rounds.get(check, 0) + late}
        return self.went_on(replace(model, aside=aside, rounds=rounds))

    def went_on(self, model: Model) -> Model:
        """The model after the check it stands at was answered or set aside."""
        target = self.next_after(model.at, model)
        over = target is None and len(model.results) == len(self.order)
        return replace(model, at=target or model.at, over=over)

    # Keys

    def run(self, session: str) -> None:
        """Walk to the end."""
        self.resume(session)
        while not self.model.over:
            self.arrive(session)
            check, plan = self.model.at, self.plans[self.model.at]
            if plan.note and check not in self.model.notes:
                self.note(session, check, plan.note)
            elif plan.reading and check not in self.model.readings:
                self.reading(session, check, plan.reading)
            elif self.model.aside.get(check, 0) < plan.aside:
                self.act(session, "s", self.set_aside(check, self.model))
            else:
                self.answer(session, check, plan)

    def resume(self, session: str) -> None:
        """Start again; stands where the walk was left."""
        self.term = Terminal("resume", session, size=SIZE)

    def killed(self, session: str) -> None:
        """The power goes, at any moment after what was pressed last."""
        self.term.pump(self.chance.choice([0, 0, 0.002, 0.005, 0.01, 0.02, 0.05]))
        self.term.kill()
        self.kills += 1
        self.resume(session)

    def killed_while_typing(self, session: str) -> None:
        """A draft is saved after it is shown, so a tenth of a second is left for it."""
        self.term.settle(0.1)
        self.killed(session)

    def unlucky(self, share: float, doing: str = "") -> bool:
        """Whether to be killed now; the first time in the middle of something, always."""
        if self.chance.random() >= share and self.amid.get(doing, 1):
            return False
        if doing:
            self.amid[doing] += 1
        return True

    def act(self, session: str, keys: str, after: Model) -> None:
        """Press what ends one action: see its effect, or be killed and see either side."""
        self.term.press(keys)
        if not self.unlucky(0.07):
            self.term.until(lambda: self.shows(after))
            self.model = after
            return
        self.killed(session)
        before = self.model
        self.term.until(lambda: self.shows(before) or self.shows(after) or self.finished(after))
        # Half a frame can look like the screen before the key: let it be painted to the end.
        self.term.settle()
        if self.finished(after):
            self.term.press("m")
            self.term.until(lambda: self.shows(after))
            self.model = after
        else:
            self.model = after if self.shows(after) else before
            assert self.shows(self.model), self.term.text

    def finished(self, after: Model) -> bool:
        """Resumed when nothing is open: the walk stands at the last check and shows it."""
        return after.over and self.counts() == (after.at, len(after.results))

    def note(self, session: str, check: str, text: str) -> None:
        """Type a note and keep it; half of it typed when the power goes, it is offered again."""
        self.open_note()
        if offered := self.drafts.pop(check, ""):
            self.term.until(offered)
            self.term.press(F9)
            self.term.until(lambda: "▌" not in self.term.text and self.shows(self.model))
            self.open_note()
        if self.unlucky(0.15, "note"):
            half = text[: self.chance.randrange(1, len(text))].split("\n")[0].rstrip()
            self.term.press(half)
            self.term.until(half)
            self.killed_while_typing(session)
            self.term.until(lambda: self.shows(self.model))
            self.drafts[check] = half
            return
        self.term.press(text.replace("\n", ENTER))
        last = text.split("\n")[-1]
        self.term.until(last)
        self.term.settle(0.05)
        self.act(session, F10, replace(self.model, notes={**self.model.notes, check: text}))
        if check not in self.model.notes:
            self.drafts[check] = last

    def open_note(self) -> None:
        self.term.press("n")
        self.term.until("F10 keep it")
        self.term.settle(0.05)

    def reading(self, session: str, check: str, text: str) -> None:
        """Type a reading, its first digit opening the field, and leave the field."""
        self.start_reading(text[0], text[0])
        if self.unlucky(0.08, "reading"):
            self.killed_while_typing(session)
            self.term.until(lambda: self.shows(self.model))
            self.arrive(session)
            self.start_reading("r", text[0])
        self.term.press(text[1:])
        self.term.until(lambda: self.field() == text)
        self.act(session, ENTER, replace(self.model, readings={**self.model.readings, check: text}))
        self.term.until(lambda: self.field() is None)

    def start_reading(self, key: str, shown: str) -> None:
        self.term.press(key)
        self.term.until(lambda: self.field() == shown)
        self.term.settle(0.05)

    def field(self) -> str | None:
        """What stands in the open reading field, just above the status line."""
        row = self.term.lines[-4]
        return left(row[11:]) if row.startswith(" reading") else None

    def answer(self, session: str, check: str, plan: Plan) -> None:
        after = self.went_on(
            replace(self.model, results={**self.model.results, check: plan.result})
        )
        if plan.result is not Result.NOT_EXAMINED and not plan.why:
            self.act(session, KEYS[plan.result], after)
            return
        if plan.result is not Result.NOT_EXAMINED:
            self.term.press(KEYS[plan.result])
            self.term.until("Why another result?")
            self.act(session, str(OVERRULING.index(plan.why) + 1), after)
            return
        self.term.press("x")
        self.term.until("Not examined: why?")
        if self.unlucky(0.1, "reason"):
            self.killed(session)
            self.term.until(lambda: self.shows(self.model))
        elif plan.why in REASONS:
            self.act(session, str(REASONS.index(plan.why) + 1), after)
        else:
            self.term.press(str(len(REASONS) + 1))
            self.term.until("in your own words, then Enter")
            self.term.press(plan.why)
            self.term.until(plan.why)
            self.act(session, ENTER, after)

    def arrive(self, session: str) -> None:
        """Confirm the safety stop, if the station needs the car in another state."""
        station = self.route.station_of[self.model.at]
        while changes := changes_before(self.car, station):
            self.term.until(self.stopped)
            self.term.press("y")
            if self.unlucky(0.2, "stop"):
                self.killed(session)
                self.term.until(lambda: self.shows(self.model))
                self.confirmed_before_the_kill(station)
            else:
                self.term.until(lambda: not self.stopped() and self.shows(self.model))
                self.car |= {change.part: change.value for change in changes}

    def confirmed_before_the_kill(self, station: Station) -> None:
        """Take from the screen which changes are on record: those it does not ask for again."""
        with suppress(AssertionError):
            self.term.until(self.stopped, seconds=0.5)
        for change in changes_before(self.car, station):
            if not self.stopped() or change.do not in self.term.text:
                self.car[change.part] = change.value


def begin_with_keys() -> str:
    """Answer the questions about the car on screen and give the new session's id."""
    with Terminal("walk", "plover", "--year", "1966", size=SIZE) as term:
        term.until("Chassis serial on the plate")
        term.press(ENTER)
        term.settle()
        term.press("pl6-02417")
        term.until("pl6-02417")
        term.press(F10)
        term.until("Before you start")
        term.press(ENTER)
        term.until("0/193")
        term.press("q")
        assert term.wait_for_exit() == 0
    (session,) = locations.store().glob("[!.]*-1.json")
    return session.stem


def summary(name: str, capsys: pytest.CaptureFixture[str], *store: str) -> dict[str, Any]:
    capsys.readouterr()
    assert cli.run([*store, "summary", name, "--json"]) == 0
    data: dict[str, Any] = json.loads(capsys.readouterr().out)
    # Only on a screen is a stop confirmed, and it keeps the moment.
    return {key: value for key, value in data.items() if key not in ("session", "confirmed")}


def without_a_screen(
    order: Sequence[str], plans: dict[str, Plan], capsys: pytest.CaptureFixture[str], *store: str
) -> str:
    """The same walk by commands."""
    capsys.readouterr()
    arguments = ["begin", "plover", "--year", "1966", "--fact", "serial=PL6-02417"]
    assert cli.run([*store, *arguments]) == 0
    session = capsys.readouterr().out.strip()
    for check in order:
        plan = plans[check]
        told = ["answer", session, check, plan.result.value]
        told += ["--why", plan.why] if plan.why else []
        told += ["--note", plan.note] if plan.note else []
        told += [f"--reading={plan.reading}"] if plan.reading else []
        assert cli.run([*store, *told]) == 0
    return session


@pytest.mark.slow
def test_a_whole_walk_by_keys_killed_over_and_over_equals_the_same_walk_by_commands(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chance = random.Random(1966)
    started = time.monotonic()
    session = begin_with_keys()
    route = as_walked(catalog().for_year("plover", 1966), 1966, {"serial": "PL6-02417"})
    plans = planned(route, chance)
    walker = Walker(route, plans, chance)
    try:
        walker.run(session)
        walker.term.press("q")
        walker.term.until(lambda: walker.counts() is not None)
        walker.term.press("q")
        assert walker.term.wait_for_exit() == 0
    finally:
        walker.term.kill()
    took = time.monotonic() - started
    with capsys.disabled():
        print(f"\n  {walker.kills} kills, {walker.amid} on the way, {took:.0f} s", end=" ")

    assert walker.kills >= AT_LEAST
    assert min(walker.amid.values()) >= 1
    assert cli.run(["verify", session]) == 0
    other = ["--store", str(tmp_path / "other")]
    twin = without_a_screen(walker.order, plans, capsys, *other)
    by_keys, by_commands = summary(session, capsys), summary(twin, capsys, *other)
    for part in ("findings", "not_examined"):
        assert [f for f in by_keys[part] if f not in by_commands[part]] == []
    assert by_keys == by_commands
    assert by_keys["counts"]["open"] == 0
    assert by_keys["counts"]["fail"] > 0
