"""Which slips of T can be given at all, and where the holes lie. Expected values by hand from no-wind
racetracks; the rulings on a slip told in time agree."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time
from math import floor

import pytest

from briefgen.brief.wording.by_speed import told_pairs
from briefgen.mission.schema.event import AcceptSlip
from briefgen.plan.build import make_plan
from briefgen.plan.event.judge import Ruling, flying, flying_as_briefed, judge, told
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.slip_reach import accepted_holes_s, holes_s, last_within_s, within
from briefgen.plan.event.slips import slip_table
from briefgen.plan.event.speed_alone import authority, read_back_s
from briefgen.plan.event.waits import holes, latest_t, lost, no_call
from tests.planned import REPOSITORY, load_mission, plan_of

BY_HAND, NO_HOLD, LANTERN = (
    "tests/cases/ok-by-hand.yaml",
    "tests/cases/slip-without-hold.yaml",
    "missions/lantern-fair.yaml",
)


def planned(name: str, *edits: tuple[str, str]):
    mission, found = load_mission(REPOSITORY / name, edits)
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


def slip(*, early: float = 0.0, late: float = 0.0) -> AcceptSlip:
    return AcceptSlip(early=f"{early:g} s", late=f"{late:g} s")


def gate(plan, id: str):
    return next((g for g in plan.gates if g.id == id), None)


# A lap of the hold worked by hand is two half circles and two legs of x, without wind: the rate of turn at 30
# degrees of bank and 300 KTAS is 1092.2067 tan 30 / 300 = 2.10195 deg/s, so two half circles take 171.27 s.
# With legs of 20 to 120 s one lap takes 211.27 to 411.27 s, two 422.54 to 822.54 s. The wait is 501.0 s; T
# 14:00:00 Z: 89.73 to 78.46 s early lie between one lap and two.
def test_holes_between_one_lap_and_two():
    accepted = slip(early=120.0, late=60.0)
    plan = planned(BY_HAND)
    assert accepted_holes_s(plan.event, accepted, 0.0) == ((-89, -79),)
    assert accepted_holes_s(plan.event, slip(early=78.0, late=60.0), 0.0) == ()
    assert accepted_holes_s(plan.event, slip(early=85.0, late=60.0), 0.0) == ((-85, -79),)
    assert accepted_holes_s(plan.event, None, 0.0) == ()


def test_a_hole_below_the_dead_band_is_never_called():
    """A slip of the dead-band itself is called, one below it is not."""
    event = planned(BY_HAND).event
    assert accepted_holes_s(event, slip(early=120.0), 85.0) == ((-89, -85),)
    assert accepted_holes_s(event, slip(early=120.0), 90.0) == ()


def test_the_gate_names_the_stretches():
    found = gate(planned(BY_HAND, ("event.accept_slip", "{early: 120 s, late: 60 s}")), "slip-holes")
    assert (found.verdict, found.value) == ("CAUTION", "no T 13:58:31 to 13:58:41 Z")
    assert (
        gate(planned(BY_HAND, ("event.accept_slip", "{early: 78 s, late: 60 s}")), "slip-holes").verdict
        == "PASS"
    )
    assert gate(planned(BY_HAND), "slip-holes") is None  # nothing is accepted


def test_the_latest_t_is_one_that_can_be_flown():
    """Planned for 400 s (take-off solved), a lap is at its longest 11.27 s later and two begin 22.54 s later;
    an acceleration that isn't given keeps speed out of it. Accepting 15 s, the last T is the one of the
    longest lap, accepting 30 s it is 30 s."""
    edits = (
        ("ground_ops.takeoff", ""),
        ("event.pass.hold.planned", "400 s"),
        ("event.pass.late_bias", ""),
        ("event.pass.run_in.formation_acceleration", ""),
    )
    plan = planned(BY_HAND, *edits, ("event.accept_slip", "{early: 0 s, late: 15 s}"))
    wait_s = plan.event.hold.wait_s  # up to a second more than planned: the take-off is a whole second
    assert 400.0 <= wait_s < 401.0
    last = latest_t(plan)
    assert last.short == "laps" and (last.latest_t - plan.event.true_time).total_seconds() == pytest.approx(
        411.269 - wait_s, abs=0.01
    )
    assert [(at - plan.event.true_time).total_seconds() for at in holes(plan)[0]] == [
        floor(411.269 - wait_s) + 1.0,
        15.0,
    ]
    longer = planned(BY_HAND, *edits, ("event.accept_slip", "{early: 0 s, late: 30 s}"))
    assert latest_t(longer).short == "slip accepted" and len(holes(longer)) == 1


# From the IP to the field are 4.00 nm of latitude and 3.00 nm of longitude (4' cos 41.52 = 2.995), 5.00 nm.
# At 95 KGS 189.3 s; slowed at 1 kt/s the first 15 s cover 87.5 x 15 / 3600 = 0.365 nm, the rest at 80 KGS
# takes 208.4 s: 34 s later at the most. T 20:00:00 Z, 3 min are accepted.
def test_without_a_hold_the_latest_t_is_what_speed_gives():
    plan = plan_of(NO_HOLD)
    last = latest_t(plan)
    assert abs((last.latest_t - datetime(2027, 4, 17, 20, 0, 34, tzinfo=UTC)).total_seconds()) < 0.6
    assert last.short == "speed"
    found = gate(plan, "slip-late")
    assert (found.verdict, found.value) == ("FAIL", 180.0) and found.limit == pytest.approx(34.1, abs=0.3)
    # no seconds early are accepted
    assert gate(plan, "slip-holes") is None and gate(plan, "slip-early") is None
    assert gate(planned(NO_HOLD, ("event.accept_slip.late", "33 s")), "slip-late").verdict == "PASS"


# The same run-in, told by a cue: the horn at 14:57:30 event, 150 s before T, and a relay of 10 s. A slip of s
# is read back at 19:57:40 Z + s, when 140 - s seconds, (140 - s) / 37.895 nm, are left at 95 KGS; so also a
# horn that is early, with s below 0.
# Late: the first 15 s, at 87.5 KGS as a mean, cover 0.3646 nm and lose 1.18 s; each nm after it loses
# 3600 (1/80 - 1/95) = 7.105 s. Early, up to 110 KGS: the first 15 s, at 102.5, cover 0.4271 nm and gain
# 1.18 s; each nm after it gains 3600 (1/95 - 1/110) = 5.167 s.
HORN = (
    ("event.script", "{HORN: {says: The horn sounds, time: '14:57:30 event', lasts: 150 s, spread: 2 s}}"),
    ("event.pass.time", "end of HORN"),
    ("limits.pass_maximum_speed", "110 KGS"),
    ("event.accept_slip", "{early: 0 s, late: 20 s}"),
)


@pytest.mark.parametrize(
    ("slip_s", "read_back", "left_nm", "gives_s", "met"),
    [
        (10, "19:57:50", 3.430, 22.97, True),
        (20, "19:58:00", 3.167, 21.09, True),
        (21, "19:58:01", 3.140, 20.91, False),
        (30, "19:58:10", 2.903, 19.22, False),
        (-15, "19:57:25", 4.090, 20.11, True),
        (-21, "19:57:19", 4.249, 20.93, False),
        (-20, "19:57:20", 4.222, 20.79, True),
        (-25, "19:57:15", 4.354, 21.47, False),
    ],
)
def test_without_a_hold_a_slip_counts_from_the_cue_as_heard(slip_s, read_back, left_nm, gives_s, met):
    """As ``briefgen retime`` rules on it at that moment, which counts the tolerance besides."""
    event = planned(NO_HOLD, *HORN).event
    told = datetime.combine(event.true_time.date(), time.fromisoformat(read_back), UTC)
    assert read_back_s(event.chain, slip_s) == pytest.approx((told - event.ip_time).total_seconds(), abs=1e-6)
    left = authority(event.chain, told, "")
    assert (event.true_time - told).total_seconds() / 3600 * 95 == pytest.approx(left_nm, abs=0.001)
    assert (left.early_s if slip_s < 0 else left.late_s) == pytest.approx(gives_s, abs=0.02)
    assert within(event, slip_s) is met
    now = replace(flying_as_briefed(motion_of(event)), tolerance_s=0.0)
    ruled = judge(now, slip_s, read_back_s(event.chain, slip_s)).kind
    assert ruled == (("fast" if slip_s < 0 else "slow") if met else "unable")


def test_without_a_hold_gate_and_latest_t_count_from_the_cue_as_heard():
    """24.84 s / 1.1875 = 20.92 s late: what speed gives is 24.84 s for no slip, and each second of slip takes
    7.105 / 37.895 = 0.1875 s of it. At the IP it would be 34 s."""
    accepted = planned(NO_HOLD, *HORN, ("event.accept_slip.late", "30 s"))
    found = gate(accepted, "slip-late")
    assert found.verdict == "FAIL" and found.limit == pytest.approx(20.92, abs=0.02)
    last_s = (latest_t(accepted).latest_t - accepted.event.true_time).total_seconds()
    assert last_s == pytest.approx(20.92, abs=0.02) and latest_t(accepted).short == "speed"
    assert gate(planned(NO_HOLD, *HORN), "slip-late").verdict == "PASS"


def test_no_slip_is_told_by_speed_after_the_abort_only_moment():
    """Only the abort words after T-125 s: the horn of a slip of 15 s is read back at 19:57:55 Z, T-125 s."""
    event = planned(NO_HOLD, *HORN, ("event.pass.abort_only_after", "T-125 s")).event
    assert within(event, 14.99) and not within(event, 15.01)


# The horn is read back 140 s before T, also of one that is early: its own T is so much earlier. Speed gives
# up to 20.5 s earlier (see HORN).
@pytest.mark.parametrize(("after", "met"), [("T-140 s", True), ("T-141 s", False)])
def test_an_early_cue_is_told_before_the_abort_only_moment_of_its_own_t(after, met):
    event = planned(NO_HOLD, *HORN, ("event.pass.abort_only_after", after)).event
    assert within(event, -15) is met


# T 20:00:00. 10 s earlier speed gives until 2.13 nm, 81 s, are left, 10 s later until 1.61 nm, 61 s, are (see
# HORN): both after the abort-only moment, which an earlier T brings forward by as much.
def test_a_change_by_speed_is_told_until_the_abort_only_moment_of_its_own_t():
    edits = (("event.pass.abort_only_after", "T-90 s"), ("event.accept_slip.early", "20 s"))
    plan = planned(NO_HOLD, *HORN, *edits)
    rows = [told for pair in told_pairs(plan, plan.event) for told in pair if told.until]
    found = {(told.words, f"{told.until:%H:%M:%S}") for told in rows}
    assert {("FAST 5 s", "19:58:25"), ("FAST 10 s", "19:58:20"), ("SLOW 10 s", "19:58:30")} <= found


def test_without_a_hold_and_without_its_speeds_nobody_knows_the_latest_t():
    plan = planned(NO_HOLD, ("event.pass.run_in.formation_acceleration", ""))
    found = gate(plan, "slip-late")
    assert latest_t(plan) is None
    assert (found.verdict, found.settled_by) == ("NOT CHECKED", ("event", "pass", "run_in", "acceleration"))


@pytest.mark.parametrize("name", [BY_HAND, LANTERN, NO_HOLD, "missions/regatta.yaml", "missions/start.yaml"])
def test_the_rulings_on_a_slip_told_in_time_agree(name):
    """Every whole second from two minutes early to five late: a change of the hold read back before anything
    of it is flown, one by speed once the cue is heard, early or late by the slip."""
    plan = plan_of(name)
    now = flying(motion_of(plan.event), deadband_s=0.0, abort_only_s=None)
    unable = {s for first, last in holes_s(plan.event.reach_s, -120, 300) for s in range(first, last + 1)}
    for slip in range(-120, 301, 7):
        ruled = judge(now, float(slip), 0.0).kind
        if ruled in ("fast", "slow"):
            heard_s = max(read_back_s(plan.event.chain, float(slip)), 0.0)
            ruled = judge(now, float(slip), now.leave_s + heard_s).kind
        assert (ruled == "unable") == (slip in unable), (slip, ruled)


ACROSS = (
    "weather.winds.0.wind",
    "270T/100kt",
)  # With 100 kt across 300 KTAS at 30 degrees of bank no lap can be flown.
ACROSS = (("weather.winds.1.wind", "270T/100kt"), ("weather.winds.2.wind", "270T/100kt"))


@pytest.mark.parametrize("at_leave_hold_s", [-500.0, 0.0, 0.1, 60.0])
def test_nothing_is_told_by_speed_from_a_leave_hold_that_cannot_be_met(at_leave_hold_s):
    """Speed from leave-hold would give 30 s, but the flight isn't there in time for T as it stands."""
    plan = planned(BY_HAND, *ACROSS)
    assert not plan.event.hold.flyable and plan.event.authority[0].late_s > 30.0
    rows = [row for row in plan.event.slips if not no_call(plan, row.slip_s)]
    assert all(lost(plan, row)[0] and row.still == () for row in rows)
    assert lost(plan, next(row for row in rows if row.slip_s == 30.0))[0] == "UNABLE"
    now = flying_as_briefed(motion_of(plan.event))
    ruled = judge(now, 30.0, now.leave_s + at_leave_hold_s)
    assert (ruled.kind, ruled.reason) == ("unable", "the hold as planned can't be flown")
    # a flight that was told to hold, and has accepted a time, leaves the hold for it
    accepted = replace(now, flyable=True)
    assert judge(accepted, 30.0, now.leave_s + 0.1).kind == "slow"


