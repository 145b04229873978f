"""Areas: inside, distance to the boundary, crossings. Independent answers from PROJ's plane and plain ray
casting."""

from random import Random

import pytest
from pyproj import Geod, Proj

from briefgen.airmath import areas, geodesy
from briefgen.airmath.angles import turn_deg
from briefgen.units.values import Position as P

PROJ = Geod(ellps="WGS84")
MM = 0.001 / 1852

SANDPIPER = [
    P(-38.0, 139 + 1 / 3),
    P(-38.0, 140 + 2 / 3),
    P(-38 - 2 / 3, 140 + 2 / 3),
    P(-38 - 2 / 3, 139 + 1 / 3),
]
DATE_LINE = [P(-18, 179), P(-18, -179), P(-16, -179), P(-16, 179)]
ROUND_THE_POLE = [P(85, lon) for lon in (0, 60, 120, 180, -120, -60)]
L_SHAPE = [P(50, 0), P(50, 1), P(50.2, 1), P(50.2, 0.3), P(50.8, 0.3), P(50.8, 0)]


@pytest.mark.parametrize(
    ("what", "point", "corners", "inside"),
    [
        ("middle", P(-38.3, 140), SANDPIPER, True),
        ("just north of it", P(-37.99, 140), SANDPIPER, False),
        ("far away", P(-10, 20), SANDPIPER, False),
        ("exactly across the Earth from its middle", P(38 + 1 / 3, -40), SANDPIPER, False),
        ("a corner", SANDPIPER[2], SANDPIPER, True),
        ("on its western side", P(-38.4, 139 + 1 / 3), SANDPIPER, True),
        ("a metre west of that side", P(-38.4, 139 + 1 / 3 - 1.2e-5), SANDPIPER, False),
        ("a metre east of that side", P(-38.4, 139 + 1 / 3 + 1.2e-5), SANDPIPER, True),
        (
            (
                "south of the parallel, north of the geodesic side (which bulges to the pole by about 0.06 nm"
                " at 38 S)"
            ),
            P(-38.0003, 140),
            SANDPIPER,
            False,
        ),
        ("on the date line", P(-17, 180), DATE_LINE, True),
        ("on the date line, written the other way", P(-17, -180), DATE_LINE, True),
        ("east of it", P(-17, -179.5), DATE_LINE, True),
        ("on the other side of the Earth", P(-17, 0), DATE_LINE, False),
        ("outside, east", P(-17, -178.9), DATE_LINE, False),
        ("the pole inside", P(90, 0), ROUND_THE_POLE, True),
        ("near the pole, any meridian", P(88, -150), ROUND_THE_POLE, True),
        ("outside the ring", P(84, 60), ROUND_THE_POLE, False),
        ("foot of the L", P(50.1, 0.8), L_SHAPE, True),
        ("stem of the L", P(50.6, 0.2), L_SHAPE, True),
        ("the notch of the L", P(50.5, 0.7), L_SHAPE, False),
    ],
)
def test_inside(what, point, corners, inside):
    assert areas.inside_area(point, corners) is inside
    assert areas.inside_area(point, corners[::-1]) is inside


