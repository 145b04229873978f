import pytest

from briefgen.airmath.formation import FORMATIONS, NoFormation, behind_s, lowest, place_ships


def test_finger_four():
    """30 ft spacing, 10 ft step-down: the fourth ship is two places out, two back, three steps down."""
    ships = place_ships("finger four", (1, 2, 3, 4), spacing_ft=30, step_down_ft=10)
    assert [(s.ship, s.right_ft, s.back_ft, s.down_ft) for s in ships] == [
        (1, 0, 0, 0), (2, -30, 30, 10), (3, 30, 30, 20), (4, 60, 60, 30),
    ]  # fmt: skip
    assert lowest(ships).ship == 4


def test_after_a_fall_out_the_places_are_filled_in_the_given_order():
    ships = place_ships("vic", (3, 2, 4), spacing_ft=100, step_down_ft=0)
    assert [(s.ship, s.right_ft) for s in ships] == [(3, 0), (2, -100), (4, 100)]
    assert lowest(ships).ship == 3


@pytest.mark.parametrize("name", FORMATIONS)
def test_every_shape_keeps_its_ships_apart_and_none_ahead_of_the_leader(name):
    places = ((0, 0), *FORMATIONS[name])
    assert len(set(places)) == len(places)
    assert all(back >= 0 for _, back in places)


@pytest.mark.parametrize(
    ("name", "ships", "word"),
    [
        ("swarm", (1, 2), "no formation"),
        ("diamond", (1, 2, 3, 4, 5), "4 ships"),
        ("trail", tuple(range(10)), "9 ships"),
    ],
)
def test_what_can_not_be_placed(name, ships, word):
    found = place_ships(name, ships, spacing_ft=30, step_down_ft=10)
    assert isinstance(found, NoFormation)
    assert word in found.reason


def test_time_behind_the_leader():
    """60 ft at 390 kt = 658.246 ft/s (390 x 6076.1155/3600): 0.091152 s. A mile at 360 kt is 10 s."""
    assert behind_s(60, 390) == pytest.approx(60 / (390 * 6076.1155 / 3600), rel=1e-7)
    assert behind_s(6076.11549, 360) == pytest.approx(10, abs=1e-6)
