"""A turn over a fix to a point: by hand in still air, and flown in small steps in wind."""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, pi, radians, sin, sqrt

import pytest

from briefgen.airmath.turn_to import INSIDE, turn_to
from briefgen.airmath.wind import CALM, NoSolution, WindVector

G_FT_S2, FT_PER_NM, FT_S_PER_KT = 32.17405, 6076.11549, 1.68781
TAS, BANK = 240.0, 30.0
RADIUS_NM = (TAS * FT_S_PER_KT) ** 2 / (G_FT_S2 * 0.57735027) / FT_PER_NM
RATE_DEG_S = degrees(G_FT_S2 * 0.57735027 / (TAS * FT_S_PER_KT))


def test_back_to_a_point_abeam_is_a_half_circle():
    """Northbound, the point two radii to the right and far to the south: rolls out abeam, on 180."""
    turn = turn_to(0.0, east_nm=2 * RADIUS_NM, north_nm=-30.0, tas_kt=TAS, bank_deg=BANK, wind=CALM)
    assert turn.turned_deg == pytest.approx(180.0, abs=0.01)
    assert turn.seconds == pytest.approx(180.0 / RATE_DEG_S, abs=0.02)
    assert (turn.east_nm, turn.north_nm) == pytest.approx((2 * RADIUS_NM, 0.0), abs=1e-3)
    assert turn.ground_nm == pytest.approx(pi * RADIUS_NM, rel=1e-3)


@pytest.mark.parametrize(
    ("heading", "east", "north", "sign"), [(0, 10, 0, 1), (0, -10, 0, -1), (350, 2, 20, 1)]
)
def test_the_turn_ends_on_the_tangent(heading, east, north, sign):
    """Still air: from the centre of the turn the point is seen at the tangent's angle, so the straight that
    is left is the root of the distance to that centre and the radius."""
    turn = turn_to(heading, east_nm=east, north_nm=north, tas_kt=TAS, bank_deg=BANK, wind=CALM)
    side = radians(heading + sign * 90.0)
    centre = (RADIUS_NM * sin(side), RADIUS_NM * cos(side))
    straight = sqrt(hypot(east - centre[0], north - centre[1]) ** 2 - RADIUS_NM**2)
    assert hypot(east - turn.east_nm, north - turn.north_nm) == pytest.approx(straight, abs=1e-3)
    assert turn.turned_deg * sign > 0


@pytest.mark.parametrize("wind", [(30.0, -20.0), (-45.0, 10.0)])
@pytest.mark.parametrize("heading", [10.0, 135.0, 300.0])
def test_flown_in_small_steps_in_wind_it_leads_to_the_point(heading, wind):
    """Steps of 10 ms by rate and speed; then straight on that heading for the distance: within 20 m."""
    air = WindVector(*wind)
    turn = turn_to(heading, east_nm=12.0, north_nm=-9.0, tas_kt=TAS, bank_deg=BANK, wind=air)
    east = north = 0.0
    at, step_s = heading, 0.01
    for _ in range(round(turn.seconds / step_s)):
        at += (1.0 if turn.turned_deg > 0 else -1.0) * RATE_DEG_S * step_s
        east += (TAS * sin(radians(at)) + air.east_kt) * step_s / 3600
        north += (TAS * cos(radians(at)) + air.north_kt) * step_s / 3600
    assert hypot(east - turn.east_nm, north - turn.north_nm) < 0.01
    over = atan2(TAS * sin(radians(at)) + air.east_kt, TAS * cos(radians(at)) + air.north_kt)
    to = atan2(12.0 - east, -9.0 - north)
    assert abs(degrees(over - to) % 360.0) == pytest.approx(0.0, abs=0.1) or abs(
        degrees(over - to) % 360.0
    ) == pytest.approx(360.0, abs=0.1)


def test_a_point_inside_the_turn_is_none_that_it_leads_to():
    turn = turn_to(0.0, east_nm=RADIUS_NM, north_nm=0.0, tas_kt=TAS, bank_deg=BANK, wind=CALM)
    assert turn == NoSolution(INSIDE)
