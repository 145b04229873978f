"""What cards and slides say of how long the event may wait, and of how early T may be."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from itertools import groupby
from math import ceil

from briefgen.brief.wording import format as words
from briefgen.brief.wording.by_speed import INSIDE
from briefgen.brief.wording.passes import next_name, pass_name
from briefgen.brief.wording.words import NOT_CHECKED
from briefgen.plan.event.lost_contact import HoldEnd, wait_end
from briefgen.plan.event.slips import in_two_words
from briefgen.plan.event.wait_limits import EarlyLimit, WaitLimit, earliest_times
from briefgen.plan.event.waits import (
    TOO_EARLY,
    TOO_LATE,
    Limit,
    hold_lost,
    holes,
    holes_to_next,
    lap_offered,
    latest_t,
    lost,
    lost_with,
    no_call,
    row_verdict,
    still,
    unknown_limits,
    wait_limits,
)
from briefgen.plan.model import Means, SlipRow
from briefgen.plan.sortie import Plan

NO_CALL = "no call"
BY_SPEED: Means = "by speed"


def holes_words(plan: Plan, clock: Callable[[datetime], str]) -> str:
    """``T 05:21:19 to 05:24:00: in two calls, laps then speed, or UNABLE. UNABLE HILL for T 05:31:00 to
    05:32:10: HILL then has a hold that no whole number of laps gives.``; empty where every accepted slip can
    be flown."""
    found = [f"{clock(first)} to {clock(last)}" for first, last in holes(plan)]
    by_laps = plan.event is not None and plan.event.hold is not None and plan.event.speeds_known
    inside = plan.event is not None and bool(plan.event.tolerance_s)
    own = [_hole_words(words.listed(found), by_laps=by_laps, inside=inside)] if found else []
    for first_s, last_s, hole in holes_to_next(plan):
        ends = (clock(plan.the_pass.true_time + timedelta(seconds=s)) for s in (first_s, last_s))
        own.append(f"{unable_words(hole)} for T {' to '.join(ends)}: {hole.past}.")
    return " ".join(own)


def _hole_words(stretches: str, *, by_laps: bool, inside: bool) -> str:
    if not by_laps:
        return f"T {stretches}: {f'by speed {INSIDE}, or UNABLE' if inside else 'UNABLE'}."
    return f"T {stretches}: in two calls, laps then speed, or UNABLE."


def hold_lost_words(plan: Plan) -> str:
    """``nothing by speed: the hold as planned can't be flown (fuel of ship 2)``, in the place of each table
    of it; empty where the hold can be flown."""
    why = hold_lost(plan)
    return f"nothing by speed: the hold as planned can't be flown ({why})" if why else ""


def slip_spans(plan: Plan) -> list[tuple[SlipRow, SlipRow]]:
    """First and last of the printed slips that one row stands for: neighbours that one reason rules out share
    theirs; one that can be flown, or still be met in another way, and the planned one have their own."""

    def shared(row: SlipRow) -> float | tuple[str, str]:
        why = lost(plan, row)
        return why if why[0] and row.slip_s and not later_ways(plan, row) else row.slip_s

    slips = plan.event.slips if plan.event is not None else ()
    groups = [list(rows) for _, rows in groupby(slips, key=shared)]
    return [(rows[0], rows[-1]) for rows in groups]


def latest_words(plan: Plan, by: Callable[[datetime], str]) -> str:
    """``03:40:02 Z (slip accepted by the flight); fuel NOT CHECKED``: the latest that can be flown, what ends
    it, and what could not be judged."""
    last, gaps = latest_t(plan), unknown_limits(plan)
    known = f"{by(last.latest_t)} ({last.because})" if last is not None else NOT_CHECKED
    return known + (f"; {words.listed(gaps)} {NOT_CHECKED}" if gaps else "")


def latest_said(plan: Plan, by: Callable[[datetime], str]) -> str:
    """What is said of T: ``can't be later than 03:40:02 Z (slip accepted by the flight)``, or ``is 46 s too
    late (fuel of ship 2 in the hold)``; both with what could not be judged."""
    limits = wait_limits(plan)
    if not limits or limits[0].latest_t >= plan.the_pass.true_time:
        return f"can't be later than {latest_words(plan, by)}"
    late_s = (
        words.rounded_instant(plan.the_pass.true_time) - words.time_limit(limits[0].latest_t, "latest")
    ).total_seconds()
    gaps = unknown_limits(plan)
    return f"is {words.duration(late_s)} too late ({limits[0].because})" + (
        f"; {words.listed(gaps)} {NOT_CHECKED}" if gaps else ""
    )


def latest_in_short(plan: Plan, by: Callable[[datetime], str], *, because: bool = True) -> str:
    """``no T after 03:40:02 Z (slip accepted)``: until when a pass is still possible, for one who waits in
    the hold; ``because``: with the reason."""
    last = latest_t(plan)
    if last is None:
        return f"latest T {NOT_CHECKED}"
    return f"no T after {by(last.latest_t)}" + (f" ({last.short})" if because else "")


def go_home_why(
    plan: Plan, by: Callable[[datetime], str], *, because: bool = True
) -> tuple[HoldEnd, str] | None:
    """When a flight still in the hold goes home, and why: ``no T after 03:40:02 Z (slip accepted); by fuel
    03:56:22 Z``, ``because``: with what ends T; the earliest of all that ends the wait, its fuel beside it.
    Where it goes on: ``no T after …; home by fuel …``. None where there is none to tell."""
    end = wait_end(plan)
    if end is None or plan.fuel is None or plan.fuel.go_home is None:
        return None
    by_fuel = f"{'' if end.then == 'go home' else 'home '}by fuel {by(plan.fuel.go_home)}"
    return end, f"{latest_in_short(plan, by, because=because)}; {by_fuel}"


def go_home_words(
    plan: Plan, by: Callable[[datetime], str], *, because: bool = True
) -> tuple[str, str, str] | None:
    """The same in words: ``Go-home time``, ``03:38:21 Z`` and why; where it goes on ``Go-on time`` and first
    ``to HILL``."""
    found = go_home_why(plan, by, because=because)
    if found is None:
        return None
    end, why = found
    to = "" if end.then == "go home" else f"to {next_name(plan)}; "
    return f"Go-{where(end)} time", by(end.at), f"{to}{why}"


def where(end: HoldEnd) -> str:
    """``home``, or ``on`` to the next pass."""
    return "home" if end.then == "go home" else "on"


def too_late_note(plan: Plan) -> str:
    """``TOO LATE from +3 min on: fuel of ship 2 in the hold.`` under a table of slips, with the same for what
    is too early and for what loses the next pass; empty where every row that can be flown may be waited
    for."""
    rows = [
        (row, *row_verdict(plan, row))
        for row in (plan.event.slips if plan.event is not None else ())
        if row.met or row.slip_s > 0
    ]
    early = [
        f"{TOO_EARLY} to {slip_words(row)}: {because}." for row, said, because in rows if said == TOO_EARLY
    ]
    late = [
        f"{TOO_LATE} from {slip_words(row)} on: {because}." for row, said, because in rows if said == TOO_LATE
    ]
    return " ".join((*early[-1:], *_loses_from(plan), *_loses_between(plan), *late[:1]))


def too_early_note(plan: Plan) -> str:
    """``TOO EARLY to -1 min 1 s: earlier than the flight accepts.``: the first whole second that is, where no
    row of the slips reads so."""
    rows = plan.event.slips if plan.event is not None else ()
    limits = [limit for limit in earliest_times(plan) if limit.loses is None]
    if plan.event is None or not limits or any(row_verdict(plan, row)[0] == TOO_EARLY for row in rows):
        return ""
    first = max(limits, key=lambda limit: limit.earliest_t)
    slip_s = ceil((first.earliest_t - plan.event.true_time).total_seconds()) - 1
    return f"{TOO_EARLY} to {words.signed_duration(slip_s)}: {first.past}." if slip_s < 0 else ""


def _loses_from(plan: Plan) -> Iterator[str]:
    """``UNABLE HILL from +9 min 34 s on: HILL then has less than its shortest hold.``, before it the same of
    what is too early for it, ``UNABLE HILL to -10 s``."""
    rows = [(row, lost_with(plan, row)) for row in (plan.event.slips if plan.event is not None else ())]
    early = [(row, limit.past) for row, limit in rows if isinstance(limit, EarlyLimit) and row.slip_s < 0]
    late = [(row, limit.past) for row, limit in rows if isinstance(limit, WaitLimit) and row.slip_s > 0]
    for row, past in early[-1:]:
        yield f"{loses_words(plan, row)} to {slip_words(row)}: {past}."
    for row, past in late[:1]:
        yield f"{loses_words(plan, row)} from {slip_words(row)} on: {past}."


def _loses_between(plan: Plan) -> Iterator[str]:
    """``UNABLE HILL from +1 min 5 s to +2 min: HILL then has a hold that no whole number of laps gives.``"""
    for first_s, last_s, hole in holes_to_next(plan):
        ends = dict.fromkeys(words.signed_duration(s) if s else "planned" for s in (first_s, last_s))
        span = f"from {' to '.join(ends)}" if len(ends) > 1 else f"at {''.join(ends)}"
        yield f"{unable_words(hole)} {span}: {hole.past}."


def unable_words(limit: Limit) -> str:
    """``UNABLE HILL``: the later pass that is lost; where this one is, ``UNABLE`` alone."""
    return "UNABLE" if limit.loses is None else f"UNABLE {pass_name(limit.loses)}"


def loses_words(plan: Plan, row: SlipRow) -> str:
    """``UNABLE HILL``: the later pass that a slip loses which is flown itself; empty where it loses none."""
    limit = lost_with(plan, row)
    return "" if limit is None or limit.loses is None else unable_words(limit)


def slip_words(row: SlipRow) -> str:
    """``+3 min``, ``planned``."""
    return words.signed_duration(row.slip_s) if row.slip_s else "planned"


def all_too_late(plan: Plan, row: SlipRow, last: SlipRow) -> bool:
    """Whether a row of the table stands for all that is later."""
    slips = plan.event.slips if plan.event is not None else ()
    return last in slips[-1:] and row.slip_s > 0 and lost(plan, row)[0] == TOO_LATE


def span_end(plan: Plan, row: SlipRow, last: SlipRow) -> str:
    """What follows the first slip of a row that stands for several: ``to +10 min``, or ``and later`` where
    all after it are too late; empty where it stands for itself alone."""
    if all_too_late(plan, row, last):
        return "and later"
    return "" if last is row else f"to {slip_words(last)}"


def later_ways(plan: Plan, row: SlipRow, *, relay_s: float = 0.0) -> list[tuple[Means, datetime]]:
    """What still gives a slip after its printed row is lost, and until when, less the relay; empty where
    nothing does or it is not to be told."""
    if no_call(plan, row.slip_s) or row_verdict(plan, row)[0]:
        return []
    ends = [
        (means, words.time_limit(until - timedelta(seconds=relay_s), "latest"))
        for means, until in still(plan, row)
    ]
    return [
        (means, until)
        for n, (means, until) in enumerate(ends)
        if means != "as printed" and all(until > before for _, before in ends[:n])
    ]


def by_speed_until(plan: Plan, row: SlipRow, *, relay_s: float = 0.0) -> datetime | None:
    """Until when speed gives a slip that the hold can't, less the relay; None where nothing gives it, where
    it is not to be told, and where the hold gives it."""
    ways = [] if row.met else later_ways(plan, row, relay_s=relay_s)
    return ways[0][1] if ways else None


def short_of(row: SlipRow, means: Means = BY_SPEED) -> str:
    """``inside the tolerance`` where speed falls short of a slip by no more than that; else empty."""
    return INSIDE if means == BY_SPEED and row.speed_short_s > 0.0 else ""


def way_words(row: SlipRow, means: Means, clock: str) -> str:
    """``by speed to 12:37:22, inside the tolerance``."""
    return ", ".join(filter(None, (f"{means} to {clock}", short_of(row, means))))


def then_words(plan: Plan, row: SlipRow, clock: Callable[[datetime], str], *, relay_s: float = 0.0) -> str:
    """``worked again to 03:26:05``, ``worked again to 12:35:22, by speed to 12:37:18``; empty."""
    return ", ".join(
        way_words(row, means, clock(until)) for means, until in later_ways(plan, row, relay_s=relay_s)
    )


def in_two_by(row: SlipRow, clock: Callable[[datetime], str]) -> str:
    """``laps +2 min 10 s by 12:35:22, then FAST 10 s``: of a slip that is told in two calls; empty for any
    other."""
    if row.first_s is None or row.first_until is None:
        return ""
    return in_two_words(row.first_s, row.slip_s, clock(words.time_limit(row.first_until, "latest")))


def lost_words(plan: Plan) -> str:
    """``UNABLE, or in the hold one more lap, 4 min 26 s``: what is left of a slip that was told too late; no
    lap is offered beyond a limit."""
    return (
        f"UNABLE, or in the hold one more lap, {words.duration(plan.the_pass.hold.price_of_lap_s)}"
        if lap_offered(plan)
        else "UNABLE"
    )


def told_by_words(plan: Plan, row: SlipRow, at: datetime | None, clock: Callable[[datetime], str]) -> str:
    """The last moment to tell the flight of a slip that may be flown."""
    return (
        NO_CALL if no_call(plan, row.slip_s) else "" if at is None else clock(words.time_limit(at, "latest"))
    )
