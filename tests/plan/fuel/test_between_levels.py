"""A leg whose level changes by more than 3000 ft is flown through the air between its two levels.

The wind of these tests is 1 kt for each 1000 ft of pressure altitude, from the north along the meridian of
the mission, at the standard pressure, so that every ground speed is read off by hand.
"""

from __future__ import annotations

from math import sqrt

import pytest
from ambiance import CONST, Atmosphere

from briefgen.brief.slides.tables.air import navlog
from briefgen.brief.slides.view.air import leg_sum
from briefgen.brief.wording.words import words_of
from briefgen.mission.edit.changes import without_event
from briefgen.plan.build import fly, make_plan
from briefgen.plan.gates.speeds import speeds_flown
from briefgen.plan.gates.table import judge
from briefgen.plan.route.diverts import diverts_from
from tests.places import TESTS
from tests.planned import load_mission, plan_of

FAR = TESTS / "cases" / "ok-far-event.yaml"
WINDS = (
    "weather.winds",
    (
        "[{level: FL000, wind: 360T/0kt, temperature: 15 C}, {level: FL300, wind: 360T/30kt, temperature:"
        " -44.436 C}]"
    ),
)
HOME = ("recovery.legs", "[{to: ROA, level: 12000 ft MSL, speed: 360 KTAS}]")


def flown(*edits):
    mission, problems = load_mission(FAR, (WINDS, HOME, *edits))
    assert mission is not None, [p.message for p in problems]
    sortie, found = fly(mission)
    assert sortie is not None, [d.message for d in found]
    return sortie


def leg(sortie, kind: str):
    return next(leg for leg in sortie.legs if leg.kind == kind)


@pytest.mark.parametrize(
    ("level", "air_ft", "between"),
    [
        ("7000 ft MSL", 7000, False),  # from the rejoin's 10000 ft: 3000 ft, not more
        ("6980 ft MSL", 8490, True),
        ("2000 ft MSL", 6000, True),
        ("13000 ft MSL", 13000, False),
        ("16000 ft MSL", 13000, True),  # a climb too
        ("FL160", 13000, True),
    ],
)
def test_the_transit(level, air_ft, between):
    """North against the wind: 420 kt less 1 kt for each thousand feet."""
    transit = leg(flown(("transit.1.level", level)), "transit")
    assert (transit.between_levels, transit.air.altitude_ft) == (between, pytest.approx(air_ft, abs=0.01))
    assert transit.gs_kt == pytest.approx(420 - air_ft / 1000, abs=0.01)
    assert transit.time_s == pytest.approx(transit.distance_nm / (420 - air_ft / 1000) * 3600, abs=0.1)


def test_an_airspeed_is_that_of_the_air_between():
    """300 KCAS from 10000 to 2000 ft is flown as at 6000 ft: by the pressures of ambiance, and the
    compressible pitot equation written out here."""
    transit = leg(flown(("transit.1.level", "2000 ft MSL"), ("transit.1.speed", "300 KCAS")), "transit")
    sea, here = (
        Atmosphere(0.0),
        Atmosphere.from_pressure(
            float(Atmosphere(6000 * 0.3048 / (1 - 6000 * 0.3048 / CONST.r)).pressure[0])
        ),
    )
    impact = float(sea.pressure[0]) * (
        (1 + 0.2 * (300 * 1852 / 3600 / float(sea.speed_of_sound[0])) ** 2) ** 3.5 - 1
    )
    mach = (5 * ((impact / float(here.pressure[0]) + 1) ** (2 / 7) - 1)) ** 0.5
    assert transit.tas_kt == pytest.approx(mach * float(here.speed_of_sound[0]) * 3600 / 1852, abs=0.1)


def test_the_first_climb_is_a_climb_of_its_own():
    """Its time and distance are the aircraft's; the rest of the leg is in the air of its level."""
    departure = leg(flown(), "departure")
    assert (
        not departure.between_levels
        and departure.air.altitude_ft == 10000
        and departure.gs_kt == pytest.approx(350, abs=0.01)
    )


def test_without_climb_figures_the_first_leg_is_flown_between():
    departure = leg(flown(("aircraft.plover.climb", "")), "departure")
    assert departure.between_levels and departure.gs_kt == pytest.approx(355, abs=0.01)


def test_the_way_home_and_the_directs():
    """South with the wind at 12000 ft from the run-in's 5000 (8500 ft between), from the hold's 10000
    (level), from the area's 10000."""
    sortie = flown(("event.pass.run_in.level", "5000 ft MSL"))
    assert leg(sortie, "recovery").gs_kt == pytest.approx(368.5, abs=0.01)
    bingos = {b.point.id: b for b in sortie.fuel.ships[0].bingos}

    def by_hand_lb(point: str, kt: float) -> float:
        return bingos[point].distance_nm / kt * 1800

    for point, kt in (("CENTRE", 368.5), ("IP", 368.5), ("HOLD", 372.0), ("EDGE", 372.0)):
        way = next(a for a in bingos[point].sum.addends if "direct" in a.label)
        assert way.exact_lb == pytest.approx(by_hand_lb(point, kt), abs=0.1), point


