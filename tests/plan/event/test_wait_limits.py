"""What others give ends by a clock: every slip beyond it is ruled out with that reason, the latest T too.

The regatta: T 14:30:02 at +11:00 is 03:30:02 Z; 60 s early and 10 min late are accepted.
"""

from __future__ import annotations

import pickle
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.wait_limits import earliest_times
from briefgen.plan.event.waits import latest_t, lost, row_verdict, wait_limits
from briefgen.plan.fuel.of_mission import from_base_s
from briefgen.plan.one_pass import each_pass
from briefgen.render.html.clock import waits_data
from briefgen.retime.answer import retime
from briefgen.retime.typed import Typed, wanted
from tests.places import MISSIONS
from tests.plan.gates.gate_reading import text_of
from tests.planned import REPOSITORY, load_mission, plan_of

REGATTA = "missions/regatta.yaml"
T = datetime(2027, 1, 30, 3, 30, 2, tzinfo=UTC)
PARTY = "event.parties.1"
TRAFFIC = "event.other_traffic.1"


def planned(*edits: tuple[str, str]):
    mission, found = load_mission(REPOSITORY / REGATTA, edits)
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


def traffic(level: str, *, from_: str = "", until: str = "") -> list[tuple[str, str]]:
    return [(f"{TRAFFIC}.level", level), (f"{TRAFFIC}.until", until), (f"{TRAFFIC}.from", from_)]


def at(hour: int, minute: int, second: int) -> datetime:
    return T.replace(hour=hour, minute=minute, second=second)


STEPS_S = (-60.0, -30.0, 0.0, 30.0, 60.0, 120.0, 180.0, 300.0, 600.0)


def late_rows(plan) -> dict[float, str]:
    """Of the regular steps, those that are not flown."""
    steps = [row for row in plan.event.slips if row.slip_s in STEPS_S]
    return {row.slip_s: why for row in steps for said, why in (row_verdict(plan, row),) if said}


@pytest.mark.parametrize(
    ("edits", "rows"),
    [
        # accepted to +10 min, the last regular step
        ((), [300.0, 600.0, 601.0]),
        # to +11 min 28 s, and sunset, later, ends nothing
        ((("event.accept_slip.late", "688 s"),), [600.0, 688.0, 689.0]),
        # the window ends 14:35:00.0, 298 s after T: +5 min lies beyond
        (((f"{PARTY}.to", "14:35:00 event"),), [180.0, 298.0, 299.0, 300.0, 600.0]),
        # nothing is accepted: whoever is on time is not called
        ((("event.accept_slip.late", "0 s"),), [0.0, 30.0, 60.0, 120.0, 180.0, 300.0, 600.0]),
    ],
)
def test_the_slips_end_with_the_last_that_can_be_met_and_one_too_late(edits, rows):
    plan = planned(*edits)
    found = [row.slip_s for row in plan.event.slips]
    assert found[-len(rows) :] == rows
    last_s = (latest_t(plan).latest_t - T).total_seconds()
    assert [lost(plan, row)[0] for row in plan.event.slips if 0.0 < row.slip_s <= last_s].count("") == len(
        [s for s in found if 0.0 < s <= last_s]
    )
    assert {lost(plan, row) for row in plan.event.slips if row.slip_s > last_s} == {
        row_verdict(plan, plan.event.slips[-1])
    }
    assert {row_verdict(plan, row)[0] for row in plan.event.slips if row.slip_s > last_s} == {"TOO LATE"}


def test_behind_a_hole_the_first_that_is_too_late_has_a_row():
    """Lantern-fair (see test_the_card_names_the_holes_of_the_accepted_slip): 2 min late are accepted, laps
    and speed give 90 s, so that 91 s and 120 s are told in two calls or UNABLE, and 121 s is TOO LATE."""
    plan = make_plan(load_mission(MISSIONS / "lantern-fair.yaml", [("event.accept_slip.late", "2 min")])[0])[
        0
    ]
    found = {row.slip_s: lost(plan, row)[0] for row in plan.event.slips if row.slip_s >= 90.0}
    assert list(found) == [90.0, 91.0, 120.0, 121.0, 180.0, 300.0, 600.0]
    assert [s for s, said in found.items() if said == "TOO LATE"] == [121.0, 180.0, 300.0, 600.0]


@pytest.mark.parametrize("mission", ["three-harbours", "twin-fields"])
def test_the_slips_of_each_pass_end_so(mission):
    for seen in each_pass(plan_of(f"missions/{mission}.yaml")):
        last, event = latest_t(seen), seen.passes[0]
        if last is None or not event.slips or last.latest_t <= event.true_time:
            continue
        last_s = (last.latest_t - event.true_time).total_seconds() // 1
        assert {last_s, last_s + 1} <= {row.slip_s for row in event.slips}


