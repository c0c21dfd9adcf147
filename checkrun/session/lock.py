"""One writer per session, enforced by the operating system.

The lock is on a file `.ID.lock` beside the session, and the system lets go of it when the program
ends, however it ends. The file stays and says who had it last.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import socket
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from checkrun.session import clock
from checkrun.session.errors import CannotWrite
from checkrun.session.moments import moment, stamp

if sys.platform == "win32":
    import msvcrt

    def _try_lock(handle: int) -> None:
        os.lseek(handle, _BEYOND, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

    def _unlock(handle: int) -> None:
        os.lseek(handle, _BEYOND, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _try_lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _unlock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_UN)


#: Windows locks bytes, not files: one far behind the text, so that the text can still be read.
_BEYOND = 1 << 20
_TAKEN = {errno.EWOULDBLOCK, errno.EAGAIN, errno.EACCES, errno.EDEADLK}
_NO_LOCKS_HERE = {errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EINVAL}


class SessionLock:
    """The right to write one session.

    Args:
        path: The lock file.
        now: The clock, for telling others since when the lock is held.
    """

    def __init__(self, path: Path, now: Callable[[], datetime] = clock.now) -> None:
        self.path = path
        self._now = now
        self._handle: int | None = None

    @property
    def held(self) -> bool:
        """Whether this lock is held from here."""
        return self._handle is not None

    def acquire(self) -> bool:
        """Take the lock if nobody has it, without waiting.

        On a file system that knows no locks the answer is yes: better one writer without a guard
        than none at all.

        Raises:
            CannotWrite: If the lock file can't be made.
        """
        if self._handle is not None:
            return True
        try:
            handle = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o600)
        except OSError as error:
            raise CannotWrite.because(self.path, error) from error
        try:
            _try_lock(handle)
        except OSError as error:
            if error.errno not in _NO_LOCKS_HERE:
                os.close(handle)
                if error.errno in _TAKEN:
                    return False
                raise CannotWrite.because(self.path, error) from error
        self._handle = handle
        # Who holds it is a courtesy; a full disk must not keep anybody from the session.
        with contextlib.suppress(OSError):
            self._say_who(handle)
        return True

    def release(self) -> None:
        """Let go of the lock; nothing happens if it is not held."""
        if self._handle is None:
            return
        with contextlib.suppress(OSError):
            _unlock(self._handle)
        os.close(self._handle)
        self._handle = None

    def holder(self) -> str:
        """Who has the lock, as it can be told: program, process, computer, since when."""
        try:
            said = json.loads(self.path.read_text("utf-8"))
            pid, host, since = int(said["pid"]), str(said["host"]), moment(said["since"])
        except (OSError, ValueError, KeyError, TypeError):
            return "another checkrun"
        who = "this checkrun" if (pid, host) == (os.getpid(), _host()) else "another checkrun"
        since = since.astimezone()
        today = self._now().astimezone().date()
        when = since.strftime("%H:%M" if since.date() == today else "%Y-%m-%d %H:%M")
        return f"{who} (process {pid} on {host}) since {when}"

    def _say_who(self, handle: int) -> None:
        said = {"pid": os.getpid(), "host": _host(), "since": stamp(self._now())}
        os.ftruncate(handle, 0)
        os.lseek(handle, 0, os.SEEK_SET)
        os.write(handle, json.dumps(said).encode())


def _host() -> str:
    """This computer's name."""
    return socket.gethostname() or "this computer"