def test_diverts_begin_at_the_height_flown():
    sortie = flown(("event.pass.run_in.level", "5000 ft MSL"), ("recovery.diverts", "[EDGE]"))
    assert diverts_from(sortie, sortie.the_pass.centre)[0].leg.gs_kt == pytest.approx(368.5, abs=0.01)
    assert diverts_from(sortie, sortie.the_pass.hold.fix)[0].leg.gs_kt == pytest.approx(372.0, abs=0.01)


def test_a_flow_table_is_read_between_too():
    """1800 lb/h at sea level, 600 at 12000 ft: 950 at the 8500 ft between 5000 and 12000."""
    sortie = flown(
        ("event.pass.run_in.level", "5000 ft MSL"),
        ("aircraft.plover.fuel_flow.recovery", "{0 ft MSL: 1800 lb/h, 12000 ft MSL: 600 lb/h}"),
    )
    row = next(r for r in sortie.fuel.ships[0].rows if r.phase_id == "recovery-1")
    assert row.burn.exact_lb == pytest.approx(950 * leg(sortie, "recovery").time_s / 3600, abs=0.01)


def test_speed_limits_are_judged_at_both_ends():
    """420 KTAS down to 2000 ft is 408 KCAS there (grid of CAS and TAS: 400 KCAS at 1500 ft is 407.99 KTAS, at
    5000 ft 427.41) and 365 at 10000."""
    fast = (
        ("transit.1.level", "2000 ft MSL"),
        ("aircraft.plover.speed_limits", "{minimum: 100 KCAS, maximum: 400 KCAS}"),
    )
    sortie = flown(*fast)
    seen = [speed.kinds["KCAS"] for speed in speeds_flown(sortie) if speed.what == "ROA to HOLD"]
    assert len(seen) == 3 and max(seen) == pytest.approx(408.9, abs=1.0)
    assert next(gate.verdict for gate in judge(sortie) if gate.id == "aircraft-fast") == "FAIL"


def test_the_rows_say_so():
    mission, _ = load_mission(FAR, (WINDS, HOME, ("transit.1.level", "2000 ft MSL")))
    plan, _ = make_plan(mission)
    transit = leg(plan, "transit")
    rows = {row[0].text: row[3].text for row in navlog(words_of(plan)).rows}
    assert rows["ROA to HOLD"] == "2000 ft MSL (air at 6000 ft MSL)" and rows["ROA to EDGE"] == "10000 ft MSL"
    assert "through the air between its levels, at 6000 ft MSL wind 000 T/6 kt" in leg_sum(transit)


def test_the_calibrated_airspeed_is_the_one_to_hold_once_level():
    """360 KTAS home at 12,000 ft MSL on QNH 1017: PA 12,000 - 3.75 hPa x 27.3 ft = 11,898 ft, p = 1013.25 (1
    - 6.8756e-6 x 11,898)^5.2559 hPa; the forecast there is 12 - 28 x 7/13 = -3.1 C. Mach = TAS / (38.9679
    sqrt T), impact pressure and CAS by the compressible formulas (ICAO Doc 7488 constants). Half-way up, in
    whose wind the leg is timed, the same TAS is a higher CAS, which must not stand beside 12,000 ft."""
    leg = plan_of("missions/regatta.yaml").legs[-1]
    kelvin, hpa = 273.15 + 12 - 28 * 7 / 13, 1013.25 * (1 - 6.8756e-6 * 11_898) ** 5.2559
    mach = 360 / (38.967854 * sqrt(kelvin))
    impact = hpa * ((1 + 0.2 * mach**2) ** 3.5 - 1)
    cas_kt = 661.4786 * sqrt(5 * ((impact / 1013.25 + 1) ** (2 / 7) - 1))

    assert leg.between_levels and leg.level.feet == 12_000
    assert leg.cas_kt == pytest.approx(cas_kt, abs=0.5)
    assert leg.mach == pytest.approx(mach, abs=0.001)


def test_home_from_the_rejoin_begins_at_its_level_also_without_an_event():
    """The regatta rejoins at 14,000 ft MSL over EXIT; without its event it goes home from there, not from the
    16,000 ft of its departure."""
    whole = plan_of("missions/regatta.yaml")
    alone, _ = fly(without_event(whole.mission, takeoff=whole.clock.takeoff, setups=4), tables=False)
    assert alone.legs[-1].start.id == "EXIT" and alone.legs[-1].start_altitude_ft == 14_000
