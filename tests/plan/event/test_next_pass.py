"""A pass of several may wait no longer than the next one gives whose T stays: its row is flown all the same,
and says UNABLE beside.

Three harbours, with 8 min accepted late at SALTMERE: its second pass moves with it, and CORBROOK's hold of
6 min 22 s shrinks by as much, until 3 min 13 s are left, the shortest that whole laps give: +3 min 8 s.
"""

from __future__ import annotations

from datetime import timedelta
from functools import cache

import pytest

from briefgen.brief.wording.wait_limits import (
    holes_words,
    latest_words,
    loses_words,
    slip_words,
    too_late_note,
)
from briefgen.mission.edit.changes import at_true_time
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly, make_plan
from briefgen.plan.event.lost_contact import wait_end
from briefgen.plan.event.next_hold import early_for_next
from briefgen.plan.event.waits import (
    holes,
    holes_to_next,
    lap_offered,
    latest_t,
    lost,
    lost_with,
    wait_limits,
)
from briefgen.plan.fuel.flight import hold_limit_s
from briefgen.plan.gates.timing import time_reachable
from briefgen.plan.one_pass import each_pass
from briefgen.retime.answer import retime
from briefgen.retime.typed import Typed, wanted
from tests.flow_texts import hill_between_laps, hill_without_hold, three_passes
from tests.places import MISSIONS
from tests.plan.gates.gate_reading import text_of
from tests.planned import plan_of_text

SECOND = timedelta(seconds=1)


@cache
def plan(own: str = "priority: 1", later: str = "priority: 2"):
    """SALTMERE and CORBROOK with these in the place of their priorities."""
    text = text_of("three-harbours").replace("late: 2 min}", "late: 8 min}", 1)
    text = text.replace("      priority: 2\n", f"      {later}\n").replace("priority: 1 ", own + " ")
    mission, found = load_mission_text(text, "three-harbours.yaml", folder=MISSIONS)
    assert mission is not None, [d.message for d in found]
    return make_plan(mission)[0]


def seen(n: int):
    return each_pass(plan())[n]


def corbrook_at(slip_s: float):
    """CORBROOK with SALTMERE so much later, planned again: its pass, and whether it is overhead at T."""
    base = plan()
    moved = at_true_time(
        base.mission,
        base.passes[0].true_time + timedelta(seconds=slip_s),
        takeoff=base.clock.takeoff,
        setups=base.setups,
    )
    sortie, _ = fly(moved)
    pass_ = sortie.passes[2]
    assert pass_.section.id == "CORBROOK" and pass_.true_time == base.passes[2].true_time
    return pass_, {gate.verdict for gate in time_reachable(sortie, pass_)} == {"PASS"}


def test_the_latest_t_is_the_last_second_that_leaves_the_next_pass_its_shortest_hold():
    """Planned a second on either side; up to 3 s more are made good by speed on the way to the hold."""
    last = latest_t(seen(0))
    assert (
        last.loses.id == "CORBROOK" and last.because == "beyond it CORBROOK has less than its shortest hold"
    )
    slip_s = (last.latest_t - seen(0).event.true_time).total_seconds() // 1
    assert slip_s == 188
    met, overhead = corbrook_at(slip_s)
    assert overhead and met.hold.taken_up_s == 0 and met.hold.wait_s >= met.hold.shortest_s
    beyond, _ = corbrook_at(slip_s + 1)
    assert beyond.hold.wait_s - beyond.hold.taken_up_s < beyond.hold.shortest_s
    assert not corbrook_at(slip_s + 5)[1]


def test_a_row_beyond_it_is_flown_and_says_what_it_loses():
    first = seen(0)
    rows = {row.slip_s: row for row in first.event.slips}
    assert [slip for slip, row in rows.items() if lost_with(first, row)] == [189.0, 300.0]
    assert [lost(first, rows[slip]) for slip in (180.0, 188.0, 189.0, 300.0)] == [("", "")] * 4
    assert loses_words(first, rows[188.0]) == "" and loses_words(first, rows[189.0]) == "UNABLE CORBROOK"
    assert too_late_note(first).startswith("TOO EARLY to -1 min")
    assert (
        " UNABLE CORBROOK from +3 min 9 s on: CORBROOK then has less than its shortest hold."
        in too_late_note(first)
    )
    # beyond what is accepted the row itself is lost
    assert lost(first, rows[600.0])[0] == "TOO LATE" and loses_words(first, rows[600.0]) == ""


