"""The fuel of missions that lack something, ask for an alternate, or don't fit: the regatta with lines
changed."""

import math
from dataclasses import replace

import pytest
from pyproj import Geod

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly
from briefgen.plan.fuel.of_mission import fuel_inputs, ways_home
from tests.places import REPOSITORY
from tests.planned import plan_of as shipped

REGATTA = (REPOSITORY / "missions" / "regatta.yaml").read_text(encoding="utf-8")


def lines_without(text: str, *keys: str) -> str:
    """The text without these keys and all that is indented below them. A key is a line's beginning, spaces
    included."""
    kept, dropping = [], None
    for line in text.splitlines():
        indent = len(line) - len(line.lstrip())
        if dropping is not None and (not line.strip() or indent > dropping):
            continue
        dropping = indent if any(line.startswith(key + ":") for key in keys) else None
        if dropping is None:
            kept.append(line)
    return "\n".join(kept) + "\n"


def plan_of(*changes: tuple[str, str], lacking: tuple[str, ...] = ()):
    text = lines_without(REGATTA, *lacking)
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    mission, found = load_mission_text(text, "mission.yaml")
    assert mission is not None, [d.message for d in found]
    sortie, more = fly(mission)
    return sortie, more


def codes(found) -> list[str]:
    return [d.code for d in found if d.severity != "note"]


def test_the_regatta_itself_has_nothing_to_tell():
    sortie, found = plan_of()
    assert codes(found) == [] and sortie.fuel.alternate_because == "decided for this sortie"


# ---------------------------------------------------------------- what is left out


@pytest.mark.parametrize(
    "lacking, changes, code",
    [
        ((), [("      run_in: 2400 lb/h\n", "")], "fuel-not-known"),
        ((), [("      recovery: 1700 lb/h\n", "")], "fuel-not-known"),
        (("    fuel_flow",), [], "fuel-not-known"),
        (("  approach",), [], "fuel-not-known"),
        (("recovery",), [], "fuel-not-known"),
        (
            (),
            [("start_fuel: 5500 lb, side: red,  burn_factor: 1.02", "side: red,  burn_factor: 1.02")],
            "fuel-not-known",
        ),
        (("  start_to_takeoff_fuel", "  start"), [], "fuel-not-known"),
        ((), [("reserve: 30 min, ", ""), ("normal_landing: 900 lb, ", "")], "fuel-not-known"),
    ],
)
def test_what_fuel_cannot_do_without_leaves_it_not_checked(lacking, changes, code):
    sortie, found = plan_of(*changes, lacking=lacking)
    assert sortie.fuel is None
    told = [d for d in found if d.code == code]
    assert told and all(d.severity == "caution" and "NOT CHECKED" in d.why and d.help for d in told)


@pytest.mark.parametrize(
    "lacking, changes, code",
    [
        ((), [("reserve: 30 min, ", "")], "no-reserve"),
        (("  landing_interval",), [], "no-landing-interval"),
        (("  legs",), [], "no-recovery"),  # home is taken direct at the last level and speed
    ],
)
def test_what_fuel_can_do_without_is_a_caution(lacking, changes, code):
    sortie, found = plan_of(*changes, lacking=lacking)
    assert sortie.fuel is not None and code in codes(found)


def test_without_recovery_legs_bingo_uses_the_egress_level_and_speed():
    sortie, _ = plan_of(lacking=("  legs",))
    hold = next(b for b in sortie.fuel.ships[0].bingos if b.point.id == "HOLD")
    way = next(a for a in hold.sum.addends if "direct" in a.label)
    egress = next(leg for leg in sortie.legs if leg.kind == "egress")
    # no wind could make it faster than 8.2 min or slower than 9.4 at the egress's TAS of about 390 less or
    # more 20 kt of wind
    assert (
        hold.distance_nm / (egress.tas_kt + 25) * 1700
        < way.exact_lb
        < hold.distance_nm / (egress.tas_kt - 25) * 1700
    )


def test_training_only():
    sortie, _ = plan_of(("06:00 to 22:00 event", "06:00 to 22:00 base"), lacking=("event", "transit"))
    plan = sortie.fuel
    assert plan.joker is not None and plan.bingo_training is not None
    assert (plan.bingo_event, plan.go_home) == (None, None)
    assert [b.phase for b in plan.ships[0].bingos] == ["training", "transit"]


