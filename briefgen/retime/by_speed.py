"""A change that is flown by speed after leave-hold: the clock, the fuel and the gates of the sortie that
results.

Fuel is by time only. A flow is typed for the run-in at its speed and for the push-up, none for a speed
between: above the run-in's speed the push-up's flow is taken all the way to the centre, else the run-in's.
Faster than the push-up, or flown in a way that isn't known, there is no flow to take, and fuel reads NOT
CHECKED.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from briefgen.brief.wording.format import duration, speed_kt
from briefgen.core.diagnostics import Diagnostic, has_errors
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.build import fly, judged
from briefgen.plan.event.ceremony import cues_of, parties_of
from briefgen.plan.event.pass_chain import PassChain
from briefgen.plan.fuel.fuel_plan import plan_fuel
from briefgen.plan.model import Clock, FuelPlan, Phase
from briefgen.plan.sortie import Plan, Sortie
from briefgen.plan.timing.clock import later
from briefgen.plan.timing.daylight import plan_suns
from briefgen.retime.story import SpeedCall

TO_THE_CENTRE = ("hold to IP", "run-in", "push-up")
SLIVER_S = 0.05  # a shorter rest of a phase isn't a row of its own
SAME_KT = 0.05


@record
class Stretch:
    """One ground speed from a change of speed to the next one, or to the centre; ``flow`` names the fuel flow
    taken."""

    start: datetime
    end: datetime
    speed_kt: float
    flow: str


def flown_by_speed(
    base: Mission, final: Mission, calls: Sequence[SpeedCall], origin: datetime
) -> tuple[tuple[Plan, str] | None, list[Diagnostic]]:
    """The plan as it is flown, and in words what its fuel stands on. ``base`` is the mission that leaves the
    hold when the flight does, ``final`` the one whose true time results; ``calls`` count from ``origin``."""
    sortie, found = fly(base, tables=False)
    if sortie is None or has_errors(found):
        return None, found
    sortie = _later(sortie, final)
    stretches = _stretches(sortie.chain, calls, origin, final.times.true_time)
    if isinstance(stretches, str):
        return (judged(replace(sortie, fuel=None), [])[0], f"NOT CHECKED: {stretches}"), []
    clock = _clock(sortie.clock, sortie.chain, stretches)
    fuel, lacking = plan_fuel(final, clock, sortie.event)
    sortie = replace(sortie, clock=clock, fuel=fuel)
    return (judged(sortie, [])[0], _basis(fuel, stretches, lacking)), []


def _later(sortie: Sortie, final: Mission) -> Sortie:
    """Leave-hold as it is, T and all that follows it later."""
    true_time = final.times.true_time
    shift = true_time - sortie.chain.true_time
    times = {"true_time": true_time, "set_time": sortie.chain.set_time + shift}
    event = replace(sortie.event, **times, cues=cues_of(final), parties=parties_of(final, true_time))
    clock = sortie.clock
    moved = {
        key: at + shift
        for key in ("lead_landing", "last_landing", "shut_down", "duty_end")
        if (at := getattr(clock, key)) is not None
    }
    clock = replace(clock, **times, **moved, push_up=None, phases=tuple(_after_centre(clock.phases, shift)))
    return replace(
        sortie,
        mission=final,
        chain=replace(sortie.chain, **times),
        event=event,
        clock=clock,
        suns=plan_suns(final, clock, event),
    )


def _after_centre(phases: Sequence[Phase], shift: timedelta) -> Iterator[Phase]:
    last = max(i for i, phase in enumerate(phases) if phase.kind in TO_THE_CENTRE)
    yield from phases[: last + 1]
    yield from (
        replace(phase, start=phase.start + shift, end=phase.end + shift) for phase in phases[last + 1 :]
    )


def _stretches(
    chain: PassChain, calls: Sequence[SpeedCall], origin: datetime, true_time: datetime
) -> tuple[Stretch, ...] | str:
    """The stretches, or why no flow can be taken for one of them."""
    starts = [later(origin, call.at_s) for call in calls]
    pushing = chain.push is not None and starts[0] > chain.push.at
    found = []
    for call, start, end in zip(calls, starts, [*starts[1:], true_time], strict=True):
        if call.speed_kt is None:
            return "how the flight flies its change of speed isn't known"
        if call.speed_kt > chain.push_to_kt + SAME_KT:
            return (
                f"{speed_kt(call.speed_kt, 'KGS')} is faster than the {speed_kt(chain.push_to_kt, 'KGS')} up"
                " to which a flow is given"
            )
        pushing = pushing or call.speed_kt > chain.run_in.gs_kt + SAME_KT
        found.append(Stretch(start, end, call.speed_kt, "push_up" if pushing else "run_in"))
    return tuple(found)


def _clock(clock: Clock, chain: PassChain, stretches: Sequence[Stretch]) -> Clock:
    """The rows up to the first change of speed as planned, then the stretches, then the rest."""
    first = stretches[0].start
    rows = [_cut(phase, first) if phase.kind in TO_THE_CENTRE else phase for phase in clock.phases]
    place = max(i for i, phase in enumerate(clock.phases) if phase.kind in TO_THE_CENTRE) + 1
    before = [row for row in rows[:place] if row.kind not in TO_THE_CENTRE or row.seconds > SLIVER_S]
    begins = next(
        (row.end for row in reversed(before) if row.kind in TO_THE_CENTRE), chain.leave_hold or chain.ip_time
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
    label = f"To the centre at {speed_kt(stretch.speed_kt, 'KGS')}"
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
    )


def _basis(fuel: FuelPlan | None, stretches: Sequence[Stretch], lacking: Sequence[Diagnostic]) -> str:
    if fuel is None:
        return (
            f"NOT CHECKED: {lacking[0].message if lacking else 'the mission does not give what fuel needs'}"
        )
    parts = [
        f"{duration((s.end - s.start).total_seconds())} at {speed_kt(s.speed_kt, 'KGS')} with the flow"
        f" {s.flow}"
        for s in stretches
    ]
    return (
        f"by time only: {', then '.join(parts)}; no flow is given for"
        f" {'this speed' if len(parts) == 1 else 'these speeds'}"
    )
