"""Geodesics against published cases and against PROJ, whose geodesics are by the same author as ours, written
in C; by another method in test_second_references.py."""

from math import cos, hypot, radians
from random import Random

import pytest
from pyproj import Geod, Transformer

from briefgen.airmath import geodesy
from briefgen.airmath.angles import turn_deg
from briefgen.units.values import Position as P
from tests.places import TESTS

PROJ = Geod(ellps="WGS84")
CASES = TESTS / "data" / "geodesic_cases.txt"
ROWS = [
    tuple(map(float, line.split())) for line in CASES.read_text().splitlines() if not line.startswith("#")
]
MM = 0.001 / 1852  # a millimetre in nautical miles
NAN = float("nan")


def differs_deg(a, b):
    return abs(turn_deg(a, b))


def metres_between(a, b):
    return PROJ.inv(a.lon_deg, a.lat_deg, b.lon_deg, b.lat_deg)[2]


def anywhere(random):
    return P(random.uniform(-90, 90), random.uniform(-180, 180))


def test_all_published_cases_are_there():
    assert len(ROWS) == 20


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[6]:.0f}m")
def test_karney_cases(row):
    """tests/data/geodesic_cases.txt (C. F. F. Karney): within 1 mm and 1e-9 degrees, both ways."""
    lat1, lon1, azi1, lat2, lon2, azi2, metres = row
    start, end = P(lat1, lon1), P(lat2, (lon2 + 180) % 360 - 180)
    line = geodesy.inverse(start, end)
    assert line.distance_nm * 1852 == pytest.approx(metres, abs=0.001)
    assert differs_deg(line.course_start_deg, azi1) < 1e-9
    assert differs_deg(line.course_end_deg, azi2) < 1e-9
    there = geodesy.direct(start, azi1, metres / 1852)
    assert metres_between(there.position, end) < 0.001
    assert differs_deg(there.course_true_deg, azi2) < 1e-9


@pytest.mark.parametrize(
    ("source", "start", "end", "metres", "within_m"),
    [
        ("GeodSolve0", P(40.6, -73.8), P(49.01666667, 2.55), 5853226, 0.5),
        ("GeodSolve29: over the date line on the equator", P(0, 179), P(0, -179), 222639, 0.5),
        (
            "GeodSolve documentation: Wellington to Salamanca",
            P(-41.32, 174.81),
            P(40.96, -5.50),
            19959679.267,
            0.001,
        ),
        (
            "geographiclib documentation: Beijing to San Francisco",
            P(40.1, 116.6),
            P(37.6, -122.4),
            9513998,
            0.5,
        ),
        ("antipodal on the equator: over a pole", P(0, 0), P(0, 180), 20003931, 0.5),
        (
            "nearly antipodal (computed with PROJ), where Vincenty's method fails",
            P(0, 0),
            P(0.5, 179.5),
            19936288.579,
            0.001,
        ),
        (
            "Vincenty's test line Flinders Peak to Buninyong",
            P(-37.951033417, 144.424867889),
            P(-37.652821139, 143.926495528),
            54972.271,
            0.001,
        ),
        ("one minute of latitude at the equator", P(-0.5 / 60, 10), P(0.5 / 60, 10), 1842.905, 0.001),
        ("one minute of latitude at 45", P(45 - 0.5 / 60, 10), P(45 + 0.5 / 60, 10), 1852.199, 0.03),
        ("one minute of latitude at a pole", P(90 - 1 / 60, 10), P(90, 10), 1861.566, 0.001),
    ],
)
def test_published_distances(source, start, end, metres, within_m):
    assert geodesy.distance_nm(start, end) * 1852 == pytest.approx(metres, abs=within_m)
    assert geodesy.distance_nm(end, start) * 1852 == pytest.approx(metres, abs=within_m)


def dms(degrees, minutes, seconds):
    return degrees + minutes / 60 + seconds / 3600


@pytest.mark.parametrize(
    ("source", "start", "end", "course", "course_end", "within_deg"),
    [
        ("GeodSolve0", P(40.6, -73.8), P(49.01666667, 2.55), 53.47022, 111.59367, 5e-6),
        (
            "Flinders Peak to Buninyong, Geoscience Australia (reverse 127 10 25.07)",
            P(-dms(37, 57, 3.7203), dms(144, 25, 29.5244)),
            P(-dms(37, 39, 10.1561), dms(143, 55, 35.3839)),
            dms(306, 52, 5.37),
            dms(307, 10, 25.07),
            2e-6,
        ),
        ("due north", P(0, 10), P(5, 10), 0, 0, 1e-9),
        ("due south, over the equator", P(5, -180), P(-5, 180), 180, 180, 1e-9),
        ("due west along the equator, over the date line", P(0, -179.5), P(0, 179.5), 270, 270, 1e-9),
    ],
)
def test_published_courses(source, start, end, course, course_end, within_deg):
    line = geodesy.inverse(start, end)
    assert differs_deg(line.course_start_deg, course) < within_deg
    assert differs_deg(line.course_end_deg, course_end) < within_deg


