"""The ground contact's clock: one page for a phone without a network. Here is its data; its arithmetic is in
the scripts beside this file.

Instants are seconds after the ``origin`` (first passing the hold fix, without a hold the IP), so that page
and ``briefgen retime`` count alike.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from briefgen.airmath.authority import Authority
from briefgen.airmath.clocks import clock_changes, offset_at
from briefgen.airmath.hold import Racetrack
from briefgen.brief.wording.format import listed, time_limit, weekday, zone_letters, zone_words
from briefgen.brief.wording.lacks import lacks_words, unchecked_words
from briefgen.brief.wording.lost_contact import (
    given_up_words,
    lost_contact_does,
    lost_contact_words,
    no_cue_words,
    phone_rows,
    radio_rows,
)
from briefgen.brief.wording.passes import moved_with, next_name, pass_name
from briefgen.brief.wording.spoken import callers
from briefgen.brief.wording.wait_limits import go_home_words, unable_words
from briefgen.brief.wording.words import NOT_GIVEN, card_words
from briefgen.core.context import Context
from briefgen.core.diagnostics import Diagnostic
from briefgen.draw.typeset.bind import bind
from briefgen.plan.event.ceremony import script_parts
from briefgen.plan.event.hold import most_wait_s
from briefgen.plan.event.lost_contact import lost_contact_at, wait_end
from briefgen.plan.event.motion import Motion, motion_of
from briefgen.plan.event.schedule import schedule
from briefgen.plan.event.speed_alone import by_speed_s
from briefgen.plan.event.wait_limits import earliest_times
from briefgen.plan.event.waits import (
    accepted_s,
    holes,
    holes_to_next,
    latest_t,
    printed_slips_s,
    unknown_limits,
    wait_limits,
)
from briefgen.plan.model import EventPlan, Party
from briefgen.plan.one_pass import passes_over
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.clock import later
from briefgen.render.html.base import json_for_script, own_file, render_page
from briefgen.units.values import TOffset

if TYPE_CHECKING:
    from briefgen.mission.resolve.mission import Mission
    from briefgen.mission.resolve.sections import PassSection
    from briefgen.mission.schema.event import Event

NAME = "ground-clock.html"
HALF_DAY = timedelta(hours=12)
SCRIPTS = (
    "clock_hold.js",
    "clock_entry.js",
    "clock_verdict.js",
    "clock_words.js",
    "clock_ask.js",
    "clock_state.js",
    "clock_taps.js",
    "clock_shown.js",
    "clock_reach.js",
    "clock_others.js",
    "clock_set.js",
    "clock_page.js",
)


def ground_clock(plan: Plan, context: Context) -> tuple[list[tuple[str, bytes]], list[Diagnostic]]:
    """The page of an event with a ground contact, of several the one that ``context.part`` names; with a
    choice of its passes where there are several."""
    own = passes_over(plan, context.part)
    first = own[0].passes[0]
    values = {
        "stamp": context.stamp,
        "lacks": (*lacks_words(plan), unchecked_words(plan)),
        "data": json_for_script([clock_data(seen, context) for seen in own]),
        "style": own_file("clock.css"),
        "passes": [
            {"name": pass_name(seen.passes[0].section), "reach": reach_data(seen), "hash": f"#{n}"}
            for n, seen in enumerate(own, 1)
        ],
        "cues": bool(first.cues),
        "scripts": [own_file(name) for name in SCRIPTS],
    }
    page, found = render_page(NAME, values, folders=context.templates, fonts=context.fonts)
    name = f"ground-clock-{context.part}.html" if context.part else NAME
    return [(name, page)] if page is not None else [], found


def clock_data(plan: Plan, context: Context) -> dict[str, Any]:
    """Everything that the page knows, as plain data."""
    mission, event, motion, stamp = plan.mission, plan.event, motion_of(plan.passes[0]), context.stamp
    file = mission.file.event
    assert event is not None and file is not None, "a clock is made for an event with a ground contact"
    who, end = callers(mission), wait_end(plan)
    return {
        "mission": stamp.mission,
        "marking": stamp.marking,
        "fingerprint": stamp.fingerprint,
        "spoken": stamp.spoken,
        "flight": who.flight,
        "ground": who.ground,
        "event": file.name if event.section.among == 1 else f"{file.name}: {pass_name(event.section)}",
        "date": weekday(mission.date),
        "origin_ms": motion.origin.timestamp() * 1000.0,
        "zone": zone_data(event, mission),
        "name": pass_name(event.section),
        "follows": _follows(event),
        "true_time": motion.seconds(event.true_time),
        "set_time": motion.seconds(event.set_time),
        "relay_s": event.section.event.relay_s,
        "accept": _accepted(plan),
        "printed": list(printed_slips_s(plan)),
        "flying": flying_data(motion, event),
        "script": script_data(mission, motion),
        "cues": [_cue(cue, motion) for cue in event.cues],
        "contacts": [
            {
                "label": c.label,
                "at": motion.seconds(time_limit(c.at, "latest") if c.deadline else c.at),
                "say": c.say,
            }
            for c in schedule(plan)
        ],
        "abort": _abort(event, file),
        "radio": dict(radio_rows(card_words(plan))).get("Radio", NOT_GIVEN),
        "abort_backup": dict(radio_rows(card_words(plan))).get("Backup", NOT_GIVEN),
        "parties": [
            _party(party, given, plan) for party, given in zip(event.parties, file.parties, strict=True)
        ],
        "then": file.pass_.then,
        "later": [
            {"name": pass_name(to.chain.section), "tell": _whom(to.chain.section)}
            for to in plan.route.passes
            if to.chain.section.place > event.section.place
        ],
        "no_cue": {
            "then": event.section.no_cue,
            "words": no_cue_words(plan),
            "given_up": event.section.given_up,
            "given_up_words": given_up_words(plan),
            "to": next_name(plan),
        },
        "waits": waits_data(plan, motion),
        "home": None if end is None else motion.seconds(time_limit(end.at, "latest")),
        "home_then": None if end is None else end.then,
        "unheard": lost_contact_data(plan, motion),
    }


def _whom(section: PassSection) -> str:
    """Who is told that a later pass is not flown: ``Harbour tower, 123.400 MHz; Stage manager``."""
    parties = section.event.written.parties
    return "; ".join(", ".join(filter(None, (party.who, party.contact))) for party in parties)


def _party(party: Party, given: Any, plan: Plan) -> dict[str, Any]:
    """Who is told a new T, and what moves with it. ``words``: ``Harbour tower: airspace closed, 123.400 MHz,
    holds 03:30:02 Z``."""
    motion = motion_of(plan.passes[0])
    held = f"holds {card_words(plan).z(party.held)}" if party.held is not None else "holds no T"
    words = f"{party.who}: " + ", ".join(filter(None, (party.what, party.contact, held)))

    def time(at: datetime | None, typed: Any) -> dict[str, Any] | None:
        return None if at is None else {"at": motion.seconds(at), "moves": isinstance(typed, TOffset)}

    return {
        "who": party.who,
        "what": party.what,
        "contact": party.contact,
        "start": time(party.start, given.from_),
        "end": time(party.end, given.to),
        "held": None if party.held is None else motion.seconds(party.held),
        "words": words,
    }


def _follows(event: EventPlan) -> dict[str, Any] | None:
    """Why a pass is not moved by hand, and what to move, until that is flown, so long before it; None where
    it is."""
    leader = event.leader
    if leader is None:
        return None
    message, why, help = moved_with(event, leader)
    flown, why_flown, _ = moved_with(event, leader, flown=True)
    return {
        "after": (event.true_time - leader.true_time).total_seconds(),
        "words": f"{message}: {why}. {help[0].upper()}{help[1:]}.",
        "flown": f"{flown}: {why_flown}.",
    }


def _accepted(plan: Plan) -> dict[str, float] | None:
    span = accepted_s(plan)
    return None if span is None else {"early": span[0], "late": span[1]}


def waits_data(plan: Plan, motion: Motion) -> dict[str, Any]:
    """The latest true time by each known reason, the earliest first, as the ground contact's card prints it,
    the earliest true time by each known reason, what could not be judged, in words; ``latest`` within all of
    them that can be flown, None where that isn't known, the ``holes`` of the accepted slip that nobody can
    fly, and what lies ``between`` two waits of the next pass, with its first and last whole second that
    nothing else is against."""
    limits = [
        {
            "at": motion.seconds(limit.latest_t),
            "because": limit.because,
            "loses": limit.loses is not None,
        }
        for limit in wait_limits(plan)
    ]
    earliest = [
        {"at": motion.seconds(limit.earliest_t), "because": limit.past} for limit in earliest_times(plan)
    ]
    last = latest_t(plan)
    latest = None if last is None else {"at": motion.seconds(last.latest_t), "because": last.because}
    unable = [[motion.seconds(first), motion.seconds(end)] for first, end in holes(plan)]
    between = [
        {
            "at": motion.seconds(hole.after_t),
            "to": motion.seconds(hole.before_t),
            "first": motion.seconds(later(plan.the_pass.true_time, first_s)),
            "last": motion.seconds(later(plan.the_pass.true_time, last_s)),
            "because": hole.past,
            "unable": unable_words(hole),
        }
        for first_s, last_s, hole in holes_to_next(plan)
    ]
    return {
        "limits": limits,
        "earliest": earliest,
        "unknown": listed(unknown_limits(plan)),
        "latest": latest,
        "holes": unable,
        "between": between,
    }


def lost_contact_data(plan: Plan, motion: Motion) -> dict[str, Any] | None:
    """When the flight acts by itself, and what it does; None where that has no time that moves with the
    hold."""
    at, does = lost_contact_at(plan.mission, plan.event), lost_contact_does(card_words(plan))
    return None if at is None or does is None else {"at": motion.seconds(at), "does": does}


def reach_data(plan: Plan) -> dict[str, Any]:
    """``rows``: radio, telephones, the go-home time, each with its name; ``unheard``: what the flight does by
    itself, as planned."""
    w = card_words(plan)
    home = go_home_words(plan, w.by)
    rows = [
        *radio_rows(w),
        *phone_rows(w),
        *([(home[0], ": ".join(home[1:]))] if home is not None else []),
    ]
    supervisor, event = plan.mission.file.sortie.supervisor, plan.mission.file.event
    abort = event.pass_.abort if event is not None else None
    rows += [("Abort may be said by", abort.said_by)] if abort is not None and abort.said_by else []
    roles = {supervisor.name: f"Supervisor, {supervisor.name}"} if supervisor is not None else {}
    return {
        "rows": [(roles.get(label, label), bind(reach)) for label, reach in rows],
        "unheard": bind(lost_contact_words(w)),
    }


def zone_data(event: EventPlan, mission: Mission) -> dict[str, Any]:
    """The event's clock at T, and its ``spans`` for half a day on each side of it: from which instant on
    which offset, one where it doesn't change."""
    zone, t = mission.home_zone, event.true_time

    def span(at: datetime) -> dict[str, Any]:
        return {
            "from_ms": at.timestamp() * 1000.0,
            "offset_s": offset_at(at, zone),
            "words": zone_words(at, zone),
            "letters": zone_letters(at, zone),
        }

    spans = [
        span(t - HALF_DAY),
        *(span(change.instant) for change in clock_changes(t - HALF_DAY, t + HALF_DAY, zone)),
    ]
    return {"offset_s": offset_at(t, zone), "words": zone_words(t, zone), "spans": spans}


