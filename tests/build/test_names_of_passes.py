"""The id of a further pass, SALTMERE/pass-2, is for files and commands: whoever reads a product is told
SALTMERE pass 2."""

from __future__ import annotations

import re
from zipfile import ZipFile

import pytest

from briefgen.brief.wording.whatif import edge_lines, lines_of
from briefgen.mission.resolve.sections import pass_words
from briefgen.whatif.answers import what_if
from briefgen.whatif.edges import edges_of
from tests.planned import plan_of

ID = re.compile(r"\w+/(pass-\d|EGRESS)")
MISSIONS = ("missions/three-harbours.yaml", "missions/twin-fields.yaml")
READ, GATE = re.compile(r">([^<]*)<"), re.compile(r"\[?\w+/pass-\d/[\w-]+\]?")


@pytest.mark.parametrize(
    ("id", "said"),
    [("HILL", "HILL"), ("PARK/pass-2", "PARK pass 2"), ("PARK/pass-12", "PARK pass 12"), ("", "")],
)
def test_a_pass_is_told_by_its_name(id, said):
    assert pass_words(id) == said


@pytest.mark.parametrize("mission", MISSIONS)
def test_clock_gates_and_limits_tell_the_name(mission):
    plan = plan_of(mission)
    told = [event.label for event in plan.clock.events] + [gate.title for gate in plan.gates]
    told += [str(gate.value) for gate in plan.gates]
    assert any(" pass 2)" in text for text in told)
    assert [text for text in told if ID.search(text)] == []


@pytest.mark.slow
@pytest.mark.parametrize("mission", MISSIONS)
def test_pages_and_slides_tell_the_name(built, mission):
    """Every text between the tags of the review page, the clock pages and the slides; a gate's own id, which
    is typed to waive or accept it, stands there as one word."""
    folder = built(mission.split("/")[1].removesuffix(".yaml"))
    pages = [path.read_text(encoding="utf-8") for path in folder.glob("*.html")]
    with ZipFile(folder / "deck.pptx") as deck:
        pages += [deck.read(name).decode() for name in deck.namelist() if name.endswith(".xml")]
    found = [text for page in pages for text in READ.findall(page) if ID.search(text)]
    assert [text for text in found if not GATE.fullmatch(text.strip())] == []


@pytest.mark.slow
@pytest.mark.parametrize("mission", MISSIONS)
def test_what_ifs_tell_the_name(mission):
    plan = plan_of(mission)
    lines = [*lines_of(what_if(plan)), *edge_lines(edges_of(plan), plan)]
    assert [line for line in lines if ID.search(line.change + line.outcome)] == []
