"""How long the event may wait: the latest true time, by each thing that ends it, the earliest first."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from briefgen.mission.resolve import Mission
from briefgen.plan.fuel_flight import hold_limit_s
from briefgen.plan.model import EventPlan, Plan
from briefgen.records import record


@record
class WaitLimit:
    """The latest true time by one reason, in words."""

    latest_t: datetime
    because: str


def wait_limits(plan: Plan) -> tuple[WaitLimit, ...]:
    """Every known reason, the earliest first; empty without an event. What is not known is not among them: see ``unknown_limits``."""
    if plan.event is None:
        return ()
    return tuple(sorted(_limits(plan, plan.event, plan.mission), key=lambda limit: (limit.latest_t, limit.because)))


def unknown_limits(plan: Plan) -> tuple[str, ...]:
    """What could not be judged."""
    mission = plan.mission
    gaps = []
    if plan.event is not None and (plan.event.hold is None or plan.fuel is None or hold_limit_s(plan.fuel) is None):
        gaps.append("fuel")
    if mission.times.permission is None:
        gaps.append("permission")
    return tuple(gaps)


def _limits(plan: Plan, event: EventPlan, mission: Mission) -> Iterator[WaitLimit]:
    if event.hold is not None:
        inbound = event.true_time - event.hold.leave
        longest = hold_limit_s(plan.fuel) if plan.fuel else None
        if longest is not None:
            yield WaitLimit(event.hold.arrival + timedelta(seconds=longest[0]) + inbound, f"fuel of ship {longest[1]} in the hold")
        if event.hold.maximum_s is not None:
            yield WaitLimit(event.hold.arrival + timedelta(seconds=event.hold.maximum_s) + inbound, "longest hold allowed")
    if mission.times.permission is not None:
        yield WaitLimit(mission.times.permission.end, "permission ends")
    slip = mission.file.event.accept_slip
    if slip is not None:
        yield WaitLimit(event.true_time + timedelta(seconds=slip.late), "slip accepted by the flight")
    sun = next((sun for sun in plan.suns if sun.used_for == "the pass"), None)
    if sun is not None and sun.after is not None and sun.after.kind == "sunset":
        yield WaitLimit(sun.after.instant, "sunset at the event")
    gate = next((g for g in plan.gates if g.id == "daylight-landing"), None)
    if gate is not None and isinstance(gate.limit, datetime) and gate.sense == "at most" and gate.limit > plan.clock.last_landing:
        yield WaitLimit(event.true_time + (gate.limit - plan.clock.last_landing), "last landing before dark")


def no_call(plan: Plan, slip_s: float) -> bool:
    """Whether a slip is below the dead-band: nobody calls it, and T stays as it is held."""
    return slip_s == 0 or abs(slip_s) < (plan.mission.file.event.pass_.deadband or 0.0)


def beyond(plan: Plan, true_time: datetime) -> str:
    """The first reason that ends the wait before this true time; empty when none is known."""
    return next((limit.because for limit in wait_limits(plan) if limit.latest_t < true_time), "")
