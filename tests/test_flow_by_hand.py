"""A flow of three passes over two events, worked out on paper.

The missions of tests/flow_texts.py lie on one meridian in still, standard air. Every figure here is plain
arithmetic from the numbers of the file; positions on the meridian are geographiclib's.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from math import atan, degrees

import pytest

from briefgen.commands.report import time_rows
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.event.onward import continue_to
from briefgen.plan.one_pass import each_pass
from briefgen.whatif.answers import what_if
from tests.flow_texts import BY_HAND, as_flow, three_passes

PASSES = ("PARK", "PARK/pass-2", "HILL")


def z(clock: str) -> datetime:
    return datetime.fromisoformat(f"2027-05-12T{clock}").replace(tzinfo=UTC)


def planned(text: str):
    mission, found = load_mission_text(text, "flow.yaml")
    assert mission is not None, [(d.message, d.span) for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


@pytest.fixture(scope="module")
def plan():
    return planned(three_passes())


# Over CENTRE at the end of SONG, 13:57:30 + 150 s. 10 nm of egress at 360 kt take 100 s. Back to the
# hold, 22 nm straight behind: a turn at 300 kt and 30 degrees of bank has a radius of V squared over g
# tan(bank), 2.2715 nm, and turns 2.10195 degrees a second. It goes on until the heading leads to the
# hold, 180 degrees and twice the angle whose tangent is radius over 22 nm: 191.79 degrees in 91.24 s; the
# tangent from there is 22 nm long, 264 s. The IP is passed 120 - 15 s before T, the hold left 2 nm or 24
# s before that. From the second egress 13 nm lead to the hold of HILL: 156 s.
TURN_S = (180 + 2 * degrees(atan(2.2715303 / 22))) / 2.1019526
TIMES = [
    ("PARK/hold", "13:49:30", "13:57:51"),
    ("PARK/run-in", "13:58:15", "13:58:50"),  # 35 s at 300 kt, 50 s up to 400 kt, 20 s at it: 10 nm in 105 s
    ("PARK/push-up", "13:58:50", "14:00:00"),
    ("PARK/egress", "14:00:00", "14:01:40"),
    ("PARK/pass-2/transit-1", "14:01:40", "14:07:35.24"),
    ("PARK/pass-2/hold", "14:07:35.24", "14:17:51"),
    ("PARK/pass-2/push-up", "14:18:50", "14:20:00"),
    ("HILL/transit-1", "14:21:40", "14:24:16"),
    ("HILL/hold", "14:24:16", "14:37:51"),
    ("HILL/push-up", "14:38:50", "14:40:00"),
    ("HILL/egress", "14:40:00", "14:41:40"),
    ("recovery-1", "14:41:40", "14:42:30"),  # the egress ends 5 nm beyond the base
    ("approach", "14:42:30", "14:48:30"),
]


@pytest.mark.parametrize(("id", "start", "end"), TIMES)
def test_each_phase_of_each_pass_is_timed(plan, id, start, end):
    (phase,) = [phase for phase in plan.clock.phases if phase.id == id]
    assert abs(phase.start - z(start)) < timedelta(seconds=0.05)
    assert abs(phase.end - z(end)) < timedelta(seconds=0.05)


def test_each_pass_has_its_own_time(plan):
    assert [p.section.id for p in plan.passes] == ["PARK", "PARK/pass-2", "HILL"]
    assert [p.true_time for p in plan.passes] == [z("14:00:00"), z("14:20:00"), z("14:40:00")]
    assert [event.id for event in plan.mission.events] == ["PARK", "HILL"]


@pytest.mark.parametrize(
    ("typed", "first_s"),
    [
        ("  takeoff: 130000 Z\n", 501 - 540),  # 13:49:30 to 13:57:51
        ("", None),  # worked back from the first planned hold: nothing is left to differ
    ],
    ids=["typed", "worked back"],
)
def test_each_pass_tells_by_how_much_its_hold_differs_from_the_planned(typed, first_s):
    """540 s are planned over PARK and HILL, nothing before the second pass; HILL's 14:24:16 to 14:37:51 are
    815 s."""
    text = three_passes()
    assert "  takeoff: 130000 Z\n" in text
    seen = each_pass(planned(text.replace("  takeoff: 130000 Z\n", typed)))
    found = [each.clock.hold_difference_s for each in seen]
    assert found == [pytest.approx(s, abs=0.05) if s is not None else None for s in (first_s, None, 275)]


# lb/h: transit 1750, hold 1200, run-in 2400, push-up 4800, recovery 1700
PASS_LB = (24 + 35) * 2400 / 3600 + 70 * 4800 / 3600 + 100 * 1700 / 3600
WAYS_LB = (480 + 264 + TURN_S + 156) * 1750 / 3600
# The first hold is planned for 540 s and gets 501. PARK may slip by 600 s, its second pass slips with it and
# keeps its 707 s less the turn; HILL may slip by 120 s, so its 815 s shrink by 480 to 335, more than the 240
# that must be.
HOLDS_LB = (540 + 600 + 707 - TURN_S + 815 - 480) * 1200 / 3600
HOME_LB = 100 + 50 * 1700 / 3600 + 180


def test_joker_carries_the_dearest_slips_that_can_follow_one_another(plan):
    """Leave and rejoin 90 lb each; 800 lb of normal landing, more than 30 min at 1200 lb/h; a pad of 100."""
    one = plan.fuel.ships[0]
    trip = 90 + 90 + WAYS_LB + HOLDS_LB + 3 * PASS_LB + HOME_LB
    assert one.joker.exact_lb == pytest.approx(trip + 800 + 100, abs=0.05)


def test_joker_carries_an_accepted_slip_that_loses_the_next_pass():
    """An hour late is more than HILL's wait can give: both passes over PARK are flown an hour later and HILL
    is dropped. From the end of the second egress it is 13 nm to HILLHOLD, 17 more home: 300 s at 360 kt."""
    dropped = planned(three_passes().replace("late: 10 min", "late: 60 min")).fuel.ships[0]
    holds = (540 + 3600 + 707 - TURN_S) * 1200 / 3600
    ways = (480 + 264 + TURN_S) * 1750 / 3600
    home = 100 + 300 * 1700 / 3600 + 180
    trip = 90 + 90 + ways + holds + 2 * PASS_LB + home
    assert dropped.joker.exact_lb == pytest.approx(trip + 800 + 100, abs=0.05)
    assert dropped.joker.title == "Joker at the end of training, HILL dropped"


def test_each_pass_has_a_bingo_from_each_of_its_points(plan):
    """From the far end of the second egress 5 nm home; from HILLHOLD, 17 nm north of the base, 170 s."""
    sums = {
        bingo.point.id: bingo.sum.exact_lb for bingo in plan.fuel.ships[0].bingos if bingo.piece == "HILL"
    }
    assert sums["HILL/EGRESS"] == pytest.approx(HOME_LB + 800, abs=0.05)
    assert sums["HILLHOLD"] == pytest.approx(100 + 170 * 1700 / 3600 + 180 + 800, abs=0.05)


def test_each_pass_has_the_highest_bingo_of_the_ships_and_the_earliest_time_to_go_home(plan):
    """Ship 2 burns a twentieth more than ship 1."""
    for seen in each_pass(plan):
        id = seen.passes[0].section.id
        one, two = (max(b.sum.figure for b in ship.bingos if b.piece == id) for ship in plan.fuel.ships)
        later, sooner = (next(h.go_home for h in ship.holds if h.piece == id) for ship in plan.fuel.ships)
        assert one < two and sooner < later
        assert (seen.fuel.bingo_event, seen.fuel.go_home) == (two, sooner)


def test_fuel_on_landing_is_what_all_that_is_flown_leaves(plan):
    flown = 300 + (300 * 3600 + 360 * 1750 + 30 * 1750) / 3600 + 150 + 2 * 400 + 90 + 90
    flown += WAYS_LB + (501 + 707 - TURN_S + 815) * 1200 / 3600 + 3 * PASS_LB + HOME_LB
    assert plan.fuel.ships[0].landing_predicted_exact_lb == pytest.approx(5000 - flown, abs=0.05)


# Back from the first egress over the hold, 264 s and the turn, then the second pass at its own wait: its T
# follows. HILL may come 120 s late. From the second egress only HILL is left.
TO_HILL_LB = 156 * 1750 / 3600 + (815 + 120) * 1200 / 3600 + PASS_LB + HOME_LB + 800
CONTINUE_LB = [
    ("PARK", (264 + TURN_S) * 1750 / 3600 + (707 - TURN_S) * 1200 / 3600 + PASS_LB + TO_HILL_LB),
    ("PARK/pass-2", TO_HILL_LB),
]


def test_the_fuel_to_continue_is_what_all_after_the_egress_takes_without_the_pad(plan):
    found = [(each.piece, each.sum.exact_lb) for each in plan.fuel.ships[0].onward]
    assert found == [(id, pytest.approx(lb, abs=0.05)) for id, lb in CONTINUE_LB]


def test_the_flight_continues_as_long_as_the_shortest_hold_is_left(plan):
    """HILL's wait of 815 s can go until 4 min are left; the second pass moves with the first."""
    first, second, last = (continue_to(plan, pass_) for pass_ in plan.passes)
    assert last is None and first.latest is None and first.to.id == "PARK/pass-2"
    assert abs(second.latest - z("14:21:40") - timedelta(seconds=815 - 240)) < timedelta(seconds=2)


