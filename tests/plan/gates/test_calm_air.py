"""Where the file gives no winds, each verdict whose figures depend on them says so on its own row."""

from __future__ import annotations

import pytest

from briefgen.brief.wording.gates import figures_words
from tests.plan.gates.gate_reading import gates

NO_WINDS = ("weather.winds", "")
CALM = ("weather.winds", "[{level: 5000 ft MSL, wind: 000T/0kt}]")  # a calm that is given is a wind
BY_WIND = (
    *("t-reachable", "hold-minimum", "slip-late", "authority-late", "pass-speed", "area-exit"),
    *("joker", "fuel-order", "way-home-fuel", "landing-fuel", "landing-emergency", "hold-fuel"),
    *("daylight-landing", "duty-period"),
)


@pytest.mark.parametrize("id", BY_WIND)
def test_what_depends_on_the_winds_is_said_to_be_in_calm_air(id):
    without, given = gates("regatta", (NO_WINDS,))[id], gates("regatta", (CALM,))[id]
    assert without.calm and "in calm air" in figures_words(without)
    assert not given.calm and "in calm air" not in figures_words(given)


def test_what_does_not_depend_on_them_is_not_and_an_unknown_figure_has_no_air():
    bare = gates("regatta", (NO_WINDS, ("flight.2.start_fuel", "")))
    assert not any(bare[id].calm for id in ("pass-height", "landing-fuel"))
    assert bare["winds-aloft"].verdict == bare["landing-fuel"].verdict == "NOT CHECKED"


WORKED_BACK = (NO_WINDS, ("ground_ops.takeoff", ""))  # from T, by way of the legs
CARRIED = (NO_WINDS, ("recovery.alternate.required", "yes"))


@pytest.mark.parametrize(
    ("id", "edits", "calm"),
    [
        ("forecast-from", (NO_WINDS,), False),  # take-off as typed
        ("daylight-takeoff", (NO_WINDS,), False),
        ("forecast-from", WORKED_BACK, True),
        ("daylight-takeoff", WORKED_BACK, True),
        ("forecast-until", (NO_WINDS,), True),  # the last landing
        ("alternate-fuel", (NO_WINDS,), False),  # "not carried"
        ("alternate-fuel", CARRIED, True),
    ],
)
def test_air_is_named_only_where_the_winds_enter(id, edits, calm):
    gate = gates("regatta", edits)[id]
    assert gate.verdict != "NOT CHECKED" and gate.calm == calm