def test_pass_only():
    sortie, _ = plan_of(lacking=("training", "    AREA"))
    plan = sortie.fuel
    assert (plan.joker, plan.bingo_training) == (None, None) and all(s.knock_off is None for s in plan.ships)
    assert plan.bingo_event is not None and plan.go_home is not None


def test_pass_without_a_hold():
    sortie, _ = plan_of(lacking=("    hold", "    no_cue", "  no_ground_contact"))
    assert sortie.fuel.go_home is None and sortie.fuel.bingo_event is not None
    assert any(a.label == "Late slip accepted" for a in sortie.fuel.ships[0].joker.addends)


# ---------------------------------------------------------------- the alternate

NO = "required: no}"
BASE = "NORTHBOURNE: {cloud: [SCT 4500 ft AGL], visibility: 10 km, wind: 200T/14kt,"


WEATHER = (NO, "required: by weather}")
LANDING = "    landing: {ceiling: 1500 ft AGL, visibility: 5 km}\n"
APPROACH = "    approach: yes"


def sky(new: str, old: str = "SCT 4500 ft AGL") -> list[tuple[str, str]]:
    """The alternate by weather, with another forecast for the base."""
    return [WEATHER, (BASE, BASE.replace(old, new))]


@pytest.mark.parametrize(
    "changes, required, words",
    [
        ([(NO, "required: yes}")], True, "decided for this sortie"),
        ([WEATHER], False, "at or above 2000 ft and 3 SM (14 CFR 91.169(b), a default)"),
        # landings from 03:47 (1 min early) to 04:00:04 Z (10 min late, the last ship): the forecast has to
        # hold from 02:47:34 to 05:00:04
        ([WEATHER, ("00:00 Z to 2027-01-30 06:00 Z", "00:00 Z to 2027-01-30 05:02 Z")], False, "a default"),
        (
            [WEATHER, ("00:00 Z to 2027-01-30 06:00 Z", "00:00 Z to 2027-01-30 05:00 Z")],
            True,
            "isn't valid from 1 h before",
        ),
        ([WEATHER, ("valid: 2027-01-30 00:00 Z", "valid: 2027-01-30 02:46 Z")], False, "a default"),
        (
            [WEATHER, ("valid: 2027-01-30 00:00 Z", "valid: 2027-01-30 02:49 Z")],
            True,
            "isn't valid from 1 h before",
        ),
        # 14 CFR 91.169(b): at least 2000 ft above the airport and 3 statute miles, 4828 m
        (sky("BKN 1999 ft AGL"), True, "ceiling below"),
        (sky("BKN 2000 ft AGL"), False, "a default"),
        (sky("OVC 2229 ft MSL"), True, "ceiling below"),  # the base lies at 230 ft
        (sky("OVC 2230 ft MSL"), False, "a default"),
        (sky("4827 m", "10 km"), True, "visibility below"),
        (sky("3 SM", "10 km"), False, "a default"),
        (sky("", "cloud: [SCT 4500 ft AGL], "), True, "lacks cloud"),
        (sky("", "visibility: 10 km, "), True, "lacks visibility"),
        # runway 180 M is about 190 T there: a wind from 280 T is all crosswind
        (sky("280T/25kt", "200T/14kt"), True, "crosswind"),
        # the unit's own figures
        (
            [
                *sky("BKN 2500 ft AGL"),
                (LANDING, LANDING + "    no_alternate: {ceiling: 3000 ft AGL, visibility: 8 km}\n"),
            ],
            True,
            "the unit's no_alternate minima",
        ),
        (
            [
                *sky("BKN 1500 ft AGL"),
                (LANDING, LANDING + "    no_alternate: {ceiling: 1000 ft AGL, visibility: 8 km}\n"),
            ],
            False,
            "the unit's no_alternate minima",
        ),
        # no landing minima: nothing of this hangs on them
        ([WEATHER, (LANDING, "")], False, "a default"),
        # the instrument approach at the base
        ([WEATHER, (APPROACH, "    approach: no ")], True, "NORTHBOURNE has no instrument approach"),
        ([WEATHER, (APPROACH, "    #")], True, "nobody says whether NORTHBOURNE has an instrument approach"),
    ],
)
def test_alternate(changes, required, words):
    sortie, _ = plan_of(*changes)
    assert sortie.fuel.alternate_required is required and words in sortie.fuel.alternate_because
    nm = Geod(ellps="WGS84").inv(140 + 51 / 60, -(37 + 41.5 / 60), 142 + 10 / 60, -(37 + 43 / 60))[2] / 1852
    lines = [a.label for a in sortie.fuel.ships[0].joker.addends if a.label.startswith("Alternate")]
    assert lines == (
        ["Alternate: climb", f"Alternate: NORTHBOURNE direct HARTWELL, {nm:.1f} nm", "Alternate: approach"]
        if required
        else []
    )


