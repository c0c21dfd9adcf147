"""The program as a person meets it: in a real terminal, with keys, signals and other sizes."""

from __future__ import annotations

import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator

import pytest
from realterm import CHECKOUT, ENTER, ESCAPE, F9, F10, PAGE_DOWN, Terminal

from checkrun import cli, locations
from checkrun.session.clock import now
from checkrun.session.store import Store

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")

HALF = "20260314-plover-1966-1"
#: How far the half-walked car is walked, and what the screen says of it then and one result later.
with Store(CHECKOUT / "sample_sessions", now).open(HALF, write=False) as _half:
    DONE, _ALL = _half.walk.counts.answered, _half.walk.counts.total
    _STATIONS = _half.walk.stations
    _HERE = [_half.walk.at in {c.id for c in s.checks} for s in _STATIONS].index(True) + 1
AT_STATION = f"{_HERE}/{len(_STATIONS)}"
BEGUN, ONE_MORE = f"{DONE}/{_ALL}", f"{DONE + 1}/{_ALL}"
#: Ctrl+U takes away all that stands before the cursor.
EMPTY_FIELD = "\x15"
STANDS_AT = "Play in track rods, idler and drag link"
COLOUR = re.compile(rb"\x1b\[[0-9;]*\b(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])[0-9;]*m")


@pytest.fixture
def store() -> Store:
    """A store with the sample sessions in it, where the program will look for them."""
    folder = locations.store()
    folder.mkdir()
    for sample in (CHECKOUT / "sample_sessions").glob("*.json"):
        shutil.copy(sample, folder)
    return Store(folder, now)


@pytest.fixture
def walking(store: Store) -> Iterator[Terminal]:
    """The half-walked car, resumed."""
    with Terminal("resume", HALF) as term:
        term.until(STANDS_AT)
        term.settle()
        yield term


def events(store: Store, name: str = HALF) -> int:
    return len(store.open(name, write=False).walk.events)


# Start and quit


def test_home_opens_on_an_empty_store_and_q_leaves_without_a_trace() -> None:
    with Terminal() as term:
        term.until("Start a walk")
        term.until("No walk yet")
        term.press("q")
        assert term.wait_for_exit() == 0
    assert not locations.store().exists()


def test_home_lists_the_sessions_and_enter_opens_one(store: Store) -> None:
    with Terminal() as term:
        term.until("PL6-02417")
        assert term.text.index("Walks to go on with") < term.text.index("Signed off")
        term.press("\x1b[B", ENTER)
        term.until(STANDS_AT)
        term.press("q")
        term.until("Start a walk")
        term.press("q")
        assert term.wait_for_exit() == 0


def test_the_demo_stands_under_the_nose_and_leaves_the_samples_alone() -> None:
    before = {p: p.read_bytes() for p in (CHECKOUT / "sample_sessions").glob("*") if p.is_file()}
    with Terminal("demo") as term:
        term.until(STANDS_AT)
        term.until(BEGUN)
        term.press("p")
        term.until(ONE_MORE)
        term.press("q")
        assert term.wait_for_exit() == 0
    after = {p: p.read_bytes() for p in (CHECKOUT / "sample_sessions").glob("*") if p.is_file()}
    assert after == before
    assert not locations.store().exists()


def test_resume_without_a_name_goes_on_with_the_latest_open_one(store: Store) -> None:
    with Terminal("resume") as term:
        term.until(STANDS_AT)
        term.until("Welcome back. Done last: Front crossmember, from one arm to the other: pass.")
        term.press("q")
        assert term.wait_for_exit() == 0


def test_the_terminal_is_given_back_as_it_was(walking: Terminal) -> None:
    walking.press("q")
    assert walking.wait_for_exit() == 0
    for on, off in ((b"?1049h", b"?1049l"), (b"?25l", b"?25h"), (b"?2004h", b"?2004l")):
        assert on not in walking.raw or walking.raw.rindex(off) > walking.raw.rindex(on)


def test_a_key_is_on_disk_when_its_effect_is_on_screen(store: Store, walking: Terminal) -> None:
    walking.press("f")
    walking.until(ONE_MORE)
    walking.kill()
    assert store.open(HALF, write=False).walk.counts.answered == DONE + 1
    assert store.verify(HALF) == ()


# Sizes


def test_a_window_shrunk_to_20_by_5_and_back_stands_at_the_same_check(walking: Terminal) -> None:
    before = walking.lines[1]
    walking.resize(20, 5)
    walking.until(AT_STATION)
    walking.settle()
    walking.resize(120, 40)
    walking.until(STANDS_AT)
    walking.settle()
    assert walking.lines[1] == before
    walking.press("p")
    walking.until(ONE_MORE)


