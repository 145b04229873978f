"""Fuel along the clock, and the instants at which a ship reaches a figure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from briefgen.plan.fuel_flows import burn, flow_lb_h, phase_burn, weight
from briefgen.plan.fuel_inputs import FuelInputs, ShipInput
from briefgen.plan.fuel_round import NOISE, in_lb, printed_down
from briefgen.plan.fuel_sums import Landing
from briefgen.plan.model import Addend, Bingo, Clock, FuelRow, Phase, Point

HOME = ("recovery", "approach")
BLOCK = ("warm-up", "set-up", "training")


def start_line(ship: ShipInput, inputs: FuelInputs) -> Addend:
    """Start to take-off: as given, else ground flow x time. No burn factor: nobody flies yet."""
    if inputs.start_to_takeoff is not None:
        return weight(inputs.start_to_takeoff, label="Start to take-off", scale=inputs.scale)
    from dataclasses import replace

    plain = replace(ship, burn_factor=1.0)
    return burn(plain, "ground", inputs.start_s or 0.0, None, label="Start to take-off", cause=inputs.ground_cause, scale=inputs.scale)


def fuel_rows(ship: ShipInput, inputs: FuelInputs, clock: Clock, landing: Landing, required: Mapping[str, int]) -> tuple[FuelRow, ...]:
    """One row per stretch: start to take-off, each phase of the clock, and this ship's wait to land.

    What remains, printed, is the start fuel rounded down less the printed burns, so that the column adds up as printed.
    """
    began = clock.takeoff - timedelta(seconds=inputs.start_s or 0.0)
    stretches = [("ground", "Start to take-off", began, clock.takeoff, start_line(ship, inputs))]
    stretches += [(p.id, p.label, p.start, p.end, phase_burn(ship, p, inputs.scale)) for p in clock.phases]
    if landing.intervals is not None:
        touchdown = clock.lead_landing + timedelta(seconds=ship.place * inputs.landing_interval_s)
        stretches.append(("landing-wait", landing.intervals.label, clock.lead_landing, touchdown, landing.intervals))
    rows, exact_lb, printed = [], ship.start.lb, printed_down(ship.start.lb, inputs.scale)
    for phase_id, label, start, end, line in stretches:
        exact_lb -= line.exact_lb
        printed -= line.printed
        rows.append(FuelRow(phase_id, label, start, end, line, exact_lb, printed, required.get(phase_id)))
    return tuple(rows)


# ---------------------------------------------------------------- what is required where


def required_at(clock: Clock, bingos: Sequence[Bingo], home: Sequence[Addend], landing: Landing) -> dict[str, int]:
    """Phase id -> what is required at its end to go home, as printed and not rounded up further.

    In the training block it is the worst point of the area; at the end of a leg the bingo of that point; on the way home
    what is still to be burnt and the landing fuel; after the wait to land the landing fuel alone.  ``home`` are the lines
    of the way home in the order of the clock, then the alternate's.  Where the place isn't known there is no entry.
    """
    at_point = {b.point.id: b.sum.total for b in bingos}
    in_area = max((b.sum.total for b in bingos if b.phase == "training"), default=None)
    found: dict[str, int | None] = {}
    left = sum(line.printed for line in home)
    lines = iter(home)
    for i, phase in enumerate(clock.phases):
        if phase.kind in HOME:
            left -= next(lines).printed
            found[phase.id] = left + landing.required
        elif phase.kind in BLOCK:
            found[phase.id] = in_area
        elif (end := phase_end(clock.phases, i)) is not None:
            found[phase.id] = at_point.get(end.id)
    found["landing-wait"] = landing.floor.printed
    return {phase_id: total for phase_id, total in found.items() if total is not None}


def phase_end(phases: Sequence[Phase], i: int) -> Point | None:
    """Where a phase ends: at its leg's end, or where the next leg begins. None in the middle of a leg (climb, push-up point)."""
    phase = phases[i]
    following = next((p.leg for p in phases[i + 1 :] if p.leg is not None), None)
    if phase.leg is None:
        return following.start if following is not None else None
    return None if following is phase.leg else phase.leg.end


# ---------------------------------------------------------------- instants


def joker_reached(rows: Sequence[FuelRow], clock: Clock, joker: int) -> datetime | None:
    """When this ship reaches joker, both as printed, so that the column of the card gives the same time.

    After the planned block the last row's rate goes on. Never before the block begins: a ship that enters it below joker has to leave at once.
    """
    block = [r for r in rows if clock.training_start is not None and clock.training_start <= r.start and r.end <= clock.training_end]
    return _reaches(block, joker)


def _reaches(block: Sequence[FuelRow], level: int) -> datetime | None:
    for row in block:
        last = row is block[-1]
        seconds = (row.end - row.start).total_seconds()
        spare = row.remaining_printed + row.burn.printed - level
        if spare <= 0:
            return row.start
        if (last or spare < row.burn.printed) and seconds > 0 and row.burn.printed > 0:
            return row.start + timedelta(seconds=seconds * spare / row.burn.printed)
    return None


def hold_of(clock: Clock) -> Phase | None:
    """The hold's phase, None where the mission has none."""
    return next((p for p in clock.phases if p.kind == "hold"), None)


def hold_rate_lb_h(ship: ShipInput, hold: Phase) -> float:
    """What this ship burns in the hold, burn factor included."""
    return flow_lb_h(ship, hold.flow or "hold", hold.altitude_ft) * ship.burn_factor


def go_home(ship: ShipInput, rows: Sequence[FuelRow], clock: Clock, bingo: int | None, inputs: FuelInputs) -> datetime | None:
    """When this ship, staying in the hold, reaches the fuel to go home: the event's bingo as printed (the figure that is set
    in the aircraft). What remains is taken as printed too. Not before it enters the hold; None without a hold or a bingo.

    At that moment it has the fuel to go home directly, not to fly the pass first: for that see ``longest_hold_s``.
    """
    hold = hold_of(clock)
    if hold is None or bingo is None or (rate := hold_rate_lb_h(ship, hold)) <= 0:
        return None
    row = next(r for r in rows if r.phase_id == hold.id)
    spare_lb = in_lb(row.remaining_printed + row.burn.printed - bingo, inputs.scale)
    return hold.start + timedelta(seconds=max(0.0, spare_lb / rate * 3600))


def longest_hold_s(
    ship: ShipInput, rows: Sequence[FuelRow], clock: Clock, bingo_at: datetime | None, inputs: FuelInputs, *, keep: int
) -> float | None:
    """The longest hold after which this ship still flies the pass and the way home, and lands with ``keep`` as printed
    (landing fuel, and the alternate where required); and no longer than to the go-home time. 0 when not even a moment.

    Solved on printed figures: the hold's own row may grow to the last whole display step, so that one second more costs
    a step that isn't there.
    """
    hold = hold_of(clock)
    if hold is None or (rate := hold_rate_lb_h(ship, hold)) <= 0:
        return None
    row = next(r for r in rows if r.phase_id == hold.id)
    spare = rows[-1].remaining_printed + row.burn.printed - keep
    whole_steps = math.floor(spare / inputs.scale.step) * inputs.scale.step
    by_landing_s = in_lb(whole_steps + NOISE / 2, inputs.scale) / rate * 3600
    by_bingo_s = math.inf if bingo_at is None else (bingo_at - hold.start).total_seconds()
    return max(0.0, min(by_landing_s, by_bingo_s))
