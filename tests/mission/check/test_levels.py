"""Flight levels and the transition altitude, and heights over ground that nobody has given."""

from __future__ import annotations

import pytest

from briefgen.brief.wording import format as words
from briefgen.mission.load import load_mission_text
from briefgen.units.parse import parse_pressure
from tests.mission.mission_texts import START, TRAINING_ONLY, changed, regatta, told_of

GIVEN = "  transition_altitude: 10000 ft MSL\n"


def told(level: str, transition: str, qnh: str = "1017 hPa"):
    text = changed(regatta(), "{to: ENTRY, level: 16000 ft MSL", f"{{to: ENTRY, level: {level}")
    text = changed(text, GIVEN, f"  transition_altitude: {transition}\n")
    return [
        d for d in load_mission_text(text.replace("1017 hPa", qnh), "m.yaml")[1] if d.code == "flight-level"
    ]


# 30 ft for each hPa near the ground and 27.3 at sea level by the ICAO atmosphere: FL015 on 985 hPa lies
# (1013.25 - 985) x 27.6 ft = 780 ft lower
@pytest.mark.parametrize(
    ("level", "transition", "qnh", "severity", "about_ft"),
    [
        ("FL015", "5000 ft MSL", "985 hPa", ["error"], 720),
        ("FL110", "10000 ft MSL", "1017 hPa", [], None),
        ("FL100", "10000 ft MSL", "1017 hPa", [], None),
        (
            "FL095",
            "10000 ft MSL",
            "1017 hPa",
            ["error"],
            9605,
        ),  # 3.75 hPa more than standard: 105 ft higher there
        ("FL105", "10000 ft MSL", "985 hPa", ["caution"], 9690),
        ("1500 ft MSL", "5000 ft MSL", "985 hPa", [], None),
    ],
)
def test_a_flight_level_below_the_transition_altitude_is_told_with_its_height_of_the_day(
    level, transition, qnh, severity, about_ft
):
    found = told(level, transition, qnh)

    assert [d.severity for d in found] == severity
    for problem in found:
        height_ft = float(problem.message.rpartition(", ")[2].partition(" ft MSL")[0])
        assert height_ft == pytest.approx(about_ft, abs=40), problem.message


def test_a_qnh_reads_as_on_the_card():
    """30.05 inHg x 33.8639 hPa = 1017.6 hPa: rounded down, as every product rounds a setting."""
    (problem,) = told("FL095", "10000 ft MSL", "30.05 inHg")
    assert problem.message.endswith(" on 1017 hPa")
    assert words.pressure(parse_pressure("30.05 inHg")) == "30.05 inHg / 1017 hPa"


def test_without_a_transition_altitude_nothing_is_said_of_it():
    text = changed(
        changed(regatta(), GIVEN, ""), "{to: ENTRY, level: 16000 ft MSL", "{to: ENTRY, level: FL020"
    )
    assert [d.code for d in load_mission_text(text, "m.yaml")[1] if d.code == "flight-level"] == []


def help_for(old: str, new: str, *more: tuple[str, str]) -> str:
    text = changed(regatta(), old, new)
    for before, after in more:
        text = changed(text, before, after)
    (problem,) = [d for d in load_mission_text(text, "m.yaml")[1] if d.severity == "error"]
    return problem.help


UNKNOWN = (GIVEN, "")


def hold_at(level: str) -> tuple[str, str]:
    return "to: HOLD, level: 2000 ft MSL", f"to: HOLD, level: {level}"


# the hold fix has no elevation, a transition altitude of 10000 ft is given
NO_GROUND = (
    "; {} AGL is not taken here: this level is above the ground, but HOLD has no elevation"
    " (write it in ft MSL, or give HOLD its `elevation`)"
)
BELOW = (
    "; FL040 is not taken here: FL040 is below the transition altitude of 10000 ft, 4102 ft MSL on 1017 hPa"
    " (write a level in ft MSL, such as 4000 ft MSL, or 4102 ft MSL if that height is meant)"
)
# what is typed, what else is changed, and the readings: only what the whole file takes, and why it takes no
# other
OFFERED = [
    (*hold_at("2000 ft"), (), "write 2000 ft MSL" + NO_GROUND.format("2000 ft")),
    (*hold_at("2000 ft"), (UNKNOWN,), "write 2000 ft MSL" + NO_GROUND.format("2000 ft")),
    (*hold_at("4000 ft"), (UNKNOWN,), "write 4000 ft MSL or FL040" + NO_GROUND.format("4000 ft")),
    (*hold_at("4000 ft"), (), "write 4000 ft MSL" + NO_GROUND.format("4000 ft") + BELOW),
    (
        *hold_at("240"),
        (),
        "write FL240; 240 ft MSL is doubted here: 240 ft MSL, and PONTOON, 10 nm away, is at 10 ft MSL"
        + NO_GROUND.format("240 ft"),
    ),
    ("to: HOLD, level: 2000 ft MSL", "to: HOLD, level: FL15", (), "write FL150 or 1500 ft MSL"),
    ("lowest: 1000 ft AGL", "lowest: 500 ft", (), "write 500 ft MSL or 500 ft AGL"),
    # no ground is known at the end of the egress; the pontoon's is at 10 ft MSL
    (
        "distance: 8 nm, level: 2000 ft MSL",
        "distance: 8 nm, level: 2000 ft",
        (),
        "write 2000 ft MSL; 2000 ft AGL is not taken here: this level is above the ground, and the ground at"
        " the end of the egress is given nowhere (write 2010 ft MSL if it counts from the ground at PONTOON)",
    ),
    (
        "distance: 8 nm, level: 2000 ft MSL",
        "distance: 8 nm, level: 2000 ft AGL",
        (),
        "write 2010 ft MSL if it counts from the ground at PONTOON",
    ),
    ("abort_only_after: T-30 s", "abort_only_after: 30 s", (), "write T-30 s"),
    ("late_bias: 15 s", "late_bias: 5", (), "write 5 s"),  # 2 min is the most
    (
        "tail: 0471, start_fuel: 5500 lb",
        "tail: 0471, start_fuel: 800",
        (),
        "write 800 lb",
    ),  # no density is given, and the aircraft's fuel is in lb
]


