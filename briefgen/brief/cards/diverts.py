"""The diverts on a kneeboard card: where they lie, with what fuel to leave for them, runway and hours."""

from __future__ import annotations

from briefgen.brief.cards.common import grid
from briefgen.brief.cards.model import Grid, Reduction
from briefgen.brief.wording import format as words
from briefgen.brief.wording.diverts import divert_course, open_words, weather_words
from briefgen.brief.wording.words import NOT_CHECKED, Words
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.route.diverts import Divert, divert_start, nearest_first


def diverts(w: Words, ship: Ship, *, hours: bool = True, most: int | None = None) -> Grid | None:
    """The nearest first; of a plan seen from a pass those from there. ``hours``: when they are open;
    ``most``: so many of them."""
    if not w.mission.file.recovery:
        return None
    columns = [
        (f"Divert from {divert_start(w.plan).name}", "1.4fr", "l"),
        ("Bearing", "auto", "r"),
        ("nm", "auto", "r"),
        ("Leave with", "auto", "r"),
        ("Runway, ft", "1fr", "l"),
        ("Open, Z", "auto", "r"),
    ]
    kept = len(columns) if hours else len(columns) - 1
    rows = [_row(w, ship, divert)[:kept] for divert in nearest_first(w.plan)[:most]]
    return grid("", columns[:kept], rows, name="Diverts")


def _row(w: Words, ship: Ship, divert: Divert) -> tuple[str, ...]:
    place = w.mission.places[divert.place.id]
    fuel = divert.fuel.get(ship.ship) if divert.fuel else None
    opening = open_words(w.plan, divert.place.id, w.day) or NOT_CHECKED
    weather = weather_words(w.plan, divert.place.id)
    runways = ", ".join(
        r.name + (f" {words.height_bare(r.length)}" if r.length else "") for r in place.runways
    )
    return (
        divert.place.name + (f", {weather}" if weather else ""),
        divert_course(w.mission, divert),
        words.distance_bare(divert.distance_nm),
        w.fuel(fuel.figure) if fuel else NOT_CHECKED,
        runways,
        opening,
    )


def fewer_diverts(w: Words, ship: Ship, *, most: int) -> Reduction:
    """The two nearest, or the nearest alone."""
    named = "only the nearest divert" if most == 1 else "only the two nearest diverts"
    return Reduction("diverts", f"{named}, no hours", diverts(w, ship, hours=False, most=most))
