"""How far a thing can be moved before a gate fails: latest take-off, earliest and latest T of each pass, the
latest that still keeps the next one, longest hold of each ship.

Edges are whole seconds. Each is found by planning: the edge itself fails nothing that the plan as written
doesn't fail, the second beyond it does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime, timedelta
from math import floor

from briefgen.core.records import record
from briefgen.mission.edit.changes import with_each_setups, with_takeoff
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.build import fly
from briefgen.plan.fuel.flight import hold_limit_s
from briefgen.plan.gates.timing import on_t_of
from briefgen.plan.model import EventPlan, Gate
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.chain import forward_chain
from briefgen.plan.timing.clock import later
from briefgen.whatif.kept import kept
from briefgen.whatif.moves import Move

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
    so many, None where there are none or several blocks. ``keeps``: the id of the pass that alone is asked
    for. ``unsettled``: the blocks of training that keep it from being told. ``as_early_as_it_can``: T is
    whatever second the pass can make first, so that it isn't moved by itself.
    """

    kind: str
    at: datetime | None
    setups: int | None
    broken: tuple[Gate, ...] = ()
    gaps: tuple[tuple[datetime, datetime], ...] = ()
    keeps: str = ""
    unsettled: tuple[str, ...] = ()
    as_early_as_it_can: bool = False


@record
class LongestHold:
    """The longest hold after which a ship still flies the pass, goes home and lands with what it must have;
    and when that hold ends."""

    ship: int
    seconds: float
    until: datetime


@record
class PassEdges:
    """The edges of one pass (``section``); ``keeps_next``: of the pass after it whose T stays where it is,
    None where there is none. A pass whose T moves with another one is not moved alone: None, all three."""

    section: PassSection
    earliest_time: Edge | None
    latest_time: Edge | None
    keeps_next: Edge | None
    longest_holds: tuple[LongestHold, ...]


@record
class Edges:
    """All edges of a sortie; None and empty where it has no pass."""

    latest_takeoff: Edge | None
    passes: tuple[PassEdges, ...]


def edges_of(base: Sortie) -> Edges:
    """The edges of a sortie that was flown as written."""
    if not base.passes:
        return Edges(None, ())
    return Edges(
        latest_takeoff(base, base.passes[0]), tuple(_of_pass(base, n) for n in range(len(base.passes)))
    )


def _of_pass(base: Sortie, place: int) -> PassEdges:
    event = base.passes[place]
    if event.moves_with is not None and not event.section.earliest:
        return PassEdges(event.section, None, None, None, tuple(_longest_holds(base, event)))
    earlier, later = (Move(base, place, sign) for sign in (-1, 1))
    return PassEdges(
        event.section,
        move_time(earlier),
        move_time(later),
        _keeps_next(later),
        tuple(_longest_holds(base, event)),
    )


def _longest_holds(base: Sortie, event: EventPlan) -> Iterator[LongestHold]:
    if base.fuel is None or event.hold is None:
        return
    for ship in base.fuel.ships:
        for hold in ship.holds:
            if hold.piece == event.section.id and hold.longest_s is not None:
                until = event.hold.arrival + timedelta(seconds=hold.longest_s)
                yield LongestHold(ship.ship, hold.longest_s, until)


# ---------------------------------------------------------------- take-off


def latest_takeoff(base: Sortie, event: EventPlan) -> Edge:
    """The latest take-off that still makes T with the least training that is worth flying."""
    least = {block.id: block.setups_minimum for block in base.trainings}
    mission = with_each_setups(base.mission, least)
    guess = _latest_by_sum(base, event, least)
    told = next(iter(least.values())) if len(least) == 1 else None

    def fails(later_s: int) -> tuple[Gate, ...]:
        sortie, _ = fly(with_takeoff(mission, guess + timedelta(seconds=later_s)), tables=False)
        return kept(base, sortie, waits=True).failing(IN_TIME) if sortie is not None else ()

    found = _near(fails, 0, 1)
    if found is None:
        return Edge("latest-takeoff", None, told)
    at_s, broken = found
    return Edge("latest-takeoff", guess + timedelta(seconds=at_s), told, broken)


