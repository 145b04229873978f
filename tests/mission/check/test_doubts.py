"""Figures that contradict each other, or that hardly anybody means: a caution each, with the default named as
one."""

from __future__ import annotations

import pytest

from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import changed, regatta
from tests.places import REPOSITORY


def lantern() -> str:
    return (REPOSITORY / "missions" / "lantern-fair.yaml").read_text(encoding="utf-8")


AT_BASE = "NORTHBOURNE: {cloud: [SCT 4500 ft AGL], visibility: 10 km, wind: 200T/14kt, temperature: 22 C"

# the regatta's table of winds has 21 C at 0 ft MSL and 12 C at 5000: at the base's 230 ft 21 - 9 x 230 / 5000
# = 20.6 C
DOUBTS = [
    (AT_BASE, AT_BASE.replace("22 C", "-22 C"), ["temperatures-apart"]),  # 42.6 apart
    (AT_BASE, AT_BASE.replace("22 C", "0 C"), ["temperatures-apart"]),  # 20.6 apart
    (AT_BASE, AT_BASE.replace("22 C", "1 C"), []),  # 19.6 apart
    (AT_BASE, AT_BASE.replace("200T/14kt", "200T/101kt"), ["unlikely"]),
    (AT_BASE, AT_BASE.replace("200T/14kt", "200T/14G101kt"), ["unlikely"]),
    (AT_BASE, AT_BASE.replace("200T/14kt", "200T/100kt"), []),
    ("level: 5000 ft MSL,  wind: 230T/20kt", "level: 5000 ft MSL,  wind: 230T/250kt", ["unlikely"]),
    ("level: 18000 ft MSL, wind: 260T/45kt", "level: 18000 ft MSL, wind: 260T/145kt", []),  # a jet
    ("each: 11 min,", "each: 59 s,", ["unlikely"]),
    ("each: 11 min,", "each: 60 s,", []),
    ("spread: 10 s", "spread: 10 h", ["unlikely"]),
    ("spread: 10 s", "spread: 10 min", []),
    ("spacing: 30 ft", "spacing: 100 m", ["unlikely"]),  # 328 ft
    ("spacing: 30 ft", "spacing: 91 m", []),  # 298.6 ft
    ("bank: 30 deg", "bank: 51 deg", ["unlikely"]),
    ("bank: 30 deg", "bank: 45 deg", []),
    ("start_to_takeoff_fuel: 300 lb", "start_to_takeoff_fuel: 300 kg", ["mixed-units"]),
    ("round_up_to: 50 lb", "round_up_to: 20 kg", []),  # of what is shown
]

LITRES = "tiers: {normal_landing: 40 L, minimum: 32 L, emergency: 25 L}"


@pytest.mark.parametrize(
    ("old", "new", "codes"),
    [
        (LITRES, LITRES.replace("40 L", "40 kg"), ["mixed-units"]),
        (LITRES, LITRES.replace("40 L", "40 lb"), ["mixed-units"]),
        (LITRES, LITRES.replace(" L", " kg"), []),  # all three by mass: meant
        (
            LITRES,
            "tiers: {normal_landing: 40 kg}",
            [],
        ),  # as it is shown, and nothing beside it says otherwise
        (LITRES, "tiers: {normal_landing: 40 lb}", ["mixed-units"]),
        ("climb_fuel: 1 kg", "climb_fuel: 2 L", []),
        ("climb_fuel: 1 kg", "climb_fuel: 2 lb", ["mixed-units"]),  # kg is shown
        ("fuel_capacity: 240 L", "fuel_capacity: 172 kg", []),  # tanks may be told by the other alone
    ],
)
def test_a_mass_alone_among_litres_is_doubted(old, new, codes):
    found = load_mission_text(changed(lantern(), old, new), "m.yaml")[1]

    assert [d.code for d in found if d.code == "mixed-units"] == codes


@pytest.mark.parametrize(("old", "new", "codes"), DOUBTS, ids=[row[1][-24:] for row in DOUBTS])
def test_what_is_doubted(old, new, codes):
    found = [
        d
        for d in load_mission_text(changed(regatta(), old, new), "m.yaml")[1]
        if d.code in ("temperatures-apart", "mixed-units", "unlikely")
    ]

    assert [(d.code, d.severity) for d in found] == [(code, "caution") for code in codes]
    assert all("default" in d.why and d.help for d in found)


def test_fuel_in_another_unit_than_the_aircraft_is_doubted_once_with_every_place():
    text = changed(
        changed(regatta(), "climb_fuel: 100 lb", "climb_fuel: 45 kg"),
        "approach: {time: 8 min, fuel: 230 lb}",
        "approach: {time: 8 min, fuel: 105 kg}",
    )
    (problem,) = [d for d in load_mission_text(text, "m.yaml")[1] if d.code == "mixed-units"]

    assert (problem.message, problem.help) == (
        "fuel in kg, and lb in the aircraft; 45 kg is 99.2 lb",  # 45 / 0.45359237
        "write 45 lb if the unit is a slip",
    )
    lines = text.splitlines()
    assert [lines[related.span.line - 1].split(":")[0].strip() for related in problem.related][
        -1
    ] == "approach"


def test_two_masses_in_one_aircraft_are_doubted():
    (line,) = [line for line in regatta().splitlines() if "fuel_capacity:" in line]
    found = [
        d
        for d in load_mission_text(regatta().replace(line, "    fuel_capacity: 2600 kg"), "m.yaml")[1]
        if d.code == "mixed-units"
    ]

    assert found and all(d.severity == "caution" and "lb" in d.message and "kg" in d.message for d in found)


def test_a_pressure_that_no_weather_has_is_doubted_once_where_all_agree():
    text = regatta().replace("qnh: 1017 hPa", "qnh: 1085 hPa")
    found = [d for d in load_mission_text(text, "m.yaml")[1] if d.code == "unlikely"]
    assert [(d.code, d.cause) for d in found] == [("unlikely", ("weather", "at", "NORTHBOURNE", "qnh"))]
    assert [related.message for related in found[0].related] == [
        f"1085.0 hPa at {id}" for id in ("PONTOON", "EASTLEA", "HARTWELL")
    ]


@pytest.mark.parametrize(
    ("top", "codes"),
    [
        ("1010 ft MSL", []),
        ("1011 ft MSL", ["top-and-ground"]),
        ("9 ft MSL", ["top-and-ground"]),
        ("10 ft MSL", []),
    ],
)
def test_an_obstacle_on_the_spot_of_a_place_stands_on_its_ground(top, codes):
    """The pontoon stands at 10 ft MSL."""
    spot = "38°20.8'S 141°36.6'E"
    old = "    obstacles_checked:"
    listed = f"      - {{name: Pole, position: {spot}, top: {top}}}\n"
    text = changed(regatta(), old, listed + old)
    assert [d.code for d in load_mission_text(text, "m.yaml")[1] if d.code == "top-and-ground"] == codes
