"""A change that is flown by speed after leave-hold (without a hold: from the IP): the plan that results, and
in words what its fuel stands on."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.brief.wording.format import duration, speed_kt
from briefgen.core.diagnostics import Diagnostic, KeyPath, has_errors
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.build import fly, judged
from briefgen.plan.by_speed import BySpeed, SpeedCall, flown_by_speed
from briefgen.plan.sortie import Plan


def plan_by_speed(
    base: Mission, final: Mission, calls: Sequence[SpeedCall], origin: datetime, of: KeyPath
) -> tuple[tuple[Plan, str] | None, list[Diagnostic]]:
    """The judged plan of ``flown_by_speed``, with what its fuel stands on, or why there is none."""
    told, problems = fly(final, tables=False)
    if told is None or has_errors(problems):
        return None, problems
    found, problems = flown_by_speed(base, told, calls, origin, of)
    return (None if found is None else (judged(found.sortie, [])[0], _basis(found))), problems


def _basis(found: BySpeed) -> str:
    if not found.stretches:
        return f"NOT CHECKED: {_no_flow(found)}"
    if found.sortie.fuel is None:
        lacking = found.lacking[0].message if found.lacking else "the mission does not give what fuel needs"
        return f"NOT CHECKED: {lacking}"
    parts = [
        f"{duration((s.end - s.start).total_seconds())} at {speed_kt(s.speed_kt, 'KGS')} with the flow"
        f" {s.flow}"
        for s in found.stretches
    ]
    which = "this speed" if len(parts) == 1 else "these speeds"
    return f"by time only: {', then '.join(parts)}; no flow is given for {which}"


def _no_flow(found: BySpeed) -> str:
    if found.too_fast_kt is None:
        return "how the flight flies its change of speed isn't known"
    given = speed_kt(found.moved.push_up_to_kt, "KGS")
    return f"{speed_kt(found.too_fast_kt, 'KGS')} is faster than the {given} up to which a flow is given"