def _latest_by_sum(base: Sortie, event: EventPlan, setups: Mapping[str, int]) -> datetime:
    """Back from leave-hold over the shortest wait and the forward chain (without a hold: from the IP, as late
    as speed allows), and from the end of the reservation; whole seconds."""
    stretch = base.route.stretches[0]
    forward = forward_chain(base.mission, stretch, setups)
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


def move_time(move: Move) -> Edge:
    """The earliest or latest T of a pass with take-off and set-ups as they are, and every other T kept."""
    kind = "latest-time" if move.sign > 0 else "earliest-time"
    if move.event.section.earliest:
        return Edge(kind, None, move.setups, as_early_as_it_can=True)
    if move.unsettled:
        return Edge(kind, None, move.setups, unsettled=move.unsettled)
    affected = [each.section.id for each in (move.event, move.next) if each is not None]
    if any(gate.rule == "t-reachable" and gate.piece in affected for gate in move.known):
        return Edge(kind, None, move.setups)
    found = _search(move)
    if found is None:
        return Edge(kind, None, move.setups)
    at_s, broken = found
    return Edge(kind, move.at(at_s), move.setups, broken, tuple(move.gaps(at_s)))


def _keeps_next(move: Move) -> Edge | None:
    """The latest T that leaves the next pass whose T stays its shortest hold, whatever else it breaks."""
    if move.next is None or move.event.section.earliest:
        return None
    piece = move.next.section.id
    if move.unsettled:
        return Edge("keeps-next", None, move.setups, keeps=piece, unsettled=move.unsettled)

    def fails(seconds: int) -> tuple[Gate, ...]:
        return on_t_of(piece, move.fails(seconds))

    found = _near(fails, move.next_gives_s or 0, 1)
    if found is None:
        return Edge("keeps-next", None, move.setups, keeps=piece)
    return Edge("keeps-next", move.at(found[0]), move.setups, found[1], keeps=piece)


def _search(move: Move) -> tuple[int, tuple[Gate, ...]] | None:
    """Near what the holds and the fuel say; where another gate bounds it, by halving over everything but the
    gaps of the holds."""
    own = _by_sum(move)
    bounds = [bound for bound in (own, move.next_gives_s) if bound is not None]
    guess = move.flyable_up_to(max(min(bounds), 0)) if bounds else None
    near = _near(move.fails, guess, 1) if guess is not None else None
    if near is not None:
        return near

    def blocked(seconds: int) -> bool:
        return any(gate.rule != "t-reachable" for gate in move.fails(seconds))

    # no wait is shorter than none
    hold = move.event.hold
    furthest = FURTHEST_S if move.sign > 0 or hold is None else floor(hold.wait_s) + 1
    good, bad = 0, guess + 1 if guess is not None and blocked(guess + 1) else furthest
    if bad == FURTHEST_S and not blocked(bad):
        return None
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (good, middle) if blocked(middle) else (middle, bad)
    return _near(move.fails, move.flyable_up_to(good), 1)


def _by_sum(move: Move) -> int | None:
    """By the bounds of its own hold, the longest hold on fuel and what speed gives after it; None without a
    bound."""
    hold, fuel = move.event.hold, move.base.fuel
    if hold is None:
        return floor(move.speed_s)
    if move.sign < 0:
        shortest = hold.shortest_s if hold.shortest_s is not None else 0.0
        return max(floor(hold.wait_s - shortest), floor(move.speed_s), 0)
    longest = hold_limit_s(fuel, move.event.section.id) if fuel is not None else None
    bounds = [bound for bound in (hold.maximum_s, longest[0] if longest else None) if bound is not None]
    return max(floor(min(bounds) - hold.wait_s), 0) if bounds else None


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
