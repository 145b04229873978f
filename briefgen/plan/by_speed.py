"""A change that is flown by speed after leave-hold (without a hold: from the IP): the clock and the fuel of
the sortie that results.

Fuel is by time only. A flow is typed for the run-in at its speed and for the push-up, none for a speed
between: above the run-in's speed the push-up's flow is taken all the way to the centre, else the run-in's.
Faster than the push-up, or flown in a way that isn't known, there is no flow to take, and fuel reads NOT
CHECKED.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from briefgen.airmath.run_in import speed_to_fly
from briefgen.core.diagnostics import Diagnostic, KeyPath, has_errors
from briefgen.core.records import record
from briefgen.mission.edit.changes import at_true_time
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.build import fly
from briefgen.plan.event.slip_reach import ON_TIME_S, late_at_ip_s, within
from briefgen.plan.event.speed_alone import SAME_KT, begins, faster_than_push, read_back_s
from briefgen.plan.fuel.fuel_plan import plan_fuel
from briefgen.plan.model import Clock, EventPlan, PassChain, Phase
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.clock import later

TO_THE_CENTRE = ("hold to IP", "run-in", "push-up")
SLIVER_S = 0.05  # a shorter rest of a phase isn't a row of its own


@record
class Stretch:
    """One ground speed from a change of speed to the next one, or to the centre; ``flow`` names the fuel flow
    taken."""

    start: datetime
    end: datetime
    speed_kt: float
    flow: str


@record
class SpeedCall:
    """From ``at_s`` on one ground speed to the centre. ``speed_kt`` None: how the flight flies the change
    isn't known."""

    at_s: float
    change_s: float
    speed_kt: float | None


@record
class BySpeed:
    """The sortie as it is flown, and of it the pass that is moved. ``stretches`` is empty where no flow can
    be taken: for ``too_fast_kt``, which is faster than the push-up, or (None) since how the flight changes
    its speed isn't known; its fuel is None then. ``lacking``: what fuel lacks besides."""

    sortie: Sortie
    moved: EventPlan
    stretches: tuple[Stretch, ...]
    too_fast_kt: float | None = None
    lacking: tuple[Diagnostic, ...] = ()


def flown_by_speed(
    base: Mission, final: Sortie, calls: Sequence[SpeedCall], origin: datetime, of: KeyPath
) -> tuple[BySpeed | None, list[Diagnostic]]:
    """``base`` is the mission that leaves the hold of the pass written at ``of`` when the flight does,
    ``final`` the sortie whose true time results; ``calls`` count from ``origin``. Up to the centre it is
    flown as ``base`` is, after it as ``final``."""
    held, found = fly(base, tables=False)
    if held is None or has_errors(found):
        return None, found
    sortie, event = _spliced(held, final, of)
    chain = event.chain
    speeds: list[tuple[SpeedCall, float]] = []
    for call in calls:
        if call.speed_kt is None or faster_than_push(chain, call.speed_kt):
            return BySpeed(replace(sortie, fuel=None), event, (), call.speed_kt), []
        speeds.append((call, call.speed_kt))
    stretches = _stretches(chain, speeds, origin, event.true_time)
    clock = _clock(sortie.clock, chain, stretches)
    fuel, lacking = plan_fuel(sortie.mission, clock, sortie.passes)
    return BySpeed(replace(sortie, clock=clock, fuel=fuel), event, stretches, None, tuple(lacking)), []


def speed_alone_moves(sortie: Sortie, place: int) -> bool:
    """Whether what-ifs ask speed of a pass: of the only one, and of several of one without a hold, where
    nothing else moves its T. What is flown after it goes by that T alone."""
    return len(sortie.passes) == 1 or sortie.passes[place].hold is None


def told_before(base: Sortie, changed: Sortie, place: int = 0) -> Sortie | None:
    """A changed sortie whose T the hold (or the clock up to the IP) doesn't give, flown by speed after it as
    ``briefgen retime`` has it: told once the cue that T hangs on is heard. Where T is another one ``base``
    says when the flight is there, else, without a hold, the changed sortie, whose flight knows by itself how
    late it reaches the IP. None where speed doesn't give it."""
    was, now = base.passes[place], changed.passes[place]
    true_time = now.true_time
    moved_s = (true_time - was.true_time).total_seconds()
    by_base = was.hold is not None or (moved_s != 0.0 and abs(late_at_ip_s(base.clock, was)) <= ON_TIME_S)
    late_s = late_at_ip_s(changed.clock, now)
    flown, change_s = (was, moved_s) if by_base else (now, -late_s)
    chain = flown.chain
    told_s = max(read_back_s(chain, change_s), 0.0) if by_base else 0.0
    if not change_s or not (within(flown, change_s) if by_base else chain.speeds_known):
        return None
    fix = speed_to_fly(chain.inbound, told_s, change_s, chain.window)
    if not fix.possible:
        return None
    unmoved = at_true_time(
        changed.mission,
        later(true_time, -change_s),
        takeoff=changed.clock.takeoff,
        setups=changed.setups,
        of=now.section.cause,
    )
    origin = begins(chain) if by_base else later(chain.ip_time, -change_s)
    call = SpeedCall(told_s, change_s, fix.speed_kt)
    found, _ = flown_by_speed(unmoved, changed, [call], origin, now.section.cause)
    return None if found is None else found.sortie


