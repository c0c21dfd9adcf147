"""Collects the benchmarks when their folder is named, and prints what came out of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from .figures import Figures

_HERE = Path(__file__).parent
_FIGURES = Figures()


def pytest_collect_file(file_path: Path, parent: pytest.Collector) -> pytest.Module | None:
    """Benchmarks are no tests: a plain run leaves them out, `pytest tests/bench` runs them."""
    config = parent.config
    asked = any(Path(arg).resolve() == _HERE for arg in config.args)
    if not asked or not file_path.match("bench_*.py"):
        return None
    if config.getoption("numprocesses", None):
        raise pytest.UsageError("benchmarks run one at a time: add -n 0")
    return pytest.Module.from_parent(parent, path=file_path)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """The table of ratios, if any were measured."""
    if _FIGURES.rows:
        terminalreporter.section("ratios")
        for line in _FIGURES.lines():
            terminalreporter.line(line)


@pytest.fixture
def figures() -> Figures:
    """Where a benchmark puts its ratios."""
    return _FIGURES
