"""Two blocks of training in one sortie, worked out on paper: one on each side of a pass, and both before it.

The mission worked by hand (tests/cases/ok-by-hand.yaml) lies on one meridian in still, standard air; ENTRY is
60 nm north of the base, the spot flown over 40 nm, MOORIN 20 nm. Every figure is plain arithmetic.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from geographiclib.geodesic import Geodesic

from briefgen.core.diagnostics import has_errors
from briefgen.mission.edit.changes import at_true_time, with_setups
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly, make_plan
from briefgen.plan.one_block import each_block
from tests.flow_texts import AROUND, NM_M, blocks_flow

BEFORE = blocks_flow("departure", "training", "MOOR", "transit", "event", "recovery").replace(
    "reserved: 1400 to 1420", "reserved: 1300 to 1420"
)
BEFORE = BEFORE.replace("planned: 2, minimum: 1", "minimum: 1").replace("by: MOORIN", "by: EXIT")


def z(clock: str) -> datetime:
    return datetime.fromisoformat(f"2027-05-12T{clock}").replace(tzinfo=UTC)


def near(one: datetime, other: datetime) -> bool:
    return abs(one - other) < timedelta(seconds=0.05)


def planned(text: str):
    mission, found = load_mission_text(text, "flow.yaml")
    assert mission is not None, [(d.message, d.span) for d in found]
    plan, found = make_plan(mission)
    assert plan is not None and not has_errors(found), [d.message for d in found]
    return plan


@pytest.fixture(scope="module")
def around():
    return planned(AROUND)


@pytest.fixture(scope="module")
def before():
    return planned(BEFORE)


# 24 nm of climb in 5 min, 36 nm at 360 kt; 30 s for ship 2. From the end of the egress, 30 nm north of the
# base, 10 nm to MOORIN. 14:05:20 and n set-ups of 5 min and 2 min to leave are by 14:20 for n = 2. Nobody
# waits for a last ship after a pass.
TIMES = [
    ("FEN/gather", "13:11:00", "13:11:30"),
    ("FEN/set-up-2", "13:25:30", "13:35:30"),
    ("transit-1", "13:41:30", "13:49:30"),
    ("egress", "14:00:00", "14:01:40"),
    ("MOOR/transit-1", "14:01:40", "14:03:20"),
    ("MOOR/warm-up", "14:03:20", "14:05:20"),
    ("MOOR/set-up-2", "14:10:20", "14:15:20"),
    ("MOOR/leave", "14:15:20", "14:17:20"),
    ("recovery-1", "14:17:20", "14:20:40"),
]


@pytest.mark.parametrize(("id", "start", "end"), TIMES)
def test_each_phase_is_timed(around, id, start, end):
    (phase,) = [phase for phase in around.clock.phases if phase.id == id]
    assert near(phase.start, z(start)) and near(phase.end, z(end))


def test_each_block_has_its_set_ups_and_its_end(around):
    """FEN's area must be left by 13:45, 3 min after its end; MOOR's by 14:20, 2 min after."""
    assert around.setups == {"FEN": 2, "MOOR": 2}
    assert [(block.bound, block.by_time) for block in around.trainings] == [("given", 2), ("time", 2)]
    fen, moor = around.clock.blocks
    assert near(moor.end_by, z("14:18:00")) and near(moor.entry, z("14:03:20"))
    assert fen.end_by < z("13:42:00") and fen.id == "FEN"


# lb/h: transit 1750, hold 1200, run-in 2400, push-up 4800, recovery 1700; home from MOORIN 20 nm at 360 kt
PASS_LB = (24 + 35) * 2400 / 3600 + 70 * 4800 / 3600 + 100 * 1700 / 3600
HOME_LB = 100 + 200 * 1700 / 3600 + 180
MOOR_JOKER = 60 + HOME_LB + 800 + 100
# the hold as planned, 540 s, is longer than the 501 s that are left
FEN_JOKER = 90 + 90 + (480 + 100) * 1750 / 3600 + 540 * 1200 / 3600 + PASS_LB + 100 + 200 + MOOR_JOKER


def test_the_joker_of_a_block_is_all_that_follows_it_with_open_blocks_at_their_minimum(around):
    """MOOR flies two set-ups, and must have one."""
    fen, moor = around.fuel.ships[0].blocks
    assert fen.joker.exact_lb == pytest.approx(FEN_JOKER, abs=0.05)
    assert moor.joker.exact_lb == pytest.approx(MOOR_JOKER, abs=0.05)
    assert around.fuel.ships[0].joker == fen.joker


def test_each_block_has_the_bingo_of_its_own_far_corner(around):
    corner = Geodesic.WGS84.Inverse(40.33, -100.05, 40.0, -100.0)["s12"] / NM_M
    moor = around.fuel.ships[0].blocks[1].bingo_training
    assert moor.sum.exact_lb == pytest.approx(100 + corner / 360 * 1700 + 180 + 800, abs=0.05)
    assert around.fuel.ships[0].blocks[0].bingo_training.distance_nm > 120


def test_what_is_left_at_the_end_of_each_block_is_what_has_not_been_burnt(around):
    """Ship 1, exactly, then down to the gauge's 10 lb: 300 to take-off, climb 300 s, 360 s of cruise, 30 s of
    waiting, then FEN's 150 and 2 x 400."""
    first = 300 + (300 * 3600 + 360 * 1750 + 30 * 1750) / 3600 + 150 + 2 * 400
    second = first + 90 + 90 + (480 + 100) * 1750 / 3600 + 501 * 1200 / 3600 + PASS_LB + 100 + 2 * 200
    step = around.fuel.ships[0].scale.step
    assert [block.training_end_predicted for block in around.fuel.ships[0].blocks] == [
        (5000 - burnt) // step * step for burnt in (first, second)
    ]


