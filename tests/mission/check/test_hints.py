"""Mistakes of the kinds that people make, and what the help makes of each.

A help names the exact line to write, which the next run accepts and which means what was meant; or it says
what kind of thing is wanted, with an example marked as one.  The expected lines are worked out by hand from
the mission: SISKIN flies on 2027-06-12 over Ireland, whose clocks show UTC+1 in June and are named IST then
(IANA tz database, Europe/Dublin).
"""

import re

import pytest

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.mission.mission_texts import PASS_ONLY, REPOSITORY, START, changed, told_of

ISSUED = "issued: 2027-06-12 08:00 Z"
VALID = "valid: 2027-06-12 09:00 Z to 2027-06-12 18:00 Z"
TAKEOFF = "# takeoff: 13:35:00 base"
TIME = "time: 14:30:00 event"


def told(old: str, new: str) -> list[Diagnostic]:
    """What is told of the mission with one line changed, and isn't told of it as it stands."""
    return told_of(changed(START, old, new))


ALOFT = "wind: 260T/25kt, temperature: -3 C"
# what stands in the mission, what is typed in its place, and every line that is offered
MENDED = {
    "a floor at the ground": ("    floor: 5000 ft MSL", "    floor: {}", "SFC", ["0 ft AGL"]),
    "a forecast's time with its day": (ISSUED, "issued: {}", "292200Z", ["2027-05-29 22:00 Z"]),
    "a day of the month before": (ISSUED, "issued: {}", "312300Z", ["2027-05-31 23:00 Z"]),
    "a day and a stroke": (ISSUED, "issued: {}", "12/0800Z", ["2027-06-12 08:00 Z"]),
    "a day and a space": (ISSUED, "issued: {}", "12 0800Z", ["2027-06-12 08:00 Z"]),
    "a day, hour and minute without Z": (ISSUED, "issued: {}", "120800", ["2027-06-12 08:00 Z"]),
    "a day and month": (ISSUED, "issued: {}", "12JUN 0800Z", ["2027-06-12 08:00 Z"]),
    "a day, time, month and year": (ISSUED, "issued: {}", "120800Z JUN 27", ["2027-06-12 08:00 Z"]),
    "an issue without its day": (ISSUED, "issued: {}", "08:00", ["08:00 Z", "08:00 base", "08:00 event"]),
    "six digits that may be either": (ISSUED, "issued: {}", "120800Z", ["2027-06-12 08:00Z", "12:08:00Z"]),
    "a forecast's validity": (VALID, "valid: {}", "1209/1218", ["2027-06-12 09:00 Z to 2027-06-12 18:00 Z"]),
    "a validity until 24": (VALID, "valid: {}", "1209/1224", ["2027-06-12 09:00 Z to 2027-06-13 00:00 Z"]),
    "a validity in the older form": (
        VALID,
        "valid: {}",
        "121206",
        ["2027-06-12 12:00 Z to 2027-06-13 06:00 Z"],
    ),
    "hours alone": (VALID, "valid: {}", "09-18Z", ["09:00 to 18:00 Z"]),
    # 13:35 Z is 14:35 there, after the pass at 14:30
    "no clock": (TAKEOFF, "takeoff: {}", "13:35:00", ["13:35:00 base", "13:35:00 event"]),
    "the letters of the base's clock": (TAKEOFF, "takeoff: {}", "13:35:00 IST", ["13:35:00 base"]),
    "the letters of the event's clock": (TIME, "time: {}", "14:30:00 IST", ["14:30:00 event"]),
    "the letters of a range's clock": (
        "reserved: 13:00 to 14:30 base",
        "reserved: {}",
        "13:00 to 14:30 IST",
        ["13:00 to 14:30 base"],
    ),
    "hours in letters and with a hyphen": (
        "open: 08:00 to 19:00 base",
        "open: {}",
        "0800-1900 IST",
        ["0800 to 1900 base"],
    ),
    "points and a local clock": (TIME, "time: {}", "14.30.00 local", ["14:30:00 base", "14:30:00 event"]),
    "hours of a local clock": (
        "open: 08:00 to 19:00 base",
        "open: {}",
        "08:00-19:00 local",
        ["08:00 to 19:00 base", "08:00 to 19:00 event"],
    ),
    # 8 m/s x 3600 / 1852 = 15.55 kt, 15 m/s 29.16; 30 km/h / 1.852 = 16.2 kt
    "a wind in m/s": (ALOFT, "wind: {}, temperature: -3 C", "240T/8 m/s", ["240T/16kt"]),
    "gusts in m/s": (
        "wind: 240T/10kt, temperature: 15 C",
        "wind: {}, temperature: 15 C",
        "240T/8G15mps",
        ["240T/16G29kt"],
    ),
    # 460 / 1.852 = 248.4 kt; 70 x 3600 / 1852 = 136.1 kt
    "a speed in km/h": (
        "{to: HOLD, level: 2500 ft MSL, speed: 240 KTAS}",
        "{{to: HOLD, level: 2500 ft MSL, speed: {}}}",
        "460 km/h",
        ["248 KCAS", "248 KTAS", "248 KGS"],
    ),
    "a true airspeed in m/s": (
        "{to: HOLD, level: 2500 ft MSL, speed: 240 KTAS}",
        "{{to: HOLD, level: 2500 ft MSL, speed: {}}}",
        "70 m/s TAS",
        ["136 KTAS"],
    ),
    "a ground speed in km/h": ("speed: 240 KGS\n      min", "speed: {}\n      min", "460 km/h", ["248 KGS"]),
    "letters behind both times of a range": (
        "reserved: 13:00 to 14:30 base",
        "reserved: {}",
        "13:00 IST to 14:30 IST",
        ["13:00 base to 14:30 base"],
    ),
    "km/h from nobody knows which north": (
        ALOFT,
        "wind: {}, temperature: -3 C",
        "240/30 km/h",
        ["240T/16kt", "240M/16kt"],
    ),
    "a preset in words": ("primary: 5 ", "primary: {} ", "channel 5", ["5"]),
    "a Mach number without its point": ("maximum_mach: 0.70", "maximum_mach: {}", "70", ["0.70"]),
    "flight levels of two digits": ("blue: 7000 to 9000 ft MSL", "blue: {}", "FL70-FL90", ["FL070 to FL090"]),
    "24:00": (TAKEOFF, "takeoff: {}", "24:00 base", ["2027-06-13 00:00 base", "2027-06-12 00:00 base"]),
    "letters for a zone": (
        "time_zone: Europe/Dublin\n    position",
        "time_zone: {}\n    position",
        "ACST",
        ["Europe/Dublin"],
    ),
    "an offset for a zone": (
        "time_zone: Europe/Dublin\n    position",
        "time_zone: {}\n    position",
        "UTC+1",
        ["Europe/Dublin"],
    ),
    "a minute past 24:00 of a date": (ISSUED, "issued: {}", "2027-06-11 24:01 Z", ["2027-06-12 00:01 Z"]),
}


