"""Random flows of two events in wind, in every second one the first flown over twice, for the pilot of
event_flight.py: from T of one pass he flies to the hold of the next by pyproj, plain wind triangles and,
between a pass and its repeat, a turn in small steps.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import asin, atan2, cos, degrees, hypot, pi, radians, sin
from random import Random

from briefgen.mission.edit.changes import at_true_time
from briefgen.mission.load import mission_of
from briefgen.plan.build import make_plan
from briefgen.plan.event.motion import motion_of
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan
from tests.airmath.simulate import KT, NM, Flight
from tests.plan.event.event_flight import BASE, EARTH, Case, _angle, _away, _source, fly_hold, fly_in

HOLD_KT, BANK_DEG, RUN_IN_KT, PUSH_KT = 240.0, 30.0, 280.0, 330.0
TRANSIT_KT = 300.0
STEP_S = 0.02


@dataclass(frozen=True)
class Course:
    """Hold, IP and centre of an event, by the names that the file gives them."""

    names: tuple[str, str, str]
    spots: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class RandomFlow:
    """A plan, its wind, and the event's course that each pass flies."""

    seed: int
    plan: Plan
    wind: tuple[float, float]
    courses: tuple[Course, ...]


def _course(r: Random, number: int, hold: tuple[float, float]) -> Course:
    course = r.uniform(0, 360)
    ip = _away(hold, course + r.uniform(-50, 50), r.uniform(6, 9))
    centre = _away(ip, course, r.uniform(9, 14))
    return Course((f"HOLD{number}", f"IP{number}", f"QUAY{number}"), (hold, ip, centre))


def _event(tree: dict, number: int, course: Course, *, at: str, then: str) -> dict:
    event = copy.deepcopy(tree["event"])
    hold, ip, centre = course.names
    event |= {"id": f"E{number}", "accept_slip": {"early": "60 s", "late": "5 min"}}
    event["script"] = {"HYMN": {"says": "First note", "time": f"{at} event", "lasts": "60 s"}}
    pass_ = event["pass"]
    pass_ |= {"over": centre, "push_up_to": f"{PUSH_KT:.0f} KGS", "late_bias": "6 s", "then": then}
    pass_["hold"] |= {"at": hold, "speed": f"{HOLD_KT:.0f} KTAS", "bank": f"{BANK_DEG:.0f} deg"}
    pass_["run_in"] |= {"from": ip, "speed": f"{RUN_IN_KT:.0f} KGS", "minimum_speed": "240 KGS"}
    return event


def random_flow(seed: int) -> RandomFlow | None:
    """None where it has an error, or a take-off of its own that no hold makes."""
    r = Random(seed)
    wind = (float(r.randint(0, 359)), float(r.choice([0, r.randint(5, 45)])))
    first = _course(r, 1, _away(BASE, r.uniform(0, 360), r.uniform(40, 80)))
    away_nm = r.uniform(20, 50)
    second = _course(r, 2, _away(first.spots[2], r.uniform(0, 360), away_nm))
    twice = r.random() < 0.5
    tree = copy.deepcopy(_source().tree)
    for course in (first, second):
        for name, (lat, lon) in zip(course.names, course.spots, strict=True):
            tree["places"][name] = {"position": f"{_angle(lat, 'NS')} {_angle(lon, 'EW')}"}
            tree["places"][name] |= {"time_zone": "Europe/Zurich", "elevation": "5 ft MSL"}
    for level in tree["weather"]["winds"]:
        level["wind"] = f"{wind[0]:03.0f}T/{wind[1]:.0f}kt"
    after_min = r.randint(14, 18)
    later_min = round(away_nm / 5) + r.randint(10, 18) + (after_min if twice else 0)
    leg = {"level": "2000 ft MSL", "speed": f"{TRANSIT_KT:.0f} KTAS"}
    one = _event(tree, 1, first, at="13:00:00", then="next pass")
    two = _event(tree, 2, second, at=f"{13 + later_min // 60}:{later_min % 60:02}:00", then="home")
    again = {
        "after": f"{after_min} min",
        "way": [{"to": first.names[0], **leg}],
        "hold": {"at": first.names[0]},
        "then": "next pass",
    }
    flow = [
        {"transit": [{"to": first.names[0], **leg}]},
        {"event": one, **({"again": [again]} if twice else {})},
        {"transit": [{"to": second.names[0], **leg}]},
        {"event": two},
    ]
    del tree["transit"], tree["event"]
    mission, _ = mission_of(replace(_source(), tree={**tree, "flow": flow}))
    plan = None if mission is None else make_plan(mission)[0]
    if plan is None:
        return None
    return RandomFlow(seed, plan, wind, (first, first, second) if twice else (first, second))