def _spliced(held: Sortie, final: Sortie, of: KeyPath) -> tuple[Sortie, EventPlan]:
    """Up to the centre of the pass as ``held``, its T and all that follows it as ``final``; and the pass."""
    place = next(n for n, pass_ in enumerate(held.passes) if pass_.section.cause == of)
    flown, told = held.passes[place], final.passes[place]
    event = replace(
        flown,
        true_time=told.true_time,
        set_time=told.set_time,
        cues=told.cues,
        parties=told.parties,
        chain=replace(flown.chain, section=told.section, true_time=told.true_time, set_time=told.set_time),
    )
    clock, piece = final.clock, told.section.id
    clock = replace(
        clock,
        hold_arrival=held.clock.hold_arrival,
        leave_hold=held.clock.leave_hold,
        ip=held.clock.ip,
        push_up=None if place == 0 else clock.push_up,
        hold_difference_s=held.clock.hold_difference_s,
        phases=(
            *held.clock.phases[: _at_centre(held.clock.phases, piece)],
            *clock.phases[_at_centre(clock.phases, piece) :],
        ),
    )
    passes = (*final.passes[:place], event, *final.passes[place + 1 :])
    return replace(held, mission=final.mission, passes=passes, clock=clock, suns=final.suns), event


def _at_centre(phases: Sequence[Phase], piece: str) -> int:
    """How many phases are flown up to the centre of a pass."""
    return max(i for i, phase in enumerate(phases) if _to_the_centre(phase, piece)) + 1


def _to_the_centre(phase: Phase, piece: str) -> bool:
    return phase.piece == piece and phase.kind in TO_THE_CENTRE


def _stretches(
    chain: PassChain, calls: Sequence[tuple[SpeedCall, float]], origin: datetime, true_time: datetime
) -> tuple[Stretch, ...]:
    starts = [later(origin, call.at_s) for call, _ in calls]
    pushing = chain.push is not None and starts[0] > chain.push.at
    found = []
    for (_, speed_kt), start, end in zip(calls, starts, [*starts[1:], true_time], strict=True):
        pushing = pushing or speed_kt > chain.run_in.gs_kt + SAME_KT
        found.append(Stretch(start, end, speed_kt, "push_up" if pushing else "run_in"))
    return tuple(found)


def _clock(clock: Clock, chain: PassChain, stretches: Sequence[Stretch]) -> Clock:
    """The rows up to the first change of speed as planned, then the stretches, then the rest."""
    first, piece = stretches[0].start, chain.section.id
    rows = [_cut(phase, first) if _to_the_centre(phase, piece) else phase for phase in clock.phases]
    place = _at_centre(clock.phases, piece)
    before = [row for row in rows[:place] if not _to_the_centre(row, piece) or row.seconds > SLIVER_S]
    begins = next(
        (row.end for row in reversed(before) if _to_the_centre(row, piece)), chain.leave_hold or chain.ip_time
    )
    starts = [
        begins if abs((begins - first).total_seconds()) <= SLIVER_S else first,
        *(s.start for s in stretches[1:]),
    ]
    own = [
        _row(i, stretch, start, chain)
        for i, (stretch, start) in enumerate(zip(stretches, starts, strict=True), 1)
    ]
    return replace(clock, phases=(*before, *own, *rows[place:]))


def _cut(phase: Phase, at: datetime) -> Phase:
    return replace(phase, start=min(phase.start, at), end=min(phase.end, at))


def _row(number: int, stretch: Stretch, start: datetime, chain: PassChain) -> Phase:
    label = f"To the centre at {stretch.speed_kt:.0f} KGS"
    run_in = chain.run_in
    return Phase(
        f"by-speed-{number}",
        "run-in",
        label,
        start,
        stretch.end,
        stretch.flow,
        None,
        run_in.altitude_ft,
        run_in,
        run_in.cause,
        chain.section.id,
    )
