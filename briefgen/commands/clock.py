"""The machine's clock, asked here and nowhere below."""

from __future__ import annotations

from datetime import UTC, datetime


def now() -> datetime:
    """This moment, in UTC."""
    return datetime.now(UTC)
