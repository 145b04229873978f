"""Take-off and number of set-ups: given ones are flown as given, those left out are solved.

Take-off left out: so that the planned hold results, or the nearest that whole laps give (without a hold: so
that the IP is met on time), down to a whole second, so that the flight is never short of time (up, where only
that hold can be flown).  Set-ups left out: the least of what time and fuel allow, and fewer where that leaves
a hold that no laps give.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from itertools import takewhile

from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.event.hold import wait_flown_s, waits_near
from briefgen.plan.fuel.flows import time_words
from briefgen.plan.model import HoldShape, PassChain
from briefgen.plan.route.legs import Route
from briefgen.plan.timing.clock import BEFORE_BLOCK, IN_BLOCK, Chain, forward_chain
from briefgen.plan.timing.training import ByFuel, choose_setups

SAME_S = 0.5  # our own bound: a planned hold that reads the same to the second is no other one
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
    """When the forward chain must have ended: leave-hold less the shortest flyable wait, or the IP time; None
    without an event."""
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
    return q.chain.leave_hold - timedelta(seconds=planned_wait_s(q))


def planned_wait_s(q: Question) -> float:
    """The planned hold, or the nearest to it that whole laps give (one of at least the minimum first); none
    planned: the shortest."""
    hold, shape = q.chain.section.written.hold, q.shape
    if hold.planned is None or shape is None:
        return hold.planned or (shape.shortest_s if shape is not None else None) or 0.0
    near = waits_near(shape, hold.planned)
    return min(
        near, key=lambda wait: (wait < (hold.minimum or 0.0), abs(wait - hold.planned)), default=hold.planned
    )


def wait_of(q: Question, takeoff: datetime, chain: Chain) -> float | None:
    """The hold that a take-off leaves, negative where it is reached too late; None without a hold."""
    if q.chain is None or q.chain.leave_hold is None or q.shape is None:
        return None
    return (q.chain.leave_hold - takeoff).total_seconds() - chain.seconds


def can_be_flown(q: Question, takeoff: datetime, chain: Chain) -> bool:
    """Whether whole laps give the hold that a take-off leaves; of one that is typed with what speed on the
    way to it takes up."""
    wait = wait_of(q, takeoff, chain)
    if wait is not None and q.mission.times.takeoff is not None:
        wait = wait_flown_s(q.shape, wait, chain.last_leg_s)
    return wait is None or waits_near(q.shape, wait) == (wait,)


def takeoff_for(q: Question, chain: Chain) -> datetime | None:
    """The given take-off, else the one that makes the planned hold; None when there is nothing to work back
    from."""
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


def _solved(q: Question, setups: int) -> datetime:
    """The take-off with so many set-ups; a solved one up to the next whole second where down to it the hold
    can't be flown."""
    chain = forward_chain(q.mission, q.route, setups)
    takeoff = takeoff_for(q, chain)
    if q.mission.times.takeoff is None and not can_be_flown(q, takeoff, chain):
        later = takeoff + timedelta(seconds=1)
        return later if can_be_flown(q, later, chain) else takeoff
    return takeoff


def _fewer(q: Question, setups: int) -> int:
    """So many set-ups, or the most below them whose hold can be flown, where theirs can't; none can: so
    many."""
    return next(
        (
            n
            for n in range(setups, -1, -1)
            if can_be_flown(q, _solved(q, n), forward_chain(q.mission, q.route, n))
        ),
        setups,
    )


def not_as_planned(q: Question) -> list[Diagnostic]:
    """A caution where the take-off is solved for another hold than the planned one, because whole laps don't
    give that."""
    hold = q.chain.section.written.hold if q.chain is not None else None
    if hold is None or hold.planned is None or q.shape is None:
        return []
    waits = waits_near(q.shape, hold.planned)
    if any(abs(wait - hold.planned) <= SAME_S for wait in waits):
        return []
    near = " and ".join(time_words(wait) for wait in waits)
    message = (
        f"no whole number of laps gives the planned hold of {time_words(hold.planned)}: the nearest are"
        f" {near}"
    )
    why = f"the take-off is worked back for {time_words(planned_wait_s(q))}"
    cause = q.chain.section.key("hold", "planned")
    return [
        Diagnostic(
            "hold-planned",
            "caution",
            message,
            why=why,
            help="plan one of these, or another leg of the hold",
            cause=cause,
        )
    ]


def setups_by_time(q: Question) -> int | None:
    """The most set-ups that time allows, 0 when not even one; None when neither an event nor a reservation
    bounds them."""
    if q.chain is None and q.mission.times.reserved is None:
        return None
    # what doesn't fit doesn't fit with one more either: the block ends later, or take-off and entry come
    # earlier
    return max(takewhile(lambda n: time_allows(q, n), range(MOST_SETUPS + 1)), default=0)


def decide(q: Question, by_fuel_of: FuelAllows) -> tuple[Decision | None, list[Diagnostic]]:
    """Take-off and set-ups of the mission. ``by_fuel_of(take-off, set-ups)``: what fuel allows, from a clock
    with so many."""
    if q.mission.times.takeoff is None and q.chain is None:
        help = "give ground_ops.takeoff, or an event to work back from"
        return None, [
            Diagnostic(
                "no-takeoff",
                "error",
                "there is no take-off time and no event to work it back from",
                help=help,
                cause=("ground_ops",),
            )
        ]
    solved = q.mission.times.takeoff is None
    training = q.mission.file.training
    if training is None:
        return Decision(_solved(q, 0), solved, 0, None, None), not_as_planned(q) if solved else []
    given, by_time = training.setups.planned, setups_by_time(q)
    trial = max(given or 0, 1)
    by_fuel = by_fuel_of(takeoff_for(q, forward_chain(q.mission, q.route, trial)), trial)
    setups, _ = choose_setups(given, by_time, by_fuel)
    if setups is None:
        help = "give training.setups.planned, or the area's reservation"
        message = "neither time nor fuel says how many set-ups can be flown"
        return None, [Diagnostic("no-setups", "error", message, help=help, cause=("training", "setups"))]
    flown = setups if given is not None else _fewer(q, setups)
    return Decision(_solved(q, flown), solved, flown, by_time, by_fuel), not_as_planned(q) if solved else []
