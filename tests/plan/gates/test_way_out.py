"""Without a way to the area nothing that is timed from take-off on passes, up to the first pass."""

from __future__ import annotations

import pytest

from tests.plan.gates.gate_reading import gates

NO_WAY = (("departure", ""),)
TIMED = ("t-reachable", "hold-minimum", "hold-maximum", "area-entry", "area-exit", "set-ups", "end-by")


@pytest.mark.parametrize("id", TIMED)
def test_what_is_timed_from_takeoff_needs_the_way_to_the_area(id):
    gate, given = gates("start", NO_WAY)[id], gates("start")[id]
    assert (given.verdict, given.piece) == ("PASS", gate.piece)
    assert (gate.verdict, gate.settled_by) == ("NOT CHECKED", ("departure",))


def test_what_fails_without_the_way_fails_still():
    """Take-off at 13:20 Z, then training of 3 + 3 x 7 + 2 min; the hold must be left by 13:27 Z."""
    late = (*NO_WAY, ("ground_ops.takeoff", "14:20:00 base"))
    assert gates("start", late)["t-reachable"].verdict == "FAIL"


def test_a_pass_behind_another_is_timed_from_that_one():
    """Of three harbours the departure, the first section of the flow, is left out."""
    found = gates("three-harbours", (("flow.1", ""),))
    of_t = {id: gate.verdict for id, gate in found.items() if gate.rule == "t-reachable"}
    first, *others = of_t.values()
    assert first == "NOT CHECKED" and set(others) == {"PASS"}


SOLVED = ("ground_ops.takeoff", "")  # else typed: 12:37:00


@pytest.mark.parametrize("id", ["forecast-from", "daylight-takeoff"])
@pytest.mark.parametrize(
    ("edits", "verdict"),
    [(NO_WAY, "PASS"), ((SOLVED,), "PASS"), ((*NO_WAY, SOLVED), "NOT CHECKED")],
)
def test_a_takeoff_needs_the_way_only_where_it_is_worked_back_from_t(id, edits, verdict):
    assert gates("regatta", edits)[id].verdict == verdict


@pytest.mark.parametrize(
    ("name", "edits", "said"),
    [
        (
            "start",
            (*NO_WAY, ("ground_ops.takeoff", "14:20:00 base")),
            "the flight reaches the hold ",
        ),  # as above
        # the first row of this gate that fails: there in time, for less than a lap
        ("regatta", (("ground_ops.takeoff", "12:43:30 base"),), "no whole number of laps makes a wait of "),
    ],
)
def test_why_t_is_not_reached(name, edits, said):
    assert gates(name, edits)["t-reachable"].value.startswith(said)
