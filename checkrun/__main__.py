"""`python -m checkrun` and the `checkrun` command."""

from __future__ import annotations

import gc
import sys

from checkrun import __version__


def main() -> int:
    """Run one command; the exit status is 0, 1, 2, 3 or 130 as `--help` tells."""
    if sys.argv[1:] == ["--version"]:
        # Scripts ask for it; the command line's parser alone takes longer than Python's start.
        print(f"checkrun {__version__}")
        return 0
    # Loading makes many objects that stay; looking through them for garbage takes its time.
    gc.set_threshold(20_000)
    from checkrun.cli import run

    return run(sys.argv[1:])


if __name__ == "__main__":
    raise SystemExit(main())
