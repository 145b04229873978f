"""``briefgen retime`` on the demonstration missions. Times are worked by hand from the mission file: T =
14:28:06 + 116 s = 14:30:02 event = 03:30:02 Z, set time T + 15 s, relay 10 s, dead-band 3 s, abort only after
T - 30 s."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest

from briefgen.brief.wording.by_speed import told_pairs
from briefgen.build import build as build_room
from briefgen.cli import run
from briefgen.plan.build import make_plan
from briefgen.plan.event.judge import flying, judge_silence
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.silence import silence_steps
from briefgen.plan.event.told_speed import most_told_s
from briefgen.retime.answer import ShipLine, retime
from briefgen.retime.report import headline as words_of
from briefgen.retime.report import lines as lines_of
from briefgen.retime.typed import Typed, wanted
from tests.places import REPOSITORY
from tests.plan.event.test_slip_reach import HORN
from tests.planned import load_mission, plan_of

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

REGATTA = REPOSITORY / "missions" / "regatta.yaml"


PARADED = (("PARADE", "03:24:30 Z"),)  # as planned
# both as planned: what is typed beside them is somebody's own judgement
STARTED = (
    *PARADED,
    ("ANTHEM", "03:28:06 Z"),
)


def z(text: str) -> datetime:
    return datetime.strptime(f"2027-01-30 {text}", "%Y-%m-%d %H:%M:%S").replace(tzinfo=UTC)


def plan():
    return plan_of("missions/regatta.yaml")


def paraded(now: datetime) -> tuple[tuple[str, str], ...]:
    """PARADE as planned, once that is past."""
    return PARADED if now >= z("03:24:30") else ()


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
        ({"slip": "6", "phase": "inbound", "heard": STARTED}, "slow", "03:30:08"),
        ({"slip": "-6", "phase": "inbound", "heard": STARTED}, "fast", "03:29:56"),
        ({"slip": "60", "phase": "inbound", "heard": STARTED}, "unable", "03:31:02"),
        # + 10 s relay = T - 29 s
        ({"slip": "20", "now": "03:29:23 Z", "heard": STARTED}, "abort only", "03:30:22"),
        # below the dead-band of 3 s at any time, also then
        ({"slip": "2", "now": "03:29:23 Z", "heard": STARTED}, "no call", "03:30:04"),
        ({"slip": "-2", "now": "03:29:58 Z", "heard": STARTED}, "no call", "03:30:00"),
        # in the last inbound leg: only speed is left, and that waits for ANTHEM
        ({"slip": "-6", "now": "03:27:20 Z", "heard": PARADED}, "wait", "03:29:56"),
        # ANTHEM is late, but not overdue: read back at 03:28:20, in the hold
        ({"slip": "10", "now": "03:28:10 Z", "heard": PARADED}, "wait", "03:30:12"),
        # the last inbound turn is past (03:26:21), and ANTHEM, 30 s late, is read back 03:28:46, 76 s before
        # T: at 300 KGS and without the push-up, which makes up 15 s, 91 s to go. At 270, slowing for 20 s,
        # 91 x 300/270 - 15 x 20/270 - 76 = 24.0 s, with the tolerance of 5 s 29.0 s; 20 s is less
        ({"slip": "30", "now": "03:26:25 Z", "heard": PARADED}, "unable", "03:30:32"),
        ({"slip": "20", "now": "03:26:25 Z", "heard": PARADED}, "wait", "03:30:22"),
        # a mark of its part tells that it was
        (
            {"slip": "6", "now": "03:28:36 Z", "heard": (("LINE2", "03:28:30 Z"),), "sure": ("LINE2",)},
            "slow",
            "03:30:08",
        ),
        ({"slip": "750"}, "unable", "03:42:32"),  # 513 s + 750 s is more than the 21 min allowed
        # T = 116 s after it; relayed it comes after leave-hold
        ({"heard": (("ANTHEM", "03:28:11 Z"),)}, "slow", "03:30:07"),
        ({"heard": (("PARADE", "03:24:30 Z"),)}, "no call", "03:30:02"),
        ({"heard": (("PARADE", "03:25:00 Z"),)}, "new time", "03:30:32"),  # 30 s late, the rest nominal
    ],
)  # fmt: skip
def test_what_can_be_met_and_how(typed, kind, new_true):
    found = answer(**typed)
    assert (found.kind, found.new_true) == (kind, z(new_true))


@pytest.mark.parametrize(
    ("heard", "phase", "read_back", "true_time"),
    [
        (
            ("PARADE", "03:24:30 Z"),
            "inbound",
            "03:28:21",
            "03:30:02",
        ),  # ANTHEM, planned for 03:28:06, is overdue at the call, 03:28:11: no other time
        (
            ("PARADE", "03:24:30 Z"),
            "holding",
            "03:24:40",
            "03:30:02",
        ),  # heard later than the hold begins: + relay 10 s
        (("ANTHEM", "03:28:06 Z"), "running-in", "03:28:41", "03:30:02"),
        (
            ("LINE2", "03:28:50 Z"),
            "running-in",
            "03:29:00",
            "03:30:22",
        ),  # without ANTHEM the 24 s tell no pace: 92 s after it
    ],
)
def test_a_phase_with_something_heard(heard, phase, read_back, true_time):
    found = answer(heard=(heard,), phase=phase, sure=(heard[0],))
    assert abs((found.told - z(read_back)).total_seconds()) < 1.0
    assert abs((found.predicted.true_time - z(true_time)).total_seconds()) <= 1.0


# PARADE heard as planned, so ANTHEM is expected at 03:28:06, give or take PARADE's spread of 10 s, and
# overdue after 03:28:26 in the hold. From leave-hold, 03:28:20.6, on speed gives 27.2 s later (by the
# run-in's least speed, 270 kt). Said at 03:28:31 and read back at :41, 20.4 s into the flight inbound of
# 101.4 s, it gives less than the 25 s that ANTHEM is late by then: 81 s at 300 kt would take 90 s at 270, and
# ahead lies the push-up. no_cue is `hold`.
@pytest.mark.parametrize(
    ("heard", "now", "kind", "say"),
    [
        ("03:24:30 Z", "03:28:09 Z", "no call", ""),
        ("03:24:30 Z", "03:28:10 Z", "no call", ""),  # read back in the hold: late, but not overdue
        (
            "03:24:30 Z",
            "03:28:11 Z",
            "not started",
            "GANNET, ANTHEM NOT STARTED.",
        ),  # read back inbound: the dead-band of 3 s counts alone, and speed still gives more
        ("03:24:30 Z", "03:28:30 Z", "not started", "GANNET, ANTHEM NOT STARTED."),
        (
            "03:24:30 Z",
            "03:28:31 Z",
            "not started",
            "GANNET, ANTHEM NOT STARTED. Return to the hold.",
        ),
        (
            "03:24:30 Z",
            "03:28:45 Z",
            "not started",
            "GANNET, ANTHEM NOT STARTED. Return to the hold.",
        ),  # 39 s late
        ("03:24:30 Z", "03:29:23 Z", "abort only", ""),
        ("03:24:30 Z", "03:30:02 Z", "over", ""),
    ],
)
def test_a_cue_that_nobody_has_heard_moves_nothing(heard, now, kind, say):
    found = answer(heard=(("PARADE", heard),), now=now)
    assert (found.kind, found.call.say) == (kind, say)
    if kind == "not started":
        assert (found.new_true, found.change_s, found.times, found.met) == (None, 0.0, None, False)
        assert "Zulu" not in found.call.say and "slow" not in found.call.say.lower()


@pytest.mark.parametrize(("late_s", "added"), [(26, ""), (28, "hold")])
def test_hold_is_added_only_when_speed_gives_no_more(late_s, added):
    """Told at 03:26:00, in the hold: what counts is what speed will give from leave-hold on, 27.2 s."""
    now = flying(motion_of(plan().event), deadband_s=3.0, abort_only_s=-30.0)
    told_s = motion_of(plan().event).seconds(z("03:26:00"))
    found = judge_silence(now, late_s, told_s, sure=True)
    assert (found.kind, found.added) == ("not started", added)
    assert found.late_s == pytest.approx(27.2, abs=0.1)


def test_nothing_is_added_to_the_fact_where_what_speed_gives_is_not_known():
    """Up to leave-hold the fact alone; from there on what is briefed."""
    now = replace(flying(motion_of(plan().event), deadband_s=3.0, abort_only_s=-30.0), speeds_known=False)
    leave_s = now.leave_s
    assert [judge_silence(now, 60.0, told_s, sure=True).added for told_s in (leave_s - 1, leave_s + 1)] == [
        "",
        "no cue",
    ]
    # late by less than its time spreads: no order to stop the pass
    assert judge_silence(now, 4.0, leave_s + 1, sure=False).added == ""


@pytest.mark.parametrize(
    ("no_cue", "words", "say"),
    [
        ("hold", "RETURN TO THE HOLD", "GANNET, ANTHEM NOT STARTED. Return to the hold."),
        ("go home", "GO HOME", "GANNET, ANTHEM NOT STARTED. Go home."),
        ("", "NOT BRIEFED (event.pass.no_cue)", "GANNET, ANTHEM NOT STARTED."),
    ],
)
def test_what_is_briefed_for_a_cue_that_never_comes(no_cue, words, say):
    own, _ = make_plan(load_mission(REGATTA, [("event.pass.no_cue", no_cue)])[0])
    found = retime(own, wanted(own, Typed(heard=(("PARADE", "03:24:30 Z"),), now="03:28:45 Z"))[0])[0]
    assert found.call.say == say
    assert ["Briefed for it after leave-hold", words] in dict(lines_of(found, own))[""]


@pytest.mark.parametrize(
    ("typed", "cue", "say"),
    [  # PARADE, planned for 03:24:30, is overdue 20 s after its time as moved
        (
            {"slip": "10", "now": "03:28:30 Z", "unheard": ("PARADE",)},
            "PARADE",
            "GANNET, PARADE NOT STARTED. Return to the hold.",
        ),
        (
            {"to": "03:30:12 Z", "now": "03:28:50 Z", "unheard": ("PARADE",)},
            "PARADE",
            "GANNET, PARADE NOT STARTED. Return to the hold.",
        ),
        (
            {"slip": "0", "now": "03:28:15 Z", "unheard": ("PARADE",)},
            "PARADE",
            "GANNET, PARADE NOT STARTED. Return to the hold.",
        ),
        ({"slip": "10", "now": "03:28:37 Z", "heard": PARADED}, "ANTHEM", "GANNET, ANTHEM NOT STARTED."),
        # ANTHEM, planned for 03:28:06, is expected at 03:28:46 by it; the flight has left the hold for the T
        # that it was planned for, and the cards say so from 03:28:31 on
        (
            {"slip": "40", "now": "03:28:31 Z", "heard": PARADED, "unheard": ("ANTHEM",)},
            "ANTHEM",
            "GANNET, ANTHEM NOT STARTED. Return to the hold.",
        ),
        (
            {"slip": "40", "now": "03:28:31 Z", "heard": PARADED},
            "ANTHEM",
            "GANNET, ANTHEM NOT STARTED. Return to the hold.",
        ),
        ({"slip": "10", "now": "03:28:11 Z", "heard": PARADED}, "ANTHEM", "GANNET, ANTHEM NOT STARTED."),
    ],
)
def test_a_time_of_ones_own_hides_no_cue_that_nobody_has_heard(capsys, typed, cue, say):
    found = answer(**typed)
    assert (found.kind, found.met, found.times, found.new_true, found.change_s) == (
        "not started",
        False,
        None,
        None,
        0.0,
    )
    assert found.call.say.startswith(f"GANNET, {cue} NOT STARTED.") and found.call.say.startswith(say)
    assert (
        words_of(found).startswith(f"{cue} NOT STARTED")
        and ["If it was heard", f"add --heard {cue} TIME"] in dict(lines_of(found, plan()))[""]
    )
    options = [word for name in ("to", "slip", "now") if name in typed for word in (f"--{name}", typed[name])]
    assert (
        run(
            [
                "retime",
                str(REGATTA),
                *options,
                *(word for cue in typed.get("heard", ()) for word in ("--heard", *cue)),
                *(word for cue in typed.get("unheard", ()) for word in ("--unheard", cue)),
            ]
        )
        == 1
    )


@pytest.mark.parametrize(
    ("now", "kind"), [("03:24:00 Z", "new time"), ("03:25:20 Z", "new time"), ("03:25:21 Z", "not started")]
)
def test_a_slip_moves_the_cues_it_is_of(now, kind):
    """The parade is half a minute late: PARADE is expected at 03:25:00, and overdue after 03:25:20."""
    assert answer(slip="30", now=now, unheard=("PARADE",)).kind == kind


def test_a_slip_beside_what_was_heard_is_somebodys_own():
    """ANTHEM as planned, and yet 12 s later: it is met by speed, and no prediction is printed."""
    found = answer(slip="12", now="03:28:20 Z", heard=STARTED)
    assert (found.kind, found.new_true) == ("slow", z("03:30:14"))
    assert not [
        row for row in dict(lines_of(found, plan()))[""] if row[0] in ("Predicted true time", "Expected next")
    ]


@pytest.mark.parametrize(
    ("more", "unheard", "headline_words", "say"),
    [  # LINE2 is expected at 03:28:30, LINE4 at 03:29:16; read back 30 s before T speed gives less than 46 s
        ((), (), "NO CALL YET: WAS LINE2 HEARD?", ""),
        (
            (),
            ("LINE2", "LINE4"),
            "LINE2 NOT HEARD: no time and no speed is proposed on a mark that nobody has heard.",
            "GANNET, LINE2 NOT HEARD. Return to the hold.",
        ),
        (
            (("LINE2", "03:28:30 Z"),),
            (),
            "LINE4 NOT HEARD: no time and no speed is proposed on a mark that nobody has heard.",
            "GANNET, LINE4 NOT HEARD. Return to the hold.",
        ),
        (
            (("LINE4", "03:29:16 Z"),),
            (),
            "NO CALL NEEDED: the change is below the dead-band.",
            "",
        ),
    ],
)
def test_an_anthem_that_stops_is_not_on_time(more, unheard, headline_words, say):
    found = answer(heard=(*STARTED, *more), unheard=unheard, now="03:29:22 Z")
    assert (words_of(found), found.call.say) == (headline_words, say)


@pytest.mark.parametrize(
    ("heard", "unheard", "now", "say"),
    [
        # PARADE 332 s before T: heard at 03:34:30 it makes 03:40:02, the latest that is accepted
        ((), "PARADE", "03:34:30 Z", "GANNET, PARADE NOT STARTED."),
        ((), "PARADE", "03:34:31 Z", "GANNET, PARADE NOT STARTED. Go home."),
        # PARADE at 03:34:30 makes ANTHEM 03:38:06, overdue beyond twice the spread of 10 s
        ((("PARADE", "03:34:30 Z"),), "ANTHEM", "03:38:27 Z", "GANNET, ANTHEM NOT STARTED. Go home."),
    ],
)
def test_a_flight_told_to_hold_is_sent_home_once_no_t_can_follow(heard, unheard, now, say):
    found = answer(
        slip=None if heard else "0",
        heard=heard,
        unheard=(unheard,),
        now=now,
        told=(("hold", "03:25:18 Z"),),
    )
    assert found.call.say == say
    assert ["HOME FROM HOLD", "03:38:21 Z"] in dict(lines_of(found, plan()))[""]  # as the card has it


def test_a_flight_told_to_hold_is_asked_and_not_called_off():
    """PARADE five minutes late, 03:29:30: T 03:35:02. Of a flight that holds it is asked; once that is read
    back the flight holds it."""
    found = answer(heard=(("PARADE", "03:29:30 Z"),), told=(("hold", "03:26:06 Z"),))
    assert (found.kind, found.met, found.times, found.authority_s) == ("ask", False, None, None)
    assert (
        found.call.say
        == "GANNET, PIER. Can you accept a change of true time? Old true time: zero three three zero zero two"
        " Zulu. New true time: zero three three five zero two Zulu. Read back true time, or say unable."
    )
    rows = dict(lines_of(found, plan()))[""]
    assert ["Told before", "HOLD, read back at 03:26:06 Z"] in rows and "Speed alone gives" not in dict(
        row for row in rows if len(row) == 2
    )
    after = answer(
        heard=(("PARADE", "03:29:30 Z"),),
        now="03:31:00 Z",
        told=(("HOLD", "03:26:06 Z"), ("300", "03:29:50 Z")),
    )
    assert (after.kind, after.old_true, after.change_s) == ("no call", z("03:35:02"), 0.0)


# Told HOLD, 03:26:06, the flight passes the fix at 03:28:20.6 and begins a lap more. At 280 kt and 30 degrees
# a half turn takes 180 x 280 / (1092.2 tan 30) = 79.9 s: the shortest lap, 20 s outbound, takes about 200 s,
# so that it leaves the hold at 03:31:40 and by speed (11.2 s of the 101.4 s) is over the centre at 03:33:10.
@pytest.mark.parametrize(
    ("now", "to", "kind"),
    [
        ("03:28:07", "03:30:42", "ask"),  # read back before the fix
        ("03:29:00", "03:31:02", "unable"),
        ("03:29:00", "03:32:50", "unable"),
        ("03:29:00", "03:33:30", "ask"),
        # past the inbound turn of a lap of about 280 s with the leg of 60 s: at the fix about 03:32:55
        ("03:31:30", "03:33:50", "unable"),
        ("03:31:30", "03:34:40", "ask"),
        # past the fix: 200 s more
        ("03:32:55", "03:35:30", "unable"),
        ("03:32:55", "03:38:00", "ask"),
    ],
)
def test_a_flight_told_to_hold_is_not_asked_for_a_time_that_it_can_no_longer_reach(now, to, kind):
    found = answer(to=f"{to} Z", now=f"{now} Z", heard=STARTED, told=(("hold", "03:26:06 Z"),))
    assert found.kind == kind
    said = dict(row for row in dict(lines_of(found, plan()))[""] if len(row) == 2)
    if kind == "unable":
        assert found.call.say.endswith("UNABLE to meet it as planned. Say intentions.")
        assert said["No T before"].endswith(" Z, by the laps that the hold still allows, then by speed")
    if (now, kind) == ("03:29:00", "unable"):
        assert abs((found.soonest - z("03:33:10")).total_seconds()) < 12  # in still air
    assert (found.soonest is not None) == (kind == "unable") == ("No T before" in said)


def test_a_flight_sent_back_to_the_hold_leaves_it_no_earlier_than_it_is_told():
    """Sent back at 03:28:55, 34.4 s after leave-hold: its laps are not known, but it is 2.83 nm away. Two
    half circles at 2.252 degrees a second take 159.9 s, the way back at 265.8 kt 38.4 s: leave-hold 03:32:13,
    T 101.4 s later, less the 11.2 s that speed gives, 03:33:43. Once it may be there a call counts from its
    read-back: at 03:32:40, T 03:34:21 less 11.2 s is the earliest."""
    told = (("hold", "03:28:55 Z"),)
    for now, no_t_before, to, kind in (
        ("03:29:30", "03:33:43.5", "03:33:41", "unable"),
        ("03:29:30", "03:33:43.5", "03:33:46", "ask"),
        ("03:32:30", "03:34:10", "03:34:08", "unable"),
        ("03:32:30", "03:34:10", "03:34:12", "ask"),
    ):
        found = answer(to=f"{to} Z", now=f"{now} Z", heard=STARTED, told=told)
        assert found.kind == kind
        at = z(no_t_before.split(".")[0])
        assert kind == "ask" or abs((found.soonest - at).total_seconds()) < 1.0


# ANTHEM at 03:27:06 lasting 176 s: T and leave-hold as they were. PARADE heard as planned spreads by 10 s:
# ANTHEM is overdue in the hold after 03:27:26, and 27.2 s late is the most that speed gives. The last inbound
# turn, 03:26:21, is past: a lap more leaves the hold 200 s later at the earliest.
# A flight that is back in it after two half circles, 159.9 s from 03:28:21, has no T before 03:32:43 less the
# 27.2 s or less that speed gives: beyond 03:32:02, and beyond the longest hold of 9 min 30 s.
@pytest.mark.parametrize(
    ("maximum", "late", "steps"),
    [
        (
            "21 min",
            "10 min",
            [
                ("", "03:27:27", "03:27:33"),
                ("hold", "03:27:34", "03:28:10"),
                ("no cue", "03:28:11", "03:29:22"),
            ],
        ),
        # not so long: the flight says what it can
        (
            "9 min 30 s",
            "10 min",
            [
                ("", "03:27:27", "03:27:33"),
                ("intentions", "03:27:34", "03:28:10"),
                ("go home", "03:28:11", "03:29:22"),
            ],
        ),
        # T a lap later is beyond what is accepted
        (
            "21 min",
            "2 min",
            [
                ("", "03:27:27", "03:27:33"),
                ("intentions", "03:27:34", "03:28:10"),
                ("go home", "03:28:11", "03:29:22"),
            ],
        ),
    ],
)
def test_a_flight_is_told_to_hold_once_speed_no_longer_gives_what_t_is_late(tmp_path, maximum, late, steps):
    """Before that a lap would cost more."""
    text = REGATTA.read_text(encoding="utf-8")
    for old, new in (
        ("time: 14:28:06 event, lasts: 116 s", "time: 14:27:06 event, lasts: 176 s"),
        ("maximum: 21 min", f"maximum: {maximum}"),
        ("late: 10 min}", f"late: {late}}}"),
    ):
        assert old in text
        text = text.replace(old, new)
    (tmp_path / "sooner.yaml").write_text(text, encoding="utf-8")
    made = make_plan(load_mission(tmp_path / "sooner.yaml")[0])[0]
    found = [(s.added, f"{s.start:%H:%M:%S}", f"{s.until:%H:%M:%S}") for s in silence_steps(made)]
    assert found == steps
    asked = [(added, start, None) for added, start, _ in steps]
    # out of the hold, read back after 03:28:20.6, a later T of one's own puts nothing off
    asked += [(added, at, slip) for added, *ends in steps[2:] for at in ends for slip in ("20", "40", "180")]
    for added, at, slip in asked:
        typed = Typed(heard=PARADED, now=f"{at} Z", slip=slip)
        assert (
            retime(made, wanted(made, typed)[0])[0].call.say
            == {
                "": "GANNET, ANTHEM NOT STARTED.",
                "hold": "GANNET, ANTHEM NOT STARTED. HOLD.",
                "intentions": "GANNET, ANTHEM NOT STARTED. Say intentions.",
                "no cue": "GANNET, ANTHEM NOT STARTED. Return to the hold.",
                "go home": "GANNET, ANTHEM NOT STARTED. Go home.",
            }[added]
        )


def test_held_and_still_not_started_it_says_the_fact_alone():
    found = answer(slip="0", now="03:29:00 Z", told=(("hold", "03:26:06 Z"),), unheard=("PARADE",))
    assert (found.kind, found.call.say, found.until) == ("not started", "GANNET, PARADE NOT STARTED.", None)


def test_no_gate_tells_to_move_what_is_flown_over_already():
    """ANTHEM 10 s late comes after leave-hold less the relay: on the ground that is a gate that fails, in the
    air nobody moves the IP."""
    found = answer(heard=(("ANTHEM", "03:28:16 Z"),))
    assert (found.kind, [gate.id for gate in found.failing]) == ("slow", [])
    assert run(["retime", str(REGATTA), "--heard", "ANTHEM", "03:28:16 Z"]) == 0


def test_every_time_inbound_moves_with_t_and_the_hold_takes_it_up():
    found, event = answer(slip="+90"), plan().event
    shift = timedelta(seconds=90)
    assert found.times.true_time == event.true_time + shift
    assert found.times.set_time == event.true_time + shift + timedelta(seconds=15)
    assert found.times.leave_hold == event.hold.leave + shift
    assert found.times.ip == event.ip_time + shift
    assert found.times.push_up == event.push.at + shift
    assert (
        event.hold.arrival
        < found.times.inbound_turns[0]
        < found.times.inbound_turns[-1]
        < found.times.leave_hold
    )


@pytest.mark.parametrize("row", range(9))
def test_before_the_hold_it_says_what_the_slip_table_prints(row):
    """One plan, one answer: laps, last turn, and until when the change can be met."""
    printed = plan().event.slips[row]
    found = answer(slip=f"{printed.slip_s:+.0f}")
    if printed.slip_s == 0:
        assert found.kind == "no call"
        return
    assert found.met == printed.met
    assert found.until == printed.met_until
    assert len(found.times.inbound_turns) == printed.laps
    assert found.times.inbound_turns[-1] == printed.last_inbound_turn
    assert found.times.laps == "as printed"


@pytest.mark.parametrize("slip_s", [-60, -30, 30, 60, 120, 180, 300, 600])
@pytest.mark.parametrize(("after_s", "as_printed"), [(-1, True), (2, False)])
def test_a_printed_row_is_flown_until_its_told_by_and_not_after(slip_s, after_s, as_printed):
    """A second before it the flight turns in when the card says so; two seconds after it either at another
    moment, or the hold can't give it."""
    printed = next(row for row in plan().event.slips if row.slip_s == slip_s)
    read_back = printed.told_by.replace(microsecond=0) + timedelta(seconds=after_s)
    found = answer(
        slip=f"{slip_s:+d}",
        now=f"{read_back - timedelta(seconds=10):%H:%M:%S} Z",
        heard=paraded(read_back - timedelta(seconds=10)),
    )
    assert bool(found.times and found.times.laps == "as printed") == as_printed
    if as_printed:
        assert (len(found.times.inbound_turns), found.times.inbound_turns[-1]) == (
            printed.laps,
            printed.last_inbound_turn,
        )


