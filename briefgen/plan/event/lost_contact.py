"""When the flight acts by itself without its ground contact."""

from __future__ import annotations

from datetime import datetime, timedelta

from briefgen.mission.resolve.mission import Mission
from briefgen.plan.model import EventPlan


def lost_contact_at(mission: Mission, event: EventPlan | None) -> datetime | None:
    """The moment that ``contingencies.no_ground_contact.after`` counts back to from leave-hold or the IP;
    None where the file does not say it."""
    given = mission.file.contingencies.no_ground_contact
    if event is None or given is None or given.after is None:
        return None
    point = (
        event.hold.leave if event.hold is not None and given.after.point == "leave-hold" else event.ip_time
    )
    return point - timedelta(seconds=given.after.seconds)