# Positions of real airfields; distances and courses from PROJ and geographiclib, and how far a sphere of
# 6371.009 km is off.
AIRFIELDS = [
    ("YMML-YSSY", P(-37.67330, 144.84300), P(-33.94610, 151.17700), 381.1701, 56.0431, 52.3326),
    ("YMES-YMAV", P(-38.09890, 147.14900), P(-38.03940, 144.46899), 127.0276, 270.7820, 272.4347),
    ("YMML-YPAD", P(-37.67330, 144.84300), P(-34.94500, 138.53101), 346.8933, 296.2077, 299.9488),
    ("EGLL-KJFK", P(51.47060, -0.46194), P(40.63993, -73.77869), 2999.1995, 287.9766, 231.3818),
    ("KJFK-KLAX", P(40.63993, -73.77869), P(33.94250, -118.40805), 2150.6272, 273.8900, 245.9117),
    ("NZCI-NZAA", P(-43.81000, -176.45700), P(-37.00810, 174.79201), 571.3660, 312.5612, 318.2504),
    ("NFFN-NSFA", P(-17.75540, 177.44299), P(-13.83000, -172.00800), 653.6131, 70.4761, 67.5958),
    ("EGXC-EGUN", P(53.09300, -0.16601), P(52.36190, 0.48641), 49.9618, 151.2926, 151.8117),
    ("KPHX-KDEN", P(33.43428, -112.01158), P(39.86167, -104.67317), 522.9292, 40.4726, 44.8637),
]


@pytest.mark.parametrize(("pair", "start", "end", "nm", "course", "course_end"), AIRFIELDS)
def test_airfield_pairs(pair, start, end, nm, course, course_end):
    """The printed figures were made from more digits of the positions, so 1 m and 0.0003 degrees; PROJ from
    these digits, so 1 mm."""
    line = geodesy.inverse(start, end)
    assert line.distance_nm == pytest.approx(nm, abs=1 / 1852)
    assert differs_deg(line.course_start_deg, course) < 3e-4
    assert differs_deg(line.course_end_deg, course_end) < 3e-4
    assert line.distance_nm * 1852 == pytest.approx(metres_between(start, end), abs=0.001)
    half = PROJ.fwd(start.lon_deg, start.lat_deg, line.course_start_deg, nm * 926)
    assert differs_deg(line.course_middle_deg, half[2] + 180) < 1e-5


@pytest.mark.parametrize(
    ("source", "start", "course", "nm", "end"),
    [
        ("north of Avalon", P(-38.0394, 144.4694), 0, 20, P(-37.70568847, 144.4694)),
        ("west of Avalon", P(-38.0394, 144.4694), 270, 15, P(-38.03897411, 144.15294786)),
        ("east over the date line", P(0, 179.9), 90, 12, P(0, -179.90035841)),
        ("west over the date line", P(-43.81, -179.95), 270, 10, P(-43.80976823, 179.81982898)),
        ("GeodSolve1", P(40.63972222, -73.77888889), 53.5, 5850000 / 1852, P(49.01467, 2.56106)),
        (
            "geographiclib documentation: 20 000 km south-west of Perth",
            P(-32.06, 115.74),
            225,
            20000000 / 1852,
            P(32.11195529, -63.95925278),
        ),
    ],
)
def test_point_at_a_distance_and_course(source, start, course, nm, end):
    there = geodesy.direct(start, course, nm).position
    digits = 5e-6 if source == "GeodSolve1" else 6e-9
    assert there.lat_deg == pytest.approx(end.lat_deg, abs=digits)
    assert there.lon_deg == pytest.approx(end.lon_deg, abs=digits)


def test_over_the_north_pole_and_down_the_other_side():
    """Up the meridian 10 E from 89 N for 2 x 111.69 km ends at 89 N on 170 W, flying south."""
    over = geodesy.inverse(P(89, 10), P(89, -170))
    assert (over.course_start_deg, over.course_end_deg) == pytest.approx((0, 180), abs=1e-9)
    assert over.distance_nm * 1852 == pytest.approx(2 * PROJ.inv(10, 89, 10, 90)[2], abs=0.001)


@pytest.mark.parametrize(("pole", "lon", "course"), [(90, 30, 180), (-90, 30, 0), (90, -180, 180)])
def test_from_a_pole_everything_lies_along_its_own_meridian(pole, lon, course):
    assert geodesy.inverse(P(pole, lon), P(0, lon)).course_start_deg == pytest.approx(course, abs=1e-9)


