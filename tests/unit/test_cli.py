"""Every command as it is called: what it prints, where, and its exit status."""

from __future__ import annotations

import errno
import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import checkrun
from checkrun import cli, locations
from checkrun.commands import sessions as commands
from checkrun.session import durable
from checkrun.session.clock import now
from checkrun.session.store import Store

CHECKOUT = Path(__file__).parents[2]
HALF, FINISHED, SOUND = (
    "20260314-plover-1966-1",
    "20260203-plover-1964-1",
    "20260224-frame-composite-1",
)

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command in this process; its exit status, output and errors."""

    def call(*arguments: str) -> tuple[int, str, str]:
        capsys.readouterr()
        status = cli.run(arguments)
        out, err = capsys.readouterr()
        return status, out, err

    return call


@pytest.fixture
def store() -> Store:
    """The sample sessions, where the commands look for sessions."""
    folder = locations.store()
    folder.mkdir()
    for sample in (CHECKOUT / "sample_sessions").glob("*.json"):
        shutil.copy(sample, folder)
    return Store(folder, now)


def process(
    *arguments: str, env: dict[str, str] | None = None, **options: Any
) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "checkrun", *arguments],
        env={**os.environ, "PYTHONPATH": str(CHECKOUT), **(env or {})},
        stdin=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        timeout=60,
        **{"stdout": subprocess.PIPE, **options},
    )


def begin(run: Run, *more: str) -> str:
    status, out, err = run("begin", "frame-composite", "--year", "1960", *more)
    assert (status, err) == (0, "")
    return out.strip()


def listed(run: Run) -> dict[str, dict[str, Any]]:
    return {row["session"]: row for row in json.loads(run("sessions", "--json")[1])}


def one_line(err: str) -> bool:
    return err.startswith("checkrun: ") and err.count("\n") == 1 and err.endswith("\n")


# The command line itself


def test_version_is_told_in_one_line() -> None:
    done = process("--version")
    assert (done.returncode, done.stdout) == (0, f"checkrun {checkrun.__version__}\n")


def test_help_names_every_command_and_every_exit_status(run: Run) -> None:
    status, out, _ = run("--help")
    assert status == 0
    names = "demo walk resume begin answer sign reopen summary sessions verify recover lint routes"
    for name in names.split():
        assert re.search(rf"^    {name} +\S", out, re.M), name
    assert re.search(r"0 done;.*1 .*2 .*3 .*130 interrupted", out, re.S)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["sumary", "x"], "there is no command `sumary`. Did you mean `summary`?"),
        (["frobnicate"], "there is no command `frobnicate`. See: checkrun --help"),
        (
            ["answer", "x"],
            "the following arguments are required: check, result. See: checkrun answer --help",
        ),
        (["sessions", "--josn"], "unrecognized arguments: --josn. See: checkrun --help"),
        (
            ["begin", "plover", "--year", "sixty-six"],
            "argument --year: `sixty-six` is no model year; write it like 1966. "
            "See: checkrun begin --help",
        ),
    ],
)
def test_a_wrong_call_is_told_in_one_line(run: Run, arguments: list[str], said: str) -> None:
    assert run(*arguments) == (2, "", f"checkrun: {said}\n")


# begin


def test_begin_prints_the_new_session_and_nothing_else(run: Run) -> None:
    name = begin(run)
    assert re.fullmatch(r"\d{8}-frame-composite-1", name)
    assert Store(locations.store(), now).ids() == [name]


def test_begin_as_json_follows_the_year_to_its_layer(run: Run) -> None:
    status, out, _ = run(
        "begin", "plover", "--year", "1966", "--fact", "serial=pl6-02417", "--json"
    )
    assert status == 0
    data = json.loads(out)
    assert data.keys() == {"session", "route", "checks"}
    assert data["route"] == "plover-1966"
    walk = Store(locations.store(), now).open(data["session"], write=False).walk
    assert len(walk.sequence) == data["checks"]
    assert walk.facts == {"serial": "PL6-02417"}


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["plovr"], "there is no route `plovr`. Did you mean `plover`?"),
        (["./none.yaml"], "there is no file ./none.yaml"),
        (["plover"], "say the model year: --year 1963 (to 1968)"),
        (["plover", "--year", "1970"], "`plover` covers 1963-1968, not 1970"),
        (
            ["plover", "--year", "1966"],
            "the route asks `Chassis serial on the plate`: --fact serial=PL6-02417",
        ),
        (
            ["plover", "--year", "1966", "--fact", "serail=PL6-02417"],
            "--fact serail=PL6-02417: the route does not ask `serail`. Did you mean `serial`?",
        ),
        (
            ["plover", "--year", "1966", "--fact", "serial"],
            "--fact serial: write it as NAME=ANSWER",
        ),
        (
            ["plover", "--year", "1966", "--fact", "serial=PL6-0241"],
            "--fact serial=PL6-0241: 5 digits (running number from 00101) expected at "
            "character 5, not `0241`",
        ),
        (
            ["frame-composite", "--year", "1960", "--fact", "lift=maybe"],
            "--fact lift=maybe: answer yes or no",
        ),
    ],
)
def test_begin_refuses_what_does_not_fit_and_writes_nothing(
    run: Run, arguments: list[str], said: str
) -> None:
    assert run("begin", *arguments) == (2, "", f"checkrun: {said}\n")
    assert not locations.store().exists()


def test_begin_on_a_route_with_problems_tells_the_first_in_one_line(
    run: Run, tmp_path: Path
) -> None:
    route = tmp_path / "mine.yaml"
    route.write_text("format: 1\nid: mine\ntitel: x\n", encoding="utf-8")
    status, out, err = run("begin", str(route), "--year", "1960")
    assert (status, out) == (2, "")
    assert one_line(err)
    assert f"{route}:1:1: " in err
    assert "checkrun lint shows all" in err


# answer


@pytest.mark.parametrize(
    ("result", "kept"),
    [
        ("pass", "pass"),
        ("p", "pass"),
        ("P", "pass"),
        ("Concern", "concern"),
        ("f", "fail"),
        ("x", "not-examined"),
        ("not-examined", "not-examined"),
        ("not_examined", "not-examined"),
    ],
)
def test_answer_takes_results_in_full_and_for_short(run: Run, result: str, kept: str) -> None:
    name = begin(run)
    status, out, err = run("answer", name, "stance", result, "--why", "no time")
    assert (status, out, err) == (0, f"stance: {kept}; 167 open\n", "")


def test_answer_as_json_with_note_and_reading_as_typed(run: Run) -> None:
    name = begin(run)
    status, out, _ = run(
        *("answer", name, "stance", "fail", "--json"),
        *("--note", "left [mm]\nlow", "--reading=-2,5 mm"),
    )
    assert status == 0
    told = json.loads(out)
    assert told.pop("judged")["result"] == "undecided"
    assert told == {"session": name, "check": "stance", "result": "fail", "open": 167}
    (finding,) = json.loads(run("summary", name, "--json")[1])["findings"]
    assert (finding["note"], finding["reading"]) == ("left [mm]\nlow", "-2,5 mm")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["stnace", "pass"], "The route has no check called 'stnace'. Did you mean stance?"),
        (["stance", "pas"], "`pas` is no result. Did you mean `pass`?"),
        (
            ["stance", "purple"],
            "`purple` is no result. Choose from: pass, concern, fail, not-examined.",
        ),
        (["stance", "x"], "A check that was not examined needs a reason. Say why."),
        (["stance", "x", "--why", " "], "A check that was not examined needs a reason. Say why."),
    ],
)
def test_answer_refuses_what_does_not_fit_and_keeps_nothing(
    run: Run, arguments: list[str], said: str
) -> None:
    name = begin(run)
    assert run("answer", name, *arguments) == (2, "", f"checkrun: {said}\n")
    assert len(Store(locations.store(), now).open(name, write=False).walk.events) == 1


# Which session is meant


def test_a_part_of_a_name_is_enough_if_no_other_has_it(run: Run, store: Store) -> None:
    assert json.loads(run("summary", "1964", "--json")[1])["session"] == FINISHED


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (
            "20260314-plover-1966-2",
            f"There is no session called '20260314-plover-1966-2'. Did you mean {HALF}?",
        ),
        ("zebra", "There is no session called 'zebra'. See the list of sessions."),
        (
            "plover",
            f"'plover' fits 2 sessions: {FINISHED}, {HALF}. Type more of the name.",
        ),
    ],
)
@pytest.mark.parametrize("command", ["summary", "verify", "recover"])
def test_a_name_that_fits_none_or_several_is_told_with_the_nearest(
    run: Run, store: Store, command: str, name: str, said: str
) -> None:
    assert run(command, name) == (2, "", f"checkrun: {said}\n")


# sign and reopen


def test_a_signed_session_takes_nothing_until_it_is_reopened(run: Run) -> None:
    name = begin(run)
    assert run("sign", name, "--name", "Ines Varga") == (
        0,
        f"{name}: signed off by Ines Varga, 168 checks open\n",
        "",
    )
    refused = "checkrun: This session was signed off by Ines Varga. Reopen it to change it.\n"
    assert run("answer", name, "stance", "pass") == (2, "", refused)
    assert run("sign", name, "--name", "Another") == (2, "", refused)
    assert run("reopen", name, "--why", "forgot one") == (0, f"{name}: open again\n", "")
    assert run("answer", name, "stance", "pass")[0] == 0
    kinds = [event.kind.value for event in Store(locations.store(), now).open(name).walk.events]
    assert kinds == ["began", "signed-off", "reopened", "answered"]


def test_signing_needs_a_name_and_reopening_a_reason(run: Run, store: Store) -> None:
    assert run("sign", HALF, "--name", " ") == (
        2,
        "",
        "checkrun: Signing off needs a name. Say who signs.\n",
    )
    assert run("reopen", SOUND, "--why", "") == (
        2,
        "",
        "checkrun: Reopening a signed session needs a reason. Say why.\n",
    )


def test_reopening_an_open_session_says_so_and_records_nothing(run: Run, store: Store) -> None:
    before = (store.folder / f"{HALF}.json").read_bytes()
    assert run("reopen", HALF, "--why", "to be sure") == (
        0,
        f"{HALF}: was not signed off, so it is open\n",
        "",
    )
    assert (store.folder / f"{HALF}.json").read_bytes() == before


# summary and sessions


def test_summary_tells_findings_worst_first_and_what_was_not_examined(
    run: Run, store: Store
) -> None:
    status, out, err = run("summary", FINISHED)
    assert (status, err) == (0, "")
    lines = out.splitlines()
    assert lines[0] == (
        "Brackwell Plover 1964, drums in front and no year on the gearbox: model year 1964, "
        "serial PL4-00861, odometer 71904, asking-price 38000, lift yes, keys 1, "
        "last-run In October, touring-tank yes, works-radio yes, engine-number E-A09, kit-papers no"
    )
    classes = re.findall(r"^ +\d+  \S+ · (\w+) · ", out.split("\nNot examined")[0], re.M)
    assert set(classes) == {"dangerous", "major", "minor"}
    assert classes == sorted(classes, key=["dangerous", "major", "minor"].index)
    assert "     reason: not safe to do here" in lines


def test_summary_as_json_counts_what_it_lists(run: Run, store: Store) -> None:
    data = json.loads(run("summary", HALF, "--json")[1])
    assert data["session"] == HALF
    assert data["car"]["year"] == 1966
    assert data["car"]["serial"] == "PL6-02417"
    counts = data["counts"]
    assert len(data["findings"]) == counts["concern"] + counts["fail"]
    assert len(data["not_examined"]) == counts["not_examined"]
    assert len(data["open"]) == counts["open"]
    assert [item["check"] for item in data["open"] if item["set_aside"]] == ["compression"]
    assert data["signed"] is None


def test_summary_writes_nothing(run: Run, store: Store) -> None:
    before = {path.name: path.read_bytes() for path in store.folder.iterdir()}
    for name in (HALF, FINISHED, SOUND):
        assert run("summary", name)[0] == 0
        assert run("verify", name)[0] == 0
    assert {path.name: path.read_bytes() for path in store.folder.iterdir()} == before


def test_sessions_lists_the_latest_first_with_who_signed(run: Run, store: Store) -> None:
    status, out, err = run("sessions")
    assert (status, err) == (0, "")
    assert [line.split()[0] for line in out.splitlines()] == [HALF, SOUND, FINISHED]
    assert re.search(rf"^{HALF} +\d+ of \d+ +open ", out, re.M)
    assert re.search(rf"^{SOUND} +168 of 168 +signed by Ines Varga ", out, re.M)


def test_sessions_as_json(run: Run, store: Store) -> None:
    rows = json.loads(run("sessions", "--json")[1])
    assert [row["session"] for row in rows] == [HALF, SOUND, FINISHED]
    assert rows[1] == {
        "session": SOUND,
        "route": "frame-composite",
        "title": "Separate steel frame, composite body, independent rear end",
        "year": 1972,
        "answered": 168,
        "total": 168,
        "signed_by": "Ines Varga",
        "problem": "",
    }


def test_sessions_of_nothing(run: Run) -> None:
    assert run("sessions") == (0, "No sessions yet. Start one with: checkrun walk\n", "")
    assert run("sessions", "--json") == (0, "[]\n", "")


# verify and recover: files that are not as they were written


def test_verify_finds_a_changed_event_and_says_which(run: Run, store: Store) -> None:
    path = store.folder / f"{SOUND}.json"
    text = path.read_text("utf-8")
    assert run("verify", SOUND) == (
        0,
        "In order: no event was changed, added or taken out after it was written.\n",
        "",
    )
    assert run("verify", SOUND, "--json") == (0, "[]\n", "")
    data = json.loads(text)
    event = next(e for e in data["events"].values() if e["kind"] == "measured")
    event["data"]["text"] = "9.9"
    said = f"event {event['n']} was changed after it was written"
    path.write_text(json.dumps(data), encoding="utf-8")
    status, out, err = run("verify", SOUND)
    assert (status, out, err) == (1, f"{said}\n", "")
    assert json.loads(run("verify", SOUND, "--json")[1]) == [{"event": event["n"], "problem": said}]


def test_a_cut_off_file_is_not_in_order_and_is_recovered_beside_itself(
    run: Run, store: Store
) -> None:
    path = store.folder / f"{HALF}.json"
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) * 2 // 3])
    damaged = path.read_bytes()

    status, out, err = run("verify", HALF)
    assert (status, err) == (1, "")
    assert f"{HALF}.json is damaged" in out
    assert json.loads(run("verify", HALF, "--json")[1])[0]["event"] == 0
    assert listed(run)[HALF]["problem"] == "damaged"
    for command in (["summary", HALF], ["answer", HALF, "nose-below", "pass"]):
        status, out, err = run(*command)
        assert (status, out) == (2, "")
        assert one_line(err)
        assert "recover what can be read into a new session" in err

    status, out, err = run("recover", HALF)
    assert (status, err) == (0, "")
    kept = re.match(rf"{HALF}-recovered: (\d+) events kept; the damaged file is as it was\n", out)
    assert kept is not None
    assert 80 < int(kept[1]) < 158
    assert "  lost: " in out
    assert path.read_bytes() == damaged
    assert run("summary", f"{HALF}-recovered")[0] == 0
    assert run("answer", f"{HALF}-recovered", "nose-below", "pass")[0] == 0


def test_recovering_a_sound_session_is_refused(run: Run, store: Store) -> None:
    assert run("recover", HALF) == (
        2,
        "",
        f"checkrun: {HALF} is in order; there is nothing to recover\n",
    )
    assert store.ids() == sorted([HALF, FINISHED, SOUND])


def test_a_file_of_a_newer_version_is_refused_and_left_alone(run: Run, store: Store) -> None:
    path = store.folder / f"{HALF}.json"
    data = json.loads(path.read_bytes())
    (head,) = data["head"].values()
    head["format"] = 99
    path.write_text(json.dumps(data), encoding="utf-8")
    before = path.read_bytes()
    for command in (
        ["summary", HALF],
        ["answer", HALF, "nose-below", "pass"],
        ["verify", HALF],
        ["recover", HALF],
    ):
        status, out, err = run(*command)
        assert (status, out) == (2, ""), command
        assert one_line(err)
        assert "was written by a newer checkrun (format 99" in err
        assert "Update checkrun to open it; the file was not changed." in err
    assert path.read_bytes() == before
    assert listed(run)[HALF]["problem"] == "newer"


# lint and routes


def test_lint_of_everything_shipped_is_clean(run: Run) -> None:
    status, out, err = run("lint")
    assert (status, err) == (0, "")
    assert re.fullmatch(r"\d+ routes read, no problem\.\n", out)
    assert run("lint", "--json") == (0, "[]\n", "")


def test_lint_tells_problems_with_status_1(run: Run, tmp_path: Path) -> None:
    route = tmp_path / "mine.yaml"
    route.write_text("format: 1\nid: mine\ntitel: x\n", encoding="utf-8")
    status, out, err = run("lint", str(route))
    assert (status, err) == (1, "")
    assert f"{route}:3:1: " in out
    rows = json.loads(run("lint", str(route), "--json")[1])
    assert {"file", "line", "column", "problem", "hint"} <= rows[0].keys()
    assert run("lint", "plovr")[0] == 2


def test_routes_names_ones_own_before_the_shipped_ones(run: Run) -> None:
    own = locations.own_routes()
    own.mkdir()
    shutil.copy(CHECKOUT / "checklists" / "plover-1966.yaml", own)
    (own / "broken.yaml").write_text("format: 1\n", encoding="utf-8")
    status, out, err = run("routes")
    assert (status, err) == (0, "")
    assert re.search(r"^broken +can't be walked: ", out, re.M)
    assert f"yours: {own / 'plover-1966.yaml'} and wins over the shipped one" in out
    rows = {row["route"]: row for row in json.loads(run("routes", "--json")[1])}
    assert rows["plover-1966"]["owner"] == "yours"
    assert rows["plover-1966"]["hides"] == str(CHECKOUT / "checklists" / "plover-1966.yaml")
    assert rows["frame-composite"]["owner"] == "shipped"
    assert rows["frame-composite"]["years"] == "1953-1975"
    assert "problem" in rows["broken"]


# Where the sessions are


def test_the_store_may_be_named_before_or_after_the_command_or_by_the_environment(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    arguments = ("begin", "frame-composite", "--year", "1960")
    assert run("--store", str(one), *arguments)[0] == 0
    assert run(*arguments, "--store", str(two))[0] == 0
    assert len(Store(one, now).ids()) == len(Store(two, now).ids()) == 1
    assert not locations.store().exists()
    monkeypatch.setenv("CHECKRUN_STORE", str(one))
    assert len(json.loads(run("sessions", "--json")[1])) == 1
    # The one named last on the command line counts, and both before the environment.
    elsewhere = str(tmp_path / "three")
    assert run("--store", str(one), "sessions", "--store", elsewhere, "--json")[1] == "[]\n"
    assert run("--store", elsewhere, "sessions", "--json")[1] == "[]\n"


def test_a_tilde_in_the_stores_name_is_ones_home(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    begin(run, "--store", "~/mine")
    assert len(Store(tmp_path / "mine", now).ids()) == 1
    monkeypatch.setenv("CHECKRUN_STORE", "~/mine")
    assert len(json.loads(run("sessions", "--json")[1])) == 1


@pytest.mark.parametrize(
    "arguments",
    [["summary", "x"], ["answer", "x", "stance", "pass"], ["verify", "x"], ["recover", "x"]],
    ids=lambda arguments: arguments[0],
)
def test_a_missing_store_is_told_and_not_made(run: Run, arguments: list[str]) -> None:
    folder = locations.store()
    said = f"checkrun: There are no sessions: {folder} does not exist. Begin a walk first.\n"
    assert run(*arguments) == (2, "", said)
    assert not folder.exists()


@pytest.mark.parametrize(
    "arguments",
    [["sessions"], ["summary", "x"], ["begin", "frame-composite", "--year", "1960"]],
    ids=lambda arguments: arguments[0],
)
def test_a_file_in_place_of_the_store_is_told_and_left_alone(
    run: Run, arguments: list[str]
) -> None:
    place = locations.store()
    place.write_text("a shopping list", encoding="utf-8")
    said = f"checkrun: {place} is no folder, so no sessions can be kept in it\n"
    assert run(*arguments) == (2, "", said)
    assert place.read_text("utf-8") == "a shopping list"


def test_a_read_only_disk_refuses_in_one_line_and_keeps_what_was_there(
    run: Run, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Told apart from permissions, since root may write anywhere."""
    before = {path.name: path.read_bytes() for path in store.folder.iterdir()}
    real = os.open

    def read_only(path: Any, flags: int, *rest: Any, **named: Any) -> int:
        if flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
            raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(path))
        return real(path, flags, *rest, **named)

    monkeypatch.setattr(durable.os, "open", read_only)
    for command in (["answer", HALF, "nose-below", "pass"], ["sign", HALF, "--name", "A. Name"]):
        status, out, err = run(*command)
        assert (status, out) == (2, "")
        assert one_line(err)
        assert "the disk is read-only" in err
    assert run("summary", HALF)[0] == 0
    monkeypatch.undo()
    assert {path.name: path.read_bytes() for path in store.folder.iterdir()} == before


