"""How long the event may wait: the latest true time by each thing that ends it, the earliest first, and the
latest within them that can be flown."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.event.slip_reach import last_within_s
from briefgen.plan.fuel.flight import hold_limit_s, slip_limit_s
from briefgen.plan.model import EventPlan
from briefgen.plan.sortie import Plan

SAME_SECOND_S = 0.5


@record
class WaitLimit:
    """The latest true time by one reason, in words; ``short`` for the air; ``past``: how the reason reads
    against a time beyond it."""

    latest_t: datetime
    because: str
    short: str
    past: str = ""


def wait_limits(plan: Plan) -> tuple[WaitLimit, ...]:
    """Every known reason, the earliest first; empty without an event. What is not known is not among them:
    see ``unknown_limits``."""
    if plan.event is None:
        return ()
    return tuple(
        sorted(_limits(plan, plan.event, plan.mission), key=lambda limit: (limit.latest_t, limit.because))
    )


def latest_t(plan: Plan) -> WaitLimit | None:
    """The latest true time that can be flown within every known limit, told before the hold is entered
    (without a hold: before the IP); None without a limit, and where nobody knows what can be flown later than
    T."""
    limits, event = wait_limits(plan), plan.event
    if event is None or not limits or speed_unknown(plan):
        return None
    asked_s = (limits[0].latest_t - event.true_time).total_seconds()
    last_s = last_within_s(event.reach_s, asked_s)
    if last_s is None or asked_s - last_s < SAME_SECOND_S:
        return limits[0]
    at = event.true_time + timedelta(seconds=last_s)
    if event.hold is None:
        return WaitLimit(at, "speed alone gives no later one", "speed")
    return WaitLimit(at, "neither laps nor speed give a later one", "laps")


def speed_unknown(plan: Plan) -> bool:
    """Whether only speed could move T, for want of a hold, and the mission doesn't give what it is judged
    by."""
    return plan.event is not None and plan.event.hold is None and not plan.event.speeds_known


def _limits(plan: Plan, event: EventPlan, mission: Mission) -> Iterator[WaitLimit]:
    slower = slip_limit_s(plan.fuel) if plan.fuel is not None and event.hold is None else None
    if slower is not None:
        at = event.true_time + timedelta(seconds=slower[0])
        yield WaitLimit(at, f"landing fuel of ship {slower[1]}", "fuel")
    if event.hold is not None:
        inbound = event.true_time - event.hold.leave
        longest = hold_limit_s(plan.fuel) if plan.fuel else None
        if longest is not None:
            yield WaitLimit(
                event.hold.arrival + timedelta(seconds=longest[0]) + inbound,
                f"fuel of ship {longest[1]} in the hold",
                "fuel",
            )
        if event.hold.maximum_s is not None:
            yield WaitLimit(
                event.hold.arrival + timedelta(seconds=event.hold.maximum_s) + inbound,
                "longest hold allowed",
                "longest hold",
            )
    if mission.times.permission is not None:
        yield WaitLimit(mission.times.permission.end, "permission ends", "permission")
    slip = mission.file.event.accept_slip if mission.file.event is not None else None
    if slip is not None:
        yield WaitLimit(
            event.true_time + timedelta(seconds=slip.late),
            "slip accepted by the flight",
            "slip accepted",
            "later than the flight accepts",
        )
    if plan.approved is not None and not accepted_alike(
        None if slip is None else slip.late, (plan.approved.latest - event.true_time).total_seconds()
    ):
        yield WaitLimit(
            plan.approved.latest,
            "approved to then: beyond it ask the supervisor",
            "approved",
            "later than approved, which the supervisor must be asked about",
        )
    sun = next((sun for sun in plan.suns if sun.used_for == "the pass"), None)
    if sun is not None and sun.after is not None and sun.after.kind == "sunset":
        yield WaitLimit(sun.after.instant, "sunset at the event", "sunset")
    gate = next((g for g in plan.gates if g.id == "daylight-landing"), None)
    if (
        gate is not None
        and isinstance(gate.limit, datetime)
        and gate.sense == "at most"
        and gate.verdict != "WAIVED"
    ):
        yield WaitLimit(
            event.true_time + (gate.limit - plan.clock.last_landing),
            "last landing before dark",
            "dark landing",
        )


def accepted_alike(accepted_s: float | None, approved_s: float) -> bool:
    """Whether the slip that the flight accepts ends no further from T than what is approved: then that is the
    reason."""
    return accepted_s is not None and accepted_s <= approved_s
