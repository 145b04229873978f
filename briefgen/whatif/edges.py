"""How far a thing can be moved before a gate fails: latest take-off, earliest and latest T, longest hold of
each ship.

Edges are whole seconds. Each is found by planning: the edge itself fails nothing that the plan as written
doesn't fail, the second beyond it does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from math import floor

from briefgen.airmath.hold_wait import longest_wait_s, shortest_wait_s
from briefgen.core.records import record
from briefgen.mission.edit.changes import at_true_time, with_setups, with_takeoff
from briefgen.plan.build import fly
from briefgen.plan.event.hold import most_taken_up_s
from briefgen.plan.event.slip_reach import holes_s, lost_by_reach
from briefgen.plan.event.speed_alone import by_speed_s
from briefgen.plan.model import EventPlan, Gate, HoldPlan
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.clock import forward_chain, later
from briefgen.whatif.kept import kept
from briefgen.whatif.outcome import failing, newly_failing

IN_TIME = ("t-reachable", "hold-minimum", "area-exit")  # what a later take-off can break
FURTHEST_S = 6 * 3600  # no ceremony is waited for longer; a search bound
STEPS = 4  # seconds by which a worked-out edge may be off before it is searched for

Fails = Callable[[int], tuple[Gate, ...]]


@record
class Edge:
    """The last instant that works. None: the plan as written doesn't work either, or nothing bounds it within
    six hours.

    ``broken``: the gates that fail a second beyond it. ``gaps``: stretches on this side of the edge that
    neither a whole number of laps nor these and speed on the way to the hold can fly. ``setups``: flown with
    so many.
    """

    kind: str
    at: datetime | None
    setups: int | None
    broken: tuple[Gate, ...] = ()
    gaps: tuple[tuple[datetime, datetime], ...] = ()


@record
class LongestHold:
    """The longest hold after which a ship still flies the pass, goes home and lands with what it must have;
    and when that hold ends."""

    ship: int
    seconds: float
    until: datetime


@record
class Edges:
    """All edges of a sortie; None and empty where it has no event or no hold."""

    latest_takeoff: Edge | None
    earliest_time: Edge | None
    latest_time: Edge | None
    longest_holds: tuple[LongestHold, ...]


def edges_of(base: Sortie) -> Edges:
    """The edges of a sortie that was flown as written."""
    if base.event is None:
        return Edges(None, None, None, ())
    event = base.event
    earliest, latest = (move_time(base, event, sign) for sign in (-1, 1))
    return Edges(latest_takeoff(base, event), earliest, latest, tuple(_longest_holds(base, event)))


def _longest_holds(base: Sortie, event: EventPlan) -> Iterator[LongestHold]:
    if base.fuel is None or event.hold is None:
        return
    for ship in base.fuel.ships:
        if (longest_s := ship.longest_hold_s) is not None:
            until = event.hold.arrival + timedelta(seconds=longest_s)
            yield LongestHold(ship.ship, longest_s, until)


# ---------------------------------------------------------------- take-off


def latest_takeoff(base: Sortie, event: EventPlan) -> Edge:
    """The latest take-off that still makes T with the least training that is worth flying."""
    least = base.mission.file.training.setups.minimum or 0 if base.mission.file.training is not None else None
    mission = with_setups(base.mission, least)
    guess = _latest_by_sum(base, event, least or 0)

    def fails(later_s: int) -> tuple[Gate, ...]:
        sortie, _ = fly(with_takeoff(mission, guess + timedelta(seconds=later_s)), tables=False)
        return kept(base, sortie, waits=True).failing(IN_TIME) if sortie is not None else ()

    found = _near(fails, 0, 1)
    if found is None:
        return Edge("latest-takeoff", None, least)
    at_s, broken = found
    return Edge("latest-takeoff", guess + timedelta(seconds=at_s), least, broken)


def _latest_by_sum(base: Sortie, event: EventPlan, setups: int) -> datetime:
    """Back from leave-hold over the shortest wait and the forward chain (without a hold: from the IP, as late
    as speed allows), and from the end of the reservation; whole seconds."""
    stretch = base.route.stretches[0]
    forward = forward_chain(base.mission, stretch, {block.section.id: setups for block in stretch.blocks})
    wait_s = (event.hold.shortest_s or 0.0) if event.hold is not None else 0.0
    speed_s = event.authority[0].early_s if event.speeds_known else 0.0
    begins = event.chain.leave_hold or later(event.chain.ip_time, speed_s)
    last = begins - timedelta(seconds=wait_s + forward.seconds)
    for block in stretch.blocks:
        if block.section.reserved is not None:
            out_s = forward.blocks[block.section.id].out_s
            last = min(last, block.section.reserved.end - timedelta(seconds=out_s))
    return last.replace(microsecond=0)


# ---------------------------------------------------------------- the time over target


def move_time(base: Sortie, event: EventPlan, sign: int) -> Edge:
    """The earliest (``sign`` -1) or latest (+1) T with take-off and set-ups as they are."""
    setups = base.training.setups_flown if base.training is not None else None
    known, time = failing(base), event.true_time
    kind = "latest-time" if sign > 0 else "earliest-time"

    def fails(seconds: int) -> tuple[Gate, ...]:
        changed = at_true_time(
            base.mission, time + timedelta(seconds=sign * seconds), takeoff=base.clock.takeoff, setups=setups
        )
        sortie, _ = fly(changed, tables=False)
        if sortie is None:
            return known
        return newly_failing(known, kept(base, sortie, waits=False).failing())

    if any(gate.rule == "t-reachable" for gate in known):
        return Edge(kind, None, setups)
    found = _search(fails, base, event, sign)
    if found is None:
        return Edge(kind, None, setups)
    at_s, broken = found
    return Edge(kind, time + timedelta(seconds=sign * at_s), setups, broken, tuple(_gaps(event, sign, at_s)))


def _search(fails: Fails, base: Sortie, event: EventPlan, sign: int) -> tuple[int, tuple[Gate, ...]] | None:
    """Near what the hold and the fuel say; where another gate bounds it, by halving over everything but the
    gaps of the hold."""
    guess = _by_sum(base, event, sign)
    near = _near(fails, guess, 1) if guess is not None else None
    if near is not None:
        return near

    def blocked(seconds: int) -> bool:
        return any(gate.rule != "t-reachable" for gate in fails(seconds))

    # no wait is shorter than none
    furthest = FURTHEST_S if sign > 0 or event.hold is None else floor(event.hold.wait_s) + 1
    good, bad = 0, guess + 1 if guess is not None and blocked(guess + 1) else furthest
    if bad == FURTHEST_S and not blocked(bad):
        return None
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (good, middle) if blocked(middle) else (middle, bad)
    return _near(fails, _flyable(base, event, sign, good), 1)


def _by_sum(base: Sortie, event: EventPlan, sign: int) -> int | None:
    """By the bounds of the hold, the longest hold on fuel and what speed gives after it; None without a
    bound."""
    hold = event.hold
    if hold is None:
        return floor(_speed_s(event, sign))
    if sign < 0:
        shortest = hold.shortest_s if hold.shortest_s is not None else 0.0
        return max(floor(hold.wait_s - shortest), floor(_speed_s(event, sign)), 0)
    longest = (
        [ship.longest_hold_s for ship in base.fuel.ships if ship.longest_hold_s is not None]
        if base.fuel is not None
        else []
    )
    bounds = [bound for bound in (hold.maximum_s, *longest) if bound is not None]
    return _flyable(base, event, sign, max(floor(min(bounds) - hold.wait_s), 0)) if bounds else None


def _speed_s(event: EventPlan, sign: int) -> float:
    """Seconds earlier (``sign`` -1) or later that speed gives after leave-hold, without a hold from the IP,
    once the cue is heard."""
    if not event.speeds_known:
        return 0.0
    left = by_speed_s(event.chain)
    return left.early_s if sign < 0 else left.late_s


def _flyable(base: Sortie, event: EventPlan, sign: int, seconds: int) -> int:
    """The last whole second up to so many at which the hold can be flown."""
    shape = event.shape
    if event.hold is None or shape is None:
        return seconds
    track, arrival = shape.track, shape.arrival_heading_true_deg
    left_s, most_s = _left_s(event.hold), _most_taken_up_s(base)
    if sign > 0:
        longest = longest_wait_s(track, left_s + seconds, arrival_heading_true_deg=arrival, leg_s=shape.leg_s)
        return seconds if longest is None else min(seconds, floor(longest + most_s - left_s))
    shortest = shortest_wait_s(
        track, max(left_s - seconds, 0.0), arrival_heading_true_deg=arrival, leg_s=shape.leg_s
    )
    return seconds if shortest is None else min(seconds, floor(left_s - shortest + most_s))


def _left_s(hold: HoldPlan) -> float:
    """The hold that the take-off leaves, before speed takes up what whole laps don't give."""
    return hold.wait_s - hold.taken_up_s


def _most_taken_up_s(base: Sortie) -> float:
    return most_taken_up_s(forward_chain(base.mission, base.route.stretches[0], base.setups).last_leg_s)


def _near(fails: Fails, guess: int, step: int) -> tuple[int, tuple[Gate, ...]] | None:
    """The last second that works within a few of ``guess``, and what fails a second beyond; None when the
    edge isn't there."""
    at, tried = guess, 0
    while fails(at):
        at, tried = at - step, tried + 1
        if tried > STEPS:
            return None
    for _ in range(STEPS):
        if broken := fails(at + step):
            return at, broken
        at += step
    return None


def _gaps(event: EventPlan, sign: int, up_to_s: int) -> Iterator[tuple[datetime, datetime]]:
    """The times between T as planned and the edge that neither laps nor speed give, first and last whole
    second of each, in time order: as the gate on the accepted slip and ``briefgen retime`` have it."""
    time = event.true_time
    low_s, high_s = (0, up_to_s) if sign > 0 else (-up_to_s, 0)
    for first, last in holes_s(event.reach_s, low_s, high_s):
        if lost_by_reach(event, first):
            yield time + timedelta(seconds=first), time + timedelta(seconds=last)
