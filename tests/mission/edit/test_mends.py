"""What has exactly one mend is mended, and not a letter beside it.

The expected text is the mission before the slip was made, or the one with the slip.
"""

from __future__ import annotations

import random
import re
from functools import cache

import pytest

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.edit.mends import Mended, mended
from briefgen.mission.load import load_mission_text
from briefgen.mission.read.source import read_source
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.models import extra_model, keys_of, model_at
from briefgen.units.nearest import surely_meant
from tests.mission.mission_texts import PASS_ONLY, REPOSITORY, changed, regatta
from tests.mutations import SMALL, spoil_text, text_of

NAME = "m.yaml"
FLOW = (REPOSITORY / "missions" / "three-harbours.yaml").read_text(encoding="utf-8")
LETTERS = "abcdefghijklmnopqrstuvwxyz"


def fixed(text: str) -> Mended:
    return mended(text, NAME, REPOSITORY / "missions")


def errors_of(text: str) -> set[tuple[str, str]]:
    found: list[Diagnostic] = load_mission_text(text, NAME)[1]
    return {(problem.code, problem.message) for problem in found if problem.severity == "error"}


# what stands in the mission, and the slip in its place
SLIPS = {
    "a letter too few": ("callsign: GANNET", "calsign: GANNET"),
    "a letter too many": ("callsign: GANNET", "callssign: GANNET"),
    "two letters swapped": ("callsign: GANNET", "callsgin: GANNET"),
    "a wrong letter": ("callsign: GANNET", "callsigm: GANNET"),
    "a capital": ("callsign: GANNET", "Callsign: GANNET"),
    "an underscore too many": ("callsign: GANNET", "call_sign: GANNET"),
    "a hyphen for an underscore": ("  ground_contact:", "  ground-contact:"),
    "two words run together": ("time_hack: {", "timeHack: {"),
    "in braces": ("{minimum: 160 KCAS,", "{minimun: 160 KCAS,"),
    "in braces, with a comment behind": (
        "  climb: {time: 5 min, distance: 26 nm}     # still air",
        "  climb: {time: 5 min, distence: 26 nm}     # still air",
    ),
    "a whole section": ("\nweather:\n", "\nwaether:\n"),
    "a section and a key in it": (
        "weather:\n  issued: 2027-01-29 22:00 Z",
        "wether:\n  isued: 2027-01-29 22:00 Z",
    ),
    "a section and keys deep in it": (
        "event:\n  name: Regatta opening\n  permission:\n    reference:",
        "evnt:\n  name: Regatta opening\n  permision:\n    refrence:",
    ),
    "twice in a line": (
        "before: {likelihood: 3, severity: 4}, control: Minimum height",
        "befor: {liklihood: 3, severty: 4}, contrl: Minimum height",
    ),
}


@pytest.mark.parametrize(("right", "wrong"), SLIPS.values(), ids=SLIPS)
def test_a_key_comes_back(right, wrong):
    text = regatta()
    slipped = changed(text, right, wrong)

    found = fixed(slipped)

    assert found.text == text
    assert found.made and not found.left and not found.errors
    assert fixed(found.text) == Mended(text, (), (), 0)  # a second time changes nothing


AROUND = {
    "in double quotes": "sortie:\n  'name': A\n  \"{}\": GANNET\n  date: 2027-05-04\n",
    "in single quotes": "sortie:\n  '{}': GANNET # calsign: '\n  name: A\n  date: 2027-05-04\n",
    "before its own letters": "sortie:\n  name: A\n  {}:   'calsign'   # calsign: no\n  date: 2027-05-04\n",
    "before signs of two units": "sortie: {{name: 'é漢🛩', {} : \"é 漢\", date: 2027-05-04}}\n",
    "behind a comment": "# calsign: \nsortie: #\n\n  name: A   \n  #calsign:\n  {}: B\n  date: 2027-05-04\n",
}


@pytest.mark.parametrize("around", AROUND.values(), ids=AROUND)
def test_quotes_and_comments_stay(around):
    before, after = re.split("(?m)^sortie:.*\n", PASS_ONLY)

    found = fixed(before + around.format("calsign") + after)

    assert found.text == before + around.format("callsign") + after and not found.errors


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("sortie: {", "sortie: &one {"),  # an anchor, which is dropped
        ("  BASE: {", "  BASE: !two {"),
        ("name: Harbour pass", "name: *one"),
        ("date: 2027-05-04", "date: 2027-05-04, date: 2027-05-05"),
        ("date: 2027-05-04", "date: someday"),
    ],
)
def test_other_errors_stay_as_they_were_typed(right, wrong):
    text = changed(PASS_ONLY, right, wrong)

    found = fixed(text.replace("callsign:", "calsign:").replace("start_fuel:", "strat_fuel:"))

    assert found.text == text and found.errors == 1


