"""The sun of a plan: which places, which instants, whose day. The sun's own figures are tested in airmath."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from briefgen.plan.build import fly
from briefgen.plan.model import Point
from briefgen.plan.timing.daylight import area_centre, sun_at
from briefgen.units.values import Position
from tests.places import REPOSITORY
from tests.planned import load_mission

MISSIONS = REPOSITORY / "missions"


def flown(name, *edits):
    mission, problems = load_mission(MISSIONS / f"{name}.yaml", edits)
    assert mission is not None, [p.message for p in problems]
    return fly(mission, tables=False)[0]


@pytest.mark.parametrize(
    ("name", "edits", "used_for"),
    [
        ("regatta", (), ["take-off", "training", "the pass", "last landing"]),
        ("regatta", (("training", ""), ("weather.at.AREA", "")), ["take-off", "the pass", "last landing"]),
    ],
)
def test_what_the_sun_is_looked_up_for_in_time_order(name, edits, used_for):
    suns = flown(name, *edits).suns
    assert [sun.used_for for sun in suns] == used_for
    assert [sun.at for sun in suns] == sorted(sun.at for sun in suns)


def test_the_training_is_looked_at_in_its_middle():
    sortie = flown("regatta")
    sun = next(sun for sun in sortie.suns if sun.used_for == "training")
    assert sun.at - sortie.clock.training_start == sortie.clock.training_end - sun.at
    assert sun.point.id == "AREA"


def test_middle_of_a_square():
    corners = tuple(
        Position(lat, lon) for lat, lon in ((-38.0, 139.0), (-38.0, 141.0), (-39.0, 141.0), (-39.0, 139.0))
    )
    centre = area_centre(corners)
    assert centre.lon_deg == pytest.approx(140.0, abs=0.01) and centre.lat_deg == pytest.approx(
        -38.5, abs=0.02
    )


def test_equinox_on_the_equator():
    """20 March 2027: the sun rises and sets near 06:00 and 18:00 of the sun's own clock; at 0 E that is UTC
    less the equation of time of -7.4 min (almanac, from memory), and 0.833 degrees of refraction and half the
    disc make the day 6.7 min longer."""
    sun = sun_at(
        Point("X", "X", 0.0, 0.0), ZoneInfo("UTC"), "the pass", datetime(2027, 3, 20, 12, 7, tzinfo=UTC)
    )
    (sunrise,), (sunset,) = sun.all_of("sunrise"), sun.all_of("sunset")
    assert abs(sunrise - datetime(2027, 3, 20, 6, 4, tzinfo=UTC)) < timedelta(minutes=2)
    assert abs(sunset - datetime(2027, 3, 20, 18, 11, tzinfo=UTC)) < timedelta(minutes=2)
    assert sun.elevation_deg > 89.0


def test_the_day_is_the_one_at_the_place():
    """02:07 Z on 30 January is still 29 January at 150 W, and the sun of that day is meant."""
    sun = sun_at(
        Point("X", "X", 20.0, -150.0),
        ZoneInfo("Pacific/Honolulu"),
        "take-off",
        datetime(2027, 1, 30, 2, 7, tzinfo=UTC),
    )
    assert [at.astimezone(ZoneInfo("Pacific/Honolulu")).date().day for at in sun.all_of("sunset")] == [29]


def test_a_sun_that_never_rises_is_a_result():
    """At 78 N in December there is no sunrise, and the words say so."""
    sun = sun_at(
        Point("X", "X", 78.2, 15.6),
        ZoneInfo("Arctic/Longyearbyen"),
        "the pass",
        datetime(2027, 12, 21, 11, 0, tzinfo=UTC),
    )
    assert sun.events == () and sun.words == "down all day, dark all day" and sun.elevation_deg < -10.0
    assert sun.before is sun.after is None