@pytest.mark.parametrize("name", MENDED)
def test_every_line_that_is_offered_is_accepted_on_the_next_run(name):
    old, form, typed, offers = MENDED[name]
    (problem,) = [d for d in told(old, form.format(typed)) if d.severity != "note"]

    assert (
        f"write {', '.join(offers[:-1]) + ' or ' if offers[1:] else ''}{offers[-1]}"
        == problem.help.partition(";")[0].partition(", the zone")[0]
    )
    for offer in offers:
        mission, problems = load_mission_text(changed(START, old, form.format(offer)), "m.yaml")
        assert mission is not None, [p.message for p in problems]


# a position whose comma cuts it in two inside {} and []
CUT = [
    ("53°24.0'N 8°30.0'W}", "53.4000, -8.5000}", "53.4000 -8.5000"),
    ("position: 53°09.0'N 9°00.0'W, elev", "position: 53.15, -9.0, elev", "53.15 -9.0"),
    ("boundary: [53°20.0'N 8°30.0'W,", "boundary: [53.3333, -8.5,", "53.3333 -8.5"),
    ("{from: 53°08.6'N 8°59.5'W,", "{from: 53°08.6'N, 8°59.5'W,", "53°08.6'N 8°59.5'W"),
]


@pytest.mark.parametrize(("old", "new", "whole"), CUT)
def test_a_position_cut_by_its_comma_is_one_error_with_its_mend(old, new, whole):
    (problem,) = told(old, new)
    assert (problem.code, problem.help) == ("cut-text", f"leave the comma out: {whole}")

    half = whole.split(" ")[0]
    mission, problems = load_mission_text(
        changed(START, old, new.replace(f"{half}, ", f"{half} ", 1)), "m.yaml"
    )
    assert mission is not None, [p.message for p in problems]


