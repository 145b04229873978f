"""A flight that was told to hold and has left the hold all the same: ``--told left``. It has no true time.

missions/regatta.yaml: T 03:30:02, leave-hold 03:28:20.6, so T as planned is 101.4 s after it; relay 10 s,
dead-band 3 s, abort only after T - 30 s, T at most 03:40:02. PARADE two minutes late, 03:26:30, makes ANTHEM
03:30:06 and T 03:32:02. Left at 03:29:00 the flight would be over the centre at 03:30:41.4, its abort-only
time 03:30:11.4; left at 03:30:30 at 03:32:11.4, abort-only time 03:31:41.4.
"""

from __future__ import annotations

import pytest

from briefgen.cli import run
from briefgen.retime.answer import retime
from briefgen.retime.data import retime_object
from briefgen.retime.report import headline, lines
from briefgen.retime.typed import Typed, wanted
from tests.places import REPOSITORY
from tests.planned import plan_of

pytestmark = pytest.mark.usefixtures("one_plan_a_text")
REGATTA = "missions/regatta.yaml"
LATE = (("PARADE", "03:26:30 Z"),)
SUNG = (*LATE, ("ANTHEM", "03:28:50 Z"))
WHICH = "GANNET, PIER. Which true time do you fly? Question only: true time {} Zulu?"
AT_0341 = "zero three three zero four one"


def typed_of(left: str, now: str, *more: tuple[str, str], heard, **typed) -> Typed:
    told = (("hold", "03:25:18 Z"), ("left", f"{left} Z"), *more)
    sure = ("ANTHEM",) if heard == SUNG else ()  # sooner after PARADE than expected
    return Typed(told=told, now=f"{now} Z", heard=heard, sure=sure, **typed)


def answered(typed: Typed):
    asked, problems = wanted(plan_of(REGATTA), typed)
    assert problems == []
    return retime(plan_of(REGATTA), asked)[0]


def rows_of(found) -> dict[str, list[str]]:
    return {row[0]: row[1:] for _, rows in lines(found, plan_of(REGATTA)) for row in rows}


@pytest.mark.parametrize(
    ("left", "now", "heard", "kind", "say"),
    [
        ("03:29:00", "03:29:00", LATE, "ask", WHICH.format(AT_0341)),
        ("03:29:00", "03:30:01", LATE, "ask", WHICH.format(AT_0341)),
        # read back at 03:30:12, after the abort-only time
        ("03:29:00", "03:30:02", LATE, "abort only", ""),
        ("03:29:00", "03:30:40", LATE, "abort only", ""),
        ("03:29:00", "03:30:41", LATE, "over", ""),
        # with the time that it held before: a question all the same
        ("03:28:20", "03:28:30", SUNG[:1], "ask", WHICH.format("zero three three zero zero one")),
        ("03:29:00", "03:29:10", SUNG, "ask", WHICH.format(AT_0341)),
        # ANTHEM overdue beyond the dead-band: what is briefed for it, though speed might still make it good
        ("03:30:30", "03:30:31", LATE, "not started", "GANNET, ANTHEM NOT STARTED. Return to the hold."),
        ("03:28:15", "03:28:30", (), "not started", "GANNET, PARADE NOT STARTED. Return to the hold."),
        # out at 03:36:30 and back at the earliest 03:39:50, it is over the centre after 03:40:02
        ("03:36:30", "03:36:40", LATE, "not started", "GANNET, ANTHEM NOT STARTED. Go home."),
    ],
)
def test_a_flight_that_has_left_is_asked_or_told_what_is_briefed(left, now, heard, kind, say):
    found = answered(typed_of(left, now, heard=heard, unheard=() if heard else ("PARADE",)))
    assert (found.kind, found.call.say, found.new_true, found.change_s) == (kind, say, None, 0.0)
    assert rows_of(found)["Condition"] == [f"TOLD TO HOLD, LEFT AT {left} Z: it has no true time"]


def test_its_answer_may_be_another_time():
    found = answered(typed_of("03:29:00", "03:29:10", heard=LATE))
    assert found.call.read_back == f"GANNET, true time {AT_0341} Zulu, or the one that it flies."


def test_what_is_briefed_stands_beside_the_words():
    found = answered(typed_of("03:30:30", "03:30:31", heard=LATE))
    assert rows_of(found)["Briefed for it after leave-hold"] == ["RETURN TO THE HOLD"]
    assert "HOME FROM HOLD" not in rows_of(found)