def told(flow: RandomFlow, changes: tuple[float, float]) -> Plan | None:
    """The plan with the first pass and the last moved by so many seconds, the second told after the first."""
    mission, plan = flow.plan.mission, flow.plan
    for place, change_s in ((0, changes[0]), (len(plan.passes) - 1, changes[1])):
        section = mission.passes[place]
        at = section.true_time + timedelta(seconds=change_s)
        mission = at_true_time(mission, at, takeoff=plan.clock.takeoff, setups=plan.setups, of=section.cause)
    return make_plan(mission)[0]


# ---------------------------------------------------------------- the pilot


def _heading(wind: tuple[float, float], course_deg: float, tas_kt: float) -> float:
    east, north = _wind(wind)
    across = east * cos(radians(course_deg)) - north * sin(radians(course_deg))
    return course_deg - degrees(asin(across / tas_kt))


def _wind(wind: tuple[float, float]) -> tuple[float, float]:
    return -wind[1] * sin(radians(wind[0])), -wind[1] * cos(radians(wind[0]))


def _tas(wind: tuple[float, float], course_deg: float, ground_kt: float) -> float:
    """The airspeed that goes over the ground along a course at a speed."""
    east, north = _wind(wind)
    return hypot(ground_kt * sin(radians(course_deg)) - east, ground_kt * cos(radians(course_deg)) - north)


def _ground_kt(wind: tuple[float, float], course_deg: float) -> float:
    east, north = _wind(wind)
    heading = radians(_heading(wind, course_deg, TRANSIT_KT))
    return hypot(TRANSIT_KT * sin(heading) + east, TRANSIT_KT * cos(heading) + north)


def _direct(start: tuple[float, float], end: tuple[float, float]) -> tuple[float, float]:
    """(nautical miles, course at the start)."""
    ahead, _, metres = EARTH.inv(start[1], start[0], end[1], end[0])
    return metres / NM, ahead % 360


def from_centre(
    flow: RandomFlow, course: Course, to: tuple[float, float], *, turning: bool
) -> tuple[float, tuple[float, float]]:
    """(seconds from the centre to a hold, where the flight was last straight on its way to it)."""
    _, ip, centre = course.spots
    back = EARTH.inv(centre[1], centre[0], ip[1], ip[0])[0]
    along = (back + 180) % 360
    start, seconds = centre, 0.0
    if turning:
        start, seconds = _turned(flow, centre, along, to)
    nm, course_deg = _direct(start, to)
    return seconds + nm / _ground_kt(flow.wind, course_deg) * 3600, start


def _turned(
    flow: RandomFlow, centre: tuple[float, float], along: float, to: tuple[float, float]
) -> tuple[tuple[float, float], float]:
    """A turn the shorter way in small steps, until the heading leads to the hold."""
    tas = _tas(flow.wind, along, RUN_IN_KT)
    east, north = _wind(flow.wind)
    pilot = Flight(
        TRANSIT_KT * KT, radians(BANK_DEG), east * KT, north * KT, radians(_heading(flow.wind, along, tas))
    )
    wanted = radians(_heading(flow.wind, _direct(centre, to)[1], TRANSIT_KT))
    right = (wanted - pilot.heading) % (2 * pi) <= pi
    rate = 9.80665 * 0.5773502691896258 / pilot.tas * (1 if right else -1)  # tan 30
    last = None
    while True:
        spot = _spot(centre, pilot)
        off = (radians(_heading(flow.wind, _direct(spot, to)[1], TRANSIT_KT)) - pilot.heading) * (
            1 if right else -1
        )
        off = (off + pi) % (2 * pi) - pi
        if last is not None and last > 0 >= off and last < 0.5:
            return spot, pilot.clock
        last = off
        pilot._step(STEP_S, rate)


def _spot(origin: tuple[float, float], pilot: Flight) -> tuple[float, float]:
    metres = hypot(pilot.east, pilot.north)
    lon, lat, _ = EARTH.fwd(origin[1], origin[0], degrees(atan2(pilot.east, pilot.north)), metres)
    return lat, lon


def cases_of(flow: RandomFlow, plan: Plan) -> list[Case]:
    """Each pass for the pilot of event_flight.py, with where he came from."""
    came, found = BASE, []
    for number, (seen, course) in enumerate(zip(each_pass(plan), flow.courses, strict=True)):
        if number:
            before = flow.courses[number - 1]
            _, came = from_centre(flow, before, course.spots[0], turning=before is course)
        points = dict(zip(("BASE", "HOLD", "IP", "QUAY"), (came, *course.spots), strict=True))
        motion = motion_of(seen.passes[0])
        found.append(
            Case(
                flow.seed, seen, motion, points, flow.wind, TRANSIT_KT, HOLD_KT, BANK_DEG, False,
                RUN_IN_KT, PUSH_KT, (2.5, 1.5),
            )
        )  # fmt: skip
    return found


def overhead(case: Case) -> datetime:
    """When the pilot is over the centre who comes to the hold as planned."""
    return case.motion.origin + timedelta(seconds=fly_in(case, fly_hold(case)))
