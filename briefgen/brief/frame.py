"""What stands on every page of every product."""

from __future__ import annotations

from datetime import datetime

from briefgen.records import record

CAUTION = (
    "Planning aid only. Check against the flight manual, unit orders, NOTAMs and air traffic control. The approving authority decides."
)


@record
class Frame:
    """``state`` is the approval in words (NOT APPROVED, APPROVED, ...); ``spoken`` the four characters read out; ``created`` an aware
    instant taken from the plan, never from a clock, so that the same input gives the same bytes."""

    marking: str
    mission: str
    fingerprint: str
    spoken: str
    state: str
    created: datetime
    caution: str = CAUTION