def _cue(cue: Any, motion: Motion) -> dict[str, Any]:
    marks = [{"id": id, "at": motion.seconds(at)} for id, at in cue.marks]
    return {"id": cue.id, "says": cue.says, "at": motion.seconds(cue.at), "marks": marks}


def _abort(event: EventPlan, file: Event) -> dict[str, Any] | None:
    given = file.pass_.abort
    return (
        None
        if given is None or event.abort is None
        else {"words": given.words, "said_by": given.said_by or "", "action": given.action or ""}
    )


def script_data(mission: Mission, motion: Motion) -> dict[str, Any] | None:
    """The parts of the script up to T; None when T is an explicit time."""
    parts = script_parts(mission.passes[0])
    if not parts:
        return None
    begins = motion.seconds(mission.times.cues[parts[0].cue])
    return {
        "begins": begins,
        "parts": [
            {"cue": p.cue, "lasts": p.lasts_s, "spread": p.spread_s, "marks": [list(m) for m in p.marks]}
            for p in parts
        ],
    }


def flying_data(motion: Motion, event: EventPlan) -> dict[str, Any]:
    """What the flight flies as planned, as clock_verdict.js takes it; the page works the laps out from the
    wait."""
    chain, hold, speeds = motion.chain, motion.hold, motion.chain.window
    way = motion.chain.inbound
    wait, left = motion.flown, by_speed_s(chain) if chain.speeds_known else Authority(0.0, 0.0)
    return {
        "track": None if motion.shape is None else track_data(motion.shape.track),
        "wait": None
        if wait is None
        else {"wait": wait.wait_s, "arrival": wait.arrival_heading_true_deg, "leg": wait.leg_s},
        "way": {
            "legNm": way.leg_nm,
            "holdKt": way.hold_kt,
            "distanceNm": way.distance_nm,
            "speedKt": way.speed_kt,
            "pushToKt": way.push_to_kt,
            "pushNm": way.push_nm,
            "rates": {"up": way.rates.accelerate_kt_s, "down": way.rates.decelerate_kt_s},
        },
        "window": {"minimum": speeds.minimum_kt, "maximum": speeds.maximum_kt},
        "leave": hold.wait_s if hold is not None else 0.0,
        "longest": most_wait_s(hold) if hold is not None else None,
        "abortOnly": event.section.abort_only_s,
        "deadband": event.section.deadband_s,
        "tolerance": event.tolerance_s or 0.0,
        "since": None,
        "apart": 0.0,
        "speedsKnown": chain.speeds_known,
        "flyable": hold is None or hold.flyable,
        "hasHold": chain.leave_hold is not None,
        "onceHeard": {"early": left.early_s, "late": left.late_s},
    }


def track_data(track: Racetrack) -> dict[str, float]:
    """A racetrack as clock_hold.js takes it."""
    return {
        "course": track.inbound_course_true_deg,
        "inboundHeading": track.inbound_heading_true_deg,
        "gs": track.inbound_gs_kt,
        "side": track.side,
        "tas": track.tas_kt,
        "rate": track.turn_rate_deg_s,
        "radius": track.turn_radius_nm,
        "alongKt": track.along_kt,
        "acrossKt": track.across_kt,
    }
