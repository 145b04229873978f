"""An elevation unlike those around it is asked about, once, with both places. Distances from the regatta:
Eastlea (260 ft MSL) and Hartwell (780) are 32 nm apart, both within 100 nm of Northbourne (230), which has no
other place within 25 nm; the windmill of the mission to start from (120) is 9 nm from Oakmere (80)."""

from __future__ import annotations

import pytest

from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import START, changed, regatta

BASE = "elevation: 230 ft MSL"
OAKMERE = "    elevation: 80 ft MSL"


def found(text: str):
    return [d for d in load_mission_text(text, "m.yaml")[1] if d.code == "elevations-apart"]


# 9 nm apart: 1500 ft are believed. From far only a place unlike all the others is asked about: Northbourne
# against the pontoon's 10, Eastlea's 260 and Hartwell's 780.
@pytest.mark.parametrize(
    ("text", "old", "new", "key"),
    [
        (START, OAKMERE, OAKMERE.replace("80", "1620"), None),
        (START, OAKMERE, OAKMERE.replace("80", "1621"), "OAKMERE"),
        (START, OAKMERE, OAKMERE.replace("80", "8000"), "OAKMERE"),
        (regatta(), BASE, BASE.replace("230", "2300"), "NORTHBOURNE"),
        (regatta(), BASE, BASE.replace("230", "2280"), None),
        (regatta(), "elevation: 780 ft MSL", "elevation: 7800 ft MSL", "HARTWELL"),
    ],
)
def test_which_elevation_is_asked_about(text, old, new, key):
    said = found(changed(text, old, new))
    assert [(d.severity, d.cause) for d in said] == (
        [("caution", ("places", key, "elevation"))] if key else []
    )
    assert all("default" in d.why and d.related for d in said)


def test_the_slip_that_explains_it_is_offered_and_taken():
    """2300 with a digit too many is 230, 30 ft from Eastlea's 260 and 220 from the pontoon's 10, 550 from
    Hartwell's; 80 m are 262 ft."""
    (said,) = found(changed(regatta(), BASE, "elevation: 2300 ft MSL"))
    assert "NORTHBOURNE is at 2300 ft MSL" in said.message and "PONTOON" in said.message
    assert said.help.startswith("write 230 ft MSL if a digit is too many")
    assert found(regatta()) == []


def test_who_has_read_the_chart_is_not_asked_from_far():
    read = "terrain_checked: {by: Lt Q. Ames, source: chart, date: 2027-01-28, lowest: 1100 ft}\n"
    assert found(changed(regatta(), BASE, "elevation: 2300 ft MSL") + read) == []
    assert len(found(changed(START, OAKMERE, OAKMERE.replace("80", "8000")) + read)) == 1


def test_an_aerodrome_above_the_level_of_its_first_leg():
    """With its chart read nothing but its own leg, at 16,000 ft MSL, speaks against Northbourne."""
    read = "terrain_checked: {by: Lt Q. Ames, source: chart, date: 2027-01-28, lowest: 1100 ft}\n"
    (said,) = found(changed(regatta(), BASE, "elevation: 23000 ft MSL") + read)
    assert said.cause == ("places", "NORTHBOURNE", "elevation") and "16000 ft MSL" in said.message