@pytest.mark.parametrize(
    ("slip", "seconds_after", "met"),
    [
        ("+60", -1, True),
        ("+60", 1, False),
        ("+120", -1, True),
        ("+120", 1, False),
        ("-30", -1, True),
        ("-30", 1, False),
    ],
)
def test_told_by_is_the_edge(slip, seconds_after, met):
    """Read back a second before told-by it can be met, a second after it is lost; the relay lies between the
    call and the read-back. A moment is typed in whole seconds, so the half makes the nearest of the one
    below."""
    told_by = answer(slip=slip).until
    now = told_by + timedelta(seconds=seconds_after - 10)
    found = answer(
        slip=slip,
        now=(now + timedelta(seconds=0.5)).strftime("%H:%M:%S Z"),
        heard=paraded(now),
    )
    assert found.met == met
    if not met:
        assert abs((found.until - told_by).total_seconds()) < 0.1
        assert (
            found.one_more_lap_s > 120
            and "UNABLE" in found.call.say
            and "One more lap costs" in found.call.say
        )


def too_full():
    return plan_of("missions/overcommitted.yaml")


@pytest.mark.parametrize(
    ("slip", "now", "limit", "lap_limit", "headline"),
    # T 13:31:30; the fuel of ship 2 ends it at 13:30:42; 60 s early are accepted; one more lap is more than 4
    # min
    [
        ("0", "13:15:00 Z", "TOO LATE", "", "T CANNOT BE HELD: ask the flight."),
        ("-60", "13:15:00 Z", "", "", "CAN BE MET by the hold."),
        ("-70", "13:15:00 Z", "TOO EARLY", "", "TOO EARLY: ask first. CAN BE MET by the hold."),
        ("+120", "13:15:00 Z", "TOO LATE", "", "TOO LATE: ask first. CAN BE MET by the hold."),
        ("+120", "13:28:00 Z", "TOO LATE", "TOO LATE", "TOO LATE, UNABLE: told too late for the hold."),
    ],
)
def test_beyond_a_limit_it_is_asked_first_and_no_lap_is_offered(slip, now, limit, lap_limit, headline):
    found = retime(too_full(), wanted(too_full(), Typed(slip=slip, now=now))[0])[0]
    refused = f"24 FAIL: NOT TO BE FLOWN. {headline}"
    assert (found.limit[0], found.lap_limit[0], words_of(found)) == (limit, lap_limit, refused)
    assert "lap costs" not in found.call.say


