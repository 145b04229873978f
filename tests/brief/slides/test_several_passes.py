"""Slides of several passes: nothing of one of them on those of the whole sortie."""

from __future__ import annotations

from briefgen.brief.slides.view.gates import key_gates
from briefgen.brief.wording.words import words_of
from tests.planned import brief_of, plan_of

HARBOURS = plan_of("missions/three-harbours.yaml")


def test_each_pass_has_its_own_bingo_and_the_sortie_none():
    view = brief_of(HARBOURS).view
    assert "bingo_event" not in view.tables and view.values["fuel"]["bingo_event"] is None
    assert all(own.tables["bingo_event"].rows and own.values["fuel"]["bingo_event"] for _, own in view.passes)


def test_the_figures_that_decide_are_those_of_each_pass():
    """A pass that fails is not lost behind the one flown after it."""
    heights = [gate.id for gate in key_gates(words_of(HARBOURS)) if gate.rule == "pass-height"]
    assert heights == [
        f"{pass_}/pass-height" for pass_ in ("SALTMERE", "SALTMERE/pass-2", "CORBROOK", "DUNWATER")
    ]
