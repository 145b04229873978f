"""What cards and slides say of how long the event may wait, and of how early T may be."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from itertools import groupby
from typing import Literal

from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NOT_CHECKED
from briefgen.plan.event.slip_reach import accepted_holes_s
from briefgen.plan.event.waits import accepted_alike, latest_t, speed_unknown, wait_limits
from briefgen.plan.fuel.flight import hold_limit_s, slip_limit_s
from briefgen.plan.model import Means, SlipRow
from briefgen.plan.sortie import Plan

Beyond = Literal["TOO LATE", "TOO EARLY", ""]
TOO_LATE: Beyond = "TOO LATE"
TOO_EARLY: Beyond = "TOO EARLY"
UNABLE = "UNABLE"
NO_CALL = "no call"
BY_SPEED: Means = "by speed"


def holes(plan: Plan) -> tuple[tuple[datetime, datetime], ...]:
    """The true times inside the accepted slip that nobody can fly: first and last whole second of each
    stretch."""
    file = plan.mission.file.event
    found = (
        accepted_holes_s(plan.event, file.accept_slip, file.pass_.deadband or 0.0)
        if plan.event is not None
        else ()
    )
    return tuple(
        (plan.event.true_time + timedelta(seconds=first), plan.event.true_time + timedelta(seconds=last))
        for first, last in found
    )


def holes_words(plan: Plan, clock: Callable[[datetime], str]) -> str:
    """``UNABLE to fly T 05:21:19 to 05:24:00.``; empty where every accepted slip can be flown."""
    found = [f"{clock(first)} to {clock(last)}" for first, last in holes(plan)]
    return f"UNABLE to fly T {words.listed(found)}." if found else ""


def unknown_limits(plan: Plan) -> tuple[str, ...]:
    """What could not be judged."""
    mission = plan.mission
    gaps = []
    if plan.event is not None and (
        plan.fuel is None
        or (hold_limit_s if plan.event.hold is not None else slip_limit_s)(plan.fuel) is None
    ):
        gaps.append("fuel")
    if mission.times.permission is None:
        gaps.append("permission")
    if speed_unknown(plan):
        gaps.append("speed")
    return tuple(gaps)


def accepted_s(plan: Plan) -> tuple[float, float] | None:
    """Seconds by which T may be earlier and later than planned: what the flight accepts, narrowed to what is
    approved; None where neither is known. Below zero: T itself lies outside."""
    slip, approved = plan.mission.file.event.accept_slip, plan.approved
    spans = [] if slip is None else [(slip.early, slip.late)]
    if approved is not None:
        time = plan.event.true_time
        spans.append(((time - approved.earliest).total_seconds(), (approved.latest - time).total_seconds()))
    return (min(early for early, _ in spans), min(late for _, late in spans)) if spans else None


def no_call(plan: Plan, slip_s: float) -> bool:
    """Whether a slip is below the dead-band: nobody calls it, and T stays as it is held."""
    return slip_s == 0 or abs(slip_s) < (plan.mission.file.event.pass_.deadband or 0.0)


def earliest_times(plan: Plan) -> Iterator[tuple[datetime, str]]:
    """The earliest true time by each reason, in words."""
    if plan.event is None:
        return
    slip, permission = plan.mission.file.event.accept_slip, plan.mission.times.permission
    if slip is not None:
        yield plan.event.true_time - timedelta(seconds=slip.early), "earlier than the flight accepts"
    if plan.approved is not None and not accepted_alike(
        None if slip is None else slip.early,
        (plan.event.true_time - plan.approved.earliest).total_seconds(),
    ):
        yield plan.approved.earliest, "earlier than approved, which the supervisor must be asked about"
    if permission is not None:
        yield permission.start, "before the permission"


def verdict(plan: Plan, true_time: datetime) -> tuple[Beyond, str]:
    """``TOO LATE`` or ``TOO EARLY`` for a true time outside of what the event may wait for and the flight
    accepts, with the first reason; both empty when none is known."""
    late = next(
        (limit.past or limit.because for limit in wait_limits(plan) if limit.latest_t < true_time), ""
    )
    early = (
        ""
        if late
        else next((because for earliest, because in earliest_times(plan) if true_time < earliest), "")
    )
    return (TOO_LATE if late else TOO_EARLY if early else "", late or early)


def row_verdict(plan: Plan, row: SlipRow) -> tuple[Beyond, str]:
    """The same of a row of slips; below the dead-band T stays as it is held."""
    return verdict(plan, plan.event.true_time if no_call(plan, row.slip_s) else row.true_time)


def lost(plan: Plan, row: SlipRow) -> tuple[str, str]:
    """``UNABLE``, ``TOO LATE`` or ``TOO EARLY`` for a printed slip that is not flown, with the reason; both
    empty where it can be, be it by speed alone."""
    if by_speed_until(plan, row) is not None:
        return "", ""
    if not row.met and not (row.slip_s and no_call(plan, row.slip_s)):
        return UNABLE, row.reason
    return row_verdict(plan, row)


def slip_spans(plan: Plan) -> list[tuple[SlipRow, SlipRow]]:
    """First and last of the printed slips that one row stands for: neighbours that one reason rules out share
    theirs; one that can be flown, or still be met in another way, and the planned one have their own."""

    def shared(row: SlipRow) -> float | tuple[str, str]:
        why = lost(plan, row)
        return why if why[0] and row.slip_s and not later_ways(plan, row) else row.slip_s

    slips = plan.event.slips if plan.event is not None else ()
    groups = [list(rows) for _, rows in groupby(slips, key=shared)]
    return [(rows[0], rows[-1]) for rows in groups]


def beyond(plan: Plan, true_time: datetime) -> str:
    """The first reason against this true time, be it too late or too early; empty when none is known."""
    return verdict(plan, true_time)[1]


def latest_words(plan: Plan, by_z: Callable[[datetime], str]) -> str:
    """``03:40:02 Z (slip accepted by the flight); fuel NOT CHECKED``: the latest that can be flown, what ends
    it, and what could not be judged."""
    last, gaps = latest_t(plan), unknown_limits(plan)
    known = f"{by_z(last.latest_t)} ({last.because})" if last is not None else NOT_CHECKED
    return known + (f"; {words.listed(gaps)} {NOT_CHECKED}" if gaps else "")


def latest_said(plan: Plan, by_z: Callable[[datetime], str]) -> str:
    """What is said of T: ``can't be later than 03:40:02 Z (slip accepted by the flight)``, or ``is 46 s too
    late (fuel of ship 2 in the hold)``; both with what could not be judged."""
    limits = wait_limits(plan)
    if not limits or limits[0].latest_t >= plan.event.true_time:
        return f"can't be later than {latest_words(plan, by_z)}"
    late_s = (
        words.rounded_instant(plan.event.true_time) - words.time_limit(limits[0].latest_t, "latest")
    ).total_seconds()
    gaps = unknown_limits(plan)
    return f"is {words.duration(late_s)} too late ({limits[0].because})" + (
        f"; {words.listed(gaps)} {NOT_CHECKED}" if gaps else ""
    )


def latest_in_short(plan: Plan, by_z: Callable[[datetime], str], *, because: bool = True) -> str:
    """``no T after 03:40:02 Z (slip accepted)``: until when a pass is still possible, for one who waits in
    the hold; ``because``: with the reason."""
    last = latest_t(plan)
    if last is None:
        return f"latest T {NOT_CHECKED}"
    return f"no T after {by_z(last.latest_t)}" + (f" ({last.short})" if because else "")


def too_late_note(plan: Plan) -> str:
    """``TOO LATE from +3 min on: fuel of ship 2 in the hold.`` under a table of slips, with the same for what
    is too early; empty where every row that can be flown may be waited for."""
    rows = [
        (row, *row_verdict(plan, row))
        for row in (plan.event.slips if plan.event is not None else ())
        if row.met
    ]
    early = [
        f"{TOO_EARLY} to {slip_words(row)}: {because}." for row, said, because in rows if said == TOO_EARLY
    ]
    late = [
        f"{TOO_LATE} from {slip_words(row)} on: {because}." for row, said, because in rows if said == TOO_LATE
    ]
    return " ".join((*early[-1:], *late[:1]))


def slip_words(row: SlipRow) -> str:
    """``+3 min``, ``planned``."""
    return words.signed_duration(row.slip_s) if row.slip_s else "planned"


def later_ways(plan: Plan, row: SlipRow, *, relay_s: float = 0.0) -> list[tuple[Means, datetime]]:
    """What still gives a slip after its printed row is lost, and until when, less the relay; empty where
    nothing does or it is not to be told."""
    if no_call(plan, row.slip_s) or row_verdict(plan, row)[0]:
        return []
    ends = [
        (means, words.time_limit(until - timedelta(seconds=relay_s), "latest")) for means, until in row.still
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


def then_words(plan: Plan, row: SlipRow, clock: Callable[[datetime], str], *, relay_s: float = 0.0) -> str:
    """``worked again to 03:26:05``, ``worked again to 12:35:22, by speed to 12:37:18``; empty."""
    return ", ".join(f"{means} to {clock(until)}" for means, until in later_ways(plan, row, relay_s=relay_s))


def lost_words(plan: Plan) -> str:
    """``one more lap costs 4 min 26 s, or UNABLE``: what is left of a slip that was told too late; no lap is
    offered beyond a limit."""
    return (
        f"one more lap costs {words.duration(plan.event.hold.price_of_lap_s)}, or UNABLE"
        if lap_offered(plan)
        else "UNABLE"
    )


def lap_offered(plan: Plan) -> bool:
    """Whether one more lap can be flown and leaves T within every limit."""
    price = plan.event.hold.price_of_lap_s if plan.event.hold is not None else None
    return price is not None and not beyond(plan, plan.event.true_time + timedelta(seconds=price))


def told_by_words(plan: Plan, row: SlipRow, at: datetime | None, clock: Callable[[datetime], str]) -> str:
    """The last moment to tell the flight of a slip that may be flown."""
    return (
        NO_CALL if no_call(plan, row.slip_s) else "" if at is None else clock(words.time_limit(at, "latest"))
    )
