"""Which listed obstacles count, ship by ship, and how exactly their positions were typed. Places are laid out
with pyproj."""

from __future__ import annotations

from math import radians, sin

import pytest
from pyproj import Geod

from briefgen.airmath.precision import typed_uncertainty_nm
from briefgen.plan.gates import judge
from briefgen.plan.heights.pass_heights import near_obstacles
from briefgen.units.parse import parse_position
from tests.plan.gates.gate_reading import gates, sortie
from tests.yardstick import processor_seconds, yards

WGS84 = Geod(ellps="WGS84")
PONTOON, IP = (141.61, -38.3466666667), (141.4766666667, -38.4283333333)
FT_M, NM_M = 0.3048, 1852.0
COURSE = WGS84.inv(*IP, *PONTOON)[0]


def beside_the_run_in(*, before_nm: float, right_ft: float) -> str:
    """A position typed to a millionth of a degree: so far before the pontoon along the run-in, so far to its
    right."""
    lon, lat, back = WGS84.fwd(*PONTOON, WGS84.inv(*PONTOON, *IP)[0], before_nm * NM_M)
    lon, lat, _ = WGS84.fwd(lon, lat, back + 180 + 180 + 90, right_ft * FT_M)
    return f"{lat:.6f} {lon:.6f}"


def obstacle(position: str, top: str) -> tuple:
    return (("event.pass.obstacles", f'[{{name: Pole, position: "{position}", top: {top}}}]'),)


# 2000 ft from the track of the nearest ship: ship 2 flies 30 ft to the left, ships 3 and 4 30 and 60 ft to
# the right of the leader, at 1490, 1480 and 1470 ft MSL. 500 ft MSL is 990, 980 and 970 ft below them and
# 1000 ft below the leader.
@pytest.mark.parametrize(
    "before_nm, right_ft, verdict, value",
    [
        (4.0, 0, "FAIL", 970.0),
        (4.0, 1990, "FAIL", 970.0),
        (4.0, 2055, "FAIL", 970.0),  # 1995 ft from ship 4
        (4.0, 2066, "PASS", 1460.0),  # 2006 ft from ship 4: nothing inside, the ground counts
        (
            4.0,
            -1999,
            "FAIL",
            990.0,
        ),  # ship 2 is 1969 ft away and 990 ft above, the leader 1000 ft above, 3 and 4 further than 2000 ft
        (4.0, -2025, "FAIL", 990.0),  # 1995 ft from ship 2 alone
        (4.0, -2036, "PASS", 1460.0),
        (7.9, 0, "FAIL", 970.0),  # near the IP: the whole run-in counts
        (-7.9, 0, "FAIL", 970.0),  # and the whole egress
        (-8.5, 0, "PASS", 1460.0),  # half a mile beyond its end
    ],
)
def test_inside_the_radius_of_the_nearest_ship(before_nm, right_ft, verdict, value):
    gate = gates(
        "regatta", obstacle(beside_the_run_in(before_nm=before_nm, right_ft=right_ft), "500 ft MSL")
    )["pass-height"]
    assert (gate.verdict, gate.value) == (verdict, value)
    assert "listed obstacles only" in gate.title


@pytest.mark.parametrize(
    "right_ft, verdict",
    [(2066, "CAUTION"), (6100, "CAUTION"), (6140, "PASS"), (-6100, "CAUTION"), (-6110, "PASS")],
)
def test_between_the_radius_and_a_mile(right_ft, verdict):
    """1 nm is 6076 ft, from ship 4 (60 ft right) and from ship 2 (30 ft left)."""
    gate = gates("regatta", obstacle(beside_the_run_in(before_nm=4.0, right_ft=right_ft), "500 ft MSL"))[
        "obstacles-near"
    ]
    assert gate.verdict == verdict


def cross_ft(text: str) -> float:
    """Feet to the right of the leader's run-in, near its end."""
    spot = parse_position(text)
    course_back, _, distance_m = WGS84.inv(*PONTOON, spot.lon_deg, spot.lat_deg)
    return distance_m / FT_M * sin(radians(course_back - COURSE))


def test_a_position_typed_coarsely_counts_from_further_away():
    """To a tenth of a minute it stands for anything within sqrt((0.05 x 0.9988)^2 + (0.05 x 0.789)^2) nm =
    387 ft; the radius is 2000 ft."""
    coarse, fine = "38°21.2'S 141°36.7'E", "38°21.200'S 141°36.700'E"
    assert 2060 < cross_ft(fine) < 2060 + 387
    assert gates("regatta", obstacle(fine, "500 ft MSL"))["pass-height"].verdict == "PASS"
    assert gates("regatta", obstacle(coarse, "500 ft MSL"))["pass-height"].verdict == "FAIL"


# half of the last digit: a minute of latitude at 38 degrees south is 0.9988 nm, of longitude 0.7894 nm
# (pyproj)
@pytest.mark.parametrize(
    "text, half_lat_min, half_lon_min",
    [
        ("38°20.2'S 141°36.9'E", 0.05, 0.05),
        ("38°20.25'S 141°36.95'E", 0.005, 0.005),
        ("38°20'S 141°36'E", 0.5, 0.5),
        ("38°20'15\"S 141°36'10\"E", 0.5 / 60, 0.5 / 60),
        ("-38.34 141.61", 0.3, 0.3),
        ("38.3450S 141.6130E", 0.003, 0.003),
        ("3820.2S14136.9E", 0.05, 0.05),
        ("382015S1413610E", 0.5 / 60, 0.5 / 60),
    ],
)
def test_half_of_the_last_digit_typed(text, half_lat_min, half_lon_min):
    position = parse_position(text)
    lat, lon = position.lat_deg, position.lon_deg
    north = WGS84.inv(lon, lat, lon, lat + half_lat_min / 60)[2]
    east = WGS84.inv(lon, lat, lon + half_lon_min / 60, lat)[2]
    assert typed_uncertainty_nm(text, position) == pytest.approx((north**2 + east**2) ** 0.5 / NM_M, rel=2e-3)


def test_the_lower_end_of_a_climbing_egress_counts():
    """The egress climbs from 1500 to 2000 ft; an obstacle under its end is judged with the lower of the
    two."""
    flown = sortie("regatta", obstacle(beside_the_run_in(before_nm=-7.5, right_ft=0), "500 ft MSL"))
    assert (
        min(
            row.clearance_ft
            for row in near_obstacles(flown.mission, flown.the_pass.chain, flown.the_pass.ships)
        )
        == 970.0
    )


def test_two_hundred_obstacles_take_no_time_to_speak_of():
    many = ", ".join(
        f'{{name: Pole {n}, position: "{beside_the_run_in(before_nm=n / 25, right_ft=n * 20)}", top: 300 ft'
        " MSL}"
        for n in range(200)
    )
    flown = sortie("regatta", (("event.pass.obstacles", f"[{many}]"),))

    assert yards(lambda: processor_seconds(lambda: judge(flown)), 3) < 3
