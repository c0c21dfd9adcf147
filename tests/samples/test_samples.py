"""The sample sessions are what the program makes of the written walks over today's routes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest
from tinydb import TinyDB

from checkrun.route.model import Result, Severity
from checkrun.session.clock import now
from checkrun.session.events import Kind
from checkrun.session.store import Store
from checkrun.weigh.findings import findings

SAMPLES = Path(__file__).parents[2] / "sample_sessions"
HALF, FINISHED, SOUND = (
    "20260314-plover-1966-1",
    "20260203-plover-1964-1",
    "20260224-frame-composite-1",
)


@pytest.fixture
def store() -> Store:
    """The committed folder itself; sessions are opened for reading, so nothing is written."""
    return Store(SAMPLES, now)


def sessions_of(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.glob("[!.]*.json")}


@pytest.mark.parametrize("zone", ["UTC", "Pacific/Kiritimati"])
def test_the_script_makes_the_committed_files_byte_for_byte(tmp_path: Path, zone: str) -> None:
    done = subprocess.run(
        [sys.executable, str(SAMPLES / "make.py"), str(tmp_path)],
        env={**os.environ, "TZ": zone},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    made, kept = sessions_of(tmp_path), sessions_of(SAMPLES)
    stale = sorted(name for name in made.keys() | kept.keys() if made.get(name) != kept.get(name))
    assert not stale, f"stale: {', '.join(stale)}. Run: python sample_sessions/make.py"


def test_there_are_three_sessions_each_with_one_copy_of_its_route(store: Store) -> None:
    assert sorted(store.ids()) == sorted([HALF, FINISHED, SOUND])
    copies = [path.name.split(".route-")[0] for path in SAMPLES.glob("*.route-*.json")]
    assert sorted(copies) == sorted([HALF, FINISHED, SOUND])


@pytest.mark.parametrize("name", [HALF, FINISHED, SOUND])
def test_nothing_was_changed_by_hand(store: Store, name: str) -> None:
    assert store.verify(name) == ()


@pytest.mark.parametrize("name", [HALF, FINISHED, SOUND])
def test_a_stock_tinydb_reads_the_events(name: str) -> None:
    with TinyDB(SAMPLES / f"{name}.json", access_mode="r") as db:
        events = db.table("events").all()
    assert [event["n"] for event in events] == [*range(1, len(events) + 1)]


def test_the_demo_resumes_the_half_walked_car_under_the_nose(store: Store) -> None:
    assert store.latest_open() == HALF
    walk = store.open(HALF, write=False).walk
    assert walk.facts["serial"] == "PL6-02417"
    assert walk.at == "steering-linkage"
    assert walk.car_state["car"] == "raised"
    share = walk.counts.answered / walk.counts.total
    assert 0.4 < share < 0.9
    assert walk.counts.fail >= 2
    assert walk.counts.not_examined >= 1


def test_the_half_walked_car_has_a_check_set_aside_and_its_cautions_on_record(
    store: Store,
) -> None:
    walk = store.open(HALF, write=False).walk
    aside = [check for check in walk.open_ids() if walk.state(check).aside]
    assert aside == ["compression"]
    cautions = [
        (event.data["part"], event.data["value"])
        for event in walk.events
        if event.kind is Kind.STATE_CONFIRMED and event.data.get("caution")
    ]
    assert cautions == [("car", "raised")]


def test_the_finished_car_has_findings_of_every_class_and_reasons_for_the_rest(
    store: Store,
) -> None:
    walk = store.open(FINISHED, write=False).walk
    assert walk.counts.open == 0
    assert {finding.check.severity for finding in findings(walk)} == set(Severity)
    skipped = [walk.state(check).answer for check in walk.sequence]
    reasons = {a.why for a in skipped if a is not None and a.result is Result.NOT_EXAMINED}
    assert len(reasons) >= 3
    assert walk.signed is not None
    assert walk.signed[0] == "Tobias Renn"


def test_the_sound_car_passes_everywhere_and_is_signed(store: Store) -> None:
    walk = store.open(SOUND, write=False).walk
    assert walk.counts.pass_ == walk.counts.total
    assert findings(walk) == ()
    assert walk.signed is not None
    assert walk.signed[0] == "Ines Varga"


@pytest.mark.parametrize("name", [HALF, FINISHED, SOUND])
def test_the_time_between_events_is_a_mechanics(store: Store, name: str) -> None:
    """No event at the second of another action, no gap longer than taking the wheels off."""
    walk = store.open(name, write=False).walk
    starts = [event for event in walk.events if event.group == event.n]
    gaps = [(after.at - before.at).total_seconds() for before, after in pairwise(starts)]
    assert min(gaps) >= 1
    assert max(gaps) <= 600


def test_the_files_hold_one_line_of_head_first(store: Store) -> None:
    """The list of sessions reads the head alone, so it must stand before the events."""
    for name in store.ids():
        assert next(iter(json.loads((SAMPLES / f"{name}.json").read_text("utf-8")))) == "head"
