"""The pass: where, when, how fast, and the way out of it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from briefgen.brief.wording import format as words
from briefgen.brief.wording.heights import lowest_words, near_of_files, under_words
from briefgen.brief.wording.hold import entry_words, outbound_heading, outbound_legs
from briefgen.brief.wording.lost_contact import briefings, does_words
from briefgen.brief.wording.passes import after_hold, hangs_on, moves_with
from briefgen.brief.wording.wait_limits import (
    go_home_words,
    hold_lost_words,
    latest_in_short,
    latest_said,
    latest_words,
    where,
)
from briefgen.brief.wording.words import NOT_CHECKED, NOT_GIVEN, Words, leg_course, text_or
from briefgen.plan.event.lost_contact import wait_end
from briefgen.plan.event.waits import hold_lost
from briefgen.plan.heights.listed import list_words
from briefgen.plan.model import EventPlan

_MOST_OF_FILES = 4  # obstacles of files that are named, the highest


def event_values(w: Words) -> dict[str, Any] | None:
    """``event``: the pass in words; None without an event."""
    event, file = w.plan.event, w.mission.file.event
    if event is None or file is None:
        return None
    run_in, wanted = event.run_in, file.pass_
    return {
        "name": file.name,
        "centre": event.centre.name,
        "true_time": w.z(event.true_time),
        "set_time": w.z(event.set_time),
        "latest_t": latest_words(w.plan, w.by),
        "latest_said": latest_said(w.plan, w.by),
        "latest_in_short": latest_in_short(w.plan, w.by, because=False),
        "bias": words.duration(event.late_bias_s) if event.late_bias_s else None,
        "tolerance": words.duration(event.tolerance_s) if event.tolerance_s is not None else NOT_GIVEN,
        "deadband": words.duration(wanted.deadband) if wanted.deadband is not None else NOT_GIVEN,
        "ip": event.ip.name,
        "course": leg_course(run_in),
        "distance": words.distance(run_in.distance_nm),
        "level": words.level(run_in.level),
        "speed": words.speed_kt(event.run_in_kt, "KGS"),
        "run_in_time": words.duration(words.between_s(event.ip_time, event.true_time)),
        "window": _window(event),
        "cas": words.speed_kt(event.pass_cas_kt, "KCAS"),
        "over_speed": words.speed_kt(event.push.reached_kt if event.push else event.run_in_kt, "KGS"),
        "lowest": lowest_words(event),
        "lowest_over": _lowest_over(event),
        "low": f"{'' if w.mission.alone else 'lowest ship '}{words.height(event.lowest_altitude_ft)} MSL",
        "lowest_ship": str(min(event.ships, key=lambda ship: ship.altitude_ft).ship),
        "hangs_on": hangs_on(event),
        "moves": moves_with(event),
        "formation": (
            text_or(wanted.run_in.formation, "offsets as given") if len(event.ships) > 1 else "single ship"
        ),
        "last_over": _last_over(w, event),
        "crowd": _crowd(w, event),
        "obstacles": f"{_obstacles(w, event)} ({_obstacles_proof(w)})",
        "obstacles_listed": _obstacles(w, event),
        "obstacles_proof": _obstacles_proof(w),
        "egress": _egress(event),
        "after_hold": after_hold(wanted, event),
        "hold_lost": hold_lost_words(w.plan) or None,
        "hold_lost_why": hold_lost(w.plan) or None,
        "contact": _contact(w),
    }


def _lowest_over(event: EventPlan) -> str | None:
    """``ship 4 is 1140 ft over Grain terminal``: the least true height over what is known under the track;
    None where nothing is."""
    under = event.heights.under
    return None if under is None else under_words(event.heights, verb="is ")


def _window(event: EventPlan) -> str:
    low, high = event.minimum_gs_kt, event.maximum_gs_kt
    if low is None or high is None:
        return NOT_CHECKED
    return f"{words.knots(low)} to {words.speed_kt(high, 'KGS')}, {event.maximum_because}"


def _last_over(w: Words, event: EventPlan) -> str | None:
    if len(event.ships) < 2:
        return None
    last = max(event.ships, key=lambda ship: ship.at)
    behind_s = (last.at - event.true_time).total_seconds()
    return f"Ship {last.ship} crosses {words.signed_seconds(behind_s, 1)} after the leader"


def _crowd(w: Words, event: EventPlan) -> str | None:
    crowd, who = event.crowd, "the ship" if w.mission.alone else "the leader"
    if crowd is None:
        return None
    return (
        f"The crowd has {who} abeam from {w.z(crowd.first_abeam)} to {w.z(crowd.last_abeam)},"
        f" {words.distance(crowd.offset_nm)} away at the nearest"
    )


def _obstacles(w: Words, event: EventPlan) -> str:
    typed = [f"{o.name} {words.level(o.top)}" for o in w.mission.the_event.pass_.obstacles]
    near = near_of_files(w.mission, event)
    files = [f"{o.said} {words.height(o.top_ft)} MSL" for o in near[:_MOST_OF_FILES]]
    more = [f"{len(near) - _MOST_OF_FILES} lower ones"] if len(near) > _MOST_OF_FILES else []
    return words.listed([*typed, *files, *more]) or "none listed"


def _obstacles_proof(w: Words) -> str:
    checked = w.mission.the_event.pass_.obstacles_checked
    if checked is None and w.mission.file.obstacles is not None:
        return list_words(w.mission.file.obstacles)
    return (
        f"looked for within {words.distance(checked.within)}, {checked.source}"
        if checked
        else f"{NOT_CHECKED}: nobody says that the list is complete"
    )


def _egress(event: EventPlan) -> str | None:
    leg = event.egress
    if leg is None:
        return None
    return (
        f"Egress {leg_course(leg)} for {words.distance(leg.distance_nm)} at {words.level(leg.level)},"
        f" {words.speed_kt(leg.gs_kt, 'KGS')}"
    )


def _contact(w: Words) -> dict[str, str] | None:
    contact = w.mission.the_event.ground_contact
    if contact is None:
        return None
    return {
        "callsign": contact.callsign,
        "name": text_or(contact.name),
        "primary": radio_words(w, contact.primary),
        "backup": radio_words(w, contact.backup),
        "phone": text_or(contact.phone),
    }


def radio_words(w: Words, wanted: Any) -> str:
    """``preset 8, 132.650 MHz`` or a frequency."""
    if wanted is None:
        return NOT_GIVEN
    if not isinstance(wanted, int):
        return words.frequency(wanted)
    row = next((row for row in w.mission.file.radio if row.preset == wanted), None)
    return f"preset {wanted}" + (f", {words.frequency(row.frequency)}" if row else "")


def hold_values(w: Words) -> dict[str, Any] | None:
    """``hold``: the racetrack and how the wait is flown; None without a hold."""
    hold = w.plan.event.hold if w.plan.event else None
    if hold is None:
        return None
    home, in_short = go_home_words(w.plan, w.by), go_home_words(w.plan, w.by, because=False)
    end = wait_end(w.plan)
    return {
        "fix": hold.fix.id,
        "level": f"{words.height(hold.altitude_ft)} MSL",
        "speed": words.speed_kt(hold.tas_kt, "KTAS"),
        "turns": hold.turns,
        "bank": words.angle(hold.bank_deg),
        "wait": words.duration(words.between_s(hold.arrival, hold.leave)),
        "planned": words.duration(hold.planned_s) if hold.planned_s is not None else NOT_GIVEN,
        "minimum": words.duration(hold.minimum_s) if hold.minimum_s is not None else NOT_GIVEN,
        "maximum": words.duration(hold.maximum_s) if hold.maximum_s is not None else NOT_GIVEN,
        "arrival": w.z(hold.arrival),
        "leave": w.z(hold.leave),
        "inbound": w.course(hold.fix, hold.inbound_course_true_deg),
        "laps": words.counted(len(hold.laps), "lap"),
        "outbound_leg": outbound_legs(hold, words.duration) or None,
        "outbound": outbound_heading(w.mission, hold),
        "last_turn": w.z(hold.laps[-1].inbound_turn) if hold.laps else None,
        "flyable": hold.flyable,
        "nearest": words.listed((words.duration(s) for s in hold.nearest_s), "or") or "none",
        "entry": entry_words(hold) or None,
        "lap_price": words.duration(hold.price_of_lap_s) if hold.price_of_lap_s is not None else None,
        "go_home": home[1] if home else None,
        "go_home_where": where(end) if end else None,
        "go_home_because": home[2] if home else None,
        "go_home_short": in_short[2] if in_short else None,
        "sums": _lap_lines(w),
    }


def _lap_lines(w: Words) -> list[str]:
    hold = w.plan.the_pass.hold
    return [
        f"Lap {n}{f', {lap.entry} entry, about' if lap.entry else ''}: fix {w.z(lap.start)}, outbound on"
        f" {w.course(hold.fix, lap.outbound_heading_true_deg)} {w.z(lap.outbound)} for"
        f" {_between(lap.outbound, lap.inbound_turn)}, START INBOUND TURN {w.z(lap.inbound_turn)}, inbound"
        f" {w.z(lap.inbound)}, fix {w.z(lap.fix)}: {_between(lap.start, lap.fix)}"
        for n, lap in enumerate(hold.laps, 1)
    ]


def _between(start: datetime, end: datetime) -> str:
    return words.duration(words.between_s(start, end))


def abort_values(w: Words) -> dict[str, Any] | None:
    """``abort``: words, latest begin, what is flown; None where the mission gives none."""
    event, file = w.plan.event, w.mission.file.event
    if event is None or event.abort is None or file is None:
        return None
    plan, given = event.abort, file.pass_.abort
    climb = (
        f"to {words.height(plan.altitude_ft)} MSL"
        if plan.altitude_ft is not None
        else f"to a level that is {NOT_GIVEN}"
    )
    return {
        "words": plan.words,
        "said_by": text_or(given.said_by if given else None),
        "action": text_or(given.action if given else None),
        "home": file.pass_.then == "home",
        "answers": [
            f"{briefing.name}: {does_words(w, briefing, briefing.given.action)}" for briefing in briefings(w)
        ],
        "climb": climb,
        "climb_time": words.duration(plan.climb_s) if plan.climb_s is not None else NOT_CHECKED,
        "last_begin": w.by(plan.last_begin) if plan.last_begin else None,
        "last_begin_t": (
            words.t_offset((plan.last_begin - event.true_time).total_seconds()) if plan.last_begin else None
        ),
        "level_by": w.z(plan.level_by) if plan.level_by else NOT_CHECKED,
        "clear": {
            True: "before the crowd line is abeam",
            False: "NOT before the crowd line is abeam",
            None: f"clear of the crowd line: {NOT_CHECKED}",
        }[plan.clear_of_line],
    }


def recovery_values(w: Words) -> dict[str, Any]:
    """``recovery``: the way home in lines, diverts."""
    file, clock = w.mission.file, w.plan.clock
    recovery = file.recovery
    legs = [leg for leg in w.plan.legs if leg.kind == "recovery"]
    interval = recovery.landing_interval if recovery else None
    return {
        "legs": [
            f"{leg.start.name} to {leg.end.name}: {leg_course(leg)}, {words.level(leg.level)},"
            f" {words.distance(leg.distance_nm)}, {words.duration(leg.time_s)}"
            for leg in legs
        ],
        "approach": (
            f"approach {words.duration(recovery.approach.time)}"
            if recovery and recovery.approach
            else f"approach {NOT_GIVEN}"
        ),
        "interval": (
            None if len(file.flight) == 1 else words.duration(interval) if interval is not None else NOT_GIVEN
        ),
        "landing": _landing(w, len(file.flight)),
        "alternate": _alternate(w),
        "runway": text_or(file.ground_ops.runway),
        "home": w.mission.base.name,
        "last": w.z(clock.last_landing),
    }


def _landing(w: Words, ships: int) -> str:
    clock = w.plan.clock
    if ships == 1:
        return f"Land at {w.both(clock.lead_landing)}"
    return f"Ship 1 lands at {w.z(clock.lead_landing)}, ship {ships} at {w.z(clock.last_landing)}"


def _alternate(w: Words) -> str:
    recovery, fuel = w.mission.file.recovery, w.plan.fuel
    if recovery is None or recovery.alternate is None:
        return f"Alternate: {NOT_GIVEN}"
    place = w.mission.places[recovery.alternate.place].name
    if fuel is None:
        return f"Alternate {place}: {NOT_CHECKED} whether required"
    return (
        f"Alternate {place}: {'required' if fuel.alternate_required else 'not required'},"
        f" {fuel.alternate_because}"
    )
