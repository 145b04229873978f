"""Time control and the ceremony: true and set time, push-up, what can still be changed, what is said."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from briefgen.airmath.speed_change import Rates, change_distance_nm, change_time_s
from briefgen.brief.wording import format as words
from briefgen.brief.wording.lost_contact import no_cue_words
from briefgen.brief.wording.speed_span import reach_s
from briefgen.brief.wording.spoken import Call, blank_change, callers
from briefgen.brief.wording.wait_limits import hold_lost_words
from briefgen.brief.wording.words import Words
from briefgen.plan.event.schedule import schedule
from briefgen.plan.event.speed_alone import told_then
from briefgen.plan.event.waits import TOO_LATE, beyond, hold_lost, lap_offered, no_call, verdict
from briefgen.plan.model import Authority, CueCheck, EventPlan


def push_values(w: Words) -> dict[str, Any] | None:
    """``push``: where the flight accelerates, and the sum behind it; None where nothing is made up."""
    event = w.plan.event
    if event is None or event.push is None:
        return None
    push = event.push
    return {
        "of_first": event.section.place == 1,
        "to_go": words.distance(push.to_go_nm),
        "at": w.z(push.at),
        "after_ip": words.duration(words.between_s(event.ip_time, push.at)),
        "after_ip_nm": words.distance(push.after_ip_nm),
        "to": words.speed_kt(push.reached_kt, "KGS"),
        "rate": words.acceleration(push.acceleration_kt_s),
        "t_minus": words.t_offset(words.between_s(event.true_time, push.at)),
        "sums": _push_sums(w, event),
    }


def _push_sums(w: Words, event: EventPlan) -> list[str]:
    """IP time, then the seconds that each part of the push-up gains."""
    push, v1 = event.push, event.run_in_kt
    assert push is not None
    v2, rates = push.reached_kt, Rates(push.acceleration_kt_s, push.acceleration_kt_s)
    speeding_s, speeding_nm = change_time_s(v1, v2, rates), change_distance_nm(v1, v2, rates)
    steady_nm = push.to_go_nm - speeding_nm
    first_s, second_s = 3600 * speeding_nm / v1 - speeding_s, 3600 * steady_nm * (1 / v1 - 1 / v2)
    steady_run_s = words.between_s(event.ip_time, event.set_time)
    return [
        (
            f"{words.distance(event.run_in.distance_nm, 2)} at {words.speed_kt(v1, 'KGS')} take"
            f" {words.duration(steady_run_s)}; IP at T - {words.duration(steady_run_s)} +"
            f" {words.duration(event.late_bias_s)} = {w.z(event.ip_time)}"
        ),
        (
            f"From {words.speed_kt(v1, 'KGS')} to {words.speed_kt(v2, 'KGS')} at"
            f" {words.acceleration(push.acceleration_kt_s)}: {words.duration(speeding_s)} over"
            f" {words.distance(speeding_nm, 2)}, which gains {words.signed_seconds(first_s, 1)}"
        ),
        (
            f"Then {words.distance(steady_nm, 2)} at {words.speed_kt(v2, 'KGS')} instead of"
            f" {words.speed_kt(v1, 'KGS')}, which gains {words.signed_seconds(second_s, 1)}"
        ),
        (
            f"Together {words.signed_seconds(first_s + second_s, 1)} over {words.distance(push.to_go_nm, 3)}:"
            f" the late bias of {words.duration(event.late_bias_s)}"
        ),
    ]


def slip_values(w: Words) -> dict[str, Any] | None:
    """``slips``: what slips can be met, and when the flight must have been told; None without a hold, and
    where T moves with that of another pass."""
    event = w.plan.event
    if event is None or not event.slips or event.leader is not None:
        return None
    moves = [
        row.slip_s
        for row in event.slips
        if row.met and not no_call(w.plan, row.slip_s) and not beyond(w.plan, row.true_time)
    ]
    accepted = w.mission.the_event.accept_slip
    held = [] if beyond(w.plan, event.true_time) else [0.0]
    ends = [words.signed_duration(pick(moves + held)) for pick in (min, max)] if moves else []
    return {
        "any": bool(moves),
        "main": _main_fact(w, event),
        "range": (ends[0] if len(set(ends)) == 1 else f"from {ends[0]} to {ends[1]}") if ends else None,
        "too_late": verdict(w.plan, event.true_time)[0] == TOO_LATE,
        "accepted": (
            f"{words.duration(accepted.early)} early to {words.duration(accepted.late)} late"
            f"{_approved(w, event)}"
            if accepted
            else None
        ),
        "relay": (
            words.duration(w.mission.the_event.relay_time)
            if w.mission.the_event.relay_time is not None
            else None
        ),
        "unmet": [f"{words.signed_duration(row.slip_s)}: {row.reason}" for row in event.slips if not row.met],
    }


def _approved(w: Words, event: EventPlan) -> str:
    """``; approved is T 12:29:30 to 12:35:00 Z``; empty without an approval that covers the plan."""
    approved = w.plan.approved_of(event)
    if approved is None:
        return ""
    first, last = words.time_limit(approved.earliest, "earliest"), words.time_limit(approved.latest, "latest")
    return f"; approved is T {words.clock_bare(first, day=w.day)} to {words.clock_z(last, day=w.day)}"


def _main_fact(w: Words, event: EventPlan) -> str | None:
    """``After 03:26:10: by speed 11 s earlier to 27 s later, or a whole lap until 03:28:20``: what is left
    once the last inbound turn of the plan has begun; None without a hold that can be flown, or where what
    speed gives is not known."""
    hold, left = event.hold, event.authority[0]
    if hold is None or hold_lost(w.plan) or not hold.laps or not event.speeds_known:
        return None
    turn, leave = (
        words.clock_bare(words.time_limit(at, "latest"), day=w.day)
        for at in (hold.laps[-1].inbound_turn, hold.leave)
    )
    early_s, late_s = reach_s(told_then(event.chain, left))
    speed = (
        f"by speed {words.duration(early_s)} earlier to {words.duration(late_s)} later"
        if early_s or late_s
        else "nothing by speed"
    )
    return f"After {turn}: {speed}" + (
        f", or a whole lap until {leave}" if lap_offered(w.plan) else ", no further lap"
    )


def authority_values(w: Words) -> dict[str, Any] | None:
    """``authority``: what speed alone can still change; None without an event, and where the hold as planned
    can't be flown: speed counts from a leave-hold."""
    event = w.plan.event
    if event is None or not event.authority or hold_lost(w.plan):
        return None
    last = event.authority_at_last_cue or event.authority[0]
    early_s, late_s = reach_s(last)
    return {
        "early": words.duration(early_s),
        "late": words.duration(late_s),
        "when": _judged_when(w, event, last),
        "where": last.where,
        "at": w.z(last.at),
        "any": early_s > 0 or late_s > 0,
    }


