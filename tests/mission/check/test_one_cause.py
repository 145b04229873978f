"""One cause is told once, at its own line, and what is offered is then accepted.

The mission is the one to start from: two Siskins with 2400 lb of tanks, 2300 lb in them, and all fuel in lb.
"""

import re

import pytest

from briefgen.build.build import check
from tests.mission.mission_texts import START, changed, told_of

# what is changed, and of each thing that is told then: its code, its line as typed, the help, how many places
# stand beside it. 1100 kg in lb is 1100 lb, less than the 2300 lb in the tanks; a minimum of 210 lb is less
# than the emergency fuel of 430 lb.
CHECK = "check the figure and its unit"
FUEL = [
    (
        "fuel_capacity: 2400 lb",
        "fuel_capacity: 2400 kg",
        [("mixed-units", "fuel_capacity", "write 2400 lb if the unit is a slip", 1)],
    ),
    ("fuel_capacity: 2400 lb", "fuel_capacity: 1100 kg", [("mixed-units", "fuel_capacity", CHECK, 1)]),
    (
        "minimum: 460 lb",
        "minimum: 460 kg",
        [("mixed-units", "tiers", "write 460 lb if the unit is a slip", 1)],
    ),
    ("minimum: 460 lb", "minimum: 210 kg", [("mixed-units", "tiers", CHECK, 1)]),
    (
        "start_fuel: 2300 lb, side: blue",
        "start_fuel: 1000 kg, side: blue",
        [("mixed-units", "- {ship", "write 1000 lb if the unit is a slip", 1)],
    ),
    (
        "start_fuel: 2300 lb, side: blue",
        "start_fuel: 2300 kg, side: blue",
        [("too-much-fuel", "- {ship", "write 2300 lb if the unit is a slip", 1)],
    ),
    ("joker_pad: 50 lb", "joker_pad: 2500 kg", [("mixed-units", "fuel", CHECK, 1)]),
    (
        "fuel_capacity: 2400 lb",
        "fuel_capacity: 240 lb",
        [("too-much-fuel", "fuel_capacity", "check start_fuel, its unit, and fuel_capacity", 2)],
    ),
    (
        "hold: 800 lb/h",
        "hold: 800 kg/h",
        [("mixed-units", "fuel_flow", "write it in lb/h if the unit is a slip", 1)],
    ),
]


@pytest.mark.parametrize(("old", "new", "expected"), FUEL, ids=[row[1] for row in FUEL])
def test_an_odd_unit_is_told_once_and_offered_only_where_it_fits(old, new, expected):
    text = changed(START, old, new)
    lines = text.splitlines()
    found = told_of(text)

    assert [
        (d.code, lines[d.span.line - 1].strip().partition(":")[0], d.help, len(d.related)) for d in found
    ] == expected
    for problem in found:
        if problem.help.startswith("write ") and "it in" not in problem.help:
            offered = problem.help.removeprefix("write ").removesuffix(" if the unit is a slip")
            typed = new.partition(": ")[2].partition(",")[0]
            assert told_of(changed(START, old, new.replace(typed, offered))) == []


def test_a_figure_whose_unit_is_doubted_is_not_doubted_again_for_its_size(tmp_path):
    """130 kg are 286.6 lb, more than twice the 125 lb of 25 min at 300 lb/h."""
    path = tmp_path / "m.yaml"
    path.write_text(changed(START, "start_to_takeoff_fuel: 130 lb", "start_to_takeoff_fuel: 130 kg"))

    assert [d.code for d in check(path).diagnostics if d.cause[-1:] == ("start_to_takeoff_fuel",)] == [
        "mixed-units"
    ]


def test_a_figure_whose_unit_is_doubted_and_that_is_too_small_is_told_once(tmp_path):
    """30 kg are 66.1 lb, and 7 min at 800 lb/h of the hold are 93.3 lb."""
    path, typed = tmp_path / "m.yaml", "fuel_each: 30 kg"
    path.write_text(changed(START, "fuel_each: 140 lb", typed))
    key = ("training", "setups", "fuel_each")
    (problem,) = [d for d in check(path).diagnostics if d.cause == key]
    assert (problem.code, problem.severity) == ("fuel-below-flow", "error")
    assert problem.message.endswith("(fuel in kg, and lb in the aircraft; 30 kg is 66.1 lb)")
    assert (
        problem.help.startswith("check the figure and its unit; else raise") or "write 30 lb" in problem.help
    )


