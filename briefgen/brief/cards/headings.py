"""The headings on the side of a pass: hold, run-in, egress and what is flown after it."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.brief.cards.common import grid
from briefgen.brief.cards.model import Grid
from briefgen.brief.wording import format as words
from briefgen.brief.wording.heights import flown_level
from briefgen.brief.wording.hold import entry_words, first_heading, outbound_legs
from briefgen.brief.wording.leg_times import legs_s
from briefgen.brief.wording.words import Words, course_words, magnetic_or_true, short_course
from briefgen.plan.model import HoldPlan, Leg
from briefgen.plan.one_pass import legs_from

_NAMES = {"hold to IP": "Hold to IP", "run-in": "Run-in", "egress": "Egress"}
_AFTER = {"recovery": "Home", "transit": "On"}


def headings(w: Words, *, home: bool = True) -> Grid | None:
    """One row a leg from the hold on, with or without those of the way ``home`` (or on to the next pass or
    block of training); None for a mission without any."""
    event = w.plan.event
    rows = [*(_hold_rows(w, event.hold) if event and event.hold else ()), *_leg_rows(w, home)]
    columns = [
        ("", "auto", "l"),
        ("To", "1fr", "l"),
        ("Course", "auto", "r"),
        ("Heading", "auto", "r"),
        ("Level", "auto", "r"),
        ("CAS", "auto", "r"),
        ("GS", "auto", "r"),
        ("nm", "auto", "r"),
        ("Time", "auto", "r"),
    ]
    return grid("Headings", columns, rows, note=_hold_note(event.hold) if event and event.hold else "")


def _hold_rows(w: Words, hold: HoldPlan) -> Iterator[tuple[str, ...]]:
    level = flown_level(w.mission.file.event.pass_.hold.level, hold.altitude_ft)
    cas = words.knots_bare(hold.cas_kt)
    outbound, first = (
        course_words(w.mission, hold.fix, hold.outbound_heading_true_deg),
        first_heading(w.mission, hold),
    )
    leg = outbound_legs(hold, words.duration_clock, each="")
    turns = f"{hold.turns}, {words.counted(len(hold.laps), 'lap')}" + (f"; 1st on {first}" if first else "")
    yield "Hold out", turns, "", outbound, level, cas, "", "", leg
    inbound = course_words(w.mission, hold.fix, hold.inbound_heading_true_deg)
    course = course_words(w.mission, hold.fix, hold.inbound_course_true_deg)
    yield "Hold in", hold.fix.id, course, inbound, level, cas, words.knots_bare(hold.inbound_gs_kt), "", ""


def _hold_note(hold: HoldPlan) -> str:
    """That the wait can't be flown, with the nearest two that can, and how the flight comes into the hold
    where that is no direct entry."""
    unflown = (
        ""
        if hold.flyable
        else (
            "This wait cannot be flown: nearest"
            f" {words.listed((words.duration(s) for s in hold.nearest_s), 'or') or 'none'}."
        )
    )
    entry = entry_words(hold)
    return " ".join(filter(None, (unflown, f"{entry}." if entry else "")))


def _leg_rows(w: Words, home: bool) -> Iterator[tuple[str, ...]]:
    event = w.plan.event
    for leg in w.plan.legs if event is None else legs_from(w.plan, event):
        name = _NAMES.get(leg.kind) or (_AFTER.get(leg.kind) if home else None)
        if name is not None:
            yield (
                "Run-in to SET" if _to_set(w, leg) else name,
                "EGRESS" if leg.end.is_egress_end else leg.end.id,
                short_course(leg),
                magnetic_or_true(leg.heading_magnetic_deg, leg.heading_true_deg),
                flown_level(leg.level, leg.altitude_ft),
                words.knots_bare(leg.cas_kt),
                _speeds(leg),
                words.distance_bare(leg.distance_nm),
                words.duration_clock(_seconds(w, leg)),
            )


def _to_set(w: Words, leg: Leg) -> bool:
    """Whether it is a run-in that ends at the SET time by its own speed: where the flight pushes up, T is
    sooner by the bias."""
    return leg.kind == "run-in" and w.plan.event is not None and w.plan.event.push is not None


def _seconds(w: Words, leg: Leg) -> float:
    """A run-in that is pushed up at its own speed, so from the IP to the SET time."""
    event = w.plan.event
    return words.between_s(event.ip_time, event.set_time) if _to_set(w, leg) else legs_s(w.plan, [leg])


def _speeds(leg: Leg) -> str:
    return words.knots_bare(leg.gs_kt)
