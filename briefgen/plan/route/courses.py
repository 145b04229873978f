"""Directions that the file fixes twice: a typed course and the two points that it joins, a runway's direction
and its number, a variation typed by hand and the magnetic model. What is flown comes from the points; a typed
course only has to agree."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from briefgen.airmath.angles import turn_deg
from briefgen.airmath.magnetism import MODEL, Declination, declination, to_magnetic
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.sortie import Runway
from briefgen.plan.model import Leg
from briefgen.plan.route import air as plan_air
from briefgen.units.values import Direction

APART_DEG = 2.0  # our own bound: charts are read to a degree, and the variation changes along a leg
# a runway's number is the whole number nearest a tenth of its magnetic direction (ICAO Annex 14, volume I,
# 5.2.2.4, from memory)
NUMBER_DEG = 5.0
_NUMBER = re.compile(r"(0?[1-9]|[12][0-9]|3[0-6])[LCR]?(?![0-9])")


def typed_courses(mission: Mission, legs: Sequence[Leg]) -> list[Diagnostic]:
    """An error for each typed course that lies more than 2 degrees from the leg it belongs to; a caution
    where a magnetic one can't be compared."""
    found = []
    for leg in legs:
        typed, path = _typed(mission, leg)
        if typed is not None and (problem := _compared(leg, typed, path)) is not None:
            found.append(problem)
    return found


def _typed(mission: Mission, leg: Leg) -> tuple[Direction | None, KeyPath]:
    file, path = mission.file, leg.cause
    if leg.kind == "run-in":
        return mission.pass_at(path[:-1]).written.run_in.course, (*path, "course")
    if leg.kind == "hold to IP":
        return mission.pass_at(path[:-1]).written.hold.inbound, (*path, "inbound")
    rows = {
        ("departure",): file.departure,
        ("transit",): file.transit,
        ("recovery", "legs"): file.recovery.legs if file.recovery else (),
    }.get(path[:-1])
    return (None, path) if rows is None else (rows[path[-1]].course, (*path, "course"))


def _compared(leg: Leg, typed: Direction, path: KeyPath) -> Diagnostic | None:
    along = leg.course_true_deg if typed.reference == "T" else leg.course_magnetic_deg
    name = f"{leg.start.id} to {leg.end.id}"
    if along is None:
        message = (
            f"the typed course of {name} is magnetic, and the variation there isn't known: it is not compared"
        )
        return Diagnostic(
            "course",
            "caution",
            message,
            why="the leg is flown between its two points",
            help="type it in degrees true (T), or leave it out",
            cause=path,
        )
    apart = abs(turn_deg(along, typed.deg))
    if apart <= APART_DEG:
        return None
    message = (
        f"{_shown(typed.deg)} {typed.reference} is typed, but {name} lies on {_shown(along)}"
        f" {typed.reference}: {apart:.1f} degrees apart"
    )
    why = f"more than {APART_DEG:.0f} degrees: the course or a position is mistyped"
    return Diagnostic(
        "course",
        "error",
        message,
        why=why,
        help="check the course and both positions; without a typed course the positions count",
        cause=path,
    )


def _shown(deg: float) -> str:
    return f"{round(deg * 10) / 10 % 360:05.1f}"


def given_directions(mission: Mission) -> list[Diagnostic]:
    """Cautions: a runway whose direction is not the one of its number, a variation by hand that is not the
    model's."""
    return [*_runways(mission), *_variations(mission)]


def _runways(mission: Mission) -> Iterator[Diagnostic]:
    for id, place in mission.places.items():
        variation = plan_air.variation_deg(mission, plan_air.point_of(mission, id)) if place.runways else None
        for i, runway in enumerate(place.runways):
            apart = _from_its_number(runway, variation)
            if apart is None or apart <= NUMBER_DEG + APART_DEG:
                continue
            message = (
                f"runway {runway.name} of {id} has direction {_shown(runway.direction.deg)}"
                f" {runway.direction.reference}: {apart:.0f} degrees from its number"
            )
            why = (
                "a number is its magnetic direction in tens: the crosswind may be worked out for another"
                " runway"
            )
            path: KeyPath = ("places", id, "runways", i, "direction")
            yield Diagnostic(
                "runway-direction",
                "caution",
                message,
                why=why,
                help="check the direction, T or M, and the name",
                cause=path,
            )


def _from_its_number(runway: Runway, variation_deg: float | None) -> float | None:
    """Degrees between the direction and ten times the number; None where there is no number or no direction.
    A true direction counts as it stands where the variation isn't known: there runways are numbered by it."""
    number = _NUMBER.match(runway.name)
    if number is None or runway.direction is None:
        return None
    is_true = runway.direction.reference == "T" and variation_deg is not None
    along = to_magnetic(runway.direction.deg, variation_deg) if is_true else runway.direction.deg
    return abs(turn_deg(10.0 * int(number[1]), along))


def _variations(mission: Mission) -> Iterator[Diagnostic]:
    for id, place in mission.places.items():
        if place.variation_deg is None:
            continue
        model = declination(place.position, mission.file.sortie.date)
        if (
            not isinstance(model, Declination)
            or model.use_true
            or abs(turn_deg(model.deg, place.variation_deg)) <= APART_DEG
        ):
            continue
        message = (
            f"the variation of {id} is typed as {_east_west(place.variation_deg)}, {MODEL} has"
            f" {_east_west(model.deg)} there"
        )
        why = "the typed one counts for every magnetic direction there; east and west may be swapped"
        yield Diagnostic(
            "variation-differs",
            "caution",
            message,
            why=why,
            help="check the figure and its letter",
            cause=("places", id, "variation"),
        )


def _east_west(deg: float) -> str:
    return f"{abs(deg):.1f} {'W' if deg < 0 else 'E'}"
