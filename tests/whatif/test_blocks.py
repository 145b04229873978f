"""What-ifs of a sortie with several blocks of training: each number of set-ups by the name of its block. By
hand in tests/test_blocks_by_hand.py: FEN's two of 10 min, MOOR's two of 5 min from 14:05:20 to 14:18:00."""

from __future__ import annotations

from functools import cache

import pytest

from briefgen.brief.wording.whatif import edge_lines, lines_of
from briefgen.whatif.answers import what_if
from briefgen.whatif.edges import edges_of, latest_takeoff
from briefgen.whatif.moves import Move
from tests.flow_texts import AGAIN, AROUND, MOOR, PLACE, TO_MOOR, entry, three_passes
from tests.planned import plan_of_text as plan_of
from tests.test_blocks_by_hand import BEFORE


@cache
def told(text: str) -> dict[str, str]:
    return {line.change: line.outcome for line in lines_of(what_if(plan_of(text)))}


# both before the pass, MOOR's two typed, which take-off 13:00 and FEN's one leave 4 min 21 s to hold
TYPED = BEFORE.replace("setups: {minimum: 1, each: 5", "setups: {planned: 2, minimum: 1, each: 5")


def between(setups: str) -> str:
    """MOOR between PARK and HILL, whose T is 14:39:10, with fuel to spare."""
    text = (
        three_passes().replace(AGAIN, "", 1).replace(": 5000 lb", ": 9000 lb").replace("14:37:30", "14:36:40")
    )
    moor = MOOR.replace("1400 to 1420", "1400 to 1450").replace("setups: {minimum: 1", f"setups: {{{setups}")
    to_hill = "  - transit: [{to: HILLHOLD"
    text = text.replace(to_hill, TO_MOOR + entry(moor) + to_hill, 1).replace("\naircraft:\n", PLACE, 1)
    return text.replace("  - training:\n", "  - training:\n      id: FEN\n", 1)


ZERO = "FEN 0 set-ups (time), fewer than the 1 worth flying, "
SLOWER = "20 kt less over the ground on every leg"
NOT_WRITTEN = "NOT CHECKED: without the pass there is another way to or between the blocks"


@pytest.mark.parametrize(
    ("text", "change", "outcome"),
    [
        # 20 min late FEN is entered at 13:31:00, ready at 13:35:30: 10 min and 6 to leave are after 13:45
        (AROUND, "Take-off 20 min late", "FEN 0 set-ups (time), fewer than the 1 worth flying, MOOR 2"),
        # MOOR ready at 14:10:20 and at 14:15:20: one and none are over by 14:18:00
        (AROUND, "Ceremony 5 min late", "MOOR 1 set-up, T 14:05:00 Z met"),
        (AROUND, "Ceremony 10 min late", "MOOR 0 set-ups, fewer than the 1 worth flying, T 14:10:00 Z met"),
        (AROUND, "Ceremony 2 min late", "T 14:02:00 Z met"),
        # each 5 min late take a set-up of MOOR, two of them FEN's one of 10 min
        (TYPED, "Take-off 5 min late", "FEN 1 set-up (all planned), MOOR 1 set-up, T kept, hold 4 min 21 s"),
        (TYPED, "Take-off 10 min late", ZERO + "MOOR 2 set-ups, T kept"),
        (TYPED, "Take-off 15 min late", ZERO + "MOOR 1 set-up, T kept"),
        # HILL's hold of 4 min 5 s is 5 s over its minimum; the 10 nm to MOORIN alone take 5.9 s longer
        (between("planned: 5, minimum: 1"), SLOWER, "FEN 2 set-ups (all planned), MOOR 4 set-ups, every T"),
        (AROUND, "FEN: joker one set-up early", "FEN 1 set-up, MOOR 2 set-ups"),
        (AROUND, "MOOR: joker one set-up early", "FEN 2 set-ups, MOOR 1 set-up"),
        (AROUND, "No flypast", NOT_WRITTEN),
        (BEFORE, "Event cancelled in the area", NOT_WRITTEN),
        # training in MOOR ends at 14:15:20, and its exit, from which 40 nm count, is left 2 min later
        (AROUND, "Divert from the area's exit of MOOR to ENTRY", "40.0 nm, left at 14:17:20 Z"),
    ],
)  # fmt: skip
def test_each_number_of_set_ups_is_told_of_its_block(text, change, outcome):
    assert told(text)[change].startswith(outcome)


@pytest.mark.parametrize("text", [TYPED, AROUND, between("minimum: 1")])
def test_no_change_before_take_off_flies_more_than_is_planned(text):
    """Also of a block that the file leaves open: the first one's time would be the second's."""
    plan = plan_of(text)
    kinds = ("takeoff-late", "ships-out", "slower")
    outcomes = [each.after for each in what_if(plan).answers if each.kind in kinds and each.after]
    assert outcomes
    for after in outcomes:
        assert after.setups <= plan.setups["FEN"]
        assert all(flown <= plan.setups[id] for id, flown in after.later_setups.items())


def test_too_few_ships_for_the_pass_leave_what_is_not_written():
    text = AROUND.replace("    late_bias:", "    minimum_ships: 2\n        late_bias:", 1)
    assert text != AROUND and told(text)["Ship 2 out"].startswith(NOT_WRITTEN)


def test_the_latest_take_off_leaves_each_block_its_minimum():
    """The hold must be reached 4 min and a little before 13:57:51; before that EXIT, left after MOOR's 2 + 5
    + 2 min, 6 min after FEN's 4 + 10 + 3 + 3, begun 11 min 30 s after take-off; and 8 min on."""
    plan = plan_of(BEFORE)
    edge = latest_takeoff(plan, plan.passes[0])
    back_s = 60 * (8 + 2 + 5 + 2 + 6 + 4 + 10 + 11.5) + plan.passes[0].hold.shortest_s
    assert abs((plan.passes[0].hold.leave - edge.at).total_seconds() - back_s) <= 1.0 and edge.setups is None


def test_an_edge_that_hangs_on_open_set_ups_before_the_next_pass_is_not_told():
    """They are settled anew with each T, and give before the next wait does."""
    text = three_passes().replace(
        "  - transit: [{to: HILLHOLD", TO_MOOR + entry(MOOR) + "  - transit: [{to: HILLHOLD", 1
    )
    text = text.replace("\naircraft:\n", PLACE, 1)
    text = text.replace("  - training:\n", "  - training:\n      id: FEN\n", 1)
    plan = plan_of(text)
    assert Move(plan, 1, 1).unsettled == ("MOOR",) and Move(plan, 2, 1).unsettled == ()
    lines = {line.change: line.outcome for line in edge_lines(edges_of(plan), plan)}
    said = "NOT CHECKED: the set-ups of MOOR are settled anew with each T"
    asked = ("earliest T", "latest T", "latest T that still keeps HILL")
    assert [lines[f"PARK: {what}"] for what in asked] == [said] * 3 and lines["HILL: latest T"] != said
