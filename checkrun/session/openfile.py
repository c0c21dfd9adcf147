"""A file that is being edited: its text, and the bytes it is written back as."""

from __future__ import annotations

import codecs
import re
from pathlib import Path

from checkrun.session.routefile import Saved, is_installed, own_path, save

#: Whatever ends a line while it is edited, so that it would be written back as another end.
_BREAKS = re.compile("\r\n|[\n\r\x0b\x0c\x1c-\x1e\x85\u2028\u2029]")


class CannotEdit(Exception):
    """A file that can't be edited; the text says why."""


class OpenFile:
    """One file, from its opening on.

    Attributes:
        path: Where it is saved, once it was.
        text: What it held when it was opened.
    """

    def __init__(self, path: Path) -> None:
        """Read it.

        Raises:
            CannotEdit: If it is no text, or one that would not be written back as it is.
        """
        self.path = path
        try:
            self._on_disk = path.read_bytes()
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise CannotEdit(f"{path} can't be read: {reason}.") from error
        self._mark = codecs.BOM_UTF8 if self._on_disk.startswith(codecs.BOM_UTF8) else b""
        self.text = _decoded(self._on_disk, path)
        #: What was written here, and so need not be kept when it is replaced.
        self._written: bytes | None = None

    def differs(self, text: str) -> bool:
        """Whether a text is not what was read or saved last."""
        return self._raw(text) != self._on_disk

    def whose(self, shipped: Path, own: Path) -> str:
        """Whose it is: `shipped`, `yours`, or empty for one that lies elsewhere."""
        if is_installed(self.path, shipped):
            return "shipped"
        return "yours" if self.path.resolve().is_relative_to(own.resolve()) else ""

    def save(self, text: str, shipped: Path, own: Path) -> Saved:
        """Write a text; what was installed is saved as a copy in one's own folder.

        Raises:
            OSError: If it can't be written; then nothing has changed.
        """
        raw = self._raw(text)
        saved = save(own_path(self.path, shipped, own), raw, known=self._written)
        self.path, self._on_disk, self._written = saved.path, raw, raw
        return saved

    def _raw(self, text: str) -> bytes:
        return self._mark + text.encode("utf-8", "replace")


def _decoded(raw: bytes, path: Path) -> str:
    from checkrun.route.nodes import LARGEST

    if len(raw) > LARGEST:
        raise CannotEdit(f"{path} is larger than {LARGEST >> 20} MiB, the most a route may hold.")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise CannotEdit(f"{path} is no text in UTF-8, from byte {error.start + 1} on.") from error
    breaks = set(_BREAKS.findall(text))
    if len(breaks) > 1 or breaks - {"\n", "\r\n"}:
        raise CannotEdit(f"{path} has line ends of several kinds, which would be made one here.")
    return text
