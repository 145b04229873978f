"""A bad file gets all its errors in one run: a wrong value, an id that nobody declares and a broken line hide
nothing of each other.

And nothing that follows from an error is told beside it: every value of the small missions is spoilt in turn.
"""

import copy
from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, get_args, get_origin

import pytest

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.check import ids as checks_ids
from briefgen.mission.load import load_mission_text, mission_of
from briefgen.mission.read.source import read_source
from briefgen.mission.read.tree import dotted, look_up, scalars
from briefgen.mission.schema.base import Part, PlaceRef
from briefgen.mission.schema.mission_file import MissionFile
from tests.mission.mission_texts import PASS_ONLY, TRAINING_ONLY, changed, regatta

UNIT = ("late_bias: 15 s", "late_bias: 15")
PLACE = ("      at: HOLD\n", "      at: HLOD\n")
AIRCRAFT = ("[Capt T. Wessel],     aircraft: petrel", "[Capt T. Wessel],     aircraft: petral")
CUE = ("time: end of ANTHEM", "time: end of ANTEHM")
FLOOR = ("floor: 5000 ft MSL", "floor: FL300")
LEG = ("      leg: 60 s\n", "      leg: 60 s\n      leg: 90 s\n")
TAB = ("  name: Harbour", "\tname: Harbour")
ALIAS = ("      minimum: 4 min", "      minimum: *x")
MERGE = ("      turns: left", "      <<: *x\n      turns: left")
QUOTE = ("  name: Harbour regatta", '  name: "Harbour regatta')
REPORT = ("report: 09:30 base", "report: 0930L")
HOURS = ("open: 07:00 to 19:00 base", "open: 07:00 to 19:00 L")
RESERVED = ("reserved: 12:40 to 13:50 base", "reserved: 12:40 to 13:50 L")
PARADE = ("time: 14:24:30 event", "time: 14:24:30 L")
PRESET = ("    primary: 8 ", "    primary: 88 ")
SHIPS = ("minimum_ships: 2", "minimum_ships: 9")

# what is changed in the regatta; the code and a part of the message of everything that is to be told, in the
# order of the file
ROWS = [
    (
        [UNIT, PLACE, AIRCRAFT, CUE, FLOOR],
        [
            ("unknown-aircraft", "petral"),
            ("order", "the floor is not below the top"),
            ("unknown-cue", "ANTEHM"),
            ("unknown-place", "HLOD"),
            ("value", '"15" as a duration'),
        ],
    ),
    ([LEG, UNIT, PLACE], [("unknown-place", "HLOD"), ("duplicate-key", "`leg`"), ("value", '"15"')]),
    ([TAB, UNIT, PLACE], [("look-alike", "tab"), ("unknown-place", "HLOD"), ("value", '"15"')]),
    ([ALIAS, UNIT, PLACE], [("unknown-place", "HLOD"), ("alias", "*x"), ("value", '"15"')]),
    (
        [MERGE, UNIT, PLACE],
        [("unknown-place", "HLOD"), ("merge-key", "<<"), ("alias", "*x"), ("value", '"15"')],
    ),
    (
        [QUOTE, UNIT, PLACE, FLOOR],
        [
            ("syntax", "this quote is not closed"),
            ("order", "floor"),
            ("unknown-place", "HLOD"),
            ("value", '"15"'),
        ],
    ),
    ([PARADE, REPORT, UNIT], [("time-bare-l", "0930L"), ("value", '"15"')]),
    (
        [PRESET, SHIPS, UNIT],
        [
            ("unknown-preset", "no preset 88"),
            ("value", '"15"'),
            ("minimum-ships", "at least 9 ships, and 4 ships fly"),
        ],
    ),
]
MISSPELT = [
    ("over: PONTOON", "over: PONTON"),
    ("      from: IP", "      from: IPP"),
    ("base: NORTHBOURNE", "base: NORTHBORNE"),
    ("by: EXIT", "by: EXTI"),
    ("to: ENTRY", "to: ENTRYY"),
    ("diverts: [EASTLEA, HARTWELL]", "diverts: [EASTLEY, HARTWEL]"),
    ("    EASTLEA:     {cloud", "    EASTLE:     {cloud"),
    ("place: HARTWELL", "place: Hartwell"),
]


