"""Home without the event: direct from wherever the flight is, at the last recovery leg's level and speed. The
air is calm and standard in the mission of these tests, so every time is a distance of pyproj's over a typed
speed."""

from __future__ import annotations

from datetime import timedelta

import pytest
from pyproj import Geod

from briefgen.mission.edit.changes import without_event
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly, make_plan
from briefgen.whatif.cut_short import home_from_hold
from tests.places import TESTS
from tests.planned import load_mission, what_if_in

FAR = TESTS / "cases" / "ok-far-event.yaml"
EARTH = Geod(ellps="WGS84")
SPOTS = {
    "ROA": (40.0, -100.0),
    "EDGE": (40.5, -100.0),
    "MID": (42.5, -97.5),
    "HOLD": (44.8, -100.0),
    "CENTRE": (45.2, -100.0),
}
ONE_LEG = ("recovery.legs", "[{to: ROA, level: 10000 ft MSL, speed: 360 KTAS}]")


def nm(start: str, end: str) -> float:
    (a, b), (c, d) = SPOTS[start], SPOTS[end]
    return EARTH.inv(b, a, d, c)[2] / 1852


def mission(*edits):
    read, problems = load_mission(FAR, edits)
    assert read is not None, [p.message for p in problems]
    return read


def flown(*edits):
    sortie, found = fly(mission(*edits))
    assert sortie is not None, [d.message for d in found]
    return sortie


def flown_home(sortie) -> list[str]:
    return [leg.between for leg in sortie.legs if leg.kind == "recovery"]


def cancelled(*edits):
    base = flown(*edits)
    sortie, found = fly(without_event(base.mission, takeoff=base.clock.takeoff, setups=2))
    assert sortie is not None, [d.message for d in found]
    return sortie


def test_with_the_event_the_recovery_legs_are_flown_as_typed():
    sortie = flown()
    assert flown_home(sortie) == ["CENTRE to MID", "MID to ROA"]
    home_s = nm("CENTRE", "MID") / 420 * 3600 + nm("MID", "ROA") / 360 * 3600
    assert (sortie.clock.lead_landing - sortie.the_pass.true_time).total_seconds() == pytest.approx(
        home_s + 360, abs=0.1
    )


def test_a_cancelled_event_never_sends_the_flight_by_the_points_of_the_way_back_from_it():
    """The area is left over the base itself: the approach follows the rejoin at once."""
    sortie = cancelled()
    assert flown_home(sortie) == []
    assert [phase.kind for phase in sortie.clock.phases][-3:] == ["leave", "rejoin", "approach"]
    assert sortie.clock.lead_landing - sortie.clock.rejoined == timedelta(seconds=360)


def test_a_cancelled_event_goes_home_direct_from_the_areas_exit():
    """At the last recovery leg's 360 kt and 10000 ft, not by MID."""
    sortie = cancelled(("training.leave.by", "EDGE"))
    assert flown_home(sortie) == ["EDGE to ROA"] and sortie.legs[-1].altitude_ft == 10000
    home_s = nm("EDGE", "ROA") / 360 * 3600
    assert (sortie.clock.lead_landing - sortie.clock.rejoined).total_seconds() == pytest.approx(
        home_s + 360, abs=0.1
    )


@pytest.mark.parametrize("edits", [(), (ONE_LEG,), (("training.leave.by", "EDGE"), ONE_LEG)])
def test_every_what_if_without_the_event_is_answered(edits):
    told = what_if_in(mission(*edits))
    without = [
        a for a in told.answers if a.id in ("no-flypast", "cancelled-in-area", "ships-out-1", "ships-out-2")
    ]
    assert len(without) == 4 and [a.problem for a in without if a.after is None] == []


