"""Every reason that ends how long the event may wait, and every one that keeps T from being earlier: what the
flight can and accepts, and until when others give what the pass needs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import field
from datetime import datetime

from briefgen.core.records import record
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.event.next_hold import LimitedBy, early_for_next, holes_for_next
from briefgen.plan.event.traffic import apart_ft, flight_there
from briefgen.plan.fuel.flight import hold_limit_s, slip_limit_s
from briefgen.plan.fuel.of_mission import from_base_s
from briefgen.plan.model import EventPlan, Gate, NextFixed
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.clock import later
from briefgen.plan.timing.opening import open_span
from briefgen.units.values import TOffset

NO_LAPS = "has a hold that no whole number of laps gives"
EARLY_FOR_NEXT: dict[LimitedBy, str] = {
    "no hold": "is reached too early",
    "maximum": "holds longer than its maximum",
    "fuel": "holds longer than fuel allows{ship}",
}


@record
class WaitLimit:
    """The latest true time by one reason, in words; ``short`` for the air; ``past``: how the reason reads
    against a time beyond it. ``loses``: beyond it this pass is flown, and that one is lost; None where it is
    this one that is."""

    latest_t: datetime
    because: str
    short: str
    past: str = field(default="")
    loses: PassSection | None = None


@record
class EarlyLimit:
    """The earliest true time by one reason: how it reads against a time before it. ``loses`` as above."""

    earliest_t: datetime
    past: str
    loses: PassSection | None = None


@record
class HoleLimit:
    """True times between two (both excluded) that leave the ``next`` pass a wait that it can't fly: how they
    read. ``loses`` as above."""

    after_t: datetime
    before_t: datetime
    past: str
    next: PassSection
    loses: PassSection | None

    def holds(self, true_time: datetime) -> bool:
        """Whether a true time lies in it."""
        return self.after_t < true_time < self.before_t


def latest_times(plan: Plan, event: EventPlan) -> Iterator[WaitLimit]:
    """The latest true time by each known reason."""
    yield from _fuel_and_hold(plan, event) if event.moves_with is None else _of_leader(plan, event)
    yield from _accepted(plan, event)
    yield from _light(plan, event)
    yield from _others(plan, event)
    yield from _next(event)
    yield from _followers(plan, event)
    if event.next_fixed is not None:  # then the landing stays where it is
        return
    yield from _landing(plan, event)
    yield from _open(plan, event)
    duty = _judged(plan, "duty-period")
    if duty is not None and duty.margin is not None:
        yield WaitLimit(
            later(event.true_time, event.section.event.late_s + duty.margin), "duty period ends", "duty"
        )


def earliest_times(plan: Plan) -> Iterator[EarlyLimit]:
    """The earliest true time by each known reason."""
    event = plan.event
    if event is None:
        return
    approved = plan.approved_of(event)
    slip = event.section.event.written.accept_slip
    if slip is not None:
        yield EarlyLimit(later(event.true_time, -slip.early), "earlier than the flight accepts")
    if approved is not None and not _accepted_alike(
        None if slip is None else slip.early, (event.true_time - approved.earliest).total_seconds()
    ):
        yield EarlyLimit(approved.earliest, "earlier than approved, which the supervisor must be asked about")
    yield from _permitted_before(event)
    yield from _others_before(plan, event)
    yield from _next_before(plan, event)
    yield from _followers_before(plan, event)


def _fuel_and_hold(plan: Plan, event: EventPlan) -> Iterator[WaitLimit]:
    hold, fuel = event.hold, plan.fuel
    slower = slip_limit_s(fuel, plan.clock, event.section.id) if fuel is not None and hold is None else None
    if slower is not None:
        at = later(event.true_time, slower[0])
        yield WaitLimit(at, f"fuel{of_ship(plan, slower[1])}", "fuel")
    if hold is None:
        return
    inbound = event.true_time - hold.leave
    longest = hold_limit_s(fuel, event.section.id) if fuel else None
    if longest is not None:
        at = later(hold.arrival, longest[0]) + inbound
        none = "" if longest[0] > 0.0 else ": not even without a wait"
        yield WaitLimit(at, f"fuel{of_ship(plan, longest[1])} in the hold{none}", "fuel")
    if hold.maximum_s is not None:
        at = later(hold.arrival, hold.maximum_s) + inbound
        yield WaitLimit(at, "longest hold allowed", "longest hold")


def _accepted(plan: Plan, event: EventPlan) -> Iterator[WaitLimit]:
    slip, approved = event.section.event.written.accept_slip, plan.approved_of(event)
    yield from _permitted(event)
    if slip is not None:
        at = later(event.true_time, slip.late)
        yield WaitLimit(at, "slip accepted by the flight", "slip accepted", "later than the flight accepts")
    if approved is not None and not _accepted_alike(
        None if slip is None else slip.late, (approved.latest - event.true_time).total_seconds()
    ):
        yield WaitLimit(
            approved.latest,
            "approved to then: beyond it ask the supervisor",
            "approved",
            "later than approved, which the supervisor must be asked about",
        )


def _permitted(event: EventPlan) -> Iterator[WaitLimit]:
    permission = event.section.event.times.permission
    if permission is not None:
        yield WaitLimit(permission.end, "permission ends", "permission")


def _permitted_before(event: EventPlan) -> Iterator[EarlyLimit]:
    permission = event.section.event.times.permission
    if permission is not None:
        yield EarlyLimit(permission.start, "before the permission")


def _accepted_alike(accepted_s: float | None, approved_s: float) -> bool:
    """Whether the slip that the flight accepts ends no further from T than what is approved: then that is the
    reason."""
    return accepted_s is not None and accepted_s <= approved_s


def _light(plan: Plan, event: EventPlan) -> Iterator[WaitLimit]:
    sun = plan.sun_for("the pass", event.section.id)
    if sun is not None and sun.after is not None and sun.after.kind == "sunset":
        yield WaitLimit(sun.after.instant, "sunset at the event", "sunset")


def _landing(plan: Plan, event: EventPlan) -> Iterator[WaitLimit]:
    landing = _judged(plan, "daylight-landing")
    if landing is not None and isinstance(landing.limit, datetime) and landing.sense == "at most":
        at = event.true_time + (landing.limit - plan.clock.last_landing)
        yield WaitLimit(at, "last landing before dark", "dark landing")


def _next(event: EventPlan) -> Iterator[WaitLimit]:
    """The next pass whose T stays where it is loses its shortest hold; without one it is reached late. Where
    that one goes first, this one is given up for it."""
    fixed = event.next_fixed
    if fixed is not None:
        name = fixed.section.name
        lost = "has less than its shortest hold" if fixed.hold is not None else "is reached late"
        yield WaitLimit(
            later(event.true_time, fixed.spare_s),
            f"beyond it {name} {lost}{_first(fixed)}",
            name,
            f"{name} then {lost}{_first(fixed)}",
            _loses(fixed),
        )


def _next_before(plan: Plan, event: EventPlan) -> Iterator[EarlyLimit]:
    """What this one is early the hold of the next pass takes up, as far as it may last."""
    fixed, limit = event.next_fixed, early_for_next(plan, event.moved)
    if fixed is not None and limit is not None:
        then = EARLY_FOR_NEXT[limit.by].format(ship=of_ship(plan, limit.ship))
        past = f"{fixed.section.name} then {then}{_first(fixed)}"
        yield EarlyLimit(later(event.true_time, -limit.seconds), past, _loses(fixed))


def holes_of_next(event: EventPlan) -> Iterator[HoleLimit]:
    """Between what leaves the next pass one number of laps and what leaves it another no wait of it can be
    flown."""
    fixed = event.next_fixed
    if fixed is not None:
        past = f"{fixed.section.name} then {NO_LAPS}{_first(fixed)}"
        for low_s, high_s in holes_for_next(fixed):
            time = event.true_time
            yield HoleLimit(later(time, low_s), later(time, high_s), past, fixed.section, _loses(fixed))


def _followers(plan: Plan, event: EventPlan) -> Iterator[WaitLimit]:
    """A pass over the same spot whose T moves with this one comes to the end of the window, of the light and
    of others' times by so much sooner. Beyond it this one is flown and that one is lost."""
    for own in event.moved.followers:
        if own.section != event.section:
            given = (*_permitted(own), *_light(plan, event), *_others(plan, own))
            yield from _moved(event, own, given, loses=own.section)


