"""What is flown at a typed level burns at that level: blocks by side (their middle), rejoin, legs. The flow
tables are round numbers, read by hand here."""

from __future__ import annotations

import pytest

from briefgen.plan.build import fly
from briefgen.plan.fuel.of_mission import heights_over
from tests.places import TESTS
from tests.plan.gates.gate_reading import sortie as sortie_of
from tests.planned import load_mission

BY_HAND = TESTS / "cases" / "ok-by-hand.yaml"
# 2400 lb/h at sea level and 10 lb/h less for each 100 ft up to 20000 ft: at 12000 ft 1200, at 17000 ft 700
BY_LEVEL = "{0 ft MSL: 2400 lb/h, 20000 ft MSL: 400 lb/h}"
FLOWS = tuple((f"aircraft.counter.fuel_flow.{key}", BY_LEVEL) for key in ("training", "cruise", "recovery"))
UNGIVEN = (
    ("training.warm_up.fuel", ""),
    ("training.setups.fuel_each", ""),
    ("training.leave.fuel", ""),
    ("training.rejoin.fuel", ""),
)
SIDES = (("flight.1.side", "blue"), ("flight.2.side", "red"))
BLOCKS = (("training.blocks", "{blue: 10000 to 14000 ft MSL, red: 15000 to 19000 ft MSL}"),)


def rows(*edits):
    """Ship -> row -> pounds."""
    mission, problems = load_mission(BY_HAND, (*FLOWS, *UNGIVEN, *edits))
    assert mission is not None, [p.message for p in problems]
    sortie, found = fly(mission)
    assert sortie is not None and sortie.fuel is not None, [d.message for d in found]
    return {ship.ship: {row.phase_id: row.burn for row in ship.rows} for ship in sortie.fuel.ships}


def lb(burn) -> float:
    return burn.exact_lb


def test_each_side_burns_at_the_middle_of_its_own_block():
    """Set-up of 10 min: ship 1, blue, middle 12000 ft: 1200 / 6 = 200; ship 2, red, 17000 ft, factor 1.05:
    700 / 6 x 1.05 = 122.5. Warm-up of 4 min: 80 and 49; leave of 3 min, still at the block's height: 60 and
    36.75."""
    made = rows(*SIDES, *BLOCKS)
    assert [lb(made[1][row]) for row in ("warm-up", "set-up-1", "leave")] == pytest.approx([80, 200, 60])
    assert [lb(made[2][row]) for row in ("warm-up", "set-up-1", "leave")] == pytest.approx([49, 122.5, 36.75])
    assert "at 12000 ft" in made[1]["set-up-1"].basis and "at 17000 ft" in made[2]["set-up-1"].basis


def test_a_block_of_flight_levels_is_read_at_its_levels():
    """FL100 to FL140: 12000 ft, whatever the pressure at the ground."""
    made = rows(
        *SIDES,
        ("training.blocks", "{blue: FL100 to FL140, red: 15000 to 19000 ft MSL}"),
        ("weather.at.BASE.qnh", "983.25 hPa"),
    )
    assert lb(made[1]["set-up-1"]) == pytest.approx(200)


def test_without_blocks_the_block_burns_at_the_level_of_the_way_in():
    """10000 ft: 1400 lb/h for 10 min."""
    made = rows()
    assert lb(made[1]["set-up-1"]) == pytest.approx(1400 / 6) and lb(made[2]["set-up-1"]) == pytest.approx(
        1400 / 6 * 1.05
    )


@pytest.mark.parametrize(
    ("level", "feet"), [("6000 ft MSL", 6000), ("14000 ft MSL", 14000), ("FL140", 14000)]
)
def test_the_rejoin_burns_at_its_own_level(level, feet):
    """3 min at the cruise flow there, not at the way in's 10000 ft."""
    made = rows(("training.rejoin.level", level), ("weather.at.BASE.qnh", "983.25 hPa"))
    assert lb(made[1]["rejoin"]) == pytest.approx((2400 - feet / 10) / 20)


def test_the_joker_and_the_setups_that_fuel_allows_follow_the_block():
    """A set-up of blue costs ship 1 200 lb: what fuel allows counts them as the rows do."""
    mission, _ = load_mission(BY_HAND, (*FLOWS, *UNGIVEN, *SIDES, *BLOCKS, ("training.setups.planned", "")))
    sortie, _ = fly(mission)
    ships = sortie.fuel.ships
    margin = min((ship.training_end_predicted - ship.joker.figure) for ship in ships)
    assert sortie.the_block.bound == "time" and margin >= 0


def test_a_flow_table_left_by_one_side_only_is_told():
    """Red is flown at 17000 ft, a thousand above the table; blue inside it."""
    short = tuple((key, "{0 ft MSL: 2400 lb/h, 16000 ft MSL: 800 lb/h}") for key, _ in FLOWS)
    mission, _ = load_mission(BY_HAND, (*short, *UNGIVEN, *SIDES, *BLOCKS))
    _, found = fly(mission)
    told = [d.message for d in found if d.code == "flow-outside-table"]
    assert told and all("17000 ft" in message for message in told)


def test_a_leg_at_a_flight_level_is_read_at_its_level():
    """FL140 home with 983 hPa at the base, where it lies near 13150 ft MSL: the table's 14000 ft, 1000
    lb/h."""
    # near the level home: the leg isn't flown between two levels
    egress = (
        "event.pass.egress.level",
        "13000 ft MSL",
    )
    mission, _ = load_mission(
        BY_HAND, (*FLOWS, egress, ("recovery.legs.1.level", "FL140"), ("weather.at.BASE.qnh", "983.25 hPa"))
    )
    sortie, _ = fly(mission)
    home = next(phase for phase in sortie.clock.phases if phase.id == "recovery-1")
    row = next(row for row in sortie.fuel.ships[0].rows if row.phase_id == "recovery-1")
    assert row.burn.exact_lb == pytest.approx(1000 * home.seconds / 3600)


def test_a_divert_from_a_place_on_the_way_home_begins_as_high_as_the_flight_is_there():
    """Over EASTLEA at 9000 ft, then on at 12000 ft: neither the pass nor the way to it comes there."""
    way = (("EASTLEA", 9000), ("NORTHBOURNE", 12000))
    legs = [f"{{to: {to}, level: {ft} ft MSL, speed: 360 KTAS}}" for to, ft in way]
    flown = sortie_of("regatta", (("recovery.legs", f"[{', '.join(legs)}]"),))
    assert heights_over(flown.mission, flown.clock, flown.passes)["EASTLEA"].ft == 9000
