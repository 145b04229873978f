"""Places with their figures in the program's units, and the two clocks of a mission: the base's and the
event's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from briefgen.airmath.clocks import UnknownZone
from briefgen.airmath.times import ClockContext
from briefgen.airmath.zones import COAST_NM, AtSea, NoLookUp, PlaceZone, ZoneAnswer, place_zone
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.core.records import record
from briefgen.mission.read.tree import Spans
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.sortie import Runway
from briefgen.mission.schema.unread import UNREAD
from briefgen.units.values import Position


@record
class ResolvedPlace:
    """A place of the file. ``elevation_ft`` is MSL; ``variation_deg`` (east positive) and ``time_zone`` are
    those given by hand.

    Each is None where the file gives none.
    """

    id: str
    name: str
    position: Position
    elevation_ft: float | None = None
    variation_deg: float | None = None
    time_zone: str | None = None
    runways: tuple[Runway, ...] = ()
    approach: bool | None = None

    @property
    def lat_deg(self) -> float:
        """North positive."""
        return self.position.lat_deg

    @property
    def lon_deg(self) -> float:
        """East positive."""
        return self.position.lon_deg


@record
class Zones:
    """The clocks of the mission. ``event`` is None without an event. ``borrowed``: ids of the places at sea
    that took the other's clock. ``events``: of a sortie over several, the clock of each by its id."""

    base: ZoneInfo
    event: ZoneInfo | None = None
    borrowed: tuple[str, ...] = ()
    events: Mapping[str, ZoneInfo] = field(default_factory=dict)

    def read_on(self, date: date) -> ClockContext:
        """The clocks by which a time that is typed for a sortie of that date is read."""
        return ClockContext(date, self.base, self.event, self.events)


def resolve_places(file: MissionFile, zones: Zones) -> Mapping[str, ResolvedPlace]:
    """Every place by its id."""
    return {
        id: ResolvedPlace(
            id, place.name or id, place.position,
            elevation_ft=place.elevation.feet if place.elevation else None,
            variation_deg=place.variation,
            time_zone=place.time_zone,
            runways=place.runways,
            approach=place.approach,
        )
        for id, place in file.places.items()
    }  # fmt: skip


def resolve_zones(file: MissionFile, spans: Spans) -> tuple[Zones | None, list[Diagnostic]]:
    """The zones of base and event; a place at sea that no coast gives a clock takes the other's, and a
    caution says so. None when one cannot be had, or hangs on what could not be read."""
    event_id = file.event.pass_.over if file.event else None
    ids = [id for id in (file.ground_ops.base, event_id) if id is not None]
    if any(id not in file.places for id in ids):
        return None, []
    places = [file.places[id] for id in ids]
    if any(
        value is UNREAD
        for value in (
            file.sortie.date,
            *(place.position for place in places),
            *(place.time_zone for place in places),
        )
    ):
        return None, []
    compare = any(place.time_zone is None for place in places)
    noon = datetime.combine(file.sortie.date, time(12), UTC)
    answers = [place_zone(place.position, noon, given=place.time_zone, compare=compare) for place in places]
    problems = [problem for id, answer in zip(ids, answers, strict=True) for problem in _problems(id, answer)]
    found = [answer.zone if isinstance(answer, PlaceZone) else None for answer in answers]
    borrowed = next((zone for zone in reversed(found) if zone), None)
    at_sea = {id: answer for id, answer in zip(ids, answers, strict=True) if isinstance(answer, AtSea)}
    problems += [_at_sea(id, answer, borrowed) for id, answer in at_sea.items()]
    problems = [spans.locate(problem) for problem in dict.fromkeys(problems)]
    if borrowed is None or any(problem.severity == "error" for problem in problems):
        return None, problems
    return Zones(found[0] or borrowed, (found[1] or borrowed) if event_id else None, tuple(at_sea)), problems


def _problems(id: str, answer: ZoneAnswer) -> list[Diagnostic]:
    path: KeyPath = ("places", id)
    given = (*path, "time_zone")
    match answer:
        case UnknownZone():
            help = (
                f"did you mean {' or '.join(answer.suggestions)}?"
                if answer.suggestions
                else "give the place a `time_zone`"
            )
            return [
                Diagnostic(
                    "time-zone", "error", answer.why, cause=given, why="local times hang on it", help=help
                )
            ]
        case NoLookUp():
            why = f"the zone of {id} cannot be looked up: {answer.why}"
            return [
                Diagnostic(
                    "time-zone",
                    "error",
                    f"the time zone of {id} is not known",
                    cause=path,
                    why=why,
                    help="give the place a `time_zone`",
                )
            ]
        case PlaceZone():
            place = given if answer.origin == "given" else path
            help = "check `time_zone`" if answer.origin == "given" else "give the place a `time_zone`"
            cautions = [
                Diagnostic(
                    "time-zone",
                    "caution",
                    f"{id}: {c.text}",
                    cause=place,
                    why="an hour may be wrong",
                    help=help,
                )
                for c in answer.cautions
            ]
            return [_by_the_coast(id, answer.zone), *cautions] if answer.origin == "coast" else cautions
    return []


def _by_the_coast(id: str, zone: ZoneInfo) -> Diagnostic:
    message, why = (
        f"{id} lies at sea: it uses the clock of {zone.key}",
        f"all land within {COAST_NM:.0f} nm of it keeps that clock on this day",
    )
    return Diagnostic(
        "time-zone",
        "note",
        message,
        cause=("places", id),
        why=why,
        help="give the place a `time_zone` if it keeps another",
    )


def _at_sea(id: str, answer: AtSea, borrowed: ZoneInfo | None) -> Diagnostic:
    path: KeyPath = ("places", id)
    if borrowed is None:
        message = f"{id} lies at sea, and no other place gives it a clock"
        return Diagnostic(
            "time-zone",
            "error",
            message,
            cause=path,
            why="local times hang on it",
            help="give the place a `time_zone`",
        )
    message = f"{id} lies at sea: it uses the clock of {borrowed.key}, which is a guess"
    lands = (
        f"{' and '.join(answer.nearby)} meet within {COAST_NM:.0f} nm of it"
        if answer.nearby
        else f"no land lies within {COAST_NM:.0f} nm of it"
    )
    return Diagnostic(
        "time-zone",
        "caution",
        message,
        cause=path,
        why=f"{lands}: its own clock is not known",
        help="give the place its `time_zone`",
    )