@pytest.mark.parametrize("ends", ["\r\n", "\r", "\n"])
@pytest.mark.parametrize("mark", ["\ufeff", ""])
@pytest.mark.parametrize("last", ["", "\n\n", "  "])
def test_line_ends_and_the_byte_order_mark_stay(ends, mark, last):
    def spelled(text: str) -> str:
        return mark + (text.rstrip("\n") + last).replace("\n", ends)

    text = spelled(changed(PASS_ONLY, "briefgen: 1", "Briefgen: 1").replace("start_fuel", "strat_fuel"))

    found = fixed(text)

    assert found.text == spelled(PASS_ONLY)


def test_nothing_is_mended_beside_a_key_that_stands_there_already():
    slipped = changed(PASS_ONLY, "callsign: GANNET", "callsign: GANNET, calsign: GANNET")

    assert fixed(slipped).text == slipped


def test_two_slips_of_one_key_are_left():
    slipped = changed(PASS_ONLY, "callsign: GANNET", "calsign: GANNET, callsgn: GANNET")

    found = fixed(slipped)

    assert (found.text, found.made, found.errors) == (slipped, (), 2)


def test_a_key_whose_value_needs_a_person_is_left_and_the_others_are_mended():
    text = changed(PASS_ONLY, "callsign: GANNET", "callsign: A CALL SIGN FAR TOO LONG")
    slipped = text.replace("callsign:", "calsign:").replace("start_fuel", "strat_fuel")

    found = fixed(slipped)

    assert found.text == text.replace("callsign:", "calsign:")
    (left,) = found.left
    assert (left.mend.old, left.mend.new, left.span.line) == (
        "calsign",
        "callsign",
        1 + slipped[: slipped.index("calsign")].count("\n"),
    )
    assert left.why == "it would then read: this text has 24 characters, the most is 16"


# what stands in the mission, and the same in other units' names; what it is mended to
UNITS = {
    "feet": ("level: 16000 ft MSL,", "level: 16000 feet MSL,", "level: 16000 ft MSL,"),
    "seconds": ("  late_bias: 15 s\n", "  late_bias: 15 Seconds\n", "  late_bias: 15 s\n"),
    "between quotes": (
        "planned: 9 min\n",
        "planned: '9 minutes' # 9 minutes\n",
        "planned: '9 min' # 9 minutes\n",
    ),
    "degrees": ("bank: 30 deg\n", "bank: 30 degrees\n", "bank: 30 deg\n"),
    "pounds": (
        "start_to_takeoff_fuel: 300 lb",
        "start_to_takeoff_fuel: 300 lbs",
        "start_to_takeoff_fuel: 300 lb",
    ),
    "a capital": (
        "12000 ft MSL, speed: 360 KTAS",
        "12000 Feet MSL, speed: 360 KTAS",
        "12000 ft MSL, speed: 360 KTAS",
    ),
    "a word with a capital": ("no_cue: hold", "no_cue: Hold", "no_cue: hold"),
    "a direction in degrees": ("course: 052 T", "course: 052 deg T", "course: 052 T"),
    # and what decides
    "a datum": ("level: 16000 ft MSL,", "level: 16000 ft AMSL,", None),
    "no datum": ("level: 16000 ft MSL,", "level: 16000 feet,", None),
    "no unit": ("late_bias: 15 s", "late_bias: 15", None),
    "a clock": ("report: 09:30 base", "report: 09:30 gmt", None),
    "no clock": ("report: 09:30 base", "report: 09:30", None),
    "neither T nor M": ("course: 052 T", "course: 052 degrees", None),
    "a thousands mark": ("level: 16000 ft MSL,", "level: '16,000 feet MSL',", None),
    "a decimal mark": ("burn_factor: 1.04", "burn_factor: '1,04'", None),
    "a figure written out": ("level: 16000 ft MSL,", "level: 16k ft MSL,", None),
    "a misspelt unit": ("bank: 30 deg\n", "bank: 30 dge\n", None),
    "one letter": ("late_bias: 15 s\n", "late_bias: 15 S\n", None),
    "a misspelt word": ("no_cue: hold", "no_cue: holt", None),
    "a small t": ("course: 052 T", "course: 052 deg t", None),
    "a place": ("      at: HOLD", "      at: HOLE", None),
}