# From the first egress, 14:01:40, back over ENTRY, 20 nm north of CENTRE and 10 of the IP: the turn of
# TURN_S is shorter by the longer way, then 10 nm at 300 kt lead straight to the IP, 105 s before T. The first
# whole second that it can make, and no wait at the IP.
EARLIEST = (
    three_passes()
    .replace("after: 20 min", "after: earliest")
    .replace("        hold: {at: HOLD}\n", "")
    .replace(
        "way: [{to: HOLD,",
        "way: [{to: ENTRY, level: 2000 ft MSL, speed: 300 KTAS}, {to: IP,",
    )
)


def test_the_earliest_t_is_the_first_second_that_a_pass_can_make():
    plan = planned(EARLIEST)
    _, second, third = plan.passes
    (way,) = [phase for phase in plan.clock.phases if phase.id == "PARK/pass-2/transit-2"]
    ready = way.start + timedelta(seconds=way.leg.time_s + 105)
    assert timedelta(0) <= second.true_time - ready < timedelta(seconds=1)
    assert second.true_time.microsecond == 0 and third.true_time == z("14:40:00")
    verdicts = {gate.id: gate.verdict for gate in plan.gates if gate.rule == "t-reachable"}
    assert verdicts["PARK/pass-2/t-reachable"] == "PASS"