def test_what_the_plan_itself_fails_is_told_once_before_the_words_which_are_no_leave_to_go():
    """45 s later ship 2 lands with 20 lb less than 890: below its 900, as before. Nothing fails anew."""
    found = retime(too_full(), wanted(too_full(), Typed(slip="45"))[0])[0]
    own = [gate for gate in too_full().gates if gate.verdict == "FAIL"]
    assert (found.failing, list(found.plan_failing), found.clear) == ((), own, False)
    sections = dict(lines_of(found, too_full()))
    titles = [title for title, rows in sections.items() if rows]
    (refusal,) = [title for title in titles if title.startswith("24 FAIL: NOT TO BE FLOWN")]
    assert [row[1] for row in sections[refusal]] == [gate.title for gate in own]
    words = titles[titles.index(refusal) + 1 :]
    assert len(words) == 2 and all(title.endswith(": no leave to go") for title in words)


# Speed alone gives at least 7 s earlier when ANTHEM, 20 s late, is known at 03:28:36; 4 + 5 s are asked for.
@pytest.mark.parametrize(
    ("now", "failing"),
    [("03:28:26 Z", ["authority-early"]), ("03:28:33 Z", [])],
    ids=["read back before the IP, 03:28:42", "past it"],
)
def test_past_the_ip_nobody_asks_what_speed_could_have_kept(now, failing):
    found = answer(now=now, heard=(*PARADED, ("ANTHEM", "03:28:26 Z")))
    assert (found.kind, [gate.id for gate in found.failing]) == ("slow", failing)