CREW = "crew: [Flt Lt P. Novak]"
# what is typed in {}, and the one line that is offered
PIECES = [
    (CREW, "crew: R. Ibarra, S. Two", "crew: [R. Ibarra, S. Two]"),
    (CREW, "crew: R. Ibarra, S. Two, T. Three", "crew: [R. Ibarra, S. Two, T. Three]"),
    ("fuel_each: 140 lb", "fuel_each: 1,140 lb", "fuel_each: 1140 lb"),
    ("use: Tower", "use: \u201cNow, all rise\u201d", 'use: "Now, all rise"'),
]


@pytest.mark.parametrize(("old", "new", "line"), PIECES)
def test_a_value_that_a_comma_cuts_is_told_once_with_the_line_that_is_accepted(old, new, line):
    (problem,) = told(old, new)
    assert (problem.code, problem.help) == ("cut-text", f"write {line}")
    mission, problems = load_mission_text(changed(START, old, line), "m.yaml")
    assert mission is not None, [p.message for p in problems]


LEAVE = "leave: {by: GATE, time: 2 min, fuel: 30 lb}"
# what is typed in {} where a colon, the space behind it or a comma is left out, and the words that are told
NO_COLON = [
    ("{time: 2 min, by GATE, fuel: 30 lb}", "by GATE", "by: GATE"),
    ("{by GATE, time: 2 min, fuel: 30 lb}", "by GATE", "by: GATE"),
    ("{by: GATE, time:2 min, fuel: 30 lb}", "time:2 min", "time: 2 min"),
    ("{by: GATE, time 2 min, fuel 30 lb}", "time 2 min", "time: 2 min"),
    ("{by: GATE time: 2 min, fuel: 30 lb}", "by: GATE time: 2 min", "by: GATE, time: 2 min"),
    ("{by: GATE, time: 2 min fuel: 30 lb}", "time: 2 min fuel: 30 lb", "time: 2 min, fuel: 30 lb"),
]


@pytest.mark.parametrize(("typed", "wrong", "line"), NO_COLON)
def test_a_sign_that_is_left_out_between_keys_is_offered(typed, wrong, line):
    """The whole file holds: what stands behind the slip is read, so that nothing else is told."""
    found = told(LEAVE, f"leave: {typed}")
    assert found[0].help == f"write {line}"
    assert all(d.help.startswith("write ") for d in found)
    mended = typed.replace(wrong, line).replace("fuel 30", "fuel: 30")
    assert told(LEAVE, f"leave: {mended}") == []


def test_a_colon_of_a_text_is_no_key():
    (problem,) = told("use: Tower", "use: Tower north: all")
    assert "comma is missing before the key" not in problem.message


def test_of_a_time_that_may_be_several_a_list_is_offered_that_is_accepted():
    """Both passes of the fields are held by the officer, each at its time."""
    text = (REPOSITORY / "missions" / "twin-fields.yaml").read_text(encoding="utf-8")
    one, two = "acknowledged: 10:30:00 event", "10:45:00 event"
    (problem,) = told_of(changed(text, one, f"{one}, {two}"))
    assert problem.help == "write acknowledged: [10:30:00 event, 10:45:00 event]"
    assert told_of(changed(text, f"{one}", problem.help.removeprefix("write "))) == []


@pytest.mark.parametrize("pieces", ["[100,200]", "{a: [1,234, 5]}"])
def test_figures_that_may_be_two_are_not_put_together(pieces):
    problem = next(d for d in told("sortie:\n", f"sortie:\n  extra: {pieces}\n") if d.code == "cut-text")
    assert not problem.help.startswith("write 1")