def _of_leader(plan: Plan, event: EventPlan) -> Iterator[WaitLimit]:
    """A pass whose T moves with another one is as long in its hold as planned, however late that is: the wait
    of that one ends the slip. What others give ends for the later pass first."""
    own = event.moved
    yield from _moved(event, own, _fuel_and_hold(plan, own), loses=None)


def _moved(
    event: EventPlan, own: EventPlan, limits: Iterable[WaitLimit], *, loses: PassSection | None
) -> Iterator[WaitLimit]:
    """The limits of another pass that moves together with this one, as true times of this one."""
    name, after = own.section.name, own.true_time - event.true_time
    for limit in limits:
        at, past = limit.latest_t - after, f"{name}: {limit.past or limit.because}"
        short = name if loses is not None else f"{name}: {limit.short}"
        yield WaitLimit(at, f"{name}: {limit.because}", short, past, loses)


def _followers_before(plan: Plan, event: EventPlan) -> Iterator[EarlyLimit]:
    leader = event.moved
    for own in (leader, *leader.followers):
        if own.section != event.section:
            after, loses = own.true_time - event.true_time, None if own is leader else own.section
            for limit in (*_permitted_before(own), *_others_before(plan, own)):
                yield EarlyLimit(limit.earliest_t - after, f"{own.section.name}: {limit.past}", loses)


