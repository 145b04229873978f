"""``briefgen retime`` on the demonstration missions. Times are worked by hand from the mission file: T = 14:28:06 + 116 s = 14:30:02 event
= 03:30:02 Z, set time T + 15 s, relay 10 s, dead-band 3 s, abort only after T - 30 s."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest

from briefgen.cli import run
from briefgen.mission.load import load_mission
from briefgen.plan.build import make_plan
from briefgen.retime.answer import retime
from briefgen.retime.typed import Typed, wanted

REGATTA = Path(__file__).resolve().parent.parent / "missions" / "regatta.yaml"


def z(text: str) -> datetime:
    return datetime.strptime(f"2027-01-30 {text}", "%Y-%m-%d %H:%M:%S").replace(tzinfo=UTC)


@cache
def plan():
    mission, _ = load_mission(REGATTA)
    return make_plan(mission)[0]


def answer(**typed):
    asked, problems = wanted(plan(), Typed(**typed))
    assert problems == []
    return retime(plan(), asked)[0]


@pytest.mark.parametrize(
    ("typed", "kind", "new_true"),
    [
        ({"to": "14:31:00 event"}, "new time", "03:31:00"),
        ({"to": "03:31:00 Z"}, "new time", "03:31:00"),
        ({"to": "14:01:00 base"}, "new time", "03:31:00"),
        ({"slip": "+90"}, "new time", "03:31:32"),
        ({"slip": "-30 s"}, "new time", "03:29:32"),
        ({"slip": "2 min"}, "new time", "03:32:02"),
        ({"slip": "2"}, "no call", "03:30:04"),  # below the dead-band of 3 s
        ({"slip": "3"}, "new time", "03:30:05"),  # not below it
        ({"slip": "6", "phase": "inbound"}, "slow", "03:30:08"),
        ({"slip": "-6", "phase": "inbound"}, "fast", "03:29:56"),
        ({"slip": "60", "phase": "inbound"}, "unable", "03:31:02"),
        ({"slip": "20", "now": "03:29:23 Z"}, "abort only", "03:30:22"),  # + 10 s relay = T - 29 s
        ({"slip": "-6", "now": "03:27:20 Z"}, "fast", "03:29:56"),  # in the last inbound leg: only speed is left
        ({"slip": "700"}, "unable", "03:41:42"),  # 536 s + 700 s is more than the 20 min allowed
        ({"heard": (("ANTHEM", "03:28:11 Z"),)}, "slow", "03:30:07"),  # T = 116 s after it; relayed it comes after leave-hold
        ({"heard": (("PARADE", "03:24:30 Z"),)}, "no call", "03:30:02"),
        ({"heard": (("PARADE", "03:25:00 Z"),)}, "new time", "03:30:32"),  # 30 s late, the rest nominal
    ],
)  # fmt: skip
def test_what_can_be_met_and_how(typed, kind, new_true):
    found = answer(**typed)
    assert (found.kind, found.new_true) == (kind, z(new_true))


def test_every_time_inbound_moves_with_t_and_the_hold_takes_it_up():
    found, event = answer(slip="+90"), plan().event
    shift = timedelta(seconds=90)
    assert found.times.true_time == event.true_time + shift
    assert found.times.set_time == event.true_time + shift + timedelta(seconds=15)
    assert found.times.leave_hold == event.hold.leave + shift
    assert found.times.ip == event.ip_time + shift
    assert found.times.push_up == event.push.at + shift
    assert event.hold.arrival < found.times.inbound_turns[0] < found.times.inbound_turns[-1] < found.times.leave_hold


@pytest.mark.parametrize("row", range(9))
def test_before_the_hold_it_says_what_the_slip_table_prints(row):
    """One plan, one answer: laps, last turn, told-by and SAY BY of each printed row."""
    printed = plan().event.slips[row]
    found = answer(slip=f"{printed.slip_s:+.0f}")
    if printed.slip_s == 0:
        assert found.kind == "no call"
        return
    assert found.met == printed.met
    assert (found.until, found.say_by) == (printed.told_by, printed.say_by)
    assert len(found.times.inbound_turns) == printed.laps
    assert found.times.inbound_turns[-1] == printed.last_inbound_turn
    assert found.times.row


@pytest.mark.parametrize(("slip", "seconds_after", "met"), [("+60", -1, True), ("+60", 1, False), ("+120", -1, True), ("+120", 1, False), ("-30", -1, True), ("-30", 1, False)])
def test_told_by_is_the_edge(slip, seconds_after, met):
    """Read back a second before told-by it can be met, a second after it is lost; the relay lies between the call and the read-back."""
    told_by = answer(slip=slip).until
    now = told_by + timedelta(seconds=seconds_after - 10)
    found = answer(slip=slip, now=(now + timedelta(seconds=0.5 if met else 0.5)).strftime("%H:%M:%S Z"))
    assert found.met == met
    if not met:
        assert abs((found.until - told_by).total_seconds()) < 0.1
        assert found.one_more_lap_s > 120 and "UNABLE" in found.call.say and "One more lap costs" in found.call.say


def test_fuel_falls_by_the_flow_in_the_hold():
    """90 s more at 1300 lb/h: 32.5 lb, with the burn factor 1.04 for ship 2 33.8 lb; printed figures are to 10 lb, each addend rounded up."""
    before, after = answer(slip="+90").ships[1].landing_before, answer(slip="+90").ships[1].landing
    assert before - after == pytest.approx(33.8, abs=10)
    assert answer(slip="+600").ships[1].landing < after


def test_other_parties_are_not_acknowledged_and_their_times_move():
    """The tower closes the airspace from T-5 min to T+3 min, and holds 14:30:02."""
    (tower,) = answer(slip="+90").parties
    assert (tower.start, tower.end, tower.acknowledged) == (z("03:26:32"), z("03:34:32"), False)


def test_fuel_of_a_change_by_speed_is_not_checked():
    found = answer(slip="6", phase="inbound")
    assert all(ship.enough is None for ship in found.ships)
    assert found.times.leave_hold == plan().event.hold.leave, "the hold is behind"
    assert 270 <= found.times.speed_kt < 390


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["--slip", "+90"], 0, "CAN BE MET by the hold"),
        (["--slip", "+40", "--now", "03:27:00 Z"], 1, "UNABLE: told too late for the hold"),
        (["--slip", "2"], 0, "NO CALL NEEDED"),
        (["--to", "1431"], 2, "write 1431 Z, 1431 base, 1431 event"),
        (["--to", "25:00 Z"], 2, "a day has 24 hours"),
        (["--to", "12:00 Z"], 2, "more than six hours"),
        (["--heard", "ANTHM", "03:28:11 Z"], 2, "did you mean ANTHEM?"),
        (["--heard", "ANTHEM", "soon"], 2, "--heard ANTHEM: cannot read"),
        (["--heard", "ANTHEM", "03:28:11 Z", "--now", "03:28:00 Z"], 2, "is heard after --now"),
        (["--slip", "ninety"], 2, "write seconds, later with +"),
        (["--slip", "30000"], 2, "more than six hours"),
        ([], 2, "give one of --to TIME, --slip SECONDS, --heard CUE TIME"),
        (["--slip", "5", "--to", "14:31 event"], 2, "are given together"),
        (["--slip", "5", "--now", "03:20 Z", "--phase", "holding"], 2, "one of them says where the flight is"),
    ],
)
def test_the_command(capsys, arguments, code, words):
    assert run(["retime", str(REGATTA), *arguments]) == code
    out = capsys.readouterr()
    assert words in out.out + out.err


def test_the_command_prints_zulu_and_both_local_clocks(capsys):
    run(["retime", str(REGATTA), "--slip", "+90"])
    out = capsys.readouterr().out
    assert "03:31:32 Z, 14:31:32 AEDT (+11:00) event, 14:01:32 ACDT (+10:30) base" in out
    assert "NOT ACKNOWLEDGED" in out and "START INBOUND TURN, lap 2 of 2" in out


def test_json_says_the_same(capsys):
    assert run(["retime", str(REGATTA), "--slip", "-30", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["met"], found["kind"], found["new_true"]) == (True, "new time", "2027-01-30T03:29:32.000000Z")
    assert found["call"]["read_back"] == "GANNET, true time zero three two nine three two Zulu."


def test_a_mission_without_an_event(capsys):
    path = REGATTA.parent.parent / "tests" / "cases" / "ok-training-only.yaml"
    assert run(["retime", str(path), "--slip", "5"]) == 2
    assert "no event" in capsys.readouterr().err


def test_a_time_that_hangs_on_no_cue():
    mission, _ = load_mission(REGATTA, [("event.pass.time", "14:30:02 event")])
    _, problems = wanted(make_plan(mission)[0], Typed(heard=(("ANTHEM", "03:28:11 Z"),)))
    assert "no cue tells" in problems[0].message