def test_what_the_flypast_costs_is_not_told_of_several_blocks(around):
    """Without its event the sortie would have another way between them, which nobody has written."""
    assert [(block.cost_setups, block.cost_fuel_printed) for block in around.trainings] == [(None, None)] * 2


def test_a_block_sees_itself_as_the_only_one(around):
    fen, moor = each_block(around)
    assert (fen.mission.file.training.area.name, moor.mission.file.training.area.name) == ("Meridian", "Moor")
    assert near(moor.clock.training_end, z("14:15:20")) and moor.training.id == "MOOR"
    assert moor.fuel.joker == max(ship.blocks[1].joker.figure for ship in around.fuel.ships)
    (sun,) = [sun for sun in moor.suns if sun.used_for == "training"]
    assert near(sun.at, z("14:09:20"))  # between 14:03:20 and 14:15:20
    assert len([sun for sun in around.suns if sun.used_for == "training"]) == 2


RULES = ("area-entry", "area-exit", "set-ups", "joker", "area-visibility", "area-cloud", "blocks-overlap")


def test_each_block_is_judged_under_its_own_id_name_and_place(around):
    gates = {gate.id: gate for gate in around.gates}
    for block, number in (("FEN", 1), ("MOOR", 5)):
        for rule in RULES:
            gate = gates[f"{block}/{rule}"]
            assert gate.rule == rule and f"({block})" in gate.title
        assert gates[f"{block}/area-entry"].cause[:3] == ("flow", number, "training")
    assert len(gates) == len(around.gates)
    assert gates["MOOR/area-exit"].margin == pytest.approx(160.0, abs=0.05)  # 14:17:20 to 14:20
    # 13:11:00 and 13:38:30 in FEN, reserved from 13:05 to 13:45
    assert (gates["FEN/area-entry"].margin, gates["FEN/area-exit"].margin) == (
        pytest.approx(360.0, abs=0.05),
        pytest.approx(390.0, abs=0.05),
    )


def test_a_gate_of_one_block_fails_alone():
    late = planned(AROUND.replace("reserved: 1400 to 1420", "reserved: 1404 to 1420"))
    failing = {gate.id for gate in late.gates if gate.verdict == "FAIL" and gate.rule == "area-entry"}
    assert failing == {"MOOR/area-entry"}


def test_each_open_block_leaves_every_later_one_its_minimum(before):
    """The hold must be reached 4 min and a little before 13:57:51, EXIT left 8 min sooner. After the warm-up,
    from 13:15:30, 30 min 19 s are left for 10 n + 6 + 2 + 5 m + 2 min: n = 1 leaves MOOR its one, n = 2 would
    not."""
    assert before.setups["FEN"] == 1 and before.setups["MOOR"] >= 1
    fen, moor = before.clock.blocks
    # from the end of FEN 6 min to MOOR, 2 min of warm-up, one set-up of 5, and 2 min to leave; then 8 min
    reach = before.event.hold.leave - timedelta(seconds=before.event.hold.shortest_s)
    assert near(fen.end_by, reach - timedelta(minutes=6 + 2 + 5 + 2 + 8))
    assert near(moor.end_by, reach - timedelta(minutes=2 + 8))


