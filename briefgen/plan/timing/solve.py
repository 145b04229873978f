"""Take-off and number of set-ups: given ones are flown as given, those left out are solved.

Take-off left out: so that the planned hold results, or the nearest that whole laps give (without a hold: so
that the IP is met on time), down to a whole second, so that the flight is never short of time (up, where only
that hold can be flown).  Set-ups left out: the least of what time and fuel allow, and fewer where that leaves
a hold that no laps give.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime, timedelta
from itertools import takewhile

from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.line_to_add import add_below
from briefgen.plan.event.hold import wait_flown_s, waits_near
from briefgen.plan.fuel.flows import time_words
from briefgen.plan.model.laid import Block, LaidPass, Route, Stretch
from briefgen.plan.timing.chain import forward_chain
from briefgen.plan.timing.clock import Chain, least_setups
from briefgen.plan.timing.training import BlockDecision, ByFuel, choose_setups

SAME_S = 0.5  # our own bound: a planned hold that reads the same to the second is no other one
MOST_SETUPS = 40  # a search bound, far above any block

FuelAllows = Callable[[datetime, Mapping[str, int], str], ByFuel | None]


@record
class Decision:
    """Take-off, and set-ups of each block under its id."""

    takeoff: datetime
    takeoff_solved: bool
    blocks: Mapping[str, BlockDecision]

    @property
    def setups(self) -> dict[str, int]:
        """How many set-ups of each block are flown."""
        return {id: block.setups for id, block in self.blocks.items()}


@record
class Question:
    """What the solver works on: everything that neither take-off nor set-ups change."""

    mission: Mission
    route: Route

    @property
    def first(self) -> Stretch:
        """The stretch that begins at take-off."""
        return self.route.stretches[0]


def must_reach_by(to: LaidPass | None) -> datetime | None:
    """When the forward chain to a pass must have ended: leave-hold less the shortest flyable wait, or the IP
    time; None without a pass."""
    if to is None:
        return None
    if to.chain.leave_hold is None:
        return to.chain.ip_time
    shortest = to.shape.shortest_s if to.shape is not None else None
    return to.chain.leave_hold - timedelta(seconds=shortest or 0.0)


def planned_arrival(to: LaidPass) -> datetime:
    """When the forward chain to a pass is planned to end when the take-off is solved."""
    if to.chain.leave_hold is None:
        return to.chain.ip_time
    return to.chain.leave_hold - timedelta(seconds=planned_wait_s(to))


def planned_wait_s(to: LaidPass) -> float:
    """The planned hold, or the nearest to it that whole laps give (one of at least the minimum first); none
    planned: the shortest."""
    hold, shape = to.chain.section.written.hold, to.shape
    planned = hold.planned if hold is not None else None
    if hold is None or planned is None or shape is None:
        return planned or (shape.shortest_s if shape is not None else None) or 0.0
    near = waits_near(shape, planned)
    return min(near, key=lambda wait: (wait < (hold.minimum or 0.0), abs(wait - planned)), default=planned)


def wait_of(to: LaidPass | None, begin: datetime, chain: Chain) -> float | None:
    """The hold that a stretch begun at ``begin`` leaves, negative where it is reached too late; None without
    a hold."""
    if to is None or to.chain.leave_hold is None or to.shape is None:
        return None
    return (to.chain.leave_hold - begin).total_seconds() - chain.seconds


def can_be_flown(to: LaidPass | None, begin: datetime, chain: Chain, *, solved: bool) -> bool:
    """Whether whole laps give the hold that a stretch leaves; of one whose begin is not solved with what
    speed on the way to it takes up."""
    wait = wait_of(to, begin, chain)
    if wait is None or to is None or to.shape is None:
        return True
    if not solved:
        wait = wait_flown_s(to.shape, wait, chain.last_leg_s)
    return waits_near(to.shape, wait) == (wait,)


def takeoff_for(q: Question, setups: Mapping[str, int]) -> datetime | None:
    """The given take-off, else the one that makes the planned hold of the first pass; None when there is
    nothing to work back from."""
    if q.mission.times.takeoff is not None:
        return q.mission.times.takeoff
    if q.first.to is None:
        return None
    chain = forward_chain(q.mission, q.first, setups)
    exact = planned_arrival(q.first.to) - timedelta(seconds=chain.seconds)
    return exact.replace(microsecond=0)


def begins(q: Question, takeoff: datetime) -> Iterator[tuple[Stretch, datetime]]:
    """Each stretch with the instant at which it begins: take-off, or the end of the egress before it."""
    at = takeoff
    for stretch in q.route.stretches:
        yield stretch, at
        at = stretch.to.chain.ends if stretch.to is not None else at


def _stretch_of(q: Question, block: Block, takeoff: datetime) -> tuple[Stretch, datetime]:
    """The stretch that a block lies on, with the instant at which it begins."""
    return next(found for found in begins(q, takeoff) if block in found[0].pieces)


def time_allows(q: Question, block: Block, setups: Mapping[str, int]) -> bool:
    """True when so many set-ups fit: the hold after the block keeps its shortest flyable wait, the block its
    reservation, and so do those after it on the way."""
    takeoff = takeoff_for(q, setups)
    if takeoff is None:
        return False
    stretch, begin = _stretch_of(q, block, takeoff)
    chain = forward_chain(q.mission, stretch, setups)
    limit, reserved = must_reach_by(stretch.to), block.section.reserved
    if limit is not None and begin + timedelta(seconds=chain.seconds) > limit:
        return False
    for following in stretch.blocks[stretch.blocks.index(block) + 1 :]:
        theirs, out_s = following.section.reserved, chain.blocks[following.section.id].out_s
        if theirs is not None and begin + timedelta(seconds=out_s) > theirs.end:
            return False
    if reserved is None:
        return limit is not None or setups[block.section.id] == 0
    span = chain.blocks[block.section.id]
    entry, out = (begin + timedelta(seconds=s) for s in (span.entry_s, span.out_s))
    return reserved.start <= entry and out <= reserved.end


def _solved(q: Question, setups: Mapping[str, int]) -> datetime | None:
    """The take-off with so many set-ups; a solved one up to the next whole second where down to it the hold
    can't be flown."""
    takeoff = takeoff_for(q, setups)
    if takeoff is None or q.mission.times.takeoff is not None:
        return takeoff
    chain, later = forward_chain(q.mission, q.first, setups), takeoff + timedelta(seconds=1)
    if can_be_flown(q.first.to, takeoff, chain, solved=True):
        return takeoff
    return later if can_be_flown(q.first.to, later, chain, solved=True) else takeoff


