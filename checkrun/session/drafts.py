"""What is being typed and not yet entered: half a note, half a reading, an intake.

Drafts lie beside the sessions in one small file and are no part of any record. They are there so
that closing the terminal in the middle of a word loses nothing. A draft that can't be kept is no
reason to stop: the entry itself will say so.
"""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path


class Drafts:
    """The drafts of one store, by session, kind and check."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / ".drafts.json"
        self._kept: dict[str, str] | None = None

    def get(self, session: str, kind: str, check: str) -> str | None:
        """The draft, or None."""
        return self._load().get(_key(session, kind, check))

    def keep(self, session: str, kind: str, check: str, text: str) -> None:
        """Keep a draft in place of the one before."""
        kept = self._load()
        key = _key(session, kind, check)
        if kept.get(key) != text:
            kept[key] = text
            self._save()

    def drop(self, session: str, kind: str, check: str) -> None:
        """Forget a draft that was entered or given up."""
        if self._load().pop(_key(session, kind, check), None) is not None:
            self._save()

    def _load(self) -> dict[str, str]:
        if self._kept is None:
            try:
                data = json.loads(self._path.read_text(encoding="utf-8"))
            except (OSError, ValueError, RecursionError):
                data = {}
            self._kept = (
                {key: text for key, text in data.items() if isinstance(text, str)}
                if isinstance(data, dict)
                else {}
            )
        return self._kept

    def _save(self) -> None:
        scratch = self._path.with_suffix(f".{os.getpid()}.new")
        try:
            if not self._load():
                self._path.unlink(missing_ok=True)
                return
            self._path.parent.mkdir(parents=True, exist_ok=True)
            text = json.dumps(self._load(), ensure_ascii=False)
            scratch.write_text(text, encoding="utf-8", errors="replace")
            scratch.replace(self._path)
        except OSError:
            with contextlib.suppress(OSError):
                scratch.unlink(missing_ok=True)


def _key(session: str, kind: str, check: str) -> str:
    return f"{session}/{kind}/{check}"
