from __future__ import annotations

import errno
import os
import signal
import socket
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from checkrun.session import lock as lock_module
from checkrun.session.errors import CannotWrite
from checkrun.session.lock import SessionLock

HOLD = """
import sys, time
from pathlib import Path
from checkrun.session.lock import SessionLock
lock = SessionLock(Path(sys.argv[1]))
print(lock.acquire(), flush=True)
time.sleep(60)
"""


def at_nine() -> datetime:
    return datetime(2026, 3, 4, 9, 0, tzinfo=UTC)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / ".x.lock"


def test_one_has_it_until_released(path: Path) -> None:
    first, second = SessionLock(path, at_nine), SessionLock(path, at_nine)
    assert first.acquire() is True
    assert first.acquire() is True
    assert first.held
    assert second.acquire() is False
    assert not second.held
    first.release()
    first.release()
    assert second.acquire() is True
    second.release()
    assert path.exists()


def test_the_holder_is_named(path: Path) -> None:
    held = SessionLock(path, at_nine)
    held.acquire()
    local = at_nine().astimezone().strftime("%H:%M")
    mine = f"this checkrun (process {os.getpid()} on {socket.gethostname()}) since {local}"
    assert SessionLock(path, at_nine).holder() == mine

    def a_day_later() -> datetime:
        return datetime(2026, 3, 5, 9, 0, tzinfo=UTC)

    day = at_nine().astimezone().strftime("%Y-%m-%d %H:%M")
    assert SessionLock(path, a_day_later).holder().endswith(f"since {day}")
    held.release()


@pytest.mark.parametrize("said", ["", "{}", "[]", '{"pid": "x"}', "\xff"])
def test_a_lock_file_that_says_nothing_still_names_a_holder(path: Path, said: str) -> None:
    path.write_text(said, "latin-1")
    assert SessionLock(path, at_nine).holder() == "another checkrun"


@pytest.mark.skipif(sys.platform == "win32", reason="needs POSIX signals")
def test_the_lock_of_a_killed_program_is_free_at_once(path: Path) -> None:
    child = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(path)],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        stdout=subprocess.PIPE,
        text=True,
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "True\n"
    mine = SessionLock(path)
    assert mine.acquire() is False
    assert mine.holder().startswith(f"another checkrun (process {child.pid} on ")
    child.send_signal(signal.SIGKILL)
    child.wait()
    child.stdout.close()
    assert mine.acquire() is True
    mine.release()


def test_a_lock_file_that_cannot_be_made_is_told(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: Any, **__: Any) -> int:
        raise OSError(errno.EROFS, "no")

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(CannotWrite, match="the disk is read-only"):
        SessionLock(path, at_nine).acquire()


def test_a_full_disk_keeps_nobody_from_the_lock(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any) -> int:
        raise OSError(errno.ENOSPC, "no")

    with monkeypatch.context() as patched:
        patched.setattr(os, "write", full)
        lock = SessionLock(path, at_nine)
        assert lock.acquire() is True
    assert SessionLock(path).acquire() is False
    lock.release()


@pytest.mark.parametrize(
    ("code", "taken"), [(errno.ENOLCK, True), (errno.EOPNOTSUPP, True), (errno.EAGAIN, False)]
)
def test_a_file_system_without_locks_lets_everybody_in(
    path: Path, monkeypatch: pytest.MonkeyPatch, code: int, taken: bool
) -> None:
    def no_locks(_: int) -> None:
        raise OSError(code, "no")

    monkeypatch.setattr(lock_module, "_try_lock", no_locks)
    lock = SessionLock(path, at_nine)
    assert lock.acquire() is taken
    lock.release()
