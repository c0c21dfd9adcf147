"""Moments as they stand in files."""

from __future__ import annotations

from datetime import UTC, datetime


def stamp(at: datetime) -> str:
    """A moment as written in files: ISO 8601, UTC, microseconds, Z."""
    return at.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def moment(text: str) -> datetime:
    """A moment as read from files.

    Raises:
        ValueError: If it is not a date and time with a zone.
    """
    at = datetime.fromisoformat(text)
    if at.tzinfo is None:
        raise ValueError(f"{text!r} has no time zone")
    return at.astimezone(UTC)
