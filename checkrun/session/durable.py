"""Files replaced as a whole, so that nobody ever finds half of one."""

from __future__ import annotations

import contextlib
import errno
import os
from pathlib import Path

_NO_SUCH_OPERATION = {errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS}
#: Who may read a new file: its owner. What is said of other people's cars is private.
PRIVATE = 0o600


def open_folder(folder: Path) -> int | None:
    """A handle by which the folder can be synced, or None where the system has no such thing."""
    if os.name == "nt":
        return None
    return os.open(folder, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0))


def sync_folder(handle: int | None) -> None:
    """Make the names in a folder durable; file systems that can't are left alone."""
    if handle is None:
        return
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in _NO_SUCH_OPERATION:
            raise


def replace_file(path: Path, payload: bytes, mode: int | None = None) -> None:
    """Put `payload` in the place of a file in one step; the caller syncs the folder.

    The bytes go to `.NAME.tmp` beside it, are synced, and take its name. Whatever fails, the old
    file is as it was and the temporary one is gone.

    Args:
        path: The file; it need not exist.
        payload: All of its bytes.
        mode: Its permissions; those it has (or private, if new) when None.

    Raises:
        OSError: As the system says.
    """
    temp = path.with_name(f".{path.name}.tmp")
    if mode is None:
        try:
            mode = os.stat(path).st_mode & 0o7777
        except FileNotFoundError:
            mode = PRIVATE
    handle = _open_new(temp, mode)
    try:
        try:
            if mode != PRIVATE:
                os.chmod(temp, mode)  # the umask may have taken from what was asked for
            _write_all(handle, payload)
            os.fsync(handle)
        finally:
            os.close(handle)
        os.replace(temp, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temp)
        raise


def write_once(path: Path, payload: bytes) -> None:
    """Write a file and sync its folder too, for a file that is written once."""
    replace_file(path, payload)
    folder = open_folder(path.parent)
    try:
        sync_folder(folder)
    finally:
        if folder is not None:
            os.close(folder)


def free_name(path: Path, word: str) -> Path:
    """A name beside a file that nothing has yet: `NAME.word-1`, `NAME.word-2`, ..."""
    k = 1
    while (free := path.with_name(f"{path.name}.{word}-{k}")).exists():
        k += 1
    return free


def _open_new(temp: Path, mode: int) -> int:
    """Open the temporary file, which must be ours: what a killed program left there goes first."""
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    try:
        return os.open(temp, flags, mode)
    except FileExistsError:
        os.unlink(temp)
        return os.open(temp, flags, mode)


def _write_all(handle: int, payload: bytes) -> None:
    """Write every byte; the system may take them in parts."""
    view = memoryview(payload)
    while view:
        view = view[os.write(handle, view) :]
