"""A TinyDB storage that can't leave a half-written file.

TinyDB's own JSON storage overwrites in place, so that a crash can leave half a file. This one
writes a new file beside the old one, syncs it, gives it the old one's name and syncs the folder:
two syncs in all, and the file is either as it was or as it was meant to be.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

from tinydb.storages import Storage

from checkrun.session.durable import free_name, open_folder, replace_file, sync_folder, write_once
from checkrun.session.errors import CannotRead, CannotWrite, DamagedFile, reason_of

Tables = dict[str, dict[str, Any]]


class DurableStorage(Storage):
    """All tables of one TinyDB file, as UTF-8 JSON.

    Args:
        path: The file; its folder must exist, the file itself need not.
    """

    def __init__(self, path: str | Path) -> None:
        super().__init__()
        # A link keeps pointing at the file instead of being replaced by it.
        self.path = Path(os.path.realpath(path))
        self._folder: int | None = None
        self._seen: tuple[int, int, int] | None = None
        self._payload = b""

    def read(self) -> Tables | None:
        """The tables, or None when there is no file yet.

        Raises:
            DamagedFile: If the file is not JSON, or not tables of documents.
            CannotRead: If the system refuses.
        """
        try:
            with open(self.path, "rb") as file:
                payload = file.read()
                self._seen = _signature(os.fstat(file.fileno()))
        except FileNotFoundError:
            self._seen = None
            return None
        except OSError as error:
            raise CannotRead(self.path, reason_of(error)) from error
        self._payload = payload
        return parse(self.path, payload)

    def write(self, data: Tables) -> None:
        """Put these tables in the place of the file's, durably.

        Raises:
            CannotWrite: If the system refuses; the file is then as it was.
        """
        payload = _encode(data)
        try:
            if self._folder is None:
                self._folder = open_folder(self.path.parent)
            replace_file(self.path, payload)
            self._seen, self._payload = _signature(os.stat(self.path)), payload
            sync_folder(self._folder)
        except OSError as error:
            raise CannotWrite.because(self.path, error) from error

    def close(self) -> None:
        """Let go of the folder."""
        if self._folder is not None:
            os.close(self._folder)
            self._folder = None

    def keep_foreign(self) -> Path | None:
        """Keep a copy of the file if it is not as this storage last read or wrote it.

        Returns:
            The copy, or None if there was no need of one.

        Raises:
            CannotWrite: If the copy can't be made.
        """
        try:
            found = _signature(os.stat(self.path))
            if found == self._seen or self.path.read_bytes() == self._payload:
                return None
        except FileNotFoundError:
            return None
        except OSError as error:
            raise CannotWrite.because(self.path, error) from error
        return self.keep_copy(free_name(self.path, "other"))

    def keep_copy(self, copy: Path) -> Path:
        """Copy the file as it is, durably.

        Raises:
            CannotWrite: If the system refuses.
        """
        try:
            write_once(copy, self.path.read_bytes())
        except OSError as error:
            raise CannotWrite.because(copy, error) from error
        return copy


def parse(path: Path, payload: bytes) -> Tables:
    """The tables in the bytes of a file.

    Raises:
        DamagedFile: If there are none.
    """
    if not payload.strip(b"\0 \r\n\t"):
        raise DamagedFile(path, "it is empty" if not payload else "it holds nothing but blanks")
    try:
        data = json.loads(payload.decode("utf-8"))
    except UnicodeDecodeError as error:
        raise DamagedFile(path, f"byte {error.start + 1} is not UTF-8") from error
    except json.JSONDecodeError as error:
        detail = f"not JSON at line {error.lineno}, column {error.colno}"
        raise DamagedFile(path, detail) from error
    except (RecursionError, ValueError) as error:
        raise DamagedFile(path, "not JSON that can be read") from error
    if not isinstance(data, dict):
        raise DamagedFile(path, "it holds no tables")
    for name, table in data.items():
        if not isinstance(table, dict):
            raise DamagedFile(path, f"table {name!r} is not a table")
        for number, doc in table.items():
            if not number.isdecimal() or not isinstance(doc, dict):
                raise DamagedFile(path, f"entry {number!r} of table {name!r} is not a document")
    return data


def _encode(data: Tables) -> bytes:
    """The tables as compact UTF-8 JSON."""
    try:
        return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode()
    except UnicodeEncodeError:  # a lone surrogate out of an edited file: keep it, escaped
        return json.dumps(data, separators=(",", ":")).encode()


def _signature(found: os.stat_result) -> tuple[int, int, int]:
    """What tells one writing of a file from the next."""
    return found.st_ino, found.st_size, found.st_mtime_ns
