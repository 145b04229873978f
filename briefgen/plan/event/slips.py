"""What happens to the hold when the ceremony runs early or late: the slip table."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from math import ceil, floor

from briefgen.airmath.angles import turn_deg
from briefgen.airmath.hold_slip import slip_answer
from briefgen.airmath.hold_wait import HoldPlan as FlownWait
from briefgen.airmath.hold_wait import NotFlyable, plan_wait
from briefgen.plan.event.hold import LONGEST_WAIT_S, most_wait_s
from briefgen.plan.model import HoldPlan, HoldShape, PassChain, SlipRow
from briefgen.plan.timing.clock import later

SLIPS_S = (-60.0, -30.0, 0.0, 30.0, 60.0, 120.0, 180.0, 300.0, 600.0)
SAME_HEADING_DEG = 5.0  # our own bound: a smaller difference is made up on the inbound leg


def slip_table(
    chain: PassChain, hold: HoldPlan, shape: HoldShape, relay_s: float, slips_s: Sequence[float] = SLIPS_S
) -> tuple[SlipRow, ...]:
    """A row for each slip, flown by the hold alone: laps as planned for as long as they can be, so that a row
    is true whenever it is told.

    ``told_by`` is when the read-back must be complete; after it that row is lost, and one more lap has its
    price: the change may still be met (``met_until``), but not as the row says.  Without a flyable plan no
    row can be met.
    """
    flown = plan_wait(
        shape.track, hold.wait_s, arrival_heading_true_deg=shape.arrival_heading_true_deg, leg_s=shape.leg_s
    )
    return tuple(_row(chain, hold, shape, flown, (slip, relay_s)) for slip in slips_s)


def _row(
    chain: PassChain,
    hold: HoldPlan,
    shape: HoldShape,
    flown: FlownWait | NotFlyable,
    told: tuple[float, float],
) -> SlipRow:
    slip_s, relay_s = told
    true_time, set_time = later(chain.true_time, slip_s), later(chain.set_time, slip_s)
    if isinstance(flown, NotFlyable):
        return _unmet(slip_s, (true_time, set_time), "the hold as planned can't be flown")
    wait_s = hold.wait_s + slip_s
    if wait_s > most_wait_s(hold) + 0.5:
        return _unmet(slip_s, (true_time, set_time), too_long(hold, wait_s))
    answer = slip_answer(shape.track, flown, slip_s)
    if isinstance(answer, NotFlyable):
        return _unmet(
            slip_s, (true_time, set_time), why_not_flyable(answer.wait_s, hold), answer.one_more_lap_s
        )
    changed, closes = answer.plan, chain.closes(slip_s)
    told_by, met_until = (
        at if closes is None else min(at, closes)
        for at in (later(hold.arrival, answer.row_until_s), later(hold.arrival, answer.met_until_s))
    )
    return SlipRow(
        slip_s=slip_s,
        true_time=true_time,
        set_time=set_time,
        leave_hold=later(chain.leave_hold, slip_s),
        laps=len(changed.laps),
        outbound_leg_s=changed.outbound_s,
        last_inbound_turn=later(hold.arrival, changed.laps[-1].inbound_turn_s) if changed.laps else None,
        told_by=told_by,
        say_by=later(told_by, -relay_s),
        met=True,
        reason="",
        holds_until=told_by,
        met_until=met_until,
        one_more_lap_s=shape.price_s,
        unchanged_laps=answer.unchanged_laps,
        outbound_headings_true_deg=tuple(
            lap.outbound_heading_true_deg for lap in changed.laps[answer.unchanged_laps :]
        ),
    )


def _unmet(
    slip_s: float, times: tuple[datetime, datetime], reason: str, price_s: float | None = None
) -> SlipRow:
    return SlipRow(slip_s, *times, None, None, None, None, None, None, False, reason, one_more_lap_s=price_s)


def in_two_words(first_s: float, slip_s: float, by: str = "") -> str:
    """``laps +1 min 28 s by 12:35:22, then SLOW 3 s``."""
    rest_s = slip_s - first_s
    size, sign = round(abs(first_s)), "-" if first_s < 0 else "+"
    minutes, seconds = divmod(size, 60)
    parts = ([f"{minutes} min"] if minutes else []) + ([f"{seconds} s"] if seconds else [])
    way = "FAST" if rest_s < 0 else "SLOW"
    until = f" by {by}" if by else ""
    return f"laps {sign}{' '.join(parts)}{until}, then {way} {round(abs(rest_s))} s"


def too_long(hold: HoldPlan, wait_s: float) -> str:
    asked = f"a hold of {_minutes(ceil(wait_s))}"
    if hold.maximum_s is not None and hold.maximum_s <= LONGEST_WAIT_S:
        return f"{asked}, allowed {_minutes(floor(hold.maximum_s))}"
    return f"{asked}, and none over {LONGEST_WAIT_S / 60:.0f} min is worked out (default)"


def _minutes(seconds: int) -> str:
    """``20 min 1 s``: to the second that is too much."""
    minutes, rest = divmod(seconds, 60)
    return f"{minutes} min" + (f" {rest} s" if rest else "")


def why_not_flyable(wait_s: float, hold: HoldPlan) -> str:
    """Why the hold can't give a wait, as a clause."""
    if wait_s < 0:
        return "the flight is not there in time"
    if hold.shortest_s is not None and wait_s < hold.shortest_s:
        return "shorter than the shortest lap"
    return "no whole number of laps gives it"


def turned_off(hold: HoldPlan, row: SlipRow) -> bool:
    """Whether a slip is flown out on headings that differ by SAME_HEADING_DEG or more from those of the
    plan."""
    planned = [lap.outbound_heading_true_deg for lap in hold.laps[:1]] + [hold.outbound_heading_true_deg] * (
        row.laps or 0
    )
    planned = planned[row.unchanged_laps or 0 : row.laps or 0]
    return any(
        abs(turn_deg(old, new)) >= SAME_HEADING_DEG
        for old, new in zip(planned, row.outbound_headings_true_deg, strict=True)
    )