# ---------------------------------------------------------------- what doesn't fit


@pytest.mark.parametrize(
    "old, new, code, severity, cause",
    [
        (
            "fuel_each: 400 lb",
            "fuel_each: 500 lb",
            "fuel-apart",
            "caution",
            ("training", "setups", "fuel_each"),
        ),  # 11 min x 2200/h = 403
        (
            "fuel_each: 400 lb",
            "fuel_each: 230 lb",
            "fuel-below-flow",
            "error",
            ("training", "setups", "fuel_each"),
        ),  # 11 min x 1300/h = 238
        (
            "start_to_takeoff_fuel: 300 lb",
            "start_to_takeoff_fuel: 200 lb",
            "fuel-apart",
            "caution",
            ("ground_ops", "start_to_takeoff_fuel"),
        ),
        (
            "start_fuel: 5500 lb, side: blue, burn_factor: 1.04",
            "start_fuel: 5500 lb, side: blue",
            "burn-factor",
            "caution",
            ("flight", 1),
        ),
    ],
)
def test_what_does_not_fit_is_told_at_its_place(old, new, code, severity, cause):
    sortie, found = plan_of((old, new))
    told = [(d.code, d.severity, d.cause) for d in found if d.severity != "note"]
    assert told == [(code, severity, cause)]
    assert (sortie is None) == (severity == "error")


def test_a_missing_burn_factor_of_the_leader_is_nothing_to_tell():
    assert "burn-factor" not in codes(plan_of()[1])


# ---------------------------------------------------------------- steps and units

CAPACITY = "fuel_capacity: 5600 lb"
STEP_5 = (CAPACITY, "fuel_capacity: 5600 lb\n    fuel_step: 5 lb")
DENSE = (CAPACITY, "fuel_capacity: 5600 lb\n    fuel_density: 0.80 kg/L")


@pytest.mark.parametrize(
    "changes, step, given, to",
    [
        ([], 10, False, 50),  # 5600 / 500 = 11.2
        ([STEP_5, ("round_up_to: 50 lb", "round_up_to: 25 lb")], 5, True, 25),
        ([(", round_up_to: 50 lb", "")], 10, False, 10),
        ([(CAPACITY, "name_of_the_line: none")], 10, False, 50),  # 5500 lb start: 11
        (
            [("display: lb", "display: kg"), ("round_up_to: 50 lb", "round_up_to: 20 kg")],
            5,
            False,
            20,
        ),  # 2540 kg: 5.08
        (
            [DENSE, ("display: lb", "display: L"), ("round_up_to: 50 lb", "round_up_to: 20 L")],
            5,
            False,
            20,
        ),  # 3175 L: 6.35
        (
            [DENSE, ("display: lb", "display: US gal"), ("round_up_to: 50 lb", "round_up_to: 5 US gal")],
            1,
            False,
            5,
        ),  # 838.8 US gal: 1.68
    ],
)
def test_the_step_is_the_aircrafts_else_a_500th_of_its_tanks(changes, step, given, to):
    changes = [(old, "" if "name_of" in new else new) for old, new in changes]
    fuel = plan_of(*changes)[0].fuel
    assert {(ship.scale.step, ship.scale.step_given, ship.scale.round_up_to) for ship in fuel.ships} == {
        (step, given, to)
    }
    assert (fuel.step, fuel.round_up_to) == (step, to)


