"""What the ground contact can tell a flight that has no hold: so many seconds fast or slow, each until its
own time."""

from __future__ import annotations

from datetime import datetime, timedelta

from briefgen.brief.cards.common import grid
from briefgen.brief.cards.model import Grid, Lines
from briefgen.brief.wording import format as words
from briefgen.brief.wording.speed_span import reach_s, span_words
from briefgen.brief.wording.words import Words
from briefgen.plan.event.waits import TOO_EARLY, TOO_LATE, verdict
from briefgen.plan.model import EventPlan

TITLE = "When the ceremony slips"


def by_speed(w: Words, event: EventPlan) -> Grid | Lines:
    """SAY BY of each change that speed alone can make, and what it gives at most; without its limits, that
    the flight is asked."""
    if not event.speeds_known:
        asked = (
            "speed alone moves T, and what it gives is not known here. Ask the flight: fast or slow, so many"
            " seconds, or UNABLE."
        )
        return Lines(TITLE, (("No hold:", asked),))
    columns = [
        ("Ceremony", "auto", "r"),
        ("Early: FAST, SAY BY, Z", "auto", "r"),
        ("Late: SLOW, SAY BY, Z", "auto", "r"),
        ("", "1fr", "l"),
    ]
    rows = [
        (
            words.duration(row.seconds),
            _say_by(w, event, -row.seconds, row.early_until),
            _say_by(w, event, row.seconds, row.late_until),
            "",
        )
        for row in event.last_updates
    ]
    return grid(TITLE, columns, rows, note=_most(w, event))


def _most(w: Words, event: EventPlan) -> str:
    (early_s, late_s), cue = reach_s(event.authority[0]), w.mission.file.event.cue_of_t
    heard = f" Told once {cue} is heard." if cue else ""
    most = f"{early_s} s earlier or {late_s} s later"
    told = (at for row in event.last_updates for at in (row.early_until, row.late_until) if at)
    days = w.days(at - timedelta(seconds=event.section.event.relay_s) for at in told)
    return (
        f"All {days}. No hold: speed alone moves T, {span_words(event)}, at most {most}, read back before"
        f" the IP.{heard} SAY BY: begin to read it out then at the latest. More: UNABLE."
        f" {TOO_EARLY}, {TOO_LATE}: ask the flight first."
    )


def _say_by(w: Words, event: EventPlan, change_s: float, until: datetime | None) -> str:
    """Less the relay, and before only the abort words are taken in; beyond a limit it is asked first."""
    if until is None:
        return "UNABLE"
    if said := verdict(w.plan, event.true_time + timedelta(seconds=change_s))[0]:
        return said
    relay = timedelta(seconds=event.section.event.relay_s)
    return w.by_column(event.told_until(until) - relay)