def test_machines_read_the_time_as_a_question():
    found = retime_object(answered(typed_of("03:29:00", "03:29:10", heard=LATE)), plan_of(REGATTA))
    assert (found["new_true"], found["old_true"][:19]) == (None, "2027-01-30T03:30:02")
    assert found["question"].startswith("2027-01-30T03:30:41") and found["times"] is None
    assert [call["left"] for call in found["earlier"]] == [False, True]


def test_a_time_beyond_a_limit_is_shown_as_such():
    """Left at 03:38:30: 03:40:11, nine seconds later than is accepted."""
    heard = (("PARADE", "03:34:30 Z"), ("ANTHEM", "03:38:06 Z"))
    found = answered(typed_of("03:38:30", "03:38:31", heard=heard))
    assert found.limit[0] == "TOO LATE" and headline(found).startswith(
        "TOO LATE: ask first. ASK THE FLIGHT: "
    )
    assert found.call.say == WHICH.format("zero three four zero one one")


@pytest.mark.parametrize(
    ("told", "now", "heard", "kind", "old_true", "change_s"),
    [
        # it flies 03:30:41, 39 s later than before HOLD; ANTHEM 03:28:50 makes 03:30:46
        ((("39", "03:29:20 Z"),), "03:29:25", SUNG, "slow", "03:30:41", 5.0),
        # 81 s later than speed can give
        ((("39", "03:29:20 Z"),), "03:29:25", LATE, "unable", "03:30:41", 81.0),
        # it flies another time, 03:30:50, by speeds that only it knows
        ((("48", "03:29:20 Z"),), "03:29:25", SUNG, "ask", "03:30:50", -4.0),
        # nor is it in the hold again, however late that is
        ((("180", "03:29:20 Z"),), "03:30:00", SUNG, "unable", "03:33:02", -136.0),
        # back in the hold: asked for the time of the ceremony, but not before it can be there
        ((("hold", "03:29:20 Z"),), "03:29:30", SUNG, "unable", "03:30:02", 44.0),
    ],
)
def test_what_it_answered_counts(told, now, heard, kind, old_true, change_s):
    found = answered(typed_of("03:29:00", now, *told, heard=heard))
    assert (found.kind, f"{found.old_true:%H:%M:%S}", found.change_s) == (kind, old_true, change_s)


@pytest.mark.parametrize(
    ("told", "now", "code"),
    [
        ((("left", "03:29:00 Z"),), "03:29:10 Z", "told-left"),  # it was not told to hold
        ((("hold", "03:25:18 Z"), ("300", "03:26:00 Z"), ("left", "03:29:00 Z")), "03:29:10 Z", "told-left"),
        ((("hold", "03:25:18 Z"), ("left", "03:29:00 Z"), ("left", "03:29:05 Z")), "03:29:10 Z", "told-left"),
        ((("left", "03:25:00 Z"), ("hold", "03:25:18 Z")), "03:29:10 Z", "told-left"),
        ((("hold", "03:25:18 Z"), ("left", "03:25:10 Z")), "03:29:10 Z", "told-order"),
        ((("hold", "03:25:18 Z"), ("left", "03:29:00 Z")), "03:28:40 Z", "told-later"),
    ],
)
def test_what_cannot_have_been(told, now, code):
    asked, problems = wanted(plan_of(REGATTA), Typed(told=told, now=now, heard=LATE))
    assert asked is None and [problem.code for problem in problems] == [code]


def test_no_flight_leaves_a_hold_that_there_is_none_of():
    told = (("hold", "10:53 Z"), ("left", "10:54 Z"))
    _, problems = wanted(plan_of("tests/data/no-hold.yaml"), Typed(slip="0", told=told))
    messages = {problem.message for problem in problems}
    assert messages >= {f"--told {word}: the pass has no hold" for word in ("hold", "left")}


def test_on_the_command_line(capsys):
    told = ["--told", "HOLD", "03:25:18 Z", "--told", "Left", "03:29:00 Z"]
    asked = ["--heard", "PARADE", "03:26:30 Z", "--now", "03:29:10 Z"]
    assert run(["retime", str(REPOSITORY / REGATTA), *told, *asked]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert out.startswith(
        "ASK THE FLIGHT: it left the hold without a true time, so only the flight knows which one it flies."
    )
    assert "TOLD TO HOLD, LEFT AT 03:29:00 Z: it has no true time" in out
    assert "Question only: true time zero three three zero four one Zulu?" in out
    assert "held until it was told to hold" not in out