@pytest.mark.parametrize(("right", "typed", "meant"), UNITS.values(), ids=UNITS)
def test_a_unit_is_respelt_and_nothing_that_decides_is_given(right, typed, meant):
    slipped = changed(regatta(), right, typed)

    found = fixed(slipped)

    assert found.text == (slipped if meant is None else changed(regatta(), right, meant))
    assert bool(found.made) == (meant is not None) == (not found.errors)


# typed → what alone it can be, of these keys; None where a person must say
KNOWN = ("minimum", "maximum", "time", "to", "top", "from", "takeoff_interval", "leg", "legs", "level")
MEANT = {
    "minimun": "minimum",
    "MINIMUM": "minimum",
    "takeoffInterval": "takeoff_interval",
    "take-off interval": "takeoff_interval",
    "form": "from",
    "leval": "level",
    "lega": None,  # leg with a letter too many, legs with a wrong one
    "tp": "top",  # of `to` one slip leaves a single letter, so that it is none
    "too": "top",
    "t": None,
    "mnmum": None,  # two slips
    "mximun": None,
    "length": None,
    "": None,
}


@pytest.mark.parametrize(("typed", "meant"), MEANT.items())
def test_what_can_be_meant_alone(typed, meant):
    assert surely_meant(typed, KNOWN) == meant


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("  - transit:", "  - transt:"),
        ("    again:", "    agian:"),
        ("    again:", "    passes:"),
        ("        way:", "        transit:"),
        ("\nflow:", "\nflwo:"),
    ],
)
def test_the_keys_of_a_flow(right, wrong):
    """The first of each."""
    found = fixed(FLOW.replace(right, wrong, 1))

    assert wrong not in FLOW and found.text == FLOW and len(found.made) == 1 and not found.left


@cache
def keys_of_regatta():
    """The keys of the regatta that the schema knows, with their places; names of one's own are none."""
    source, _ = read_source(regatta(), NAME)
    return [
        (path[-1], span)
        for path, span in source.spans.keys.items()
        if path[-1] in keys_of(model := model_at(path[:-1], MissionFile)) and extra_model(model) is None
    ]


def slip_of(word: str, rng: random.Random) -> str:
    i, letter = rng.randrange(len(word)), rng.choice(LETTERS)
    swapped = word[:i] + word[i + 1 : i + 2] + word[i] + word[i + 2 :]
    return rng.choice(
        (word[:i] + word[i + 1 :], word[:i] + letter + word[i:], word[:i] + letter + word[i + 1 :], swapped)
    )


@pytest.mark.parametrize("seed", range(24))
def test_a_misspelt_key_of_the_regatta_comes_back(seed):
    """Or stays as it was typed, where two keys are as near: never a third text, never a new error."""
    text, rng = regatta(), random.Random(seed)
    key, span = rng.choice([(key, span) for key, span in keys_of_regatta() if len(key) > 2])
    typed = slip_of(key, rng)
    lines = text.split("\n")
    line = lines[span.line - 1]
    lines[span.line - 1] = line[: span.column - 1] + typed + line[span.end_column - 1 :]
    slipped = "\n".join(lines)

    found = fixed(slipped)

    assert found.text == text
    assert errors_of(found.text) <= errors_of(slipped)


def misspelt(text: str, rng: random.Random) -> str:
    """One to four keys of a text with a slip each, and now and then another fault beside them."""
    for _ in range(rng.randint(1, 4)):
        found = rng.choice(list(re.finditer(r"(?<![\w#])([a-z_]{3,}):(?= |\n)", text)))
        text = text[: found.start(1)] + slip_of(found[1], rng) + text[found.end(1) :]
    return spoil_text(text, rng).decode("utf-8", "replace") if rng.random() < 0.5 else text


@pytest.mark.parametrize("seed", range(40))
def test_a_spoilt_file_never_gets_a_new_error(seed):
    rng = random.Random(seed)
    text = misspelt(text_of(rng.choice(SMALL)), rng)

    found = fixed(text)

    assert errors_of(found.text) <= errors_of(text)
    assert bool(found.made) == (found.text != text)
    assert fixed(found.text).text == found.text
