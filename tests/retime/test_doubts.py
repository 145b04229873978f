"""What ``retime`` asks before it gives any words: a cue early or out of order, a time of another clock, a
phase that is over."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from briefgen.plan.build import make_plan
from briefgen.retime.answer import retime
from briefgen.retime.doubts import other_clock_s
from briefgen.retime.typed import Typed, wanted
from tests.planned import REPOSITORY, load_mission, plan_of

# missions/regatta.yaml: PARADE 03:24:30 (spread 10 s), ANTHEM 03:28:06 with LINE2 24 s and LINE4 70 s after
# it, T 03:30:02 Z. Its clocks: base and event both UTC+11, so one hour off and eleven are asked about.
REGATTA = "missions/regatta.yaml"


def codes(**typed) -> list[str]:
    return [problem.code for problem in wanted(plan_of(REGATTA), Typed(**typed))[1]]


@pytest.mark.parametrize(
    ("heard", "expected"),
    [
        ((("PARADE", "03:24:30 Z"), ("ANTHEM", "03:28:06 Z")), []),
        ((("ANTHEM", "03:28:06 Z"),), []),  # PARADE's window ended half-way to ANTHEM
        ((("ANTHEM", "03:29:06 Z"),), []),  # a late one is believed
        ((("ANTHEM", "03:28:06 Z"), ("PARADE", "03:28:30 Z")), ["heard-doubted"]),  # heard in another order
        ((("LINE4", "03:29:16 Z"),), ["heard-doubted"]),  # ANTHEM has not been heard
        # ANTHEM hangs on PARADE: early by more than twice its 10 s
        ((("PARADE", "03:24:30 Z"), ("ANTHEM", "03:27:46 Z")), []),
        ((("PARADE", "03:24:30 Z"), ("ANTHEM", "03:27:45 Z")), ["heard-doubted"]),
        ((("ANTHEM", "02:28:10 Z"),), ["heard-clock"]),  # an hour before
        ((("ANTHEM", "04:28:10 Z"),), ["heard-clock"]),  # an hour after, when T has passed
        ((("ANTHEM", "04:33:06 Z"),), ["heard-clock"]),  # 1 h 5 min after: just inside the five minutes
        ((("ANTHEM", "04:33:07 Z"),), []),
        # LINE2 24 s after ANTHEM by the script: more than a quarter, 6 s, off is asked about, early or late
        ((("ANTHEM", "03:28:14 Z"), ("LINE2", "03:28:31 Z")), ["heard-doubted"]),
        ((("ANTHEM", "03:28:06 Z"), ("LINE2", "03:28:24 Z")), []),
        ((("ANTHEM", "03:28:06 Z"), ("LINE2", "03:28:36 Z")), []),
        ((("ANTHEM", "03:28:06 Z"), ("LINE2", "03:28:37 Z")), ["heard-doubted"]),
    ],
)  # fmt: skip
def test_what_is_asked_about(heard, expected):
    assert codes(heard=heard) == expected


@pytest.mark.parametrize("off_h", [-11, -1, 1, 11])
def test_the_time_that_a_cue_by_another_clock_would_be_is_told_and_taken(off_h):
    """ANTHEM is due at 03:28:06 Z, and was heard 4 s after it."""
    heard = f"2027-01-30 {3 + off_h:02}:28:10 Z" if off_h > -4 else "2027-01-29 16:28:10 Z"
    (doubt,) = wanted(plan_of(REGATTA), Typed(heard=(("ANTHEM", heard),)))[1]
    assert doubt.code == "heard-clock"
    assert 'write --heard ANTHEM "03:28:10 Z"; if not, add --sure ANTHEM' in doubt.help
    assert codes(heard=(("ANTHEM", "03:28:10 Z"),)) == []


@pytest.mark.parametrize(
    "heard", [(("LINE4", "03:29:16 Z"),), (("ANTHEM", "02:28:10 Z"),), (("PARADE", "03:23:30 Z"),)]
)
def test_a_doubt_ends_with_somebodys_word(heard):
    assert codes(heard=heard) != []
    assert codes(heard=heard, sure=(heard[0][0].lower(),)) == []


@pytest.mark.parametrize(
    ("heard", "message", "instead"),
    [
        # LINE4 before ANTHEM was heard: the two may be mistaken for each other
        (("LINE4", "03:29:16 Z"), "--heard LINE4: 03:29:16 Z: ANTHEM or LINE4?", "if it was ANTHEM, write "),
        (("PARADE", "03:23:30 Z"), "--heard PARADE: 03:23:30 Z: PARADE already?", "if it was PARADE, add "),
    ],
)
def test_a_doubt_names_the_other_cue_where_there_is_one(heard, message, instead):
    (doubt,) = wanted(plan_of(REGATTA), Typed(heard=(heard,)))[1]
    assert doubt.message == message and doubt.help.startswith(instead)


@pytest.mark.parametrize("at", ["03:28:06 Z", "03:29:30 Z"])  # PARADE 216 s or 300 s late, or ANTHEM
def test_a_cue_behind_one_that_was_not_heard_is_asked_about(at):
    """A parade that halts 216 s late halts when the anthem was to begin; the mend offered is taken."""
    (doubt,) = wanted(plan_of(REGATTA), Typed(heard=(("ANTHEM", at),), unheard=("parade",)))[1]
    assert (doubt.code, doubt.message) == ("heard-doubted", f"--heard ANTHEM: {at}: PARADE or ANTHEM?")
    assert f'--heard PARADE "{at}" and leave --unheard PARADE out' in doubt.help
    assert codes(heard=(("PARADE", at),)) == []
    assert codes(heard=(("ANTHEM", at),), unheard=("PARADE",), sure=("ANTHEM",)) == []


def test_every_cue_that_was_not_heard_is_offered():
    """A speech, planned at 03:22:00, that begins when the anthem was to: each mend offered is taken."""
    spoken = ("event.script.SPEECH", "{says: Speech begins, time: 14:22:00 event, spread: 10 s}")
    plan, _ = make_plan(load_mission(REPOSITORY / REGATTA, [spoken])[0])
    at, both = "03:28:06 Z", ("SPEECH", "PARADE")
    (doubt,) = wanted(plan, Typed(heard=(("ANTHEM", at),), unheard=both))[1]
    assert doubt.message == f"--heard ANTHEM: {at}: SPEECH, PARADE or ANTHEM?"
    for cue in both:
        assert f'if it was {cue}, write --heard {cue} "{at}" and leave --unheard {cue} out; ' in doubt.help
    assert wanted(plan, Typed(heard=(("SPEECH", at),), unheard=("PARADE",)))[1] == []


def test_a_mark_off_the_pace_says_by_how_much():
    heard = (("ANTHEM", "03:28:14 Z"), ("LINE2", "03:28:31 Z"))
    (doubt,) = wanted(plan_of(REGATTA), Typed(heard=heard))[1]
    assert doubt.message == "--heard LINE2: 03:28:31 Z: LINE2 17 s after ANTHEM? By the script 24 s"
    assert codes(heard=heard, sure=("LINE2",)) == []


def test_only_what_was_heard_can_be_sure():
    assert codes(heard=(("ANTHEM", "03:28:06 Z"),), sure=("PARADE",)) == ["sure"]


def test_a_cue_on_the_time_of_ones_own_is_believed():
    """A ceremony that is a minute early, T moved by hand first: PARADE then comes on its time."""
    assert codes(heard=(("PARADE", "03:23:30 Z"),)) == ["heard-doubted"]
    assert codes(heard=(("PARADE", "03:23:30 Z"),), slip="-60") == []


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ({"to": "02:31:00 Z"}, ["time-clock"]),  # 59 min 2 s early
        ({"slip": "-3542"}, []),  # the same, said in seconds: no clock to mistake
        ({"to": "03:35:00 Z"}, []),
        ({"to": "03:40:30 Z"}, []),  # later than accepted, but of this hour
    ],
)
def test_a_new_time_of_another_clock_is_asked_about(typed, expected):
    assert codes(**typed) == expected


@pytest.mark.parametrize(
    ("to", "expected"),
    [
        # PARADE on time, said 03:24:35, read back 03:24:45; ANTHEM due 03:28:06 in truth
        ("03:24:00 Z", "when that is past"),
        ("03:24:45 Z", "when that is past"),
        # leaving the hold at once it is over the centre 1 min 42 s later, less what speed gives
        ("03:25:00 Z", "the flight can't be over the centre before"),
        ("03:29:32 Z", None),  # 30 s early
    ],
)
def test_a_true_time_that_is_past_or_out_of_reach_is_refused(to, expected):
    typed = Typed(to=to, heard=(("PARADE", "03:24:30 Z"),), now="03:24:35 Z")
    found = wanted(plan_of(REGATTA), typed)[1]
    assert [d.code for d in found] == (["past-time"] if expected else [])
    assert all(expected in d.why for d in found)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        # overhead at 03:30:02 Z; clocks there are 11 h ahead, so 14:20 there is 03:20 Z
        ({"now": "03:20:00 Z"}, None),
        ({"now": "14:20:00 Z"}, "03:20:00 Z"),
        ({"now": "04:20:00 Z"}, "03:20:00 Z"),
        ({"told": (("30", "04:20:00 Z"),), "now": "03:25:00 Z"}, "03:20:00 Z"),
    ],
)
def test_a_call_by_another_clock_is_asked_about(typed, meant):
    found = [d for d in wanted(plan_of(REGATTA), Typed(slip="60", **typed))[1] if d.code == "time-clock"]
    assert [meant in d.help for d in found] == [True] * (meant is not None)


def test_a_call_as_late_as_the_mission_accepts_is_believed():
    """T 03:30:02 Z: without more accepted, half an hour after it nothing is told."""
    late = (("event.accept_slip.late", "50 min"),)
    mission, _ = load_mission(REPOSITORY / REGATTA, late)
    plan, _ = make_plan(mission)
    for at, doubted in (("04:20:02 Z", False), ("04:20:03 Z", True)):
        found = wanted(plan, Typed(slip="60", now=at))[1]
        assert ("time-clock" in [d.code for d in found]) == doubted


def test_a_change_told_by_another_clock_is_asked_about_by_its_own_option_and_as_nothing_else():
    """Of two that were told the second is doubted, though the first can't be read; that a change can't be met
    an hour after T is no other cause."""
    told = (("soon", "03:20:00 Z"), ("30", "04:20:00 Z"))
    for given, others in ((told, ["slip"]), (told[1:], [])):
        found = wanted(plan_of(REGATTA), Typed(slip="60", told=given, now="03:25:00 Z"))[1]
        assert [d.code for d in found] == [*others, "time-clock"]
        assert found[-1].message == "--told 30 04:20:00 Z is no time of this flight"


@pytest.mark.parametrize(
    ("phase", "heard", "expected"),
    [
        # as the cards print: leave-hold 03:28:20, IP 03:28:41; what was heard is read back 10 s later
        ("holding", "03:28:06 Z", []),
        ("holding", "03:28:12 Z", ["phase-over"]),
        ("inbound", "03:28:06 Z", []),
        ("inbound", "03:28:40 Z", ["phase-over"]),
        ("running-in", "03:28:40 Z", []),
    ],
)
def test_a_phase_that_is_over_is_refused(phase, heard, expected):
    assert codes(heard=(("ANTHEM", heard),), phase=phase) == expected


@pytest.mark.parametrize(
    ("zones_off_s", "off_s", "expected"),
    [(3600.0, 3595.0, 3600.0), (3600.0, -3605.0, -3600.0), (3600.0, 3901.0, None), (3600.0, 0.0, None)],
)
def test_a_whole_hour(zones_off_s, off_s, expected):
    at = datetime(2027, 1, 30, 3, 0, tzinfo=UTC)
    assert other_clock_s(plan_of(REGATTA).mission, off_s, at) == expected


def test_a_flight_told_to_hold_is_asked_for_the_same_time_without_a_change():
    """PARADE as planned, so that T is the 03:30:02 Z that it held before."""
    typed = Typed(told=(("hold", "03:25:00 Z"),), heard=(("PARADE", "03:24:30 Z"),), now="03:25:30 Z")
    call = retime(plan_of(REGATTA), wanted(plan_of(REGATTA), typed)[0])[0].call
    assert call.say == (
        "GANNET, PIER. Can you accept true time zero three three zero zero two Zulu? Read back true time, or"
        " say unable."
    )
