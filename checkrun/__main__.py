"""`python -m checkrun` and the `checkrun` command."""

from __future__ import annotations

import sys


def main() -> int:
    """Run one command; the exit status is 0, 1, 2, 3 or 130 as `--help` tells."""
    from checkrun.cli import run

    return run(sys.argv[1:])


if __name__ == "__main__":
    raise SystemExit(main())