# Read back at leave-hold speed alone gives 11.187 s sooner and 27.188 s later; the tolerance is 5 s.
@pytest.mark.parametrize(
    ("slip", "kind", "headline"),
    [
        ("-11", "fast", "CAN BE MET by speed."),
        ("-12", "fast", "CAN BE MET by speed, late by 0.9 s, inside the tolerance."),
        ("-16", "fast", "CAN BE MET by speed, late by 4.9 s, inside the tolerance."),
        ("-17", "unable", "UNABLE: more than speed can do from here."),
        ("32", "slow", "CAN BE MET by speed, early by 4.9 s, inside the tolerance."),
        ("33", "unable", "UNABLE: more than speed can do from here."),
    ],
)
def test_what_speed_falls_short_of_inside_the_tolerance_is_met_and_told(slip, kind, headline):
    found = answer(slip=slip, phase="inbound", heard=STARTED)
    assert (found.kind, words_of(found)) == (kind, headline)
    if kind != "unable":  # at the end of the window, known; not later than what is left can still be met
        assert found.times.speed_kt is not None and found.until >= found.told
        assert found.times.true_time == z("03:30:02") + timedelta(seconds=float(slip))


def test_without_a_tolerance_the_change_is_met_or_it_is_not():
    own, _ = make_plan(load_mission(REGATTA, [("event.pass.tolerance", "")])[0])
    asked, problems = wanted(own, Typed(slip="-12", phase="inbound", heard=STARTED))
    assert problems == [] and retime(own, asked)[0].kind == "unable"


def test_nobody_waits_for_a_cue_that_is_heard_too_late():
    """Regatta, +30 s, told after the last inbound turn: what the ground contact's card says of that row then.
    The last moment is the hold's, 03:26:21 Z; one more lap is the price that the card names."""
    found = answer(slip="30", now="03:26:25 Z", heard=PARADED)
    assert found.reason == "told too late for the hold, and ANTHEM is heard too late for speed to give it"
    assert found.call.say == (
        "GANNET, PIER. Ceremony three zero seconds late. UNABLE to meet it as planned."
        " One more lap costs four minutes two six seconds. Say intentions."
    )
    rows = rows_of(found, plan())
    assert rows["Could be met until"] == ["03:26:21 Z, read-back complete; say by 03:26:11 Z"]
    assert rows["Speed alone gives"][0].endswith("once ANTHEM, so early or late, is heard")


def test_a_row_by_speed_of_a_cue_heard_after_the_ip_is_one_to_wait_for():
    """Without a hold, every row of the ground contact's card: what has a SAY BY, be it inside the tolerance,
    is waited for, and what reads UNABLE is so at once. The horn, 150 s before T, is heard long after the IP;
    see HORN in tests/plan/event/test_slip_reach.py. 30 s later it gives 19.2 s, and 0.2 s more for each
    second less, so that 29 s later are inside the tolerance of 10 s; 25 s earlier it gives 21.5 s, and 0.14 s
    more for each second more, so that 32 s are."""
    edits = (*HORN, ("event.accept_slip", "{early: 40 s, late: 40 s}"))
    own, _ = make_plan(load_mission(REPOSITORY / "tests/cases/slip-without-hold.yaml", edits)[0])
    rows = [told for pair in told_pairs(own, own.event) for told in pair]
    asked = {told.slip_s: retime(own, wanted(own, Typed(slip=f"{told.slip_s:+.0f}"))[0])[0] for told in rows}
    assert {told.slip_s: asked[told.slip_s].kind for told in rows} == {
        told.slip_s: "wait" if told.until else "unable" for told in rows
    }
    assert {told.slip_s for told in rows if told.short} == {-30.0, -32.0}
    assert most_told_s(own.event) == (32, 29)


def test_wait_does_not_stand_over_words_to_say_at_once():
    """A change by speed, 10 s late by one's own judgement, waits for ANTHEM; 5 s are accepted: it is asked
    first."""
    own, _ = make_plan(load_mission(REGATTA, [("event.accept_slip", "{early: 0 s, late: 5 s}")])[0])
    found = retime(own, wanted(own, Typed(slip="10", now="03:28:10 Z", heard=PARADED))[0])[0]
    assert (found.kind, found.limit[0], words_of(found)) == ("wait", "TOO LATE", "TOO LATE: ask first.")
    assert rows_of(found, own)["Once accepted"] == ["a change by speed is told once ANTHEM is heard"]
    assert "Words to ask first" in dict(lines_of(found, own))


def test_fuel_falls_by_the_flow_in_the_hold():
    """90 s more at 1300 lb/h: 32.5 lb, with the burn factor 1.04 for ship 2 33.8 lb; printed figures are to
    10 lb."""
    before, after = answer(slip="+90").ships[1].landing_before, answer(slip="+90").ships[1].landing
    assert before - after == pytest.approx(33.8, abs=10)
    assert answer(slip="+600").ships[1].landing < after


