"""A small trainer whose gauge shows tenths of a kilogram (tests/cases/ok-trainer.yaml), its fuel worked out
with a pencil.

Each addend rounded up to 5 kg, as this program once did, made 65 kg of a joker of 14.5 and 75 kg of the 14.66
that are burnt.

    BASE --15-- end of egress --5-- CENTRE --5-- IP --1-- HOLD --4-- ENTRY --16-- EXIT      (nm, northwards)
"""

from functools import cache
from itertools import pairwise

import pytest

from briefgen.plan.build import fly
from tests.planned import REPOSITORY, load_mission

# label, exact kg of ship 1, what its gauge shows at the end of the row; 55 kg at the start
ROWS = [
    ("Start to take-off", 0.5, 54.5),
    ("Climb towards ENTRY", 1.25, 53.2),  # 5 min at 15 kg/h; 53.25 are left
    ("BASE to ENTRY", 2.4, 50.8),  # 24 nm at 90 kt are 16 min at 9 kg/h; 50.85
    ("Set-up 1", 1.6, 49.2),
    ("Set-up 2", 1.6, 47.6),
    ("Leave by EXIT", 0.3, 47.3),
    ("Rejoin and check", 0.3, 47.0),
    ("EXIT to HOLD", 2.1, 44.9),  # 20 nm at 80 kt are 15 min at 8.4 kg/h; 44.95
    ("Hold at HOLD", 0.72, 44.2),  # 13:56:00 to 14:02:00, 6 min at 7.2 kg/h; 44.23
    ("HOLD to IP", 0.10667, 44.1),  # 40 s at 9.6 kg/h; 44.123
    ("Run-in from IP", 0.53333, 43.5),  # 200 s; 43.59
    ("Egress", 0.5, 43.0),  # 200 s at 9 kg/h; 43.09
    ("Climb on the way home", 0.25, 42.8),  # 42.84
    ("end of egress to BASE", 1.5, 41.3),  # 15 nm are 10 min; 41.34
    ("Approach", 1.0, 40.3),  # 40.34
]
# Joker: leave 0.3, rejoin 0.3, transit 2.1, the planned hold of 7 min 0.84, 0.10667 to the IP, 0.53333 in,
# egress 0.5, climb 0.25, home 1.5, approach 1, then 6 kg normal landing and 1 kg of pad: 7.43 + 7 = 14.43.
# The trip has 7.5 of the 14.5 that are printed: down to the tenth its lines make 7.3, and the two tenths that
# are left go where most was cut off, to 0.25 and 0.84.
JOKER = [0.3, 0.3, 2.1, 0.9, 0.1, 0.5, 0.5, 0.3, 1.5, 1, 6, 1]


@cache
def fuel():
    mission, found = load_mission(REPOSITORY / "tests" / "cases" / "ok-trainer.yaml")
    assert found == []
    return fly(mission)[0].fuel


def kg(lb: float) -> float:
    return lb * 0.45359237


def test_a_tank_of_60_kg_is_read_to_a_tenth():
    assert [(ship.scale.step, ship.scale.step_given) for ship in fuel().ships] == [
        (0.1, False)
    ] * 2  # 60 / 500 = 0.12


def test_what_is_left_along_the_clock():
    rows = fuel().ships[0].rows
    assert [row.label for row in rows] == [label for label, _, _ in ROWS]
    assert [kg(row.burn.exact_lb) for row in rows] == pytest.approx([exact for _, exact, _ in ROWS], abs=1e-4)
    assert [row.remaining_printed for row in rows] == [shown for _, _, shown in ROWS]
    shown = [55, *(left for _, _, left in ROWS)]
    assert [row.burn.printed for row in rows] == [
        round(before - after, 1) for before, after in pairwise(shown)
    ]
    assert fuel().ships[0].landing_predicted == 40.3


def test_joker():
    joker = fuel().ships[0].joker
    assert kg(joker.exact_lb) == pytest.approx(14.43, abs=1e-4)
    assert [line.printed for line in joker.addends] == JOKER
    assert (joker.total, joker.figure) == (14.5, 14.5)


@pytest.mark.parametrize(
    ("point", "one", "two"),
    # 0.1 kg a mile, 0.25 climb, 1.0 approach, 6.0 landing; ship 2: x 1.05, and 30 s at 9 kg/h x 1.05 =
    # 0.07875 for its wait
    [
        ("HOLD", 9.9, 10.2),  # 26 nm: 3.85 + 6; 3.85 x 1.05 + 6.07875 = 10.12125
        ("IP", 9.8, 10.1),  # 25 nm: 3.75 x 1.05 + 6.07875 = 10.01625
        ("CENTRE", 9.3, 9.5),  # 20 nm: 3.25 x 1.05 + 6.07875 = 9.49125
        ("ENTRY", 10.3, 10.6),  # 30 nm: 4.25 x 1.05 + 6.07875 = 10.54125
        ("EXIT", 11.9, 12.3),  # 46 nm: 5.85 x 1.05 + 6.07875 = 12.22125
    ],
)
def test_bingo(point, one, two):
    assert [next(b.sum.total for b in ship.bingos if b.point.id == point) for ship in fuel().ships] == [
        one,
        two,
    ]


def test_ship_two():
    """Ship 1 burns 14.16 kg in the air; x 1.05 that is 14.868, the wait 0.07875: 55 - 0.5 - 14.94675 =
    39.55325."""
    two = fuel().ships[1]
    assert two.landing_predicted == 39.5 and two.landing_required == 6.1
    assert kg(two.joker.exact_lb) == pytest.approx(7.43 * 1.05 + 7.07875, abs=1e-4)  # 14.88025
    assert (two.joker.total, two.joker.figure, fuel().joker) == (14.9, 15, 15)