def _first(fixed: NextFixed) -> str:
    return ", which goes first" if fixed.goes_first else ""


def _loses(fixed: NextFixed) -> PassSection | None:
    return None if fixed.goes_first else fixed.section


# ---------------------------------------------------------------- what others give, by a clock


def _others(plan: Plan, event: EventPlan) -> Iterator[WaitLimit]:
    """A window of another party, and traffic that comes back: by times of a clock, which do not move with
    T."""
    for n, party in enumerate(event.parties):
        typed, given = event.section.event.written.parties[n].to, f"{party.who}: {party.what}"
        if (
            party.end is not None
            and not isinstance(typed, TOffset)
            and not _waived(plan, event, f"party-{n + 1}-until")
        ):
            yield WaitLimit(party.end, f"{given} until then", party.who, f"{given} no longer")
    for n, traffic in enumerate(event.section.event.written.other_traffic):
        comes = event.section.event.times.other_traffic[n].start
        if comes is None or isinstance(traffic.from_, TOffset) or not _in_the_way(plan, event, n):
            continue
        yield WaitLimit(
            event.true_time + (comes - flight_there(event)[1]), f"{traffic.who} is there then", traffic.who
        )


def _others_before(plan: Plan, event: EventPlan) -> Iterator[EarlyLimit]:
    for n, party in enumerate(event.parties):
        typed = event.section.event.written.parties[n].from_
        if (
            party.start is not None
            and not isinstance(typed, TOffset)
            and not _waived(plan, event, f"party-{n + 1}-from")
        ):
            yield EarlyLimit(party.start, f"{party.who}: {party.what} not yet")
    for n, traffic in enumerate(event.section.event.written.other_traffic):
        gone = event.section.event.times.other_traffic[n].until
        if gone is None or isinstance(traffic.until, TOffset) or not _in_the_way(plan, event, n):
            continue
        free = event.true_time + (gone - flight_there(event)[0])
        yield EarlyLimit(free, f"{traffic.who} is still there")


def _in_the_way(plan: Plan, event: EventPlan, n: int) -> bool:
    """Whether an entry of the other traffic is kept away by its times alone."""
    traffic = event.section.event.written.other_traffic[n]
    apart = None if traffic.level is None else apart_ft(plan.mission, event, traffic.level)
    return (apart is None or apart <= 0) and not _waived(plan, event, f"traffic-{n + 1}")


def _open(plan: Plan, event: EventPlan) -> Iterator[WaitLimit]:
    """The base, the alternate and each divert are open when the last ship lands there."""
    recovery, base = plan.mission.file.recovery, plan.mission.base.id
    alternate = () if recovery is None or recovery.alternate is None else (recovery.alternate.place,)
    diverts = () if recovery is None else recovery.diverts
    for place in dict.fromkeys((base, *alternate, *diverts)):
        more_s = 0.0 if place == base else from_base_s(plan.mission, plan.clock, place)
        if more_s is None or any(
            gate.verdict == "WAIVED" for gate in plan.gates if gate.cause == ("places", place, "open")
        ):
            continue
        landing = later(plan.clock.last_landing, more_s)
        needed = (plan.clock.takeoff, later(landing, event.section.event.late_s))
        span = open_span(plan.mission, place, needed)
        if span is not None:
            yield WaitLimit(event.true_time + (span.end - landing), f"{place} closes", f"{place} closes")


def _waived(plan: Plan, event: EventPlan, rule: str) -> bool:
    own = (gate for gate in plan.gates if gate.piece == event.section.id)
    return any(gate.rule == rule and gate.verdict == "WAIVED" for gate in own)


def _judged(plan: Plan, id: str) -> Gate | None:
    """A gate that is there and isn't waived."""
    return next((gate for gate in plan.gates if gate.rule == id and gate.verdict != "WAIVED"), None)


def of_ship(plan: Plan, ship: int) -> str:
    """`` of ship 2``; empty where there is one alone."""
    return "" if plan.mission.alone else f" of ship {ship}"