@pytest.mark.parametrize(
    "changes, cause, words, remedy",
    [
        (
            [("round_up_to: 50 lb", "round_up_to: 25 lb")],
            ("fuel", "round_up_to"),
            "10 lb (petrel, a default by its tanks)",
            "write round_up_to: 30 lb",
        ),
        (
            [STEP_5, ("round_up_to: 50 lb", "round_up_to: 12 lb")],
            ("fuel", "round_up_to"),
            "5 lb (petrel)",
            "write round_up_to: 15 lb",
        ),
        (
            [("round_up_to: 50 lb", "round_up_to: 20 kg")],
            ("fuel", "round_up_to"),
            "is in kg, but fuel is shown in lb",
            "write round_up_to: 50 lb",  # 20 kg is 44.1 lb, and the gauges show tens
        ),
        (
            [("display: lb", "display: kg"), ("round_up_to: 50 lb", "round_up_to: 5 lb")],
            ("fuel", "round_up_to"),
            "is in lb, but fuel is shown in kg",
            "write round_up_to: 5 kg",  # 2.3 kg, and the gauges show fives: 2540 kg / 500 = 5.08
        ),
        (
            [DENSE, STEP_5, ("round_up_to: 50 lb", "round_up_to: 5 US gal")],
            ("fuel", "round_up_to"),
            "is in US gal, but fuel is shown in lb",
            "write round_up_to: 35 lb",  # 5 x 3.785 x 0.80 x 2.2046 = 33.4 lb, in fives
        ),
        (
            [("round_up_to: 50 lb", "round_up_to: 0 lb")],
            ("fuel", "round_up_to"),
            "0 lb is no step",
            "leave it out",
        ),
        (
            [(CAPACITY, CAPACITY + "\n    fuel_step: 5 kg")],
            ("aircraft", "petrel", "fuel_step"),
            "is in kg, but fuel is shown in lb",
            "write fuel_step: 20 lb",  # 5 kg is 11.02 lb; gauges go in 1, 2, 5, 10, 20, 50
        ),
        (
            [(CAPACITY, CAPACITY + "\n    fuel_step: 0.125 lb")],
            ("aircraft", "petrel", "fuel_step"),
            "0.125 lb is no step",
            "leave it out",
        ),
    ],
)
def test_steps_that_do_not_fit_are_errors_at_their_place(changes, cause, words, remedy):
    sortie, found = plan_of(*changes)
    assert sortie is None
    (told,) = [d for d in found if d.severity == "error"]
    assert (told.code, told.cause) == ("fuel-step", cause) and words in told.message and remedy in told.help


@pytest.mark.parametrize("to", ["30 lb", "15 lb", "10 lb"])
def test_the_mend_of_a_step_is_accepted(to):
    changes = [STEP_5] if to == "15 lb" else []
    assert plan_of(*changes, ("round_up_to: 50 lb", f"round_up_to: {to}"))[0].fuel.round_up_to == float(
        to.split()[0]
    )


@pytest.mark.parametrize(
    "unit, one_lb, density",
    [
        ("kg", 0.45359237, False),
        ("L", 0.45359237 / 0.8, True),
        ("US gal", 0.45359237 / 0.8 / 3.785411784, True),
    ],  # exact definitions of the units
)
def test_shown_in_another_unit_every_figure_is_at_least_as_careful(unit, one_lb, density):
    """Needs rounded up and fuel rounded down: no figure promises more than the pounds do, and none is further
    than a step from them."""
    changes = ("display: lb", f"display: {unit}"), (", round_up_to: 50 lb", "")
    pounds, other = plan_of()[0].fuel, plan_of(*changes, *([DENSE] if density else []))[0].fuel
    assert other.unit == unit
    for a, b in zip(pounds.ships, other.ships, strict=True):
        assert a.landing_predicted_exact_lb == pytest.approx(b.landing_predicted_exact_lb)
        assert 0 <= a.landing_predicted_exact_lb * one_lb - b.landing_predicted < other.step
        assert 0 <= b.joker.total - a.joker.exact_lb * one_lb < other.step


