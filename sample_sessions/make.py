"""Make the sample sessions: replay the written walks in `walks/` through the program's own session.

Run it from a checkout, after a route or the way of keeping sessions has changed:

    python sample_sessions/make.py            # writes the files of this folder anew
    python sample_sessions/make.py FOLDER     # writes them somewhere else

The same walks over the same routes give the same files, byte for byte: the clock is the walk's own
and moves by the minutes each check usually takes. A walk says only what is not a plain pass:

    route: plover                 # the layer for the year is found as the program finds it
    year: 1966
    facts: {serial: PL6-02417}
    begins: 2026-03-14 08:40      # UTC
    until: steering-linkage       # stop on arriving there; left out, the walk goes to the end
    terms: {margin: 3000}         # said at the end of it; see `checkrun terms --help`
    signed: A. Name               # left out, the walk stays open
    checks:
      bonnet-gaps: {result: fail, reading: L 3.2 4.0 / R 5.2 4.1, note: Opposite tapers.}
      compression: {aside: 2}     # set aside so often before it is answered
      rim-lash: {slip: fail}      # a wrong key first, taken back with undo
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
import zlib
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import yaml

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))

from checkrun.judge.atcheck import judge_at  # noqa: E402
from checkrun.route.catalog import Catalog, Folder  # noqa: E402
from checkrun.route.model import Result  # noqa: E402
from checkrun.session.session import Session  # noqa: E402
from checkrun.session.stops import changes_before  # noqa: E402
from checkrun.session.store import Store  # noqa: E402
from checkrun.session.valuing import set_terms  # noqa: E402

#: Seconds that bringing the car into another state takes; anything else is a matter of a moment.
_CHANGE_SECONDS = {("car", "raised"): 260, ("car", "down"): 170, ("wheels", "off"): 420,
                   ("wheels", "on"): 480, ("engine", "running"): 75}  # fmt: skip
_KNOWN_KEYS = {"result", "reading", "note", "why", "aside", "slip"}


class Clock:
    """Stands still until it is moved on."""

    def __init__(self, start: datetime) -> None:
        self._at = start

    def __call__(self) -> datetime:
        """The moment it stands at."""
        return self._at

    def forward(self, seconds: float) -> None:
        """Move on by some seconds, at least one."""
        self._at += timedelta(seconds=max(1, round(seconds)))


def make(folder: Path) -> list[str]:
    """Write the sessions of all walks into a folder; files of sessions there before are removed.

    Returns:
        The sessions' ids, in the order of the walks.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        made = [replay(walk, Path(scratch)) for walk in sorted((HERE / "walks").glob("*.yaml"))]
        for old in folder.glob("*.json"):
            old.unlink()
        # The locks and the drafts of the store stay behind: a sample is only what was entered.
        for new in sorted(Path(scratch).glob("[!.]*.json")):
            shutil.copyfile(new, folder / new.name)
    return made


def replay(walk: Path, folder: Path) -> str:
    """Walk one written walk; gives the session's id."""
    # Everything is a text: what a person types is kept as it is typed.
    plan = yaml.load(walk.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    start = datetime.strptime(plan["begins"], "%Y-%m-%d %H:%M").replace(tzinfo=UTC)
    clock = Clock(start)
    year = int(plan["year"])
    route = Catalog([Folder(HERE.parent / "checklists", "shipped")]).for_year(plan["route"], year)
    with Store(folder, clock).create(route, year, plan["facts"]) as session:
        entries: dict[str, dict[str, str]] = plan["checks"]
        _refuse_unknown(walk, session, entries)
        while session.walk.counts.open and session.walk.at != plan.get("until"):
            _change_state(session, clock)
            _enter(session, clock, entries.get(session.walk.at, {}))
        _change_state(session, clock)
        if "terms" in plan:
            clock.forward(40)
            set_terms(session, plan["terms"])
        if "signed" in plan:
            clock.forward(200)
            session.sign(plan["signed"])
        return session.id


def _refuse_unknown(walk: Path, session: Session, entries: Mapping[str, Any]) -> None:
    """A check that the route has no longer, or a misspelt key, must not go by in silence."""
    for check, entry in entries.items():
        if check not in session.walk.index:
            raise SystemExit(f"{walk.name}: the route has no check `{check}` for this car")
        if unknown := set(entry) - _KNOWN_KEYS:
            raise SystemExit(f"{walk.name}: {check}: unknown: {', '.join(sorted(unknown))}")


def _change_state(session: Session, clock: Clock) -> None:
    """Bring the car into the state of the station, as the walk screen asks for it."""
    walk = session.walk
    if walk.state(walk.at).answer is not None:
        return
    for change in changes_before(walk.car_state, walk.route.station_of[walk.at]):
        clock.forward(_CHANGE_SECONDS.get((change.part, change.value), 20))
        session.confirm_state({change.part: change.value}, change.caution)


def _enter(session: Session, clock: Clock, entry: Mapping[str, str]) -> None:
    """Do at the present check what the walk says of it."""
    check = session.walk.at
    state = session.walk.state(check)
    usual = float(session.walk.route.checks[check].minutes) * 60
    # Nobody takes the same time twice; the check's own name says how quick it went.
    pace = 0.4 + zlib.crc32(check.encode()) % 60 / 100
    clock.forward(usual * pace)
    if "note" in entry and state.note != entry["note"]:
        session.note(check, entry["note"])
        clock.forward(len(entry["note"]) / 4)
    if state.aside < int(entry.get("aside", 0)):
        session.set_aside(check)
        return
    if "reading" in entry:
        judged = judge_at(session.walk, check, entry["reading"], session.walk.began_at.date())
        session.measure(check, entry["reading"], judged=judged)
        clock.forward(4)
    if "slip" in entry:
        session.answer(check, Result(entry["slip"]))
        clock.forward(3)
        session.undo()
        clock.forward(2)
    session.answer(check, Result(entry.get("result", "pass")), why=entry.get("why", ""))


if __name__ == "__main__":
    # The ids carry the local date of the walk; the samples are the same wherever they are made.
    os.environ["TZ"] = "UTC"
    if hasattr(time, "tzset"):
        time.tzset()
    for name in make(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE):
        print(name)
