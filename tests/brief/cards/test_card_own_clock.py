"""Each ship's own take-off and times to the area on its card; from there on the flight has one clock."""

from __future__ import annotations

import pytest

from briefgen.brief.cards import cards
from briefgen.plan.build import make_plan
from tests.planned import REPOSITORY, load_mission, plan_of

REGATTA = "missions/regatta.yaml"


def clock(text: str) -> int:
    """Seconds of the day."""
    hours, minutes, seconds = (int(part) for part in text.split(":"))
    return 3600 * hours + 60 * minutes + seconds


def log_times(plan, number: int) -> dict[str, str]:
    """Stage to time of the table of clock and fuel."""
    return {row[0]: row[1] for row in cards.kneeboard(plan, number).sides[0][1]["log"].rows}


# The regatta takes off at 12:37:00 base, which is +10:30: 02:07:00 Z. The ships follow every 15 s.
@pytest.mark.parametrize(
    ("ship", "takeoff", "later_s"),
    [(1, "02:07:00", 0), (2, "02:07:15", 15), (3, "02:07:30", 30), (4, "02:07:45", 45)],
)
def test_each_ship_has_its_own_take_off_and_is_in_the_area_as_much_later(ship, takeoff, later_s):
    leader, own = log_times(plan_of(REGATTA), 1), log_times(plan_of(REGATTA), ship)
    assert own["Take-off"] == takeoff
    assert clock(own["ENTRY"]) - clock(leader["ENTRY"]) == later_s


def test_the_way_to_the_area_is_the_ships_own_and_the_rest_is_the_flights():
    first, third = (log_times(plan_of(REGATTA), ship) for ship in (1, 3))
    own = {stage for stage in first if first[stage] != third[stage]}
    assert own == {"Take-off", "ENTRY"}


def test_without_training_the_ships_own_clock_runs_to_the_hold():
    mission, _ = load_mission(
        REPOSITORY / REGATTA,
        (
            ("training", ""),
            ("ground_ops.takeoff", "13:30:00 base"),
            ("weather.at.AREA", ""),
            ("limits.weather.area", ""),
        ),
    )
    plan, _ = make_plan(mission)
    first, fourth = (log_times(plan, ship) for ship in (1, 4))
    assert {stage for stage in first if first[stage] != fourth[stage]} == {"Take-off", "ENTRY", "HOLD"}
    assert first["Leave HOLD"] == fourth["Leave HOLD"]


# The leader lands at 03:48:34 Z (by hand in tests/debrief/test_debrief.py); the interval of the regatta is 30
# s.
@pytest.mark.parametrize(("ship", "lands"), [(1, "03:48:34"), (2, "03:49:04"), (4, "03:50:04")])
def test_each_card_says_when_its_ship_lands(ship, lands):
    tiers = cards.kneeboard(plan_of(REGATTA), ship).sides[0][1]["tiers"]
    assert tiers.items[0][0] == f"Landing {lands} with"


@pytest.mark.parametrize(
    ("ship", "z", "base"), [(1, "02:07:00 Z", "12:37:00"), (3, "02:07:30 Z", "12:37:30")]
)
def test_take_off_and_t_stand_large_on_the_first_side(ship, z, base):
    """T 14:30:02 at the event, which is +11:00."""
    side = cards.kneeboard(plan_of(REGATTA), ship).sides[0][1]
    assert side["fuel_large"].items[0] == ("TAKE-OFF", z, f"{base} base")
    assert side["over"].items[0] == ("T", "03:30:02 Z, 14:30:02 AEDT (+11:00)")
