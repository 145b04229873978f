"""Between which ground speeds the flight changes its arrival, and how the push table's own bound differs from
that: every product names both alike."""

from __future__ import annotations

from math import floor

from briefgen.airmath.authority import Authority as Left
from briefgen.brief.wording import format as words
from briefgen.plan.model import Authority, EventPlan, PushRow, SpeedFix


def span_words(event: EventPlan) -> str:
    """``by speeds from 270 to 425 KGS``."""
    low, high = event.chain.window.minimum_kt, event.chain.window.maximum_kt
    return f"by speeds from {words.knots_bare(low)} to {words.speed_kt(high, 'KGS')}"


def fix_words(fix: SpeedFix) -> str:
    """``113 to 143``: the ground speed for a change told at once, and for one told at its last moment; one
    figure where both are the same. Empty where it can't be flown."""
    ends = [words.knots_bare(kt) for kt in (fix.gs_kt, fix.last_gs_kt) if kt is not None]
    return "" if fix.gs_kt is None else " to ".join(dict.fromkeys(ends))


def reach_s(left: Authority | Left) -> tuple[int, int]:
    """Whole seconds earlier and later that speed still gives, down: what is told can be flown."""
    return floor(left.early_s), floor(left.late_s)


def late_words(row: PushRow) -> str:
    """``10 s early``, ``on time``: a row of the push table, against the SET time."""
    if row.late_s == 0:
        return "on time"
    return f"{words.duration(abs(row.late_s))} {'late' if row.late_s > 0 else 'early'}"


def push_bound(event: EventPlan) -> str:
    """``the push table goes to 390 KGS only``; empty where it goes as far as a change by speed, or there is
    no push-up."""
    bound = words.speed_kt(event.push_up_to_kt, "KGS")
    return f"the push table goes to {bound} only" if event.pushes_to_less else ""


def allowed_beyond(event: EventPlan) -> str:
    """``allowed: 425 KGS``, beside a push table that goes to less; empty where it goes as far."""
    return f"allowed: {words.speed_kt(event.chain.window.maximum_kt, 'KGS')}" if event.pushes_to_less else ""
