"""Levels of a card that are flown by the altimeter: one that is typed above ground shows what the altimeter
reads, and what nobody has given the ground of says so.

By hand: the ground at HOLD is set to 120 ft, at IP to 50 ft; the pontoon's is 10 ft in the file. The exit of
the area has none.
"""

from __future__ import annotations

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.wording.heights import flown_level
from briefgen.units.values import Level
from tests.planned import REPOSITORY, load_mission, make_plan

ABOVE_GROUND = (
    ("places.HOLD.elevation", "120 ft MSL"),
    ("places.IP.elevation", "50 ft MSL"),
    ("transit.1.level", "2000 ft AGL"),
    ("event.pass.hold.level", "2000 ft AGL"),
    ("event.pass.run_in.level", "1500 ft AGL"),
    ("event.pass.abort.level", "2000 ft AGL"),
    ("training.rejoin.level", "14000 ft AGL"),
    ("training.area.floor", "5000 ft AGL"),
    ("training.blocks.blue", "9000 ft AGL to 14000 ft MSL"),
)


def card_with(*more: tuple[str, str]):
    mission, found = load_mission(REPOSITORY / "missions" / "regatta.yaml", (*ABOVE_GROUND, *more))
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return cards.kneeboard(plan, 1)


@pytest.fixture(scope="module")
def card():
    return card_with()


@pytest.mark.parametrize(
    ("level", "msl_ft", "said"),
    [
        (Level(1500.0, "MSL"), 1500.0, "1500 ft MSL"),
        (Level(24000.0, "FL"), 24110.0, "FL240"),
        (Level(1500.0, "AGL"), 1510.0, "1510 ft MSL (1500 ft AGL)"),
        (Level(1500.0, "AGL"), None, "MSL NOT KNOWN (1500 ft AGL)"),
    ],
)
def test_a_level_reads_as_the_altimeter_does(level, msl_ft, said):
    assert flown_level(level, msl_ft) == said


def test_every_leg_and_the_hold_read_as_the_altimeter_does(card):
    (_, front), (_, back) = card.sides
    then = {row[0]: row[-1] for row in front["log"].rows}
    assert "16000 ft MSL" in then["Take-off"] and "2120 ft MSL (2000 ft AGL)" in then["Rejoined"]
    assert [row[3] for row in back["headings"].rows] == [
        "2120 ft MSL (2000 ft AGL)",
        "2120 ft MSL (2000 ft AGL)",
        "1550 ft MSL (1500 ft AGL)",
        "1510 ft MSL (1500 ft AGL)",
        "2000 ft MSL",
        "12000 ft MSL",
    ]


def test_an_abort_and_the_way_back_to_the_hold_do_too(card):
    (_, _, then), *_ = card.sides[1][1]["abort"].items
    assert then.startswith("GO HOME, 2010 ft MSL (2000 ft AGL): ")
    back = dict(card.sides[1][1]["silence"].items)["No ANTHEM by 03:28:41 Z:"]
    assert back.endswith(", 2120 ft MSL (2000 ft AGL)")


def test_where_the_ground_is_not_known_nothing_is_guessed(card):
    front = card.sides[0][1]
    blocks, stages = dict(front["blocks"].items), {row[0]: row[-1] for row in front["log"].rows}
    assert blocks["blue (you)"] == "MSL NOT KNOWN (9000 ft AGL) to 14000 ft MSL"
    assert blocks["area"] == "MSL NOT KNOWN (5000 ft AGL) to FL260"
    assert blocks["red"] == "15000 to 19000 ft MSL"
    assert stages["EXIT"] == "rejoin MSL NOT KNOWN (14000 ft AGL)"


def test_over_the_highest_ground_of_the_area_where_it_is_given():
    blocks = dict(card_with(("training.area.highest_ground", "800 ft MSL")).sides[0][1]["blocks"].items)
    assert blocks["blue (you)"] == "9800 ft MSL (9000 ft AGL) to 14000 ft MSL"
    assert blocks["area"] == "5800 ft MSL (5000 ft AGL) to FL260"