@pytest.mark.skipif(sys.platform == "win32", reason="needs POSIX limits")
def test_a_full_disk_refuses_in_one_line_and_loses_nothing(store: Store) -> None:
    """A limit on the size of files stands for the disk; the session's file is over it already."""
    path = store.folder / f"{HALF}.json"
    before = path.read_bytes()

    def narrow() -> None:
        import resource
        import signal

        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))

    arguments = ("answer", HALF, "nose-below", "fail", "--note", "cracked")
    done = process(*arguments, preexec_fn=narrow)
    assert done.returncode == 2
    assert done.stdout == ""
    assert one_line(done.stderr)
    assert "the file would be larger than is allowed here" in done.stderr
    assert "Nothing was changed; put that right and try again." in done.stderr
    assert path.read_bytes() == before
    assert not list(store.folder.glob(".*tmp"))
    assert process(*arguments).returncode == 0
    assert store.verify(HALF) == ()


# Faults, interrupts and pipes


def test_a_fault_of_our_own_is_reported_in_a_file_and_told_in_one_line(
    run: Run, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stumble(args: object) -> int:
        raise ZeroDivisionError("division by [zero]")

    monkeypatch.setattr(commands, "summary", stumble)
    status, out, err = run("summary", HALF)
    assert (status, out) == (3, "")
    assert one_line(err)
    (report,) = store.folder.glob("fault-*.txt")
    assert err == (
        "checkrun: a fault of checkrun itself (ZeroDivisionError); nothing entered is lost. "
        f"The report is in {report}\n"
    )
    text = report.read_text("utf-8")
    assert text.startswith(f"checkrun {checkrun.__version__}, Python 3.")
    assert "command: sessions:summary" in text
    assert "ZeroDivisionError: division by [zero]" in text
    assert 'raise ZeroDivisionError("division by [zero]")' in text


def test_a_fault_where_the_store_can_take_no_report_goes_to_the_temporary_folder(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stumble(args: object) -> int:
        raise RuntimeError("?")

    monkeypatch.setattr(commands, "sessions", stumble)
    monkeypatch.setattr("tempfile.gettempdir", lambda: str(tmp_path / "tmp"))
    locations.store().write_text("in the way", encoding="utf-8")
    status, _, err = run("sessions")
    assert status == 3
    (report,) = (tmp_path / "tmp").glob("fault-*.txt")
    assert err.endswith(f"The report is in {report}\n")


def test_an_interrupt_ends_with_130_and_no_traceback(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(args: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(commands, "sessions", interrupted)
    assert run("sessions") == (130, "", "")


@pytest.mark.skipif(sys.platform == "win32", reason="needs a POSIX shell")
def test_a_pipe_closed_by_its_reader_is_no_error(store: Store) -> None:
    piped = '"$0" -m checkrun summary "$1" | head -1; echo "${PIPESTATUS[0]}"'
    done = subprocess.run(
        ["bash", "-c", piped, sys.executable, FINISHED],
        env={**os.environ, "PYTHONPATH": str(CHECKOUT), "PYTHONUNBUFFERED": "1"},
        capture_output=True,
        text=True,
        timeout=60,
    )
    first, status = done.stdout.splitlines()
    assert first.startswith("Brackwell Plover 1964")
    assert status == "0"
    assert done.stderr == ""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_an_output_that_takes_no_more_is_told_in_one_line(store: Store) -> None:
    with open("/dev/full", "w") as full:
        done = process("summary", FINISHED, stdout=full)
    assert done.returncode == 2
    assert done.stderr == "checkrun: the output can't be written: the disk is full\n"


@pytest.mark.skipif(sys.platform == "win32", reason="needs a POSIX shell")
def test_a_closed_output_is_no_fault(store: Store) -> None:
    done = subprocess.run(
        ["bash", "-c", '"$0" -m checkrun sessions >&-', sys.executable],
        env={**os.environ, "PYTHONPATH": str(CHECKOUT)},
        stderr=subprocess.PIPE,
        text=True,
        timeout=60,
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_an_output_that_knows_no_unicode_gets_codes_and_json_stays_whole(store: Store) -> None:
    with store.open(HALF) as session:
        session.note("puddle-nose", "½ Größe – 底盤")
    ascii_only = {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    told = process("summary", HALF, env=ascii_only)
    assert (told.returncode, told.stderr) == (0, "")
    assert r"note: \xbd Gr\xf6\xdfe \u2013 \u5e95\u76e4" in told.stdout
    data = json.loads(process("summary", HALF, "--json", env=ascii_only).stdout)
    notes = {finding["check"]: finding["note"] for finding in data["findings"]}
    assert notes["puddle-nose"] == "½ Größe – 底盤"


# Screens, as far as they are refused before one opens


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["resume"], "there is no open session. Start one with: checkrun walk"),
        (["walk", "plovr"], "there is no route `plovr`. Did you mean `plover`?"),
        (["walk", "plover", "--year", "1970"], "`plover` covers 1963-1968, not 1970"),
    ],
)
def test_a_screen_that_can_not_open_is_told_in_one_line(
    run: Run, arguments: list[str], said: str
) -> None:
    assert run(*arguments) == (2, "", f"checkrun: {said}\n")


def test_resume_of_an_unknown_session_offers_the_nearest(run: Run, store: Store) -> None:
    status, _, err = run("resume", "20260314-plover-1966-3")
    assert status == 2
    assert err == (
        f"checkrun: There is no session called '20260314-plover-1966-3'. Did you mean {HALF}?\n"
    )
