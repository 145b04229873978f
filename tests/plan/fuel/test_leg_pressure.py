"""One pressure for a whole leg. The bases have 30 hPa between them, near 800 ft, and wind and temperature
change with every foot of pressure altitude."""

from __future__ import annotations

import pytest
from ambiance import Atmosphere

from briefgen.mission.edit.changes import home_direct
from briefgen.plan.model import Height
from briefgen.plan.route.air import least_altitude_ft, lowest_qnh, point_of
from briefgen.plan.route.lay import Here, home_from, lay
from tests.places import TESTS
from tests.planned import load_mission

FAR = TESTS / "cases" / "ok-far-event.yaml"
# 1 kt of tail or head wind for each 1000 ft of pressure altitude, from the north
WINDS = (
    "weather.winds",
    (
        "[{level: FL000, wind: 360T/0kt, temperature: 15 C}, {level: FL300, wind: 360T/30kt, temperature:"
        " -44.436 C}]"
    ),
)
TWO_QNH = ("weather.at", "{ROA: {qnh: 1028 hPa}, CENTRE: {qnh: 998 hPa}}")


def pressure_altitude_ft(feet: float, qnh_hpa: float) -> float:
    """Where the standard atmosphere has the pressure of an altimeter reading: the reading and the height, in
    ISA, of the QNH's pressure."""
    return feet + float(Atmosphere.from_pressure(qnh_hpa * 100).H[0]) / 0.3048


def transit(level: str, winds: tuple[str, str] = WINDS):
    """ROA to HOLD: ROA has 1028 hPa, the hold lies nearest to CENTRE with 998. It is left near the level of
    the leg, so that nothing is flown between."""
    mission, problems = load_mission(
        FAR, (winds, TWO_QNH, ("transit.1.level", level), ("training.rejoin.level", "20000 ft MSL"))
    )
    assert mission is not None, [p.message for p in problems]
    found, _ = lay(mission)
    return mission, found.of_kind("transit")[0]


def home_of(mission):
    """CENTRE to ROA direct at 10000 ft."""
    legs, found = home_from(home_direct(mission), Here(point_of(mission, "CENTRE"), Height(9000.0)))
    assert [d for d in found if d.severity == "error"] == []
    return legs[0]


def test_a_flight_level_is_its_pressure_altitude_whatever_the_qnh_at_its_ends():
    """FL200 has 20 kt, due north along the meridian: 420 - 20 over the ground."""
    _, leg = transit("FL200")
    assert leg.air.pressure_altitude_ft == 20000.0
    assert leg.air.wind_kt == pytest.approx(20.0, abs=1e-6) and leg.gs_kt == pytest.approx(400.0, abs=0.01)


def test_feet_take_the_qnh_of_the_legs_end():
    _, leg = transit("20000 ft MSL")
    pressure_ft = pressure_altitude_ft(20000, 998)
    assert 20400 < pressure_ft < 20500  # 15.25 hPa below standard, about 27.6 ft each
    assert leg.altitude_ft == 20000.0 and leg.air.pressure_altitude_ft == pytest.approx(pressure_ft, abs=1.0)
    assert leg.air.wind_kt == pytest.approx(pressure_ft / 1000, abs=1e-3)


def test_a_wind_at_a_height_msl_blows_there_under_every_qnh():
    """By 998 hPa at its end the leg has another pressure altitude than by the base's 1028, and the same
    height as the wind; FL200 is lower there by what 15.25 hPa are, so 1 kt less for each 1000 ft."""
    by_msl = (WINDS[0], WINDS[1].replace("FL000", "0 ft MSL").replace("FL300", "30000 ft MSL"))
    _, leg = transit("20000 ft MSL", by_msl)
    assert leg.air.wind_kt == pytest.approx(20.0, abs=1e-3)
    _, leg = transit("FL200", by_msl)
    assert leg.air.wind_kt == pytest.approx((20000 - pressure_altitude_ft(0, 998)) / 1000, abs=2e-3)


def test_clearance_takes_the_lowest_qnh_along_the_leg():
    """From CENTRE home the altimeter is set to ROA's 1028; over CENTRE it flies lower by the difference of
    the two pressures' heights."""
    mission, leg = transit("20000 ft MSL")
    assert lowest_qnh(mission, point_of(mission, "ROA"), point_of(mission, "CENTRE")) == 998
    assert lowest_qnh(mission, point_of(mission, "ROA"), point_of(mission, "EDGE")) == 1028
    low_ft = pressure_altitude_ft(0, 998) - pressure_altitude_ft(0, 1028)
    assert 780 < low_ft < 850
    # HOLD's own QNH is the lowest one already
    assert least_altitude_ft(mission, leg, 20000) == pytest.approx(20000, abs=0.01)
    home = home_of(mission)
    assert least_altitude_ft(mission, home, 10000) == pytest.approx(10000 - low_ft, abs=1.0)


def test_the_lowest_qnh_between_the_ends_counts():
    """MID's 985 hPa lie beside the middle of the way from ROA to CENTRE, nearer there than either end."""
    mission, _ = load_mission(
        FAR, (("weather.at", "{ROA: {qnh: 1028 hPa}, CENTRE: {qnh: 998 hPa}, MID: {qnh: 985 hPa}}"),)
    )
    assert lowest_qnh(mission, point_of(mission, "ROA"), point_of(mission, "CENTRE")) == 985


def test_a_flight_levels_clearance_takes_the_lowest_qnh_too():
    """FL200 where the QNH is 998: about 420 ft below 20000 ft MSL."""
    mission, leg = transit("FL200")
    assert least_altitude_ft(mission, leg, leg.altitude_ft) == pytest.approx(
        20000 - pressure_altitude_ft(0, 998), abs=1.0
    )