@pytest.mark.parametrize(
    ("own", "later", "dropped"),
    [
        ("priority: 2", "priority: 1", "SALTMERE"),  # the highest number is dropped
        ("priority: 1", "priority: 3", "CORBROOK"),
        ("priority: 2", "priority: 2", "CORBROOK"),  # a tie, or one without: the last flown
        ("", "priority: 1", "CORBROOK"),
        ("priority: 2", "", "CORBROOK"),
    ],
)
def test_where_not_both_can_be_kept_the_priority_decides(own, later, dropped):
    first = each_pass(plan(own, later))[0]
    row = next(row for row in first.event.slips if row.slip_s == 189.0)
    given_up = ("TOO LATE", "CORBROOK then has less than its shortest hold, which goes first")
    assert lost(first, row) == (given_up if dropped == "SALTMERE" else ("", ""))
    assert loses_words(first, row) == ("" if dropped == "SALTMERE" else "UNABLE CORBROOK")
    said = "TOO LATE from +3 min 9 s on: CORBROOK" if dropped == "SALTMERE" else "UNABLE CORBROOK from"
    assert said in too_late_note(first)


def test_a_pass_that_follows_ends_with_the_same_slip_and_the_last_one_with_none():
    own = [next((limit for limit in wait_limits(view) if limit.loses), None) for view in each_pass(plan())]
    slips = [
        limit and limit.latest_t - view.event.true_time
        for limit, view in zip(own, each_pass(plan()), strict=True)
    ]
    assert slips[0] == slips[1] and [limit and limit.loses.id for limit in own[1:]] == [
        "CORBROOK",
        "DUNWATER",
        None,
    ]


# Three harbours: 2 min are accepted late, and SALTMERE's second pass, 14:15:00 Z, moves with the first,
# whatever wait it has itself: its last T is 14:17:00, its leave-hold 14:12:54 then 14:14:54. That wait,
# 4 min 16 s, is never longer, so that its own longest one and its laps end nothing.
@pytest.mark.parametrize("maximum", ["12 min", "5 min"])
def test_a_pass_whose_t_follows_is_ended_by_the_wait_of_the_one_that_is_moved(maximum):
    written = "hold: {at: MOLEHOLD, minimum: 3 min, maximum: "
    text = text_of("three-harbours").replace(f"{written}12 min}}", f"{written}{maximum}}}")
    view = each_pass(plan_of_text(text))[1]
    assert f"{view.event.hold.maximum_s / 60:.0f} min" == maximum
    last = latest_t(view)
    assert (f"{last.latest_t:%H:%M:%S}", last.short) == ("14:17:00", "slip accepted")
    assert f"{wait_end(view).at:%H:%M:%S}" == "14:14:54"
    assert holes(view) == () and not lap_offered(view)
    own = {limit.because for limit in wait_limits(view)}
    assert "SALTMERE: longest hold allowed" in own and "longest hold allowed" not in own


@pytest.mark.parametrize(("typed", "held"), [("15:00:00", "14:15:00"), ("15:01:00", "14:16:00")])
def test_who_holds_the_t_of_a_pass_holds_that_of_the_pass_which_follows_it(typed, held):
    """15 min later; the clock of SALTMERE is an hour ahead of Z."""
    text = text_of("three-harbours").replace("acknowledged: 15:00:00 event", f"acknowledged: {typed} event")
    mission, _ = load_mission_text(text, "three-harbours.yaml", folder=MISSIONS)
    first, again, *_ = make_plan(mission)[0].passes
    assert [f"{party.held:%H:%M:%S}" for party in again.parties] == [held] * len(again.parties)
    assert {p.acknowledged for p in (*first.parties, *again.parties)} == {held == "14:15:00"}


AGAIN = "        run_in: {formation: echelon right}\n        then: next pass\n"
A_THIRD = (
    f"{AGAIN}      - after: 10 min\n"
    "        way: [{to: OFFING, level: 2000 ft MSL, speed: 300 KTAS},"
    " {to: MOLEHOLD, level: 2000 ft MSL, speed: 300 KTAS}]\n"
    "        hold: {at: MOLEHOLD, minimum: 3 min, maximum: 12 min}\n"
    f"{AGAIN}"
)


