"""A program in a real pseudo-terminal: keys go in, and what a person would see comes out."""

from __future__ import annotations

import os
import re
import signal
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import pexpect
import pyte

CHECKOUT = Path(__file__).parents[2]

ENTER, ESCAPE, BACKSPACE = "\r", "\x1b", "\x7f"
F5, F9, F10 = "\x1b[15~", "\x1b[20~", "\x1b[21~"
PAGE_UP, PAGE_DOWN = "\x1b[5~", "\x1b[6~"
LEFT, RIGHT = "\x1b[D", "\x1b[C"

#: What pyte 0.8 would print as text: keyboard protocol, mouse pointer, and device control strings.
_UNKNOWN_TO_PYTE = re.compile(rb"\x1b\[[<=>][0-9;]*u|\x1b\[\?[0-9;]*u|\x1bP[^\x1b]*\x1b\\")


class Terminal:
    """One run of checkrun in a terminal.

    Args:
        arguments: Of the command.
        env: Variables on top of the present ones; None takes one away.
        size: Columns and rows.
    """

    def __init__(
        self,
        *arguments: str,
        env: Mapping[str, str | None] | None = None,
        size: tuple[int, int] = (120, 40),
        command: Sequence[str] = (sys.executable, "-m", "checkrun"),
    ) -> None:
        columns, rows = size
        self.screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        self._half = b""
        self.raw = b""
        self._child = pexpect.spawn(
            command[0],
            [*command[1:], *arguments],
            env=_environment(env or {}),
            dimensions=(rows, columns),
            timeout=20,
        )
        self._child.delaybeforesend = None
        self.exit_status: int | None = None

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: object) -> None:
        self.kill()

    # What goes in

    def press(self, *keys: str) -> None:
        """Send keys as a terminal would."""
        self._child.send("".join(keys).encode())

    def resize(self, columns: int, rows: int) -> None:
        """Another size of the window; the program is told by SIGWINCH."""
        self.screen.resize(rows, columns)
        self._child.setwinsize(rows, columns)

    def kill(self, how: int = signal.SIGKILL) -> None:
        """End the program, as the power cut or a closed window would."""
        if self._child.isalive():
            self._child.kill(how)
        self.wait_for_exit()

    def close_window(self) -> None:
        """Take the terminal itself away."""
        self._child.ptyproc.fileobj.close()
        self._child.child_fd = -1

    def wait_for_exit(self, seconds: float = 20) -> int:
        """The exit status, or minus the signal that ended the program."""
        end = time.monotonic() + seconds
        while self._child.isalive():
            if time.monotonic() > end:
                raise AssertionError(f"still running after {seconds} s:\n{self.text}")
            if self._child.child_fd >= 0:
                self._read(0.02)
            else:
                time.sleep(0.02)
        while self._child.child_fd >= 0 and self._read(0):
            pass
        signalled = self._child.signalstatus
        self.exit_status = self._child.exitstatus if signalled is None else -signalled
        assert self.exit_status is not None
        return self.exit_status

    # What comes out

    @property
    def lines(self) -> list[str]:
        """The screen's lines, blanks at their ends cut off."""
        return [line.rstrip() for line in self.screen.display]

    @property
    def text(self) -> str:
        """The whole screen."""
        return "\n".join(self.lines).rstrip()

    def until(self, seen: str | Callable[[], object], seconds: float = 20) -> None:
        """Wait until a text stands on the screen, or a condition holds.

        Raises:
            AssertionError: With the screen, if it never does.
        """
        holds = seen if callable(seen) else lambda: seen in self.text
        end = time.monotonic() + seconds
        while not holds():
            if time.monotonic() > end or not self._child.isalive():
                while self._read(0):
                    pass
                if holds():
                    return
                raise AssertionError(f"never seen: {seen!r}. The screen:\n{self.text}")
            self._read(0.05)

    def settle(self, quiet: float = 0.15) -> None:
        """Wait until nothing has been painted for a while."""
        while self._read(quiet):
            pass

    def pump(self, seconds: float) -> None:
        """Take in what is painted for some time."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0:
            self._read(left)

    def _read(self, seconds: float) -> bool:
        """Take in what is there, waiting a while for it; False if nothing came."""
        try:
            data = self._child.read_nonblocking(1 << 16, timeout=seconds)
        except (pexpect.TIMEOUT, pexpect.EOF):
            return False
        self.raw += data
        data = self._half + data
        # A sequence cut in two by the read is fed when the rest of it has come.
        cut = data.rfind(b"\x1b", max(0, len(data) - 64))
        whole = cut < 0 or re.match(rb"\x1b(\[[0-9;:<=>?$]*[@-~]|[^\[P\]])", data[cut:])
        self._half = b"" if whole else data[cut:]
        fed = data if whole else data[:cut]
        self._stream.feed(_UNKNOWN_TO_PYTE.sub(b"", fed))
        return True


def _environment(changes: Mapping[str, str | None]) -> dict[str, str]:
    """The present environment, a terminal of our own choosing, and the changes."""
    env: dict[str, str | None] = {
        **os.environ,
        "PYTHONPATH": str(CHECKOUT),
        "PYTHONDONTWRITEBYTECODE": None,
        "TERM": "xterm-256color",
        "COLORTERM": "truecolor",
        "LC_ALL": "C.UTF-8",
        "COLUMNS": None,  # the window has its own size
        "LINES": None,
        **changes,
    }
    return {name: value for name, value in env.items() if value is not None}