VALID = "valid: 2027-06-12 09:00 Z to 2027-06-12 18:00 Z"
ISSUED = "issued: 2027-06-12 08:00 Z"
PERMITTED = "valid: 14:15 to 14:50 event"
RIGHT = "2027-06-12 09:00 Z to 2027-06-12 18:00 Z"
SLIP = " if its date is a slip"
# T is 14:30 IST, 13:30 Z, on 2027-06-12; what is changed, the line it is told at, the help, and the line that
# is written then
DATES = [
    (VALID, "valid: 2027-06-12 09:00 Z to 2027-06-11 18:00 Z", "valid", f"write {RIGHT}", f"valid: {RIGHT}"),
    (VALID, "valid: 2027-06-12 09:00 Z to 2026-06-12 18:00 Z", "valid", f"write {RIGHT}", f"valid: {RIGHT}"),
    (VALID, "valid: 2027-06-12 18:00 Z to 2027-06-12 09:00 Z", "valid", f"write {RIGHT}", f"valid: {RIGHT}"),
    (
        VALID,
        "valid: 2027-06-11 09:00 Z to 2027-06-11 18:00 Z",
        "valid",
        f"write {RIGHT}{SLIP}",
        f"valid: {RIGHT}",
    ),
    (
        VALID,
        "valid: 2027-06-12 09:00 Z to 2027-07-12 18:00 Z",  # 30 days
        "valid",
        f"write {RIGHT}{SLIP}",
        f"valid: {RIGHT}",
    ),
    (ISSUED, "issued: 2026-06-12 08:00 Z", "issued", f"write 2027-06-12 08:00 Z{SLIP}", ISSUED),
    (ISSUED, "issued: 2027-06-13 08:00 Z", "issued", f"write 2027-06-12 08:00 Z{SLIP}", ISSUED),
    (
        "date: 2027-06-12",
        "date: 2027-06-11",
        "date",
        "write 2027-06-12 if that is the day of the sortie; else mend the dates named here",
        "date: 2027-06-12",
    ),
    (
        "date: 2027-06-12",
        "date: 2027-06-13",
        "valid",
        f"write 2027-06-13 09:00 Z to 2027-06-13 18:00 Z{SLIP}, or date: 2027-06-12 in `sortie`",
        "date: 2027-06-12",
    ),
    (
        "date: 2027-06-12",
        "date: 2026-06-12",
        "date",
        "write 2027-06-12 if that is the day of the sortie; else mend the dates named here",
        "date: 2027-06-12",
    ),
    (
        PERMITTED,
        "valid: 14:50 to 14:15 event",
        "permission",
        "write 14:15 to 14:50 event if they are swapped; if the long range is meant, leave it, or type the"
        " dates where they may stand",
        PERMITTED,
    ),
    (
        PERMITTED,
        "valid: 14:50 +0100 to 13:15 Z",  # both clocks stay with their times
        "permission",
        "write 13:15 Z to 14:50 +0100 if they are swapped; if the long range is meant, leave it, or type the"
        " dates where they may stand",
        "valid: 13:15 Z to 14:50 +0100",
    ),
    (
        PERMITTED,
        "valid: 2027-06-11 14:15 event to 2027-06-11 14:50 event",
        "permission",
        f"write 2027-06-12 14:15 event to 2027-06-12 14:50 event{SLIP}",
        "valid: 2027-06-12 14:15 event to 2027-06-12 14:50 event",
    ),
]


@pytest.mark.parametrize(("old", "new", "key", "help", "line"), DATES, ids=[row[1] for row in DATES])
def test_a_wrong_date_is_one_doubt_that_names_the_date_that_would_do(old, new, key, help, line):
    text = changed(START, old, new)
    (problem,) = told_of(text)

    typed = text.splitlines()[problem.span.line - 1].strip()
    assert (typed.partition(":")[0], problem.help) == (key, help)
    assert told_of(changed(START, old, line)) == []


def test_two_dates_that_no_day_of_the_sortie_fits_are_told_each():
    text = changed(START, "requested: 2027-04-01", "requested: 2028-04-01")

    assert [d.help for d in told_of(changed(text, "date: 2027-05-20", "date: 2028-05-20"))] == [
        "check the two dates",
        "check the two dates",
    ]


@pytest.mark.parametrize(
    ("wanted", "message", "help"),
    [
        ("3", "the pass wants at least 3 ships, and 2 ships fly", "write a number from 1 to 2"),
        ("0", "the pass wants at least 0 ships, and 2 ships fly", "write a number from 1 to 2"),
    ],
)
def test_more_ships_than_fly(wanted, message, help):
    (problem,) = told_of(changed(START, "minimum_ships: 1", f"minimum_ships: {wanted}"))
    assert (problem.message, problem.help) == (message, help)


