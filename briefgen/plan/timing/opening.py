"""When a place is open for what is needed of it."""

from __future__ import annotations

from datetime import datetime

from briefgen.airmath.times import TimeSpan
from briefgen.mission.resolve.mission import Mission


def open_span(mission: Mission, place: str, needed: tuple[datetime, datetime]) -> TimeSpan | None:
    """The opening hours that come nearest to holding what is needed; None where the place has none, and where
    it never closes."""
    spans = mission.times.open_hours.get(place, ())
    if place in mission.times.round_the_clock or not spans:
        return None
    return max(spans, key=lambda span: min(margins_s(span, needed)))


def margins_s(span: TimeSpan, needed: tuple[datetime, datetime]) -> tuple[float, float]:
    """Seconds from opening to what is needed, and from there to closing; negative: outside."""
    return (needed[0] - span.start).total_seconds(), (span.end - needed[1]).total_seconds()
