"""Light, opening hours and duty, each over the whole accepted slip."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from briefgen.airmath.clocks import find_zone
from briefgen.airmath.sun import changes_around
from briefgen.plan.fuel.of_mission import from_base_s
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.valid import way_key
from briefgen.plan.gates.verdicts import (
    About,
    at_most,
    landing_late_s,
    no_limit,
    not_after,
    not_before,
    not_checked,
    slip_included,
    words,
)
from briefgen.plan.gates.weather import elsewhere
from briefgen.plan.model import EventPlan, Gate, SunAt
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.clock import later
from briefgen.plan.timing.opening import margins_s, open_span

# ---------------------------------------------------------------- light


def daylight_takeoff(s: Sortie) -> Iterator[Gate]:
    """The sun is up at take-off."""
    sun = s.sun_for("take-off")
    if sun is not None:
        about = text("daylight-takeoff")
        yield _in_daylight(about, sun, s.clock.takeoff, s.clock.last_takeoff, 0.0)


def daylight_pass(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The sun is up at the pass, over the whole accepted slip."""
    sun = s.sun_for("the pass", p.section.id)
    if sun is not None:
        about = text("daylight-pass")
        yield _in_daylight(
            about,
            sun,
            later(p.true_time, -p.section.event.early_s),
            later(p.true_time, p.section.event.late_s),
            0.0,
        )


def daylight_landing(s: Sortie) -> Iterator[Gate]:
    """The last ship lands so long before sunset as the unit asks, the accepted slip included; nobody is asked
    how long when the whole sortie is flown by night."""
    sun, first = s.sun_for("last landing"), s.sun_for("take-off")
    before, latest = s.mission.file.limits.land_before_sunset, later(s.clock.last_landing, landing_late_s(s))
    by_night = first is not None and sun is not None and not (first.up or sun.up)
    if sun is None or (before is None and by_night):
        return
    about = text("daylight-landing", slip=slip_included(s)).but(
        remedy="an earlier take-off, or less training"
        if not s.passes
        else "an earlier T, a shorter way home, or enter a night approval as a waiver",
    )
    yield (
        no_limit(about, latest)
        if before is None
        else _in_daylight(about, sun, s.clock.lead_landing, latest, before)
    )


def _in_daylight(about: About, sun: SunAt, first: datetime, last: datetime, before_s: float) -> Gate:
    """Up at ``first``: ``last`` no later than ``before_s`` before the sunset that ends this daylight,
    whatever else the date holds. Down: against the nearer of the sunset before and the sunrise after. Where
    the sun neither rises nor sets, up all day or not."""
    point = sun.point
    before, after = changes_around(point.lat_deg, point.lon_deg, first, find_zone(sun.zone), until=last)
    if before is None and after is None:
        return words(
            about.but(unit=""), sun.up, f"the sun is {'up' if sun.up else 'down'} all day", "daylight"
        )
    if after is not None and after.kind == "sunset":
        return not_after(about, last, later(after.instant, -before_s))
    if after is None and before.kind == "sunrise":
        return words(about.but(unit=""), True, "after sunrise; it does not set for a day", "daylight")
    if after is None or (before is not None and first - before.instant < after.instant - first):
        return not_after(about, last, later(before.instant, -before_s))
    return not_before(about, first, after.instant)


# ---------------------------------------------------------------- opening hours


def base_open(s: Sortie) -> Iterator[Gate]:
    """The base is open from the first take-off to the last landing, the accepted slip included."""
    place = s.mission.base.id
    about = text("base-open", place=place, slip=slip_included(s)).but(cause=("places", place, "open"))
    yield from _open(s, about, place, (s.clock.takeoff, later(s.clock.last_landing, landing_late_s(s))))


def diverts_open(s: Sortie) -> Iterator[Gate]:
    """Each divert is open from take-off until a ship that misses its landing at the base, as late as
    accepted, has landed there."""
    for airfield in elsewhere(s):
        place = airfield.place
        about = airfield.about("open").but(cause=("places", place, "open"))
        more = from_base_s(s.mission, s.clock, place)
        if more is None:
            yield not_checked(
                about,
                "how long the way there takes can't be worked out: it needs recovery legs and an approach",
                key=way_key(s),
            )
            continue
        yield from _open(
            s, about, place, (s.clock.takeoff, later(s.clock.last_landing, landing_late_s(s) + more))
        )


def _open(s: Sortie, about: About, place: str, needed: tuple[datetime, datetime]) -> Iterator[Gate]:
    """One gate: the end that is the tighter of opening and closing."""
    if place in s.mission.times.round_the_clock:
        yield words(about.but(unit=""), True, "H24", "H24")
        return
    span = open_span(s.mission, place, needed)
    if span is None:
        yield not_checked(about, f"{place} has no opening hours")
        return
    before, after = margins_s(span, needed)
    yield (
        not_before(about, needed[0], span.start) if before < after else not_after(about, needed[1], span.end)
    )


# ---------------------------------------------------------------- duty


def duty_period(s: Sortie) -> Iterator[Gate]:
    """From the report to the end of the debrief, the accepted slip and the longest way to a divert
    included."""
    limit = s.mission.file.limits.duty_period
    about = text("duty-period", what="divert" if not s.passes else "slip and divert")
    if s.clock.report is None or s.clock.duty_end is None:
        key = ("ground_ops", "report") if s.clock.report is None else ("recovery", "debrief")
        yield not_checked(
            about, "nobody has said when the crews report, or how long the debrief takes", key=key
        )
        return
    if s.clock.report >= s.clock.takeoff:
        said, least = f"report {s.clock.report:%H:%M:%S} Z", f"before take-off, {s.clock.takeoff:%H:%M:%S} Z"
        remedy = "an earlier report, or another clock of it"
        yield words(about.but(unit="", cause=("ground_ops", "report"), remedy=remedy), False, said, least)
        return
    ways = [from_base_s(s.mission, s.clock, airfield.place) for airfield in elsewhere(s)]
    length = (
        (s.clock.duty_end - s.clock.report).total_seconds()
        + landing_late_s(s)
        + max((way for way in ways if way is not None), default=0.0)
    )
    if limit is None:
        yield no_limit(about, length)
    elif None in ways and length <= limit:
        why = "how long the way to a divert takes can't be worked out: it needs recovery legs and an approach"
        yield not_checked(about, why, value=length, key=way_key(s))
    else:
        yield at_most(about, length, limit)