@pytest.mark.parametrize(
    ("second", "typed", "held"),
    [
        # 25 min after the first, which it follows, whatever is recorded of the second
        ("after: 15 min", "15:00:00 event, 15:15:00 event", "14:25:00"),
        ("after: 15 min", "15:00:00 event, 15:14:00 event", "14:25:00"),
        ("after: 15 min", "15:00:30 event, 15:15:00 event", "14:25:30"),
        # 10 min after the second where that has a T of its own
        ("time: 15:15:00 event", "15:00:30 event, 15:15:00 event", "14:25:00"),
        ("time: 15:15:00 event", "15:00:00 event, 15:15:30 event", "14:25:30"),
    ],
)
def test_of_two_times_that_are_held_the_third_pass_takes_the_one_that_it_follows(second, typed, held):
    text = text_of("three-harbours").replace(AGAIN, A_THIRD).replace("after: 15 min", second)
    text = text.replace("acknowledged: 15:00:00 event", f"acknowledged: [{typed}]")
    mission, _ = load_mission_text(text, "three-harbours.yaml", folder=MISSIONS)
    third = make_plan(mission)[0].passes[2]
    assert third.section.id == "SALTMERE/pass-3"
    assert [f"{party.held:%H:%M:%S}" for party in third.parties] == [held] * len(third.parties)


@cache
def before_no_hold(own: str = "", later: str = ""):
    """PARK, its second pass and HILL, whose T stays and which has no hold."""
    text = (
        hill_without_hold()
        .replace("  id: PARK", f"  id: PARK{own}")
        .replace("  id: HILL", f"  id: HILL{later}")
    )
    mission, found = load_mission_text(text, "flow.yaml")
    assert mission is not None, [d.message for d in found]
    return make_plan(mission)[0]


def test_an_early_row_says_what_it_loses_where_the_next_pass_has_no_hold():
    """Nothing takes up what PARK is early: the IP of HILL is passed as much too early."""
    first = each_pass(before_no_hold())[0]
    rows = {row.slip_s: row for row in first.event.slips}
    early = [slip for slip in rows if -60.0 <= slip < 0]
    assert early and all(loses_words(first, rows[slip]) == "UNABLE HILL" for slip in early)
    assert loses_words(first, rows[0.0]) == ""
    assert f"UNABLE HILL to {slip_words(rows[max(early)])}: HILL then is reached too early." in too_late_note(
        first
    )
    assert "UNABLE HILL from +30 s on: HILL then is reached late." in too_late_note(first)


def test_an_early_slip_is_given_up_for_a_next_pass_that_goes_first():
    plan = before_no_hold("\n      priority: 2", "\n      priority: 1")
    first = each_pass(plan)[0]
    row = next(row for row in first.event.slips if -60.0 <= row.slip_s < 0)
    assert lost(first, row) == ("TOO EARLY", "HILL then is reached too early, which goes first")


def test_an_accepted_early_slip_is_held_against_a_next_pass_without_a_hold():
    gates = [gate for gate in before_no_hold().gates if gate.rule == "slip-next-early"]
    assert [(gate.id, gate.verdict, gate.value) for gate in gates] == [
        ("PARK/slip-next-early", "CAUTION", 60.0)
    ]


# HILL waits 815 s from 14:24:16 on. What PARK is early makes that longer.


@cache
def before_a_hold(
    maximum: str = "20 min", hill_level: str = "2000 ft MSL", flow: str = "1200 lb/h", fuel: int = 5000
):
    """PARK, its second pass and HILL, whose T stays, with a hold at a level and of a greatest length."""
    head, hill = three_passes().split("      id: HILL\n", 1)
    hill = hill.replace("maximum: 20 min", f"maximum: {maximum}").replace(
        "HILLHOLD, level: 2000 ft MSL", f"HILLHOLD, level: {hill_level}"
    )
    head = head.replace("hold: 1200 lb/h", f"hold: {flow}").replace(
        "start_fuel: 5000 lb", f"start_fuel: {fuel} lb"
    )
    mission, found = load_mission_text(f"{head}      id: HILL\n{hill}", "flow.yaml")
    assert mission is not None, [d.message for d in found]
    return make_plan(mission)[0]


def early_next(plan):
    return [
        (gate.verdict, round(gate.limit), gate.why) for gate in plan.gates if gate.rule == "slip-next-early"
    ]


def test_an_early_slip_makes_the_next_hold_no_longer_than_it_may_be():
    plan = before_a_hold("850 s")
    first = each_pass(plan)[0]
    rows = {row.slip_s: row for row in first.event.slips}
    assert [loses_words(first, rows[slip]) for slip in (-60.0, -30.0)] == ["UNABLE HILL", ""]
    assert "UNABLE HILL to -1 min: HILL then holds longer than its maximum." in too_late_note(first)
    assert [(verdict, limit) for verdict, limit, _ in early_next(plan)] == [("CAUTION", 35)]
    assert early_next(before_a_hold("875 s"))[0][0] == "PASS"  # 60 s more