def test_more_than_a_figure_is_told_with_the_figure():
    (problem,) = told(
        "takeoff: {ceiling: 1500 ft AGL, visibility: 5 km}",
        "takeoff: {ceiling: 1500 ft AGL, visibility: >5 km}",
    )
    assert (problem.code, problem.help) == ("syntax", "write 5 km; more than that isn't written")


@pytest.mark.parametrize(
    ("pieces", "line"),
    [
        ("[Novak, P., Flt Lt]", "crew: [Flt Lt P. Novak]"),
        ("[Flt Lt, P., Novak]", "crew: [Flt Lt P. Novak]"),
        ("[Novak, P., J. Hale]", "crew: [P. Novak, J. Hale]"),
    ],
)
def test_pieces_of_a_name_are_no_people(pieces, line):
    (problem,) = told(CREW, f"crew: {pieces}")
    assert (problem.code, problem.severity, problem.help) == ("crew-pieces", "caution", f"write {line}")
    assert not told(CREW, line.replace("J. Hale", "J. Wren"))


def test_examples_of_fuel_are_in_the_unit_of_the_mission():
    """230 lb are 104.3 kg."""
    kilograms = START.replace(" lb", " kg").replace("lb/h", "kg/h").replace("display: lb", "display: kg")
    approach = next(line for line in kilograms.splitlines() if line.strip().startswith("approach: {"))
    timeless = kilograms.replace(approach, "  approach: {time: 0 min, fuel: 100 kg}")
    (zero,) = [d for d in load_mission_text(timeless, "m.yaml")[1] if d.code == "zero"]
    assert "{time: 8 min, fuel: 105 kg}" in zero.help
    _, found = make_plan(load_mission_text(kilograms.replace(approach + "\n", ""), "m.yaml")[0])
    (lacking,) = [d for d in found if d.cause == ("recovery", "approach")]
    assert "{time: 8 min, fuel: 105 kg}" in lacking.help


@pytest.mark.parametrize(
    ("typed", "offers"),
    [
        (
            "6.0 lb/gal",
            ["0.719 kg/L"],
        ),  # 6.0 x 0.45359237 / 3.785411784; of an imperial gallon 0.599: no fuel
        ("6.7 lb/US gal", ["0.803 kg/L"]),
        ("7.2 lb/gal", ["0.863 kg/L", "0.718 kg/L"]),  # a US gallon, an imperial one of 4.54609 L
        ("7.2 lb/imp gal", ["0.718 kg/L"]),
    ],
)
def test_a_density_by_the_gallon_is_converted(typed, offers):
    (problem,) = told("fuel_capacity: ", f"fuel_density: {typed}\n    fuel_capacity: ")
    assert all(offer in problem.help for offer in offers) and problem.help.count("kg/L") == len(offers)


def test_one_cause_at_many_places_is_told_with_three_and_a_count():
    """All fuel in US gal and no density: every figure but the steps lacks its weight."""
    gallons = START.replace(" lb", " US gal").replace("lb/h", "US gal/h")
    told_of = [d for d in load_mission_text(gallons, "m.yaml")[1] if d.code == "no-density"]
    assert max(len(d.related) for d in told_of) == 3
    assert any(
        re.fullmatch("the same here, and at [0-9]+ more places", d.related[-1].message)
        for d in told_of
        if d.related
    )
    assert all(
        "for example `fuel_density: 0.80 kg/L` of jet fuel or" in d.help for d in told_of
    )  # as it is read


