"""A fault of our own: keep a short report where the person can find it, and say so in one line."""

from __future__ import annotations

import platform
import tempfile
import traceback
from pathlib import Path

from checkrun import __version__, locations
from checkrun.commands import Arguments
from checkrun.session.clock import now


def report(error: BaseException, args: Arguments) -> str:
    """Save the report and give the line that tells of it."""
    folder = Path(args.store).expanduser() if getattr(args, "store", None) else locations.store()
    text = "".join(
        [
            f"checkrun {__version__}, Python {platform.python_version()}, {platform.platform()}\n",
            f"command: {getattr(args, 'run', '')}\n\n",
            *traceback.format_exception(error),
        ]
    )
    name = f"fault-{now():%Y%m%d-%H%M%S}.txt"
    for place in (folder, Path(tempfile.gettempdir())):
        try:
            place.mkdir(parents=True, exist_ok=True)
            (place / name).write_text(text, encoding="utf-8")
        except OSError:
            continue
        return (
            f"a fault of checkrun itself ({type(error).__name__}); nothing entered is lost. "
            f"The report is in {place / name}"
        )
    return f"a fault of checkrun itself: {type(error).__name__}: {error}; nothing entered is lost"
