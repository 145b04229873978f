"""After a pass where another one follows: until when, and with what fuel, the flight continues to it, and
what a later T takes of the next one's wait."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from briefgen.core.records import record
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.event.hold import most_taken_up_s
from briefgen.plan.model import EventPlan, NextFixed, Phase
from briefgen.plan.route.air import position
from briefgen.plan.route.legs import leg_between
from briefgen.plan.sortie import Plan


@record
class ContinueTo:
    """The next pass, the fuel to continue to it with by ship (empty where it isn't known), and the end of the
    egress at the latest for which its shortest hold is left; None where its T moves with the pass before."""

    to: PassSection
    fuel: dict[int, float]
    latest: datetime | None


def continue_to(whole: Plan, pass_: EventPlan) -> ContinueTo | None:
    """None after the last pass."""
    after = whole.passes[whole.passes.index(pass_) + 1 :]
    if not after:
        return None
    ships = whole.fuel.ships if whole.fuel is not None else ()
    fuel = {
        ship.ship: onward.sum.figure
        for ship in ships
        for onward in ship.onward
        if onward.piece == pass_.section.id
    }
    fixed = None if after[0].section.follows else pass_.next_fixed
    latest = None if fixed is None else pass_.chain.ends + timedelta(seconds=fixed.spare_s)
    return ContinueTo(after[0].section, fuel, latest)


def leave_hold_for_next(plan: Plan, pass_: EventPlan) -> datetime | None:
    """When a flight in the hold of a pass that it gives up leaves it for the next one at the latest, whose T
    then stays: direct to where the first leg behind the egress leads, and on as planned, to be there in time
    for the shortest hold, or without one for its T. None after the last pass, without a hold, and where no
    such leg can be flown."""
    leg, hold = _first_behind(plan, pass_), pass_.hold
    if leg is None or leg.leg is None or hold is None:
        return None
    way, to = leg.leg, leg.leg.end
    direct_s = 0.0
    if position(hold.fix) != position(to):
        direct, _ = leg_between(
            plan.mission,
            "transit",
            hold.fix,
            to,
            level=way.level,
            speed=way.speed,
            begins=hold.height,
            cause=way.cause,
        )
        if direct is None:
            return None
        direct_s = direct.time_s
    return leg.end + timedelta(seconds=_spare_s(plan, pass_) - direct_s)


def _first_behind(plan: Plan, pass_: EventPlan) -> Phase | None:
    """The first leg of the way behind a pass that another one follows."""
    if all(to.chain.section.place <= pass_.section.place for to in plan.route.passes):
        return None
    phases = list(plan.clock.phases)
    last = max(i for i, phase in enumerate(phases) if phase.piece == pass_.section.id)
    return next((phase for phase in phases[last + 1 :] if phase.kind == "transit"), None)


def _spare_s(plan: Plan, pass_: EventPlan) -> float:
    """By so much the wait of the next pass may be shorter, also where its T moves with this one."""
    after = next(to.chain.section for to in plan.route.passes if to.chain.section.place > pass_.section.place)
    follower = next((own for own in pass_.moved.followers if own.section.id == after.id), None)
    if follower is not None:
        return 0.0 if follower.hold is None else follower.hold.spare_s
    return 0.0 if pass_.next_fixed is None else pass_.next_fixed.spare_s


def with_next(passes: Sequence[tuple[EventPlan, float]]) -> tuple[EventPlan, ...]:
    """Each pass with the next whose T stays where it is, as the waits are planned, with those whose T moves
    with its own, and with the one that its own moves with; beside each how long the last leg to it takes."""
    made = tuple(
        replace(
            pass_,
            next_fixed=_next_fixed(pass_, passes[n + 1 :]),
            followers=tuple(own for own, _ in passes[n + 1 :] if own.leader == pass_.section),
        )
        for n, (pass_, _) in enumerate(passes)
    )
    leaders = {pass_.section.id: pass_ for pass_ in made}
    return tuple(
        pass_ if pass_.leader is None else replace(pass_, moves_with=leaders[pass_.leader.id])
        for pass_ in made
    )


def _next_fixed(own: EventPlan, later: Sequence[tuple[EventPlan, float]]) -> NextFixed | None:
    fixed, last_leg_s = next((each for each in later if not each[0].section.follows), (None, 0.0))
    if fixed is None:
        return None
    return NextFixed(
        fixed.section,
        fixed.hold,
        fixed.shape,
        most_taken_up_s(last_leg_s),
        _goes_first(fixed.section, own.section),
    )


def _goes_first(later: PassSection, own: PassSection) -> bool:
    """Whether the later of two passes is kept where not both can be: the highest ``priority`` is dropped, and
    where they tie or one has none the last that is flown."""
    theirs, ours = later.event.written.priority, own.event.written.priority
    return theirs is not None and ours is not None and theirs < ours
