"""Open the installed demo in a pseudo-terminal, enter a result, leave: `demo.py COMMAND`."""

from __future__ import annotations

import re
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "pty"))

from realterm import Terminal


def main() -> int:
    """Exit status 0 if the demo stands at a check, takes a result and ends well."""
    with Terminal("demo", command=[sys.argv[1]], env={"PYTHONPATH": None}) as term:
        term.until(lambda: "Welcome back" in term.text and answered(term) > 0)
        before = answered(term)
        print(term.text)
        term.press("p")
        term.until(lambda: answered(term) == before + 1)
        term.press("q")
        status = term.wait_for_exit()
    print(f"demo: {before} checks answered, then {before + 1}; exit status {status}")
    return status


def answered(term: Terminal) -> int:
    """The number of results in the headline; 0 while nothing is painted."""
    found = re.search(r" (\d+)/\d+ \S", term.lines[0][6:])
    return 0 if found is None else int(found[1])


if __name__ == "__main__":
    raise SystemExit(main())