def test_each_ship_of_mixed_densities_has_its_own_figures():
    """Two types of the same tanks and flows by weight, one fuelled at 0.72 kg/L: the same pounds are more
    litres in it. The flight's joker is the greatest, so that no ship needs more litres than it says."""
    petrel = REGATTA[REGATTA.index("  petrel:") : REGATTA.index("\nflight:")]
    light = petrel.replace("  petrel:", "  tern:").replace(
        CAPACITY, CAPACITY + "\n    fuel_density: 0.72 kg/L"
    )
    heavy = petrel.replace(CAPACITY, CAPACITY + "\n    fuel_density: 0.80 kg/L")
    swap = "aircraft: petrel, tail: 0459"
    sortie, found = plan_of(
        (petrel, heavy + light),
        (swap, swap.replace("petrel", "tern")),
        ("display: lb", "display: L"),
        ("round_up_to: 50 lb", "round_up_to: 20 L"),
    )
    assert sortie is not None, [d.message for d in found]
    three, four = sortie.fuel.ships[2:]
    # 900 lb x 0.45359237 are 510.29 L at 0.8 kg/L and 566.99 L at 0.72; tanks of 3175 L and 3528 L have a
    # step of 5 L
    assert (three.tiers[0].printed, four.tiers[0].printed) == (515, 570)
    assert 0 <= four.joker.total - four.joker.exact_lb * 0.45359237 / 0.72 < 5
    assert sortie.fuel.joker == four.joker.figure == max(ship.joker.figure for ship in sortie.fuel.ships)


# ---------------------------------------------------------------- where one may have to go home from


def ways_with_path(*path: tuple[float, float]) -> dict:
    """The ways home of the regatta with another racetrack: (nm east, nm north) of the fix."""
    sortie, _ = plan_of()
    event = replace(sortie.the_pass, hold=replace(sortie.the_pass.hold, path=path))
    ways, found = ways_home(sortie.mission, sortie.clock, (event,))
    assert found == []
    return {way.point.id: way.point for way in ways}


def test_the_far_end_of_the_racetrack_counts():
    """Home lies to the north-west; of these three points 6 nm east and 2 nm south is the furthest from it."""
    far = ways_with_path((0.0, 0.0), (6.0, -2.0), (-3.0, 4.0))["far end of HOLD"]
    lon, lat, _ = Geod(ellps="WGS84").fwd(
        141 + 26.9 / 60, -(38 + 26.8 / 60), math.degrees(math.atan2(6, -2)), math.hypot(6, 2) * 1852
    )
    assert (far.lat_deg, far.lon_deg) == (pytest.approx(lat, abs=1e-6), pytest.approx(lon, abs=1e-6))


def test_a_racetrack_towards_home_adds_no_point():
    assert "far end of HOLD" not in ways_with_path((0.0, 0.0), (-3.0, 4.0))


def test_the_areas_far_edge_is_the_corner_with_the_longest_way():
    """Of the four corners the south-west one is furthest from the base, and the wind from 230 to 260 doesn't
    change that."""
    corner = ways_with_path((0.0, 0.0))["AREA"]
    assert (corner.lat_deg, corner.lon_deg) == (pytest.approx(-(38 + 40 / 60)), pytest.approx(139 + 20 / 60))


def test_a_limit_that_converts_to_hundredths_goes_up_to_the_step_too():
    """lantern-fair.yaml is shown in kg by a step of 0.2: 40 L at 0.72 kg/L are 28.8 kg, 32 L 23.04 and so
    23.2, 25 L 18."""
    assert [tier.printed for tier in shipped("missions/lantern-fair.yaml").fuel.ships[0].tiers] == [
        28.8,
        23.2,
        18,
    ]


def test_from_each_pass_home_begins_where_its_last_leg_ends():
    plan = shipped("missions/three-harbours.yaml")
    inputs, _ = fuel_inputs(plan.mission, plan.clock)
    homes = {wait.piece: wait.home for wait in inputs.waits}
    assert homes.pop(plan.passes[-1].section.id) is None  # from the last one the way home is flown as planned
    for piece, home in homes.items():
        last = [phase.leg for phase in plan.clock.phases if phase.piece == piece and phase.leg][-1]
        assert (home.point, home.leg.start) == (last.end, last.end)
        assert home.point != last.start