# what is told without a line that could be certain: the words of the help, and what must not stand in it
ADVISED = {
    # 240 / 1.852 = 129.6 kt, and 210 KGS is the least
    "a ground speed in km/h that the pass does not take": (
        "speed: 240 KGS\n      min",
        "speed: 240 km/h\n      min",
        ["as 130 KGS: `speed` is below `minimum_speed`"],
        ["write"],
    ),
    "an airspeed for a ground speed": (
        "speed: 240 KGS\n      min",
        "speed: 460 km/h TAS\n      min",
        ["write the ground speed wanted, in KGS"],
        ["248"],
    ),
    "a clock of elsewhere": (
        TAKEOFF,
        "takeoff: 12:37:00 EET",
        ["letters of a zone", "for example +0200", "IST at the base"],
        ["did you mean", "12:37"],
    ),
    "a slip without its ends": (
        "accept_slip: {early: 0 s, late: 5 min}",
        "accept_slip: 4 min",
        ["for example `accept_slip: {early: 4 min, late: 4 min}`"],
        [],
    ),
    "a slip in other words": (
        "accept_slip: {early: 0 s, late: 5 min}",
        "accept_slip: none",
        ["for example `accept_slip: {early: "],
        [],
    ),
    "a negative bias": (
        "late_bias: 5 s",
        "late_bias: -15 s",
        ["not negative", "if the sign is a slip"],
        ["write 15 s"],
    ),
    "a time before, with a minus": ("brief: 2 h", "brief: -2 h", ["not negative"], ["write"]),
    "an echelon without its side": (
        "formation: echelon right",
        "formation: echelon",
        ["did you mean echelon left or echelon right?"],
        [],
    ),
    "an echelon the other way round": (
        "formation: echelon right",
        "formation: right echelon",
        ["did you mean echelon right?"],
        [],
    ),
    "a letter for a turn": ("turns: left", "turns: L", ["did you mean left?"], []),
    "a runway for a direction": ("direction: 258 M", "direction: 26", ["runway", "for example"], ["026"]),
    # HOLD has no elevation, which is no proof that the sea was meant
    "a level without its datum": (
        "{to: HOLD, level: 2500 ft MSL, speed: 240 KTAS}",
        "{to: HOLD, level: 2500 ft, speed: 240 KTAS}",
        ["write 2500 ft MSL; 2500 ft AGL is not taken here: ", "HOLD has no elevation (", "give HOLD its"],
        [],
    ),
    "a date that reads either way": (
        "date: 2027-06-12  ",
        "date: 12.06.2027  ",
        ["write 2027-06-12; 2027-12-06 is doubted here: ", "do not fit 2027-12-06"],
        [],
    ),
    "a key without its colon, in braces": (
        "leave: {by: GATE, ",
        "leave: {by GATE, ",
        ["write by: GATE"],
        ["delete"],
    ),
    # T is 14:30, as far from 14:10 as from 14:50: yesterday's range and tomorrow's are equally near
    "a permission from its end to its beginning": (
        "valid: 14:15 to 14:50 event",
        "valid: 14:50 to 14:10 event",
        ["write 14:10 to 14:50 event if the two times are swapped"],
        ["2027-06-11", "2027-06-13"],
    ),
    "24:00:30 of the true time": (TIME, "time: 24:00:30 event", ["write 2027-06-13 00:00:30 event"], []),
}


@pytest.mark.parametrize("name", ADVISED)
def test_what_is_not_certain_is_said_in_words(name):
    old, new, words, absent = ADVISED[name]
    (problem,) = told(old, new)

    said = f"{problem.why} | {problem.help}"
    assert [word for word in words if word not in said] == [] and [
        word for word in absent if word in said
    ] == []


# 2.5 x 3.785411784 = 9.5 L, x 4.54609 = 11.4 L; 13.7 x 3.785411784 = 51.9 L, x 4.54609 = 62.3 L
@pytest.mark.parametrize(
    ("old", "new", "help"),
    [
        (
            "climb_fuel: 1 kg",
            "climb_fuel: 2.5 gal",
            "write 9.5 L or 11.4 L; 2.5 US gal is 9.5 L, imperial 11.4 L",
        ),
        (
            "climb: 52 L/h",
            "climb: 13.7 gph",
            "write 51.9 L/h or 62.3 L/h; 13.7 US gal/h is 51.9 L/h, imperial 62.3 L/h",
        ),
    ],
)
def test_gallons_in_a_file_in_litres_are_told_in_litres_of_either_size(old, new, help):
    lantern = (REPOSITORY / "missions" / "lantern-fair.yaml").read_text(encoding="utf-8")
    (problem,) = [
        d for d in load_mission_text(changed(lantern, old, new), "m.yaml")[1] if d.severity == "error"
    ]
    assert problem.help == help
    for line in help.partition(";")[0].removeprefix("write ").split(" or "):
        mission, found = load_mission_text(
            changed(lantern, old, f"{old.partition(':')[0]}: {line}"), "m.yaml"
        )
        assert mission is not None and not [d for d in found if d.code == "mixed-units"]


