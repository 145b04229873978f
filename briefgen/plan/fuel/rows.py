"""Fuel along the clock, and the instants at which a ship reaches a figure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from briefgen.plan.fuel.flows import burn, flow_lb_h, phase_burn, weight
from briefgen.plan.fuel.inputs import FuelInputs, Line, ShipInput
from briefgen.plan.fuel.rounding import in_lb, printed, printed_down, required, still_reads_lb, tidy
from briefgen.plan.fuel.sums import BLOCK, Landing
from briefgen.plan.model import Bingo, Clock, FuelRow, Phase, Point, Scale

HOME = ("recovery", "approach")


def start_line(ship: ShipInput, inputs: FuelInputs) -> Line:
    """Start to take-off: as given, else ground flow x time; and the wait for those that take off before, on
    the ground at that flow, without one not counted (the gate ``takeoff-wait`` says so). No burn factor:
    nobody flies yet."""
    plain, label, cause = replace(ship, burn_factor=1.0), "Start to take-off", inputs.ground_cause
    given, wait_s = inputs.start_to_takeoff, ship.place * inputs.takeoff_interval_s
    if given is None:
        return burn(plain, "ground", (inputs.start_s or 0.0) + wait_s, None, label=label, cause=cause)
    start = weight(ship, given, label=label)
    if wait_s == 0.0 or "ground" not in ship.flows:
        return start
    wait = burn(plain, "ground", wait_s, None, label=label, cause=cause)
    return replace(start, exact_lb=start.exact_lb + wait.exact_lb, basis=f"{start.basis} + {wait.basis}")


def fuel_rows(
    ship: ShipInput, inputs: FuelInputs, clock: Clock, landing: Landing, needed: Mapping[str, float]
) -> tuple[FuelRow, ...]:
    """One row per stretch: start to take-off, each phase of the clock, and this ship's wait to land.

    What remains is exact, rounded down once in each row; a row's printed burn is what lies between two of
    them, so that the column adds up as printed.
    """
    began = clock.takeoff - timedelta(seconds=inputs.start_s or 0.0)
    stretches = [("ground", "Start to take-off", began, clock.takeoff, start_line(ship, inputs))]
    stretches += [(p.id, p.label, p.start, p.end, phase_burn(ship, p)) for p in clock.phases]
    if landing.intervals is not None:
        touchdown = clock.lead_landing + timedelta(seconds=ship.place * inputs.landing_interval_s)
        stretches.append(
            ("landing-wait", landing.intervals.label, clock.lead_landing, touchdown, landing.intervals)
        )
    rows, exact_lb, before = [], ship.start.lb, printed_down(ship.start.lb, ship.scale)
    for phase_id, label, start, end, line in stretches:
        exact_lb -= line.exact_lb
        left = printed_down(exact_lb, ship.scale)
        rows.append(
            FuelRow(
                phase_id,
                label,
                start,
                end,
                printed(line, tidy(before - left)),
                exact_lb,
                left,
                needed.get(phase_id),
            )
        )
        before = left
    return tuple(rows)


def rows_of_block(rows: Sequence[FuelRow], clock: Clock, block: str) -> list[FuelRow]:
    """The rows of a block up to the end of its training, in their order."""
    ids = {phase.id for phase in clock.phases if phase.piece == block and phase.kind in BLOCK}
    return [row for row in rows if row.phase_id in ids]


def printed_before(row: FuelRow) -> float:
    """What the column shows where a row begins."""
    return tidy(row.remaining_printed + row.burn.printed)


# ---------------------------------------------------------------- what is required where


def required_at(
    ship: ShipInput, clock: Clock, bingos: Sequence[Bingo], alternate: Sequence[Line], landing: Landing
) -> dict[str, float]:
    """Phase id -> what is required at its end to go home, as printed and not rounded up further.

    In a training block it is the worst point of its area; at the end of a leg the bingo of that point; on
    the way home what is still to be burnt, the alternate's lines and the landing fuel; after the wait to land
    the landing fuel alone. Where the place isn't known there is no entry.
    """
    at_point = {b.point.id: b.sum.total for b in bingos}
    in_area = {b.piece: b.sum.total for b in bingos if b.phase == "training"}
    found: dict[str, float | None] = {}
    home = [phase_burn(ship, phase) for phase in clock.phases if phase.kind in HOME]
    for i, phase in enumerate(clock.phases):
        if phase.kind in HOME:
            home = home[1:]
            found[phase.id] = required(
                math.fsum(line.exact_lb for line in (*home, *alternate)), landing.addends, ship.scale
            )
        elif phase.kind in BLOCK:
            found[phase.id] = in_area.get(phase.piece)
        elif (end := phase_end(clock.phases, i)) is not None:
            found[phase.id] = at_point.get(end.id)
    found["landing-wait"] = landing.floor.printed
    return {phase_id: total for phase_id, total in found.items() if total is not None}


def phase_end(phases: Sequence[Phase], i: int) -> Point | None:
    """Where a phase ends: at its leg's end, or where the next leg begins. None in the middle of a leg (climb,
    push-up point)."""
    phase = phases[i]
    following = next((p.leg for p in phases[i + 1 :] if p.leg is not None), None)
    if phase.leg is None:
        return following.start if following is not None else None
    return None if following is phase.leg else phase.leg.end


def points_home(rows: Sequence[FuelRow], clock: Clock) -> dict[str, Point]:
    """The phases, in the order flown, at whose end nothing else judges whether a ship can go home from there,
    and where that is: the training block ends at joker or above, the hold with the longest one on fuel, the
    approach with landing fuel and alternate. The climb home is part of what its point requires, and ends at
    no other."""
    known = {row.phase_id for row in rows if row.required_printed is not None}
    return {
        phase.id: point
        for i, phase in enumerate(clock.phases)
        if phase.id in known and phase.kind not in (*BLOCK, "hold", "approach")
        if not (phase.kind in HOME and phase.leg is None and clock.phases[i - 1].id in known)
        if (point := phase_end(clock.phases, i)) is not None
    }


# ---------------------------------------------------------------- instants


def joker_reached(ship: ShipInput, block: Sequence[FuelRow], joker: float) -> datetime | None:
    """When this ship reaches joker in the rows of a block, both as printed, so that the column of the card
    gives the same time.

    After the planned block it goes on burning as in the last row. Never before the block begins: a ship that
    enters it below joker has to leave at once.
    """
    for row in block:
        spare = tidy(printed_before(row) - joker)
        if spare <= 0:
            return row.start
        if spare < row.burn.printed:
            return row.start + (row.end - row.start) * (spare / row.burn.printed)
    return _after(block[-1], in_lb(block[-1].remaining_printed - joker, ship.scale)) if block else None


def _after(row: FuelRow, spare_lb: float) -> datetime | None:
    """When a ship that burns as in a row has burnt so much more; None where the row burns nothing."""
    return (
        row.end + (row.end - row.start) * (spare_lb / row.burn.exact_lb)
        if row.burn.exact_lb > 0 and row.end > row.start
        else None
    )


def holds_of(clock: Clock) -> tuple[Phase, ...]:
    """The phases of the holds, in flying order."""
    return tuple(phase for phase in clock.phases if phase.kind == "hold")


def hold_rate_lb_h(ship: ShipInput, hold: Phase) -> float:
    """What this ship burns in the hold, burn factor included."""
    return flow_lb_h(ship, hold.flow or "hold", hold.altitude_ft) * ship.burn_factor


def go_home(
    ship: ShipInput, rows: Sequence[FuelRow], hold: Phase | None, bingo: float | None
) -> datetime | None:
    """When this ship, staying in a hold, reaches the fuel to go home: the bingo of its pass as printed (the
    figure that is set in the aircraft). What remains is taken as printed too. Not before it enters the hold;
    None without a hold or a bingo.

    At that moment it has the fuel to go home directly, not to fly the pass first: for that see
    ``longest_hold_s``.
    """
    if hold is None or bingo is None or (rate := hold_rate_lb_h(ship, hold)) <= 0:
        return None
    row = next(r for r in rows if r.phase_id == hold.id)
    spare_lb = in_lb(printed_before(row) - bingo, ship.scale)
    return hold.start + timedelta(seconds=max(0.0, spare_lb / rate * 3600))


def longest_hold_s(
    ship: ShipInput,
    rows: Sequence[FuelRow],
    hold: Phase | None,
    bingo_at: datetime | None,
    kept: Mapping[str, float],
) -> float | None:
    """The longest hold after which this ship still flies all that follows and has at each later point what is
    ``kept`` there (by phase, as printed, see ``flight.kept_at``); and no longer than to the go-home time. 0
    when not even a moment.

    One second more, and what is left at one of them, rounded down, prints as less.
    """
    if hold is None or (rate := hold_rate_lb_h(ship, hold)) <= 0:
        return None
    row = next(r for r in rows if r.phase_id == hold.id)
    by_fuel_s = (spare_from_lb(rows, row, kept, ship.scale) + row.burn.exact_lb) / rate * 3600
    by_bingo_s = math.inf if bingo_at is None else (bingo_at - hold.start).total_seconds()
    return max(0.0, min(by_fuel_s, by_bingo_s))


def spare_from_lb(rows: Sequence[FuelRow], first: FuelRow, kept: Mapping[str, float], scale: Scale) -> float:
    """What a ship could burn more from a row on, and still have what is kept at the end of each; below 0
    where it falls short."""
    return min(
        row.remaining_exact_lb - still_reads_lb(kept[row.phase_id], scale)
        for row in rows[rows.index(first) :]
        if row.phase_id in kept
    )
