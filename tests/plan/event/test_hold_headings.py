"""The outbound headings of the hold, flown in small steps by arithmetic of this file: each lap rolls out on
its inbound course.

Standard turn: rate in deg/s = 1091 tan(bank) / TAS in kt (FAA Instrument Procedures Handbook and every
textbook: g / v); the wind moves the turning aircraft as it moves any other.
"""

from __future__ import annotations

from math import asin, cos, degrees, radians, sin, tan

import pytest
from pyproj import Geod

from briefgen.plan.route.air import air_at
from tests.render.pdf_cases import plan_of

STEP_S = 0.05
ON_COURSE_NM = 0.03


def arrival_deg(leg, from_rad: float, kt: float) -> float:
    """The heading at the leg's end in the hold's air: its last course (the way back, turned about) and the
    drift that the wind makes of its TAS."""
    course = (
        Geod(ellps="WGS84").inv(leg.end.lon_deg, leg.end.lat_deg, leg.start.lon_deg, leg.start.lat_deg)[0]
        + 180.0
    ) % 360.0
    return course + degrees(asin(kt * sin(from_rad - radians(course)) / leg.tas_kt))


def rolls_out(plan, n: int, outbound_deg: float, leg_s: float | None = None) -> tuple[float, float]:
    """(nm before the fix, nm beside the inbound course) when lap ``n`` rolls out inbound, flown out on a
    heading, for its own leg or another one."""
    hold = plan.event.hold
    arrived = next(leg for leg in reversed(plan.legs) if leg.end.id == hold.fix.id)
    lap, air = hold.laps[min(n, len(hold.laps) - 1)], air_at(plan.mission, hold.fix, hold.altitude_ft)
    rate = degrees(9.80665 * tan(radians(hold.bank_deg)) / (hold.tas_kt * 1852 / 3600)) * (
        1 if hold.turns == "right" else -1
    )
    from_deg, kt = radians(air.wind_from_true_deg), air.wind_kt
    heading, east, north = (
        arrival_deg(arrived, from_deg, kt) if n == 0 else hold.inbound_heading_true_deg,
        0.0,
        0.0,
    )

    def fly(to_deg: float | None, seconds: float = 0.0) -> None:
        """A turn in the hold's direction to a heading, or so many seconds straight on."""
        nonlocal heading, east, north
        turned, whole = (
            0.0,
            seconds if to_deg is None else ((to_deg - heading) * (1 if rate > 0 else -1)) % 360.0 / abs(rate),
        )
        while turned < whole:
            step = min(STEP_S, whole - turned)
            heading += rate * step if to_deg is not None else 0.0
            east += (hold.tas_kt * sin(radians(heading)) - kt * sin(from_deg)) * step / 3600
            north += (hold.tas_kt * cos(radians(heading)) - kt * cos(from_deg)) * step / 3600
            turned += step

    fly(outbound_deg)
    fly(None, (lap.inbound_turn - lap.outbound).total_seconds() if leg_s is None else leg_s)
    fly(hold.inbound_heading_true_deg)
    course = radians(hold.inbound_course_true_deg)
    return -(east * sin(course) + north * cos(course)), abs(east * cos(course) - north * sin(course))


@pytest.mark.parametrize("mission", ["regatta", "founders-day", "lantern-fair", "start"])
def test_each_lap_has_the_heading_that_rolls_out_on_the_inbound_course(mission):
    plan = plan_of(f"missions/{mission}.yaml")
    laps = [(n, lap) for n, lap in enumerate(plan.event.hold.laps) if not lap.entry]
    assert laps
    for n, lap in laps:
        before_nm, beside_nm = rolls_out(plan, n, lap.outbound_heading_true_deg)
        assert beside_nm < ON_COURSE_NM and before_nm > 0, (n, beside_nm)


def test_a_parallel_entry_goes_out_on_the_reciprocal():
    """Of the hold of lantern-fair.yaml, entered 112 degrees against its turns: by the wind triangle the
    reciprocal is made good."""
    plan = plan_of("missions/lantern-fair.yaml")
    hold, lap = plan.event.hold, plan.event.hold.laps[0]
    air = next(leg for leg in reversed(plan.legs) if leg.end.id == hold.fix.id).air
    out_deg = hold.inbound_course_true_deg + 180
    drift_deg = degrees(asin(air.wind_kt * sin(radians(air.wind_from_true_deg - out_deg)) / hold.tas_kt))
    assert (
        lap.entry == "parallel"
        and abs((lap.outbound_heading_true_deg - out_deg - drift_deg + 180) % 360 - 180) < 0.1
    )


@pytest.mark.parametrize("mission", ["regatta", "founders-day", "lantern-fair", "start", "overcommitted"])
def test_each_lap_that_a_slip_changes_has_one_too(mission):
    """With the leg of its row; the headings that card and slide name are these."""
    plan, flown = plan_of(f"missions/{mission}.yaml"), 0
    for row in plan.event.slips:
        for n, heading in enumerate(row.outbound_headings_true_deg, row.unchanged_laps or 0):
            before_nm, beside_nm = rolls_out(plan, n, heading, row.outbound_leg_s)
            assert beside_nm < ON_COURSE_NM and before_nm > -ON_COURSE_NM, (row.slip_s, n, beside_nm)
            flown += 1
    assert flown > 5


def test_the_check_can_fail():
    """The heading of the later laps, flown in the first: it comes off a course that differs from the inbound
    one."""
    plan = plan_of("missions/regatta.yaml")
    assert rolls_out(plan, 0, plan.event.hold.outbound_heading_true_deg)[1] > 10 * ON_COURSE_NM


def test_a_wind_blows_in_what_is_flown():
    plan = plan_of("missions/regatta.yaml")
    assert air_at(plan.mission, plan.event.hold.fix, plan.event.hold.altitude_ft).wind_kt > 5
