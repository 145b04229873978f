"""What to look out for: on the second side where there is room, and the first to give way."""

from __future__ import annotations

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.cards.watch import watch
from briefgen.brief.wording.words import card_words
from briefgen.mission.edit.changes import without_event
from briefgen.plan.build import make_plan
from tests.planned import plan_of
from tests.render.pdf_cases import context, made

REGATTA = "missions/regatta.yaml"


@pytest.mark.parametrize(
    ("mission", "items"),
    [
        (  # from its file; T-10 min is 03:20:02; 14,000 ft MSL, base 4000 + 10 ft
            REGATTA,
            (
                ("Television helicopter", "0 to 500 ft AGL, until 03:20:02"),
                (
                    "Formation leg EXIT to HOLD below cloud (so too end of egress to NORTHBOURNE)"
                    ": SCT 4000 ft AGL at PONTOON",
                    "through it by 9990 ft (at least 500 ft below it)",
                ),
                ("Fixation on the time over target", "Minimum height called at IP and at push-up"),
            ),
        ),
        (  # the mast's risk has no control; 10,000 ft MSL, base 4500 + 10 ft
            "missions/overcommitted.yaml",
            (
                ("Lifeboat helicopter", None),
                (
                    "Formation leg end of egress to STRATHWICK below cloud (so too EXIT to HOLD, HOLD to IP"
                    " and LIGHT to end of egress): BKN 4500 ft AGL at LIGHT",
                    "through it by 5490 ft (at least 500 ft below it)",
                ),
                ("Ceremony moved on the day", "Every party reads back the new time"),
            ),
        ),
    ],
)
def test_traffic_cloud_and_controls_have_a_line_each(mission, items):
    found = watch(card_words(plan_of(mission)))
    assert found is not None and len(found.items) == len(items)
    for (label, value), (said, wanted) in zip(found.items, items, strict=True):
        assert label == f"{said}:" and (wanted is None or value == wanted)


def test_without_any_of_it_there_is_nothing():
    assert watch(card_words(plan_of("tests/cases/ok-training-only.yaml"))) is None


def test_it_gives_way_before_anything_but_the_sketch():
    assert cards.kneeboard(plan_of(REGATTA), 1).reductions[1][1].name == "watch"


@pytest.mark.parametrize(("alone", "there"), [(False, False), (True, True)])
def test_it_is_printed_where_there_is_room(alone, there):
    """The regatta's second side is full; of a flight home without a pass it is not."""
    pymupdf = pytest.importorskip("pymupdf")
    plan = plan_of(REGATTA)
    if alone:
        plan = _without_the_event()
    found = made(plan, context("1"), "kneeboard")
    assert found.pdf is not None and not found.sides[1].reduced
    text = " ".join(pymupdf.open(stream=found.pdf, filetype="pdf")[1].get_text().split())
    assert ("Minimum height called at IP and at push-up" in text) == there


def _without_the_event():
    plan = plan_of(REGATTA)
    home, _ = make_plan(without_event(plan.mission, takeoff=plan.clock.takeoff))
    assert home is not None
    return home