def test_another_partys_window_ends_the_slips():
    """It is closed to 14:35:00, so that +5 min, 14:35:02, is two seconds too late."""
    plan = planned((f"{PARTY}.to", "14:35:00 event"))
    because = "Harbour tower: airspace closed no longer"
    assert latest_t(plan).latest_t == at(3, 35, 0)
    assert late_rows(plan) == {300.0: because, 600.0: because}
    assert [lost(plan, row)[0] for row in plan.event.slips if row.slip_s > 298] == ["TOO LATE"] * 3
    data = waits_data(plan, motion_of(plan.passes[0]))
    assert "Harbour tower: airspace closed until then" in [limit["because"] for limit in data["limits"]]


def test_retime_refuses_what_another_party_does_not_give():
    plan = planned((f"{PARTY}.to", "14:35:00 event"))
    asked, found = wanted(plan, Typed(slip="+5 min"))
    assert not found
    answer, _ = retime(plan, asked)
    assert answer.limit == ("TOO LATE", "Harbour tower: airspace closed no longer")


def test_a_window_counted_from_t_moves_with_it():
    plan = plan_of(REGATTA)
    assert not any("Harbour tower" in limit.because for limit in wait_limits(plan))


def test_a_window_of_another_party_begins():
    """Closed from 14:29:30 on: 30 s early is 14:29:32, 60 s early 14:29:02."""
    plan = planned((f"{PARTY}.from", "14:29:30 event"))
    assert late_rows(plan) == {-60.0: "Harbour tower: airspace closed not yet"}


def test_traffic_that_comes_back_ends_the_slips():
    """The egress, 8 nm, has ended when the helicopter is there again at the pass's own height; at another one
    it is in nobody's way."""
    plan = planned(*traffic("0 to 2000 ft MSL", from_="14:35:00 event"))
    egress = timedelta(seconds=plan.event.egress.time_s)
    limit = next(
        limit for limit in wait_limits(plan) if limit.because == "Television helicopter is there then"
    )
    assert limit.latest_t == at(3, 35, 0) - egress


@pytest.mark.parametrize(
    ("level", "in_the_way"), [("0 to 500", False), ("0 to 1469", False), ("0 to 1470", True)]
)
def test_traffic_at_another_height_ends_nothing(level, in_the_way):
    """The lowest of four ships, each 10 ft below the one before it, flies 30 ft below 1500 ft."""
    plan = planned(*traffic(f"{level} ft MSL", from_="14:35:00 event"))
    assert any("helicopter" in limit.because for limit in wait_limits(plan)) is in_the_way


def test_traffic_that_has_to_be_gone_keeps_t_from_being_earlier():
    """From leave-hold on the flight is there: a helicopter that stays to ten seconds before it allows ten
    seconds."""
    leave = plan_of(REGATTA).event.hold.leave
    until = (leave - timedelta(seconds=10)).replace(microsecond=0)
    plan = planned(*traffic("0 to 2000 ft MSL", until=f"{until:%H:%M:%S} Z"))
    earliest = {limit.past: limit.earliest_t for limit in earliest_times(plan)}
    assert earliest["Television helicopter is still there"] == T - (leave - until)


@pytest.mark.parametrize(
    "closes, too_late", [("14:25", [300.0, 600.0]), ("14:26", [600.0]), ("14:31", []), ("15:00", [])]
)
def test_the_base_closes_behind_the_last_landing(closes, too_late):
    """The last ship lands at 14:20:04.5 at +10:30: with the doors shut at 14:25 there are 4 min 55.5 s, at
    14:26 one minute more, and at 14:31 ten minutes and 55.5 s."""
    plan = planned(("places.NORTHBOURNE.open", f"07:00 to {closes} base"))
    assert f"{plan.clock.last_landing:%H:%M:%S}" == "03:50:04"
    assert late_rows(plan) == dict.fromkeys(too_late, "NORTHBOURNE closes")


def test_a_divert_closes_before_a_ship_that_missed_its_landing_is_there():
    """Half an hour of its own to the divert, less what it takes: the way there is part of the sum."""
    plan = planned(("places.HARTWELL.open", "06:00 to 15:20 event"))
    more = timedelta(seconds=from_base_s(plan.mission, plan.clock, "HARTWELL"))
    limit = next(limit for limit in wait_limits(plan) if limit.because == "HARTWELL closes")
    assert limit.latest_t - T == at(4, 20, 0) - (plan.clock.last_landing + more)


def test_the_duty_period_ends_the_slips():
    """Report 09:30 at +10:30, 23:00 Z; the debrief ends 04:50:04.5, and the longest way to a divert comes on
    top. Six hours and 20 minutes end at 05:20."""
    plan = planned(("limits.duty_period", "6 h 20 min"))
    more = max(from_base_s(plan.mission, plan.clock, place) for place in ("EASTLEA", "HARTWELL"))
    limit = next(limit for limit in wait_limits(plan) if limit.because == "duty period ends")
    assert limit.latest_t - T == at(5, 20, 0) - plan.clock.duty_end - timedelta(seconds=more)