def test_other_parties_are_not_acknowledged_and_their_times_move():
    """The tower closes the airspace from T-5 min to T+3 min, and holds 14:30:02."""
    (tower,) = answer(slip="+90").parties
    assert (tower.start, tower.end, tower.acknowledged) == (z("03:26:32"), z("03:34:32"), False)


@pytest.mark.parametrize(
    ("slip", "speed_kgs", "landing"),
    [
        # By the sheet ship 1 lands with 1656.7 lb (1650), ship 4 with 1411.4 (1410). From leave-hold,
        # 03:28:21, 20.8 s and 12.6 s at 2400 lb/h and 68 s at 4800 are planned, 113.0 lb, for ship 4 119.7.
        # Slow 6 s: 107.4 s at 327 kt, above the run-in's 300: at the push-up's 4800 lb/h 143.2 lb and 151.8:
        # 1626.4 and 1379.3 are left.
        ("6", 327, {1: -30, 4: -40}),
        # Fast 6 s: 95.4 s at 382 kt: 127.2 lb and 134.9: 1642.4 and 1396.2.
        ("-6", 382, {1: -10, 4: -20}),
        # Slow 25 s: 126.4 s at 275 kt, not above 300, so at the run-in's 2400 lb/h: 84.3 lb and 89.3: 1685.3
        # and 1441.8. No push-up.
        ("25", 275, {1: 30, 4: 30}),
    ],
)
def test_fuel_of_a_change_by_speed_is_by_time_only(slip, speed_kgs, landing):
    """The distance from the fix to the centre, 1.7 + 7.95 nm, tells the speeds: 9.65 nm in 107 s are 325 kt,
    with a little time to accelerate 327."""
    found = answer(slip=slip, phase="inbound", heard=STARTED)
    assert found.times.speed_kt == pytest.approx(speed_kgs, abs=1)
    after = {ship.ship: ship.landing - ship.landing_before for ship in found.ships if ship.ship in landing}
    assert after == landing
    assert found.fuel_basis.startswith("by time only: ") and found.fuel_basis.endswith(
        "no flow is given for this speed"
    )
    assert ("flow run_in" if speed_kgs < 300 else "flow push_up") in found.fuel_basis
    assert found.times.leave_hold == plan().event.hold.leave, "the hold is behind"
    assert found.failing == ()


def test_fuel_is_not_checked_above_every_speed_that_has_a_flow():
    """Fast 9 s asks for more than the push-up's 390 KGS (the unit's cap is 400 KCAS)."""
    found = answer(slip="-9", phase="inbound", heard=STARTED)
    assert found.kind == "fast" and 390 < found.times.speed_kt < 420
    assert all(ship.enough is None for ship in found.ships)
    assert found.fuel_basis == "NOT CHECKED: 404 KGS is faster than the 390 KGS up to which a flow is given"


@pytest.mark.parametrize(
    ("landing", "enough"),
    [(1400.0, True), (1390.0, False), (None, None)],
    ids=["just", "10 lb less", "unknown"],
)
def test_what_a_ship_lands_with_is_enough_from_what_it_must_land_with(landing, enough):
    assert ShipLine(1, 1500.0, landing, 1400.0, None).enough is enough


@pytest.mark.parametrize(("slip", "within"), [("-60", True), ("-61", False), ("600", True), ("601", False)])
def test_earlier_and_later_are_accepted_each_by_its_own_limit(slip, within):
    """The mission accepts 60 s early and 10 min late."""
    assert answer(slip=slip).within_accepted is within


def test_a_change_by_speed_says_what_stays_and_one_by_the_hold_what_was():
    """Told in the run-in, the hold is behind and the IP comes sooner; told in the hold, leave-hold moves."""

    def kept(**typed):
        rows = dict(lines_of(answer(**typed), plan()))["New times"]
        return {label: kept for label, _, kept in rows if label in ("Leave-hold", "Push-up")}

    assert kept(slip="6", phase="inbound", heard=STARTED) == {"Leave-hold": "unchanged"}
    assert kept(slip="90") == {"Leave-hold": "", "Push-up": ""}


def test_what_was_flown_before_the_change_keeps_its_flow():
    """Slow 10 s told at the IP: the leg to it is flown as planned (20 s at 2400 lb/h, 20 lb); then 81 + 10 s
    at 317 kt and 4800 lb/h, 121.3 lb, 130 lb; planned were 10 + 100 lb."""
    found = answer(slip="10", phase="running-in", heard=STARTED)
    assert found.ships[0].landing == found.ships[0].landing_before + 10 + 100 - 130
    assert found.times.ip == plan().event.ip_time == found.times.ip_before


def test_the_ip_comes_sooner_when_the_leg_to_it_is_flown_faster():
    """Once at 300 kt: 10.8 s of 2.5 kt/s to 327 kt over 0.944 nm, which take 11.3 s at 300 kt; each further
    mile gains 3600/300 - 3600/327 = 1.0 s."""
    found, event = answer(slip="6", phase="inbound", heard=STARTED).times, plan().event
    to_300_nm = (300**2 - event.hold.inbound_gs_kt**2) / (7200 * 2.5)
    further_nm = event.hold_to_ip.distance_nm - to_300_nm - 0.944
    gained_s = 0.944 * 12 - 10.84 + further_nm * (12 - 3600 / 327.09)
    assert (found.ip_before - found.ip).total_seconds() == pytest.approx(gained_s, abs=0.02)


def test_gates_of_a_change_by_speed_judge_the_hold_as_it_is_flown():
    """The hold lasts 513 s and may last 514: six seconds more are flown by speed, so it is not too long. T
    moves: the permission that ends at 14:30:05 no longer covers it."""
    edits = [
        ("event.pass.hold.maximum", "514 s"),
        ("event.pass.hold.planned", ""),
        ("event.permission.valid", "14:15:00 to 14:30:05 event"),
        ("event.accept_slip", "{early: 0 s, late: 0 s}"),
    ]
    mission, _ = load_mission(REGATTA, edits)
    own, _ = make_plan(mission)
    asked, _ = wanted(own, Typed(slip="6", phase="inbound", heard=STARTED))
    found, _ = retime(own, asked)
    assert found.kind == "slow"
    assert [(gate.id, gate.value) for gate in found.failing] == [("permission-until", z("03:30:08"))]


@pytest.mark.parametrize("lacking", ["formation_acceleration", "minimum_speed"])
def test_what_speed_can_do_is_not_known_without_its_limits(lacking):
    """No aircraft minimum either, so the file gives no slowest speed; the hold is judged all the same, and
    speed is never a substitute for it."""
    edits = [(f"event.pass.run_in.{lacking}", ""), ("aircraft.petrel.speed_limits", "{maximum: 450 KCAS}")]
    # which can't be made up without one
    edits += [("event.pass.late_bias", "")] if lacking == "formation_acceleration" else []
    own, _ = make_plan(load_mission(REGATTA, edits)[0])
    asked = retime(own, wanted(own, Typed(slip="6", phase="inbound", heard=STARTED))[0])[0]
    assert (asked.kind, asked.met, asked.authority_s) == ("ask", False, None)
    assert (
        asked.reason
        == "the mission lacks an acceleration, a minimum or a maximum speed, so what speed can do isn't known"
    )
    assert asked.call.say == "GANNET, PIER. Can you accept slow six seconds?"
    assert retime(own, wanted(own, Typed(slip="60"))[0])[0].kind == "new time"
    assert retime(own, wanted(own, Typed(slip="60", now="03:27:30 Z", heard=PARADED))[0])[0].kind == "unable"


# ---------------------------------------------------------------- one change after another


def test_a_change_after_a_change_goes_by_the_time_that_is_held():
    """+60 s read back in the first lap: 03:31:02 is held. Then +30 s more: 03:31:32, leave-hold 90 s after
    the planned one."""
    found = answer(slip="30", now="03:22:00 Z", told=(("+60", "03:21:00 Z"),))
    assert (found.kind, found.old_true, found.new_true) == ("new time", z("03:31:02"), z("03:31:32"))
    assert found.times.leave_hold == plan().event.hold.leave + timedelta(seconds=90)
    assert found.call.read_back == "GANNET, true time zero three three one three two Zulu."
    assert found.times.laps == "worked again", "the printed rows count from the plan"
    alone = answer(slip="90")
    assert [s.landing for s in found.ships] == [s.landing for s in alone.ships], (
        "90 s more in the hold, in one change or two"
    )


