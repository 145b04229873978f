"""One slip in the text is one error, at its own line and in true words, whatever the parser makes of the
lines behind it. What is wrong elsewhere in the file is told all the same.

A row is the line that is changed, what it reads then, and the line that is told (from the changed one on).
"""

import pytest

from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import changed, regatta
from tests.places import REPOSITORY

MISSIONS = {
    "regatta": regatta(),
    "lantern-fair": (REPOSITORY / "missions" / "lantern-fair.yaml").read_text(encoding="utf-8"),
}
# where, as written -> as damaged; the words of the one message
SLIPS = [
    ("regatta", "\nsortie:\n", "\noops\nsortie:\n", "neither a key with a colon"),
    ("regatta", "\nsortie:\n  name: H", "\nsortie:\n  oops\n  name: H", "neither a key with a colon"),
    ("regatta", "  name: Harbour", "  name Harbour", "neither a key with a colon"),
    ("regatta", "  callsign: GANNET", "  callsign:GANNET", "neither a key with a colon"),
    ("regatta", "\nplaces:\n", "\nplaces: oops\n", "a text stands here, and keys below it"),
    ("regatta", "  EASTLEA:\n", "  EASTLEA: oops\n", "a text stands here, and keys below it"),
    ("regatta", "  - {ship: 2,", "- {ship: 2,", "fits no item above"),
    ("regatta", "      - 38°40.0'S 140°40.0'E", "- 38°40.0'S 140°40.0'E", "fits no item above"),
    ("regatta", "  - {preset: 2,", " - {preset: 2,", "does not fit what stands above"),
    ("regatta", "fuel: {display: lb,", "fuel: '{display: lb,", "over several lines"),
    ("regatta", "round_up_to: 50 lb}", "round_up_to: 50 lb} oops", "text follows a value"),
    ("regatta", "  HOLD: {position", "  HOLD {position", "a colon and a space are missing"),
    ("regatta", "  HOLD: {position", "  HOLD:{position", "a colon and a space are missing"),
    ("regatta", "  HOLD: {position", "  HOLD: {{position", "{ is not closed"),
    ("regatta", "  warm_up: {time", "  warm_up: [{time", "[ is not closed"),
    ("regatta", "  yardstick: {1: 29Y", "  yardstick: [{1: 29Y", "[ is not closed"),
    ("regatta", "4: 94Y}", "4: 94Y", "{ is not closed"),
    ("regatta", "    fuel_flow:   ", "    fuel_flow: [ ", "[ is not closed"),
    ("regatta", "    name: Sandpiper\n", '    name: "Sandpiper\n', "not closed"),
    ("regatta", "    name: Sandpiper\n", "\tname: Sandpiper\n", "tab"),
    ("regatta", "  fall_outs:\n", "  oops fall_outs:\n", "is no name of a contingency"),
    ("lantern-fair", "  HOLMVIK:\n", "  oops HOLMVIK:\n", "is no id"),
    ("lantern-fair", "      - 60°38.0'N 025°25.0'E", "- 60°38.0'N 025°25.0'E", "fits no item above"),
]


@pytest.mark.parametrize(("mission", "old", "new", "words"), SLIPS, ids=[repr(row[2]) for row in SLIPS])
def test_a_slip_is_one_error_at_its_own_line(mission, old, new, words):
    good = MISSIONS[mission]
    assert good.count(old) == 1
    text = good.replace(old, new)
    line = next(
        n for n, (a, b) in enumerate(zip(good.split("\n"), text.split("\n"), strict=False), 1) if a != b
    )
    errors = [d for d in load_mission_text(text, "m.yaml")[1] if d.severity == "error"]

    assert [(d.span.line, words in d.message, bool(d.help)) for d in errors] == [(line, True, True)], errors


@pytest.mark.parametrize("spaces", [0, 4, 6])
def test_a_line_of_a_pasted_text_that_stands_too_far_left_is_told_where_it_belongs(spaces):
    """Its text is indented by 8 spaces; written so, the file is the one that was meant."""
    taf = "      taf: >\n        TAF XXNB 291700Z 2918/3024 20010KT\n{}9999 SCT040\n"
    good = changed(regatta(), "    NORTHBOURNE: {", "    ODD:\n" + taf.format(8 * " ") + "    NORTHBOURNE: {")
    text = good.replace(taf.format(8 * " "), taf.format(spaces * " "))
    (told,) = [d for d in load_mission_text(text, "m.yaml")[1] if d.code == "syntax"]

    assert told.help.startswith("indent it by 8 spaces, as the text above it, if it belongs to that; else")
    assert not [d for d in load_mission_text(good, "m.yaml")[1] if d.code == "syntax"]


def test_what_is_wrong_in_another_section_is_told_beside_it():
    text = changed(regatta(), "  - {preset: 2,", "- {preset: 2,")
    text = changed(text, "callsign: GANNET", "calsign: GANNET")
    assert {d.code for d in load_mission_text(text, "m.yaml")[1]} == {"syntax", "unknown-key"}
