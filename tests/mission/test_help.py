"""What a message advises: only what would be taken, and the word that was probably meant."""

import re

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.units.nearest import nearest_words
from tests.mission.mission_texts import START, changed, regatta

# what is changed in the regatta, and the help; the words after "did you mean" are those before the change,
# "pounds" is lb in any dictionary
MEANT = [
    ("late_bias: 15 s", "late_bias: 15 sek", "did you mean 15 s?"),
    ("speed: 300 KTAS", "speed: 300 KTSA", "did you mean 300 KTAS?"),
    ("level: 14000 ft MSL", "level: 14000 ft MLS", "did you mean 14000 ft MSL?"),
    ("bank: 30 deg", "bank: 30 dge", "did you mean 30 deg?"),
    ("time: 14:28:06 event", "time: 14:28:06 evnet", "did you mean 14:28:06 event?"),
    ("display: lb", "display: pounds", "one of: lb, kg, L, US gal; did you mean lb?"),
    ("display: lb", "display: bl", "one of: lb, kg, L, US gal; did you mean lb?"),
    ("display: lb", "display: stone", "one of: lb, kg, L, US gal"),
]


def told(old, new):
    """The one thing that is told of the regatta with a change."""
    (problem,) = [
        problem
        for problem in load_mission_text(changed(regatta(), old, new), "m.yaml")[1]
        if problem.severity == "error"
    ]
    return problem


@pytest.mark.parametrize(("old", "new", "help"), MEANT, ids=lambda text: text.partition(": ")[2])
def test_a_slip_is_answered_with_what_was_meant(old, new, help):
    assert told(old, new).help == help


# what is changed in the mission to start from, and the help: what it offers in place of that is then accepted
OFFERED = [
    ("date: 2027-06-12", "date:", "give it one, for example `date: 2027-01-30`"),
    ("name: Siskin T.1", "name:", "give it one"),
    (
        "  secondary: Flypast of the open day at 14:30:00\n",
        "  secondary:\n",
        "give it one, or delete the line",
    ),
    (
        "runways: [{name: 26, direction: 258 M, length: 7000 ft}]",
        "runways: 26",
        "write a list of keys with values, for example `runways: [{name: 26}]`",
    ),
    (
        "runways: [{name: 26, direction: 258 M, length: 7000 ft}]",
        "runways: [26]",
        "for example `runways: [{name: 26}]`",
    ),
    (
        "  - {to: HOLD, level: 2500 ft MSL, speed: 240 KTAS}",
        "  [HOLD]",
        "for example `transit: [{to: HOLD, level: 1500 ft MSL, speed: 360 KTAS}]`",
    ),
    (
        "  - {to: HOLD, level: 2500 ft MSL, speed: 240 KTAS}",
        "  {to: HOLD, level: 2500 ft MSL, speed: 240 KTAS}",
        "begin each entry with a hyphen and a space, or put square brackets around it",
    ),
    ("\nradio:", "\nradios: []\nradio:", "`radio` stands there already: write into it, or take this key out"),
]


@pytest.mark.parametrize(("old", "new", "help"), OFFERED, ids=[row[1].strip() for row in OFFERED])
def test_a_shape_is_told_with_what_is_accepted(old, new, help):
    (problem,) = [
        d for d in load_mission_text(changed(START, old, new), "m.yaml")[1] if d.severity == "error"
    ]
    assert problem.help == help
    line = re.search("`([a-z]+: [^`]+)`$", help)
    if line:
        mended = changed(START, old, new).replace(new.strip(), line[1].partition(": ")[2])
        mended = mended if "transit" in line[1] else changed(START, old, line[1])
        found = load_mission_text(mended, "m.yaml")[1]
        assert [d.message for d in found if d.severity == "error" and d.code in ("shape", "no-value")] == []


# typed, known, and what is near: by the rule, one letter wrong, missing, too many or swapped in a short word,
# most of the letters in a long one
NEAR = [
    ("bl", ("lb", "kg", "L"), ["lb"]),
    ("lg", ("lb", "kg", "L"), ["lb", "kg", "L"]),
    ("x", ("s", "h"), []),
    ("HLOD", ("HOLD", "IP"), ["HOLD"]),
    ("stone", ("lb", "kg"), []),
    ("evnt", ("event", "training"), ["event"]),
    ("ALPHA3", ("ALPHA1", "ALPHA2", "BRAVO1"), ["ALPHA1", "ALPHA2"]),
    ("anything", (), []),
]


@pytest.mark.parametrize(("typed", "known", "near"), NEAR, ids=[row[0] for row in NEAR])
def test_all_that_is_equally_near_is_named(typed, known, near):
    assert nearest_words(typed, known) == near


# ---------------------------------------------------------------- limits and signs


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("minimum_ships: 2", "minimum_ships: 1000000", "this number is 1000000, it must be from 0 to 999"),
        ("minimum_ships: 2", "minimum_ships: 1000", "this number is 1000, it must be from 0 to 999"),
        ("briefgen: 1", "briefgen: 2", "the version of the file format is 2, this program reads 1"),
        ("briefgen: 1", "%briefgen: 1", "a line cannot begin with %"),
        ("date: 2027-01-30", "date: &", "a value cannot begin with & or *"),
    ],
)
def test_what_is_refused_is_named_with_its_limit(old, new, message):
    problem = told(old, new)

    assert problem.message == message and problem.help


def test_a_file_beyond_the_limit_is_not_said_to_have_the_limit():
    """Not one byte more than the limit is read, so how many there are is not known."""
    (problem,) = load_mission_text(b"a: b\n" * 60_000, "m.yaml")[1]

    assert problem.message == "the file has more than 256 kB"


LEFT_OUT = [
    ("sortie", "add `sortie:` with name, callsign and date"),
    ("places", "add `places:` with names of your own, each with position"),
    ("aircraft", "add `aircraft:` with names of your own, each with name"),
    ("flight", "add `flight:` with ship, crew and aircraft"),
    ("ground_ops", "add `ground_ops:` with base"),
    ("briefgen", "add `briefgen`, for example `briefgen: 1`"),
]


@pytest.mark.parametrize(("section", "help"), LEFT_OUT)
def test_a_section_left_out_is_one_error_that_says_what_it_holds(section, help):
    text = re.sub(rf"(?ms)^{section}:.*?(?=^[a-z_]+:)", "", regatta())
    (problem,) = [d for d in load_mission_text(text, "m.yaml")[1] if d.severity == "error"]
    assert problem.message == f"the file has no `{section}`" and problem.help.startswith(help)