def found_in(*changes):
    """What is told of the regatta with changes."""
    text = regatta()
    for old, new in changes:
        text = changed(text, old, new)
    mission, problems = load_mission_text(text, "m.yaml")
    assert mission is None
    return [problem for problem in problems if problem.severity == "error"]


@pytest.mark.parametrize(
    ("changes", "expected"),
    ROWS,
    ids=["no-unit", "twice", "tab", "alias", "merge", "quote", "clock", "preset"],
)
def test_every_error_is_told_in_one_run_and_in_the_order_of_the_file(changes, expected):
    problems = found_in(*changes)

    assert [problem.code for problem in problems] == [code for code, _ in expected]
    for problem, (_, words) in zip(problems, expected, strict=True):
        assert words in problem.message
    assert [problem.span.line for problem in problems] == sorted(problem.span.line for problem in problems)


ONE_CAUSE = {
    # what is spoilt                  the code                the line of the first place, and of every other
    # one
    "an aircraft's key": (
        [("  petrel:", "  petral:")],
        "unknown-aircraft",
        ["ship: 1,", "ship: 2,", "ship: 3,", "ship: 4,"],
    ),
    "one letter for a clock": (
        [HOURS, REPORT, RESERVED],
        "time-bare-l",
        ["    open: 07:00", "report:", "reserved:"],
    ),
}


@pytest.mark.parametrize("name", ONE_CAUSE)
def test_one_cause_is_told_once_with_every_place(name):
    changes, code, markers = ONE_CAUSE[name]
    lines = regatta().splitlines()

    (problem,) = [problem for problem in found_in(*changes) if problem.code == code]

    places = [problem.span.line, *(related.span.line for related in problem.related)]
    assert places == [next(n for n, line in enumerate(lines, 1) if marker in line) for marker in markers]


MENDED = {
    # stood in the regatta, is typed, and what the help offers in place of it
    "range of a bare L": ("open: 07:00 to 19:00 base", "open: 07:00 to 19:00 L", "07:00 to 19:00 base"),
    "elevation without a datum": ("elevation: 230 ft MSL", "elevation: 230 ft", "230 ft MSL"),
    "minutes in another spelling": ("each: 11 min", "each: 11 mins", "11 min"),
    "minutes and seconds over sixty": ("leg: 60 s", "leg: 0 min 75 s", "1 min 15 s"),
    "cloud as reports write it": ("SCT 5000 ft AGL", "BKN020CB", "BKN 2000 ft AGL CB"),
    "gusts as reports write them": ("wind: 200T/14kt", "wind: 20014G25KT", "200T/14G25kt"),
    "a level that is the ground": (
        "level: 0 to 500 ft AGL",
        "level: SFC to 500 ft AGL",
        "0 ft AGL to 500 ft AGL",
    ),
}


@pytest.mark.parametrize("name", MENDED)
def test_what_the_help_offers_is_accepted_on_the_next_run(name):
    good, typed, offered = MENDED[name]
    (problem,) = found_in((good, typed))
    assert offered in problem.help

    wrong = typed.rpartition(": ")[2]
    mission, problems = load_mission_text(changed(changed(regatta(), good, typed), wrong, offered), "m.yaml")
    assert mission is not None, [problem.message for problem in problems]


ACCEPTED = [
    ("formation: finger four", "formation: line astern"),
    ("wind: 200T/14kt", "wind: 200T/14G25kt"),
    ("SCT 5000 ft AGL]", "BKN 2000 ft AGL CB]"),
    ("37°41.5'S 140°51.0'E", "37°41.5\u2032S 140°51.0\u2032E"),
]


@pytest.mark.parametrize(("old", "new"), ACCEPTED)
def test_the_trades_own_spellings_are_accepted(old, new):
    mission, problems = load_mission_text(changed(regatta(), old, new), "m.yaml")
    assert mission is not None, [problem.message for problem in problems]


def test_a_clear_sky_is_offered_as_the_empty_list():
    (problem,) = found_in(("cloud: [SCT 4500 ft AGL]", "cloud: SKC"))
    assert problem.help == "write cloud: []"