@pytest.mark.parametrize(
    ("a", "b"),
    [(P(10, 20), P(10, 20)), (P(0, 180), P(0, -180)), (P(90, 10), P(90, 100)), (P(10, 20), P(10 + 4e-9, 20))],
)
def test_coincident_points_have_no_course(a, b):
    line = geodesy.inverse(a, b)
    assert line.distance_nm < MM
    assert (line.course_start_deg, line.course_middle_deg, line.course_end_deg) == (None, None, None)
    with pytest.raises(ValueError, match="coincide"):
        geodesy.point_along(a, b, 1)


def test_agrees_with_proj_over_the_whole_earth():
    random = Random(20270130)
    for _ in range(300):
        a, b = anywhere(random), anywhere(random)
        azi1, azi2, metres = PROJ.inv(a.lon_deg, a.lat_deg, b.lon_deg, b.lat_deg)
        line = geodesy.inverse(a, b)
        assert line.distance_nm * 1852 == pytest.approx(metres, abs=1e-5)
        assert differs_deg(line.course_start_deg, azi1) < 1e-7
        assert differs_deg(line.course_end_deg, azi2 + 180) < 1e-7
        assert metres_between(geodesy.direct(a, azi1, metres / 1852).position, b) < 1e-5


def test_points_along_a_line_lie_on_it():
    random = Random(7)
    for _ in range(50):
        a, b = anywhere(random), anywhere(random)
        azi, _, metres = PROJ.inv(a.lon_deg, a.lat_deg, b.lon_deg, b.lat_deg)
        for fraction in (-0.01, 0, 0.3, 0.5, 1, 1.01):
            lon, lat, back = PROJ.fwd(a.lon_deg, a.lat_deg, azi, metres * fraction)
            on = geodesy.point_along(a, b, metres * fraction / 1852)
            assert metres_between(on.position, P(lat, lon)) < 0.001
            if fraction > 0:
                assert differs_deg(on.course_true_deg, back + 180) < 1e-6


def test_a_negative_distance_goes_backwards():
    back = geodesy.direct(P(-38, 144), 40, -12).position
    forth = geodesy.direct(P(-38, 144), 220, 12).position
    assert metres_between(back, forth) < 1e-6


@pytest.mark.parametrize("centre", [P(-38.4, 141.4), P(0, 180), P(-17, -179.99), P(78, 15), P(89.9, 0)])
def test_the_plane_around_a_point(centre):
    """PROJ's azimuthal equidistant projection of the ellipsoid; and lengths inside 25 nm are true to 1 part
    in 100 000."""
    proj = Transformer.from_crs(
        "EPSG:4326",
        f"+proj=aeqd +lat_0={centre.lat_deg} +lon_0={centre.lon_deg} +ellps=WGS84",
        always_xy=True,
    )
    random = Random(3)
    points = [
        geodesy.direct(centre, random.uniform(0, 360), random.uniform(0, 25)).position for _ in range(40)
    ]
    flat = [geodesy.to_plane(centre, p) for p in points]
    for p, q in zip(points, flat, strict=True):
        east_m, north_m = proj.transform(p.lon_deg, p.lat_deg)
        assert (q.east_nm * 1852, q.north_nm * 1852) == pytest.approx((east_m, north_m), abs=0.002)
        assert metres_between(geodesy.from_plane(centre, q.east_nm, q.north_nm), p) < 0.001
    for i in range(39):
        true_nm = metres_between(points[i], points[i + 1]) / 1852
        plane_nm = hypot(flat[i].east_nm - flat[i + 1].east_nm, flat[i].north_nm - flat[i + 1].north_nm)
        assert plane_nm == pytest.approx(true_nm, rel=1e-5, abs=1e-6)


def test_the_centre_of_a_plane_is_its_origin():
    assert geodesy.to_plane(P(10, 10), P(10, 10)) == geodesy.PlanePoint(0, 0)
    assert metres_between(geodesy.from_plane(P(10, 10), 0, 0), P(10, 10)) < 1e-6


def nearest_by_search(a, b, point, low_nm, high_nm):
    from scipy.optimize import minimize_scalar  # takes most of a second, and every worker reads this file

    azi, _, _ = PROJ.inv(a.lon_deg, a.lat_deg, b.lon_deg, b.lat_deg)

    def away(nm):
        lon, lat, _ = PROJ.fwd(a.lon_deg, a.lat_deg, azi, nm * 1852)
        return PROJ.inv(lon, lat, point.lon_deg, point.lat_deg)[2] / 1852

    return minimize_scalar(away, bounds=(low_nm, high_nm), method="bounded", options={"xatol": 1e-7})