def test_a_speed_in_another_unit_is_told_with_its_knots():
    (problem,) = told("speed: 240 KGS\n      min", "speed: 460 km/h\n      min")
    assert problem.help == "write 248 KGS; 460 km/h is 248.4 kt"


def test_the_true_time_after_midnight_is_accepted_as_advised():
    text = changed(changed(START, TIME, "time: 00:00:30 event"), "date: 2027-06-12", "date: 2027-06-13")
    mission, problems = load_mission_text(text, "m.yaml")

    assert mission is not None, [p.message for p in problems]
    assert mission.times.true_time.isoformat() == "2027-06-12T23:00:30+00:00"  # 00:00:30 of the 13th at UTC+1


def test_six_digits_and_z_are_doubted_where_the_day_would_fit():
    """12:14:30 Z, or 14:30 Z of the 12th, the day of the sortie."""
    (problem,) = [d for d in told(TIME, "time: 121430Z") if d.code == "day-group"]

    assert problem.severity == "caution" and problem.help == "write 2027-06-12 14:30Z or 12:14:30Z"
    assert not [d for d in told(TIME, "time: 133000Z") if d.code == "day-group"]  # 30 is no hour


# ---------------------------------------------------------------- one cause is told once

LITRES = {
    "fuel_capacity: 2400 lb": "fuel_capacity: 1400 L",
    "101, start_fuel: 2300 lb": "101, start_fuel: 1300 L",
    "104, start_fuel: 2300 lb": "104, start_fuel: 1300 L",
    "start_to_takeoff_fuel: 130 lb": "start_to_takeoff_fuel: 70 L",
}
EVENT = "position: 53°09.0'N 9°00.0'W, elevation"
# what is changed; the code, what the help offers or names, and how many places stand beside it
ONE_CAUSE = {
    "no density": (LITRES, "no-density", "aircraft.siskin", 3),
    "ship 2 numbered 3": ({"{ship: 2, crew": "{ship: 3, crew"}, "ship-number", "write 2", 0),
    "ship 1 numbered 3": ({"{ship: 1, crew": "{ship: 3, crew"}, "ship-number", "write 1", 0),
    "ship 2 numbered 1": ({"{ship: 2, crew": "{ship: 1, crew"}, "duplicate-ship", "write 2", 1),
    "S for N at the event": (
        {EVENT: EVENT.replace("N", "S")},
        "mirrored-position",
        "write 53°09.0'N 9°00.0'W",
        0,
    ),
    "E for W at the event": (
        {EVENT: EVENT.replace("W", "E")},
        "mirrored-position",
        "write 53°09.0'N 9°00.0'W",
        0,
    ),
    "S for N at the IP": (
        {"53°05.0'N 8°44.0'W": "53°05.0'S 8°44.0'W"},
        "mirrored-position",
        "write 53°05.0'N 8°44.0'W",
        0,
    ),
    "an end of the crowd": (
        {"{from: 53°08.6'N 8°59.5'W": "{from: 53°08.6'N 8°59.5'E"},
        "out-of-proportion",
        "write 53°08.6'N 8°59.5'W",
        0,
    ),
    "the crowd line": (
        {
            "{from: 53°08.6'N 8°59.5'W, to: 53°08.3'N 9°00.2'W}": (
                "{from: 53°38.6'N 8°59.5'W, to: 53°38.3'N 9°00.2'W}"
            )
        },
        "out-of-proportion",
        "check",
        0,
    ),
}


def found_with(changes: dict[str, str]) -> list[Diagnostic]:
    """What is told of the mission with several changes, and isn't told of it as it stands."""
    text = START
    for old, new in changes.items():
        text = changed(text, old, new)
    before = {(d.code, d.message) for d in load_mission_text(START, "m.yaml")[1]}
    return [d for d in load_mission_text(text, "m.yaml")[1] if (d.code, d.message) not in before]


@pytest.mark.parametrize("name", ONE_CAUSE)
def test_one_cause_is_told_once(name):
    changes, code, help, beside = ONE_CAUSE[name]
    (problem,) = found_with(changes)

    assert (problem.code, problem.severity, len(problem.related)) == (code, "error", beside)
    assert help in problem.help


