"""How near the ships come to the spectators, to the side. Lines are laid out with pyproj along and across the
run-in of the regatta: ship 2 flies 30 ft left, ships 3 and 4 30 and 60 ft right of the leader."""

from __future__ import annotations

import pytest

from briefgen.brief.wording.consequences import consequence
from tests.plan.gates.gate_reading import gates, sortie
from tests.plan.gates.test_obstacles_beside_the_track import beside_the_run_in


def line(one: tuple[float, float], other: tuple[float, float]) -> tuple[tuple[str, str], ...]:
    """From one spot to another, each so many nm before the pontoon and so many ft to the right."""
    ends = (beside_the_run_in(before_nm=before, right_ft=right) for before, right in (one, other))
    return tuple((f"event.pass.crowd_line.{end}", at) for end, at in zip(("from", "to"), ends, strict=True))


def gate(edits, *more):
    return gates("regatta", (*edits, *more))["crowd-distance"]


OWN = ("limits.crowd_distance", "600 ft")


@pytest.mark.parametrize(
    ("one", "other", "away_ft"),
    [
        ((1.0, 700), (0.5, 700), 640),  # alongside, 60 ft from the leader's track ship 4
        ((1.0, -700), (0.5, -700), 670),  # on the left ship 2
        ((1.0, 1000), (0.5, 650), 590),  # the nearer end counts
        ((0.3, -2000), (0.2, 2500), 0),  # across the run-in shortly before T
        ((-1.0, 2000), (-1.0, -2000), 0),  # across the egress
        ((0.5, 700), (0.4, 5000), 640),
    ],
)
def test_the_nearest_ship_counts(one, other, away_ft):
    assert gate(line(one, other)).value == pytest.approx(away_ft, abs=2)


@pytest.mark.parametrize(
    ("right_ft", "more", "verdict"),
    [(570, (), "PASS"), (550, (), "CAUTION"), (570, (OWN,), "FAIL"), (670, (OWN,), "PASS")],
)
def test_without_the_unit_s_own_it_is_a_caution_below_500_ft(right_ft, more, verdict):
    found = gate(line((1.0, right_ft), (0.5, right_ft)), *more)
    assert found.verdict == verdict
    assert found.basis == (("unit",) if more else ("default",))


def test_over_the_spectators_says_so():
    found = gate(line((0.3, -2000), (0.2, 2500)))
    assert (found.verdict, found.title) == ("CAUTION", "Spectators under the run-in, ship 1")


def test_spectators_are_what_is_at_stake_and_not_the_crew():
    found = gate(line((0.3, -2000), (0.2, 2500)))
    assert consequence(found) == "Spectators are hurt by what falls from a ship, or by a ship"


def test_the_page_s_distance_of_a_line_that_is_crossed_is_zero():
    assert sortie("regatta", line((0.3, -2000), (0.2, 2500))).the_pass.crowd.offset_nm == 0.0
