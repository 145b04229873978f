"""Changes from the command line go through the same checks as the file."""

import pytest

from briefgen.mission.edit.edits import edit_tree
from briefgen.mission.load import load_mission_text
from briefgen.mission.read.source import read_source
from tests.mission.mission_texts import PASS_ONLY, regatta


def edited(*edits):
    """Mission and diagnostics of the small mission with edits."""
    return load_mission_text(PASS_ONLY, "m.yaml", edits=edits)


@pytest.mark.parametrize(
    ("edit", "value", "what"),
    [
        (
            "ground_ops.takeoff",
            "12:53:00 base",
            lambda m: m.times.takeoff.isoformat() == "2027-05-04T10:53:00+00:00",
        ),
        ("flight.1.start_fuel", "5000 lb", lambda m: m.file.flight[0].start_fuel.value == 5000),
        (
            "flight.1.crew",
            "[Capt B. Lie, Lt C. Moe]",
            lambda m: m.file.flight[0].crew == ("Capt B. Lie", "Lt C. Moe"),
        ),
        ("event.pass.late_bias", "0 s", lambda m: m.file.event.pass_.late_bias == 0),
        ("limits.crosswind", "15 kt", lambda m: m.file.limits.crosswind == 15),
        ("ground_ops.takeoff", "", lambda m: m.file.ground_ops.takeoff is None),
        (
            "event.script.HYMN.lasts",
            "90 s",
            lambda m: m.times.true_time.isoformat() == "2027-05-04T11:01:30+00:00",
        ),
    ],
)
def test_an_edit_changes_the_mission(edit, value, what):
    mission, problems = edited((edit, value))

    assert problems == [] and what(mission)


def test_edits_follow_each_other_and_leave_the_rest_alone():
    mission, _ = edited(("sortie.callsign", "A"), ("sortie.callsign", "B"), ("sortie.name", "C"))
    plain, _ = edited()

    assert (mission.file.sortie.callsign, mission.file.sortie.name) == ("B", "C")
    assert plain.file.sortie.callsign == "GANNET"
    assert mission.source.canonical() != plain.source.canonical()
    assert edited(("sortie.callsign", "GANNET"))[0].source.canonical() == plain.source.canonical()


@pytest.mark.parametrize(
    ("edit", "value", "code", "place"),
    [
        ("ground_ops.takeoff", "12:53", "value", "--set ground_ops.takeoff:1:8"),
        ("flight.2.start_fuel", "5000 lb", "edit", "--set flight.2.start_fuel:1:1"),
        ("fligth.1.start_fuel", "5000 lb", "edit", "--set fligth.1.start_fuel:1:1"),
        ("sortie.callsign.x", "A", "edit", "--set sortie.callsign.x:1:1"),
        ("sortie..x", "A", "edit", "--set sortie..x:1:1"),
        ("sortie.callsing", "A", "unknown-key", "--set sortie.callsing:1:1"),
        ("event.pass.over", "&A b", "anchor", "--set event.pass.over:1:8"),
        ("event.pass.over", "NOWHERE", "unknown-place", "--set event.pass.over:1:8"),
        ("event.pass.over", "", "missing-key", "m.yaml:19:3"),
    ],
)
def test_a_wrong_edit_is_told_with_its_place(edit, value, code, place):
    mission, problems = edited((edit, value))

    assert mission is None and [(d.code, str(d.span)) for d in problems] == [(code, place)]


TWO = (
    "flight:\n  - {ship: 1, crew: [Maj A. Holm], aircraft: petrel}\n  - {ship: 2, crew: [Capt B. Lie],"
    " aircraft: petrel}\n  - {ship: 3, crew: [Lt C. Moe], aircraft: petrel, tail: 0471}\n"
)


def test_an_entry_of_a_list_can_be_taken_out_and_the_places_of_the_others_stay_right():
    start, end = PASS_ONLY.index("flight:"), PASS_ONLY.index("ground_ops:")
    text = PASS_ONLY[:start] + TWO + PASS_ONLY[end:]
    mission, problems = load_mission_text(text, "m.yaml", edits=[("flight.2", ""), ("flight.2.ship", "2")])

    assert problems == [] and [ship.crew[0] for ship in mission.file.flight] == ["Maj A. Holm", "Lt C. Moe"]
    assert str(mission.span(("flight", 1, "tail"))) == "m.yaml:15:58"
    assert str(mission.span(("flight", 1, "ship"))) == "--set flight.2.ship:1:8"


def test_the_only_entry_taken_out_is_told():
    mission, problems = edited(("flight.1", ""))

    assert mission is None and [(d.code, str(d.span)) for d in problems] == [("length", "m.yaml:13:3")]


def test_the_first_entry_of_a_list_that_stands_further_down_is_one():
    """Counted from 0 it is told as it will be accepted: ``weather.winds.0`` is no position."""
    source, _ = read_source(regatta(), "regatta.yaml")
    (told,) = edit_tree(source, [("winds.0.wind", "230T/30kt")])[1]
    assert told.message.endswith("its first entry is 1: write weather.winds.1.wind")
    assert not edit_tree(source, [("weather.winds.1.wind", "230T/30kt")])[1]