def test_an_earliest_t_is_told_once_it_is_planned_and_with_it_what_follows():
    """Read alone it is not known yet; in ``check`` it reads as on the cards and in the gates."""
    again = "      - after: 9 min\n        way: [{to: HOLD, level: 2000 ft MSL, speed: 300 KTAS}]\n"
    again += "        hold: {at: HOLD}\n        then: next pass\n"
    text = EARLIEST.replace("  - transit: [{to: HILLHOLD", again + "  - transit: [{to: HILLHOLD", 1)
    read, _ = load_mission_text(text, "flow.yaml")
    unsettled = [(time.path[-1], time.text) for time in read.every_typed_time if not time.settled]
    assert unsettled == [("after", "earliest"), ("after", "9 min")]
    plan = planned(text)
    told = {row[1]: row[2] for row in time_rows(plan.mission.every_typed_time)}
    assert told["earliest"] == f"{plan.passes[1].true_time:%F %T} Z"
    assert told["9 min"] == f"{plan.passes[2].true_time:%F %T} Z"


def test_what_follows_an_earliest_pass_follows_it():
    again = "      - after: 9 min\n        way: [{to: HOLD, level: 2000 ft MSL, speed: 300 KTAS}]\n"
    again += "        hold: {at: HOLD}\n        then: next pass\n"
    first, second, third, _ = planned(
        EARLIEST.replace("  - transit: [{to: HILLHOLD", again + "  - transit: [{to: HILLHOLD", 1)
    ).passes
    assert first.true_time < second.true_time and third.true_time - second.true_time == timedelta(minutes=9)


def test_a_pass_with_a_hold_has_no_earliest_t():
    _, found = load_mission_text(three_passes().replace("after: 20 min", "after: earliest"), "flow.yaml")
    assert [d.code for d in found if d.severity == "error"] == ["earliest"]


def test_the_last_pass_of_a_flow_without_a_recovery_is_flown_too():
    """The way home is then not known, and the last piece still a pass with its hold."""
    text = three_passes()
    *_, last = planned(text[: text.index("  - recovery:")]).passes
    assert last.hold is not None and last.hold.arrival == pytest.approx(
        z("14:24:16"), abs=timedelta(seconds=0.05)
    )


