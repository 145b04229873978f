"""plan.json of a sortie with several passes: each with its own, and null for what format 1 has once."""

from __future__ import annotations

import json

import pytest

from briefgen.brief.slides.view.view import make_view, printed_view
from briefgen.core.context import Stamp
from briefgen.export.format1 import format1
from briefgen.export.plan_json import plan_json
from tests.flow_texts import AROUND, three_passes
from tests.planned import plan_at


@pytest.fixture(scope="module")
def document(tmp_path_factory):
    path = tmp_path_factory.mktemp("flow") / "flow.yaml"
    path.write_text(three_passes(), encoding="utf-8")
    plan, stamp = plan_at(path), Stamp("", "x", "3333-3333-3333-3333", "3333", "0", "0")
    return json.loads(
        plan_json(plan, head={}, typed=plan.mission.source.tree, printed=printed_view(make_view(plan, stamp)))
    )


def test_pieces_stand_in_flying_order(document):
    found = [(piece["kind"], piece["id"]) for piece in document["plan"]["pieces"]]
    assert found == [
        ("departure", ""),
        ("training", "TRAINING"),
        ("transit", ""),
        ("pass", "PARK"),
        ("transit", ""),
        ("pass", "PARK/pass-2"),
        ("transit", ""),
        ("pass", "HILL"),
        ("recovery", ""),
    ]
    numbers = [n for piece in document["plan"]["pieces"] for n in piece["legs"]]
    assert numbers == list(range(len(document["plan"]["legs"])))


def test_each_pass_has_its_own_time_and_event(document):
    found = [(p["id"], p["event"], p["number"], p["true_time"][11:19]) for p in document["plan"]["passes"]]
    assert found == [
        ("PARK", "PARK", 1, "14:00:00"),
        ("PARK/pass-2", "PARK", 2, "14:20:00"),
        ("HILL", "HILL", 1, "14:40:00"),
    ]
    assert [(e["id"], e["passes"]) for e in document["plan"]["events"]] == [
        ("PARK", ["PARK", "PARK/pass-2"]),
        ("HILL", ["HILL"]),
    ]


def given(part: dict, keys: str) -> dict:
    """Those of the keys that are not null; all are there."""
    return {key: part[key] for key in keys.split() if part[key] is not None}


def test_what_has_no_single_answer_is_null(document):
    plan = document["plan"]
    assert plan["event"] is None
    assert (
        given(plan["clock"], "hold_arrival leave_hold ip push_up true_time set_time hold_difference_s") == {}
    )
    assert given(plan["fuel"], "bingo_event go_home") == {}
    for ship in plan["fuel"]["ships"]:
        assert given(ship, "bingo_event go_home longest_hold_s") == {}
    assert [hold["piece"] for hold in plan["fuel"]["ships"][0]["holds"]] == ["PARK", "PARK/pass-2", "HILL"]


def test_printed_figures_name_their_pass(document):
    printed = document["printed"]
    assert printed["values"]["event"] is None and printed["values"]["clock"]["true_time"] is None
    assert "slips" not in printed["tables"]
    assert [row[0] for row in printed["tables"]["passes"]["rows"]] == ["PARK", "PARK pass 2", "HILL"]
    assert [(p["name"], p["values"]["event"]["true_time"]) for p in printed["passes"]] == [
        ("PARK", "14:00:00 Z"),
        ("PARK pass 2", "14:20:00 Z"),
        ("HILL", "14:40:00 Z"),
    ]


def test_two_blocks_have_no_single_answer(tmp_path):
    path = tmp_path / "flow.yaml"
    path.write_text(AROUND, encoding="utf-8")
    plan = format1(plan_at(path))
    assert plan["training"] is None and plan["event"] is not None
    in_clock = "area_entry training_start training_end rejoined knock_off knock_off_because"
    assert given(plan["clock"], in_clock) == {} and given(plan["fuel"], "joker bingo_training") == {}
    for ship in plan["fuel"]["ships"]:
        of_a_block = "joker bingo_training joker_reached knock_off training_end_predicted"
        assert given(ship, of_a_block) == {} and ship["bingo_event"] is not None
    assert None not in (plan["clock"]["true_time"], plan["fuel"]["bingo_event"])
