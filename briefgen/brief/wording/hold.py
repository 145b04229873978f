"""How the laps of a hold are flown, in words: which legs and headings are the planned ones, and which a
change of T brings."""

from __future__ import annotations

from collections.abc import Callable

from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import course_words
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.model import EventPlan, HoldPlan, SlipRow


def first_heading(mission: Mission, hold: HoldPlan) -> str:
    """The outbound heading of the first lap, which turns from the heading of arrival; empty where it reads
    like that of the laps after it."""
    if len(hold.laps) < 2:
        return ""
    first, later = (
        course_words(mission, hold.fix, deg)
        for deg in (hold.laps[0].outbound_heading_true_deg, hold.outbound_heading_true_deg)
    )
    return first if first != later else ""


def outbound_heading(mission: Mission, hold: HoldPlan) -> str:
    """``217 M``, or ``227 M in lap 1, then 217 M``."""
    first, later = (
        first_heading(mission, hold),
        course_words(mission, hold.fix, hold.outbound_heading_true_deg),
    )
    return f"{first} in lap 1, then {later}" if first else later


def entry_words(hold: HoldPlan) -> str:
    """``Lap 1: parallel entry, times about; past the fix after it 10 s late: last out 5 s less,
    early more``; empty for a direct arrival."""
    if not hold.entry:
        return ""
    if hold.leg_per_late_s is None:
        return f"Lap 1 would be the {hold.entry} entry, its times about"
    leg = words.duration(10.0 * hold.leg_per_late_s)
    return (
        f"Lap 1: {hold.entry} entry, times about; past the fix after it 10 s late: last out {leg} less,"
        " early more"
    )


def outbound_legs(hold: HoldPlan, leg: Callable[[float], str], *, each: str = " each lap") -> str:
    """How long each lap flies out as planned: ``1:26 each lap``, or ``1:00, then 1:26`` where lap 1 is an
    entry, whose leg is the briefed one whatever the wait; empty without laps. ``each``: what follows a leg
    that all laps share."""
    if hold.outbound_leg_s is None:
        return ""
    later, first = leg(hold.outbound_leg_s), leg(_first_leg_s(hold))
    return f"{later}{each}" if first == later else f"{first}, then {later}"


def _first_leg_s(hold: HoldPlan) -> float:
    """The outbound leg of lap 1, by its own instants."""
    return (hold.laps[0].inbound_turn - hold.laps[0].outbound).total_seconds()


def row_laps(hold: HoldPlan, row: SlipRow, leg: Callable[[float], str], *, of: str = " of ") -> str:
    """The laps of a slip that fly the outbound leg behind them, the last ones: ``2 of 2 1:00``, ``1 of 3
    0:37``, ``2 of 4 0:30``. An entry keeps its own leg, so that all after it are ``2 of 3 1:26`` too. ``of``:
    what stands between the two numbers where a column is narrow."""
    if row.laps is None or row.outbound_leg_s is None:
        return ""
    changed, out = row.laps - (row.unchanged_laps or 0), leg(row.outbound_leg_s)
    if changed in (0, row.laps):
        entry = row.laps > 1 and any(lap.entry for lap in hold.laps) and leg(_first_leg_s(hold)) != out
        changed = row.laps - 1 if entry else row.laps
    return f"{changed}{of}{row.laps} {out}"


def row_heading(mission: Mission, event: EventPlan, row: SlipRow) -> str:
    """The outbound headings of the laps that a slip changes: ``206 M``, or ``313 M, then 309 M`` where the
    first of them has its own."""
    reads = [course_words(mission, event.hold.fix, deg) for deg in row.outbound_headings_true_deg]
    return ", then ".join(dict.fromkeys((*reads[:1], *reads[-1:])))