def test_more_ships_than_the_one_that_flies():
    second = next(line for line in START.splitlines() if line.startswith("  - {ship: 2,"))
    alone = changed(START, f"{second}\n", "")
    found = told_of(changed(alone, "minimum_ships: 1", "minimum_ships: 2"))
    (problem,) = [d for d in found if d.code == "minimum-ships"]
    assert (problem.message, problem.help) == (
        "the pass wants at least 2 ships, and one ship flies",
        "write 1, or leave it out",
    )


# by the standard lapse, 1.98 C in 1000 ft: 7 C at 5000 ft are 16.9 C at 0 ft, and 16 C there 6.1 C at 5000
SIGNS = [
    ("wind: 240T/10kt, temperature: 16 C}\n    - {level: 5000", "16 C", "-16 C", True),  # 32.9 off, 0.9
    ("level: 10000 ft MSL, wind: 260T/25kt, temperature: -3 C", "-3 C", "18 C", False),  # 20.9 off; 15.1
    ("level: 10000 ft MSL, wind: 260T/25kt, temperature: -3 C", "-3 C", "3 C", False),  # 5.9 off
]


@pytest.mark.parametrize(("row", "right", "typed", "doubted"), SIGNS)
def test_a_temperature_aloft_with_the_wrong_sign(row, right, typed, doubted):
    found = told_of(changed(START, row, row.replace(right, typed)))

    assert [(d.code, d.help) for d in found] == (
        [("temperature-sign", f"write {right} if the sign is a slip; leave it if the forecast says so")]
        if doubted
        else []
    )


def test_a_level_of_the_pass_below_the_ground_is_marked_itself():
    """The windmill stands at 120 ft MSL, so 100 ft above it are 220; the ground at the IP is not given."""
    old = "      level: 1500 ft MSL\n      speed: 240 KGS"
    (problem,) = told_of(changed(START, old, old.replace("1500", "100")))

    key = ("event", "pass", "run_in", "level")
    assert (problem.code, problem.severity, problem.cause) == ("below-ground", "error", key)
    offered = old.replace("1500 ft MSL", problem.help.removeprefix("write ").partition(" if")[0])
    assert "220 ft MSL" in offered and told_of(changed(START, old, offered)) == []


def test_the_example_of_a_leg_that_is_left_out_is_one_that_is_flown():
    (problem,) = told_of(changed(START, " leg: 60 s,", ""))

    assert problem.help == "add `leg`, for example `leg: 60 s`"
    (problem,) = told_of(changed(START, " leg: 60 s,", " leg: a minute,"))
    assert problem.help == "write it like this, for example: 60 s or 1 min 30 s"


def test_the_day_that_is_taken_for_a_forecast_without_one_is_said_once():
    issued = "issued: 2027-06-12 08:00 Z"
    (said,) = told_of(changed(START, issued, "issued: 08:00 Z"))

    assert (said.code, said.severity) == ("issued-day", "note")
    assert "2027-06-12 08:00 Z" in said.message and said.help.startswith("write 2027-06-12 08:00 Z")


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        ("GATE: {position:", "GATE: {pos:", ["`pos`", "`position`"]),
        ("    top: 15000 ft MSL", "    ceiling: 15000 ft MSL", ["`ceiling`", "`top`"]),
        ("formation_deceleration:", "formation_decelaration:", ["formation_deceleration"]),
        ("fuel_capacity: 2400 lb", "fuel_capacity: 1400 litres", ["write 1400 L"]),
    ],
)
def test_a_key_or_a_unit_that_is_misspelt_is_told_once_with_what_is_meant(old, new, named):
    (problem,) = told_of(changed(START, old, new))
    assert all(name in f"{problem.message} {problem.help}" for name in named)


def test_without_a_density_the_spelling_is_told_at_each_litre_and_the_density_once():
    text = START.replace("lb/h", "l/h").replace(" lb", " L").replace("L/h", "l/h")
    found = told_of(text)
    assert [d.code for d in found].count("no-density") == 1
    spelt = [d.help for d in found if d.code == "value"]
    assert spelt and all("density" not in help and help.startswith("write ") for help in spelt)


def test_the_other_end_of_a_strip_is_called_so():
    """The base lists 26, 260 degrees; 080 degrees is the other way."""
    (problem,) = told_of(changed(START, "  runway: 26\n", "  runway: 08\n"))
    assert "26 is the other end" in problem.help


def test_one_layer_of_cloud_is_offered_as_the_list_that_is_wanted():
    (found,) = re.findall(r"cloud: (\[[^]]+\])", START)[:1]
    text = START.replace(f"cloud: {found}", "cloud: FEW040", 1)
    (problem,) = told_of(text)
    assert problem.help == "write cloud: [FEW 4000 ft AGL]"
    assert told_of(text.replace("cloud: FEW040", problem.help.removeprefix("write "))) == []
