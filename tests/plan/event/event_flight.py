"""Random missions with wind, and a pilot who flies their plans in small steps: turns at constant bank, holds
headings, watches clock and miles to go.

Distances and courses come from pyproj, speeds and winds from the mission as typed, the wind triangle from
plain trigonometry. From the plan the pilot takes only what is told to him: headings and clock times of the
hold, and the miles to go at which he pushes.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import islice
from math import asin, cos, degrees, radians, sin
from random import Random

from pyproj import Geod

from briefgen.airmath.hold_wait import HoldPlan as FlownWait
from briefgen.mission.load import mission_of
from briefgen.mission.read.source import read_source
from briefgen.plan.build import fly
from briefgen.plan.event.motion import Motion, motion_of
from briefgen.plan.event.slips import slip_table
from briefgen.plan.model import SlipRow
from tests.airmath.simulate import KT, NM, Flight, along_line

EARTH = Geod(ellps="WGS84")
TEXT = """
briefgen: 1
sortie: {name: Harbour pass, callsign: GANNET, date: 2027-05-04}
places:
  BASE: {position: 46°00.0'N 010°00.0'E, elevation: 680 ft MSL, time_zone: Europe/Zurich}
  HOLD: {position: 46°30.0'N 010°30.0'E}
  IP: {position: 46°35.0'N 010°33.0'E}
  QUAY: {position: 46°54.0'N 010°43.0'E, elevation: 5 ft MSL, time_zone: Europe/Zurich}
aircraft: {petrel: {name: Petrel T.2, fuel_capacity: 5600 lb}}
flight:
  - {ship: 1, crew: [Maj A. Holm], aircraft: petrel, start_fuel: 5500 lb}
ground_ops: {base: BASE}
weather:
  winds:
    - {level: 0 ft MSL, wind: 200T/12kt, temperature: 15 C}
    - {level: 10000 ft MSL, wind: 200T/12kt, temperature: -5 C}
transit:
  - {to: HOLD, level: 2000 ft MSL, speed: 300 KTAS}
event:
  name: Harbour day
  relay_time: 10 s
  script:
    HYMN: {says: First note, time: 13:00:00 event, lasts: 60 s}
  pass:
    over: QUAY
    time: end of HYMN
    hold: {at: HOLD, level: 2000 ft MSL, speed: 280 KTAS, turns: left, leg: 60 s, bank: 30 deg,
           planned: 9 min}
    run_in:
      {from: IP, level: 2000 ft MSL, speed: 300 KGS, minimum_speed: 250 KGS,
       formation_acceleration: 2.5 kt/s, formation_deceleration: 1.5 kt/s}
    late_bias: 10 s
    push_up_to: 390 KGS
