"""Where each ship is over the spot, and what the ground contact is told beforehand."""

from __future__ import annotations

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly
from briefgen.plan.event.ceremony import script_parts
from tests.mission.mission_texts import PASS_ONLY, changed

SCRIPT = "  script:\n    HYMN: {says: First note, time: 13:00:00 event, lasts: 60 s}\n"
WITHOUT_SCRIPT = changed(changed(PASS_ONLY, SCRIPT, ""), "end of HYMN", "13:01:00 event")


def flown(*edits):
    text = PASS_ONLY
    for old, new in edits:
        text = changed(text, old, new)
    mission, found = load_mission_text(text, "m.yaml")
    assert mission is not None, [d.message for d in found]
    return mission, fly(mission)[0].passes[0]


FORMATION = ("speed: 300 KGS}", "speed: 300 KGS, formation: vic, spacing: 50 ft}")


@pytest.mark.parametrize("edits", [(), (FORMATION,)])
def test_a_ship_alone_is_its_own_leader_over_the_spot_at_t(edits):
    """A vic has no places for one ship."""
    _, one = flown(*edits)
    assert [(s.ship, s.right_ft, s.back_ft, s.down_ft, s.at) for s in one.ships] == [
        (1, 0, 0, 0, one.true_time)
    ]


@pytest.mark.parametrize("lasts", ["1 s", "60 s"])
def test_a_part_of_the_script_that_lasts_has_its_spread(lasts):
    _, one = flown(("lasts: 60 s", f"lasts: {lasts}, spread: 0.5 s"))
    assert [part.spread_s for part in script_parts(one.section)] == [0.5]


@pytest.mark.parametrize(("text", "holds"), [(PASS_ONLY, "script"), (WITHOUT_SCRIPT, "card")])
def test_who_stands_on_the_spot_has_in_hand_what_there_is(text, holds):
    contact = "  ground_contact: {callsign: QUAYSIDE, in_place: 12:30 event}\n  pass:\n"
    mission, _ = load_mission_text(changed(text, "  pass:\n", contact), "m.yaml")
    says = [contact.say for contact in fly(mission)[0].passes[0].contacts if contact.label == "In place"]
    assert says == [f"On the spot, radio on, {holds} in hand"]


def test_of_a_formation_with_too_few_places_only_the_leader_is_known():
    """A diamond is of four."""
    one = "  - {ship: 1, crew: [Maj A. Holm], aircraft: petrel, start_fuel: 5500 lb}\n"
    five = "".join(one.replace("ship: 1", f"ship: {n}").replace("Holm", f"Holm {n}") for n in range(1, 6))
    run_in = FORMATION[0], FORMATION[1].replace("vic", "diamond")
    _, flown_by_five = flown((one, five), run_in)
    assert [(ship.ship, ship.position) for ship in flown_by_five.ships] == [(1, "leader")]
