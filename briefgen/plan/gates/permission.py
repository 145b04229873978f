"""Who has allowed it, and who else is there: the permission, other parties, other traffic, the ground
contact, the clocks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from typing import Literal

from briefgen.airmath.clocks import clock_changes, local_day, offset_at, offset_label
from briefgen.airmath.geodesy import distance_nm
from briefgen.core.diagnostics import KeyPath
from briefgen.plan.event.lost_contact import shared_mhz
from briefgen.plan.event.traffic import apart_ft, flight_there
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import (
    AFTER_THE_SORTIE,
    UNIT,
    About,
    against,
    at_least,
    at_most,
    elevation_of,
    if_named,
    limit_of,
    no_limit,
    not_after,
    not_before,
    not_checked,
    words,
)
from briefgen.plan.model import EventPlan, Gate
from briefgen.plan.route.air import position
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.clock import later, nearest_second
from briefgen.units.values import TOffset

TRAFFIC_APART_FT = 1000.0
HACK_S = 1.0


def permission_window(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The permission holds T over the whole accepted slip."""
    about = text("permission-from")
    last = text("permission-until")
    window = p.section.event.times.permission
    if window is None:
        need = limit_of(s, None, "permission_needed")
        why = (
            f"no permission with its times is given; it is needed ({need.source.words})"
            if need is not None
            else "no permission with its times is given"
        )
        yield not_checked(about, why, key=_part_of(p, "valid"))
        yield not_checked(last, why, key=_part_of(p, "valid"))
        return
    begins = not_before(about, later(p.true_time, -p.section.event.early_s), window.start)
    yield if_given(p, about, begins)
    yield if_given(p, last, not_after(last, later(p.true_time, p.section.event.late_s), window.end))


def if_given(p: EventPlan, about: About, gate: Gate) -> Gate:
    """A gate that a permission answers: one whose reference or authority is still to be written has not been
    given."""
    permission = p.section.event.written.permission
    for key in ("reference", "authority") if permission is not None else ():
        gate = if_named(about, gate, getattr(permission, key), _part_of(p, key))
    return gate


def _part_of(p: EventPlan, key: str) -> KeyPath:
    """A part of the permission; the permission where there is none."""
    event = p.section.event
    return event.key("permission", key) if event.written.permission is not None else event.key("permission")