def test_a_base_with_the_wrong_letter_is_refused():
    """53°18.0'N 8°57.0'E is in Germany, 640 nm from the event in Ireland; nothing was told of it."""
    found = [
        d
        for d in found_with({"53°18.0'N 8°57.0'W\n": "53°18.0'N 8°57.0'E\n"})
        if d.code == "mirrored-position"
    ]
    assert [(d.severity, d.help) for d in found] == [("error", "write 53°18.0'N 8°57.0'W if it lies there")]


def test_a_base_in_another_part_of_the_world_is_doubted_once():
    found = [
        d for d in found_with({"53°18.0'N 8°57.0'W\n": "-38.3467 141.61\n"}) if d.code == "out-of-proportion"
    ]
    assert [(d.severity, d.cause) for d in found] == [("caution", ("places", "OAKMERE", "position"))]


def test_a_corner_with_the_wrong_letter_is_doubted():
    """7°50' E in place of W made the area 560 nm wide, without a word."""
    (problem,) = [
        d for d in found_with({"53°40.0'N 7°50.0'W": "53°40.0'N 7°50.0'E"}) if d.code == "mirrored-position"
    ]
    assert (problem.severity, problem.help) == ("caution", "write 53°40.0'N 7°50.0'W if it lies there")


# a mission from one side of a meridian or of the equator to the other, none of whose places is doubted
ACROSS = ["ok-far-event", "ok-across-180", "ok-date-line"]


@pytest.mark.parametrize("name", ACROSS)
def test_a_mission_that_crosses_the_map_is_not_doubted(name):
    text = (REPOSITORY / "tests" / "cases" / f"{name}.yaml").read_text(encoding="utf-8")
    assert [d.message for d in load_mission_text(text, "m.yaml")[1] if d.code == "mirrored-position"] == []


# ---------------------------------------------------------------- one ship

ALONE = {
    START[START.index("  - {ship: 2,"):START.index("\n\nground_ops")]: "",
    START[START.index("  fall_outs:"):START.index("\nrisk:")]: "",
    "      formation: echelon right\n": "", "      spacing: 50 ft\n": "",
    START[START.index("      step_down:"):START.index("    late_bias:")]: "",
}  # fmt: skip


def test_one_ship_is_not_asked_how_a_formation_accelerates():
    (problem,) = [d for d in found_with(ALONE) if d.severity == "error"]
    assert problem.code == "bias" and "formation" not in f"{problem.message} {problem.why} {problem.help}"
    assert problem.help == "add `acceleration` to `event.pass.run_in`, for example `acceleration: 2 kt/s`"
    assert [
        d
        for d in found_with(
            {
                **ALONE,
                "      minimum_speed: 210 KGS\n": (
                    "      minimum_speed: 210 KGS\n      acceleration: 2 kt/s\n"
                ),
            }
        )
        if d.severity == "error"
    ] == []


def test_one_ship_without_a_bias_is_asked_for_no_acceleration():
    without = START[START.index("    late_bias:") : START.index("    abort_only_after:")]
    assert [d for d in found_with({**ALONE, without: ""}) if d.severity == "error"] == []


def test_a_formation_has_the_acceleration_that_its_wingmen_can_follow():
    (problem,) = found_with({"      formation_acceleration: 2 kt/s  ": "      acceleration: 2 kt/s  "})[:1]
    assert problem.help == "write `formation_acceleration` in its place"


@pytest.mark.parametrize("way", ["", "formation_"])
def test_an_acceleration_without_a_deceleration_is_doubted(way):
    """One alone stands for both: a jet slows by its brakes as it accelerates by its engine, others don't."""
    one = PASS_ONLY.replace("speed: 300 KGS}", f"speed: 300 KGS, {way}acceleration: 2 kt/s}}")
    both = one.replace("2 kt/s}", f"2 kt/s, {way}deceleration: 1 kt/s}}")

    assert [d.code for d in load_mission_text(one, "m.yaml")[1]] == ["one-way"]
    assert load_mission_text(both, "m.yaml")[1] == []