def test_a_flow_of_one_pass_means_what_the_usual_sections_mean():
    usual, flow = planned(BY_HAND), planned(as_flow(BY_HAND))
    for one in (usual, flow):
        assert one.notes == usual.notes and len(one.legs) == len(usual.legs)
    assert [(p.id, p.start, p.end) for p in usual.clock.phases] == [
        (p.id, p.start, p.end) for p in flow.clock.phases
    ]
    assert _rows(usual) == _rows(flow)
    assert [(gate.id, gate.verdict, gate.value) for gate in usual.gates] == [
        (gate.id, gate.verdict, gate.value) for gate in flow.gates
    ]


def _rows(plan):
    return [
        (row.phase_id, row.remaining_printed, row.required_printed)
        for ship in plan.fuel.ships
        for row in ship.rows
    ]


# 575 s of HILL's wait of 815 can go until 4 min are left. But on the way there no laps give some waits: a
# lap is two half turns and two legs of 20 to 120 s, so one takes 171.27 + 240 = 411.27 s at most, two take
# 342.54 + 80 = 422.54 s at least. Speed on the 156 s to the hold takes up 3 s at either end: from 815 -
# 419.54 = 395.46 s of slip on no wait can be flown, until 815 - 414.27 = 400.73 s.
@pytest.mark.parametrize(
    ("late", "gives_s", "verdict"),
    [
        ("10 min", 815 - (4 * 180 / 2.1019526 + 4 * 20 - 3), "CAUTION"),
        ("7 min", 815 - (4 * 180 / 2.1019526 + 4 * 20 - 3), "CAUTION"),
        ("390 s", 815 - 240, "PASS"),  # the waits that no laps give lie beyond it
    ],
)
def test_a_late_slip_is_held_against_the_wait_of_the_next_pass(late, gives_s, verdict):
    plan = planned(three_passes().replace("late: 10 min", f"late: {late}"))
    (gate,) = [gate for gate in plan.gates if gate.rule == "slip-next"]
    assert gate.id == "PARK/slip-next" and gate.verdict == verdict
    assert gate.limit == pytest.approx(gives_s, abs=0.05)


def test_each_pass_is_judged_under_its_own_id_and_name(plan):
    """A pass whose T follows the one before slips with it, hangs on no cue, and has no slip of its own; who
    comes over the event again is asked once."""
    own = {id: {gate.rule for gate in plan.gates if gate.id == f"{id}/{gate.rule}"} for id in PASSES}
    of_next = {"slip-next", "slip-next-early"}
    of_slips = {f"slip-{of}" for of in ("late", "early", "spread-late", "spread-early", "holes")} | of_next
    of_its_cue = {"cue-first", "authority-early", "authority-late"}
    assert own["PARK"] - own["PARK/pass-2"] == of_slips | of_its_cue | {"over-again"}
    assert own["PARK"] - own["HILL"] == of_next and own["HILL"] <= own["PARK"]
    assert len({gate.id for gate in plan.gates}) == len(plan.gates)
    assert all(
        f"({name})" in gate.title
        for id, name in zip(PASSES, ("PARK", "PARK pass 2", "HILL"), strict=True)
        for gate in plan.gates
        if gate.id.startswith(f"{id}/pass-h")
    )


def test_a_waiver_for_a_rule_is_for_the_one_pass_that_it_judged_and_for_none_where_there_are_several():
    waiver = "waivers:\n  - {rule: %s, reference: W-1, authority: Wing, valid: 2027-05-12 to 2027-05-12}\n"
    for rule, waived in (("PARK/pass-2/t-reachable", False), ("hold-minimum", False)):
        plan = planned(three_passes() + waiver % rule)
        assert any(gate.verdict == "WAIVED" for gate in plan.gates) == waived


def test_what_ifs_of_a_flow_of_one_pass_are_those_of_the_usual_sections():
    """A change of the mission reaches the sections of a flow: no training, fewer ships, another T."""
    usual, flow = (what_if(planned(text)) for text in (BY_HAND, as_flow(BY_HAND)))
    assert [(a.id, a.fate, a.time_kept, a.problem) for a in usual.answers] == [
        (a.id, a.fate, a.time_kept, a.problem) for a in flow.answers
    ]
