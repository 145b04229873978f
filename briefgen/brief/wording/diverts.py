"""The diverts as cards and slides list them: seen from where, in which order, open until when."""

from __future__ import annotations

from datetime import date

from briefgen.brief.wording import format as words
from briefgen.plan.model import Point
from briefgen.plan.route.air import point_of
from briefgen.plan.route.diverts import Divert, diverts_from
from briefgen.plan.sortie import Plan

CLOSED = "CLOSED then"


def divert_start(plan: Plan) -> Point:
    """Where they are seen from: the centre; without an event where the way home begins, the end of the last
    leg before the recovery; without that the base."""
    if plan.event is not None:
        return plan.event.centre
    home = next(
        (phase.leg for phase in plan.clock.phases if phase.leg is not None and phase.leg.kind == "recovery"),
        None,
    )
    return home.start if home else point_of(plan.mission, plan.mission.base.id)


def nearest_first(plan: Plan) -> list[Divert]:
    """Every divert from there, the nearest first."""
    return sorted(diverts_from(plan, divert_start(plan)), key=lambda divert: divert.distance_nm)


def open_words(plan: Plan, id: str, day: date) -> str | None:
    """For a column headed Z, the hours that hold the last landing: ``until 11:00``, ``18:30 to 23:00`` where
    it opens after take-off, a date where it isn't ``day``; ``CLOSED then``; ``H24``; None where no hours are
    given."""
    hours = plan.mission.times.open_hours.get(id, ())
    if id in plan.mission.times.round_the_clock:
        return "H24"
    if not hours:
        return None
    window = next((window for window in hours if window.contains(plan.clock.last_landing)), None)
    if window is None:
        return CLOSED
    if window.start <= plan.clock.takeoff:
        end = words.time_limit(window.end, "latest", seconds=False)
        return f"until {words.clock_bare(end, day=day, seconds=False)}"
    return words.hours_z(window.start, window.end, day=day, bare=True)