def test_after_a_longer_hold_a_change_by_speed_begins_where_it_ends():
    found = answer(slip="6", phase="inbound", told=(("+30", "03:20:00 Z"),), heard=STARTED)
    assert found.told == plan().event.hold.leave + timedelta(seconds=30.001)
    assert (found.kind, found.new_true) == ("slow", z("03:30:38"))
    assert found.times.leave_hold == plan().event.hold.leave + timedelta(seconds=30)
    alone = answer(slip="6", phase="inbound", heard=STARTED)
    assert found.times.speed_kt == pytest.approx(alone.times.speed_kt, abs=1e-3)
    # 30 s at 1300 lb/h are 10.8 lb more
    assert found.ships[0].landing == pytest.approx(alone.ships[0].landing - 10.8, abs=10)


def test_a_second_change_by_speed_is_asked_of_the_flight():
    """What it has left if it holds one speed: slow 6 s at 03:28:30 leaves 98 s to the new T. From 03:29:00 on
    68 s are left, at 326 kt 6.2 nm; at the run-in's least speed, 270 kt, the same takes 82 s, less the 37 s
    of slowing down by 1.5 kt/s, in which half of the difference is lost."""
    found = answer(slip="4", now="03:28:50 Z", told=(("6", "03:28:30 Z"),), heard=STARTED)
    assert (found.kind, found.met, found.times, found.until) == ("ask", False, None, None)
    assert found.old_true == z("03:30:08")
    assert found.call.say == "GANNET, PIER. Can you accept slow a further four seconds?"
    late = 68.0 * 326 / 270 - 68.0 - 37.0 / 2 * (326 - 270) / 270
    assert found.authority_s[1] == pytest.approx(late, abs=0.5)
    accepted = answer(
        slip="3", now="03:29:10 Z", told=(("6", "03:28:30 Z"), ("4", "03:29:00 Z")), heard=STARTED
    )
    assert (accepted.kind, accepted.old_true) == ("ask", z("03:30:12"))


# Slow 6 s: T 03:30:08. Read back at 03:29:35, 33 s are left: two flights that part by 2.5 and 1.5 kt/s are
# 4 x 33^2 / 2 = 2178 kt s apart, which at 270 kt takes 8.1 s; with the tolerance of 5 s no more than 13.1 s.
# At 03:29:00, 68 s left: 4 x 68^2 / 2 = 9248, and 155 kt (270 to 425) x 68 = 10540: 34.3 s, with 5 s 39.3 s.
@pytest.mark.parametrize(
    ("now", "change", "kind"),
    [
        ("03:29:25", "13", "ask"),
        ("03:29:25", "14", "unable"),
        ("03:28:50", "39", "ask"),
        ("03:28:50", "40", "unable"),
        ("03:28:50", "-38", "ask"),  # its own abort-only time, T - 30 s, is 03:29:00
        ("03:29:00", "-28", "ask"),  # 03:29:10
    ],
)
def test_no_second_change_is_asked_that_no_way_of_flying_the_first_could_give(now, change, kind):
    found = answer(slip=change, now=f"{now} Z", told=(("6", "03:28:30 Z"),), heard=STARTED)
    assert found.kind == kind
    if kind == "unable":
        assert found.reason == "more than speed can do from here, however it flies what was told"
        assert found.call.say.endswith("UNABLE to meet it as planned. Say intentions.")
        assert found.authority_s is None


@pytest.mark.parametrize(
    ("told", "more", "words"),
    [
        ((("2", "03:20:00 Z"),), {"phase": "inbound"}, "could not be met"),  # below the dead-band, never told
        ((("600", "03:29:00 Z"),), {"phase": "running-in"}, "could not be met at 03:29:00 Z"),
        ((("60", "03:21:00 Z"), ("30", "03:20:00 Z")), {"phase": "inbound"}, "not in the order"),
        ((("60", "03:21:00 Z"),), {}, "would come before the change"),
        ((("60", "03:21:00 Z"),), {"phase": "holding"}, "would come before the change"),
        ((("soon", "03:21:00 Z"),), {"phase": "inbound"}, "cannot read"),
        ((("60", "21:70"),), {"phase": "inbound"}, "--told 60"),
    ],
)
def test_told_before_has_to_be_possible(told, more, words):
    _, problems = wanted(plan(), Typed(slip="10", told=told, **more))
    assert [p for p in problems if words in p.message], problems


@pytest.fixture
def checked_once(monkeypatch):
    """The command on the same file again and again: read and planned for the first of them only."""
    monkeypatch.setattr(build_room, "check", checked)


checked = cache(build_room.check)


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["--slip", "+90"], 0, "CAN BE MET by the hold"),
        (
            ["--slip", "+40", "--now", "03:27:00 Z", "--heard", "PARADE", "03:24:30 Z"],
            1,
            "UNABLE: told too late for the hold",
        ),
        (["--slip", "2"], 0, "NO CALL NEEDED"),
        (
            ["--heard", "ANTHEM", "03:28:06 Z", "--slip", "6", "--phase", "inbound"],
            0,
            "Fuel at landing, by time only: 1 min 47 s at 327 KGS with the flow push_up",
        ),
        (
            ["--heard", "ANTHEM", "03:28:06 Z", "--slip", "-9", "--phase", "inbound"],
            0,
            "Fuel at landing, NOT CHECKED: 404 KGS",
        ),
        (
            [
                "--heard",
                "ANTHEM",
                "03:28:06 Z",
                "--slip",
                "4",
                "--now",
                "03:28:50 Z",
                "--told",
                "6",
                "03:28:30 Z",
            ],
            1,
            "ASK THE FLIGHT: a change by speed was told already",
        ),
        (["--to", "1431"], 2, "write 1431 Z, 1431 base or 1431 event"),
        # the base is at UTC+10:30, the event at UTC+11
        (["--to", "14:30:12 L"], 2, "write 14:30:12 base (04:00:12 Z) or 14:30:12 event (03:30:12 Z) or "),
        (["--to", "25:00 Z"], 2, "a day has 24 hours"),
        (["--to", "12:00 Z"], 2, "more than six hours"),
        (["--heard", "ANTHM", "03:28:11 Z"], 2, "did you mean ANTHEM?"),
        (["--heard", "ANTHEM", "soon"], 2, "--heard ANTHEM: cannot read"),
        (["--heard", "ANTHEM", "03:28:11 Z", "--now", "03:28:00 Z"], 2, "is heard after --now"),
        (
            ["--slip", "5", "--now", ""],
            2,
            "--now: a clock time with its clock is wanted",
        ),  # an empty time is not "before the hold is entered"
        (["--slip", ""], 2, 'cannot read "" as seconds'),
        (["--to", ""], 2, "--to: a clock time with its clock is wanted"),
        (["--slip", "-4 h"], 1, "UNABLE: the flight is not there in time"),
        (["--slip", "+1 min 30 s"], 0, "+1 min 30 s"),
        (["--slip", "+0:45"], 2, '--slip "+0 h 45 min" or --slip "+0 min 45 s"'),
        (["--slip", "-0:45"], 2, '--slip "-0 min 45 s"'),
        (["--heard", "anthem", "03:28:06 Z"], 0, "NO CALL NEEDED"),  # as planned
        (["--slip", "2.6"], 0, "+2.6 s"),  # below the dead-band of 3 s, though it would round to it
        (["--slip", "-3600"], 1, "UNABLE: the flight is not there in time"),
        (["--slip", "30", "--now", "03:30:02 Z"], 1, "THE TRUE TIME HAS PASSED"),
        (
            ["--heard", "ANTHEM", "03:28:06 Z", "--slip", "30", "--now", "03:30:01 Z"],
            1,
            "TOO LATE TO TELL A TIME: ABORT only if",
        ),
        (["--slip", "ninety"], 2, "write seconds, later with +"),
        (["--slip", "30000"], 2, "more than six hours"),
        ([], 2, "give one of --to TIME, --slip SECONDS, --heard CUE TIME, --unheard CUE"),
        (["--slip", "5", "--to", "14:31 event"], 2, "are given together"),
        (
            ["--slip", "5", "--now", "03:20 Z", "--phase", "holding"],
            2,
            "one of them says where the flight is",
        ),
    ],
)
def test_the_command(capsys, checked_once, arguments, code, words):
    assert run(["retime", str(REGATTA), *arguments]) == code
    out = capsys.readouterr()
    assert words in out.out + out.err


