"""A pass that is flown by speed: its rows follow one another without a gap, up to its T."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

import pytest

from briefgen.mission.edit.changes import with_takeoff
from briefgen.plan.build import fly
from briefgen.plan.by_speed import told_before
from tests.places import REPOSITORY
from tests.planned import load_mission


@pytest.mark.parametrize("later_s", [20, -15])
def test_a_flight_late_or_early_at_its_ip_flies_one_row_after_the_other(later_s):
    """Without a hold the flight knows at the IP that it comes late or early, and keeps T by speed from there:
    its run-in begins where the leg to the IP ends."""
    mission, _ = load_mission(REPOSITORY / "tests" / "data" / "no-hold.yaml")
    base = fly(mission, tables=False)[0]
    moved = with_takeoff(mission, base.clock.takeoff + timedelta(seconds=later_s))
    flown = told_before(base, fly(moved, tables=False)[0])
    assert flown.passes[0].true_time == base.passes[0].true_time
    for before, after in pairwise(flown.clock.phases):
        assert abs((after.start - before.end).total_seconds()) < 1e-3, (before.kind, after.kind)