def test_the_price_of_the_flypast_is_told_where_home_has_no_leg():
    """Without the flypast nothing is flown after the rejoin but the approach: it costs ship 2 all that is
    burnt between, 1.05 times transit, hold, the leg to the IP, run-in and recovery, and the climb home; each
    of the seven lines printed up to ten pounds at most."""
    plan, _ = make_plan(mission(ONE_LEG))
    phases = {p.id: p for p in plan.clock.phases}
    flows = {"transit-1": 1800, "hold": 1200, "hold-to-ip": 2400, "run-in": 2400, "recovery-1": 1800}
    exact = 1.05 * (sum(flow * phases[id].seconds / 3600 for id, flow in flows.items()) + 100)
    assert exact - 10 <= plan.training.cost_fuel_printed <= exact + 70


def test_out_of_the_hold_home_is_direct_too():
    base = flown()
    sortie, _ = home_from_hold(base, base.the_pass.hold, base.the_pass.hold.leave)
    assert flown_home(sortie) == ["HOLD to ROA"]
    home_s = nm("HOLD", "ROA") / 360 * 3600
    assert (sortie.clock.lead_landing - base.the_pass.hold.leave).total_seconds() == pytest.approx(
        home_s + 360, abs=0.1
    )


def test_at_the_go_home_time_no_ship_lands_short():
    """The go-home time is the bingo of the direct way; by MID the flight landed 130 lb short of its
    reserve."""
    no_contact = next(a for a in what_if_in(mission()).answers if a.id == "no-contact")
    assert no_contact.failing == ()


def test_a_mission_without_an_event_flies_its_own_recovery_legs():
    """They begin where its training ends: nothing is cancelled, nothing backwards."""
    text = FAR.read_text(encoding="utf-8")
    begin, end = text.index("\ntransit:"), text.index("\nrecovery:")
    alone, problems = load_mission_text(text[:begin] + text[end:], "alone.yaml")
    assert alone is not None, [p.message for p in problems]
    sortie, _ = fly(alone)
    assert flown_home(sortie) == ["ROA to MID", "MID to ROA"]


# ---------------------------------------------------------------- legs without length


@pytest.mark.parametrize(
    ("edit", "between"),
    [
        (
            (
                "departure",
                (
                    "[{to: ROA, level: 5000 ft MSL, speed: 360 KTAS}, {to: EDGE, level: 10000 ft MSL, speed:"
                    " 360 KTAS}]"
                ),
            ),
            "ROA to ROA",
        ),
        (
            (
                "transit",
                (
                    "[{to: ROA, level: 10000 ft MSL, speed: 420 KTAS}, {to: HOLD, level: 10000 ft MSL, speed:"
                    " 420 KTAS}]"
                ),
            ),
            "ROA to ROA",
        ),
        (
            (
                "recovery.legs",
                (
                    "[{to: CENTRE, level: 10000 ft MSL, speed: 420 KTAS}, {to: ROA, level: 10000 ft MSL,"
                    " speed: 360 KTAS}]"
                ),
            ),
            "CENTRE to CENTRE",
        ),
    ],
    ids=["departure", "transit", "recovery"],
)
def test_a_leg_without_length_is_skipped_and_said_so(edit, between):
    sortie, found = fly(mission(edit))
    assert sortie is not None, [d.message for d in found]
    assert between not in [leg.between for leg in sortie.legs]
    told = [d for d in found if d.code == "no-length"]
    assert [(d.severity, between in d.message) for d in told] == [("caution", True)]
    # the climb is in the first leg that is flown
    assert sum(1 for p in sortie.clock.phases if p.kind == "climb") == 1


def test_without_training_the_transit_may_begin_where_the_departure_ends():
    """EDGE to EDGE has no length once the training between is gone."""
    transit = (
        "[{to: EDGE, level: 10000 ft MSL, speed: 420 KTAS}, {to: HOLD, level: 10000 ft MSL, speed: 420 KTAS}]"
    )
    told = what_if_in(mission(("transit", transit)), lambda case, _: case.id == "no-training")
    assert next(a for a in told.answers if a.id == "no-training").time_kept
