"""A card that is too full names the key of the text that can be shortened, not a box of the card."""

from __future__ import annotations

import re

import pytest

from briefgen.mission.edit.edits import edit_tree
from briefgen.mission.files import read_text, with_book
from briefgen.mission.load import mission_of
from briefgen.mission.read.tree import TextTree
from briefgen.plan.build import make_plan
from tests.places import MISSIONS, REPOSITORY
from tests.plan.gates.gate_reading import source_of
from tests.planned import plan_of
from tests.render.pdf_cases import context, made

pytest.importorskip("typst")
LONG = " ".join(["Say it again twice before anybody turns"] * 7)[:239]  # the schema takes 240
ANSWERS = ("lost_wingman", "lost_communications", "knock_it_off", "inadvertent_cloud")
MOST = {"event.pass.abort.words": 60}
# what is as long as it may be, the side that has no room for it, and the key that is named
TOO_LONG = [
    ([f"contingencies.{key}.action" for key in ANSWERS], "to the hold", "contingencies.lost_wingman.action"),
    (["event.pass.abort.words", "event.pass.abort.action"], "the pass", "event.pass.abort.action"),
]


@pytest.mark.parametrize(("keys", "side", "named"), TOO_LONG, ids=lambda value: str(value)[:30])
def test_the_key_of_the_text_is_named_and_the_shorter_text_mends_it(keys, side, named):
    def told(letters: int) -> list[str]:
        source, _ = edit_tree(
            source_of("regatta"), [(key, LONG[: min(letters, MOST.get(key, 239))].strip()) for key in keys]
        )
        mission, found = mission_of(source)
        assert mission is not None, [d.message for d in found]
        found = made(make_plan(mission)[0], context("1"), "kneeboard").diagnostics
        return [d.help for d in found if d.message.startswith(side)]

    assert [help.startswith(f"shorten `{named}` ") for help in told(239)] == [True]
    assert told(30) == []


def text_at(tree: TextTree, key: str) -> TextTree:
    """What stands in the file at a key as it is told: positions count from 1."""
    for step in re.findall(r"[^.\[\]]+", key):
        tree = tree[int(step) - 1] if isinstance(tree, list) else tree[step]
    return tree


@pytest.mark.parametrize("name", ["regatta", "founders-day", "three-harbours", "twin-fields", "lantern-fair"])
def test_every_key_of_a_card_stands_in_the_mission(name):
    text = (REPOSITORY / "missions" / f"{name}.yaml").read_text(encoding="utf-8")
    source, _ = with_book(read_text(text, f"{name}.yaml")[0], MISSIONS)
    plan = plan_of(f"missions/{name}.yaml")
    keys = [
        box.key
        for kind, ship in (("kneeboard", "1"), ("ground-contact", ""), ("approval", ""))
        for side in made(plan, context(ship), kind).sides
        for box in side.sections
        if box.key
    ]
    assert len(set(keys)) > 3
    assert [key for key in keys if not text_at(source.tree, key)] == []
