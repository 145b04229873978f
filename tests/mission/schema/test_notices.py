"""An empty list of notices can't be told apart from nobody having looked: who found none says so, with a name
and a date."""

from __future__ import annotations

import pytest

from briefgen.core.context import Stamp
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly, make_plan
from briefgen.plan.gates.contingencies import notices_read
from tests.mission.mission_texts import PASS_ONLY
from tests.planned import brief_of

NONE = "notices: {none: yes, read_by: Capt A. Moen, read: 2027-05-03}\n"


def loaded(text: str):
    return load_mission_text(PASS_ONLY + text, "m.yaml")


@pytest.mark.parametrize(
    ("text", "verdict", "value"),
    [
        (NONE, "PASS", "none in force, read by Capt A. Moen on 2027-05-03, 1 day before"),
        ("notices: []\n", "NOT CHECKED", None),
        ("", "NOT CHECKED", None),
        ("notices: [{reference: A1/27, says: A crane, read: 2027-05-03}]\n", "PASS", "1 read, 1 day before"),
        ("notices: [{reference: A1/27, says: A crane}]\n", "CAUTION", "A1/27 has no date of reading"),
    ],
)
def test_the_gate(text, verdict, value):
    mission, found = loaded(text)
    assert mission is not None, [d.message for d in found]
    (gate,) = notices_read(fly(mission)[0])
    assert (gate.verdict, gate.value) == (verdict, value)
    assert gate.settled_by == (("notices",) if verdict == "NOT CHECKED" else None)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("notices: {none: yes, read: 2027-05-03}\n", "read_by"),
        ("notices: {none: yes, read_by: Capt A. Moen}\n", "read"),
        ("notices: {none: no, read_by: Capt A. Moen, read: 2027-05-03}\n", "list the notices"),
        ("notices: none\n", "for example `notices: {none: yes, read_by: ..., read: 2027-01-30}`"),
    ],
)
def test_half_a_word_is_refused(text, said):
    mission, found = loaded(text)
    assert mission is None
    (problem,) = found
    assert (
        said in f"{problem.message} {problem.help}" and problem.span.line == len(PASS_ONLY.splitlines()) + 1
    )


def test_a_reading_after_the_sortie_is_doubted():
    mission, found = loaded(NONE.replace("2027-05-03", "2027-05-05"))
    assert mission is not None and [d.code for d in found if d.cause[:1] == ("notices",)] == ["date"]


def test_the_slide_of_the_airspace_says_who_looked():
    plan, _ = make_plan(loaded(NONE)[0])
    assert (
        brief_of(plan, Stamp("", "", "", "", "", "")).view.values["airspace"]["no_notices"]
        == "None in force, read by Capt A. Moen on 3 May 2027"
    )