@pytest.mark.parametrize("size", [(20, 5), (60, 20), (80, 24), (160, 45)])
def test_a_walk_starts_in_any_size_and_takes_results(store: Store, size: tuple[int, int]) -> None:
    with Terminal("resume", HALF, size=size) as term:
        term.until(AT_STATION)
        term.settle()
        term.press("p")
        term.settle()
        term.press("q")
        assert term.wait_for_exit() == 0
    assert store.open(HALF, write=False).walk.counts.answered == DONE + 1


# Endings nobody asked for


def test_a_hangup_ends_the_program_and_loses_nothing(store: Store, walking: Terminal) -> None:
    walking.press("c")
    walking.until(ONE_MORE)
    walking.kill(signal.SIGHUP)
    assert store.open(HALF, write=False).walk.counts.answered == DONE + 1
    assert store.open(HALF).busy == ""


def test_a_closed_window_ends_the_program_and_loses_nothing(
    store: Store, walking: Terminal
) -> None:
    walking.press("c")
    walking.until(ONE_MORE)
    walking.close_window()
    walking.wait_for_exit()
    assert store.open(HALF, write=False).walk.counts.answered == DONE + 1
    assert store.open(HALF).busy == ""


def test_a_note_half_typed_when_the_power_went_is_offered_again(
    store: Store, walking: Terminal
) -> None:
    walking.press("n")
    walking.until("F10 keep it")
    walking.press("soft [left]", ENTER, "and the ri")
    walking.until("and the ri")
    walking.settle()
    walking.kill()
    assert store.open(HALF, write=False).walk.state("steering-linkage").note == ""
    with Terminal("resume", HALF) as again:
        again.until(STANDS_AT)
        again.settle()
        again.press("n")
        again.until("and the ri")
        again.settle()
        again.press("ght one too")
        again.until("and the right one too")
        again.press(F10)
        again.until("note      soft [left]")
    assert store.open(HALF, write=False).walk.state("steering-linkage").note == (
        "soft [left]\nand the right one too"
    )


def test_a_draft_given_up_with_f9_is_not_offered_again(store: Store, walking: Terminal) -> None:
    walking.press("n")
    walking.until("F10 keep it")
    walking.press("never mind")
    walking.until("never mind")
    walking.press(F9)
    walking.until(lambda: "F10 keep it" not in walking.text)
    walking.press("n")
    walking.until("F10 keep it")
    walking.settle()
    assert "never mind" not in walking.text


def test_a_reading_half_typed_when_the_power_went_is_offered_again(
    store: Store, walking: Terminal
) -> None:
    walking.press("3")
    walking.until("reading   3")
    walking.press(",2")
    walking.until("reading   3,2")
    walking.settle()
    walking.kill()
    assert store.open(HALF, write=False).walk.state("steering-linkage").reading == ""
    with Terminal("resume", HALF) as again:
        again.until(STANDS_AT)
        again.settle()
        again.press("r")
        again.until("reading   3,2")
        again.press("5 mm", ENTER)
        again.until("reads 3,25 mm")
        again.press("c")
        again.until(ONE_MORE)
    state = store.open(HALF, write=False).walk.state("steering-linkage")
    assert state.reading == "3,25 mm"


def test_a_price_that_was_entered_is_there_when_the_power_went_over_the_next_figure(
    store: Store, walking: Terminal
) -> None:
    terms = dict(store.open(HALF, write=False).walk.terms)
    walking.press("c")
    walking.until(ONE_MORE)
    walking.press("b")
    walking.until("mean chance spread")
    walking.press("a")
    walking.until("The price asked")
    walking.settle()
    walking.press(EMPTY_FIELD, "58000", ENTER)
    walking.until("58 000.00")
    walking.press("m")
    walking.until("What must be left over")
    walking.press(EMPTY_FIELD, "1234")
    walking.until("1234")
    walking.settle()
    walking.kill()
    walk = store.open(HALF, write=False).walk
    assert walk.terms == {**terms, "asking": "58000"}
    assert walk.counts.answered == DONE + 1
    assert store.verify(HALF) == ()
    with Terminal("resume", HALF) as again:
        again.until(ONE_MORE)
        again.settle()
        again.press("b")
        again.until("58 000.00")
        again.press("u")
        again.until(lambda: "58 000.00" not in again.text)
        again.press("q")
        again.until(ONE_MORE)
        again.press("q")
        assert again.wait_for_exit() == 0
    assert store.open(HALF, write=False).walk.terms == terms


def test_page_down_steps_on_with_the_reading_field_open_and_keeps_what_was_typed(
    store: Store, walking: Terminal
) -> None:
    walking.press("2")
    walking.until("reading   2")
    walking.press(".5")
    walking.until("reading   2.5")
    walking.press(PAGE_DOWN)
    walking.until("Underside of the nose panel")
    assert store.open(HALF, write=False).walk.state("steering-linkage").reading == "2.5"