limits: {regime: icao, pass_maximum_speed: 420 KGS}
"""
BASE = (46.0, 10.0)


@dataclass(frozen=True, eq=False)
class Case:
    """A mission's own figures, as typed, and its sortie as planned; the slip table, which takes the most
    time, only where it is asked for."""

    seed: int
    sortie: object
    motion: Motion
    points: dict[str, tuple[float, float]]
    wind: tuple[float, float]
    transit_kt: float
    hold_kt: float
    bank_deg: float
    right: bool
    run_in_kt: float
    push_kt: float
    rates: tuple[float, float]

    @cached_property
    def slips(self) -> tuple[SlipRow, ...]:
        return slip_table(
            self.sortie.the_pass.chain,
            self.sortie.the_pass.hold,
            self.sortie.the_pass.shape,
            self.sortie.mission.file.event.relay_time,
        )

    @cached_property
    def at_fix(self) -> list[Flight]:
        """The pilot at the beginning of each lap and at leave-hold, with nothing told."""
        return list(_laps_as_planned(self))


def _angle(deg: float, letters: str) -> str:
    minutes = round(abs(deg) * 60, 4)
    return f"{int(minutes // 60):0{2 if letters == 'NS' else 3}d}°{minutes % 60:07.4f}'{letters[deg < 0]}"


def _typed(deg: float) -> float:
    """A coordinate as the file gives it."""
    return round(abs(deg) * 60, 4) / 60 * (-1 if deg < 0 else 1)


def _away(start: tuple[float, float], course: float, nm: float) -> tuple[float, float]:
    lon, lat, _ = EARTH.fwd(start[1], start[0], course, nm * NM)
    return _typed(lat), _typed(lon)


@cache
def _source():
    return read_source(TEXT, "random.yaml")[0]


def random_case(seed: int) -> Case | None:
    """A mission with everything about its pass at random; None when it has an error (such as a leg too short
    for its change of speed)."""
    r = Random(seed)
    course, hold_course = r.uniform(0, 360), r.uniform(-60, 60)
    hold = _away(BASE, r.uniform(0, 360), r.uniform(40, 80))
    ip = _away(hold, course + hold_course, r.uniform(5, 9))
    quay = _away(ip, course, r.uniform(9, 20))
    wind = (float(r.randint(0, 359)), float(r.choice([0, r.randint(5, 45)])))
    hold_kt, v1 = float(r.randint(180, 320)), float(r.randint(220, 340))
    push, a, d = (
        float(round(v1 * r.uniform(1.15, 1.35))),
        round(r.uniform(1.2, 3.5), 1),
        round(r.uniform(1.0, 2.5), 1),
    )
    bank, right, transit = float(r.randint(20, 40)), r.random() < 0.5, float(r.randint(250, 380))
    tree = copy.deepcopy(_source().tree)
    for name, (lat, lon) in (("HOLD", hold), ("IP", ip), ("QUAY", quay)):
        tree["places"][name]["position"] = f"{_angle(lat, 'NS')} {_angle(lon, 'EW')}"
    for level in tree["weather"]["winds"]:
        level["wind"] = f"{wind[0]:03.0f}T/{wind[1]:.0f}kt"
    tree["transit"][0]["speed"] = f"{transit:.0f} KTAS"
    pass_ = tree["event"]["pass"]
    pass_["hold"] |= {
        "speed": f"{hold_kt:.0f} KTAS",
        "turns": "right" if right else "left",
        "bank": f"{bank:.0f} deg",
        "leg": r.choice(["45 s", "60 s", "90 s"]),
        "planned": f"{r.randint(330, 1100)} s",
    }
    pass_["run_in"] |= {
        "speed": f"{v1:.0f} KGS",
        "minimum_speed": f"{v1 * 0.85:.0f} KGS",
        "formation_acceleration": f"{a} kt/s",
        "formation_deceleration": f"{d} kt/s",
    }
    pass_ |= {"push_up_to": f"{push:.0f} KGS", "late_bias": f"{r.randint(2, 12)} s"}
    tree["limits"]["pass_maximum_speed"] = f"{push + 25:.0f} KGS"
    mission, _ = mission_of(replace(_source(), tree=tree))
    sortie, _ = fly(mission, tables=False)
    if sortie is None or sortie.the_pass.push is None or not sortie.the_pass.hold.flyable:
        return None
    points = {"BASE": BASE, "HOLD": hold, "IP": ip, "QUAY": quay}
    return Case(
        seed,
        sortie,
        motion_of(sortie.the_pass),
        points,
        wind,
        transit,
        hold_kt,
        bank,
        right,
        v1,
        push,
        (a, d),
    )


@cache
def cases(part: int, wanted: int = 50) -> tuple[Case, ...]:
    """A part's own random missions: the first so many that can be planned."""
    made = (random_case(seed) for seed in range(1000 * part, 1000 * part + 2 * wanted))
    found = list(islice((case for case in made if case is not None), wanted))
    assert len(found) == wanted, "most random missions can be planned"
    return tuple(found)


def line(case: Case, start: str, end: str) -> tuple[float, float, float]:
    """(metres, course at the start, course at the end)."""
    (lat1, lon1), (lat2, lon2) = case.points[start], case.points[end]
    ahead, back, metres = EARTH.inv(lon1, lat1, lon2, lat2)
    return metres, ahead % 360, (back + 180) % 360


def wind_east_north_kt(case: Case) -> tuple[float, float]:
    """Where the air goes."""
    return -case.wind[1] * sin(radians(case.wind[0])), -case.wind[1] * cos(radians(case.wind[0]))


def heading(case: Case, course_deg: float, tas_kt: float) -> float:
    """Plain wind triangle: the drift's sine is the wind across over the airspeed."""
    east, north = wind_east_north_kt(case)
    across = east * cos(radians(course_deg)) - north * sin(radians(course_deg))
    return course_deg - degrees(asin(across / tas_kt))


@dataclass(frozen=True)
class Call:
    """A change read back at a moment (seconds in the hold), and the wait from then on."""

    told_s: float
    wait: FlownWait


def _at_the_fix(case: Case) -> Flight:
    arrival = line(case, "BASE", "HOLD")[2]
    east, north = wind_east_north_kt(case)
    return Flight(
        case.hold_kt * KT,
        radians(case.bank_deg),
        east * KT,
        north * KT,
        radians(heading(case, arrival, case.transit_kt)),
    )