def fuel_left_s(plan, early_s: int) -> float:
    """Seconds that HILL's hold may last longer on fuel than it does, PARK so much earlier: planned again."""
    moved = at_true_time(
        plan.mission,
        plan.passes[0].true_time - timedelta(seconds=early_s),
        takeoff=plan.clock.takeoff,
        setups=plan.setups,
    )
    sortie, _ = fly(moved)
    return hold_limit_s(sortie.fuel, "HILL")[0] - sortie.passes[2].hold.wait_s


def test_an_early_slip_makes_the_next_hold_no_longer_than_fuel_allows():
    """HILL's hold burns 1500 lb/h and PARK's 1200: a second from one to the other costs 300/3600 lb. 5 lb of
    the start go while the second waits for the first to take off."""
    plan = before_a_hold(
        hill_level="4000 ft MSL", flow="{2000 ft MSL: 1200 lb/h, 4000 ft MSL: 1500 lb/h}", fuel=4963
    )
    limit = early_for_next(plan, plan.passes[0])
    assert limit.by == "fuel" and limit.ship == 2
    whole_s = int(limit.seconds)
    assert fuel_left_s(plan, whole_s) >= 0.0 > fuel_left_s(plan, whole_s + 1)


def test_what_ends_with_the_landing_ends_the_last_pass_alone():
    """A slip before a T that stays moves no landing: nobody's doors close on it."""
    closing = [
        sum(limit.short in ("duty", "dark landing", "ALDERSTONE closes") for limit in wait_limits(view))
        for view in each_pass(plan())
    ]
    assert closing == [0, 0, 0, 3]


def test_each_pass_ends_with_the_sunset_at_its_own_place():
    spots = [
        next(limit.latest_t for limit in wait_limits(view) if limit.short == "sunset")
        for view in each_pass(plan())
    ]
    assert spots[0] == spots[1] > spots[2] > spots[3]  # each further east


def test_a_pass_ends_with_what_ends_the_one_whose_t_moves_with_its_own():
    """SALTMERE's permission ends at 15:16:00 there, 14:16:00 Z; its second pass is 15 min after the first,
    14:00: that may be 61 s late for itself and for CORBROOK, but leaves the second without permission."""
    text = text_of("three-harbours").replace("valid: 14:50 to 15:30 event", "valid: 14:50 to 15:16:00 event")
    mission, found = load_mission_text(text, "three-harbours.yaml", folder=MISSIONS)
    assert mission is not None, [d.message for d in found]
    whole, _ = make_plan(mission)
    first = each_pass(whole)[0]
    limit = latest_t(first)
    assert (f"{limit.latest_t:%H:%M:%S}", limit.because) == ("14:01:00", "SALTMERE pass 2: permission ends")
    lost_by = {row.slip_s: lost_with(first, row) for row in first.event.slips}
    assert lost_by[60.0] is None and lost_by[120.0].loses.id == "SALTMERE/pass-2"
    for slip, told in (("60", ("", "")), ("61", ("TOO LATE", "SALTMERE pass 2: permission ends"))):
        question, _ = wanted(first, Typed(slip=slip))
        answer, _ = retime(whole, question, whole.passes[0])
        assert answer.limit == told


@pytest.mark.parametrize(
    ("slip", "limit"),
    [
        ("188", ("", "")),
        ("240", ("TOO LATE", "CORBROOK then has less than its shortest hold")),
        ("500", ("TOO LATE", "CORBROOK then has less than its shortest hold")),
    ],
)
def test_retime_asks_before_it_tells_what_loses_the_next_pass(slip, limit):
    asked, found = wanted(seen(0), Typed(slip=slip))
    assert not found
    answer, _ = retime(plan(), asked, plan().passes[0])
    assert answer.limit == limit and bool(answer.ask_first.say) == bool(limit[0])
    assert [later.lost for later in answer.later if later.id == "CORBROOK"] == [bool(limit[0])] * bool(
        answer.later
    )


def test_the_card_names_it():
    assert latest_words(seen(0), lambda at: f"{at:%H:%M:%S} Z") == (
        "14:03:08 Z (beyond it CORBROOK has less than its shortest hold)"
    )


# HILL waits 815 s. Turned with 20 degrees of bank at 300 kt a circle takes 360 / (1092.2067 tan 20 / 300) =
# 271.68 s, so that one lap with legs of 20 to 120 s takes 311.68 to 511.68 s and two take 623.35 s or more:
# no laps give what PARK leaves when it is 191.65 to 303.32 s late. Speed on the leg to the hold takes up 3 s.
FIRST_LOST, LAST_LOST = 195, 300


