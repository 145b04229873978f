"""The pass as a whole: everything that the ground contact, the flight and the supervisor ask about it, from
the chain and the hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from briefgen.airmath.angles import height_change_time_s
from briefgen.airmath.crowd import crowd_line
from briefgen.airmath.geodesy import distance_nm, off_line
from briefgen.airmath.run_in import push_table
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.event.ceremony import check_cue, contacts_of, cues_of, last_cue, parties_of
from briefgen.plan.event.formation import ships_over
from briefgen.plan.event.in_two import first_by_laps
from briefgen.plan.event.judge import Flying, flying_as_briefed, judge, speed_until
from briefgen.plan.event.motion import as_flown
from briefgen.plan.event.pass_chain import problem_in_words
from briefgen.plan.event.slip_reach import reach_s
from briefgen.plan.event.slips import SLIPS_S, slip_table
from briefgen.plan.event.speed_alone import (
    authority,
    begins,
    by_speed_s,
    read_back_s,
    workload,
)
from briefgen.plan.event.told_speed import rows_by_speed
from briefgen.plan.heights.pass_heights import pass_heights, pass_legs
from briefgen.plan.heights.spectators import beside_crowd_nm
from briefgen.plan.model import (
    Abort,
    Authority,
    CrowdLine,
    Cue,
    EventPlan,
    HoldPlan,
    HoldShape,
    PassChain,
    PushRow,
    SlipRow,
)
from briefgen.plan.route import air as plan_air
from briefgen.plan.route.air import position
from briefgen.plan.timing.clock import later
from briefgen.units.values import Speed

PUSH_TABLE_S = (-10.0, -5.0, -2.0, 0.0, 2.0, 5.0, 10.0)


def plan_event(
    mission: Mission, chain: PassChain, hold: HoldPlan | None, shape: HoldShape | None, *, tables: bool = True
) -> EventPlan:
    """The plan of a pass; without ``tables`` it has no slip table and no rows by speed."""
    section = chain.section
    cues = () if section.follows else cues_of(section.event)
    ships = ships_over(mission, chain)
    crowd = _crowd_line(chain)
    at_last_cue = _at_last_cue(chain, last_cue(cues, chain.true_time), section.event.relay_s)
    over = plan_air.speeds_on_course(
        chain.run_in.air, chain.run_in.course_true_deg, Speed(speed_over_centre(chain), "KGS")
    )
    fallback = isinstance(over, str)
    slips = slip_rows(chain, hold, shape) if tables and hold is not None and shape is not None else ()
    updates, fixes = rows_by_speed(chain, hold, shape) if tables else ((), ())
    leader = mission.leader_of(section) if section.follows else None
    return EventPlan(
        centre=chain.run_in.end,
        true_time=chain.true_time,
        set_time=chain.set_time,
        late_bias_s=chain.late_bias_s,
        tolerance_s=section.written.tolerance,
        ip=chain.run_in.start,
        ip_time=chain.ip_time,
        hold=hold,
        hold_to_ip=chain.hold_to_ip,
        run_in=chain.run_in,
        egress=chain.egress,
        run_in_kt=chain.run_in.gs_kt,
        push_up_to_kt=chain.push_to_kt,
        maximum_gs_kt=chain.cap.gs_kt,
        maximum_because=chain.cap.because,
        minimum_gs_kt=chain.minimum_gs_kt,
        push=chain.push,
        push_problem="" if chain.push_trouble is None else problem_in_words(chain.push_trouble),
        push_table=_push_rows(chain),
        slips=slips,
        authority=_authorities(chain, at_last_cue),
        authority_at_last_cue=at_last_cue,
        last_updates=updates,
        speed_fixes=fixes if chain.leave_hold is not None or chain.speeds_known else (),
        ships=ships,
        lowest_altitude_ft=min(s.altitude_ft for s in ships),
        lowest_true_altitude_ft=min(s.true_altitude_ft for s in ships),
        pass_cas_kt=chain.run_in.cas_kt if fallback else over.cas_kt,
        pass_mach=chain.run_in.mach if fallback else over.mach,
        crowd=crowd,
        cues=cues,
        contacts=contacts_of(chain, cues, leader),
        parties=parties_of(mission, chain),
        cue_check=check_cue(mission, chain, cues),
        abort=_abort(mission, chain, crowd),
        cause=section.key("time"),
        chain=chain,
        shape=shape,
        workload=workload(chain),
        speeds_known=chain.speeds_known,
        leader=leader,
        heights=pass_heights(mission, chain, ships),
        reach_s=reach_s(chain, hold, shape),
    )


def slip_rows(
    chain: PassChain, hold: HoldPlan, shape: HoldShape, slips_s: Sequence[float] = SLIPS_S
) -> tuple[SlipRow, ...]:
    """The slip table, each row with what speed gives after it."""
    now = flying_as_briefed(as_flown(chain, hold, shape))
    rows = slip_table(chain, hold, shape, chain.section.event.relay_s, slips_s)
    left = by_speed_s(chain)

    def with_speed(row: SlipRow) -> SlipRow:
        found = speed_until(now, row.slip_s, now.leave_s + read_back_s(chain, row.slip_s))
        if found is None:
            return _with_laps_first(row, now, (left.early_s, left.late_s), hold.arrival)
        return replace(row, speed_until=later(hold.arrival, found[0]), speed_short_s=found[1])

    return tuple(map(with_speed, rows))


def _with_laps_first(row: SlipRow, now: Flying, speed_s: tuple[float, float], arrival: datetime) -> SlipRow:
    known = now.speeds_known and not row.met
    first_s = first_by_laps(now, row.slip_s, 0.0, speed_s) if known else None
    until_s = None if first_s is None else judge(now, first_s, 0.0).until_s
    return replace(row, first_s=first_s, first_until=None if until_s is None else later(arrival, until_s))


def speed_over_centre(chain: PassChain) -> float:
    """Ground speed over the centre: as pushed up, else the run-in's."""
    return chain.push.reached_kt if chain.push is not None else chain.run_in.gs_kt


