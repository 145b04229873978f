"""Can the slip that the mission accepts be flown: its ends, and all between them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from math import ceil, hypot

from briefgen.mission.schema.event import AcceptSlip
from briefgen.plan.event.ceremony import script_parts
from briefgen.plan.event.hold import is_direct, turned_the_other_way
from briefgen.plan.event.next_hold import LimitedBy, early_for_next, holes_for_next
from briefgen.plan.event.slip_reach import accepted_holes_s, reach_of_laps_s, reach_s, within
from briefgen.plan.event.speed_alone import by_speed_s, faster_than_push, speed_once_heard_kt
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.timing import if_held, relayed, speeds_key
from briefgen.plan.gates.verdicts import (
    SUMS,
    About,
    at_least,
    at_most,
    no_limit,
    not_checked,
    words,
)
from briefgen.plan.model import EventPlan, Gate, Mend
from briefgen.plan.sortie import Sortie

MORE_ROOM: dict[LimitedBy, str] = {
    "no hold": "a hold",
    "maximum": "a longer maximum hold",
    "fuel": "more fuel, or a hold at a level that takes less",
}
SPREADS = 2.0  # standard deviations: as for an overdue cue, our default


def accepted_slip(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The ends of the slip that the mission accepts: late within the hold's maximum, early within the
    shortest flyable hold; without a hold both within what speed gives once the cue is heard."""
    if p.section.event.written.accept_slip is not None and not p.section.follows:
        yield from _by_speed(s, p) if p.hold is None else _in_hold(s, p)


