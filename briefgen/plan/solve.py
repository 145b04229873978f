"""Take-off and number of set-ups: given ones are flown as given, those left out are solved.

Take-off left out: so that the planned hold results (without a hold: so that the IP is met on time), down to a whole second, so
that the flight is never short of time.  Set-ups left out: the least of what time and fuel allow.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from itertools import takewhile

from briefgen.diagnostics import Diagnostic
from briefgen.mission.resolve import Mission
from briefgen.plan.clock import BEFORE_BLOCK, IN_BLOCK, Chain, forward_chain
from briefgen.plan.hold import HoldShape
from briefgen.plan.pass_chain import PassChain
from briefgen.plan.route import Route
from briefgen.plan.training import ByFuel, choose_setups
from briefgen.records import record

MOST_SETUPS = 40  # a search bound, far above any block

FuelAllows = Callable[[datetime, int], ByFuel | None]


@record
class Decision:
    """Take-off and set-ups, and what bounds them. None without training, or when it can't be told."""

    takeoff: datetime
    takeoff_solved: bool
    setups: int
    by_time: int | None
    by_fuel: ByFuel | None


@record
class Question:
    """What the solver works on: everything that neither take-off nor set-ups change."""

    mission: Mission
    route: Route
    chain: PassChain | None
    shape: HoldShape | None


def must_reach_by(q: Question) -> datetime | None:
    """When the forward chain must have ended: leave-hold less the shortest flyable wait, or the IP time; None without an event."""
    if q.chain is None:
        return None
    if q.chain.leave_hold is None:
        return q.chain.ip_time
    shortest = q.shape.shortest_s if q.shape is not None else None
    return q.chain.leave_hold - timedelta(seconds=shortest or 0.0)


def planned_arrival(q: Question) -> datetime | None:
    """When the forward chain is planned to end when the take-off is solved."""
    if q.chain is None:
        return None
    if q.chain.leave_hold is None:
        return q.chain.ip_time
    hold = q.mission.file.event.pass_.hold
    wait = hold.planned if hold.planned is not None else (q.shape.shortest_s if q.shape is not None else None)
    return q.chain.leave_hold - timedelta(seconds=wait or 0.0)


def takeoff_for(q: Question, chain: Chain) -> datetime | None:
    """The given take-off, else the one that makes the planned hold; None when there is nothing to work back from."""
    if q.mission.times.takeoff is not None:
        return q.mission.times.takeoff
    arrival = planned_arrival(q)
    if arrival is None:
        return None
    exact = arrival - timedelta(seconds=chain.seconds)
    return exact.replace(microsecond=0)


def time_allows(q: Question, setups: int) -> bool:
    """True when so many set-ups fit: the hold keeps its shortest flyable wait, the block its reservation."""
    chain = forward_chain(q.mission, q.route, setups)
    takeoff = takeoff_for(q, chain)
    if takeoff is None:
        return False
    limit, reserved = must_reach_by(q), q.mission.times.reserved
    if limit is not None and takeoff + timedelta(seconds=chain.seconds) > limit:
        return False
    if reserved is None:
        return limit is not None or setups == 0
    entry = takeoff + timedelta(seconds=chain.until(BEFORE_BLOCK))
    leave_s = q.mission.file.training.leave.time if q.mission.file.training.leave is not None else 0.0
    out = takeoff + timedelta(seconds=chain.until(IN_BLOCK) + leave_s)
    return reserved.start <= entry and out <= reserved.end


def setups_by_time(q: Question) -> int | None:
    """The most set-ups that time allows, 0 when not even one; None when neither an event nor a reservation bounds them."""
    if q.chain is None and q.mission.times.reserved is None:
        return None
    # what doesn't fit doesn't fit with one more either: the block ends later, or take-off and entry come earlier
    return max(takewhile(lambda n: time_allows(q, n), range(MOST_SETUPS + 1)), default=0)


def decide(q: Question, by_fuel_of: FuelAllows) -> tuple[Decision | None, list[Diagnostic]]:
    """Take-off and set-ups of the mission. ``by_fuel_of(take-off, set-ups)``: what fuel allows, from a clock with so many."""
    if q.mission.times.takeoff is None and q.chain is None:
        help = "give ground_ops.takeoff, or an event to work back from"
        return None, [Diagnostic("no-takeoff", "error", "there is no take-off time and no event to work it back from", help=help, cause=("ground_ops",))]
    solved = q.mission.times.takeoff is None
    training = q.mission.file.training
    if training is None:
        return Decision(takeoff_for(q, forward_chain(q.mission, q.route, 0)), solved, 0, None, None), []
    given, by_time = training.setups.planned, setups_by_time(q)
    trial = max(given or 0, 1)
    by_fuel = by_fuel_of(takeoff_for(q, forward_chain(q.mission, q.route, trial)), trial)
    setups, _ = choose_setups(given, by_time, by_fuel)
    if setups is None:
        help = "give training.setups.planned, or the area's reservation"
        message = "neither time nor fuel says how many set-ups can be flown"
        return None, [Diagnostic("no-setups", "error", message, help=help, cause=("training", "setups"))]
    takeoff = takeoff_for(q, forward_chain(q.mission, q.route, setups))
    return Decision(takeoff, solved, setups, by_time, by_fuel), []
