"""A program in a pseudo-terminal of its own, and the moments at which its frames are complete."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import TracebackType

ROWS, COLUMNS = 30, 100
#: With these a program brackets a frame, once the terminal has said that it knows them.
FRAME_STARTS, FRAME_ENDS = b"\x1b[?2026h", b"\x1b[?2026l"
_ASKS_FOR_FRAMES, _KNOWS_FRAMES = b"\x1b[?2026$p", b"\x1b[?2026;2$y"
#: How long nothing may come before a burst of output counts as over, seconds.
QUIET = 0.08


@dataclass(frozen=True, slots=True)
class Burst:
    """What came in answer to one key.

    Attributes:
        seconds: From the key's write to the read that held the last byte of the last frame.
        frames: How many frames there were.
        text: All bytes.
    """

    seconds: float
    frames: int
    text: bytes


class Terminal:
    """Starts a program and is its terminal; ends it when the `with` block is left."""

    def __init__(self, argv: Sequence[str], env: Mapping[str, str]) -> None:
        self.seen = b""
        self._asked = False
        self.started = time.perf_counter()
        self.pid, self._handle = pty.fork()
        if self.pid == 0:
            size = struct.pack("HHHH", ROWS, COLUMNS, 0, 0)
            fcntl.ioctl(1, termios.TIOCSWINSZ, size)
            os.execve(argv[0], [*argv], {**env})

    def __enter__(self) -> Terminal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        os.kill(self.pid, signal.SIGKILL)
        os.close(self._handle)
        os.waitpid(self.pid, 0)

    def read(self, wait: float) -> bytes:
        """What the program writes within a time; empty if nothing came."""
        if not select.select([self._handle], [], [], wait)[0]:
            return b""
        try:
            data = os.read(self._handle, 1 << 16)
        except OSError:  # the program has ended
            raise AssertionError(f"the program ended: {self.seen[-2000:]!r}") from None
        self.seen += data
        if not self._asked and _ASKS_FOR_FRAMES in self.seen:
            self._asked = True
            os.write(self._handle, _KNOWS_FRAMES)
        return data

    def until(self, done: Callable[[bytes], bool], limit: float = 20.0) -> float:
        """Seconds from the start until the output so far is such as is waited for."""
        end = time.perf_counter() + limit
        while time.perf_counter() < end:
            if self.read(0.5) and done(self.seen):
                return time.perf_counter() - self.started
        raise AssertionError(f"not seen in {limit} s; the end is {self.seen[-2000:]!r}")

    def settle(self, quiet: float = 0.3) -> None:
        """Read until nothing comes any more."""
        while self.read(quiet):
            pass

    def key(self, keys: bytes) -> Burst:
        """Press a key and read what comes of it until it is quiet again."""
        text, last = b"", 0.0
        begun = time.perf_counter()
        os.write(self._handle, keys)
        wait = 5.0
        while data := self.read(wait):
            last = time.perf_counter()
            text += data
            wait = QUIET if text.endswith(FRAME_ENDS) else 5.0
        return Burst(last - begun, text.count(FRAME_ENDS), text)

    def memory(self) -> int:
        """The resident memory of the program, KiB."""
        with open(f"/proc/{self.pid}/status", encoding="ascii") as status:
            fields = dict(line.split(":", 1) for line in status)
        return int(fields["VmRSS"].split()[0])