@pytest.mark.parametrize(
    ("maximum", "why", "last_s"),
    [("", "and none over 120 min is worked out", 699), ("115 min", "allowed 115 min", 399)],
)
def test_rows_and_rulings_refuse_the_same_long_hold(maximum, why, last_s):
    """The wait of 501 s with the take-off an hour and 40 min earlier is 6501 s. A slip makes it 113 min 21 s,
    118 min 21 s and 123 min 21 s: what is longer than 115 min, or than two hours, is refused by both; 6900 s
    or 7200 s are not, and a second more is."""
    plan = planned(BY_HAND, ("ground_ops.takeoff", "112000 Z"), ("event.pass.hold.maximum", maximum))
    motion = motion_of(plan.event)
    now = flying(motion, deadband_s=0.0, abort_only_s=None)
    rows = slip_table(motion.chain, motion.hold, motion.shape, 0.0, (300.0, 600.0, 900.0))
    assert [row.met for row in rows] == [True, not maximum, False]
    assert [judge(now, row.slip_s, 0.0).kind == "new time" for row in rows] == [row.met for row in rows]
    assert why in rows[-1].reason
    edge = slip_table(motion.chain, motion.hold, motion.shape, 0.0, (last_s, last_s + 1))
    assert [row.met for row in edge] == [True, False] and why in edge[1].reason


