"""What can go wrong with kept sessions, each in words a person can act on.

Everything is a `StoreError`:

- `StoreMissing`: there is no folder of sessions
- `NoSuchSession`, `AmbiguousSession`: none or several fit a name
- `DamagedFile`: a file is not what was written
- `CannotRead`, `CannotWrite`: the system refuses
- `NewerFormat`: written by a newer checkrun
- `SessionBusy`: another program has it, or it is open for reading only
- `SessionSigned`: signed off, so closed to changes
- `NoSuchCheck`: the route has no check of that id
- `WhyMissing`, `NameMissing`: a reason or a name is needed (also a `ValueError`)
- `BadFigure`: an amount, a share or a range is not one (also a `ValueError`)
"""

from __future__ import annotations

import errno
from collections.abc import Sequence
from pathlib import Path

_REASONS = {
    errno.EROFS: "the disk is read-only",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is used up",
    errno.EFBIG: "the file would be larger than is allowed here",
    errno.EACCES: "you have no permission there",
    errno.EPERM: "you have no permission there",
    errno.ENOENT: "the folder is not there any more",
    errno.ENOTDIR: "something that is not a folder stands in the way",
    errno.EIO: "the disk reported an error",
}


def reason_of(error: OSError) -> str:
    """An operating system's refusal in plain words."""
    if error.errno in _REASONS:
        return _REASONS[error.errno]
    return error.strerror or str(error) or type(error).__name__


class StoreError(Exception):
    """Base of everything this package raises on purpose.

    Attributes:
        message: What was found.
        hint: What to do about it; may be empty.
    """

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message, hint)
        self.message = message
        self.hint = hint

    def __str__(self) -> str:
        return " ".join(f"{self.message} {self.hint}".split())


class StoreMissing(StoreError):
    """There is no folder of sessions."""

    def __init__(self, folder: Path) -> None:
        super().__init__(f"There are no sessions: {folder} does not exist.", "Begin a walk first.")
        self.folder = folder


class NoSuchSession(StoreError):
    """No session has that name or a name that contains it."""

    def __init__(self, name: str, nearest: str | None = None) -> None:
        hint = f"Did you mean {nearest}?" if nearest else "See the list of sessions."
        super().__init__(f"There is no session called {name!r}.", hint)
        self.name = name
        self.nearest = nearest


class AmbiguousSession(StoreError):
    """Several sessions fit the name given."""

    def __init__(self, name: str, matches: Sequence[str]) -> None:
        shown = ", ".join(matches[:5]) + (", …" if len(matches) > 5 else "")
        message = f"{name!r} fits {len(matches)} sessions: {shown}."
        super().__init__(message, "Type more of the name.")
        self.name = name
        self.matches = tuple(matches)


class DamagedFile(StoreError):
    """A file is not what was written to it."""

    def __init__(
        self,
        path: Path,
        detail: str,
        hint: str = "It was left as it is; recover what can be read into a new session.",
        *,
        message: str | None = None,
    ) -> None:
        super().__init__(message or f"{path.name} is damaged: {detail}.", hint)
        self.path = path
        self.detail = detail


class CannotRead(StoreError):
    """The operating system refused to read a file."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(f"Cannot read {path}: {reason}.")
        self.path = path
        self.reason = reason


class CannotWrite(StoreError):
    """The operating system refused to write; the file is as it was before."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(
            f"Cannot write {path}: {reason}.",
            "Nothing was changed; put that right and try again.",
        )
        self.path = path
        self.reason = reason

    @classmethod
    def because(cls, path: Path, error: OSError) -> CannotWrite:
        """The same refusal, from the operating system's error."""
        return cls(path, reason_of(error))


class NewerFormat(StoreError):
    """The file was written by a newer checkrun than this one."""

    def __init__(self, name: str, version: int, known: int) -> None:
        super().__init__(
            f"{name} was written by a newer checkrun "
            f"(format {version}; this one reads up to {known}).",
            "Update checkrun to open it; the file was not changed.",
        )
        self.version = version


class SessionBusy(StoreError):
    """The session can't be changed from here."""

    def __init__(self, holder: str = "") -> None:
        if holder:
            super().__init__(f"This session is open in {holder}.", "Here it can only be read.")
        else:
            super().__init__("This session was opened for reading only.", "Open it for writing.")
        self.holder = holder


class SessionSigned(StoreError):
    """The session was signed off and takes no more entries."""

    def __init__(self, name: str) -> None:
        super().__init__(f"This session was signed off by {name}.", "Reopen it to change it.")
        self.name = name


class NoSuchCheck(StoreError):
    """The route has no check of that id."""

    def __init__(self, check: str, nearest: str | None = None) -> None:
        hint = f"Did you mean {nearest}?" if nearest else ""
        super().__init__(f"The route has no check called {check!r}.", hint)
        self.check = check
        self.nearest = nearest


class WhyMissing(StoreError, ValueError):
    """Something that needs a reason was given none."""

    def __init__(self, what: str = "A check that was not examined") -> None:
        super().__init__(f"{what} needs a reason.", "Say why.")


class NameMissing(StoreError, ValueError):
    """Signing off was tried without a name."""

    def __init__(self) -> None:
        super().__init__("Signing off needs a name.", "Say who signs.")


class BadFigure(StoreError, ValueError):
    """An amount, a share or a range is not what it has to be."""


def nearest(word: str, choices: Sequence[str]) -> str | None:
    """The choice most like the word, or None when nothing is."""
    import difflib  # only when something was misspelt

    found = difflib.get_close_matches(word, choices, n=1, cutoff=0.6)
    return found[0] if found else None
