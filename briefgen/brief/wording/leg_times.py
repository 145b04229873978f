"""How long legs take, as the instants beside them are printed: a difference of printed instants, so that a
table adds up."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from briefgen.brief.wording import format as words
from briefgen.plan.model import Leg
from briefgen.plan.sortie import Plan


def flown_between(plan: Plan, legs: Sequence[Leg]) -> tuple[datetime, datetime] | None:
    """When the first of some legs begins and the last ends as planned; None for legs that the clock doesn't
    have."""
    phases = [
        phase
        for phase in plan.clock.phases
        if any(phase.leg is leg for leg in legs) and phase.end - phase.start > timedelta()
    ]
    return (min(phase.start for phase in phases), max(phase.end for phase in phases)) if phases else None


def legs_s(plan: Plan, legs: Sequence[Leg]) -> float:
    """Seconds of legs flown one after the other; of a run-in that is pushed up those to T."""
    flown = flown_between(plan, legs)
    return sum(leg.time_s for leg in legs) if flown is None else words.between_s(*flown)