def _push_rows(chain: PassChain) -> tuple[PushRow, ...]:
    if chain.push_settings is None or chain.push is None:
        return ()
    return tuple(
        PushRow(row.late_s, row.to_go_nm, row.left_s) for row in push_table(chain.push_settings, PUSH_TABLE_S)
    )


def _authorities(chain: PassChain, at_last_cue: Authority | None) -> tuple[Authority, ...]:
    """At leave-hold, at the IP, at the push-up and when the last cue is known, in time order."""
    moments = [(begins(chain), "leave-hold" if chain.leave_hold is not None else "IP"), (chain.ip_time, "IP")]
    if chain.push is not None:
        moments.append((chain.push.at, "push-up"))
    rows = {where: authority(chain, at, where) for at, where in moments}
    return tuple(
        sorted([*rows.values(), *((at_last_cue,) if at_last_cue is not None else ())], key=lambda a: a.at)
    )


def _at_last_cue(chain: PassChain, cue: Cue | None, relay_s: float) -> Authority | None:
    """At the last cue + relay, or at leave-hold if that is later; None without a script."""
    if cue is None:
        return None
    known = cue.at + timedelta(seconds=relay_s)
    return replace(authority(chain, max(known, begins(chain)), f"{cue.id} known"), cue=cue.id)


def _crowd_line(chain: PassChain) -> CrowdLine | None:
    line = chain.section.written.crowd_line
    if line is None:
        return None
    start, end = position(chain.run_in.start), position(chain.run_in.end)
    ends = [off_line(start, end, spot) for spot in (line.from_, line.to)]
    beyond_nm = [spot.along_nm - chain.run_in.distance_nm for spot in ends]
    if min(beyond_nm) < -(chain.inbound.leg_nm + chain.inbound.distance_nm):
        return None  # abeam before the run-in's legs begin: the plan has no time for it
    seen = crowd_line(chain.inbound, *beyond_nm)
    first, last = (chain.true_time + timedelta(seconds=s) for s in (seen.first_s, seen.last_s))
    offset_nm = min(beside_crowd_nm(leg, line) for leg in pass_legs(chain))
    return CrowdLine(first, last, seen.over_line_s, distance_nm(line.from_, line.to), offset_nm)


def _abort(mission: Mission, chain: PassChain, crowd: CrowdLine | None) -> Abort | None:
    section, rate = chain.section, mission.file.limits.formation_climb_rate
    pass_ = section.written
    if pass_.abort is None:
        return None
    last_begin = workload(chain).seconds_until
    altitude = (
        None
        if pass_.abort.level is None
        else plan_air.altitude_ft(mission, chain.run_in.end, pass_.abort.level)
    )
    climb_s = None
    if altitude is not None and rate is not None:
        climb_s = height_change_time_s(
            chain.run_in.altitude_ft, max(altitude, chain.run_in.altitude_ft), rate
        )
    level_by = (
        last_begin + timedelta(seconds=climb_s) if last_begin is not None and climb_s is not None else None
    )
    clear = level_by <= crowd.first_abeam if level_by is not None and crowd is not None else None
    return Abort(pass_.abort.words, last_begin, altitude, climb_s, level_by, clear, section.key("abort"))
