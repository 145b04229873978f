"""A formation leg is judged by the weather forecast within 25 nm of it, a default of this program, and by no
other.

A minute of latitude is a nautical mile (to half a per cent on the ellipsoid): the regatta's way home runs
from the egress to Northbourne, far from a place on 36 degrees south.
"""

from __future__ import annotations

import pytest

from tests.plan.gates.gate_reading import gates

FAR = (
    ("places.FARAWAY", "{position: 35°00.0'S 141°30.0'E, elevation: 100 ft MSL}"),
    ("weather.at.FARAWAY", "{cloud: [OVC 300 ft AGL], visibility: 1 km}"),
)
ALL = tuple((f"weather.at.{place}", "") for place in ("NORTHBOURNE", "PONTOON", "EASTLEA", "HARTWELL"))


def beside_the_pontoon(minutes_south: float) -> tuple[tuple[str, str], ...]:
    """A place south of the initial point (38 25.7 S), which is the southern end of the run-in; the hold fix
    lies at 38 26.8 S."""
    return (
        ("places.BUOY", f"{{position: 38°{26.8 + minutes_south:.1f}'S 141°26.9'E, elevation: 0 ft MSL}}"),
        ("weather.at.BUOY", "{cloud: [OVC 300 ft MSL], visibility: 1 km}"),
    )


def test_weather_two_hundred_miles_away_judges_no_leg():
    near, with_far = gates("regatta"), gates("regatta", FAR)
    assert [(near[id].verdict, near[id].value) for id in ("legs-cloud", "legs-visibility")] == [
        (with_far[id].verdict, with_far[id].value) for id in ("legs-cloud", "legs-visibility")
    ]


def test_weather_inside_the_distance_judges_and_outside_does_not():
    """24.5 and 25.5 minutes of latitude south of the hold fix: 24.5 and 25.4 nm."""
    assert gates("regatta", beside_the_pontoon(24.5))["legs-visibility"].verdict == "FAIL"
    assert gates("regatta", beside_the_pontoon(25.5))["legs-visibility"].verdict == "PASS"


def test_the_place_is_named_and_the_distance_marked_as_a_default():
    found = gates("regatta", beside_the_pontoon(10.0))
    assert found["legs-visibility"].title == "Formation legs: visibility at BUOY"
    assert found["legs-cloud"].title == (  # no top is given, and all five are flown above 1000 ft
        "Formation leg EXIT to HOLD below cloud (so too HOLD to IP, IP to PONTOON, PONTOON to end of egress"
        " and end of egress to NORTHBOURNE): OVC 300 ft MSL at BUOY"
    )
    assert all(
        found[id].source.endswith("weather within 25 nm of the leg: default, no authority")
        for id in ("legs-cloud", "legs-visibility")
    )


def test_a_leg_without_weather_near_it_is_named_with_the_key():
    found = gates("regatta", (*FAR, *ALL))
    for id, key in (("legs-cloud", "cloud"), ("legs-visibility", "visibility")):
        # the first of them: EXIT to HOLD
        assert (found[id].verdict, found[id].settled_by) == (
            "NOT CHECKED",
            ("weather", "at", "HOLD", key),
        )
        assert (
            found[id].why
            == "no weather is forecast within 25 nm (default, no authority) of the formation leg EXIT to HOLD"
        )


AREA = "weather.at.AREA"


@pytest.mark.parametrize(
    ("edits", "why", "key"),
    [
        (((f"{AREA}.cloud", ""),), "no cloud is forecast for the area", ("weather", "at", "AREA", "cloud")),
        (
            ((f"{AREA}.cloud", "[FEW 3000 ft AGL top 4500 ft AGL]"),),
            "the cloud is given above the ground, and the highest ground of the area isn't given",
            ("training", "area", "highest_ground"),
        ),
        (
            (("training.blocks", ""), ("training.area.floor", "5000 ft AGL")),
            "the training is given above the ground, and the highest ground of the area isn't given",
            ("training", "area", "highest_ground"),
        ),
    ],
)
def test_the_area_s_cloud_says_what_it_really_lacks(edits, why, key):
    gate = gates("regatta", edits)["area-cloud"]
    assert (gate.verdict, gate.why, gate.settled_by) == ("NOT CHECKED", why, key)
