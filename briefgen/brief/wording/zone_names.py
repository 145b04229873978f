"""What a clock on the wall is called over a stretch of time in which it may change."""

from __future__ import annotations

from datetime import datetime, tzinfo

from briefgen.airmath.clocks import clock_changes
from briefgen.brief.wording import format as words


def on_the_way(start: datetime, end: datetime, zone: tzinfo) -> str:
    """``CET (+01:00)``; where the clock changes before the end ``CET (+01:00), from 01:00 Z on CEST
    (+02:00)``."""
    later = [
        f"from {words.clock_z(c.instant, seconds=False)} on {words.zone_words(c.instant, zone)}"
        for c in clock_changes(start, end, zone)
    ]
    return ", ".join((words.zone_words(start, zone), *later))
