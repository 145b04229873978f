"""The T of a pass that is flown as early as it can be after the one before: the first whole second.

The legs lie without a clock, so this is settled once they do, from left to right: between a pass and its
repeat nothing gives.
"""

from __future__ import annotations

from datetime import timedelta
from math import ceil

from briefgen.mission.edit.changes import with_true_times
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.model.laid import Route
from briefgen.plan.timing.chain import forward_chain

SAME_S = 1e-6


def settled(mission: Mission, route: Route) -> Mission:
    """The mission with each such T, and those that follow it by a time that is written; itself where there is
    none."""
    if not any(section.earliest for section in mission.passes):
        return mission
    times, moved = {}, timedelta(0)
    before = None
    for stretch in route.stretches:
        if stretch.to is None:
            continue
        chain = stretch.to.chain
        section, planned = chain.section, chain.true_time
        if section.earliest and before is not None:
            ends = before.ends + (times[before.section.cause] - before.true_time)
            run_s = (planned - chain.ip_time).total_seconds()
            whole = ends.replace(microsecond=0)
            ready_s = (ends - whole).total_seconds() + forward_chain(mission, stretch, {}).seconds + run_s
            times[section.cause] = whole + timedelta(seconds=ceil(ready_s - SAME_S))
            moved = times[section.cause] - planned
        else:
            moved = moved if section.follows else timedelta(0)
            times[section.cause] = planned + moved
        before = chain
    return with_true_times(mission, times)