def test_escape_leaves_the_reading_field_without_any_other_protocol(
    store: Store, walking: Terminal
) -> None:
    walking.press("2")
    walking.until("reading   2")
    walking.press(ESCAPE)
    walking.until("reads 2 mm")
    assert store.open(HALF, write=False).walk.state("steering-linkage").reading == "2"


# Keys that come in a burst, as a slow line or a busy machine delivers them


def test_a_reading_and_its_result_in_one_burst_are_taken_in_order(
    store: Store, walking: Terminal
) -> None:
    walking.press("2.5", ENTER, "p")
    walking.until(ONE_MORE, seconds=3)
    walking.settle()
    walking.press("s")
    walking.until("Set aside", seconds=3)
    state = store.open(HALF, write=False).walk.state("steering-linkage")
    assert state.reading == "2.5"


def test_a_note_and_the_key_that_keeps_it_in_one_burst_keep_all_of_it(
    store: Store, walking: Terminal
) -> None:
    walking.press("n")
    walking.until("F10 keep it")
    walking.settle()
    walking.press("idler worn, rods tight", F10)
    walking.until("note      idler", seconds=3)
    assert store.open(HALF, write=False).walk.state("steering-linkage").note == (
        "idler worn, rods tight"
    )


# Two programs


def test_a_second_program_on_the_same_session_says_so_and_only_reads(
    store: Store, walking: Terminal
) -> None:
    before = events(store)
    with Terminal("resume", HALF) as second:
        second.until("Looking only: another checkrun (process ")
        second.press("p")
        second.until("Please note")
        second.press(ENTER)
        second.until(lambda: "Please note" not in second.text)
        for key in "cfnsxu3":
            second.press(key)
            second.settle(0.1)
            second.press(ENTER)
            second.settle(0.1)
        assert events(store) == before
        assert walking.text.count(BEGUN) == 1
    walking.press("p")
    walking.until(ONE_MORE)
    assert events(store) == before + 1


def test_a_command_on_a_session_open_on_a_screen_is_refused_in_one_line(
    store: Store, walking: Terminal, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["answer", HALF, "nose-below", "pass"]) == 2
    said = capsys.readouterr().err
    assert re.fullmatch(
        r"checkrun: This session is open in another checkrun \(process \d+ on .+\) since "
        r"\d\d:\d\d\. Here it can only be read\.\n",
        said,
    )


# Poor terminals


def test_no_color_paints_without_any_colour(store: Store) -> None:
    with Terminal("resume", HALF, env={"NO_COLOR": "1"}) as term:
        term.until(STANDS_AT)
        term.press("p")
        term.until(ONE_MORE)
        term.press("q")
        assert term.wait_for_exit() == 0
    assert COLOUR.search(term.raw) is None
    with Terminal("resume", HALF) as term:
        term.until(ONE_MORE)
    assert COLOUR.search(term.raw) is not None


@pytest.mark.parametrize(
    "env",
    [
        {"TERM": "dumb"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        {"CHECKRUN_ASCII": "1"},
    ],
    ids=["TERM=dumb", "LC_ALL=C", "CHECKRUN_ASCII=1"],
)
def test_a_terminal_without_unicode_gets_ascii_and_no_crash(
    store: Store, env: dict[str, str]
) -> None:
    with Terminal("resume", HALF, env=env) as term:
        term.until(STANDS_AT)
        term.settle()
        assert "+ pass" in term.text
        assert "x fail" in term.text
        term.press("s")
        term.until("Underside of the nose panel")
        term.press("m")
        term.until("Summary")
        term.settle()
        assert "x fail" in term.text
        term.press("q")
        term.until("Underside of the nose panel")
        term.settle()
        assert "\\u" not in term.text  # what Python makes of a character that can't be written
        term.press("q")
        assert term.wait_for_exit() == 0
    printed = re.sub(rb"\x1b\[[0-9;?<=>$ ]*[@-~]", b"", term.raw)
    assert printed.isascii(), sorted({c for c in printed.decode("utf-8", "replace") if c > "~"})


# No terminal at all


@pytest.mark.parametrize(
    "arguments",
    [[], ["demo"], ["walk"], ["walk", "plover", "--year", "1966"], ["resume", HALF]],
    ids=" ".join,
)
def test_without_a_terminal_a_screen_is_refused_in_one_line(
    store: Store, arguments: list[str]
) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "checkrun", *arguments],
        cwd=CHECKOUT,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == (
        "checkrun: a screen needs a terminal; see checkrun --help for commands without one\n"
    )