@pytest.mark.parametrize(
    ("until", "setups", "end_by"),
    [
        # MOOR is left at 13:45:30 after its two, its one from an END BY of FEN long before 13:50
        ("1350", {"FEN": 1, "MOOR": 2}, None),
        # its second would end at 13:45:30; 15 min before 13:44
        ("1344", {"FEN": 1, "MOOR": 1}, "13:29:00"),
    ],
)
def test_end_by_leaves_a_later_block_before_its_own_reservation_ends(until, setups, end_by):
    """From the end of FEN 6 min to MOOR, 2 min of warm-up, one set-up of 5, and 2 min to leave."""
    plan = planned(BEFORE.replace("reserved: 1300 to 1420", f"reserved: 1300 to {until}"))
    assert plan.setups == setups
    reach = plan.event.hold.leave - timedelta(seconds=plan.event.hold.shortest_s)
    by_hold = reach - timedelta(minutes=6 + 2 + 5 + 2 + 8)
    assert near(plan.clock.blocks[0].end_by, by_hold if end_by is None else z(end_by))


def test_a_hold_takes_up_what_a_later_block_leaves_out(before):
    """501 s of hold were left; FEN flies 10 min less, and MOOR 2 + 5 + 2 with one set-up: more than the 540 s
    planned."""
    left_s = 501 + 600 - 540
    fen = before.fuel.ships[0].blocks[0].joker
    onward = 90 + 90 + 100 + 200 + 60 + 480 * 1750 / 3600 + max(540, left_s) * 1200 / 3600 + PASS_LB
    home = 100 + 300 * 1700 / 3600 + 180  # the egress ends 30 nm north of the base
    assert fen.exact_lb == pytest.approx(onward + home + 800 + 100, abs=0.05)


def test_training_after_the_pass_alone_begins_when_the_flight_is_together():
    plan = planned(blocks_flow("departure", "transit", "event", "to", "MOOR", "recovery"))
    assert next(phase.kind for phase in plan.clock.phases if phase.piece == "MOOR") == "warm-up"
    assert near(plan.clock.area_entry, z("14:03:20"))
    assert [gate.id for gate in plan.gates if gate.rule == "joker"] == ["MOOR/joker"]
    assert not any(gate.verdict == "FAIL" for gate in plan.gates if gate.rule == "fuel-order")


@pytest.mark.parametrize(
    ("of", "setups"),
    [("MOOR", {"FEN": 2, "MOOR": 1}), ("FEN", {"FEN": 1, "MOOR": 2}), (None, {"FEN": 1, "MOOR": 2})],
)
def test_another_number_of_set_ups_is_of_one_block(around, of, setups):
    flown, _ = fly(with_setups(around.mission, 1, of=of), tables=False)
    assert flown.setups == setups


def test_a_later_t_leaves_the_blocks_before_it_and_settles_those_after_it_anew(around):
    """5 min later MOOR is entered at 14:08:20: 14:10:20 and one set-up; a second would end at 14:20:20."""
    later = around.event.true_time + timedelta(minutes=5)
    moved = at_true_time(around.mission, later, takeoff=around.clock.takeoff, setups=around.setups)
    flown, _ = fly(moved, tables=False)
    assert flown.setups == {"FEN": 2, "MOOR": 1}


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("id: MOOR", "id: FEN", "FEN is the id of two sections"),
        ("      id: MOOR\n", "", "there are 2 of `training`, and this one has no `id`"),
    ],
)
def test_two_blocks_need_an_id_each(old, new, message):
    _, found = load_mission_text(AROUND.replace(old, new), "flow.yaml")
    assert [d.message for d in found if d.severity == "error"] == [message]


def test_a_longer_hold_is_given_by_open_set_ups_behind_it():
    """MOOR's set-ups of 1 min are as many as fuel allows: less than one of them is left, 200 lb or at 1200
    lb/h 600 s of hold. The hold may take all but the one that must be, and what was left; 60 lb of rounding
    are 180 s."""
    plan = planned(AROUND.replace("each: 5 min, fuel_each: 200 lb", "each: 1 min, fuel_each: 200 lb"))
    moor = plan.trainings[1]
    assert moor.bound == "fuel" and moor.setups_flown > 2
    least = min(ship.holds[0].longest_s for ship in plan.fuel.ships)
    given_s = least - plan.passes[0].hold.wait_s - (moor.setups_flown - 1) * 600
    assert -1.0 <= given_s <= 600 + 180