def permission_requested(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The request went out as many days before as the regime asks for."""
    permission, limit = (
        p.section.event.written.permission,
        limit_of(s, s.mission.file.limits.request_days, "request_days"),
    )
    about = text("permission-requested").but(source=limit.source if limit is not None else UNIT)
    if permission is None or permission.requested is None:
        yield not_checked(about, "the date of the request isn't given", key=_part_of(p, "requested"))
        return
    days = float((s.mission.date - permission.requested).days)
    if days < 0:
        yield not_checked(about, AFTER_THE_SORTIE, key=_part_of(p, "requested"))
        return
    yield (
        no_limit(about, days, key=("limits", "request_days"))
        if limit is None
        else against(about, days, limit, worse="CAUTION")
    )


def airfield_and_crowd(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Take-off and landing are far enough from the crowd, where the regime has such a rule."""
    limit = limit_of(s, None, "airfield_from_crowd_nm")
    if limit is None:
        return
    away = distance_nm(s.mission.base.position, position(p.centre))
    about = text("airfield-from-crowd").but(source=limit.source)
    yield at_least(about, away, limit.value, worse="CAUTION")


# ---------------------------------------------------------------- who else


def parties_hold_time(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Every other party holds this T, and what it has promised covers it over the accepted slip. Of a pass
    whose T follows another's they hold that one's, unless one is recorded of it."""
    for i in range(len(p.parties)):
        who = p.section.event.key("parties", i, "who")
        for about, gate in _party(s, p, i):
            yield replace(if_named(about, gate, p.parties[i].who, who), party=i + 1)


def _party(s: Sortie, p: EventPlan, i: int) -> Iterator[tuple[About, Gate]]:
    recorded = p.section.number <= len(p.section.parties[i].acknowledged)
    if recorded or not p.section.follows:
        about = text("party-N", i + 1, who=p.parties[i].who).but(cause=p.parties[i].cause)
        yield about, _time_held(p, i, about)
    yield from _party_window(s, p, i)


def _time_held(p: EventPlan, i: int, about: About) -> Gate:
    party, of = p.parties[i], "" if p.section.number == 1 else " of this pass"
    if party.held is None:
        return not_checked(
            about,
            f"NOT ACKNOWLEDGED: no time over target{of} is recorded as held by {party.who}",
            key=p.section.event.key("parties", i, "acknowledged"),
        )
    gate = words(about, party.acknowledged, _clock(p, party.held), _clock(p, p.true_time))
    return if_named(
        about, gate, p.section.event.written.parties[i].contact, p.section.event.key("parties", i, "contact")
    )


def _party_window(s: Sortie, p: EventPlan, i: int) -> Iterator[tuple[About, Gate]]:
    """Times counted from T move with it; times of a clock do not, and have to hold over the slip."""
    typed, party = p.section.event.written.parties[i], p.parties[i]
    named = {"who": party.who, "what": party.what}
    first = text("party-N-from", i + 1, **named).but(cause=party.cause)
    last = text("party-N-until", i + 1, **named).but(cause=party.cause)
    if party.start is not None:
        slip = 0.0 if isinstance(typed.from_, TOffset) else p.section.event.early_s
        yield first, not_after(first, party.start, later(p.true_time, -slip))
    if party.end is not None:
        slip = 0.0 if isinstance(typed.to, TOffset) else p.section.event.late_s
        yield last, not_before(last, party.end, later(p.true_time, slip))


def other_traffic(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Everybody else who flies there is gone, not there yet, or at another height while the flight passes."""
    for i, traffic in enumerate(p.section.event.written.other_traffic):
        times, cause = p.section.event.times.other_traffic[i], p.section.event.key("other_traffic", i)
        about = text("traffic-N", i + 1, who=traffic.who).but(cause=cause)
        since, gone = _at_the_event(p, traffic.until, traffic.from_)
        if times.until is not None and times.until <= since:
            about = about.but(unit="")
            gate = words(about, True, f"gone by {_clock(p, times.until)}", f"gone by {_clock(p, since)}")
        elif times.start is not None and times.start >= gone:
            about = about.but(unit="")
            gate = words(about, True, f"from {_clock(p, times.start)}", f"not before {_clock(p, gone)}")
        elif traffic.level is None:
            gate = not_checked(
                about,
                "its heights aren't given, and its times overlap the pass or aren't given",
                key=(*cause, "level"),
            )
        else:
            gate = _height_apart(s, p, about, traffic.level)
        yield if_named(about, gate, traffic.who, (*cause, "who"))


def _at_the_event(p: EventPlan, until, start) -> tuple[datetime, datetime]:
    """When the flight is there; the slip counts against times of a clock, which do not move with T."""
    since, gone = flight_there(p)
    early = 0.0 if isinstance(until, TOffset) else p.section.event.early_s
    late = 0.0 if isinstance(start, TOffset) else p.section.event.late_s
    return later(since, -early), later(gone, late)


def _height_apart(s: Sortie, p: EventPlan, about: About, band) -> Gate:
    apart = apart_ft(s.mission, p, band)
    if apart is None:
        return not_checked(
            about,
            "its heights are above the ground, and the elevation under the pass isn't given",
            key=elevation_of(p.centre.id),
        )
    return at_least(about, apart, TRAFFIC_APART_FT, worse="FAIL" if apart <= 0 else "CAUTION")


def _clock(p: EventPlan, instant: datetime) -> str:
    """With its date where it isn't T's: a party that holds this very time of another day must not read like
    one that holds T."""
    instant = nearest_second(instant)
    return instant.strftime("%H:%M:%S Z" if instant.date() == p.true_time.date() else "%Y-%m-%d %H:%M:%S Z")


# ---------------------------------------------------------------- ground contact and clocks


def _of_contact(p: EventPlan, *key: str) -> KeyPath:
    return p.section.event.key("ground_contact", *key)


def ground_contact(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """A ground contact with a primary and a backup radio that are not one and the same."""
    ground = p.section.event.written.ground_contact
    about = text("ground-contact")
    missing = [key for key in ("primary", "backup") if getattr(ground, key, None) is None]
    if ground is None or missing:
        why = (
            "no ground contact is given"
            if ground is None
            else f"the ground contact has no {missing[0]} frequency"
        )
        yield not_checked(
            about, why, key=_of_contact(p, *missing[:1]) if ground is not None else _of_contact(p)
        )
        return
    mhz, two = shared_mhz(s.mission), "two frequencies"
    gate = words(about, mhz is None, two if mhz is None else f"both on {mhz} MHz", two)
    yield if_named(about, gate, ground.name, _of_contact(p, "name"))


def radio_check(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The ground contact has been heard before the flight is in the hold, and stands in place by then;
    whoever comes or is first heard at T or later hears nothing of the ceremony."""
    about = text("radio-check", there="the hold is entered" if p.hold is not None else "the IP")
    before = min(p.hold.arrival, p.hold.leave) if p.hold is not None else p.ip_time
    # the second that the clock prints for it: nothing hangs on the half one
    before = nearest_second(before)
    checked, in_place = p.section.event.times.radio_check, p.section.event.times.in_place
    first = before if checked is None else checked
    if in_place is not None and in_place > first and (checked is not None or _too_late(p, in_place)):
        title = "Ground contact in place before " + ("the IP" if p.hold is None else "the hold is entered")
        late = about.but(
            title=title if checked is None else "Ground contact in place before the radio check",
            cause=_of_contact(p, "in_place"),
            remedy="have the ground contact in place earlier, or the radio check later",
        )
        yield not_after(late, in_place, first, worse=_late_for(p, in_place, first))
    elif checked is None:
        key = (
            _of_contact(p)
            if p.section.event.written.ground_contact is None
            else _of_contact(p, "radio_check")
        )
        yield not_checked(about, "no time is given for the radio check with the ground contact", key=key)
    else:
        yield not_after(about, checked, before, worse=_late_for(p, checked))


def _too_late(p: EventPlan, instant: datetime) -> bool:
    return instant >= p.true_time


def _late_for(p: EventPlan, *instants: datetime) -> Literal["CAUTION", "FAIL"]:
    """What the gate reads where one of them is later than it should be: from T on nobody is there in time."""
    return "FAIL" if any(_too_late(p, instant) for instant in instants) else "CAUTION"


def time_hack(s: Sortie) -> Iterator[Gate]:
    """Watches are set to the second: a time check to the nearest quarter minute is not good enough (AIM
    4-2-12 e)."""
    hack = s.mission.file.ground_ops.time_hack
    if not s.passes:
        return
    about = text("time-hack")
    if hack is None or hack.to is None:
        key = ("ground_ops", "time_hack") if hack is None else ("ground_ops", "time_hack", "to")
        yield not_checked(about, "nobody has said to how many seconds the watches are set", key=key)
    else:
        yield if_named(
            about, at_most(about, hack.to, HACK_S), hack.source, ("ground_ops", "time_hack", "source")
        )


def clocks(s: Sortie) -> Iterator[Gate]:
    """One local clock all day for the base and every event, each known; else every time is spoken in
    Zulu."""
    events, at_sea = s.mission.events, s.mission.at_sea
    zones = tuple(dict.fromkeys((s.mission.base_zone, *(event.zone for event in events))))
    about = text("clocks").but(
        title="Local clock of the base"
        if not events
        else f"Local clocks of base and event{'s' if len(events) > 1 else ''}",
        cause=("places", at_sea[0], "time_zone") if at_sea else ("sortie", "date"),
        remedy="speak every time in Zulu" + (f" until the zone of {at_sea[0]} is given" if at_sea else ""),
    )
    offsets = dict.fromkeys(offset_label(offset_at(s.clock.takeoff, zone)) for zone in zones)
    changes = [zone for zone in zones if clock_changes(*local_day(s.mission.date, zone), zone)]
    parts = [" and ".join(offsets), "the clocks change on this day" if changes else ""]
    parts += [f"{id} lies at sea and borrows the other's clock" for id in at_sea]
    known = len(offsets) == 1 and not changes and not at_sea
    gate = words(about, known, ", and ".join(filter(None, parts)), "one, unchanged all day", worse="CAUTION")
    yield replace(gate, settled_by=about.cause) if at_sea else gate
