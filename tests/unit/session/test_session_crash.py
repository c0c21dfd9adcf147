"""Programs killed and disks filled in the middle of a write."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs POSIX signals")

WRITE_FOR_EVER = """
import sys
from checkrun.session.storage import DurableStorage
storage = DurableStorage(sys.argv[1])
n = int(sys.argv[2])
while True:
    n += 1
    storage.write({"t": {"1": {"n": n, "filler": "x" * (n * 977 % 60000)}}})
    sys.stdout.write(f"{n}\\n")
    sys.stdout.flush()
"""

KILL_AT = """
import os, signal, sys
from checkrun.session.storage import DurableStorage
storage = DurableStorage(sys.argv[1])
storage.write({"t": {"1": {"n": 1}}})
call, before = sys.argv[2], sys.argv[3] == "before"
real = getattr(os, call)
def deadly(*args, **kw):
    if before:
        os.kill(os.getpid(), signal.SIGKILL)
    real(*args, **kw)
    os.kill(os.getpid(), signal.SIGKILL)
setattr(os, call, deadly)
storage.write({"t": {"1": {"n": 2, "filler": "x" * 100000}}})
"""

FILL_UP = """
import resource, sys
from checkrun.session.errors import CannotWrite
from checkrun.session.storage import DurableStorage
storage = DurableStorage(sys.argv[1])
storage.write({"t": {"1": {"n": 1}}})
resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))
try:
    storage.write({"t": {"1": {"n": 2, "filler": "x" * 100000}}})
except CannotWrite as error:
    print(error.reason)
storage.write({"t": {"1": {"n": 3}}})
"""


def run(code: str, *args: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, args)],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        capture_output=True,
        text=True,
        timeout=60,
    )


def test_a_program_killed_at_any_moment_loses_no_acknowledged_write(tmp_path: Path) -> None:
    path = tmp_path / "db.json"
    chance = random.Random(4)
    n = 0
    for _ in range(15):
        child = subprocess.Popen(
            [sys.executable, "-c", WRITE_FOR_EVER, str(path), str(n)],
            env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
            stdout=subprocess.PIPE,
            text=True,
        )
        assert child.stdout is not None
        acknowledged = [child.stdout.readline()]
        time.sleep(chance.random() * 0.05)
        child.send_signal(signal.SIGKILL)
        acknowledged += child.stdout.read().splitlines(keepends=True)
        child.stdout.close()
        assert child.wait() == -signal.SIGKILL
        last = max(int(line) for line in acknowledged if line.endswith("\n"))
        on_disk = json.loads(path.read_bytes())["t"]["1"]
        assert on_disk["n"] in (last, last + 1)
        assert on_disk["filler"] == "x" * (on_disk["n"] * 977 % 60000)
        assert last > n
        n = on_disk["n"]


@pytest.mark.parametrize(
    ("call", "moment", "expected"),
    [
        ("open", "before", 1),
        ("open", "after", 1),
        ("write", "before", 1),
        ("write", "after", 1),
        ("fsync", "before", 1),
        ("fsync", "after", 1),
        ("replace", "before", 1),
        ("replace", "after", 2),
    ],
)
def test_killed_at_each_step_the_file_is_the_old_or_the_new_one(
    tmp_path: Path, call: str, moment: str, expected: int
) -> None:
    path = tmp_path / "db.json"
    assert run(KILL_AT, path, call, moment).returncode == -signal.SIGKILL
    assert json.loads(path.read_bytes())["t"]["1"]["n"] == expected


def test_a_file_that_may_grow_no_further_keeps_what_it_had_and_goes_on_later(
    tmp_path: Path,
) -> None:
    path = tmp_path / "db.json"
    done = run(FILL_UP, path)
    assert done.stderr == ""
    assert done.stdout == "the file would be larger than is allowed here\n"
    assert json.loads(path.read_bytes()) == {"t": {"1": {"n": 3}}}
    assert os.listdir(tmp_path) == ["db.json"]
