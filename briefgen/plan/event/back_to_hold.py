"""The way back of a flight that has left the hold, is not to fly its pass now, and is briefed to return."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Literal

from briefgen.airmath.run_in import state_at, total_s
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.event.speed_alone import begins
from briefgen.plan.model import EventPlan, Leg, Point
from briefgen.plan.route.legs import leg_between, point_from


@record
class BackToHold:
    """``turns``: which way, None where the file does not say it. ``leg``: from where the flight is then
    direct to the fix at the hold's level and speed; None where it can't be flown."""

    turns: Literal["left", "right"] | None
    leg: Leg | None


def back_to_hold(mission: Mission, p: EventPlan, told: datetime | None) -> BackToHold | None:
    """Told at ``told`` (None: at no time that is known, taken at the IP); None where the unit has not briefed
    to return to the hold."""
    written = p.section.written
    if p.section.no_cue != "hold" or written.hold is None or p.hold is None:
        return None
    leg, _ = leg_between(
        mission,
        "hold to IP",
        _where(p, p.ip_time if told is None else told),
        p.hold.fix,
        level=written.hold.level,
        speed=written.hold.speed,
        begins=p.run_in.begins,
        cause=p.section.key("hold"),
    )
    return BackToHold(written.return_turn, leg)


def _where(p: EventPlan, at: datetime) -> Point:
    """Where on its way in the flight is then, as planned."""
    way, since_s = p.chain.inbound, (at - begins(p.chain)).total_seconds()
    to_go_nm = state_at(way, min(max(since_s, 0.0), total_s(way))).to_go_nm
    if p.hold_to_ip is not None and to_go_nm > way.distance_nm:
        return _along(p.hold_to_ip, way.leg_nm + way.distance_nm - to_go_nm)
    return _along(p.run_in, way.distance_nm - to_go_nm)


def _along(leg: Leg, flown_nm: float) -> Point:
    return point_from(
        leg.start.id, leg.start.name, leg.start, course_true_deg=leg.course_true_deg, distance_nm=flown_nm
    )


def read_back(p: EventPlan, said: datetime | None) -> datetime | None:
    """When what is said then has been read back."""
    return None if said is None else said + timedelta(seconds=p.section.event.relay_s)