@pytest.mark.parametrize(
    ("slip", "now", "ways"),
    # the row of +30 s holds up to 03:25:26.8, the hold gives it up to the last inbound turn, 03:26:21.2; +5
    # min needs a lap more, up to leave-hold, 03:28:20.6
    [
        ("+30", "03:24:00 Z", {"As printed until": "03:25:26 Z", "Worked again until": "03:26:21 Z"}),
        ("+30", "03:25:30 Z", {"Worked again until": "03:26:21 Z"}),
        ("+300", "03:25:30 Z", {"As printed until": "03:28:20 Z"}),
        # by speed 27.2 s, which is more than the tolerance of 5 s away
        ("+33", "03:27:00 Z", {"Could be met until": "03:26:21 Z"}),
    ],
)
def test_in_which_way_until_when_in_the_words_of_card_and_page(slip, now, ways):
    rows = dict(
        row
        for row in dict(lines_of(answer(slip=slip, now=now, heard=paraded(z(now[:8]))), plan()))[""]
        if row[0].endswith("until")
    )
    assert {way: words.partition(",")[0] for way, words in rows.items()} == ways


def test_the_command_prints_zulu_and_both_local_clocks(capsys):
    run(["retime", str(REGATTA), "--slip", "+90"])
    out = capsys.readouterr().out
    assert "03:31:32 Z, 14:31:32 AEDT (+11:00) event, 14:01:32 ACDT (+10:30) base" in out
    assert "NOT ACKNOWLEDGED" in out and "START INBOUND TURN, lap 2 of 2" in out


def test_json_says_the_same(capsys):
    assert run(["retime", str(REGATTA), "--slip", "-30", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["met"], found["kind"], found["new_true"]) == (
        True,
        "new time",
        "2027-01-30T03:29:32.000000Z",
    )
    assert found["call"]["read_back"] == "GANNET, true time zero three two nine three two Zulu."


def test_json_says_what_the_fuel_of_a_change_by_speed_stands_on(capsys):
    assert (
        run(
            [
                "retime",
                str(REGATTA),
                "--slip",
                "6",
                "--phase",
                "inbound",
                "--heard",
                "ANTHEM",
                "03:28:06 Z",
                "--json",
            ]
        )
        == 0
    )
    found = json.loads(capsys.readouterr().out)
    assert (
        found["fuel_basis"]
        == "by time only: 1 min 47 s at 327 KGS with the flow push_up; no flow is given for this speed"
    )
    assert found["ships"][0]["landing"] == found["ships"][0]["landing_before"] - 30
    assert (
        run(
            [
                "retime",
                str(REGATTA),
                "--slip",
                "4",
                "--now",
                "03:28:50 Z",
                "--told",
                "6",
                "03:28:30 Z",
                "--heard",
                "ANTHEM",
                "03:28:06 Z",
                "--json",
            ]
        )
        == 1
    )
    found = json.loads(capsys.readouterr().out)
    assert (found["kind"], found["met"], found["times"]) == ("ask", False, None)
    assert found["earlier"] == [{"change_s": 6.0, "read_back": "2027-01-30T03:28:30.000000Z", "left": False}]


def test_a_mission_without_an_event(capsys):
    path = REGATTA.parent.parent / "tests" / "cases" / "ok-training-only.yaml"
    assert run(["retime", str(path), "--slip", "5"]) == 2
    assert "no event" in capsys.readouterr().err


def test_a_time_that_hangs_on_no_cue():
    mission, _ = load_mission(REGATTA, [("event.pass.time", "14:30:02 event")])
    _, problems = wanted(make_plan(mission)[0], Typed(heard=(("ANTHEM", "03:28:11 Z"),)))
    assert "no cue tells" in problems[0].message


@pytest.mark.parametrize(
    ("now", "headline_words"),
    [  # PARADE as planned, ANTHEM due 03:28:06, dead-band 3 s
        ("03:28:09 Z", "NO CALL NEEDED: the change is below the dead-band."),
        ("03:28:10 Z", "NO CALL YET: ANTHEM IS LATE."),
        (
            "03:28:11 Z",
            "ANTHEM NOT STARTED: no time and no speed is proposed on a cue that nobody has heard.",
        ),
    ],
)
def test_a_late_cue_is_told_as_the_clock_page_has_it(now, headline_words):
    assert words_of(answer(heard=PARADED, now=now)) == headline_words


@pytest.mark.parametrize(
    ("parade", "now", "said"),
    [
        ("03:24:30", "03:28:30", "GANNET, ANTHEM NOT STARTED."),
        ("03:24:30", "03:28:31", "GANNET, ANTHEM NOT STARTED. Return to the hold."),
        ("03:24:40", "03:28:30", "GANNET, ANTHEM NOT STARTED."),
        ("03:24:40", "03:28:31", "GANNET, ANTHEM NOT STARTED. Return to the hold."),
    ],
)
def test_in_the_run_in_what_speed_still_gives_counts_from_the_t_that_is_held(parade, now, said):
    """PARADE 10 s late that nobody told: ANTHEM is due 03:28:16 and overdue by 15 s at 03:28:31, but T is
    25 s later than the one held, as with a PARADE on time: more than speed gives then (above)."""
    found = answer(heard=(("PARADE", f"{parade} Z"),), now=f"{now} Z")
    assert (found.kind, found.call.say) == ("not started", said)


def test_a_time_that_prints_as_before_is_unchanged():
    """Whatever the fraction of the second: no line of new times reads ``x`` and ``was x``."""
    for now in range(20, 60, 2):
        found = answer(heard=(("ANTHEM", "03:28:12 Z"),), now=f"03:28:{now} Z")
        for label, at, kept in dict(lines_of(found, plan())).get("New times", []):
            assert kept.removeprefix("was ") != at[: len("03:28:40 Z")], (now, label)


def test_what_speed_gives_names_its_speeds():
    """The least of the run-in, 270, and the cap at the pass, 425 KGS, which is more than the 390 of the push
    table."""
    rows = dict(
        row
        for row in dict(lines_of(answer(slip="6", phase="inbound", heard=STARTED), plan()))[""]
        if len(row) == 2
    )
    given = "11.1 s earlier to 27.1 s later, by speeds from 270 to 425 KGS"  # 11.187 and 27.188 s, see above
    assert rows["Speed alone gives"] == given
    assert "Speed alone gives" not in rows_of(answer(slip="300"), plan())


def test_a_time_beyond_a_limit_has_the_words_that_ask_first_and_is_not_clear():
    """As the clock page asks it: no clock time that could be taken for a change."""
    plan = plan_of("tests/data/no-hold.yaml")
    found, _ = wanted(plan, Typed(slip="90", heard=(("SPEECH", "10:52:00 Z"),)))
    answer, _ = retime(plan, found)
    assert answer.kind == "slow" and answer.limit[0] == "TOO LATE" and not answer.clear
    assert answer.ask_first.say == (
        "PTARMIGAN, COALFACE. Question only, true time stands."
        " Ceremony one minute three zero seconds late. Can you"
        " accept it?"
    )


@pytest.mark.parametrize(
    "typed", [Typed(slip="30", phase="holding"), Typed(slip="30", told=(("hold", "10:53 Z"),))]
)
def test_no_flight_is_in_a_hold_that_there_is_none_of(typed):
    found, problems = wanted(plan_of("tests/data/no-hold.yaml"), typed)
    assert found is None and "the pass has no hold" in " ".join(p.message for p in problems)


def test_too_late_on_a_cue_not_heard_says_what_it_is_held_against():
    """SPEECH is expected at 10:52:20 Z, 20 s slipped, and unheard at the IP, 10:54:34 Z less the relay of 10
    s: over 2 min late, so T lies after the 80 s that are accepted."""
    plan = plan_of("tests/data/no-hold.yaml")
    found, _ = wanted(plan, Typed(slip="20", phase="running-in", unheard=("SPEECH",)))
    answer, _ = retime(plan, found)
    said = " ".join(" ".join(row) for _, rows in lines_of(answer, plan) for row in rows)
    assert "SPEECH not heard by 10:54:24 Z: T 11:02:" in said and "later than the flight accepts" in said
    assert "the hold" not in said and "leave-hold" not in said


def test_too_late_to_tell_a_time_proposes_no_words(capsys, checked_once):
    """The mission's abort words stand apart, for a pass that must be stopped."""
    asked = ["--heard", "ANTHEM", "03:28:06 Z", "--slip", "30", "--now", "03:29:40 Z"]
    assert run(["retime", str(REGATTA), *asked]) == 1
    out = capsys.readouterr().out
    assert out.startswith("TOO LATE TO TELL A TIME: ABORT only if the pass must be stopped.")
    assert "Only to stop the pass  GANNET ABORT ABORT" in out and "Words" not in out


def test_what_is_not_entered_may_have_been_heard(capsys, checked_once):
    """PARADE is planned for 03:24:30, so with T 10 s later it is expected at 03:24:40."""
    for asked in (["--slip", "10", "--phase", "running-in"], ["--to", "03:30:12 Z", "--now", "03:28:30 Z"]):
        assert run(["retime", str(REGATTA), *asked]) == 2
        out = capsys.readouterr()
        assert out.out == "" and "PARADE was planned for 03:24:30 Z" in out.err
        assert "expected at 03:24:40 Z" in out.err
        assert "add --heard PARADE TIME, or --unheard PARADE" in out.err
        assert run(["retime", str(REGATTA), *asked, "--unheard", "parade"]) == 1
        assert "GANNET, PARADE NOT STARTED." in capsys.readouterr().out


@pytest.mark.parametrize(
    ("slip", "at", "kind"),
    [("2", "03:29:40 Z", "no call"), ("9", "03:29:40 Z", "abort only"), ("9", "03:30:02 Z", "over")],
)
def test_once_nothing_can_be_told_nothing_is_asked(slip, at, kind):
    found = answer(slip=slip, now=at)
    assert (found.kind, found.call.say) == (kind, "")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--unheard", "PARAD"], "--unheard: the script has no cue or mark"),
        (
            ["--heard", "PARADE", "03:24:30 Z", "--unheard", "PARADE"],
            "PARADE is given with --heard and with --unheard",
        ),
        (
            ["--heard", "PARADE", "03:24:30 Z", "--heard", "parade", "03:24:40 Z"],
            "--heard PARADE is given for 03:24:30 Z and 03:24:40 Z",
        ),
    ],
)
def test_a_cue_is_unheard_by_its_name(capsys, checked_once, arguments, words):
    assert run(["retime", str(REGATTA), "--slip", "5", *arguments]) == 2
    assert words in capsys.readouterr().err