def _in_hold(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    hold = p.hold
    late = text("slip-late")
    early = text("slip-early")
    value = hold.wait_s + p.section.event.late_s
    yield (
        no_limit(late, value, key=(*hold.cause, "maximum"))
        if hold.maximum_s is None
        else if_held(s, p, late, at_most(late, value, hold.maximum_s))
    )
    left = hold.wait_s - p.section.event.early_s
    yield (
        not_checked(
            early, "no hold of at least the minimum can be flown", value=left, key=(*hold.cause, "minimum")
        )
        if hold.shortest_s is None
        else at_least(early, left, hold.shortest_s)
    )


def _by_speed(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Without a hold T moves by speed alone; a slip of nothing asks nothing of it."""
    left = by_speed_s(p.chain)
    for id, title, asked_s, gives_s in (
        (
            "slip-late",
            "Accepted late slip by speed alone, without a hold",
            p.section.event.late_s,
            left.late_s,
        ),
        (
            "slip-early",
            "Accepted early slip by speed alone, without a hold",
            p.section.event.early_s,
            left.early_s,
        ),
    ):
        about = text(id).but(title=title, remedy="accept less slip, or plan a hold", source=SUMS)
        if asked_s and not p.speeds_known:
            why = "how fast the flight accelerates, its slowest or its fastest speed isn't given"
            yield not_checked(about, why, value=asked_s, key=speeds_key(s, p))
        elif asked_s:
            gate = at_most(about, asked_s, gives_s)
            yield relayed(p, about, _fuelled(p, about, gate, -asked_s) if id == "slip-early" else gate)


def _fuelled(p: EventPlan, about: About, gate: Gate, slip_s: float) -> Gate:
    """The gate of a slip that is flown by speed: faster than the push-up no fuel flow is typed for it."""
    speed_kt = speed_once_heard_kt(p.chain, slip_s)
    if gate.verdict != "PASS" or speed_kt is None or not faster_than_push(p.chain, speed_kt):
        return gate
    key, needed = p.section.key("push_up_to"), f"{ceil(speed_kt):.0f} KGS"
    why = (
        f"at {needed}, faster than the {p.chain.push_to_kt:.0f} KGS up to which a fuel flow is given: its"
        " fuel isn't known"
    )
    return not_checked(about.but(mends=(Mend(key, needed),)), why, value=gate.value, key=key)


def holes(_: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Every T inside the accepted slip can be flown, by whole laps or by speed after leave-hold, with a fuel
    flow for it. None without a hold, whose ends say it all."""
    accepted = p.section.event.written.accept_slip
    if p.section.follows or accepted is None or p.hold is None or not p.hold.flyable:
        return
    if not (accepted.early or accepted.late):
        return
    found = accepted_holes_s(p, accepted, p.section.deadband_s)
    about = _turn_instead(p, accepted, text("slip-holes")) if found else text("slip-holes")
    said = f"no T {_stretches(p, found)}" if found else "every one"
    gate = words(about, not found, said, "every one", worse="CAUTION")
    laps = replace(p, reach_s=reach_of_laps_s(p.hold, p.shape))
    of_laps = accepted_holes_s(laps, accepted, p.section.deadband_s)
    by_speed = of_laps != found and not found
    earliest = float(min((low for low, _ in of_laps), default=0))
    yield relayed(p, about, _fuelled(p, about, gate, earliest)) if by_speed else gate


def _turn_instead(p: EventPlan, accepted: AcceptSlip, about: About) -> About:
    """Turning the other way in the hold where that leaves no hole in the accepted slip, and no entry that is
    not there now."""
    hold, shape = p.hold, p.shape
    assert hold is not None and shape is not None, "only a hold that is flown has holes"
    other = turned_the_other_way(shape, hold)
    wait = replace(hold, shortest_s=other.shortest_s, wait_s=hold.left_s, taken_up_s=0.0)
    turned = replace(p, hold=wait, shape=other, reach_s=reach_s(p.chain, wait, other))
    flown = other.shortest_s is not None and other.shortest_s <= wait.wait_s - accepted.early
    if not flown or not within(turned, 0.0) or (not hold.entry and not is_direct(other)):
        return about
    if accepted_holes_s(turned, accepted, p.section.deadband_s):
        return about
    way = other.track.turns
    mend = Mend((*hold.cause, "turns"), way)
    return about.but(remedy=f"turn {way} in the hold, or {about.remedy}", mends=(mend,))


def script_spread(_: Sortie, p: EventPlan) -> Iterator[Gate]:
    """What the script does to T, two standard deviations before anything of it is heard, is accepted as slip,
    early and late. None where T hangs on no cue or no slip is accepted. What is known of the spread may be
    too much without the rest."""
    accepted, parts = p.section.event.written.accept_slip, script_parts(p.section)
    if p.section.follows or accepted is None or not parts:
        return
    unknown = next((part.cue for part in parts if part.spread_s is None), None)
    spread_s = SPREADS * hypot(*(part.spread_s or 0.0 for part in parts))
    for way, limit_s in (("early", accepted.early), ("late", accepted.late)):
        about = text(f"slip-spread-{way}").but(cause=p.section.event.key("accept_slip", way))
        if unknown is not None and spread_s <= limit_s:
            key = p.section.event.key("script", unknown, "spread")
            yield not_checked(about, f"the spread of {unknown} isn't given", key=key)
        else:
            yield at_most(about, spread_s, limit_s, worse="CAUTION")


def next_pass(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The next pass whose T stays where it is gives the accepted late slip of this one out of its wait, and
    takes up the early one in it, as far as its hold may last; without a hold it gives and takes up none. A
    pass whose T follows slips with the one before it."""
    kept, event = p.next_fixed, p.section.event
    if kept is None or p.section.follows:
        return
    early, name = early_for_next(s, p), kept.section.name
    holes = tuple(holes_for_next(kept))
    longer = "a longer hold" if kept.hold is not None else "a hold"
    room = longer if early is None else MORE_ROOM[early.by]
    for about, way, asked_s, gives_s, begin_s in (
        (
            text("slip-next", next=name, longer=longer),
            "late",
            event.late_s,
            kept.spare_s,
            [low for low, _ in holes],
        ),
        (
            text("slip-next-early", next=name, longer=room),
            "early",
            event.early_s,
            None if early is None else early.seconds,
            [-high for _, high in holes],
        ),
    ):
        room_s = _before_hole(gives_s, begin_s, asked_s)
        if not asked_s or room_s is None:
            continue
        own = about.but(cause=event.key("accept_slip", way))
        if kept.goes_first:
            more = room if way == "early" else longer
            own = own.but(remedy=f"accept less slip, or give {name}, which goes first, {more}")
        yield at_most(own, asked_s, room_s, worse="CAUTION")


def _before_hole(gives_s: float | None, begin_s: Iterable[float], asked_s: float) -> float | None:
    """What the next wait gives; no further than where the first wait begins that it can't fly, where that is
    asked."""
    first_s = min((s for s in begin_s if 0.0 <= s < asked_s), default=None)
    return gives_s if first_s is None or (gives_s is not None and gives_s <= first_s) else first_s


def _stretches(event: EventPlan, found: Sequence[tuple[int, int]]) -> str:
    return ", ".join(
        f"{_z(event.true_time, first)} to {_z(event.true_time, last)} Z" for first, last in found
    )


def _z(true_time: datetime, slip_s: int) -> str:
    at = true_time + timedelta(seconds=slip_s)
    return at.strftime("%H:%M:%S" if at.date() == true_time.date() else "%Y-%m-%d %H:%M:%S")