def test_cross_track_and_along_track_are_those_of_the_nearest_point():
    """Against a search for the least distance along the line, with PROJ, all over the Earth."""
    random = Random(11)
    for _ in range(40):
        a = anywhere(random)
        b = geodesy.direct(a, random.uniform(0, 360), random.uniform(1, 1500)).position
        point = geodesy.direct(a, random.uniform(0, 360), random.uniform(1, 1500)).position
        length_nm = metres_between(a, b) / 1852
        off = geodesy.off_line(a, b, point)
        whole = nearest_by_search(a, b, point, off.along_nm - 200, off.along_nm + 200)
        # the search itself is no better near a minimum
        assert off.along_nm == pytest.approx(whole.x, abs=1e-3)
        assert abs(off.cross_right_nm) == pytest.approx(whole.fun, abs=1e-7)
        assert off.distance_nm <= min(metres_between(a, point), metres_between(b, point)) / 1852 + 1e-9
        if 0 < off.along_nm < length_nm:
            assert off.distance_nm == pytest.approx(whole.fun, abs=1e-7)
        else:
            assert off.distance_nm == pytest.approx(
                metres_between(a if off.along_nm < 0 else b, point) / 1852, abs=1e-9
            )


@pytest.mark.parametrize(
    ("what", "course", "along", "right", "distance"),
    [
        ("right of the middle", 40, 6, 2, 2),
        ("left of the middle", 40, 6, -3, 3),
        ("on the line", 200, 5, 0, 0),
        ("before the start", 310, -3, 4, 5),
        ("beyond the end", 130, 13, -4, 5),
    ],
)
def test_sides_of_a_segment_of_ten_miles(what, course, along, right, distance):
    """3-4-5 triangles within 10 nm, where the Earth is flat to a few hundred-thousandths."""
    start = P(-38.4278, 141.4767)
    end = geodesy.direct(start, course, 10).position
    foot = geodesy.direct(start, course, along)
    point = geodesy.direct(foot.position, foot.course_true_deg + 90, right).position
    off = geodesy.off_line(start, end, point)
    assert (off.along_nm, off.cross_right_nm) == pytest.approx((along, right), abs=1e-6)
    assert off.distance_nm == pytest.approx(distance, abs=1e-4)


def test_a_segment_over_the_date_line():
    off = geodesy.off_line(P(0, 179.5), P(0, -179.5), P(0.1, 180))
    # half a degree of the equator
    assert off.along_nm == pytest.approx(6378137 * radians(0.5) / 1852, abs=1e-6)
    # left; a degree of latitude at the equator, from memory
    assert off.cross_right_nm == pytest.approx(-110574.3886 * 0.1 / 1852, rel=1e-5)


def test_a_segment_without_length_has_a_distance_only():
    off = geodesy.off_line(P(10, 10), P(10, 10), P(10, 11))
    assert off.along_nm == 0
    assert (
        off.distance_nm
        == off.cross_right_nm
        == pytest.approx(6378137 * radians(1) * cos(radians(10)) / 1852, rel=2e-3)
    )


@pytest.mark.parametrize(
    ("lat", "lon"),
    [
        (-115, 0),
        (90.0001, 0),
        (-90.0001, 0),
        (0, 180.0001),
        (0, -180.0001),
        (0, -181),
        (NAN, 0),
        (0, NAN),
        (float("inf"), 0),
    ],
)
def test_what_is_no_place_is_refused_everywhere(lat, lon):
    nowhere, here = P(lat, lon), P(0, 0)
    assert not geodesy.is_position(lat, lon)
    for call in (
        lambda: geodesy.inverse(here, nowhere),
        lambda: geodesy.inverse(nowhere, here),
        lambda: geodesy.direct(nowhere, 90, 10),
        lambda: geodesy.point_along(here, nowhere, 1),
        lambda: geodesy.off_line(here, P(1, 1), nowhere),
        lambda: geodesy.to_plane(nowhere, here),
        lambda: geodesy.from_plane(nowhere, 0, 0),
        lambda: geodesy.distance_nm(here, nowhere),
    ):
        with pytest.raises(ValueError, match="not a place on Earth"):
            call()


@pytest.mark.parametrize(("lat", "lon"), [(90, 180), (-90, -180), (0, 0)])
def test_the_corners_of_the_map_are_places(lat, lon):
    assert geodesy.is_position(lat, lon)


def test_a_course_or_distance_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="direction"):
        geodesy.direct(P(0, 0), NAN, 10)
    with pytest.raises(ValueError, match="distance"):
        geodesy.direct(P(0, 0), 90, NAN)