def test_accepted_slip_is_not_judged_again_at_the_time_told():
    """Without a hold 80 s late is accepted of the plan, and speed gives it. T 20 s earlier is told: from
    there those 80 s would be 100 s, and nobody asks for them."""
    flown = plan_of("tests/data/no-hold.yaml")
    assert [g.verdict for g in flown.gates if g.id == "slip-late"] == ["PASS"]
    heard = (("SPEECH", "10:52:00 Z"),)  # as planned
    asked, problems = wanted(flown, Typed(slip="-20", now="10:52:01 Z", heard=heard))
    assert problems == []
    found = retime(flown, asked)[0]
    assert (found.kind, [g.id for g in found.failing]) == ("fast", [])


def rows_of(found, about) -> dict[str, list[str]]:
    return {row[0]: row[1:] for _, rows in lines_of(found, about) for row in rows}


@pytest.mark.parametrize(
    ("now", "words"),
    # start: leave-hold 13:26:48; a call is read back 10 s after it is made
    [("13:25:00 Z", "from leave-hold on, 13:26:48 Z, hold"), ("13:26:40 Z", "at once, hold")],
)
def test_no_speed_is_changed_in_the_hold(now, words):
    start = plan_of("missions/start.yaml")
    asked, problems = wanted(start, Typed(slip="30", now=now))
    assert problems == []
    assert f"change to it {words}" in rows_of(retime(start, asked)[0], start)["Ground speed"][1]


# start: T 13:30:00, relay 10 s. Only the abort words after T-90 s: after 13:28:30 of that T, 13:28:10 of a T
# 20 s earlier, 13:28:22 of one 8 s earlier. By speed alone, from 240 to 329 KGS, both are given until later.
@pytest.mark.parametrize(
    ("slip", "now", "kind", "until"),
    [
        ("-20", "13:28:00", "fast", "13:28:10"),
        ("-20", "13:28:01", "unable", "13:28:10"),
        ("-20", "13:28:18", "unable", "13:28:10"),
        ("-8", "13:28:12", "fast", "13:28:22"),
        ("-8", "13:28:13", "unable", "13:28:22"),
        ("8", "13:28:20", "slow", "13:28:30"),
        ("8", "13:28:21", "abort only", "13:28:30"),
        ("-8", "13:28:21", "abort only", "13:28:30"),
        ("-2", "13:28:18", "no call", None),
    ],
)
def test_an_earlier_t_is_told_no_later_than_its_own_abort_only_time(slip, now, kind, until):
    silent = plan_edited("start", ("event.pass.abort_only_after", "T-90 s"))
    found = retime(silent, wanted(silent, Typed(slip=slip, now=f"{now} Z"))[0])[0]
    by = None if until is None else datetime.fromisoformat(f"2027-06-12T{until}+00:00")
    assert (found.kind, found.until) == (kind, by)
    if kind == "unable":
        assert found.reason == "read back after the abort-only time of the new T"


def plan_edited(name, *edits):
    made, found = make_plan(load_mission(REPOSITORY / "missions" / f"{name}.yaml", edits)[0])
    assert made is not None, found
    return made


@pytest.mark.parametrize(
    ("slip", "now", "shown"),
    [
        ("90", None, "03:31:02 Z"),  # T 03:31:32, less 30 s
        ("-30", None, "03:29:02 Z"),
        ("-6", "03:28:10 Z", "03:29:26 Z"),  # by speed
    ],
)
def test_the_abort_only_time_moves_with_t(slip, now, shown):
    found = answer(slip=slip, now=now, heard=STARTED if now else ())
    words = rows_of(found, plan())["Abort only after"]
    assert words[0].startswith(shown) and words[1] == "was 03:29:32 Z"


def test_a_mission_without_an_abort_only_time_shows_none():
    free = plan_edited("start", ("event.pass.abort_only_after", ""))
    assert "Abort only after" not in rows_of(retime(free, wanted(free, Typed(slip="60"))[0])[0], free)


@pytest.mark.parametrize("slip", ["370", "10", "-20", "420"])
def test_a_slip_that_has_no_row_is_not_as_printed(slip):
    """The rows are of 30 s, 1, 2, 3, 5 and 10 min."""
    found = rows_of(answer(slip=slip), plan())
    assert found["Laps"][1] == "worked out by the flight: no row is printed for it"
    assert "Worked out until" in found and "As printed until" not in found


def test_a_mark_that_is_past_is_missed_and_not_next():
    """VERSE2 of the choir is 70 s into it, 12:37:40; VERSE3 140 s, 12:38:50."""
    fair = plan_of("missions/lantern-fair.yaml")
    heard = (("SPEECH", "12:33:00 Z"), ("CHOIR", "12:36:30 Z"))
    asked, problems = wanted(fair, Typed(heard=heard, now="12:38:00 Z"))
    assert problems == []
    found = rows_of(retime(fair, asked)[0], fair)
    assert found["Not heard"] == ["VERSE2, expected 12:37:40 Z"]
    assert found["Expected next"] == ["VERSE3, 12:38:50 Z"]


def test_a_flight_that_holds_has_not_left():
    found = answer(slip="0", now="03:29:00 Z", told=(("hold", "03:26:06 Z"),), unheard=("PARADE",))
    assert "Briefed for it after leave-hold" not in rows_of(found, plan())


def test_a_cue_unheard_is_asked_about_from_when_it_is_missed(capsys, checked_once):
    """PARADE, planned 03:24:30, spreads by 10 s: missed after more than twice that, from 03:24:51 on, read
    back 10 s later."""
    assert run(["retime", str(REGATTA), "--unheard", "PARADE"]) == 1
    out = capsys.readouterr().out
    assert "Overdue" in out and "PARADE, expected 03:24:30 Z" in out and "read back at 03:25:01 Z" in out


@pytest.mark.parametrize(
    ("heard", "spread"),
    [
        # the rest of 46 s at 4/116 of pace, LINE4's own second in it: 46 / sqrt(841 + 4900) = 0.6 s
        ((("ANTHEM", "03:28:06 Z"), ("LINE4", "03:29:16 Z")), "1 s"),
        # LINE2 8 s late against them: 8 s, and ANTHEM 0 s off, root of the mean square 5.7 s
        ((("ANTHEM", "03:28:06 Z"), ("LINE2", "03:28:38 Z"), ("LINE4", "03:29:16 Z")), "6 s"),
    ],
)
def test_marks_that_contradict_each_other_give_their_spread(heard, spread):
    marks = tuple(name for name, _ in heard[1:])  # LINE2 is off the pace, LINE4 off LINE2's
    found = answer(heard=heard, sure=marks)
    rows = dict(row for row in dict(lines_of(found, plan()))[""] if len(row) == 2)
    assert rows["Predicted true time"] == f"03:30:02 Z, give or take {spread} (one standard deviation)"


def test_leave_hold_has_one_time():
    """03:28:20.579 is the event of 03:28:21 in every table; what must be said before it goes down, to :10."""
    found = answer(slip="0", now="03:24:58 Z", unheard=("PARADE",))
    rows = dict(row for row in dict(lines_of(found, plan()))[""] if len(row) == 2)
    assert rows["Say by"] == "03:28:10 Z: leave-hold 03:28:21 Z"
