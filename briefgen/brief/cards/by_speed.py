"""What the ground contact can tell a flight that has no hold: so many seconds fast or slow, each until its
own time."""

from __future__ import annotations

from datetime import timedelta

from briefgen.brief.cards.common import grid
from briefgen.brief.cards.model import Grid, Lines
from briefgen.brief.wording import format as words
from briefgen.brief.wording.by_speed import INSIDE, Told, told_pairs
from briefgen.brief.wording.speed_span import reach_s, span_words
from briefgen.brief.wording.words import Words
from briefgen.plan.event.speed_alone import by_speed_s
from briefgen.plan.event.told_speed import most_told_s
from briefgen.plan.event.waits import TOO_EARLY, TOO_LATE
from briefgen.plan.model import EventPlan

TITLE = "When the ceremony slips"
SHORT_MARK = " *"


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
        (words.duration(late.slip_s), _say_by(w, event, early), _say_by(w, event, late), "")
        for early, late in told_pairs(w.plan, event)
    ]
    return grid(TITLE, columns, rows, note=_most(w, event))


def _most(w: Words, event: EventPlan) -> str:
    (early_s, late_s), cue = most_told_s(event), event.section.cue_of_t
    inside = f", {INSIDE}" if (early_s, late_s) != reach_s(by_speed_s(event.chain)) else ""
    most = f"{early_s} s earlier or {late_s} s later{inside}"
    told = f"told once {cue} is heard, which is early or late itself" if cue else "read back before the IP"
    return (
        f"{_days(w, event)}No hold: speed alone moves T, {span_words(event)}, at most {most}, {told}."
        f" SAY BY: begin to read it out then at the latest{_marked(w, event)}. More: UNABLE."
        f" {TOO_EARLY}, {TOO_LATE}: ask the flight first."
    )


def _marked(w: Words, event: EventPlan) -> str:
    short = any(told.short for pair in told_pairs(w.plan, event) for told in pair)
    return f";{SHORT_MARK}: {INSIDE}" if short else ""


def _days(w: Words, event: EventPlan) -> str:
    """The day of what is printed."""
    relay = timedelta(seconds=event.section.event.relay_s)
    said = [told.until - relay for pair in told_pairs(w.plan, event) for told in pair if told.until]
    return f"All {w.days(said)}. " if said else ""


def _say_by(w: Words, event: EventPlan, told: Told) -> str:
    """Less the relay."""
    relay = timedelta(seconds=event.section.event.relay_s)
    mark = SHORT_MARK if told.short else ""
    return told.said if told.until is None else w.by_column(told.until - relay) + mark
