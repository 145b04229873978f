"""Between which ground speeds the flight changes its arrival, and how the push table's own bound differs from
that: every product names both alike.

The push table goes to ``push_up_to``, which is planned; a change by speed goes to the least of the aircraft's
and the unit's caps, which is allowed.
"""

from __future__ import annotations

from datetime import datetime

from briefgen.brief.wording import format as words
from briefgen.plan.model import EventPlan


def speed_span(event: EventPlan) -> tuple[float, float]:
    """Ground speeds between which the speed is changed, knots; where no limit is known, the planned ones."""
    low = event.minimum_gs_kt if event.minimum_gs_kt is not None else event.run_in_kt
    return min(
        low, event.run_in_kt
    ), event.maximum_gs_kt if event.maximum_gs_kt is not None else event.push_up_to_kt


def span_words(event: EventPlan) -> str:
    """``by speeds from 270 to 425 KGS``."""
    low, high = speed_span(event)
    return f"by speeds from {words.knots_bare(low)} to {words.speed_kt(high, 'KGS')}"


def told_until(event: EventPlan, until: datetime) -> datetime:
    """The last moment to read back a change by speed: until then speed gives it, and after the abort-only
    moment only the abort words are taken in."""
    last = event.abort.last_begin if event.abort is not None else None
    return until if last is None else min(until, last)


def _pushes_to_less(event: EventPlan) -> bool:
    return event.push is not None and event.push_up_to_kt < speed_span(event)[1]


def push_bound(event: EventPlan) -> str:
    """``the push table goes to 390 KGS only``; empty where it goes as far as a change by speed, or there is
    no push-up."""
    bound = words.speed_kt(event.push_up_to_kt, "KGS")
    return f"the push table goes to {bound} only" if _pushes_to_less(event) else ""


def allowed_beyond(event: EventPlan) -> str:
    """``allowed: 425 KGS``, beside a push table that goes to less; empty where it goes as far."""
    return f"allowed: {words.speed_kt(speed_span(event)[1], 'KGS')}" if _pushes_to_less(event) else ""
