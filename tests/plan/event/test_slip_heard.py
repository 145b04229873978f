"""Accepted slips that nobody can tell in time: heard at the first cue, which comes as early or late as T."""

from __future__ import annotations

import pytest

from briefgen.plan.event.judge import flying_as_briefed, judge_unheard
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.slip_heard import flown_once_heard_s
from tests.plan.gates.gate_reading import gates, sortie

R = "regatta"
ALONE = (("event.script.PARADE", ""),)


def accepted(early: str, late: str):
    return (("event.accept_slip", f"{{early: {early}, late: {late}}}"),)


# Leave-hold is 03:28:20.6 Z, PARADE 03:24:30 and ANTHEM 03:28:06, ten seconds of relay each: from the
# read-back of a slip to the leave-hold that it asks for, both early by it, are 220.6 s and 4.6 s. In 4.6 s
# nothing of a lap is left, and speed alone gives 11.19 s early from leave-hold with ANTHEM heard when it is
# due (gate_rows.py), and more the earlier it is heard; HOLD is said for what is late by more than 27.19 s
# only, and the flight has left the hold by then.
ROWS = [
    ((), "PASS"),
    (accepted("60 s", "10 min"), "PASS"),
    (accepted("2 min", "10 min"), "CAUTION"),
    ((*ALONE, *accepted("0 s", "0 s")), "PASS"),
    ((*ALONE, *accepted("10 s", "25 s")), "PASS"),
    ((*ALONE, *accepted("20 s", "25 s")), "CAUTION"),
    ((*ALONE, *accepted("10 s", "40 s")), "CAUTION"),
    ((*ALONE, *accepted("10 s", "10 min")), "CAUTION"),
]


@pytest.mark.parametrize(("edits", "verdict"), ROWS, ids=str)
def test_a_slip_that_is_heard_too_late_is_a_caution(edits, verdict):
    gate = gates(R, edits)["cue-first"]
    assert gate.verdict == verdict
    assert (gate.cause == ("event", "accept_slip")) == (verdict == "CAUTION")
    assert gate.why.startswith("once ") if verdict == "CAUTION" else gate.why == ""


@pytest.mark.parametrize("name", ["lantern-fair", R])
def test_the_span_is_that_of_the_rulings(name):
    """Every second in it can be told once the first cue is heard, and the one before it can't."""
    event = sortie(name, accepted("4 min", "4 min")).passes[0]
    early, late = flown_once_heard_s(event, 240.0, 240.0)
    motion = motion_of(event)
    now = flying_as_briefed(motion)
    relay_s, cues = event.section.event.relay_s, {cue.id: cue for cue in event.cues}

    def kind(slip_s: int) -> str:
        first, last = (
            motion.seconds(cue.at) + relay_s + slip_s for cue in (event.cues[0], cues[event.cue_check.cue])
        )
        return judge_unheard(now, slip_s, first, event.cue_check.cue, last).kind

    lost = [slip for slip in range(early, 0) if kind(slip) == "unable"]
    holes = [slip for slip in lost if any(low <= slip <= high for low, high in event.reach_s)]
    assert holes == [] and kind(early - 1) == "unable" and -240 < early < 0 < late