@pytest.mark.parametrize(
    ("mission", "because", "late", "within_s"),
    [
        # 20 min from 13:49:30, when the hold is entered, are 699 s more than the 501 s planned
        ("tests/cases/ok-by-hand.yaml", "longest hold allowed", timedelta(seconds=699), 0.1),
        # sunset at the base is 09:51:21 Z by ephem, half an hour before it 09:21:21; the last ship lands at
        # 03:50:04.5
        (REGATTA, "last landing before dark", timedelta(hours=5, minutes=31, seconds=16.5), 0.8),
        # without a hold on the run-in, at 340 kg/h x 1.04 of ship 2, which after the approach has 690 kg and
        # must keep 350, on a gauge of 2 kg: 340 / 353.6 h; ship 1, with 380 kg more than it must, is later
        ("tests/data/no-hold.yaml", "fuel of ship 2", timedelta(hours=340 / 353.6), 45),
    ],
)
def test_a_reason_ends_the_slips_so_much_after_t(mission, because, late, within_s):
    plan = plan_of(mission)
    (limit,) = [limit for limit in wait_limits(plan) if limit.because == because]
    assert abs(limit.latest_t - plan.event.true_time - late) < timedelta(seconds=within_s)


def test_what_is_waived_ends_nothing():
    waiver = "[{rule: party-1-until, reference: W-1, authority: Wing, valid: 2027-01-30 to 2027-01-31}]"
    plan = planned((f"{PARTY}.to", "14:35:00 event"), ("waivers", waiver))
    assert [gate.verdict for gate in plan.gates if gate.id == "party-1-until"] == ["WAIVED"]
    assert not late_rows(plan)


def test_a_waiver_of_one_event_leaves_another_its_limit():
    """Three harbours: SALTMERE's party ends at 14:59 of its clock, 13:59 Z, a minute before its first T; that
    is waived. For its second pass, and at CORBROOK, to 16:35 at +02:00, 14:35 Z, nobody has waived
    anything."""
    text = text_of("three-harbours")
    for party, end in (
        ("Saltmere port control", "14:59:00 event"),
        ("Corbrook harbour master", "16:35:00 event"),
    ):
        text, changed = re.subn(rf"(who: {party},.*), to: T\+\d+ min,", rf"\1, to: {end},", text)
        assert changed == 1
    until = "2027-06-05 to 2027-06-06"
    waiver = f"{{rule: SALTMERE/party-1-until, reference: W-1, authority: Wing, valid: {until}}}"
    mission, _ = load_mission_text(f"{text}\nwaivers:\n  - {waiver}\n", "m.yaml", folder=MISSIONS)
    plan, _ = make_plan(mission)
    assert [gate.id for gate in plan.gates if gate.verdict == "WAIVED"] == ["SALTMERE/party-1-until"]
    given = [
        [limit.latest_t for limit in wait_limits(seen) if limit.because.endswith("until then")]
        for seen in each_pass(plan)
    ]
    day = datetime(2027, 6, 5, tzinfo=UTC)
    ends = day.replace(hour=13, minute=59), day.replace(hour=14, minute=35)
    with_it = ends[0] - timedelta(minutes=15)  # the second pass moves with the first, 15 min behind it
    assert given == [[with_it], [ends[0]], [ends[1]], []]


def test_the_limits_are_worked_out_once_and_anew_for_a_changed_plan():
    plan = planned(("limits.duty_period", "6 h 20 min"))
    limits = wait_limits(plan)
    assert wait_limits(plan) is limits and wait_limits(pickle.loads(pickle.dumps(plan))) == limits
    without = replace(plan, gates=tuple(gate for gate in plan.gates if gate.rule != "duty-period"))
    assert wait_limits(without) == tuple(limit for limit in limits if limit.because != "duty period ends")
    assert plan == replace(plan) and len(wait_limits(without)) < len(limits)


def test_a_slip_earlier_than_accepted_that_speed_gives_is_too_early_and_not_unable():
    """Twin fields with a hold of 2 min, its shortest lap 1 min 55 s, and no slip accepted early: 30 s earlier
    speed alone gives (40 s), 1 min nothing does. `retime` says TOO EARLY and by speed."""
    text = text_of("twin-fields").replace("planned: 7 min, minimum: 3 min", "planned: 2 min, minimum: 1 min")
    mission, _ = load_mission_text(text.replace("early: 30 s", "early: 0 s"), "m.yaml", folder=MISSIONS)
    first = each_pass(make_plan(mission)[0])[0]
    said = {row.slip_s: lost(first, row)[0] for row in first.event.slips if row.slip_s < 0}
    assert said == {-60.0: "UNABLE", -30.0: "TOO EARLY"}