@pytest.mark.parametrize(
    ("old", "new", "more", "help"),
    OFFERED,
    ids=[f"{row[1]}{' without a transition altitude' if row[2] else ''}" for row in OFFERED],
)
def test_only_what_the_whole_mission_takes_is_offered(old, new, more, help):
    assert help_for(old, new, *more) == help


def test_a_clock_of_the_event_is_not_offered_without_an_event():
    (problem,) = [
        d
        for d in load_mission_text(changed(TRAINING_ONLY, "takeoff: 12:10 base", "takeoff: 12:10"), "m.yaml")[
            1
        ]
        if d.severity == "error"
    ]
    assert "event" not in problem.help and "12:10 base" in problem.help and "12:10 Z" in problem.help


def test_a_level_above_the_ground_needs_the_ground():
    text = changed(regatta(), "to: HOLD, level: 2000 ft MSL", "to: HOLD, level: 2000 ft AGL")
    (problem,) = [d for d in load_mission_text(text, "m.yaml")[1] if d.severity == "error"]
    assert (problem.code, problem.span.line) == (
        "no-elevation",
        1 + text[: text.index("2000 ft AGL")].count("\n"),
    ) and "HOLD" in problem.help


REJOIN, FLOOR = "fuel: 50 lb, level: 7000 ft MSL", "floor: 5000 ft MSL"
TRANSIT, GATE = "{to: HOLD, level: 2500 ft MSL", "{to: GATE, level: 8000 ft MSL"
FAR = (
    "[53°20.0'N 8°30.0'W, 53°40.0'N 8°30.0'W, 53°40.0'N 7°50.0'W, 53°20.0'N 7°50.0'W]",
    "[54°20.0'N 8°30.0'W, 54°40.0'N 8°30.0'W, 54°40.0'N 7°50.0'W, 54°20.0'N 7°50.0'W]",
)


# The nearest known ground is Long Ford's, 250 ft MSL, to the area and the gate, and Windmill Hill's, 120 ft
# MSL, 13 nm (5' north, 20' x cos 53 deg west) from the hold; what is flown is doubted within 500 ft of it. An
# area a degree farther north has no known ground within 25 nm: the lowest of all is the base's, 80 ft MSL.
@pytest.mark.parametrize(
    ("swaps", "where"),
    [
        (((REJOIN, REJOIN.replace("7000", "749")),), ("training", "rejoin", "level")),
        (((REJOIN, REJOIN.replace("7000", "751")),), None),
        (((FLOOR, FLOOR.replace("5000", "249")),), ("training", "area", "floor")),
        (((FLOOR, FLOOR.replace("5000", "251")),), None),
        (((TRANSIT, TRANSIT.replace("2500", "619")),), ("transit", 0, "level")),
        (((TRANSIT, TRANSIT.replace("2500", "621")),), None),
        (((GATE, GATE.replace("8000", "749")),), ("departure", 0, "level")),
        ((FAR, (REJOIN, REJOIN.replace("7000", "79"))), ("training", "rejoin", "level")),
        ((FAR, (REJOIN, REJOIN.replace("7000", "81"))), None),
    ],
)
def test_a_level_over_unknown_ground_is_held_against_the_known_ground_nearest_to_it(swaps, where):
    text = START
    for swap in swaps:
        text = changed(text, *swap)
    found = [(d.severity, d.cause) for d in told_of(text) if d.code == "low-level"]
    assert found == ([("caution", where)] if where else [])


# a run-in above the ground, without these elevations, beside another error (a key that nobody knows)
@pytest.mark.parametrize(
    ("no_ground_at", "places"),
    [(("IP",), "IP has"), (("IP", "PONTOON"), "PONTOON and IP have"), (("PONTOON",), "PONTOON has")],
)
def test_a_run_in_above_the_ground_asks_for_its_ground_where_it_is_typed_at_once(no_ground_at, places):
    text = changed(
        regatta(), "      level: 1500 ft MSL\n      speed: 300", "      level: 1500 ft AGL\n      speed: 300"
    )
    text = changed(text, "    hold:\n", "    hold:\n      oops: 1\n")
    if "PONTOON" in no_ground_at:
        text = changed(text, ", elevation: 10 ft MSL, time_zone", ", time_zone")
    if "IP" not in no_ground_at:
        text = changed(
            text, "position: 38°25.7'S 141°28.6'E}", "position: 38°25.7'S 141°28.6'E, elevation: 0 ft MSL}"
        )
    found = [d for d in load_mission_text(text, "m.yaml")[1] if d.code == "no-elevation"]

    assert [(d.cause, d.message) for d in found] == [
        (
            ("event", "pass", "run_in", "level"),
            f"this level is above the ground, but {places} no elevation",
        )
    ]