def _same(pilot: Flight) -> Flight:
    return replace(pilot, rolled_out=list(pilot.rolled_out))


def _laps_as_planned(case: Case) -> Iterator[Flight]:
    pilot = _at_the_fix(case)
    for lap in case.motion.flown.laps:
        yield _same(pilot)
        if lap.entry:
            _fly_entry(pilot, case, lap)
            continue
        pilot.turn_to(lap.outbound_heading_true_deg, right=case.right)
        _fly_inbound(pilot, case, lap)
    yield _same(pilot)


def _fly_entry(pilot: Flight, case: Case, lap) -> None:
    """ICAO Doc 8168: parallel out on the reciprocal and back over the holding side, offset out 30 degrees
    from it on the holding side and back in the hold's direction; about as long as the plan says, and flown on
    from the fix as if it were."""
    inbound, parallel = line(case, "HOLD", "IP")[1], lap.entry == "parallel"
    outbound = heading(case, inbound + 180 - (0 if parallel else 30 if case.right else -30), case.hold_kt)
    pilot.fly_entry(
        heading(case, inbound, case.hold_kt), outbound, lap.outbound_leg_s, back_right=case.right != parallel
    )
    assert abs(pilot.clock - lap.fix_s) < 0.5, (case.seed, pilot.clock, lap.fix_s)
    pilot.clock = lap.fix_s


def _fly_inbound(pilot: Flight, case: Case, lap) -> None:
    """From the outbound leg to passing the fix."""
    inbound = line(case, "HOLD", "IP")[1]
    pilot.hold_until(lap.inbound_turn_s)
    pilot.turn_to(heading(case, inbound, case.hold_kt), right=case.right)
    pilot.rolled_out.append(pilot.off_course_m(inbound))
    pilot.fly_to_fix(inbound)


def fly_hold(case: Case, call: Call | None = None) -> Flight:
    """From passing the fix to passing it for the last time. Times are seconds after the first. Up to the lap
    in which the call is read back it is the same flight for every call."""
    if call is None:
        return _same(case.at_fix[-1])
    before = case.motion.flown.laps
    lap = next((i for i, flown in enumerate(before) if call.told_s <= flown.fix_s), len(before))
    pilot = _same(case.at_fix[lap])
    for n, after in enumerate(call.wait.laps[lap:], lap):
        if after.entry:
            _fly_entry(pilot, case, after)
            continue
        if n == lap < len(before):
            pilot.turn_to(before[n].outbound_heading_true_deg, right=case.right, until=call.told_s)
            _change_over(pilot, case, before[n], (after, call.told_s))
        else:
            pilot.turn_to(after.outbound_heading_true_deg, right=case.right)
        _fly_inbound(pilot, case, after)
    return pilot


def _change_over(pilot: Flight, case: Case, before, change) -> None:
    """Read back in the middle of a lap: it is flown on as it was, corrected at once, or (still in its first
    turn) turned to the new heading."""
    after, told_s = change
    if after == before:
        pilot.turn_to(before.outbound_heading_true_deg, right=case.right)
        return
    pilot.hold_until(told_s)
    correction = next((s for s in after.segments if abs(s.begins_s - told_s) < 1e-9), None)
    pilot.turn_to(
        after.outbound_heading_true_deg, right=case.right if correction is None else correction.turned_deg > 0
    )


def fly_in(case: Case, pilot: Flight, *, changes: tuple[tuple[float, float], ...] = ()) -> float:
    """From the fix to overhead; the clock there. ``changes``: (seconds after leaving the fix, ground speed to
    change to and hold from then on)."""
    legs_m, push_m = (
        line(case, "HOLD", "IP")[0] + line(case, "IP", "QUAY")[0],
        case.sortie.the_pass.push.to_go_nm * NM,
    )
    rates = {"rate_up": case.rates[0] * KT, "rate_down": case.rates[1] * KT}
    stops = [pilot.clock + after_s for after_s, _ in changes] + [None]
    clock, speed, left = along_line(
        legs_m - push_m,
        pilot.ground_speed_kt() * KT,
        clock=pilot.clock,
        target=case.run_in_kt * KT,
        to=stops[0],
        **rates,
    )
    left += push_m
    if stops[0] is None or clock < stops[0] - 1e-9:
        clock, speed, left = along_line(
            left, speed, clock=clock, target=case.push_kt * KT, to=stops[0], **rates
        )
    for (_, to_kt), stop in zip(changes, stops[1:], strict=True):
        clock, speed, left = along_line(left, speed, clock=clock, target=to_kt * KT, to=stop, **rates)
    return clock
