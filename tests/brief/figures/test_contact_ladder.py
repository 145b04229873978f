"""The calls on a ladder of time, and the words of a change beside it."""

from briefgen.brief.figures import contact_ladder, figure_makers
from briefgen.draw.scene.model import Canvas, Ellipse, Text
from tests.brief.figures.plans import plan_of, scene_of, shapes_of

REGATTA = "missions/regatta.yaml"


def test_the_rungs_stand_in_the_order_of_time_each_with_its_kind():
    """Regatta: cues PARADE and ANTHEM, two deadlines of the slips, leave-hold, abort-only 30 s before T."""
    rungs = contact_ladder.rungs_of(plan_of(REGATTA))
    assert [r.at for r in rungs] == sorted(r.at for r in rungs)
    kinds = {r.name: r.kind for r in rungs}
    names = ("In place", "PARADE", "ANTHEM", "First SAY BY", "Leave hold", "Abort only", "T")
    assert [kinds[name] for name in names] == ["call", "cue", "cue", "limit", "limit", "stop", "cue"]
    assert (rungs[-1].name, rungs[-2].name) == ("T", "Abort only")


def test_a_cue_says_what_it_is_and_a_call_stands_in_the_notes():
    """Regatta: 28 words of clocks, names and heads, and these 12: no more than 40, so all are said."""
    said = {rung.name: rung.said for rung in contact_ladder.rungs_of(plan_of(REGATTA)) if rung.said}
    assert said == {
        "PARADE": "Parade halts",
        "ANTHEM": "First note of the anthem",
        "Leave hold": "then fast or slow only",
    }


def test_every_rung_is_drawn_with_its_times_and_the_call_with_its_read_back():
    scene = scene_of(REGATTA, "contact_ladder")
    texts = [text.text for text in shapes_of(scene, Text)]
    for rung in contact_ladder.rungs_of(plan_of(REGATTA)):
        assert rung.name in texts and f"{rung.at:%H:%M}" in " ".join(texts)
    assert len(shapes_of(scene, Ellipse)) == len(contact_ladder.rungs_of(plan_of(REGATTA)))
    assert {"PIER moves T", "GANNET reads back all six digits"} <= set(texts)
    quotes = [" ".join(text.split()) for text in texts if text.startswith('"')]
    assert quotes[0].startswith('"GANNET, PIER. Change of true time. Old true time: zero three three zero')
    assert quotes[1] == '"GANNET, true time (six digits) Zulu."'


def test_a_rung_without_room_is_told():
    low = figure_makers(plan_of(REGATTA))["contact_ladder"](Canvas(864, 150))
    assert low.unplaced and "T" in low.unplaced


def test_without_a_ground_contact_there_is_no_ladder():
    assert contact_ladder.make(plan_of("tests/cases/ok-training-only.yaml")) is None