def _judged_when(w: Words, event: EventPlan, last: Authority) -> str:
    """``Once PIPES is known, at 13:30:10 Z``; ``From leave-hold at 03:28:21 Z`` where the cue was known by
    then."""
    first = event.authority[0].at
    if last.at > first and last.cue:
        return f"Once {last.cue} is known, at {w.z(last.at)}"
    return f"From {'leave-hold' if event.hold else 'the IP'} at {w.z(first)}"


def ceremony_values(w: Words) -> dict[str, Any] | None:
    """``ceremony``: the cue that T hangs on, what the ground contact says, read-back."""
    event, file = w.plan.event, w.mission.file.event
    if event is None or file is None:
        return None
    check = event.cue_check
    call = blank_change(callers(w.mission), event) if event.leader is None else Call("")
    return {
        "cues": words.counted(len(event.cues), "cue"),
        "contacts": words.counted(len(schedule(w.plan)), "contact"),
        "calls": [
            f"{w.by(slot.at) if slot.deadline else w.z(slot.at)} {slot.label}: {slot.say}"
            for slot in schedule(w.plan)
        ],
        "first_contact": w.z(schedule(w.plan)[0].at) if event.contacts else None,
        "known_at": w.z(check.known_at) if check else None,
        "cue": check.cue if check else None,
        "cue_at": w.z(check.at) if check else None,
        "margin": words.duration(abs(_margin_s(check))) if check else None,
        "in_time": check.margin_s >= 0 if check else None,
        "nearer": words.distance(check.hold_nearer_nm)
        if check and check.margin_s < 0 and not check.nearer_problem
        else None,
        "caller": callers(w.mission).ground,
        "by_hold": event.hold is not None,
        "say": call.say,
        "read_back": call.read_back,
        "no_call": _no_call(w) if event.leader is None else None,
        "no_cue": (
            f"{'Left the hold' if event.hold else 'Past the IP'}, {check.cue} not heard:"
            f" {no_cue_words(w.plan)}"
            if check
            else None
        ),
        "sums": _cue_sums(w, event),
    }


def _margin_s(check: CueCheck) -> float:
    """From the cue's being known to leave-hold (without a hold the IP), as both are printed."""
    return words.between_s(check.known_at, check.known_at + timedelta(seconds=check.margin_s))


def _no_call(w: Words) -> str | None:
    band = w.mission.the_event.pass_.deadband
    return f"Smaller than {words.duration(band)}: NO CALL NEEDED" if band is not None else None


def _cue_sums(w: Words, event: EventPlan) -> list[str]:
    lines = []
    for cue in event.cues:
        lasts = f", lasts {words.duration(cue.lasts_s)}" if cue.lasts_s is not None else ""
        spread = f", spread {words.duration(cue.spread_s)}" if cue.spread_s is not None else ""
        lines.append(f"{cue.id} at {w.both(cue.at)}{lasts}{spread}: {cue.says}")
    check = event.cue_check
    if check is not None:
        given = event.section.event.written.relay_time
        relay = f"relay {words.duration(given)}" if given is not None else "no relay, since none is given,"
        side = "before" if check.margin_s >= 0 else "after"
        lines.append(
            f"{check.cue} heard {w.z(check.at)} + {relay} = known {w.z(check.known_at)},"
            f" {words.duration(abs(_margin_s(check)))} {side} {'leave-hold' if event.hold else 'the IP'}"
        )
        early_s, late_s = check.slip_left_s
        nothing = hold_lost_words(w.plan) or "nothing can be changed any more"
        still = (
            f"speed alone can still arrive {words.duration(early_s)} earlier or {words.duration(late_s)}"
            " later"
        )
        lines.append(
            f"After that {still if max(early_s, late_s) >= 0.5 and not hold_lost(w.plan) else nothing}"
        )
    return lines