def test_holes_and_ends_of_spans():
    spans = ((-30.4, 12.2), (40.0, 90.0))
    assert list(holes_s(spans, -33, 95)) == [(-33, -31), (13, 39), (91, 95)]
    assert (
        last_within_s(spans, 39.0) == 12.2
        and last_within_s(spans, 40.0) == 40.0
        and last_within_s(spans, -40.0) is None
    )


# 5.0 nm at 95 kt take 189 s; 25 s less is 110 kt, and half a knot more for 15 s of getting there at 1 kt/s
@pytest.mark.parametrize(
    ("push_up_to", "verdict"), [("", "NOT CHECKED"), ("109", "NOT CHECKED"), ("112", "PASS")]
)
def test_an_early_slip_flown_faster_than_any_fuel_flow_is_known_for_is_not_checked(push_up_to, verdict):
    push = (("event.pass.push_up_to", f"{push_up_to} KGS"),) if push_up_to else ()
    plan = planned(NO_HOLD, ("event.accept_slip.early", "25 s"), *push)
    gate = next(gate for gate in plan.gates if gate.rule == "slip-early")
    assert gate.verdict == verdict
    assert gate.settled_by == (None if verdict == "PASS" else ("event", "pass", "push_up_to"))


@pytest.mark.parametrize("changes_s", [(600,), (-600,), (600, -20), (600, 300, -900), (5, 600)])
def test_the_t_that_is_held_is_moved_by_what_was_told_also_where_speed_does_not_give_it(changes_s):
    """Ten minutes are beyond any speed of the window; what was read back is held all the same."""
    now = flying_as_briefed(motion_of(plan_of("missions/regatta.yaml").the_pass))
    held_s = now.target_s
    for number, change_s in enumerate(changes_s):
        now = told(now, Ruling("ask"), change_s, now.leave_s + 1.0 + number)
    assert now.target_s == pytest.approx(held_s + sum(changes_s), abs=1e-3)
