"""The one place that reads the clock; everything else is handed a function like this one."""

from __future__ import annotations

from datetime import UTC, datetime


def now() -> datetime:
    """The present moment, aware, in UTC."""
    return datetime.now(UTC)