@cache
def before_a_hole(accepted: str = "10 min", own: str = "", later: str = ""):
    """PARK, its second pass and HILL with this bank."""
    mission, found = load_mission_text(hill_between_laps(accepted, own, later), "flow.yaml")
    assert mission is not None, [d.message for d in found]
    return make_plan(mission)[0]


def hill_is_lost(plan, slip_s: float) -> bool:
    """HILL with PARK so much later, planned again."""
    moved = at_true_time(
        plan.mission,
        plan.passes[0].true_time + timedelta(seconds=slip_s),
        takeoff=plan.clock.takeoff,
        setups=plan.setups,
    )
    sortie, _ = fly(moved)
    return {gate.verdict for gate in time_reachable(sortie, sortie.passes[2])} != {"PASS"}


def test_a_row_that_leaves_the_next_pass_no_whole_number_of_laps_loses_it():
    """Each row planned again, and each end of the hole with the second beyond it."""
    plan = before_a_hole()
    first = each_pass(plan)[0]
    rows = {row.slip_s: row for row in first.event.slips}
    assert {s: loses_words(first, row) for s, row in rows.items() if loses_words(first, row)} == {
        300.0: "UNABLE HILL"  # +10 min is too late for the fuel of PARK itself
    }
    flown = [s for s, row in rows.items() if not lost(first, row)[0]]
    assert {s: hill_is_lost(plan, s) for s in flown} == {s: bool(loses_words(first, rows[s])) for s in flown}
    ends = (FIRST_LOST - 1, FIRST_LOST, LAST_LOST, LAST_LOST + 1)
    assert [hill_is_lost(plan, s) for s in ends] == [False, True, True, False]
    assert [(low, high) for low, high, _ in holes_to_next(first)] == [(FIRST_LOST, LAST_LOST)]


def test_notes_and_retime_tell_which_slips_lose_the_next_pass_between_two_that_do_not():
    plan = before_a_hole()
    first, why = each_pass(plan)[0], "HILL then has a hold that no whole number of laps gives"
    assert f"UNABLE HILL from +3 min 15 s to +5 min: {why}." in too_late_note(first)
    assert f"UNABLE HILL for T 14:03:15 to 14:05:00: {why}." in holes_words(
        first, lambda at: f"{at:%H:%M:%S}"
    )
    for slip_s, limit in ((194, ("", "")), (195, ("UNABLE", why)), (300, ("UNABLE", why)), (301, ("", ""))):
        asked, _ = wanted(first, Typed(slip=f"{slip_s}"))
        answer, _ = retime(plan, asked, plan.passes[0])
        assert answer.limit == limit and bool(answer.ask_first.say) == bool(limit[0])
        assert [later.lost for later in answer.later if later.id == "HILL"] == [bool(limit[0])]


def test_a_pass_is_given_up_for_a_next_one_that_goes_first_where_no_laps_give_its_hold():
    first = each_pass(before_a_hole("10 min", "\n      priority: 2", "\n      priority: 1"))[0]
    row = next(row for row in first.event.slips if row.slip_s == 300.0)
    why = "HILL then has a hold that no whole number of laps gives, which goes first"
    assert lost(first, row) == ("UNABLE", why) and loses_words(first, row) == ""
    assert f"UNABLE from +3 min 15 s to +5 min: {why}." in too_late_note(first)


@pytest.mark.parametrize(("accepted", "last_s"), [("180 s", 180), ("240 s", 194), ("302 s", 302)])
def test_the_latest_t_lies_in_no_hole_of_the_next_pass(accepted, last_s):
    first = each_pass(before_a_hole(accepted))[0]
    last = latest_t(first)
    assert (last.latest_t - first.event.true_time).total_seconds() // 1 == last_s
    assert (last.loses is None) == (last_s != 194)


@pytest.mark.parametrize(
    ("accepted", "verdict", "limit"),
    [("194 s", "PASS", 503), ("195 s", "CAUTION", 194), ("310 s", "CAUTION", 194)],
)
def test_an_accepted_slip_is_held_against_the_first_that_loses_the_next_pass(accepted, verdict, limit):
    gates = [gate for gate in before_a_hole(accepted).gates if gate.id == "PARK/slip-next"]
    assert [(gate.verdict, int(gate.limit)) for gate in gates] == [(verdict, limit)]