def _fewer(q: Question, block: Block, setups: Mapping[str, int]) -> int:
    """So many set-ups of a block, or the most below them whose hold can be flown, where theirs can't; none
    can: so many."""
    id = block.section.id
    return next(
        (n for n in range(setups[id], -1, -1) if _is_flyable(q, block, {**setups, id: n})), setups[id]
    )


def _is_flyable(q: Question, block: Block, setups: Mapping[str, int]) -> bool:
    takeoff = _solved(q, setups)
    if takeoff is None:
        return True
    stretch, begin = _stretch_of(q, block, takeoff)
    solved = stretch is q.first and q.mission.times.takeoff is None
    return can_be_flown(stretch.to, begin, forward_chain(q.mission, stretch, setups), solved=solved)


def not_as_planned(to: LaidPass | None) -> list[Diagnostic]:
    """A caution where the take-off is solved for another hold than the planned one, because whole laps don't
    give that."""
    hold = to.chain.section.written.hold if to is not None else None
    if to is None or hold is None or hold.planned is None or to.shape is None:
        return []
    planned, waits = hold.planned, waits_near(to.shape, hold.planned)
    if any(abs(wait - planned) <= SAME_S for wait in waits):
        return []
    near = " and ".join(time_words(wait) for wait in waits)
    message = (
        f"no whole number of laps gives the planned hold of {time_words(planned)}: the nearest are {near}"
    )
    return [
        Diagnostic(
            "hold-planned",
            "caution",
            message,
            why=f"the take-off is worked back for {time_words(planned_wait_s(to))}",
            help="plan one of these, or another leg of the hold",
            cause=to.chain.section.key("hold", "planned"),
        )
    ]


def setups_by_time(q: Question, block: Block, setups: Mapping[str, int]) -> int | None:
    """The most set-ups of a block that time allows, with those of the others as in ``setups``, 0 when not
    even one; None when neither a pass nor a reservation bounds them."""
    stretch = next(stretch for stretch in q.route.stretches if block in stretch.pieces)
    if stretch.to is None and block.section.reserved is None:
        return None
    # what doesn't fit doesn't fit with one more either: the block ends later, or take-off and entry come
    # earlier
    fits = takewhile(lambda n: time_allows(q, block, {**setups, block.section.id: n}), range(MOST_SETUPS + 1))
    return max(fits, default=0)


def decide(q: Question, by_fuel_of: FuelAllows) -> tuple[Decision | None, list[Diagnostic]]:
    """Take-off and set-ups of the mission, block by block in flying order: each leaves every later one that
    is left out its minimum. ``by_fuel_of(take-off, set-ups, block)``: what fuel allows in a block, from a
    clock with so many."""
    solved = q.mission.times.takeoff is None
    if solved and q.first.to is None:
        return None, [_no_takeoff()]
    setups = {block.section.id: least_setups(block.section) for block in q.route.blocks}
    decided: dict[str, BlockDecision] = {}
    for block in q.route.blocks:
        found = _of_block(q, block, setups, by_fuel_of)
        if found is None:
            return None, [_no_setups(block)]
        decided[block.section.id] = found
        setups[block.section.id] = found.setups
    takeoff = _solved(q, setups)
    if takeoff is None:
        return None, [_no_takeoff()]
    return Decision(takeoff, solved, decided), not_as_planned(q.first.to) if solved else []


def _of_block(
    q: Question, block: Block, setups: Mapping[str, int], by_fuel_of: FuelAllows
) -> BlockDecision | None:
    given, by_time = block.section.written.setups.planned, setups_by_time(q, block, setups)
    trial = {**setups, block.section.id: max(given or 0, 1)}
    takeoff = takeoff_for(q, trial)
    by_fuel = None if takeoff is None else by_fuel_of(takeoff, trial, block.section.id)
    chosen, _ = choose_setups(given, by_time, by_fuel)
    if chosen is None:
        return None
    flown = chosen if given is not None else _fewer(q, block, {**setups, block.section.id: chosen})
    return BlockDecision(flown, by_time, by_fuel)


def _no_takeoff() -> Diagnostic:
    message = "there is no take-off time and no event to work it back from"
    help = (
        "add `takeoff` to `ground_ops`, for example `takeoff: 12:37:00 base`, or an event to work back from"
    )
    return Diagnostic("no-takeoff", "error", message, help=help, cause=("ground_ops",))


def _no_setups(block: Block) -> Diagnostic:
    message = "neither time nor fuel says how many set-ups can be flown"
    setups = (*block.section.cause, "setups")
    help = f"{add_below(setups, (*setups, 'planned'), '3')}, or the area's reservation"
    return Diagnostic("no-setups", "error", message, help=help, cause=setups)