def test_cavok_is_not_a_clear_sky():
    """ICAO Annex 3: no cloud below 5000 ft or the highest minimum sector altitude, and no CB; above may be
    any."""
    (problem,) = found_in(("cloud: [SCT 4500 ft AGL]", "cloud: CAVOK"))
    assert "[]" not in problem.help and "layers that are forecast above" in problem.help
    assert "no cloud stands below 5000 ft" in problem.why


# The pontoon stands at 10 ft MSL; the terminal 0.3 nm away at nobody knows what.
ON_THE_PONTOON = "{name: Pole, position: 38°20.8'S 141°36.6'E, top: %s}"
TOPS = [
    (
        ON_THE_PONTOON,
        "260 ft AGL",
        "write 270 ft MSL if it stands 260 ft above the ground at PONTOON (10 ft + 260 ft)",
    ),
    (
        ON_THE_PONTOON,
        "260 ft",
        "write 270 ft MSL if it stands 260 ft above the ground at PONTOON (10 ft + 260 ft)",
    ),
    # 80 m are 262.5 ft
    (
        ON_THE_PONTOON,
        "80 m AGL",
        "write 272 ft MSL if it stands 80 m above the ground at PONTOON (10 ft + 262 ft)",
    ),
    (
        "{name: Mast, position: 38°20.2'S 141°36.9'E, top: %s}",
        "260 ft AGL",
        "write its top above the sea, MSL: the elevation of the ground there and its height, added",
    ),
    (
        "{name: Mast, position: 38°20.2'S 141°36.9'E, top: %s}",
        "260 ft",
        "write its top above the sea, MSL: the elevation of the ground there and its height, added",
    ),
]


@pytest.mark.parametrize(("obstacle", "typed", "help"), TOPS)
def test_a_top_above_the_ground_is_offered_with_its_sum_or_without_a_figure(obstacle, typed, help):
    listed = "{name: Grain terminal, position: 38°20.2'S 141°36.9'E, top: 330 ft MSL, source: survey 2026-05}"
    (problem,) = found_in((listed, obstacle % typed))
    assert problem.help == help


# what stands there, what is typed, and what is told of the key; a flow is a list of sections in flying order
SEVERAL = [
    ("\nevent:", "\nevents:", ["write `event:`", "several stand in `flow:`"]),
    ("\n  pass:", "\n  passes:", ["write `pass:`", "an entry of `again:`", "beside `event:` in a `flow:`"]),
    ("\nevent:\n", "\nagain: []\nevent:\n", ["the `event:` of its entry in `flow:`", "leave it out"]),
    ("\n  pass:\n", "\n  again: []\n  pass:\n", ["the `event:` of its entry in `flow:`", "leave it out"]),
    ("\n  pass:\n", "\n  flow: []\n  pass:\n", ["at the top of the file"]),
]


@pytest.mark.parametrize(("old", "new", "words"), SEVERAL)
def test_keys_of_several_events_or_passes_are_told_with_where_they_stand(old, new, words):
    problem = next(problem for problem in found_in((old, new)) if problem.code == "unknown-key")
    assert [word for word in words if word not in problem.help] == [] and "for now" not in problem.help


WINGMAN = "  lost_wingman:\n"
IN_WORDS = "write it in the words of `action`, a level with its datum, such as 3000 ft MSL"


@pytest.mark.parametrize(
    ("key", "help"),
    [
        ("level: 3000 ft MSL", f"{IN_WORDS}; the level of a stopped pass is `level` of `abort` in `pass`"),
        ("altitude: 3000 ft MSL", f"{IN_WORDS}; the level of a stopped pass is `level` of `abort` in `pass`"),
        ("heading: 320 T", IN_WORDS),
    ],
)
def test_a_level_of_a_contingency_is_told_with_where_it_is_written(key, help):
    (problem,) = found_in((WINGMAN, f"{WINGMAN}    {key}\n"))
    assert (problem.code, problem.help) == ("unknown-key", help)


