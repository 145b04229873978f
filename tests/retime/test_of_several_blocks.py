"""``briefgen retime`` of a sortie with training after the pass: what a moved T does to it. By hand in
tests/test_blocks_by_hand.py: MOOR is ready at 14:05:20, its set-ups of 5 min end by 14:18:00."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.retime.answer import retime
from briefgen.retime.failing import Told, failing_anew
from briefgen.retime.report import lines
from briefgen.retime.typed import Typed, wanted
from tests.flow_texts import AROUND


@pytest.fixture(scope="module")
def plan():
    mission, _ = load_mission_text(AROUND, "flow.yaml")
    return make_plan(mission)[0]


def told(plan, slip):
    question, found = wanted(plan, Typed(slip=slip))
    assert question is not None, [d.message for d in found]
    answer, found = retime(plan, question, plan.passes[0])
    assert answer is not None, [d.message for d in found]
    return answer


@pytest.mark.parametrize(
    ("slip", "row"),
    [
        ("60", ["MOOR", "2 set-ups (was 2)", "ends 14:16:20 Z (was 14:15:20 Z)", "END BY 14:18:00 Z"]),
        ("300", ["MOOR", "1 set-up (was 2)", "ends 14:15:20 Z (was 14:15:20 Z)", "END BY 14:18:00 Z"]),
        (
            "600",
            [
                "MOOR",
                "0 set-ups, fewer than are worth flying (was 2)",
                "ends 14:15:20 Z (was 14:15:20 Z)",
                "END BY 14:18:00 Z",
            ],
        ),
    ],
)
def test_training_after_the_pass_is_told(plan, slip, row):
    answer = told(plan, slip)
    assert dict(lines(answer, plan))["What it does to later training"] == [row]
    assert [block.id for block in answer.later_training] == ["MOOR"]


def test_a_block_that_is_over_asks_nothing_of_its_joker_the_next_one_does(plan):
    """Read back at 13:40, FEN is over and MOOR is to come; a gate of each is made to fail."""
    gates = tuple(replace(g, verdict="FAIL") if g.rule == "joker" else g for g in plan.gates)
    at = datetime(2027, 5, 12, 13, 40, tzinfo=UTC)
    section = plan.passes[0].section
    found = failing_anew(plan, replace(plan, gates=gates), Told(section, at, past_ip=False))
    assert [gate.id for gate in found] == ["MOOR/joker"]
