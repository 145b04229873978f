"""Sun and Earth against libraries that share neither author nor method with ours: skyfield with the JPL
ephemeris DE421 (packaged as skyfield-data, nothing is fetched), and Vincenty's formulas as pymap3d writes
them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from importlib.resources import files
from math import cos, hypot, radians
from random import Random

import pytest

from briefgen.airmath import geodesy
from briefgen.airmath.angles import turn_deg
from briefgen.airmath.clocks import find_zone
from briefgen.airmath.sun import azimuth_deg, day_events, elevation_deg
from briefgen.units.values import Position

METRES_A_DEGREE = 111_320.0  # of latitude, near enough for a difference of a millimetre


class Sky:
    """The sun as seen from a place at sea level, without refraction, in degrees."""

    def __init__(self) -> None:
        api = pytest.importorskip("skyfield.api")
        pytest.importorskip("skyfield_data")
        load = api.Loader(str(files("skyfield_data") / "data"), expire=False, verbose=False)
        self.clock, self.bodies, self.place = (
            load.timescale(builtin=True),
            load("de421.bsp"),
            api.wgs84.latlon,
        )

    def sun(self, lat, lon, instants):
        """Heights and directions at the instants."""
        seen = (self.bodies["earth"] + self.place(lat, lon)).at(self.clock.from_datetimes(instants))
        height, direction, _ = seen.observe(self.bodies["sun"]).apparent().altaz()
        return height.degrees, direction.degrees


@pytest.fixture(scope="module")
def sky() -> Sky:
    return Sky()


EDGES_DEG = {"sunrise": -50 / 60, "sunset": -50 / 60, "civil dawn": -6.0, "civil dusk": -6.0}


@pytest.mark.parametrize(
    ("lowest", "highest", "within_s", "events"), [(0.0, 60.0, 0.7, 450), (60.0, 78.0, 11.0, 300)]
)
def test_the_sun_stands_at_its_edge_at_each_event(sky, lowest, highest, within_s, events):
    """What the height is off its edge, over how fast it changes, is what the instant is off; the bounds are
    those that README gives against ephem."""
    random, seen = Random(4), 0
    for _ in range(120):
        lat, lon = random.choice((-1, 1)) * random.uniform(lowest, highest), random.uniform(-180, 180)
        day = date(2024, 1, 1) + timedelta(days=random.randrange(12 * 365))
        found = day_events(lat, lon, day, find_zone("UTC")).events
        beside = [event.instant + timedelta(seconds=s) for event in found for s in (-10, 0, 10)]
        heights = sky.sun(lat, lon, beside)[0].reshape(-1, 3) if beside else ()
        for event, (before, at, after) in zip(found, heights, strict=True):
            off_s = (at - EDGES_DEG[event.kind]) / ((after - before) / 20)
            assert abs(off_s) < within_s, (lat, lon, event)
        seen += len(found)
    assert seen > events


@pytest.mark.parametrize("lat", [-78, -45, 0, 45, 78])
def test_height_and_direction_against_the_jpl_ephemeris(sky, lat):
    instants = [
        datetime(2026, 1, 1, tzinfo=UTC) + step * timedelta(days=6, hours=5, minutes=37)
        for step in range(120)
    ]
    for instant, height, direction in zip(instants, *sky.sun(lat, 171.5, instants), strict=True):
        assert elevation_deg(lat, 171.5, instant) == pytest.approx(height, abs=0.0015)
        across = turn_deg(direction, azimuth_deg(lat, 171.5, instant)) * cos(radians(height))
        assert across == pytest.approx(0, abs=0.0015)


def anywhere(random: Random) -> Position:
    return Position(random.uniform(-89, 89), random.uniform(-180, 180))


def test_geodesics_against_vincenty():
    """The same ellipsoid by another method, good to a tenth of a millimetre up to 9000 nm (nearly antipodal
    it does not converge); it gives longitudes beyond 180 degrees, 245.01 for -114.99."""
    vincenty = pytest.importorskip("pymap3d.vincenty")
    random, pairs = Random(9), 0
    for _ in range(600):
        a, b = anywhere(random), anywhere(random)
        line = geodesy.inverse(a, b)
        if line.distance_nm > 9000:
            continue
        metres, course = vincenty.vdist(a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg)
        assert line.distance_nm * 1852 == pytest.approx(float(metres), abs=2e-4)
        assert abs(turn_deg(line.course_start_deg, float(course))) < 1e-8
        lat, lon = vincenty.vreckon(a.lat_deg, a.lon_deg, float(metres), float(course))
        there = geodesy.direct(a, float(course), float(metres) / 1852).position
        east = turn_deg(there.lon_deg, float(lon)) * cos(radians(there.lat_deg))
        assert hypot(float(lat) - there.lat_deg, east) * METRES_A_DEGREE < 2e-4
        pairs += 1
    assert pairs > 400
