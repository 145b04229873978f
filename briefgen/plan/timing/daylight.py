"""Sun at the base, in the area and at the event, on the sortie's local day. The moon is left out: astral has
it too high."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from briefgen.airmath.geodesy import from_plane, to_plane
from briefgen.airmath.sun import azimuth_deg, changes_around, day_events, elevation_deg
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.model import Clock, EventPlan, Point, SunAt, SunFor
from briefgen.plan.route.air import point_of
from briefgen.units.values import Position


def area_centre(corners: tuple[Position, ...]) -> Position:
    """Middle of the corners, for one look at the sun: the mean of their plane positions around the first."""
    plane = [to_plane(corners[0], c) for c in corners]
    return from_plane(
        corners[0], sum(p.east_nm for p in plane) / len(plane), sum(p.north_nm for p in plane) / len(plane)
    )


def plan_suns(mission: Mission, clock: Clock, passes: Sequence[EventPlan]) -> tuple[SunAt, ...]:
    """Take-off and last landing at the base, the middle of each training in its area, T over each centre; in
    time order."""
    base = point_of(mission, mission.file.ground_ops.base)
    wanted: list[tuple[Point, ZoneInfo, SunFor, datetime, str]] = [
        (base, mission.base_zone, "take-off", clock.takeoff, ""),
        (base, mission.base_zone, "last landing", clock.last_landing, ""),
    ]
    for section in mission.blocks:
        block = next((block for block in clock.blocks if block.id == section.id), None)
        if block is not None and block.start is not None and block.end is not None:
            middle, area = block.start + (block.end - block.start) / 2, section.written.area
            spot = area_centre(area.boundary)
            point = Point("AREA", area.name, spot.lat_deg, spot.lon_deg)
            wanted.append((point, mission.base_zone, "training", middle, section.id))
    for p in passes:
        wanted.append((p.centre, p.section.event.zone, "the pass", p.true_time, p.section.id))
    return tuple(sun_at(*row) for row in sorted(wanted, key=lambda row: row[3]))


def sun_at(point: Point, zone: ZoneInfo, used_for: SunFor, at: datetime, piece: str = "") -> SunAt:
    """The sun at a place on the local date of ``at`` in a zone, and its height and direction at that
    instant."""
    day = day_events(point.lat_deg, point.lon_deg, at.astimezone(zone).date(), zone)
    first = {
        kind: next(iter(day.all_of(kind)), None) for kind in ("civil dawn", "sunrise", "sunset", "civil dusk")
    }
    before, after = changes_around(point.lat_deg, point.lon_deg, at, zone)
    return SunAt(
        point=point,
        zone=zone.key,
        civil_dawn=first["civil dawn"],
        sunrise=first["sunrise"],
        sunset=first["sunset"],
        civil_dusk=first["civil dusk"],
        events=day.events,
        words=", ".join(day.words),
        states=day.words,
        used_for=used_for,
        at=at,
        elevation_deg=elevation_deg(point.lat_deg, point.lon_deg, at),
        azimuth_true_deg=azimuth_deg(point.lat_deg, point.lon_deg, at),
        before=before,
        after=after,
        piece=piece,
    )