def casts_ray(x, y, ring):
    inside = False
    for (x1, y1), (x2, y2) in zip(ring, ring[1:] + ring[:1], strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            inside = not inside
    return inside


@pytest.mark.parametrize(
    "corners", [SANDPIPER, DATE_LINE, L_SHAPE, ROUND_THE_POLE], ids=["box", "date line", "L", "pole"]
)
def test_inside_agrees_with_ray_casting(corners):
    """In PROJ's gnomonic projection about the point itself; points closer than 0.2 nm to a side are left to
    the table above."""
    random, told = Random(5), {True: 0, False: 0}
    ends = corners[0], corners[len(corners) // 2]
    centre = geodesy.point_along(*ends, geodesy.distance_nm(*ends) / 2).position
    for _ in range(60):
        point = geodesy.direct(
            centre, random.uniform(0, 360), random.uniform(0, 300 if corners is ROUND_THE_POLE else 90)
        ).position
        if areas.distance_to_edge_nm(point, corners) < 0.2:
            continue
        plane = Proj(f"+proj=gnom +lat_0={point.lat_deg} +lon_0={point.lon_deg} +R=6371009")
        ring = [plane(c.lon_deg, c.lat_deg) for c in corners]
        expected = casts_ray(0.0, 0.0, ring)
        assert areas.inside_area(point, corners) is expected
        told[expected] += 1
    assert min(told.values()) > 5


@pytest.mark.parametrize("corners", [SANDPIPER, DATE_LINE, L_SHAPE], ids=["box", "date line", "L"])
def test_distance_to_the_boundary_is_the_least_over_points_of_it(corners):
    """Against 400 points of every side, laid out with PROJ."""
    random = Random(9)
    dots = []
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        dots += [(a.lon_deg, a.lat_deg), *PROJ.npts(a.lon_deg, a.lat_deg, b.lon_deg, b.lat_deg, 400)]
    for _ in range(12):
        point = geodesy.direct(corners[0], random.uniform(0, 360), random.uniform(5, 120)).position
        lons, lats = zip(*dots, strict=True)
        n = len(dots)
        nearest_nm = min(PROJ.inv([point.lon_deg] * n, [point.lat_deg] * n, lons, lats)[2]) / 1852
        got = areas.distance_to_edge_nm(point, corners)
        assert got <= nearest_nm + MM
        assert got == pytest.approx(nearest_nm, abs=0.05)


@pytest.mark.parametrize(
    ("what", "a", "b", "c", "d"),
    [
        ("short lines", P(-38.4, 141.4), P(-38.3, 141.6), P(-38.3, 141.4), P(-38.4, 141.6)),
        ("long lines", P(40, -73), P(51, 0), P(20, -40), P(70, -30)),
        ("over the date line", P(-17, 178), P(-17, -178), P(-18, 179.5), P(-16, -179.5)),
        ("half a mile from the start", P(0, -1 / 120), P(0, 1), P(-1, 0), P(1, 0)),
        ("at an acute angle", P(0, 0), P(0.01, 10), P(-0.01, 0), P(0.03, 10)),
        ("into the start of the other", P(10, 9), P(10, 11), P(10.0015, 10), P(12, 10)),
    ],
)
def test_crossing_lies_on_both_lines(what, a, b, c, d):
    if what.startswith("into"):
        c = geodesy.point_along(a, b, 40).position
    where = areas.crossing(a, b, c, d)
    for start, end in ((a, b), (c, d)):
        azi_end, _, length = PROJ.inv(start.lon_deg, start.lat_deg, end.lon_deg, end.lat_deg)
        azi_here, _, here = PROJ.inv(start.lon_deg, start.lat_deg, where.lon_deg, where.lat_deg)
        sideways = here * abs(turn_deg(azi_end, azi_here)) / 57.29578 if here > 1 else 0
        assert sideways < 0.02
        assert -0.001 < here < length + 0.001


@pytest.mark.parametrize(
    ("what", "a", "b", "c", "d"),
    [
        ("side by side", P(0, 0), P(0, 1), P(0.1, 0), P(0.1, 1)),
        ("would cross if longer", P(0, 0), P(0, 1), P(1, 2), P(-1, 2)),
        ("the other is too short", P(0, 0), P(0, 1), P(1, 0.5), P(0.5, 0.5)),
        ("no length", P(0, 0), P(0, 0), P(1, 0), P(-1, 0)),
        ("along each other", P(0, 0), P(0, 2), P(0, 1), P(0, 3)),
    ],
)
def test_no_crossing(what, a, b, c, d):
    assert areas.crossing(a, b, c, d) is None


@pytest.mark.parametrize(
    ("what", "corners", "crosses"),
    [
        ("a box", SANDPIPER, False),
        ("an L", L_SHAPE, False),
        ("over the date line", DATE_LINE, False),
        ("round the pole", ROUND_THE_POLE, False),
        ("a triangle", SANDPIPER[:3], False),
        ("two corners of the box swapped", [SANDPIPER[0], SANDPIPER[2], SANDPIPER[1], SANDPIPER[3]], True),
        (
            "two corners over the date line swapped",
            [DATE_LINE[1], DATE_LINE[0], DATE_LINE[2], DATE_LINE[3]],
            True,
        ),
    ],
)
def test_a_boundary_that_crosses_itself_is_told(what, corners, crosses):
    assert areas.boundary_crosses_itself(corners) is crosses


def test_an_area_has_three_corners_and_they_are_places():
    with pytest.raises(ValueError, match="at least three corners"):
        areas.inside_area(P(0, 0), SANDPIPER[:2])
    with pytest.raises(ValueError, match="not a place on Earth"):
        areas.inside_area(P(0, 0), [P(0, 0), P(1, 1), P(95, 0)])