def test_every_misspelt_place_is_named_with_what_was_meant():
    """The words meant are those of the file before it was changed."""
    problems = found_in(*MISSPELT, UNIT)

    told = [
        (problem.message.removeprefix("there is no place "), problem.help)
        for problem in problems
        if problem.code == "unknown-place"
    ]
    assert told == [
        ("NORTHBORNE", "did you mean NORTHBOURNE?"),
        ("EASTLE", "did you mean EASTLEA?"),
        ("ENTRYY", "did you mean ENTRY?"),
        ("EXTI", "did you mean EXIT?"),
        ("PONTON", "did you mean PONTOON?"),
        ("IPP", "did you mean IP?"),
        ("Hartwell", "did you mean HARTWELL?"),
        ("EASTLEY", "did you mean EASTLEA?"),
        ("HARTWEL", "did you mean HARTWELL?"),
    ]
    assert len(problems) == len(told) + 1


def test_what_is_refused_is_not_offered():
    (problem,) = found_in(("base: NORTHBOURNE", "base: 18"))

    assert problem.message == "there is no place 18"
    assert problem.help == "known are NORTHBOURNE, ENTRY, EXIT, HOLD, IP, PONTOON, EASTLEA, HARTWELL"


def test_an_id_declared_in_a_wrong_form_is_told_once():
    problems = found_in(("\n  HOLD:", "\n  Hold:"))

    assert [problem.code for problem in problems] == ["value"]


# ---------------------------------------------------------------- nothing that only follows


def paths(tree, path=()):
    """Every key path of a tree."""
    entries = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for step, value in entries:
        yield (*path, step)
        yield from paths(value, (*path, step))


def spoilt(source, path, value):
    """The source with another value at a path."""
    tree = copy.deepcopy(source.tree)
    look_up(tree, path[:-1])[path[-1]] = value
    return replace(source, tree=tree)


SOURCES = {
    name: read_source(text, f"{name}.yaml")[0]
    for name, text in (("pass", PASS_ONLY), ("training", TRAINING_ONLY), ("regatta", regatta()))
}
SPOTS = [
    (name, path)
    for name, source in SOURCES.items()
    for number, path in enumerate(paths(source.tree))
    if name != "regatta" or number % 9 == 0
    if path[2:3] != ("runways",) or path[-1] != "name"  # any text is the name of a runway
]


@pytest.mark.parametrize(
    ("name", "path"), SPOTS, ids=lambda part: part if isinstance(part, str) else dotted(part)
)
def test_a_wrong_value_is_told_where_it_stands_and_nowhere_else(name, path):
    source = SOURCES[name]

    _, problems = mission_of(spoilt(source, path, "?"))

    assert [
        problem.message
        for problem in problems
        if problem.severity == "error" and problem.cause[: len(path)] != path
    ] == []


@pytest.mark.parametrize(
    ("name", "path"), SPOTS, ids=lambda part: part if isinstance(part, str) else dotted(part)
)
def test_a_value_that_was_lost_in_the_text_is_told_by_nobody_else(name, path):
    said = [Diagnostic("alias", "error", "values are written out")]

    _, problems = mission_of(spoilt(SOURCES[name], path, None), said)

    assert [problem.code for problem in problems if problem.severity == "error"] == ["alias"]


@pytest.mark.parametrize("name", SOURCES)
def test_the_missions_are_read_whole(name):
    assert mission_of(SOURCES[name])[0] is not None and list(scalars(SOURCES[name].tree))


# ---------------------------------------------------------------- every reference of the schema is asked for


def references(kind, path=()):
    """The key paths (a star for any step) of all fields that refer to the id of a place, told by the type
    that the schema gives them."""
    origin, inside = get_origin(kind), get_args(kind)
    if isinstance(kind, type) and issubclass(kind, Part):
        for name, field in kind.model_fields.items():
            whole = Annotated[(field.annotation, *field.metadata)] if field.metadata else field.annotation
            yield from references(whole, (*path, field.alias or name))
    elif kind == PlaceRef:
        yield path
    elif origin in (tuple, Mapping):
        yield from references(inside[0] if origin is tuple else inside[1], (*path, "*"))
    else:
        for one in inside:
            yield from references(one, path)


def test_every_field_that_refers_to_a_place_is_asked_for():
    assert set(references(MissionFile)) == set(checks_ids.PLACES)
